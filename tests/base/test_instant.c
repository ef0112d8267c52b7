/* Calendar and time scales against published values. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <erfa.h>
#include <math.h>
#include <moonstand/instant.h>
#include <near.h>

static double utc_of(int year, int month, int day)
{
    struct civil civil = {.year = year, .month = month, .day = day};

    return seconds_from_civil(&civil);
}

static void calendar_goes_both_ways(void **state)
{
    (void)state;
    assert_true(utc_of(1970, 1, 1) == 0);
    assert_true(utc_of(2000, 1, 1) == 946684800);
    for (double day = utc_of(1899, 12, 1); day < utc_of(2101, 2, 1); day += SECONDS_PER_DAY) {
        struct civil civil = civil_from_seconds(day + 86399.5);

        assert_true(seconds_from_civil(&civil) == day + 86399.5);
        assert_int_equal(civil.hour, 23);
    }
    /* 1900 and 2100 have no leap day, 2000 has one. */
    assert_int_equal(civil_from_seconds(utc_of(1900, 2, 28) + SECONDS_PER_DAY).month, 3);
    assert_int_equal(civil_from_seconds(utc_of(2100, 2, 28) + SECONDS_PER_DAY).month, 3);
    assert_int_equal(civil_from_seconds(utc_of(2000, 2, 28) + SECONDS_PER_DAY).day, 29);
}

/* IERS Bulletin C 72: TAI-UTC is 37 s since 2017-01-01; 36 from 2015-07, 32 from 1999. TT = TAI
 * + 32.184. */
static void leap_seconds_are_those_of_the_bulletin(void **state)
{
    static const struct {
        int year, month;
        double tai_minus_utc;
    } rows[] = {{1999, 1, 32}, {2006, 1, 33}, {2009, 1, 34}, {2012, 7, 35},
                {2015, 7, 36}, {2017, 1, 37}, {2026, 8, 37}, {2060, 1, 37}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double utc = utc_of(rows[i].year, rows[i].month, 1);
        double offset = tt_from_utc(utc) - (utc - 10957.5 * SECONDS_PER_DAY);

        assert_near(offset, rows[i].tai_minus_utc + 32.184, 1e-6);
        assert_near(utc_from_tt(tt_from_utc(utc)), utc, 1e-6);
    }
    assert_true(utc_is_announced(utc_of(2027, 6, 27)));
    assert_false(utc_is_announced(utc_of(2027, 6, 29)));
}

/* delta T column of the Five Millennium Catalog of Lunar Eclipses (NASA/TP-2009-214173): whole
 * seconds. */
static void delta_t_before_1972_matches_the_catalogue(void **state)
{
    static const struct {
        int year, month, day;
        double delta_t_s;
    } rows[] = {{1950, 4, 2, 29},   {1953, 7, 26, 30},  {1955, 6, 5, 31}, {1958, 4, 4, 32},
                {1963, 12, 30, 35}, {1967, 10, 18, 38}, {1971, 8, 6, 42}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double ut1 = utc_of(rows[i].year, rows[i].month, rows[i].day);
        double delta_t = tt_from_utc(ut1) - (ut1 - 10957.5 * SECONDS_PER_DAY);

        assert_false(utc_scale_is_utc(ut1));
        assert_near(delta_t, rows[i].delta_t_s, 0.5);
        assert_near(utc_from_tt(tt_from_utc(ut1)), ut1, 1e-6);
    }
}

/* The polynomials of NASA/TP-2006-214141 (Espenak & Meeus), worked out in fractions at the ends and in the
 * middle of their years; those before 1941 from memory. */
static void delta_t_is_the_published_polynomial(void **state)
{
    static const struct {
        int year, month;
        double delta_t_s;
    } rows[] = {{1900, 1, -2.7278}, {1910, 6, 11.0165}, {1919, 12, 21.1777}, {1921, 1, 21.9999},
                {1930, 7, 24.1028}, {1940, 12, 24.7549}, {1941, 1, 24.7973}, {1946, 3, 27.4437},
                {1960, 12, 33.5313}, {1961, 1, 33.5948}, {1966, 4, 36.7863}, {1971, 12, 42.2082}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double ut1 = utc_of(rows[i].year, rows[i].month, 9);

        assert_near(tt_from_utc(ut1) - (ut1 - 10957.5 * SECONDS_PER_DAY), rows[i].delta_t_s, 1e-4);
    }
}

/* Delta T at the beginning of the year, Astronomical Almanac, page K8; ours smooths it by a curve. */
static void delta_t_before_1941_follows_the_almanac(void **state)
{
    static const struct {
        int year;
        double delta_t_s;
    } rows[] = {{1900, -2.72}, {1905, 3.86},  {1910, 10.46}, {1915, 17.20}, {1920, 21.16},
                {1925, 23.62}, {1930, 24.02}, {1935, 23.93}, {1940, 24.33}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double ut1 = utc_of(rows[i].year, 1, 1);

        assert_near(tt_from_utc(ut1) - (ut1 - 10957.5 * SECONDS_PER_DAY), rows[i].delta_t_s, 0.25);
    }
}

/* The rate is that of the leap seconds that liberfa has from the bulletins. */
static void ut1_parts_from_utc_at_the_mean_rate_since_1972(void **state)
{
    double in_1972, in_2017, years = 45;

    (void)state;
    assert_true(eraDat(1972, 1, 2, 0, &in_1972) >= 0);
    assert_true(eraDat(2017, 1, 2, 0, &in_2017) >= 0);
    assert_near(in_2017 - in_1972, 27, 0);
    assert_near(ut1_doubt_s(utc_of(1990, 1, 1)), 0.9, 0);
    assert_near(ut1_doubt_s(utc_of(2035, 1, 1)), 0.9, 0);
    assert_near(ut1_doubt_s(utc_of(2080, 1, 1)) - ut1_doubt_s(utc_of(2035, 1, 1)),
                (in_2017 - in_1972) * (2080 - 2035) / years, 0.01);
}

static void unknown_stays_unknown(void **state)
{
    (void)state;
    assert_true(isnan(tt_from_utc(NAN)));
    assert_true(isnan(utc_from_tt(NAN)));
}

static void zone_steps_are_in_force_from_their_instant(void **state)
{
    struct zone_table zone = {.name = "Test/Zone", .count = 2};
    const char *abbreviation;

    (void)state;
    zone.step[0].offset_s = 7200;
    zone.step[0].abbreviation[0] = 'A';
    zone.step[1].from_utc = 1000;
    zone.step[1].offset_s = 3600;
    zone.step[1].abbreviation[0] = 'B';
    assert_int_equal(zone_offset(&zone, 999.9, &abbreviation), 7200);
    assert_string_equal(abbreviation, "A");
    assert_int_equal(zone_offset(&zone, 1000, &abbreviation), 3600);
    assert_string_equal(abbreviation, "B");
    zone_utc(&zone);
    assert_int_equal(zone_offset(&zone, 1e9, NULL), 0);
}

/* Directive 2000/84/EC: summer time ends at 01:00 UTC of the last Sunday in October, and begins at 01:00
 * UTC of the last Sunday in March: 02:00 to 03:00 comes twice, and in spring never. */
static void a_reading_that_comes_twice_is_marked(void **state)
{
    static struct zone_table rome = {.name = "Europe/Rome", .count = 3};
    double spring = utc_of(2050, 3, 27) + 3600, autumn = utc_of(2050, 10, 30) + 3600;

    (void)state;
    rome.step[0] = (struct zone_step){-INFINITY, 3600, "CET"};
    rome.step[1] = (struct zone_step){spring, 7200, "CEST"};
    rome.step[2] = (struct zone_step){autumn, 3600, "CET"};
    assert_string_equal(zone_mark(&rome, autumn - 3600.5), "");
    assert_string_equal(zone_mark(&rome, autumn - 3600), "CEST");
    assert_string_equal(zone_mark(&rome, autumn - 1), "CEST");
    assert_string_equal(zone_mark(&rome, autumn), "CET");
    assert_string_equal(zone_mark(&rome, autumn + 3599.5), "CET");
    assert_string_equal(zone_mark(&rome, autumn + 3600), "");
    for (double utc = spring - 7200; utc < spring + 7200; utc += 600)
        assert_string_equal(zone_mark(&rome, utc), "");
    assert_string_equal(zone_mark(&rome, NAN), "");
    zone_utc(&rome);
    assert_string_equal(zone_mark(&rome, autumn), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calendar_goes_both_ways),
        cmocka_unit_test(leap_seconds_are_those_of_the_bulletin),
        cmocka_unit_test(delta_t_before_1972_matches_the_catalogue),
        cmocka_unit_test(delta_t_is_the_published_polynomial),
        cmocka_unit_test(delta_t_before_1941_follows_the_almanac),
        cmocka_unit_test(ut1_parts_from_utc_at_the_mean_rate_since_1972),
        cmocka_unit_test(unknown_stays_unknown),
        cmocka_unit_test(zone_steps_are_in_force_from_their_instant),
        cmocka_unit_test(a_reading_that_comes_twice_is_marked),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
