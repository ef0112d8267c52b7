/* Local time against the C library at each instant; the rules' published dates; names that lead
 * nowhere; damaged files; $TZ as it was before. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"
#include "timed.h"
#include "scratch.h"
#include "../../src/store/files.h"

#include <moonstand/fault.h>
#include <moonstand/instant.h>
#include <moonstand/text.h>
#include <moonstand/zone_load.h>

#include <ftw.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define ZONES "/usr/share/zoneinfo"
#define SPAN_START "1900-01-01T00:00"
#define SPAN_END "2100-12-31T23:59"

static uint64_t seed = 20281231;

/* 0 to 1. */
static double any(void)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(seed >> 11) / 9007199254740992.0;
}

static double at(const char *iso)
{
    double utc;

    assert_int_equal(parse_instant(iso, &utc, NULL), 0);
    return utc;
}

static void set_library_zone(const char *name)
{
    assert_int_equal(setenv("TZ", name, 1), 0);
    tzset();
}

static void assert_as_library(const char *name, const struct zone_table *zone, double utc)
{
    time_t instant = (time_t)utc;
    struct tm local;
    const char *abbreviation;
    int offset = zone_offset(zone, utc, &abbreviation);

    assert_non_null(localtime_r(&instant, &local));
    if (offset != local.tm_gmtoff || strcmp(abbreviation, local.tm_zone) != 0)
        fail_msg("%s at %.0f: %d %s, the C library has %ld %s", name, utc, offset, abbreviation,
                 local.tm_gmtoff, local.tm_zone);
}

/* One table must serve for all times: `instants` at random, and both sides of each change it has. The
 * library has that zone by the name of `library`. */
static void compare_zone(const char *name, const char *library, int instants)
{
    double from = at(SPAN_START), to = at(SPAN_END);
    struct zone_table zone;
    struct fault fault;

    set_library_zone(library);
    if (zone_load(name, -INFINITY, INFINITY, &zone, &fault) != 0)
        fail_msg("%s: %s", library, fault.text);
    assert_string_equal(getenv("TZ"), library);
    for (int i = 0; i < instants; i++)
        assert_as_library(library, &zone, floor(from + any() * (to - from)));
    for (int i = 1; i < zone.count; i++)
        for (int j = -1; j <= 1; j++)
            assert_as_library(library, &zone, zone.step[i].from_utc + j);
}

/* Of the system, and how many of them are compared: in short each eighth. */
static int zones_seen, zones_compared;

static int compare_file(const char *path, const struct stat *status, int type, struct FTW *place)
{
    const char *name = path + strlen(ZONES) + 1;
    char magic[5] = "";
    FILE *file;

    (void)status;
    (void)place;
    if (type != FTW_F || strncmp(name, "right/", 6) == 0 || strchr(name, '.') ||
        strcmp(name, "localtime") == 0)
        return 0;
    file = fopen(path, "r");
    assert_non_null(file);
    if (fread(magic, 1, 4, file) == 4 && strcmp(magic, "TZif") == 0 &&
        zones_seen++ % (QUICK ? 8 : 1) == 0) {
        compare_zone(name, name, QUICK ? 10 : 200);
        zones_compared++;
    }
    (void)fclose(file);
    return 0;
}

static void test_every_zone_of_the_system(void **state)
{
    (void)state;
    assert_int_equal(nftw(ZONES, compare_file, 16, FTW_PHYS), 0);
    print_message("%d of %d zones compared\n", zones_compared, zones_seen);
    assert_true(zones_seen > 300);
    assert_int_equal(zones_compared, QUICK ? (zones_seen + 7) / 8 : zones_seen);
}

/* Every three and a half hours of two centuries, where the rules are many, where a day was repeated or
 * left out and where two changes are closest together. */
static void test_two_centuries(void **state)
{
    static const char *const names[] = {"Asia/Gaza", "Pacific/Apia", "Africa/Freetown"};
    double to = at(SPAN_END);

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct zone_table zone;

        set_library_zone(names[i]);
        assert_int_equal(zone_load(names[i], -INFINITY, INFINITY, &zone, NULL), 0);
        for (double utc = at(SPAN_START); utc < to; utc += QUICK ? 47 * 1800 : 7 * 1800)
            assert_as_library(names[i], &zone, utc);
    }
}

/* European Union: last Sundays of March and October, 01:00 UTC (directive 2000/84/EC). United
 * States: second Sunday of March, first of November, 02:00 (Energy Policy Act of 2005). */
static void test_published_rules(void **state)
{
    struct zone_table zone;
    const char *abbreviation;

    (void)state;
    assert_int_equal(zone_load("Europe/Rome", -INFINITY, INFINITY, &zone, NULL), 0);
    assert_string_equal(zone.name, "Europe/Rome");
    assert_int_equal(zone_offset(&zone, at("2028-10-29T00:59:59"), &abbreviation), 7200);
    assert_string_equal(abbreviation, "CEST");
    assert_int_equal(zone_offset(&zone, at("2028-10-29T01:00"), &abbreviation), 3600);
    assert_string_equal(abbreviation, "CET");

    assert_int_equal(zone_load("America/New_York", -INFINITY, INFINITY, &zone, NULL), 0);
    assert_int_equal(zone_offset(&zone, at("2100-03-14T06:59:59"), NULL), -5 * 3600);
    assert_int_equal(zone_offset(&zone, at("2100-03-14T07:00"), NULL), -4 * 3600);
    assert_int_equal(zone_offset(&zone, at("2100-11-07T06:00"), NULL), -5 * 3600);

    assert_int_equal(zone_load("Asia/Yekaterinburg", -INFINITY, INFINITY, &zone, NULL), 0);
    assert_int_equal(zone_offset(&zone, at("2028-12-31T00:00"), NULL), 5 * 3600);
    assert_int_equal(zone_offset(&zone, at("2100-07-01T00:00"), NULL), 5 * 3600);
}

/* Rules of POSIX and RFC 8536: weekdays, both ways of counting days, times past the day, summer
 * over the turn of the year, odd names. */
static void test_rules_of_the_environment(void **state)
{
    static const char *const rules[] = {
        "UTC0",
        "CET-1CEST,M3.5.0,M10.5.0/3",
        "EST5EDT,M3.2.0,M11.1.0",
        "NZST-12NZDT,M9.5.0,M4.1.0/3",
        "IST-1GMT0,M10.5.0,M3.5.0/1",
        "<-03>3<-02>,M3.5.0/-2,M10.5.0/-1",
        "AAA-5:45:30BBB-6:15,J60/0,J300/23:59:59",
        "AAA-3BBB,59/1,299/25",
        "EET-2EEST,M3.4.4/50,M10.4.4/50",
        "<+12>-12<+13>,M11.2.0,M1.2.3",
        "XST3XDT,M11.5.6,M2.1.0/24",
    };

    (void)state;
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
        compare_zone("system", rules[i], 1000);
        compare_zone("", rules[i], 10);
    }
}

static int draw(int lowest, int highest)
{
    return lowest + (int)(any() * (highest - lowest + 1));
}

/* A date of the month (1 to 12) in one of the three forms, and mostly an hour, up to a week off. */
static int put_date(char *out, size_t room, int month)
{
    static const int hours[] = {167, 48, 24, 3};
    int day = (month - 1) * 30 + draw(10, 20), length = 0;

    switch (draw(0, 2)) {
    case 0:
        length = snprintf(out, room, ",M%d.%d.%d", month, draw(1, 5), draw(0, 6));
        break;
    case 1:
        length = snprintf(out, room, ",J%d", day);
        break;
    default:
        length = snprintf(out, room, ",%d", day);
    }
    if (draw(0, 4) > 0) {
        int most = hours[draw(0, 3)];

        length += snprintf(out + length, room - (size_t)length, "/%d", draw(-most, most));
        if (draw(0, 1))
            length += snprintf(out + length, room - (size_t)length, ":%02d:%02d", draw(0, 59),
                               draw(0, 59));
    }
    return length;
}

/* Months from February to November, three apart: the C library counts a change that a week's hours
 * carry over the turn of the year in the wrong year. */
static void test_random_rules(void **state)
{
    (void)state;
    for (int i = 0; i < 1000; i++) {
        char rule[128];
        size_t length;
        int first = draw(2, 8), second = draw(first + 3, 11);
        bool south = draw(0, 1);

        length =
            (size_t)snprintf(rule, sizeof rule, "%s%d:%02d:%02dBBB", draw(0, 1) ? "AAA" : "<+0-Za>",
                             draw(-24, 24), draw(0, 59), draw(0, 59));
        if (draw(0, 1))
            length += (size_t)snprintf(rule + length, sizeof rule - length, "%d:%d", draw(-24, 24),
                                       draw(0, 59));
        length += (size_t)put_date(rule + length, sizeof rule - length, south ? second : first);
        (void)put_date(rule + length, sizeof rule - length, south ? first : second);
        compare_zone("system", rule, QUICK ? 10 : 200);
    }
}

static void test_system_zone(void **state)
{
    struct zone_table zone;
    struct fault fault;

    (void)state;
    set_library_zone(":Asia/Tokyo");
    assert_int_equal(zone_load("system", -INFINITY, INFINITY, &zone, &fault), 0);
    assert_string_equal(zone.name, "Asia/Tokyo");
    assert_int_equal(zone.step[0].offset_s, 9 * 3600);
    set_library_zone(ZONES "/Asia/Tokyo");
    assert_int_equal(zone_load("system", -INFINITY, INFINITY, &zone, &fault), 0);
    assert_int_equal(zone.step[0].offset_s, 9 * 3600);
    set_library_zone("");
    assert_int_equal(zone_load("system", -INFINITY, INFINITY, &zone, &fault), 0);
    assert_string_equal(zone.name, "UTC");
    /* Without TZ: whatever this machine has, the library sees the same; and none is there after. */
    unsetenv("TZ");
    tzset();
    assert_int_equal(zone_load("Asia/Tokyo", -INFINITY, INFINITY, &zone, &fault), 0);
    assert_int_equal(zone_load("system", -INFINITY, INFINITY, &zone, &fault), 0);
    assert_null(getenv("TZ"));
    assert_as_library("system", &zone, at("2027-07-01T12:00"));
}

/* What the C library would take for UTC, or for another rule, without a word. */
static void test_refused_environment(void **state)
{
    static const char *const texts[] = {
        "Nowhere/City",
        "CET",
        "CET-1CEST",
        "CET-25",
        "CET-1CEST,M3.5.0",
        "CET-1CEST,M13.5.0,M10.5.0/3",
        "CET-1CEST,M3.6.0,M10.5.0/3",
        "CET-1CEST,M3.5.7,M10.5.0/3",
        "CET-1CEST,J0,M10.5.0/3",
        "CET-1CEST,366,M10.5.0/3",
        "CET-1CEST,M3.5.0,M10.5.0/168",
        "CET-1CEST,M3.5.0,M10.5.0/3 ",
        "CE-1",
        "<+1-1",
        "ABCDEFGH-1",
    };
    struct zone_table zone = {.name = "before"};
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        /* Some systems have a file CET. */
        if (strcmp(texts[i], "CET") == 0 && access(ZONES "/CET", R_OK) == 0)
            continue;
        set_library_zone(texts[i]);
        if (zone_load("system", -INFINITY, INFINITY, &zone, &fault) != -1)
            fail_msg("taken: %s", texts[i]);
        assert_non_null(strstr(fault.text, texts[i]));
        assert_string_equal(zone.name, "before");
        assert_string_equal(getenv("TZ"), texts[i]);
    }
    unsetenv("TZ");
}

static void test_refused_names(void **state)
{
    static const char *const names[] = {
        "Nowhere/City",
        "../zoneinfo/UTC",
        "/usr/share/zoneinfo/UTC",
        "Europe/../UTC",
        "zone.tab",
        "EST5EDT,M3.2.0,M11.1.0",
        "AVeryLongNameOfAZone/ThatNobodyHasEverHeardOf/AndThatDoesNotFit64"};
    struct zone_table zone = {.name = "before"};
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        assert_int_equal(zone_load(names[i], -INFINITY, INFINITY, &zone, &fault), -1);
        assert_non_null(strstr(fault.text, "expected a name of"));
        assert_string_equal(zone.name, "before");
        assert_int_equal(zone_check(names[i], &fault), -1);
    }
    assert_int_equal(zone_load("Europe", -INFINITY, INFINITY, &zone, &fault), -1);
    assert_int_equal(zone_check("Europe/Rome", &fault), 0);
}

/* Their clock is 27 s and more away from UTC. */
static void test_zones_that_count_leap_seconds(void **state)
{
    struct zone_table zone;
    struct fault fault;

    (void)state;
    if (access(ZONES "/right/Europe/Rome", R_OK) != 0)
        skip();
    assert_int_equal(zone_load("right/Europe/Rome", -INFINITY, INFINITY, &zone, &fault), -1);
    assert_non_null(strstr(fault.text, "counts leap seconds"));
}

/* ---- damaged files, from a folder of their own ---- */

static char folder[SCRATCH];

static int make_folder(void **state)
{
    (void)state;
    return scratch_make(folder) && setenv("TZDIR", folder, 1) == 0 ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    unsetenv("TZDIR");
    return scratch_remove(folder);
}

static void put(const char *bytes, size_t length)
{
    char path[80];
    FILE *file;

    (void)snprintf(path, sizeof path, "%s/Test", folder);
    file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

static void test_damaged_files(void **state)
{
    static char good[1 << 16], bad[1 << 16];
    FILE *file = fopen(ZONES "/Europe/Rome", "r");
    size_t length;
    struct zone_table zone;
    struct fault fault;

    (void)state;
    assert_non_null(file);
    length = fread(good, 1, sizeof good, file);
    (void)fclose(file);
    assert_int_equal(zone_load("Europe/Rome", -INFINITY, INFINITY, &zone, &fault), -1);
    put(good, length);
    assert_int_equal(zone_load("Test", -INFINITY, INFINITY, &zone, &fault), 0);
    assert_int_equal(zone_offset(&zone, at("2028-07-01T00:00"), NULL), 7200);
    for (size_t i = 0; i < length; i += QUICK ? 5 : 1) {
        put(good, i);
        assert_int_equal(zone_check("Test", &fault), -1);
        assert_non_null(strstr(fault.text, "damaged"));
    }
    /* The head of a file, its rule and no newline between: nothing is read before the first byte. */
    put("TZif2AAA-3\n", 11);
    assert_int_equal(zone_load("Test", -INFINITY, INFINITY, &zone, &fault), -1);
    /* A rule that the library would take for half of it. */
    memcpy(bad, good, length);
    memcpy(bad + length - 3, "9x", 2);
    put(bad, length);
    assert_int_equal(zone_load("Test", -INFINITY, INFINITY, &zone, &fault), -1);
    /* Any byte may be wrong: no crash (the sanitizers watch), and either refused or a table. */
    for (int i = 0; i < (QUICK ? 300 : 600); i++) {
        memcpy(bad, good, length);
        bad[(size_t)(any() * (double)length)] = (char)(unsigned char)(any() * 256);
        bad[(size_t)(any() * 60)] = (char)(unsigned char)(any() * 256);
        put(bad, length);
        if (zone_load("Test", -INFINITY, INFINITY, &zone, &fault) == 0)
            assert_in_range(zone.count, 1, ZONE_STEPS);
    }
}

/* The zones of places far from any border: common geography, from memory. */
static void test_zone_of_a_place(void **state)
{
    static const struct {
        double latitude, longitude;
        const char *zone;
    } places[] = {
        {40.4, -3.7, "Europe/Madrid"},     {35.7, 139.7, "Asia/Tokyo"}, {-33.9, 151.2, "Australia/Sydney"},
        {41.9, -87.6, "America/Chicago"},  {-34.6, -58.4, "America/Argentina/Buenos_Aires"},
        {64.2, -51.7, "America/Nuuk"},
    };
    char name[64];

    (void)state;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        assert_true(zone_near(places[i].latitude, places[i].longitude, name, sizeof name));
        assert_string_equal(name, places[i].zone);
    }
    setenv("TZDIR", "/nowhere", 1);
    assert_false(zone_near(40.4, -3.7, name, sizeof name));
    unsetenv("TZDIR");
}

/* A table of two places that differ by one unit of one digit of their coordinates (ISO 6709: degrees, minutes,
 * seconds), each asked for at its own place. */
static void test_every_digit_of_a_place(void **state)
{
    static const struct {
        const char *at[2];
        double latitude[2], longitude[2];
    } pairs[] = {
        {{"+0000+00000", "+1000+00000"}, {0, 10}, {0, 0}},
        {{"+4200+00000", "+4300+00000"}, {42, 43}, {0, 0}},
        {{"+4210+00000", "+4220+00000"}, {42 + 10 / 60.0, 42 + 20 / 60.0}, {0, 0}},
        {{"+4238+00000", "+4239+00000"}, {42 + 38 / 60.0, 42 + 39 / 60.0}, {0, 0}},
        {{"-421530+0000000", "-421540+0000000"}, {-42.2583333, -42.2611111}, {0, 0}},
        {{"-421538+0000000", "-421539+0000000"}, {-42.2605556, -42.2608333}, {0, 0}},
        {{"+4200+10000", "+4200-10000"}, {42, 42}, {100, -100}},
        {{"+4200+11000", "+4200+12000"}, {42, 42}, {110, 120}},
        {{"+4200-01800", "+4200-01900"}, {42, 42}, {-18, -19}},
        {{"+4200-01810", "+4200-01820"}, {42, 42}, {-18 - 10 / 60.0, -18 - 20 / 60.0}},
        {{"+0130-01811", "+0130-01812"}, {1.5, 1.5}, {-18 - 11 / 60.0, -18 - 12 / 60.0}},
        {{"+420000+1791510", "+420000+1791520"}, {42, 42}, {179.2527778, 179.2555556}},
        {{"+420000-1791511", "+420000-1791512"}, {42, 42}, {-179.2530556, -179.2533333}},
    };
    char path[sizeof folder + 20], name[8]; /* "Too/long" has no room */

    (void)state;
    (void)snprintf(path, sizeof path, "%s/zone1970.tab", folder);
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        FILE *file = fopen(path, "w");

        assert_non_null(file);
        (void)fprintf(file, "# a remark\t+0000+00000\tNo\nXX\nXX\tno place\tNo\nXX\t+0000+00000\tToo/long\nXX\t+4200+00000\n"
                            "XX,YY\t%s\tHere/A\nZZ\t%s\tThere/B\tits remark\n", pairs[i].at[0], pairs[i].at[1]);
        assert_int_equal(fclose(file), 0);
        for (int j = 0; j < 2; j++) {
            assert_true(zone_near(pairs[i].latitude[j], pairs[i].longitude[j], name, sizeof name));
            assert_string_equal(name, j == 0 ? "Here/A" : "There/B");
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_every_digit_of_a_place, make_folder, remove_folder),
        cmocka_unit_test(test_every_zone_of_the_system),
        cmocka_unit_test(test_zone_of_a_place),
        cmocka_unit_test(test_two_centuries),
        cmocka_unit_test(test_published_rules),
        cmocka_unit_test(test_rules_of_the_environment),
        cmocka_unit_test(test_random_rules),
        cmocka_unit_test(test_system_zone),
        cmocka_unit_test(test_refused_environment),
        cmocka_unit_test(test_refused_names),
        cmocka_unit_test(test_zones_that_count_leap_seconds),
        cmocka_unit_test_setup_teardown(test_damaged_files, make_folder, remove_folder),
    };

    unsetenv("TZDIR");
    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
