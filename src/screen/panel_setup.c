/* The setup, line by line: what stands there, what is allowed, where a change goes. */
#include "panels.h"

enum { LABEL_COLUMNS = 26, LABEL_NARROW = 18 };

static void draw_row(struct area area, const struct setup_row *row, bool chosen)
{
    enum glyph_set glyphs = area.canvas->glyphs;
    int x = area.width >= 60 ? LABEL_COLUMNS : LABEL_NARROW;
    enum role label = chosen ? ROLE_STRONG : ROLE_LABEL;

    (void)area_text(area, 0, 0, ROLE_STRONG, chosen ? glyph(glyphs, GLYPH_POINTER) : " ");
    (void)area_text(area_part(area, 2, 0, x - 3, 1), 0, 0, label, row->label);
    area = area_part(area, x, 0, area.width - x, 1);
    if (row->kind == ROW_MORE)
        (void)area_print(area, 0, 0, label, "one more: %s", row->allowed);
    else if (row->kind == ROW_FOLDER)
        (void)area_print(area, 0, 0, label, "%s%s...", row->value, *row->value ? " " : "");
    else
        (void)area_text(area, 0, 0, chosen ? ROLE_STRONG : ROLE_VALUE,
                        *row->value ? row->value : "-");
}

/* The chosen row stands in the middle where the list is longer than the area. */
static void draw_rows(struct area area, const struct view *view)
{
    int first = view->row - area.height / 2;

    if (first > view->row_count - area.height)
        first = view->row_count - area.height;
    if (first < 0)
        first = 0;
    for (int y = 0; y < area.height && first + y < view->row_count; y++)
        draw_row(area_part(area, 0, y, area.width, 1), &view->rows[first + y],
                 first + y == view->row);
}

static void draw_trail(struct area area, const struct view *view, int room)
{
    const char *path = view->rows_path ? view->rows_path : "", *file = view->setup_file;
    int x = area_print(area, 0, 0, ROLE_VALUE, "Set-up%s%s", *path ? ": " : "", path);

    if (view->row_count > room)
        x = area_print(area, x, 0, ROLE_VALUE, ", line %d of %d", view->row + 1, view->row_count);
    if (file && *file)
        (void)area_print(area, x + 2, 0, ROLE_LABEL, "written to %s", file);
    else
        (void)area_text(area, x + 2, 0, ROLE_LABEL, "kept with this session alone");
}

static void draw_allowed(struct area area, const struct setup_row *row)
{
    if (row->kind == ROW_FOLDER)
        (void)area_print(area, 0, 0, ROLE_LABEL, "enter opens it%s",
                         row->entry ? ", D takes it out" : "");
    else
        (void)area_print(area, 0, 0, ROLE_LABEL, "enter changes it%s: %s",
                         row->entry ? ", D takes it out" : "", row->allowed);
}

void panel_setup(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;
    bool chosen = view->row >= 0 && view->row < view->row_count;

    if (area.height >= 3) {
        draw_trail(area_part(area, 0, 0, area.width, 1), view, area.height - 2);
        if (chosen)
            draw_allowed(area_part(area, 0, area.height - 1, area.width, 1),
                         &view->rows[view->row]);
        area = area_part(area, 0, 1, area.width, area.height - 2);
    }
    draw_rows(area, view);
}
