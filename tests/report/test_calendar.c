/* The calendar: the rules of RFC 5545 line by line, and what an independent parser reads in it. */
#include "demo.h"

#include <moonstand/report.h>

/* The parser's package, python3-icalendar, belongs to the system's own interpreter. */
#define READER "/usr/bin/python3 " TEST_DATA "/../report/read_calendar.py"
#define STAMP_UTC 1790000000.0

static char *calendar_of(const struct night *night, double stamp_utc)
{
    char *text;

    PRINTED(text, report_calendar(out, night, stamp_utc));
    return text;
}

/* RFC 5545, 3.1: lines end in CRLF and have at most 75 octets without it; a continued one begins
 * with a space; no character of UTF-8 is torn. */
static void lines_are_folded_as_the_rfc_has_it(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    char *text;
    int folded = 0;

    (void)state;
    for (int i = 0; i < 40; i++)
        (void)snprintf(setup->checklist.item[i].text, CHECK_TEXT, "%.*s%s", i,
                       "0123456789012345678901234567890123456789",
                       "long enough \\ to be folded, \xe2\x82\xac\xf0\x9f\x8c\x95\xe2\x82\xac\xf0\x9f\x8c\x95"
                       "\xc3\xa4\xc3\xb6\xe2\x82\xac\xf0\x9f\x8c\x95");
    night = demo_night(setup, "2028-12-31");
    text = calendar_of(night, STAMP_UTC);
    for (char *line = text, *next; *line; line = next) {
        char *end = strstr(line, "\r\n");

        assert_non_null(end);
        next = end + 2;
        *end = '\0';
        assert_true(strlen(line) <= 75);
        assert_true(strlen(line) > 0);
        assert_true(text_is_clean(line));
        folded += *line == ' ';
    }
    assert_true(folded > 40);
    free(text);
    demo_free(night);
}

static int count_lines_with(const char *text, const char *beginning)
{
    int count = strncmp(text, beginning, strlen(beginning)) == 0;

    for (const char *at = text; (at = strstr(at, "\r\n")) != NULL;) {
        at += 2;
        count += strncmp(at, beginning, strlen(beginning)) == 0;
    }
    return count;
}

static void components_are_balanced_and_have_what_they_must(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    char *text = calendar_of(night, STAMP_UTC);
    int events = count_lines_with(text, "BEGIN:VEVENT");

    (void)state;
    assert_int_equal(count_lines_with(text, "BEGIN:VCALENDAR"), 1);
    assert_int_equal(count_lines_with(text, "END:VCALENDAR"), 1);
    assert_int_equal(count_lines_with(text, "VERSION:2.0"), 1);
    assert_int_equal(count_lines_with(text, "PRODID:"), 1);
    assert_int_equal(count_lines_with(text, "END:VEVENT"), events);
    assert_int_equal(count_lines_with(text, "UID:"), events);
    assert_int_equal(count_lines_with(text, "DTSTAMP:20260921T141320Z"), events);
    assert_int_equal(count_lines_with(text, "DTSTART:"), events);
    assert_int_equal(count_lines_with(text, "TRIGGER:"), events);
    free(text);
    demo_free(night);
}

/* ---- the independent parser ---- */

enum { EVENTS_MOST = 160, FIELD = 512 };
struct event {
    char uid[FIELD], summary[FIELD], description[FIELD], location[FIELD];
    double start, stamp;
    int alarm_s;
};

static char *cut(char **rest)
{
    char *field = *rest;
    char *end = field + strcspn(field, "\t\n");

    *rest = *end ? end + 1 : end;
    *end = '\0';
    return field;
}

static void copy_field(char out[FIELD], const char *field)
{
    assert_true(strlen(field) < FIELD);
    (void)memcpy(out, field, strlen(field) + 1);
}

static void event_from(char *line, struct event *event)
{
    copy_field(event->uid, cut(&line));
    assert_int_equal(parse_instant(cut(&line), &event->start, NULL), 0);
    assert_int_equal(parse_instant(cut(&line), &event->stamp, NULL), 0);
    event->alarm_s = (int)strtol(cut(&line), NULL, 10);
    copy_field(event->summary, cut(&line));
    copy_field(event->description, cut(&line));
    copy_field(event->location, cut(&line));
}

static int read_back(const struct night *night, double stamp_utc, struct event *events)
{
    FILE *calendar = tmpfile(), *reader;
    char command[512], line[4 * FIELD];
    int count = 0;

    assert_non_null(calendar);
    assert_int_equal(report_calendar(calendar, night, stamp_utc), 0);
    (void)snprintf(command, sizeof command, "%s /dev/fd/%d", READER, fileno(calendar));
    reader = popen(command, "r");
    assert_non_null(reader);
    while (count < EVENTS_MOST && fgets(line, sizeof line, reader))
        event_from(line, &events[count++]);
    if (pclose(reader) != 0)
        fail_msg("the parser refused the calendar, or python3-icalendar is not installed");
    (void)fclose(calendar);
    return count;
}

static const struct event *event_by(const struct event *events, int count, const char *uid)
{
    for (int i = 0; i < count; i++)
        if (strcmp(events[i].uid, uid) == 0)
            return &events[i];
    fail_msg("no event '%s'", uid);
    return NULL;
}

static struct event events[EVENTS_MOST], again[EVENTS_MOST];

static void a_parser_finds_every_contact_at_its_time(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    int count = read_back(night, STAMP_UTC, events);

    (void)state;
    for (int i = 0; i < CONTACT_COUNT; i++) {
        char uid[64];
        const struct event *event;

        (void)snprintf(uid, sizeof uid, "2028-12-31-%s@moonstand", contact_name((enum contact)i));
        event = event_by(events, count, uid);
        assert_true(fabs(event->start - night->contact_utc[i]) <= 0.5);
        assert_true(event->stamp == STAMP_UTC);
        assert_int_equal(event->alarm_s, -600);
        assert_non_null(strstr(event->summary, contact_name((enum contact)i)));
        assert_non_null(strstr(event->description, "Moon at altitude"));
        assert_string_equal(event->location, night->site.name);
    }
    demo_free(night);
}

static void a_parser_finds_the_horizon_and_what_is_open(void **state)
{
    struct setup *setup = demo_setup();
    struct check_item *item = &setup->checklist.item[0];
    struct night *night;
    int count, rises = 0, checks = 0, due = 0;
    struct act tick = {.utc = 1861833600, .kind = ACT_CHECK, .rig = -1, .value = {1}};
    char uid[64];

    (void)state;
    (void)snprintf(item->text, CHECK_TEXT, "%s", "Commas, semicolons; back\\slash and \xc3\xb1");
    setup->site.latitude_deg = 51.5;
    setup->site.longitude_deg = 0;
    night = demo_night(setup, "2028-12-31");
    (void)snprintf(tick.text, sizeof tick.text, "%.23s", setup->checklist.item[1].id);
    demo_apply(night, tick);
    count = read_back(night, STAMP_UTC, events);
    for (int i = 0; i < count; i++) {
        rises += strstr(events[i].uid, "moonrise") != NULL;
        checks += strstr(events[i].uid, "-check-") != NULL;
    }
    for (int i = 0; i < night->setup.checklist.count; i++)
        due += isfinite(item_due_utc(night, i));
    assert_int_equal(rises, 1);
    assert_int_equal(checks, due - 1);
    (void)snprintf(uid, sizeof uid, "2028-12-31-check-%.23s@moonstand", item->id);
    assert_string_equal(event_by(events, count, uid)->summary, item->text);
    assert_int_equal(event_by(events, count, uid)->alarm_s, 0);
    demo_free(night);
}

/* A calendar written again replaces its events instead of doubling them. */
static void uids_are_unique_and_stay(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    int count = read_back(night, STAMP_UTC, events);

    (void)state;
    assert_int_equal(read_back(night, STAMP_UTC + 5000, again), count);
    for (int i = 0; i < count; i++) {
        assert_string_equal(events[i].uid, again[i].uid);
        for (int j = 0; j < i; j++)
            assert_string_not_equal(events[i].uid, events[j].uid);
    }
    demo_free(night);
}

static void a_full_disk_is_told(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");

    (void)state;
    REFUSED_BY_FULL_DISK(report_calendar(out, night, STAMP_UTC));
    demo_free(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_are_folded_as_the_rfc_has_it),
        cmocka_unit_test(components_are_balanced_and_have_what_they_must),
        cmocka_unit_test(a_parser_finds_every_contact_at_its_time),
        cmocka_unit_test(a_parser_finds_the_horizon_and_what_is_open),
        cmocka_unit_test(uids_are_unique_and_stay),
        cmocka_unit_test(a_full_disk_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
