/* Apparent Moon and Sun and the Earth's pole as Chebyshev series.
 *
 * Five terms hold twelve hours of the Moon to 0.5 m. The Sun's place and velocity at a block's
 * middle and the pull of Sun and Moon on the Earth give the rest of the block to 0.1 km (what the
 * planets add), and the pole's path is a parabola: both are sampled from those few costly
 * evaluations and then fitted like the Moon.
 *
 * Aberration: the apparent place of a body is where it was, relative to the Earth's centre, a
 * light-time ago. This takes light-time and the aberration of the Earth's motion together (for the
 * Sun, 20.5 arcsec) and is exact to the second order of v/c, below 0.01 arcsec.
 */
#include "sky_private.h"

#include <moonstand/angle.h>
#include <moonstand/instant.h>

#include <erfa.h>
#include <math.h>

/* A day with a minute on either side is two blocks. */
#define BLOCK_MOST_S 43260.0
/* First guesses of the light-times. */
#define MOON_LIGHT_S 1.28
#define SUN_LIGHT_S 499.0

/* Chebyshev nodes on [-1, 1]. */
static double node(int k)
{
    return cos(PI * (k + 0.5) / ARC_ORDER);
}

static void fit(const double values[ARC_ORDER], double series[ARC_ORDER])
{
    for (int j = 0; j < ARC_ORDER; j++) {
        double sum = 0;

        for (int k = 0; k < ARC_ORDER; k++)
            sum += values[k] * cos(PI * j * (k + 0.5) / ARC_ORDER);
        series[j] = sum * (j == 0 ? 1.0 : 2.0) / ARC_ORDER;
    }
}

static double value(const double series[ARC_ORDER], double x)
{
    double b1 = 0, b2 = 0;

    for (int j = ARC_ORDER - 1; j > 0; j--) {
        double b0 = 2 * x * b1 - b2 + series[j];

        b2 = b1;
        b1 = b0;
    }
    return x * b1 - b2 + series[0];
}

static struct vec3 place(double series[3][ARC_ORDER], double x)
{
    return (struct vec3){value(series[0], x), value(series[1], x), value(series[2], x)};
}

static void fit_places(const struct vec3 places[ARC_ORDER], double series[3][ARC_ORDER])
{
    double x[ARC_ORDER], y[ARC_ORDER], z[ARC_ORDER];

    for (int k = 0; k < ARC_ORDER; k++) {
        x[k] = places[k].x;
        y[k] = places[k].y;
        z[k] = places[k].z;
    }
    fit(x, series[0]);
    fit(y, series[1]);
    fit(z, series[2]);
}

/* Turns places of `light_s` ago into those of their true light-time ago. */
static void settle_light_time(double series[3][ARC_ORDER], double light_s, double block_s)
{
    struct vec3 places[ARC_ORDER];

    for (int k = 0; k < ARC_ORDER; k++) {
        double true_light_s = vec3_length(place(series, node(k))) / LIGHT_KM_PER_S;

        places[k] = place(series, node(k) + (light_s - true_light_s) / (block_s / 2));
    }
    fit_places(places, series);
}

static void fit_moon(double series[3][ARC_ORDER], double tt_middle, double block_s)
{
    struct vec3 places[ARC_ORDER];

    for (int k = 0; k < ARC_ORDER; k++)
        places[k] = moon_geometric(tt_middle + node(k) * block_s / 2 - MOON_LIGHT_S);
    fit_places(places, series);
    settle_light_time(series, MOON_LIGHT_S, block_s);
}

struct motion {
    struct vec3 km, km_per_s;
};

static struct motion sun_motion(double tt)
{
    double day, fraction, heliocentric[2][3], barycentric[2][3];
    struct motion sun;

    jd_from_tt(tt, &day, &fraction);
    (void)eraEpv00(day, fraction, heliocentric, barycentric);
    sun.km = (struct vec3){heliocentric[0][0], heliocentric[0][1], heliocentric[0][2]};
    sun.km_per_s = (struct vec3){heliocentric[1][0], heliocentric[1][1], heliocentric[1][2]};
    sun.km = vec3_scale(sun.km, -AU_KM);
    sun.km_per_s = vec3_scale(sun.km_per_s, -AU_KM / SECONDS_PER_DAY);
    return sun;
}

struct vec3 sun_geometric(double tt)
{
    return sun_motion(tt).km;
}

/* Acceleration of the Sun as seen from the Earth's centre, km/s2; GM of IERS Conventions 2010,
 * table 1.1. */
static struct vec3 sun_pull(struct vec3 sun_km, struct vec3 moon_km)
{
    const double gm_sun_earth = 1.32712440041e11 + 3.986004418e5, gm_moon = 4.9028e3;
    double sun = vec3_length(sun_km), moon = vec3_length(moon_km);

    return vec3_add(vec3_scale(sun_km, -gm_sun_earth / (sun * sun * sun)),
                    vec3_scale(moon_km, -gm_moon / (moon * moon * moon)));
}

/* Integrates from the block's middle, with a pull that changes linearly from there. */
static void fit_sun(double series[3][ARC_ORDER], double moon[3][ARC_ORDER], double tt_middle,
                    double block_s)
{
    struct motion middle = sun_motion(tt_middle - SUN_LIGHT_S);
    struct vec3 pull = sun_pull(middle.km, place(moon, 0)), places[ARC_ORDER];

    for (int k = 0; k < ARC_ORDER; k++) {
        double s = node(k) * block_s / 2;
        struct vec3 straight = vec3_add(middle.km, vec3_scale(middle.km_per_s, s));
        struct vec3 there = sun_pull(straight, place(moon, node(k)));

        places[k] = vec3_add(straight, vec3_scale(vec3_add(vec3_scale(pull, 2), there), s * s / 6));
    }
    fit_places(places, series);
    settle_light_time(series, SUN_LIGHT_S, block_s);
}

/* Pole (X, Y), CIO locator and equation of the origins, IAU 2006/2000A. */
struct orientation {
    double part[4];
};

static struct orientation orientation_at(double tt)
{
    double day, fraction, matrix[3][3];
    struct orientation o;

    jd_from_tt(tt, &day, &fraction);
    eraPnm06a(day, fraction, matrix);
    eraBpn2xy(matrix, &o.part[0], &o.part[1]);
    o.part[2] = eraS06(day, fraction, o.part[0], o.part[1]);
    o.part[3] = eraEors(matrix, o.part[2]);
    return o;
}

static struct orientation orientation_of_precession(double tt)
{
    double day, fraction, matrix[3][3];
    struct orientation o = {{0, 0, NAN, NAN}};

    jd_from_tt(tt, &day, &fraction);
    eraPmat06(day, fraction, matrix);
    eraBpn2xy(matrix, &o.part[0], &o.part[1]);
    return o;
}

/* A parabola through the block's start, middle and end. */
static void fit_orientation(double series[4][ARC_ORDER], const struct orientation *from,
                            const struct orientation *middle, const struct orientation *to)
{
    for (int i = 0; i < 4; i++) {
        double slope = (to->part[i] - from->part[i]) / 2;
        double bend = (to->part[i] + from->part[i]) / 2 - middle->part[i];
        double values[ARC_ORDER];

        for (int k = 0; k < ARC_ORDER; k++)
            values[k] = middle->part[i] + node(k) * (slope + node(k) * bend);
        fit(values, series[i]);
    }
}

int arc_make(struct arc *arc, double tt_from, double tt_to, bool with_pole)
{
    double span_s = tt_to - tt_from;
    struct orientation (*orientation)(double) =
        with_pole ? orientation_at : orientation_of_precession;
    struct orientation pole_from;

    if (!(span_s > 0) || span_s > ARC_BLOCKS * BLOCK_MOST_S)
        return -1;
    arc->tt_from = tt_from;
    arc->blocks = (int)ceil(span_s / BLOCK_MOST_S);
    arc->block_s = span_s / arc->blocks;

    pole_from = orientation(tt_from);
    for (int b = 0; b < arc->blocks; b++) {
        double middle = tt_from + (b + 0.5) * arc->block_s;
        double end = middle + arc->block_s / 2;
        struct orientation pole_middle = orientation(middle), pole_to = orientation(end);

        fit_moon(arc->c[b] + ARC_MOON, middle, arc->block_s);
        fit_sun(arc->c[b] + ARC_SUN, arc->c[b] + ARC_MOON, middle, arc->block_s);
        fit_orientation(arc->c[b] + ARC_POLE_X, &pole_from, &pole_middle, &pole_to);
        pole_from = pole_to;
    }
    return 0;
}

void arc_parts(const struct arc *arc, double tt, int first, int count, double *values)
{
    double position = (tt - arc->tt_from) / arc->block_s;
    int block;

    if (!(position >= 0 && position <= arc->blocks)) {
        for (int i = 0; i < count; i++)
            values[i] = NAN;
        return;
    }
    block = (int)position;
    if (block == arc->blocks)
        block--;
    for (int i = 0; i < count; i++)
        values[i] = value(arc->c[block][first + i], 2 * (position - block) - 1);
}

static struct vec3 arc_place(const struct arc *arc, double tt, int first)
{
    double v[3];

    arc_parts(arc, tt, first, 3, v);
    return (struct vec3){v[0], v[1], v[2]};
}

struct vec3 arc_moon(const struct arc *arc, double tt)
{
    return arc_place(arc, tt, ARC_MOON);
}

struct vec3 arc_sun(const struct arc *arc, double tt)
{
    return arc_place(arc, tt, ARC_SUN);
}

struct vec3 arc_pole(const struct arc *arc, double tt)
{
    double xy[2];

    arc_parts(arc, tt, ARC_POLE_X, 2, xy);
    return (struct vec3){xy[0], xy[1], sqrt(1 - xy[0] * xy[0] - xy[1] * xy[1])};
}
