/* What helps against more jobs than hands, held against nights that are opened with that change in
 * their setup; and how two people divide a round. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/night/derive.h"
#include "../../src/words/parts.h"

#include <math.h>
#include <moonstand/agenda.h>
#include <moonstand/pick.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { KINDS = REMEDY_SECOND + 1 };

/* A night of one to three rigs: focal lengths in mm; 0: no such rig. */
struct scenario {
    const char *day;
    double latitude_deg, longitude_deg;
    double focal_mm[RIGS];
    double tolerance_stops, margin;
    bool portrait;
    int aim_s; /* what an aim takes; 0: as usual */
    bool set_by_hand, tracked;
};

static const struct scenario scenarios[] = {
    {"2029-12-20", 41.9, 2.3, {18, 500, 1000}, 2.0 / 3, 0.05, false, 0, true, false},
    {"2029-12-20", 41.9, 2.3, {18, 500, 0}, 1.0, 0.05, false, 0, true, false},
    {"2029-12-20", 41.9, 2.3, {500, 0, 0}, 2.0 / 3, 0.05, false, 0, true, false},
    {"2029-06-26", -22.9, -43.2, {1000, 0, 0}, 1.0, 0.05, false, 0, true, true},
    {"2018-07-27", 55.7, 12.6, {1000, 0, 0}, 1.0, 0.05, false, 0, true, true},
    {"2025-03-14", -33.4, -70.6, {1000, 0, 0}, 1.0, 0.02, true, 170, false, false},
    {"2018-07-27", 55.7, 12.6, {24, 400, 0}, 1.0 / 3, 0.05, true, 0, true, false},
    {"2022-11-08", 35.7, 139.7, {400, 700, 0}, 2, 0.02, false, 0, true, false},
};

static struct setup setup;

static void make_setup(const struct scenario *scenario)
{
    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = scenario->latitude_deg;
    setup.site.longitude_deg = scenario->longitude_deg;
    if (scenario->aim_s)
        setup.hands_s[HANDS_AIM] = scenario->aim_s;
    setup.rig_count = 0;
    setup.danjon = scenario->tracked ? 0 : 3;
    for (int i = 0; i < RIGS && scenario->focal_mm[i] > 0; i++) {
        struct rig *rig = &setup.rig[setup.rig_count++];

        rig_default(rig);
        (void)snprintf(rig->name, RIG_NAME, "rig %d", i + 1);
        rig->focal_mm = scenario->focal_mm[i];
        rig->f_number = 8;
        rig->support = scenario->tracked ? SUPPORT_LUNAR : SUPPORT_FIXED;
        rig->sensor_width_mm = 23.5;
        rig->sensor_height_mm = 15.6;
        rig->pixel_pitch_um = 3.9;
        rig->tolerance_stops = scenario->tolerance_stops;
        rig->margin = scenario->margin;
        rig->portrait = scenario->portrait;
        rig->remote_exposure = !scenario->set_by_hand;
    }
}

static struct night *open_night(const char *day)
{
    struct night *night = calloc(1, sizeof *night);
    struct zone_table zone;
    struct eclipse eclipse;
    double utc;

    assert_non_null(night);
    zone_utc(&zone);
    assert_int_equal(parse_day(day, &utc, NULL), 0);
    assert_true(eclipse_of_day(utc, SHADOW_DANJON, &eclipse));
    assert_int_equal(night_open(night, &setup, &eclipse, &zone, false, NULL), 0);
    night_follow(night, utc_from_tt(eclipse.tt[CONTACT_P1]));
    return night;
}

static void close_night(struct night *night)
{
    night_close(night);
    free(night);
}

static int overloaded_rounds(const struct night *night, int *rounds)
{
    static struct agenda agenda;
    int count = 0;

    agenda_make(night, -INFINITY, &agenda);
    for (int i = 0; i < agenda.count; i++)
        count += agenda.round[i].late || agenda.round[i].fast;
    *rounds = agenda.count;
    return count;
}

/* Changes the setup as a remedy says; false where there is nothing to change. */
static bool change_setup(enum remedy_kind kind, int index, bool is_re_aimed)
{
    struct rig *rig = &setup.rig[index < 0 ? 0 : index];

    switch (kind) {
    case REMEDY_BRACKET:
        rig->target = TARGET_BRACKET;
        return !rig->remote_exposure;
    case REMEDY_TOLERANCE:
        for (int i = 0; i < setup.rig_count; i++)
            setup.rig[i].tolerance_stops = fmax(setup.rig[i].tolerance_stops, 1);
        return true;
    case REMEDY_TURN:
        rig->portrait = !rig->portrait;
        return is_re_aimed;
    case REMEDY_MARGIN:
        if (rig->margin <= 0.02)
            return false;
        rig->margin = 0.02;
        return is_re_aimed;
    case REMEDY_SECOND:
        setup.people = 2;
        return true;
    default:
        return false;
    }
}

/* The best of all remedies, each tried by opening the night with it. */
static struct remedy best_remedy(const struct scenario *scenario, const struct night *night)
{
    struct remedy best = {.kind = REMEDY_NONE, .rig = -1};

    best.overloaded = overloaded_rounds(night, &best.rounds);
    for (int kind = REMEDY_BRACKET; kind < KINDS; kind++) {
        bool all = kind == REMEDY_TOLERANCE || kind == REMEDY_SECOND;
        int rigs = setup.rig_count;

        for (int rig = all ? -1 : 0; rig < (all ? 0 : rigs); rig++) {
            bool is_re_aimed = rig >= 0 && night->framing[rig].re_aims > 0;
            struct remedy tried = {.kind = (enum remedy_kind)kind, .rig = rig};
            struct night *changed;

            make_setup(scenario);
            if (!change_setup(tried.kind, rig, is_re_aimed))
                continue;
            changed = open_night(scenario->day);
            tried.overloaded = overloaded_rounds(changed, &tried.rounds);
            close_night(changed);
            if (tried.overloaded < best.overloaded ||
                (tried.overloaded == best.overloaded && tried.rounds < best.rounds))
                best = tried;
        }
    }
    return best;
}

static void a_remedy_is_the_best_of_all(void **state)
{
    int seen[KINDS] = {0};

    (void)state;
    for (size_t i = 0; i < sizeof scenarios / sizeof *scenarios; i++) {
        const struct scenario *scenario = &scenarios[i];
        struct night *night;
        struct remedy remedy, best;
        int rounds, before;

        make_setup(scenario);
        night = open_night(scenario->day);
        before = overloaded_rounds(night, &rounds);
        assert_int_equal(remedy_find(night, &remedy), 0);
        best = best_remedy(scenario, night);
        printf(
            "%s, %d rigs: %d of %d rounds with too much to do; remedy %d for rig %d leaves %d of "
            "%d\n",
            scenario->day, night->setup.rig_count, before, rounds, (int)remedy.kind, remedy.rig + 1,
            remedy.overloaded, remedy.rounds);
        if (remedy.kind != best.kind || remedy.rig != best.rig ||
            remedy.overloaded != best.overloaded || remedy.rounds != best.rounds)
            fail_msg("case %zu: best is remedy %d for rig %d, which leaves %d of %d", i,
                     (int)best.kind, best.rig + 1, best.overloaded, best.rounds);
        assert_true(remedy.kind == REMEDY_NONE || remedy.overloaded < before ||
                    remedy.rounds < rounds);
        seen[remedy.kind]++;
        close_night(night);
    }
    for (int kind = REMEDY_BRACKET; kind < KINDS; kind++)
        assert_true(seen[kind] > 0);
}

/* ---- a second person ---- */

/* The way from rig to rig and the work there, in seconds by the setup. */
static double takes_s(const struct agenda_round *round, unsigned rigs)
{
    const double *hands_s = setup.hands_s;
    double sum = 0;
    int visited = 0;

    for (int rig = 0; rig < setup.rig_count; rig++) {
        unsigned jobs = rigs & 1U << rig ? round->jobs[rig] : 0;

        if (!jobs)
            continue;
        visited++;
        sum += jobs & 1U << JOB_SETTING ? hands_s[HANDS_EXPOSURE] : 0;
        sum += jobs & 1U << JOB_AIM ? hands_s[HANDS_AIM] : 0;
        sum += jobs & 1U << JOB_BATTERY ? hands_s[HANDS_BATTERY] : 0;
        sum += jobs & 1U << JOB_CARD ? hands_s[HANDS_CARD] : 0;
    }
    return sum + (visited > 1 ? (visited - 1) * hands_s[HANDS_WALK] : 0);
}

/* No other division of a round has both of them at rest sooner. */
/* One of two people looks at the glass of all rigs; in short words and in long ones. */
static bool one_look(const struct night *night, const struct agenda_round *round)
{
    char words[ROUND_WORDS];
    bool looks = round_has_glance(round);
    const char *said = strstr(round_words(night, round, words), "look at the glass");

    assert_true(!said == !looks && !(said && strstr(said + 1, "look at the glass")));
    said = strstr(round_brief(night, round, words), "glass");
    assert_true(!said == !looks && !(said && strstr(said + 1, "glass")));
    return looks;
}

static void neither_of_two_waits(void **state)
{
    static struct agenda agenda;
    struct night *night;
    int shared = 0, glances = 0;

    (void)state;
    make_setup(&scenarios[0]);
    setup.people = 2;
    night = open_night(scenarios[0].day);
    agenda_make(night, -INFINITY, &agenda);
    for (int i = 0; i < agenda.count; i++) {
        const struct agenda_round *round = &agenda.round[i];
        unsigned all = (1U << setup.rig_count) - 1, second = 0;
        double least = INFINITY;

        for (int rig = 0; rig < setup.rig_count; rig++)
            second |= round->second[rig] ? 1U << rig : 0;
        for (unsigned other = 0; other <= all; other++)
            least = fmin(least, fmax(takes_s(round, other), takes_s(round, all & ~other)));
        assert_near(fmax(takes_s(round, second), takes_s(round, all & ~second)), least, 1e-9);
        assert_near(round->work_s, least, 1e-9);
        shared += takes_s(round, second) > 0 && takes_s(round, all & ~second) > 0;
        /* Nobody is sent to a rig at which there is nothing to do. */
        for (int rig = 0; rig < setup.rig_count; rig++)
            assert_true(round->jobs[rig] || !round->second[rig]);
        glances += one_look(night, round);
    }
    printf("%d of %d rounds are shared\n", shared, agenda.count);
    assert_true(shared > 20 && glances > 0);
    close_night(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_remedy_is_the_best_of_all),
        cmocka_unit_test(neither_of_two_waits),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
