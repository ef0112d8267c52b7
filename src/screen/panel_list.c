/* The checklist: what is due next, on its own page all of it. */
#include "panels.h"

#include <moonstand/clock_words.h>
#include <moonstand/list_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- order and choice ---- */

/* The items that the page shows, in its order, and the row of the chosen one; -1: none. */
struct list {
    int item[CHECK_ITEMS];
    int count, chosen;
};

static bool is_open(const struct scene *scene, int item)
{
    return isnan(scene->night->checked_utc[item]);
}

/* Items without a due time come last. */
static double due_key(const struct scene *scene, int item)
{
    double due = scene->moment->check_due_utc[item];

    return isfinite(due) ? due : INFINITY;
}

static void add_by_due(const struct scene *scene, struct list *list, int item)
{
    int at = list->count++;

    for (; at > 0 && due_key(scene, list->item[at - 1]) > due_key(scene, item); at--)
        list->item[at] = list->item[at - 1];
    list->item[at] = item;
}

static int row_of(const struct list *list, int item)
{
    for (int row = 0; row < list->count; row++) {
        if (list->item[row] == item)
            return row;
    }
    return -1;
}

/* The user's choice, else the most urgent item, else the first that is open. */
static int chosen_row(const struct scene *scene, const struct list *list)
{
    int chosen = row_of(list, scene->view->item);

    if (chosen < 0)
        chosen = row_of(list, scene->moment->check_next);
    for (int row = 0; chosen < 0 && row < list->count; row++) {
        if (is_open(scene, list->item[row]))
            chosen = row;
    }
    return chosen;
}

static struct list list_make(const struct scene *scene)
{
    bool all = scene->view->page == PAGE_LIST;
    struct list list = {.count = 0};

    for (int i = 0; i < scene->night->setup.checklist.count; i++) {
        if (item_applies(scene->night, i) &&
            (all ||
             (is_open(scene, i) && !scene->moment->check_past[i] && !sun_says(scene->night, i))))
            add_by_due(scene, &list, i);
    }
    list.chosen = chosen_row(scene, &list);
    return list;
}

int view_item(const struct view *view, const struct night *night, const struct moment *moment)
{
    const struct scene scene = scene_of(night, moment, view);
    const struct list list = list_make(&scene);

    return list.chosen < 0 ? -1 : list.item[list.chosen];
}

int view_item_step(const struct view *view, const struct night *night, const struct moment *moment,
                   int by)
{
    const struct scene scene = scene_of(night, moment, view);
    const struct list list = list_make(&scene);
    int row = list.chosen + by;

    if (list.count == 0)
        return -1;
    return list.item[clamp(row, 0, list.count - 1)];
}

/* ---- drawing ---- */

enum { MARK_COLUMNS = 5, CLOCK_COLUMNS = 7, COUNT_COLUMNS = 12 };

static enum role item_role(const struct scene *scene, int item)
{
    if (!is_open(scene, item))
        return ROLE_DONE;
    if (scene->moment->check_past[item])
        return ROLE_STALE;
    return scene->moment->check_due_utc[item] <= scene->moment->utc ? ROLE_DUE : ROLE_VALUE;
}

static double due_or_done(const struct scene *scene, int item)
{
    return is_open(scene, item) ? scene->moment->check_due_utc[item]
                                : scene->night->checked_utc[item];
}

/* Wider where one of the times has its zone's letters. */
static int clock_columns(const struct scene *scene)
{
    size_t mark = 0;

    for (int i = 0; i < scene->night->setup.checklist.count; i++) {
        double utc = due_or_done(scene, i);
        size_t length = strlen(zone_mark(scene->about.reader.zone, utc));

        if (isfinite(utc) && is_near(utc, scene->moment->utc) && length > mark)
            mark = length;
    }
    return CLOCK_COLUMNS + (scene->about.reader.hours == HOURS_12 ? 2 : 0) +
           (mark > 0 ? (int)mark + 1 : 0);
}

/* Columns of a row between its mark and its text, and at its right; 0: it has none. */
struct columns {
    int clock, count, wrong;
};

/* On its own page, where there is room, what is wrong has a column at the right, not far from a text
 * of one line. How long an item has, or is late, stands at the left; with little room at the right. */
static struct columns columns_of(const struct scene *scene, int width)
{
    enum { COUNTED = 50, CLOCKED = 66, SPLIT = 72, BOTH = 100, TEXT_MOST = 90 };
    struct columns columns = {0, 0, 0};

    if (width >= CLOCKED)
        columns.clock = clock_columns(scene);
    if (scene->view->page == PAGE_LIST && width >= SPLIT)
        columns.wrong = width / 4;
    if (columns.wrong > 0 ? width >= BOTH : width >= COUNTED)
        columns.count = COUNT_COLUMNS;
    int spare = width - columns.wrong - MARK_COLUMNS - columns.clock - columns.count - TEXT_MOST;
    if (columns.wrong > 0 && spare > 0)
        columns.wrong += spare;
    return columns;
}

/* Where its text stands, and what is wrong with it. */
static struct area text_part(struct area area, const struct columns *columns)
{
    int x = MARK_COLUMNS + columns->clock + columns->count;

    return area_part(area, x, 0, area.width - columns->wrong - x, area.height);
}

static struct area wrong_part(struct area area, const struct columns *columns)
{
    return area_from(area, area.width - columns->wrong + 2, 0);
}

/* What is wrong; how late it is, too, if that stands nowhere else. */
static char *say_wrong(const struct scene *scene, const struct columns *columns, int item,
                       char out[WORDS_LINE])
{
    char stand[SENTENCE] = "", fault[SENTENCE] = "";

    if (item_role(scene, item) == ROLE_DUE)
        (void)item_fault_words(&scene->about, item, fault);
    if (columns->count == 0)
        (void)item_stand_words(&scene->about, item, stand);
    return text_set(out, WORDS_LINE, "%.40s%s%.100s", stand, *stand && *fault ? ": " : "", fault);
}

/* When an item is due, or was done. */
static void draw_due(struct area area, const struct scene *scene, const struct columns *columns,
                     int item)
{
    double due = due_or_done(scene, item);
    enum role role = item_role(scene, item);
    char text[WORDS_LINE], clock[TEXT_INSTANT];

    if (!isfinite(due))
        return;
    if (columns->clock > 0 && is_near(due, scene->moment->utc))
        (void)area_text(area, MARK_COLUMNS, 0, role, clock_minute(clock, scene->about.reader, due));
    if (columns->count == 0)
        return;
    (void)area_text(area_part(area, MARK_COLUMNS + columns->clock, 0, COUNT_COLUMNS - 1, 1), 0, 0,
                    role, item_stand_words(&scene->about, item, text));
}

static char *say_item(char out[SENTENCE], const struct scene *scene, int item)
{
    return item_words(&scene->night->setup.checklist.item[item], out);
}

/* Its text takes all lines of the area. */
static void draw_item(struct area area, const struct scene *scene, const struct columns *columns,
                      int item, bool chosen)
{
    enum glyph_set glyphs = area.canvas->glyphs;
    enum role role = item_role(scene, item);
    char text[WORDS_LINE];

    (void)area_print(area, 0, 0, chosen ? ROLE_STRONG : role, "%s[%s] ",
                     chosen ? glyph(glyphs, GLYPH_POINTER) : " ",
                     is_open(scene, item) ? " " : glyph(glyphs, GLYPH_TICK));
    draw_due(area, scene, columns, item);
    if (columns->wrong > 0)
        area_wrap(wrong_part(area, columns), role == ROLE_VALUE ? ROLE_LABEL : role,
                  say_wrong(scene, columns, item, text));
    area = text_part(area, columns);
    fit_clauses(area, say_item(text, scene, item));
    area_wrap(area, role, text);
}

static int item_lines(struct area area, const struct scene *scene, const struct columns *columns,
                      int item)
{
    int beside = 0;
    char text[WORDS_LINE];

    int lines = text_lines(text_part(area, columns), say_item(text, scene, item));
    if (columns->wrong > 0)
        beside = text_lines(wrong_part(area, columns), say_wrong(scene, columns, item, text));
    return beside > lines ? beside : lines;
}

/* The first row to be shown: few are above the chosen one, for what is done is of less use than what
 * comes; or the last row is the last. */
static int first_shown(struct area area, const struct scene *scene, const struct columns *columns,
                       const struct list *list)
{
    int first = list->chosen < 0 ? 0 : list->chosen, above = 0, below = 0, most = area.height / 4;

    for (int row = first; row < list->count && below < area.height - most; row++)
        below += item_lines(area, scene, columns, list->item[row]);
    if (below < area.height - most)
        most = area.height - below;
    while (first > 0 && above + item_lines(area, scene, columns, list->item[first - 1]) <= most)
        above += item_lines(area, scene, columns, list->item[--first]);
    return first;
}

/* Each item in full; one that has no room for all of its lines is left out, unless it is the chosen
 * one. Returns the lines that they take. */
static int draw_items(struct area area, const struct scene *scene, const struct list *list)
{
    struct columns columns = columns_of(scene, area.width);
    int y = 0;

    for (int row = first_shown(area, scene, &columns, list); row < list->count && y < area.height;
         row++) {
        int item = list->item[row], lines = item_lines(area, scene, &columns, item);
        bool chosen = row == list->chosen;

        if (y + lines > area.height && !chosen)
            break;
        draw_item(area_part(area, 0, y, area.width, lines), scene, &columns, item, chosen);
        y += lines;
    }
    return y < area.height ? y : area.height;
}

static void draw_list_count(struct area area, const struct moment *moment)
{
    char text[COUNT_WORDS];
    int x = area_text(area, 0, 0, ROLE_LABEL, open_words(moment, text));

    (void)area_text(area, x, 0, ROLE_DUE, overdue_words(moment, text));
}

/* The whole list, with the chosen item's note below; of one without a time, when it is for, too. */
static void draw_list_page(struct area area, const struct scene *scene, const struct list *list)
{
    char text[WORDS_LINE] = "";
    int lines = 1;

    if (list->chosen >= 0) {
        int chosen = list->item[list->chosen];
        const struct check_item *item = &scene->night->setup.checklist.item[chosen];
        bool is_dated = isfinite(scene->moment->check_due_utc[chosen]);
        (void)snprintf(text, sizeof text, "%s%s%s",
                       is_dated ? "" : item_group_words(scene->night, item->group),
                       is_dated || !*item->note ? "" : ": ", item->note);
        /* Its place stays where there is none: the list does not move. */
        lines = clamp(text_lines(area, text), 1, area.height / 3);
    }
    draw_list_count(area, scene->moment);
    int y = 3 + draw_items(area_part(area, 0, 2, area.width, area.height - 3 - lines), scene, list);
    area_wrap(area_part(area, 0, y, area.width, lines), ROLE_LABEL, text);
}

void panel_list(struct area area, const struct scene *scene)
{
    const struct list list = list_make(scene);

    if (scene->view->page == PAGE_LIST && area.height >= 8) {
        draw_list_page(area, scene, &list);
        return;
    }
    area = panel_named(area, scene, "List");
    if (list.count == 0) {
        (void)area_text(area, 0, 0, ROLE_DONE, no_item_words(&scene->about));
        return;
    }
    if (area.height < 3) {
        (void)draw_items(area, scene, &list);
        return;
    }
    draw_list_count(area, scene->moment);
    (void)draw_items(area_from(area, 0, 1), scene, &list);
}
