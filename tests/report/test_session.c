/* What is told of a session, and pictures put in order. */
#include "demo.h"
#include "blessed.h"
#include "near.h"
#include "timed.h"

#include "../../src/report/print.h"

#include <moonstand/angle.h>
#include <moonstand/series.h>

#include <time.h>

/* A busy hour: settings, an aim, an alarm that nobody heard, a gap, air, cloud, a note, an undo. */
static struct night *busy_night(void)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    double p1 = night->contact_utc[CONTACT_P1], u1 = night->contact_utc[CONTACT_U1],
           u2 = night->contact_utc[CONTACT_U2];
    int fast = shutter_index(1.0 / 500), slow = shutter_index(1.0 / 60), iso = iso_index(400);
    const struct act acts[] = {
        {.utc = p1 - 300, .kind = ACT_BEGIN, .rig = -1, .text = "1.0"},
        {.utc = p1 + 60, .kind = ACT_SETTING, .rig = 1, .value = {fast, 0, TARGET_LIT}},
        {.utc = u1 + 60, .kind = ACT_AIM, .rig = 1, .value = {-0.3, 0.1}},
        {.utc = u1 + 600, .kind = ACT_SETTING, .rig = 1, .value = {slow, iso, TARGET_LIT}},
        {.utc = u1 + 700, .kind = ACT_NOTE, .rig = -1, .text = "thin | cloud, \"high\""},
        {.utc = u1 + 800, .kind = ACT_CLOUD, .rig = -1, .value = {1}},
        {.utc = u1 + 900, .kind = ACT_AIR, .rig = -1, .value = {-14, 80}},
        {.utc = u1 + 910, .kind = ACT_SENSOR, .rig = -1, .value = {-15, 81}},
        {.utc = u1 + 920, .kind = ACT_FORECAST, .rig = -1, .value = {u2, 40, NAN, NAN, NAN}},
        {.utc = u1 + 925, .kind = ACT_LATER, .rig = -1, .value = {600}, .text = "focus"},
        {.utc = u1 + 926, .kind = ACT_PAST, .rig = -1, .text = "focus"},
        {.utc = u1 + 927, .kind = ACT_ITEM, .rig = -1, .value = {NAN}, .text = "Move the car"},
        {.utc = u1 + 928, .kind = ACT_SETUP, .rig = -1, .value = {NAN}, .text = "danjon 1"},
        {.utc = u1 + 1000, .kind = ACT_GAP, .rig = -1, .value = {u1 + 930, u1 + 1000}},
        {.utc = u1 + 1001,
         .kind = ACT_MISSED,
         .rig = 1,
         .value = {u1 + 950},
         .text = "re-aim of long"},
        {.utc = u1 + 1100, .kind = ACT_CAMERA_CLOCK, .rig = 1, .value = {-18003}},
        {.utc = u2 + 10, .kind = ACT_DANJON, .rig = -1, .value = {2}},
    };
    struct act undo = {.utc = u2 + 20, .kind = ACT_UNDO, .rig = -1};

    for (size_t i = 0; i < sizeof acts / sizeof acts[0]; i++)
        demo_apply(night, acts[i]);
    undo.ref = night->last_seq;
    demo_apply(night, undo);
    return night;
}

/* ---- the record ---- */

static const cJSON *act_of(const cJSON *root, const char *kind)
{
    for (const cJSON *act = member(root, "acts")->child; act; act = act->next)
        if (strcmp(text_of(act, "kind"), kind) == 0)
            return act;
    fail_msg("no act '%s'", kind);
    return NULL;
}

static void json_has_every_act_with_its_circumstances(void **state)
{
    struct night *night = busy_night();
    double u1 = night->contact_utc[CONTACT_U1];
    char *text;
    cJSON *root;
    const cJSON *act;

    (void)state;
    PRINTED(text, report_session_json(out, night, NULL));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    assert_int_equal(cJSON_GetArraySize(member(root, "acts")), (int)night->act_count);
    act = act_of(root, "aim");
    assert_string_equal(text_of(act, "rig"), "long");
    assert_string_equal(text_of(act, "phase"), "partial");
    assert_true(number(act, "x") == -0.3 && number(act, "y") == 0.1);
    assert_true(fabs(instant(act, "utc") - u1 - 60) <= 0.001);
    assert_true(number(act, "umbral_magnitude") > 0 && number(act, "umbral_magnitude") < 0.1);
    assert_string_equal(text_of(act_of(root, "note"), "text"), "thin | cloud, \"high\"");
    assert_true(fabs(instant(act_of(root, "missed"), "due_utc") - u1 - 950) <= 0.001);
    assert_true(fabs(instant(act_of(root, "gap"), "from_utc") - u1 - 930) <= 0.001);
    assert_true(flag(act_of(root, "danjon"), "undone"));
    assert_false(flag(act_of(root, "cloud"), "undone"));
    assert_false(has(act_of(root, "cloud"), "rig"));
    cJSON_Delete(root);
    demo_free(night);
}

static void json_tells_what_each_rig_was_set_to_in_each_phase(void **state)
{
    struct night *night = busy_night();
    char *text;
    cJSON *root;
    const cJSON *stage, *settings;

    (void)state;
    PRINTED(text, report_session_json(out, night, NULL));
    hold_print("session-hour-json", text);
    root = json_parse(text);
    free(text);
    assert_int_equal(cJSON_GetArraySize(member(root, "phases")), 5);
    stage = member(root, "phases")->child->next;
    assert_string_equal(text_of(stage, "phase"), "partial");
    assert_true(fabs(instant(stage, "from") - night->contact_utc[CONTACT_U1]) <= 0.0005);
    settings = member(cJSON_GetArrayItem(member(stage, "rigs"), 1), "settings");
    assert_int_equal(cJSON_GetArraySize(settings), 2);
    assert_string_equal(text_of(settings->child, "shutter"), "1/500");
    assert_string_equal(text_of(settings->child->next, "shutter"), "1/60");
    assert_int_equal((int)number(settings->child->next, "iso"), 400);
    assert_string_equal(text_of(settings->child->next, "target"), "lit");
    settings = member(cJSON_GetArrayItem(member(stage, "rigs"), 0), "settings");
    assert_int_equal(cJSON_GetArraySize(settings), 0);
    cJSON_Delete(root);
    demo_free(night);
}

static int count_of(const char *text, const char *part)
{
    int count = 0;

    for (; (text = strstr(text, part)); text += strlen(part))
        count++;
    return count;
}

/* Where `part` stands behind `from`. */
static const char *line_after(const char *text, const char *from, const char *part)
{
    const char *at = strstr(text, from);

    assert_non_null(at);
    at = strstr(at, part);
    if (!at)
        fail_msg("'%s' is not behind '%s'", part, from);
    return at;
}

/* A note is told with the settings that were in force; each camera's clock with the contacts. */
static void notes_have_settings_and_cameras_their_clocks(void **state)
{
    struct night *night = busy_night();
    char *text;
    cJSON *root;
    const cJSON *rig;

    (void)state;
    PRINTED(text, report_session_markdown(out, night, NULL));
    assert_non_null(strstr(text, "note: thin \\| cloud, \"high\"\n  long 1/60 s, ISO 400\n"));
    assert_non_null(strstr(text, "## Camera clocks\n\n| | UTC | wide | long | telescope |\n"));
    /* The camera runs 18003 s ahead: five hours and three seconds. */
    assert_non_null(strstr(text, "| U1 | 15:07:42 | - | 20:07:45 | - |\n"));
    free(text);
    PRINTED(text, report_session_json(out, night, NULL));
    root = json_parse(text);
    free(text);
    rig = member(act_of(root, "note"), "rigs")->child;
    assert_string_equal(text_of(rig, "name"), "long");
    assert_string_equal(text_of(rig, "shutter"), "1/60");
    assert_null(rig->next);
    rig = member(root, "camera_clocks")->child;
    assert_string_equal(text_of(rig, "rig"), "long");
    assert_true(number(rig, "behind_s") == -18003);
    assert_null(rig->next);
    cJSON_Delete(root);
    demo_free(night);
}

static void markdown_has_its_sections_in_order(void **state)
{
    struct night *night = busy_night();
    char *text;
    const char *next_section;

    (void)state;
    PRINTED(text, report_session_markdown(out, night, NULL));
    hold_print("session-hour", text);
    assert_non_null(strstr(text, "# Lunar eclipse of 2028-12-31, total\n"));
    assert_non_null(strstr(text, "| partial | 15:07:42 | 16:16:27 | - | 1/500 s, ISO 100 to 1/60 s, "
                                 "ISO 400, 1 change; advised only | - |"));
    next_section = line_after(text, "## Gaps\n", "\n## ");
    assert_true(line_after(text, "## Gaps\n", "asleep or closed for 1:10") < next_section);
    assert_true(line_after(text, "## Gaps\n", "setup: umbra L 1") > next_section);
    (void)line_after(text, "## Missed\n", "re-aim of long");
    (void)line_after(text, "## Aims and alarms\n", "(partial, umbral magnitude 0.0");
    (void)line_after(text, "## Notes\n", "thin \\| cloud, \"high\"");
    (void)line_after(text, "## Air and cloud\n", "air -14.0 C, 80 %");
    (void)line_after(text, "air -14.0 C, 80 %", "air -15.0 C, 81 %");
    (void)line_after(text, "air -15.0 C, 81 %", "forecast");
    (void)line_after(text, "## What was changed\n", "setup: umbra L 1");
    (void)line_after(text, "setup: umbra L 1", "umbra rated L 2.0 (undone)");
    (void)line_after(text, "## Checklist\n", "put off 10 min");
    (void)line_after(text, "put off 10 min", "already past, counted as done");
    (void)line_after(text, "already past, counted as done", "to do: Move the car");
    (void)line_after(text, "## Frames, batteries and cards\n", "None.");
    free(text);
    demo_free(night);
}

/* ---- CSV ---- */

/* One row by the room's reader; number of fields, 0 at the end. */
enum { FIELDS_MOST = 16, FIELD_BYTES = 256 };
static int read_row(struct csv_reader *reader, char fields[FIELDS_MOST][FIELD_BYTES])
{
    struct fault fault = {""};
    int count = 0, end;

    do {
        assert_true(count < FIELDS_MOST);
        end = csv_read(reader, fields[count++], FIELD_BYTES, &fault);
        if (end == CSV_FAULT)
            fail_msg("%s", fault.text);
    } while (end == ',');
    return end == EOF ? 0 : count;
}

/* The examples of RFC 4180, section 2, items 5 to 7. */
static void quoting_is_that_of_the_rfc(void **state)
{
    char *text;
    struct csv csv;

    (void)state;
    {
        FILE *out = page_open(&text);

        csv = (struct csv){.out = out};
        csv_text(&csv, "aaa");
        csv_text(&csv, "b \r\nbb");
        csv_text(&csv, "b\"bb");
        csv_text(&csv, "");
        csv_number(&csv, NAN, 2);
        csv_number(&csv, -1.5, 2);
        csv_end(&csv);
        csv_text(&csv, "c,c");
        csv_end(&csv);
        assert_int_equal(fclose(out), 0);
    }
    assert_string_equal(text, "aaa,\"b \r\nbb\",\"b\"\"bb\",,,-1.50\r\n\"c,c\"\r\n");
    free(text);
}

static void csv_comes_back_as_it_went(void **state)
{
    struct night *night = busy_night();
    char fields[FIELDS_MOST][FIELD_BYTES];
    char *text;
    FILE *in;
    struct csv_reader reader;
    size_t rows = 0;
    int count;

    (void)state;
    PRINTED(text, report_session_csv(out, night, NULL));
    in = fmemopen(text, strlen(text), "r");
    assert_non_null(in);
    reader = (struct csv_reader){.in = in, .line = 1, .column = 1};
    assert_int_equal(read_row(&reader, fields), 11);
    assert_string_equal(fields[4], "what");
    while ((count = read_row(&reader, fields)) > 0) {
        const struct act *act = &night->acts[rows++];
        char what[FIELD_BYTES];
        double value;

        assert_int_equal(count, 11);
        assert_int_equal(parse_number(fields[0], 0, 1e6, &value, NULL), 0);
        assert_true(value == (double)act->seq);
        assert_int_equal(parse_instant(fields[1], &value, NULL), 0);
        assert_true(fabs(value - act->utc) <= 0.001);
        assert_string_equal(fields[2], act_form(act->kind)->name);
        act_words(night, act, NULL, what, sizeof what);
        assert_string_equal(fields[4], what);
        assert_string_equal(fields[10], act->kind == ACT_SETTING ? "no" : "");
        assert_int_equal(parse_number(fields[7], -200, 3, &value, NULL), 0);
    }
    assert_int_equal((int)rows, (int)night->act_count);
    (void)fclose(in);
    free(text);
    demo_free(night);
}

/* Hours and units of the setup are for people. */
static void tools_read_utc_and_celsius(void **state)
{
    struct night *night = busy_night();
    char *text;

    (void)state;
    night->setup.hours = HOURS_12;
    night->setup.units = UNITS_IMPERIAL;
    PRINTED(text, report_session_csv(out, night, NULL));
    hold_print("session-hour-csv", text);
    assert_non_null(strstr(text, "\"air -14.0 C, 80 %\""));
    assert_non_null(strstr(text, "\"forecast for 2028-12-31T16:16:27Z: cloud 40 %"));
    free(text);
    PRINTED(text, report_session_json(out, night, NULL));
    assert_non_null(strstr(text, "\"air -14.0 C, 80 %\""));
    assert_non_null(strstr(text, "\"forecast for 2028-12-31T16:16:27Z: cloud 40 %"));
    free(text);
    PRINTED(text, report_session_markdown(out, night, NULL));
    hold_print("session-hour-imperial", text);
    assert_non_null(strstr(text, "air 6.8 F, 80 %"));
    assert_non_null(strstr(text, "forecast for 09:16pm +05: cloud 40 %"));
    free(text);
    demo_free(night);
}

static void what_was_done_on_another_day_has_its_day(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct act note = {.kind = ACT_NOTE, .rig = -1, .text = "tape"};
    char *text;

    (void)state;
    assert_int_equal(parse_instant("2027-11-14T17:31:26Z", &note.utc, NULL), 0);
    demo_apply(night, note);
    assert_int_equal(parse_instant("2028-12-31T17:31:26Z", &note.utc, NULL), 0);
    demo_apply(night, note);
    PRINTED(text, report_session_markdown(out, night, NULL));
    assert_non_null(strstr(text, "- 2027-11-14 17:31:26 note: tape\n"));
    assert_non_null(strstr(text, "- 17:31:26 (partial, "));
    free(text);
    demo_free(night);
}

static void a_full_disk_is_told(void **state)
{
    struct night *night = busy_night();

    (void)state;
    REFUSED_BY_FULL_DISK(report_session_json(out, night, NULL));
    REFUSED_BY_FULL_DISK(report_session_csv(out, night, NULL));
    REFUSED_BY_FULL_DISK(report_session_markdown(out, night, NULL));
    demo_free(night);
}

/* ---- pictures ---- */

static struct fault refused;

static void keep_refused(const struct fault *fault)
{
    refused = *fault;
}

static int read_pictures(const struct night *night, const char *rows, struct pictures *pictures,
                         struct fault *fault)
{
    FILE *in = fmemopen((void *)(uintptr_t)rows, strlen(rows), "r");
    int result;

    assert_non_null(in);
    refused = (struct fault){""};
    *pictures = (struct pictures){.refuse = keep_refused};
    result = pictures_read(in, "list.csv", night, pictures, fault);
    (void)fclose(in);
    return result;
}

/* As spreadsheets write them; and a name may begin with a character that begins like the mark. */
static void a_list_may_have_a_byte_order_mark(void **state)
{
    static const char *const lists[] = {
        "\xef\xbb\xbfname,time\r\nIMG_1.CR3,2028-12-31T15:30:00Z\r\n",
        "\xef\xbb\xbf\"name\",\"time\"\r\n\"IMG_1.CR3\",\"2028-12-31T15:30:00Z\"\r\n",
        "\xef\xbb\xbfIMG_1.CR3,2028-12-31T15:30:00Z",
    };
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};

    (void)state;
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        if (read_pictures(night, lists[i], &pictures, &fault) != 0)
            fail_msg("%s", fault.text);
        assert_int_equal(pictures.count, 1);
        assert_string_equal(pictures.item[0].name, "IMG_1.CR3");
        pictures_free(&pictures);
    }
    if (read_pictures(night, "\xef\xbb\xa1.CR3,2028-12-31T15:30:00Z", &pictures, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_string_equal(pictures.item[0].name, "\xef\xbb\xa1.CR3");
    pictures_free(&pictures);
    assert_int_equal(read_pictures(night, "\xef\xbb", &pictures, &fault), 0);
    assert_int_equal((int)pictures.refused, 1);
    pictures_free(&pictures);
    assert_int_equal(read_pictures(night, "\xef\xbb\xbf", &pictures, &fault), 0);
    assert_int_equal(pictures.count, 0);
    demo_free(night);
}

static void pictures_are_read_quoted_or_not(void **state)
{
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};

    (void)state;
    assert_int_equal(read_pictures(night,
                                   "name,time,rig\r\n"
                                   "IMG_1.CR3,2028-12-31T20:30:00,long\r\n"
                                   "\r\n"
                                   "\"a, \"\"b\"\".NEF\",2028-12-31T15:30:00Z\n"
                                   "c.ARW,2028-12-31T15:30:00.25Z,\n"
                                   "d.ARW,2028-12-31T15:31:00,wide",
                                   &pictures, &fault),
                     0);
    assert_int_equal((int)pictures.count, 4);
    assert_string_equal(pictures.item[0].name, "IMG_1.CR3");
    assert_int_equal(pictures.item[0].rig, 1);
    assert_false(pictures.item[0].is_utc);
    assert_string_equal(pictures.item[1].name, "a, \"b\".NEF");
    assert_int_equal(pictures.item[1].rig, -1);
    assert_true(pictures.item[1].is_utc);
    assert_int_equal(pictures.item[2].rig, -1);
    assert_int_equal(pictures.item[3].rig, 0);
    pictures_free(&pictures);
    demo_free(night);
}

static void many_pictures_are_read(void **state)
{
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};
    char *rows = NULL;
    size_t size;
    FILE *out = open_memstream(&rows, &size);

    (void)state;
    assert_non_null(out);
    for (int i = 0; i < 5000; i++)
        fprintf(out, "IMG_%04d.CR3,2028-12-31T20:%02d:%02d,long\n", i, i / 60 % 60, i % 60);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(read_pictures(night, rows, &pictures, &fault), 0);
    assert_int_equal((int)pictures.count, 5000);
    assert_string_equal(pictures.item[4999].name, "IMG_4999.CR3");
    pictures_free(&pictures);
    free(rows);
    demo_free(night);
}

static void a_bad_row_is_named_with_line_and_column(void **state)
{
    struct night *night = busy_night();
    static const struct {
        const char *rows, *place, *part;
    } cases[] = {
        {"a.CR3\n", "list.csv:1:1: ", "only one field"},
        {"name,time\na.CR3,2028-12-31 20:30:60\n", "list.csv:2:7: ", "2028-12-31 20:30:60"},
        {"a.CR3,2028-12-31T20:30:00,tele\n", "list.csv:1:27: ", "wide, long, telescope"},
        {"\"a.CR3,2028-12-31T20:30:00\n", "list.csv:1:1: ", "never closed"},
        {"a\"b.CR3,2028-12-31T20:30:00\n", "list.csv:1:1: ", "quote"},
        {"\"a\"b,2028-12-31T20:30:00\n", "list.csv:1:1: ", "quote"},
        {"\"a\nb\",2028-12-31T20:30:00\n", "list.csv:1:1: ", "control"},
        {"\xff.CR3,2028-12-31T20:30:00\n", "list.csv:1:1: ", "UTF-8"},
        {",2028-12-31T20:30:00\n", "list.csv:1:1: ", "empty"},
        {"a.CR3,\n", "list.csv:1:7: ", "not a time"},
        {"a.CR3,1850-12-31T20:30:00\n", "list.csv:1:7: ", "1900 to 2100"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct pictures pictures;
        struct fault fault = {""};

        assert_int_equal(read_pictures(night, cases[i].rows, &pictures, &fault), 0);
        assert_int_equal((int)pictures.count, 0);
        assert_int_equal((int)pictures.refused, 1);
        if (strncmp(refused.text, cases[i].place, strlen(cases[i].place)) != 0 ||
            !strstr(refused.text, cases[i].part))
            fail_msg("'%s' where '%s%s' was looked for", refused.text, cases[i].place,
                     cases[i].part);
        pictures_free(&pictures);
    }
    demo_free(night);
}

/* As picture tools print them: with names of columns or without, parted by whatever, dates with colons,
 * offsets, fractions; what is not known is passed on, a row that cannot be read left out. */
static void tables_of_picture_tools_are_read(void **state)
{
    static const char *const tables[] = {
        "SourceFile;Date/Time Original;Exposure Time;ISO;Lens;Rig\n"
        "a.NEF;2028:12:31 20:30:00.25+05:00;1/500;400;Big one;long\n",
        "Lens\tISO\tFile Name\tShutter Speed\tDate\tTime\tOffset Time Original\tRig\n"
        "Big one\t400\ta.NEF\t0.002\t2028-12-31\t20:30:00.25\t+05:00\tlong\n",
        "\"File Name\",\"Exposure\",\"Lens\",\"CreateDate\",\"ISO\",\"rig\"\r\n"
        "\"a.NEF\",\"1/500 s\",\"Big one\",\"2028-12-31T20:30:00.25+0500\",\"400\",\"long\"\r\n",
    };
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};
    double utc;

    (void)state;
    assert_int_equal(parse_instant("2028-12-31T20:30:00.25Z", &utc, NULL), 0);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        assert_int_equal(read_pictures(night, tables[i], &pictures, &fault), 0);
        if (pictures.count != 1)
            fail_msg("table %zu: %s", i, refused.text);
        assert_string_equal(pictures.item[0].name, "a.NEF");
        assert_near(pictures.item[0].time, utc, 0.001);
        assert_near(pictures.item[0].offset_min, 300, 0);
        assert_near(pictures.item[0].shutter_s, 0.002, 1e-9);
        assert_near(pictures.item[0].iso, 400, 0);
        assert_int_equal(pictures.item[0].rig, 1);
        assert_int_equal(pictures.columns, 1);
        assert_string_equal(pictures.column_names, "Lens");
        assert_string_equal(pictures.item[0].carried, "Big one");
        pictures_free(&pictures);
    }
    /* An offset ends where its minutes do. */
    assert_int_equal(
        read_pictures(night, "a.NEF,2028:12:31 20:30:00+05:0x,long,x\n", &pictures, &fault), 0);
    assert_int_equal((int)pictures.refused, 1);
    pictures_free(&pictures);
    /* Two that cannot be read between two that can; out of order is no matter. */
    assert_int_equal(read_pictures(night,
                                   "c.NEF,2028:12:31 21:00:00,long,x\n"
                                   "b.NEF,yesterday,long,x\n"
                                   "\"a.NEF,2028:12:31 20:00:00\"y,long,x\n"
                                   "a.NEF,2028:12:31 20:00:00,long,x\n",
                                   &pictures, &fault),
                     0);
    assert_int_equal((int)pictures.count, 2);
    assert_int_equal((int)pictures.refused, 2);
    assert_string_equal(pictures.column_names, "column_4");
    assert_string_equal(pictures.item[1].carried, "x");
    pictures_free(&pictures);
    demo_free(night);
}

/* Frames every five minutes: those nearest to the contacts, and a chain that meets greatest. */
static void frames_are_picked(void **state)
{
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};
    double greatest = night->contact_utc[CONTACT_GREATEST];
    char *rows = NULL, name[ORDERED_NAME];
    size_t size;
    FILE *out = open_memstream(&rows, &size);

    (void)state;
    assert_non_null(out);
    for (int i = 0; i < 120; i++) {
        char iso[TEXT_INSTANT];

        fprintf(out, "IMG_%04d.CR3,%s,%s\n", i,
                format_iso(iso, greatest + 300 * (i - 60) + 7, 0, "Z"), i % 2 ? "wide" : "long");
    }
    assert_int_equal(fclose(out), 0);
    assert_int_equal(read_pictures(night, rows, &pictures, &fault), 0);
    assert_int_equal(pictures_pick(&pictures, night, "chain=20min", &fault), 0);
    /* Ten hours in steps of twenty minutes; the wide rig's are five minutes off. */
    assert_in_range(pictures.count, 2 * 29, 2 * 31);
    for (size_t i = 0; i < pictures.count; i++) {
        double steps = (pictures.item[i].utc - greatest) / 1200;

        assert_true(fabs(steps - round(steps)) * 1200 < (fabs(steps) < 14 ? 308 : 601));
        assert_true(i == 0 || pictures.item[i].utc >= pictures.item[i - 1].utc);
    }
    pictures_free(&pictures);
    assert_int_equal(read_pictures(night, rows, &pictures, &fault), 0);
    assert_int_equal(pictures_pick(&pictures, night, "contacts", &fault), 0);
    assert_int_equal((int)pictures.count, 14);
    for (size_t i = 0; i < pictures.count; i++) {
        double nearest = INFINITY;

        for (int c = 0; c < CONTACT_COUNT; c++)
            nearest = fmin(nearest, fabs(pictures.item[i].utc - night->contact_utc[c]));
        assert_true(nearest <= 300);
    }
    /* The first is the frame at P1, which is before or after it. */
    (void)picture_ordered_name(night, &pictures.item[0], name);
    if (!strstr(name, "_P1_") && !strstr(name, "_before_"))
        fail_msg("%s", name);
    assert_non_null(strstr(name, "2028-12-31T"));
    assert_null(strchr(name, ':'));
    assert_string_equal(strrchr(name, '.'), ".CR3");
    pictures_free(&pictures);
    assert_int_equal(read_pictures(night, rows, &pictures, &fault), 0);
    assert_int_equal(pictures_pick(&pictures, night, "chain=often", &fault), -1);
    assert_int_equal(pictures_pick(&pictures, night, "chain=0s", &fault), -1);
    assert_int_equal(pictures_pick(&pictures, night, "chain=0.9s", &fault), -1);
    assert_int_equal(pictures_pick(&pictures, night, "chain=24.5h", &fault), -1);
    assert_int_equal((int)pictures.count, 120);
    pictures_free(&pictures);
    free(rows);
    demo_free(night);
}

static void a_name_that_is_too_long_is_refused(void **state)
{
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};
    char rows[PICTURE_NAME + 64];

    (void)state;
    (void)snprintf(rows, sizeof rows, "%0*d,2028-12-31T20:30:00\n", PICTURE_NAME, 1);
    assert_int_equal(read_pictures(night, rows, &pictures, &fault), 0);
    assert_non_null(strstr(refused.text, "list.csv:1:1: a field is too long"));
    pictures_free(&pictures);
    demo_free(night);
}

/* The camera of the long rig was five hours and three seconds ahead of UTC. */
static const char three_pictures[] = "early.CR3,2028-12-31T19:00:00,long\n"
                                     "a.CR3,2028-12-31T20:20:03,long\n"
                                     "b.CR3,2028-12-31T15:20:00Z,long\n"
                                     "c.CR3,2028-12-31T15:20:00,wide\n";

static void pictures_are_answered_by_what_was_so_then(void **state)
{
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};
    struct circumstances at;
    double utc;
    char *text;
    cJSON *root;
    const cJSON *early, *a, *b, *c;

    (void)state;
    assert_int_equal(read_pictures(night, three_pictures, &pictures, &fault), 0);
    PRINTED(text, report_pictures_json(out, night, &pictures));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    assert_int_equal(cJSON_GetArraySize(root), 4);
    early = root->child, a = early->next, b = a->next, c = b->next;

    assert_int_equal(parse_instant("2028-12-31T15:20:00Z", &utc, NULL), 0);
    circumstances_at(night, utc, &at);
    assert_true(instant(a, "utc") == utc && instant(b, "utc") == utc && instant(c, "utc") == utc);
    assert_string_equal(text_of(a, "clock"), "corrected");
    assert_string_equal(text_of(b, "clock"), "utc");
    assert_string_equal(text_of(c, "clock"), "uncorrected");
    assert_string_equal(text_of(a, "phase"), "partial");
    assert_true(fabs(number(a, "umbral_magnitude") - at.umbral_magnitude) <= 0.000005);
    assert_true(fabs(number(a, "moon_altitude_deg") - deg_from_rad(at.moon_altitude_rad)) <=
                0.00001);
    assert_string_equal(text_of(a, "shutter"), "1/60");
    assert_int_equal((int)number(a, "iso"), 400);
    assert_string_equal(text_of(a, "target"), "lit");
    /* Nothing was set yet, and nothing is known of the other rig. */
    assert_string_equal(text_of(early, "phase"), "none");
    assert_false(has(early, "shutter"));
    assert_false(has(c, "shutter"));
    cJSON_Delete(root);
    pictures_free(&pictures);
    demo_free(night);
}

static void pictures_as_csv_say_the_same(void **state)
{
    struct night *night = busy_night();
    char fields[FIELDS_MOST][FIELD_BYTES];
    struct pictures pictures;
    struct fault fault = {""};
    struct csv_reader reader;
    char *text;
    FILE *in;

    (void)state;
    assert_int_equal(read_pictures(night, three_pictures, &pictures, &fault), 0);
    PRINTED(text, report_pictures_csv(out, night, &pictures));
    in = fmemopen(text, strlen(text), "r");
    assert_non_null(in);
    reader = (struct csv_reader){.in = in, .line = 1, .column = 1};
    assert_int_equal(read_row(&reader, fields), 12);
    assert_string_equal(fields[8], "shutter");
    assert_int_equal(read_row(&reader, fields), 12);
    assert_string_equal(fields[0], "early.CR3");
    assert_string_equal(fields[8], "");
    assert_string_equal(fields[9], "");
    assert_int_equal(read_row(&reader, fields), 12);
    assert_string_equal(fields[11], "advised");
    assert_string_equal(fields[1], "long");
    assert_string_equal(fields[2], "2028-12-31T15:20:00.000Z");
    assert_string_equal(fields[3], "corrected");
    assert_string_equal(fields[4], "partial");
    assert_string_equal(fields[8], "1/60");
    assert_string_equal(fields[9], "400");
    (void)fclose(in);
    free(text);
    REFUSED_BY_FULL_DISK(report_pictures_csv(out, night, &pictures));
    REFUSED_BY_FULL_DISK(report_pictures_json(out, night, &pictures));
    pictures_free(&pictures);
    demo_free(night);
}

/* In a gap and after the record's end nobody knows what the camera was set to; a sign of life after
 * the last act carries the record on. */
static void holes_in_the_record_have_no_setting(void **state)
{
    struct night *night = busy_night();
    double u1 = night->contact_utc[CONTACT_U1], u2 = night->contact_utc[CONTACT_U2];
    char *text;

    (void)state;
    assert_non_null(setting_at(night, 1, u1 + 925));
    assert_null(setting_at(night, 1, u1 + 950));
    assert_non_null(setting_at(night, 1, u1 + 1001));
    assert_non_null(setting_at(night, 1, u2 + 20));
    assert_null(setting_at(night, 1, u2 + 21));
    PRINTED(text, report_session_markdown(out, night, NULL));
    (void)line_after(text, "| total | ", " | - | 1/60 s, ISO 400; advised only | - |\n| partial | ");
    (void)line_after(text, "\n| partial | 17:", " | - | - | - |\n");
    (void)line_after(text, "## Gaps\n", "the record ends: no setting is known from here to P4 at ");
    free(text);
    night->alive_utc = u2 + 60;
    assert_non_null(setting_at(night, 1, u2 + 60));
    assert_null(setting_at(night, 1, u2 + 61));
    night->alive_utc = night->contact_utc[CONTACT_P4];
    PRINTED(text, report_session_markdown(out, night, NULL));
    assert_null(strstr(text, "the record ends"));
    free(text);
    demo_free(night);
}

/* Nobody turns a dial when only the target changes: that is no change, and what confirms one of the two
 * confirms the other. */
static void another_target_is_no_change_of_setting(void **state)
{
    struct night *night = busy_night();
    double u1 = night->contact_utc[CONTACT_U1];
    struct act umbra = {.kind = ACT_SETTING, .rig = 1};
    struct pictures pictures;
    char *text;

    (void)state;
    memcpy(umbra.value, setting_at(night, 1, u1 + 700)->value, sizeof umbra.value);
    umbra.utc = u1 + 1200;
    umbra.value[2] = TARGET_UMBRA;
    demo_apply(night, umbra);
    demo_apply(night, (struct act){.utc = u1 + 1300, .kind = ACT_FRAME, .rig = 1});
    PRINTED(text, report_session_markdown(out, night, NULL));
    (void)line_after(text, "## Phases and settings\n",
                     "1/500 s, ISO 100 to 1/60 s, ISO 400, 1 change; 1 of 2 confirmed |");
    (void)line_after(text, "## Settings\n", "1/60 s, ISO 400 for the sunlit part (confirmed by you)");
    (void)line_after(text, "## Settings\n", "1/60 s, ISO 400 for the umbra (confirmed by you)");
    free(text);
    assert_int_equal(
        read_pictures(night, "file,time,rig,exposure,iso\na,2028-12-31T15:28:30Z,long,,\n", &pictures, NULL), 0);
    PRINTED(text, report_pictures_csv(out, night, &pictures));
    assert_non_null(strstr(text, ",1/60,400,umbra,confirmed\r\n"));
    free(text);
    pictures_free(&pictures);
    demo_free(night);
}

/* What the pictures show counts more than what the user did, and both more than advice. */
static void settings_are_advised_or_confirmed(void **state)
{
    struct night *night = busy_night();
    struct pictures pictures;
    struct fault fault = {""};
    char *text;
    cJSON *root;
    const cJSON *settings;

    (void)state;
    /* The second setting of long begins at 15:17:42; its clock is 18003 s ahead. */
    assert_int_equal(read_pictures(night,
                                   "file,time,rig,exposure,iso\n"
                                   "a,2028-12-31T15:09:00Z,long,1/250,100\n"
                                   "b,2028-12-31T15:18:00Z,long,1/60,400\n"
                                   "c,2028-12-31T15:18:10Z,long,0.0166667,400\n"
                                   "d,2028-12-31T15:18:20Z,long,1/30,400\n"
                                   "h,2028-12-31T15:18:30Z,long,1/90,500\n"
                                   "e,2028-12-31T15:10:00Z,long,,\n"
                                   "f,2028-12-31T15:19:00Z,long,,\n"
                                   "g,2028-12-31T15:19:00Z,wide,1/60,400\n",
                                   &pictures, &fault),
                     0);
    PRINTED(text, report_session_markdown(out, night, &pictures));
    hold_print("session-pictures", text);
    (void)line_after(text, "## Phases and settings\n",
                     "1/500 s, ISO 100 to 1/60 s, ISO 400, 1 change; 1 of 2 confirmed |");
    (void)line_after(text, "## Settings\n",
                     "1/500 s, ISO 100 for the sunlit part (advised only; 1 picture differs)\n");
    (void)line_after(text, "## Settings\n", "1/60 s, ISO 400 for the sunlit part (confirmed by 3 "
                     "pictures, 1 of them within tolerance; 1 picture differs)\n");
    free(text);
    PRINTED(text, report_pictures_csv(out, night, &pictures));
    assert_non_null(strstr(text, ",1/500,100,lit,advised\r\nf,"));
    assert_non_null(strstr(text, ",1/60,400,lit,confirmed\r\ng,"));
    assert_non_null(strstr(text, ",1/30,400,lit,taken\r\n"));
    free(text);
    /* A frame by hand: the setting was dialled. */
    demo_apply(night, (struct act){.utc = night->contact_utc[CONTACT_U2] + 30,
                                   .kind = ACT_FRAME,
                                   .rig = 1});
    PRINTED(text, report_session_json(out, night, NULL));
    root = json_parse(text);
    free(text);
    settings = member(cJSON_GetArrayItem(
                          member(member(root, "phases")->child->next, "rigs"), 1),
                      "settings");
    assert_string_equal(text_of(settings->child, "confirmed"), "no");
    assert_string_equal(text_of(settings->child->next, "confirmed"), "user");
    assert_false(has(settings->child->next, "pictures_same"));
    cJSON_Delete(root);
    PRINTED(text, report_session_json(out, night, &pictures));
    hold_print("session-pictures-json", text);
    root = json_parse(text);
    free(text);
    settings = act_of(root, "setting");
    assert_string_equal(text_of(settings, "confirmed"), "no");
    assert_int_equal((int)number(settings, "pictures_other"), 1);
    settings = member(cJSON_GetArrayItem(
                          member(member(root, "phases")->child->next, "rigs"), 1),
                      "settings")->child->next;
    assert_string_equal(text_of(settings, "confirmed"), "pictures");
    assert_int_equal((int)number(settings, "pictures_same"), 2);
    assert_int_equal((int)number(settings, "pictures_near"), 1);
    assert_int_equal((int)number(settings, "pictures_other"), 1);
    cJSON_Delete(root);
    PRINTED(text, report_session_csv(out, night, &pictures));
    assert_int_equal(count_of(text, ",no\r\n"), 1);
    assert_int_equal(count_of(text, ",pictures\r\n"), 1);
    free(text);
    PRINTED(text, report_session_csv(out, night, NULL));
    assert_int_equal(count_of(text, ",user\r\n"), 1);
    free(text);
    /* A round that is done: the setting just before it was dialled. */
    demo_apply(night, (struct act){.utc = night->contact_utc[CONTACT_U2] + 60,
                                   .kind = ACT_SETTING,
                                   .rig = 0,
                                   .value = {shutter_index(1), iso_index(800), TARGET_UMBRA}});
    PRINTED(text, report_session_csv(out, night, NULL));
    assert_int_equal(count_of(text, ",user\r\n"), 1);
    free(text);
    demo_apply(night, (struct act){.utc = night->contact_utc[CONTACT_U2] + 60,
                                   .kind = ACT_ROUND,
                                   .rig = -1,
                                   .value = {night->contact_utc[CONTACT_U2], 1}});
    PRINTED(text, report_session_csv(out, night, NULL));
    assert_int_equal(count_of(text, ",user\r\n"), 2);
    free(text);
    pictures_free(&pictures);
    demo_free(night);
}

static void with_one_rig_a_picture_is_of_that_rig(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    struct pictures pictures;
    struct fault fault = {""};

    (void)state;
    setup->rig_count = 1;
    night = demo_night(setup, "2028-12-31");
    assert_int_equal(read_pictures(night, "a,2028-12-31T15:20:00\n", &pictures, &fault), 0);
    assert_int_equal(pictures.item[0].rig, 0);
    pictures_free(&pictures);
    demo_free(night);
}

/* ---- a record of many acts ---- */

static struct night *many_acts(int count)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    double p1 = night->contact_utc[CONTACT_P1];

    for (int i = 1; i <= count; i++) {
        struct act act = {.utc = p1 + 0.1 * i, .boot_s = NAN, .kind = ACT_NOTE, .rig = -1};

        if (i % 5 == 1)
            act.kind = ACT_SETTING;
        else if (i % 5 == 2)
            act.kind = ACT_GAP;
        else if (i % 5 == 3)
            act.kind = ACT_FRAME;
        act.rig = act.kind == ACT_SETTING || act.kind == ACT_FRAME ? i % 3 : -1;
        if (act.kind == ACT_GAP)
            act.value[0] = act.value[1] = act.utc;
        (void)snprintf(act.text, sizeof act.text, "note");
        if (i % 5 == 0) {
            act.kind = ACT_UNDO;
            act.ref = (uint64_t)i - 2;
        }
        assert_int_equal(night_replay(night, &act, NULL), 0);
    }
    night_follow(night, night->contact_utc[CONTACT_GREATEST]);
    return night;
}

static double report_s(int count)
{
    struct night *night = many_acts(count);
    double best = INFINITY;

    for (int turn = QUICK ? 1 : 0; turn < 3; turn++) {
        FILE *out = fopen("/dev/null", "w");
        clock_t start = clock();

        assert_non_null(out);
        assert_int_equal(report_session_markdown(out, night, NULL), 0);
        assert_int_equal(report_session_json(out, night, NULL), 0);
        best = fmin(best, (double)(clock() - start) / CLOCKS_PER_SEC);
        assert_int_equal(fclose(out), 0);
    }
    demo_free(night);
    return best;
}

/* Four times the acts take four times as long; looking through all of them at each note it would be
 * sixteen. */
static void a_long_record_is_told_in_linear_time(void **state)
{
    double some = report_s(5000), more = report_s(20000);

    (void)state;
    print_message("5,000 acts in %.0f ms, 20,000 in %.0f ms\n", some * 1e3, more * 1e3);
    assert_true(more < 8 * some);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_has_every_act_with_its_circumstances),
        cmocka_unit_test(json_tells_what_each_rig_was_set_to_in_each_phase),
        cmocka_unit_test(notes_have_settings_and_cameras_their_clocks),
        cmocka_unit_test(markdown_has_its_sections_in_order),
        cmocka_unit_test(quoting_is_that_of_the_rfc),
        cmocka_unit_test(csv_comes_back_as_it_went),
        cmocka_unit_test(tools_read_utc_and_celsius),
        cmocka_unit_test(what_was_done_on_another_day_has_its_day),
        cmocka_unit_test(a_full_disk_is_told),
        cmocka_unit_test(a_list_may_have_a_byte_order_mark),
        cmocka_unit_test(pictures_are_read_quoted_or_not),
        cmocka_unit_test(many_pictures_are_read),
        cmocka_unit_test(a_bad_row_is_named_with_line_and_column),
        cmocka_unit_test(tables_of_picture_tools_are_read),
        cmocka_unit_test(frames_are_picked),
        cmocka_unit_test(a_name_that_is_too_long_is_refused),
        cmocka_unit_test(pictures_are_answered_by_what_was_so_then),
        cmocka_unit_test(pictures_as_csv_say_the_same),
        cmocka_unit_test(holes_in_the_record_have_no_setting),
        cmocka_unit_test(with_one_rig_a_picture_is_of_that_rig),
        cmocka_unit_test(another_target_is_no_change_of_setting),
        cmocka_unit_test(settings_are_advised_or_confirmed),
        cmocka_unit_test(a_long_record_is_told_in_linear_time),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
