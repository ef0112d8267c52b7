/* The form without a screen: one line per change. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "screen/scene.h"

#include <moonstand/lines.h>

static struct lines lines;

/* What is said at an instant; the caller frees it. */
static char *tell(double utc)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    assert_non_null(out);
    scene_at(utc);
    lines_tell(&lines, out, &scene.night, &scene.moment, &scene.view);
    assert_int_equal(fclose(out), 0);
    return text;
}

static void expect(double utc, const char *wanted)
{
    char *text = tell(utc);

    if (!strstr(text, wanted))
        fail_msg("'%s' is not in:\n%s", wanted, text);
    free(text);
}

static void expect_only(double utc, const char *wanted)
{
    char *text = tell(utc);

    assert_string_equal(text, wanted);
    free(text);
}

static void start(const char *at)
{
    scene_open(false);
    scene_tick_before(scene_utc("P4+10h"));
    lines_begin(&lines);
    free(tell(scene_utc(at)));
}

static void the_start_tells_all_that_stands(void **state)
{
    (void)state;
    scene_open(false);
    lines_begin(&lines);
    scene.view.trouble = "the disk is full";
    char *text = tell(scene_utc("U1+35m"));
    static const char *const wanted[] = {
        "20:42:42  Gravel bank, total lunar eclipse of 2028-12-31, times in +05\n",
        "NOTHING IS BEING SAVED: the disk is full\n",
        "phase: partial\n",
        "next: U2 at 21:16:27, totality begins\n",
        "less than 60 min to U2\n",
        "long: set 1/125 s, ISO 100, for the sunlit part\n",
        "telescope: the mount follows\n",
        "GPS: off\n",
        "list: ",
    };
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        if (!strstr(text, wanted[i]))
            fail_msg("'%s' is not in:\n%s", wanted[i], text);
    assert_null(strchr(text, '\x1b'));
    assert_null(strstr(text, "nan"));
    free(text);
}

static void the_sun_is_warned_of_once(void **state)
{
    (void)state;
    scene_open(false);
    lines_begin(&lines);
    scene_tick_before(scene_utc("P4+10h"));
    expect(scene_utc("P1-4h10m"), "  Sun up: never point optics near it\n");
    char *text = tell(scene_utc("P1-4h9m"));
    assert_null(strstr(text, "Sun up"));
    free(text);
}

static void dew_is_said_until_it_is_answered(void **state)
{
    double utc = scene_utc("U1+30m");

    (void)state;
    start("U1+29m");
    scene_act((struct act){.utc = utc, .kind = ACT_AIR, .rig = -1, .value = {8, 95}});
    expect(utc + 1, "  air: dew likely: look at the glass; warm it, never wipe it\n");
    expect_only(utc + 2, "");
    scene_act((struct act){.utc = utc + 3, .kind = ACT_GLASS, .rig = -1});
    expect(utc + 4, "  air: the glass was dry, next look at 20:57:45\n");
    for (int i = 0; i < scene.setup.rig_count; i++)
        scene_act((struct act){.utc = utc + 5, .kind = ACT_HEATER, .rig = i, .value = {1}});
    expect(utc + 1300, "  air: dew or frost likely, every heater is on\n");
}

static void nothing_new_is_silence(void **state)
{
    (void)state;
    start("greatest+2m");
    for (int i = 1; i <= 20; i++)
        expect_only(scene_utc("greatest+2m") + i, "");
}

static void each_change_is_one_line(void **state)
{
    (void)state;
    start("U2-61s");
    expect_only(scene_utc("U2-59.9s"), "21:15:27  less than 1 min to U2\n");
    free(tell(scene_utc("U2-0.5s")));
    char *text = tell(scene_utc("U2+0.5s"));
    assert_non_null(strstr(text, "now: U2, totality begins\n"));
    assert_non_null(strstr(text, "phase: total\n"));
    assert_non_null(strstr(text, "next: greatest at 21:52:06, deepest in the shadow\n"));
    free(text);
    scene.view.message = "ticked: focus";
    expect_only(scene_utc("U2+1s"), "21:16:28  ticked: focus\n");
    scene.view.message = "";
    expect_only(scene_utc("U2+2s"), "");
    /* A step over an event does not lose it. */
    expect(scene_utc("U4+10m"), "now: U3, totality ends\n");
}

static void an_alarm_and_a_due_item_are_said(void **state)
{
    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("U2-31m"));
    scene_aim(scene_utc("U1"));
    lines_begin(&lines);
    expect(scene_utc("U1+1s"), "long: re-aim by 20:");
    double due = scene.night.rig[1].due_utc;
    expect(due - 30, "long: RE-AIM BY 20:");
    expect(due + 1, "ALARM: RE-AIM long NOW: the Moon passed the margin at 20:");
    free(tell(scene_utc("U2-30m") - 1));
    expect(scene_utc("U2-30m"), "due: Look at the focus again");
}

/* A meridian flip is told a quarter of an hour ahead, once. */
static void a_flip_is_said_once(void **state)
{
    (void)state;
    start("U1+5m");
    scene.night.framing[2].flips = true;
    scene.night.framing[2].flip.advised_utc = scene_utc("U1+25m");
    scene.night.framing[2].flip.latest_utc = scene_utc("U1+60m");
    free(tell(scene_utc("U1+9m")));
    expect(scene_utc("U1+11m"), "turn the mount of telescope over\n");
    char *later = tell(scene_utc("U1+26m"));
    assert_null(strstr(later, "turn the mount"));
    free(later);
}

static void a_low_laptop_is_said_once(void **state)
{
    (void)state;
    start("greatest");
    scene.readings.battery_percent = 19;
    scene.readings.battery_discharging = true;
    expect_only(scene_utc("greatest") + 1, "21:52:06  laptop is low: give it power\n");
    scene.readings.battery_percent = 18;
    expect_only(scene_utc("greatest") + 2, "");
}

static void a_full_card_is_said_once(void **state)
{
    (void)state;
    start("U1+35m");
    scene.readings.card_free_bytes[2] = 2 * 30e6;
    expect(scene_utc("U1+35m") + 1, "change the card of telescope\n");
    scene.readings.card_free_bytes[2] = 1 * 30e6;
    expect_only(scene_utc("U1+35m") + 2, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_start_tells_all_that_stands),
        cmocka_unit_test(the_sun_is_warned_of_once),
        cmocka_unit_test(dew_is_said_until_it_is_answered),
        cmocka_unit_test(nothing_new_is_silence),
        cmocka_unit_test(each_change_is_one_line),
        cmocka_unit_test(an_alarm_and_a_due_item_are_said),
        cmocka_unit_test(a_flip_is_said_once),
        cmocka_unit_test(a_low_laptop_is_said_once),
        cmocka_unit_test(a_full_card_is_said_once),
    };
    int result = cmocka_run_group_tests(tests, NULL, NULL);

    scene_close();
    return result;
}
