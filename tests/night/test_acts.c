/* Acts as they come from a key, a device or somebody else's file: how they are written down, and what of
 * them is taken. The bounds are those of the manual page and of act.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <moonstand/moment.h>
#include <moonstand/act.h>
#include <moonstand/fault.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TRIPOD = 1, MOUNT };

static int open_night(void **state)
{
    struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0 || ridge_open(&setup, &zone, false) != 0)
        return -1;
    night_follow(night, at(CONTACT_U1, 0));
    return 0;
}

/* The journal finds each value of an act by its name. */
static void every_value_has_a_name(void **state)
{
    (void)state;
    for (int kind = 0; kind < ACT_KINDS; kind++) {
        const struct act_form *form = act_form((enum act_kind)kind);

        assert_non_null(form->name);
        for (int i = 0; i < ACT_VALUES; i++)
            assert_true(form->value[i].name || !form->value[i + 1].name);
        for (int other = 0; other < kind; other++)
            assert_string_not_equal(form->name, act_form((enum act_kind)other)->name);
    }
    assert_true(act_value_is_instant("due_utc") && act_value_is_instant("from_utc"));
    assert_false(act_value_is_instant("behind_s") || act_value_is_instant("seconds"));
}

/* Which acts are of one rig, of an item, of another act. */
static void an_act_is_about_something(void **state)
{
    static const enum act_kind of_rig[] = {
        ACT_AIM,   ACT_POINT,  ACT_SEEN,    ACT_SNOOZE,   ACT_TARGET,  ACT_CORRECTION,
        ACT_RIG,   ACT_FRAME,  ACT_BATTERY, ACT_CARD,     ACT_HEATER,  ACT_CAMERA_CLOCK,
        ACT_ALARM, ACT_MISSED, ACT_SETTING, ACT_PICTURES, ACT_STOPPED, ACT_PICTURE_CLOCK,
        ACT_SPOTTED, ACT_PLACE, ACT_FLIP};
    static const enum act_kind with_text[] = {ACT_CHECK, ACT_SITE,  ACT_RIG,   ACT_NOTE,
                                              ACT_LATER, ACT_ITEM,  ACT_SETUP, ACT_BEGIN,
                                              ACT_PAST,  ACT_MISSED};

    (void)state;
    for (int kind = 0; kind < ACT_KINDS; kind++) {
        const struct act_form *form = act_form((enum act_kind)kind);
        bool rig = false, text = false;

        for (size_t i = 0; i < sizeof of_rig / sizeof *of_rig; i++)
            rig |= (int)of_rig[i] == kind;
        for (size_t i = 0; i < sizeof with_text / sizeof *with_text; i++)
            text |= (int)with_text[i] == kind;
        assert_int_equal((form->has & HAS_RIG) != 0, rig);
        assert_int_equal((form->has & HAS_TEXT) != 0, text);
        assert_int_equal((form->has & HAS_REF) != 0, kind == ACT_UNDO);
    }
}

/* What a key may undo is what a user does, and an aim by pictures; what else devices and the program
 * write stays. */
static void what_the_program_writes_is_not_undone(void **state)
{
    static const enum act_kind by_program[] = {
        ACT_UNDO,  ACT_BEGIN,  ACT_END, ACT_PAST,     ACT_ALARM,   ACT_MISSED,       ACT_SETTING,
        ACT_CLOCK, ACT_SENSOR, ACT_GAP, ACT_PICTURES, ACT_STOPPED, ACT_PICTURE_CLOCK,
        ACT_PLACE};

    (void)state;
    for (int kind = 0; kind < ACT_KINDS; kind++) {
        bool own = false;

        for (size_t i = 0; i < sizeof by_program / sizeof *by_program; i++)
            own |= (int)by_program[i] == kind;
        assert_int_equal(act_form((enum act_kind)kind)->has & BY_USER, !own);
    }
}

static const struct bound {
    enum act_kind kind;
    int rig, value;   /* index of the value */
    double low, high; /* both are taken */
    const char *text;
    double other[ACT_VALUES]; /* the others */
} bounds[] = {
    {ACT_CHECK, -1, 0, 0, 1, "charge", {0}},
    {ACT_AIM, TRIPOD, 0, -0.5, 0.5, "", {0}},
    {ACT_AIM, TRIPOD, 1, -0.5, 0.5, "", {0}},
    {ACT_POINT, TRIPOD, 0, -90, 90, "", {0}},
    {ACT_POINT, TRIPOD, 1, 0, 360, "", {0}},
    {ACT_POINT, TRIPOD, 2, -45, 45, "", {0}},
    {ACT_SNOOZE, TRIPOD, 0, 1, 3600, "", {0}},
    {ACT_SITE, -1, 0, -90, 90, "hand", {0}},
    {ACT_SITE, -1, 1, -180, 180, "hand", {0}},
    {ACT_SITE, -1, 2, -500, 9000, "hand", {0}},
    {ACT_TARGET, TRIPOD, 0, 0, TARGETS - 1, "", {0}},
    {ACT_CORRECTION, TRIPOD, 0, 0, TARGETS - 1, "", {0}},
    {ACT_CORRECTION, TRIPOD, 1, -10, 10, "", {0}},
    {ACT_DANJON, -1, 0, 0, 4, "", {0}},
    {ACT_RIG, TRIPOD, 0, 0, 20, "filter_stops", {0}},
    {ACT_RIG, TRIPOD, 0, 0.3, 5, "extender", {0}},
    {ACT_RIG, TRIPOD, 0, 0.5, 64, "f_number", {0}},
    {ACT_RIG, TRIPOD, 0, 0.5, 3600, "interval_s", {0}},
    {ACT_RIG, TRIPOD, 0, 0, 1, "portrait", {0}},
    {ACT_AIR, -1, 0, -45, 60, "", {0, 50}},
    {ACT_AIR, -1, 1, 1, 100, "", {0}},
    {ACT_SENSOR, -1, 0, -45, 60, "", {0, 50}},
    {ACT_SENSOR, -1, 1, 1, 100, "", {0}},
    {ACT_HEATER, TRIPOD, 0, 0, 1, "", {0}},
    {ACT_CAMERA_CLOCK, TRIPOD, 0, -1e9, 1e9, "", {0}},
    {ACT_LATER, -1, 0, 1, 86400, "charge", {0}},
    {ACT_ROUND, -1, 1, 0, ROUND_ACTS - 1, "", {0}},
    {ACT_FORECAST, -1, 1, 0, 100, "", {1861894800, NAN, 0, 50, 2}},
    {ACT_FORECAST, -1, 2, -90, 60, "", {1861894800, 0, NAN, 50, 2}},
    {ACT_FORECAST, -1, 4, 0, 120, "", {1861894800, 0, 0, 50, NAN}},
    {ACT_SETTING, TRIPOD, 0, -45, 18, "", {0}},
    {ACT_SETTING, TRIPOD, 1, -6, 36, "", {0}},
    {ACT_SETTING, TRIPOD, 2, 0, TARGETS - 1, "", {0}},
    {ACT_PICTURES, TRIPOD, 0, 0, 1e7, "", {0}},
    {ACT_PICTURES, TRIPOD, 1, 0, 1e15, "", {0}},
    {ACT_PICTURES, TRIPOD, 2, 0, 40, "", {40}},
    {ACT_PICTURE_CLOCK, TRIPOD, 0, -1e9, 1e9, "", {0}},
    {ACT_SPOTTED, TRIPOD, 0, -0.5, 0.5, "", {0}},
    {ACT_SPOTTED, TRIPOD, 1, -0.5, 0.5, "", {0}},
    {ACT_PLACE, TRIPOD, 0, -0.5, 0.5, "", {0}},
    {ACT_PLACE, TRIPOD, 1, -0.5, 0.5, "", {0}},
};

static int apply(const struct bound *bound, double value)
{
    struct act act = {
        .utc = at(CONTACT_U1, 0), .boot_s = NAN, .kind = bound->kind, .rig = bound->rig};
    struct fault fault = {""};
    int result;

    memcpy(act.value, bound->other, sizeof act.value);
    act.value[bound->value] = value;
    (void)snprintf(act.text, sizeof act.text, "%s", bound->text);
    result = night_apply(night, &act, &fault);
    assert_int_equal(result == 0, *fault.text == '\0');
    return result;
}

static void bounds_are_taken_and_what_is_past_them_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bounds / sizeof *bounds; i++) {
        const struct bound *bound = &bounds[i];
        double step = fmax(1e-6, 1e-9 * fabs(bound->high));
        size_t acts = night->act_count;

        assert_int_equal(apply(bound, bound->low - step), -1);
        assert_int_equal(apply(bound, bound->high + step), -1);
        assert_int_equal(apply(bound, INFINITY), -1);
        assert_int_equal(night->act_count, acts);
        if (apply(bound, bound->low) != 0 || apply(bound, bound->high) != 0)
            fail_msg("%s: %g or %g is refused", act_form(bound->kind)->name, bound->low,
                     bound->high);
    }
}

/* What a rig cannot have: a tripod no axis, a mount no pointing; and no rig past the last. */
static void an_act_fits_its_rig(void **state)
{
    const struct bound seen = {ACT_SEEN, MOUNT, 0, 0, 0, "", {0}};
    const struct bound aim = {ACT_AIM, MOUNT, 0, 0, 0, "", {0}};
    const struct bound wrong[] = {
        {ACT_SEEN, TRIPOD, 0, 0, 0, "", {0}},        {ACT_POINT, MOUNT, 0, 0, 0, "", {0}},
        {ACT_AIM, RIGS, 0, 0, 0, "", {0}},           {ACT_FRAME, -1, 0, 0, 0, "", {0}},
        {ACT_RIG, TRIPOD, 0, 1, 1, "focal_mm", {0}}, {ACT_RIG, TRIPOD, 0, 1, 1, "", {0}},
        {ACT_CHECK, -1, 0, 1, 1, "charg", {0}},      {ACT_LATER, -1, 0, 60, 60, "", {0}},
        {ACT_PAST, -1, 0, 1, 1, "own-1", {0}},       {ACT_ITEM, -1, 0, 0, 0, "", {0}},
    };

    (void)state;
    assert_int_equal(apply(&seen, 0), -1); /* not aimed yet */
    assert_int_equal(apply(&aim, 0), 0);
    assert_int_equal(apply(&seen, 0), 0);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        if (apply(&wrong[i], wrong[i].low) != -1)
            fail_msg("%s at rig %d is taken", act_form(wrong[i].kind)->name, wrong[i].rig);
    /* A thing that passed may be of no rig. */
    assert_int_equal(apply(&(struct bound){ACT_MISSED, -1, 0, 0, 0, "U1", {0}}, at(CONTACT_U1, 0)),
                     0);
    assert_int_equal(apply(&(struct bound){ACT_MISSED, -2, 0, 0, 0, "U1", {0}}, at(CONTACT_U1, 0)),
                     -1);
}

/* A focus that a rehearsal leaves out, or that was unticked, was not looked at; nor was the glass. */
static void a_look_is_one_that_was_ticked(void **state)
{
    const struct bound past = {ACT_PAST, -1, 0, 0, 0, "focus", {0}};
    const struct bound focus = {ACT_CHECK, -1, 0, 0, 1, "focus", {0}};
    const struct bound glass = {ACT_CHECK, -1, 0, 0, 1, "glass", {0}};

    (void)state;
    assert_int_equal(apply(&past, 0), 0);
    assert_true(isfinite(night->checked_utc[checklist_find(&night->setup.checklist, "focus")]));
    assert_true(isnan(night->focus_utc));
    assert_int_equal(apply(&focus, 0), 0);
    assert_true(isnan(night->focus_utc));
    assert_int_equal(apply(&focus, 1), 0);
    assert_true(isfinite(night->focus_utc) && isnan(night->glass_utc));
    assert_int_equal(apply(&glass, 1), 0);
    assert_true(isfinite(night->glass_utc));
}

/* A command's words lie one after the other, and what has no room is refused. */
static void a_command_takes_words(void **state)
{
    struct user_command command = {0};
    char large[COMMAND_TEXT];

    (void)state;
    assert_true(command_add(&command, "say") && command_add(&command, "") &&
                command_add(&command, "Moon"));
    assert_int_equal(command.count, 3);
    assert_memory_equal(command.text, "say\0\0Moon", 10);
    memset(large, 'x', sizeof large);
    large[COMMAND_TEXT - 10] = '\0';
    assert_false(command_add(&command, large));
    large[COMMAND_TEXT - 11] = '\0';
    assert_true(command_add(&command, large));
    assert_false(command_add(&command, ""));
    command = (struct user_command){0};
    for (int i = 0; i < COMMAND_WORDS; i++)
        assert_true(command_add(&command, "x"));
    assert_false(command_add(&command, "x"));
}

static void a_field_of_a_rig_has_a_range(void **state)
{
    double low, high;

    (void)state;
    rig_field_range("extender 1.4", &low, &high);
    assert_true(low == 0.3 && high == 5);
    rig_field_range("extend", &low, &high);
    assert_true(isnan(low) && isnan(high));
    rig_field_range("extenders", &low, &high);
    assert_true(isnan(low) && isnan(high));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_value_has_a_name),
        cmocka_unit_test(an_act_is_about_something),
        cmocka_unit_test(what_the_program_writes_is_not_undone),
        cmocka_unit_test_setup_teardown(bounds_are_taken_and_what_is_past_them_refused, open_night,
                                        ridge_close),
        cmocka_unit_test_setup_teardown(an_act_fits_its_rig, open_night, ridge_close),
        cmocka_unit_test(a_field_of_a_rig_has_a_range),
        cmocka_unit_test_setup_teardown(a_look_is_one_that_was_ticked, open_night, ridge_close),
        cmocka_unit_test(a_command_takes_words),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
