/* Shutter and ISO in third stops, as cameras label them; a rig's defaults and optics. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/fault.h>
#include <moonstand/rig.h>
#include <moonstand/series.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/photo/photo_private.h"
#include "near.h"

enum { SHUTTER_FIRST = -45, SHUTTER_LAST = 18, ISO_FIRST = -6, ISO_LAST = 36 };

/* Nominal whole stops and the powers of two behind them, as dials have them: common practice, no
 * source. */
static void whole_stops(void **state)
{
    static const char *const label[] = {
        "60",   "30",   "15",   "8",     "4",     "2",     "1",      "0.5",    "1/4",    "1/8",
        "1/15", "1/30", "1/60", "1/125", "1/250", "1/500", "1/1000", "1/2000", "1/4000", "1/8000"};

    (void)state;
    for (int i = 0; i < (int)(sizeof label / sizeof label[0]); i++) {
        int index = SHUTTER_LAST - 3 * i;

        assert_string_equal(shutter_label(index), label[i]);
        assert_near(shutter_seconds(index), exp2(6 - i), 1e-12 * exp2(6 - i));
    }
}

static double label_seconds(const char *label)
{
    return strncmp(label, "1/", 2) == 0 ? 1 / strtod(label + 2, NULL) : strtod(label, NULL);
}

static void every_label_is_its_step(void **state)
{
    (void)state;
    for (int i = SHUTTER_FIRST; i <= SHUTTER_LAST; i++) {
        double nominal = label_seconds(shutter_label(i));

        /* What is printed is within 7 % of what is exposed: a tenth of a stop. */
        assert_near(log2(nominal / shutter_seconds(i)), 0, 0.1);
        assert_int_equal(shutter_index(nominal), i);
        assert_int_equal(shutter_index(shutter_seconds(i)), i);
        assert_int_equal(shutter_index_within(shutter_seconds(i)), i);
        assert_int_equal(shutter_index_within(shutter_seconds(i) * 1.2), i);
        if (i > SHUTTER_FIRST)
            assert_int_equal(shutter_index_within(shutter_seconds(i) * 0.999), i - 1);
    }
    for (int i = ISO_FIRST; i <= ISO_LAST; i++) {
        double exact = 100 * exp2(i / 3.0);

        assert_near(log2(iso_label(i) / exact), 0, 0.05);
        assert_int_equal(iso_index(iso_label(i)), i);
        assert_int_equal(iso_index(exact), i);
    }
}

/* As cameras print them: common practice, no source. */
static void iso_as_printed(void **state)
{
    static const int label[] = {100, 125, 160,  200,  250,  320,  400,  500,
                                640, 800, 1000, 1250, 1600, 2000, 2500, 3200};

    (void)state;
    for (int i = 0; i < (int)(sizeof label / sizeof label[0]); i++)
        assert_int_equal(iso_label(i), label[i]);
    /* Three steps are a stop; 1250 stands for 1280. */
    for (int i = iso_index(250); i <= ISO_LAST - 3; i++)
        assert_near(iso_label(i + 3) / (2.0 * iso_label(i)), 1, i == iso_index(640) ? 0.03 : 1e-9);
    assert_int_equal(iso_label(iso_index(409600)), 409600);
}

static void past_the_ends(void **state)
{
    (void)state;
    assert_int_equal(shutter_index(1e-9), SHUTTER_FIRST);
    assert_int_equal(shutter_index(1e9), SHUTTER_LAST);
    assert_int_equal(shutter_index_within(INFINITY), SHUTTER_LAST);
    assert_int_equal(shutter_index_within(0), SHUTTER_FIRST);
    assert_string_equal(shutter_label(1000), "60");
    assert_string_equal(shutter_label(-1000), "1/32000");
    assert_int_equal(iso_index(1), ISO_FIRST);
    assert_int_equal(iso_label(1000), 409600);
}

static void rig_defaults(void **state)
{
    struct rig rig;

    (void)state;
    rig_default(&rig);
    assert_near(rig.blur_limit_px, 1, 0);
    assert_near(rig.extender, 1, 0);
    assert_int_equal(rig.support, SUPPORT_FIXED);
    assert_int_equal(rig.target, TARGET_AUTO);
    assert_true(rig.shutter_min_s < rig.shutter_max_s && rig.iso_min < rig.iso_max);

    rig.focal_mm = 400;
    rig.f_number = 6.3;
    /* 206.265 p/f arcsec per pixel. */
    assert_near(rig_arcsec_per_px(&rig), 206.264806 * 5.9 / 400, 1e-6);
    rig.extender = 1.4;
    assert_near(rig_focal_mm(&rig), 560, 1e-9);
    assert_near(rig_f_number(&rig), 8.82, 1e-9);
    assert_near(rig_arcsec_per_px(&rig), 206.264806 * 5.9 / 560, 1e-6);

    assert_near(rig_frame_width_mm(&rig), 36, 0);
    rig.portrait = true;
    assert_near(rig_frame_width_mm(&rig), 24, 0);
    assert_near(rig_frame_height_mm(&rig), 36, 0);
}

static void names(void **state)
{
    static const char *const target[] = {"lit", "umbra", "bracket", "stars", "foreground", "auto"};
    static const char *const support[SUPPORTS] = {"fixed", "sidereal", "lunar", "solar"};

    (void)state;
    for (int i = 0; i < TARGETS; i++)
        assert_string_equal(target_name((enum target)i), target[i]);
    for (int i = 0; i < SUPPORTS; i++)
        assert_string_equal(support_name((enum support)i), support[i]);
}

static void every_label_reads_back(void **state)
{
    struct fault fault;
    int index;

    (void)state;
    for (int i = -45; i <= 18; i++) {
        assert_int_equal(shutter_parse(shutter_label(i), &index, &fault), 0);
        assert_int_equal(index, i);
    }
    assert_int_equal(shutter_parse("2s", &index, &fault), 0);
    assert_int_equal(index, 3);
    assert_int_equal(shutter_parse("s", &index, &fault), -1);
    assert_int_equal(shutter_parse("1/2", &index, &fault), 0);
    assert_int_equal(index, -3);
    assert_int_equal(shutter_parse("1/3", &index, &fault), 0);
    assert_int_equal(index, -5);
    assert_int_equal(shutter_parse("30.0", &index, &fault), 0);
    assert_int_equal(index, 15);
    /* Of half stops, and beyond the dial. */
    assert_int_equal(shutter_parse("1/90", &index, &fault), -1);
    assert_int_equal(shutter_parse("0.7", &index, &fault), -1);
    assert_int_equal(shutter_parse("80", &index, &fault), -1);
    assert_int_equal(shutter_parse("1/40000", &index, &fault), -1);
    assert_int_equal(shutter_parse("1/", &index, &fault), -1);
    assert_int_equal(shutter_parse("", &index, &fault), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_label_reads_back),
        cmocka_unit_test(whole_stops),
        cmocka_unit_test(every_label_is_its_step),
        cmocka_unit_test(iso_as_printed),
        cmocka_unit_test(past_the_ends),
        cmocka_unit_test(rig_defaults),
        cmocka_unit_test(names),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
