/* The frame: closed forms of the gnomonic projection. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/frame.h>
#include <moonstand/rig.h>

#include <math.h>

static struct rig long_rig(void)
{
    struct rig rig;

    rig_default(&rig);
    rig.focal_mm = 400;
    rig.sensor_width_mm = 23.5;
    rig.sensor_height_mm = 15.6;
    return rig;
}

static void assert_near(double found, double wanted, double tolerance)
{
    if (!(fabs(found - wanted) <= tolerance))
        fail_msg("%.12g is not %.12g +- %g", found, wanted, tolerance);
}

static struct vec3 direction(double altitude_deg, double azimuth_deg)
{
    struct pointing pointing;

    pointing_make(rad_from_deg(altitude_deg), rad_from_deg(azimuth_deg), 0, &pointing);
    return pointing.axis;
}

static void level_camera_keeps_the_horizon_level(void **state)
{
    struct pointing pointing;

    (void)state;
    pointing_make(rad_from_deg(30), rad_from_deg(90), 0, &pointing);
    assert_near(pointing.axis.x, cos(rad_from_deg(30)), 1e-15);
    assert_near(pointing.axis.z, 0.5, 1e-15);
    /* Looking east, south is on the right. */
    assert_near(pointing.right.y, -1, 1e-15);
    assert_true(pointing.right.z == 0);
    assert_near(vec3_angle(vec3_cross(pointing.right, pointing.axis), vec3_scale(pointing.up, -1)),
                PI, 1e-12);
}

static void a_tangent_of_the_angle_falls_on_the_sensor(void **state)
{
    struct rig rig = long_rig();
    struct pointing pointing;
    struct frame_point point;

    (void)state;
    pointing_make(0, 0, 0, &pointing);
    for (double focal = 14; focal < 2000; focal *= 3) {
        rig.focal_mm = focal;
        assert_true(frame_project(&rig, &pointing, direction(0, 20), &point));
        assert_near(point.x, focal * tan(rad_from_deg(20)) / 23.5, 1e-12 * focal);
        assert_near(point.y, 0, 1e-15);
        assert_true(frame_project(&rig, &pointing, direction(20, 0), &point));
        assert_near(point.y, focal * tan(rad_from_deg(20)) / 15.6, 1e-12 * focal);
    }
    rig.portrait = true;
    rig.focal_mm = 100;
    assert_true(frame_project(&rig, &pointing, direction(0, 3), &point));
    assert_near(point.x, 100 * tan(rad_from_deg(3)) / 15.6, 1e-12);
    assert_false(frame_project(&rig, &pointing, direction(10, 179), &point));
    assert_false(frame_project(&rig, &pointing, direction(0, 90.001), &point));
}

/* Diameters of the Moon: 1776 and 2010 arcsec are near its extremes (from its distances), 1864.2 the mean of NASA's
 * Moon Fact Sheet (http://nssdc.gsfc.nasa.gov/planetary/factsheet/moonfact.html). The picture has focal length / 114 (J. Cali, "Lunar Eclipse Photography",
 * https://joe-cali.com/astronomy/articles/Lunar-Eclipse-Photography.html), a rule of thumb for a
 * Moon of 1809 arcsec. */
static void moon_through_a_long_lens(void **state)
{
    struct rig rig = long_rig();
    const double diameter_arcsec[] = {1776, 1864.2, 2010};
    const double picture_mm[] = {3.444, 3.615, 3.898};

    (void)state;
    for (int i = 0; i < 3; i++) {
        double half_deg = diameter_arcsec[i] / 7200;
        struct pointing pointing;
        struct frame_point left, right;
        double mm;

        pointing_make(0, rad_from_deg(180), 0, &pointing);
        assert_true(frame_project(&rig, &pointing, direction(0, 180 - half_deg), &left));
        assert_true(frame_project(&rig, &pointing, direction(0, 180 + half_deg), &right));
        mm = (right.x - left.x) * rig_frame_width_mm(&rig);
        assert_near(mm, picture_mm[i], 0.0006);
        assert_near(mm, 400 / 114.0 * diameter_arcsec[i] / 1809, 0.002);
    }
}

static void pointing_puts_the_moon_where_it_was_asked(void **state)
{
    struct rig rig = long_rig();
    const double focal_mm[] = {14, 50, 400};

    (void)state;
    for (int f = 0; f < 3; f++) {
        rig.focal_mm = focal_mm[f];
        for (double altitude = -5; altitude <= 85; altitude += 7.5) {
            for (double x = -0.45; x <= 0.46; x += 0.15) {
                for (double y = -0.45; y <= 0.46; y += 0.15) {
                    struct vec3 moon = direction(altitude, 3.7 * altitude + 100 * x);
                    struct pointing pointing;
                    struct frame_point point;
                    /* A level camera has the zenith in its middle column: the Moon can stand no
                     * further from that column than it stands from the zenith. */
                    double u = x * 23.5 / rig.focal_mm, v = y * 15.6 / rig.focal_mm;
                    bool possible = tan(rad_from_deg(90 - fabs(altitude))) >= fabs(u) / hypot(1, v);

                    assert_int_equal(
                        pointing_for(&rig, moon, (struct frame_point){x, y}, &pointing), possible);
                    assert_true(pointing.right.z == 0);
                    if (!possible)
                        continue;
                    assert_true(frame_project(&rig, &pointing, moon, &point));
                    assert_near(point.x, x, 1e-11);
                    assert_near(point.y, y, 1e-11);
                }
            }
        }
    }
}

static void the_zenith_can_only_stand_in_the_middle_column(void **state)
{
    struct rig rig = long_rig();
    struct vec3 zenith = {0, 0, 1};
    struct pointing pointing;
    struct frame_point point;

    (void)state;
    assert_true(pointing_for(&rig, zenith, (struct frame_point){0, 0.3}, &pointing));
    assert_true(frame_project(&rig, &pointing, zenith, &point));
    assert_near(point.y, 0.3, 1e-9);
    assert_false(pointing_for(&rig, zenith, (struct frame_point){0.1, 0}, &pointing));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(level_camera_keeps_the_horizon_level),
        cmocka_unit_test(a_tangent_of_the_angle_falls_on_the_sensor),
        cmocka_unit_test(moon_through_a_long_lens),
        cmocka_unit_test(pointing_puts_the_moon_where_it_was_asked),
        cmocka_unit_test(the_zenith_can_only_stand_in_the_middle_column),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
