/* A star with a disc, for tracks whose every property has a closed form. */
#ifndef TEST_STAR_H
#define TEST_STAR_H

#include <moonstand/angle.h>
#include <moonstand/track.h>

#include <math.h>

/* Turns of the sky in a second: a mean sidereal day has 86164.0905 s. */
static const double sidereal_rate = 2 * PI / 86164.0905;

/* Direction east, north, up at an hour angle. */
static inline struct vec3 star_direction(double latitude_rad, double declination_rad,
                                         double hour_angle_rad)
{
    double sl = sin(latitude_rad), cl = cos(latitude_rad);
    double sd = sin(declination_rad), cd = cos(declination_rad);

    return (struct vec3){-cd * sin(hour_angle_rad), sd * cl - cd * cos(hour_angle_rad) * sl,
                         sd * sl + cd * cos(hour_angle_rad) * cl};
}

/* A track from -6 h to +6 h, on the meridian at utc 0. */
static inline void star_track(struct track *track, double latitude_deg, double declination_deg,
                              double rate, double semidiameter_rad)
{
    double latitude = rad_from_deg(latitude_deg);

    track->utc_from = -6 * 3600;
    track->step_s = 60;
    track->count = 12 * 60 + 1;
    track->pole = (struct vec3){0, cos(latitude), sin(latitude)};
    for (int i = 0; i < track->count; i++) {
        double hour_angle = rate * (track->utc_from + i * track->step_s);

        track->enu[i] = star_direction(latitude, rad_from_deg(declination_deg), hour_angle);
        track->semidiameter_rad[i] = semidiameter_rad;
    }
}

#endif
