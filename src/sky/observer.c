#include "sky_private.h"

#include <moonstand/angle.h>
#include <moonstand/observer.h>

#include <erfa.h>
#include <erfam.h>
#include <math.h>

/* ISO 2533, troposphere. */
#define STANDARD_PRESSURE_HPA 1013.25
#define STANDARD_TEMPERATURE_C 15.0
#define STANDARD_LAPSE_C_PER_M 0.0065
#define STANDARD_EXPONENT 5.25588

void observer_make(struct observer *observer, double latitude_rad, double longitude_rad,
                   double height_m)
{
    double cooling_c = STANDARD_LAPSE_C_PER_M * height_m;
    double itrs_m[3] = {NAN, NAN, NAN};

    (void)eraGd2gc(ERFA_WGS84, longitude_rad, latitude_rad, height_m, itrs_m);
    *observer = (struct observer){
        .latitude_rad = latitude_rad,
        .longitude_rad = longitude_rad,
        .height_m = height_m,
        .pressure_hpa = STANDARD_PRESSURE_HPA *
                        pow(1 - cooling_c / (STANDARD_TEMPERATURE_C + 273.15), STANDARD_EXPONENT),
        .temperature_c = STANDARD_TEMPERATURE_C - cooling_c,
        .itrs_m = {itrs_m[0], itrs_m[1], itrs_m[2]},
        .sin_lat = sin(latitude_rad),
        .cos_lat = cos(latitude_rad),
        .sin_lon = sin(longitude_rad),
        .cos_lon = cos(longitude_rad),
    };
}

double horizon_altitude(const struct horizon *horizon, double azimuth_rad)
{
    double azimuth = angle_wrap(azimuth_rad);
    int after = 0, before;
    double gap, past;

    if (horizon->count == 0)
        return 0;
    while (after < horizon->count && horizon->azimuth_rad[after] <= azimuth)
        after++;
    before = (after == 0 ? horizon->count : after) - 1;
    after %= horizon->count;
    gap = angle_wrap(horizon->azimuth_rad[after] - horizon->azimuth_rad[before]);
    past = angle_wrap(azimuth - horizon->azimuth_rad[before]);
    if (gap == 0) /* only one point */
        return horizon->altitude_rad[before];
    return horizon->altitude_rad[before] +
           (horizon->altitude_rad[after] - horizon->altitude_rad[before]) * past / gap;
}

void horizon_of_sea(double height_m, struct horizon *horizon)
{
    double dip_arcmin = 1.76 * sqrt(fmax(0, height_m));

    *horizon = (struct horizon){
        .sea = true, .count = 1, .altitude_rad = {-rad_from_arcsec(60 * dip_arcmin)}};
}

/* Meeus, Astronomical Algorithms, ch. 16; holds at 1010 hPa and 10 C. Just below the zenith the
 * formula turns negative. */
double refraction_from_true(double altitude_rad, double pressure_hpa, double temperature_c)
{
    double h_deg = fmax(deg_from_rad(altitude_rad), -1);
    double arcmin = 1.02 / tan(rad_from_deg(h_deg + 10.3 / (h_deg + 5.11)));

    return pressure_hpa / 1010 * (283 / (273 + temperature_c)) *
           rad_from_arcsec(60 * fmax(arcmin, 0));
}
