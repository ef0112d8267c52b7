/* Inside the room: drawing on a part of a canvas. */
#ifndef MOONSTAND_SCREEN_AREA_H
#define MOONSTAND_SCREEN_AREA_H

#include <moonstand/canvas.h>

static inline int clamp(int value, int lowest, int highest)
{
    return value < lowest ? lowest : value > highest ? highest : value;
}

/* Blank cells of ROLE_LABEL. */
void canvas_clear(struct canvas *canvas);

/* The characters of our own that are not plain ASCII. All are one column wide everywhere: none is
 * of ambiguous width (no degree sign, no box lines, no classic arrows). */
enum glyph {
    GLYPH_CUT,     /* where text was cut */
    GLYPH_POINTER, /* the chosen row */
    GLYPH_TICK,
    GLYPH_UPRIGHT, /* a line downwards */
    GLYPH_COUNT
};
const char *glyph(enum glyph_set set, enum glyph which);

/* A rectangle of a canvas. Drawing is clipped to it, so panels cannot overlap. May be empty. */
struct area {
    struct canvas *canvas;
    int x, y, width, height;
};
struct area canvas_area(struct canvas *canvas);
/* Part of an area, in its own coordinates, clipped to it. */
struct area area_part(struct area area, int x, int y, int width, int height);
/* All of it from a column and a line on. */
struct area area_from(struct area area, int x, int y);
/* Columns that a text takes in it: wide characters two, combining ones none. */
int text_columns(struct area area, const char *text);

/* Text from column x of line y; what does not fit is cut with a mark at the area's edge. Control
 * and undecodable bytes become '?', invisible format characters vanish; the ASCII set takes the
 * bare letter or '?'. Returns the column after the text. A line outside the area draws nothing. */
int area_text(struct area area, int x, int y, enum role role, const char *text);
int area_print(struct area area, int x, int y, enum role role, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
/* Text broken at blanks into the area's lines; what is left for the last line is cut with a mark.
 */
void area_wrap(struct area area, enum role role, const char *text);
/* The lines that such a text takes in the area's width. */
int text_lines(struct area area, const char *text);
/* A text of one line, at the right end of the area's, or in its middle. */
void area_text_right(struct area area, int y, enum role role, const char *text);
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
void area_digits_middle(struct area area, int scale, enum role role, const char *text);

#endif
