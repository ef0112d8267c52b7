/* Private to the room: the two steps that find the disc. */
#ifndef MOONSTAND_EYE_DISC_H
#define MOONSTAND_EYE_DISC_H

#include "shape.h"

#include <stdbool.h>

/* Finds where a disc may be, best first: crests of the gradient vote for centres at the known
 * radius. Returns how many, at most CANDIDATES; -1 if memory ran out. */
enum { CANDIDATES = 14 };
struct candidate {
    double x, y, votes;
};
int candidates_vote(const struct pixels *pixels, const struct moon_size *size,
                    struct candidate candidates[CANDIDATES]);

/* Fits the outline to the limb along rays, in ever closer passes. False if it is no disc. */
bool disc_fit(const struct pixels *pixels, const struct moon_size *size,
              const struct candidate *from, struct moon_disc *disc);

#endif
