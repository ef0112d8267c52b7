/* sky: a place on the Earth, its horizon and its air. */
#ifndef MOONSTAND_OBSERVER_H
#define MOONSTAND_OBSERVER_H

#include <moonstand/vec3.h>

#include <stdbool.h>

enum { HORIZON_POINTS = 360 };

/* The horizon around the site: altitude by azimuth, linear between points, closed. */
struct horizon {
    bool sea;  /* open sea all round: no points of its own; horizon_of_sea() sets the dip once the
                  height is known */
    int count; /* 0: a flat horizon at altitude zero */
    double azimuth_rad[HORIZON_POINTS]; /* rising, in [0, 2 pi) */
    double altitude_rad[HORIZON_POINTS];
};

/* Altitude of the horizon profile in a direction, radians. */
double horizon_altitude(const struct horizon *horizon, double azimuth_rad);
/* The horizon of the open sea from a height. Its dip below level is 1.76 arcmin times the root of
 * the metres, with mean refraction (Nautical Almanac 2022; the same as Bowditch's 0.97 arcmin times
 * the root of the feet), 0 at or below sea level. The real one varies by an arcminute and more with
 * the temperature of air and water. */
void horizon_of_sea(double height_m, struct horizon *horizon);

struct observer {
    double latitude_rad, longitude_rad; /* geodetic WGS 84, north and east positive */
    double height_m;                    /* above the ellipsoid */
    double pressure_hpa, temperature_c; /* of the air, for refraction */
    struct horizon horizon;
    /* Derived by observer_make. */
    struct vec3 itrs_m;
    double sin_lat, cos_lat, sin_lon, cos_lon;
};

/* Sets the place, a flat horizon and the standard atmosphere at that height (ISO 2533). */
void observer_make(struct observer *observer, double latitude_rad, double longitude_rad,
                   double height_m);

#endif
