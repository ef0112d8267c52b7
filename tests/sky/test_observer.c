/* Refraction, the air over a site, the horizon profile. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/observer.h>

#include <math.h>

#include "../../src/sky/sky_private.h"
#include "csv.h"
#include "near.h"

static double from_true_arcmin(double altitude_deg, double pressure_hpa, double temperature_c)
{
    return deg_from_rad(
               refraction_from_true(rad_from_deg(altitude_deg), pressure_hpa, temperature_c)) *
           60;
}

/* JPL Horizons, printed to 0.01 arcmin. */
static void saemundsson_is_that_of_horizons(void **state)
{
    struct csv csv;
    double worst = 0;
    int rows = 0;

    (void)state;
    for (csv_open(&csv, "refraction_horizons.csv"); csv_next(&csv); rows++) {
        double r = from_true_arcmin(csv_number(&csv, "airless_alt_deg"), 1010, 10);

        worst = fmax(worst, fabs(r - csv_number(&csv, "refraction_arcmin")));
    }
    assert_int_equal(rows, 24);
    printf("  refraction against Horizons: largest %.3f arcmin\n", worst);
    assert_near(worst, 0, 0.0095);
    /* Horizons holds 38.80 arcmin from -1 degree down. */
    assert_near(from_true_arcmin(-1, 1010, 10), 38.80, 0.0095);
    assert_near(from_true_arcmin(-30, 1010, 10), 38.80, 0.0095);
}

/* Meeus, Astronomical Algorithms, example 16.a and the table of the formula. */
static void meeus_example(void **state)
{
    (void)state;
    assert_near(from_true_arcmin(33.246 / 60, 1010, 10), 24.618, 0.0005);
    assert_near(from_true_arcmin(0, 1010, 10), 28.982, 0.0005);
    assert_near(from_true_arcmin(5, 1010, 10), 9.674, 0.0005);
    assert_near(from_true_arcmin(30, 1010, 10), 1.746, 0.0005);
    /* The formula turns negative by an arcsecond or less close to the zenith. */
    assert_near(from_true_arcmin(90, 1010, 10), 0, 0);
}

/* A refracted altitude must rise with the true one, or rise and set would be found twice. */
static void refracted_altitude_rises(void **state)
{
    double before = -100;

    (void)state;
    for (double deg = -90; deg <= 90; deg += 0.01) {
        double refracted = deg + from_true_arcmin(deg, 1060, -40) / 60;

        assert_true(refracted > before);
        before = refracted;
    }
}

/* ISO 2533, sea level, 1 km, 5 km. */
static void standard_air(void **state)
{
    struct observer observer;

    (void)state;
    observer_make(&observer, 0, 0, 0);
    assert_near(observer.pressure_hpa, 1013.25, 0.005);
    assert_near(observer.temperature_c, 15, 0.005);
    observer_make(&observer, 0, 0, 1000);
    assert_near(observer.pressure_hpa, 898.76, 0.05);
    assert_near(observer.temperature_c, 8.5, 0.005);
    observer_make(&observer, 0, 0, 5000);
    assert_near(observer.pressure_hpa, 540.2, 0.05);
    assert_near(observer.temperature_c, -17.5, 0.005);
}

static void observer_stands_on_the_ellipsoid(void **state)
{
    struct observer observer;

    (void)state;
    observer_make(&observer, PI / 2, 0, 100);
    assert_near(observer.itrs_m.z, EARTH_POLE_KM * 1000 + 100, 1);
    observer_make(&observer, 0, PI / 2, 0);
    assert_near(observer.itrs_m.y, EARTH_EQUATOR_KM * 1000, 1e-3);
    assert_near(observer.itrs_m.x, 0, 1e-3);
    assert_int_equal(observer.horizon.count, 0);
}

static void horizon_is_straight_between_points_and_closed(void **state)
{
    struct horizon flat = {.count = 0};
    struct horizon one = {.count = 1, .azimuth_rad = {2}, .altitude_rad = {0.3}};
    struct horizon roof = {.count = 3, .azimuth_rad = {0.5, 1.5, 6}, .altitude_rad = {0.1, 0.3, 0}};
    double gap = 2 * PI - 6 + 0.5;

    (void)state;
    assert_near(horizon_altitude(&flat, 1), 0, 0);
    assert_near(horizon_altitude(&one, 0), 0.3, 0);
    assert_near(horizon_altitude(&one, 2), 0.3, 0);
    assert_near(horizon_altitude(&one, 5), 0.3, 0);
    assert_near(horizon_altitude(&roof, 0.5), 0.1, 1e-15);
    assert_near(horizon_altitude(&roof, 1.0), 0.2, 1e-15);
    assert_near(horizon_altitude(&roof, 1.0 + 2 * PI), 0.2, 1e-14);
    assert_near(horizon_altitude(&roof, 1.5), 0.3, 1e-15);
    assert_near(horizon_altitude(&roof, 6), 0, 1e-15);
    assert_near(horizon_altitude(&roof, 6.2), 0.1 * 0.2 / gap, 1e-14);
    assert_near(horizon_altitude(&roof, 0.25), 0.1 * (gap - 0.25) / gap, 1e-14);
    assert_near(horizon_altitude(&roof, -0.083185307), 0.1 * 0.2 / gap, 1e-8);
}

static double sea_dip_rad(double height_m)
{
    struct horizon horizon;

    horizon_of_sea(height_m, &horizon);
    return -horizon_altitude(&horizon, 0);
}

/* Dip tables: height of eye 9 m 5.3', 30 ft 5.3', 100 ft 9.7', 2000 ft 43.4' (Nautical Almanac;
 * Bowditch, table 13: to 0.1'; from memory). */
static void the_seas_dip_is_that_of_the_navigators(void **state)
{
    static const struct {
        double height_m, arcmin;
    } rows[] = {{9, 5.3}, {30 * 0.3048, 5.3}, {100 * 0.3048, 9.7}, {2000 * 0.3048, 43.4}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_near(deg_from_rad(sea_dip_rad(rows[i].height_m)) * 60, rows[i].arcmin, 0.06);
    assert_near(sea_dip_rad(0), 0, 0);
    assert_near(sea_dip_rad(-400), 0, 0);
}

/* Without air the sea meets the sky at acos(R / (R + h)); a ray that bends with 0.165 of the
 * Earth's curvature (mean terrestrial refraction, common practice of surveyors, no source) sees it
 * less deep by the root of 1 - 0.165. */
static void the_seas_dip_is_that_of_a_round_earth(void **state)
{
    (void)state;
    for (double height_m = 10; height_m < 4000; height_m *= 2) {
        double bare = acos(EARTH_EQUATOR_KM / (EARTH_EQUATOR_KM + height_m / 1000));

        assert_near(sea_dip_rad(height_m) / (bare * sqrt(1 - 0.165)), 1, 0.005);
    }
}

static void the_sea_lies_as_deep_all_round(void **state)
{
    struct horizon horizon;

    (void)state;
    horizon_of_sea(1000, &horizon);
    assert_true(horizon.sea);
    for (double azimuth = 0; azimuth < 2 * PI; azimuth += 0.1)
        assert_near(deg_from_rad(horizon_altitude(&horizon, azimuth)), -1.76 * sqrt(1000) / 60,
                    1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(saemundsson_is_that_of_horizons),
        cmocka_unit_test(meeus_example),
        cmocka_unit_test(refracted_altitude_rises),
        cmocka_unit_test(standard_air),
        cmocka_unit_test(observer_stands_on_the_ellipsoid),
        cmocka_unit_test(horizon_is_straight_between_points_and_closed),
        cmocka_unit_test(the_seas_dip_is_that_of_the_navigators),
        cmocka_unit_test(the_seas_dip_is_that_of_a_round_earth),
        cmocka_unit_test(the_sea_lies_as_deep_all_round),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
