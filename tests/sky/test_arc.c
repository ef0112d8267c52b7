/* The arc against the places that it was fitted to. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>

#include <erfa.h>
#include <math.h>
#include <stdio.h>

#include "../../src/sky/sky_private.h"
#include "near.h"

#define LIGHT_KM_PER_S 299792.458

static double distance(struct vec3 a, struct vec3 b)
{
    return vec3_length(vec3_add(a, vec3_scale(b, -1)));
}

static void arc_follows_the_direct_places(void **state)
{
    double moon_km = 0, sun_km = 0, pole_arcsec = 0;

    (void)state;
    for (int i = 0; i < 24; i++) {
        struct arc arc;
        double from = -3.1e9 + i * 2.6e8, span = (1 + i % 4) * SECONDS_PER_DAY;

        assert_int_equal(arc_make(&arc, from, from + span, true), 0);
        for (int k = 0; k <= 20; k++) {
            double tt = from + span * k / 20, x, y, s;
            struct vec3 moon = arc_moon(&arc, tt), sun = arc_sun(&arc, tt);
            struct vec3 pole = arc_pole(&arc, tt);

            moon_km = fmax(moon_km,
                           distance(moon, moon_geometric(tt - vec3_length(moon) / LIGHT_KM_PER_S)));
            sun_km =
                fmax(sun_km, distance(sun, sun_geometric(tt - vec3_length(sun) / LIGHT_KM_PER_S)));
            eraXys06a(JD_J2000, tt / SECONDS_PER_DAY, &x, &y, &s);
            pole_arcsec = fmax(pole_arcsec, arcsec_from_rad(hypot(pole.x - x, pole.y - y)));
        }
    }
    printf("  arc: Moon %.2g km, Sun %.2g km, pole %.2g arcsec\n", moon_km, sun_km, pole_arcsec);
    assert_near(moon_km, 0, 0.001);
    assert_near(sun_km, 0, 0.1);
    assert_near(pole_arcsec, 0, 0.001);
}

static void pole_of_precession_is_near_enough(void **state)
{
    struct arc with, without;

    (void)state;
    for (double from = -3.1e9; from < 3.1e9; from += 3e8) {
        assert_int_equal(arc_make(&with, from, from + 20000, true), 0);
        assert_int_equal(arc_make(&without, from, from + 20000, false), 0);
        assert_near(vec3_angle(arc_pole(&with, from + 9e3), arc_pole(&without, from + 9e3)), 0,
                    rad_from_arcsec(20));
    }
}

static void spans_are_checked(void **state)
{
    struct arc arc;
    struct observer observer;
    struct sight sight;

    (void)state;
    assert_int_equal(arc_make(&arc, 0, 0, false), -1);
    assert_int_equal(arc_make(&arc, 10, 0, false), -1);
    assert_int_equal(arc_make(&arc, NAN, 10, false), -1);
    assert_int_equal(arc_make(&arc, 0, NAN, false), -1);
    assert_int_equal(arc_make(&arc, 0, INFINITY, false), -1);
    assert_int_equal(arc_make(&arc, -INFINITY, 0, false), -1);
    assert_int_equal(arc_make(&arc, 0, 4 * SECONDS_PER_DAY + 8 * 60 + 1, false), -1);
    assert_int_equal(arc_make(&arc, 0, 4 * SECONDS_PER_DAY, false), 0);
    assert_true(isfinite(arc_moon(&arc, 0).x));
    assert_true(isfinite(arc_moon(&arc, 4 * SECONDS_PER_DAY).x));
    assert_true(isnan(arc_moon(&arc, -1).x));
    assert_true(isnan(arc_sun(&arc, 4 * SECONDS_PER_DAY + 1).y));
    assert_true(isnan(arc_pole(&arc, NAN).z));

    /* Without the pole there is no telling what an observer sees. */
    observer_make(&observer, 0, 0, 0);
    sky_moon(&arc, &observer, utc_from_tt(3600), &sight);
    assert_true(isnan(sight.altitude_rad));
    assert_false(sight.up);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arc_follows_the_direct_places),
        cmocka_unit_test(pole_of_precession_is_near_enough),
        cmocka_unit_test(spans_are_checked),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
