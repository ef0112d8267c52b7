/* A setup line by line, and changed line by line. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/fault.h>
#include <moonstand/setup_file.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "blessed.h"
#include "near.h"
#include "open_files.h"

static struct setup before, after;
static struct setup_row rows[SETUP_ROWS];

static void start(void)
{
    setup_default(&before);
    before.has_site = true;
    before.site = (struct site){.name = "meadow",
                                .latitude_deg = 62,
                                .longitude_deg = 60,
                                .zone = "UTC",
                                .pressure_hpa = NAN,
                                .temperature_c = NAN};
}

static void edit(const char *path, const char *typed)
{
    struct fault fault = {""};

    if (setup_edit(&before, path, typed, &after, &fault) != 0)
        fail_msg("%s = %s: %s", path, typed, fault.text);
    before = after;
}

static void refused(const char *path, const char *typed, const char *why)
{
    struct fault fault = {""};
    static struct setup same;

    same = after;
    assert_int_equal(setup_edit(&before, path, typed, &after, &fault), -1);
    if (!strstr(fault.text, why))
        fail_msg("'%s' does not say '%s'", fault.text, why);
    assert_memory_equal(&same, &after, sizeof same);
}

static const struct setup_row *row_of(const char *level, const char *label)
{
    int count = setup_rows(&before, level, rows);

    for (int i = 0; i < count; i++)
        if (strcmp(rows[i].label, label) == 0)
            return &rows[i];
    fail_msg("no row %s below '%s'", label, level);
    return NULL;
}

/* How many rows there are below a path, each typed again as it stands without a change. */
static int type_all_again(const char *level)
{
    struct setup_row *own = calloc(SETUP_ROWS, sizeof *own);
    int count = setup_rows(&before, level, own), all = 0;

    for (int i = 0; i < count; i++) {
        all++;
        if (own[i].kind == ROW_FOLDER)
            all += type_all_again(own[i].path);
        if (own[i].kind != ROW_VALUE)
            continue;
        struct fault fault;
        if (setup_edit(&before, own[i].path, own[i].value, &after, &fault) != 0)
            fail_msg("%s: %s", own[i].path, fault.text);
        /* Compared as they would be written: the bytes between members are nobody's. */
        if (!setup_is_same(&before, &after) || before.trust.may_run != after.trust.may_run)
            fail_msg("%s: '%s' typed again changes something", own[i].path, own[i].value);
    }
    free(own);
    return all;
}

static void test_every_line_as_it_stands(void **state)
{
    (void)state;
    start();
    edit("site.horizon[0]", "0 5");
    edit("reminders[0]", "U2-10m, drink something warm, then look up");
    edit("sites[0]", "hut, 48 30 N, 100.5");
    edit("hooks.contact", "[\"true\", \"now\"]");
    edit("air.file", "/run/air");
    int all = type_all_again("");
    print_message("# %d lines typed again\n", all);
    assert_true(all > 200);
}

static void test_names_are_followed(void **state)
{
    (void)state;
    start();
    edit("sites[0]", "hut, 48 30 N, 100.5");
    edit("site", "hut");
    edit("sites[0].name", "cabin");
    assert_string_equal(before.site.name, "cabin");
    assert_string_equal(before.sites[0].name, "cabin");
    refused("sites[0]", NULL, "the name of one of the sites");
    edit("rigs[2].name", "scope");
    edit("checklist[2].rig", "scope");
    edit("reminders[0]", "U2-10m, look at the scope");
    edit("reminders[0].rig", "scope");
    edit("rigs[2].name", "refractor");
    assert_string_equal(before.checklist.item[2].rig, "refractor");
    assert_string_equal(before.reminder[0].rig, "refractor");
    edit("rigs[2]", NULL);
    assert_int_equal(before.rig_count, 2);
    assert_string_equal(before.checklist.item[2].rig, "");
    assert_string_equal(before.reminder[0].rig, "");
}

static void test_values(void **state)
{
    (void)state;
    start();
    edit("rigs[1].focal_mm", "300");
    assert_near(before.rig[1].focal_mm, 300, 0);
    edit("rigs[1].shutter_min_s", "1/8000");
    assert_near(before.rig[1].shutter_min_s, 1.0 / 8000, 0);
    refused("rigs[1].shutter_min_s", "1/0", "shutter_min_s");
    refused("rigs[1].shutter_min_s", "1/8000 s", "shutter_min_s");
    refused("rigs[1].shutter_min_s", "100/1", "expected");
    edit("rigs[1].name", "refractor");
    assert_string_equal(before.rig[1].name, "refractor");
    edit("rigs[1].support", "lunar");
    assert_int_equal(before.rig[1].support, SUPPORT_LUNAR);
    edit("rigs[0].power.external", "true");
    assert_true(before.rig[0].power.external);
    edit("site.latitude_deg", "3 6 7 S");
    assert_near(before.site.latitude_deg, -(3 + 6 / 60. + 7 / 3600.), 1e-12);
    edit("extinction_mag", "0.31");
    edit("extinction_mag", "");
    assert_true(isnan(before.extinction_mag));
    edit("clock", "\"12\"");
    assert_int_equal(before.hours, HOURS_12);
    edit("gpsd.host", "");
    assert_string_equal(before.gpsd_host, "");
    edit("site.forecast", "/srv/forecast.json");
    assert_string_equal(row_of("site", "forecast file")->value, "/srv/forecast.json");
    const struct setup_row *row = row_of("rigs[1]", "focal length");
    assert_string_equal(row->value, "300");
    assert_string_equal(row->unit, "mm");
    assert_string_equal(row->allowed, "1 to 20000");
    assert_string_equal(row->why, "how large the Moon is and how fast it drifts");
    assert_string_equal(row_of("rigs[1]", "shortest exposure")->value, "1/8000");
    assert_string_equal(row_of("rigs[1]", "tolerance")->value, "2/3");
    edit("rigs[0].portrait", "yes");
    assert_true(before.rig[0].portrait);
    assert_string_equal(row_of("rigs[0]", "held upright")->value, "yes");
}

/* The words of the file's reader, with the key and without a line that the user never sees. */
static void test_refused_like_a_file(void **state)
{
    (void)state;
    start();
    refused("rigs[1].focal_mm", "0", "rigs[1].focal_mm: found 0; expected a number from 1");
    refused("rigs[1].focal_mm", "long", "rigs[1].focal_mm: found \"long\"; expected");
    refused("rigs[1].focal_mm", "1e309", "found \"1e309\"; expected a number from 1");
    refused("rigs[1].focal_mm", "", "the key \"focal_mm\" is missing");
    refused("rigs[1].name", "wide", "found \"wide\"; expected a name of its own");
    refused("rigs[0].iso_min", "300000", "above iso_max");
    refused("site.time_zone", "Moon/Copernicus", "Moon/Copernicus");
    refused("units", "feet", "expected \"metric\", \"imperial\"");
    refused("no.such", "1", "nothing to change");
    refused("rigs[0].name.first", "1", "nothing to change");
    refused("rigs[0].focal_mm.of.it", "1", "nothing to change");
    refused("rigs[7].name", "far", "nothing to change");
    refused("", "1", "nothing to change");
    refused("hooks.alarm", "aplay", "a list of 1 to 16 texts");
}

/* What is typed at either end of each range of the manual page is taken; what lies beyond, refused. */
static void test_ranges_of_the_manual(void **state)
{
    static const struct {
        const char *path;
        double least, most;
    } ranges[] = {
        {"site.latitude_deg", -90, 90},
        {"site.longitude_deg", -180, 180},
        {"site.height_m", -500, 9000},
        {"site.pressure_hpa", 300, 1100},
        {"site.temperature_c", -90, 60},
        {"rigs[1].focal_mm", 1, 20000},
        {"rigs[1].f_number", 0.5, 64},
        {"rigs[1].sensor_width_mm", 1, 200},
        {"rigs[1].sensor_height_mm", 1, 200},
        {"rigs[1].pixel_pitch_um", 0.5, 50},
        {"rigs[1].iso_min", 25, 409600},
        {"rigs[1].iso_max", 25, 409600},
        {"rigs[1].iso_comfort", 25, 409600},
        {"rigs[1].shutter_min_s", 1. / 32768, 64},
        {"rigs[1].shutter_max_s", 1. / 32768, 64},
        {"rigs[1].interval_s", 0.5, 3600},
        {"rigs[1].frame_mb", 0.1, 2000},
        {"rigs[1].blur_limit_px", 0.1, 100},
        {"rigs[1].tolerance_stops", 0.15, 2},
        {"rigs[1].bracket_frames", 1, 15},
        {"rigs[1].bracket_step_stops", 0.3, 5},
        {"rigs[1].filter_stops", 0, 20},
        {"rigs[1].extender", 0.3, 5},
        {"rigs[1].margin", 0, 0.45},
        {"rigs[1].aim_tolerance", 0, 0.45},
        {"rigs[1].warn_s", 0, 3600},
        {"rigs[1].saving_s", 0, 60},
        {"rigs[1].card_gb", 0.1, 100000},
        {"rigs[1].power.rated_shots", 1, 100000},
        {"rigs[1].power.rated_hours", 0.1, 1000},
        {"rigs[1].power.spares", 0, 50},
        {"rigs[1].power.heater_w", 0, 100},
        {"rigs[1].power.battery_wh", 0.1, 1000},
        {"rigs[2].mount.polar_az_error_arcmin", -300, 300},
        {"rigs[2].mount.polar_alt_error_arcmin", -300, 300},
        {"rigs[2].mount.past_meridian_min", 0, 240},
        {"rigs[2].mount.altitude_min_deg", -10, 90},
        {"rigs[2].mount.altitude_max_deg", -10, 90},
        {"rigs[0].composition.foreground", 0, 0.49},
        {"rigs[0].composition.tilt_deg", 0, 45},
        {"air.every_s", 10, 3600},
        {"gpsd.port", 1, 65535},
        {"danjon", 0, 4},
        {"extinction_mag", 0.05, 2},
        {"glass_cooling_c", 0, 10},
    };

    (void)state;
    start();
    edit("air.file", "/run/air");
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
        double ends[] = {ranges[i].least, ranges[i].most};

        for (int end = 0; end < 2; end++) {
            bool whole = ends[end] == floor(ends[end]);
            double beyond = ends[end] + (end ? 1 : -1) * (whole ? 1 : 0.001 * ends[end]);
            char typed[40];
            struct fault fault = {""};

            (void)snprintf(typed, sizeof typed, "%.17g", ends[end]);
            /* Another key may stand against it, but not the range. */
            if (setup_edit(&before, ranges[i].path, typed, &after, &fault) != 0 &&
                strstr(fault.text, "expected a"))
                fail_msg("%s", fault.text);
            (void)snprintf(typed, sizeof typed, "%.17g", beyond);
            refused(ranges[i].path, typed, "expected ");
        }
    }
}

/* A name is cut nowhere: 63 bytes of a site's, 31 of a rig's and of a theme's are the most. */
static void test_lengths(void **state)
{
    static const struct {
        const char *path;
        int most;
    } lengths[] = {{"site.name", 63},
                   {"rigs[1].name", 31},
                   {"rigs[1].lens", 63},
                   {"rigs[1].camera", 63},
                   {"theme", 31}};

    (void)state;
    start();
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        char typed[80] = "";

        (void)memset(typed, 'x', (size_t)lengths[i].most);
        edit(lengths[i].path, typed);
        typed[lengths[i].most] = 'x';
        refused(lengths[i].path, typed, " bytes");
    }
}

static void test_lists(void **state)
{
    int items;

    (void)state;
    start();
    items = before.checklist.count;
    edit("checklist[2]", NULL);
    assert_int_equal(before.checklist.count, items - 1);
    edit("checklist[3].text", "take the cap off, and keep it");
    assert_string_equal(before.checklist.item[3].text, "take the cap off, and keep it");
    edit("checklist[3].due", "U2-10m");
    assert_near(before.checklist.item[3].due.at.offset_s, -600, 0);
    edit("checklist[3].due", "start-2h, by sunset-40m");
    assert_true(before.checklist.item[3].due.has_by);
    edit("checklist[3].when", "partial penumbral");
    assert_int_equal(before.checklist.item[3].when, WHEN_PARTIAL | WHEN_PENUMBRAL);
    refused("checklist[3].when", "sometimes", "found 'sometimes'; expected some of total, partial");
    edit("checklist[3].when", "");
    assert_int_equal(before.checklist.item[3].when, 0);
    assert_int_equal(row_of("checklist", "41")->kind == ROW_MORE, items == 41);
    char more[ROW_PATH];
    (void)snprintf(more, sizeof more, "checklist[%d]", items - 1);
    edit(more, "at the site, gloves, both of them");
    assert_string_equal(before.checklist.item[items - 1].text, "gloves, both of them");
    assert_int_equal(before.checklist.item[items - 1].group, CHECK_AT_SITE);
    refused(more, "nowhere", "\"nowhere\"");
    (void)snprintf(more, sizeof more, "checklist[%d]", items);
    refused(more,
            "before U2, gloves, both of them, and the hat that keeps the ears warm in a wind "
            "that comes over the ridge from the north without a pause, all night long",
            "text of 1 to");
    refused("rigs[3]", "guide, 200, 4", "found 4 entries; expected a list of 1 to 3");
    edit("rigs[2]", NULL);
    edit("rigs[2]", "guide, 200, 4");
    assert_near(before.rig[2].f_number, 4, 0);
    edit("sites[0]", "hut, 48 30 N, 100.5");
    edit("site", "hut");
    assert_near(before.site.latitude_deg, 48.5, 1e-12);
    refused("site", "barn", "the name of one of the sites");
    assert_string_equal(row_of("", "site")->value, "hut");
    assert_string_equal(row_of("sites", "1")->value, "hut");
}

/* Reminders stand at the checklist's end too, and are counted once. */
static void test_reminders(void **state)
{
    int items;

    (void)state;
    start();
    items = before.checklist.count;
    edit("reminders[0]", "U2-10m, drink");
    edit("reminders[1]", "U3, look up");
    assert_int_equal(before.checklist.count, items + 2);
    assert_string_equal(row_of("reminders", "2")->value, "look up");
    assert_int_equal(setup_rows(&before, "checklist", rows), items + 1);
    edit("reminders[0]", NULL);
    assert_int_equal(before.checklist.count, items + 1);
    assert_string_equal(before.checklist.item[items].text, "look up");
}

static void test_pairs(void **state)
{
    char path[] = "/tmp/moonstand-horizon-XXXXXX";
    int file = mkstemp(path);

    (void)state;
    start();
    edit("site.horizon[0]", "180, 8");
    edit("site.horizon[1]", "90 12.5");
    assert_int_equal(before.site.horizon.count, 2);
    assert_string_equal(row_of("site.horizon", "1")->value, "90, 12.5");
    edit("site.horizon[0]", "270 3");
    assert_string_equal(row_of("site.horizon", "2")->value, "270, 3");
    refused("site.horizon[2]", "180 9", "it must rise");
    refused("site.horizon[2]", "400 9", "azimuth from 0 to below 360");
    refused("site.horizon[2]", "north", "expected");
    edit("site.horizon[0]", NULL);
    assert_int_equal(before.site.horizon.count, 1);
    assert_true(write(file, "10 1\n20 2\n30 3\n", 15) == 15);
    edit("site.horizon[1]", path);
    assert_int_equal(before.site.horizon.count, 3);
    refused("site.horizon[1]", "/no/such/file", "/no/such/file");
    edit("site.horizon[1]", "sea");
    assert_true(before.site.horizon.sea);
    assert_int_equal(before.site.horizon.count, 0);
    assert_string_equal(row_of("site", "horizon")->value, "sea");
    edit("site.horizon[0]", "90 12.5");
    assert_false(before.site.horizon.sea);
    assert_int_equal(before.site.horizon.count, 1);
    edit("rigs[0].power.cold[0]", "-40 0.2");
    assert_near(before.rig[0].power.cold[0].temperature_c, -40, 0);
    (void)close(file);
    (void)unlink(path);
}

/* What a file may not run does not become what may run. */
static void test_a_setup_is_edited_in_place(void **state)
{
    static struct setup place;
    struct fault fault;

    (void)state;
    start();
    before.trust.may_run = true;
    place = before;
    edit("rigs[1].name", "tele");
    assert_int_equal(setup_edit(&place, "rigs[1].name", "tele", &place, &fault), 0);
    assert_true(setup_is_same(&place, &after));
    assert_true(place.trust.may_run);
    assert_int_equal(setup_edit(&place, "rigs[1].focal_mm", "0", &place, &fault), -1);
    assert_true(setup_is_same(&place, &after));
    assert_true(place.trust.may_run);
}

static void test_trust_is_kept(void **state)
{
    (void)state;
    start();
    before.trust.may_run = true;
    edit("hooks.alarm", "[\"true\"]");
    assert_true(before.trust.may_run);
    before.trust.may_run = false;
    edit("danjon", "2");
    assert_false(before.trust.may_run);
}

/* ---- all of it ---- */

static void print_rows(FILE *out, const char *path)
{
    static struct setup_row found[SETUP_ROWS];
    int count = setup_rows(&before, path, found);
    struct setup_row *own = calloc((size_t)count + 1, sizeof *own);

    assert_non_null(own);
    memcpy(own, found, (size_t)count * sizeof *own);
    (void)fprintf(out, "== %s\n", path);
    for (int i = 0; i < count; i++)
        (void)fprintf(out, "%s%s | %s | %s%s%s | %s | %s\n", own[i].path, own[i].entry ? " (entry)" : "",
                      own[i].label, own[i].value, *own[i].unit ? " " : "", own[i].unit,
                      own[i].allowed, own[i].why);
    for (int i = 0; i < count; i++)
        if (own[i].kind == ROW_FOLDER)
            print_rows(out, own[i].path);
    free(own);
}

/* Every line of a setup with one entry in each list: its name, value and unit, what is allowed and why it
 * is asked for. */
static void test_all_lines(void **state)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    (void)state;
    assert_non_null(out);
    start();
    before.rig_count = 1;
    before.checklist.count = 1;
    edit("sites[0]", "home, 47.05, 8.3");
    print_rows(out, "");
    assert_int_equal(fclose(out), 0);
    hold_print("setup-rows", text);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_all_lines),
        cmocka_unit_test(test_every_line_as_it_stands),
        cmocka_unit_test(test_names_are_followed),
        cmocka_unit_test(test_values),
        cmocka_unit_test(test_refused_like_a_file),
        cmocka_unit_test(test_ranges_of_the_manual),
        cmocka_unit_test(test_lengths),
        cmocka_unit_test(test_lists),
        cmocka_unit_test(test_reminders),
        cmocka_unit_test(test_pairs),
        cmocka_unit_test(test_a_setup_is_edited_in_place),
        cmocka_unit_test(test_trust_is_kept),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
