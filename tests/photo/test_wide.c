/* One picture of the whole eclipse: closed forms, brute force, and a real night. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "star.h"
#include "timed.h"

#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>
#include <moonstand/text.h>
#include <moonstand/wide.h>

#define LIMB 0.0045
enum { DISCS = 400 };

static struct track track;
static struct arc arc;
static struct observer observer;
static const struct horizon flat;

static void assert_near(double found, double wanted, double tolerance)
{
    if (!(fabs(found - wanted) <= tolerance))
        fail_msg("%.12g is not %.12g +- %g", found, wanted, tolerance);
}

static struct rig wide_rig(double focal_mm, bool portrait)
{
    struct rig rig;

    rig_default(&rig);
    rig.focal_mm = focal_mm;
    rig.portrait = portrait;
    return rig;
}

/* Half the sides of 36x24 mm less 5 % of 24 mm. */
#define HALF_WIDTH 16.8
#define HALF_HEIGHT 10.8

/* Contacts of a star: P1 and P4 alone around greatest. */
static void star_contacts(double from, double to, double contact[CONTACT_COUNT])
{
    for (int i = 0; i < CONTACT_COUNT; i++)
        contact[i] = NAN;
    contact[CONTACT_P1] = from;
    contact[CONTACT_GREATEST] = (from + to) / 2;
    contact[CONTACT_P4] = to;
}

/* The longest lens for a straight path, to what a hundredth of a degree changes. */
static void assert_focal(double found, double half_mm, double half_rad)
{
    double wanted = half_mm / tan(half_rad);

    assert_near(found, wanted, wanted * rad_from_deg(0.01) / half_rad);
}

/* Also the parts that nobody asked for. */
static void compose_all(const struct rig *rig, const struct track *sky,
                        const struct horizon *horizon, const double contact_utc[CONTACT_COUNT],
                        struct wide *wide)
{
    wide_compose(rig, sky, horizon, contact_utc, wide);
    for (enum wide_part part = 0; part < WIDE_PARTS; part++) {
        const struct span span = {contact_utc[wide_begins(part)], contact_utc[wide_ends(part)]};

        wide_compose_span(rig, sky, horizon, span, &wide->fit[part]);
    }
}

/* On the horizon of the pole and through the zenith of the equator a star's path is straight. */
static void straight_paths(void **state)
{
    static const double hours[] = {1, 3, 5.5};

    (void)state;
    for (int i = 0; i < 3; i++) {
        double contact[CONTACT_COUNT];
        double half = hours[i] * 1800 * sidereal_rate + LIMB;
        struct rig rig = wide_rig(20, false);
        struct wide wide;
        const struct wide_fit *fit = &wide.fit[WIDE_P1_P4];

        star_contacts(-hours[i] * 1800, hours[i] * 1800, contact);
        star_track(&track, 90, 0, sidereal_rate, LIMB);
        compose_all(&rig, &track, &flat, contact, &wide);
        assert_near(fit->path_deg, hours[i] * 15.041067, 1e-3);
        assert_focal(fit->focal_mm, HALF_WIDTH, half);
        assert_near(angle_wrap_signed(fit->azimuth_rad - PI), 0, rad_from_deg(0.01));
        assert_true(fit->roll_rad == 0);

        /* Overhead a level camera may be turned round: the path lies along the diagonal. */
        star_track(&track, 0, 0, sidereal_rate, 1e-6);
        compose_all(&rig, &track, &flat, contact, &wide);
        assert_focal(fit->focal_mm, hypot(HALF_WIDTH, HALF_HEIGHT), half - LIMB);
        assert_near(fit->altitude_rad, PI / 2, rad_from_deg(0.05));
        star_track(&track, 0, 0, sidereal_rate, LIMB);
        /* As it rises, straight up: along the frame's height. */
        star_contacts(-5.9 * 3600, (hours[i] - 5.9) * 3600, contact);
        compose_all(&rig, &track, &flat, contact, &wide);
        if (i < 2)
            assert_focal(fit->focal_mm, HALF_HEIGHT, half);
        rig.portrait = true;
        compose_all(&rig, &track, &flat, contact, &wide);
        if (i < 2)
            assert_focal(fit->focal_mm, HALF_WIDTH, half);
    }
}

/* The longest line in a frame is its diagonal: upright, 33 degrees from the vertical. */
static void a_tilt_lays_a_steep_path_across(void **state)
{
    const double tiny = 1e-6, hours = 3, half = hours * 1800 * sidereal_rate;
    static const double tilt_deg[] = {0, 45};
    const double diagonal = atan(HALF_HEIGHT / HALF_WIDTH);
    double contact[CONTACT_COUNT];

    (void)state;
    star_track(&track, 0, 0, sidereal_rate, tiny);
    star_contacts(-5.5 * 3600, (hours - 5.5) * 3600, contact);
    for (int i = 0; i < 2; i++) {
        struct rig rig = wide_rig(24, true);
        struct wide wide;
        const struct wide_fit *fit = &wide.fit[WIDE_P1_P4];

        rig.tilt_deg = tilt_deg[i];
        compose_all(&rig, &track, &flat, contact, &wide);
        assert_focal(fit->focal_mm, i ? hypot(HALF_WIDTH, HALF_HEIGHT) : HALF_WIDTH, half);
        assert_near(fabs(fit->roll_rad), i ? diagonal : 0, rad_from_deg(0.03));
    }
}

static double share_of(const struct rig *rig, const struct wide_fit *fit, double altitude_rad,
                       double azimuth_rad)
{
    struct pointing pointing, skyline;
    struct frame_point point;

    pointing_make(fit->altitude_rad, fit->azimuth_rad, fit->roll_rad, &pointing);
    pointing_make(altitude_rad, azimuth_rad, 0, &skyline);
    assert_true(frame_project(rig, &pointing, skyline.axis, &point));
    return 0.5 + point.y;
}

/* The skyline may not lie lower than asked, with the longest lens exactly there. */
static void foreground_below(void **state)
{
    static const double share[] = {0, 0.1, 0.25, 0.4};
    struct horizon ridge = {
        .count = 3,
        .azimuth_rad = {rad_from_deg(170), rad_from_deg(180), rad_from_deg(190)},
        .altitude_rad = {0, rad_from_deg(12), 0}};
    double contact[CONTACT_COUNT];
    double last = INFINITY;

    (void)state;
    star_track(&track, 50, 0, sidereal_rate, LIMB);
    star_contacts(-2 * 3600, 2 * 3600, contact);
    for (int i = 0; i < 4; i++) {
        struct rig rig = wide_rig(12, false);
        struct wide wide, over;
        const struct wide_fit *fit = &wide.fit[WIDE_P1_P4];

        rig.foreground = share[i];
        compose_all(&rig, &track, &flat, contact, &wide);
        assert_near(fit->foreground, fmax(0, share_of(&rig, fit, 0, PI)), 1e-9);
        assert_true(fit->foreground >= share[i]);
        /* The path is symmetrical about the meridian, and so is the frame. */
        assert_near(angle_wrap_signed(fit->azimuth_rad - PI), 0, rad_from_deg(0.03));
        assert_true(fit->focal_mm < last || (i == 1 && fit->focal_mm <= last));
        last = fit->focal_mm;
        rig.focal_mm = fit->focal_mm;
        if (i > 1)
            assert_near(share_of(&rig, fit, 0, PI), share[i], 1e-3);
        /* A ridge under the path fills some of it. */
        compose_all(&rig, &track, &ridge, contact, &over);
        if (i > 1)
            assert_true(over.fit[WIDE_P1_P4].focal_mm > fit->focal_mm + 1);
        rig.focal_mm = over.fit[WIDE_P1_P4].focal_mm;
        if (i > 1)
            assert_near(share_of(&rig, &over.fit[WIDE_P1_P4], rad_from_deg(12), PI), share[i],
                        2e-3);
    }
}

/* ---- real nights: contacts as in the figures of NASA GSFC ---- */

static const char *const of_2028[CONTACT_COUNT] = {
    "2028-12-31T14:03:49", "2028-12-31T15:07:35", "2028-12-31T16:16:19", "2028-12-31T16:51:58",
    "2028-12-31T17:27:40", "2028-12-31T18:36:24", "2028-12-31T19:40:02"};
static const char *const of_2026[CONTACT_COUNT] = {
    "2026-08-28T01:23:55", "2026-08-28T02:33:48", NULL, "2026-08-28T04:12:49", NULL,
    "2026-08-28T05:51:55", "2026-08-28T07:01:41"};

static void night_begin(const char *const *names, double latitude_deg, double longitude_deg,
                        double contact[CONTACT_COUNT])
{
    for (int i = 0; i < CONTACT_COUNT; i++) {
        contact[i] = NAN;
        if (names[i])
            assert_int_equal(parse_instant(names[i], &contact[i], NULL), 0);
    }
    observer_make(&observer, rad_from_deg(latitude_deg), rad_from_deg(longitude_deg), 0);
    assert_int_equal(
        arc_make(&arc, tt_from_utc(contact[0] - 600), tt_from_utc(contact[6] + 600), true), 0);
    track_make(&track, &arc, &observer, contact[0] - 600, contact[6] + 600);
}

/* P1 to P4 is a path of 75 to 80 degrees, U1 to U4 about 47, and the disc moves by its own diameter
 * in about two minutes: common practice, no source. */
static void path_of_2028(void **state)
{
    struct rig rig = wide_rig(24, false);
    double contact[CONTACT_COUNT], least;
    struct wide wide;

    (void)state;
    night_begin(of_2028, 62, 60, contact);
    compose_all(&rig, &track, &flat, contact, &wide);
    least = disc_least_interval_s(&track, contact[CONTACT_P1], contact[CONTACT_P4]);
    print_message("62 N 60 E: P1 to P4 %.2f, U1 to U4 %.2f, U2 to U3 %.2f degrees; least interval "
                  "%.1f s\n",
                  wide.fit[WIDE_P1_P4].path_deg, wide.fit[WIDE_U1_U4].path_deg,
                  wide.fit[WIDE_U2_U3].path_deg, least);
    assert_in_range((int)round(wide.fit[WIDE_P1_P4].path_deg), 75, 80);
    assert_near(wide.fit[WIDE_U1_U4].path_deg, 47, 1);
    assert_int_equal((int)round(least / 60), 2);
    assert_true(wide.fit[WIDE_P1_P4].utc_from == contact[CONTACT_P1]);
    assert_true(wide.fit[WIDE_P1_P4].utc_to == contact[CONTACT_P4]);
    assert_false(wide.fit[WIDE_P1_P4].cut);
    /* 36x24 mm at 24 mm, margins of 1.2 mm. */
    assert_near(wide.free_width_deg, 69.98, 0.01);
    assert_near(wide.free_height_deg, 48.46, 0.01);
}

static bool is_inside(const struct rig *rig, const struct pointing *pointing, struct vec3 way)
{
    struct frame_point point;

    return frame_project(rig, pointing, way, &point) &&
           fabs(point.x) * rig_frame_width_mm(rig) <= rig_frame_width_mm(rig) / 2 - 1.2 &&
           fabs(point.y) * rig_frame_height_mm(rig) <= rig_frame_height_mm(rig) / 2 - 1.2;
}

/* Point for point, whether the limb is inside the margin. */
static bool limb_is_inside(const struct rig *rig, const struct pointing *pointing, double utc)
{
    enum { LIMBS = 24 };
    static double cosine[LIMBS], sine[LIMBS];
    struct vec3 moon = track_direction(&track, utc);

    if (!is_inside(rig, pointing, moon)) /* then one of its limbs is not, either */
        return false;
    struct vec3 side = vec3_unit(vec3_cross(moon, (struct vec3){0.1, 0.2, 1}));
    struct vec3 other = vec3_cross(moon, side);
    double s = track_semidiameter(&track, utc), cos_s = cos(s), sin_s = sin(s);

    for (int i = LIMBS - 1; i >= 0 && cosine[0] == 0; i--)
        sincos(rad_from_deg(360.0 / LIMBS * i), &sine[i], &cosine[i]);
    for (int i = 0; i < LIMBS; i++) {
        struct vec3 off = vec3_add(vec3_scale(side, cosine[i]), vec3_scale(other, sine[i]));

        if (!is_inside(rig, pointing, vec3_add(vec3_scale(moon, cos_s), vec3_scale(off, sin_s))))
            return false;
    }
    return true;
}

/* From one instant to another; at the ends first, where most pointings have lost it. */
static bool limbs_are_inside(const struct rig *rig, const struct pointing *pointing, double from,
                             double to, double step_s)
{
    bool is_in = limb_is_inside(rig, pointing, to);

    for (double utc = from; utc < to && is_in; utc += step_s)
        is_in = limb_is_inside(rig, pointing, utc);
    return is_in;
}

/* A lens a little shorter than the longest holds every limb; one a little longer does so at no
 * pointing of a fine grid. */
static void no_pointing_holds_a_longer_lens(void **state)
{
    static const struct {
        const char *const *contact;
        double latitude_deg, longitude_deg;
    } site[] = {{of_2028, 62, 60}, {of_2028, 48, 100}, {of_2028, 15, 95}, {of_2026, -3.1, -60}};

    (void)state;
    for (int n = 0; n < 4; n += QUICK ? 3 : 1) {
        double contact[CONTACT_COUNT];

        night_begin(site[n].contact, site[n].latitude_deg, site[n].longitude_deg, contact);
        for (int portrait = 0; portrait < 2; portrait++) {
            struct rig rig = wide_rig(300, portrait == 1);
            struct pointing pointing;
            struct wide wide;

            compose_all(&rig, &track, &flat, contact, &wide);
            for (int part = 0; part < WIDE_PARTS; part++) {
                const struct wide_fit *fit = &wide.fit[part];
                double around = rad_from_deg(4);

                if (isnan(fit->utc_from))
                    continue;
                pointing_make(fit->altitude_rad, fit->azimuth_rad, 0, &pointing);
                rig.focal_mm = fit->focal_mm * 0.998;
                assert_true(limbs_are_inside(&rig, &pointing, fit->utc_from, fit->utc_to, 60));
                rig.focal_mm = fit->focal_mm * 1.01;
                for (double a = 0; a <= PI / 2; a += rad_from_deg(1))
                    for (double z = 0; z < 2 * PI; z += rad_from_deg(1)) {
                        pointing_make(a, z, 0, &pointing);
                        assert_false(
                            limbs_are_inside(&rig, &pointing, fit->utc_from, fit->utc_to, 600));
                    }
                rig.focal_mm = fit->focal_mm * 1.002;
                for (double a = -around; a <= around; a += rad_from_deg(0.1))
                    for (double z = -around; z <= around; z += rad_from_deg(0.1)) {
                        pointing_make(fmin(PI / 2, fit->altitude_rad + a), fit->azimuth_rad + z, 0,
                                      &pointing);
                        assert_false(
                            limbs_are_inside(&rig, &pointing, fit->utc_from, fit->utc_to, 300));
                    }
            }
        }
    }
}

/* Tilted, on a coarser grid. */
static void no_tilt_holds_a_longer_lens(void **state)
{
    struct rig rig = wide_rig(20, false);
    double contact[CONTACT_COUNT];

    (void)state;
    for (int n = 0; n < (QUICK ? 1 : 2); n++) {
        struct wide wide, flat_held;

        night_begin(n ? of_2026 : of_2028, n ? -3.1 : 48, n ? -60 : 100, contact);
        rig.focal_mm = 300;
        rig.tilt_deg = 30;
        compose_all(&rig, &track, &flat, contact, &wide);
        rig.tilt_deg = 0;
        compose_all(&rig, &track, &flat, contact, &flat_held);
        for (int part = 0; part < 2; part++) {
            const struct wide_fit *fit = &wide.fit[part];
            struct pointing pointing;

            print_message("tilt %.1f degrees: %.2f mm instead of %.2f\n",
                          deg_from_rad(fit->roll_rad), fit->focal_mm, flat_held.fit[part].focal_mm);
            assert_true(fit->focal_mm >= flat_held.fit[part].focal_mm * 0.9995);
            pointing_make(fit->altitude_rad, fit->azimuth_rad, fit->roll_rad, &pointing);
            rig.focal_mm = fit->focal_mm * 0.998;
            assert_true(limbs_are_inside(&rig, &pointing, fit->utc_from, fit->utc_to, 60));
            rig.focal_mm = fit->focal_mm * 1.01;
            for (double r = -PI / 6; r <= PI / 6; r += rad_from_deg(2.5))
                for (double a = 0; a <= PI / 2; a += rad_from_deg(2))
                    for (double z = 0; z < 2 * PI; z += rad_from_deg(2)) {
                        pointing_make(a, z, r, &pointing);
                        assert_false(
                            limbs_are_inside(&rig, &pointing, fit->utc_from, fit->utc_to, 900));
                    }
        }
    }
}

/* A shorter lens has a choice: all limbs inside, the foreground as asked, and nothing leans to one
 * side while there is room. */
static void room_is_shared_out(void **state)
{
    static const double share[] = {0, 0.15, 0.3};
    double contact[CONTACT_COUNT];
    int level_paths = 0;

    (void)state;
    night_begin(of_2028, 62, 60, contact);
    for (int i = 0; i < 3; i++)
        for (double focal_mm = 10; focal_mm < 40; focal_mm += 3) {
            struct rig rig = wide_rig(focal_mm, false);
            struct wide wide;

            rig.foreground = share[i];
            compose_all(&rig, &track, &flat, contact, &wide);
            for (int part = 0; part < WIDE_PARTS; part++) {
                const struct wide_fit *fit = &wide.fit[part];
                struct frame_point first, last;
                struct pointing pointing;

                assert_int_equal(fit->fits, focal_mm <= fit->focal_mm);
                if (!fit->fits)
                    continue;
                pointing_make(fit->altitude_rad, fit->azimuth_rad, fit->roll_rad, &pointing);
                assert_true(limbs_are_inside(&rig, &pointing, fit->utc_from, fit->utc_to, 60));
                assert_true(fit->foreground >= share[i] - 1e-4);
                assert_true(
                    frame_project(&rig, &pointing, track_direction(&track, fit->utc_from), &first));
                assert_true(
                    frame_project(&rig, &pointing, track_direction(&track, fit->utc_to), &last));
                if (focal_mm > 0.8 * fit->focal_mm)
                    continue;
                /* A degree of azimuth, seen at 30 to 50 degrees of altitude. */
                assert_near(first.x + last.x, 0, 2 * tan(rad_from_deg(1)) * focal_mm / 36);
                level_paths++;
            }
        }
    assert_true(level_paths > 20);
}

/* What is used where the part asked for does not fit, or is not there. */
static void the_longest_part_that_fits(void **state)
{
    double contact[CONTACT_COUNT];
    struct wide wide;

    (void)state;
    night_begin(of_2028, 62, 60, contact);
    for (int focal_mm = 10; focal_mm < 300; focal_mm += 7) {
        struct rig rig = wide_rig(focal_mm, false);
        int longest = WIDE_P1_P4;

        compose_all(&rig, &track, &flat, contact, &wide);
        while (longest < WIDE_PARTS && wide.fit[longest].focal_mm < focal_mm)
            longest++;
        assert_int_equal(wide.fits, longest == WIDE_P1_P4);
        assert_int_equal(wide.use, longest == WIDE_PARTS ? WIDE_P1_P4 : longest);
    }
    assert_true(wide.fit[WIDE_P1_P4].focal_mm < wide.fit[WIDE_U1_U4].focal_mm);
    assert_true(wide.fit[WIDE_U1_U4].focal_mm < wide.fit[WIDE_U2_U3].focal_mm);

    /* A partial eclipse has no U2. */
    night_begin(of_2026, -3.1, -60, contact);
    struct rig rig = wide_rig(20, false);

    rig.part = WIDE_U2_U3;
    compose_all(&rig, &track, &flat, contact, &wide);
    assert_false(wide.fits || wide.fit[WIDE_U2_U3].cut);
    assert_int_equal(wide.use, WIDE_U2_U3);
    assert_true(isnan(wide.fit[WIDE_U2_U3].utc_from) && isnan(wide.fit[WIDE_U2_U3].altitude_rad));
    assert_true(isnan(wide.fit[WIDE_U2_U3].focal_mm) && isnan(wide.fit[WIDE_U2_U3].path_deg));
}

/* Where the Moon rises during the eclipse only what is up counts. */
static void the_moon_comes_up_late(void **state)
{
    struct rig rig = wide_rig(20, false);
    double contact[CONTACT_COUNT];
    struct sky_event event[16];
    double rise = NAN;
    struct wide wide;
    int count;

    (void)state;
    night_begin(of_2028, 50, 5, contact);
    count = sky_events(&arc, &observer, contact[0], contact[6], event, 16);
    for (int i = 0; i < count; i++)
        if (event[i].kind == SKY_MOONRISE)
            rise = event[i].utc;
    compose_all(&rig, &track, &flat, contact, &wide);
    assert_true(wide.fit[WIDE_P1_P4].cut && wide.fit[WIDE_U1_U4].cut);
    /* Rising, the disc is flattened by 3 arcmin, which the composition leaves out. */
    assert_near(wide.fit[WIDE_P1_P4].utc_from, rise, 30);
    assert_near(wide.fit[WIDE_U1_U4].utc_from, rise, 30);
    assert_true(wide.fit[WIDE_P1_P4].utc_to == contact[CONTACT_P4]);
    /* From where it is down all night there is nothing to point at. */
    night_begin(of_2028, -40, -70, contact);
    compose_all(&rig, &track, &flat, contact, &wide);
    assert_true(isnan(wide.fit[WIDE_P1_P4].utc_from) && wide.fit[WIDE_P1_P4].cut);
    assert_false(wide.fits);
    /* A ridge in the middle of the path splits it; the way behind the ridge does not count. */
    struct horizon ridge = {
        .count = 4,
        .azimuth_rad = {rad_from_deg(85), rad_from_deg(90), rad_from_deg(95), rad_from_deg(100)},
        .altitude_rad = {0, rad_from_deg(80), rad_from_deg(80), 0}};
    struct wide behind;

    night_begin(of_2028, 62, 60, contact);
    compose_all(&rig, &track, &flat, contact, &wide);
    compose_all(&rig, &track, &ridge, contact, &behind);
    assert_true(behind.fit[WIDE_P1_P4].cut);
    assert_true(behind.fit[WIDE_P1_P4].path_deg < wide.fit[WIDE_P1_P4].path_deg - 4);
    assert_true(behind.fit[WIDE_P1_P4].utc_from == wide.fit[WIDE_P1_P4].utc_from);
}

/* ---- discs ---- */

static void spacing_of_a_star(void **state)
{
    (void)state;
    star_track(&track, 48, 0, sidereal_rate, LIMB);
    assert_near(disc_spacing(&track, 0, 240), 240 * sidereal_rate / (2 * LIMB), 1e-6);
    assert_near(disc_least_interval_s(&track, -3600, 3600), 2 * LIMB / sidereal_rate, 1e-3);
    assert_true(isnan(disc_spacing(&track, 6 * 3600, 60)));
    assert_true(isnan(disc_least_interval_s(&track, 0, 7 * 3600)));
    assert_true(isnan(disc_least_interval_s(&track, 60, 0)));
}

static void discs_of_a_night(void **state)
{
    struct rig rig = wide_rig(16, false);
    double contact[CONTACT_COUNT];
    static struct disc_place disc[DISCS];
    const struct wide_fit *fit;
    struct pointing pointing;
    struct wide wide;
    double least;
    int count;
    struct disc_ask chain;

    (void)state;
    night_begin(of_2028, 62, 60, contact);
    compose_all(&rig, &track, &flat, contact, &wide);
    fit = &wide.fit[WIDE_P1_P4];
    assert_true(fit->fits);
    pointing_make(fit->altitude_rad, fit->azimuth_rad, fit->roll_rad, &pointing);
    least = disc_least_interval_s(&track, fit->utc_from, fit->utc_to);
    chain =
        (struct disc_ask){&rig, &pointing, &track, &flat, fit->utc_from, least + 0.1, fit->utc_to};
    count = wide_discs(&chain, disc, DISCS);
    assert_int_equal(count, (int)((fit->utc_to - fit->utc_from) / (least + 0.1)) + 1);
    for (int i = 0; i < count; i++) {
        struct frame_point point;

        assert_near(disc[i].utc, fit->utc_from + i * (least + 0.1), 1e-4);
        assert_true(frame_project(&rig, &pointing, track_direction(&track, disc[i].utc), &point));
        assert_near(disc[i].centre.x, point.x, 1e-12);
        assert_near(disc[i].centre.y, point.y, 1e-12);
        /* No two of them touch. */
        if (i > 0)
            assert_true(disc_spacing(&track, disc[i - 1].utc, least + 0.1) >= 1);
    }
    /* In the middle of a long lens' frame. */
    rig.focal_mm = 400;
    pointing.axis = track_direction(&track, contact[CONTACT_GREATEST]);
    pointing_make(asin(pointing.axis.z), atan2(pointing.axis.x, pointing.axis.y), 0, &pointing);
    chain.first_utc = contact[CONTACT_GREATEST];
    chain.interval_s = 1200;
    chain.utc_to = contact[CONTACT_GREATEST] + 3600;
    count = wide_discs(&chain, disc, 2);
    assert_int_equal(count, 4);
    assert_near(hypot(disc[0].centre.x, disc[0].centre.y), 0, 1e-9);
    assert_true(hypot(disc[1].centre.x, disc[1].centre.y) > 0.5);
    /* Down in the first half, and a bad interval. */
    night_begin(of_2028, 50, 5, contact);
    chain.first_utc = contact[0];
    chain.interval_s = 60;
    chain.utc_to = contact[1];
    assert_int_equal(wide_discs(&chain, disc, DISCS), 0);
    chain.first_utc = contact[4];
    chain.interval_s = 0;
    chain.utc_to = contact[6];
    assert_int_equal(wide_discs(&chain, disc, DISCS), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straight_paths),
        cmocka_unit_test(a_tilt_lays_a_steep_path_across),
        cmocka_unit_test(foreground_below),
        cmocka_unit_test(path_of_2028),
        cmocka_unit_test(no_pointing_holds_a_longer_lens),
        cmocka_unit_test(no_tilt_holds_a_longer_lens),
        cmocka_unit_test(room_is_shared_out),
        cmocka_unit_test(the_longest_part_that_fits),
        cmocka_unit_test(the_moon_comes_up_late),
        cmocka_unit_test(spacing_of_a_star),
        cmocka_unit_test(discs_of_a_night),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
