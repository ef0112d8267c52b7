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

/* Columns kept beside a message for how its act stands. */
static int kept_columns(struct area area, const struct view *view)
{
    enum { WRITTEN = sizeof "  being written" - 1, ROOMY = 40 };

    return view->acted && area.width >= ROOMY ? WRITTEN : 0;
}

static void draw_message(struct area area, const struct view *view)
{
    int room = area.width - kept_columns(area, view);
    int x = text_columns(area.canvas->glyphs, view->message);

    area_wrap(area_part(area, 0, 0, room, area.height), ROLE_VALUE, view->message);
    if (!view->acted)
        return;
    if (x > room)
        x = room;
    if (view->unwritten > 0)
        (void)area_text(area, x + 2, 0, ROLE_DUE, "being written");
    else if (!speaks(view->trouble))
        (void)area_text(area, x + 2, 0, ROLE_LABEL, glyph(area.canvas->glyphs, GLYPH_TICK));
}

bool keys_speak(const struct view *view)
{
    return view->prompt || view->quit_armed || speaks(view->message);
}

int keys_lines(struct area area, const struct view *view)
{
    enum glyph_set glyphs = area.canvas->glyphs;
    int lines = 1;

    if (speaks(view->message) && !view->quit_armed)
        lines = (view->prompt ? 1 : 0) +
                text_lines(glyphs, view->message, area.width - kept_columns(area, view));
    return lines < 1 ? 1 : lines > 3 ? 3 : lines;
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
        area_wrap(area_part(area, 0, 1, area.width, area.height - 1), ROLE_DUE, view->message);
    else
        (void)area_text(area, x + 2, 0, ROLE_DUE, view->message);
}

void panel_keys(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;

    if (view->quit_armed) {
        (void)area_print(area, 0, 0, ROLE_DUE, "%s again ends every alarm and leaves",
                         view->prompt ? "Ctrl-C" : "q");
    } else if (view->prompt) {
        draw_prompt(area, view);
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
                        "looking on: this copy of the program changes nothing");
    }
}

#define ON(page) (1U << PAGE_##page)

/* The keys of a row, and the pages on which they act: there they stand first. */
struct help {
    const char *keys, *does;
    unsigned pages;
};

static const struct help help[] = {
    {"space", "tick the chosen item, or open", ON(NIGHT) | ON(LIST)},
    {"up down", "choose a line (k j)", ON(NIGHT) | ON(LIST) | ON(SETUP)},
    {"1 2 3", "choose a rig (left right, h l)", ON(NIGHT) | ON(FRAME) | ON(CURVES) | ON(KIT)},
    {"a A", "aimed as advised; elsewhere", ON(NIGHT) | ON(FRAME) | ON(FAR)},
    {"S", "where a mount has drifted to", ON(FRAME)},
    {"T", "camera turned upright, or back", ON(FRAME)},
    {"z Z", "alarm quiet; item put off", ON(NIGHT) | ON(FRAME) | ON(FAR) | ON(LIST)},
    {"u", "undo the last act",
     ON(NIGHT) | ON(LIST) | ON(FRAME) | ON(CURVES) | ON(KIT) | ON(FAR) | ON(SETUP)},
    {"f", "a frame was taken", ON(NIGHT) | ON(FRAME)},
    {"t", "next target of the exposure", ON(NIGHT) | ON(CURVES)},
    {"+ -", "brighter, darker: 1/3 stop", ON(NIGHT) | ON(CURVES)},
    {"s", "the setting that looked right", ON(NIGHT) | ON(CURVES)},
    {"e", "f-number, filter, extender", ON(NIGHT) | ON(CURVES)},
    {"b m", "battery, memory card changed", ON(NIGHT) | ON(KIT)},
    {"c G H", "cloud; glass dry; lens heater", ON(NIGHT) | ON(KIT)},
    {"d", "rate umbra, 0 dark 4 bright", ON(NIGHT) | ON(CURVES)},
    {"w W", "air; metric or imperial", ON(NIGHT) | ON(KIT)},
    {"K P", "camera's clock; watch pictures", ON(KIT) | ON(TIME_CARD)},
    {"n N", "a note; one more item to do", ON(NIGHT) | ON(LIST)},
    {"p g", "site by hand; from the GPS", ON(NIGHT)},
    {"F", "an hour of the forecast", ON(NIGHT) | ON(KIT)},
    {"E", "set-up: see and change it all", 0},
    {"Enter D", "open or change; take out", ON(SETUP)},
    {"tab", "the whole checklist, and back", 0},
    {"i", "picture of the rig, and back", 0},
    {"o y", "curves; batteries, cards, air", 0},
    {"v C", "view from afar; time card", 0},
    {"x X", "local or UTC first; 12, 24 h", 0},
    {"r R", "dimmer, brighter; next theme", 0},
    {"L", "lines apart, or close", 0},
    {"? Esc", "this help; back to the night", 0},
    {"q q, Q", "quit", 0},
    {"", "The edge of the real umbra is uncertain by tens of seconds.", 0},
};
enum { HELP_ROWS = sizeof help / sizeof *help, HELP_KEYS = 9, HELP_COLUMNS = 40 };

/* What the page below the help is for. */
static const char *const page_help[PAGES] = {
    [PAGE_NIGHT] = "The night at a glance. Every key works on every page.",
    [PAGE_LIST] = "The whole checklist, with the chosen item's note.",
    [PAGE_FAR] = "To be read from afar; an alarm takes the whole of it.",
    [PAGE_CURVES] = "Light, altitude and the settings of the chosen rig, from P1 to P4.",
    [PAGE_FRAME] = "The picture of a rig: where the Moon is to be put, and which way it goes.",
    [PAGE_KIT] = "What could run out, and the clocks of the cameras.",
    [PAGE_SETUP] = "The setup, line by line; left goes back, Ctrl-U empties an answer.",
    [PAGE_TIME_CARD] = "Photograph it with every camera, so that its clock can be put right.",
};

/* Where the next row of the help stands. */
struct flow {
    struct area area;
    int columns, part, column, y;
};

/* What is no key takes the whole of the column. */
static int indent_of(const struct help *row)
{
    return *row->keys ? HELP_KEYS : 0;
}

static int row_lines(const struct flow *flow, const struct help *row)
{
    int width = flow->area.width / flow->columns - 1;

    return text_lines(flow->area.canvas->glyphs, row->does, width - indent_of(row));
}

/* Down the columns, then on to the next part. Only the wanted part is drawn. */
static void flow_row(struct flow *flow, int wanted, const struct help *row, bool acts_here)
{
    int lines = row_lines(flow, row), width = flow->area.width / flow->columns;

    if (flow->y > 0 && flow->y + lines > flow->area.height) {
        flow->y = 0;
        flow->column = (flow->column + 1) % flow->columns;
        flow->part += flow->column == 0;
    }
    if (flow->part == wanted) {
        struct area own = area_part(flow->area, flow->column * width, flow->y, width - 1, lines);
        (void)area_text(own, 0, 0, acts_here ? ROLE_STRONG : ROLE_VALUE, row->keys);
        area_wrap(area_part(own, indent_of(row), 0, own.width, lines),
                  acts_here ? ROLE_VALUE : ROLE_LABEL, row->does);
    }
    flow->y += lines;
}

/* What to know about UTC so far ahead. */
static bool say_caveat(char out[WORDS_LINE], const struct scene *scene)
{
    double doubt_s = ut1_doubt_s(scene->moment->utc);

    if (!scene->moment->leap_held)
        return false;
    if (doubt_s < 1)
        (void)snprintf(out, WORDS_LINE,
                       "No leap second is announced so far ahead: UTC may be off by a second.");
    else
        (void)snprintf(out, WORDS_LINE,
                       "UTC and the turning Earth may be up to %.0f s apart by then: rise, set "
                       "and azimuth are that uncertain, contacts are not.",
                       doubt_s);
    return true;
}

/* All rows, those of the page first; how many parts they take. */
static int flow_help(struct flow flow, const struct scene *scene, int wanted)
{
    char text[WORDS_LINE];
    struct help caveat = {"", text, 0};

    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < HELP_ROWS; i++) {
            bool acts_here = help[i].pages & 1U << scene->view->page;
            if (acts_here == (pass == 0))
                flow_row(&flow, wanted, &help[i], acts_here);
        }
    }
    if (say_caveat(text, scene))
        flow_row(&flow, wanted, &caveat, false);
    return flow.part + 1;
}

void panel_help(struct area area, const struct scene *scene)
{
    enum glyph_set glyphs = area.canvas->glyphs;
    const char *about = page_help[scene->view->page];
    int lines = area.height < HELP_COLUMNS / 4 ? 0 : text_lines(glyphs, about, area.width);
    int last = area.height > 2 ? area.height - 1 : area.height, wanted = scene->view->help;
    struct flow flow = {area_part(area, 0, lines, area.width, last - lines), 1, 0, 0, 0};

    area_wrap(area_part(area, 0, 0, area.width, lines), ROLE_VALUE, about);
    while (flow_help(flow, scene, -1) > 1 && (flow.columns + 1) * HELP_COLUMNS <= area.width)
        flow.columns++;
    int parts = flow_help(flow, scene, -1);
    wanted = wanted > parts ? parts : wanted;
    (void)flow_help(flow, scene, wanted - 1);
    if (wanted < parts)
        (void)area_print(area, 0, last, ROLE_VALUE, "%d of %d: ? goes on", wanted, parts);
    else
        (void)area_print(area, 0, last, ROLE_VALUE, "? back");
    *scene->help_parts = parts;
}
