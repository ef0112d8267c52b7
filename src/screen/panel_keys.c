/* The last line: what is being asked, what has just happened, or which keys there are; and the
 * warning above it. */
#include "panels.h"

#include <moonstand/around_words.h>
#include <moonstand/key_words.h>
#include <moonstand/keys.h>

enum { HINTS = 12 };

static const struct key_row *hint_of(const struct view *view, int place)
{
    for (const struct key_row *row = view->keys; row && row->name; row++)
        if (row->hint == place && (!row->pages || row->pages & 1U << view->page))
            return row;
    return NULL;
}

/* The most wanted keys of the page first: those that do not fit are left out whole. */
static void draw_hints(struct area area, const struct view *view)
{
    int x = 0;

    for (int place = 1; place <= HINTS; place++) {
        const struct key_row *row = hint_of(view, place);

        if (!row)
            continue;
        if (x + text_columns(area, row->label) + 1 + text_columns(area, row->name) > area.width)
            return;
        x = area_text(area, x, 0, ROLE_VALUE, row->label);
        x = area_text(area, x + 1, 0, ROLE_LABEL, row->name) + 3;
    }
}

static bool speaks(const char *text)
{
    return text && *text;
}

/* Where a message stands: columns are kept beside it for saving or saved. */
static struct area message_part(struct area area, const struct view *view)
{
    enum { SAVING = sizeof "  saving" - 1, ROOMY_KEYS = 40 };
    int kept = view->acted && area.width >= ROOMY_KEYS ? SAVING : 0;

    return area_part(area, 0, 0, area.width - kept, area.height);
}

static void draw_message(struct area area, const struct view *view)
{
    struct area words = message_part(area, view);
    int x = clamp(text_columns(area, view->message), 0, words.width);

    area_wrap(words, ROLE_VALUE, view->message);
    if (!view->acted)
        return;
    if (view->unwritten > 0)
        (void)area_text(area, x + 2, 0, ROLE_DUE, "saving");
    else if (!speaks(view->trouble))
        (void)area_text(area, x + 2, 0, ROLE_LABEL, glyph(area.canvas->glyphs, GLYPH_TICK));
}

int keys_lines(struct area area, const struct view *view)
{
    int lines = view->prompt || view->quit_armed;

    if (speaks(view->message) && !view->quit_armed)
        lines += text_lines(message_part(area, view), view->message);
    return clamp(lines, 0, 3);
}

static const char *after_character(const char *text)
{
    do
        text++;
    while (!begins_character(*text));
    return text;
}

/* What is being typed, its end always in sight. */
static int draw_typed(struct area area, int x, const char *typed)
{
    int room = area.width - x - 1;

    if (text_columns(area, typed) > room) {
        while (*typed && text_columns(area, typed) > room - 1)
            typed = after_character(typed);
        x = area_text(area, x, 0, ROLE_VALUE, glyph(area.canvas->glyphs, GLYPH_CUT));
    }
    return area_print(area, x, 0, ROLE_VALUE, "%s_", typed);
}

/* A question leaves half of the line to the answer, at most what answers need. */
static void draw_prompt(struct area area, const struct view *view)
{
    enum { ANSWER_COLUMNS = 26 };
    int answer = area.width / 2 < ANSWER_COLUMNS ? area.width / 2 : ANSWER_COLUMNS;
    struct area question = area_part(area, 0, 0, area.width - answer, 1);
    int x = area_print(question, 0, 0, ROLE_STRONG, "%s:", view->prompt);

    x = draw_typed(area, x + 1, view->typed ? view->typed : "");
    if (!speaks(view->message))
        return;
    if (area.height > 1)
        area_wrap(area_from(area, 0, 1), ROLE_DUE, view->message);
    else
        (void)area_text(area, x + 2, 0, ROLE_DUE, view->message);
}

void panel_keys(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;

    if (view->quit_armed) {
        (void)area_print(area, 0, 0, ROLE_DUE, QUIT_WORDS,
                         view->prompt ? "Ctrl-C" : "q");
    } else if (view->prompt) {
        draw_prompt(area, view);
    } else if (speaks(view->message)) {
        draw_message(area, view);
    } else {
        draw_hints(area, view);
    }
}

bool warning_stands(const struct scene *scene)
{
    const struct view *view = scene->view;

    return view->looking_on || speaks(view->trouble);
}

void panel_warning(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;

    if (speaks(view->trouble)) {
        area_fill(area, ROLE_ALARM);
        (void)area_print(area, 0, 0, ROLE_ALARM, UNSAVED_WORDS ": %s", view->trouble);
    } else {
        (void)area_text(area, 0, 0, ROLE_DUE, LOOKING_ON_WORDS);
    }
}
