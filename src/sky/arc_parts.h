/* What the files of this room share among themselves. */
#ifndef MOONSTAND_SKY_PRIVATE_H
#define MOONSTAND_SKY_PRIVATE_H

#include <moonstand/arc.h>

#define LIGHT_KM_PER_S 299792.458

enum arc_part {
    ARC_MOON,                 /* x, y, z */
    ARC_SUN = ARC_MOON + 3,   /* x, y, z */
    ARC_POLE_X = ARC_SUN + 3, /* celestial intermediate pole, coordinates in the GCRS */
    ARC_POLE_Y,
    ARC_CIO_LOCATOR, /* s */
    ARC_ORIGINS      /* equation of the origins */
};

/* `count` parts of the arc from `first` on, at one instant; NaN outside the span. */
void arc_parts(const struct arc *arc, double tt, int first, int count, double *values);

#endif
