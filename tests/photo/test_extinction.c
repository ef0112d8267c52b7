/* Extinction against Green's table. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/sky_light.h>
#include <stdio.h>

#include "near.h"

/* Green 1992, International Comet Quarterly 14, 55: all 34 zenith distances, five heights. */
static void green_table(void **state)
{
    static const double height_m[] = {0, 500, 1000, 2000, 3000};
    char line[256];
    int rows = 0;
    double worst = 0;

    (void)state;
    FILE *file = fopen(TEST_DATA "/extinction_green1992.csv", "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        double z, mag[5];

        if (sscanf(line, "%lf,%lf,%lf,%lf,%lf,%lf", &z, &mag[0], &mag[1], &mag[2], &mag[3],
                   &mag[4]) != 6)
            continue;
        for (int i = 0; i < 5; i++) {
            double ours = extinction_mag(rad_from_deg(90 - z), height_m[i], NAN);

            worst = fmax(worst, fabs(ours - mag[i]));
            assert_near(ours, mag[i], 0.01);
        }
        rows++;
    }
    (void)fclose(file);
    print_message("Green's table: %d rows, worst difference %.4f mag\n", rows, worst);
    assert_int_equal(rows, 34);
}

/* Worked by hand from Green 1992 (as tests/data): air 0.1451 exp(-h/7.996), dust 0.120 exp(-h/1.5),
 * ozone 0.016 at h km. */
static void components(void **state)
{
    (void)state;
    assert_near(extinction_mag(PI / 2, 0, NAN), 0.2811, 1e-6);
    assert_near(extinction_mag(PI / 2, 1000, NAN), 0.2057, 1e-4);
}

static void user_coefficient(void **state)
{
    (void)state;
    assert_near(extinction_mag(PI / 2, 0, 0.2), 0.2, 1e-5);
    /* Rozenberg's air mass, 1 / (cos z + 0.025 exp(-11 cos z)), at 30 and 10 degrees, by hand. */
    assert_near(extinction_mag(rad_from_deg(30), 1234, 0.2), 0.2 * 1.9996, 1e-4);
    assert_near(extinction_mag(rad_from_deg(10), 0, 0.5), 0.5 * 5.6386, 1e-4);
    assert_near(extinction_mag(rad_from_deg(10), 0, 0), 0, 0);
}

/* At the horizon Rozenberg's air mass is 1 / 0.025; below it none is defined. */
static void horizon_is_held(void **state)
{
    (void)state;
    assert_near(extinction_mag(0, 0, 0.3), 40 * 0.3, 1e-9);
    assert_near(extinction_mag(-0.1, 0, 0.3), 40 * 0.3, 1e-9);
    assert_true(isnan(extinction_mag(NAN, 0, NAN)));
    double before = 0;
    for (int i = 90; i >= -5; i--) {
        double now = extinction_mag(rad_from_deg(i), 0, NAN);
        assert_true(now >= before);
        before = now;
    }
}

static void factor(void **state)
{
    (void)state;
    assert_near(extinction_factor(0), 1, 0);
    assert_near(extinction_factor(2.5), 0.1, 1e-12);
    /* 0.56 mag are 0.74 of a stop. */
    assert_near(-log2(extinction_factor(0.56)), 0.744, 0.001);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(green_table),      cmocka_unit_test(components),
        cmocka_unit_test(user_coefficient), cmocka_unit_test(horizon_is_held),
        cmocka_unit_test(factor),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
