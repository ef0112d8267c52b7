/* photo: extinction, moonlight, the light of the sky and on the ground. */
#ifndef MOONSTAND_SKY_LIGHT_H
#define MOONSTAND_SKY_LIGHT_H

/* Extinction in magnitudes at an apparent altitude: the components of Green 1992 times Rozenberg's
 * air mass, average conditions; within 0.01 mag of every cell of Green's table (sea level to 3 km).
 * Below the horizon the value at the horizon is held. `zenith_mag`: the user's own coefficient,
 * magnitudes per air mass; NaN: Green's for that height (0.281 at sea level, 0.206 at 1 km). */
double extinction_mag(double altitude_rad, double height_m, double zenith_mag);
/* The fraction of light left after so many magnitudes. */
double extinction_factor(double mag);

struct sky_light {
    double ground_lux; /* horizontal illuminance: Sun, Moon, starlight */
    double luminance;  /* of the clear sky about the Moon, cd/m2 */
};
/* From the airless altitudes of Sun and Moon and the moonlight_share(). Sources and accuracy:
 * sky_light.c. NaN if any of them is. */
void sky_light(double sun_altitude_rad, double moon_altitude_rad, double moon_share,
               struct sky_light *light);
/* Mean luminance of the sunlit full disc above the atmosphere, cd/m2. 4935 for the mean full Moon
 * of -12.74 mag (0 mag = 2.54e-6 lx, disc 6.42e-5 sr) at 1 au; falls with the phase angle by 0.026
 * |a| + 4e-9 a^4 mag (Allen; a in degrees) and with the square of the Sun's distance. The
 * opposition surge, 0.13 dex (0.33 mag; Schmidt: -13.09 in the early penumbra), is full up to 1.5
 * degrees, the phase of every eclipsed point, and gone at 5. Apply the whole extinction: 4935 is
 * above the air, while the 3950 cd/m2 that the meter's anchors imply already include one air
 * mass. */
double moon_luminance(double phase_angle_rad, double sun_distance_km);
/* Luminance of a part of the disc that gets a fraction of full sunlight, from the sunlit disc's.
 * The light inside the umbra is fitted against the mean full Moon, so the surge in `luminance` is
 * removed in proportion to the depth, and wholly from the umbra's edge inwards. */
double moon_part_luminance(double luminance, double fraction);
/* The Moon's light relative to the full Moon at mean distance: `luminance` from moon_luminance(),
 * `mean_fraction` of full sunlight over the disc, topocentric distance. */
double moonlight_share(double luminance, double mean_fraction, double distance_km);

#endif
