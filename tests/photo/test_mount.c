/* Mounts: rates, the drift of a badly aligned axis, the axis told from it, flip and limits. */
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
#include <moonstand/mount.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>
#include <moonstand/text.h>

#define LIMB 0.0045
#define ARCMIN (PI / 180 / 60)

static struct track track;
static struct arc arc;
static struct observer observer;

static struct mount default_mount(void)
{
    struct rig rig;

    rig_default(&rig);
    return rig.mount;
}

static void assert_near(double found, double wanted, double tolerance)
{
    if (!(fabs(found - wanted) <= tolerance))
        fail_msg("%.12g is not %.12g +- %g", found, wanted, tolerance);
}

static struct mount off_by(double az_arcmin, double alt_arcmin)
{
    struct mount mount;

    mount = default_mount();
    mount.polar_az_error_arcmin = az_arcmin;
    mount.polar_alt_error_arcmin = alt_arcmin;
    return mount;
}

static void rates_of_the_trade(void **state)
{
    (void)state;
    assert_true(support_rate_rad_per_s(SUPPORT_FIXED) == 0);
    assert_near(arcsec_from_rad(support_rate_rad_per_s(SUPPORT_SIDEREAL)), 15.041068, 1e-6);
    assert_near(arcsec_from_rad(support_rate_rad_per_s(SUPPORT_SOLAR)), 15, 1e-9);
    /* The Moon falls back by 0.549 arcsec/s, about a disc in an hour: common
     * practice, no source. */
    assert_near(arcsec_from_rad(support_rate_rad_per_s(SUPPORT_LUNAR)), 15.041068 - 0.549015, 1e-6);
}

static struct rig telescope(enum support support)
{
    struct rig rig;

    rig_default(&rig);
    rig.focal_mm = 800;
    rig.sensor_width_mm = 23.5;
    rig.sensor_height_mm = 15.6;
    rig.support = support;
    return rig;
}

/* A body that keeps the rate stands still; at another rate it slips by the difference. */
static void what_a_rate_leaves(void **state)
{
    static const enum support rate[] = {SUPPORT_SIDEREAL, SUPPORT_LUNAR, SUPPORT_SOLAR};
    const struct mount mount = off_by(0, 0);

    (void)state;
    for (int body = 0; body < 3; body++) {
        star_track(&track, 48, -20, support_rate_rad_per_s(rate[body]), LIMB);
        for (int i = 0; i < 3; i++) {
            double slip = arcsec_from_rad(support_rate_rad_per_s(rate[i]) -
                                          support_rate_rad_per_s(rate[body]));
            struct rig rig = telescope(rate[i]);
            struct mount_drift drift;

            mount_drift(&mount, rate[i], &track, 4000, &drift);
            assert_near(drift.rate_east_arcsec_per_s, slip * cos(rad_from_deg(20)), 1e-5);
            assert_near(drift.rate_north_arcsec_per_s, 0, 1e-5);
            assert_near(drift.polar_east_arcsec_per_s, 0, 1e-12);
            assert_near(drift.polar_north_arcsec_per_s, 0, 1e-12);
            assert_near(drift.arcsec_per_s, fabs(slip) * cos(rad_from_deg(20)), 1e-5);
            assert_near(drift.arcsec_per_s, aim_drift_arcsec_per_s(&rig, &track, 4000), 1e-9);
        }
    }
    /* A tripod leaves all of it, whatever its axis. */
    struct mount_drift drift;
    const struct mount bad = off_by(100, 100);

    mount_drift(&bad, SUPPORT_FIXED, &track, 4000, &drift);
    assert_near(drift.rate_east_arcsec_per_s, -15 * cos(rad_from_deg(20)), 1e-4);
    assert_true(drift.polar_east_arcsec_per_s == 0 && drift.polar_north_arcsec_per_s == 0);
    mount_drift(&bad, SUPPORT_FIXED, &track, 7 * 3600, &drift);
    assert_true(isnan(drift.rate_east_arcsec_per_s) && isnan(drift.polar_north_arcsec_per_s));
    assert_true(isnan(drift.arcsec_per_s));
}

/* An axis a east and b above the pole: declination changes by -w (a cos H + b sin H), derived; the
 * drift method of polar alignment (common practice, no source) is its two special cases: a star on
 * the meridian goes south when the axis points east, one in the east goes north when it points too
 * high. In the south 'above' is away from the zenith's side of the celestial north. */
static void drift_by_the_formula(void **state)
{
    static const double latitude_deg[] = {0.5, 48, 80, -33};
    static const double declination_deg[] = {-27, 0, 14, 28};
    static const double error_arcmin[][2] = {{1, 0}, {0, 1}, {-2, 1.5}};

    (void)state;
    for (int l = 0; l < 4; l++)
        for (int d = 0; d < 4; d++) {
            double latitude = rad_from_deg(latitude_deg[l]);
            double sd = sin(rad_from_deg(declination_deg[d]));

            star_track(&track, latitude_deg[l], declination_deg[d], sidereal_rate, LIMB);
            for (int e = 0; e < 3; e++)
                for (double hours = -5.9; hours < 6; hours += 0.9) {
                    struct mount mount = off_by(error_arcmin[e][0], error_arcmin[e][1]);
                    double h = hours * 3600 * sidereal_rate;
                    double a = error_arcmin[e][0] * 60 * cos(latitude) * sidereal_rate;
                    double b = error_arcmin[e][1] * 60 * (latitude < 0 ? -1 : 1) * sidereal_rate;
                    struct mount_drift drift;

                    mount_drift(&mount, SUPPORT_SIDEREAL, &track, hours * 3600, &drift);
                    /* Left over: the second order of 2 arcmin. */
                    assert_near(drift.polar_north_arcsec_per_s, -(a * cos(h) + b * sin(h)), 1e-5);
                    assert_near(drift.polar_east_arcsec_per_s, sd * (a * sin(h) - b * cos(h)),
                                1e-5);
                    assert_near(
                        drift.arcsec_per_s,
                        hypot(drift.polar_north_arcsec_per_s, drift.polar_east_arcsec_per_s), 2e-5);
                }
        }
    /* A degree of error drifts by 15.7 arcsec a minute at most (D. Rowe,
     * http://astro.umsystem.edu/apml/ARCHIVES/JAN02/msg00114.html), a tenth of it by a tenth: six hours
     * west for an axis too high; the sidereal rate times the angle. */
    struct mount mount = off_by(0, 6);
    struct mount_drift drift;

    star_track(&track, 48, 0, sidereal_rate, LIMB);
    mount_drift(&mount, SUPPORT_SIDEREAL, &track, PI / 2 / sidereal_rate, &drift);
    assert_near(drift.polar_north_arcsec_per_s, -15.0411 * PI / 1800, 1e-4);
    assert_near(drift.polar_east_arcsec_per_s, 0, 1e-4);
}

/* ---- a real camera on a real axis, turned step by step ---- */

static struct vec3 rotated(struct vec3 v, struct vec3 axis, double angle)
{
    struct vec3 along = vec3_scale(axis, vec3_dot(axis, v) * (1 - cos(angle)));

    return vec3_add(
        vec3_add(vec3_scale(v, cos(angle)), vec3_scale(vec3_cross(axis, v), sin(angle))), along);
}

/* The end of the axis above the horizon, by the base's own screws. */
static struct vec3 axis_of(const struct mount *mount, double latitude_deg)
{
    double altitude = rad_from_deg(fabs(latitude_deg)) + mount->polar_alt_error_arcmin * ARCMIN;
    double azimuth = (latitude_deg < 0 ? PI : 0) + mount->polar_az_error_arcmin * ARCMIN;

    return (struct vec3){cos(altitude) * sin(azimuth), cos(altitude) * cos(azimuth), sin(altitude)};
}

struct camera {
    struct vec3 axis; /* of the mount */
    struct pointing pointing;
    double since, rate;
};

/* Looks at a direction, its up towards the mount's axis. */
static void camera_look(struct camera *camera, struct vec3 axis, enum support support,
                        struct vec3 direction, double utc)
{
    /* From above the northern axis the sky, and the mount with it, turns clockwise. */
    double sense = track.pole.z < 0 ? 1 : -1;

    camera->axis = axis;
    camera->since = utc;
    camera->rate = sense * support_rate_rad_per_s(support);
    camera->pointing.axis = direction;
    camera->pointing.right = vec3_unit(vec3_cross(direction, axis));
    camera->pointing.up = vec3_cross(camera->pointing.right, direction);
}

static struct frame_point camera_sees(const struct camera *camera, const struct rig *rig,
                                      struct vec3 direction, double utc)
{
    double angle = camera->rate * (utc - camera->since);
    struct pointing now = {rotated(camera->pointing.axis, camera->axis, angle),
                           rotated(camera->pointing.right, camera->axis, angle),
                           rotated(camera->pointing.up, camera->axis, angle)};
    struct frame_point point;

    assert_true(frame_project(rig, &now, direction, &point));
    return point;
}

static const struct {
    double latitude_deg, longitude_deg;
} sites[] = {{48, 100}, {62, 60}, {-20, 115}, {5, 80}};

/* 2028-12-31 from 14 h to 20 h. */
static void night_begin(int site)
{
    double from;

    assert_int_equal(parse_instant("2028-12-31T14:00:00", &from, NULL), 0);
    observer_make(&observer, rad_from_deg(sites[site].latitude_deg),
                  rad_from_deg(sites[site].longitude_deg), 0);
    assert_int_equal(arc_make(&arc, tt_from_utc(from), tt_from_utc(from + 8 * 3600), true), 0);
    track_make(&track, &arc, &observer, from, from + 8 * 3600);
}

/* The drift that mount_drift tells is what the camera shows in a minute. */
static void drift_of_a_turned_camera(void **state)
{
    (void)state;
    for (int n = 0; n < 4; n++)
        for (int e = 0; e < 4; e++) {
            struct mount mount = off_by(e == 1 ? 25 : e == 3 ? -40 : 0, e >= 2 ? 30 : 0);
            struct vec3 axis = axis_of(&mount, sites[n].latitude_deg);

            night_begin(n);
            for (int support = SUPPORT_SIDEREAL; support < SUPPORTS; support++)
                for (double at = 600; at < 6 * 3600; at += 2500) {
                    double utc = track.utc_from + at;
                    struct rig rig = telescope((enum support)support);
                    struct vec3 moon = track_direction(&track, utc);
                    struct vec3 east = vec3_unit(vec3_cross(track.pole, moon));
                    struct vec3 north = vec3_cross(moon, east);
                    double mm = ARCSEC_PER_RAD / rig.focal_mm / 60;
                    struct camera camera;
                    struct frame_point a, b;
                    struct mount_drift drift;
                    double right, up, along_east, along_north;

                    if (moon.z < 0.05)
                        continue;
                    camera_look(&camera, axis, rig.support, moon, utc);
                    a = camera_sees(&camera, &rig, track_direction(&track, utc - 30), utc - 30);
                    b = camera_sees(&camera, &rig, track_direction(&track, utc + 30), utc + 30);
                    right = (b.x - a.x) * 23.5 * mm;
                    up = (b.y - a.y) * 15.6 * mm;
                    along_east = right * vec3_dot(camera.pointing.right, east) +
                                 up * vec3_dot(camera.pointing.up, east);
                    along_north = right * vec3_dot(camera.pointing.right, north) +
                                  up * vec3_dot(camera.pointing.up, north);
                    mount_drift(&mount, rig.support, &track, utc, &drift);
                    assert_near(drift.rate_east_arcsec_per_s + drift.polar_east_arcsec_per_s,
                                along_east, 1e-3);
                    assert_near(drift.rate_north_arcsec_per_s + drift.polar_north_arcsec_per_s,
                                along_north, 1e-3);
                    assert_near(drift.arcsec_per_s, hypot(right, up), 1e-3);
                    rig.mount = mount;
                    assert_near(aim_drift_arcsec_per_s(&rig, &track, utc), drift.arcsec_per_s,
                                1e-9);
                    /* Where such a camera has the Moon half an hour on. */
                    (void)aim_leaves(&rig, &track, utc, (struct frame_point){0, 0}, utc + 1800, &a);
                    b = camera_sees(&camera, &rig, track_direction(&track, utc + 1800), utc + 1800);
                    assert_near(a.x, b.x, 1e-6);
                    assert_near(a.y, b.y, 1e-6);
                }
        }
}

/* ---- the axis told from two places ---- */

/* What such a camera shows at two instants, the Moon first a little off the middle. */
static void two_places(const struct rig *rig, const struct mount *mount, double latitude_deg,
                       double first, double second, struct mount_seen seen[2])
{
    struct vec3 axis = axis_of(mount, latitude_deg);
    struct vec3 moon = track_direction(&track, first);
    struct vec3 aside = rotated(moon, (struct vec3){0, 0, 1}, 2e-3);
    struct camera camera;

    camera_look(&camera, axis, rig->support, aside, first);
    seen[0] = (struct mount_seen){first, camera_sees(&camera, rig, moon, first)};
    seen[1] = (struct mount_seen){
        second, camera_sees(&camera, rig, track_direction(&track, second), second)};
}

static void errors_come_back(void **state)
{
    static const double error[][2] = {{0, 0}, {12, -20}, {-35, 10}, {60, 60}};
    int told[2] = {0, 0};

    (void)state;
    for (int n = 0; n < 4; n++)
        for (int e = 0; e < 4; e++)
            for (double at = 1800; at < 5 * 3600; at += 3600) {
                struct mount mount = off_by(error[e][0], error[e][1]);
                struct rig rig = telescope(e % 2 ? SUPPORT_LUNAR : SUPPORT_SIDEREAL);
                double utc = track.utc_from + at;
                struct mount_seen seen[2];
                struct polar_estimate found;

                night_begin(n);
                utc = track.utc_from + at;
                if (track_direction(&track, utc).z < 0.1)
                    continue;
                two_places(&rig, &mount, sites[n].latitude_deg, utc, utc + 5400, seen);
                mount_polar_estimate(&rig, &track, seen, 0.001, &found);
                assert_true(isfinite(found.az_doubt_arcmin) && isfinite(found.alt_doubt_arcmin));
                assert_true(isnan(found.az_error_arcmin) ==
                            (found.az_doubt_arcmin > POLAR_TOLD_ARCMIN));
                assert_true(isnan(found.alt_error_arcmin) ==
                            (found.alt_doubt_arcmin > POLAR_TOLD_ARCMIN));
                /* Places without any error tell the axis but for what it is taken to be beforehand:
                 * by the share of the doubt's square. */
                if (isfinite(found.az_error_arcmin)) {
                    assert_near(found.az_error_arcmin, error[e][0], found.az_doubt_arcmin * 0.2);
                    told[0]++;
                }
                if (isfinite(found.alt_error_arcmin)) {
                    assert_near(found.alt_error_arcmin, error[e][1], found.alt_doubt_arcmin * 0.2);
                    told[1]++;
                }
            }
    print_message("azimuth told %d times, altitude %d times\n", told[0], told[1]);
    assert_true(told[0] > 10 && told[1] > 10);
}

/* On the equator a star tells azimuth on the meridian, altitude six hours off, and neither half
 * way. */
static void what_cannot_be_told(void **state)
{
    static const struct {
        double hours;
        bool az, alt;
    } row[] = {{0, true, false}, {-5.75, false, true}, {-3, false, false}, {3, false, false}};
    struct mount mount = off_by(15, -15);
    struct rig rig = telescope(SUPPORT_SIDEREAL);
    struct mount_seen seen[2];
    struct polar_estimate found;

    (void)state;
    star_track(&track, 48, 0, sidereal_rate, LIMB);
    for (int i = 0; i < 4; i++) {
        double utc = row[i].hours * 3600;

        two_places(&rig, &mount, 48, utc - 900, utc + 900, seen);
        mount_polar_estimate(&rig, &track, seen, 0.002, &found);
        assert_int_equal(isfinite(found.az_error_arcmin), row[i].az);
        assert_int_equal(isfinite(found.alt_error_arcmin), row[i].alt);
        if (row[i].az)
            assert_near(found.az_error_arcmin, 15, 0.2);
        /* A quarter of an hour from where the azimuth has no part in it. */
        if (row[i].alt)
            assert_near(found.alt_error_arcmin, -15, found.alt_doubt_arcmin);
    }
    /* Too soon after one another. */
    two_places(&rig, &mount, 48, 0, 60, seen);
    mount_polar_estimate(&rig, &track, seen, 0.002, &found);
    assert_true(isnan(found.az_error_arcmin) && isnan(found.alt_error_arcmin));
    assert_true(found.az_doubt_arcmin > 30);
    /* At the pole there is no azimuth. */
    star_track(&track, 90, 20, sidereal_rate, LIMB);
    two_places(&rig, &mount, 90, -3 * 3600, 3 * 3600, seen);
    mount_polar_estimate(&rig, &track, seen, 0.002, &found);
    assert_true(isnan(found.az_error_arcmin));
    /* A tripod has no axis; outside the track nothing is known. */
    rig.support = SUPPORT_FIXED;
    mount_polar_estimate(&rig, &track, seen, 0.002, &found);
    assert_true(isnan(found.az_error_arcmin) && isnan(found.az_doubt_arcmin));
    rig.support = SUPPORT_SIDEREAL;
    seen[1].utc = 7 * 3600;
    mount_polar_estimate(&rig, &track, seen, 0.002, &found);
    assert_true(isnan(found.alt_error_arcmin) && isnan(found.alt_doubt_arcmin));
}

/* Sum of twelve even numbers: near enough to a normal one. */
static double noise(void)
{
    static uint32_t seed = 1;
    double sum = -6;

    for (int i = 0; i < 12; i++) {
        seed = seed * 1664525u + 1013904223u;
        sum += seed / 4294967296.0;
    }
    return sum;
}

/* The doubts are those of places misread, a drive that wanders and a camera a little turned; they
 * leave out that a turn of the camera shifts both ways at once, which is worth an eighth. */
static void doubts_are_honest(void **state)
{
    const double reading = 0.002;
    enum { TRIES = 3000 };

    (void)state;
    for (int n = 0; n < 4; n += 3) {
        struct rig rig = telescope(n ? SUPPORT_LUNAR : SUPPORT_SIDEREAL);
        double sum[2] = {0, 0};

        night_begin(n);
        for (int i = 0; i < TRIES; i++) {
            struct mount mount = off_by(20 * noise(), 20 * noise());
            double turned = rad_from_deg(1) * noise();
            struct mount_seen seen[2];
            struct polar_estimate found;
            double right, up;

            two_places(&rig, &mount, sites[n].latitude_deg, track.utc_from + 7200,
                       track.utc_from + 7200 + 7200, seen);
            right = (seen[1].place.x - seen[0].place.x) * 23.5;
            up = (seen[1].place.y - seen[0].place.y) * 15.6;
            seen[1].place.x += (-turned * up + 15 / ARCSEC_PER_RAD * rig.focal_mm * noise()) / 23.5;
            seen[1].place.y += turned * right / 15.6;
            for (int k = 0; k < 2; k++) {
                seen[k].place.x += reading * noise() * 15.6 / 23.5;
                seen[k].place.y += reading * noise();
            }
            mount_polar_estimate(&rig, &track, seen, reading, &found);
            assert_true(isfinite(found.az_error_arcmin) && isfinite(found.alt_error_arcmin));
            sum[0] += pow(
                (found.az_error_arcmin - mount.polar_az_error_arcmin) / found.az_doubt_arcmin, 2);
            sum[1] += pow((found.alt_error_arcmin - mount.polar_alt_error_arcmin) /
                              found.alt_doubt_arcmin,
                          2);
        }
        print_message("errors over doubts: azimuth %.3f, altitude %.3f\n", sqrt(sum[0] / TRIES),
                      sqrt(sum[1] / TRIES));
        assert_near(sqrt(sum[0] / TRIES), 1, 0.15);
        assert_near(sqrt(sum[1] / TRIES), 1, 0.15);
    }
}

/* ---- flip and limits ---- */

static void flip_of_a_star(void **state)
{
    const double turn = 15.0 * 3600 / 15.041067; /* a degree-hour of mean time in sidereal time */
    struct mount mount = off_by(0, 0);
    struct mount_flip flip;

    (void)state;
    star_track(&track, -33, 10, sidereal_rate, LIMB);
    mount.past_meridian_min = 20;
    assert_false(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){NAN, NAN}, &flip));
    assert_true(isnan(flip.latest_utc) && isnan(flip.meridian_utc) && isnan(flip.advised_utc));
    mount.german_equatorial = true;
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){NAN, NAN}, &flip));
    assert_near(flip.meridian_utc, 0, 0.1);
    /* The hour angle runs 1.00274 times as fast as the clock; the star's is computed from 60-second
     * samples without refraction. */
    assert_near(flip.latest_utc, 20 * turn / 60, 0.1);
    assert_near(flip.earliest_utc, -20 * turn / 60, 0.1);
    assert_true(flip.advised_utc == flip.latest_utc && !flip.in_totality);
    /* It is past, or not yet due. */
    assert_false(
        mount_flip(&mount, &track, (struct span){1300, 3600}, (struct span){NAN, NAN}, &flip));
    assert_false(
        mount_flip(&mount, &track, (struct span){-3600, 1100}, (struct span){NAN, NAN}, &flip));
    assert_false(
        mount_flip(&mount, &track, (struct span){-8 * 3600, 3600}, (struct span){NAN, NAN}, &flip));
    assert_true(isnan(flip.latest_utc));
    /* Totality begins before the latest instant: done in time before it. */
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){600, 2400}, &flip));
    assert_near(flip.advised_utc, 600 - MOUNT_FLIP_S, 1e-9);
    assert_false(flip.in_totality);
    /* It would reach into totality. */
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){1300, 4000}, &flip));
    assert_near(flip.advised_utc, 1300 - MOUNT_FLIP_S, 1e-9);
    /* Just before, and just after. */
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){1600, 4000}, &flip));
    assert_true(flip.advised_utc == flip.latest_utc && !flip.in_totality);
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){-1000, 1100}, &flip));
    assert_true(flip.advised_utc == flip.latest_utc && !flip.in_totality);
    /* Nothing but totality: said. */
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){-1000, 2000}, &flip));
    assert_true(flip.advised_utc == flip.latest_utc && flip.in_totality);
    mount.past_meridian_min = 0;
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){-200, 2000}, &flip));
    assert_true(flip.in_totality && flip.earliest_utc == flip.latest_utc);
    /* An axis turned to the east meets the star earlier, near the zenith hardly. */
    mount.polar_az_error_arcmin = 60;
    assert_true(
        mount_flip(&mount, &track, (struct span){-3600, 3600}, (struct span){NAN, NAN}, &flip));
    assert_true(fabs(flip.meridian_utc) > 60);
}

static void flip_is_the_transit(void **state)
{
    int transits = 0;

    (void)state;
    for (int n = 0; n < 4; n++) {
        struct sky_event event[32];
        struct mount mount = off_by(0, 0);
        struct mount_flip flip;
        double end;
        int count;

        night_begin(n);
        end = track.utc_from + 8 * 3600;
        mount.german_equatorial = true;
        count = sky_events(&arc, &observer, track.utc_from, end, event, 32);
        for (int i = 0; i < count; i++) {
            if (event[i].kind != SKY_MOON_TRANSIT)
                continue;
            assert_true(mount_flip(&mount, &track, (struct span){track.utc_from, end},
                                   (struct span){NAN, NAN}, &flip));
            /* Events to 0.1 s. */
            assert_near(flip.meridian_utc, event[i].utc, 0.15);
            assert_near(flip.latest_utc, event[i].utc, 0.15);
            transits++;
        }
    }
    assert_true(transits >= 3);
}

/* From the equator a star on the equator climbs by its hour angle. */
static void limits_of_altitude(void **state)
{
    const double degree = PI / 180 / sidereal_rate;
    struct mount mount = off_by(0, 0);
    struct mount_limit limit[8];

    (void)state;
    assert_true(mount_reaches(&mount, 0) && mount_reaches(&mount, PI / 2));
    assert_false(mount_reaches(&mount, -0.01));
    mount.altitude_min_deg = 15;
    mount.altitude_max_deg = 80;
    assert_false(mount_reaches(&mount, rad_from_deg(14.9)));
    assert_false(mount_reaches(&mount, rad_from_deg(80.1)));
    star_track(&track, 0, 0, sidereal_rate, LIMB);
    assert_int_equal(mount_limits(&mount, &track, -6 * 3600, 6 * 3600, limit, 8), 4);
    assert_near(limit[0].utc, -75 * degree, 0.1);
    assert_near(limit[1].utc, -10 * degree, 0.1);
    assert_near(limit[2].utc, 10 * degree, 0.1);
    assert_near(limit[3].utc, 75 * degree, 0.1);
    for (int i = 0; i < 4; i++) {
        assert_int_equal(limit[i].enters, i % 2 == 0);
        assert_int_equal(limit[i].upper, i == 1 || i == 2);
    }
    /* The span counts, and what is written is bounded. */
    limit[1].utc = 7;
    assert_int_equal(mount_limits(&mount, &track, -6 * 3600, 0, limit, 1), 2);
    assert_true(limit[1].utc == 7);
    assert_int_equal(mount_limits(&mount, &track, -9 * 3600, -7 * 3600, limit, 8), 0);
    /* 90 degrees are no limit. */
    mount = default_mount();
    assert_int_equal(mount_limits(&mount, &track, -5 * 3600, 5 * 3600, limit, 8), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rates_of_the_trade),   cmocka_unit_test(what_a_rate_leaves),
        cmocka_unit_test(drift_by_the_formula), cmocka_unit_test(drift_of_a_turned_camera),
        cmocka_unit_test(errors_come_back),     cmocka_unit_test(what_cannot_be_told),
        cmocka_unit_test(doubts_are_honest),    cmocka_unit_test(flip_of_a_star),
        cmocka_unit_test(flip_is_the_transit),  cmocka_unit_test(limits_of_altitude),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
