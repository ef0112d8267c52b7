/* sky: geocentric places of Moon and Sun, and the Earth's pole.
 *
 * The Moon comes from the published series ELP/MPP02 (Chapront & Francou 2003; table built from
 * src/sky/moon_terms.csv), Sun and Earth orientation from liberfa. They are too slow for every
 * tick, so an `arc` holds Chebyshev fits over a day or two.
 */
#ifndef MOONSTAND_ARC_H
#define MOONSTAND_ARC_H

#include <moonstand/vec3.h>

#include <stdbool.h>

#define EARTH_EQUATOR_KM 6378.137 /* WGS 84 */
#define EARTH_POLE_KM 6356.752    /* WGS 84, to the metre */
#define MOON_K 0.2725076          /* Moon's radius in equatorial Earth radii, IAU 1982 */
#define SUN_RADIUS_ARCSEC_1AU 959.63
#define AU_KM 149597870.7

/* The Moon's geometric geocentric place, km, GCRS axes. Accuracy and span: see moon.c. */
struct vec3 moon_geometric(double tt);

enum { ARC_BLOCKS = 8, ARC_ORDER = 5, ARC_PARTS = 10 };

/* Apparent Moon and Sun and the Earth's pole over a span, as Chebyshev series in blocks of at most
 * twelve hours. Plain data: may be copied, needs no freeing. */
struct arc {
    double tt_from, block_s;
    int blocks;
    double c[ARC_BLOCKS][ARC_PARTS][ARC_ORDER];
};

/* Fits an arc over [tt_from, tt_to], at most four days; outside the span the functions below give
 * NaN. Returns -1 if the span is empty, not finite or too long.
 * Without `with_pole` the nutation is skipped to save time, for geocentric places only: the pole is
 * then that of precession (within 20 arcsec), and what an observer sees is NaN. */
int arc_make(struct arc *arc, double tt_from, double tt_to, bool with_pole);
/* Apparent geocentric places (light-time; the Sun's aberration), km, GCRS axes. */
struct vec3 arc_moon(const struct arc *arc, double tt);
struct vec3 arc_sun(const struct arc *arc, double tt);
/* The Earth's pole of date, unit vector, GCRS axes. */
struct vec3 arc_pole(const struct arc *arc, double tt);

#endif
