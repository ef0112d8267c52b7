/* The setup in words: every line has some, each says why it is asked for, and no key of the file is
 * seen in any line, trail or message. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/fault.h>
#include <moonstand/setup_file.h>
#include <moonstand/setup_words.h>

#include <regex.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct setup setup, after;
static bool met[256];
static int lines, refusals;

/* A path with the number of an entry, "rigs[1]", or a key with its unit or its words joined. */
static bool has_key(const char *text)
{
    regex_t key;

    assert_int_equal(regcomp(&key,
                             "[a-z]_[a-z]|[a-z]\\[[0-9]|(site|power|mount|air|gpsd|hands|composition|hooks)\\.[a-z]",
                             REG_EXTENDED),
                     0);
    bool found = regexec(&key, text, 0, NULL, 0) == 0;
    regfree(&key);
    return found;
}

static void no_key(const char *what, const char *text)
{
    if (has_key(text))
        fail_msg("%s: a key of the file: %s", what, text);
}

static void meet(const char *path)
{
    int count;
    const struct setup_word *all = setup_words_all(&count), *word = setup_word(path);

    if (!word)
        fail_msg("%s has no words", path);
    assert_true(*word->words && *word->why);
    met[word - all] = true;
}

/* What a wrong answer in that line is told. */
static void refuse_all(const char *path)
{
    static const char *const wrong[] = {"###", "-1e9", "1e9", "0 0", "{\"a\": 1}", "[[1, 2], [1, 2]]"};

    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct fault fault;
        char said[sizeof fault.text];
        if (setup_edit(&setup, path, wrong[i], &after, &fault) == 0)
            continue;
        refusals++;
        no_key(path, setup_in_words(&setup, fault.text, said, sizeof said));
    }
}

static void walk(const char *level)
{
    struct setup_row *rows = calloc(SETUP_ROWS, sizeof *rows);
    int count = setup_rows(&setup, level, rows);
    char trail[ROW_TRAIL];

    assert_non_null(rows);
    no_key(level, setup_path_words(&setup, level, trail));
    for (int i = 0; i < count; i++) {
        const struct setup_row *row = &rows[i];
        lines++;
        no_key(row->path, row->label);
        no_key(row->path, row->allowed);
        no_key(row->path, row->why);
        assert_true(*row->label);
        if (!row->entry && row->kind != ROW_MORE) {
            meet(row->path);
            assert_true(*row->why);
        }
        if (row->kind == ROW_FOLDER)
            walk(row->path);
        else
            refuse_all(row->path);
    }
    free(rows);
}

static void edit(const char *path, const char *typed)
{
    struct fault fault;

    if (setup_edit(&setup, path, typed, &after, &fault) != 0)
        fail_msg("%s", fault.text);
    setup = after;
}

static void every_line_is_in_words(void **state)
{
    int count;
    const struct setup_word *all = setup_words_all(&count);

    (void)state;
    setup_default(&setup);
    edit("sites[0]", "hut, 48 30 N, 100.5");
    edit("reminders[0]", "U2-10m, drink something warm");
    edit("checklist", "");
    setup.checklist.count = 2; /* two lines of it say as much as seventy */
    setup.has_site = false;
    walk("");
    edit("site", "{\"name\": \"field\", \"latitude_deg\": 1, \"longitude_deg\": 2}");
    walk("site");
    print_message("# %d lines, %d refusals\n", lines, refusals);
    assert_true(lines > 150 && refusals > 300);
    for (int i = 0; i < count; i++)
        if (!met[i])
            fail_msg("%s is no line of the setup", all[i].path);
}

static void a_trail_names_the_rig(void **state)
{
    char trail[ROW_TRAIL];

    (void)state;
    setup_default(&setup);
    assert_string_equal(setup_path_words(&setup, "rigs[1].focal_mm", trail),
                        "rigs > 2 long > focal length");
    assert_string_equal(setup_path_words(NULL, "rigs[1].power.cold[2]", trail),
                        "rigs > 2 > battery > battery in the cold > 3");
    assert_string_equal(setup_path_words(&setup, "", trail), "");
}

static void messages_lose_their_keys(void **state)
{
    static const char *const said[][2] = {
        {"rigs[1].focal_mm: found 0; expected a number from 1 to 20000 mm",
         "rigs > 2 long > focal length: found 0; expected a number from 1 to 20000 mm"},
        {"rigs[0]: found iso_min 800 above iso_max 400",
         "rigs > 1 wide: found lowest ISO 800 above highest ISO 400"},
        {"look at rigs[1].focal_mm. Or at iso_min..", "look at rigs > 2 long > focal length. Or at lowest ISO.."},
        {"cannot open /home/me/focal_mm/my.setup: no", "cannot open /home/me/focal_mm/my.setup: no"},
    };
    char out[160];

    (void)state;
    setup_default(&setup);
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        assert_string_equal(setup_in_words(&setup, said[i][0], out, sizeof out), said[i][1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_line_is_in_words),
        cmocka_unit_test(a_trail_names_the_rig),
        cmocka_unit_test(messages_lose_their_keys),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
