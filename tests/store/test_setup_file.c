/* The setup file: what is taken, what is refused and how, and that what is written comes back. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/angle.h>
#include <moonstand/fault.h>
#include <moonstand/setup_file.h>
#include <moonstand/sky_light.h>

#include <cjson/cJSON.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static int parse(const char *text, struct setup *setup, struct fault *fault)
{
    fault->text[0] = '\0';
    return setup_parse("setup.json", text, strlen(text), NULL, setup, fault);
}

/* ---- taken ---- */

static void test_empty_object_is_the_default(void **state)
{
    static struct setup setup, stock;
    struct fault fault;

    (void)state;
    setup_default(&stock);
    assert_int_equal(parse("{}", &setup, &fault), 0);
    assert_false(setup.has_site);
    assert_int_equal(setup.rig_count, stock.rig_count);
    assert_string_equal(setup.theme, "red");
    assert_int_equal(setup.checklist.count, stock.checklist.count);
    assert_true(isnan(setup.extinction_mag));
}

static const char whole[] =
    "\xef\xbb\xbf{\n"
    "  \"site\": {\"name\": \"Hütte\", \"latitude_deg\": \"3 6 7 S\", \"longitude_deg\": 60.25,\n"
    "    \"height_m\": 420, \"time_zone\": \"Europe/Rome\", \"pressure_hpa\": 962.5,\n"
    "    \"temperature_c\": -22, \"horizon\": [[0, 2], [90.1, 12.3], [359, -1]]},\n"
    "  \"rigs\": [{\"name\": \"a\", \"focal_mm\": 200, \"f_number\": 2.8, \"support\": \"lunar\",\n"
    "    \"target\": \"stars\", \"placement_stops\": {\"umbra\": -1.5}, \"bracket_frames\": 5,\n"
    "    \"portrait\": true}],\n"
    "  \"checklist\": [\n"
    "    {\"group\": \"at the site\", \"text\": \"Focus on the star\", \"rig\": \"a\", \"due\": "
    "\"U1-30m\"},\n"
    "    {\"group\": \"after\", \"text\": \"\\u0418\\u0434\\u0438\", \"note\": \"n\", \"id\": "
    "\"go\"}],\n"
    "  \"shadow_rule\": \"oblate\", \"theme\": \"plain\", \"danjon\": 2.5, \"extinction_mag\": "
    "0.3,\n  \"clock\": \"12\", \"units\": \"imperial\",\n"
    "  \"glass_cooling_c\": 4, \"gpsd\": {\"host\": \"::1\", \"port\": 29470}\n"
    "}\n";

static void test_every_part_is_read(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    if (parse(whole, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_true(setup.has_site);
    assert_string_equal(setup.site.name, "Hütte");
    assert_true(fabs(setup.site.latitude_deg + (3 + 6 / 60.0 + 7 / 3600.0)) < 1e-12);
    assert_true(setup.site.longitude_deg == 60.25 && setup.site.height_m == 420);
    assert_string_equal(setup.site.zone, "Europe/Rome");
    assert_true(setup.site.pressure_hpa == 962.5 && setup.site.temperature_c == -22);
    assert_int_equal(setup.site.horizon.count, 3);
    assert_true(setup.site.horizon.azimuth_rad[1] == rad_from_deg(90.1));
    assert_true(setup.site.horizon.altitude_rad[2] == rad_from_deg(-1));
    assert_int_equal(setup.rig_count, 1);
    assert_int_equal(setup.rig[0].support, SUPPORT_LUNAR);
    assert_int_equal(setup.rig[0].target, TARGET_STARS);
    assert_true(setup.rig[0].placement_stops[TARGET_UMBRA] == -1.5);
    assert_true(setup.rig[0].sensor_width_mm == 36);
    assert_int_equal(setup.rig[0].bracket_frames, 5);
    assert_true(setup.rig[0].portrait);
    assert_int_equal(setup.checklist.count, 2);
    assert_true(setup.checklist.item[0].has_due);
    assert_int_equal(setup.checklist.item[0].due.at.anchor, CONTACT_U1);
    assert_true(setup.checklist.item[0].due.at.offset_s == -1800);
    assert_memory_equal(setup.checklist.item[0].id, "focus-on-the-s", 14);
    assert_string_equal(setup.checklist.item[1].id, "go");
    assert_false(setup.checklist.item[1].has_due);
    assert_int_equal(setup.rule, SHADOW_OBLATE);
    assert_int_equal(setup.hours, HOURS_12);
    assert_int_equal(setup.units, UNITS_IMPERIAL);
    assert_string_equal(setup.gpsd_host, "::1");
    assert_int_equal(setup.gpsd_port, 29470);
}

/* The id must stay: journals of old sessions name it. */
static void test_ids_are_stable_and_of_all_that_makes_the_item(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    assert_int_equal(parse("{\"checklist\": [{\"group\": \"after\", \"text\": \"Dew shield\"},"
                           "{\"group\": \"at the site\", \"text\": \"Dew shield\"},"
                           "{\"group\": \"after\", \"text\": \"Dew shield\", \"rig\": \"wide\"},"
                           "{\"group\": \"after\", \"text\": \"\xd0\x98\xd0\xb4\xd0\xb8\"},"
                           "{\"group\": \"after\", \"text\": \"X\"},"
                           "{\"group\": \"after\", \"text\": \"Fourteen here, cut\"},"
                           "{\"group\": \"after\", \"text\": \"4 x -\"}]}",
                           &setup, &fault),
                     0);
    /* CRC-32 of "after||Dew shield" by zlib. */
    assert_string_equal(setup.checklist.item[0].id, "dew-shield-9b2ea3f9");
    assert_string_not_equal(setup.checklist.item[1].id, setup.checklist.item[0].id);
    assert_string_not_equal(setup.checklist.item[2].id, setup.checklist.item[0].id);
    assert_int_equal(strlen(setup.checklist.item[3].id), 8);
    assert_string_equal(setup.checklist.item[4].id, "x-2a83a766");
    assert_string_equal(setup.checklist.item[5].id, "fourteen-here-c87d6a07");
    assert_string_equal(setup.checklist.item[6].id, "4-x-5e624a35");
}

/* ---- refused ---- */

#define SITE(more) "{\"site\": {\"latitude_deg\": 1, \"longitude_deg\": 2" more "}}"
#define RIG(more) "{\"rigs\": [{\"name\": \"a\", \"focal_mm\": 50, \"f_number\": 2" more "}]}"
#define ITEM(more) "{\"checklist\": [{\"group\": \"after\", \"text\": \"x\"" more "}]}"

static const struct {
    const char *text, *message; /* how the message begins */
} refused[] = {
    /* syntax */
    {"", "setup.json:1:1: found the end of the file; not JSON"},
    {"{} junk", "setup.json:1:4: found 'junk'; not JSON"},
    {"{}{}", "setup.json:1:3: found '{}'"},
    {"{\n  \"theme\": \"red\",\n}", "setup.json:3:1: found '}'"},
    {"{\"theme\": \"red\"", "setup.json:1:16: found the end of the file"},
    {"{\"theme\": 'red'}", "setup.json:1:11: found ''red'}'"},
    {"// no\n{}", "setup.json:1:1: found '// no'"},
    {"[]", "setup.json:1:1: found a list; expected an object"},
    {"{\"\xd1\x84\": 1, @}", "setup.json:1:10: found '@}'"},
    /* bytes */
    {"{\"theme\": \"r\\u0000d\"}", "setup.json:1:13: a text cannot hold \\u0000"},
    {"{\"theme\": \"r\x01\"}", "setup.json:1:13: a control character"},
    {"{\"theme\":\v\"red\"}", "setup.json:1:10: a control character"},
    {"{\"theme\": \"r\\u001bd\"}", "setup.json:1:11: theme: a control character"},
    {"{\"r\\u001bd\": 1}", "setup.json:1:14: ?: a control character"},
    {"{\"theme\": \"\xc3\"}", "setup.json:1:12: bytes that are not UTF-8"},
    {"{\"theme\": \"\xed\xa0\x80\"}", "setup.json:1:12: bytes that are not UTF-8"},
    {"[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]", "setup.json:1:17: nested deeper than 16"},
    /* keys */
    {"{\"Theme\": \"red\"}", "setup.json:1:2: Theme: unknown key; expected one of site, sites"},
    {"{\"theme\": \"red\",\n \"danjon\": 1, \"theme\": \"red\"}",
     "setup.json:2:15: theme: duplicate key"},
    {SITE(", \"hieght_m\": 3"), "setup.json:1:50: site.hieght_m: unknown key"},
    {"{\"site\": {\"latitude_deg\": 1}}",
     "setup.json:1:10: site: the key \"longitude_deg\" is missing"},
    {"{\"site\": {\"longitude_deg\": 1}}",
     "setup.json:1:10: site: the key \"latitude_deg\" is missing"},
    {"{\"rigs\": [{\"name\": \"a\", \"focal_mm\": 50}]}",
     "setup.json:1:11: rigs[0]: the key \"f_number\" is missing"},
    /* types and ranges */
    {RIG(", \"f_number\": 3"), "setup.json:1:56: rigs[0].f_number: duplicate key"},
    {"{\"rigs\": [{\"name\": \"a\", \"focal_mm\": 50, \"f_number\": 900}]}",
     "setup.json:1:53: rigs[0].f_number: found 900; expected a number from 0.5 to 64"},
    {RIG(", \"warn_s\": 1e999"), "setup.json:1:66: rigs[0].warn_s: found inf; expected a number"},
    {RIG(", \"warn_s\": NaN"), "setup.json:1:66: found 'NaN}]}'"},
    {RIG(", \"warn_s\": \"60\""), "setup.json:1:66: rigs[0].warn_s: found \"60\""},
    {RIG(", \"warn_s\": null"), "setup.json:1:66: rigs[0].warn_s: found null"},
    {RIG(", \"portrait\": 1"), "setup.json:1:68: rigs[0].portrait: found 1; expected true or"},
    {RIG(", \"bracket_frames\": 2.5"),
     "setup.json:1:74: rigs[0].bracket_frames: found 2.5; expected a whole number from 1 to 15"},
    {RIG(", \"support\": \"Fixed\""), "setup.json:1:67: rigs[0].support: found \"Fixed\"; expected "
                                      "\"fixed\", \"sidereal\", \"lunar\""},
    {RIG(", \"mount\": {\"altitude_min_deg\": 60, \"altitude_max_deg\": 20}"),
     "setup.json:1:11: rigs[0]: found altitude_min_deg 60 above altitude_max_deg 20"},
    {RIG(", \"mount\": {\"polar_az_error_arcmin\": 400}"),
     "setup.json:1:91: rigs[0].mount.polar_az_error_arcmin: found 400; expected a number"},
    {RIG(", \"composition\": {\"part\": \"U1-U3\"}"),
     "setup.json:1:80: rigs[0].composition.part: found \"U1-U3\"; expected \"P1-P4\", \"U1-U4\""},
    {RIG(", \"placement_stops\": {\"auto\": 1}"),
     "setup.json:1:76: rigs[0].placement_stops.auto: unknown key; expected one of lit"},
    {RIG(", \"iso_min\": 800, \"iso_max\": 400"),
     "setup.json:1:11: rigs[0]: found iso_min 800 above iso_max 400"},
    {RIG(", \"sensor_width_mm\": 24, \"sensor_height_mm\": 36"),
     "setup.json:1:11: rigs[0]: found sensor_height_mm 36 above sensor_width_mm"},
    {"{\"rigs\": []}", "setup.json:1:10: rigs: found 0 entries; expected a list of 1 to 3"},
    {"{\"rigs\": {}}", "setup.json:1:10: rigs: found an object; expected a list"},
    {"{\"rigs\": [1]}", "setup.json:1:11: rigs[0]: found 1; expected an object"},
    {"{\"rigs\": [{\"name\": \"\", \"focal_mm\": 50, \"f_number\": 2}]}",
     "setup.json:1:20: rigs[0].name: found \"\"; expected a text of 1 to 31 bytes"},
    {"{\"rigs\": [{\"name\": \"a\", \"focal_mm\": 50, \"f_number\": 2},"
     "{\"name\": \"a\", \"focal_mm\": 50, \"f_number\": 2}]}",
     "setup.json:1:65: rigs[1].name: found \"a\"; expected a name of its own"},
    {"{\"theme\": 0123456789012345678901234567890123456789012345678901234567890123456789}",
     "setup.json:1:11: theme: found 1.23456789e+68; expected a text of 1 to 31 bytes"},
    {"{\"danjon\": 4.01}", "setup.json:1:12: danjon: found 4.01; expected a number from 0 to 4"},
    {"{\"danjon\": -0.01}", "setup.json:1:12: danjon: found -0.01"},
    {"{\"clock\": 12}", "setup.json:1:11: clock: found 12; expected \"24\""},
    {"{\"units\": \"feet\"}", "setup.json:1:11: units: found \"feet\"; expected \"metric\""},
    {"{\"shadow_rule\": 1}", "setup.json:1:17: shadow_rule: found 1; expected \"danjon\""},
    {"{\"gpsd\": {\"host\": \"10.0.0.1\"}}",
     "setup.json:1:19: gpsd.host: found \"10.0.0.1\"; expected \"127.0.0.1\""},
    {"{\"gpsd\": {\"host\": \"localhost\"}}", "setup.json:1:19: gpsd.host"},
    {"{\"gpsd\": {\"host\": \"\", \"port\": 0}}", "setup.json:1:31: gpsd.port: found 0; expected"},
    {"{\"site\": {\"latitude_deg\": 90.5, \"longitude_deg\": 0}}",
     "setup.json:1:27: site.latitude_deg: found 90.5; expected -90 to 90 degrees"},
    {"{\"site\": {\"latitude_deg\": \"3 6 7 E\", \"longitude_deg\": 0}}",
     "setup.json:1:27: site.latitude_deg: '3 6 7 E' is not a latitude"},
    {SITE(", \"height_m\": true"), "setup.json:1:62: site.height_m: found true; expected"},
    {SITE(", \"height_m\": false"), "setup.json:1:62: site.height_m: found false; expected"},
    {SITE(", \"height_m\": {}"), "setup.json:1:62: site.height_m: found an object; expected"},
    {SITE(", \"time_zone\": \"Nowhere/City\""),
     "setup.json:1:63: site.time_zone: found time zone \"Nowhere/City\""},
    {SITE(", \"time_zone\": \"../../etc/passwd\""), "setup.json:1:63: site.time_zone: found time"},
    {SITE(", \"horizon\": [[0, 1], [0, 2]]"),
     "setup.json:1:71: site.horizon[1][0]: found azimuth 0 after 0; it must rise"},
    {SITE(", \"horizon\": [[0]]"), "setup.json:1:62: site.horizon[0]: expected [azimuth"},
    {SITE(", \"horizon\": [[360, 1]]"), "setup.json:1:62: site.horizon[0]: expected"},
    {SITE(", \"horizon\": [[\"a\", 1]]"), "setup.json:1:62: site.horizon[0]: expected"},
    {ITEM(", \"rig\": \"none\""),
     "setup.json:1:55: checklist[0].rig: found \"none\"; expected the name of one of the rigs"},
    {ITEM(", \"due\": \"U9-1m\""), "setup.json:1:55: checklist[0].due: "},
    {ITEM(", \"due\": \"U1-1m, at sunset\""),
     "setup.json:1:55: checklist[0].due: found 'at sunset'; expected \"by\" or \"from\""},
    {ITEM(", \"due\": \"U1-1m, by dinner\""),
     "setup.json:1:55: checklist[0].due: found 'dinner'; expected P1, U1, "},
    {ITEM(", \"when\": \"annular\""),
     "setup.json:1:56: checklist[0].when: found 'annular'; expected some of total, partial, "},
    {ITEM(", \"due\": 5"), "setup.json:1:55: checklist[0].due: found 5; expected an instant"},
    {ITEM("}, {\"group\": \"after\", \"text\": \"x\""),
     "setup.json:1:49: checklist[1]: found the id \""},
};

static void test_refused_with_place_and_untouched(void **state)
{
    static struct setup setup, before;
    struct fault fault;

    (void)state;
    memset(&setup, 0x5a, sizeof setup);
    memset(&before, 0x5a, sizeof before);
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        assert_int_equal(parse(refused[i].text, &setup, &fault), -1);
        if (strncmp(fault.text, refused[i].message, strlen(refused[i].message)) != 0)
            fail_msg("%s\n  said:   %s\n  wanted: %s", refused[i].text, fault.text,
                     refused[i].message);
        assert_memory_equal(&setup, &before, sizeof setup);
    }
}

/* No cut of a good file is taken, and none is read past its end (the copy is exact). */
static void test_no_part_of_a_file_is_taken(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    for (size_t length = 0; length < strlen(whole) - 2; length++) {
        char *part = malloc(length + 1);

        assert_non_null(part);
        memcpy(part, whole, length);
        part[length] = '\0';
        assert_int_equal(setup_parse("f", part, length, NULL, &setup, &fault), -1);
        free(part);
    }
}

static void test_a_zero_byte_and_too_large(void **state)
{
    static struct setup setup;
    static char large[(1 << 20) + 2];
    struct fault fault;

    (void)state;
    assert_int_equal(setup_parse("f", "{}\0{}", 5, NULL, &setup, &fault), -1);
    assert_string_equal(fault.text, "f:1:3: a control character; leave it out");
    memset(large, ' ', sizeof large - 1);
    assert_int_equal(setup_parse("f", large, sizeof large - 1, NULL, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "larger than 1 MiB"));
}

/* ---- written and read again ---- */

static char folder[64];

static int make_folder(void **state)
{
    (void)state;
    (void)snprintf(folder, sizeof folder, "/tmp/moonstand-test-XXXXXX");
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    char path[96];
    const char *const names[] = {"a/setup.json", "a/setup.json.bak", "a", "b.json", "c.json", ""};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        (void)remove(path);
    }
    return access(folder, F_OK) == 0 ? -1 : 0;
}

static void full_setup(struct setup *setup)
{
    struct rig *rig = &setup->rig[1];
    double *const numbers[] = {
        &rig->focal_mm,       &rig->f_number,     &rig->iso_min,       &rig->iso_max,
        &rig->interval_s,     &rig->frame_mb,     &rig->blur_limit_px, &rig->bracket_step_stops,
        &rig->pixel_pitch_um, &rig->filter_stops, &rig->extender,      &rig->warn_s,
    };

    setup_default(setup);
    setup->has_site = true;
    (void)snprintf(setup->site.name, sizeof setup->site.name, "A \"quoted\" \\ name, 62\xc2\xb0");
    setup->site.latitude_deg = 1.0 / 3; /* needs 16 digits */
    setup->site.longitude_deg = -179.99999999999997;
    setup->site.height_m = -12.5;
    (void)snprintf(setup->site.zone, sizeof setup->site.zone, "Asia/Kathmandu");
    setup->site.pressure_hpa = 900.1;
    setup->site.horizon.count = 2;
    setup->site.horizon.azimuth_rad[0] = rad_from_deg(12.345678);
    setup->site.horizon.azimuth_rad[1] = rad_from_deg(359.999);
    setup->site.horizon.altitude_rad[1] = rad_from_deg(45);
    /* Different from each other and from every default, inside every range. */
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        *numbers[i] = 1 + (double)i / 7;
    rig->iso_min = 31.25;
    rig->iso_max = 77.7;
    rig->sensor_width_mm = 30.1;
    rig->sensor_height_mm = 20.2;
    rig->shutter_min_s = 1.0 / 4000;
    rig->shutter_max_s = 59.9;
    rig->support = SUPPORT_LUNAR;
    rig->target = TARGET_BRACKET;
    rig->placement_stops[TARGET_LIT] = 0.1;
    rig->placement_stops[TARGET_UMBRA] = 0.2;
    rig->placement_stops[TARGET_STARS] = 0.3;
    rig->placement_stops[TARGET_FOREGROUND] = -0.4;
    rig->bracket_frames = 9;
    rig->until = (struct contact_offset){CONTACT_U4, 605};
    rig->remote_exposure = !rig->remote_exposure;
    rig->portrait = true;
    rig->margin = 0.123;
    rig->aim_tolerance = 0.045;
    rig->saving_s = 0.35;
    rig->mount = (struct mount){-12.5, 33, true, 15, 4, 85};
    rig->part = WIDE_U2_U3;
    rig->foreground = 0.22;
    rig->tilt_deg = 7.5;
    setup->checklist.count = 2;
    setup->checklist.item[0] = (struct check_item){.id = "one",
                                                   .group = CHECK_AFTER,
                                                   .text = "t",
                                                   .note = "n",
                                                   .rig = "long",
                                                   .has_due = true,
                                                   .due = {.at = {ANCHOR_END, 5400}}};
    setup->checklist.item[1] = (struct check_item){.id = "two",
                                                   .group = CHECK_BEFORE_U2,
                                                   .text = "u",
                                                   .when = WHEN_TOTAL | WHEN_MOON,
                                                   .has_due = true};
    assert_int_equal(due_parse("U2-12.25s, by sunset-30m, from moonrise+1h30m",
                               &setup->checklist.item[1].due, NULL),
                     0);
    setup->rule = SHADOW_CHAUVENET;
    (void)snprintf(setup->theme, sizeof setup->theme, "daylight");
    setup->danjon = 1.5;
    setup->extinction_mag = 0.7;
    setup->glass_cooling_c = 5.5;
    setup->gpsd_host[0] = '\0';
    setup->gpsd_port = 1234;
    setup->keep_awake = false;
}

static void assert_same_rig(const struct rig *a, const struct rig *b)
{
#define SAME(member) assert_true(a->member == b->member)
    assert_string_equal(a->name, b->name);
    assert_string_equal(a->lens, b->lens);
    SAME(focal_mm);
    SAME(f_number);
    SAME(sensor_width_mm);
    SAME(sensor_height_mm);
    SAME(pixel_pitch_um);
    SAME(support);
    SAME(iso_min);
    SAME(iso_max);
    assert_int_equal(isnan(a->interval_s), isnan(b->interval_s));
    if (isfinite(a->interval_s))
        SAME(interval_s);
    SAME(until.contact);
    SAME(until.offset_s);
    SAME(frame_mb);
    SAME(target);
    for (int i = 0; i < TARGETS; i++)
        SAME(placement_stops[i]);
    SAME(blur_limit_px);
    SAME(shutter_min_s);
    SAME(shutter_max_s);
    SAME(bracket_frames);
    SAME(bracket_step_stops);
    SAME(remote_exposure);
    SAME(filter_stops);
    SAME(extender);
    SAME(portrait);
    SAME(margin);
    SAME(aim_tolerance);
    SAME(warn_s);
    SAME(saving_s);
    SAME(mount.polar_az_error_arcmin);
    SAME(mount.polar_alt_error_arcmin);
    SAME(mount.german_equatorial);
    SAME(mount.past_meridian_min);
    SAME(mount.altitude_min_deg);
    SAME(mount.altitude_max_deg);
    SAME(part);
    SAME(foreground);
    SAME(tilt_deg);
#undef SAME
}

static void assert_same_setup(const struct setup *a, const struct setup *b)
{
#define SAME(member)                                                                               \
    assert_true(a->member == b->member || (isnan((double)a->member) && isnan((double)b->member)))
    SAME(has_site);
    assert_string_equal(a->site.name, b->site.name);
    SAME(site.latitude_deg);
    SAME(site.longitude_deg);
    SAME(site.height_m);
    assert_string_equal(a->site.zone, b->site.zone);
    SAME(site.pressure_hpa);
    SAME(site.temperature_c);
    SAME(site.horizon.count);
    SAME(site.horizon.sea);
    for (int i = 0; i < a->site.horizon.count; i++) {
        SAME(site.horizon.azimuth_rad[i]);
        SAME(site.horizon.altitude_rad[i]);
    }
    SAME(rig_count);
    for (int i = 0; i < a->rig_count; i++)
        assert_same_rig(&a->rig[i], &b->rig[i]);
    SAME(checklist.count);
    for (int i = 0; i < a->checklist.count; i++) {
        assert_string_equal(a->checklist.item[i].id, b->checklist.item[i].id);
        assert_string_equal(a->checklist.item[i].text, b->checklist.item[i].text);
        assert_string_equal(a->checklist.item[i].note, b->checklist.item[i].note);
        assert_string_equal(a->checklist.item[i].rig, b->checklist.item[i].rig);
        SAME(checklist.item[i].group);
        SAME(checklist.item[i].has_due);
        SAME(checklist.item[i].when);
        assert_true(due_is_same(&a->checklist.item[i].due, &b->checklist.item[i].due));
    }
    SAME(rule);
    assert_string_equal(a->theme, b->theme);
    SAME(danjon);
    SAME(extinction_mag);
    SAME(glass_cooling_c);
    assert_string_equal(a->gpsd_host, b->gpsd_host);
    SAME(gpsd_port);
    SAME(keep_awake);
#undef SAME
}

static bool file_has(const char *path, const char *text)
{
    static char bytes[1 << 16];
    FILE *file = fopen(path, "r");

    assert_non_null(file);
    bytes[fread(bytes, 1, sizeof bytes - 1, file)] = '\0';
    (void)fclose(file);
    return strstr(bytes, text);
}

/* So that a later version of the program has its own. */
static void test_the_built_in_checklist_stays_out_of_the_file(void **state)
{
    static struct setup setup;
    struct fault fault;
    char path[96], backup[104];

    (void)state;
    (void)snprintf(path, sizeof path, "%s/stock.json", folder);
    (void)snprintf(backup, sizeof backup, "%s.bak", path);
    setup_default(&setup);
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    assert_false(file_has(path, "\"checklist\""));
    setup.checklist.item[0].note[0] ^= 1;
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    assert_true(file_has(path, "\"checklist\""));
    assert_int_equal(remove(path) | remove(backup), 0);
}

static void test_written_comes_back_unchanged(void **state)
{
    static struct setup setup, back;
    struct fault fault;
    char path[96], backup[104];

    (void)state;
    (void)snprintf(path, sizeof path, "%s/a/setup.json", folder);
    (void)snprintf(backup, sizeof backup, "%s.bak", path);
    full_setup(&setup);
    if (setup_write(path, &setup, &fault) != 0 || setup_read(path, &back, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_same_setup(&setup, &back);
    assert_int_equal(access(backup, F_OK), -1);

    /* Without a site and with the list of the program; what was there is the backup. */
    setup_default(&setup);
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    assert_int_equal(setup_read(path, &back, &fault), 0);
    assert_same_setup(&setup, &back);
    assert_int_equal(setup_read(backup, &back, &fault), 0);
    full_setup(&setup);
    assert_same_setup(&setup, &back);
}

static void test_a_link_is_replaced_at_its_home(void **state)
{
    static struct setup setup;
    struct fault fault;
    char home[96], backup[104], link_path[96];

    (void)state;
    (void)snprintf(home, sizeof home, "%s/b.json", folder);
    (void)snprintf(link_path, sizeof link_path, "%s/c.json", folder);
    setup_default(&setup);
    assert_int_equal(symlink(home, link_path), 0);
    (void)fclose(fopen(home, "w"));
    assert_int_equal(setup_read(link_path, &setup, &fault), -1);
    assert_int_equal(setup_write(link_path, &setup, &fault), 0);
    assert_int_equal(readlink(link_path, (char[8]){0}, 8), 8);
    assert_int_equal(setup_read(home, &setup, &fault), 0);
    (void)snprintf(backup, sizeof backup, "%s.bak", home);
    assert_int_equal(remove(backup), 0);
}

static void test_absent_file_is_told_apart(void **state)
{
    static struct setup setup;
    struct fault fault;
    char path[96];

    (void)state;
    (void)snprintf(path, sizeof path, "%s/none.json", folder);
    assert_int_equal(setup_read(path, &setup, &fault), 1);
    assert_int_equal(setup_read(folder, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "not a regular file"));
}

/* ---- memory runs out at the n-th call ---- */

static int calls_left;

static void *failing_malloc(size_t size)
{
    if (calls_left-- > 0)
        return malloc(size);
    errno = ENOMEM;
    return NULL;
}

static void test_memory_out_at_every_call(void **state)
{
    static struct setup setup, back;
    struct fault fault;
    cJSON_Hooks hooks = {failing_malloc, free};
    char path[96];
    int calls = 0, status;

    (void)state;
    (void)snprintf(path, sizeof path, "%s/a/setup.json", folder);
    cJSON_InitHooks(&hooks);
    do {
        calls_left = calls++;
        status = parse(whole, &setup, &fault);
        if (status != 0)
            assert_string_equal(fault.text, "setup.json: out of memory");
    } while (status != 0);
    assert_true(calls > 100);

    full_setup(&setup);
    calls = 0;
    do {
        calls_left = calls++;
        status = setup_write(path, &setup, &fault);
    } while (status != 0);
    cJSON_InitHooks(NULL);
    assert_true(calls > 100);
    assert_int_equal(setup_read(path, &back, &fault), 0);
    assert_same_setup(&setup, &back);
}

/* A contact, and at most four hours before or after it; P4 by itself. */
static void test_until_when_a_rig_shoots(void **state)
{
    static const struct {
        const char *text;
        enum contact contact;
        double offset_s;
    } rows[] = {{"P4", CONTACT_P4, 0},
                {"U4+10m", CONTACT_U4, 600},
                {"greatest-1h30m", CONTACT_GREATEST, -5400},
                {"P4+4h", CONTACT_P4, 14400}};
    static const char *const wrong[] = {"\"P4+4h1s\"", "\"U5\"", "\"20:30\"", "3600"};
    static const char format[] = "{\"rigs\": [{\"name\": \"a\", \"focal_mm\": 20, "
                                 "\"f_number\": 2.8, \"until\": %s%s%s}]}";
    static struct setup setup;
    struct fault fault;
    char text[200];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        (void)snprintf(text, sizeof text, format, "\"", rows[i].text, "\"");
        assert_int_equal(parse(text, &setup, &fault), 0);
        assert_int_equal(setup.rig[0].until.contact, rows[i].contact);
        assert_true(setup.rig[0].until.offset_s == rows[i].offset_s);
    }
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        (void)snprintf(text, sizeof text, format, "", wrong[i], "");
        assert_int_equal(parse(text, &setup, &fault), -1);
        assert_non_null(strstr(fault.text, "rigs[0].until"));
    }
    assert_int_equal(parse("{}", &setup, &fault), 0);
    assert_int_equal(setup.rig[0].until.contact, CONTACT_P4);
}

/* Any other word is refused. */
static void test_a_horizon_may_be_the_sea(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    assert_int_equal(parse(SITE(", \"horizon\": \"sea\""), &setup, &fault), 0);
    assert_true(setup.site.horizon.sea);
    assert_int_equal(setup.site.horizon.count, 0);
    assert_int_equal(parse(SITE(", \"horizon\": \"lake\""), &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "or \"sea\""));
}

/* Two names that look alike, or one that turns the line round: with the place and the code point. */
static void test_what_cannot_be_seen_is_refused(void **state)
{
    static const struct {
        const char *text, *message;
    } unseen[] = {
        {"{\"rigs\": [{\"name\": \"w\\u202eide\", \"focal_mm\": 20, \"f_number\": 2}]}",
         "f:1:20: rigs[0].name: an invisible character (U+202E) in the key or the text; leave it "
         "out"},
        {"{\"rigs\": [{\"name\": \"w\xe2\x80\x8bide\", \"focal_mm\": 20, \"f_number\": 2}]}",
         "f:1:22: an invisible character (U+200B); leave it out"},
        {"{\"checklist\": [{\"group\": \"after\", \"text\": \"a\\u2066b\"}]}",
         "f:1:43: checklist[0].text: an invisible character (U+2066)"},
        {"{\"checklist\": [{\"group\": \"after\", \"text\": \"a\\u001bb\"}]}",
         "f:1:43: checklist[0].text: a control character in the key or the text"},
        {"{\"site\": {\"name\": \"\xef\xbb\xbfhome\"}}", "f:1:20: an invisible character (U+FEFF)"},
    };
    static struct setup setup;
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof unseen / sizeof unseen[0]; i++) {
        assert_int_equal(setup_parse("f", unseen[i].text, strlen(unseen[i].text), NULL, &setup,
                                     &fault),
                         -1);
        if (strncmp(fault.text, unseen[i].message, strlen(unseen[i].message)) != 0)
            fail_msg("said %s, wanted %s", fault.text, unseen[i].message);
    }
    setup_default(&setup);
    assert_int_equal(setup_edit(&setup, "rigs[0].name", "w\xe2\x80\x8bide", &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "an invisible character (U+200B)"));
}

/* Numbers of processes come again: what one that was killed has left behind blocks nobody. */
static void test_a_left_over_file_blocks_nobody(void **state)
{
    static struct setup setup;
    struct fault fault = {""};
    char place[] = "/tmp/moonstand-test-XXXXXX", file[64], left[96];
    FILE *out;

    (void)state;
    assert_non_null(mkdtemp(place));
    (void)snprintf(file, sizeof file, "%s/setup.json", place);
    (void)snprintf(left, sizeof left, "%s.new-%ld", file, (long)getpid());
    out = fopen(left, "w");
    assert_non_null(out);
    assert_true(fputs("half a se", out) >= 0);
    assert_int_equal(fclose(out), 0);
    setup_default(&setup);
    if (setup_write(file, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(setup_read(file, &setup, &fault), 0);
    assert_int_equal(access(left, F_OK), -1);
    assert_int_equal(unlink(file), 0);
    assert_int_equal(rmdir(place), 0);
}

/* What the file's reader would refuse is refused before anything is written. */
static void test_only_what_can_be_read_is_written(void **state)
{
    static struct setup setup;
    struct fault fault = {""};
    char place[] = "/tmp/moonstand-test-XXXXXX", file[64];

    (void)state;
    assert_non_null(mkdtemp(place));
    (void)snprintf(file, sizeof file, "%s/setup.json", place);
    setup_default(&setup);
    assert_int_equal(setup_check(&setup, &fault), 0);
    setup.rig[0].sensor_width_mm = 24;
    setup.rig[0].sensor_height_mm = 36;
    assert_int_equal(setup_check(&setup, &fault), -1);
    assert_non_null(strstr(fault.text, "sensor_height_mm 36 above sensor_width_mm"));
    assert_int_equal(setup_write(file, &setup, &fault), -1);
    assert_int_equal(access(file, F_OK), -1);
    setup_default(&setup);
    setup.rig[0].pixel_pitch_um = 365.15;
    assert_int_equal(setup_write(file, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "pixel_pitch_um"));
    assert_int_equal(rmdir(place), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_empty_object_is_the_default),
        cmocka_unit_test(test_a_horizon_may_be_the_sea),
        cmocka_unit_test(test_until_when_a_rig_shoots),
        cmocka_unit_test(test_every_part_is_read),
        cmocka_unit_test(test_ids_are_stable_and_of_all_that_makes_the_item),
        cmocka_unit_test(test_refused_with_place_and_untouched),
        cmocka_unit_test(test_no_part_of_a_file_is_taken),
        cmocka_unit_test(test_a_zero_byte_and_too_large),
        cmocka_unit_test(test_the_built_in_checklist_stays_out_of_the_file),
        cmocka_unit_test(test_written_comes_back_unchanged),
        cmocka_unit_test(test_a_link_is_replaced_at_its_home),
        cmocka_unit_test(test_absent_file_is_told_apart),
        cmocka_unit_test(test_memory_out_at_every_call),
        cmocka_unit_test(test_what_cannot_be_seen_is_refused),
        cmocka_unit_test(test_a_left_over_file_blocks_nobody),
        cmocka_unit_test(test_only_what_can_be_read_is_written),
    };

    return RUN_AND_CLOSE_ALL(tests, make_folder, remove_folder);
}
