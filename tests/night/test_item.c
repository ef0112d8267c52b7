/* Items of the checklist that come in the night: told, ticked, undone, found again. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/act.h>
#include <moonstand/fault.h>
#include <moonstand/night.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct setup setup;
static struct eclipse eclipse;
static struct zone_table zone;
static struct night night, resumed;

static int prepare(void **state)
{
    struct fault fault;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    return night_open(&night, &setup, &eclipse, &zone, false, &fault);
}

static int finish(void **state)
{
    (void)state;
    night_close(&night);
    return 0;
}

static int apply(enum act_kind kind, const char *text, double value)
{
    struct act act = {.utc = 1861880000 + (double)night.act_count,
                      .boot_s = NAN,
                      .kind = kind,
                      .rig = -1,
                      .value = {value}};
    struct fault fault;

    (void)snprintf(act.text, sizeof act.text, "%s", text);
    return night_apply(&night, &act, &fault);
}

static int take_back_last(void)
{
    struct act undo = {.utc = 1861890000, .kind = ACT_UNDO, .rig = -1};
    struct fault fault;

    undo.ref = night_last_undoable(&night)->seq;
    return night_apply(&night, &undo, &fault);
}

static void an_item_joins_the_list(void **state)
{
    int before = night.setup.checklist.count;
    double due = 1861885000;

    (void)state;
    assert_int_equal(apply(ACT_ITEM, "Move the car", due), 0);
    assert_int_equal(night.setup.checklist.count, before + 1);
    const struct check_item *item = &night.setup.checklist.item[before];
    assert_string_equal(item->text, "Move the car");
    assert_int_equal(item->group, CHECK_REMINDER);
    assert_near(item_due_utc(&night, before), due, 0);
    assert_int_equal(apply(ACT_ITEM, "Whenever: tea", NAN), 0);
    assert_true(isnan(item_due_utc(&night, before + 1)));
    assert_string_not_equal(item->id, night.setup.checklist.item[before + 1].id);

    assert_int_equal(apply(ACT_CHECK, item->id, 1), 0);
    assert_true(isfinite(night.checked_utc[before]));
    assert_true(isnan(night.checked_utc[before + 1]));
}

static void an_item_is_undone_with_its_ticks(void **state)
{
    int before = night.setup.checklist.count;
    char id[CHECK_ID];

    (void)state;
    assert_int_equal(apply(ACT_ITEM, "Move the car", NAN), 0);
    (void)snprintf(id, sizeof id, "%s", night.setup.checklist.item[before].id);
    uint64_t item_seq = night_last_undoable(&night)->seq;
    assert_int_equal(apply(ACT_CHECK, id, 1), 0);
    assert_int_equal(apply(ACT_LATER, id, 600), 0);
    struct act undo = {.utc = 1861890000, .kind = ACT_UNDO, .rig = -1, .ref = item_seq};
    struct fault fault;
    assert_int_equal(night_apply(&night, &undo, &fault), 0);
    assert_int_equal(night.setup.checklist.count, before);
    assert_int_equal(apply(ACT_CHECK, id, 1), -1);
    for (int i = 0; i < CHECK_ITEMS; i++)
        assert_true(isnan(night.checked_utc[i]) && isnan(night.later_utc[i]));
}

/* The fold over the same acts gives the same list: a resume finds the items and their ticks. */
static void a_resume_finds_them_again(void **state)
{
    struct fault fault;

    (void)state;
    assert_int_equal(apply(ACT_ITEM, "first", NAN), 0);
    assert_int_equal(apply(ACT_ITEM, "second", 1861885000), 0);
    assert_int_equal(take_back_last(), 0);
    assert_int_equal(apply(ACT_ITEM, "third", 1861885000), 0);
    int last = night.setup.checklist.count - 1;
    assert_int_equal(apply(ACT_CHECK, night.setup.checklist.item[last].id, 1), 0);

    assert_int_equal(night_open(&resumed, &setup, &eclipse, &zone, false, &fault), 0);
    for (size_t i = 0; i < night.act_count; i++) {
        struct act act = night.acts[i];
        assert_int_equal(night_apply(&resumed, &act, &fault), 0);
    }
    assert_int_equal(resumed.setup.checklist.count, night.setup.checklist.count);
    assert_string_equal(resumed.setup.checklist.item[last].text, "third");
    assert_true(isfinite(resumed.checked_utc[last]));
    night_close(&resumed);
}

static void what_is_no_item_is_refused(void **state)
{
    char much[CHECK_TEXT + 1];

    (void)state;
    memset(much, 'x', CHECK_TEXT);
    much[CHECK_TEXT] = '\0';
    assert_int_equal(apply(ACT_ITEM, "", NAN), -1);
    assert_int_equal(apply(ACT_ITEM, much, NAN), -1);
    assert_int_equal(apply(ACT_ITEM, "bell\a", NAN), -1);
    while (night.setup.checklist.count < CHECK_ITEMS)
        assert_int_equal(apply(ACT_ITEM, "more", NAN), 0);
    assert_int_equal(apply(ACT_ITEM, "too many", NAN), -1);
    assert_int_equal(night.setup.checklist.count, CHECK_ITEMS);
    /* One that is undone makes room for one. */
    assert_int_equal(take_back_last(), 0);
    assert_int_equal(apply(ACT_ITEM, "the last", NAN), 0);
    assert_int_equal(apply(ACT_ITEM, "too many", NAN), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_item_joins_the_list, prepare, finish),
        cmocka_unit_test_setup_teardown(an_item_is_undone_with_its_ticks, prepare, finish),
        cmocka_unit_test_setup_teardown(a_resume_finds_them_again, prepare, finish),
        cmocka_unit_test_setup_teardown(what_is_no_item_is_refused, prepare, finish),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
