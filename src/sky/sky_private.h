/* Private to the room. */
#ifndef MOONSTAND_SKY_PRIVATE_H
#define MOONSTAND_SKY_PRIVATE_H

#include <moonstand/arc.h>

#define LIGHT_KM_PER_S 299792.458

/* The parts of an arc; the pole is the celestial intermediate pole, in the GCRS. */
enum arc_part {
    ARC_MOON,                 /* x, y, z */
    ARC_SUN = ARC_MOON + 3,   /* x, y, z */
    ARC_POLE_X = ARC_SUN + 3, /* X, Y and the CIO locator s */
    ARC_POLE_Y,
    ARC_CIO_LOCATOR,
    ARC_ORIGINS /* equation of the origins */
};

/* Evaluates `count` parts of the arc from `first` on; NaN outside the span. */
void arc_parts(const struct arc *arc, double tt, int first, int count, double *values);

/* moon_geometric() with every term of the published table, to measure what the cut costs. */
struct vec3 moon_geometric_full(double tt);
/* The Sun's geometric geocentric place, km, GCRS axes (liberfa eraEpv00). */
struct vec3 sun_geometric(double tt);

/* Refraction in radians from the true (airless) altitude (Saemundsson), scaled by pressure and
 * temperature. Below -1 degree the value at -1 degree is held, so that altitudes stay continuous;
 * never negative. */
double refraction_from_true(double altitude_rad, double pressure_hpa, double temperature_c);

#endif
