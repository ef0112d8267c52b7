/* screen: characters and their columns. */
#ifndef MOONSTAND_GLYPH_H
#define MOONSTAND_GLYPH_H

enum glyph_set { GLYPHS_UTF8, GLYPHS_ASCII };

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

/* Sets the locale (character type only: numbers keep the C form) and returns which glyphs it can show:
 * the user's where it is UTF-8, else C.UTF-8 where the machine has it, else ASCII. */
enum glyph_set glyph_locale(void);

/* Columns that a text takes: wide characters two, combining ones none. */
int text_columns(enum glyph_set set, const char *text);

#endif
