/* sky: where Moon and Sun are, seen from the Earth's centre.
 *
 * The Moon comes from the published series ELP/MPP02 (Chapront & Francou 2003; table built from
 * src/sky/moon_terms.csv), Sun and Earth orientation from liberfa. A night does not evaluate them at
 * every tick: an `arc` holds Chebyshev fits over a day or two.
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
/* The same from every term of the published table: the reference that the cut is measured against.
 */
struct vec3 moon_geometric_full(double tt);
/* The Sun's geometric geocentric place, km, GCRS axes (liberfa eraEpv00). */
struct vec3 sun_geometric(double tt);

enum { ARC_BLOCKS = 8, ARC_ORDER = 5, ARC_PARTS = 10 };

/* Apparent Moon and Sun and the Earth's pole over a span, as Chebyshev series in blocks of at most
 * twelve hours. Plain data: copying is allowed, nothing to free. */
struct arc {
    double tt_from, block_s;
    int blocks;
    double c[ARC_BLOCKS][ARC_PARTS][ARC_ORDER];
};

/* Fits an arc over [tt_from, tt_to], at most four days. Outside the span the look-ups below give
 * NaN. Returns 0, or -1 where the span is empty, not finite or too long.
 * `with_pole` false saves the time of the nutation: geocentric places only. The pole is then that
 * of precession alone (within 20 arcsec), and what an observer sees is unknown (NaN). */
int arc_make(struct arc *arc, double tt_from, double tt_to, bool with_pole);
/* Apparent geocentric places (light-time; the Sun's aberration), km, GCRS axes. */
struct vec3 arc_moon(const struct arc *arc, double tt);
struct vec3 arc_sun(const struct arc *arc, double tt);
/* The Earth's pole of date, unit vector, GCRS axes. */
struct vec3 arc_pole(const struct arc *arc, double tt);

#endif
