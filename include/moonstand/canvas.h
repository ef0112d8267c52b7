/* screen: canvases of cells with roles; drawing is clipped, and only canvas_resize allocates. */
#ifndef MOONSTAND_CANVAS_H
#define MOONSTAND_CANVAS_H

#include <moonstand/glyph.h>
#include <moonstand/theme.h>

#include <stddef.h>
#include <stdio.h>

/* Largest canvas; a larger terminal keeps a blank rest. */
enum { CANVAS_WIDTH = 512, CANVAS_HEIGHT = 256, CELL_TEXT = 12 };

/* One column of one line: a base character with its combining ones, UTF-8, zero-filled to the end.
 * The second column of a wide character has width 0 and no text. */
struct cell {
    char text[CELL_TEXT];
    uint8_t width;
    uint8_t role;     /* enum role */
    uint8_t dots;     /* braille dots drawn so far, as in U+2800; 0: a character */
    uint8_t quarters; /* solid quarters drawn so far; 0: a character */
    /* Of a picture: how bright the upper and the lower half are, 1 (black) to 255, on a terminal that
     * has shades; `text` and `role` replace it elsewhere. 0: no picture. */
    uint8_t half[2];
};

struct canvas {
    int width, height;
    enum glyph_set glyphs;
    struct cell *cell; /* owned; width * height, line by line */
    size_t room;       /* cells that `cell` has memory for */
};

/* Gives a canvas (zeroed before its first use) a size, clamped to 1 and the largest, and clears it.
 * -1 where memory is out: it then keeps its old size. */
int canvas_resize(struct canvas *canvas, int width, int height);
void canvas_free(struct canvas *canvas);
/* Blank cells of ROLE_LABEL. */
void canvas_clear(struct canvas *canvas);
/* The lines as text without trailing blanks; with `roles` then a line "roles" and one letter per
 * cell (label l, value v, strong s, border b, due d, alarm a, stale o, done x, lit L, shade S;
 * blank cells of ROLE_LABEL stay blank). If there are tones, then a line "tones" and two hexadecimal
 * digits per cell: its upper and lower half in sixteenths, '.' outside a picture. */
void canvas_print(const struct canvas *canvas, FILE *out, bool roles);

/* A rectangle of a canvas. Drawing is clipped to it, so panels cannot overlap. May be empty. */
struct area {
    struct canvas *canvas;
    int x, y, width, height;
};
struct area canvas_area(struct canvas *canvas);
/* Part of an area, in its own coordinates, clipped to it. */
struct area area_part(struct area area, int x, int y, int width, int height);

/* Text from column x of line y; what does not fit is cut with a mark at the area's edge. Control
 * and undecodable bytes become '?', invisible format characters vanish; the ASCII set takes the
 * bare letter or '?'. Returns the column after the text. A line outside the area draws nothing. */
int area_text(struct area area, int x, int y, enum role role, const char *text);
int area_print(struct area area, int x, int y, enum role role, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
/* Text broken at blanks into the area's lines; what is left for the last line is cut with a mark.
 */
void area_wrap(struct area area, enum role role, const char *text);
/* The lines that such a text takes in so many columns. */
int text_lines(enum glyph_set set, const char *text, int columns);
/* A text of one line, ending before column `end`, or in the middle of the area. */
void area_text_right(struct area area, int end, int y, enum role role, const char *text);
void area_text_middle(struct area area, int y, enum role role, const char *text);
/* Every cell blank and of one role. */
void area_fill(struct area area, enum role role);
/* A line down the whole height at x. */
void area_upright(struct area area, int x, enum role role);
/* Moves the lines of the upper half apart, so that a blank one follows each. */
void area_spread(struct area area);

/* Sets one dot: two per column, four per line, from the top left. ASCII shows rough shapes. */
void area_dot(struct area area, int x, int y, enum role role);
/* The same where ASCII has a character of its own for what the dot belongs to: a curve, a line. */
void area_mark(struct area area, int x, int y, enum role role, char ascii);

/* Sets one solid quarter of a cell: two per column, two per line, from the top left. */
void area_quarter(struct area area, int x, int y, enum role role);
/* Gives half a cell, two per line, the brightness of a picture: 0 (black) to 1. What is drawn over it
 * later, text or a dot, takes its place. */
void area_tone(struct area area, int x, int y, double brightness);

/* Large digits, solid, of `scale` half columns per stroke: 0 to 9, A to Z, ':', '.', '-', blank. Other
 * characters are left out. Their size in columns and lines: */
int digits_columns(int scale, const char *text);
int digits_lines(int scale);
/* The largest scale, up to `most`, that fits an area; 0 where none does. */
int digits_scale(struct area area, int most, const char *text);
void area_digits(struct area area, int x, int y, int scale, enum role role, const char *text);

#endif
