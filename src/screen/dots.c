#include "cells.h"

/* ---- dots ---- */

/* Bits of U+2800 by row and column of the dot. */
static const uint8_t braille_bit[4][2] = {{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};
enum { UPPER_DOTS = 0x1b, LOWER_DOTS = 0xe4 };

static int bits_set(unsigned bits)
{
    int count = 0;
    for (; bits; bits &= bits - 1)
        count++;
    return count;
}

/* A shape of the same weight in the same half of the cell. */
static char ascii_dots(unsigned dots)
{
    int upper = bits_set(dots & UPPER_DOTS), lower = bits_set(dots & LOWER_DOTS);

    if (upper + lower >= 6)
        return '#';
    if (upper > 0 && lower > 0)
        return ':';
    if (upper > 0)
        return upper >= 3 ? '"' : '\'';
    return lower >= 3 ? '_' : '.';
}

static void show_dots(struct cell *cell, enum glyph_set set)
{
    if (set == GLYPHS_ASCII) {
        cell->text[0] = ascii_dots(cell->dots);
        return;
    }
    cell->text[0] = (char)0xe2;
    cell->text[1] = (char)(0xa0 | cell->dots >> 6);
    cell->text[2] = (char)(0x80 | (cell->dots & 0x3f));
}

void area_dot(struct area area, int x, int y, enum role role)
{
    if (x < 0 || y < 0 || x >= 2 * area.width || y >= 4 * area.height)
        return;
    struct cell *cell = cell_at(area.canvas, area.x + x / 2, area.y + y / 4);
    if (cell->dots == 0)
        *cell_claim(area.canvas, area.x + x / 2, area.y + y / 4, 1) = (struct cell){.width = 1};
    cell->role = (uint8_t)role;
    cell->dots |= braille_bit[y % 4][x % 2];
    show_dots(cell, area.canvas->glyphs);
}

void area_mark(struct area area, int x, int y, enum role role, char ascii)
{
    const char text[] = {ascii, '\0'};

    if (area.canvas->glyphs == GLYPHS_UTF8)
        area_dot(area, x, y, role);
    else if (x >= 0 && y >= 0 && x < 2 * area.width && y < 4 * area.height)
        (void)area_text(area, x / 2, y / 4, role, text);
}

/* ---- large digits ---- */

enum { STROKES_HIGH = 5 };

struct shape {
    char character;
    int strokes_wide;
    const char *row[STROKES_HIGH];
};

static const struct shape shapes[] = {
    {'0', 3, {"###", "# #", "# #", "# #", "###"}}, {'1', 3, {" # ", "## ", " # ", " # ", "###"}},
    {'2', 3, {"###", "  #", "###", "#  ", "###"}}, {'3', 3, {"###", "  #", " ##", "  #", "###"}},
    {'4', 3, {"# #", "# #", "###", "  #", "  #"}}, {'5', 3, {"###", "#  ", "###", "  #", "###"}},
    {'6', 3, {"###", "#  ", "###", "# #", "###"}}, {'7', 3, {"###", "  #", "  #", " # ", " # "}},
    {'8', 3, {"###", "# #", "###", "# #", "###"}}, {'9', 3, {"###", "# #", "###", "  #", "###"}},
    {':', 1, {" ", "#", " ", "#", " "}},           {'.', 1, {" ", " ", " ", " ", "#"}},
    {'U', 3, {"# #", "# #", "# #", "# #", "###"}}, {'P', 3, {"###", "# #", "###", "#  ", "#  "}},
    {'-', 2, {"  ", "  ", "##", "  ", "  "}},      {' ', 1, {" ", " ", " ", " ", " "}},
};

static const struct shape *find_shape(char character)
{
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        if (shapes[i].character == character)
            return &shapes[i];
    }
    return NULL;
}

/* Each shape is followed by a gap of one stroke, the last one not. */
int digits_columns(int scale, const char *text)
{
    int strokes = -1;

    for (; *text; text++) {
        const struct shape *shape = find_shape(*text);
        if (shape)
            strokes += shape->strokes_wide + 1;
    }
    return strokes < 0 ? 0 : (strokes * scale + 1) / 2;
}

int digits_lines(int scale)
{
    return (STROKES_HIGH * scale + 3) / 4;
}

int digits_scale(struct area area, int most, const char *text)
{
    /* ASCII has no half columns: a stroke is whole columns wide. */
    int step = area.canvas->glyphs == GLYPHS_ASCII ? 2 : 1;

    for (int scale = most - most % step; scale >= 2; scale -= step) {
        if (digits_columns(scale, text) <= area.width && digits_lines(scale) <= area.height)
            return scale;
    }
    return 0;
}

static void draw_stroke(struct area area, int x, int y, int scale, enum role role)
{
    for (int down = 0; down < scale; down++) {
        for (int across = 0; across < scale; across++)
            area_dot(area, x + across, y + down, role);
    }
}

static void draw_shape(struct area area, int x, int y, int scale, enum role role,
                       const struct shape *shape)
{
    for (int row = 0; row < STROKES_HIGH; row++) {
        for (int column = 0; column < shape->strokes_wide; column++) {
            if (shape->row[row][column] == '#')
                draw_stroke(area, x + column * scale, y + row * scale, scale, role);
        }
    }
}

void area_digits(struct area area, int x, int y, int scale, enum role role, const char *text)
{
    int dot = 2 * x;

    for (; *text; text++) {
        const struct shape *shape = find_shape(*text);
        if (!shape)
            continue;
        draw_shape(area, dot, 4 * y, scale, role, shape);
        dot += (shape->strokes_wide + 1) * scale;
    }
}
