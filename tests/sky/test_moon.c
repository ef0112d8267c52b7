/* The Moon's series and the Sun against JPL ephemerides. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>

#include <erfa.h>
#include <math.h>

#include "../../src/sky/sky_private.h"
#include "csv.h"
#include "near.h"

static double tt_from_jd(double jd)
{
    return (jd - JD_J2000) * SECONDS_PER_DAY;
}

static struct vec3 rotate(double matrix[3][3], struct vec3 v)
{
    double in[3] = {v.x, v.y, v.z}, out[3];

    eraRxp(matrix, in, out);
    return (struct vec3){out[0], out[1], out[2]};
}

static double distance(struct vec3 a, struct vec3 b)
{
    return vec3_length(vec3_add(a, vec3_scale(b, -1)));
}

struct worst {
    double arcsec, km;
};

static void compare(struct worst *worst, struct vec3 place, struct vec3 wanted)
{
    worst->arcsec = fmax(worst->arcsec, arcsec_from_rad(vec3_angle(place, wanted)));
    worst->km = fmax(worst->km, fabs(vec3_length(place) - vec3_length(wanted)));
}

/* Asked for are 0.1 arcsec and 0.1 km; `within` holds what was reached. */
static void check(const char *what, struct worst worst, struct worst within)
{
    printf("  %s: largest %.3f arcsec, %.3f km\n", what, worst.arcsec, worst.km);
    assert_near(worst.arcsec, 0, within.arcsec);
    assert_near(worst.km, 0, within.km);
}

/* Examples of the whole table printed with the series: ecliptic and inertial equinox of J2000, in
 * ICRF axes by the frame of the DE405 fit. Printed to 0.1 m. */
static void whole_table_gives_its_printed_examples(void **state)
{
    static const struct {
        double jd;
        struct vec3 km;
    } examples[] = {
        {2448724.5, {-252118.7679, 267821.3748, -20748.1399}},
        {2461280.5, {346003.8795, -182209.3762, 1749.8009}},
        {2462313.5, {15868.8320, -372409.0030, -1082.6865}},
    };
    double matrix[3][3], worst_km = 0;

    (void)state;
    eraIr(matrix);
    eraRz(rad_from_arcsec(-0.05028), matrix);
    eraRx(rad_from_arcsec(84381.40928), matrix);
    for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
        struct vec3 place = rotate(matrix, moon_geometric_full(tt_from_jd(examples[i].jd)));

        worst_km = fmax(worst_km, distance(place, examples[i].km));
    }
    printf("  whole table against its examples: %.3f m\n", 1000 * worst_km);
    assert_near(worst_km, 0, 0.0001);
}

/* Ten dates of JPL DE431, 1950 to 2004. */
static void moon_holds_against_de431(void **state)
{
    struct csv csv;
    struct worst cut = {0, 0}, full = {0, 0};
    double matrix[3][3];
    int rows = 0;

    (void)state;
    eraEcm06(JD_J2000, 0, matrix);
    for (csv_open(&csv, "moon_de431.csv"); csv_next(&csv); rows++) {
        double tt = tt_from_jd(csv_number(&csv, "jd_tt"));
        struct vec3 wanted = {csv_number(&csv, "x"), csv_number(&csv, "y"), csv_number(&csv, "z")};

        compare(&cut, rotate(matrix, moon_geometric(tt)), wanted);
        compare(&full, rotate(matrix, moon_geometric_full(tt)), wanted);
    }
    assert_int_equal(rows, 10);
    check("Moon, cut, against DE431", cut, (struct worst){0.041, 0.042});
    check("Moon, whole, against DE431", full, (struct worst){0.018, 0.020});
}

/* JPL Horizons (DE441), night of 2026-08-28, ICRF axes. The Sun's 11.2 km is the largest error that
 * liberfa states for eraEpv00's heliocentric place over 1900-2100. */
static void moon_and_sun_hold_against_horizons(void **state)
{
    struct csv csv;
    struct worst moon = {0, 0};
    double sun_km = 0;
    int rows = 0;

    (void)state;
    for (csv_open(&csv, "horizons_geo_l2026.csv"); csv_next(&csv); rows++) {
        double tt = tt_from_jd(csv_number(&csv, "jd_tdb"));
        struct vec3 moon_km = {csv_number(&csv, "moon_x"), csv_number(&csv, "moon_y"),
                               csv_number(&csv, "moon_z")};
        struct vec3 wanted_sun_km = {csv_number(&csv, "sun_x"), csv_number(&csv, "sun_y"),
                                     csv_number(&csv, "sun_z")};

        compare(&moon, moon_geometric(tt), moon_km);
        sun_km = fmax(sun_km, distance(sun_geometric(tt), wanted_sun_km));
    }
    assert_int_equal(rows, 290);
    check("Moon, cut, against DE441", moon, (struct worst){0.0095, 0.017});
    printf("  Sun against DE441: largest %.1f km\n", sun_km);
    assert_near(sun_km, 0, 11.2);
}

/* Over the whole span: what the cut leaves out, and liberfa's own Moon (after Meeus), for which its
 * authors state worst cases of 18.3 arcsec and 31.7 km against ELP/MPP02. */
static void cut_and_second_opinion_over_the_span(void **state)
{
    struct worst left_out = {0, 0}, second = {0, 0};

    (void)state;
    for (double jd = 2415020.5; jd < 2488434.5; jd += 137.3) {
        double tt = tt_from_jd(jd), au[2][3];
        struct vec3 full = moon_geometric_full(tt), other;

        eraMoon98(jd, 0, au);
        other = vec3_scale((struct vec3){au[0][0], au[0][1], au[0][2]}, AU_KM);
        compare(&left_out, moon_geometric(tt), full);
        compare(&second, other, full);
    }
    check("cut against whole table, 1900-2100", left_out, (struct worst){0.050, 0.069});
    printf("  liberfa's Moon against whole table, 1900-2100: %.1f arcsec, %.1f km\n", second.arcsec,
           second.km);
    assert_near(second.arcsec, 0, 18.3);
    assert_near(second.km, 0, 31.7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whole_table_gives_its_printed_examples),
        cmocka_unit_test(moon_holds_against_de431),
        cmocka_unit_test(moon_and_sun_hold_against_horizons),
        cmocka_unit_test(cut_and_second_opinion_over_the_span),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
