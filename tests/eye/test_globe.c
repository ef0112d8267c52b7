/* The finder and the measures on painted globes, whose every pixel is known: where each of their limits lies, by
 * channel, tone, place and width. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "eye/globe.h"
#include "near.h"

enum { WIDTH = 150, HEIGHT = 130, CHANNELS = 3, ORDERS = 6 };
/* Red, green and blue in every order. */
static const int orders[ORDERS][CHANNELS] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};

static int find(const struct globe *globe, struct moon_disc *disc)
{
    struct pixels pixels = globe_paint(globe, WIDTH, HEIGHT, 0, 0, 1);
    struct moon_size size = globe_size(globe, WIDTH / 2.0, HEIGHT / 2.0);
    int found = disc_find(&pixels, &size, disc);

    free(pixels.rgb);
    return found;
}

/* ---- channels ---- */

static void reorder(const struct pixels *from, const int order[CHANNELS], struct pixels *to)
{
    *to = *from;
    to->rgb = malloc((size_t)from->width * (size_t)from->height * CHANNELS);
    for (int i = 0; i < from->width * from->height; i++)
        for (int c = 0; c < CHANNELS; c++)
            to->rgb[CHANNELS * i + c] = from->rgb[CHANNELS * i + order[c]];
}

static bool differ(double a, double b)
{
    return !(a == b || (isnan(a) && isnan(b)));
}

/* A globe lit from one side, in strong colours, with noise of its own in each channel. */
static struct globe coloured(int i)
{
    static const double tones[][CHANNELS] = {{190, 150, 90}, {60, 120, 180}, {140, 141, 139}, {255, 180, 254}};
    struct globe globe = globe_plain(70 + 3 * i, 60 + 2 * i, 36 + 3 * i, 0);

    for (int c = 0; c < CHANNELS; c++) {
        globe.tone[c] = tones[i][c];
        globe.sky[c] = 4 + 5 * c + 3 * i;
        globe.wave[c] = 0.04 + 0.02 * c;
        globe.shaded[c] = tones[i][c] * (0.3 + 0.05 * c);
    }
    globe.shadow = -0.4 + 0.1 * i;
    globe.noise = 3;
    return globe;
}

/* Which channel is which decides what is umbra, and nothing else. */
static void channels_count_alike(void **state)
{
    (void)state;
    chance_seed(51);
    for (int i = 0; i < 4; i++) {
        struct globe globe = coloured(i);
        struct moon_size size = globe_size(&globe, WIDTH / 2.0, HEIGHT / 2.0);
        struct pixels painted = globe_paint(&globe, WIDTH, HEIGHT, 0, 0, 1), pixels;
        struct moon_disc first = {.x = globe.x, .y = globe.y, .radius_px = globe.radius_px}, disc;
        struct disc_light light[2];
        struct limb limb[2];

        assert_int_equal(disc_find(&painted, &size, &first), 1);
        disc_light(&painted, &size, &first, &light[0]);
        disc_limb(&painted, &size, &(struct moon_disc){globe.x, globe.y, 62, 0, 0, 0}, &limb[0]);
        for (int order = 1; order < ORDERS; order++) {
            reorder(&painted, orders[order], &pixels);
            assert_int_equal(disc_find(&pixels, &size, &disc), 1);
            assert_memory_equal(&disc, &first, sizeof disc);
            disc_light(&pixels, &size, &disc, &light[1]);
            assert_false(differ(light[1].clipped, light[0].clipped) || differ(light[1].sky, light[0].sky));
            disc_limb(&pixels, &size, &(struct moon_disc){globe.x, globe.y, 62, 0, 0, 0}, &limb[1]);
            assert_false(differ(limb[1].width_px, limb[0].width_px) || differ(limb[1].most_px, limb[0].most_px));
            for (int c = 0; c < CHANNELS && light[1].lit == light[0].lit; c++)
                assert_false(differ(light[1].umbra[c], light[0].umbra[orders[order][c]]));
            free(pixels.rgb);
        }
        free(painted.rgb);
    }
}

/* ---- nothing, and lamps ---- */

/* Nothing to see is no disc, and no lack of memory. */
static void black_has_no_disc(void **state)
{
    struct globe globe = globe_plain(75, 65, 40, 0);
    struct moon_disc disc;

    (void)state;
    assert_int_equal(find(&globe, &disc), 0);
}

/* Of fewer than seven px of the pixels that are there it is not looked for, however large it is in the picture. */
static void seven_pixels_are_enough(void **state)
{
    (void)state;
    for (double scale = 1; scale <= 4; scale *= 2)
        for (int enough = 0; enough < 2; enough++) {
            struct globe globe = globe_plain(40.3 * scale, 35.8 * scale, (enough ? 7.1 : 6.9) * scale, 200);
            struct moon_size size = globe_size(&globe, 40 * scale, 35 * scale);
            struct pixels pixels;
            struct moon_disc disc;

            globe.blur_px *= scale;
            globe.wave[0] = globe.wave[1] = globe.wave[2] = 0.1;
            pixels = globe_paint(&globe, 80, 70, 0, 0, scale);
            assert_int_equal(disc_find(&pixels, &size, &disc), enough);
            free(pixels.rgb);
        }
}

/* Even, in a weakest channel that is neither dark nor burnt out: a lamp, whatever the others are. */
static void even_globes_are_lamps(void **state)
{
    (void)state;
    for (int tone = 20; tone <= 252; tone += tone == 32 ? 212 : 1)
        for (int weakest = 0; weakest < CHANNELS; weakest++) {
            struct globe globe = globe_plain(74.3, 63.8, 40, 255);
            struct moon_disc disc;

            globe.tone[weakest] = tone;
            if (find(&globe, &disc) != (tone <= 25 || tone >= 250))
                fail_msg("channel %d of tone %d: found %d", weakest, tone, find(&globe, &disc));
        }
}

static void two_percent_is_uneven(void **state)
{
    (void)state;
    for (int weakest = 0; weakest < CHANNELS; weakest++) {
        struct globe globe = globe_plain(74.3, 63.8, 40, 250);
        double from;

        globe.tone[weakest] = 180;
        from = globe_uneven_from(&globe, weakest, &(struct pixels){.width = WIDTH, .height = HEIGHT, .scale = 1});
        print_message("channel %d: uneven from %.5f on\n", weakest, from);
        /* Patches of a tenth of a radius smooth a thirtieth of such waves away. */
        assert_near(from, 0.02 / 0.967, 0.001);
    }
}

/* ---- light ---- */

static struct disc_light light_of(const struct globe *globe)
{
    struct pixels pixels = globe_paint(globe, WIDTH, HEIGHT, 0, 0, 1);
    struct moon_size size = globe_size(globe, WIDTH / 2.0, HEIGHT / 2.0);
    const struct moon_disc disc = {.x = globe->x, .y = globe->y, .radius_px = globe->radius_px};
    struct disc_light light;

    disc_light(&pixels, &size, &disc, &light);
    free(pixels.rgb);
    return light;
}

static struct globe halved(double bright, double dark, double from)
{
    struct globe globe = globe_plain(75, 65, 40, bright);

    globe.shadow = from;
    for (int c = 0; c < CHANNELS; c++) {
        globe.shaded[c] = dark - c;
        globe.sky[c] = 5 + c;
    }
    return globe;
}

/* A part is dark that has less than 0.55 of the other's tone, more than 3 levels above the sky if it is to have a tone
 * of its own, and neither part is less than 0.04 of the disc. */
static void parts_of_the_disc(void **state)
{
    struct globe globe = halved(200, 109, 0.1);
    struct disc_light light = light_of(&globe);

    (void)state;
    assert_true(light.lit == 200 && light.umbra[0] == 109 && light.umbra[1] == 108 && light.umbra[2] == 107);
    assert_true(light.sky == 7 && light.clipped == 0);
    /* No two parts: the tone is that of the larger one. */
    globe = halved(200, 111, 0.1);
    light = light_of(&globe);
    assert_true(light.lit == 111 && isnan(light.umbra[0]));
    globe = halved(200, 111, -0.1);
    light = light_of(&globe);
    assert_true(light.lit == 200 && isnan(light.umbra[0]));
    for (int tone = 9; tone < 13; tone++) {
        globe = halved(200, tone, 0);
        light = light_of(&globe);
        assert_true(light.lit == 200 && isnan(light.umbra[0]) == (tone <= 10));
    }
    /* A segment of 0.8 radii from the middle on is 0.052 of the whole, one of 0.85 is 0.034 of it; of the disc counts
     * what is within 0.96 of its radius. */
    for (int side = -1; side < 2; side += 2)
        for (int wide = 0; wide < 2; wide++) {
            globe = halved(200, 50, side * 0.96 * (wide ? 0.8 : 0.85));
            light = light_of(&globe);
            assert_true(isnan(light.umbra[0]) == !wide && light.lit == (wide || side < 0 ? 200 : 50));
        }
}

/* All of it is umbra if red is more than 1.5 times as strong as blue, whatever green is. */
static void red_is_umbra(void **state)
{
    (void)state;
    for (int red = 149; red < 153; red++)
        for (int green = 40; green < 200; green += 100) {
            struct globe globe = globe_plain(75, 65, 40, 100);
            struct disc_light light;

            globe.tone[0] = red;
            globe.tone[1] = green;
            light = light_of(&globe);
            assert_true(isnan(light.lit) == (red > 150) && isnan(light.umbra[0]) == (red <= 150));
            if (red > 150)
                assert_true(light.umbra[0] == red && light.umbra[1] == green && light.umbra[2] == 100);
            else
                assert_true(light.lit == fmax(red, green));
        }
}

/* Clipped is what has a channel of 254 or more within 0.96 radii; the sky is what lies from 1.15 to 1.5 radii, where
 * half of its area is within 1.3365. */
static void shares_of_areas(void **state)
{
    struct globe globe = globe_plain(75, 65, 40, 100);

    (void)state;
    for (int c = 0; c < CHANNELS; c++) {
        globe = globe_plain(75, 65, 40, 100);
        globe.blur_px = 0.3;
        globe.shadow = -0.3;
        globe.shaded[c] = 254;
        /* Of the circle of 0.96 a segment that begins 0.3 from the middle. */
        assert_near(light_of(&globe).clipped, (acos(0.3125) - 0.3125 * sqrt(1 - 0.3125 * 0.3125)) / PI, 0.005);
        globe.shaded[c] = 253;
        assert_true(light_of(&globe).clipped == 0);
    }
    for (int beyond = 0; beyond < 2; beyond++) {
        globe = globe_plain(75, 65, 40, 100);
        globe.far = 1.3365 + (beyond ? 0.015 : -0.015);
        globe.far_sky[1] = 30;
        assert_true(light_of(&globe).sky == (beyond ? 0 : 30));
    }
}

/* ---- the limb ---- */

/* Of an edge blurred more in one direction, the deviation along it and across. */
static void widths_by_direction(void **state)
{
    (void)state;
    for (int i = 0; i < 6; i++) {
        struct globe globe = globe_plain(150.3, 149.6, 110, 170);
        struct moon_size size = globe_size(&globe, 150, 150);
        struct pixels pixels;
        struct limb limb;
        double least = 0.7 + 0.2 * i, more = 0.8 + 0.25 * i, off;
        /* An axis takes the middle of what lies within 15 degrees. */
        double across = hypot(least, more * sin(rad_from_deg(10))), along = hypot(least, more * cos(rad_from_deg(10)));

        globe.blur_px = least;
        globe.more_px = more;
        globe.direction = rad_from_deg(30 * i);
        globe.sky[0] = 20;
        pixels = globe_paint(&globe, 300, 300, 0, 0, 1);
        disc_limb(&pixels, &size, &(struct moon_disc){globe.x, globe.y, globe.radius_px, 1, 0, 1}, &limb);
        free(pixels.rgb);
        off = fabs(limb.most_deg - 30 * i);
        print_message("%.2f to %.2f at %d: %.3f to %.3f at %.1f\n", across, along, 30 * i, limb.least_px,
                      limb.most_px, limb.most_deg);
        assert_near(limb.least_px, across, 0.06 * across);
        assert_near(limb.most_px, along, 0.06 * along);
        assert_true(fmin(off, 180 - off) < 2);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(channels_count_alike),
        cmocka_unit_test(black_has_no_disc),
        cmocka_unit_test(seven_pixels_are_enough),
        cmocka_unit_test(even_globes_are_lamps),
        cmocka_unit_test(two_percent_is_uneven),
        cmocka_unit_test(parts_of_the_disc),
        cmocka_unit_test(red_is_umbra),
        cmocka_unit_test(shares_of_areas),
        cmocka_unit_test(widths_by_direction),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
