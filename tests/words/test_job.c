/* The jobs of the hands in words: each kind, walks, both lines. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <math.h>
#include <moonstand/job_words.h>
#include <moonstand/moment.h>
#include <moonstand/series.h>
#include <moonstand/subject.h>
#include <stdio.h>
#include <string.h>

enum { WIDE, LONG, SCOPE };

static struct moment moment;
static struct exposure exposure;
static struct subject about;
static struct hands_words words;

static int prepare(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    for (int i = 0; i < RIGS; i++) {
        static const char *const names[] = {"wide", "long", "scope"};

        (void)snprintf(setup.rig[i].name, RIG_NAME, "%s", names[i]);
    }
    if (ridge_open(&setup, &zone, false) != 0)
        return -1;
    about = (struct subject){night, &moment, reader_utc()};
    exposure =
        (struct exposure){.known = true, .shutter = shutter_index(1.0 / 60), .iso = iso_index(400)};
    return 0;
}

/* A moment at 20:00 UTC with no job. */
static void no_jobs(void)
{
    memset(&moment, 0, sizeof moment);
    for (int i = 0; i < RIGS; i++)
        moment.rig[i].due_before = -1;
    moment.utc = 20 * 3600.0;
    moment.hands.clash_utc = NAN;
    night->rig[LONG].aimed = true;
}

static struct job *add(enum job_kind kind, enum job_state state, int rig, double in_s)
{
    struct job *job = &moment.hands.job[moment.hands.count];

    *job = (struct job){.kind = kind,
                        .state = state,
                        .rig = rig,
                        .item = kind == JOB_ITEM ? 0 : -1,
                        .utc = moment.utc + in_s,
                        .limit_utc = NAN,
                        .before = -1,
                        .set = &exposure,
                        .walk = moment.hands.count};
    moment.hands.count++;
    return job;
}

static void expect(const char *now, const char *then, bool then_due)
{
    hands_say(&about, &words);
    assert_string_equal(words.now, now);
    assert_string_equal(words.then, then);
    assert_int_equal(words.then_due, then_due);
}

static void each_kind_has_its_words(void **state)
{
    static const struct {
        enum job_kind kind;
        int rig;
        const char *words;
    } kinds[] = {
        {JOB_AIM, LONG, "re-aim long"},
        {JOB_FLIP, SCOPE, "turn the mount of scope over"},
        {JOB_BATTERY, SCOPE, "change the battery of scope"},
        {JOB_CARD, LONG, "change the card of long, then re-aim"},
        {JOB_POWER, WIDE, "connect external power to wide"},
        {JOB_LAPTOP, -1, "laptop has 18 % left: give it power"},
        {JOB_SETTING, WIDE, "set wide to 1/60 s, ISO 400"},
        {JOB_FIRST_AIM, LONG, "aim long"},
    };
    char out[JOB_WORDS];

    (void)state;
    no_jobs();
    moment.readings.battery_percent = 18;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        assert_string_equal(job_words(&about, add(kinds[i].kind, JOB_DUE, kinds[i].rig, 0), out),
                            kinds[i].words);
    add(JOB_AIM, JOB_COMING, LONG, 60)->before = CONTACT_U2;
    assert_string_equal(job_words(&about, &moment.hands.job[moment.hands.count - 1], out),
                        "re-aim long before U2");
    assert_string_equal(job_words(&about, add(JOB_ITEM, JOB_OVERDUE, -1, -60), out),
                        night->setup.checklist.item[0].text);
}

static void a_walk_names_its_rig_once(void **state)
{
    (void)state;
    no_jobs();
    add(JOB_BATTERY, JOB_COMING, SCOPE, 600);
    add(JOB_CARD, JOB_COMING, SCOPE, 620)->walk = 0;
    expect("nothing to do for 10:00 min",
           "then 20:10 change the battery of scope and change the card", false);
    add(JOB_SETTING, JOB_COMING, SCOPE, 640)->walk = 0;
    expect("nothing to do for 10:00 min",
           "then 20:10 change the battery of scope, change the card, set 1/60 s, ISO 400", false);
}

/* What costs the aim says so, unless the re-aim is in the same walk. */
static void a_swap_at_a_long_rig_names_the_re_aim(void **state)
{
    (void)state;
    no_jobs();
    add(JOB_CARD, JOB_COMING, LONG, 600);
    expect("nothing to do for 10:00 min", "then 20:10 change the card of long, then re-aim", false);
    add(JOB_AIM, JOB_COMING, LONG, 680)->walk = 0;
    expect("nothing to do for 10:00 min", "then 20:10 change the card of long and re-aim", false);
    /* One that was never aimed will be, by the time of a later swap. */
    no_jobs();
    night->rig[LONG].aimed = false;
    add(JOB_CARD, JOB_COMING, LONG, 600);
    expect("nothing to do for 10:00 min", "then 20:10 change the card of long, then re-aim", false);
    moment.hands.job[0].state = JOB_DUE;
    expect("change the card of long, then aim", "", false);
}

/* Settings of several rigs at one instant are one round. */
static void a_round_names_all_its_rigs(void **state)
{
    (void)state;
    no_jobs();
    add(JOB_AIM, JOB_COMING, LONG, 590);
    add(JOB_SETTING, JOB_COMING, LONG, 600)->walk = 0;
    add(JOB_SETTING, JOB_COMING, SCOPE, 600)->walk = 0;
    expect("nothing to do for 9:50 min",
           "then 20:10 set long 1/60 ISO 400, scope 1/60 ISO 400; re-aim long", false);
    moment.hands.job[0].state = JOB_PRESSING;
    moment.hands.job[0].utc = moment.utc + 30;
    expect("set long 1/60 ISO 400, scope 1/60 ISO 400; re-aim long in 30 s", "", false);
}

static void the_most_pressing_is_said_first(void **state)
{
    char item[JOB_WORDS];

    (void)state;
    no_jobs();
    expect("nothing left to do", "", false);
    assert_true(isnan(words.left_s));
    add(JOB_SETTING, JOB_COMING, WIDE, 300);
    expect("nothing to do for 5:00 min", "then 20:05 set wide to 1/60 s, ISO 400", false);
    assert_true(words.left_s == 300);

    no_jobs();
    add(JOB_AIM, JOB_PRESSING, LONG, 35);
    add(JOB_SETTING, JOB_COMING, WIDE, 300);
    expect("re-aim long in 35 s", "then 20:05 set wide to 1/60 s, ISO 400", false);

    no_jobs();
    add(JOB_AIM, JOB_ALARM, LONG, -9);
    expect("RE-AIM long NOW", "", false);
    moment.rig[LONG].due_before = CONTACT_U2;
    expect("RE-AIM long NOW, before U2", "", false);
    moment.rig[LONG].loss = LOSS_MARGIN;
    moment.rig[LONG].loss_utc = moment.utc - 9;
    expect("RE-AIM long NOW: the Moon passed the margin at 19:59:51", "", false);
    moment.rig[LONG].loss = LOSS_CUT;
    expect("RE-AIM long NOW: the frame has cut off the Moon since 19:59:51", "", false);
    moment.rig[LONG].loss = LOSS_GONE;
    expect("RE-AIM long NOW: the Moon left the frame at 19:59:51", "", false);
    moment.rig[LONG].loss = LOSS_NONE;
    assert_true(words.left_s == 0);

    no_jobs();
    add(JOB_FIRST_AIM, JOB_UNAIMED, WIDE, -60);
    add(JOB_FIRST_AIM, JOB_UNAIMED, LONG, -60);
    expect("aim now, then press a: wide, long", "", false);
    /* Frames are lost by the minute: what is overdue on the list stands second. */
    moment.check_overdue = 1;
    add(JOB_ITEM, JOB_OVERDUE, -1, -600);
    (void)snprintf(item, sizeof item, "1 overdue: %s", night->setup.checklist.item[0].text);
    expect("aim now, then press a: wide, long", item, true);
}

/* A flip is told once, with what it runs to. */
static void what_is_due_says_its_end(void **state)
{
    struct job *job;

    (void)state;
    no_jobs();
    job = add(JOB_FLIP, JOB_DUE, SCOPE, 600);
    job->limit_utc = moment.utc + 1200;
    expect("turn the mount of scope over in 10:00 min", "", false);
    job->utc = moment.utc - 60;
    expect("turn the mount of scope over: it stops in 20:00 min", "", false);

    no_jobs();
    job = add(JOB_BATTERY, JOB_DUE, LONG, -60);
    job->limit_utc = moment.utc + 192;
    expect("change the battery of long, then re-aim: empty in 3:12 min", "", false);
    job->limit_utc = moment.utc - 1;
    expect("change the battery of long, then re-aim: empty by now", "", false);
    job->limit_utc = NAN;
    expect("change the battery of long, then re-aim", "", false);
    no_jobs();
    add(JOB_CARD, JOB_DUE, LONG, -60)->limit_utc = moment.utc + 60;
    expect("change the card of long, then re-aim: full in 1:00 min", "", false);

    /* How long a battery lasts in a cold that nobody knows is a guess, with a cable as with a change. */
    struct rig_power known = night->power[WIDE];
    no_jobs();
    add(JOB_POWER, JOB_DUE, WIDE, -60)->limit_utc = moment.utc + 60;
    expect("connect external power to wide: empty in 1:00 min", "", false);
    night->power[WIDE].cold_from = COLD_UNKNOWN;
    night->power[WIDE].full_utc = moment.utc - 60;
    night->power[WIDE].life_cold_s = 0;
    expect("connect external power to wide: may be empty by now", "", false);
    night->power[WIDE] = known;
}

/* The alarm of a rig that waits can be quiet: that is not nothing to do. */
static void a_quiet_alarm_is_no_peace(void **state)
{
    (void)state;
    no_jobs();
    add(JOB_AIM, JOB_COMING, LONG, 90);
    expect("nothing to do for 1:30 min", "then 20:02 re-aim long", false);
    moment.rig[LONG].aim_state = AIM_SNOOZED;
    moment.rig[LONG].due_in_s = -30;
    night->rig[LONG].snoozed_until = moment.utc + 90;
    expect("re-aim long: alarm quiet for 1:30 min", "then 20:02 re-aim long", false);
    /* Made quiet before it was due. */
    moment.rig[LONG].due_in_s = 30;
    expect("nothing to do for 1:30 min", "then 20:02 re-aim long", false);
}

/* What is overdue keeps the second line under anything more pressing. */
static void what_is_overdue_is_not_hidden(void **state)
{
    char overdue[JOB_WORDS];

    (void)state;
    no_jobs();
    moment.check_overdue = 3;
    add(JOB_SETTING, JOB_PRESSING, WIDE, 20);
    add(JOB_ITEM, JOB_OVERDUE, -1, -600);
    add(JOB_SETTING, JOB_COMING, LONG, 600);
    (void)snprintf(overdue, sizeof overdue, "3 overdue: %s", night->setup.checklist.item[0].text);
    expect("set wide to 1/60 s, ISO 400 in 20 s", overdue, true);
    moment.hands.job[0] = moment.hands.job[1];
    moment.hands.job[0].walk = 0;
    moment.hands.job[1] = moment.hands.job[2];
    moment.hands.job[1].walk = 1;
    moment.hands.count = 2;
    expect(overdue, "then 20:10 set long to 1/60 s, ISO 400", false);
    /* The light that runs goes before it. */
    moment.hands.rush = (struct rush){5, moment.utc + 60, moment.utc + 240, true};
    expect("light falls fast from 20:01: 5 rounds in 3 min", overdue, true);
}

static void more_than_two_hands_can_do(void **state)
{
    (void)state;
    no_jobs();
    add(JOB_AIM, JOB_COMING, LONG, 600);
    moment.hands.clash_utc = moment.utc + 600;
    expect("nothing to do for 10:00 min", "20:10: more jobs than two hands can do - start early",
           true);
    moment.hands.clash_utc = moment.utc + 3600;
    expect("nothing to do for 10:00 min", "then 20:10 re-aim long", false);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_kind_has_its_words),
        cmocka_unit_test(a_walk_names_its_rig_once),
        cmocka_unit_test(a_swap_at_a_long_rig_names_the_re_aim),
        cmocka_unit_test(a_round_names_all_its_rigs),
        cmocka_unit_test(the_most_pressing_is_said_first),
        cmocka_unit_test(what_is_due_says_its_end),
        cmocka_unit_test(a_quiet_alarm_is_no_peace),
        cmocka_unit_test(what_is_overdue_is_not_hidden),
        cmocka_unit_test(more_than_two_hands_can_do),
    };

    return cmocka_run_group_tests(tests, prepare, ridge_close);
}
