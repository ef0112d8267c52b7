/* What hooks are told of: each thing once, and what lies in a gap by its acts alone. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include "../../src/app/news.h"
#include "open_files.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST = 32 };

static struct readings readings;
static struct watch watch;
static struct hook_facts facts[MOST];

static int open_night(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge_in_the_cold(&setup, &zone) != 0)
        return -1;
    readings_none(&readings);
    watch_begin(&watch, 0);
    return ridge_open(&setup, &zone, true);
}

/* One step as the loop makes it. */
static int step(double utc)
{
    struct act acts[16];
    struct moment moment;
    int count;

    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
    count = night_decide(night, &moment, acts, 16);
    for (int i = 0; i < count; i++)
        assert_int_equal(night_apply(night, &acts[i], NULL), 0);
    return watch_step(&watch, night, &moment, facts, MOST);
}

/* How often an event is told of while the night runs. */
static int told(enum hook_event event, const char *rig, double from, double to)
{
    int times = 0;

    for (double utc = from; utc <= to; utc++)
        for (int i = step(utc); i-- > 0;)
            times += facts[i].event == event && strcmp(facts[i].rig, rig) == 0;
    return times;
}

static void a_contact_is_told_once_when_it_comes(void **state)
{
    (void)state;
    assert_int_equal(told(HOOK_CONTACT, "", at(CONTACT_U2, -20), at(CONTACT_U2, -1)), 0);
    assert_int_equal(step(at(CONTACT_U2, 0.5)), 1);
    assert_int_equal(facts[0].event, HOOK_CONTACT);
    assert_string_equal(facts[0].what, "U2");
    assert_true(facts[0].utc == at(CONTACT_U2, 0) && facts[0].rehearsal);
    assert_int_equal(told(HOOK_CONTACT, "", at(CONTACT_U2, 1), at(CONTACT_U2, 20)), 0);
}

static void a_first_look_and_a_gap_tell_no_contact(void **state)
{
    (void)state;
    for (int i = step(at(CONTACT_U2, 1)); i-- > 0;)
        assert_int_not_equal(facts[i].event, HOOK_CONTACT);
    for (int i = step(at(CONTACT_U3, 1)); i-- > 0;)
        assert_int_not_equal(facts[i].event, HOOK_CONTACT);
}

/* Ten seconds without a step are a gap; in a rehearsal that runs ten times as fast, a hundred. */
static void a_fast_rehearsal_has_no_gaps(void **state)
{
    (void)state;
    night->pace = 10;
    (void)step(at(CONTACT_U2, 1 - 50));
    assert_int_equal(step(at(CONTACT_U2, 1)), 1);
    assert_string_equal(facts[0].what, "U2");
    (void)step(at(CONTACT_U3, 1 - 110));
    for (int i = step(at(CONTACT_U3, 1)); i-- > 0;)
        assert_int_not_equal(facts[i].event, HOOK_CONTACT);
}

static void warning_and_alarm_of_a_re_aim_once_each(void **state)
{
    struct act aim = {.utc = at(CONTACT_U1, 60), .kind = ACT_AIM, .rig = 1};
    double due;

    (void)state;
    assert_int_equal(night_apply(night, &aim, NULL), 0);
    night_follow(night, aim.utc);
    due = night->rig[1].due_utc;
    /* It is planned a minute ahead, for slow hands, and told a minute before that. */
    assert_int_equal(told(HOOK_WARNING, "long", due - 150, due - 121), 0);
    assert_int_equal(told(HOOK_WARNING, "long", due - 120, due - 20), 1);
    assert_int_equal(told(HOOK_ALARM, "long", due - 19, due - 1), 0);
    assert_int_equal(told(HOOK_ALARM, "long", due, due + 20), 1);
}

static void what_was_missed_is_told(void **state)
{
    struct act missed = {.utc = at(CONTACT_U2, 60),
                         .kind = ACT_MISSED,
                         .rig = -1,
                         .value = {at(CONTACT_U2, 0)},
                         .text = "U2"};

    (void)state;
    assert_int_equal(night_apply(night, &missed, NULL), 0);
    assert_int_equal(told(HOOK_MISSED, "", at(CONTACT_U2, 60), at(CONTACT_U2, 65)), 1);
}

/* At -22 C the battery of the long rig is due a good hour and a half after P1. */
static void a_battery_is_told_once_when_it_is_due(void **state)
{
    double swap;

    (void)state;
    (void)step(at(CONTACT_P1, 0));
    swap = night->power[1].plan.swap[0].utc;
    assert_int_equal(told(HOOK_SWAP, "long", swap - 20, swap - 1), 0);
    assert_int_equal(told(HOOK_SWAP, "long", swap, swap + 60), 1);
}

static void a_margin_that_is_gone_is_told_once(void **state)
{
    struct act air = {.utc = at(CONTACT_U1, 0), .kind = ACT_AIR, .rig = -1, .value = {5, 60}};
    double utc = air.utc;

    (void)state;
    assert_int_equal(night_apply(night, &air, NULL), 0);
    assert_int_equal(told(HOOK_AIR, "", utc, utc + 5), 0);
    air = (struct act){.utc = utc + 120, .kind = ACT_AIR, .rig = -1, .value = {2, 97}};
    assert_int_equal(night_apply(night, &air, NULL), 0);
    assert_int_equal(told(HOOK_AIR, "", utc + 121, utc + 140), 1);
}

/* A glass that was dry, or that a heater keeps so, rings no bell. */
static void a_margin_that_was_answered_is_not_told(void **state)
{
    double utc = at(CONTACT_U1, 0);
    struct act air = {.utc = utc, .kind = ACT_AIR, .rig = -1, .value = {2, 97}};
    struct act dry = {.utc = utc, .kind = ACT_GLASS, .rig = -1};

    (void)state;
    assert_int_equal(night_apply(night, &air, NULL), 0);
    assert_int_equal(night_apply(night, &dry, NULL), 0);
    assert_int_equal(told(HOOK_AIR, "", utc + 1, utc + 1199), 0);
    assert_int_equal(told(HOOK_AIR, "", utc + 1199, utc + 1201), 1);
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct act heater = {.utc = utc, .kind = ACT_HEATER, .rig = i, .value = {1}};
        assert_int_equal(night_apply(night, &heater, NULL), 0);
    }
    assert_int_equal(told(HOOK_AIR, "", utc + 1201, utc + 1210), 0);
}

/* The bell rings for an item of the list when it comes due, once, and not if it is done by then. */
static void an_item_that_comes_due_is_counted_once(void **state)
{
    double from = at(CONTACT_U1, -3600), to = at(CONTACT_U4, 0);
    int wanted = 0, counted = 0, last = -1;
    struct moment moment;
    struct act done = {.utc = from, .kind = ACT_CHECK, .rig = -1, .value = {1}};

    (void)state;
    night_follow(night, from);
    for (int i = 0; i < night->setup.checklist.count; i++) {
        double due = item_due_utc(night, i);

        if (due > from && due <= to) {
            wanted++;
            last = i;
        }
    }
    assert_true(wanted > 2);
    (void)snprintf(done.text, sizeof done.text, "%s", night->setup.checklist.item[last].id);
    assert_int_equal(night_apply(night, &done, NULL), 0);
    for (double utc = from + 30; utc <= to; utc += 30) {
        moment_at(night, &readings, utc, &moment);
        counted += watch_due(night, &moment, utc - 30);
    }
    assert_int_equal(counted, wanted - 1);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, open_night, ridge_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_contact_is_told_once_when_it_comes),    TEST(a_first_look_and_a_gap_tell_no_contact),
    TEST(a_fast_rehearsal_has_no_gaps),
        TEST(warning_and_alarm_of_a_re_aim_once_each), TEST(what_was_missed_is_told),
        TEST(a_battery_is_told_once_when_it_is_due),   TEST(a_margin_that_is_gone_is_told_once),
        TEST(a_margin_that_was_answered_is_not_told),  TEST(an_item_that_comes_due_is_counted_once),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
