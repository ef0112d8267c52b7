/* Dew that is likely is a look at the glass, and that has an answer: dry, or a heater. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/agenda.h>
#include <moonstand/around_words.h>
#include <moonstand/fault.h>
#include <moonstand/job_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/record_words.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>

static struct setup setup;
static struct zone_table zone;
static struct eclipse eclipse;
static struct readings readings;
static struct night night;
static struct moment moment;

static int open_night(void **state)
{
    struct fault fault;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    readings_none(&readings);
    return night_open(&night, &setup, &eclipse, &zone, false, &fault);
}

static int close_night(void **state)
{
    (void)state;
    night_close(&night);
    return 0;
}

static double at(double seconds)
{
    return night.contact_utc[CONTACT_U1] + seconds;
}

static void apply(double seconds, struct act act)
{
    struct fault fault;

    act.utc = at(seconds);
    act.boot_s = NAN;
    if (night_apply(&night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void undo(double seconds)
{
    apply(seconds,
          (struct act){.kind = ACT_UNDO, .rig = -1, .ref = night_last_undoable(&night)->seq});
}

/* At 8 C and 95 % the dew point is 7.3 C, and the glass, three degrees below the air, is colder. */
static void dew(double seconds)
{
    apply(seconds, (struct act){.kind = ACT_AIR, .rig = -1, .value = {8, 95}});
}

/* What is asked for at an instant. */
static const char *asked(double seconds)
{
    static char text[GLASS_WORDS];

    night_follow(&night, at(seconds));
    moment_at(&night, &readings, at(seconds), &moment);
    return glass_words(&(struct subject){&night, &moment, reader_utc()}, text);
}

static void nothing_is_asked_of_dry_air(void **state)
{
    (void)state;
    assert_string_equal(asked(0), "");
    apply(1, (struct act){.kind = ACT_AIR, .rig = -1, .value = {8, 50}});
    assert_string_equal(asked(2), "");
    assert_false(moment.look_at_glass);
}

/* It cannot be known from the air that there is dew: a look tells. */
static void dew_is_likely_and_no_more(void **state)
{
    (void)state;
    dew(0);
    assert_string_equal(asked(1), "dew likely: look at the glass");
    apply(120, (struct act){.kind = ACT_AIR, .rig = -1, .value = {-5, 95}});
    assert_string_equal(asked(121), "frost likely: look at the glass");
    for (int advice = AIR_HEAT; advice <= AIR_FROST; advice++) {
        const char *text = air_advice_words((enum air_advice)advice);

        assert_non_null(strstr(text, "likely"));
        assert_non_null(strstr(text, "look at the glass"));
        assert_null(strstr(text, "forms"));
    }
}

/* Twenty minutes: common practice, no source. */
static void dry_is_quiet_for_a_while(void **state)
{
    (void)state;
    dew(0);
    apply(60, (struct act){.kind = ACT_GLASS, .rig = -1});
    assert_string_equal(asked(61), "");
    assert_false(moment.look_at_glass);
    assert_int_equal(moment.air.advice, AIR_WET); /* that it is likely still stands */
    assert_string_equal(asked(60 + 20 * 60 - 1), "");
    assert_string_equal(asked(60 + 20 * 60), "dew likely: look at the glass");
    undo(70);
    assert_string_equal(asked(71), "dew likely: look at the glass");
}

/* A ticked look at the front lenses is one. */
static void the_list_is_an_answer(void **state)
{
    (void)state;
    dew(0);
    apply(60, (struct act){.kind = ACT_CHECK, .rig = -1, .value = {1}, .text = "glass-u3"});
    assert_string_equal(asked(61), "");
}

static void a_heater_is_one_of_a_rig(void **state)
{
    (void)state;
    dew(0);
    apply(10, (struct act){.kind = ACT_HEATER, .rig = 1, .value = {1}});
    assert_string_equal(asked(11), "dew likely: look at the glass of wide, telescope");
    assert_true(moment.rig[1].heated && !moment.rig[1].look_at_glass);
    apply(20, (struct act){.kind = ACT_HEATER, .rig = 0, .value = {1}});
    apply(30, (struct act){.kind = ACT_HEATER, .rig = 2, .value = {1}});
    assert_string_equal(asked(31), "");
    assert_string_equal(asked(7200), ""); /* it stays on */
    undo(32);
    assert_string_equal(asked(33), "dew likely: look at the glass of telescope");
    apply(40, (struct act){.kind = ACT_HEATER, .rig = 0, .value = {0}});
    assert_string_equal(asked(41), "dew likely: look at the glass of wide, telescope");
}

/* On the camera's battery or on its own; by key it can be said that it is off. */
static void a_heater_of_the_setup_counts(void **state)
{
    (void)state;
    setup.rig[0].power.heater_w = 5;
    setup.rig[2].heater = true;
    night_take_setup(&night, &setup, &eclipse, &zone);
    dew(0);
    assert_string_equal(asked(1), "dew likely: look at the glass of long");
    apply(10, (struct act){.kind = ACT_HEATER, .rig = 2, .value = {0}});
    assert_string_equal(asked(11), "dew likely: look at the glass of long, telescope");
}

/* The look keeps its distance from now when the clock is set. */
static void a_clock_that_is_set_moves_the_look(void **state)
{
    (void)state;
    dew(0);
    apply(60, (struct act){.kind = ACT_GLASS, .rig = -1});
    apply(3661, (struct act){.kind = ACT_GAP, .rig = -1, .value = {at(61), at(3661), 3600}});
    assert_string_equal(asked(3662), "");
    assert_string_equal(asked(3660 + 20 * 60), "dew likely: look at the glass");
}

/* Of a sensor one reading a minute is written down, as the night's clock runs. */
static void a_sensor_is_written_down_once_a_minute(void **state)
{
    struct act acts[8];
    int count = 0;

    (void)state;
    night_follow(&night, at(0));
    readings.temperature_c = 4;
    readings.humidity_percent = 80;
    readings.air_age_s = 20;
    apply(-100, (struct act){.kind = ACT_SENSOR, .rig = -1, .value = {4, 80}});
    for (int fast = 0; fast < 2; fast++) {
        night.pace = fast ? 10 : 1;
        moment_at(&night, &readings, at(0), &moment);
        count = 0;
        for (int i = night_decide(&night, &moment, acts, 8); i-- > 0;)
            count += acts[i].kind == ACT_SENSOR;
        /* At ten times the pace it was read 200 s ago, before the last one. */
        assert_int_equal(count, !fast);
    }
}

static void the_record_says_what_was_answered(void **state)
{
    const struct reader reader = reader_local(&night);
    struct fault fault;
    struct act wrong = {.utc = at(0), .boot_s = NAN, .kind = ACT_HEATER, .rig = 1, .value = {2}};
    char text[200];

    (void)state;
    apply(0, (struct act){.kind = ACT_GLASS, .rig = -1});
    act_words(&night, &night.acts[0], &reader, text, sizeof text);
    assert_string_equal(text, "glass looked at: dry");
    apply(1, (struct act){.kind = ACT_HEATER, .rig = 1, .value = {1}});
    act_words(&night, &night.acts[1], NULL, text, sizeof text);
    assert_string_equal(text, "long: heater on");
    assert_int_equal(night_apply(&night, &wrong, &fault), -1);
}

/* ---- with a round ---- */

static void tick(double utc)
{
    night_follow(&night, utc);
    night_follow(&night, utc);
    moment_at(&night, &readings, utc, &moment);
}

static unsigned jobs_of(const struct agenda_round *round)
{
    return round->jobs[0] | round->jobs[1] | round->jobs[2];
}

static const struct agenda_round *round_of_item(const struct agenda *agenda, int item)
{
    for (int i = 0; i < agenda->count; i++)
        if (jobs_of(&agenda->round[i]) & 1U << JOB_GLASS && agenda->round[i].item == item)
            return &agenda->round[i];
    return NULL;
}

/* No round begins in the ten minutes before a look is due. */
static bool none_comes_by(const struct agenda *agenda, double due)
{
    for (int i = 0; i < agenda->count; i++)
        if (agenda->round[i].utc <= due && agenda->round[i].utc >= due - 600)
            return false;
    return true;
}

/* Weeks ahead: each look of the list goes with a round that comes by anyway, not after it is due, and
 * none is a walk of its own. */
static void a_planned_look_rides_on_a_round(void **state)
{
    static struct agenda with, without;
    int looks = 0;

    (void)state;
    tick(at(-20000));
    agenda_make(&night, -INFINITY, &with);
    for (int i = 0; i < night.setup.checklist.count; i++) {
        const struct agenda_round *round = round_of_item(&with, i);

        if (!asks_for_glass(&night, i) || !item_applies(&night, i))
            continue;
        looks += round != NULL;
        night.checked_utc[i] = at(-20001);
        if (!round) {
            assert_true(none_comes_by(&with, item_due_utc(&night, i)));
            continue;
        }
        assert_true(round->utc <= item_due_utc(&night, i) &&
                    round->utc >= item_due_utc(&night, i) - 600);
        assert_true(jobs_of(round) & ~(1U << JOB_GLASS));
        for (int c = CONTACT_U1; c <= CONTACT_U4; c++)
            assert_true(round->utc + round->work_s <= night.contact_utc[c] - AIM_KEEP_OFF_S ||
                        round->utc >= night.contact_utc[c] + AIM_KEEP_OFF_S);
    }
    assert_true(looks >= 2); /* of those before U2, U3 and U4 */
    agenda_make(&night, -INFINITY, &without);
    assert_int_equal(with.count, without.count);
    for (int i = 0; i < without.count; i++) {
        assert_false(jobs_of(&without.round[i]) & 1U << JOB_GLASS);
        assert_true(with.round[i].late == without.round[i].late);
    }
}

/* The first look of the list that is planned into a round. */
static int first_look(void)
{
    for (int i = 0; i < night.setup.checklist.count; i++)
        if (asks_for_glass(&night, i) && round_of_item(&night.agenda, i))
            return i;
    fail_msg("no look is planned");
    return -1;
}

/* It is one job of that walk, said once; who says that the round is done has looked. */
static void a_look_is_done_with_its_round(void **state)
{
    struct act acts[ROUND_ACTS];
    struct hands_words words;
    struct fault fault = {""};
    int count, item;
    double utc;

    (void)state;
    tick(at(-3600));
    item = first_look();
    utc = round_of_item(&night.agenda, item)->utc;
    tick(utc - 30);
    const struct job *look = hands_job(&moment.hands, JOB_GLASS, -1);
    assert_non_null(look);
    assert_true(look->utc == utc && look->item == item && look->state == JOB_PRESSING);
    assert_true(moment.hands.job[look->walk].kind != JOB_GLASS &&
                moment.hands.job[look->walk].utc == utc);
    for (int i = 0; i < moment.hands.count; i++)
        assert_false(moment.hands.job[i].kind == JOB_ITEM && moment.hands.job[i].item == item);
    hands_say(&(struct subject){&night, &moment, reader_utc()}, &words);
    char *said = strstr(words.now, "look at the glass");
    assert_non_null(said);
    assert_null(strstr(said + 1, "look at the glass"));

    tick(utc + 5);
    count = round_done(&night, &moment, acts, &fault);
    assert_true(count > 1 && count <= ROUND_ACTS);
    for (int i = 0; i < count; i++) {
        acts[i].utc = utc + 5;
        if (night_apply(&night, &acts[i], &fault) != 0)
            fail_msg("%s", fault.text);
    }
    tick(utc + 6);
    assert_near(night.checked_utc[item], utc + 5, 1e-6);
    assert_near(night.glass_utc, utc + 5, 1e-6);
    assert_true(!round_of_item(&night.agenda, item));
}

/* Nobody looks: when the round has gone by, the list asks. */
static void a_look_that_was_left_out_is_asked_for(void **state)
{
    const struct job *job;
    bool asked = false;
    int item;

    (void)state;
    tick(at(-3600));
    item = first_look();
    tick(fmax(round_of_item(&night.agenda, item)->utc + 61, item_due_utc(&night, item) + 121));
    for (int i = 0; i < moment.hands.count; i++) {
        job = &moment.hands.job[i];
        asked |= job->item == item;
    }
    assert_true(asked);
}

/* Dew that is likely now waits for a round that comes within two minutes, and else for none. The next
 * look, twenty minutes on, goes with the round before it. */
static void dew_waits_for_a_round_that_is_near(void **state)
{
    const struct agenda_round *round;
    const struct job *look;
    int next = 0;

    (void)state;
    for (int i = 0; i < night.setup.checklist.count; i++)
        if (asks_for_glass(&night, i))
            night.checked_utc[i] = at(-20001);
    tick(at(600));
    while (night.agenda.round[next].utc < at(1200) || night.agenda.round[next].setting < 0 ||
           night.agenda.round[next].utc - night.agenda.round[next - 1].utc < 300)
        next++;
    round = &night.agenda.round[next];
    double utc = round->utc;
    dew(utc - 200 - at(0));
    tick(utc - 190);
    look = hands_job(&moment.hands, JOB_GLASS, -1);
    assert_true(look && look->state == JOB_DUE);
    tick(utc - 100);
    look = hands_job(&moment.hands, JOB_GLASS, -1);
    assert_true(look && look->state == JOB_COMING && look->utc == utc);
    assert_true(moment.hands.job[look->walk].kind != JOB_GLASS);

    apply(utc + 10 - at(0), (struct act){.kind = ACT_GLASS, .rig = -1});
    tick(utc + 11);
    look = hands_job(&moment.hands, JOB_GLASS, -1);
    double due = utc + 10 + GLASS_QUIET_S;
    assert_true(look && look->utc <= due && look->utc >= due - 600 && look->utc > utc + 60);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, open_night, close_night)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(nothing_is_asked_of_dry_air),
        TEST(dew_is_likely_and_no_more),
        TEST(dry_is_quiet_for_a_while),
        TEST(the_list_is_an_answer),
        TEST(a_heater_is_one_of_a_rig),
        TEST(a_heater_of_the_setup_counts),
        TEST(a_sensor_is_written_down_once_a_minute),
        TEST(a_clock_that_is_set_moves_the_look),
        TEST(the_record_says_what_was_answered),
        TEST(a_planned_look_rides_on_a_round),
        TEST(a_look_is_done_with_its_round),
        TEST(a_look_that_was_left_out_is_asked_for),
        TEST(dew_waits_for_a_round_that_is_near),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
