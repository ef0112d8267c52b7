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

/* The Earth as it stands at an instant. */
struct turn {
    double matrix[3][3]; /* from the GCRS to the Earth-fixed frame */
    double sidereal_rad; /* apparent sidereal time at Greenwich */
};

static struct turn earth_turn(const struct arc *arc, double utc, double tt)
{
    double pole[4], rotation = eraEra00(UNIX_EPOCH_JD, utc / SECONDS_PER_DAY);
    struct turn turn;

    arc_parts(arc, tt, ARC_POLE_X, 4, pole);
    eraC2ixys(pole[0], pole[1], pole[2], turn.matrix);
    eraRz(rotation, turn.matrix);
    turn.sidereal_rad = rotation - pole[3];
    return turn;
}

static struct vec3 turned(struct turn *turn, struct vec3 v)
{
    double in[3] = {v.x, v.y, v.z}, out[3];

    eraRxp(turn->matrix, in, out);
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

/* `km`: the body's apparent place, GCRS. */
static void look(struct turn *turn, const struct observer *observer, struct vec3 km,
                 double radius_km, struct sight *sight)
{
    double sin_lat = observer->sin_lat, cos_lat = observer->cos_lat;
    struct vec3 here = vec3_scale(observer->itrs_m, 1e-3), seen, fixed; /* km */
    double outward, south, east, up, from_pole, upper_limb;

    seen = vec3_add(turned(turn, km), vec3_scale(here, -1));
    sight->distance_km = vec3_length(seen);
    sight->semidiameter_rad = asin(radius_km / sight->distance_km);
    fixed = vec3_unit(diurnal_aberration(seen, here));

    /* Away from the Earth's axis, in the meridian. */
    outward = observer->cos_lon * fixed.x + observer->sin_lon * fixed.y;
    east = observer->cos_lon * fixed.y - observer->sin_lon * fixed.x;
    south = sin_lat * outward - cos_lat * fixed.z;
    up = cos_lat * outward + sin_lat * fixed.z;
    sight->azimuth_rad = angle_wrap(atan2(east, -south));
    sight->altitude_airless_rad = atan2(up, hypot(south, east));
    sight->altitude_rad = sight->altitude_airless_rad +
                          refraction_from_true(sight->altitude_airless_rad, observer->pressure_hpa,
                                               observer->temperature_c);

    from_pole = hypot(fixed.x, fixed.y);
    sight->declination_rad = atan2(fixed.z, from_pole);
    sight->hour_angle_rad = angle_wrap_signed(atan2(-east, outward));
    sight->right_ascension_rad =
        angle_wrap(turn->sidereal_rad + observer->longitude_rad - sight->hour_angle_rad);
    /* The angle at the body between pole and zenith; both sides times the cosine of the declination. */
    sight->parallactic_rad =
        atan2(-cos_lat * east, sin_lat * from_pole * from_pole - cos_lat * fixed.z * outward);

    upper_limb = sight->altitude_airless_rad + sight->semidiameter_rad;
    sight->upper_limb_rad = upper_limb + refraction_from_true(upper_limb, observer->pressure_hpa,
                                                              observer->temperature_c);
    sight->horizon_rad = horizon_altitude(&observer->horizon, sight->azimuth_rad);
    sight->up = sight->upper_limb_rad > sight->horizon_rad;
    sight->enu = direction(sight->azimuth_rad, sight->altitude_rad);
}

void sky_sights(const struct arc *arc, const struct observer *observer, double utc,
                struct sight *moon, struct sight *sun)
{
    double tt = tt_from_utc(utc);
    struct turn turn = earth_turn(arc, utc, tt);

    if (moon)
        look(&turn, observer, arc_moon(arc, tt), MOON_K * EARTH_EQUATOR_KM, moon);
    if (sun)
        look(&turn, observer, arc_sun(arc, tt), sin(rad_from_arcsec(SUN_RADIUS_ARCSEC_1AU)) * AU_KM,
             sun);
}

void sky_moon(const struct arc *arc, const struct observer *observer, double utc,
              struct sight *sight)
{
    sky_sights(arc, observer, utc, sight, NULL);
}

void sky_sun(const struct arc *arc, const struct observer *observer, double utc,
             struct sight *sight)
{
    sky_sights(arc, observer, utc, NULL, sight);
}
