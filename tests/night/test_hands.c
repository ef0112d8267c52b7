/* What two hands will have to do for three rigs: the total eclipse of 2028-12-31. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <moonstand/moment.h>
#include <moonstand/night.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>

enum { WIDE, LONG, SCOPE };

static int open_night(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge_in_the_cold(&setup, &zone) != 0)
        return -1;
    return ridge_open(&setup, &zone, false);
}

static void look(double utc)
{
    night_follow(night, utc);
}

static void aim(int rig, double utc)
{
    struct act act = {.utc = utc, .kind = ACT_AIM, .rig = rig};

    assert_int_equal(night_apply(night, &act, NULL), 0);
}

static struct moment moment;

static void see(double utc)
{
    struct readings readings;

    readings_none(&readings);
    look(utc);
    moment_at(night, &readings, utc, &moment);
}

static const struct job *job_at(enum job_kind kind, int rig)
{
    return hands_job(&moment.hands, kind, rig);
}

/* A tripod that was aimed asks for a re-aim when its limb meets the margin and says when the Moon is
 * lost; one that was never aimed is told as such; a mount asks for none. */
static void each_tripod_has_its_aim(void **state)
{
    double utc = at(CONTACT_U1, 120);
    const struct job *job;

    (void)state;
    see(utc);
    assert_null(job_at(JOB_AIM, LONG));
    assert_int_equal(job_at(JOB_FIRST_AIM, LONG)->state, JOB_UNAIMED);
    assert_null(job_at(JOB_FIRST_AIM, SCOPE));
    aim(LONG, utc);
    see(utc);
    job = job_at(JOB_AIM, LONG);
    assert_int_equal(job->state, JOB_COMING);
    /* The slowest hands, 40 s and 20 s at the tripod, have done it when it is due. */
    assert_near(job->utc, night->rig[LONG].due_utc - 60, 1e-6);
    assert_near(job->limit_utc, night->rig[LONG].leaves_utc, 1e-6);
    assert_null(job_at(JOB_FIRST_AIM, LONG));
    see(job->utc - 30);
    assert_int_equal(job_at(JOB_AIM, LONG)->state, JOB_PRESSING);
    see(night->rig[LONG].due_utc + 5);
    assert_int_equal(moment.hands.job[0].kind, JOB_AIM);
    assert_int_equal(moment.hands.job[0].state, JOB_ALARM);
    assert_int_equal(moment.hands.urgency, URGENCY_ALARM);
    see(at(CONTACT_P4, 60));
    assert_null(job_at(JOB_FIRST_AIM, WIDE));
}

/* Jobs of one rig that fall within two minutes are one walk, told by its first; none is told twice. */
static void jobs_at_one_rig_are_one_walk(void **state)
{
    bool met = false;

    (void)state;
    for (double utc = at(CONTACT_U1, 120); utc < at(CONTACT_U2, -600); utc += 60) {
        const struct hands *hands = &moment.hands;

        aim(LONG, utc);
        see(utc);
        for (int i = 0; i < hands->count; i++) {
            const struct job *job = &hands->job[i], *first = &hands->job[job->walk];

            assert_true(job->walk <= i && first->walk == job->walk);
            if (job->walk == i)
                continue;
            /* At the rig of an earlier one, or in one round with it. */
            bool joins = false;
            for (int j = job->walk; j < i; j++)
                joins = joins ||
                        (hands->job[j].walk == job->walk &&
                         (hands->job[j].rig == job->rig || hands->job[j].utc == job->utc));
            assert_true(joins);
            assert_true(job->utc - first->utc <= 120);
            assert_ptr_not_equal(hands_next(hands), job);
            met = met || (first->kind == JOB_AIM) != (job->kind == JOB_AIM);
        }
    }
    assert_true(met);
}

/* Two minutes after a change has come, the job is the one after it. */
static void a_change_that_has_come_is_no_job(void **state)
{
    double change;

    (void)state;
    see(at(CONTACT_U1, 0));
    assert_non_null(rounds_next(&night->rounds, LONG, at(CONTACT_U1, 0), &change));
    see(change - 5);
    assert_near(job_at(JOB_SETTING, LONG)->utc, change, 1e-6);
    assert_int_equal(job_at(JOB_SETTING, LONG)->state, JOB_PRESSING);
    /* Hands may be late: it presses on. */
    see(change + 119);
    assert_near(job_at(JOB_SETTING, LONG)->utc, change, 1e-6);
    assert_int_equal(job_at(JOB_SETTING, LONG)->state, JOB_PRESSING);
    see(change + 121);
    assert_true(job_at(JOB_SETTING, LONG)->utc > change);
}

/* Every tenth of the night: the most urgent first, and within a state in order of time. */
static void jobs_are_in_order(void **state)
{
    (void)state;
    aim(LONG, at(CONTACT_U1, -1800));
    for (double utc = at(CONTACT_U1, -1800); utc < at(CONTACT_U4, 0); utc += 97) {
        see(utc);
        for (int i = 1; i < moment.hands.count; i++) {
            const struct job *before = &moment.hands.job[i - 1], *job = &moment.hands.job[i];

            assert_true(before->state <= job->state);
            if (before->state == job->state && job->state == JOB_DUE)
                assert_true(before->kind <= job->kind);
            else if (before->state == job->state)
                assert_true(before->utc <= job->utc);
        }
    }
}

/* A mount's flip is told a quarter of an hour ahead and up to where the mount stops. */
static void a_flip_is_told_ahead(void **state)
{
    struct mount_flip *flip = &night->framing[SCOPE].flip;
    double utc = at(CONTACT_U1, 0);

    (void)state;
    see(utc);
    night->framing[SCOPE].flips = true;
    flip->advised_utc = utc + 1800;
    flip->latest_utc = utc + 3600;
    see(utc + 60);
    assert_int_equal(job_at(JOB_FLIP, SCOPE)->state, JOB_COMING);
    see(utc + 1000);
    assert_int_equal(job_at(JOB_FLIP, SCOPE)->state, JOB_DUE);
    see(utc + 1750);
    assert_int_equal(job_at(JOB_FLIP, SCOPE)->state, JOB_PRESSING);
    see(utc + 1900);
    assert_int_equal(job_at(JOB_FLIP, SCOPE)->state, JOB_DUE);
    assert_near(job_at(JOB_FLIP, SCOPE)->limit_utc, utc + 3600, 1e-6);
    see(utc + 3700);
    assert_null(job_at(JOB_FLIP, SCOPE));
}

/* What cannot be done by two hands is said: all rigs lose the Moon in the same minute, and hands
 * are slow. By hand: three times 200 s do not fit before the margin, two times do; and less fits
 * where the minute around a contact is kept free. */
static void an_impossible_minute_is_said_ahead(void **state)
{
    static const struct {
        enum contact contact;
        double after_s, kept_s;
    } begins[] = {{CONTACT_U1, -300, 2 * AIM_KEEP_OFF_S}, {CONTACT_U1, 300, 0}};
    const double usual = night->setup.hands_s[HANDS_AIM];

    (void)state;
    for (size_t k = 0; k < sizeof begins / sizeof *begins; k++) {
        double utc = at(begins[k].contact, begins[k].after_s), left;

        night->setup.hands_s[HANDS_AIM] = usual;
        for (int i = 0; i < RIGS; i++) {
            night->rig[i].rig = night->rig[LONG].rig;
            aim(i, utc);
        }
        see(utc);
        assert_true(isnan(moment.hands.clash_utc));
        left = night->rig[LONG].leaves_utc - utc - begins[k].kept_s;
        night->setup.hands_s[HANDS_AIM] = left / 3 + 1;
        see(utc);
        assert_near(moment.hands.clash_utc, night->rig[LONG].due_utc - 60, 1e-6);
        night->setup.hands_s[HANDS_AIM] = left / 3 - 1;
        see(utc);
        assert_true(isnan(moment.hands.clash_utc));
    }
}

/* The free space of the card itself goes before what is reckoned from its size. */
/* The night of another day and place, with the built-in rigs; all rigs open. */
static void open_elsewhere(const char *day, double latitude_deg, double longitude_deg)
{
    static struct setup setup;
    struct zone_table zone;
    double utc;

    night_close(night);
    free(night);
    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = latitude_deg;
    setup.site.longitude_deg = longitude_deg;
    zone_utc(&zone);
    assert_int_equal(parse_day(day, &utc, NULL), 0);
    assert_true(eclipse_of_day(utc, SHADOW_DANJON, &eclipse));
    assert_int_equal(ridge_open(&setup, &zone, false), 0);
}

/* Contacts that an eclipse does not have keep no minute free: one re-aim can always be done. */
static void an_eclipse_with_fewer_contacts_has_time(void **state)
{
    static const char *const days[] = {"2027-02-20", "2026-08-28"}; /* penumbral, partial */

    (void)state;
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        open_elsewhere(days[i], 41.9, 2.3);
        look(at(CONTACT_P1, -600));
        aim(LONG, at(CONTACT_P1, 300));
        see(at(CONTACT_P1, 360));
        assert_non_null(job_at(JOB_AIM, LONG));
        assert_true(isnan(moment.hands.clash_utc));
    }
}

/* Aimed in the last minutes before the Moon sets, a rig is left alone, whatever was planned. */
static void the_last_aim_before_moonset_is_the_last(void **state)
{
    double set;

    (void)state;
    open_elsewhere("2026-08-28", 69.6, 18.9);
    see(at(CONTACT_U1, 0));
    set = moment.horizon_utc;
    for (double utc = at(CONTACT_P1, 0); utc < set - 255; utc += 60) {
        see(utc);
        if (!night->rig[LONG].aimed || night->rig[LONG].due_utc < utc + 60)
            aim(LONG, utc);
    }
    aim(LONG, set - 255);
    for (double utc = set - 250; utc < set; utc += 10) {
        see(utc);
        assert_null(job_at(JOB_AIM, LONG));
        assert_int_not_equal(moment.rig[LONG].aim_state, AIM_DONE);
    }
    see(set + 10);
    for (int i = 0; i < night->setup.rig_count; i++)
        assert_int_equal(moment.rig[i].aim_state, AIM_DONE);
}

static void a_card_is_changed_before_it_is_full(void **state)
{
    double utc = at(CONTACT_U1, 600);
    const struct job *job;
    struct readings readings;

    (void)state;
    see(utc);
    assert_null(job_at(JOB_CARD, SCOPE));
    readings_none(&readings);
    readings.card_free_bytes[SCOPE] = 100 * 30e6;
    moment_at(night, &readings, utc + 30, &moment);
    job = job_at(JOB_CARD, SCOPE);
    assert_non_null(job);
    assert_near(job->utc + night->setup.hands_s[HANDS_CARD], utc + 30 + 1000, 10);
    assert_near(job->limit_utc, utc + 30 + 1000, 10);
}

/* A rig that is not to be touched gets its power before its first frame; after that it is left alone until
 * the battery is almost empty. Told of a supply, nothing is asked for. */
static void power_is_asked_for_where_no_change_helps(void **state)
{
    double from = at(CONTACT_P1, 0), dry;
    const struct job *job;

    (void)state;
    see(from - 3600);
    from = night->framing[WIDE].untouched.from;
    dry = night->power[WIDE].plan.dry_utc;
    assert_true(from < dry && dry < at(CONTACT_P4, 0));
    job = job_at(JOB_POWER, WIDE);
    assert_int_equal(job->state, JOB_COMING);
    assert_near(job->utc, from, 1e-6);
    assert_near(job->limit_utc, dry, 1e-6);
    assert_null(job_at(JOB_BATTERY, WIDE));
    see(from - 30);
    assert_int_equal(job_at(JOB_POWER, WIDE)->state, JOB_PRESSING);
    see(from + 600);
    assert_int_equal(job_at(JOB_POWER, WIDE)->state, JOB_COMING);
    assert_near(job_at(JOB_POWER, WIDE)->utc, dry - 60, 1e-6);
    see(dry + 60);
    assert_int_equal(job_at(JOB_POWER, WIDE)->state, JOB_DUE);
    assert_null(job_at(JOB_POWER, LONG));
    night->rig[WIDE].rig.power.external = true;
    see(from - 30);
    assert_null(job_at(JOB_POWER, WIDE));
}

/* The longest overdue and what is due next, open ones alone; after P1 for two hours. */
static void items_are_jobs_while_they_matter(void **state)
{
    const struct check_item *item = night->setup.checklist.item;
    const struct job *job;
    double due = NAN;
    int which = 0;

    (void)state;
    look(at(CONTACT_U1, 0));
    while (!(item_due_utc(night, which) > at(CONTACT_P1, 0)))
        which++;
    due = item_due_utc(night, which);
    see(due + 60);
    job = job_at(JOB_ITEM, -1);
    assert_non_null(job);
    assert_int_equal(job->state, JOB_OVERDUE);
    assert_true(job->utc <= due);
    for (int i = 0; i < moment.hands.count; i++)
        if (moment.hands.job[i].kind == JOB_ITEM)
            assert_true(moment.hands.job[i].utc > due + 60 - 7200);

    struct act act = {.utc = due + 61, .kind = ACT_CHECK, .rig = -1, .value = {1}};
    (void)snprintf(act.text, sizeof act.text, "%s", item[which].id);
    assert_int_equal(night_apply(night, &act, NULL), 0);
    see(due + 62);
    for (int i = 0; i < moment.hands.count; i++)
        assert_true(moment.hands.job[i].item != which);
}

/* No item twice, the first of the list no more than any other. */
static void an_item_is_one_job(void **state)
{
    (void)state;
    look(at(CONTACT_U1, 0));
    see(item_due_utc(night, 0) + 60);
    assert_non_null(job_at(JOB_ITEM, -1));
    for (int i = 0; i < moment.hands.count; i++)
        for (int j = 0; j < i; j++)
            if (moment.hands.job[i].kind == JOB_ITEM && moment.hands.job[j].kind == JOB_ITEM)
                assert_int_not_equal(moment.hands.job[i].item, moment.hands.job[j].item);
}

static void a_low_laptop_is_a_job(void **state)
{
    struct readings readings;

    (void)state;
    see(at(CONTACT_U1, 0));
    assert_null(job_at(JOB_LAPTOP, -1));
    readings_none(&readings);
    readings.battery_percent = 20;
    readings.battery_discharging = true;
    moment_at(night, &readings, at(CONTACT_U1, 0), &moment);
    assert_int_equal(job_at(JOB_LAPTOP, -1)->state, JOB_DUE);
    readings.battery_percent = 21;
    moment_at(night, &readings, at(CONTACT_U1, 0), &moment);
    assert_null(job_at(JOB_LAPTOP, -1));
}

/* A target that the user changes asks for its setting at once, not at the next round. */
static void a_changed_target_is_set_at_once(void **state)
{
    double utc = at(CONTACT_U1, -900);
    struct act act = {.kind = ACT_TARGET, .rig = WIDE, .value = {TARGET_UMBRA}};
    const struct job *job;

    (void)state;
    /* The day before nobody is sent for it. */
    act.utc = at(CONTACT_P1, -22 * 3600.0);
    assert_int_equal(night_apply(night, &act, NULL), 0);
    see(act.utc + 1);
    job = job_at(JOB_SETTING, WIDE);
    assert_true(!job || job->utc > at(CONTACT_P1, -3600));
    act = (struct act){.utc = utc, .kind = ACT_TARGET, .rig = WIDE, .value = {TARGET_STARS}};
    see(utc);
    assert_int_equal(job_at(JOB_SETTING, WIDE)->state, JOB_COMING);
    assert_int_equal(night_apply(night, &act, NULL), 0);
    see(utc + 1);
    job = job_at(JOB_SETTING, WIDE);
    assert_int_equal(job->state, JOB_PRESSING);
    assert_near(job->utc, utc, 1e-6);
    assert_int_equal(job->set->target, TARGET_STARS);
    see(utc + 70);
    job = job_at(JOB_SETTING, WIDE);
    assert_true(!job || job->utc > utc);
}

/* Settings that a remote makes ask for no hand. */
static void a_remote_needs_no_hands(void **state)
{
    (void)state;
    see(at(CONTACT_U1, 0));
    assert_non_null(job_at(JOB_SETTING, LONG));
    night->rig[LONG].rig.remote_exposure = true;
    night->stale = STALE_SITE;
    see(at(CONTACT_U1, 0));
    assert_null(job_at(JOB_SETTING, LONG));
    assert_non_null(job_at(JOB_SETTING, SCOPE));
}

/* The light's fastest time is told five minutes ahead, with as many changes as the run has. */
static void a_rush_is_told_ahead(void **state)
{
    (void)state;
    const struct rush *rush = &moment.hands.rush;
    int told = 0;

    see(at(CONTACT_U1, -600));
    assert_int_equal(rush->rounds, 0);
    for (double utc = at(CONTACT_U1, 0); utc < at(CONTACT_U2, 0); utc += 30) {
        see(utc);
        told += rush->rounds > 0;
        if (rush->rounds == 0)
            continue;
        assert_true(rush->rounds >= 3 && rush->darker);
        assert_true(rush->utc_from > utc && rush->utc_from < utc + 300 &&
                    rush->utc_to > rush->utc_from);
    }
    assert_true(told > 4);
    told = 0;
    for (double utc = at(CONTACT_U3, -60); utc < at(CONTACT_U4, 0); utc += 30) {
        see(utc);
        told += rush->rounds >= 3 && !rush->darker && rush->utc_from > at(CONTACT_U3, 0);
    }
    assert_true(told > 4);
}

static void names(void **state)
{
    (void)state;
    assert_string_equal(job_kind_name(JOB_AIM), "aim");
    assert_string_equal(job_kind_name(JOB_FIRST_AIM), "first aim");
    assert_string_equal(job_state_name(JOB_ALARM), "alarm");
    assert_string_equal(job_state_name(JOB_COMING), "coming");
    assert_string_equal(urgency_name(URGENCY_FREE), "free");
    assert_string_equal(urgency_name(URGENCY_ALARM), "alarm");
    /* Common practice, no source: with gloves on. */
    assert_near(hands_duration_s(HANDS_AIM), 20, 0);
    assert_near(hands_duration_s(HANDS_BATTERY), 60, 0);
    assert_near(hands_duration_s(HANDS_CARD), 30, 0);
    assert_near(hands_duration_s(HANDS_EXPOSURE), 10, 0);
}

/* Through the whole night of hands that do nothing, and of one rig with all ticked, where often a single job is
 * left: how urgent it is follows from the first job, and jobs stand by their state. */
static void urgency_is_that_of_the_first_job(void **state)
{
    static const enum urgency urgencies[] = {[JOB_ALARM] = URGENCY_ALARM, [JOB_PRESSING] = URGENCY_SOON,
                                             [JOB_DUE] = URGENCY_NOW, [JOB_OVERDUE] = URGENCY_NOW,
                                             [JOB_UNAIMED] = URGENCY_NOW};
    int single = 0;

    (void)state;
    for (int busy = 1; busy >= 0; busy--) {
        for (double utc = night->contact_utc[CONTACT_P1] - 3600; utc < night->contact_utc[CONTACT_P4]; utc += 97) {
            const struct hands *hands = &moment.hands;

            see(utc);
            for (int i = 1; i < hands->count; i++)
                assert_true(hands->job[i - 1].state <= hands->job[i].state);
            if (hands->count > 0 && hands->job[0].state < JOB_COMING)
                assert_int_equal(hands->urgency, urgencies[hands->job[0].state]);
            else
                assert_int_equal(hands->urgency, hands->rush.rounds > 0 ? URGENCY_SOON : URGENCY_FREE);
            single += hands->count == 1 && hands->job[0].state < JOB_COMING;
        }
        for (int i = 0; i < night->setup.checklist.count; i++) {
            struct act act = {.utc = night->contact_utc[CONTACT_P1] - 7200, .kind = ACT_CHECK, .rig = -1, .value = {1}};

            (void)snprintf(act.text, sizeof act.text, "%s", night->setup.checklist.item[i].id);
            assert_int_equal(night_apply(night, &act, NULL), 0);
        }
        night->setup.rig_count = 1;
        night->rig[WIDE].rig.power.external = true;
    }
    assert_true(single > 0);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, open_night, ridge_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(urgency_is_that_of_the_first_job),
        TEST(each_tripod_has_its_aim),
        TEST(jobs_at_one_rig_are_one_walk),
        TEST(a_change_that_has_come_is_no_job),
        TEST(jobs_are_in_order),
        TEST(a_flip_is_told_ahead),
        TEST(an_impossible_minute_is_said_ahead),
        TEST(an_eclipse_with_fewer_contacts_has_time),
        TEST(the_last_aim_before_moonset_is_the_last),
        TEST(a_card_is_changed_before_it_is_full),
        TEST(an_item_is_one_job),
        TEST(power_is_asked_for_where_no_change_helps),
        TEST(items_are_jobs_while_they_matter),
        TEST(a_low_laptop_is_a_job),
        TEST(a_changed_target_is_set_at_once),
        TEST(a_remote_needs_no_hands),
        TEST(a_rush_is_told_ahead),
        TEST(names),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
