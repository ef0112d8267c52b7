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

/* Four neighbouring samples and where between them an instant is. */
struct place {
    int first;
    double u; /* steps from the first */
};

static bool place_of(const struct track *track, double utc, struct place *place)
{
    double s = (utc - track->utc_from) / track->step_s;
    int last = track->count - 1, before;

    /* Allow for rounding at the ends of the span. */
    if (!(s >= -1e-9 && s <= last + 1e-9) || track->count < 4)
        return false;
    before = (int)s - 1;
    place->first = before < 0 ? 0 : before > last - 3 ? last - 3 : before;
    place->u = s - place->first;
    return true;
}

/* What each of the four weighs in the value. */
static void weigh(double u, double weight[4])
{
    weight[0] = -(u - 1) * (u - 2) * (u - 3) / 6;
    weight[1] = u * (u - 2) * (u - 3) / 2;
    weight[2] = -u * (u - 1) * (u - 3) / 2;
    weight[3] = u * (u - 1) * (u - 2) / 6;
}

/* And in its slope per second. */
static void weigh_slope(double u, double step_s, double weight[4])
{
    weight[0] = -(u * (3 * u - 12) + 11) / (6 * step_s);
    weight[1] = (u * (3 * u - 10) + 6) / (2 * step_s);
    weight[2] = -(u * (3 * u - 8) + 3) / (2 * step_s);
    weight[3] = (u * (3 * u - 6) + 2) / (6 * step_s);
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

void track_disc(const struct track *track, double utc, struct vec3 *direction,
                double *semidiameter_rad)
{
    struct place place;
    double weight[4], sum = 0;

    *direction = (struct vec3){NAN, NAN, NAN};
    *semidiameter_rad = NAN;
    if (!place_of(track, utc, &place))
        return;
    weigh(place.u, weight);
    for (int i = 0; i < 4; i++)
        sum += track->semidiameter_rad[place.first + i] * weight[i];
    *direction = vec3_unit(weighted(track->enu + place.first, weight));
    *semidiameter_rad = sum;
}

struct vec3 track_direction(const struct track *track, double utc)
{
    struct vec3 direction;
    double semidiameter_rad;

    track_disc(track, utc, &direction, &semidiameter_rad);
    return direction;
}

double track_semidiameter(const struct track *track, double utc)
{
    struct vec3 direction;
    double semidiameter_rad;

    track_disc(track, utc, &direction, &semidiameter_rad);
    return semidiameter_rad;
}

struct vec3 track_velocity(const struct track *track, double utc)
{
    struct place place;
    double weight[4];

    if (!place_of(track, utc, &place))
        return (struct vec3){NAN, NAN, NAN};
    weigh_slope(place.u, track->step_s, weight);
    return weighted(track->enu + place.first, weight);
}

double track_speed_arcsec_per_s(const struct track *track, double utc)
{
    return arcsec_from_rad(vec3_length(track_velocity(track, utc)));
}

bool track_is_up(const struct track *track, const struct horizon *horizon, double utc)
{
    struct vec3 moon;
    double semidiameter, top;

    track_disc(track, utc, &moon, &semidiameter);
    top = asin(moon.z) + semidiameter;
    return isfinite(top) && top > horizon_altitude(horizon, atan2(moon.x, moon.y));
}
