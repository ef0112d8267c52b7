/* A simulated person lives whole nights from P1 to P4 by moments and acts alone: two hands, which take
 * the setup's times, and 10 to 40 s before they begin. TOUCHES.md beside this file has what came of it;
 * BLESS=1 writes it anew. */
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
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define STEP_S 5.0
#define REACTION_LEAST_S 10.0
#define REACTION_MOST_S 40.0
#define SAME_WALK_S 120.0
/* Hands are so late at most: they look every STEP_S. */
#define LATE_S (REACTION_MOST_S + STEP_S)
enum { LATE_LOOKS = 9 };
/* The plan reckons with light half a minute apart, stops. */
#define SAMPLED_STOPS 0.01

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
/* So many to a third of a stop are as good as none. */
enum { NO_STEPS = 100 };
enum { PLACES = sizeof places / sizeof places[0] };

static struct setup setup;
static struct readings readings;
static struct night *night;
static struct moment moment;

/* ---- the person ---- */

struct person {
    unsigned seed;
    double busy_to;   /* hands are at something until then */
    double ready_utc; /* something was seen, and is begun then; NaN: not */
    bool has[RIGS];
    struct exposure dial[RIGS], before[RIGS]; /* what it was until `set_utc` */
    double set_utc[RIGS];
    struct exposure asked[RIGS]; /* last told, and not done yet */
    bool is_asked[RIGS];
};

/* A rig's largest error, and what it may be at most then: what the plan has, and what a delay costs. */
struct worst {
    double off_stops, bound_stops;
};

struct lived {
    int walks, settings, aims, swaps, missed;
    struct worst kept, named; /* where the plan keeps the tolerance; where it says that it cannot */
    double named_min, outside_min;
    int looks;
    int beyond; /* instants at which a rig is off by more than its bound */
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
    moment_at(night, &readings, utc, &moment);
}

/* A round is begun at its instant, all else when it is seen to be due. */
static bool is_asked(const struct job *job)
{
    switch (job->kind) {
    case JOB_FIRST_AIM:
        return true;
    case JOB_AIM:
    case JOB_SETTING:
    case JOB_BATTERY:
    case JOB_CARD:
        return job->utc <= moment.utc;
    case JOB_FLIP:
        return job->utc - moment.utc <= PRESSING_S;
    case JOB_GLASS:
    case JOB_ITEM:
        return job->state == JOB_DUE || job->state == JOB_OVERDUE;
    default:
        return false;
    }
}

/* An item or a glance takes as long as the way to it. */
static double takes_s(const struct job *job)
{
    double known = job_takes_s(night, job->kind);

    return known > 0 ? known : setup.hands_s[HANDS_WALK];
}

static bool is_swap(const struct job *job)
{
    return job->kind == JOB_BATTERY || job->kind == JOB_CARD;
}

static void do_job(struct person *person, const struct job *job, double utc, struct lived *lived)
{
    int rig = job->rig;
    struct act other = {.rig = rig};

    switch (job->kind) {
    case JOB_AIM:
    case JOB_FIRST_AIM:
        look(utc);
        act(advised_aim(&moment.rig[rig], rig), utc);
        lived->aims++;
        return;
    case JOB_SETTING:
        lived->settings++;
        person->before[rig] = person->dial[rig];
        person->dial[rig] = *job->set;
        person->set_utc[rig] = person->has[rig] ? utc : -INFINITY;
        person->has[rig] = true;
        person->is_asked[rig] = false;
        return;
    case JOB_FLIP:
        other.kind = ACT_FLIP;
        act(other, utc);
        break;
    case JOB_BATTERY:
    case JOB_CARD:
    case JOB_GLASS:
        other.kind = job->kind == JOB_BATTERY ? ACT_BATTERY
                     : job->kind == JOB_CARD  ? ACT_CARD
                                              : ACT_GLASS;
        act(other, utc);
        break;
    case JOB_ITEM:
        other.kind = ACT_CHECK;
        other.value[0] = 1;
        (void)snprintf(other.text, sizeof other.text, "%s",
                       night->setup.checklist.item[job->item].id);
        act(other, utc);
        break;
    default:
        break;
    }
    lived->swaps += is_swap(job);
}

/* Nothing to do any more: it was done, and the screen goes on telling it for a while. */
static bool is_done(const struct person *person, const struct job *job)
{
    return job->kind == JOB_SETTING && person->has[job->rig] &&
           exposure_same_dial(&person->dial[job->rig], job->set);
}

/* A setting that was told and is replaced by the next one was missed. */
static void hear(struct person *person, const struct job *job, struct lived *lived)
{
    int rig = job->rig;

    if (job->kind != JOB_SETTING)
        return;
    if (person->is_asked[rig] && !exposure_same_dial(&person->asked[rig], job->set))
        lived->missed++;
    person->asked[rig] = *job->set;
    person->is_asked[rig] = !is_done(person, job);
}

/* Whether a job is to be begun at this look. A list can wait while something at a camera is told. */
static bool calls(const struct person *person, const struct hands *hands, const struct job *job)
{
    return is_asked(job) && !is_done(person, job) &&
           !(job->kind == JOB_ITEM && hands->job[0].state <= JOB_PRESSING);
}

/* Who is at a round does all of it, what comes a little later in it or at its rig, too. */
static bool is_in_hand(const struct person *person, const struct hands *hands, int index)
{
    const struct job *job = &hands->job[index];

    for (int i = 0; i < hands->count; i++) {
        const struct job *called = &hands->job[i];
        bool soon = called->rig == job->rig && is_swap(called) && job->kind == JOB_AIM &&
                    moment.rig[job->rig].due_in_s <= SAME_WALK_S;

        if ((called->walk == job->walk || soon) && calls(person, hands, called))
            return job->kind != JOB_ITEM ? !is_done(person, job) : i == index;
    }
    return false;
}

/* One look at the screen: begins what was seen long enough ago, one thing after the other. */
static void work(struct person *person, double utc, struct lived *lived)
{
    struct hands hands = moment.hands;
    double begins = fmax(utc, person->busy_to);
    int last_rig = -2;
    bool called = false;

    for (int i = 0; i < hands.count; i++) {
        if (is_asked(&hands.job[i]))
            hear(person, &hands.job[i], lived);
        called |= calls(person, &hands, &hands.job[i]);
    }
    if (!called || person->busy_to > utc)
        return;
    if (isnan(person->ready_utc))
        person->ready_utc = utc + reaction_s(person);
    if (person->ready_utc > utc)
        return;
    /* Batteries and cards last: they can wait for light and Moon. */
    for (int n = 0; n < 2 * hands.count; n++) {
        int i = n % hands.count;
        struct job job = hands.job[i];
        struct exposure set;

        if (is_swap(&job) != (n >= hands.count) || !is_in_hand(person, &hands, i))
            continue;
        if (job.set) {
            set = *job.set;
            job.set = &set;
        }
        begins += last_rig > -2 && last_rig != job.rig ? setup.hands_s[HANDS_WALK] : 0;
        begins += takes_s(&job);
        last_rig = job.rig;
        do_job(person, &job, begins, lived);
    }
    lived->walks++;
    person->busy_to = begins;
    person->ready_utc = NAN;
}

/* ---- what came of it ---- */

/* What the light of an instant asks of a rig; false where no picture is to be had. */
static bool wants(int rig, double utc, struct exposure *wanted)
{
    struct run_sample sample;

    run_sample_at(night, &night->light, utc, &sample);
    run_exposure(night, rig, &sample, 0, wanted);
    for (int i = 0; i < night->run[rig].lost_count; i++) {
        const struct span *lost = &night->run[rig].lost[i].span;

        if (utc >= lost->from && utc <= lost->to)
            return false;
    }
    return wanted->known && moment.moon.up && !moment.rig[rig].out_of_reach &&
           utc <= night->rig[rig].ends_utc;
}

/* The times with more jobs than hands, as the plan names them beforehand. */
static struct overload overload[OVERLOADS];
static int overloads;

static bool is_named(double utc)
{
    for (int i = 0; i < overloads; i++)
        if (utc >= overload[i].utc_from && utc <= overload[i].utc_to + LATE_S)
            return true;
    return false;
}

/* By how much the plan has a rig off at most, now or before hands that are late have set it anew. */
static double planned_stops(int rig, double utc)
{
    const struct rounds *rounds = &night->rounds;
    double planned = setup.rig[rig].tolerance_stops;

    for (int i = 0; is_named(utc) && i < rounds->count && rounds->round[i].utc <= utc; i++) {
        int next = i + 1;

        while (next < rounds->count && !rounds->round[next].touched[rig])
            next++;
        if (next == rounds->count || utc <= rounds->round[next].utc + full_round_s(night) + LATE_S)
            planned = fmax(planned, rounds->round[i].worst_stops[rig]);
    }
    return planned;
}

/* What the light asked of a rig at the last looks; not known: nothing. */
static struct exposure past[RIGS][LATE_LOOKS];

/* How far the light has run in the time by which hands may be late. */
static double delay_stops(int rig, const struct exposure *now)
{
    double cost = 0;

    for (int i = 0; i < LATE_LOOKS; i++)
        if (past[rig][i].known)
            cost = fmax(cost, fabs(stops_off(now, &past[rig][i])));
    return cost;
}

static void judge_light(const struct person *person, struct lived *lived)
{
    bool named = is_named(moment.utc);
    struct worst *worst = named ? &lived->named : &lived->kept;

    lived->named_min += named ? STEP_S / 60 : 0;
    for (int i = 0; i < setup.rig_count; i++) {
        struct exposure now;
        bool wanted = wants(i, moment.utc, &now);

        if (wanted && person->has[i]) {
            bool is_set = moment.utc >= person->set_utc[i];
            double off = fabs(stops_off(&now, is_set ? &person->dial[i] : &person->before[i]));
            double bound = planned_stops(i, moment.utc) + delay_stops(i, &now);

            lived->beyond += off > bound + SAMPLED_STOPS;
            if (off > worst->off_stops)
                *worst = (struct worst){off, bound};
        }
        past[i][lived->looks % LATE_LOOKS] = now;
        past[i][lived->looks % LATE_LOOKS].known = wanted;
    }
    lived->looks++;
}

static void judge(const struct person *person, struct lived *lived)
{
    judge_light(person, lived);
    for (int i = 0; i < setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        const struct kit_moment *kit = &moment.kit[i];
        double before = moment.utc - STEP_S, shot_to = night->shooting[i].utc_to;

        if (moment.moon.up && rig->aimed && moment.rig[i].loss != LOSS_NONE &&
            moment.utc < rig->ends_utc)
            lived->outside_min += STEP_S / 60;
        lived->missed += kit->battery_empty_utc <= moment.utc && kit->battery_empty_utc > before &&
                         moment.utc < shot_to;
        lived->missed += kit->card_known && kit->card.full_utc <= moment.utc &&
                         kit->card.full_utc > before && moment.utc < shot_to;
        lived->missed += night->framing[i].flips && isnan(night->rig[i].flipped_utc) &&
                         night->framing[i].flip.latest_utc <= moment.utc &&
                         night->framing[i].flip.latest_utc > before;
    }
}

/* ---- nights ---- */

static int broken; /* nights in which a bound does not hold */

static void choose_setup(const struct place *place)
{
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
        setup.rig[i].card_gb = i == 1 ? 32 : 256;
        setup.rig[i].interval_s = 10; /* a chain at minutes leaves the hands more time */
    }
    setup.rig[RIGS - 1].mount.german_equatorial = true;
    /* What no hand may touch all night is on the mains, as the plan asks for. */
    if (place->rigs > 1)
        setup.rig[0].power.external = true;
    if (place->rigs == RIGS)
        setup.rig[RIGS - 1].support = place->last;
}

static void open_night(const struct place *place)
{
    struct zone_table zone;
    struct eclipse eclipse;
    struct fault fault = {""};
    double day;

    zone_utc(&zone);
    assert_int_equal(parse_day(place->day, &day, NULL), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    night = calloc(1, sizeof *night);
    assert_non_null(night);
    if (night_open(night, &setup, &eclipse, &zone, false, &fault) != 0)
        fail_msg("%s", fault.text);
    look(night->contact_utc[CONTACT_P1] - 600);
}

static void close_night(void)
{
    night_close(night);
    free(night);
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
    struct person person = {.seed = 30, .ready_utc = NAN};
    double end = night->contact_utc[CONTACT_P4];

    *lived = (struct lived){0};
    memset(past, 0, sizeof past);
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
    for (int i = 0; i < night->setup.checklist.count; i++)
        lived->missed += moment.check_due_utc[i] < end - 60 * REACTION_MOST_S &&
                         item_applies(night, i) && isnan(night->checked_utc[i]) &&
                         moment.check_due_utc[i] > night->contact_utc[CONTACT_P1];
}

static void write_row(FILE *out, const struct place *place)
{
    struct agenda agenda;
    struct lived lived;
    int before = touches_before(), least = touches_least();
    int quick = rounds_least(night, -1, 1), no_steps = rounds_least(night, -1, NO_STEPS);

    agenda_make(night, -INFINITY, &agenda);
    overloads = agenda_overloads(night, &agenda, overload);
    live(&lived);
    fprintf(out,
            "| %s | %s | %.0f | %d | %d | %d | %d | %d, %d, %d | %d, %d | %.2f, %.2f | %.0f | "
            "%.2f, %.2f | "
            "%.1f | %d |\n",
            place->day, place->name, place->danjon, place->rigs, before,
            lived.settings + lived.aims + lived.swaps, least, night->rounds.count, quick, no_steps,
            agenda.count, lived.walks, lived.kept.off_stops, lived.kept.bound_stops,
            lived.named_min, lived.named.off_stops, lived.named.bound_stops, lived.outside_min,
            lived.missed);
    broken += lived.beyond > 0 || lived.outside_min > 0 || lived.missed > 0;
}

static void write_table(FILE *out)
{
    fprintf(
        out,
        "# Touches of ten nights\n\n"
        "Printed by tests/night/test_person.c (`make bless`), which lives each night from P1 to P4: two hands, 10 "
        "to 40 s\n"
        "before they begin, the times of the setup for each job, a walk of 5 s between rigs.\n\n"
        "Touches in thirds: changes of a dial if every third of a stop were set, and the fewest re-aims. Touches "
        "now: what the\n"
        "hands did: settings, aims, batteries, cards. Least: the fewest that keep every exposure within its "
        "tolerance, each rig\n"
        "by itself, on a dial without steps, by hands that take no time, with the fewest re-aims and the "
        "batteries: more than\n"
        "now where the light outruns hands. Rounds: with a setting, the least if hands were quick, and that on a "
        "dial without\n"
        "steps. Walks: planned for cameras, and walked, with those for the list. Named: minutes in which the plan "
        "says weeks\n"
        "ahead that there are more jobs than hands. Off: the largest error of a dial in all other time, and its "
        "bound at that\n"
        "instant: the tolerance of the rig, and how far the light ran in the 45 s by which hands may be late (they "
        "look every 5\n"
        "s). Off in the named minutes: bounded by what the plan says, and the delay. No rig is ever off by a "
        "hundredth of a\n"
        "stop more than its bound.\n\n"
        "| night | place | L | rigs | touches in thirds | touches now | least | rounds, least, "
        "without steps | walks: "
        "planned, walked | off, bound: stops | named, min | off, bound then | Moon outside, min "
        "| missed |\n"
        "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (int i = 0; i < PLACES; i++) {
        choose_setup(&places[i]);
        open_night(&places[i]);
        write_row(out, &places[i]);
        close_night();
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
