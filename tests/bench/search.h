/* The search for eclipses as the program does it, but with every place of Moon and Sun asked for
 * anew: what it costs without the program's fits, by any source of places. Knows nothing of the
 * program, so that a library of another licence can be measured in a process of its own. */
#ifndef BENCH_SEARCH_H
#define BENCH_SEARCH_H

#include <math.h>
#include <stdbool.h>
#include <time.h>

#define DAY_S 86400.0
#define RAD (3.14159265358979323846 / 180)

struct place {
    double x, y, z; /* km, apparent, any axes */
};
/* Seconds of TT since J2000.0. */
struct source {
    struct place (*moon)(double tt);
    struct place (*sun)(double tt);
};

struct found {
    int eclipses;
    long steps;        /* places of both asked for */
    double greatest_s; /* sum over the eclipses: to compare */
};

struct at {
    double separation, umbra, penumbra, moon;
};

static inline double size_of(struct place p)
{
    return sqrt(p.x * p.x + p.y * p.y + p.z * p.z);
}

/* Danjon's rule. */
static inline struct at look(const struct source *source, double tt, struct found *found)
{
    struct place m = source->moon(tt), s = source->sun(tt);
    double dm = size_of(m), ds = size_of(s);
    struct place cross = {m.y * s.z - m.z * s.y, m.z * s.x - m.x * s.z, m.x * s.y - m.y * s.x};
    double sun = 959.63 / 3600 * RAD * 149597870.7 / ds, parallax = 1.01 * asin(6378.137 / dm);
    double sun_parallax = asin(6378.137 / ds);

    found->steps++;
    return (struct at){
        .separation = atan2(size_of(cross), -(m.x * s.x + m.y * s.y + m.z * s.z)),
        .umbra = parallax + sun_parallax - sun,
        .penumbra = parallax + sun_parallax + sun,
        .moon = asin(0.2725076 * 6378.137 / dm),
    };
}

static inline double square(double x)
{
    return x * x;
}

static inline double greatest_of(const struct source *source, double tt, struct found *found)
{
    const double h = 5;

    for (int i = 0; i < 8; i++) {
        double before = square(look(source, tt - h, found).separation);
        double now = square(look(source, tt, found).separation);
        double after = square(look(source, tt + h, found).separation);
        double step = (before - after) / (before - 2 * now + after) * h / 2;

        tt += step;
        if (fabs(step) < 1e-3)
            break;
    }
    return tt;
}

static inline double excess_of(const struct source *source, double tt, int edge,
                               struct found *found)
{
    struct at at = look(source, tt, found);
    double limit = edge == 0   ? at.penumbra + at.moon
                   : edge == 1 ? at.umbra + at.moon
                               : at.umbra - at.moon;

    return square(at.separation) - square(limit);
}

static inline double contact_of(const struct source *source, double greatest, int edge, int side,
                                struct found *found)
{
    const double reach = 3.25 * 3600;
    double in = 0, out = reach * reach, tt = NAN;
    double excess_in = excess_of(source, greatest, edge, found);
    double excess_out = excess_of(source, greatest + side * reach, edge, found);
    int held = 0;

    if (!(excess_in < 0 && excess_out > 0))
        return NAN;
    for (int i = 0; i < 100; i++) {
        double at = (in * excess_out - out * excess_in) / (excess_out - excess_in), last = tt, here;

        tt = greatest + side * sqrt(at);
        if (fabs(tt - last) < 1e-4)
            break;
        here = excess_of(source, tt, edge, found);
        if (here < 0) {
            in = at;
            excess_in = here;
            excess_out /= held < 0 ? 2 : 1;
            held = -1;
        } else {
            out = at;
            excess_out = here;
            excess_in /= held > 0 ? 2 : 1;
            held = 1;
        }
    }
    return tt;
}

/* Full Moon and gamma as in J. Meeus, Astronomical Algorithms, ch. 54. */
static inline double guess_of(int lunation, double *gamma)
{
    double k = lunation + 0.5, t = k / 1236.85;
    double m = (2.5534 + 29.10535670 * k) * RAD;
    double mp = (201.5643 + 385.81693528 * k + 0.0107582 * t * t) * RAD;
    double node = (124.7746 - 1.56375588 * k) * RAD;
    double f = (160.7108 + 390.67050284 * k - 0.0016118 * t * t - 0.02665 * sin(node)) * RAD;
    double day = 2451550.09766 - 2451545 + 29.530588861 * k + 0.00015437 * t * t;
    double p, q;

    day += -0.4065 * sin(mp) + 0.1727 * sin(m) + 0.0161 * sin(2 * mp) - 0.0097 * sin(2 * f) +
           0.0073 * sin(mp - m) - 0.0050 * sin(mp + m) - 0.0023 * sin(mp - 2 * f) +
           0.0021 * sin(2 * m);
    p = 0.2070 * sin(m) - 0.0392 * sin(mp) + 0.0116 * sin(2 * mp) - 0.0073 * sin(mp + m) +
        0.0067 * sin(mp - m) + 0.0118 * sin(2 * f);
    q = 5.2207 - 0.0048 * cos(m) - 0.3299 * cos(mp) - 0.0060 * cos(mp + m) + 0.0041 * cos(mp - m);
    *gamma = (p * cos(f) + q * sin(f)) * (1 - 0.0048 * fabs(cos(f)));
    return day * DAY_S;
}

/* All eclipses from 1900 to 2100 with their contacts. */
static inline struct found search_all(const struct source *source)
{
    const double from = -36524.5 * DAY_S, to = 36889.5 * DAY_S;
    struct found found = {0, 0, 0};

    for (int lunation = -1240;; lunation++) {
        double gamma, tt = guess_of(lunation, &gamma), greatest;
        struct at at;

        if (tt > to + DAY_S)
            return found;
        if (tt < from - DAY_S || fabs(gamma) > 1.62)
            continue;
        greatest = greatest_of(source, tt, &found);
        at = look(source, greatest, &found);
        if (at.separation >= at.penumbra + at.moon || greatest < from || greatest >= to)
            continue;
        for (int edge = 0; edge < 3; edge++) {
            (void)contact_of(source, greatest, edge, -1, &found);
            (void)contact_of(source, greatest, edge, 1, &found);
        }
        found.eclipses++;
        found.greatest_s += greatest;
    }
}

/* Of the processor: what else runs on the machine does not count. */
static inline double now_ms(void)
{
    struct timespec now;

    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

#endif
