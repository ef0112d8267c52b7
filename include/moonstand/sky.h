/* sky: Moon, Sun, the turning Earth, an observer on it.
 *
 * Positions come from two sources: the Moon from the published series ELP/MPP02 (Chapront & Francou
 * 2003; table built from src/sky/moon_terms.csv), Sun and Earth orientation from liberfa.
 * A night does not evaluate them at every tick: an `arc` holds Chebyshev fits over a day or two.
 */
#ifndef MOONSTAND_SKY_H
#define MOONSTAND_SKY_H

#include <moonstand/base.h>

struct vec3 {
    double x, y, z;
};

static inline double vec3_dot(struct vec3 a, struct vec3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
static inline struct vec3 vec3_cross(struct vec3 a, struct vec3 b)
{
    return (struct vec3){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
static inline struct vec3 vec3_add(struct vec3 a, struct vec3 b)
{
    return (struct vec3){a.x + b.x, a.y + b.y, a.z + b.z};
}
static inline struct vec3 vec3_scale(struct vec3 a, double s)
{
    return (struct vec3){a.x * s, a.y * s, a.z * s};
}
double vec3_length(struct vec3 a);
struct vec3 vec3_unit(struct vec3 a);
/* Angle between two directions, radians in [0, pi], exact for small angles too. */
double vec3_angle(struct vec3 a, struct vec3 b);

/* ---- geocentric positions ---- */

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

/* ---- an arc of time ---- */

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

/* ---- an observer ---- */

enum { HORIZON_POINTS = 360 };

/* What stands around the site: altitude over azimuth, straight lines between points, closed round.
 */
struct horizon {
    bool sea;  /* the open sea all round, seen from the site's height: no points of its own, the dip
                 is put in where the height is known (horizon_of_sea) */
    int count; /* 0: a flat horizon at altitude zero */
    double azimuth_rad[HORIZON_POINTS]; /* rising, in [0, 2 pi) */
    double altitude_rad[HORIZON_POINTS];
};

/* Altitude of the horizon profile in a direction, radians. */
double horizon_altitude(const struct horizon *horizon, double azimuth_rad);
/* How far below level the open sea's horizon appears from a height, radians: 1.76 arcmin times the
 * root of the metres, mean refraction in it (Nautical Almanac 2022, dip of the horizon; Bowditch's
 * table has 0.97 arcmin times the root of the feet, which is the same). 0 at or below sea level. The real
 * one wanders by an arcminute and more with the temperature of air and water. */
double sea_dip_rad(double height_m);
/* The horizon of the open sea from a height. */
void horizon_of_sea(double height_m, struct horizon *horizon);

struct observer {
    double latitude_rad, longitude_rad; /* geodetic WGS 84, north and east positive */
    double height_m;                    /* above the ellipsoid */
    double pressure_hpa, temperature_c; /* of the air, for refraction */
    struct horizon horizon;
    struct vec3 itrs_m; /* derived by observer_make */
};

/* Sets place, derived vector, a flat horizon, and the standard atmosphere at that height (ISO
 * 2533). */
void observer_make(struct observer *observer, double latitude_rad, double longitude_rad,
                   double height_m);

/* ---- refraction ---- */

/* Refraction in radians from the true (airless) altitude, Saemundsson; from the apparent altitude,
 * Bennett. Scaled by pressure (hPa) and temperature (C). Below an altitude of -1 degree the value
 * at -1 degree is held, so that altitudes stay continuous; never negative. */
double refraction_from_true(double altitude_rad, double pressure_hpa, double temperature_c);
double refraction_from_apparent(double altitude_rad, double pressure_hpa, double temperature_c);

/* ---- what an observer sees of a body ---- */

struct sight {
    double altitude_airless_rad; /* centre, topocentric */
    double altitude_rad;         /* centre, refracted */
    double azimuth_rad;          /* from north through east, [0, 2 pi) */
    double distance_km;          /* topocentric */
    double semidiameter_rad;     /* topocentric, unrefracted */
    double parallactic_rad;      /* from celestial north to the zenith, eastward positive */
    double hour_angle_rad;       /* topocentric, west positive, [-pi, pi) */
    double right_ascension_rad, declination_rad; /* topocentric, of date */
    double horizon_rad;    /* altitude of the horizon profile below the body */
    double upper_limb_rad; /* refracted altitude of the upper limb */
    bool up;               /* the upper limb clears the horizon profile */
    struct vec3 enu;       /* unit vector east, north, up of the refracted centre */
};

void sky_moon(const struct arc *arc, const struct observer *observer, double utc,
              struct sight *sight);
void sky_sun(const struct arc *arc, const struct observer *observer, double utc,
             struct sight *sight);

/* ---- rise, transit, set ---- */

enum sky_event_kind {
    SKY_MOONRISE, /* refracted upper limb over the horizon profile */
    SKY_MOONSET,
    SKY_MOON_TRANSIT, /* highest: upper passage of the meridian */
    SKY_SUNRISE,
    SKY_SUNSET,
    SKY_CIVIL_DUSK,
    SKY_CIVIL_DAWN, /* Sun's airless centre at -6 degrees */
    SKY_NAUTICAL_DUSK,
    SKY_NAUTICAL_DAWN, /* -12 */
    SKY_ASTRONOMICAL_DUSK,
    SKY_ASTRONOMICAL_DAWN, /* -18 */
};

struct sky_event {
    enum sky_event_kind kind;
    double utc;
};

/* All events of [utc_from, utc_to] inside the arc, in order of time, to 0.1 s; returns how many
 * were written (at most `most`). Crossings closer together than five minutes may be missed. */
int sky_events(const struct arc *arc, const struct observer *observer, double utc_from,
               double utc_to, struct sky_event *events, int most);

#endif
