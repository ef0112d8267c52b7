/* store: theme files. */
#ifndef MOONSTAND_THEME_FILE_H
#define MOONSTAND_THEME_FILE_H

struct fault;
struct theme;

/*
 *   { "name": "red",
 *     "normal": { "background": "#000000",
 *                 "label": { "colour": "#af0000", "bold": false, "reverse": false,
 *                            "underline": false }, ... every role ... },
 *     "dim": { like normal, which is the default } }
 *
 * Colours are "#rrggbb"; bold, reverse and underline default to false and distinguish the roles on a
 * terminal without colour. Built in: red (the default), plain (greys), daylight (dark on white) and
 * blue-orange (daylight for eyes that cannot tell red from green; the hues are those of Okabe & Ito,
 * "Color Universal Design", 2008).
 */
int theme_read(const char *path, struct theme *theme, struct fault *fault);

#endif
