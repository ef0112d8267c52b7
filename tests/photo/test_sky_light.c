/* Light of the sky and on the ground. Sources beside each check. */
#include "../../src/photo/photo_private.h"
#include "../near.h"

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/exposure.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

static struct sky_light shine(double sun_deg, double moon_deg, double moon_share)
{
    struct sky_light light;

    sky_light(rad_from_deg(sun_deg), rad_from_deg(moon_deg), moon_share, &light);
    return light;
}

/* Worked from the table of the Explanatory Supplement (1992, section 9) apart from this code: each
 * row at its middle and at its ends. Starlight (0.002 lx) is on top. */
static void rows_of_the_table(void **state)
{
    static const double sun[][2] = {{-3.2, 66.0}, {-6, 3.4}, {-9, 0.116}, {-12, 0.0081}};
    static const double moon[][2] = {{30, 0.098}, {60, 0.216}, {90, 0.269}};

    (void)state;
    for (size_t i = 0; i < sizeof sun / sizeof *sun; i++) {
        double lux = shine(sun[i][0], -30, 0).ground_lux - 0.002;

        assert_near(lux / sun[i][1], 1, 0.02);
    }
    for (size_t i = 0; i < sizeof moon / sizeof *moon; i++)
        assert_near((shine(-40, moon[i][0], 1).ground_lux - 0.002) / moon[i][1], 1, 0.01);
}

/* The same on either side of each row's end, where neighbours differ by a percent at most: every row reaches
 * as far as the table has it. */
static void rows_reach_as_far_as_in_the_table(void **state)
{
    static const double sun[][2] = {{20.5, 28215}, {19.5, 26494}, {5.5, 5064.3}, {4.5, 4010.4},
                                    {-0.3, 636}, {-1.3, 326.36}, {-4.5, 17.845}, {-5.5, 5.9936},
                                    {-11.5, 0.011487}, {-12.5, 0.0059683}, {-17, 0.0010031}};
    static const double moon[][2] = {{20.5, 0.059324}, {19.5, 0.05591}, {5.5, 0.011047}, {4.5, 0.0090425}};

    (void)state;
    for (size_t i = 0; i < sizeof sun / sizeof *sun; i++)
        assert_near((shine(sun[i][0], -30, 0).ground_lux - 0.002) / sun[i][1], 1, 1e-3);
    for (size_t i = 0; i < sizeof moon / sizeof *moon; i++)
        assert_near((shine(-40, moon[i][0], 1).ground_lux - 0.002) / moon[i][1], 1, 1e-3);
}

/* Glossary of Meteorology (American Meteorological Society), "civil", "nautical" and "astronomical
 * twilight": about 3 lx at -6, 0.008 lx at -12, 6e-4 lx at -18 degrees. Printed to one digit. */
static void twilight_of_the_glossary(void **state)
{
    (void)state;
    assert_near(shine(-6, -30, 0).ground_lux, 3, 0.5);
    assert_near(shine(-12, -30, 0).ground_lux - 0.002, 0.008, 0.0005);
    assert_near(shine(-18, -30, 0).ground_lux - 0.002, 6e-4, 0.5e-4);
}

/* Sky of the zenith in V over Paranal by the Sun's depression (Patat, Ugolnikov & Postylyakov 2006,
 * A&A 455, 385): 11.84 + 1.518 z - 0.057 z^2 mag/arcsec2, z = depression - 5 degrees, sigma 0.18;
 * 108,400 cd/m2 is 0 mag/arcsec2. The zenith is darker than the mean of the sky. */
static void twilight_of_the_zenith(void **state)
{
    (void)state;
    for (double depression = 5; depression <= 12; depression += 0.5) {
        double z = depression - 5;
        double mag = 11.84 + 1.518 * z - 0.057 * z * z;
        double zenith = 108400 * pow(10, -0.4 * mag);
        double brighter = log2(shine(-depression, -30, 0).luminance / zenith);

        if (depression == floor(depression))
            printf("Sun at -%.0f: sky %.4f cd/m2, %.1f stops over the zenith of Paranal\n",
                   depression, shine(-depression, -30, 0).luminance, brighter);
        assert_true(brighter > 0 && brighter < 1.6);
    }
}

/* The full Moon of -12.74 mag (NASA, Moon Fact Sheet) gives 0.317 lx above the air (0 mag is 2.54e-6
 * lx: from memory); through one air
 * mass of 0.25 mag 0.25 lx at the zenith, and the sky adds its share. */
static void moonlight_by_photometry(void **state)
{
    double zenith = shine(-40, 90, 1).ground_lux;

    (void)state;
    assert_true(zenith > 0.317 * pow(10, -0.4 * 0.25) && zenith < 0.317);
}

static void moonlight_follows_distance_and_eclipse(void **state)
{
    double full = moonlight_share(4935, 1, 384400);

    (void)state;
    assert_near(full, 1, 1e-12);
    /* Perigee and apogee. */
    assert_near(moonlight_share(4935, 1, 356500) / full, pow(384400 / 356500.0, 2), 1e-12);
    assert_near(moonlight_share(4935, 1, 406700) / full, pow(384400 / 406700.0, 2), 1e-12);
    /* E. Schmidt, 2022-11-08: from the opposition peak of -13.09 to -2.31 mag, 20,500 times: a disc
     * with the surge in the penumbra, and the same disc without it at that depth. */
    double peak = moon_luminance(rad_from_deg(1.2), AU_KM);
    double drop = pow(10, -0.4 * (12.74 - 2.31)); /* against the mean full Moon */
    assert_near(moonlight_share(peak, 1, 384400) / moonlight_share(peak, drop, 384400) / 20500, 1,
                0.05);
}

/* No jump where one row gives way to the next, none below the last, and never less light with a
 * higher Sun or Moon. */
static void smooth_and_rising(void **state)
{
    const double step = 0.01;

    (void)state;
    for (double h = -40; h < 90 - step; h += step) {
        struct sky_light sun = shine(h, -30, 0), next = shine(h + step, -30, 0);
        double moon = shine(-40, h, 1).ground_lux, moon_next = shine(-40, h + step, 1).ground_lux;

        /* The table's stated error is 0.03 in the logarithm: no seam is wider. */
        assert_true(next.ground_lux > sun.ground_lux * 0.95 &&
                    next.ground_lux < sun.ground_lux * 1.08);
        assert_true(moon_next > moon * 0.95 && moon_next < moon * 1.08);
        assert_true(next.luminance > sun.luminance * 0.95 && next.luminance < sun.luminance * 1.08);
    }
    /* Starlight is the floor. */
    assert_near(shine(-60, -60, 1).ground_lux, 0.002, 1e-6);
    assert_near(shine(-60, 60, 0).luminance, 0.002 / PI, 1e-9);
}

static void unknown_stays_unknown(void **state)
{
    struct sky_light light = shine(NAN, 30, 1);

    (void)state;
    assert_true(isnan(light.ground_lux) && isnan(light.luminance));
    light = shine(-20, NAN, 1);
    assert_true(isnan(light.ground_lux) && isnan(light.luminance));
    light = shine(-20, 30, NAN);
    assert_true(isnan(light.ground_lux) && isnan(light.luminance));
}

static void landscape(void **state)
{
    (void)state;
    /* A diffuse ground: reflectance times illuminance over pi. */
    assert_near(landscape_luminance(PI), 0.18, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_of_the_table),
        cmocka_unit_test(rows_reach_as_far_as_in_the_table),
        cmocka_unit_test(twilight_of_the_glossary),
        cmocka_unit_test(twilight_of_the_zenith),
        cmocka_unit_test(moonlight_by_photometry),
        cmocka_unit_test(moonlight_follows_distance_and_eclipse),
        cmocka_unit_test(smooth_and_rising),
        cmocka_unit_test(unknown_stays_unknown),
        cmocka_unit_test(landscape),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
