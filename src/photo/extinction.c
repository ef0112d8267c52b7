#include <moonstand/sky_light.h>

#include <math.h>

/* Rayleigh scattering, aerosol, ozone; magnitudes per air mass over the height in km. Green 1992,
 * International Comet Quarterly 14, 55. */
static double extinction_zenith_mag(double height_m)
{
    double height_km = height_m / 1000;

    return 0.1451 * exp(-height_km / 7.996) + 0.120 * exp(-height_km / 1.5) + 0.016;
}

/* Rozenberg 1966: 1 at the zenith, 40 at the horizon. */
static double air_mass(double altitude_rad)
{
    double cos_z = sin(altitude_rad > 0 ? altitude_rad : 0);

    return 1 / (cos_z + 0.025 * exp(-11 * cos_z));
}

double extinction_mag(double altitude_rad, double height_m, double zenith_mag)
{
    if (isnan(altitude_rad))
        return NAN;
    return air_mass(altitude_rad) *
           (isnan(zenith_mag) ? extinction_zenith_mag(height_m) : zenith_mag);
}

double extinction_factor(double mag)
{
    return pow(10, -0.4 * mag);
}
