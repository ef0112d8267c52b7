/* Which eclipse a night is opened for. Dates, magnitudes and the places with the Moon in the zenith
 * are those of the Five Millennium Catalog of Lunar Eclipses (NASA/TP-2009-214173). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/pick.h>
#include <moonstand/setup.h>
#include <moonstand/sight.h>
#include <stdio.h>

static double utc_of(const char *instant)
{
    double utc;

    assert_int_equal(parse_instant(instant, &utc, NULL), 0);
    return utc;
}

static void expect_greatest(const struct eclipse *eclipse, const char *day)
{
    char iso[TEXT_INSTANT];

    (void)format_iso(iso, utc_from_tt(eclipse->tt[CONTACT_GREATEST]), 0, "");
    iso[10] = '\0';
    assert_string_equal(iso, day);
}

static void expect_pick(const struct site *site, const char *instant, double penumbral_from,
                        const char *day)
{
    struct eclipse eclipse;

    assert_true(eclipse_pick(site, SHADOW_DANJON, utc_of(instant), penumbral_from, &eclipse));
    expect_greatest(&eclipse, day);
}

/* 2027 has three penumbral eclipses, of magnitudes 0.927, 0.001 and 0.546, then 2028-01-12 is
 * partial. */
static void the_next_one_of_its_kind(void **state)
{
    (void)state;
    expect_pick(NULL, "2026-11-25T00:00:00Z", NAN, "2028-01-12");
    expect_pick(NULL, "2026-11-25T00:00:00Z", 0.6, "2027-02-20");
    expect_pick(NULL, "2027-03-01T00:00:00Z", 0.6, "2028-01-12");
    expect_pick(NULL, "2027-03-01T00:00:00Z", 0.5, "2027-08-17");
    expect_pick(NULL, "2027-03-01T00:00:00Z", 0, "2027-07-18");
}

/* P4 of 2026-08-28 is at 07:01:41 with the catalogue's delta T, 6 s later in UTC. */
static void one_in_progress_counts_until_p4(void **state)
{
    struct eclipse eclipse;

    (void)state;
    expect_pick(NULL, "2026-08-28T07:01:00Z", NAN, "2026-08-28");
    expect_pick(NULL, "2026-08-28T07:03:00Z", NAN, "2028-01-12");
    assert_true(eclipse_current(utc_of("2026-08-28T07:01:00Z"), SHADOW_DANJON, &eclipse));
    expect_greatest(&eclipse, "2026-08-28");
    assert_true(eclipse_current(utc_of("2026-08-28T07:03:00Z"), SHADOW_DANJON, &eclipse));
    expect_greatest(&eclipse, "2027-02-20");
}

/* On 2028-01-12 the Moon stands over 61 W, more than 120 degrees from Auckland all through the
 * umbral phase, on 2027-02-20 over Africa and the Atlantic; on 2028-07-06 it is over 86 E. */
static void only_what_the_site_sees(void **state)
{
    const struct site auckland = {.latitude_deg = -36.85,
                                  .longitude_deg = 174.76,
                                  .height_m = 0,
                                  .pressure_hpa = NAN,
                                  .temperature_c = NAN};
    const struct site lisbon = {.latitude_deg = 38.7,
                                .longitude_deg = -9.1,
                                .height_m = 0,
                                .pressure_hpa = NAN,
                                .temperature_c = NAN};

    (void)state;
    expect_pick(&auckland, "2026-11-25T00:00:00Z", NAN, "2028-07-06");
    expect_pick(&auckland, "2026-11-25T00:00:00Z", 0.6, "2028-07-06");
    expect_pick(&lisbon, "2026-11-25T00:00:00Z", NAN, "2028-01-12");
    expect_pick(&lisbon, "2026-11-25T00:00:00Z", 0.6, "2027-02-20");
}

/* Where the Moon rises in the last minutes before U4 there is something to see. */
static void a_moon_that_rises_before_u4_is_seen(void **state)
{
    static struct arc arc;
    struct site site = {.pressure_hpa = NAN, .temperature_c = NAN};
    struct eclipse eclipse;
    int rising = 0;
    double u4;

    (void)state;
    assert_true(eclipse_of_day(utc_of("2028-12-31T00:00:00Z"), SHADOW_DANJON, &eclipse));
    u4 = utc_from_tt(eclipse.tt[CONTACT_U4]);
    assert_int_equal(arc_make(&arc, eclipse.tt[CONTACT_U4] - 60, eclipse.tt[CONTACT_U4], true), 0);
    for (site.longitude_deg = -180; site.longitude_deg < 180; site.longitude_deg += 0.1) {
        struct observer observer;
        struct sight moon;

        site_observer(&site, &observer);
        sky_moon(&arc, &observer, u4 - 50, &moon);
        if (moon.up)
            continue;
        sky_moon(&arc, &observer, u4, &moon);
        if (!moon.up)
            continue;
        rising++;
        expect_pick(&site, "2028-12-31T00:00:00Z", NAN, "2028-12-31");
    }
    assert_true(rising > 0);
}

static void nothing_where_there_is_none(void **state)
{
    struct eclipse eclipse;

    (void)state;
    assert_true(eclipse_of_day(utc_of("2028-12-31T00:00:00Z"), SHADOW_DANJON, &eclipse));
    assert_false(eclipse_of_day(utc_of("2029-01-01T00:00:00Z"), SHADOW_DANJON, &eclipse));
    assert_false(eclipse_pick(NULL, SHADOW_DANJON, utc_of("2100-12-31T00:00:00Z"), 0, &eclipse));
}

static void expect_tonight(const struct site *site, const char *instant, const char *day)
{
    struct eclipse eclipse;
    bool is_tonight = eclipse_tonight(site, SHADOW_DANJON, utc_of(instant), &eclipse);

    assert_int_equal(is_tonight, day != NULL);
    if (day)
        expect_greatest(&eclipse, day);
}

/* The checklist goes on for 12 hours after P4: bags, time card, copies. P4 of 2026-08-28 is at
 * 07:01:41 with the catalogue's delta T, 6 s later in UTC, that of 2027-02-20 (penumbral) at 01:13
 * of the 21st; Lisbon sees both, Auckland neither of 2027-02-20 nor of 2028-01-12. */
static void a_night_goes_on_for_its_checklist(void **state)
{
    const struct site lisbon = {
        .latitude_deg = 38.7, .longitude_deg = -9.1, .pressure_hpa = NAN, .temperature_c = NAN};
    const struct site auckland = {
        .latitude_deg = -36.85, .longitude_deg = 174.76, .pressure_hpa = NAN, .temperature_c = NAN};

    (void)state;
    expect_tonight(&lisbon, "2026-08-28T01:20:00Z", NULL);
    expect_tonight(&lisbon, "2026-08-28T01:30:00Z", "2026-08-28");
    expect_tonight(&lisbon, "2026-08-28T07:03:00Z", "2026-08-28");
    expect_tonight(&lisbon, "2026-08-28T19:00:00Z", "2026-08-28");
    expect_tonight(&lisbon, "2026-08-28T19:03:00Z", NULL);
    expect_tonight(&lisbon, "2027-02-21T08:00:00Z", "2027-02-20");
    /* In progress, seen or not; over, only where it was seen. */
    expect_tonight(&auckland, "2028-01-12T04:13:00Z", "2028-01-12");
    expect_tonight(&auckland, "2028-01-12T09:00:00Z", NULL);
    expect_tonight(NULL, "2028-01-12T09:00:00Z", "2028-01-12");
}

/* From 1000 m the sea's edge lies 55.7 arcmin lower. The Moon, 24 degrees north, climbs the equator's
 * horizon at 15.04 cos 24 = 13.7 arcmin a minute less its own motion of 0.5: 4.2 minutes sooner. The
 * air lifts a limb that is so much lower by 5 to 10 arcmin more: 4.5 to 5. */
static void a_sea_far_below_lets_the_moon_rise_sooner(void **state)
{
    struct site site = {.height_m = 1000, .pressure_hpa = NAN, .temperature_c = NAN};
    double from = utc_of("2028-12-31T00:00:00Z"), rise[2] = {NAN, NAN};
    static struct arc arc;

    (void)state;
    assert_int_equal(arc_make(&arc, tt_from_utc(from), tt_from_utc(from + SECONDS_PER_DAY), true),
                     0);
    for (int i = 0; i < 2; i++) {
        struct sky_event events[40];
        struct observer observer;
        int count;

        site.horizon.sea = i == 1;
        site_observer(&site, &observer);
        count = sky_events(&arc, &observer, from, from + SECONDS_PER_DAY, events, 40);
        for (int j = 0; j < count; j++)
            if (events[j].kind == SKY_MOONRISE)
                rise[i] = events[j].utc;
    }
    printf("  the sea from 1000 m: the Moon rises %.0f s sooner\n", rise[0] - rise[1]);
    assert_true(rise[0] - rise[1] > 4.5 * 60 && rise[0] - rise[1] < 5 * 60);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_next_one_of_its_kind),
        cmocka_unit_test(one_in_progress_counts_until_p4),
        cmocka_unit_test(only_what_the_site_sees),
        cmocka_unit_test(a_moon_that_rises_before_u4_is_seen),
        cmocka_unit_test(a_night_goes_on_for_its_checklist),
        cmocka_unit_test(a_sea_far_below_lets_the_moon_rise_sooner),
        cmocka_unit_test(nothing_where_there_is_none),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
