/* The checklist: what is due next, on its own page all of it. */
#include "panels.h"

#include <math.h>
#include <stdio.h>

/* ---- order and choice ---- */

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

static void sort_by_due(const struct scene *scene, int *order, int count)
{
    for (int i = 1; i < count; i++) {
        int item = order[i], at = i;
        for (; at > 0 && due_key(scene, order[at - 1]) > due_key(scene, item); at--)
            order[at] = order[at - 1];
        order[at] = item;
    }
}

int list_rows(const struct scene *scene, int order[CHECK_ITEMS])
{
    bool all = scene->view->page == PAGE_LIST;
    int count = 0;

    for (int i = 0; i < scene->night->setup.checklist.count; i++) {
        if (all || is_open(scene, i))
            order[count++] = i;
    }
    if (!all)
        sort_by_due(scene, order, count);
    return count;
}

static int position_of(int item, const int *order, int count)
{
    for (int i = 0; i < count; i++) {
        if (order[i] == item)
            return i;
    }
    return -1;
}

static int most_urgent(const struct scene *scene, const int *order, int count)
{
    if (scene->moment->check_next >= 0)
        return scene->moment->check_next;
    for (int i = 0; i < count; i++) {
        if (is_open(scene, order[i]))
            return order[i];
    }
    return -1;
}

static int chosen_item(const struct scene *scene, const int *order, int count)
{
    if (position_of(scene->view->item, order, count) >= 0)
        return scene->view->item;
    return most_urgent(scene, order, count);
}

int view_item(const struct view *view, const struct night *night, const struct moment *moment)
{
    const struct scene scene = {night, moment, view, 0};
    int order[CHECK_ITEMS];
    int count = list_rows(&scene, order);

    return chosen_item(&scene, order, count);
}

int view_item_step(const struct view *view, const struct night *night, const struct moment *moment,
                   int by)
{
    const struct scene scene = {night, moment, view, 0};
    int order[CHECK_ITEMS];
    int count = list_rows(&scene, order);

    if (count == 0)
        return -1;
    int at = position_of(chosen_item(&scene, order, count), order, count) + by;
    return order[at < 0 ? 0 : at >= count ? count - 1 : at];
}

/* ---- drawing ---- */

enum { CLOCK_COLUMNS = 7, COUNT_COLUMNS = 12 };
#define NEAR_S (20 * 3600.0)

static enum role item_role(const struct scene *scene, int item)
{
    if (!is_open(scene, item))
        return ROLE_DONE;
    return scene->moment->check_due_utc[item] <= scene->moment->utc ? ROLE_DUE : ROLE_VALUE;
}

/* "in 12:30", "1h05 late", "in 21 days". */
static void say_due(char out[WORDS_LINE], double left)
{
    const char *before = left < 0 ? "" : "in ", *after = left < 0 ? " late" : "";
    int minutes = (int)(fabs(left) / 60);
    char span[TEXT_SPAN];

    if (minutes < 60)
        (void)snprintf(out, WORDS_LINE, "%s%s%s", before, format_span(span, fabs(left)), after);
    else if (minutes < 48 * 60)
        (void)snprintf(out, WORDS_LINE, "%s%dh%02d%s", before, minutes / 60, minutes % 60, after);
    else
        (void)snprintf(out, WORDS_LINE, "%s%d days%s", before, minutes / (24 * 60), after);
}

/* When an item is due, in the columns before its text; returns where that begins. */
static int draw_due(struct area area, int x, int y, const struct scene *scene, int item)
{
    double due = scene->moment->check_due_utc[item], left = due - scene->moment->utc;
    bool with_clock = area.width >= 66;
    enum role role = item_role(scene, item);
    char text[WORDS_LINE], clock[WORDS_WHEN];

    if (area.width < 50)
        return x;
    if (with_clock && fabs(left) < NEAR_S)
        (void)area_print(area, x, y, role, "%.5s", words_when(clock, scene, due));
    x += with_clock ? CLOCK_COLUMNS : 0;
    if (isfinite(due)) {
        say_due(text, left);
        (void)area_text(area_part(area, x, y, COUNT_COLUMNS - 1, 1), 0, 0, role, text);
    }
    return x + COUNT_COLUMNS;
}

static void draw_item(struct area area, int y, const struct scene *scene, int item, bool chosen)
{
    const struct check_item *check = &scene->night->setup.checklist.item[item];
    enum glyph_set glyphs = area.canvas->glyphs;
    enum role role = item_role(scene, item);

    int x = area_print(area, 0, y, chosen ? ROLE_STRONG : role, "%s[%s] ",
                       chosen ? glyph(glyphs, GLYPH_POINTER) : " ",
                       is_open(scene, item) ? " " : glyph(glyphs, GLYPH_TICK));
    x = draw_due(area, x, y, scene, item);
    (void)area_print(area, x, y, role, "%s%s%s", check->rig, *check->rig ? ": " : "", check->text);
}

static void draw_items(struct area area, const struct scene *scene, const int *order, int count)
{
    int chosen = chosen_item(scene, order, count);
    int first = position_of(chosen, order, count) - area.height / 2;

    if (first > count - area.height)
        first = count - area.height;
    if (first < 0)
        first = 0;
    for (int y = 0; y < area.height && first + y < count; y++)
        draw_item(area, y, scene, order[first + y], order[first + y] == chosen);
}

static void draw_count(struct area area, const struct moment *moment)
{
    int x = area_print(area, 0, 0, ROLE_LABEL, "%d open", moment->check_open);

    if (moment->check_overdue > 0)
        (void)area_print(area, x, 0, ROLE_DUE, ", %d overdue", moment->check_overdue);
}

/* The whole list, with the chosen item's group and note below. */
static void draw_page(struct area area, const struct scene *scene, const int *order, int count)
{
    int chosen = chosen_item(scene, order, count);

    draw_count(area, scene->moment);
    draw_items(area_part(area, 0, 2, area.width, area.height - 4), scene, order, count);
    if (chosen < 0)
        return;
    const struct check_item *item = &scene->night->setup.checklist.item[chosen];
    (void)area_print(area, 0, area.height - 1, ROLE_LABEL, "%s%s%s", check_group_name(item->group),
                     *item->note ? ": " : "", item->note);
}

void panel_list(struct area area, const struct scene *scene)
{
    int order[CHECK_ITEMS];
    int count = list_rows(scene, order);

    if (scene->view->page == PAGE_LIST && area.height >= 8) {
        draw_page(area, scene, order, count);
        return;
    }
    area = panel_named(area, scene, "List");
    if (count == 0) {
        (void)area_text(area, 0, 0, ROLE_DONE, "everything is ticked");
        return;
    }
    if (area.height < 3) {
        draw_items(area, scene, order, count);
        return;
    }
    draw_count(area, scene->moment);
    draw_items(area_part(area, 0, 1, area.width, area.height - 1), scene, order, count);
}
