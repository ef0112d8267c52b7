#include "cells.h"

#include <moonstand/pages.h>
#include <moonstand/text.h>

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

/* Longest text of one call, in bytes. */
enum { WRAPPED = 512 };

static const char role_letter[ROLE_COUNT] = {
    [ROLE_LABEL] = 'l', [ROLE_VALUE] = 'v', [ROLE_STRONG] = 's', [ROLE_BORDER] = 'b',
    [ROLE_DUE] = 'd',   [ROLE_ALARM] = 'a', [ROLE_STALE] = 'o',  [ROLE_DONE] = 'x',
    [ROLE_LIT] = 'L',   [ROLE_SHADE] = 'S',
};

static const struct cell blank = {.text = " ", .width = 1, .role = ROLE_LABEL};

/* ---- the grid ---- */

static size_t cell_count(const struct canvas *canvas)
{
    return (size_t)canvas->width * (size_t)canvas->height;
}

int canvas_resize(struct canvas *canvas, int width, int height)
{
    width = clamp(width, 1, CANVAS_WIDTH);
    height = clamp(height, 1, CANVAS_HEIGHT);
    size_t cells = (size_t)width * (size_t)height;
    if (cells > canvas->room) {
        size_t size = cells * sizeof *canvas->cell;
        struct cell *grown = pages_fetch(realloc(canvas->cell, size), size);
        if (!grown)
            return -1;
        canvas->cell = grown;
        canvas->room = cells;
    }
    canvas->width = width;
    canvas->height = height;
    canvas_clear(canvas);
    return 0;
}

void canvas_free(struct canvas *canvas)
{
    free(canvas->cell);
    *canvas = (struct canvas){.glyphs = canvas->glyphs};
}

void canvas_clear(struct canvas *canvas)
{
    for (size_t i = 0; i < cell_count(canvas); i++)
        canvas->cell[i] = blank;
}

/* What a print has for a cell: its characters, its role, its tones. */
typedef const char *cell_print(const struct cell *cell, char out[CELL_TEXT]);

static const char *print_text(const struct cell *cell, char out[CELL_TEXT])
{
    (void)out;
    return cell->text;
}

static const char *print_role(const struct cell *cell, char out[CELL_TEXT])
{
    bool empty = cell->text[0] == ' ' && cell->role == ROLE_LABEL;

    return text_set(out, CELL_TEXT, "%c", empty ? ' ' : role_letter[cell->role]);
}

static const char *print_tones(const struct cell *cell, char out[CELL_TEXT])
{
    if (cell->half[0] == 0)
        return "..";
    return text_set(out, CELL_TEXT, "%x%x", cell->half[0] / 16u, cell->half[1] / 16u);
}

/* The lines, up to the last cell that has more than `empty`. */
static void print_cells(const struct canvas *canvas, FILE *out, cell_print *print,
                        const char *empty)
{
    char text[CELL_TEXT];

    for (int y = 0; y < canvas->height; y++) {
        int end = canvas->width;
        while (end > 0 && strcmp(print(cell_at(canvas, end - 1, y), text), empty) == 0)
            end--;
        for (int x = 0; x < end; x++)
            (void)fputs(print(cell_at(canvas, x, y), text), out);
        (void)fputc('\n', out);
    }
}

void canvas_print(const struct canvas *canvas, FILE *out, bool roles)
{
    bool tones = false;

    print_cells(canvas, out, print_text, " ");
    if (!roles)
        return;
    (void)fputs("roles\n", out);
    print_cells(canvas, out, print_role, " ");
    for (size_t i = 0; i < cell_count(canvas); i++)
        tones |= canvas->cell[i].half[0] > 0;
    if (!tones)
        return;
    (void)fputs("tones\n", out);
    print_cells(canvas, out, print_tones, "..");
}

struct cell *cell_claim(struct canvas *canvas, int x, int y, int width)
{
    struct cell *cell = cell_at(canvas, x, y);

    if (cell->width == 0)
        cell[-1] = blank;
    if (cell[width - 1].width == 2)
        cell[width] = blank;
    return cell;
}

/* ---- text, one cell's worth at a time ---- */

struct grapheme {
    char text[CELL_TEXT];
    int width;
};

static const char *take_code_point(const char *text, int32_t *code_point)
{
    utf8proc_ssize_t length = utf8proc_iterate((const uint8_t *)text, -1, code_point);

    if (length < 1) {
        *code_point = '?';
        return text + 1;
    }
    return text + length;
}

/* ASCII and what we draw with: printable, one column each. Asking the tables about these alone would
 * bring 250 kB of them into memory. */
static bool is_narrow(int32_t code_point)
{
    return (code_point >= 0x20 && code_point <= 0x7e) ||
           (code_point >= 0x2500 && code_point <= 0x25fc) ||
           (code_point >= 0x2800 && code_point <= 0x28ff) || code_point == 0x22ef ||
           code_point == 0x2713;
}

/* What a code point does to the columns: 1 or 2, 0 for one that joins its base, -1 for one that is
 * dropped (direction marks, joiners, emoji selectors: terminals disagree about them). One that cannot
 * be printed becomes '?'. */
static int code_point_columns(int32_t *code_point)
{
    bool selector = (*code_point >= 0xfe00 && *code_point <= 0xfe0f) ||
                    (*code_point >= 0xe0100 && *code_point <= 0xe01ef);

    if (is_narrow(*code_point))
        return 1;
    if (selector)
        return -1;
    switch (utf8proc_category(*code_point)) {
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_CN:
    case UTF8PROC_CATEGORY_CS:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
        *code_point = '?';
        return 1;
    case UTF8PROC_CATEGORY_CF:
        return -1;
    default:
        return utf8proc_charwidth(*code_point);
    }
}

/* The bare letter of a code point where it is ASCII ("e" of an accented one), else '?'. */
static int32_t ascii_of(int32_t code_point)
{
    int32_t parts[32];
    int boundary = 0;
    utf8proc_ssize_t count = utf8proc_decompose_char(
        code_point, parts, 32, UTF8PROC_DECOMPOSE | UTF8PROC_COMPAT, &boundary);

    return count >= 1 && count <= 32 && parts[0] < 0x80 ? parts[0] : '?';
}

/* A printable ASCII character that nothing can combine with: nearly all that is drawn. */
static bool is_ascii(const char *text)
{
    return text[0] >= ' ' && text[0] <= '~' && ((unsigned char)text[1] & 0x80) == 0;
}

/* The next character with what combines with it; returns where the text goes on, null at its end.
 */
static const char *next_grapheme(enum glyph_set set, const char *text, struct grapheme *grapheme)
{
    size_t length = 0;

    if (is_ascii(text)) {
        *grapheme = (struct grapheme){.text = {*text}, .width = 1};
        return text + 1;
    }
    *grapheme = (struct grapheme){0};
    while (*text) {
        int32_t code_point;
        const char *rest = take_code_point(text, &code_point);
        int columns = code_point_columns(&code_point);
        if (columns > 0 && length > 0)
            return text;
        text = rest;
        if (columns < 0 || (columns == 0 && (length == 0 || set == GLYPHS_ASCII)))
            continue;
        if (set == GLYPHS_ASCII && code_point >= 0x80) {
            code_point = ascii_of(code_point);
            columns = 1;
        }
        uint8_t bytes[4];
        size_t size = (size_t)utf8proc_encode_char(code_point, bytes);
        if (length + size >= CELL_TEXT)
            continue;
        memcpy(grapheme->text + length, bytes, size);
        length += size;
        grapheme->width += columns;
    }
    return length > 0 ? text : NULL;
}

int text_columns(struct area area, const char *text)
{
    struct grapheme grapheme;
    int columns = 0;

    while ((text = next_grapheme(area.canvas->glyphs, text, &grapheme)))
        columns += grapheme.width;
    return columns;
}

/* ---- areas ---- */

struct area canvas_area(struct canvas *canvas)
{
    return (struct area){canvas, 0, 0, canvas->width, canvas->height};
}

struct area area_part(struct area area, int x, int y, int width, int height)
{
    int left = clamp(x, 0, area.width), top = clamp(y, 0, area.height);
    int right = clamp(x + width, left, area.width), bottom = clamp(y + height, top, area.height);

    return (struct area){area.canvas, area.x + left, area.y + top, right - left, bottom - top};
}

struct area area_from(struct area area, int x, int y)
{
    return area_part(area, x, y, area.width, area.height);
}

static void put(struct area area, int x, int y, enum role role, const struct grapheme *grapheme)
{
    struct cell *cell = cell_claim(area.canvas, area.x + x, area.y + y, grapheme->width);

    *cell = (struct cell){.width = (uint8_t)grapheme->width, .role = (uint8_t)role};
    memcpy(cell->text, grapheme->text, CELL_TEXT);
    if (grapheme->width == 2)
        cell[1] = (struct cell){.role = (uint8_t)role};
}

int area_text(struct area area, int x, int y, enum role role, const char *text)
{
    enum glyph_set set = area.canvas->glyphs;
    struct grapheme grapheme;

    if (y < 0 || y >= area.height || area.width == 0)
        return x;
    x = clamp(x, 0, area.width);
    bool cut = text_columns(area, text) > area.width - x;
    int end = cut ? area.width - 1 : area.width;
    while ((text = next_grapheme(set, text, &grapheme)) && x + grapheme.width <= end) {
        put(area, x, y, role, &grapheme);
        x += grapheme.width;
    }
    if (!cut)
        return x;
    for (; x < end; x++)
        put(area, x, y, role, &(struct grapheme){" ", 1});
    return area_text(area, end, y, role, glyph(set, GLYPH_CUT));
}

int area_print(struct area area, int x, int y, enum role role, const char *format, ...)
{
    char text[WRAPPED];
    va_list args;

    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return area_text(area, x, y, role, text);
}

/* Bytes of the first line of a text that is broken at blanks; a word that is too long is alone.
 */
static size_t first_line(struct area area, const char *text)
{
    const char *at = text;
    struct grapheme grapheme;
    size_t length = 0;
    int width = 0;

    for (size_t end = strcspn(text, " ");; end += 1 + strcspn(text + end + 1, " ")) {
        while (at && at < text + end && (at = next_grapheme(area.canvas->glyphs, at, &grapheme)))
            width += grapheme.width;
        if (length > 0 && width > area.width)
            return length;
        length = end;
        if (text[end] == '\0')
            return length;
    }
}

static const char *next_line(const char *text, size_t length)
{
    return text + length + strspn(text + length, " ");
}

int text_lines(struct area area, const char *text)
{
    int lines = 0;

    for (; *text; lines++)
        text = next_line(text, first_line(area, text));
    return lines;
}

void area_wrap(struct area area, enum role role, const char *text)
{
    for (int y = 0; *text && y < area.height; y++) {
        bool last = y == area.height - 1;
        size_t length = last ? strlen(text) : first_line(area, text);

        (void)area_print(area, 0, y, role, "%.*s", (int)length, text);
        text = next_line(text, length);
    }
}

void area_text_right(struct area area, int y, enum role role, const char *text)
{
    (void)area_text(area, area.width - text_columns(area, text), y, role, text);
}

void area_text_middle(struct area area, int y, enum role role, const char *text)
{
    int spare = area.width - text_columns(area, text);

    (void)area_text(area, spare / 2, y, role, text);
}

void area_fill(struct area area, enum role role)
{
    const struct grapheme space = {" ", 1};

    for (int y = 0; y < area.height; y++) {
        for (int x = 0; x < area.width; x++)
            put(area, x, y, role, &space);
    }
}

void area_upright(struct area area, int x, enum role role)
{
    if (x < 0 || x >= area.width)
        return;
    for (int y = 0; y < area.height; y++)
        (void)area_text(area, x, y, role, glyph(area.canvas->glyphs, GLYPH_UPRIGHT));
}

void area_spread(struct area area)
{
    for (int y = (area.height - 1) / 2; y > 0; y--) {
        struct cell *from = cell_at(area.canvas, area.x, area.y + y);
        memcpy(cell_at(area.canvas, area.x, area.y + 2 * y), from,
               (size_t)area.width * sizeof *from);
        for (int x = 0; x < area.width; x++)
            from[x] = blank;
    }
}
