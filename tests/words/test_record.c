/* What acts are called: each kind by words of its own, and both ways of one that goes both ways. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/act.h>
#include <moonstand/fault.h>
#include <moonstand/night.h>
#include <moonstand/record_words.h>

#include <stdio.h>
#include <string.h>

enum { WORDS = 240 };

static struct night night;

static int prepare(void **state)
{
    static struct setup setup;
    struct zone_table zone;
    struct eclipse eclipse;
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

static struct act act_of(enum act_kind kind, double value)
{
    struct act act = {.seq = 2, .ref = 1, .utc = 1861880000, .kind = kind, .rig = -1};

    if (act_form(kind)->has & HAS_RIG)
        act.rig = 1;
    for (int i = 0; act_form(kind)->value[i].name; i++)
        act.value[i] = value;
    if (act_form(kind)->has & HAS_TEXT)
        (void)snprintf(act.text, sizeof act.text, "%s", kind == ACT_RIG ? "portrait" : "words");
    return act;
}

static void describe(enum act_kind kind, double value, char out[WORDS])
{
    const struct reader reader = reader_local(&night);
    struct act act = act_of(kind, value);

    (void)snprintf(out, WORDS, "left as it was");
    act_words(&night, &act, &reader, out, WORDS);
}

static void every_act_has_words_of_its_own(void **state)
{
    static char words[ACT_KINDS][WORDS];

    (void)state;
    for (int i = 0; i < ACT_KINDS; i++) {
        describe((enum act_kind)i, 1, words[i]);
        assert_string_not_equal(words[i], "left as it was");
        assert_string_not_equal(words[i], "");
        /* What was missed is a rig's or nobody's. */
        if (act_form((enum act_kind)i)->has & HAS_RIG && i != ACT_MISSED)
            if (!strstr(words[i], night.setup.rig[1].name))
                fail_msg("%s", words[i]);
        /* The air is the air, whoever measures it. */
        for (int j = 0; j < i; j++)
            if (!(i == ACT_SENSOR && j == ACT_AIR) && strcmp(words[i], words[j]) == 0)
                fail_msg("%s and %s: %s", act_form((enum act_kind)i)->name,
                         act_form((enum act_kind)j)->name, words[i]);
    }
}

static void what_goes_both_ways_is_told_both_ways(void **state)
{
    static const enum act_kind kinds[] = {ACT_CHECK, ACT_RIG, ACT_CLOUD, ACT_HEATER};

    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        char on[WORDS], off[WORDS];

        describe(kinds[i], 1, on);
        describe(kinds[i], 0, off);
        assert_string_not_equal(on, off);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_act_has_words_of_its_own),
        cmocka_unit_test(what_goes_both_ways_is_told_both_ways),
    };

    return cmocka_run_group_tests(tests, prepare, finish);
}
