/* The fold of acts, what it derives, and the moment, on the total eclipse of 2028-12-31. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <timed.h>

static struct setup setup;
static struct eclipse eclipse;
static struct zone_table zone;
static struct readings readings;

static int prepare(void **state)
{
    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    setup.site.height_m = 420;
    readings_none(&readings);
    return 0;
}

static struct night *open_night(void)
{
    struct night *night = calloc(1, sizeof *night);
    struct fault fault;

    assert_non_null(night);
    assert_int_equal(night_open(night, &setup, &eclipse, &zone, false, &fault), 0);
    night_follow(night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
    return night;
}

static void close_night(struct night *night)
{
    night_close(night);
    free(night);
}

static uint64_t apply(struct night *night, struct act act)
{
    struct fault fault = {""};

    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
    night_follow(night, act.utc);
    return act.seq;
}

/* `now` has an answer to the last minute of the span; a night to prepare for is not offered past it. */
static void after_the_last_eclipse_of_the_span_comes_one(void **state)
{
    struct eclipse next;
    double last, wait_s;

    (void)state;
    assert_int_equal(parse_instant("2100-12-31T23:59", &last, NULL), 0);
    assert_true(eclipse_current(last, SHADOW_DANJON, &next));
    wait_s = utc_from_tt(next.tt[CONTACT_GREATEST]) - last;
    assert_true(wait_s > 0 && wait_s < 183 * SECONDS_PER_DAY);
    assert_false(eclipse_pick(NULL, SHADOW_DANJON, last, NAN, &next));
}

static int refused(struct night *night, struct act act)
{
    struct fault fault = {""};
    int result = night_apply(night, &act, &fault);

    assert_int_equal(result, -1);
    return strlen(fault.text) > 0;
}

static double contact(const struct night *night, enum contact which)
{
    return night->contact_utc[which];
}

static void a_night_without_site_is_refused(void **state)
{
    struct night night;
    struct setup no_site;
    struct fault fault;

    (void)state;
    setup_default(&no_site);
    assert_int_equal(night_open(&night, &no_site, &eclipse, &zone, false, &fault), -1);
    assert_non_null(strstr(fault.text, "--site"));
}

/* What is not derived yet reads as unknown. */
static void an_opened_night_knows_its_contacts_and_no_more(void **state)
{
    static struct night night;
    static struct moment moment;
    struct fault fault;

    (void)state;
    assert_int_equal(night_open(&night, &setup, &eclipse, &zone, false, &fault), 0);
    moment_at(&night, &readings, utc_from_tt(eclipse.tt[CONTACT_U1]) - 600, &moment);
    assert_true(night.pace == 1); /* that of life, unless a rehearsal says otherwise */
    assert_near(night.contact_utc[CONTACT_U1] - moment.utc, 600, 1e-6);
    assert_int_equal(night.event_count, 0);
    assert_int_equal(moment.next, -1);
    assert_true(isnan(moment.moon.altitude_rad) && isnan(moment.light.mean));
    for (int i = 0; i < setup.rig_count; i++)
        assert_false(moment.rig[i].exposure.known);
    assert_int_equal(moment.alarm_rig, -1);
    night_close(&night);
}

static void ticks_are_kept_with_their_time_and_undone(void **state)
{
    struct night *night = open_night();
    const char *id = setup.checklist.item[3].id;
    double utc = contact(night, CONTACT_P1);
    struct act tick = {.utc = utc, .kind = ACT_CHECK, .rig = -1, .value = {1}};
    uint64_t seq;

    (void)state;
    (void)snprintf(tick.text, sizeof tick.text, "%s", id);
    seq = apply(night, tick);
    assert_true(night->checked_utc[3] == utc);
    assert_ptr_equal(night_last_undoable(night), &night->acts[night->act_count - 1]);
    apply(night, (struct act){.utc = utc + 5, .kind = ACT_UNDO, .rig = -1, .ref = seq});
    assert_true(isnan(night->checked_utc[3]));
    assert_null(night_last_undoable(night));
    close_night(night);
}

static void undo_takes_back_only_the_one_it_names(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_U1);
    uint64_t first = apply(
        night,
        (struct act){.utc = utc, .kind = ACT_CORRECTION, .rig = 1, .value = {TARGET_LIT, 0.5}});

    (void)state;
    apply(night, (struct act){
                     .utc = utc + 1, .kind = ACT_CORRECTION, .rig = 1, .value = {TARGET_UMBRA, 1}});
    apply(night, (struct act){.utc = utc + 2, .kind = ACT_UNDO, .rig = -1, .ref = first});
    assert_true(night->rig[1].correction_stops[TARGET_LIT] == 0);
    assert_true(night->rig[1].correction_stops[TARGET_UMBRA] == 1);
    close_night(night);
}

static void nonsense_is_refused_and_changes_nothing(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_U1);

    (void)state;
    assert_true(refused(night, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 3}));
    assert_true(
        refused(night, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 0, .value = {0.6, 0}}));
    assert_true(
        refused(night, (struct act){.utc = utc, .kind = ACT_DANJON, .rig = -1, .value = {5}}));
    assert_true(
        refused(night, (struct act){.utc = utc, .kind = ACT_DANJON, .rig = -1, .value = {NAN}}));
    assert_true(
        refused(night, (struct act){.utc = utc, .kind = ACT_CHECK, .rig = -1, .text = "none"}));
    assert_true(refused(night, (struct act){.utc = utc, .kind = ACT_UNDO, .rig = -1, .ref = 7}));
    assert_true(refused(night, (struct act){.utc = NAN, .kind = ACT_NOTE, .rig = -1}));
    assert_true(refused(night, (struct act){.utc = utc, .kind = ACT_KINDS, .rig = -1}));
    assert_int_equal(night->act_count, 0);
    close_night(night);
}

static void a_known_number_is_ignored(void **state)
{
    struct night *night = open_night();
    struct act frame = {.seq = 1, .utc = contact(night, CONTACT_U1), .kind = ACT_FRAME, .rig = 0};
    struct fault fault;

    (void)state;
    assert_int_equal(night_apply(night, &frame, &fault), 0);
    assert_int_equal(night_apply(night, &frame, &fault), 1);
    assert_int_equal(night->rig[0].frames, 1);
    close_night(night);
}

/* Warned, due, written down once, aimed again, quiet. */
static void the_drift_alarm_runs_its_course(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_U1), leaves;
    struct moment moment;
    struct act acts[8];
    int settings, count;

    (void)state;
    moment_at(night, &readings, utc, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_FREE);
    apply(night, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 1, .value = {0, 0}});
    leaves = night->rig[1].leaves_utc;
    assert_true(leaves > utc + 100 && leaves < utc + 600);

    moment_at(night, &readings, utc + 1, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_STEADY);
    moment_at(night, &readings, leaves - setup.rig[1].warn_s + 1, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_SOON);
    assert_int_equal(moment.alarm_rig, -1);

    moment_at(night, &readings, leaves + 1, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_DUE);
    assert_int_equal(moment.alarm_rig, 1);
    count = night_decide(night, &moment, acts, 8);
    settings = count - 1;
    assert_int_equal(settings, setup.rig_count);
    for (int i = 0; i < count; i++)
        apply(night, acts[i]);
    assert_int_equal(night_decide(night, &moment, acts, 8), 0);

    apply(night, (struct act){.utc = leaves + 2, .kind = ACT_SNOOZE, .rig = 1, .value = {60}});
    moment_at(night, &readings, leaves + 3, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_SNOOZED);
    assert_int_equal(moment.alarm_rig, -1);
    moment_at(night, &readings, leaves + 63, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_DUE);

    apply(night, (struct act){.utc = leaves + 70, .kind = ACT_AIM, .rig = 1});
    moment_at(night, &readings, leaves + 71, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_STEADY);
    close_night(night);
}

static void an_alarm_heard_late_is_written_down_as_missed(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_U1), leaves;
    struct moment moment;
    struct act acts[8];
    bool missed = false;

    (void)state;
    apply(night, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 1, .value = {0, 0}});
    leaves = night->rig[1].leaves_utc;
    moment_at(night, &readings, leaves + 3600, &moment);
    for (int i = night_decide(night, &moment, acts, 8); i-- > 0;)
        missed |= acts[i].kind == ACT_MISSED && acts[i].rig == 1 && acts[i].value[0] == leaves;
    assert_true(missed);
    close_night(night);
}

/* The place in the frame is left by a Moon that has set: nobody can aim it again. */
static void no_alarm_is_raised_for_a_moon_that_is_down(void **state)
{
    struct night *night = open_night();
    double set = NAN;
    struct moment moment;
    struct act acts[8];

    (void)state;
    for (int i = 0; i < night->event_count; i++)
        if (night->event[i].kind == NIGHT_SKY && night->event[i].which == SKY_MOONSET)
            set = night->event[i].utc;
    apply(night, (struct act){.utc = set - 60, .kind = ACT_AIM, .rig = 1});
    assert_true(night->rig[1].due_utc > set);
    moment_at(night, &readings, night->rig[1].due_utc + 1, &moment);
    assert_int_equal(moment.rig[1].aim_state, AIM_DOWN);
    assert_int_equal(night_decide(night, &moment, acts, 8), 0);
    close_night(night);
}

static void a_gap_names_what_passed_in_it(void **state)
{
    struct night *night = open_night();
    double u2 = contact(night, CONTACT_U2);
    struct act acts[64];
    int count = night_missed(night, u2 - 10, u2 + 10, 0, acts, 64);

    (void)state;
    assert_int_equal(acts[0].kind, ACT_GAP);
    assert_true(count >= 2);
    assert_string_equal(acts[1].text, "U2");
    assert_true(acts[1].value[0] == u2);
    close_night(night);
}

/* The camera was set by the clock that then proved slow: it is as far behind. */
static void a_set_clock_leaves_the_camera_behind(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_U1);
    struct act acts[NIGHT_MISSED];

    (void)state;
    apply(night, (struct act){.utc = utc, .kind = ACT_CAMERA_CLOCK, .rig = 1, .value = {2}});
    (void)night_missed(night, utc + 10, utc + 110, 100, acts, NIGHT_MISSED);
    apply(night, acts[0]);
    assert_near(night->rig[1].camera_behind_s, 102, 1e-9);
    assert_true(isnan(night->rig[0].camera_behind_s));
    close_night(night);
}

/* Equal, or both unknown. */
static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static void assert_same_rig(const struct rig_state *a, const struct rig_state *b)
{
    assert_true(a->aimed == b->aimed && same(a->aimed_utc, b->aimed_utc));
    assert_true(same(a->aimed_at.x, b->aimed_at.x) && same(a->aimed_at.y, b->aimed_at.y));
    assert_true(same(a->leaves_utc, b->leaves_utc) && same(a->snoozed_until, b->snoozed_until));
    assert_true(a->rig.filter_stops == b->rig.filter_stops && a->rig.target == b->rig.target);
    for (int i = 0; i < TARGETS; i++)
        assert_true(a->correction_stops[i] == b->correction_stops[i]);
}

static void assert_same_run(const struct run *a, const struct run *b)
{
    assert_int_equal(a->count, b->count);
    for (int i = 0; i < a->count; i++) {
        assert_true(a->segment[i].utc_from == b->segment[i].utc_from);
        assert_true(exposure_same(&a->segment[i].exposure, &b->segment[i].exposure));
    }
}

/* The same acts give the same state, whether applied live or replayed. */
static void replay_gives_the_same_night(void **state)
{
    struct night *live = open_night(), *again = open_night();
    double utc = contact(live, CONTACT_P1);

    (void)state;
    apply(live, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 0, .value = {-0.2, 0.1}});
    apply(live, (struct act){.utc = utc + 1, .kind = ACT_DANJON, .rig = -1, .value = {2}});
    apply(
        live,
        (struct act){
            .utc = utc + 2, .kind = ACT_SITE, .rig = -1, .value = {62.5, 61, 300}, .text = "gps"});
    apply(live,
          (struct act){
              .utc = utc + 3, .kind = ACT_RIG, .rig = 1, .value = {3}, .text = "filter_stops"});
    for (size_t i = 0; i < live->act_count; i++)
        apply(again, live->acts[i]);
    assert_int_equal(again->act_count, live->act_count);
    for (int i = 0; i < setup.rig_count; i++) {
        assert_same_rig(&again->rig[i], &live->rig[i]);
        assert_same_run(&again->run[i], &live->run[i]);
    }
    assert_true(again->observer.latitude_rad == live->observer.latitude_rad);
    assert_true(again->observer.itrs_m.x == live->observer.itrs_m.x);
    assert_string_equal(again->site_source, "gps");
    close_night(live);
    close_night(again);
}

static void a_moved_site_moves_the_night(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_GREATEST);
    struct moment before, after;

    (void)state;
    moment_at(night, &readings, utc, &before);
    apply(night,
          (struct act){
              .utc = utc, .kind = ACT_SITE, .rig = -1, .value = {48, 100, 0}, .text = "hand"});
    moment_at(night, &readings, utc, &after);
    assert_true(fabs(after.moon.azimuth_rad - before.moon.azimuth_rad) > 0.1);
    close_night(night);
}

/* A test frame of the umbra tells the air's L; the other rigs inherit it, undo takes it back. */
static void an_umbral_test_frame_tells_l_to_every_rig(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_GREATEST);
    struct moment before, after;
    uint64_t seq;

    (void)state;
    moment_at(night, &readings, utc, &before);
    assert_near(night->danjon_state, 3, 1e-12);
    seq = apply(
        night,
        (struct act){.utc = utc, .kind = ACT_CORRECTION, .rig = 2, .value = {TARGET_UMBRA, 2}});
    moment_at(night, &readings, utc, &after);
    assert_true(night->danjon_state < 2.9 && night->danjon_state > 1);
    /* Two stops more for the telescope that was corrected, and as much for the long lens. */
    assert_near(after.rig[2].exposure.ev100 - before.rig[2].exposure.ev100, -2, 0.02);
    assert_near(after.rig[1].exposure.ev100 - before.rig[1].exposure.ev100, -2, 0.02);
    apply(night, (struct act){.utc = utc + 1, .kind = ACT_UNDO, .rig = -1, .ref = seq});
    assert_near(night->danjon_state, 3, 1e-12);
    close_night(night);
}

static double ev_at(const struct night *night, int rig, double utc)
{
    struct moment moment;

    moment_at(night, &readings, utc, &moment);
    assert_int_equal(moment.rig[rig].exposure.target, TARGET_UMBRA);
    return moment.rig[rig].exposure.ev100;
}

/* The key's way: so much on what is in force. */
static void correct_umbra(struct night *night, int rig, double utc, double stops)
{
    struct act act = {
        .utc = utc, .kind = ACT_CORRECTION, .rig = rig, .value = {TARGET_UMBRA, stops}};
    struct moment moment;

    moment_at(night, &readings, utc, &moment);
    act.value[1] += night_correction(night, &moment, rig, TARGET_UMBRA);
    apply(night, act);
}

static void target_umbra(struct night *night)
{
    for (int i = 0; i < setup.rig_count; i++)
        apply(night, (struct act){.utc = contact(night, CONTACT_P1),
                                  .kind = ACT_TARGET,
                                  .rig = i,
                                  .value = {TARGET_UMBRA}});
}

/* Each correction does on its rig what it says, whatever the frames of the other rigs have told,
 * and each rig keeps what its own frame found. */
static void a_correction_builds_on_what_is_in_force(void **state)
{
    struct night *night = open_night();
    double first = contact(night, CONTACT_U2) + 300, second = contact(night, CONTACT_GREATEST);
    double late = contact(night, CONTACT_U4) - 240;
    double found, before, other;

    (void)state;
    target_umbra(night);
    before = ev_at(night, 2, first);
    correct_umbra(night, 2, first, 2);
    found = ev_at(night, 2, first);
    assert_near(found, before - 2, 1e-6);

    before = ev_at(night, 1, second);
    correct_umbra(night, 1, second, 1.0 / 3);
    assert_near(ev_at(night, 1, second), before - 1.0 / 3, 1e-6);
    assert_near(ev_at(night, 2, first), found, 1e-6);

    /* The same rig again, at another depth. */
    before = ev_at(night, 2, second + 900);
    correct_umbra(night, 2, second + 900, -1.0 / 3);
    assert_near(ev_at(night, 2, second + 900), before + 1.0 / 3, 1e-6);

    /* A frame of a sliver, which tells nothing: the others stay as they are. */
    before = ev_at(night, 1, late);
    other = ev_at(night, 0, late);
    correct_umbra(night, 1, late, 1.0 / 3);
    assert_near(ev_at(night, 1, late), before - 1.0 / 3, 1e-6);
    assert_near(ev_at(night, 0, late), other, 1e-6);
    close_night(night);
}

/* What the ends of the scale do not reach stays with the rig. */
static void a_correction_past_the_scale_is_done_all_the_same(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_GREATEST), before;

    (void)state;
    target_umbra(night);
    before = ev_at(night, 2, utc);
    correct_umbra(night, 2, utc, 9);
    assert_near(night->danjon_state, 0, 1e-6);
    assert_near(ev_at(night, 2, utc), before - 9, 1e-6);
    close_night(night);
}

/* Rating 2.4 at this depth (magnitude 1.246) is air of 2.4 + 2.37 (1.246 - 1.106) = 2.73; of 2 it is
 * 2 + 2 / 2.4 of that offset; the darkest rating is the darkest air. */
static void a_rating_by_eye_becomes_a_state_of_the_air(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_GREATEST);

    (void)state;
    apply(night, (struct act){.utc = utc, .kind = ACT_DANJON, .rig = -1, .value = {2}});
    double offset = 2.37 * (eclipse.umbral_magnitude - 1.106);
    assert_near(night->danjon_state, 2 + offset * 2 / 2.4, 1e-9);
    apply(night, (struct act){.utc = utc, .kind = ACT_DANJON, .rig = -1, .value = {2.4}});
    assert_near(night->danjon_state, 2.4 + offset, 1e-9);
    apply(night, (struct act){.utc = utc, .kind = ACT_DANJON, .rig = -1, .value = {0}});
    assert_near(night->danjon_state, 0, 0);
    close_night(night);
}

/* Another day than the eclipse's is followed too, and back again. */
static void any_instant_can_be_followed(void **state)
{
    struct night *night = open_night();
    double utc = contact(night, CONTACT_GREATEST);
    struct moment moment, first;

    (void)state;
    moment_at(night, &readings, utc, &first);
    night_follow(night, utc - 40 * SECONDS_PER_DAY);
    moment_at(night, &readings, utc - 40 * SECONDS_PER_DAY, &moment);
    assert_true(isfinite(moment.moon.altitude_rad));
    assert_true(isfinite(moment.horizon_utc) && moment.horizon_utc < utc - 39 * SECONDS_PER_DAY);
    /* Nobody waits for that moonset: the eclipse's first contact is next. */
    assert_true(moment.next >= 0);
    assert_int_equal(night->event[moment.next].kind, NIGHT_CONTACT);
    assert_int_equal(night->event[moment.next].which, CONTACT_P1);
    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
    assert_true(moment.moon.altitude_rad == first.moon.altitude_rad);
    assert_int_equal(moment.next, first.next);
    close_night(night);
}

/* Begun on the day before, the eclipse's own night is followed all the same. */
static void a_day_gives_way_to_the_eclipse_s_night(void **state)
{
    struct night *night = open_night(), *fresh = open_night();
    double greatest = contact(night, CONTACT_GREATEST);
    struct moment moment, as_fresh;

    (void)state;
    night_follow(night, greatest - 22 * 3600);
    for (double utc = greatest - 11 * 3600; utc < greatest + 11 * 3600; utc += 1800) {
        night_follow(night, utc);
        night_follow(fresh, utc);
        moment_at(night, &readings, utc, &moment);
        moment_at(fresh, &readings, utc, &as_fresh);
        assert_int_equal(night->event_count, fresh->event_count);
        for (int i = 0; i < setup.rig_count; i++)
            assert_true(moment.rig[i].aim.placed_stays_s == as_fresh.rig[i].aim.placed_stays_s ||
                        isnan(as_fresh.rig[i].aim.placed_stays_s));
    }
    close_night(night);
    close_night(fresh);
}

/* Where a target takes another name and nothing is to be dialled, no change is told. */
static void a_change_that_is_told_is_one(void **state)
{
    struct night *night = open_night();
    struct moment moment;
    double p1 = night->contact_utc[CONTACT_P1], p4 = night->contact_utc[CONTACT_P4];
    int told = 0;

    (void)state;
    for (double utc = p1; utc < p4; utc += 10) {
        moment_at(night, &readings, utc, &moment);
        for (int i = 0; i < setup.rig_count; i++) {
            const struct rig_moment *rig = &moment.rig[i];
            const struct exposure *to = &rig->change_to;

            if (!isfinite(rig->change_utc))
                continue;
            told++;
            assert_true(rig->change_utc > utc);
            if (to->known == rig->exposure.known && to->shutter == rig->exposure.shutter &&
                to->iso == rig->exposure.iso)
                fail_msg("rig %d at P1 + %.0f s", i, utc - p1);
        }
    }
    assert_true(told > 1000);
    close_night(night);
}

static void runs_cover_the_eclipse_without_holes(void **state)
{
    struct night *night = open_night();

    (void)state;
    for (int rig = 0; rig < setup.rig_count; rig++) {
        const struct run *run = &night->run[rig];

        assert_true(run->count > 1);
        assert_near(run->segment[0].utc_from, contact(night, CONTACT_P1), 1e-6);
        assert_true(contact(night, CONTACT_P4) - run->segment[run->count - 1].utc_to <= 30);
        for (int i = 1; i < run->count; i++)
            assert_true(run->segment[i].utc_from == run->segment[i - 1].utc_to);
    }
    close_night(night);
}

/* ---- a record with much in it that was undone ---- */

static uint64_t seed;

/* 0 to below `most`. */
static int any(int most)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (int)((seed >> 33) % (unsigned)most);
}

/* One of anything that a night takes, or an undo of something in it. */
static struct act any_act(const struct night *night)
{
    static const enum act_kind kinds[] = {
        ACT_FRAME, ACT_AIM,  ACT_AIR,  ACT_RIG,     ACT_CORRECTION, ACT_CHECK,    ACT_ITEM,
        ACT_LATER, ACT_SEEN, ACT_NOTE, ACT_BATTERY, ACT_CARD,       ACT_FORECAST, ACT_TARGET,
        ACT_CLOUD, ACT_SITE, ACT_GAP,  ACT_DANJON,  ACT_UNDO,       ACT_UNDO};
    const struct checklist *list = &night->setup.checklist;
    double utc = contact(night, CONTACT_P1) + (double)night->act_count;
    struct act act = {.utc = utc,
                      .boot_s = NAN,
                      .kind = kinds[any((int)(sizeof kinds / sizeof kinds[0]))],
                      .rig = any(night->setup.rig_count),
                      .value = {0.01 * any(40), 0.01 * any(40), 0}};

    if (act.kind == ACT_UNDO)
        act.ref = night->last_seq - (uint64_t)any(60);
    else if (act.kind == ACT_CHECK || act.kind == ACT_LATER)
        (void)snprintf(act.text, sizeof act.text, "%s", list->item[any(list->count)].id);
    else if (act.kind == ACT_RIG)
        (void)snprintf(act.text, sizeof act.text, "%s", any(2) ? "interval_s" : "portrait");
    else
        (void)snprintf(act.text, sizeof act.text, "act %d", any(100));
    if (act.kind == ACT_AIR)
        act.value[1] = 50;
    if (act.kind == ACT_FORECAST)
        act.value[0] = utc + 600 * any(9);
    if (act.kind == ACT_RIG || act.kind == ACT_LATER)
        act.value[0] += 1;
    if (act.kind == ACT_GAP)
        act.value[2] = any(3) - 1;
    return act;
}

static bool same_time(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static void assert_same_state(const struct night *a, const struct night *b)
{
    assert_int_equal(a->act_count, b->act_count);
    assert_int_equal(a->setup.checklist.count, b->setup.checklist.count);
    assert_int_equal(a->forecast.count, b->forecast.count);
    assert_true(a->cloud == b->cloud && same_time(a->danjon_rating, b->danjon_rating));
    assert_true(a->site.latitude_deg == b->site.latitude_deg);
    assert_true(same_time(a->focus_utc, b->focus_utc));
    assert_int_equal(a->air_log.count, b->air_log.count);
    for (int i = 0; i < a->setup.checklist.count; i++) {
        assert_string_equal(a->setup.checklist.item[i].id, b->setup.checklist.item[i].id);
        assert_true(same_time(a->checked_utc[i], b->checked_utc[i]));
        assert_true(same_time(a->later_utc[i], b->later_utc[i]));
    }
    for (int i = 0; i < a->setup.rig_count; i++) {
        const struct rig_state *x = &a->rig[i], *y = &b->rig[i];

        assert_int_equal(x->frames, y->frames);
        assert_int_equal(x->aimed, y->aimed);
        assert_int_equal(x->batteries_changed, y->batteries_changed);
        assert_int_equal(x->rig.target, y->rig.target);
        assert_true(same_time(x->rig.interval_s, y->rig.interval_s) &&
                    x->rig.portrait == y->rig.portrait);
        assert_true(same_time(x->aimed_utc, y->aimed_utc) &&
                    same_time(x->seen[1].utc, y->seen[1].utc) &&
                    same_time(x->card_utc, y->card_utc));
        for (int target = 0; target < TARGETS; target++)
            assert_true(x->correction_stops[target] == y->correction_stops[target]);
    }
    for (size_t i = 0; i < a->act_count; i++)
        assert_int_equal(a->acts[i].undone, b->acts[i].undone);
}

/* What was lived act by act is read back in one go, whatever was undone in it. */
static void a_record_is_the_night_that_was_lived(void **state)
{
    (void)state;
    for (seed = 1; seed <= 20; seed++) {
        uint64_t start = seed;
        struct night *lived = open_night(), *read = open_night();

        for (int i = 0; i < 600; i++) {
            struct act act = any_act(lived);

            if (night_apply(lived, &act, NULL) == 0)
                assert_int_equal(night_replay(read, &act, NULL), 0);
        }
        assert_true(lived->act_count > 300);
        night_fold(read);
        assert_same_state(lived, read);
        close_night(lived);
        close_night(read);
        seed = start;
    }
}

/* Seconds that a record of that many acts takes, every tenth of them an undo; the best of some. */
static double replay_s(int acts)
{
    double best = INFINITY;

    for (int turn = QUICK ? 3 : 0; turn < 5; turn++) {
        struct night *night = open_night();
        clock_t start = clock();

        for (int i = 1; i <= acts; i++) {
            struct act act = {.utc = contact(night, CONTACT_P1) + i, .kind = ACT_FRAME, .rig = 0};

            if (i % 10 == 0) {
                act.kind = ACT_UNDO;
                act.ref = (uint64_t)i - 1;
            }
            assert_int_equal(night_replay(night, &act, NULL), 0);
        }
        night_fold(night);
        best = fmin(best, (double)(clock() - start) / CLOCKS_PER_SEC);
        assert_int_equal(night->rig[0].frames, acts - 2 * (acts / 10));
        close_night(night);
    }
    return best;
}

/* Four times the acts take four times as long; with a fold for every undo it would be sixteen. */
static void a_record_is_read_in_linear_time(void **state)
{
    double some = replay_s(10000), more = replay_s(40000);

    (void)state;
    print_message("10,000 acts in %.1f ms, 40,000 in %.1f ms\n", some * 1e3, more * 1e3);
    assert_true(more < 9 * some);
    /* 5 us an act: the memory for them is most of it in a virtual machine with other work. */
    assert_true(!TIMED || more < 0.2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_night_without_site_is_refused),
        cmocka_unit_test(an_opened_night_knows_its_contacts_and_no_more),
        cmocka_unit_test(ticks_are_kept_with_their_time_and_undone),
        cmocka_unit_test(undo_takes_back_only_the_one_it_names),
        cmocka_unit_test(nonsense_is_refused_and_changes_nothing),
        cmocka_unit_test(a_known_number_is_ignored),
        cmocka_unit_test(the_drift_alarm_runs_its_course),
        cmocka_unit_test(an_alarm_heard_late_is_written_down_as_missed),
        cmocka_unit_test(no_alarm_is_raised_for_a_moon_that_is_down),
        cmocka_unit_test(a_gap_names_what_passed_in_it),
        cmocka_unit_test(a_set_clock_leaves_the_camera_behind),
        cmocka_unit_test(replay_gives_the_same_night),
        cmocka_unit_test(a_moved_site_moves_the_night),
        cmocka_unit_test(an_umbral_test_frame_tells_l_to_every_rig),
        cmocka_unit_test(a_correction_builds_on_what_is_in_force),
        cmocka_unit_test(a_correction_past_the_scale_is_done_all_the_same),
        cmocka_unit_test(a_rating_by_eye_becomes_a_state_of_the_air),
        cmocka_unit_test(any_instant_can_be_followed),
        cmocka_unit_test(a_day_gives_way_to_the_eclipse_s_night),
        cmocka_unit_test(after_the_last_eclipse_of_the_span_comes_one),
        cmocka_unit_test(a_change_that_is_told_is_one),
        cmocka_unit_test(runs_cover_the_eclipse_without_holes),
        cmocka_unit_test(a_record_is_the_night_that_was_lived),
        cmocka_unit_test(a_record_is_read_in_linear_time),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
