/* Light of the sky and on the ground, by the altitudes of Sun and Moon.
 *
 * Horizontal illuminance under a clear sky, x = altitude / 90 degrees:
 *     log10 E = l0 + l1 x + l2 x^2 + l3 x^3     (lux)
 * Coefficients: Seidelmann (ed.), Explanatory Supplement to the Astronomical Almanac (1992),
 * section 9, repeated by Urban & Seidelmann (3rd edition, 2013), p. 518 ff.; the solar rows also in
 * Vallado, Fundamentals of Astrodynamics and Applications, table 5-1. Stated errors of log10: 0.01
 * to 0.03. The extinction of average air is in them. Below its last row a body's light goes on
 * falling at the rate with which the row ends, so that nothing jumps.
 *
 * Luminance of the sky: a sky of even luminance gives E / pi. The zenith in twilight is darker, by
 * 0.7 to 1.1 stops from -5 to -12 degrees (Patat, Ugolnikov & Postylyakov 2006, A&A 455, 385), and
 * so is the part of the sky opposite the Sun, where an eclipsed Moon is: E / pi is the safe
 * side. Under moonlight it holds the Moon's direct light as well, which is no part of the sky, and
 * comes out up to tenfold too bright; even so it stays below a fiftieth of the darkest part of a
 * Moon that gives so much light. */
#include "photo_private.h"

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/sky_light.h>

#include <math.h>

#define STARLIGHT_LUX 0.002 /* starlight and airglow, same source */
#define MEAN_DISTANCE_KM 384400.0
#define GROUND_REFLECTANCE 0.18
/* From here on most of the Sun's illuminance is direct light: the sky itself hardly grows brighter.
 */
#define SUN_HELD_DEG 5.0

struct row {
    double from_deg; /* up to the row before */
    double l[4];
};

static const struct row sun_rows[] = {
    {20, {3.74, 3.97, -4.07, 1.47}},         {5, {3.05, 13.28, -45.98, 64.33}},
    {-0.8, {2.88, 22.26, -207.64, 1034.30}}, {-5, {2.88, 21.81, -258.11, -858.36}},
    {-12, {2.70, 12.17, -431.69, -1899.83}}, {-18, {13.84, 262.72, 1447.42, 2797.93}},
};
static const struct row moon_rows[] = {
    {20, {-1.95, 4.06, -4.24, 1.56}},
    {5, {-2.58, 12.58, -42.58, 59.06}},
    {-0.8, {-2.79, 24.27, -252.95, 1321.29}},
};

static double illuminance_lux(const struct row *rows, int count, double altitude_deg)
{
    int i = 0;

    while (i < count - 1 && altitude_deg < rows[i].from_deg)
        i++;

    const double *l = rows[i].l;
    double x = fmax(altitude_deg, rows[i].from_deg) / 90;
    double log_lux = l[0] + x * (l[1] + x * (l[2] + x * l[3]));
    double slope = l[1] + x * (2 * l[2] + x * 3 * l[3]);

    return pow(10, log_lux + slope * (altitude_deg / 90 - x));
}

static double sun_lux(double altitude_deg)
{
    return illuminance_lux(sun_rows, sizeof sun_rows / sizeof *sun_rows, altitude_deg);
}

/* ---- moonlight ---- */

#define OPPOSITION_DEX 0.13 /* of the surge */
#define OPPOSITION_FULL_DEG 1.5
#define OPPOSITION_NONE_DEG 5.0
#define UMBRA_EDGE_LIGHT 0.0024 /* E/E0 at the edge of the umbra in clean air */

double moon_luminance(double phase_angle_rad, double sun_distance_km)
{
    double a = fabs(deg_from_rad(phase_angle_rad));
    double au = sun_distance_km / AU_KM;
    double surge = (OPPOSITION_NONE_DEG - a) / (OPPOSITION_NONE_DEG - OPPOSITION_FULL_DEG);
    double surge_dex = OPPOSITION_DEX * clamp(surge, 0, 1);

    return MEAN_FULL_MOON / (au * au) *
           pow(10, surge_dex - 0.4 * (0.026 * a + 4e-9 * a * a * a * a));
}

double moon_part_luminance(double luminance, double fraction)
{
    double depth = clamp(log(fraction) / log(UMBRA_EDGE_LIGHT), 0, 1);

    return luminance * fraction * pow(10, -OPPOSITION_DEX * depth);
}

double moonlight_share(double luminance, double mean_fraction, double distance_km)
{
    double nearer = MEAN_DISTANCE_KM / distance_km;

    return moon_part_luminance(luminance, mean_fraction) / MEAN_FULL_MOON * nearer * nearer;
}

void sky_light(double sun_altitude_rad, double moon_altitude_rad, double moon_share,
               struct sky_light *light)
{
    double sun_deg = deg_from_rad(sun_altitude_rad);
    double night_lux = STARLIGHT_LUX +
                       moon_share * illuminance_lux(moon_rows, sizeof moon_rows / sizeof *moon_rows,
                                                    deg_from_rad(moon_altitude_rad));

    light->ground_lux = night_lux + sun_lux(sun_deg);
    light->luminance = (night_lux + sun_lux(fmin(sun_deg, SUN_HELD_DEG))) / PI;
    if (isnan(sun_altitude_rad))
        light->luminance = NAN; /* fmin would hide it */
}

double landscape_luminance(double ground_lux)
{
    return GROUND_REFLECTANCE * ground_lux / PI;
}
