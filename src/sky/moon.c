/* The Moon from ELP/MPP02: J. Chapront, G. Francou, 'The lunar theory ELP revisited. Introduction
 * of new planetary perturbations', Astronomy & Astrophysics 404, 735-742 (2003), with the constants
 * of its fit to JPL DE405/406. TT serves for TDB.
 *
 * Each term is a product of powers e^(i k argument), which are tabulated once per instant, so that
 * no term needs a sine. moon_geometric() sums the 3124 terms of at least 0.001 arcsec or 2 m,
 * moon_geometric_full() all 4799.
 *
 * Accuracy measured, largest error (tests/sky/test_moon.c):
 *   against JPL DE431, ten dates of 1950-2004: 0.040 arcsec, 0.041 km; all terms: 0.017 arcsec,
 *   0.019 km;
 *   against JPL DE441 (Horizons), night of 2026-08-28: 0.009 arcsec, 0.016 km;
 *   omitted by the cut, 535 dates of 1900-2100: 0.049 arcsec, 0.068 km.
 */
#include "sky_private.h"

#include <moonstand/angle.h>
#include <moonstand/instant.h>

#include <erfa.h>
#include <math.h>

enum {
    ARG_D,
    ARG_F,
    ARG_L,
    ARG_LP,
    ARG_PLANETS,
    MOON_ARGUMENTS = ARG_PLANETS + 9 /* eight planets, zeta */
};
enum { MOON_FACTORS = 7 };

/* The frame of the DE405 fit in ICRF axes (Chapront, Chapront-Touze, Francou 2002, Astronomy &
 * Astrophysics 387, 700; from memory, confirmed by measurement: without the first, the mean
 * longitude is off by 0.04 arcsec): right ascension of the inertial equinox, obliquity. */
#define ELP_ORIGIN_ARCSEC (-0.05028)
#define ELP_OBLIQUITY_ARCSEC 84381.40928

struct complex_number {
    double re, im;
};

/* The powers of one argument in the table of powers: -most..most around centre. */
struct moon_powers {
    int centre, most;
};

/* amplitude * e^(i phase), the power of T, and the factors, ended by 0. */
struct moon_term {
    double re, im;
    unsigned char power;
    unsigned short factor[MOON_FACTORS];
};

#include "moon_terms.inc"

static double polynomial_rad(const double arcsec[5], double t)
{
    double sum = arcsec[4];

    for (int i = 3; i >= 0; i--)
        sum = sum * t + arcsec[i];
    return rad_from_arcsec(fmod(sum, 360 * 3600.0));
}

/* The thirteen arguments of the series; returns W1, the mean longitude. */
static double moon_arguments(double t, double argument[MOON_ARGUMENTS])
{
    static const double w1_arcsec[5] = {-510060.114370, 1732559343.384980, -6.84583, 0.00641535,
                                        -4.193e-05};
    static const double w2_arcsec[5] = {300071.882690, 14643420.393172, -38.25839398, -0.04529913,
                                        0.00021301};
    static const double w3_arcsec[5] = {450160.326010, -6967919.581469, 6.3563893, 0.00751788,
                                        -3.586e-05};
    static const double te_arcsec[5] = {361679.138520, 129597742.300320, -0.0202, 9e-06, 1.5e-07};
    static const double varpi_arcsec[5] = {370574.450170, 1161.243420, 0.529265, -0.00011814,
                                           1.1379e-05};
    static const double planet_arcsec[8][5] = {
        {-387896.783081, 538101628.66888}, {-640875.241581, 210664136.45777},
        {361679.138850, 129597742.29300},  {-16436.357222, 68905077.65936},
        {123665.379392, 10925660.57335},   {180278.902495, 4399609.33632},
        {-165415.645766, 1542482.57845},   {-200343.191629, 786547.89700},
    };
    double w1 = polynomial_rad(w1_arcsec, t);
    double te = polynomial_rad(te_arcsec, t);

    argument[ARG_D] = w1 - te + PI;
    argument[ARG_F] = w1 - polynomial_rad(w3_arcsec, t);
    argument[ARG_L] = w1 - polynomial_rad(w2_arcsec, t);
    argument[ARG_LP] = te - polynomial_rad(varpi_arcsec, t);
    for (int i = 0; i < 8; i++)
        argument[ARG_PLANETS + i] = polynomial_rad(planet_arcsec[i], t);
    argument[ARG_PLANETS + 8] = w1 + rad_from_arcsec(5028.79695 * t);
    return w1;
}

static inline struct complex_number times(struct complex_number a, struct complex_number b)
{
    return (struct complex_number){a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}

/* e^(i k argument) for all k that the terms use. */
static void moon_fill_powers(const double argument[MOON_ARGUMENTS],
                             struct complex_number power[MOON_POWERS])
{
    power[0] = (struct complex_number){1, 0};
    for (int i = 0; i < MOON_ARGUMENTS; i++) {
        struct complex_number *centre = power + moon_powers[i].centre;
        struct complex_number one = {cos(argument[i]), sin(argument[i])};

        centre[0] = power[0];
        for (int k = 1; k <= moon_powers[i].most; k++) {
            centre[k] = times(centre[k - 1], one);
            centre[-k] = (struct complex_number){centre[k].re, -centre[k].im};
        }
    }
}

/* Sum of amplitude * T^n * sin(phase + sum of multiplier * argument). */
static double moon_sum(const struct moon_term *terms, int count, double t,
                       const struct complex_number power[MOON_POWERS])
{
    double sum[3] = {0, 0, 0};

    for (const struct moon_term *term = terms; term < terms + count; term++) {
        struct complex_number product = power[term->factor[0]];

        for (int i = 1; i < MOON_FACTORS && term->factor[i]; i++)
            product = times(product, power[term->factor[i]]);
        sum[term->power] += term->re * product.im + term->im * product.re;
    }
    return sum[0] + t * (sum[1] + t * sum[2]);
}

/* From the mean ecliptic and inertial equinox of date to those of J2000.0. */
static struct vec3 moon_to_j2000(struct vec3 v, double t)
{
    double p =
        t * (0.10180391e-4 +
             t * (0.47020439e-6 + t * (-0.5417367e-9 + t * (-0.2507948e-11 + t * 0.463486e-14))));
    double q =
        t * (-0.113469002e-3 +
             t * (0.12372674e-6 + t * (0.12654170e-8 + t * (-0.1371808e-11 - t * 0.320334e-14))));
    double s = sqrt(1 - p * p - q * q);

    return (struct vec3){
        (1 - 2 * p * p) * v.x + 2 * p * q * v.y + 2 * p * s * v.z,
        2 * p * q * v.x + (1 - 2 * q * q) * v.y - 2 * q * s * v.z,
        -2 * p * s * v.x + 2 * q * s * v.y + (1 - 2 * p * p - 2 * q * q) * v.z,
    };
}

/* From the J2000.0 mean ecliptic and inertial equinox to GCRS axes. */
static struct vec3 moon_to_gcrs(struct vec3 v)
{
    double matrix[3][3], ecliptic[3] = {v.x, v.y, v.z}, gcrs[3];

    eraIr(matrix);
    eraRz(rad_from_arcsec(ELP_ORIGIN_ARCSEC), matrix);
    eraRx(rad_from_arcsec(ELP_OBLIQUITY_ARCSEC), matrix);
    eraTrxp(matrix, ecliptic, gcrs);
    return (struct vec3){gcrs[0], gcrs[1], gcrs[2]};
}

static struct vec3 moon_place(double tt, int lon_count, int lat_count, int dist_count)
{
    double t = tt / (SECONDS_PER_DAY * DAYS_PER_CENTURY);
    double argument[MOON_ARGUMENTS];
    struct complex_number power[MOON_POWERS] = {0};
    double w1 = moon_arguments(t, argument);
    double lon, lat, dist;
    struct vec3 place;

    moon_fill_powers(argument, power);
    lon = w1 + rad_from_arcsec(moon_sum(moon_lon, lon_count, t, power));
    lat = rad_from_arcsec(moon_sum(moon_lat, lat_count, t, power));
    dist = moon_sum(moon_dist, dist_count, t, power);

    place.x = dist * cos(lat) * cos(lon);
    place.y = dist * cos(lat) * sin(lon);
    place.z = dist * sin(lat);
    return moon_to_gcrs(moon_to_j2000(place, t));
}

struct vec3 moon_geometric(double tt)
{
    return moon_place(tt, MOON_LON_KEPT, MOON_LAT_KEPT, MOON_DIST_KEPT);
}

struct vec3 moon_geometric_full(double tt)
{
    return moon_place(tt, MOON_LON_ALL, MOON_LAT_ALL, MOON_DIST_ALL);
}
