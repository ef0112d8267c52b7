/* screen: canvases of cells with roles; only canvas_resize allocates. */
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
/* The lines as text without trailing blanks; with `roles` then a line "roles" and one letter per
 * cell (label l, value v, strong s, border b, due d, alarm a, stale o, done x, lit L, shade S;
 * blank cells of ROLE_LABEL stay blank). If there are tones, then a line "tones" and two hexadecimal
 * digits per cell: its upper and lower half in sixteenths, '.' outside a picture. */
void canvas_print(const struct canvas *canvas, FILE *out, bool roles);

#endif
