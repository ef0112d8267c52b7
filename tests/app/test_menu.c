/* Keys: the table's promises, the menu, keys that are held or pressed twice, and what an act says.
 * The night is of the demo, in totality; the boot clock is ours. */
#include "../../src/app/live.h"

#include <moonstand/pick.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static double now;
static struct live live;

static double clock_now(const struct clock *clock)
{
    (void)clock;
    return now;
}

/* Nothing is written: the folder cannot be made. */
static int open_night_of_demo(void **state)
{
    static struct setup setup;
    const struct clock clock = {.utc = clock_now, .boot = clock_now, .speed = 1};
    struct eclipse eclipse;
    struct fault fault;
    double day;

    (void)state;
    demo_setup(&setup);
    assert_int_equal(parse_day(DEMO_ECLIPSE_DAY, &day, NULL), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    now = utc_from_tt(eclipse.tt[CONTACT_U2]) + 600;
    live = (struct live){.view = {.item = -1, .keys = key_table},
                         .quit_armed_boot = -INFINITY,
                         .pasted_boot = -INFINITY};
    assert_int_equal(session_open(&live.session, &clock,
                                  &(struct session_start){.setup = &setup,
                                                          .eclipse = &eclipse,
                                                          .rehearsal = true,
                                                          .folder = "/dev/null/none"},
                                  &fault),
                     0);
    live.session.retry_boot = INFINITY;
    session_step(&live.session);
    session_step(&live.session);
    return 0;
}

static int close_night_of_demo(void **state)
{
    (void)state;
    session_close(&live.session);
    return 0;
}

/* One key, then time that passes. */
static void press(int key, double then_s)
{
    live_key(&live, key);
    now += then_s;
}

static int count_acts(enum act_kind kind)
{
    int count = 0;

    for (size_t i = 0; i < live.session.night.act_count; i++)
        count += live.session.night.acts[i].kind == kind && !live.session.night.acts[i].undone;
    return count;
}

static double correction(void)
{
    return night_correction(&live.session.night, &live.session.moment, live.view.rig,
                            live.session.moment.rig[live.view.rig].exposure.target);
}

/* ---- the table ---- */

static int lines_of(const char *text)
{
    char *made = NULL;
    size_t size;
    FILE *out = open_memstream(&made, &size);
    int lines = 0;

    assert_non_null(out);
    print_wrapped(out, 80 - KEY_HELP_WIDTH, text);
    assert_int_equal(fclose(out), 0);
    for (const char *c = made; *c; c++)
        lines += *c == '\n';
    free(made);
    return lines;
}

static void test_the_table_is_one_of_keys(void **state)
{
    bool hinted[13] = {false};
    int learn = 0;

    (void)state;
    for (const struct key_row *row = key_table; row->name; row++) {
        for (const struct key_row *other = row + 1; other->name; other++) {
            assert_true(!row->key || (row->key != other->key && row->key != other->also));
            assert_true(!row->also || (row->also != other->key && row->also != other->also));
        }
        assert_true(row->act || row->act_on || !row->key);
        if (!row->label)
            continue;
        learn += row->learn;
        assert_true(strlen(row->label) < KEY_LABEL && strlen(row->name) <= KEY_NAME);
        assert_in_range(lines_of(row->help), 1, KEY_HELP_LINES);
        assert_true(row->hint >= 0 && row->hint <= 12 && (!row->hint || !hinted[row->hint]));
        hinted[row->hint] = true;
        /* A group stands together. */
        assert_true(row == key_table || row->group >= row[-1].group);
    }
    assert_in_range(learn, 15, 20);
}

/* ---- the menu ---- */

/* Enter opens it, arrows lead to every row, Enter does what the key would. */
static void test_the_menu_reaches_every_act(void **state)
{
    int reached = 0;

    (void)state;
    for (const struct key_row *row = key_table; row->name; row++) {
        int prompts = 0;

        if (!row->label || !row->key || strcmp(row->name, "quit") == 0)
            continue;
        live.view.page = PAGE_NIGHT;
        press(INPUT_ENTER, 1);
        assert_int_equal(live.view.keys_open, KEYS_ALL);
        for (int i = 0; key_table + live.view.key != row; i++) {
            assert_true(i < 100);
            press(key_table[live.view.key].group == row->group ? INPUT_DOWN : INPUT_RIGHT, 0.1);
        }
        now += 1;
        size_t acts = live.session.night.act_count;
        enum page page = live.view.page;
        *live.session.message = '\0';
        struct view before = live.view;
        int step = live.theme_step;
        bool units = live.session.units_swapped;
        bool hours = live.session.hours_swapped;

        term_redraw();
        press(INPUT_ENTER, 1);
        prompts = live.prompt != PROMPT_NONE;
        before.keys_open = live.view.keys_open;
        before.key = live.view.key;
        /* Something is different, or the message says why not. */
        if (live.session.night.act_count == acts && live.view.page == page && !prompts &&
            !*live.session.message && memcmp(&before, &live.view, sizeof before) == 0 &&
            live.theme_step == step && !live.view.keys_open &&
            units == live.session.units_swapped &&
            hours == live.session.hours_swapped && strcmp(row->name, "repaint") &&
            strcmp(row->name, "back") && strncmp(row->name, "rig ", 4))
            fail_msg("%s did nothing", row->name);
        if (prompts)
            press(INPUT_ESCAPE, 1);
        live.view.keys_open = KEYS_CLOSED;
        live.prompt = PROMPT_NONE;
        now += 31;
        reached++;
    }
    assert_true(reached > 40);
}

static void test_the_menu_closes(void **state)
{
    (void)state;
    press(INPUT_ENTER, 1);
    press(INPUT_ESCAPE, 1);
    assert_int_equal(live.view.keys_open, KEYS_CLOSED);
    press('?', 1);
    assert_int_equal(live.view.keys_open, KEYS_TO_LEARN);
    press('?', 1);
    assert_int_equal(live.view.keys_open, KEYS_CLOSED);
    press('?', 1);
    press(INPUT_DOWN, 0.1);
    press('b', 1); /* any other key does what it always does */
    assert_int_equal(live.view.keys_open, KEYS_CLOSED);
    assert_int_equal(count_acts(ACT_BATTERY), 1);
    /* Left open and called up again it stands where it was. */
    press(INPUT_ENTER, 1);
    assert_string_equal(key_table[live.view.key].name, "silence alarm");
    press(INPUT_ESCAPE, 1);
}

/* What the menu does is done once, and the menu is gone. */
static void test_enter_in_the_menu_closes_it(void **state)
{
    (void)state;
    press(INPUT_ENTER, 1);
    while (strcmp(key_table[live.view.key].name, "silence alarm") != 0)
        press(INPUT_DOWN, 0.1);
    press(INPUT_ENTER, 1);
    assert_int_equal(live.view.keys_open, KEYS_CLOSED);
}

/* Enter that is held down opens the menu and does nothing with it. */
static void test_a_held_enter_does_nothing(void **state)
{
    (void)state;
    size_t acts = live.session.night.act_count;

    press(INPUT_ENTER, 0.5);
    for (int i = 0; i < 40; i++)
        press(INPUT_ENTER, 0.03);
    assert_int_equal(live.view.keys_open, KEYS_ALL);
    assert_int_equal(live.session.night.act_count, acts);
}

/* Down and up, right and left are ways there and back, by arrows and by letters; around the ends all rows are
 * met once. */
static void test_the_menu_is_walked(void **state)
{
    static const int there[] = {INPUT_DOWN, 'j', INPUT_RIGHT, 'l'}, back[] = {INPUT_UP, 'k', INPUT_LEFT, 'h'};
    int first, met = 0;

    (void)state;
    press(INPUT_ENTER, 1);
    first = live.view.key;
    for (size_t i = 0; i < sizeof there / sizeof *there; i++) {
        press(there[i], 0.1);
        assert_int_not_equal(live.view.key, first);
        press(back[i], 0.1);
        assert_int_equal(live.view.key, first);
        press(back[i], 0.1);
        assert_int_not_equal(live.view.key, first);
        press(there[i], 0.1);
        assert_int_equal(live.view.key, first);
    }
    do {
        press(INPUT_DOWN, 0.1);
        met++;
    } while (live.view.key != first && met < 1000);
    for (int i = 0; i < met; i++)
        press(INPUT_UP, 0.1);
    assert_int_equal(live.view.key, first);
    assert_true(met > 40);
    assert_int_equal(live.view.keys_open, KEYS_ALL);
}

/* ---- the page of the setup ---- */

static const struct setup_row *row(void)
{
    return &live.setup_row[live.view.row];
}

static void go_to(const char *label)
{
    press(INPUT_HOME, 0.1);
    for (int i = 0; strcmp(row()->label, label) != 0; i++) {
        if (i > SETUP_ROWS)
            fail_msg("no line '%s' in '%s'", label, live.setup_at);
        press(INPUT_DOWN, 0.1);
    }
}

static void test_the_setup_is_walked(void **state)
{
    static const int in[] = {INPUT_ENTER, INPUT_RIGHT, 'l'}, out[] = {INPUT_LEFT, INPUT_BACKSPACE, INPUT_ESCAPE, 'h'};
    int last;

    (void)state;
    press('E', 1);
    assert_int_equal(live.view.page, PAGE_SETUP);
    assert_int_equal(live.view.row, 0);
    press(INPUT_UP, 0.1);
    assert_int_equal(live.view.row, 0);
    press(INPUT_END, 0.1);
    last = live.view.row_count - 1;
    assert_int_equal(live.view.row, last);
    press('j', 0.1);
    assert_int_equal(live.view.row, last);
    press('k', 0.1);
    assert_int_equal(live.view.row, last - 1);
    press(INPUT_PAGE_UP, 0.1);
    assert_int_equal(live.view.row, last - 11);
    press(INPUT_PAGE_DOWN, 0.1);
    assert_int_equal(live.view.row, last - 1);
    press(INPUT_PAGE_DOWN, 0.1);
    assert_int_equal(live.view.row, last);
    press(INPUT_HOME, 0.1);
    assert_int_equal(live.view.row, 0);
    /* In by three keys and out by four: the line that was open is the chosen one. */
    for (size_t i = 0; i < sizeof out / sizeof *out; i++) {
        int way = in[i % 3];

        go_to("rigs");
        press(way, 0.1);
        assert_string_equal(live.setup_at, "rigs");
        assert_int_equal(live.view.row, 0);
        go_to("2");
        press(way, 0.1);
        assert_string_equal(live.setup_at, "rigs[1]");
        go_to("battery");
        press(way, 0.1);
        assert_string_equal(live.setup_at, "rigs[1].power");
        press(out[i], 0.1);
        assert_string_equal(live.setup_at, "rigs[1]");
        assert_string_equal(row()->label, "battery");
        press(out[i], 0.1);
        assert_string_equal(live.setup_at, "rigs");
        assert_string_equal(row()->label, "2");
        press(out[i], 0.1);
        assert_string_equal(live.setup_at, "");
        assert_string_equal(row()->label, "rigs");
        press(out[i], 0.1);
        assert_int_equal(live.view.page, PAGE_NIGHT);
        press('E', 1);
    }
}

static void test_the_setup_is_changed(void **state)
{
    const struct setup *setup = &live.session.night.setup;
    int rigs = setup->rig_count;

    (void)state;
    press('D', 1);
    assert_string_equal(live.session.message, "choose an entry of a list in the setup (E) first");
    press('E', 1);
    go_to("people");
    press('D', 1);
    assert_string_equal(live.session.message, "only entries of lists can be deleted; Enter changes a line");
    press(INPUT_ENTER, 1);
    assert_int_equal(live.prompt, PROMPT_SETUP);
    assert_string_equal(live.typed, "1");
    press(INPUT_BACKSPACE, 0.1);
    press('3', 0.1);
    press(INPUT_ENTER, 1);
    assert_int_equal(live.prompt, PROMPT_SETUP); /* refused: 1 or 2 */
    assert_int_equal(setup->people, 1);
    press(INPUT_BACKSPACE, 0.1);
    press('2', 0.1);
    press(INPUT_ENTER, 1);
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_int_equal(setup->people, 2);
    assert_string_equal(row()->value, "2");
    /* The last of a list is taken out, and the line behind it chosen no more. */
    go_to("rigs");
    press(INPUT_ENTER, 1);
    press(INPUT_END, 0.1);
    while (!row()->entry)
        press(INPUT_UP, 0.1);
    press('D', 1);
    assert_int_equal(setup->rig_count, rigs - 1);
    press('u', 1);
    assert_int_equal(setup->rig_count, rigs);
    /* A list that has become shorter behind the chosen line. */
    press(INPUT_END, 0.1);
    live.setup_at[0] = '\0';
    live.view.row = SETUP_ROWS;
    setup_page_fill(&live);
    assert_int_equal(live.view.row, live.view.row_count - 1);
}

/* ---- keys that are held, pressed twice, or in capitals ---- */

static void test_holding_plus_stops_at_one_stop(void **state)
{
    double before;

    (void)state;
    before = correction();
    press('+', 0.66); /* most keyboards repeat after that or sooner */
    for (int i = 0; i < 60; i++)
        press('+', 0.03);
    assert_true(fabs(correction() - before - 1) < 1e-9);
    assert_non_null(strstr(live.session.message, "let go"));
    now += 1;
    press('+', 1);
    press('+', 1);
    assert_true(fabs(correction() - before - 5.0 / 3) < 1e-9);
    for (int i = 0; i < 60; i++)
        press('-', 0.03);
    assert_true(fabs(correction() - before - 2.0 / 3) < 1e-9);
}

static void test_a_spare_changed_twice_asks(void **state)
{
    static const struct {
        int key;
        enum act_kind kind;
    } spares[] = {{'b', ACT_BATTERY}, {'m', ACT_CARD}};

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        int key = spares[i].key;
        enum act_kind kind = spares[i].kind;

        press(key, 5);
        press(key, 1);
        assert_int_equal(count_acts(kind), 1);
        assert_non_null(strstr(prompt_question(&live), "again? Enter: yes, Esc: no"));
        press(key, 1); /* a glove that bounces answers nothing */
        press('n', 1);
        assert_string_equal(live.typed, "");
        press(INPUT_ESCAPE, 1);
        assert_int_equal(count_acts(kind), 1);
        press(key, 1);
        press(INPUT_ENTER, 1);
        assert_int_equal(count_acts(kind), 2);
        assert_int_equal(live.prompt, PROMPT_NONE);
        now += 30;
        press(key, 1); /* later it is another one */
        assert_int_equal(count_acts(kind), 3);
        press('u', 1);
        press(key, 1); /* and one that was undone does not count */
        assert_int_equal(count_acts(kind), 3);
        live.view.rig = 1;
        press(key, 1); /* nor does another rig's */
        assert_int_equal(count_acts(kind), 4);
        live.view.rig = 0;
    }
}

static void test_caps_lock_never_quits(void **state)
{
    (void)state;
    press('Q', 3);
    assert_false(live.leaving);
    press('q', 3);
    assert_false(live.leaving);
    press('Q', 1);
    assert_true(live_quit_armed(&live));
    press('Q', 1);
    assert_true(live.leaving);
}

/* ---- what an act says ---- */

static void answer(int key, const char *text)
{
    press(key, 1);
    for (; *text; text++)
        press((unsigned char)*text, 0.1);
    press(INPUT_ENTER, 1);
}

/* The demo's rigs both expose for the umbra in totality. */
static void test_a_message_says_what_changed_for_whom(void **state)
{
    (void)state;
    answer('d', "1.8");
    assert_string_equal(live.session.message, "umbra L 1.8: slope and long follow");
    answer('d', "1.8");
    assert_string_equal(live.session.message, "umbra L 1.8: other rigs stay as planned");
    press('2', 1);
    answer('s', "4 400");
    assert_non_null(strstr(live.session.message, "long: "));
    assert_non_null(strstr(live.session.message, "; umbra L "));
    assert_non_null(strstr(live.session.message, ": slope follows"));
    press('u', 1);
    answer('d', "x");
    assert_int_equal(live.prompt, PROMPT_RATING);
    assert_string_equal(prompt_question(&live), "Umbra as seen, L 0 to 4");
    press(INPUT_ESCAPE, 1);
    assert_string_equal(live.session.message, "cancelled");
    /* A question about a rig names it. */
    press('s', 1);
    assert_string_equal(prompt_question(&live), "long: Looked right, e.g. 1/60 400");
    press(INPUT_ESCAPE, 1);
}

#define OF_DEMO(test) cmocka_unit_test_setup_teardown(test, open_night_of_demo, close_night_of_demo)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_table_is_one_of_keys),
        OF_DEMO(test_the_menu_reaches_every_act),
        OF_DEMO(test_the_menu_closes),
        OF_DEMO(test_enter_in_the_menu_closes_it),
        OF_DEMO(test_a_held_enter_does_nothing),
        OF_DEMO(test_the_menu_is_walked),
        OF_DEMO(test_the_setup_is_walked),
        OF_DEMO(test_the_setup_is_changed),
        OF_DEMO(test_holding_plus_stops_at_one_stop),
        OF_DEMO(test_a_spare_changed_twice_asks),
        OF_DEMO(test_caps_lock_never_quits),
        OF_DEMO(test_a_message_says_what_changed_for_whom),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
