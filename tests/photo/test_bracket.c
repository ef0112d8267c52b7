/* Brackets: every frame on the dial, no deficit that is none, no needless noise, by the camera and
 * by a remote. Needs are computed here from the meter equation (ISO 2720: N^2/t = L S / K), and what
 * a camera could do at all is found by trying every setting of its dial. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/series.h>
#include <moonstand/setting_words.h>
#include <stdio.h>
#include <string.h>

#include "../../src/photo/photo_private.h"
#include "near.h"

#define ARCMIN (PI / (180 * 60))
#define UMBRA ((1.01 * 57.03 + 0.1465 - 16.0) * ARCMIN)
#define PENUMBRA ((1.01 * 57.03 + 0.1465 + 16.0) * ARCMIN)
#define MOON (15.54 * ARCMIN)
#define METER_K 12.5

static struct light_model model;

/* One case: a rig, how dark the air is, how deep the Moon stands. */
static const struct {
    const char *name;
    double focal_mm, f_number, pitch_um, shutter_min_s, shutter_max_s, iso_max;
    enum support support;
} rigs[] = {
    {"wide", 24, 2.8, 5.9, 1.0 / 8000, 30, 25600, SUPPORT_FIXED},
    {"portrait", 135, 2.8, 5.9, 1.0 / 4000, 30, 12800, SUPPORT_FIXED},
    {"long", 400, 6.3, 3.9, 1.0 / 8000, 30, 25600, SUPPORT_FIXED},
    {"500", 500, 5.6, 5.9, 1.0 / 4000, 30, 25600, SUPPORT_FIXED},
    {"short dial", 500, 5.6, 5.9, 1.0 / 1000, 1, 3200, SUPPORT_FIXED},
    {"telescope", 800, 8, 3.9, 1.0 / 8000, 30, 25600, SUPPORT_LUNAR},
    {"sidereal", 1000, 4, 3.9, 1.0 / 8000, 30, 6400, SUPPORT_SIDEREAL},
    {"bright", 85, 1.2, 5.9, 1.0 / 4000, 30, 25600, SUPPORT_FIXED},
};
static const double ratings[] = {0, 1.5, 3, 4};
static const double depths[] = {-0.5, 0.05, 0.3, 0.6, 0.9, 0.97, 1.02, 1.3, 1.8};
static const int counts[] = {3, 5, 7, 9};
static const double steps[] = {1, 2, 3};
enum {
    RIG_COUNT = sizeof rigs / sizeof *rigs,
    RATINGS = sizeof ratings / sizeof *ratings,
    DEPTHS = sizeof depths / sizeof *depths,
    COUNTS = sizeof counts / sizeof *counts,
    STEPS = sizeof steps / sizeof *steps
};

static int prepare(void **state)
{
    (void)state;
    light_prepare(&model, UMBRA, PENUMBRA, 3);
    return 0;
}

static struct rig rig_of(int index)
{
    struct rig rig;

    rig_default(&rig);
    rig.focal_mm = rigs[index].focal_mm;
    rig.f_number = rigs[index].f_number;
    rig.pixel_pitch_um = rigs[index].pitch_um;
    rig.shutter_min_s = rigs[index].shutter_min_s;
    rig.shutter_max_s = rigs[index].shutter_max_s;
    rig.iso_max = rigs[index].iso_max;
    rig.support = rigs[index].support;
    rig.target = TARGET_BRACKET;
    return rig;
}

static struct exposure_ask ask_of(const struct rig *rig, double rating, double depth)
{
    static const double arcsec_per_s[SUPPORTS] = {14.5, 0.55, 0, 0.51};
    double separation = fabs(UMBRA + MOON - 2 * MOON * depth);
    struct shadow shadow = {
        .separation = separation, .umbra = UMBRA, .penumbra = PENUMBRA, .moon_radius = MOON};
    struct exposure_ask ask = {
        .phase = depth >= 1  ? PHASE_TOTAL
                 : depth > 0 ? PHASE_PARTIAL
                             : PHASE_PENUMBRAL,
        .luminance = moon_luminance(separation, AU_KM) *
                     extinction_factor(extinction_mag(rad_from_deg(45), 0, NAN)),
        .drift_px_per_s = arcsec_per_s[rig->support] / rig_arcsec_per_px(rig),
    };

    light_set_danjon(&model, rating);
    light_disc(&model, &shadow, &ask.light);
    sky_light(rad_from_deg(-30), rad_from_deg(45), 0, &ask.sky);
    return ask;
}

/* Thirds of a stop from 1 s at ISO 100 that a part of the disc needs. */
static int need(const struct rig *rig, const struct exposure_ask *ask, enum target target)
{
    double fraction = target == TARGET_LIT ? ask->light.lit : ask->light.umbra;
    double luminance = moon_part_luminance(ask->luminance, fraction) + ask->sky.luminance;
    double n = rig->f_number * rig->extender;
    double stops = log2(n * n * METER_K / (100 * luminance)) + rig->filter_stops +
                   rig->placement_stops[target] + ask->correction_stops[target] +
                   ask->correction_stops[TARGET_BRACKET];

    return (int)lround(3 * stops);
}

static int iso_alone(struct rig rig, const struct exposure_ask *ask, enum target target)
{
    struct exposure_ask alone = *ask;
    struct exposure exposure;

    rig.target = target;
    alone.correction_stops[target] += ask->correction_stops[TARGET_BRACKET];
    exposure_choose(&rig, &alone, &exposure);
    return exposure.known ? exposure.iso : iso_index(rig.iso_min);
}

/* The brightest last frame of any bracket that the camera can make, of frames that stand on the
 * dial inside the blur limit, whose first one does not burn the lit part out, at ISO `most` or
 * less. */
static int brightest_last(const struct rig *rig, const struct exposure_ask *ask, int iso_most)
{
    int step = (int)lround(3 * rig->bracket_step_stops), lit = need(rig, ask, TARGET_LIT);
    int shortest = shutter_index(rig->shutter_min_s), lowest = iso_index(rig->iso_min);
    int longest = shutter_index_within(
        fmin(rig->shutter_max_s,
             ask->drift_px_per_s > 0 ? rig->blur_limit_px / ask->drift_px_per_s : INFINITY));
    int best = -1000;

    for (int frames = 1; frames <= rig->bracket_frames; frames += 2)
        for (int iso = lowest; iso <= iso_most; iso++)
            for (int first = shortest; first + step * (frames - 1) <= longest; first++) {
                bool burnt = first + iso > lit && first + iso > shortest + lowest;
                int last = first + step * (frames - 1) + iso;

                if (!burnt && last > best)
                    best = last;
            }
    return best;
}

static void check_camera(const struct rig *rig, const struct exposure_ask *ask)
{
    struct exposure e;

    exposure_choose(rig, ask, &e);
    assert_true(e.known);

    int step = (int)lround(3 * e.bracket_step_stops), half = step * (e.bracket_frames - 1) / 2;
    int shortest = shutter_index(rig->shutter_min_s), lit = need(rig, ask, TARGET_LIT);
    bool has_umbra = isfinite(ask->light.umbra);
    int umbra = has_umbra ? need(rig, ask, TARGET_UMBRA) : lit;
    int iso_most =
        3 + (int)fmax(iso_alone(*rig, ask, TARGET_LIT), iso_alone(*rig, ask, TARGET_UMBRA));
    int first = e.shutter - half + e.iso, last = e.shutter + half + e.iso;

    /* Symmetric about what is dialled, as many as the setup allows, at one ISO of the camera. */
    assert_int_equal(step, lround(3 * rig->bracket_step_stops));
    assert_true(e.bracket_frames % 2 == 1 && e.bracket_frames <= rig->bracket_frames);
    assert_int_equal(e.shutter_last, e.shutter + half);
    assert_int_equal(e.iso_last, e.iso);
    assert_true(e.iso >= iso_index(rig->iso_min) && e.iso <= iso_index(rig->iso_max));
    /* All on the dial, inside the blur limit. */
    assert_true(e.shutter - half >= shortest);
    assert_true(e.shutter + half <= shutter_index_within(rig->shutter_max_s));
    assert_true(e.blur_px <= rig->blur_limit_px + 1e-9 || e.shutter_last == shortest);
    /* Not more than a stop of noise above what the parts alone would take. */
    assert_true(e.iso <= iso_most);
    /* The lit part is held: a frame is its own, or darker by less than a step. */
    if (e.deficit_stops >= 0 && first > shortest + iso_index(rig->iso_min)) {
        assert_true(first <= lit);
        assert_true(e.bracket_frames == 1 || first + step * (e.bracket_frames - 1) > lit - step);
    }
    /* A deficit is told where the umbra's need is not reached, its size, and only there; and no
     * bracket of this camera would have done better. */
    assert_near(fmax(0, e.deficit_stops), fmax(0, (umbra - last) / 3.0), 1e-9);
    if (last < umbra)
        assert_int_equal(last,
                         brightest_last(rig, ask, (int)fmin(iso_most, iso_index(rig->iso_max))));
    if (e.deficit_stops < 0)
        assert_near(e.deficit_stops, (lit - first) / 3.0, 1e-9);
    /* No frame for nothing: two less, and the umbra would not be reached. */
    if (e.bracket_frames > 1)
        assert_true(lit + step * (e.bracket_frames - 3) < umbra);
}

/* Every rig, air, depth, count and step. */
static void by_the_camera(void **state)
{
    int cases = 0, with_deficit = 0, shown_as_middle = 0;

    (void)state;
    for (int r = 0; r < RIG_COUNT; r++)
        for (int i = 0; i < RATINGS * DEPTHS * COUNTS * STEPS; i++) {
            struct rig rig = rig_of(r);
            rig.bracket_frames = counts[i % COUNTS];
            rig.bracket_step_stops = steps[i / COUNTS % STEPS];
            struct exposure_ask ask = ask_of(&rig, ratings[i / COUNTS / STEPS % RATINGS],
                                             depths[i / COUNTS / STEPS / RATINGS]);
            struct exposure e;

            check_camera(&rig, &ask);
            exposure_choose(&rig, &ask, &e);
            assert_int_equal(e.bracket_shown,
                             e.bracket_frames > 1 ? BRACKET_MIDDLE : BRACKET_FIRST);
            cases++;
            with_deficit += e.deficit_stops > 0;
            shown_as_middle += e.bracket_shown == BRACKET_MIDDLE;
        }
    print_message("%d brackets by the camera, %d of more than one frame, %d short of the umbra\n",
                  cases, shown_as_middle, with_deficit);
    assert_true(cases > 3000 && with_deficit > 100 && shown_as_middle > cases / 2);
}

/* What a test frame told shifts both ends, and the sky of dusk fills the umbra. */
static void shifted_and_at_dusk(void **state)
{
    (void)state;
    for (int r = 0; r < RIG_COUNT; r++)
        for (double sun_deg = -18; sun_deg <= -3; sun_deg += 1)
            for (double shift = -2; shift <= 2; shift += 0.5) {
                struct rig rig = rig_of(r);
                struct exposure_ask ask = ask_of(&rig, 3, 0.6);

                sky_light(rad_from_deg(sun_deg), rad_from_deg(20), 0, &ask.sky);
                ask.correction_stops[TARGET_BRACKET] = shift;
                ask.correction_stops[TARGET_UMBRA] = -shift / 2;
                check_camera(&rig, &ask);
            }
}

/* A remote has every ISO for every frame: the deficit is what the camera lacks or what the frames
 * do not reach. */
static void by_a_remote(void **state)
{
    (void)state;
    for (int r = 0; r < RIG_COUNT; r++)
        for (int i = 0; i < RATINGS * DEPTHS * COUNTS; i++) {
            struct rig rig = rig_of(r);
            rig.remote_exposure = true;
            rig.bracket_frames = counts[i % COUNTS];
            struct exposure_ask ask =
                ask_of(&rig, ratings[i / COUNTS % RATINGS], depths[i / COUNTS / RATINGS]);
            struct exposure e;

            exposure_choose(&rig, &ask, &e);
            int lit = need(&rig, &ask, TARGET_LIT);
            int umbra = isfinite(ask.light.umbra) ? need(&rig, &ask, TARGET_UMBRA) : lit;
            int last = e.shutter_last + e.iso_last;

            assert_int_equal(e.bracket_shown, BRACKET_FIRST);
            assert_true(e.bracket_frames <= rig.bracket_frames);
            assert_near(fmax(0, e.deficit_stops), fmax(0, (umbra - last) / 3.0), 1e-9);
            assert_near(e.bracket_missing_stops,
                        fmax(0, (umbra - lit) / 3.0 - 2 * (rig.bracket_frames - 1)), 1e-9);
            assert_true(e.deficit_stops <= 0 || e.bracket_missing_stops > 0 ||
                        e.limited_by == LIMITED_ISO);
        }
}

/* In words: what to dial, what is missing, what would help. */
static void in_words(void **state)
{
    struct rig rig = rig_of(3);
    struct exposure_ask ask = ask_of(&rig, 3, 0.6);
    struct exposure e;
    char bracket[BRACKET_WORDS], dial[SETTING_WORDS], limit[LIMIT_WORDS], wanted[LIMIT_WORDS];

    (void)state;
    exposure_choose(&rig, &ask, &e);
    assert_string_equal(bracket_words(&e, false, bracket), "5 frames, 2 stops apart");
    assert_string_equal(setting_words(&e, 1, dial), "1/200 s, ISO 1600 (middle of 5)");
    (void)snprintf(wanted, sizeof wanted, "umbra %.1f stops short", e.deficit_stops);
    assert_true(e.deficit_stops > 0);
    assert_string_equal(limit_words(&rig, &e, 0, limit), wanted);
    assert_non_null(strstr(exposure_help(&rig, &e, (char[HELP_WORDS]){""}), "a remote"));

    rig.bracket_frames = 3;
    exposure_choose(&rig, &ask, &e);
    assert_non_null(strstr(exposure_help(&rig, &e, (char[HELP_WORDS]){""}), "more frames"));
    rig.remote_exposure = true;
    rig.bracket_frames = 7;
    exposure_choose(&rig, &ask, &e);
    assert_string_equal(bracket_words(&e, true, bracket), "6 x 2 stops");
    assert_non_null(strstr(setting_words(&e, 1, dial), " (first of 6)"));

    /* One frame is no bracket; what is not known says nothing. */
    ask = ask_of(&rig, 3, -0.5);
    exposure_choose(&rig, &ask, &e);
    assert_string_equal(bracket_words(&e, false, bracket), "");
    assert_string_equal(limit_words(&rig, &e, 0, limit), "");
    ask.luminance = NAN;
    exposure_choose(&rig, &ask, &e);
    assert_string_equal(bracket_words(&e, false, bracket), "");
    assert_string_equal(limit_words(&rig, &e, 0, limit), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(by_the_camera),
        cmocka_unit_test(shifted_and_at_dusk),
        cmocka_unit_test(by_a_remote),
        cmocka_unit_test(in_words),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
