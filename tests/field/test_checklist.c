/* The default checklist: complete, well formed, due in order. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/checklist.h>
#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <math.h>
#include <near.h>
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
        "focus on a star or the Moon's limb at full magnification, then tape",
        "each fall of 5 C (9 F): look at the focus again", "stabiliser off", "autofocus off",
        "auto ISO off", "long-exposure noise reduction off", "It doubles", "image review off",
        "auto power-off off", "manual mode", "raw", "fixed white balance",
        "electronic or first-curtain shutter", "Interval longer than exposure and saving together",
        "Tripods weighted", "centre column down", "LED", "Ten frames as a test run",
        "clock of each camera", "Headlamp red",
        /* the cautions */
        "never point a lens, a finder or a telescope near it", "ice", "cables and tripod legs",
        "outdoor-rated, residual-current-protected", "licensed electrician",
        "Lithium cells are not charged below 0 C", "never left alone", "contacts covered",
        "Power banks fail in the cold", "Ask before you stand on somebody's ground",
        "Roads and edges in the dark", "Too tired to drive: sleep first"};

    (void)state;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (!is_said(words[i]))
            fail_msg("the checklist does not say '%s'", words[i]);
}

static void due_times_rise_and_fall_into_their_group(void **state)
{
    double anchor[ANCHORS], last = -INFINITY;
    int open_ended = 0;

    (void)state;
    for (int i = 0; i < CONTACT_COUNT; i++)
        anchor[i] = 8e8 + 3600 * i;
    for (int i = CONTACT_COUNT; i < ANCHORS; i++)
        anchor[i] = NAN;
    anchor[ANCHOR_START] = anchor[CONTACT_P1];
    anchor[ANCHOR_END] = anchor[CONTACT_P4];
    anchor[ANCHOR_EVE] = anchor[CONTACT_P1] - 20 * 3600;
    anchor[ANCHOR_UMBRA] = anchor[CONTACT_GREATEST] + 120;
    for (int i = 0; i < list.count; i++) {
        const struct check_item *item = &list.item[i];
        double due;

        if (item->when && !(item->when & WHEN_TOTAL))
            continue;
        if (!item->has_due) {
            open_ended++;
            continue;
        }
        due = due_utc(&item->due, anchor);
        assert_true(due >= last);
        assert_int_equal(item->group >= CHECK_BEFORE_U2, due > anchor[CONTACT_P1]);
        assert_int_equal(item->group == CHECK_AFTER, due > anchor[CONTACT_P4]);
        assert_true(item->group != CHECK_BEFORE_U2 || due < anchor[CONTACT_U2]);
        assert_true(item->group != CHECK_BEFORE_P4 || due > anchor[CONTACT_U2]);
        last = due;
    }
    /* Only what waits for its cause: a fall of 5 C. */
    assert_int_equal(open_ended, 1);
}

static void due_times_are_read_and_written(void **state)
{
    static const struct {
        const char *text, *written;
        double utc; /* with the anchors below */
    } good[] = {
        {"U1-30m", "U1-30m", 2000 - 1800},
        {"greatest", "greatest", 4000},
        {"eve+1h30m", "eve+90m", 9000 + 5400},
        {"start-2h, by sunset-40m", "start-2h, by sunset-40m", 1000 - 7200},
        {"start-2m, by sunset-40m", "start-2m, by sunset-40m", 500 - 2400},
        {"start-40m,from moonrise+2m", "start-40m, from moonrise+2m", 700 + 120},
        {"U3-10m, from U2+2m, by end-1s", "U3-10m, by end-1s, from U2+2m", 5000 - 600},
        {"U1,  by   sunset+1m,from  start", "U1, by sunset+1m, from start", 1000},
        {"U1, by moonset", "U1, by moonset", 2000}, /* there is no moonset */
        {"U4", "U4", NAN},
        {"U4, by sunset", "U4, by sunset", NAN},
    };
    static const char *const bad[] = {"",         "U5",           "U1 -3m", "sunset -1h",
                                      "sun",      "U1-30m by P1", "U1, by", "U1, by P1, by U2",
                                      "U1, from", "U1,",          "by U1"};
    double anchor[ANCHORS];
    char written[DUE_TEXT];
    struct fault fault;
    struct due due = {0};

    (void)state;
    for (int i = 0; i < ANCHORS; i++)
        anchor[i] = NAN;
    anchor[ANCHOR_START] = 1000;
    anchor[CONTACT_U1] = 2000;
    anchor[CONTACT_U2] = 3000;
    anchor[CONTACT_GREATEST] = 4000;
    anchor[CONTACT_U3] = 5000;
    anchor[ANCHOR_END] = 6000;
    anchor[ANCHOR_SUNSET] = 500;
    anchor[ANCHOR_MOONRISE] = 700;
    anchor[ANCHOR_EVE] = 9000;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        if (due_parse(good[i].text, &due, &fault) != 0)
            fail_msg("%s: %s", good[i].text, fault.text);
        assert_string_equal(due_format(written, &due), good[i].written);
        if (isnan(good[i].utc))
            assert_true(isnan(due_utc(&due, anchor)));
        else
            assert_near(due_utc(&due, anchor), good[i].utc, 0);
        for (size_t j = 0; j < sizeof good / sizeof *good; j++) {
            struct due other;

            assert_int_equal(due_parse(good[j].text, &other, &fault), 0);
            assert_int_equal(due_is_same(&due, &other), strcmp(good[i].written, good[j].written) == 0);
        }
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (due_parse(bad[i], &due, &fault) == 0)
            fail_msg("'%s' is read", bad[i]);
}

static void conditions_are_read_and_met(void **state)
{
    char written[WHEN_TEXT];
    struct fault fault;
    unsigned when;

    (void)state;
    assert_int_equal(when_parse("moon, partial penumbral", &when, &fault), 0);
    assert_string_equal(when_format(written, when), "partial penumbral moon");
    assert_true(when_is_met(when, when_kind(ECLIPSE_PARTIAL) | WHEN_MOON | WHEN_NO_SUN));
    assert_false(when_is_met(when, when_kind(ECLIPSE_PARTIAL) | WHEN_NO_SUN));
    assert_false(when_is_met(when, when_kind(ECLIPSE_TOTAL) | WHEN_MOON | WHEN_SUN));
    assert_true(when_is_met(0, when_kind(ECLIPSE_TOTAL)));
    assert_false(when_is_met(WHEN_SUN, WHEN_MOON | WHEN_NO_SUN));
    assert_false(when_is_met(WHEN_NO_SUN, WHEN_MOON | WHEN_SUN));
    /* One of the sorts of rigs that it is for is enough. */
    assert_true(when_is_met(WHEN_LONG | WHEN_MOUNT, WHEN_WIDE | WHEN_MOUNT));
    assert_false(when_is_met(WHEN_LONG | WHEN_MOUNT, WHEN_WIDE));
    assert_int_equal(when_parse("moonlight", &when, &fault), -1);
    assert_string_equal(fault.text,
                        "found 'moonlight'; expected some of total, partial, penumbral, "
                        "moon, sun, no-sun, wide, long, mount");
    /* All of them fit. */
    assert_int_equal(when_parse("total partial penumbral moon sun no-sun wide long mount", &when, &fault), 0);
    assert_string_equal(when_format(written, when),
                        "total partial penumbral moon sun no-sun wide long mount");
}

static void names_of_groups(void **state)
{
    static const char *const name[] = {"day before", "at the site", "before P1",
                                       "before U2",  "before P4",   "after"};

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
        cmocka_unit_test(due_times_are_read_and_written),
        cmocka_unit_test(conditions_are_read_and_met),
        cmocka_unit_test(names_of_groups),
    };

    return cmocka_run_group_tests(tests, set_up, NULL);
}
