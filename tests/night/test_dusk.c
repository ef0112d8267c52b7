/* Nights under a bright sky: what is exposed for, what is lost, and how dark the landscape grows.
 * Illuminance of twilight: Explanatory Supplement to the Astronomical Almanac (1992), section 9,
 * worked by hand where a number stands here; zenith of twilight: Patat, Ugolnikov & Postylyakov
 * 2006, A&A 455, 385. */
#include "../../src/night/derive.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/event_words.h>
#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>

enum { LIT, UMBRA, BRACKET, STARS, AUTO, MOON_TARGETS };
static const enum target moon_targets[MOON_TARGETS] = {TARGET_LIT, TARGET_UMBRA, TARGET_BRACKET,
                                                       TARGET_STARS, TARGET_AUTO};
static struct setup setup;
static struct readings readings;

static int prepare(void **state)
{
    (void)state;
    setup_default(&setup);
    setup.has_site = true;
    readings_none(&readings);
    return 0;
}

static double utc_of(const char *instant)
{
    double utc;

    assert_int_equal(parse_instant(instant, &utc, NULL), 0);
    return utc;
}

/* The night of the eclipse at an instant, from a site, with the air of `danjon`. */
static struct night *open_night(const char *instant, double latitude_deg, double longitude_deg,
                                double danjon)
{
    struct night *night = calloc(1, sizeof *night);
    struct zone_table zone;
    struct eclipse eclipse;
    struct fault fault;
    double utc = utc_of(instant);

    assert_non_null(night);
    setup.site.latitude_deg = latitude_deg;
    setup.site.longitude_deg = longitude_deg;
    setup.danjon = danjon;
    zone_utc(&zone);
    assert_true(eclipse_current(utc, SHADOW_DANJON, &eclipse));
    assert_int_equal(night_open(night, &setup, &eclipse, &zone, false, &fault), 0);
    night_follow(night, utc);
    return night;
}

static void close_night(struct night *night)
{
    night_close(night);
    free(night);
}

static struct moment moment_of(struct night *night, double utc)
{
    struct moment moment;

    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
    return moment;
}

static void take_target(struct night *night, enum target target, double utc)
{
    struct fault fault;

    for (int i = 0; i < night->setup.rig_count; i++) {
        struct act act = {.utc = utc, .kind = ACT_TARGET, .rig = i, .value = {(double)target}};

        assert_int_equal(night_apply(night, &act, &fault), 0);
    }
    night_follow(night, utc);
}

/* The exposure that an even sky of `sky` cd/m2 needs for itself with the target's placement is what
 * every target gets, to a third of a stop and what the Moon adds: half a stop where it is as bright
 * as half the sky. */
static void expect_sky(struct night *night, double utc, double sky)
{
    for (int i = 0; i < MOON_TARGETS; i++) {
        take_target(night, moon_targets[i], utc);

        struct moment moment = moment_of(night, utc);
        for (int rig = 0; rig < night->setup.rig_count; rig++) {
            const struct exposure *exposure = &moment.rig[rig].exposure;
            double placed = log2(8 * sky) - exposure->ev100; /* stops over mid-grey */

            assert_true(exposure->known);
            assert_true(placed > -1.2 && placed < 0.8);
            assert_true(exposure->sky_stops > 0);
            assert_true(moment.rig[rig].lost);
        }
    }
}

/* The Sun 3.2 degrees down gives 66 lux, an even sky 21 cd/m2; the Moon, totally eclipsed and two
 * degrees up, is nowhere to be seen. */
static void london_2025(void **state)
{
    double utc = utc_of("2025-09-07T18:48");
    struct night *night = open_night("2025-09-07T18:48", 51.5, 0, 3);
    struct moment moment = moment_of(night, utc);

    (void)state;
    assert_near(deg_from_rad(moment.sun.altitude_airless_rad), -3.2, 0.1);
    assert_int_equal(moment.phase, PHASE_TOTAL);
    expect_sky(night, utc, 21);
    close_night(night);
}

/* From sunset to nautical dusk: 4.2 degrees down 21 lux, 6.7 cd/m2. Only a sliver is lit. */
static void lucerne_2028(void **state)
{
    double utc = utc_of("2028-12-31T16:13");
    struct night *night = open_night("2028-12-31T16:13", 47.05, 8.3, 3);
    struct moment moment = moment_of(night, utc);
    double x = deg_from_rad(moment.sun.altitude_airless_rad) / 90;
    /* The row from -5 to -0.8 degrees. */
    double lux = pow(10, 2.88 + 21.81 * x - 258.11 * x * x - 858.36 * x * x * x);

    (void)state;
    assert_true(x > -5.0 / 90 && x < -0.8 / 90);
    expect_sky(night, utc, lux / PI);
    close_night(night);
}

/* What the hands have set is for the sky as well, from moonrise on: with the Sun 3.2 and 4.2 degrees
 * down (as above) no further from an even sky than the tolerance and a stop, and what the Moon adds. */
static void hands_follow_the_sky(void **state)
{
    static const struct {
        const char *instant;
        double latitude_deg, longitude_deg, sky;
    } nights[] = {{"2025-09-07T18:48", 51.5, 0, 21}, {"2028-12-31T16:13", 47.05, 8.3, 6.7}};

    (void)state;
    for (size_t i = 0; i < sizeof nights / sizeof *nights; i++) {
        struct night *night =
            open_night(nights[i].instant, nights[i].latitude_deg, nights[i].longitude_deg, 3);
        struct moment moment = moment_of(night, utc_of(nights[i].instant));

        for (int rig = 0; rig < night->setup.rig_count; rig++) {
            double most = night->rig[rig].rig.tolerance_stops + LOST_SLACK_STOPS;
            struct span lost = night->run[rig].lost[0].span;

            assert_near(log2(8 * nights[i].sky) - moment.rig[rig].exposure.ev100, 0, most + 0.5);
            assert_true(lost.to - lost.from > 1200);
            for (double utc = lost.from; utc < lost.to; utc += 30) {
                struct moment then = moment_of(night, utc);

                assert_near(then.rig[rig].off_stops, 0, most + 0.2);
            }
        }
        close_night(night);
    }
}

static double sky_stops(struct night *night, double utc)
{
    struct moment moment = moment_of(night, utc);

    assert_true(moment.rig[0].exposure.known);
    return moment.rig[0].exposure.sky_stops;
}

/* At its end in the evening (its begin in the morning) the umbra is as bright as the sky. The
 * camera's exposure then is not further than 1.6 stops from what the zenith of Paranal at that
 * depression and the umbra alone would need together. */
static void spans_begin_and_end_where_the_sky_is_as_bright(void **state)
{
    static const struct {
        const char *instant;
        double latitude_deg, longitude_deg;
        bool evening;
    } nights[] = {{"2028-12-31T16:13", 47.05, 8.3, true}, {"2025-09-07T18:48", 51.5, 0, true},
                  {"2028-07-06T20:30", -35, 20, true},    {"2021-05-26T11:18", 34, 140, true},
                  {"2026-03-03T11:33", 40, -75, false},   {"2021-05-26T11:18", 30, -97, false}};

    (void)state;
    for (size_t i = 0; i < sizeof nights / sizeof *nights; i++) {
        struct night *night =
            open_night(nights[i].instant, nights[i].latitude_deg, nights[i].longitude_deg, 3);
        const struct run *run = &night->run[0];
        struct span up[UP_SPANS];

        assert_int_equal(up_spans_to(night, night->contact_utc[CONTACT_P4], up), 1);
        if (run->lost_count != 1)
            fail_msg("%s: %d spans", nights[i].instant, run->lost_count);
        assert_true(run->lost[0].twilight);
        assert_true(run->lost[0].span.from >= up[0].from && run->lost[0].span.to <= up[0].to);
        assert_int_equal(run->lost[0].to_end, !nights[i].evening);

        double utc = nights[i].evening ? run->lost[0].span.to : run->lost[0].span.from;
        double later = nights[i].evening ? 1 : -1;
        assert_near(sky_stops(night, utc), 0, 0.02);
        assert_true(sky_stops(night, utc - 120 * later) > 0);
        assert_true(sky_stops(night, utc + 120 * later) < 0);
        close_night(night);
    }
}

static void nothing_is_lost_at_midnight(void **state)
{
    struct night *night = open_night("2029-06-26T03:22", -20, -50, 3);

    (void)state;
    for (int i = 0; i < night->setup.rig_count; i++)
        assert_int_equal(night->run[i].lost_count, 0);
    close_night(night);
}

/* A central eclipse in volcanic dust, L 0, is darker in its middle than the starlit sky (0.002 lx);
 * that is not put down to twilight. */
static void an_umbra_darker_than_the_night_sky(void **state)
{
    struct night *night = open_night("2029-06-26T03:22", -20, -50, 0);
    const struct run *run = &night->run[0];
    char words[LOST_WORDS];

    (void)state;
    assert_int_equal(run->lost_count, 1);
    assert_false(run->lost[0].twilight || run->lost[0].to_end);
    assert_string_equal(lost_words(&run->lost[0], "11:00", 0, words),
                        "Moon darker than the night sky");
    close_night(night);
}

static void words_grow_shorter(void **state)
{
    struct lost_span lost = {{0, 100}, TARGET_UMBRA, true, false};
    char words[LOST_WORDS];

    (void)state;
    assert_string_equal(lost_words(&lost, "18:10", 0, words),
                        "umbra lost in bright sky until about 18:10");
    assert_string_equal(lost_words(&lost, "18:10", 1, words), "lost in bright sky until about 18:10");
    assert_string_equal(lost_words(&lost, "18:10", 2, words), "sky too bright until 18:10");
    lost.to_end = true;
    assert_string_equal(lost_words(&lost, "18:10", 0, words), "umbra lost in bright sky to the end");
}

/* ---- landscape ---- */

static double landscape_stops(struct night *night, double utc)
{
    struct moment moment = moment_of(night, utc);

    assert_true(moment.rig[0].exposure.known);
    return moment.rig[0].exposure.ev100;
}

/* The full Moon of -12.74 mag gives 0.317 lx above the air (0 mag: 2.54e-6 lx, from memory), through the air 0.1
 * to 0.3 lx on level ground at 30 to 60 degrees: 5.6 to 7.2 stops over starlight (0.002 lx). In
 * totality starlight is left. */
static void the_landscape_darkens_towards_totality(void **state)
{
    struct night *night = open_night("2029-06-26T03:22", -20, -50, 3);
    const double *contact = night->contact_utc;
    double starlight = log2(8 * 0.18 / PI * 0.002), before = INFINITY;

    (void)state;
    take_target(night, TARGET_FOREGROUND, contact[CONTACT_P1]);

    struct moment first = moment_of(night, contact[CONTACT_P1]);
    double altitude = deg_from_rad(first.moon.altitude_rad);
    assert_true(altitude > 30 && altitude < 80 && deg_from_rad(first.sun.altitude_rad) < -18);
    double moonlit = landscape_stops(night, contact[CONTACT_P1]) - starlight;
    printf("full Moon at %.0f degrees: %.1f stops over starlight\n", altitude, moonlit);
    assert_true(moonlit > 5.6 && moonlit < 7.7); /* a near Moon with its surge: half a stop more */
    assert_near(landscape_stops(night, contact[CONTACT_GREATEST]), starlight, 0.1);
    for (double utc = contact[CONTACT_U1]; utc <= contact[CONTACT_U2]; utc += 60) {
        double now = landscape_stops(night, utc);

        assert_true(now < before);
        before = now;
    }
    close_night(night);
}

/* ---- test frames ---- */

/* In twilight a frame says nothing about the umbra behind it; it is corrected all the same. */
static void a_frame_of_the_twilight_tells_no_l(void **state)
{
    struct night *night = open_night("2028-12-31T16:30", 47.05, 8.3, 3);
    double utc = utc_of("2028-12-31T16:30"), dark = utc_of("2028-12-31T17:10");
    double before, stops = 1;
    struct fault fault;

    (void)state;
    take_target(night, TARGET_UMBRA, utc);
    for (int i = 0; i < 2; i++) {
        double at = i == 0 ? utc : dark;
        struct moment moment = moment_of(night, at);
        struct act act = {.utc = at, .kind = ACT_CORRECTION, .rig = 1, .value = {TARGET_UMBRA}};

        before = moment.rig[1].exposure.ev100;
        act.value[1] = stops + night_correction(night, &moment, 1, TARGET_UMBRA);
        assert_int_equal(night_apply(night, &act, &fault), 0);
        moment = moment_of(night, at);
        assert_near(moment.rig[1].exposure.ev100, before - stops, 1e-6);
        assert_int_equal(night->danjon_state < 2.999, i == 1);
    }
    close_night(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(london_2025),
        cmocka_unit_test(lucerne_2028),
        cmocka_unit_test(hands_follow_the_sky),
        cmocka_unit_test(spans_begin_and_end_where_the_sky_is_as_bright),
        cmocka_unit_test(nothing_is_lost_at_midnight),
        cmocka_unit_test(an_umbra_darker_than_the_night_sky),
        cmocka_unit_test(words_grow_shorter),
        cmocka_unit_test(the_landscape_darkens_towards_totality),
        cmocka_unit_test(a_frame_of_the_twilight_tells_no_l),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
