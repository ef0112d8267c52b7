/* The last line: what is being asked, what has just happened, or which keys there are. The warning
 * above it, and the help. */
#include "panels.h"

#include <stdio.h>

struct hint {
    const char *keys, *does;
};

/* The most wanted first: those that do not fit are left out whole. */
static const struct hint hints[] = {
    {"?", "help"},   {"space", "tick"}, {"a", "aimed"},    {"u", "undo"},
    {"q q", "quit"}, {"z", "quiet"},    {"tab", "list"},   {"i", "frame"},
    {"o", "curves"}, {"1-3", "rig"},    {"v", "far view"}, {"r", "dim"},
};

static void draw_hints(struct area area)
{
    int x = 0;

    for (size_t i = 0; i < sizeof hints / sizeof *hints; i++) {
        enum glyph_set glyphs = area.canvas->glyphs;
        int columns = text_columns(glyphs, hints[i].keys) + 1 + text_columns(glyphs, hints[i].does);
        if (x + columns > area.width)
            return;
        x = area_text(area, x, 0, ROLE_VALUE, hints[i].keys);
        x = area_text(area, x + 1, 0, ROLE_LABEL, hints[i].does) + 3;
    }
}

static bool speaks(const char *text)
{
    return text && *text;
}

static void draw_message(struct area area, const struct view *view)
{
    int x = area_text(area, 0, 0, ROLE_VALUE, view->message);

    if (!view->acted)
        return;
    if (view->unwritten > 0)
        (void)area_text(area, x + 2, 0, ROLE_DUE, "being written");
    else if (!speaks(view->trouble))
        (void)area_text(area, x + 2, 0, ROLE_LABEL, glyph(area.canvas->glyphs, GLYPH_TICK));
}

bool keys_speak(const struct view *view)
{
    return view->prompt || view->quit_armed || speaks(view->message);
}

bool keys_complain(const struct view *view)
{
    return view->prompt && speaks(view->message);
}

static const char *after_character(const char *text)
{
    do
        text++;
    while (((unsigned char)*text & 0xc0) == 0x80);
    return text;
}

/* What is being typed, its end always in sight. */
static int draw_typed(struct area area, int x, const char *typed)
{
    enum glyph_set glyphs = area.canvas->glyphs;
    int room = area.width - x - 1;

    if (text_columns(glyphs, typed) > room) {
        while (*typed && text_columns(glyphs, typed) > room - 1)
            typed = after_character(typed);
        x = area_text(area, x, 0, ROLE_VALUE, glyph(glyphs, GLYPH_CUT));
    }
    return area_print(area, x, 0, ROLE_VALUE, "%s_", typed);
}

/* A question leaves half of the line to the answer. */
static void draw_prompt(struct area area, const struct view *view)
{
    struct area question = area_part(area, 0, 0, area.width / 2, 1);
    int x = area_print(question, 0, 0, ROLE_STRONG, "%s:", view->prompt);

    x = draw_typed(area_part(area, 0, 0, area.width, 1), x + 1, view->typed ? view->typed : "");
    if (!speaks(view->message))
        return;
    if (area.height > 1)
        (void)area_text(area, 0, 1, ROLE_DUE, view->message);
    else
        (void)area_text(area, x + 2, 0, ROLE_DUE, view->message);
}

void panel_keys(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;

    if (view->prompt) {
        draw_prompt(area, view);
    } else if (view->quit_armed) {
        (void)area_text(area, 0, 0, ROLE_DUE, "q again ends every alarm and leaves");
    } else if (speaks(view->message)) {
        draw_message(area, view);
    } else {
        draw_hints(area);
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
        (void)area_print(area, 0, 0, ROLE_ALARM, "NOTHING IS BEING SAVED: %s", view->trouble);
    } else {
        (void)area_text(area, 0, 0, ROLE_DUE,
                        "looking on: another copy of the program has the keys");
    }
}

static const struct hint help[] = {
    {"space", "tick the chosen item, or open"},
    {"up down", "choose an item (k j)"},
    {"1 2 3", "choose a rig (left right)"},
    {"a A", "aimed as advised; elsewhere"},
    {"S", "where a mount has drifted to"},
    {"T", "camera turned upright, or back"},
    {"z Z", "alarm quiet; item put off"},
    {"u", "undo the last act"},
    {"f", "a frame was taken"},
    {"t", "next target of the exposure"},
    {"+ -", "brighter, darker: 1/3 stop"},
    {"s", "the setting that looked right"},
    {"e", "f-number, filter, extender"},
    {"b m", "battery, memory card changed"},
    {"c", "cloud came, or went"},
    {"d", "rate the umbra, 0 dark 4 pale"},
    {"w W", "air; metric or imperial"},
    {"K", "what a camera's clock shows"},
    {"n N", "a note; one more item to do"},
    {"p g", "site by hand; from the GPS"},
    {"F", "an hour of the forecast"},
    {"E", "set-up: see and change it all"},
    {"tab", "the whole checklist, and back"},
    {"i", "picture of the rig, and back"},
    {"o y", "curves; batteries, cards, air"},
    {"v C", "view from afar; time card"},
    {"x X", "local or UTC first; 12, 24 h"},
    {"r R", "dimmer, brighter; next theme"},
    {"L", "lines apart, or close"},
    {"?", "this help, and back"},
    {"q q, Q", "quit"},
};
enum { HELP_ROWS = sizeof help / sizeof *help, HELP_KEYS = 9, HELP_COLUMNS = 50 };

static void draw_help_row(struct area area, int y, const struct hint *hint)
{
    (void)area_text(area, 0, y, ROLE_VALUE, hint->keys);
    (void)area_text(area, HELP_KEYS, y, ROLE_LABEL, hint->does);
}

/* What the page below the help is for, and the keys that act on it. */
static const char *const page_help[PAGES] = {
    [PAGE_NIGHT] = "The night at a glance. Every key works on every page; Esc comes back here.",
    [PAGE_LIST] = "The checklist: up and down choose, space ticks, Z puts off, N adds an item.",
    [PAGE_FAR] = "To be read from afar; an alarm takes the whole of it.",
    [PAGE_CURVES] = "Light, altitude and settings of the chosen rig, P1 to P4; 1 2 3 choose it.",
    [PAGE_FRAME] = "The picture: put the Moon where it says, then a; A elsewhere, T turned.",
    [PAGE_KIT] = "What could run out: b m changed battery or card, w air, F forecast, K clock.",
    [PAGE_SETUP] = "Enter opens or changes, left goes back, D takes out, Ctrl-U empties an answer.",
    [PAGE_TIME_CARD] = "Photograph it with every camera, so that its clock can be put right.",
};

void panel_help(struct area area, const struct scene *scene)
{
    int columns = area.width / HELP_COLUMNS > 1 || area.height < HELP_ROWS ? 2 : 1;
    int rows = (HELP_ROWS + columns - 1) / columns, width = area.width / columns;
    struct area keys = area_part(area, 0, 1, area.width, area.height - 1);
    int y = rows + (area.height > rows + 4 ? 2 : 1);

    (void)area_text(area, 0, 0, ROLE_VALUE, page_help[scene->view->page]);
    for (int i = 0; i < HELP_ROWS; i++)
        draw_help_row(area_part(keys, i / rows * width, 0, width - 1, keys.height), i % rows,
                      &help[i]);
    (void)area_text(area, 0, y, ROLE_LABEL,
                    "The edge of the real umbra is uncertain by tens of seconds.");
    if (scene->moment->leap_held)
        (void)area_text(area, 0, y + 1, ROLE_LABEL,
                        "No leap second is announced so far ahead: UTC may be off by seconds.");
}
