/* The Moon's face: which way it is turned, and that it gets the light of the shadow's model. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/eclipse.h>
#include <moonstand/face.h>
#include <moonstand/sight.h>

#include "blessed.h"
#include "near.h"

#define ARCMIN (PI / (180 * 60))

static struct light_model model;

/* A partial eclipse: the shadow's axis 40 arcmin east and 10 north of the Moon. */
static const struct shadow shadow = {.separation = 41.231 * ARCMIN,
                                     .east = -40 * ARCMIN,
                                     .north = -10 * ARCMIN,
                                     .umbra = 41.7 * ARCMIN,
                                     .penumbra = 73.7 * ARCMIN,
                                     .moon_radius = 15.5 * ARCMIN};

static int prepare(void **state)
{
    (void)state;
    light_prepare(&model, shadow.umbra, shadow.penumbra, 3);
    return 0;
}

static void the_shadow_stands_where_it_does(void **state)
{
    struct face face;

    (void)state;
    /* Zenith in the north: east is left. A quarter turn of the camera turns all the other way. */
    face_make(&model, &shadow, &(struct sight){0}, 0, &face);
    assert_near(face.shadow_x, -40 / 15.5, 1e-9);
    assert_near(face.shadow_y, 10 / 15.5, 1e-9);
    assert_near(face.umbra, 41.7 / 15.5, 1e-9);
    face_make(&model, &shadow, &(struct sight){0}, PI / 2, &face);
    assert_near(face.shadow_x, -10 / 15.5, 1e-9);
    assert_near(face.shadow_y, -40 / 15.5, 1e-9);
}

static void every_point_gets_its_light(void **state)
{
    struct face face;
    double worst = 0;

    (void)state;
    face_make(&model, &shadow, &(struct sight){.parallactic_rad = 0.7}, 0.2, &face);
    for (double x = -1; x <= 1; x += 0.02) {
        for (double y = -1; y <= 1; y += 0.02) {
            double away = hypot(x - face.shadow_x, y - face.shadow_y);
            double light = light_at(&model, away * shadow.moon_radius, shadow.umbra, shadow.penumbra);
            if (x * x + y * y < 1 && fabs(away - face.umbra) > 0.1)
                worst = fmax(worst, fabs(exp2(face_stops(&face, x, y)) / light - 1));
        }
    }
    assert_true(worst < 0.01);
}

/* Where on the disc, clockwise from up, the middle of a mare stands. */
static double dark_towards(const struct face *face, double from_deg, double to_deg, double radius)
{
    double sum = 0;
    int count = 0;

    for (double at = from_deg; at < to_deg; at += 0.25) {
        double angle = rad_from_deg(at);
        if (face_albedo(face, radius * sin(angle), radius * cos(angle)) < 1) {
            sum += at;
            count++;
        }
    }
    return count > 0 ? sum / count : NAN;
}

/* 1992 April 12, 0 h TD: apparent place 134.688, +13.768 and position angle of the axis 15.08 degrees
 * (Meeus, "Astronomical Algorithms", examples 47.a and 53.a, from memory). Mare Crisium, 16 N 59 E, is
 * 0.83 of a radius from the disc's centre, 71.3 degrees from the Moon's north towards its east. */
static void the_maria_stand_by_the_pole(void **state)
{
    const struct sight moon = {.right_ascension_rad = rad_from_deg(134.688),
                               .declination_rad = rad_from_deg(13.768)};
    struct face face;

    (void)state;
    face_make(&model, &shadow, &moon, 0, &face);
    /* With north up the pole stands 15 degrees to the left, so Crisium at the right. */
    assert_near(dark_towards(&face, 40, 75, 0.84), 71.3 - 15.08, 4);
    /* The highlands of the south have no mare. */
    assert_true(isnan(dark_towards(&face, 180 - 15 - 40, 180 - 15 + 20, 0.85)));
    assert_true(face_albedo(&face, 0, 0.999) <= 1);
}

/* The face with its north up, as it is drawn: people compare it with a map of the Moon. Below it each plain's
 * centre and size, for the map shows a degree and no less. */
static void the_map_is_as_blessed(void **state)
{
    const struct sight moon = {.right_ascension_rad = PI / 2};
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    struct face face;

    (void)state;
    assert_non_null(out);
    face_make(&model, &shadow, &moon, 0, &face);
    for (double y = 0.975; y > -1; y -= 0.05) {
        for (double x = -0.9875; x < 1; x += 0.025)
            fputc(x * x + y * y > 1 ? ' ' : face_albedo(&face, x, y) < 1 ? '#' : '.', out);
        fputc('\n', out);
    }
    for (int i = 0; i < FACE_MARIA; i++)
        fprintf(out, "%2d: %.4f right, %.4f up, %.4f near, radius %.2f degrees\n", i, face.mare[i].x, face.mare[i].y,
                face.mare[i].near, deg_from_rad(acos(face.mare[i].cosine)));
    assert_int_equal(fclose(out), 0);
    hold_print("face", text);
    free(text);
}

static void unknown_stays_unknown(void **state)
{
    const struct shadow none = {.separation = NAN, .east = NAN, .north = NAN, .umbra = NAN,
                                .penumbra = NAN, .moon_radius = NAN};
    struct face face;

    (void)state;
    face_make(&model, &none, &(struct sight){0}, 0, &face);
    assert_true(isnan(face.shadow_x));
    assert_true(isnan(face_stops(&face, 0, 0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_shadow_stands_where_it_does),
        cmocka_unit_test(every_point_gets_its_light),
        cmocka_unit_test(the_maria_stand_by_the_pole),
        cmocka_unit_test(the_map_is_as_blessed),
        cmocka_unit_test(unknown_stays_unknown),
    };
    return cmocka_run_group_tests(tests, prepare, NULL);
}
