/* A simulated person lives whole nights from P1 to P4 by moments and acts alone: two hands, which take
 * the setup's times, and 10 to 40 s before they begin. TOUCHES.md beside this file has what came of
 * it; BLESS=1 writes it anew. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/night/derive.h"
#include "blessed.h"

#include <math.h>
#include <moonstand/exposure.h>
#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define STEP_S 5.0
#define REACTION_LEAST_S 10.0
#define REACTION_MOST_S 40.0

struct place {
    const char *day, *name;
    double latitude_deg, longitude_deg, danjon;
    int rigs;
    enum support last; /* of the third rig */
};

/* Both hemispheres, a high and a low Moon, L 0 to 4, one to three rigs. */
static const struct place places[] = {
    {"2029-12-20", "Catalonia, high", 41.9, 2.3, 3, 3, SUPPORT_LUNAR},
    {"2028-12-31", "Finland", 62.0, 25.0, 2, 3, SUPPORT_LUNAR},
    {"2025-03-14", "Chile", -33.4, -70.6, 4, 3, SUPPORT_SIDEREAL},
    {"2026-03-03", "New South Wales", -31.3, 149.1, 3, 2, SUPPORT_FIXED},
    {"2029-06-26", "Brazil, high", -22.9, -43.2, 1, 3, SUPPORT_LUNAR},
    {"2022-05-16", "Germany, setting", 50.1, 8.7, 2, 2, SUPPORT_FIXED},
    {"2018-07-27", "Denmark, low", 55.7, 12.6, 1, 3, SUPPORT_LUNAR},
    {"2019-01-21", "Massachusetts, high", 42.4, -71.1, 3, 1, SUPPORT_FIXED},
    {"2022-11-08", "Japan", 35.7, 139.7, 3, 3, SUPPORT_LUNAR},
    {"2015-04-04", "New Zealand, short", -41.3, 174.8, 0, 3, SUPPORT_LUNAR},
};
enum { PLACES = sizeof places / sizeof places[0] };

/* So many to a third of a stop are as good as none. */
enum { NO_STEPS = 100 };

static struct setup setup;
static struct readings readings;
static struct night *night;
static struct moment moment;

/* ---- the person ---- */

struct person {
    unsigned seed;
    double busy_to;                    /* hands are at something until then */
    double ready_utc[JOB_KINDS][RIGS]; /* seen, and begun from then on; NaN: not seen */
    bool has[RIGS];
    struct exposure dial[RIGS];
};

struct lived {
    int rounds, settings, aims, swaps, missed;
    double worst_stops, bound_stops, outside_min;
};

static double reaction_s(struct person *person)
{
    person->seed = person->seed * 1664525U + 1013904223U;
    return REACTION_LEAST_S +
           (REACTION_MOST_S - REACTION_LEAST_S) * (double)(person->seed >> 8) / (1 << 24);
}

static void act(struct act act, double utc)
{
    struct fault fault = {""};

    act.utc = utc;
    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void look(double utc)
{
    night_follow(night, utc);
    night_settle(night);
    moment_at(night, &readings, utc, &moment);
}

/* Settings wait for their instant, then for the reaction; all else is begun when it is seen. */
static bool is_asked(const struct job *job)
{
    switch (job->kind) {
    case JOB_AIM:
    case JOB_FIRST_AIM:
        return job->state <= JOB_UNAIMED && job->state != JOB_OVERDUE;
    case JOB_FLIP:
    case JOB_BATTERY:
    case JOB_CARD:
        return job->state <= JOB_DUE;
    case JOB_SETTING:
        return job->utc <= moment.utc;
    default:
        return false;
    }
}

static void do_job(struct person *person, const struct job *job, double utc, struct lived *lived)
{
    int rig = job->rig;

    switch (job->kind) {
    case JOB_AIM:
    case JOB_FIRST_AIM:
        look(utc);
        act(advised_aim(&moment.rig[rig], rig), utc);
        lived->aims++;
        break;
    case JOB_BATTERY:
    case JOB_CARD:
        act((struct act){.kind = job->kind == JOB_CARD ? ACT_CARD : ACT_BATTERY, .rig = rig}, utc);
        lived->swaps++;
        break;
    case JOB_SETTING:
        if (!person->has[rig] || !exposure_same_dial(&person->dial[rig], job->set))
            lived->settings++;
        person->dial[rig] = *job->set;
        person->has[rig] = true;
        break;
    default:
        break;
    }
}

/* One look at the screen: begins what was seen long enough ago, one thing after the other. */
static void work(struct person *person, double utc, struct lived *lived)
{
    struct hands hands = moment.hands;
    double begins = fmax(utc, person->busy_to);
    int last_rig = -1;

    for (int i = 0; i < hands.count; i++) {
        struct job *job = &hands.job[i];
        double *ready;

        if (job->rig < 0 || !is_asked(job))
            continue;
        ready = &person->ready_utc[job->kind][job->rig];
        if (job->kind == JOB_SETTING && person->has[job->rig] &&
            exposure_same_dial(&person->dial[job->rig], job->set)) {
            *ready = NAN;
            continue;
        }
        if (isnan(*ready))
            *ready = utc + reaction_s(person);
        if (*ready > utc || person->busy_to > utc)
            continue;
        struct exposure set;
        if (job->set) {
            set = *job->set;
            job->set = &set;
        }
        begins += last_rig >= 0 && last_rig != job->rig ? setup.hands_s[HANDS_WALK] : 0;
        begins += job_takes_s(night, job->kind);
        last_rig = job->rig;
        *ready = NAN;
        do_job(person, job, begins, lived);
    }
    if (last_rig >= 0) {
        lived->rounds++;
        person->busy_to = begins;
    }
}

/* ---- what came of it ---- */

/* How far the dial of a rig is off what this instant wants; NaN where nothing is taken. */
static double dial_off(const struct person *person, int rig)
{
    const struct rig_moment *now = &moment.rig[rig];
    double off;

    if (!person->has[rig] || !now->exposure.known || now->lost || !moment.moon.up ||
        now->out_of_reach || isnan(now->off_stops) || now->exposure.bracket_frames > 1)
        return NAN;
    off = (exposure_thirds(&person->dial[rig]) - exposure_thirds(&now->exposure)) / 3.0 +
          now->off_stops;
    return off;
}

/* What 40 s before the hands begin, and the round itself, cost at most: how far the light runs in
 * that time. */
static double delay_cost(double utc)
{
    double late_s = REACTION_MOST_S, worst = 0;
    struct moment later;

    for (int i = 0; i < setup.rig_count; i++)
        late_s += setup.hands_s[HANDS_EXPOSURE] + setup.hands_s[HANDS_WALK];
    late_s += setup.hands_s[HANDS_AIM] + STEP_S;
    moment_at(night, &readings, utc + late_s, &later);
    for (int i = 0; i < setup.rig_count; i++) {
        const struct rig_moment *now = &moment.rig[i], *then = &later.rig[i];
        double wanted, wanted_then;

        if (isnan(now->off_stops) || isnan(then->off_stops))
            continue;
        wanted = exposure_thirds(&now->exposure) / 3.0 - now->off_stops;
        wanted_then = exposure_thirds(&then->exposure) / 3.0 - then->off_stops;
        worst = fmax(worst, fabs(wanted_then - wanted));
    }
    return worst;
}

static void judge(const struct person *person, struct lived *lived)
{
    for (int i = 0; i < setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        double off = fabs(dial_off(person, i));

        if (off > lived->worst_stops)
            lived->worst_stops = off;
        if (moment.moon.up && rig->aimed && moment.rig[i].loss != LOSS_NONE &&
            moment.utc < rig->ends_utc)
            lived->outside_min += STEP_S / 60;
        if (moment.kit[i].battery_empty_utc < fmin(moment.utc, night->shooting[i].utc_to))
            lived->missed++;
    }
    if (fmod(moment.utc, 30) < STEP_S)
        lived->bound_stops = fmax(lived->bound_stops, delay_cost(moment.utc));
}

/* ---- nights ---- */

static int broken; /* nights in which a bound does not hold */

static void open_night(const struct place *place)
{
    struct zone_table zone;
    struct eclipse eclipse;
    struct fault fault = {""};
    double day;

    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = place->latitude_deg;
    setup.site.longitude_deg = place->longitude_deg;
    setup.site.temperature_c = 5;
    setup.danjon = place->danjon;
    setup.rig_count = place->rigs;
    if (place->rigs == 1)
        setup.rig[0] = setup.rig[1];
    for (int i = 0; i < RIGS; i++) {
        setup.rig[i].power.spares = 6;
        setup.rig[i].card_gb = 256;
        setup.rig[i].interval_s = 10; /* a chain at minutes leaves the hands more time */
    }
    /* What no hand may touch all night is on the mains, as the plan asks for. */
    if (place->rigs > 1)
        setup.rig[0].power.external = true;
    if (place->rigs == RIGS)
        setup.rig[RIGS - 1].support = place->last;
    zone_utc(&zone);
    assert_int_equal(parse_day(place->day, &day, NULL), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    night = calloc(1, sizeof *night);
    assert_non_null(night);
    if (night_open(night, &setup, &eclipse, &zone, false, &fault) != 0)
        fail_msg("%s", fault.text);
    look(night->contact_utc[CONTACT_P1] - 600);
}

/* Changes of a dial in thirds, as the light runs, and the fewest re-aims. */
static int touches_before(void)
{
    int touches = 0;

    for (int i = 0; i < setup.rig_count; i++) {
        const struct run *run = &night->run[i];

        for (int j = 1; j < run->count; j++)
            touches +=
                run->segment[j].exposure.known &&
                !exposure_same_dial(&run->segment[j].exposure, &run->segment[j - 1].exposure);
        touches += night->framing[i].re_aims > 0 ? night->framing[i].re_aims : 0;
    }
    return touches;
}

/* The fewest that keep every exposure within its tolerance: each rig by itself, on a dial without steps,
 * at any time; the fewest re-aims; the batteries. */
static int touches_least(void)
{
    int touches = 0;

    for (int i = 0; i < setup.rig_count; i++) {
        touches += rounds_least(night, i, NO_STEPS) + night->power[i].plan.count;
        touches += night->framing[i].re_aims > 0 ? night->framing[i].re_aims : 0;
    }
    return touches;
}

static void live(struct lived *lived)
{
    struct person person = {.seed = 29};
    double end = night->contact_utc[CONTACT_P4];

    *lived = (struct lived){0};
    for (int kind = 0; kind < JOB_KINDS; kind++)
        for (int i = 0; i < RIGS; i++)
            person.ready_utc[kind][i] = NAN;
    /* Before the first frame all cameras are set as the plan has it. */
    for (int i = 0; i < setup.rig_count; i++) {
        person.dial[i] = night->rounds.begins[i];
        person.has[i] = night->rounds.begins[i].known;
    }
    for (double utc = night->contact_utc[CONTACT_P1]; utc < end; utc += STEP_S) {
        look(utc);
        work(&person, utc, lived);
        look(utc);
        judge(&person, lived);
    }
    lived->bound_stops += night->rounds.worst_stops;
}

static void write_row(FILE *out, const struct place *place)
{
    struct agenda agenda;
    struct lived lived;
    int before, planned, least = touches_least();
    int quick = rounds_least(night, -1, 1), no_steps = rounds_least(night, -1, NO_STEPS);

    agenda_make(night, -INFINITY, &agenda);
    planned = agenda.count;
    before = touches_before();
    live(&lived);
    fprintf(out,
            "| %s | %s | %.0f | %d | %d | %d | %d | %d, %d, %d | %d | %.2f, %.2f | %.1f | %d |\n",
            place->day, place->name, place->danjon, place->rigs, before,
            lived.settings + lived.aims + lived.swaps, least, night->rounds.count, quick, no_steps,
            planned, lived.worst_stops, lived.bound_stops, lived.outside_min, lived.missed);
    if (lived.worst_stops > lived.bound_stops || lived.outside_min > 0 || lived.missed > 0)
        broken++;
}

static void write_table(FILE *out)
{
    fprintf(out,
            "# Touches of ten nights\n\n"
            "Printed by tests/night/test_person.c (`make bless`), which lives each night from P1 "
            "to P4: two hands, 10 to 40 s\nbefore they begin, the times of the setup for each "
            "job, a walk of 5 s between rigs.\n\n"
            "Touches in thirds: changes of a dial if every third of a stop were set, and the "
            "fewest re-aims. Touches now: what the\nhands did. Least: the fewest that keep every "
            "exposure within its tolerance, each rig by itself, on a dial without\nsteps, by hands "
            "that take no time, with the fewest re-aims and the batteries: more than now where the "
            "light outruns\nhands. Rounds: with a setting, the least if hands were quick, and that "
            "on a dial without steps. Walks: all rounds that\nthe plan has. Off: the largest error "
            "of a dial, and its bound: what the plan has, and what 40 s and a round cost.\n\n"
            "| night | place | L | rigs | touches in thirds | touches now | least | rounds, least, "
            "without steps | walks | off, bound: stops | Moon outside, min | missed |\n"
            "|---|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (int i = 0; i < PLACES; i++) {
        open_night(&places[i]);
        write_row(out, &places[i]);
        night_close(night);
        free(night);
    }
}

static void ten_nights_can_be_lived(void **state)
{
    char *text = NULL, *held;
    size_t size;
    FILE *out = open_memstream(&text, &size);

    (void)state;
    assert_non_null(out);
    readings_none(&readings);
    write_table(out);
    assert_int_equal(fclose(out), 0);
    fputs(text, stdout);
    assert_int_equal(broken, 0);
    held = blessed(TEST_DATA "/../night/TOUCHES.md", text);
    assert_string_equal(text, held);
    free(text);
    free(held);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(ten_nights_can_be_lived)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
