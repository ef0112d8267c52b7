/* Local time against the C library, which reads the same files by code of its own; the rules'
 * published dates; names that lead nowhere; damaged files. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/store.h>

#include <ftw.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define ZONES "/usr/share/zoneinfo"
#define HOUR 3600.0
/* As far as the C library's time_t reaches. */
#define LIBRARY_END (sizeof(time_t) > 4 ? "2100-12-30T00:00" : "2037-12-30T00:00")
#define LIBRARY_START (sizeof(time_t) > 4 ? "1900-01-02T00:00" : "1902-01-02T00:00")

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

/* Nights of 36 hours from a day on, looked at in seven places. */
static void compare_nights(const char *name, const char *library_name, const char *first,
                           int nights)
{
    double from = at(first), to = at(LIBRARY_END);
    struct zone_table zone;
    struct fault fault;

    set_library_zone(library_name);
    for (int i = 0; i < nights; i++) {
        double utc = floor(from + any() * (to - from));

        if (zone_load(name, utc, utc + 36 * HOUR, &zone, &fault) != 0)
            fail_msg("%s", fault.text);
        for (int j = 0; j <= 6; j++)
            assert_as_library(name, &zone, utc + j * 6 * HOUR);
    }
}

static int zones_compared;

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
    if (fread(magic, 1, 4, file) == 4 && strcmp(magic, "TZif") == 0) {
        compare_nights(name, name, LIBRARY_START, 12);
        zones_compared++;
    }
    (void)fclose(file);
    return 0;
}

static void test_every_zone_of_the_system(void **state)
{
    (void)state;
    assert_int_equal(nftw(ZONES, compare_file, 16, FTW_PHYS), 0);
    print_message("%d zones compared\n", zones_compared);
    assert_true(zones_compared > 300);
}

/* More nights where the rules are many, and every hour round their changes. */
static void test_changes_to_the_second(void **state)
{
    static const char *const names[] = {
        "Europe/Rome",   "America/New_York", "Australia/Lord_Howe", "Africa/Casablanca",
        "Europe/Dublin", "Asia/Gaza",        "America/Nuuk",        "Pacific/Chatham"};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct zone_table zone;
        struct fault fault;

        compare_nights(names[i], names[i], LIBRARY_START, 300);
        for (int year = 1970; year <= (sizeof(time_t) > 4 ? 2099 : 2036); year += 3) {
            double from = seconds_from_civil(&(struct civil){.year = year, .month = 1, .day = 1});

            assert_int_equal(zone_load(names[i], from, from + 366 * SECONDS_PER_DAY, &zone, &fault),
                             0);
            for (int j = 1; j < zone.count; j++)
                for (int k = -1; k <= 1; k++)
                    assert_as_library(names[i], &zone, zone.step[j].from_utc + k);
        }
    }
}

/* European Union: last Sundays of March and October, 01:00 UTC (directive 2000/84/EC). United
 * States: second Sunday of March, first of November, 02:00 (Energy Policy Act of 2005). */
static void test_published_rules(void **state)
{
    struct zone_table zone;

    (void)state;
    assert_int_equal(
        zone_load("Europe/Rome", at("2028-10-28T20:00"), at("2028-10-29T08:00"), &zone, NULL), 0);
    assert_string_equal(zone.name, "Europe/Rome");
    assert_int_equal(zone.count, 2);
    assert_true(zone.step[1].from_utc == at("2028-10-29T01:00"));
    assert_int_equal(zone.step[0].offset_s, 7200);
    assert_string_equal(zone.step[0].abbreviation, "CEST");
    assert_int_equal(zone.step[1].offset_s, 3600);
    assert_string_equal(zone.step[1].abbreviation, "CET");

    assert_int_equal(
        zone_load("America/New_York", at("2100-03-13T00:00"), at("2100-03-15T00:00"), &zone, NULL),
        0);
    assert_int_equal(zone.count, 2);
    assert_true(zone.step[1].from_utc == at("2100-03-14T07:00"));
    assert_int_equal(zone.step[1].offset_s, -4 * 3600);

    assert_int_equal(zone_load("Asia/Yekaterinburg", at("2028-12-31T00:00"), at("2029-01-01T12:00"),
                               &zone, NULL),
                     0);
    assert_int_equal(zone.count, 1);
    assert_int_equal(zone.step[0].offset_s, 5 * 3600);
}

/* Rules of POSIX and RFC 8536: weekdays, both ways of counting days, times past the day, summer
 * over the turn of the year, odd names. From 1971: glibc takes the changes of every earlier year
 * for those of 1970. */
static void test_rules_of_the_environment(void **state)
{
    static const char *const rules[] = {
        "UTC0",
        "EST5EDT,M3.2.0,M11.1.0",
        "NZST-12NZDT,M9.5.0,M4.1.0/3",
        "IST-1GMT0,M10.5.0,M3.5.0/1",
        "<-03>3<-02>,M3.5.0/-2,M10.5.0/-1",
        "AAA-5:45:30BBB-6:15,J60/0,J300/23:59:59",
        "AAA-3BBB,59/1,299/25",
    };

    (void)state;
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
        compare_nights("system", rules[i], "1971-01-01T00:00", 400);
        compare_nights("", rules[i], "1971-01-01T00:00", 10);
    }
    /* Summer all year, the example of RFC 8536 section 3.3.1; glibc loses it at the year's turn. */
    set_library_zone("XXX3EDT4,0/0,J365/23");
    for (int i = 0; i < 400; i++) {
        double utc = at("2027-12-31T00:00") + i * SECONDS_PER_DAY / 100;
        struct zone_table zone;

        assert_int_equal(zone_load("system", utc, utc, &zone, NULL), 0);
        assert_string_equal(zone.step[0].abbreviation, "EDT");
        assert_int_equal(zone.step[0].offset_s, -4 * 3600);
    }
}

static void test_system_zone(void **state)
{
    struct zone_table zone;
    struct fault fault;

    (void)state;
    set_library_zone(":Asia/Tokyo");
    assert_int_equal(zone_load("system", 0, 0, &zone, &fault), 0);
    assert_string_equal(zone.name, "Asia/Tokyo");
    assert_int_equal(zone.step[0].offset_s, 9 * 3600);
    set_library_zone(ZONES "/Asia/Tokyo");
    assert_int_equal(zone_load("system", 0, 0, &zone, &fault), 0);
    assert_int_equal(zone.step[0].offset_s, 9 * 3600);
    set_library_zone("");
    assert_int_equal(zone_load("system", 0, 0, &zone, &fault), 0);
    assert_string_equal(zone.name, "UTC");
    set_library_zone("Nowhere/City");
    assert_int_equal(zone_load("system", 0, 0, &zone, &fault), -1);
    assert_non_null(strstr(fault.text, "\"Nowhere/City\""));
    /* Without TZ: whatever this machine has, the library sees the same. */
    unsetenv("TZ");
    tzset();
    assert_int_equal(
        zone_load("system", at("2027-07-01T00:00"), at("2027-07-02T00:00"), &zone, &fault), 0);
    assert_as_library("system", &zone, at("2027-07-01T12:00"));
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
        assert_int_equal(zone_load(names[i], 0, 0, &zone, &fault), -1);
        assert_non_null(strstr(fault.text, "allowed is a name of"));
        assert_string_equal(zone.name, "before");
    }
    assert_int_equal(zone_load("Europe", 0, 0, &zone, &fault), -1);
}

static void test_span_with_too_many_changes(void **state)
{
    struct zone_table zone;
    struct fault fault;

    (void)state;
    assert_int_equal(
        zone_load("Europe/Rome", at("2028-01-01T00:00"), at("2032-01-01T00:00"), &zone, &fault),
        -1);
    assert_non_null(strstr(fault.text, "more than 7 changes"));
}

/* ---- damaged files, from a folder of their own ---- */

static char folder[64];

static int make_folder(void **state)
{
    (void)state;
    (void)snprintf(folder, sizeof folder, "/tmp/moonstand-test-XXXXXX");
    return mkdtemp(folder) && setenv("TZDIR", folder, 1) == 0 ? 0 : -1;
}

static int remove_folder(void **state)
{
    char path[80];

    (void)state;
    unsetenv("TZDIR");
    (void)snprintf(path, sizeof path, "%s/Test", folder);
    return remove(path) == 0 && rmdir(folder) == 0 ? 0 : -1;
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
    double from = at("2028-01-01T00:00"), to = at("2028-12-31T00:00");

    (void)state;
    assert_non_null(file);
    length = fread(good, 1, sizeof good, file);
    (void)fclose(file);
    assert_int_equal(zone_load("Europe/Rome", from, to, &zone, &fault), -1);
    put(good, length);
    assert_int_equal(zone_load("Test", from, to, &zone, &fault), 0);
    assert_int_equal(zone.count, 3);
    for (size_t i = 0; i < length; i += 7) {
        put(good, i);
        assert_int_equal(zone_load("Test", from, to, &zone, &fault), -1);
        assert_non_null(strstr(fault.text, "not a time zone file"));
    }
    /* Any byte may be wrong: no crash (the sanitizers watch), and either refused or a table. */
    for (int i = 0; i < 2000; i++) {
        memcpy(bad, good, length);
        bad[(size_t)(any() * (double)length)] = (char)(unsigned char)(any() * 256);
        bad[(size_t)(any() * 60)] = (char)(unsigned char)(any() * 256);
        put(bad, length);
        if (zone_load("Test", from, to, &zone, &fault) == 0)
            assert_in_range(zone.count, 1, ZONE_STEPS);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_zone_of_the_system),
        cmocka_unit_test(test_changes_to_the_second),
        cmocka_unit_test(test_published_rules),
        cmocka_unit_test(test_rules_of_the_environment),
        cmocka_unit_test(test_system_zone),
        cmocka_unit_test(test_refused_names),
        cmocka_unit_test(test_span_with_too_many_changes),
        cmocka_unit_test_setup_teardown(test_damaged_files, make_folder, remove_folder),
    };

    unsetenv("TZDIR");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
