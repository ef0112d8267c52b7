/* Rounds of the hands: the fewest there are, by brute force; whole nights. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/night/derive.h"
#include "timed.h"

#include <math.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>

enum { MOST = 13 };

static struct setup setup;

/* ---- small cases ---- */

/* One whole third serves all samples of [from, to) of each rig, said independently of the code; where
 * it is found so, the one that is on the dial. */
static bool one_setting_serves(const struct rounds_ask *ask, int from, int to, bool is_found)
{
    for (int rig = 0; rig < ask->rigs; rig++) {
        bool any = false;

        for (int third = -100; third <= 100 && !any; third++) {
            any = !is_found || !ask->dial || isnan(ask->dial[rig].third) ||
                  ask->dial[rig].third == third;
            for (int i = from; i < to; i++) {
                double wanted = ask->wanted[rig][i];
                double next = i + 1 < ask->count ? ask->wanted[rig][i + 1] : wanted;

                if (isnan(wanted)) /* no frame up to the next sample */
                    continue;
                double most = ask->tolerance[rig] + ask->slack[rig][i] + 1e-9;

                if (fabs(wanted - third) > most || fabs(next - third) > most)
                    any = false;
            }
        }
        if (!any)
            return false;
    }
    return true;
}

/* The fewest rounds of all sets of rounds that there are; -1: none keeps the tolerance. */
static int fewest(const struct rounds_ask *ask)
{
    bool serves[2][MOST + 1][MOST + 1];
    int best = -1;

    for (int from = 0; from <= ask->count; from++)
        for (int to = from; to <= ask->count; to++)
            for (int is_found = 0; is_found < 2; is_found++)
                serves[is_found][from][to] = one_setting_serves(ask, from, to, is_found);
    for (unsigned set = 0; set < 1U << ask->count; set++) {
        int from = 0, rounds = 0;
        bool good = true;

        for (int i = 0; i <= ask->count && good; i++) {
            bool is_round = i < ask->count && (set >> i & 1U);

            if (i < ask->count && !is_round)
                continue;
            good = serves[rounds == 0][from][i];
            if (!is_round)
                continue;
            /* At once, where somebody asks for it, else off the contacts. */
            good = good && (i == 0 || !(ask->kept_off && ask->kept_off[i])) &&
                   (rounds > 0 ? i - from >= ask->apart
                    : i == 0   ? ask->at_once
                               : i >= ask->first);
            from = i;
            rounds++;
        }
        if (good && (best < 0 || rounds < best))
            best = rounds;
    }
    return best;
}

static double random_thirds(unsigned *seed)
{
    *seed = *seed * 1664525U + 1013904223U;
    return (double)(*seed >> 8) / (1 << 24);
}

/* Light that wanders, rigs that pause, contacts that are kept off. */
static void none_is_fewer_than_ours(void **state)
{
    enum { CASES = 3000 };
    unsigned seed = 17;
    int compared = 0, paused = 0;

    (void)state;
    for (int n = 0; n < CASES; n++) {
        double wanted[RIGS][MOST], slack[RIGS][MOST];
        struct found_dial dial[RIGS];
        bool kept_off[MOST];
        int rounds[ROUNDS], count, least, from = 0;
        struct rounds_ask ask = {.count = 4 + n % (MOST - 3),
                                 .rigs = 1 + n % 3,
                                 .kept_off = n % 4 ? kept_off : NULL,
                                 .apart = n % 3,
                                 .first = n % 3,
                                 .at_once = n % 5 == 0,
                                 .dial = n % 2 ? dial : NULL};

        for (int rig = 0; rig < ask.rigs; rig++) {
            double now = 10 * random_thirds(&seed);

            dial[rig] =
                (struct found_dial){n % 7 ? floor(now + 4 * random_thirds(&seed) - 2) : NAN, 0};
            ask.wanted[rig] = wanted[rig];
            ask.slack[rig] = slack[rig];
            ask.tolerance[rig] = 0.5 + 3 * random_thirds(&seed);
            for (int i = 0; i < ask.count; i++) {
                now += 4 * (random_thirds(&seed) - 0.4);
                wanted[rig][i] = random_thirds(&seed) < 0.1 ? NAN : now;
                slack[rig][i] = n % 2 && i < MOST / 2 ? 3 : 0; /* twilight first */
                paused += isnan(wanted[rig][i]);
            }
        }
        for (int i = 0; i < MOST; i++)
            kept_off[i] = random_thirds(&seed) < 0.15;
        least = fewest(&ask);
        if (least < 0)
            continue; /* hands are too slow for that light */
        count = rounds_cut(&ask, rounds);
        if (count != least)
            fail_msg("case %d: %d rounds, %d would do", n, count, least);
        for (int i = 0; i <= count; i++) {
            int to = i < count ? rounds[i] : ask.count;

            assert_true(one_setting_serves(&ask, from, to, i == 0));
            from = to;
        }
        compared++;
    }
    printf("%d small cases, %d pauses: none has fewer rounds\n", compared, paused);
    assert_true(3 * compared > CASES && 3 * paused > CASES);
}

/* ---- nights ---- */

static void set_rig(int index, double focal_mm, double f_number, enum support support)
{
    struct rig *rig = &setup.rig[index];

    rig_default(rig);
    (void)snprintf(rig->name, RIG_NAME, "rig %d", index + 1);
    rig->focal_mm = focal_mm;
    rig->f_number = f_number;
    rig->support = support;
    rig->interval_s = 10; /* a frame at every sample */
    if (index > 0) {
        rig->sensor_width_mm = 23.5;
        rig->sensor_height_mm = 15.6;
        rig->pixel_pitch_um = 3.9;
    }
}

/* 41.9 N 2.3 E, 2029-12-20, three rigs. */
static struct night *open_night(double tolerance_stops)
{
    struct night *night = calloc(1, sizeof *night);
    struct zone_table zone;
    struct eclipse eclipse;
    double day;

    assert_non_null(night);
    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = 41.9;
    setup.site.longitude_deg = 2.3;
    set_rig(0, 18, 4, SUPPORT_FIXED);
    set_rig(1, 500, 5.6, SUPPORT_FIXED);
    set_rig(2, 1000, 8, SUPPORT_LUNAR);
    for (int i = 0; i < RIGS; i++)
        setup.rig[i].tolerance_stops = tolerance_stops;
    zone_utc(&zone);
    assert_int_equal(parse_day("2029-12-20", &day, NULL), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    assert_int_equal(night_open(night, &setup, &eclipse, &zone, false, NULL), 0);
    night_follow(night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
    return night;
}

static void close_night(struct night *night)
{
    night_close(night);
    free(night);
}

/* The fewest common rounds of that night at the samples of the run, 90 s apart and off the contacts, on
 * a dial with so many steps in a stop. The Moon is up throughout, and no rig brackets. */
static int fewest_on_a_dial(const struct night *night, double tolerance_stops, double steps)
{
    static double wanted[RIGS][RUN_SAMPLES];
    static bool kept_off[RUN_SAMPLES];
    int rounds[ROUNDS];
    struct rounds_ask ask = {
        .count = night->sample_count, .rigs = RIGS, .kept_off = kept_off, .apart = 3};

    assert_near(night->sample[1].utc - night->sample[0].utc, 30, 1e-6);
    for (int i = 0; i < ask.count; i++) {
        double utc = night->sample[i].utc;

        kept_off[i] = false;
        for (int c = CONTACT_U1; c <= CONTACT_U4; c++)
            kept_off[i] |= fabs(utc - night->contact_utc[c]) < AIM_KEEP_OFF_S;
        for (int rig = 0; rig < RIGS; rig++) {
            struct exposure exposure;

            run_exposure(night, rig, &night->sample[i], 0, &exposure);
            wanted[rig][i] =
                steps * (2 * log2(exposure.f_number) - exposure.ev100 - exposure.deficit_stops);
        }
    }
    for (int rig = 0; rig < RIGS; rig++) {
        ask.wanted[rig] = wanted[rig];
        ask.tolerance[rig] = steps * tolerance_stops;
    }
    return rounds_cut(&ask, rounds);
}

/* An independent count of this night with common instants, 90 s between them and a dial without
 * steps: 13 rounds at one stop, 19 at two thirds, 23 at a half, 37 at a third. On such a dial the
 * search, which brute force finds to miss none, needs nearly as many; on one in thirds, whose steps
 * stand elsewhere on each rig, up to a half more, and those are what the hands are given. */
static void a_night_has_few_rounds(void **state)
{
    enum { FINE = 100 };
    static const struct {
        double tolerance_stops;
        int rounds;
    } counts[] = {{1, 13}, {2.0 / 3, 19}, {0.5, 23}, {1.0 / 3, 37}};

    (void)state;
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        double tolerance = counts[i].tolerance_stops;
        struct night *night = open_night(tolerance);
        const struct rounds *rounds = &night->rounds;
        int fine = fewest_on_a_dial(night, tolerance, FINE);

        printf("within %.2f stops: %d rounds, %d on a dial without steps (counted elsewhere: %d), "
               "%d settings, worst %.2f stops\n",
               tolerance, rounds->count, fine, counts[i].rounds, rounds->settings,
               rounds->worst_stops);
        assert_near(fine, counts[i].rounds, 0.15 * counts[i].rounds);
        assert_near(rounds->count, fewest_on_a_dial(night, tolerance, 3), 1);
        assert_true(rounds->count >= fine && rounds->count <= 1.6 * fine);
        /* Before U2 and after U3 the light changes by up to two stops in 90 s: half of that and the
         * half of a third are left of it whatever the tolerance. */
        assert_true(rounds->worst_stops <= fmax(tolerance, 1 + 1.0 / 6));
        close_night(night);
    }
}

/* Rounds keep their distance from each other and from the contacts, and what is in force is never
 * further from the ideal of a minute than is said. */
static void rounds_are_as_promised(void **state)
{
    struct night *night = open_night(2.0 / 3);
    const struct rounds *rounds = &night->rounds;
    int settings = 0;

    (void)state;
    for (int i = 0; i < rounds->count; i++) {
        if (i > 0)
            assert_true(rounds->round[i].utc - rounds->round[i - 1].utc >= 90 - 1e-3);
        for (int c = CONTACT_U1; c <= CONTACT_U4; c++)
            assert_true(fabs(rounds->round[i].utc - night->contact_utc[c]) >= AIM_KEEP_OFF_S);
        for (int rig = 0; rig < RIGS; rig++)
            settings += rounds->round[i].touched[rig];
    }
    assert_int_equal(settings, rounds->settings);
    for (int rig = 0; rig < RIGS; rig++)
        for (int i = 0; i < night->run[rig].count; i++) {
            const struct segment *segment = &night->run[rig].segment[i];
            double utc = (segment->utc_from + segment->utc_to) / 2;
            /* A round begins so early that its last camera is set in time: 10 s each, 5 s between. */
            const struct exposure *set = rounds_now(rounds, rig, utc - 40);

            assert_non_null(set);
            if (segment->exposure.deficit_stops == 0)
                assert_true(abs(exposure_thirds(set) - exposure_thirds(&segment->exposure)) <=
                            3 * rounds->worst_stops + 1);
        }
    close_night(night);
}

/* A rig that a remote sets has no round; one that takes no frame for long is not touched meanwhile.
 */
static void no_hand_without_a_frame(void **state)
{
    struct night *night = open_night(2.0 / 3);
    double round_utc;
    int before = night->rounds.settings;

    (void)state;
    night->rig[0].rig.remote_exposure = true;
    night->rig[1].rig.interval_s = 1800;
    night->stale = STALE_SITE;
    night_follow(night, night->contact_utc[CONTACT_GREATEST]);
    assert_null(rounds_next(&night->rounds, 0, night->contact_utc[CONTACT_P1], &round_utc));
    assert_null(rounds_now(&night->rounds, 0, night->contact_utc[CONTACT_GREATEST]));
    assert_true(night->rounds.settings < before);
    /* Nine or ten frames of the second rig between U1 and U4: no more touches than those. */
    assert_true(night->rounds.set_count[1] <= 12);
    close_night(night);
}

/* Where one frame would do, a bracket is off by what none of its frames comes near. */
static void a_bracket_is_as_near_as_its_nearest_frame(void **state)
{
    struct exposure wanted = {.known = true, .f_number = 8, .ev100 = 9, .bracket_frames = 1};
    struct exposure set = wanted;

    (void)state;
    for (int shutter = -24; shutter <= 24; shutter++) {
        set.shutter = set.shutter_last = shutter;
        set.bracket_frames = 1;
        double off = stops_off(&wanted, &set);
        set.bracket_frames = 5;
        set.bracket_step_stops = 2;
        assert_near(stops_off(&wanted, &set), copysign(fmax(0, fabs(off) - 4), off), 1e-9);
    }
}

/* What an earlier plan has left behind the last round is none. */
static void none_comes_after_the_last(void **state)
{
    static struct rounds rounds = {.count = 1};
    double round_utc;

    (void)state;
    for (int i = 0; i < 2; i++) {
        rounds.round[i].utc = 10000 * (i + 1);
        rounds.round[i].touched[0] = true;
        rounds.round[i].exposure[0].known = true;
    }
    assert_ptr_equal(rounds_next(&rounds, 0, 9000, &round_utc), &rounds.round[0].exposure[0]);
    assert_near(round_utc, 10000, 0);
    assert_null(rounds_next(&rounds, 0, 19000, &round_utc));
    assert_ptr_equal(rounds_now(&rounds, 0, 21000), &rounds.round[0].exposure[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(none_is_fewer_than_ours),
        cmocka_unit_test(a_night_has_few_rounds),
        cmocka_unit_test(rounds_are_as_promised),
        cmocka_unit_test(no_hand_without_a_frame),
        cmocka_unit_test(a_bracket_is_as_near_as_its_nearest_frame),
        cmocka_unit_test(none_comes_after_the_last),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
