/* What two hands will have to do for three rigs: the total eclipse of 2028-12-31. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <math.h>
#include <near.h>
#include <stdlib.h>
#include <string.h>

enum { WIDE, LONG, SCOPE };

static struct eclipse eclipse;
static struct night *night;

static int open_night(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    setup.site.temperature_c = -22;
    night = calloc(1, sizeof *night);
    if (!night)
        return -1;
    return night_open(night, &setup, &eclipse, &zone, false, NULL);
}

static int close_night(void **state)
{
    (void)state;
    night_close(night);
    free(night);
    return 0;
}

static double at(enum contact which, double after_s)
{
    return utc_from_tt(eclipse.tt[which]) + after_s;
}

static void look(double utc)
{
    night_follow(night, utc);
    night_settle(night);
}

static void aim(int rig, double utc)
{
    struct act act = {.utc = utc, .kind = ACT_AIM, .rig = rig};

    assert_int_equal(night_apply(night, &act, NULL), 0);
}

static const struct hands_task *task_of(enum hands_kind kind, int rig)
{
    for (int i = 0; i < night->task_count; i++)
        if (night->task[i].kind == kind && night->task[i].rig == rig)
            return &night->task[i];
    return NULL;
}

/* The re-aim has to be over when the limb meets the margin; a tripod that holds everything, and one
 * that was never aimed, ask for none. */
static void a_re_aim_is_done_in_time(void **state)
{
    double utc = at(CONTACT_U1, 120);
    const struct hands_task *task;

    (void)state;
    look(utc);
    assert_null(task_of(HANDS_AIM, LONG));
    aim(LONG, utc);
    look(utc);
    task = task_of(HANDS_AIM, LONG);
    assert_non_null(task);
    assert_near(task->wish_utc + task->duration_s, night->rig[LONG].due_utc, 1e-6);
    assert_null(task_of(HANDS_AIM, WIDE));
}

/* A setting that is due about when the rig is aimed again is made in the same go. */
static void acts_at_one_rig_are_merged(void **state)
{
    char text[160] = "";
    double utc;

    (void)state;
    for (utc = at(CONTACT_U1, 120); utc < at(CONTACT_U2, -600) && !strstr(text, " and set ");
         utc += 60) {
        aim(LONG, utc);
        look(utc);
        for (int i = 0; i < night->hands.count; i++)
            if (night->hands.line[i].rig == LONG && night->hands.line[i].count > 1)
                hands_line_say(night, &night->hands.line[i], utc, text, sizeof text);
    }
    assert_memory_equal(text, "re-aim long", 11);
    assert_non_null(strstr(text, " and set 1/"));
}

/* When a change has come the plan has the one after it, not that one in the words of the other. */
static void a_change_that_has_come_is_planned_no_more(void **state)
{
    const struct segment *setting;
    const struct hands_task *task;
    double change;

    (void)state;
    look(at(CONTACT_U1, 0));
    change = hands_setting(night, LONG, at(CONTACT_U1, 0))->utc_from;
    look(change - 5);
    task = task_of(HANDS_EXPOSURE, LONG);
    assert_near(task->wish_utc, change, 1e-6);
    look(change + 1);
    setting = hands_setting(night, LONG, change + 1);
    task = task_of(HANDS_EXPOSURE, LONG);
    assert_true(setting->utc_from <= change + 3600);
    assert_near(task->wish_utc, setting->utc_from, 1e-6);
}

/* No hand near a contact where that can be had. */
static void hands_are_kept_off_contacts(void **state)
{
    (void)state;
    for (double utc = at(CONTACT_U1, -1800); utc < at(CONTACT_U4, 0); utc += 97) {
        look(utc);
        for (int i = 0; i < night->hands.count; i++) {
            const struct hands_line *line = &night->hands.line[i];

            for (int c = CONTACT_U1; c <= CONTACT_U4; c++)
                if (!line->disturbs)
                    assert_true(line->utc_to <= at((enum contact)c, -AIM_KEEP_OFF_S) + 1e-3 ||
                                line->utc >= at((enum contact)c, AIM_KEEP_OFF_S) - 1e-3);
        }
    }
}

/* What cannot be done by two hands is said: all rigs lose the Moon in the same minute, and hands
 * are slow. */
static void an_impossible_minute_is_said_ahead(void **state)
{
    double utc = at(CONTACT_U1, 300);

    (void)state;
    look(utc);
    assert_true(isnan(night->hands.clash_utc));
    for (int i = 0; i < RIGS; i++) {
        night->rig[i].rig = night->rig[LONG].rig;
        aim(i, utc);
    }
    night->setup.hands_s[HANDS_AIM] = 200;
    look(utc);
    assert_true(night->hands.clash_utc > utc);
    assert_true(night->hands.clash_utc <= night->rig[LONG].due_utc);
}

/* The free space of the card itself goes before what is reckoned from its size. */
static void a_card_is_changed_before_it_is_full(void **state)
{
    double utc = at(CONTACT_U1, 600);
    const struct hands_task *task;

    (void)state;
    look(utc);
    assert_null(task_of(HANDS_CARD, SCOPE));
    night->card_free_bytes[SCOPE] = 100 * 30e6;
    look(utc + 30);
    task = task_of(HANDS_CARD, SCOPE);
    assert_non_null(task);
    assert_near(task->wish_utc + task->duration_s, utc + 30 + 1000, 10);
}

static void battery_and_setting_in_words(void **state)
{
    static const struct hands_task tasks[] = {
        {.kind = HANDS_BATTERY, .rig = SCOPE, .duration_s = 60},
        {.kind = HANDS_CARD, .rig = SCOPE, .duration_s = 30},
        {.kind = HANDS_AIM, .rig = SCOPE, .duration_s = 300},
    };
    struct hands_line line = {.rig = SCOPE, .first = 0, .count = 2};
    char text[160], small[12];

    (void)state;
    look(at(CONTACT_U1, 0));
    memcpy(night->task, tasks, sizeof tasks);
    for (int i = 0; i < 3; i++)
        night->hands.order[i] = i;
    hands_line_say(night, &line, at(CONTACT_U1, 0), text, sizeof text);
    assert_string_equal(text, "change the battery of telescope and change the card");
    hands_line_say(night, &line, at(CONTACT_U1, 0), small, sizeof small);
    assert_string_equal(small, "change the ");
    line = (struct hands_line){.rig = SCOPE, .first = 2, .count = 1};
    hands_line_say(night, &line, at(CONTACT_U1, 0), text, sizeof text);
    assert_string_equal(text, "turn the mount of telescope over");
}

/* Settings that a remote makes ask for no hand. */
static void a_remote_needs_no_hands(void **state)
{
    (void)state;
    look(at(CONTACT_U1, 0));
    assert_non_null(hands_setting(night, LONG, at(CONTACT_U1, 0)));
    night->rig[LONG].rig.remote_exposure = true;
    assert_null(hands_setting(night, LONG, at(CONTACT_U1, 0)));
}

/* Before greatest no setting of the growing light is told, after it the next one is. */
static void falling_light_ends_at_greatest(void **state)
{
    double greatest = at(CONTACT_GREATEST, 0);

    (void)state;
    look(greatest);
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        for (double utc = at(CONTACT_U2, 0); utc < greatest; utc += 60) {
            const struct segment *setting = hands_setting(night, rig, utc);

            assert_true(!setting || (setting->utc_from > utc && setting->utc_from <= greatest));
        }
        assert_null(hands_setting(night, rig, greatest - 1));
        assert_non_null(hands_setting(night, rig, greatest));
    }
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, open_night, close_night)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_re_aim_is_done_in_time),
        TEST(acts_at_one_rig_are_merged),
        TEST(a_change_that_has_come_is_planned_no_more),
        TEST(hands_are_kept_off_contacts),
        TEST(an_impossible_minute_is_said_ahead),
        TEST(a_card_is_changed_before_it_is_full),
        TEST(battery_and_setting_in_words),
        TEST(a_remote_needs_no_hands),
        TEST(falling_light_ends_at_greatest),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
