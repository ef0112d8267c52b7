/* screen: colours of a theme on a terminal. */
#ifndef MOONSTAND_PALETTE_H
#define MOONSTAND_PALETTE_H

#include <stdint.h>

struct fault;
struct theme;

/* The red theme: pure red on black at both steps. */
void theme_default(struct theme *theme);
/* Whether every role can be told from the background. */
int theme_valid(const struct theme *theme, struct fault *fault);
/* The entry of the fixed part (16 to 255) of the 256-colour palette for a colour. A channel that is
 * zero stays zero (red stays purely red), and what differs from `background` does not take its
 * entry. */
int colour_256(uint32_t rgb, uint32_t background);
/* Colour of an entry 16 to 255. */
uint32_t colour_of_256(int entry);
/* The same for the eight basic colours, 0 to 7. */
int colour_8(uint32_t rgb, uint32_t background);

#endif
