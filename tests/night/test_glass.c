/* Dew that is likely is a look at the glass, and that has an answer: dry, or a heater. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/words.h>

#include <math.h>
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
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
