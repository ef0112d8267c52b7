/* sky: a place on the Earth, its horizon and its air. */
#ifndef MOONSTAND_OBSERVER_H
#define MOONSTAND_OBSERVER_H

#include <moonstand/vec3.h>

#include <stdbool.h>

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

/* Refraction in radians from the true (airless) altitude, Saemundsson; from the apparent altitude,
 * Bennett. Scaled by pressure (hPa) and temperature (C). Below an altitude of -1 degree the value
 * at -1 degree is held, so that altitudes stay continuous; never negative. */
double refraction_from_true(double altitude_rad, double pressure_hpa, double temperature_c);
double refraction_from_apparent(double altitude_rad, double pressure_hpa, double temperature_c);

#endif
