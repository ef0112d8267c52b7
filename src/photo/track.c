/* A cubic through the four nearest samples. For a body that turns with the sky it is off by less
 * than 1e-5 arcsec and 1e-5 arcsec/s; with refraction at the horizon by 0.04 arcsec and 0.002
 * arcsec/s. One degree below the horizon, where refraction is held, the path has a kink. */
#include "photo_private.h"

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>

#include <math.h>

#define STEP_S 60.0 /* about */

/* Four neighbouring samples and their weights in the value and in its slope per second. */
struct blend {
    int first;
    double value[4], slope[4];
};

static bool blend_at(const struct track *track, double utc, struct blend *blend)
{
    double s = (utc - track->utc_from) / track->step_s;
    double last = track->count - 1;
    double u;

    /* Allow for rounding at the ends of the span. */
    if (!(s >= -1e-9 && s <= last + 1e-9) || track->count < 4)
        return false;
    blend->first = (int)fmax(0, fmin(last - 3, floor(s) - 1));
    u = s - blend->first;
    blend->value[0] = -(u - 1) * (u - 2) * (u - 3) / 6;
    blend->value[1] = u * (u - 2) * (u - 3) / 2;
    blend->value[2] = -u * (u - 1) * (u - 3) / 2;
    blend->value[3] = u * (u - 1) * (u - 2) / 6;
    blend->slope[0] = -(u * (3 * u - 12) + 11) / (6 * track->step_s);
    blend->slope[1] = (u * (3 * u - 10) + 6) / (2 * track->step_s);
    blend->slope[2] = -(u * (3 * u - 8) + 3) / (2 * track->step_s);
    blend->slope[3] = (u * (3 * u - 6) + 2) / (6 * track->step_s);
    return true;
}

static struct vec3 weighted(const struct vec3 *sample, const double weight[4])
{
    struct vec3 sum = {0, 0, 0};

    for (int i = 0; i < 4; i++)
        sum = vec3_add(sum, vec3_scale(sample[i], weight[i]));
    return sum;
}

void track_make(struct track *track, const struct arc *arc, const struct observer *observer,
                double utc_from, double utc_to)
{
    double span = utc_to - utc_from;

    track->utc_from = utc_from;
    track->count = (int)fmax(4, fmin(TRACK_POINTS, ceil(span / STEP_S) + 1));
    track->step_s = span / (track->count - 1);
    track->pole = (struct vec3){0, cos(observer->latitude_rad), sin(observer->latitude_rad)};
    for (int i = 0; i < track->count; i++) {
        struct sight moon;

        sky_moon(arc, observer, fmin(utc_to, utc_from + i * track->step_s), &moon);
        track->enu[i] = moon.enu;
        track->semidiameter_rad[i] = moon.semidiameter_rad;
    }
}

struct vec3 track_direction(const struct track *track, double utc)
{
    struct blend blend;

    if (!blend_at(track, utc, &blend))
        return (struct vec3){NAN, NAN, NAN};
    return vec3_unit(weighted(track->enu + blend.first, blend.value));
}

struct vec3 track_velocity(const struct track *track, double utc)
{
    struct blend blend;

    if (!blend_at(track, utc, &blend))
        return (struct vec3){NAN, NAN, NAN};
    return weighted(track->enu + blend.first, blend.slope);
}

double track_semidiameter(const struct track *track, double utc)
{
    struct blend blend;
    double sum = 0;

    if (!blend_at(track, utc, &blend))
        return NAN;
    for (int i = 0; i < 4; i++)
        sum += track->semidiameter_rad[blend.first + i] * blend.value[i];
    return sum;
}

double track_speed_arcsec_per_s(const struct track *track, double utc)
{
    return arcsec_from_rad(vec3_length(track_velocity(track, utc)));
}

bool track_is_up(const struct track *track, const struct horizon *horizon, double utc)
{
    struct vec3 moon = track_direction(track, utc);
    double top = asin(moon.z) + track_semidiameter(track, utc);

    return isfinite(top) && top > horizon_altitude(horizon, atan2(moon.x, moon.y));
}
