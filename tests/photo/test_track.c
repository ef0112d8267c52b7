/* The Moon's track: against the sky it was sampled from, JPL Horizons, and stars. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/photo/photo_private.h"
#include "star.h"

#include <moonstand/aim.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/observer.h>
#include <moonstand/rig.h>
#include <moonstand/sight.h>
#include <moonstand/text.h>

#include <stdio.h>
#include <stdlib.h>

enum { ROWS = 400 };
struct row {
    double utc, semidiameter_rad;
    struct vec3 enu;
};
static struct row row[ROWS];
static struct observer manaus;
static struct track track; /* airless, as the rows are */

static void assert_near(double found, double wanted, double tolerance)
{
    if (!(fabs(found - wanted) <= tolerance))
        fail_msg("%.12g is not %.12g +- %g", found, wanted, tolerance);
}

/* JPL Horizons, DE441: topocentric apparent azimuth, elevation, diameter at Manaus, airless, each
 * minute of the eclipse of 2026-08-28. */
static int read_rows(void)
{
    FILE *file = fopen(TEST_DATA "/horizons_topo_l2026.csv", "r");
    char line[256];
    int count = 0;

    if (!file)
        return 0;
    while (count < ROWS && fgets(line, sizeof line, file)) {
        char *end;
        double azimuth_deg, altitude_deg;
        struct pointing pointing;

        if (line[0] != '2' || line[20] != ',')
            continue;
        line[20] = '\0';
        assert_int_equal(parse_instant(line, &row[count].utc, NULL), 0);
        azimuth_deg = strtod(line + 21, &end);
        altitude_deg = strtod(end + 1, &end);
        row[count].semidiameter_rad = rad_from_arcsec(strtod(end + 1, &end) / 2);
        pointing_make(rad_from_deg(altitude_deg), rad_from_deg(azimuth_deg), 0, &pointing);
        row[count++].enu = pointing.axis;
    }
    (void)fclose(file);
    return count;
}

static int set_up(void **state)
{
    static struct arc arc;

    (void)state;
    if (read_rows() != ROWS)
        return -1;
    observer_make(&manaus, rad_from_deg(-3.1019), rad_from_deg(-60.025), 92);
    manaus.pressure_hpa = 0;
    if (arc_make(&arc, tt_from_utc(row[0].utc), tt_from_utc(row[ROWS - 1].utc), true) != 0)
        return -1;
    track_make(&track, &arc, &manaus, row[0].utc, row[ROWS - 1].utc);
    return 0;
}

static void the_track_covers_its_span_and_no_more(void **state)
{
    (void)state;
    assert_int_equal(track.count, ROWS);
    assert_true(isfinite(track_direction(&track, row[0].utc).x));
    assert_true(isfinite(track_direction(&track, row[ROWS - 1].utc).x));
    assert_true(isnan(track_direction(&track, row[0].utc - 1).x));
    assert_true(isnan(track_direction(&track, row[ROWS - 1].utc + 1).x));
    assert_true(isnan(track_semidiameter(&track, row[ROWS - 1].utc + 1)));
    assert_true(isnan(track_speed_arcsec_per_s(&track, NAN)));
}

static void directions_and_diameters_are_those_of_horizons(void **state)
{
    (void)state;
    for (int i = 0; i < ROWS; i++) {
        struct vec3 found = track_direction(&track, row[i].utc);

        /* A second of time of UT1 - UTC is 15 arcsec; at this date it is below 0.1 s, 1.5 arcsec.
         */
        assert_true(arcsec_from_rad(vec3_angle(found, row[i].enu)) < 1.5);
        /* Semidiameters differ by the Moon's radius: IAU 1982 k here, 1737.4 km there, 4e-4. */
        assert_near(arcsec_from_rad(track_semidiameter(&track, row[i].utc)),
                    arcsec_from_rad(row[i].semidiameter_rad), 0.4);
    }
}

/* Rates by difference of rows a minute apart, as vectors, in the middle of the minute. */
static void rates_are_those_of_horizons(void **state)
{
    double worst = 0;

    (void)state;
    for (int i = 0; i + 1 < ROWS; i++) {
        double middle = (row[i].utc + row[i + 1].utc) / 2;
        struct vec3 step = vec3_add(row[i + 1].enu, vec3_scale(row[i].enu, -1));
        struct vec3 rate = vec3_scale(step, 1 / 60.0);
        struct vec3 error = vec3_add(track_velocity(&track, middle), vec3_scale(rate, -1));

        worst = fmax(worst, arcsec_from_rad(vec3_length(error)));
        assert_near(track_speed_arcsec_per_s(&track, middle),
                    arcsec_from_rad(vec3_angle(row[i].enu, row[i + 1].enu)) / 60, 0.01);
    }
    print_message("worst rate against JPL Horizons: %.5f arcsec/s\n", worst);
    assert_true(worst < 0.000015);
}

static double drift_on(enum support support, const struct track *of, double utc)
{
    struct rig rig;

    rig_default(&rig);
    rig.support = support;
    return aim_drift_arcsec_per_s(&rig, of, utc);
}

/* What is left of the motion on a mount: the rows turned back with the sky. */
static void drift_on_a_mount_is_that_of_horizons(void **state)
{
    /* Mean sidereal day 86164.0905 s; the Moon's mean motion 13.17636 degrees in a day. */
    const double rate[SUPPORTS] = {0, 2 * PI / 86164.0905,
                                   2 * PI / 86164.0905 - 13.17636 * PI / 180 / 86400};

    (void)state;
    for (int support = SUPPORT_SIDEREAL; support <= SUPPORT_LUNAR; support++) {
        for (int i = 0; i + 1 < ROWS; i += 9) {
            /* The later direction, turned about the pole as the mount has turned in a minute. */
            double c = cos(60 * rate[support]), s = sin(60 * rate[support]);
            struct vec3 pole = track.pole, later = row[i + 1].enu;
            struct vec3 along = vec3_scale(pole, vec3_dot(pole, later) * (1 - c));
            struct vec3 turned = vec3_add(
                vec3_add(vec3_scale(later, c), vec3_scale(vec3_cross(pole, later), s)), along);

            assert_near(drift_on((enum support)support, &track, row[i].utc + 30),
                        arcsec_from_rad(vec3_angle(row[i].enu, turned)) / 60, 0.01);
        }
    }
}

/* Stars, whose speed is 15.041 arcsec/s times the cosine of the declination: on the equator, at the
 * pole, through the zenith, between the samples. */
static void a_cubic_loses_nothing(void **state)
{
    static const double place[][2] = {{0, 0}, {0, 28}, {90, 28}, {48, -20}, {28, 28}, {-33, -28}};
    static struct track star;

    (void)state;
    for (size_t i = 0; i < sizeof place / sizeof *place; i++) {
        double latitude = rad_from_deg(place[i][0]), declination = rad_from_deg(place[i][1]);
        double speed = arcsec_from_rad(sidereal_rate) * cos(declination);

        star_track(&star, place[i][0], place[i][1], sidereal_rate, 0.0045);
        for (double utc = -6 * 3600; utc <= 6 * 3600; utc += 13) {
            struct vec3 wanted = star_direction(latitude, declination, sidereal_rate * utc);

            assert_true(arcsec_from_rad(vec3_angle(track_direction(&star, utc), wanted)) < 1e-5);
            assert_near(track_speed_arcsec_per_s(&star, utc), speed, 1e-5);
            assert_near(drift_on(SUPPORT_SIDEREAL, &star, utc), 0, 1e-5);
            assert_near(drift_on(SUPPORT_LUNAR, &star, utc), 0.5490 * cos(declination), 5e-5);
        }
    }
}

/* Refraction at the horizon leaves the track smooth (a degree below it, where refraction is held,
 * it has a kink that reaches half a degree up through the neighbouring samples). */
static void refraction_does_not_roughen_the_track(void **state)
{
    static struct arc arc;
    static struct track low;
    struct observer observer;
    double from = row[0].utc, to = from + 20 * 3600;
    double worst_place = 0, worst_rate = 0;
    int seen = 0;

    (void)state;
    observer_make(&observer, rad_from_deg(-3.1019), rad_from_deg(-60.025), 92);
    assert_int_equal(arc_make(&arc, tt_from_utc(from), tt_from_utc(to), true), 0);
    track_make(&low, &arc, &observer, from, to);
    for (double utc = from + 17; utc < to - 1; utc += 60) {
        struct sight moon, later;
        double rate;

        sky_moon(&arc, &observer, utc, &moon);
        if (moon.altitude_airless_rad < rad_from_deg(-0.4))
            continue;
        sky_moon(&arc, &observer, utc + 1, &later);
        rate = arcsec_from_rad(vec3_angle(moon.enu, later.enu));
        worst_place = fmax(worst_place, vec3_angle(moon.enu, track_direction(&low, utc)));
        worst_rate = fmax(worst_rate, fabs(rate - track_speed_arcsec_per_s(&low, utc + 0.5)));
        seen++;
    }
    worst_place = arcsec_from_rad(worst_place);
    print_message("worst between samples: %.4f arcsec, %.4f arcsec/s\n", worst_place, worst_rate);
    assert_true(seen > 300);
    assert_true(worst_place < 0.05);
    assert_true(worst_rate < 0.01);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_track_covers_its_span_and_no_more),
        cmocka_unit_test(directions_and_diameters_are_those_of_horizons),
        cmocka_unit_test(rates_are_those_of_horizons),
        cmocka_unit_test(drift_on_a_mount_is_that_of_horizons),
        cmocka_unit_test(a_cubic_loses_nothing),
        cmocka_unit_test(refraction_does_not_roughen_the_track),
    };

    return cmocka_run_group_tests(tests, set_up, NULL);
}
