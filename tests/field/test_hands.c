/* Two hands for three rigs. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/field.h>

#include "near.h"

#define NOW 1000.0
#define U2 5000.0

enum { WIDE, LONG, TELESCOPE };

static const double contacts[] = {U2 - 4000, U2, U2 + 2000, NAN};

static struct hands_task task(enum hands_kind kind, int rig, double wish, double slack,
                              int priority)
{
    return (struct hands_task){
        .kind = kind,
        .rig = rig,
        .wish_utc = wish,
        .utc_from = wish - slack,
        .utc_to = wish + slack + hands_duration_s(kind),
        .duration_s = hands_duration_s(kind),
        .priority = priority,
    };
}

static void plan_of(const struct hands_task *tasks, int count, struct hands_plan *plan)
{
    struct hands_ask ask = {NOW + 100, tasks, count, contacts, 4};

    hands_plan_make(&ask, plan);
}

static void names_and_durations(void **state)
{
    (void)state;
    assert_string_equal(hands_kind_name(HANDS_AIM), "re-aim");
    assert_string_equal(hands_kind_name(HANDS_OTHER), "other");
    assert_near(hands_duration_s(HANDS_AIM), 20, 0);
    assert_near(hands_duration_s(HANDS_BATTERY), 60, 0);
    assert_near(hands_duration_s(HANDS_EXPOSURE), 10, 0);
    for (int i = 0; i < HANDS_KINDS; i++) {
        assert_true(hands_duration_s((enum hands_kind)i) > 0);
        assert_true(text_is_clean(hands_kind_name((enum hands_kind)i)));
    }
}

static void in_order_at_their_wish(void **state)
{
    const struct hands_task tasks[] = {
        task(HANDS_BATTERY, LONG, 3000, 60, 0), task(HANDS_AIM, TELESCOPE, 2000, 60, 0),
        task(HANDS_OTHER, -1, 2500, 60, 0),
        task(HANDS_CARD, WIDE, NAN, 60, 9), /* no such instant in this eclipse */
    };
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 4, &plan);
    assert_int_equal(plan.count, 3);
    assert_int_equal(plan.order[plan.line[0].first], 1);
    assert_int_equal(plan.order[plan.line[1].first], 2);
    assert_int_equal(plan.order[plan.line[2].first], 0);
    assert_near(plan.line[0].utc, 2000, 0);
    assert_near(plan.line[0].utc_to, 2020, 0);
    assert_int_equal(plan.line[0].rig, TELESCOPE);
    assert_near(plan.line[2].utc_to, 3060, 0);
    assert_true(isnan(plan.clash_utc));
}

/* A re-aim, and a new shutter speed half a minute later at the same camera: one line. */
static void merged_at_one_rig(void **state)
{
    struct hands_task tasks[] = {
        task(HANDS_EXPOSURE, LONG, 2030, 60, 0),
        task(HANDS_AIM, LONG, 2000, 60, 1),
        task(HANDS_EXPOSURE, WIDE, 2500, 60, 0),
    };
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 3, &plan);
    assert_int_equal(plan.count, 2);
    assert_int_equal(plan.line[0].count, 2);
    assert_near(plan.line[0].utc, 2000, 0);
    assert_near(plan.line[0].utc_to, 2030, 0);
    assert_int_equal(plan.order[0], 1);
    assert_int_equal(plan.order[1], 0);
    assert_int_equal(plan.line[1].first, 2);
    /* Another rig's is done on its own. */
    tasks[0].rig = TELESCOPE;
    plan_of(tasks, 3, &plan);
    assert_int_equal(plan.count, 3);
    /* Nor does it move further than its window or two minutes. */
    tasks[0] = task(HANDS_EXPOSURE, LONG, 2100, 60, 0);
    plan_of(tasks, 3, &plan);
    assert_int_equal(plan.count, 3);
    tasks[0] = task(HANDS_EXPOSURE, LONG, 2141, 600, 0);
    plan_of(tasks, 3, &plan);
    assert_int_equal(plan.count, 3);
    tasks[0] = task(HANDS_EXPOSURE, LONG, 2139, 600, 0);
    plan_of(tasks, 3, &plan);
    assert_int_equal(plan.count, 2);
    /* Acts that belong to no rig have nothing in common. */
    tasks[0] = task(HANDS_OTHER, -1, 2000, 60, 0);
    tasks[1] = task(HANDS_OTHER, -1, 2010, 60, 0);
    plan_of(tasks, 2, &plan);
    assert_int_equal(plan.count, 2);
}

static void off_the_contacts(void **state)
{
    struct hands_task tasks[] = {task(HANDS_AIM, LONG, U2 - 5, 120, 0)};
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 1, &plan);
    assert_near(plan.line[0].utc, U2 + AIM_KEEP_OFF_S, 1e-6); /* 35 s away; ahead it would be 45 */
    assert_false(plan.line[0].disturbs);
    tasks[0].wish_utc = U2 - 15;
    plan_of(tasks, 1, &plan);
    assert_near(plan.line[0].utc, U2 - AIM_KEEP_OFF_S - 20, 1e-6);
    /* No way out: it is said, and no more hands are asked for than there are. */
    tasks[0] = task(HANDS_AIM, LONG, U2 - 5, 15, 0);
    plan_of(tasks, 1, &plan);
    assert_near(plan.line[0].utc, U2 - 5, 1e-6);
    assert_true(plan.line[0].disturbs && !plan.line[0].clash && isnan(plan.clash_utc));
}

static void one_act_at_a_time_by_priority(void **state)
{
    const struct hands_task tasks[] = {
        task(HANDS_BATTERY, WIDE, 2000, 300, 1),
        task(HANDS_AIM, LONG, 2000, 300, 3),
        task(HANDS_EXPOSURE, TELESCOPE, 2000, 300, 2),
    };
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 3, &plan);
    assert_int_equal(plan.count, 3);
    assert_int_equal(plan.order[0], 2); /* just ahead, 10 s; behind it would be 20 */
    assert_int_equal(plan.order[1], 1);
    assert_int_equal(plan.order[2], 0);
    assert_near(plan.line[0].utc, 1990, 1e-6);
    assert_near(plan.line[1].utc, 2000, 1e-6);
    assert_near(plan.line[2].utc, 2020, 1e-6);
    assert_true(isnan(plan.clash_utc));
}

/* The lesser one has nowhere else to go, the greater one has: 13 s later, as it would be 16
 * earlier. */
static void the_greater_moves_where_it_can(void **state)
{
    const struct hands_task tasks[] = {
        task(HANDS_AIM, LONG, 2000, 100, 5), task(HANDS_EXPOSURE, WIDE, 2003, 1, 0),
        task(HANDS_AIM, TELESCOPE, U2, 15, 9), /* what disturbs a contact stays where it is */
    };
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 3, &plan);
    assert_true(isnan(plan.clash_utc));
    assert_int_equal(plan.order[0], 1);
    assert_near(plan.line[0].utc, 2003, 1e-6);
    assert_near(plan.line[1].utc, 2013, 1e-6);
    assert_near(plan.line[2].utc, U2, 1e-6);
    assert_true(plan.line[2].disturbs);
}

/* One of three asks for too much; the third one fits as if it were not there. */
static void an_impossible_minute_is_said(void **state)
{
    const struct hands_task tasks[] = {
        task(HANDS_BATTERY, WIDE, 3000, 0, 2),
        task(HANDS_AIM, LONG, 3000, 0, 3),
        task(HANDS_EXPOSURE, TELESCOPE, 3030, 0, 1),
        task(HANDS_AIM, LONG, 4000, 10, 1),
    };
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 4, &plan);
    assert_int_equal(plan.count, 4);
    for (int i = 0; i < plan.count; i++)
        assert_int_equal(plan.line[i].clash, plan.order[plan.line[i].first] == 0);
    assert_near(plan.clash_utc, 3000, 1e-6);
}

static void late_but_still_to_be_done(void **state)
{
    const struct hands_task tasks[] = {task(HANDS_AIM, LONG, NOW - 500, 60, 1),
                                       task(HANDS_AIM, TELESCOPE, NOW + 200, 60, 1)};
    struct hands_plan plan;

    (void)state;
    plan_of(tasks, 2, &plan);
    assert_near(plan.line[0].utc, NOW + 100, 1e-6);
    assert_true(plan.line[0].late && !plan.line[0].clash && !plan.line[1].late);
    assert_int_equal(plan.count, 2);
}

static void no_more_than_there_is_room_for(void **state)
{
    struct hands_task tasks[HANDS_TASKS + 5];
    struct hands_plan plan;

    (void)state;
    for (int i = 0; i < HANDS_TASKS + 5; i++)
        tasks[i] = task(HANDS_AIM, i % 3, 2000, 30, 0);
    plan_of(tasks, HANDS_TASKS + 5, &plan);
    assert_int_equal(plan.line[plan.count - 1].first + plan.line[plan.count - 1].count,
                     HANDS_TASKS);
    plan_of(tasks, 0, &plan);
    assert_int_equal(plan.count, 0);
    tasks[0].utc_from = tasks[0].utc_to = NAN; /* any time */
    plan_of(tasks, 1, &plan);
    assert_near(plan.line[0].utc, 2000, 0);
    assert_false(plan.line[0].late);
}

static double uniform(uint32_t *seed, double from, double to)
{
    *seed = *seed * 1664525u + 1013904223u;
    return from + (to - from) * (*seed >> 8) / 16777216.0;
}

static bool overlap(double from, double to, double other_from, double other_to)
{
    return from < other_to - 0.01 && to > other_from + 0.01;
}

static bool near_contact(double from, double to)
{
    for (int i = 0; i < 3; i++)
        if (overlap(from, to, contacts[i] - AIM_KEEP_OFF_S, contacts[i] + AIM_KEEP_OFF_S))
            return true;
    return false;
}

/* Whether three tasks can be done at all: every order, each as early as can be, is enough. */
static bool can_be_done(const struct hands_task *tasks)
{
    static const int orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2},
                                     {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};

    for (int i = 0; i < 6; i++) {
        double utc = NOW + 100;
        bool done = true;

        for (int j = 0; j < 3; j++) {
            const struct hands_task *next = &tasks[orders[i][j]];

            utc = fmax(utc, next->utc_from);
            if (near_contact(utc, utc + next->duration_s))
                utc = U2 + AIM_KEEP_OFF_S;
            utc += next->duration_s;
            done = done && utc <= next->utc_to;
        }
        if (done)
            return true;
    }
    return false;
}

/* Three tasks around U2: whatever can be done is planned, and nothing impossible is promised. */
static void against_every_order(void **state)
{
    uint32_t seed = 1;
    int possible = 0, impossible = 0;

    (void)state;
    for (int i = 0; i < 20000; i++) {
        struct hands_task tasks[3];
        struct hands_plan plan;
        bool good = true;

        for (int j = 0; j < 3; j++)
            tasks[j] = task((enum hands_kind)(i / (j + 1) % HANDS_KINDS), j,
                            uniform(&seed, U2 - 150, U2 + 150), uniform(&seed, 0, 90),
                            (int)uniform(&seed, 0, 3));
        plan_of(tasks, 3, &plan);
        for (int j = 0; j < plan.count; j++) {
            const struct hands_line *line = &plan.line[j];
            const struct hands_task *of = &tasks[plan.order[line->first]];

            assert_int_equal(line->disturbs, near_contact(line->utc, line->utc_to));
            assert_true(line->utc >= of->utc_from - 0.01 && line->utc_to <= of->utc_to + 0.01);
            for (int k = 0; k < j; k++)
                if (!line->clash && !plan.line[k].clash)
                    assert_false(
                        overlap(line->utc, line->utc_to, plan.line[k].utc, plan.line[k].utc_to));
            good = good && !line->clash && !line->disturbs;
        }
        assert_int_equal(plan.count, 3);
        assert_int_equal(good, can_be_done(tasks));
        possible += good;
        impossible += !good;
    }
    assert_true(possible > 2000 && impossible > 2000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_and_durations),
        cmocka_unit_test(in_order_at_their_wish),
        cmocka_unit_test(merged_at_one_rig),
        cmocka_unit_test(off_the_contacts),
        cmocka_unit_test(one_act_at_a_time_by_priority),
        cmocka_unit_test(the_greater_moves_where_it_can),
        cmocka_unit_test(an_impossible_minute_is_said),
        cmocka_unit_test(late_but_still_to_be_done),
        cmocka_unit_test(no_more_than_there_is_room_for),
        cmocka_unit_test(against_every_order),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
