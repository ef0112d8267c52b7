/* The test print against a picture rendered here, pixel by pixel: the meter equation (ISO 2720:
 * N^2/t = L S / K, K 12.5), saturation by ISO 12232 (78 against a metered 10), seven stops below it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/eclipse.h>
#include <moonstand/exposure.h>
#include <moonstand/light.h>
#include <moonstand/test_print.h>

#include "near.h"

#define ARCMIN (PI / (180 * 60))
#define UMBRA (41.7 * ARCMIN)
#define PENUMBRA (73.7 * ARCMIN)
#define MOON (15.5 * ARCMIN)

static struct light_model model;
static struct rig rig;

static int prepare(void **state)
{
    (void)state;
    light_prepare(&model, UMBRA, PENUMBRA, 2.5);
    rig_default(&rig);
    rig.focal_mm = 400;
    rig.f_number = 6.3;
    rig.filter_stops = 1;
    return 0;
}

/* Shares of a picture of 400 x 400 pixels about the disc. */
static struct test_print rendered(const struct print_ask *ask, double separation)
{
    enum { SIDE = 400 };
    double shutter = exp2(ask->exposure->shutter / 3.0), iso = 100 * exp2(ask->exposure->iso / 3.0);
    struct test_print print = {0, 0};
    int disc = 0;

    for (int i = 0; i < SIDE * SIDE; i++) {
        double x = (i % SIDE + 0.5) / SIDE * 2 - 1, y = (i / SIDE + 0.5) / SIDE * 2 - 1;
        if (x * x + y * y > 1)
            continue;
        double rho = hypot(x * MOON - separation, y * MOON);
        double luminance = moon_part_luminance(ask->luminance, light_at(&model, rho, UMBRA, PENUMBRA)) +
                           ask->sky_luminance;
        /* Against what the meter would place at mid-grey, a stop lost in the filter. */
        double exposed = luminance * shutter * iso / (12.5 * 6.3 * 6.3) / 2;
        disc++;
        print.clipped += exposed > 78.0 / 10;
        print.lost += exposed < 78.0 / 10 / 128;
    }
    print.clipped /= disc;
    print.lost /= disc;
    return print;
}

static void shares_are_those_of_a_rendered_picture(void **state)
{
    static const double separations[] = {0, 15, 30, 41, 55, 60, 70, 120};
    double worst = 0;

    (void)state;
    for (size_t i = 0; i < sizeof separations / sizeof *separations; i++) {
        for (int stops = -12; stops <= 12; stops += 2) {
            struct exposure exposure = {.known = true, .shutter = stops, .iso = stops};
            struct shadow shadow = {.separation = separations[i] * ARCMIN, .umbra = UMBRA,
                                    .penumbra = PENUMBRA, .moon_radius = MOON};
            struct print_ask ask = {&rig, &exposure, 4000, stops > 8 ? 0.01 : 0, &model, &shadow};
            struct test_print ours, theirs = rendered(&ask, separations[i] * ARCMIN);
            test_print_make(&ask, &ours);
            worst = fmax(worst, fabs(ours.clipped - theirs.clipped));
            worst = fmax(worst, fabs(ours.lost - theirs.lost));
        }
    }
    print_message("largest difference of a share: %.5f\n", worst);
    assert_true(worst < 0.002);
}

/* Sunny 11 on the Moon leaves its disc whole; ten stops more clip all of it, ten less lose it. */
static void the_ends_are_whole(void **state)
{
    struct shadow shadow = {.separation = 120 * ARCMIN, .umbra = UMBRA, .penumbra = PENUMBRA,
                            .moon_radius = MOON};
    struct exposure exposure = {.known = true, .shutter = -18, .iso = 0};
    struct print_ask ask = {&rig, &exposure, 4000, 0, &model, &shadow};
    struct test_print print;

    (void)state;
    test_print_make(&ask, &print);
    assert_near(print.clipped, 0, 1e-9);
    assert_near(print.lost, 0, 1e-9);
    exposure.iso = 30;
    test_print_make(&ask, &print);
    assert_near(print.clipped, 1, 1e-9);
    exposure.iso = -30;
    test_print_make(&ask, &print);
    assert_near(print.lost, 1, 1e-9);
    exposure.known = false;
    test_print_make(&ask, &print);
    assert_true(isnan(print.clipped) && isnan(print.lost));
}

static void tones_run_from_black_to_clipped(void **state)
{
    (void)state;
    assert_true(print_tone(CLIP_STOPS + 0.01) == 2);
    assert_near(print_tone(CLIP_STOPS), 1, 1e-9);
    /* A grey card, 18 % of white, has 118 of 255 in sRGB (IEC 61966-2-1). Metered at 12.8 % of the
     * saturation it is a little darker. */
    assert_near(print_tone(0) * 255, 100, 5);
    assert_true(print_tone(CLIP_STOPS - ONE_FRAME_STOPS - 0.01) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shares_are_those_of_a_rendered_picture),
        cmocka_unit_test(the_ends_are_whole),
        cmocka_unit_test(tones_run_from_black_to_clipped),
    };
    return cmocka_run_group_tests(tests, prepare, NULL);
}
