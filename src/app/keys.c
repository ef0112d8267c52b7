/* What happens to a key before the table has it: pasted text, questions, the setup's page, the pages
 * of keys. */
#include "live.h"

#include <math.h>

/* Ctrl-C and Ctrl-\: the same as q, also while an answer is typed. */
enum { INTERRUPT = 'C' - '@', INTERRUPT_HARD = '\\' - '@' };
#define QUIT_TWICE_S 2.0
/* Pasted text comes in one go: if its end got lost, keys are keys again after so long. */
#define PASTE_LOST_S 0.5
/* A key that is held down repeats faster than this; most keyboards wait up to 0.66 s for the first
 * time (common practice, no source). */
#define HELD_S 0.7

static double boot_now(const struct live *live)
{
    return live->session.clock.boot(&live->session.clock);
}

bool live_quit_armed(const struct live *live)
{
    return boot_now(live) - live->quit_armed_boot <= QUIT_TWICE_S;
}

/* Caps Lock makes no difference: Q takes two presses, too. */
void live_quit(struct live *live)
{
    live->leaving = live->leaving || live_quit_armed(live);
    live->quit_armed_boot = boot_now(live);
}

/* Pasted text is only ever text: it goes into the answer that is being typed, a new line as a
 * blank, and acts on nothing. True if the key was part of it. */
static bool paste_key(struct live *live, int key)
{
    double boot = boot_now(live);

    if (key != INPUT_PASTE && boot - live->pasted_boot > PASTE_LOST_S)
        return false;
    live->pasted_boot = key == INPUT_PASTE_END ? -INFINITY : boot;
    if (key == INPUT_ENTER || key == INPUT_TAB)
        key = ' ';
    if (live->prompt == PROMPT_NONE)
        session_say(&live->session, "pasted text ignored: no answer is being typed");
    else if (key >= ' ' && key < INPUT_UP)
        prompt_key(live, key);
    return true;
}

/* How often the key has come without being let go of. */
static void count_presses(struct live *live, int key)
{
    double boot = boot_now(live);
    bool held = key == live->pressed && boot - live->pressed_boot < HELD_S;

    live->pressed_times = held ? live->pressed_times + 1 : 1;
    live->pressed = key;
    live->pressed_boot = boot;
}

static void do_row(struct live *live, const struct key_row *row)
{
    live->view.keys_open = KEYS_CLOSED;
    if (row->act)
        row->act(live);
    else if (row->act_on)
        row->act_on(live, row->what);
}

/* A key on an open page of keys; false if it means there what it always does. */
static bool keys_page_key(struct live *live, int key)
{
    static const struct {
        int key, letter, rows, groups;
    } steps[] = {{INPUT_UP, 'k', -1, 0},
                 {INPUT_DOWN, 'j', 1, 0},
                 {INPUT_LEFT, 'h', 0, -1},
                 {INPUT_RIGHT, 'l', 0, 1}};
    struct view *view = &live->view;

    if (view->keys_open == KEYS_CLOSED)
        return false;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (key == steps[i].key || key == steps[i].letter) {
            view->key = key_step(view, steps[i].rows, steps[i].groups);
            return true;
        }
    switch (key) {
    case INPUT_ENTER:
        /* One that is still held down from opening the menu does nothing. */
        if (live->pressed_times == 1)
            do_row(live, &key_table[view->key]);
        return true;
    case INPUT_ESCAPE:
        view->keys_open = KEYS_CLOSED;
        return true;
    case '?':
        if (view->keys_open != KEYS_TO_LEARN)
            return false;
        view->keys_open = KEYS_CLOSED;
        return true;
    default:
        return false;
    }
}

static void table_key(struct live *live, int key)
{
    for (const struct key_row *row = key_table; row->name; row++)
        if (key == row->key || (row->also && key == row->also)) {
            do_row(live, row);
            return;
        }
}

void live_key(struct live *live, int key)
{
    if (paste_key(live, key))
        return;
    count_presses(live, key);
    if (key == INTERRUPT || key == INTERRUPT_HARD)
        live_quit(live);
    else if (live->prompt != PROMPT_NONE)
        prompt_key(live, key);
    else if (!keys_page_key(live, key) && !setup_page_key(live, key))
        table_key(live, key);
    if (live->view.page == PAGE_SETUP)
        setup_page_fill(live);
}
