#include "cells.h"

#include <math.h>
#include <string.h>

/* ---- dots ---- */

/* Bits of U+2800 by row and column of the dot. */
static const uint8_t braille_bit[4][2] = {{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};
enum { UPPER_DOTS = 0x1b, LOWER_DOTS = 0xe4 };

/* A shape of the same weight in the same half of the cell. */
static char ascii_dots(unsigned dots)
{
    int upper = __builtin_popcount(dots & UPPER_DOTS);
    int lower = __builtin_popcount(dots & LOWER_DOTS);

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
    struct cell *cell = cell_claim(area.canvas, area.x + x / 2, area.y + y / 4, 1);
    if (cell->dots == 0 || cell->half[0] > 0)
        *cell = (struct cell){.width = 1};
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

/* ---- solid quarters ---- */

void area_quarter(struct area area, int x, int y, enum role role)
{
    /* By bits: 1 and 2 above, 4 and 8 below. Half blocks count as ambiguous in width, but the C
     * library gives them one column everywhere, and no other glyph is as solid. */
    static const char *const utf8[16] = {" ",      "\u2598", "\u259d", "\u2580", "\u2596", "\u258c",
                                         "\u259e", "\u259b", "\u2597", "\u259a", "\u2590", "\u259c",
                                         "\u2584", "\u2599", "\u259f", "\u2588"};
    static const char ascii[16] = {' ', '\'', '\'', '"', '.', ':', ':', ':', '.', ':', ':', ':', '_', ':', ':', '#'};

    if (x < 0 || y < 0 || x >= 2 * area.width || y >= 2 * area.height)
        return;
    struct cell *cell = cell_claim(area.canvas, area.x + x / 2, area.y + y / 2, 1);
    unsigned quarters = cell->quarters | 1u << (2 * (y % 2) + x % 2);
    *cell = (struct cell){.width = 1, .role = (uint8_t)role, .quarters = (uint8_t)quarters};
    if (area.canvas->glyphs == GLYPHS_ASCII)
        cell->text[0] = ascii[quarters];
    else
        memcpy(cell->text, utf8[quarters], strlen(utf8[quarters]));
}

/* ---- tones ---- */

void area_tone(struct area area, int x, int y, double brightness)
{
    if (x < 0 || y < 0 || x >= area.width || y >= 2 * area.height)
        return;
    struct cell *cell = cell_at(area.canvas, area.x + x, area.y + y / 2);
    if (cell->half[0] == 0)
        cell->half[0] = cell->half[1] = 1;
    cell->half[y % 2] = (uint8_t)(1 + lround(254 * fmin(fmax(brightness, 0), 1)));
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
    {'-', 2, {"  ", "  ", "##", "  ", "  "}},      {' ', 1, {" ", " ", " ", " ", " "}},
    {'A', 3, {"###", "# #", "###", "# #", "# #"}}, {'B', 3, {"## ", "# #", "## ", "# #", "## "}},
    {'C', 3, {"###", "#  ", "#  ", "#  ", "###"}}, {'D', 3, {"## ", "# #", "# #", "# #", "## "}},
    {'E', 3, {"###", "#  ", "## ", "#  ", "###"}}, {'F', 3, {"###", "#  ", "## ", "#  ", "#  "}},
    {'G', 3, {"###", "#  ", "# #", "# #", "###"}}, {'H', 3, {"# #", "# #", "###", "# #", "# #"}},
    {'I', 1, {"#", "#", "#", "#", "#"}},           {'J', 3, {"  #", "  #", "  #", "# #", "###"}},
    {'K', 3, {"# #", "# #", "## ", "# #", "# #"}}, {'L', 3, {"#  ", "#  ", "#  ", "#  ", "###"}},
    {'M', 5, {"#   #", "## ##", "# # #", "#   #", "#   #"}},
    {'N', 4, {"#  #", "## #", "# ##", "#  #", "#  #"}},
    {'O', 3, {"###", "# #", "# #", "# #", "###"}}, {'P', 3, {"###", "# #", "###", "#  ", "#  "}},
    {'Q', 4, {"### ", "# # ", "# # ", "# # ", "####"}},
    {'R', 3, {"###", "# #", "## ", "# #", "# #"}}, {'S', 3, {"###", "#  ", "###", "  #", "###"}},
    {'T', 3, {"###", " # ", " # ", " # ", " # "}}, {'U', 3, {"# #", "# #", "# #", "# #", "###"}},
    {'V', 3, {"# #", "# #", "# #", "# #", " # "}},
    {'W', 5, {"#   #", "#   #", "# # #", "## ##", "#   #"}},
    {'X', 3, {"# #", "# #", " # ", "# #", "# #"}}, {'Y', 3, {"# #", "# #", " # ", " # ", " # "}},
    {'Z', 3, {"###", "  #", " # ", "#  ", "###"}},
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
static int strokes_across(const char *text)
{
    int strokes = -1;

    for (; *text; text++) {
        const struct shape *shape = find_shape(*text);
        if (shape)
            strokes += shape->strokes_wide + 1;
    }
    return strokes < 0 ? 0 : strokes;
}

static int dot_columns(int scale, int strokes)
{
    return (strokes * scale + 1) / 2;
}

int digits_columns(int scale, const char *text)
{
    return dot_columns(scale, strokes_across(text));
}

/* Half lines above a row of strokes: a half line is as high as two half columns are wide. Strokes of
 * whole columns end with a line wherever they can, and the rows between them are the higher for it: the
 * half blocks of many fonts leave a gap, which would be seen as a hair beside the stroke. */
static int rows_above(int row, int scale)
{
    bool ends_within = scale % 4 == 2 && scale > 2; /* which has no more than half a line */

    return (row * scale + 1) / 2 - (ends_within ? row % 2 : 0);
}

int digits_lines(int scale)
{
    return (rows_above(STROKES_HIGH, scale) + 1) / 2;
}

int digits_scale(struct area area, int most, const char *text)
{
    /* ASCII has no half columns: a stroke is whole columns wide. */
    int step = area.canvas->glyphs == GLYPHS_ASCII ? 2 : 1;
    int strokes = strokes_across(text);

    for (int scale = most - most % step; scale >= 2; scale -= step) {
        if (dot_columns(scale, strokes) <= area.width && digits_lines(scale) <= area.height)
            return scale;
    }
    return 0;
}

static void draw_shape(struct area area, int left, int y, int scale, enum role role,
                       const struct shape *shape)
{
    for (int row = 0; row < STROKES_HIGH; row++) {
        for (int across = 0; across < shape->strokes_wide * scale; across++) {
            for (int down = rows_above(row, scale); down < rows_above(row + 1, scale); down++) {
                if (shape->row[row][across / scale] == '#')
                    area_quarter(area, left + across, 2 * y + down, role);
            }
        }
    }
}

void area_digits(struct area area, int x, int y, int scale, enum role role, const char *text)
{
    int left = 2 * x;

    for (; *text; text++) {
        const struct shape *shape = find_shape(*text);
        if (!shape)
            continue;
        draw_shape(area, left, y, scale, role, shape);
        left += (shape->strokes_wide + 1) * scale;
    }
}

void area_digits_middle(struct area area, int scale, enum role role, const char *text)
{
    area_digits(area, (area.width - digits_columns(scale, text)) / 2,
                (area.height - digits_lines(scale)) / 2, scale, role, text);
}
