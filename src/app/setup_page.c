/* The page of the setup: a walk through its lines, each changed in place. */
#include "live.h"

#include <moonstand/setup_file.h>
#include <moonstand/setup_words.h>

#include <stdio.h>
#include <string.h>

static const struct setup_row *chosen_row(const struct live *live)
{
    return &live->setup_row[live->view.row];
}

void setup_page_fill(struct live *live)
{
    struct view *view = &live->view;

    view->row_count = setup_rows(&live->session.night.setup, live->setup_at, live->setup_row);
    if (view->row_count == 0 && *live->setup_at) { /* an entry that is there no longer */
        *live->setup_at = '\0';
        view->row_count = setup_rows(&live->session.night.setup, "", live->setup_row);
    }
    if (view->row >= view->row_count)
        view->row = view->row_count - 1;
    view->rows = live->setup_row;
    view->rows_path =
        setup_path_words(&live->session.night.setup, live->setup_at, live->setup_trail);
    view->setup_file = live->session.source.file;
}

/* One level up, where the line that was open is the chosen one. */
static void go_out(struct live *live)
{
    char was[ROW_PATH];
    size_t length = strlen(live->setup_at);

    if (length == 0) {
        live->view.page = PAGE_NIGHT;
        return;
    }
    (void)snprintf(was, sizeof was, "%s", live->setup_at);
    while (length > 0 && live->setup_at[length] != '.' && live->setup_at[length] != '[')
        length--;
    live->setup_at[length] = '\0';
    setup_page_fill(live);
    live->view.row = 0;
    for (int i = 0; i < live->view.row_count; i++)
        if (strcmp(live->setup_row[i].path, was) == 0)
            live->view.row = i;
}

int setup_page_change(struct live *live, const char *typed)
{
    return session_setup_edit(&live->session, chosen_row(live)->path, typed);
}

static void enter(struct live *live)
{
    const struct setup_row *row = chosen_row(live);

    if (row->kind == ROW_FOLDER) {
        (void)snprintf(live->setup_at, sizeof live->setup_at, "%s", row->path);
        live->view.row = 0;
    } else {
        prompt_open(live, PROMPT_SETUP, live->view.rig, row->kind == ROW_VALUE ? row->value : "");
    }
}

void setup_page_take_out(struct live *live)
{
    if (live->view.page != PAGE_SETUP)
        session_say(&live->session, "choose an entry of a list in the setup (E) first");
    else if (chosen_row(live)->entry)
        (void)setup_page_change(live, NULL);
    else
        session_say(&live->session, "only entries of lists can be deleted; Enter changes a line");
}

bool setup_page_key(struct live *live, int key)
{
    static const struct {
        int key, rows;
    } steps[] = {{INPUT_UP, -1},
                 {'k', -1},
                 {INPUT_DOWN, 1},
                 {'j', 1},
                 {INPUT_PAGE_UP, -10},
                 {INPUT_PAGE_DOWN, 10},
                 {INPUT_HOME, -SETUP_ROWS},
                 {INPUT_END, SETUP_ROWS}};

    if (live->view.page != PAGE_SETUP)
        return false;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (key == steps[i].key) {
            int row = live->view.row + steps[i].rows;

            live->view.row = row > 0 ? row : 0;
            return true;
        }
    switch (key) {
    case INPUT_ENTER:
    case INPUT_RIGHT:
    case 'l':
        enter(live);
        return true;
    case INPUT_LEFT:
    case INPUT_BACKSPACE:
    case INPUT_ESCAPE:
    case 'h':
        go_out(live);
        return true;
    default:
        return false;
    }
}
