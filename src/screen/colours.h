/* Inside the room: colours of a theme on a terminal. */
#ifndef MOONSTAND_SCREEN_COLOURS_H
#define MOONSTAND_SCREEN_COLOURS_H

#include <stdint.h>

struct theme;

/* The entry of the fixed part (16 to 255) of the 256-colour palette for a colour. A channel that is
 * zero stays zero (red stays purely red), and what differs from `background` does not take its
 * entry. */
int colour_256(uint32_t rgb, uint32_t background);
/* Colour of an entry 16 to 255. */
uint32_t colour_of_256(int entry);
/* The same for the eight basic colours, 0 to 7. */
int colour_8(uint32_t rgb, uint32_t background);

/* The tones of a picture run from the darker to the brighter of a theme's background and ROLE_LIT, so
 * that a negative is never shown. `tone` as in a cell, 1 to 255. */
uint32_t tone_rgb(const struct theme *theme, int step, int tone);
/* The entries of the 256-colour palette along that way. */
enum { RAMP_MOST = 32 };
struct ramp {
    int count;
    int entry[RAMP_MOST];
    int tone[RAMP_MOST]; /* that each shows, rising */
};
void ramp_make(const struct theme *theme, int step, struct ramp *ramp);
/* The entry for a tone at a place, by ordered dithering (a Bayer matrix of 4 x 4): `x` counts columns,
 * `y` half lines. */
int ramp_entry(const struct ramp *ramp, int tone, int x, int y);

#endif
