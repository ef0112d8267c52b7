/* Rounds that are done late, early or in time, and what the acts of the night plan again: the total
 * eclipse of 2028-12-31, three rigs. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <moonstand/exposure.h>
#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>

enum { WIDE, LONG, SCOPE };

static struct moment moment;
static struct fault fault;

static int open_night(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge_in_the_cold(&setup, &zone) != 0)
        return -1;
    setup.rig[WIDE].interval_s = 10;
    return ridge_open(&setup, &zone, false);
}

/* Cards that do not last the night. */
static int open_with_small_cards(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge_in_the_cold(&setup, &zone) != 0)
        return -1;
    for (int rig = WIDE; rig <= SCOPE; rig++)
        setup.rig[rig].card_gb = 8;
    return ridge_open(&setup, &zone, false);
}

/* One tick: what is true, and what the program writes down of it. */
static void tick(double utc)
{
    struct act acts[16];
    struct readings readings;
    int count;

    readings_none(&readings);
    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
    count = night_decide(night, &moment, acts, 16);
    for (int i = 0; i < count; i++)
        assert_int_equal(night_apply(night, &acts[i], NULL), 0);
}

static void apply(struct act act, double utc)
{
    act.utc = utc;
    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* The key: all acts of the round. Returns the last of them, the round. */
static struct act done(double utc)
{
    struct act acts[ROUND_ACTS];
    int count = round_done(night, &moment, acts, &fault);

    if (count == 0)
        fail_msg("%s", fault.text);
    for (int i = 0; i < count; i++)
        apply(acts[i], utc);
    assert_int_equal(acts[count - 1].kind, ACT_ROUND);
    return acts[count - 1];
}

static void undo(double utc)
{
    const struct act *last = night_last_undoable(night);

    assert_int_equal(last->kind, ACT_ROUND);
    apply((struct act){.kind = ACT_UNDO, .rig = -1, .ref = last->seq}, utc);
}

/* The first round of settings after an instant. */
static int round_after(double utc)
{
    int i = 0;

    while (i < night->rounds.count && night->rounds.round[i].utc <= utc)
        i++;
    assert_true(i < night->rounds.count);
    return i;
}

/* The first round whose next one follows within two minutes. */
static int fast_round(void)
{
    int i = 0;

    while (i + 2 < night->rounds.count &&
           night->rounds.round[i + 1].utc - night->rounds.round[i].utc > 120)
        i++;
    assert_true(i + 2 < night->rounds.count);
    return i;
}

static struct rounds before;

static void a_round_done_late_moves_what_follows(void **state)
{
    double late, planned, next;
    int i;

    (void)state;
    tick(at(CONTACT_P1, 60));
    i = fast_round();
    planned = night->rounds.round[i].utc;
    next = night->rounds.round[i + 1].utc;
    late = planned + 55;
    tick(planned - 1);
    tick(late);
    before = night->rounds;
    assert_near(done(late).value[0], planned, 1e-6);
    tick(late + 1);
    i = round_after(late);
    /* Too close to what was done late; now it keeps its distance. */
    assert_true(next - late < 90);
    assert_true(night->rounds.round[i].utc - late >= 90);
    assert_true(night->rounds.round[i].utc > next);
    /* What was set in it is on the dials, and is not asked for again. */
    for (int rig = 0; rig < RIGS; rig++)
        assert_int_equal(moment.rig[rig].exposure.shutter,
                         rounds_now(&before, rig, planned)->shutter);
    const struct job *job = hands_job(&moment.hands, JOB_SETTING, SCOPE);
    assert_true(job->utc > late);
    /* One undo takes all of it back. */
    undo(late + 2);
    tick(late + 3);
    assert_int_equal(night->rounds.count, before.count);
    for (int j = 0; j < before.count; j++)
        assert_near(night->rounds.round[j].utc, before.round[j].utc, 1e-6);
}

/* The first round that comes ten minutes or more after the one before it. */
static int calm_round(void)
{
    int i = 1;

    while (i < night->rounds.count &&
           night->rounds.round[i].utc - night->rounds.round[i - 1].utc < 600)
        i++;
    assert_true(i < night->rounds.count);
    return i;
}

static void a_round_done_early_counts(void **state)
{
    double planned, early, u4 = at(CONTACT_U4, 0);
    struct exposure wanted[RIGS];
    int i, left;

    (void)state;
    tick(at(CONTACT_P1, 60));
    i = calm_round();
    planned = night->rounds.round[i].utc;
    early = planned - 90;
    tick(early);
    left = agenda_count(&night->agenda, planned - 1, u4);
    for (int rig = 0; rig < RIGS; rig++)
        wanted[rig] = *rounds_now(&night->rounds, rig, planned);
    assert_near(done(early).value[0], planned, 1e-6);
    tick(early + 1);
    /* It is on the dials at once, nobody is sent to it again, and the next ones stay. */
    for (int rig = 0; rig < RIGS; rig++) {
        assert_int_equal(moment.rig[rig].exposure.shutter, wanted[rig].shutter);
        assert_int_equal(moment.rig[rig].exposure.iso, wanted[rig].iso);
    }
    assert_true(night->rounds.round[round_after(early)].utc > planned);
    assert_in_range(agenda_count(&night->agenda, early, u4), left - 2, left);
    assert_true(agenda_count(&night->agenda, early, planned + 1) == 0);
    undo(early + 2);
    tick(early + 3);
    assert_near(night->rounds.round[round_after(early)].utc, planned, 1e-6);
    for (int rig = 0; rig < RIGS; rig++)
        assert_int_equal(moment.rig[rig].exposure.shutter,
                         rounds_now(&night->rounds, rig, early)->shutter);
}

/* A tripod that is aimed in a round is aimed by the same key, and not by undo. */
static void a_round_aims_its_tripods(void **state)
{
    double utc = at(CONTACT_U1, 120), planned;
    const struct agenda_round *round = NULL;

    (void)state;
    tick(utc);
    tick(utc);
    apply(advised_aim(&moment.rig[LONG], LONG), utc);
    tick(utc + 1);
    for (int i = 0; i < night->agenda.count && !round; i++)
        if (night->agenda.round[i].jobs[LONG] & 1U << JOB_AIM && night->agenda.round[i].utc > utc)
            round = &night->agenda.round[i];
    assert_non_null(round);
    planned = round->utc;
    /* Long before it is pressing, too. */
    tick(planned - 300);
    (void)done(planned - 300);
    assert_near(night->rig[LONG].aimed_utc, planned - 300, 1e-6);
    undo(planned - 299);
    tick(planned + 5);
    (void)done(planned + 5);
    assert_near(night->rig[LONG].aimed_utc, planned + 5, 1e-6);
    undo(planned + 6);
    tick(planned + 7);
    assert_near(night->rig[LONG].aimed_utc, utc, 1e-6);
}

/* The key names a round that is near, or says that there is none; pressed twice it does not run ahead. */
static void no_round_is_marked_by_mistake(void **state)
{
    struct act acts[ROUND_ACTS];
    double utc;

    (void)state;
    tick(at(CONTACT_P1, -7200));
    assert_int_equal(round_done(night, &moment, acts, &fault), 0);
    assert_non_null(strstr(fault.text, "no round within 15 minutes"));
    tick(at(CONTACT_P1, 60));
    utc = night->rounds.round[fast_round()].utc;
    tick(utc);
    (void)done(utc);
    tick(utc + 5);
    assert_int_equal(round_done(night, &moment, acts, &fault), 0);
    assert_non_null(strstr(fault.text, "that round is done"));
}

/* A test frame, L, a target, cloud: one tick later the rounds are planned from that act on, and what
 * no act has asked for stays on the dials. */
static void acts_plan_again_from_now_on(void **state)
{
    double utc = at(CONTACT_U2, -480);
    const struct act acts[] = {
        {.kind = ACT_CORRECTION, .rig = LONG, .value = {TARGET_LIT, 2}},
        {.kind = ACT_TARGET, .rig = WIDE, .value = {TARGET_UMBRA}},
        {.kind = ACT_DANJON, .rig = -1, .value = {0}},
        {.kind = ACT_CLOUD, .rig = -1, .value = {1}},
    };

    (void)state;
    tick(at(CONTACT_P1, 60));
    tick(utc - 1);
    for (size_t i = 0; i < sizeof acts / sizeof *acts; i++, utc += 45) {
        int asked = 0;

        tick(utc);
        before = night->rounds;
        apply(acts[i], utc);
        tick(utc + 1);
        assert_true(before.round[0].utc < utc);
        assert_true(night->rounds.count > 0 && night->rounds.round[0].utc >= utc - 1e-6);
        for (int rig = 0; rig < RIGS; rig++) {
            const struct job *job = hands_job(&moment.hands, JOB_SETTING, rig);
            bool changed =
                moment.rig[rig].exposure.shutter != rounds_now(&before, rig, utc)->shutter ||
                moment.rig[rig].exposure.iso != rounds_now(&before, rig, utc)->iso;

            /* A dial changes only with a job that says so. */
            if (changed)
                assert_true(job && job->utc <= utc + 1 && job->state == JOB_PRESSING);
            asked += changed;
        }
        if (acts[i].kind == ACT_TARGET || acts[i].kind == ACT_CORRECTION) {
            assert_true(asked >= 1);
            assert_true(fabs(moment.rig[acts[i].rig].off_stops) <= 1);
        }
        if (acts[i].kind == ACT_CLOUD)
            assert_int_equal(asked, 0);
    }
}

/* Which acts of which rigs: bits. */
static void sorts_of(const struct act *acts, int count, unsigned sorts[ACT_KINDS])
{
    memset(sorts, 0, ACT_KINDS * sizeof *sorts);
    for (int i = 0; i < count; i++)
        sorts[acts[i].kind] |= 1U << (acts[i].rig + 1);
}

/* Whoever follows the rounds and says so minutes late has done all of them: not the settings alone. */
static void what_is_done_late_is_done_whole(void **state)
{
    unsigned sorts[ACT_KINDS], later[ACT_KINDS], seen[ACT_KINDS] = {0};
    struct act acts[ROUND_ACTS];
    double utc = at(CONTACT_P1, 60), end = at(CONTACT_P4, -60);
    int late = 0;

    (void)state;
    tick(utc);
    apply((struct act){.kind = ACT_AIM, .rig = LONG, .value = {0, 0}}, utc);
    for (tick(utc += 1); utc < end; tick(utc += 1)) {
        const struct agenda *agenda = &night->agenda;
        int i = 0;

        while (i < agenda->count && agenda->round[i].utc <= utc)
            i++;
        if (i >= agenda->count)
            break;
        double begins = agenda->round[i].utc;
        double next = i + 1 < agenda->count ? agenda->round[i + 1].utc : INFINITY;
        double until = begins + fmin(290, (next - begins) / 2 - 1);
        for (tick(utc); utc < begins + 5; tick(utc))
            utc = fmin(utc + 10, begins + 5);
        int count = round_done(night, &moment, acts, &fault);
        sorts_of(acts, count, sorts);
        for (; utc < until; tick(utc))
            utc = fmin(utc + 10, until);
        count = round_done(night, &moment, acts, &fault);
        sorts_of(acts, count, later);
        assert_true(acts[count - 1].value[0] <= utc);
        for (int kind = 0; kind < ACT_KINDS; kind++) {
            if (later[kind] != sorts[kind])
                fail_msg("%.0f s after P1, %.0f s late: %s %x, was %x", begins - at(CONTACT_P1, 0),
                         utc - begins, act_form((enum act_kind)kind)->name, later[kind], sorts[kind]);
            seen[kind] |= later[kind];
        }
        late += utc > begins + 61;
        for (int act = 0; act < count; act++)
            apply(acts[act], utc);
    }
    assert_true(late >= 10);
    assert_true(seen[ACT_SETTING] && seen[ACT_AIM] && seen[ACT_BATTERY] && seen[ACT_CARD] &&
                seen[ACT_CHECK]);
}

/* A frame that looked right is what is set from then on, to the third; a key that asks for a third more
 * has a third more, whatever the last round has left. */
static void a_test_frame_is_on_the_dial(void **state)
{
    double utc = at(CONTACT_U1, 600);
    int thirds;

    (void)state;
    tick(at(CONTACT_P1, 60));
    do
        tick(utc += 30);
    while (!(fabs(moment.rig[SCOPE].off_stops) > 1.0 / 3) && utc < at(CONTACT_U2, 0));
    assert_true(utc < at(CONTACT_U2, 0));
    apply((struct act){.kind = ACT_CORRECTION, .rig = SCOPE, .value = {TARGET_LIT, 0.5, NAN}}, utc);
    tick(utc + 1);
    assert_true(fabs(moment.rig[SCOPE].off_stops) <= 0.5 / 3 + 0.01);
    thirds = exposure_thirds(&moment.rig[SCOPE].exposure);
    apply((struct act){.kind = ACT_CORRECTION,
                       .rig = SCOPE,
                       .value = {TARGET_LIT, 0.5 + 1.0 / 3, 1.0 / 3}},
          utc + 2);
    tick(utc + 3);
    assert_int_equal(exposure_thirds(&moment.rig[SCOPE].exposure), thirds + 1);
}

/* Asked before anything is known to be on its dial, a setting is asked for all the same, and not only
 * until the program has written down the first settings. */
static void a_rig_that_was_not_set_is_asked_for(void **state)
{
    double utc = at(CONTACT_U2, -480);

    (void)state;
    apply((struct act){.kind = ACT_TARGET, .rig = WIDE, .value = {TARGET_UMBRA}}, utc);
    for (int s = 1; s <= 3; s++) {
        const struct job *job;

        tick(utc + s);
        job = hands_job(&moment.hands, JOB_SETTING, WIDE);
        assert_true(job && job->state == JOB_PRESSING);
        assert_near(job->utc, utc, 1e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_round_done_late_moves_what_follows, open_night,
                                        ridge_close),
        cmocka_unit_test_setup_teardown(a_round_done_early_counts, open_night, ridge_close),
        cmocka_unit_test_setup_teardown(a_round_aims_its_tripods, open_night, ridge_close),
        cmocka_unit_test_setup_teardown(no_round_is_marked_by_mistake, open_night, ridge_close),
        cmocka_unit_test_setup_teardown(acts_plan_again_from_now_on, open_night, ridge_close),
        cmocka_unit_test_setup_teardown(what_is_done_late_is_done_whole, open_with_small_cards,
                                        ridge_close),
        cmocka_unit_test_setup_teardown(a_test_frame_is_on_the_dial, open_night, ridge_close),
        cmocka_unit_test_setup_teardown(a_rig_that_was_not_set_is_asked_for, open_night,
                                        ridge_close),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
