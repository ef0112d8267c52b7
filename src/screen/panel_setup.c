/* The setup in words, line by line: its value, what is wrong with it, and with much room why it is asked
 * for; of the chosen line what is allowed and why, and where a change goes. */
#include "panels.h"

#include <moonstand/setting_words.h>
#include <moonstand/setup_words.h>

#include <stdio.h>
#include <string.h>

enum {
    LABEL_COLUMNS = 26,
    LABEL_NARROW = 20,
    VALUE_COLUMNS = 22,
    WRONG_FROM = 72,
    WHY_COLUMN = 90,
    WHY_FROM = 150
};

/* ---- lines ---- */

static void draw_value(struct area area, const struct scene *scene, const struct setup_row *row,
                       bool chosen)
{
    enum role role = chosen ? ROLE_STRONG : ROLE_VALUE;
    char every[INTERVAL_WORDS];
    const char *rest;
    int rig = setup_path_rig(&scene->night->setup, row->path, &rest);

    if (row->kind == ROW_MORE)
        (void)area_print(area, 0, 0, ROLE_LABEL, "one more: %s", row->allowed);
    else if (row->kind == ROW_FOLDER)
        (void)area_print(area, 0, 0, role, "%s%s...", row->value, *row->value ? " " : "");
    else if (rig >= 0 && !*row->value && strcmp(rest, ".interval_s") == 0)
        (void)area_text(area, 0, 0, role, interval_words(&scene->night->shooting[rig], every));
    else
        (void)area_print(area, 0, 0, role, "%s%s%s", *row->value ? row->value : "-",
                         *row->value && *row->unit ? " " : "", *row->value ? row->unit : "");
}

static void draw_setup_row(struct area area, const struct scene *scene, const struct setup_row *row,
                           bool chosen)
{
    enum glyph_set glyphs = area.canvas->glyphs;
    int x = area.width >= 60 ? LABEL_COLUMNS : LABEL_NARROW;
    int wrong_x = x + VALUE_COLUMNS;
    char wrong[SENTENCE] = "";

    if (area.width >= WHY_FROM) {
        (void)area_text(area, WHY_COLUMN, 0, ROLE_LABEL, row->why);
        area = area_part(area, 0, 0, WHY_COLUMN - 1, 1);
    }
    if (area.width >= WRONG_FROM)
        (void)setup_fault_words(&scene->about, row->path, wrong);
    (void)area_text(area, 0, 0, ROLE_STRONG, chosen ? glyph(glyphs, GLYPH_POINTER) : " ");
    (void)area_text(area_part(area, 2, 0, x - 3, 1), 0, 0, chosen ? ROLE_STRONG : ROLE_LABEL,
                    row->label);
    draw_value(area_part(area, x, 0, *wrong ? VALUE_COLUMNS - 1 : area.width - x, 1), scene, row,
               chosen);
    if (*wrong)
        (void)area_text(area, wrong_x, 0, ROLE_DUE, wrong);
}

/* The chosen row is in the middle if the list is longer than the area. */
static void draw_rows(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;
    int last = view->row_count - area.height;
    int first = clamp(view->row - area.height / 2, 0, last > 0 ? last : 0);

    for (int y = 0; y < area.height && first + y < view->row_count; y++)
        draw_setup_row(area_part(area, 0, y, area.width, 1), scene, &view->rows[first + y],
                       first + y == view->row);
}

static void draw_trail(struct area area, const struct view *view, int room)
{
    const char *path = view->rows_path ? view->rows_path : "", *file = view->setup_file;
    int x = area_print(area, 0, 0, ROLE_VALUE, "Setup%s%s", *path ? " > " : "", path);

    if (view->row_count > room)
        x = area_print(area, x, 0, ROLE_VALUE, ", line %d of %d", view->row + 1, view->row_count);
    if (file && *file)
        (void)area_print(area, x + 2, 0, ROLE_LABEL, "saved in %s", file);
    else
        (void)area_text(area, x + 2, 0, ROLE_LABEL, "kept with this session alone");
}

/* What is allowed and why it is asked for, in one line. */
static void draw_allowed(struct area area, const struct setup_row *row)
{
    const char *out = row->entry ? "; D deletes it" : "";
    char text[ROW_ALLOWED + SENTENCE];

    if (row->kind == ROW_FOLDER)
        (void)snprintf(text, sizeof text, "Enter opens it%s", out);
    else
        (void)snprintf(text, sizeof text, "Enter changes it: %.159s%s%s%s", row->allowed,
                       *row->unit ? " " : "", row->unit, out);
    size_t length = strlen(text);
    if (*row->why && area.width < WHY_FROM)
        text_add(text, sizeof text, "", " - %s", row->why);
    /* With little room the reason goes first. */
    if (text_columns(area, text) > area.width)
        text[length] = '\0';
    (void)area_text(area, 0, 0, ROLE_LABEL, text);
}

void panel_setup(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;
    bool chosen = view->row >= 0 && view->row < view->row_count;

    if (area.height >= 3) {
        /* What is allowed stands a line below the last row, if there is room for one. */
        int rest = area.height - 1, below = view->row_count + 1 < rest ? view->row_count + 2 : rest;
        draw_trail(area, view, rest - 1);
        if (chosen)
            draw_allowed(area_part(area, 0, below, area.width, 1), &view->rows[view->row]);
        area = area_part(area, 0, 1, area.width, rest - 1);
    }
    draw_rows(area, scene);
}
