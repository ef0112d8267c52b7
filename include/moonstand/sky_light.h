/* photo: extinction, the light of the sky and on the ground. */
#ifndef MOONSTAND_SKY_LIGHT_H
#define MOONSTAND_SKY_LIGHT_H

/* Extinction in magnitudes for an apparent altitude and a site's height: the components of Green
 * 1992 times Rozenberg's air mass, average conditions; within 0.01 mag of every cell of Green's
 * table (sea level to 3 km). Below the horizon the value at the horizon is held.
 * `zenith_mag` replaces the zenith coefficient by the user's own; NaN takes the table's. */
double extinction_mag(double altitude_rad, double height_m, double zenith_mag);
/* The zenith coefficient, magnitudes per air mass: 0.281 at sea level, 0.206 at 1 km. */
double extinction_zenith_mag(double height_m);
/* What is left of the light after so many magnitudes, 1 at none. */
double extinction_factor(double mag);

struct sky_light {
    double ground_lux; /* horizontal illuminance: Sun, Moon, starlight */
    double luminance;  /* of the clear sky about the Moon, cd/m2 */
};
/* By the airless altitudes of Sun and Moon; `moon_share` is the Moon's light against that of the
 * full Moon at mean distance (moonlight_share), 0 for none. Sources, accuracy: sky_light.c. All NaN
 * where one of them is. */
void sky_light(double sun_altitude_rad, double moon_altitude_rad, double moon_share,
               struct sky_light *light);
/* What the Moon gives against the full Moon at mean distance: `luminance` as of moon_luminance(),
 * `mean_fraction` of full sunlight over the disc (the eclipse's dimming), topocentric distance. */
double moonlight_share(double luminance, double mean_fraction, double distance_km);
/* Luminance of a diffuse landscape of 18 % reflectance, cd/m2. */
double landscape_luminance(double ground_lux);

#endif
