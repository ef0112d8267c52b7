/* Two sessions side by side. */
#include "demo.h"

#include "blessed.h"

#include <moonstand/report.h>
#include <moonstand/series.h>

/* A night in which everything was heard; the long lens rang twice and was answered. */
static struct night *night_heard(void)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    double p1 = night->contact_utc[CONTACT_P1], u1 = night->contact_utc[CONTACT_U1],
           p4 = night->contact_utc[CONTACT_P4];
    int fast = shutter_index(1.0 / 500), slow = shutter_index(1.0 / 60), iso = iso_index(400);
    const struct act acts[] = {
        {.utc = p1 - 300, .kind = ACT_BEGIN, .rig = -1, .text = "1.0"},
        {.utc = p1 + 60, .kind = ACT_SETTING, .rig = 1, .value = {fast, 0, TARGET_LIT}},
        {.utc = u1 + 10, .kind = ACT_SETTING, .rig = 1, .value = {slow, iso, TARGET_LIT}},
        /* Only for another target: nobody dials. */
        {.utc = u1 + 20, .kind = ACT_SETTING, .rig = 1, .value = {slow, iso, TARGET_UMBRA}},
        {.utc = u1 + 60, .kind = ACT_AIM, .rig = 1},
        {.utc = u1 + 900, .kind = ACT_ALARM, .rig = 1, .value = {u1 + 900}},
        {.utc = u1 + 912, .kind = ACT_SNOOZE, .rig = 1, .value = {60}},
        {.utc = u1 + 980, .kind = ACT_AIM, .rig = 1},
        {.utc = u1 + 1900, .kind = ACT_ALARM, .rig = 1, .value = {u1 + 1900}},
        {.utc = u1 + 2000, .kind = ACT_AIM, .rig = 1},
        {.utc = u1 + 2100, .kind = ACT_FRAME, .rig = 1},
        {.utc = u1 + 2110, .kind = ACT_FRAME, .rig = 1},
        {.utc = u1 + 2200, .kind = ACT_AIR, .rig = -1, .value = {-14, 80}},
        {.utc = u1 + 3200, .kind = ACT_SENSOR, .rig = -1, .value = {-17.5, 85}},
        {.utc = p4 + 60, .kind = ACT_END, .rig = -1},
    };

    for (size_t i = 0; i < sizeof acts / sizeof acts[0]; i++)
        demo_apply(night, acts[i]);
    return night;
}

/* Another that slept over U2, whose clock was set while an alarm stood, and that ended before U4.
 */
static struct night *night_slept(void)
{
    struct setup *setup = demo_setup();
    struct night *night;
    double u1, u2, u3;

    (void)snprintf(setup->rig[0].name, sizeof setup->rig[0].name, "slope");
    night = demo_night(setup, "2028-12-31");
    u1 = night->contact_utc[CONTACT_U1];
    u2 = night->contact_utc[CONTACT_U2];
    u3 = night->contact_utc[CONTACT_U3];
    {
        const struct act acts[] = {
            {.utc = u1 - 60, .kind = ACT_BEGIN, .rig = -1, .text = "1.0 rehearsal"},
            {.utc = u1 + 60, .kind = ACT_AIM, .rig = 1},
            {.utc = u2 + 600, .kind = ACT_GAP, .rig = -1, .value = {u2 - 600, u2 + 600, NAN}},
            {.utc = u2 + 600, .kind = ACT_MISSED, .rig = -1, .value = {u2}, .text = "U2"},
            {.utc = u2 + 600,
             .kind = ACT_MISSED,
             .rig = 1,
             .value = {u2 + 500},
             .text = "re-aim of long"},
            /* 50 s later, on a clock that was set forward by half an hour. */
            {.utc = u2 + 2420, .kind = ACT_GAP, .rig = -1, .value = {u2 + 610, u2 + 2420, 1800}},
            {.utc = u2 + 2450, .kind = ACT_AIM, .rig = 1},
            {.utc = u2 + 3000, .kind = ACT_ALARM, .rig = 1, .value = {u2 + 3000}},
            {.utc = u3 + 60, .kind = ACT_NOTE, .rig = -1, .text = "too cold"},
        };

        for (size_t i = 0; i < sizeof acts / sizeof acts[0]; i++)
            demo_apply(night, acts[i]);
    }
    night->rehearsal = true;
    return night;
}

static const cJSON *rig_of(const cJSON *session, const char *name)
{
    for (const cJSON *rig = member(session, "rigs")->child; rig; rig = rig->next)
        if (strcmp(text_of(rig, "name"), name) == 0)
            return rig;
    fail_msg("no rig '%s'", name);
    return NULL;
}

static void json_has_all_of_both(void **state)
{
    struct night *heard = night_heard(), *slept = night_slept();
    const struct compared a = {"2028-12-31", heard}, b = {"2028-12-31-rehearsal", slept};
    const cJSON *first, *second, *alarm;
    char *text;
    cJSON *root;

    (void)state;
    PRINTED(text, report_comparison_json(out, &a, &b));
    hold_print("compare-json", text);
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    first = member(root, "sessions")->child;
    second = first->next;
    assert_string_equal(text_of(first, "name"), "2028-12-31");
    assert_false(flag(first, "rehearsal"));
    assert_true(flag(second, "rehearsal"));
    assert_int_equal((int)number(first, "entries"), 15);

    assert_string_equal(text_of(member(first, "contacts"), "P1"), "heard");
    assert_string_equal(text_of(member(first, "contacts"), "U2"), "heard");
    assert_string_equal(text_of(member(second, "contacts"), "U1"), "heard");
    assert_string_equal(text_of(member(second, "contacts"), "U2"), "missed");
    /* Before its first entry and after its last one a session knows nothing. */
    assert_false(has(member(second, "contacts"), "P1"));
    assert_false(has(member(second, "contacts"), "U4"));

    assert_int_equal((int)number(rig_of(first, "long"), "aims"), 3);
    assert_int_equal((int)number(rig_of(first, "long"), "frames"), 2);
    alarm = member(rig_of(first, "long"), "alarms")->child;
    assert_false(flag(alarm, "missed"));
    assert_true(number(alarm, "answered_after_s") == 12); /* quiet is an answer */
    assert_true(number(alarm->next, "answered_after_s") == 100);
    alarm = member(rig_of(second, "long"), "alarms")->child;
    assert_true(flag(alarm, "missed"));
    assert_true(number(alarm, "answered_after_s") == 150); /* the clock's half hour is none */
    assert_false(has(alarm->next, "answered_after_s"));
    assert_true(number(second, "unwatched_s") == 1210);
    assert_int_equal((int)number(second, "gaps"), 2);

    assert_string_equal(text_of(member(member(rig_of(first, "long"), "settings"), "U1"), "shutter"),
                        "1/500");
    assert_string_equal(text_of(member(member(rig_of(first, "long"), "settings"), "U2"), "shutter"),
                        "1/60");
    assert_false(has(member(rig_of(second, "long"), "settings"), "U2"));
    assert_true(number(member(first, "air"), "temperature_lowest_c") == -17.5);
    assert_true(number(member(first, "air"), "temperature_highest_c") == -14);
    assert_true(number(member(first, "air"), "readings") == 2); /* by hand and by the sensor */
    assert_false(has(member(second, "air"), "temperature_lowest_c"));
    cJSON_Delete(root);
    demo_free(heard);
    demo_free(slept);
}

static void markdown_tells_what_differs(void **state)
{
    struct night *heard = night_heard(), *slept = night_slept();
    const struct compared a = {"2028-12-31", heard}, b = {"2028-12-31-rehearsal", slept};
    static const char *const lines[] = {
        "\n- 2028-12-31: total lunar eclipse of 2028-12-31, 15 entries\n",
        "\n- 2028-12-31-rehearsal: total lunar eclipse of 2028-12-31 (REHEARSAL), 9 entries\n",
        "\n| rig | what | 2028-12-31 | 2028-12-31-rehearsal |\n|---|---|---|---|\n",
        "\n|  | P1 | heard | - |\n",
        "\n|  | U2 | heard | missed |\n",
        "\n|  | nobody watched | 0:00 | 20:10 |\n",
        "\n|  | air, temperature | -17.5 C to -14.0 C | - |\n",
        "\n|  | air, readings | 2 | 0 |\n",
        "\n|  | notes | 0 | 1 |\n",
        "\n| long | aims | 3 | 2 |\n",
        "\n| long | alarms | 2: answered after 1:40 in the middle, 1:40 at most | 2: answered "
        "after "
        "2:30 in the middle, 2:30 at most, 1 never |\n",
        "\n| long | alarms missed | 0 | 1 |\n",
        "\n| long | frames by hand | 2 | 0 |\n",
        "\n| long | set to at U2 | 1/60 s, ISO 400 for the umbra | - |\n",
        /* A rig that only one of them has. */
        "\n| wide | aims | 0 | - |\n",
        "\n| slope | aims | - | 0 |\n",
        "\nAlike: ",
        "\n## Alarms of 2028-12-31\n",
        " long: answered after 0:12\n",
        "\n## Alarms of 2028-12-31-rehearsal\n",
        " long (missed): answered after 2:30\n",
        " long: never answered\n",
    };
    char *text;

    (void)state;
    PRINTED(text, report_comparison_markdown(out, &a, &b));
    hold_print("compare", text);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (!strstr(text, lines[i]))
            fail_msg("no '%s' in\n%s", lines[i], text);
    assert_null(strstr(text, "| U1 |")); /* heard in both */
    assert_null(strstr(text, "| site |"));
    free(text);
    demo_free(heard);
    demo_free(slept);
}

static void a_session_against_itself_differs_in_nothing(void **state)
{
    struct night *night = night_heard();
    const struct compared same = {"x", night};
    char *text;

    (void)state;
    PRINTED(text, report_comparison_markdown(out, &same, &same));
    assert_null(strstr(text, "|"));
    assert_non_null(strstr(text, "## What differs\n\nAlike: "));
    free(text);
    REFUSED_BY_FULL_DISK(report_comparison_markdown(out, &same, &same));
    REFUSED_BY_FULL_DISK(report_comparison_json(out, &same, &same));
    demo_free(night);
}

/* The middle of 1:40, 0:12 and 0:40 is 0:40, in whatever order they came; one nobody answers is no
 * number. */
static void alarms_are_told_by_their_middle(void **state)
{
    static const double late_s[] = {100, 12, 40, NAN};
    struct night *night = demo_night(demo_setup(), "2028-12-31"),
                 *other = demo_night(demo_setup(), "2028-12-31");
    const struct compared a = {"late", night}, b = {"still", other};
    double utc = night->contact_utc[CONTACT_U1];
    char *text;

    (void)state;
    for (size_t i = 0; i < sizeof late_s / sizeof *late_s; i++, utc += 900) {
        demo_apply(night, (struct act){.utc = utc, .kind = ACT_ALARM, .rig = 1, .value = {utc}});
        if (isfinite(late_s[i]))
            demo_apply(night, (struct act){.utc = utc + late_s[i], .kind = ACT_AIM, .rig = 1});
    }
    PRINTED(text, report_comparison_markdown(out, &a, &b));
    assert_non_null(strstr(text,
                           "\n| long | alarms | 4: answered after 0:40 in the middle, 1:40 at "
                           "most, 1 never | 0 |\n"));
    free(text);
    demo_free(night);
    demo_free(other);
}

/* A program that was killed told what came up to its last sign of life. */
static void heard_up_to_the_last_sign_of_life(void **state)
{
    struct night *slept = night_slept();
    const struct compared same = {"x", slept};
    char *text;
    cJSON *root;

    (void)state;
    slept->alive_utc = slept->contact_utc[CONTACT_U4] + 30;
    PRINTED(text, report_comparison_json(out, &same, &same));
    root = json_parse(text);
    free(text);
    assert_string_equal(text_of(member(member(root, "sessions")->child, "contacts"), "U4"),
                        "heard");
    assert_false(has(member(member(root, "sessions")->child, "contacts"), "P4"));
    cJSON_Delete(root);
    demo_free(slept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_has_all_of_both),
        cmocka_unit_test(markdown_tells_what_differs),
        cmocka_unit_test(alarms_are_told_by_their_middle),
        cmocka_unit_test(heard_up_to_the_last_sign_of_life),
        cmocka_unit_test(a_session_against_itself_differs_in_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
