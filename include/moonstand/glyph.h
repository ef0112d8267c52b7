/* screen: characters and their columns. */
#ifndef MOONSTAND_GLYPH_H
#define MOONSTAND_GLYPH_H

enum glyph_set { GLYPHS_UTF8, GLYPHS_ASCII };

/* Sets the locale (character type only: numbers keep the C form) and returns which glyphs it can show:
 * the user's where it is UTF-8, else C.UTF-8 where the machine has it, else ASCII. */
enum glyph_set glyph_locale(void);

#endif
