/* Pictures that were looked at: what is printed of each, and clocks corrected by a time card. */
#include "demo.h"

#include "blessed.h"
#include "../../src/report/print.h"

#include <moonstand/fault.h>
#include <moonstand/report.h>

#include <locale.h>

/* 2028-12-31T17:40:05 as the camera wrote it. */
#define TAKEN 1861897205.0

static const struct metadata bare = {.taken = NAN,
                                     .offset_min = NAN,
                                     .shutter_s = NAN,
                                     .iso = NAN,
                                     .f_number = NAN,
                                     .focal_mm = NAN};

static struct metadata told(double offset_min, double shutter_s, int orientation)
{
    return (struct metadata){.format = PICTURE_JPEG,
                             .make = "Maker",
                             .model = "M 1",
                             .serial = "0815",
                             .taken = TAKEN + 0.25,
                             .taken_decimals = 2,
                             .offset_min = offset_min,
                             .shutter_s = shutter_s,
                             .iso = 1600,
                             .f_number = 6.3,
                             .focal_mm = 400,
                             .width = 6000,
                             .height = 4000,
                             .orientation = orientation};
}

static struct seen with_disc(const char *file, struct metadata metadata)
{
    return (struct seen){
        .file = file,
        .bytes = 8123456,
        .landed_utc = TAKEN - 5 * 3600 + 2.5,
        .took_s = 0.1234,
        .metadata = metadata,
        .rig = 1,
        .state = SEEN_DISC,
        .disc = {.radius_px = 472.346, .arc = 0.753, .scatter_px = 0.824, .score = 0.957},
        .place = {-0.123456, 0.0345678},
        .light = {.lit = 201.24, .umbra = {81.4, 40.6, 20.6}, .clipped = 0.01234, .sky = 3.26},
        .limb = {.width_px = 2.345, .least_px = 2.046, .most_px = 3.127, .most_deg = 123.4}};
}

static struct seen without(const char *file, enum seen_state state)
{
    return (struct seen){.file = file,
                         .bytes = NAN,
                         .landed_utc = NAN,
                         .took_s = NAN,
                         .metadata = bare,
                         .rig = -1,
                         .state = state};
}

/* Every state, what a camera may leave out, exposures on both sides of what it writes as a fraction,
 * offsets on both sides of UTC, portrait. */
static void each_picture_is_one_line(void **state)
{
    struct setup *setup = demo_setup();
    struct seen seen[] = {
        with_disc("card/IMG_1.JPG", told(330, 0.001, 1)),
        with_disc("IMG_2.JPG", told(-210, 0.299, 6)),
        with_disc("IMG_3.JPG", told(NAN, 0.3, 4)),
        with_disc("IMG_4.JPG", told(0, 2.5, 5)),
        without("bad\033name.JPG", SEEN_NO_DISC),
        without("small.JPG", SEEN_TOO_SMALL),
        without("scale.JPG", SEEN_NO_SCALE),
        without("raw.CR3", SEEN_NO_JPEG),
        without("phone.HEIC", SEEN_HEIF),
    };
    char *text;
    FILE *page = page_open(&text);

    (void)state;
    seen[1].light.umbra[0] = NAN;
    seen[2].light =
        (struct disc_light){.lit = NAN, .umbra = {NAN, NAN, NAN}, .clipped = NAN, .sky = NAN};
    seen[2].limb.width_px = NAN;
    seen[2].rig = 0;
    for (size_t i = 0; i < sizeof seen / sizeof *seen; i++) {
        assert_int_equal(report_look_text(page, setup, &seen[i]), 0);
        assert_int_equal(report_look_json(page, setup, &seen[i]), 0);
    }
    assert_int_equal(fclose(page), 0);
    page_keep(text);
    hold_print("look", text);
    free(text);
    REFUSED_BY_FULL_DISK(report_look_text(out, setup, &seen[0]));
    REFUSED_BY_FULL_DISK(report_look_json(out, setup, &seen[0]));
}

/* ---- clocks ---- */

static struct pictures folder(void)
{
    static const struct {
        const char *file;
        int rig;
        double time, offset_min;
    } taken[] = {
        {"card/IMG_0001.JPG", 1, TAKEN, NAN},
        {"card/IMG_0002.JPG", 1, TAKEN + 60, NAN},
        {"wide/IMG_0001.JPG", 0, TAKEN + 90, 300},
        {"wide/IMG_0002.JPG", 0, TAKEN + 120, NAN},
        {"nobody.JPG", -1, TAKEN, NAN},
    };
    struct pictures pictures = {0};

    for (size_t i = 0; i < sizeof taken / sizeof *taken; i++) {
        struct seen seen = without(taken[i].file, SEEN_NOT_LOOKED);

        seen.rig = taken[i].rig;
        seen.metadata.taken = taken[i].time;
        seen.metadata.offset_min = taken[i].offset_min;
        seen.metadata.shutter_s = 1.0 / 60;
        seen.metadata.iso = 400;
        assert_int_equal(pictures_add(&pictures, &seen), 0);
    }
    return pictures;
}

/* A card that shows 12:40:08 while the camera wrote 17:40:05 makes the camera 4:59:57 ahead of UTC, and
 * all pictures of that rig with it. */
static void a_time_card_corrects_its_rig(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct pictures pictures = folder();
    struct fault fault = {""};
    const double behind = -(5 * 3600 - 3);

    (void)state;
    pictures.item[1].is_utc = true;
    assert_int_equal(pictures_time_card(&pictures, night, "IMG_0001.JPG=12:40:08", &fault), 0);
    assert_true(pictures.item[0].behind_s == behind);
    assert_true(isnan(pictures.item[1].behind_s)); /* no clock of a camera to correct */
    assert_true(isnan(pictures.item[2].behind_s) && isnan(pictures.item[4].behind_s));
    assert_true(picture_utc(night, &pictures.item[0]) == TAKEN + behind);
    assert_true(picture_utc(night, &pictures.item[1]) == TAKEN + 60);
    pictures.item[1].is_utc = false;
    /* Two at once; the second is known by its folder, a blank may part it from its time, and has a fraction. */
    assert_int_equal(pictures_time_card(&pictures, night,
                                        "card/IMG_0002.JPG=12:41:06.5,wide/IMG_0002.JPG 12:42:00",
                                        &fault),
                     0);
    assert_true(pictures.item[0].behind_s == -5 * 3600 + 1.5);
    assert_true(pictures.item[1].behind_s == -5 * 3600 + 1.5);
    assert_true(pictures.item[2].behind_s == -5 * 3600 - 5);
    assert_true(pictures.item[3].behind_s == -5 * 3600 - 5);
    /* Of two of one name the rig says which. */
    assert_int_equal(picture_time_card(&pictures, night, 0, "IMG_0001.JPG=12:41:35", &fault), 0);
    assert_true(pictures.item[3].behind_s == -5 * 3600);
    assert_true(pictures.item[0].behind_s == -5 * 3600 + 1.5);
    /* Over midnight, both ways: the day nearest to what the camera says. */
    pictures.item[0].is_utc = pictures.item[1].is_utc = false;
    pictures.item[0].behind_s = pictures.item[1].behind_s = NAN;
    pictures.item[0].time = TAKEN + 6 * 3600 + 1800; /* 00:10:05 of the next day */
    assert_int_equal(picture_time_card(&pictures, night, 1, "IMG_0001.JPG=23:50:05", &fault), 0);
    assert_true(pictures.item[0].behind_s == -1200);
    pictures.item[0].behind_s = pictures.item[1].behind_s = NAN;
    pictures.item[0].time = TAKEN + 6 * 3600; /* 23:40:05 */
    assert_int_equal(picture_time_card(&pictures, night, 1, "IMG_0001.JPG=00:10:05", &fault), 0);
    assert_true(pictures.item[0].behind_s == 1800);
    assert_string_equal(fault.text, "");
    pictures_free(&pictures);
    demo_free(night);
}

static void a_bad_time_card_changes_nothing(void **state)
{
    static const struct {
        const char *card, *fault;
    } bad[] = {
        {"IMG_0001.JPG", "time card: found 'IMG_0001.JPG'; expected FILE=HH:MM:SS"},
        {"=12:40:08", "time card: found '=12:40:08'; expected FILE=HH:MM:SS"},
        {"IMG_9.JPG=12:40:08", "time card: there is no picture 'IMG_9.JPG'"},
        {"0001.JPG=12:40:08", "time card: there is no picture '0001.JPG'"},
        {"IMG_0001.JPG=12:99", "time card: found '12:99'; expected a time, such as 20:15:03"},
        {"nobody.JPG=12:40:08", "time card: it is not known which rig took nobody.JPG"},
    };
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct pictures pictures = folder();

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct fault fault = {""};

        assert_int_equal(pictures_time_card(&pictures, night, bad[i].card, &fault), -1);
        assert_string_equal(fault.text, bad[i].fault);
        for (size_t j = 0; j < pictures.count; j++)
            assert_true(isnan(pictures.item[j].behind_s));
    }
    pictures_free(&pictures);
    demo_free(night);
}

static char *copy_of(const char *bytes, size_t size)
{
    char *copy = malloc(size);

    assert_non_null(copy);
    return memcpy(copy, bytes, size);
}

/* The card goes before the known error, that before the one by landing, and all before the zone; what is
 * still to be asked for is the clock of a rig that has none of the first two. */
static void which_clock_counts(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct pictures pictures = folder();
    struct picture *zone = &pictures.item[2], *bare_clock = &pictures.item[3];
    char *text;

    (void)state;
    assert_true(picture_utc(night, zone) == zone->time - 5 * 3600);
    assert_true(picture_utc(night, bare_clock) == bare_clock->time);
    assert_true(picture_clock_is_open(night, zone));
    assert_false(picture_clock_is_open(night, &pictures.item[4]));
    night->rig[0].picture_behind_s = -18010;
    assert_true(picture_utc(night, zone) == zone->time - 18010);
    assert_true(picture_clock_is_open(night, zone));
    night->rig[0].camera_behind_s = -18020;
    assert_true(picture_utc(night, zone) == zone->time - 18020);
    assert_false(picture_clock_is_open(night, zone));
    night->rig[0].camera_behind_s = NAN;
    zone->behind_s = -18030;
    assert_true(picture_utc(night, zone) == zone->time - 18030);
    assert_false(picture_clock_is_open(night, zone));
    zone->behind_s = NAN;
    zone->is_utc = true;
    assert_true(picture_utc(night, zone) == zone->time);
    assert_false(picture_clock_is_open(night, zone));
    /* One of each, as they are printed. */
    zone->is_utc = false;
    night->rig[0].picture_behind_s = NAN;
    pictures.item[0].behind_s = -18000;
    night->rig[1].camera_behind_s = -17990;
    night->rig[2].picture_behind_s = -17980;
    pictures.item[4].rig = 2;
    for (size_t i = 0; i < pictures.count; i++)
        pictures.item[i].picked = i % 2 ? "U2" : "every";
    /* Two columns that are passed on. */
    pictures.columns = 2;
    pictures.column_names = copy_of("lens\0lead, \"east\"", 18);
    for (size_t i = 0; i < pictures.count; i++)
        pictures.item[i].carried = copy_of(i == 1 ? "\0a;b" : "400 mm\0", i == 1 ? 5 : 8);
    PRINTED(text, report_pictures_csv(out, night, &pictures));
    hold_print("pictures-csv", text);
    free(text);
    PRINTED(text, report_pictures_json(out, night, &pictures));
    hold_print("pictures-json", text);
    free(text);
    pictures_free(&pictures);
    demo_free(night);
}

/* ---- tables ---- */

/* One row below a row of names; whether it is read. */
static bool read_one(const struct night *night, const char *row, struct picture *picture)
{
    char table[256];
    struct pictures pictures = {0};
    struct fault fault = {""};
    bool taken;
    FILE *in;

    (void)snprintf(table, sizeof table, "name,time,offset,exposure,iso,rig\n%s\n", row);
    in = fmemopen(table, strlen(table), "r");
    assert_non_null(in);
    assert_int_equal(pictures_read(in, "list.csv", night, &pictures, &fault), 0);
    taken = pictures.count == 1;
    assert_int_equal(pictures.count + pictures.refused, 1);
    if (taken)
        *picture = pictures.item[0];
    (void)fclose(in);
    pictures_free(&pictures);
    return taken;
}

/* ISO 8601, both with and without a colon, of a time and in a column of its own. */
static void every_offset_is_read(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");

    (void)state;
    for (int hours = 0; hours < 17; hours++)
        for (int minutes = 0; minutes < 62; minutes += minutes == 59 ? 1 : minutes > 59 ? 1 : 59)
            for (int way = 0; way < 8; way++) {
                char row[128], offset[16];
                struct picture picture;
                bool good = hours <= 14 && minutes <= 59, own = way & 1;

                (void)snprintf(offset, sizeof offset, "%c%02d%s%02d", way & 2 ? '-' : '+', hours,
                               way & 4 ? ":" : "", minutes);
                (void)snprintf(row, sizeof row, "a.NEF,2028:12:31 17:40:05%s,%s,,,long",
                               own ? "" : offset, own ? offset : "");
                if (read_one(night, row, &picture) != (good || own))
                    fail_msg("'%s'", row);
                if (!good && !own)
                    continue;
                assert_true(picture.time == TAKEN && !picture.is_utc);
                if (good)
                    assert_true(picture.offset_min == (way & 2 ? -1 : 1) * (60 * hours + minutes));
                else
                    assert_true(isnan(picture.offset_min));
            }
    demo_free(night);
}

static void every_way_to_write_a_row(void **state)
{
    static const struct {
        const char *row; /* behind the name */
        double behind_s; /* of the time; NaN: refused */
        bool is_utc;
        double shutter_s, iso;
        int rig;
    } rows[] = {
        {"2028-12-31T17:40:05,,,,", 0, false, NAN, NAN, -1},
        {"2028-12-31 17:40:05Z,,1/500,100,wide", 0, true, 0.002, 100, 0},
        {"2028:12:31 17:40:05z,,1/500 s,100,telescope", 0, true, 0.002, 100, 2},
        {"2028:12:31 17:40:05.5 ,,0.5,6400,long", 0.5, false, 0.5, 6400, 1},
        {"2028-12-31T17:40,,30 s,1,long", -5, false, 30, 1, 1},
        {"2028-12-31T17:40:05Z,+05:00,bulb,auto,long", 0, true, NAN, NAN, 1},
        {"2028-12-31T17:40:05+01:00,+05:00,0,0,long", 0, false, NAN, NAN, 1},
        {"17:40:05,,,,long", NAN, false, NAN, NAN, 1},
        {"2028-13-31T17:40:05,,,,long", NAN, false, NAN, NAN, 1},
        {"2028-12-31T17:40:05,,,,nobody", NAN, false, NAN, NAN, 1},
    };
    struct night *night = demo_night(demo_setup(), "2028-12-31");

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct picture picture;
        char row[128];

        (void)snprintf(row, sizeof row, "a.NEF,%s", rows[i].row);
        if (read_one(night, row, &picture) != isfinite(rows[i].behind_s))
            fail_msg("'%s'", rows[i].row);
        if (isnan(rows[i].behind_s))
            continue;
        if (picture.time != TAKEN + rows[i].behind_s || picture.is_utc != rows[i].is_utc ||
            picture.rig != rows[i].rig || isnan(picture.iso) != isnan(rows[i].iso) ||
            isnan(picture.shutter_s) != isnan(rows[i].shutter_s) ||
            fabs(picture.shutter_s - rows[i].shutter_s) > 1e-12 || picture.iso > rows[i].iso ||
            picture.iso < rows[i].iso)
            fail_msg("'%s': %f %d %d %g %g", rows[i].row, picture.time - TAKEN, picture.is_utc,
                     picture.rig, picture.shutter_s, picture.iso);
        assert_string_equal(picture.name, "a.NEF");
    }
    demo_free(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_picture_is_one_line),
        cmocka_unit_test(every_offset_is_read),
        cmocka_unit_test(every_way_to_write_a_row),
        cmocka_unit_test(a_time_card_corrects_its_rig),
        cmocka_unit_test(a_bad_time_card_changes_nothing),
        cmocka_unit_test(which_clock_counts),
    };

    (void)setlocale(LC_ALL, "C.UTF-8");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
