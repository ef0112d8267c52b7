/* The default checklist: complete, well formed, due in order. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/field.h>

#include <math.h>
#include <string.h>

static struct checklist list;

static int set_up(void **state)
{
    (void)state;
    memset(&list, 0x5a, sizeof list);
    checklist_default(&list);
    return 0;
}

static void items_are_well_formed(void **state)
{
    (void)state;
    assert_in_range(list.count, 40, CHECK_ITEMS);
    for (int i = 0; i < list.count; i++) {
        const struct check_item *item = &list.item[i];

        assert_true(item->id[0] != '\0' && item->text[0] != '\0');
        assert_int_equal(strspn(item->id, "abcdefghijklmnopqrstuvwxyz0123456789-"),
                         strlen(item->id));
        /* Nothing was cut, and a line of an 80-column screen holds it with its box and time. */
        assert_true(strlen(item->id) < CHECK_ID - 1);
        assert_true(strlen(item->text) <= 90 && strlen(item->note) <= 90);
        assert_true(text_is_clean(item->text) && text_is_clean(item->note));
        assert_string_equal(item->rig, "");
        assert_int_equal(checklist_find(&list, item->id), i); /* the first: ids are unique */
    }
    assert_int_equal(checklist_find(&list, "no-such-item"), -1);
}

static void groups_follow_each_other(void **state)
{
    int seen[CHECK_GROUPS] = {0};

    (void)state;
    for (int i = 0; i < list.count; i++) {
        seen[list.item[i].group]++;
        assert_true(i == 0 || list.item[i].group >= list.item[i - 1].group);
    }
    for (int group = 0; group < CHECK_GROUPS; group++)
        assert_true(seen[group] >= 4);
}

static bool is_said(const char *words)
{
    for (int i = 0; i < list.count; i++)
        if (strstr(list.item[i].text, words) || strstr(list.item[i].note, words))
            return true;
    return false;
}

static void nothing_is_forgotten(void **state)
{
    static const char *const words[] = {
        "warm clothes", "spare batteries", "kept warm", "Empty the cards", "dew shields",
        "Focus on a star or the Moon's limb at full magnification, then tape",
        "each fall of 5 C (9 F): look at the focus again", "stabiliser off", "autofocus off",
        "auto ISO off", "long-exposure noise reduction off", "It doubles", "image review off",
        "auto power-off off", "manual mode", "raw", "fixed white balance",
        "electronic or first-curtain shutter", "Interval longer than exposure and saving together",
        "Tripods weighted", "centre column down", "LED", "Ten frames as a test run",
        "clock of each camera", "Headlamp red",
        /* the cautions */
        "never point a lens, a finder or a telescope near it", "ice", "cables and tripod legs",
        "outdoor-rated, residual-current-protected", "licensed electrician",
        "Lithium cells are not charged below 0 C"};

    (void)state;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (!is_said(words[i]))
            fail_msg("the checklist does not say '%s'", words[i]);
}

static void due_times_rise_and_fall_into_their_group(void **state)
{
    struct eclipse eclipse = {.kind = ECLIPSE_TOTAL};
    double last = -INFINITY;
    int open_ended = 0;

    (void)state;
    for (int i = 0; i < CONTACT_COUNT; i++)
        eclipse.tt[i] = 8e8 + 3600 * i;
    for (int i = 0; i < list.count; i++) {
        const struct check_item *item = &list.item[i];
        double due;

        if (!item->has_due) {
            open_ended++;
            continue;
        }
        due = contact_offset_tt(&item->due, &eclipse);
        assert_true(due >= last);
        assert_int_equal(item->group >= CHECK_BEFORE_U2, due > eclipse.tt[CONTACT_P1]);
        assert_int_equal(item->group == CHECK_AFTER, due > eclipse.tt[CONTACT_P4]);
        assert_true(item->group != CHECK_BEFORE_U2 || due < eclipse.tt[CONTACT_U2]);
        last = due;
    }
    /* Only what waits for its cause: the Sun above the horizon, a fall of 5 C. */
    assert_int_equal(open_ended, 2);
}

static void names_of_groups(void **state)
{
    static const char *const name[] = {"day before", "at the site", "before P1", "before U2",
                                       "after"};

    (void)state;
    for (int i = 0; i < CHECK_GROUPS; i++)
        assert_string_equal(check_group_name((enum check_group)i), name[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(items_are_well_formed),
        cmocka_unit_test(groups_follow_each_other),
        cmocka_unit_test(nothing_is_forgotten),
        cmocka_unit_test(due_times_rise_and_fall_into_their_group),
        cmocka_unit_test(names_of_groups),
    };

    return cmocka_run_group_tests(tests, set_up, NULL);
}
