/* From geocentric places through the Earth's rotation to altitude and azimuth.
 *
 * UT1 is taken to be UTC and polar motion is neglected: that costs at most 0.9 s or 14 arcsec of
 * hour angle, today 0.1 s and 2 arcsec.
 */
#include "sky_private.h"

#include <moonstand/angle.h>
#include <moonstand/instant.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>

#include <erfa.h>
#include <math.h>

#define EARTH_TURN_RAD_PER_S 7.292115e-5
#define UNIX_EPOCH_JD 2440587.5

struct body {
    struct vec3 km; /* apparent, GCRS */
    double radius_km;
};

/* From the GCRS to the Earth-fixed frame; returns apparent sidereal time at Greenwich. */
static double earth_fixed(const struct arc *arc, double utc, double tt, double matrix[3][3])
{
    double pole[4], rotation = eraEra00(UNIX_EPOCH_JD, utc / SECONDS_PER_DAY);

    arc_parts(arc, tt, ARC_POLE_X, 4, pole);
    eraC2ixys(pole[0], pole[1], pole[2], matrix);
    eraRz(rotation, matrix);
    return rotation - pole[3];
}

static struct vec3 turned(double matrix[3][3], struct vec3 v)
{
    double in[3] = {v.x, v.y, v.z}, out[3];

    eraRxp(matrix, in, out);
    return (struct vec3){out[0], out[1], out[2]};
}

/* Bends the direction forward along the observer's motion (0.3 arcsec). */
static struct vec3 diurnal_aberration(struct vec3 topocentric_km, struct vec3 observer)
{
    struct vec3 km_per_s = vec3_cross((struct vec3){0, 0, EARTH_TURN_RAD_PER_S}, observer);

    return vec3_add(topocentric_km,
                    vec3_scale(km_per_s, vec3_length(topocentric_km) / LIGHT_KM_PER_S));
}

static struct vec3 direction(double azimuth_rad, double altitude_rad)
{
    return (struct vec3){cos(altitude_rad) * sin(azimuth_rad), cos(altitude_rad) * cos(azimuth_rad),
                         sin(altitude_rad)};
}

static void look(const struct arc *arc, const struct observer *observer, double utc, double tt,
                 struct body body, struct sight *sight)
{
    double matrix[3][3], sidereal = earth_fixed(arc, utc, tt, matrix);
    double sin_lat = sin(observer->latitude_rad), cos_lat = cos(observer->latitude_rad);
    double sin_lon = sin(observer->longitude_rad), cos_lon = cos(observer->longitude_rad);
    struct vec3 here = vec3_scale(observer->itrs_m, 1e-3), seen, fixed; /* km */
    double south, east, up, hour_angle, declination;
    double upper_limb;

    seen = vec3_add(turned(matrix, body.km), vec3_scale(here, -1));
    sight->distance_km = vec3_length(seen);
    sight->semidiameter_rad = asin(body.radius_km / sight->distance_km);
    fixed = vec3_unit(diurnal_aberration(seen, here));

    south = sin_lat * (cos_lon * fixed.x + sin_lon * fixed.y) - cos_lat * fixed.z;
    east = cos_lon * fixed.y - sin_lon * fixed.x;
    up = cos_lat * (cos_lon * fixed.x + sin_lon * fixed.y) + sin_lat * fixed.z;
    sight->azimuth_rad = angle_wrap(atan2(east, -south));
    sight->altitude_airless_rad = atan2(up, hypot(south, east));
    sight->altitude_rad = sight->altitude_airless_rad +
                          refraction_from_true(sight->altitude_airless_rad, observer->pressure_hpa,
                                               observer->temperature_c);

    declination = atan2(fixed.z, hypot(fixed.x, fixed.y));
    hour_angle = angle_wrap_signed(observer->longitude_rad - atan2(fixed.y, fixed.x));
    sight->hour_angle_rad = hour_angle;
    sight->declination_rad = declination;
    sight->right_ascension_rad = angle_wrap(sidereal + atan2(fixed.y, fixed.x));
    sight->parallactic_rad =
        atan2(cos_lat * sin(hour_angle),
              sin_lat * cos(declination) - cos_lat * sin(declination) * cos(hour_angle));

    upper_limb = sight->altitude_airless_rad + sight->semidiameter_rad;
    sight->upper_limb_rad = upper_limb + refraction_from_true(upper_limb, observer->pressure_hpa,
                                                              observer->temperature_c);
    sight->horizon_rad = horizon_altitude(&observer->horizon, sight->azimuth_rad);
    sight->up = sight->upper_limb_rad > sight->horizon_rad;
    sight->enu = direction(sight->azimuth_rad, sight->altitude_rad);
}

void sky_moon(const struct arc *arc, const struct observer *observer, double utc,
              struct sight *sight)
{
    double tt = tt_from_utc(utc);
    struct body moon = {arc_moon(arc, tt), MOON_K * EARTH_EQUATOR_KM};

    look(arc, observer, utc, tt, moon, sight);
}

void sky_sun(const struct arc *arc, const struct observer *observer, double utc,
             struct sight *sight)
{
    double tt = tt_from_utc(utc);
    struct body sun = {arc_sun(arc, tt), sin(rad_from_arcsec(SUN_RADIUS_ARCSEC_1AU)) * AU_KM};

    look(arc, observer, utc, tt, sun, sight);
}
