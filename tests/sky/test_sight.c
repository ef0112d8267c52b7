/* What an observer sees, against JPL Horizons at Manaus on the night of 2026-08-28. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>
#include <moonstand/text.h>

#include <erfa.h>
#include <math.h>

#include "csv.h"
#include "near.h"

/* Horizons takes the Moon's mean radius, 1737.4 km; ours is the eclipse radius k. */
#define HORIZONS_MOON_KM 1737.4

static struct observer manaus(void)
{
    struct observer observer;

    observer_make(&observer, rad_from_deg(-3.1019), rad_from_deg(-60.0250), 92);
    return observer;
}

static double azimuth_miss_deg(double azimuth_rad, double wanted_deg)
{
    return fabs(deg_from_rad(angle_wrap_signed(azimuth_rad - rad_from_deg(wanted_deg))));
}

/* By hand: 3, 4, 12 are 13 long. */
static void a_unit_vector_is_one_long(void **state)
{
    struct vec3 unit = vec3_unit((struct vec3){3, -4, 12});

    (void)state;
    assert_near(unit.x, 3.0 / 13, 1e-15);
    assert_near(unit.y, -4.0 / 13, 1e-15);
    assert_near(unit.z, 12.0 / 13, 1e-15);
    assert_near(vec3_length((struct vec3){3, -4, 12}), 13, 1e-15);
    assert_near(vec3_angle(unit, (struct vec3){4, 3, 0}), PI / 2, 1e-15);
}

static void places_hold_against_horizons(void **state)
{
    struct observer observer = manaus();
    struct arc arc;
    struct csv csv;
    double from, moon_alt = 0, moon_az = 0, sun_alt = 0, sun_az = 0, diameter = 0;
    int rows = 0;

    (void)state;
    assert_int_equal(parse_instant("2026-08-28T00:00:00Z", &from, NULL), 0);
    from = tt_from_utc(from);
    assert_int_equal(arc_make(&arc, from, from + 12 * 3600, true), 0);
    for (csv_open(&csv, "horizons_topo_l2026.csv"); csv_next(&csv); rows++) {
        struct sight moon, sun;
        double utc;

        assert_int_equal(parse_instant(csv_text(&csv, "ut"), &utc, NULL), 0);
        sky_moon(&arc, &observer, utc, &moon);
        sky_sun(&arc, &observer, utc, &sun);
        moon_alt = fmax(moon_alt, fabs(deg_from_rad(moon.altitude_airless_rad) -
                                       csv_number(&csv, "moon_el_deg")));
        moon_az =
            fmax(moon_az, azimuth_miss_deg(moon.azimuth_rad, csv_number(&csv, "moon_az_deg")));
        sun_alt = fmax(
            sun_alt, fabs(deg_from_rad(sun.altitude_airless_rad) - csv_number(&csv, "sun_el_deg")));
        sun_az = fmax(sun_az, azimuth_miss_deg(sun.azimuth_rad, csv_number(&csv, "sun_az_deg")));
        diameter =
            fmax(diameter, fabs(2 * arcsec_from_rad(asin(HORIZONS_MOON_KM / moon.distance_km)) -
                                csv_number(&csv, "moon_angdiam_arcsec")));
        assert_near(sin(moon.semidiameter_rad) * moon.distance_km, 1738.09, 0.01);
    }
    assert_int_equal(rows, 400);
    printf(
        "  Manaus: Moon altitude %.6f azimuth %.6f, Sun altitude %.6f azimuth %.6f deg; diameter "
        "%.4f arcsec\n",
        moon_alt, moon_az, sun_alt, sun_az, diameter);
    assert_near(moon_alt, 0, 0.000021);
    assert_near(moon_az, 0, 0.00018);
    assert_near(sun_alt, 0, 0.000025);
    assert_near(sun_az, 0, 0.00022);
    /* Horizons takes the distance from where the eye is now to where the Moon was a light-time ago,
     * this program that of both a light-time ago, which is what a moving eye sees. The way between,
     * 39 km, is nearly square to the line of sight here: 2 km at most, 0.01 arcsec. */
    assert_near(diameter, 0, 0.0065);
}

/* Altitude and azimuth turned back to right ascension, declination and parallactic angle by the
 * textbook formulas (liberfa's eraAe2hd), with liberfa's sidereal time. */
static void equatorial_and_horizontal_agree(void **state)
{
    struct observer observer = manaus();
    struct arc arc;
    double from;

    (void)state;
    assert_int_equal(parse_instant("2026-08-28T00:00:00Z", &from, NULL), 0);
    assert_int_equal(arc_make(&arc, tt_from_utc(from), tt_from_utc(from) + 12 * 3600, true), 0);
    for (double utc = from; utc < from + 12 * 3600 - 60; utc += 1700) {
        struct sight moon;
        double ha, dec, sidereal, day, fraction;

        sky_moon(&arc, &observer, utc, &moon);
        eraAe2hd(moon.azimuth_rad, moon.altitude_airless_rad, observer.latitude_rad, &ha, &dec);
        jd_from_tt(tt_from_utc(utc), &day, &fraction);
        sidereal = eraGst06a(2440587.5, utc / SECONDS_PER_DAY, day, fraction);
        assert_near(dec, moon.declination_rad, 1e-9);
        assert_near(angle_wrap_signed(ha - moon.hour_angle_rad), 0, 1e-9);
        assert_near(
            angle_wrap_signed(sidereal + observer.longitude_rad - ha - moon.right_ascension_rad), 0,
            1e-8);
        assert_near(eraHd2pa(ha, dec, observer.latitude_rad), moon.parallactic_rad, 1e-9);
        assert_near(vec3_length(moon.enu), 1, 1e-12);
        assert_near(asin(moon.enu.z), moon.altitude_rad, 1e-9);
        assert_near(angle_wrap(atan2(moon.enu.x, moon.enu.y)), moon.azimuth_rad, 1e-9);
    }
}

static void upper_limb_decides_what_is_up(void **state)
{
    struct observer observer = manaus();
    struct arc arc;
    struct sight moon;
    double utc;

    (void)state;
    assert_int_equal(parse_instant("2026-08-28T04:13:00Z", &utc, NULL), 0);
    assert_int_equal(arc_make(&arc, tt_from_utc(utc) - 60, tt_from_utc(utc) + 60, true), 0);
    observer.horizon = (struct horizon){.count = 1};
    sky_moon(&arc, &observer, utc, &moon);
    observer.horizon.altitude_rad[0] = moon.upper_limb_rad + 1e-6;
    sky_moon(&arc, &observer, utc, &moon);
    assert_false(moon.up);
    observer.horizon.altitude_rad[0] -= 2e-6;
    sky_moon(&arc, &observer, utc, &moon);
    assert_true(moon.up);
    assert_near(moon.upper_limb_rad - moon.altitude_rad, moon.semidiameter_rad, 1e-5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_unit_vector_is_one_long),
        cmocka_unit_test(places_hold_against_horizons),
        cmocka_unit_test(equatorial_and_horizontal_agree),
        cmocka_unit_test(upper_limb_decides_what_is_up),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
