/* Theme files: those that come with the program, and what is refused. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/fault.h>
#include <moonstand/palette.h>
#include <moonstand/path.h>
#include <moonstand/theme.h>
#include <moonstand/theme_file.h>

#include <string.h>

/* Beside the tests. */
#define THEMES TEST_DATA "/../../themes"

static void read_theme(const char *name, struct theme *theme)
{
    char path[PATH_SIZE];
    struct fault fault;

    (void)snprintf(path, sizeof path, THEMES "/%s.json", name);
    if (theme_read(path, theme, &fault) != 0 || theme_valid(theme, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_string_equal(theme->name, name);
}

static bool same_look(const struct look *a, const struct look *b)
{
    return a->rgb == b->rgb && a->bold == b->bold && a->reverse == b->reverse &&
           a->underline == b->underline;
}

static void test_red_file_is_the_built_in_theme_and_only_red(void **state)
{
    struct theme theme, stock;

    (void)state;
    read_theme("red", &theme);
    theme_default(&stock);
    for (int step = 0; step < THEME_STEPS; step++) {
        assert_int_equal(theme.background[step], 0);
        for (int role = 0; role < ROLE_COUNT; role++) {
            assert_int_equal(theme.look[step][role].rgb & 0x00ffff, 0);
            assert_true(same_look(&theme.look[step][role], &stock.look[step][role]));
        }
        /* The second step is the darker one. */
        assert_true(theme.look[1][ROLE_VALUE].rgb < theme.look[0][ROLE_VALUE].rgb);
    }
}

/* Due and alarm stand out without their colour too. */
static void test_every_theme_of_the_program(void **state)
{
    static const char *const names[] = {"red", "plain", "daylight", "blue-orange"};
    struct theme theme;

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        read_theme(names[i], &theme);
        for (int step = 0; step < THEME_STEPS; step++) {
            assert_true(theme.look[step][ROLE_ALARM].reverse);
            assert_true(theme.look[step][ROLE_DUE].underline);
            assert_false(theme.look[step][ROLE_VALUE].reverse);
        }
    }
}

static void test_without_dim_both_steps_are_the_same(void **state)
{
    struct theme theme;

    (void)state;
    read_theme("daylight", &theme);
    assert_int_equal(theme.background[0], 0xffffff);
    assert_int_equal(theme.background[1], 0xffffff);
    assert_memory_equal(theme.look[0], theme.look[1], sizeof theme.look[0]);
}

static const struct {
    const char *text, *message;
} refused[] = {
    {"{}", "t:1:1: the key \"name\" is missing"},
    {"{\"name\": \"x\", \"normal\": {\"background\": \"#000000\"}}",
     "t:1:25: normal: the key \"label\" is missing"},
    {"{\"name\": \"x\", \"normal\": {\"background\": \"black\"}}",
     "t:1:40: normal.background: found \"black\"; expected a colour \"#rrggbb\""},
    {"{\"name\": \"x\", \"normal\": {\"background\": 0}}", "t:1:40: normal.background: found 0"},
    {"{\"name\": \"x\", \"normal\": {\"background\": \"#00000g\"}}", "t:1:40: normal.background"},
    {"{\"name\": \"x\", \"normal\": {\"label\": {\"color\": \"#000000\"}}}",
     "t:1:36: normal.label.color: unknown key; expected one of colour, bold, reverse, underline"},
    {"{\"name\": \"x\", \"normal\": {\"label\": {\"bold\": true}}}",
     "t:1:35: normal.label: the key \"colour\" is missing"},
    {"{\"name\": \"x\", \"normal\": {\"warning\": {}}}",
     "t:1:26: normal.warning: unknown key; expected one of background, label"},
    {"{\"name\": \"\"}", "t:1:10: name: found \"\""},
};

static void test_refused(void **state)
{
    struct theme theme = {.name = "before"};
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        struct json_file file = {.name = "t", .text = refused[i].text, .fault = &fault};

        assert_int_equal(json_read_text(&file, strlen(file.text), &theme_form, &theme), -1);
        if (strncmp(fault.text, refused[i].message, strlen(refused[i].message)) != 0)
            fail_msg("%s\n  said:   %s\n  wanted: %s", refused[i].text, fault.text,
                     refused[i].message);
        assert_string_equal(theme.name, "before");
    }
    assert_int_equal(theme_read("/nowhere/theme.json", &theme, &fault), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_red_file_is_the_built_in_theme_and_only_red),
        cmocka_unit_test(test_every_theme_of_the_program),
        cmocka_unit_test(test_without_dim_both_steps_are_the_same),
        cmocka_unit_test(test_refused),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
