/* Whose picture it is, and how large the Moon must be in it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/eye.h>
#include <moonstand/instant.h>
#include <moonstand/seen.h>
#include <moonstand/setup.h>
#include <moonstand/sight.h>

#include <string.h>

/* 2028-12-31T16:52:00 UTC, the eclipse's greatest to the minute. */
#define TAKEN 1861894320.0

static struct setup *setup;

static struct metadata picture(double focal_mm)
{
    return (struct metadata){.format = PICTURE_JPEG,
                             .model = "Camera One",
                             .serial = "0123",
                             .taken = TAKEN,
                             .offset_min = 0,
                             .shutter_s = NAN,
                             .iso = NAN,
                             .f_number = NAN,
                             .focal_mm = focal_mm,
                             .focal_35mm = NAN,
                             .sensor_px_per_mm = NAN,
                             .width = 6000,
                             .height = 4000,
                             .orientation = 1,
                             .jpeg_size = 1,
                             .jpeg_width = 6000,
                             .jpeg_height = 4000};
}

static int open_setup(void **state)
{
    static struct setup whole;

    (void)state;
    setup = &whole;
    setup_default(setup); /* 24, 400 and 800 mm; 36 and 23.5 mm wide */
    return 0;
}

static void test_rig_by_camera_then_by_focal_length(void **state)
{
    struct metadata metadata = picture(398);

    (void)state;
    assert_int_equal(picture_rig(setup, &metadata), 1);
    metadata.focal_mm = 600;
    assert_int_equal(picture_rig(setup, &metadata), -1);
    /* A camera may know of its extender or not. */
    setup->rig[1].extender = 1.5;
    assert_int_equal(picture_rig(setup, &metadata), 1);
    metadata.focal_mm = 400;
    assert_int_equal(picture_rig(setup, &metadata), 1);
    setup->rig[1].extender = 1;
    /* Two lenses of one focal length tell nothing. */
    setup->rig[1].focal_mm = 800;
    metadata.focal_mm = 800;
    assert_int_equal(picture_rig(setup, &metadata), -1);
    setup->rig[1].focal_mm = 400;
    metadata.focal_mm = NAN;
    assert_int_equal(picture_rig(setup, &metadata), -1);
    (void)strcpy(setup->rig[2].camera, "0123");
    assert_int_equal(picture_rig(setup, &metadata), 2);
    (void)strcpy(setup->rig[2].camera, "Camera One");
    assert_int_equal(picture_rig(setup, &metadata), 2);
    (void)strcpy(metadata.make, "Maker");
    (void)strcpy(setup->rig[2].camera, "Maker Camera One");
    assert_int_equal(picture_rig(setup, &metadata), 2);
    (void)strcpy(setup->rig[2].camera, "Other Camera One");
    assert_int_not_equal(picture_rig(setup, &metadata), 2);
    (void)strcpy(setup->rig[2].camera, "Camera One");
    /* Two rigs of one camera: the focal length decides. */
    (void)strcpy(setup->rig[1].camera, "Camera One");
    assert_int_equal(picture_rig(setup, &metadata), -1);
    metadata.focal_mm = 400;
    assert_int_equal(picture_rig(setup, &metadata), 1);
    /* The first rig's camera with another rig's lens on it is the first rig's. */
    (void)strcpy(setup->rig[1].camera, "");
    (void)strcpy(setup->rig[2].camera, "");
    (void)strcpy(setup->rig[0].camera, "Camera One");
    assert_int_equal(picture_rig(setup, &metadata), 0);
}

static void test_radius_from_each_source(void **state)
{
    struct metadata metadata = picture(400);
    struct moon_size size;
    double focal_px;

    (void)state;
    for (int i = 0; i < setup->rig_count; i++)
        setup->rig[i].camera[0] = '\0';
    /* By the sensor: 250 px a mm. */
    metadata.sensor_px_per_mm = 250;
    assert_true(picture_moon_size(setup, 1, false, &metadata, &size));
    assert_near(size.radius_px, 100000 * tan(size.semidiameter_rad), 1e-6);
    /* A preview of a third of the width. */
    metadata.jpeg_width = 2000;
    metadata.jpeg_height = 1333;
    assert_true(picture_moon_size(setup, 1, false, &metadata, &size));
    assert_near(size.radius_px, 100000 / 3.0 * tan(size.semidiameter_rad), 1e-6);
    /* By 36 x 24 mm: 600 mm on 6000 px are 100000 px, to the sixth of a per cent of the diagonal. */
    metadata = picture(400);
    metadata.focal_35mm = 600;
    assert_true(picture_moon_size(setup, -1, false, &metadata, &size));
    assert_near(size.radius_px / (100000 * tan(size.semidiameter_rad)), 1, 0.002);
    /* By the rig, asked for, or for want of better: 400 mm on 23.5 mm. */
    focal_px = 400 * 6000 / 23.5;
    assert_true(picture_moon_size(setup, 1, true, &metadata, &size));
    assert_near(size.radius_px, focal_px * tan(size.semidiameter_rad), 1e-6);
    metadata.focal_35mm = NAN;
    assert_true(picture_moon_size(setup, 1, false, &metadata, &size));
    assert_near(size.radius_px, focal_px * tan(size.semidiameter_rad), 1e-6);
    /* The first rig is one, too: 24 mm on 36 mm. */
    assert_true(picture_moon_size(setup, 0, true, &metadata, &size));
    assert_near(size.radius_px, 24 * 6000 / 36.0 * tan(size.semidiameter_rad), 1e-6);
    /* By nobody. */
    assert_false(picture_moon_size(setup, -1, false, &metadata, &size));
}

static void test_semidiameter_follows_time_and_site(void **state)
{
    struct metadata metadata = picture(400);
    struct moon_size anywhere, here, west, unknown;
    struct observer observer;
    struct sight sight;
    struct arc arc;

    (void)state;
    setup->has_site = true;
    setup->site = (struct site){.latitude_deg = 62, .longitude_deg = 60, .height_m = 420};
    assert_true(picture_moon_size(setup, 1, false, &metadata, &here));
    observer_make(&observer, rad_from_deg(62), rad_from_deg(60), 420);
    assert_int_equal(arc_make(&arc, tt_from_utc(TAKEN) - 3600, tt_from_utc(TAKEN) + 3600, true), 0);
    sky_moon(&arc, &observer, TAKEN, &sight);
    assert_near(here.semidiameter_rad, sight.semidiameter_rad, 1e-9);
    /* The same instant by a camera west of it. */
    metadata.taken -= 5 * 3600;
    metadata.offset_min = -5 * 60;
    assert_true(picture_moon_size(setup, 1, false, &metadata, &west));
    assert_near(west.semidiameter_rad, here.semidiameter_rad, 1e-9);
    /* Without a zone or a site: within a per cent. */
    metadata.offset_min = NAN;
    assert_true(picture_moon_size(setup, 1, false, &metadata, &anywhere));
    assert_near(anywhere.semidiameter_rad / here.semidiameter_rad, 1, 0.015);
    assert_near(anywhere.tolerance, 0.05, 0);
    /* Without a time: the mean, and a wider tolerance that holds the nearest and the farthest Moon
     * (14.7 and 16.8 arcmin; from memory). */
    metadata.taken = NAN;
    assert_true(picture_moon_size(setup, 1, false, &metadata, &unknown));
    assert_true(unknown.semidiameter_rad * (1 - unknown.tolerance) < rad_from_deg(14.7 / 60));
    assert_true(unknown.semidiameter_rad * (1 + unknown.tolerance) > rad_from_deg(16.8 / 60));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rig_by_camera_then_by_focal_length),
        cmocka_unit_test(test_radius_from_each_source),
        cmocka_unit_test(test_semidiameter_follows_time_and_site),
    };

    return cmocka_run_group_tests(tests, open_setup, NULL);
}
