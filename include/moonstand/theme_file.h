/* store: theme files. */
#ifndef MOONSTAND_THEME_FILE_H
#define MOONSTAND_THEME_FILE_H

#include <stddef.h>

struct fault;
struct theme;

/*  *
 *   { "name": "red",
 *     "normal": { "background": "#000000",
 *                 "label": { "colour": "#af0000", "bold": false, "reverse": false,
 *                            "underline": false }, ... every role ... },
 *     "dim": { as normal; where left out, the same as normal } }
 *
 * Colours are "#rrggbb"; bold, reverse and underline are false where left out and carry the roles
 * where the terminal has no colour. What comes with the program: red (the default), plain (greys),
 * daylight (dark on white) and blue-orange (daylight for eyes that cannot tell red from green; its
 * hues are those of Okabe & Ito, "Color Universal Design", 2008).
 */
int theme_read(const char *path, struct theme *theme, struct fault *fault);
int theme_parse(const char *name, const char *text, size_t length, struct theme *theme,
                struct fault *fault);

#endif
