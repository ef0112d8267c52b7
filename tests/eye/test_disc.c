/* The finder and the measures on a few made-up pictures; `make eye-table` does it with many. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "eye/trial.h"
#include "near.h"
#include "timed.h"

#include "../../src/eye/disc.h"

/* A sanitizer takes ten times as long: a part of the pictures then has to do. */
enum { PART = SLOWED ? 6 : 1 };

/* ---- shape ---- */

static void test_shape_is_the_projection(void **state)
{
    /* Points of the limb of a disc 25 degrees off the axis, projected one by one. */
    const struct moon_size size = {
        .radius_px = 31, .semidiameter_rad = 0.0045, .width = 6000, .height = 4000};
    double focal_px = 31 / tan(0.0045), x = 5400, y = 3700;
    struct vec3 moon = vec3_unit((struct vec3){x - 3000, y - 2000, focal_px});
    struct vec3 right = vec3_unit(vec3_cross((struct vec3){0, 1, 0}, moon));
    struct vec3 down = vec3_cross(moon, right);
    struct shape shape = shape_at(&size, x, y);
    double inverse = shape.xx * shape.yy - shape.xy * shape.xy;

    (void)state;
    for (int i = 0; i < 36; i++) {
        double angle = rad_from_deg(10 * i);
        struct vec3 off = vec3_add(vec3_scale(right, cos(angle)), vec3_scale(down, sin(angle)));
        struct vec3 limb = vec3_add(moon, vec3_scale(off, tan(0.0045)));
        double dx = 3000 + focal_px * limb.x / limb.z - x,
               dy = 2000 + focal_px * limb.y / limb.z - y;

        /* A thousandth is by how much the ellipse's own middle is off. */
        assert_near(hypot(shape.yy * dx - shape.xy * dy, shape.xx * dy - shape.xy * dx) / inverse,
                    1, 0.004);
    }
    shape = shape_at(&size, 3000, 2000);
    assert_near(shape.xx, 31, 1e-9);
    assert_near(shape.yy, 31, 1e-9);
    assert_near(shape.xy, 0, 1e-9);
}

/* ---- place ---- */

/* The best comes first, though others are met before it; no two are close. */
static void test_candidates_by_their_votes(void **state)
{
    /* Votes are counted in steps of 2 px here; a peak has no other within 6 of them. */
    const double apart_px = 12;
    int full = 0;

    (void)state;
    chance_seed(20281235);
    for (int i = 0; i < 24 / PART; i++) {
        struct scene scene = i % 2 ? scene_by_chance(420, 360, 31) : scene_without_moon(420, 360, 31);
        struct moon_size size = size_of(&scene, 1);
        struct jpeg_part part = {.shrink = disc_shrink(&size)};
        struct candidate found[CANDIDATES];
        struct pixels pixels;
        struct fault fault;
        size_t bytes;
        uint8_t *jpeg = scene_file(&scene, 1, &bytes);
        int count;

        assert_int_equal(jpeg_decode(jpeg, bytes, &part, &pixels, &fault), 0);
        count = candidates_vote(&pixels, &size, found);
        assert_in_range(count, 0, CANDIDATES);
        full += count == CANDIDATES;
        for (int j = 1; j < count; j++) {
            assert_true(found[j].votes > 0 && found[j].votes <= found[j - 1].votes);
            for (int k = 0; k < j; k++)
                assert_true(fmax(fabs(found[j].x - found[k].x), fabs(found[j].y - found[k].y)) > apart_px);
        }
        free(pixels.rgb);
        free(jpeg);
    }
    assert_true(full > 0);
}

/* Tries scenes by chance; how many were found, and the mean error of their centres in radii. */
static int try_many(int count, uint64_t seed, struct scene (*make)(void), double most_radii,
                    double *mean_radii)
{
    int found = 0;

    *mean_radii = 0;
    for (int i = 0; i < count / PART; i++) {
        struct scene scene;
        struct tried tried;

        chance_seed(seed + (uint64_t)i);
        scene = make();
        tried = try_scene(&scene, chance_in(0.98, 1.02));
        assert_int_not_equal(tried.found, -1);
        if (tried.found == 0) {
            print_message("seed %d: not found, shadow %.2f\n", i, scene.shadow);
            continue;
        }
        found++;
        *mean_radii += tried.error_px / scene.radius_px / (count / PART);
        if (!(tried.error_px < most_radii * scene.radius_px))
            fail_msg("seed %d: the centre is off by %.2f px, radius %.0f", i, tried.error_px,
                     scene.radius_px);
    }
    print_message("%d of %d found, mean error %.3f %% of the radius\n", found, count / PART,
                  100 * *mean_radii);
    return found;
}

static struct scene make_phase(void)
{
    return scene_by_chance(420, 360, chance_in(100, 130));
}

static void test_every_phase_is_found(void **state)
{
    double mean;

    (void)state;
    assert_int_equal(try_many(24, 1000, make_phase, 0.02, &mean), 24 / PART);
    assert_true(mean < 0.003);
}

static struct scene make_wide(void)
{
    struct scene scene = scene_by_chance(420, 360, 31);
    double angle = chance_in(0, 2 * PI), off = 31 / tan(0.0045) * tan(rad_from_deg(25));

    scene.axis_x = scene.x + off * cos(angle);
    scene.axis_y = scene.y + off * sin(angle);
    return scene;
}

static void test_wide_lens_25_degrees_off_axis(void **state)
{
    double mean;

    (void)state;
    assert_int_equal(try_many(12, 2000, make_wide, 1.5 / 31, &mean), 12 / PART);
}

static struct scene make_cut(void)
{
    struct scene scene = scene_by_chance(420, 360, 120);

    scene.x = chance_in(0, 60);
    scene.shadow = chance() < 0.5 ? 6 : 1;
    scene_expose(&scene, scene.shadow < 2, 0);
    return scene;
}

static void test_disc_cut_by_the_edge(void **state)
{
    double mean;

    (void)state;
    assert_int_equal(try_many(12, 3000, make_cut, 0.02, &mean), 12 / PART);
}

/* A quarter of a limb is enough of a disc of 100 px, and too little of one of 50, as the picture has it by
 * half its size: chance makes more of those. */
static void test_a_small_disc_needs_more(void **state)
{
    struct scene scene = scene_plain(300, 260, 100);
    struct moon_size size = size_of(&scene, 1);
    size_t bytes;
    uint8_t *jpeg;

    (void)state;
    scene.x = -65;
    scene_expose(&scene, false, 0);
    jpeg = scene_file(&scene, 1, &bytes);
    for (int shrink = 1; shrink <= 2; shrink++) {
        const struct jpeg_part part = {.shrink = shrink};
        struct moon_disc disc;
        struct pixels pixels;
        struct fault fault;

        assert_int_equal(jpeg_decode(jpeg, bytes, &part, &pixels, &fault), 0);
        assert_int_equal(disc_find(&pixels, &size, &disc), shrink == 1);
        free(pixels.rgb);
    }
    free(jpeg);
}

static void test_no_moon_is_found_where_none_is(void **state)
{
    (void)state;
    for (int i = 0; i < 24 / PART; i++) {
        struct scene scene;
        struct tried tried;

        chance_seed(4000 + (uint64_t)i);
        scene = scene_without_moon(480, 400, chance_in(25, 120));
        tried = try_scene(&scene, 1);
        if (tried.found != 0)
            fail_msg("seed %d: a Moon with score %.2f where there is none", i, tried.disc.score);
    }
}

static void test_an_even_globe_is_no_moon(void **state)
{
    struct scene scene = scene_plain(360, 300, 70);
    struct tried tried;

    (void)state;
    scene.has_moon = false;
    scene.lamps = 1;
    scene.white_at = 1;
    for (int i = 0; i < 24 / PART; i++) {
        chance_seed(4500 + (uint64_t)i);
        scene.curve = (enum curve)(i % CURVES);
        scene.lamp[0] =
            (struct lamp){chance_in(100, 260), chance_in(100, 200), 70, exp2(chance_in(-3, 0.8))};
        tried = try_scene(&scene, 1);
        if (tried.found != 0)
            fail_msg("seed %d: a lamp of level %.2f is no Moon", i, scene.lamp[0].level);
    }
    /* One that is burnt out could be the Moon: single pictures cannot tell. */
    scene.lamp[0].level = 10;
    assert_int_equal(try_scene(&scene, 1).found, 1);
}

static void test_wrong_size_is_refused(void **state)
{
    /* A full Moon where the scale says that it is 13 % larger. */
    struct scene scene = scene_plain(420, 360, 110);
    struct tried tried;

    (void)state;
    scene_expose(&scene, false, 0);
    tried = try_scene(&scene, 1);
    assert_int_equal(tried.found, 1);
    assert_near(tried.radius_error, 0, 0.01);
    tried = try_scene(&scene, 1.13);
    assert_int_equal(tried.found, 0);
    /* Far too small to look for. */
    tried = try_scene(&scene, 0.05);
    assert_int_equal(tried.found, 0);
}

/* ---- light ---- */

static void test_lit_part_and_umbra_are_told_apart(void **state)
{
    struct scene scene = scene_plain(420, 360, 110);
    struct tried tried;

    (void)state;
    /* The full Moon: all of it lit, its tone the same in all channels. */
    scene_expose(&scene, false, 1);
    tried = try_scene(&scene, 1);
    assert_int_equal(tried.found, 1);
    assert_true(tried.light.lit > 120 && tried.light.lit < 200);
    assert_true(isnan(tried.light.umbra[0]));
    assert_true(tried.light.clipped < 0.01);
    assert_true(tried.light.sky < 20);
    /* Brighter and brighter: clipped. */
    scene_expose(&scene, false, 4);
    tried = try_scene(&scene, 1);
    assert_true(tried.light.clipped > 0.9 && tried.clipped_error < 0.02);
    /* Half covered, exposed so that the umbra shows. */
    scene.shadow = 2.6;
    scene.danjon = 3;
    scene.electrons = 4000;
    scene_expose(&scene, true, -1);
    tried = try_scene(&scene, 1);
    assert_int_equal(tried.found, 1);
    assert_true(tried.light.lit > 2 * tried.light.umbra[0]);
    assert_true(tried.light.umbra[0] > tried.light.umbra[1] &&
                tried.light.umbra[1] > tried.light.umbra[2]);
    /* In totality there is no lit part, whatever the bright rim. */
    scene.shadow = 1.2;
    scene_expose(&scene, true, 0);
    tried = try_scene(&scene, 1);
    assert_int_equal(tried.found, 1);
    assert_true(isnan(tried.light.lit));
    assert_true(tried.light.umbra[0] > 1.5 * tried.light.umbra[2]);
    /* Half covered and exposed for the lit part: the umbra is black, and nothing is said of it. */
    scene.shadow = 2.6;
    scene.danjon = 1;
    scene_expose(&scene, false, -1);
    tried = try_scene(&scene, 1);
    assert_true(isnan(tried.light.umbra[0]) && isfinite(tried.light.lit));
}

/* ---- sharpness ---- */

static struct limb limb_of(double defocus, double motion, double direction_deg)
{
    struct scene scene = scene_plain(640, 600, 240);
    struct tried tried;

    scene.seed = 5;
    scene.defocus_px = defocus;
    scene.motion_px = motion;
    /* The picture's y goes down. */
    scene.motion_direction = -rad_from_deg(direction_deg);
    scene_expose(&scene, false, 0.5);
    tried = try_scene(&scene, 1);
    assert_int_equal(tried.found, 1);
    return tried.limb;
}

static void test_blur_widens_the_limb(void **state)
{
    double sharp = limb_of(1.3, 0, 0).width_px, six = limb_of(6, 0, 0).width_px;
    double twelve = limb_of(12, 0, 0).width_px;

    (void)state;
    print_message("sharp %.2f, 6 px across %.2f, 12 px %.2f\n", sharp, six, twelve);
    assert_true(sharp < 1.2);
    assert_true(six > 1.5 * sharp);
    /* The deviation of a disc along one axis is a quarter of its diameter. */
    assert_near(six, hypot(1.5, sharp), 0.4);
    assert_near(twelve, hypot(3, sharp), 0.5);
}

static void test_motion_has_a_direction(void **state)
{
    static const double directions[] = {20, 75, 130};

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        struct limb limb = limb_of(1.3, 9, directions[i]);
        double off = fabs(limb.most_deg - directions[i]);

        print_message("motion at %.0f: limb %.2f to %.2f at %.0f\n", directions[i], limb.least_px,
                      limb.most_px, limb.most_deg);
        assert_true(limb.most_px > 1.5 * limb.least_px);
        assert_true(fmin(off, 180 - off) < 15);
    }
}

static void test_clipped_limb_has_no_width(void **state)
{
    struct scene scene = scene_plain(420, 360, 110);
    struct tried tried;

    (void)state;
    scene_expose(&scene, false, 5);
    tried = try_scene(&scene, 1);
    assert_int_equal(tried.found, 1);
    assert_true(isnan(tried.limb.width_px));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_candidates_by_their_votes),
        cmocka_unit_test(test_shape_is_the_projection),
        cmocka_unit_test(test_every_phase_is_found),
        cmocka_unit_test(test_wide_lens_25_degrees_off_axis),
        cmocka_unit_test(test_disc_cut_by_the_edge),
        cmocka_unit_test(test_a_small_disc_needs_more),
        cmocka_unit_test(test_no_moon_is_found_where_none_is),
        cmocka_unit_test(test_an_even_globe_is_no_moon),
        cmocka_unit_test(test_wrong_size_is_refused),
        cmocka_unit_test(test_lit_part_and_umbra_are_told_apart),
        cmocka_unit_test(test_blur_widens_the_limb),
        cmocka_unit_test(test_motion_has_a_direction),
        cmocka_unit_test(test_clipped_limb_has_no_width),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
