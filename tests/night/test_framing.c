/* Whole nights of aims as the program tells them, compositions, and what mounts have to do. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <limb.h>
#include <moonstand/angle.h>
#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <moonstand/track.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LONG, SCOPE = 2, ACTS_MOST = 16 };

static struct setup setup;
static struct night night;
static struct readings readings;

static const struct {
    const char *name, *day;
    double latitude_deg, longitude_deg, height_m;
    bool portrait;
    int re_aims; /* of a 500 mm rig: our own computation by a program apart from this one, give or
                    take one */
} nights[] = {
    {"2028-12-31, 48 N 100 E", "2028-12-31", 48, 100, 0, false, 38},
    {"2026-08-28, Manaus", "2026-08-28", -3.1019, -60.025, 92, true, 43},
};
enum { NIGHTS = sizeof nights / sizeof *nights };

static void setup_for(int which)
{
    setup_default(&setup);
    readings_none(&readings);
    setup.has_site = true;
    setup.site.latitude_deg = nights[which].latitude_deg;
    setup.site.longitude_deg = nights[which].longitude_deg;
    setup.site.height_m = nights[which].height_m;
}

static void open_night(int which)
{
    struct zone_table zone;
    struct eclipse eclipse;
    struct fault fault;
    double day;

    zone_utc(&zone);
    assert_int_equal(parse_day(nights[which].day, &day, &fault), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    assert_int_equal(night_open(&night, &setup, &eclipse, &zone, false, &fault), 0);
    night_follow(&night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
}

static void apply(struct act act)
{
    struct fault fault = {""};

    if (night_apply(&night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
    night_follow(&night, act.utc);
}

static double contact(enum contact which)
{
    return night.contact_utc[which];
}

/* ---- a night of aims ---- */

/* Only the long rig of the setup, with the lens of the independent counts. */
static void one_long_rig(int which, double tolerance)
{
    setup_for(which);
    setup.rig_count = 1;
    setup.rig[LONG] = setup.rig[1];
    setup.rig[LONG].focal_mm = 500;
    setup.rig[LONG].portrait = nights[which].portrait;
    setup.rig[LONG].aim_tolerance = tolerance;
}

static void aim_as_told(const struct moment *moment)
{
    const struct frame_point *place = &moment->rig[LONG].aim.place;

    apply((struct act){
        .utc = moment->utc, .kind = ACT_AIM, .rig = LONG, .value = {place->x, place->y}});
}

/* Applies what the program decides; true where it raised an alarm in time. */
static bool alarm_rang(const struct moment *moment)
{
    struct act acts[ACTS_MOST];
    int count = night_decide(&night, moment, acts, ACTS_MOST);
    bool rang = false;

    for (int i = 0; i < count; i++) {
        assert_int_not_equal(acts[i].kind, ACT_MISSED);
        rang |= acts[i].kind == ACT_ALARM;
        apply(acts[i]);
    }
    return rang;
}

static bool hands_disturb(double utc)
{
    for (int i = CONTACT_U1; i <= CONTACT_U4; i++)
        if (utc + AIM_HANDS_S > contact((enum contact)i) - AIM_KEEP_OFF_S + 1e-6 &&
            utc < contact((enum contact)i) + AIM_KEEP_OFF_S)
            return true;
    return false;
}

struct lived {
    int re_aims, early;
};

/* Second by second from P1 to P4; each alarm is answered at once and as told. */
static struct lived live_through(void)
{
    double utc = contact(CONTACT_P1), end = contact(CONTACT_P4);
    struct lived lived = {0, 0};
    struct moment moment;

    night_follow(&night, utc);
    moment_at(&night, &readings, utc, &moment);
    aim_as_told(&moment);
    while (utc < end) {
        const struct rig_state *rig = &night.rig[LONG];

        assert_true(limb_is_inside(&rig->rig, &night.track, rig->aimed_utc, rig->aimed_at, utc));
        utc = fmin(end, fmin(utc + 1, rig->due_utc > utc ? rig->due_utc : INFINITY));
        night_follow(&night, utc);
        moment_at(&night, &readings, utc, &moment);
        if (!alarm_rang(&moment) || utc >= end)
            continue;
        assert_false(hands_disturb(utc));
        assert_int_equal(moment.alarm_rig, LONG);
        lived.re_aims++;
        lived.early += moment.rig[LONG].due_before >= 0;
        aim_as_told(&moment);
    }
    return lived;
}

/* The limb never leaves the margin from P1 to P4, and the number of re-aims is the planned one. */
static void aimed_as_told_the_moon_is_never_lost(void **state)
{
    static const double tolerances[] = {0, 0.05};

    (void)state;
    for (int n = 0; n < NIGHTS; n++)
        for (int t = 0; t < 2; t++) {
            struct lived lived;

            one_long_rig(n, tolerances[t]);
            open_night(n);
            lived = live_through();
            print_message("%s, tolerance %.2f: %d re-aims, %d early; planned %d, %d early\n",
                          nights[n].name, tolerances[t], lived.re_aims, lived.early,
                          night.framing[LONG].re_aims, night.framing[LONG].early);
            /* The place told is up to ten seconds old. */
            assert_in_range(lived.re_aims, night.framing[LONG].re_aims,
                            night.framing[LONG].re_aims + 1);
            if (t == 0)
                assert_in_range(lived.re_aims - lived.early, nights[n].re_aims - 1,
                                nights[n].re_aims + 1);
            night_close(&night);
        }
}

/* Aimed so that the limb would meet the margin at a contact, the alarm comes before its minute. */
static void the_alarm_comes_before_the_minute_of_a_contact(void **state)
{
    double stay;

    (void)state;
    one_long_rig(0, 0.05);
    open_night(0);
    apply((struct act){.utc = contact(CONTACT_U2) - 600, .kind = ACT_AIM, .rig = LONG});
    stay = night.rig[LONG].leaves_utc - night.rig[LONG].aimed_utc;
    assert_true(night.rig[LONG].due_utc == night.rig[LONG].leaves_utc);
    for (double off = -45; off < 30; off += 14) {
        apply((struct act){.utc = contact(CONTACT_U2) - stay + off, .kind = ACT_AIM, .rig = LONG});
        assert_int_equal(night.rig[LONG].due_before, CONTACT_U2);
        assert_near(night.rig[LONG].due_utc, contact(CONTACT_U2) - AIM_KEEP_OFF_S - AIM_HANDS_S,
                    1e-6);
    }
    /* Who aims in that minute all the same is not sent back to before it. */
    apply((struct act){
        .utc = contact(CONTACT_U2) - 10, .kind = ACT_AIM, .rig = LONG, .value = {0.45, 0}});
    assert_int_equal(night.rig[LONG].due_before, -1);
    night_close(&night);
}

/* A camera that was turned has lost its aim; the other way re-aims are counted anew. */
/* A square picture that the Moon fills, with more aims than are kept one by one. */
static void more_aims_than_are_kept(void **state)
{
    (void)state;
    one_long_rig(0, 0);
    setup.rig[LONG].focal_mm = 3300;
    setup.rig[LONG].sensor_width_mm = 36;
    setup.rig[LONG].sensor_height_mm = 36;
    setup.rig[LONG].margin = 0;
    setup.rig[LONG].until.contact = CONTACT_P4;
    open_night(0);
    print_message("re-aims: %d\n", night.framing[LONG].re_aims);
    assert_true(night.framing[LONG].re_aims > AIM_STEPS);
    assert_int_equal(night.framing[LONG].re_aim_count, AIM_STEPS - 1); /* but for the first aim */
    assert_true(night.framing[LONG].planned_count <= AIM_STEPS);
    night_close(&night);
}

static void a_turned_camera_is_aimed_anew(void **state)
{
    double utc;
    int level;

    (void)state;
    one_long_rig(0, 0.05);
    open_night(0);
    level = night.framing[LONG].re_aims;
    utc = contact(CONTACT_U1);
    apply((struct act){.utc = utc, .kind = ACT_AIM, .rig = LONG});
    assert_true(isfinite(night.rig[LONG].due_utc));
    apply((struct act){
        .utc = utc + 1, .kind = ACT_RIG, .rig = LONG, .value = {1}, .text = "portrait"});
    assert_true(isnan(night.rig[LONG].due_utc) && !night.rig[LONG].aimed);
    assert_true(night.framing[LONG].re_aims > level);
    apply((struct act){
        .utc = utc + 2, .kind = ACT_UNDO, .rig = -1, .ref = night.acts[night.act_count - 1].seq});
    assert_true(night.rig[LONG].aimed && isfinite(night.rig[LONG].due_utc));
    assert_int_equal(night.framing[LONG].re_aims, level);
    night_close(&night);
}

/* The three rigs that come with the program, for the manual. */
static void counts_of_the_three_rigs(void **state)
{
    (void)state;
    for (int n = 0; n < NIGHTS; n++)
        for (int portrait = 0; portrait < 2; portrait++) {
            setup_for(n);
            for (int i = 0; i < RIGS; i++)
                setup.rig[i].portrait = portrait;
            setup.rig[SCOPE].support = SUPPORT_FIXED; /* as if its mount had failed */
            open_night(n);
            for (int i = 0; i < RIGS; i++) {
                const struct framing *framing = &night.framing[i];

                print_message("%s, %s, %s: %d re-aims, %d of them early%s\n", nights[n].name,
                              setup.rig[i].lens, portrait ? "portrait" : "landscape",
                              framing->re_aims, framing->early,
                              framing->wide && framing->composition.fits ? ", all in one picture"
                                                                         : "");
                assert_true(framing->re_aims >= 0);
                assert_in_range(framing->early, 0, 5);
            }
            /* Twice the focal length on a smaller sensor: more than twice as often. */
            assert_true(night.framing[2].re_aims > 2 * night.framing[1].re_aims);
            assert_true(night.framing[0].re_aims < night.framing[1].re_aims / 8);
            night_close(&night);
        }
}

/* ---- the whole in one picture ---- */

static void a_wide_rig_is_left_alone_for_its_part(void **state)
{
    const struct framing *framing = &night.framing[0];
    struct moment moment;

    (void)state;
    setup_for(0);
    setup.rig[0].focal_mm = 16;
    open_night(0);
    assert_true(framing->wide && !night.framing[1].wide && !night.framing[2].wide);
    assert_true(framing->composition.fits);
    assert_near(framing->untouched.from, contact(CONTACT_P1), 1);
    assert_near(framing->untouched.to, contact(CONTACT_P4), 1);
    assert_int_equal(framing->re_aims, 0);
    for (int i = 0; i < 2; i++) {
        moment_at(&night, &readings, contact(CONTACT_P1) + (i ? 60 : -60), &moment);
        assert_int_equal(moment.rig[0].hands_off, i);
        assert_false(moment.rig[1].hands_off);
    }
    /* A longer lens holds the umbral part alone. */
    apply((struct act){
        .utc = contact(CONTACT_P1), .kind = ACT_RIG, .rig = 0, .value = {1.5}, .text = "extender"});
    assert_false(framing->composition.fits);
    assert_int_equal(framing->composition.use, WIDE_U1_U4);
    assert_near(framing->untouched.from, contact(CONTACT_U1), 1);
    /* Whatever walks the others need: it is aimed again once that part is over. */
    assert_true(framing->planned_count > 0);
    for (int i = 0; i < framing->planned_count; i++)
        assert_false(framing->planned_utc[i] > framing->untouched.from &&
                     framing->planned_utc[i] < framing->untouched.to + AIM_KEEP_OFF_S);
    night_close(&night);
}

/* Points the first rig so that the Moon leaves its picture at an instant: the further west, the later. */
static void leaves_at(double utc)
{
    struct vec3 moon = track_direction(&night.track, utc);
    struct act point = {.utc = contact(CONTACT_U1) - 7200, .kind = ACT_POINT, .rig = 0};
    double west = deg_from_rad(atan2(moon.x, moon.y)), east = west - 100;

    point.value[0] = deg_from_rad(asin(moon.z));
    for (int i = 0; i < 24; i++) {
        double middle = (east + west) / 2;

        point.value[1] = fmod(middle + 360, 360);
        apply(point);
        if (night.rig[0].leaves_utc < utc)
            east = middle;
        else
            west = middle;
    }
    assert_near(night.rig[0].leaves_utc, utc, 0.2);
}

/* A picture that the Moon would leave within the half minute after a contact is left alone until that is over;
 * one that it would leave before is aimed again before that half minute begins. */
static void a_picture_that_holds_a_contact_is_not_touched_in_it(void **state)
{
    static const double left_s[] = {-600, -29, -1, 1, 29, 31, 600};
    const struct rig_state *rig = &night.rig[0];

    (void)state;
    setup_for(0);
    setup.rig[0].focal_mm = 35;
    open_night(0);
    for (int which = CONTACT_U2; which <= CONTACT_U4; which += 2)
        for (size_t i = 0; i < sizeof left_s / sizeof *left_s; i++) {
            double at = contact((enum contact)which);

            leaves_at(at + left_s[i]);
            assert_true(rig->pose.known);
            if (left_s[i] >= 0 && left_s[i] < AIM_KEEP_OFF_S) {
                assert_near(rig->due_utc, at + AIM_KEEP_OFF_S, 1e-6);
                assert_int_equal(rig->due_before, -1);
            } else if (left_s[i] < 0 && left_s[i] > -AIM_KEEP_OFF_S) {
                assert_true(rig->due_utc <= at - AIM_KEEP_OFF_S + 1e-6);
                assert_int_equal(rig->due_before, which);
            } else {
                assert_near(rig->due_utc, rig->leaves_utc, 1e-6);
                assert_int_equal(rig->due_before, -1);
            }
        }
    night_close(&night);
}

/* After its part the camera is not sent back to the picture that the Moon has left. */
static void a_picture_that_is_over_is_not_advised_again(void **state)
{
    struct moment moment;
    struct act aim;
    double left;

    (void)state;
    setup_for(0);
    setup.rig[0].focal_mm = 50;
    setup.rig[0].part = WIDE_U2_U3;
    open_night(0);
    left = night.framing[0].whole.leaves_utc;
    assert_true(night.framing[0].composition.fits && left < contact(CONTACT_P4) - 1200);
    aim = advised_aim(&(struct rig_moment){.pose = &night.framing[0].whole}, 0);
    aim.utc = contact(CONTACT_U2);
    apply(aim);
    for (double utc = left - 600; utc < left + 600; utc += 60) {
        night_follow(&night, utc);
        moment_at(&night, &readings, utc, &moment);
        if (moment.rig[0].aim_state != AIM_DUE)
            continue;
        aim = advised_aim(&moment.rig[0], 0);
        aim.utc = utc;
        apply(aim);
        assert_true(night.rig[0].leaves_utc > utc + 600);
    }
    night_close(&night);
}

/* ---- mounts ---- */

/* What the camera of a mount with these errors has of the Moon so long after it was centred. */
static struct frame_point drifted(double az_arcmin, double alt_arcmin, double utc, double later)
{
    struct rig rig = setup.rig[SCOPE];
    struct frame_point now;

    rig.mount.polar_az_error_arcmin = az_arcmin;
    rig.mount.polar_alt_error_arcmin = alt_arcmin;
    (void)aim_leaves(&rig, &night.track, utc, (struct frame_point){0, 0}, later, &now);
    return now;
}

static struct mount_drift drift_at(double utc)
{
    const struct rig *rig = &night.rig[SCOPE].rig;
    struct mount_drift drift;

    mount_drift(&rig->mount, rig->support, &night.track, utc, &drift);
    return drift;
}

static void two_places_tell_the_axis(void **state)
{
    const struct rig_state *rig = &night.rig[SCOPE];
    struct frame_point at;
    struct mount_drift before, after;
    struct moment seen;
    double utc;

    (void)state;
    setup_for(0);
    open_night(0);
    utc = contact(CONTACT_GREATEST);
    at = drifted(12, -9, utc - 5400, utc);
    before = drift_at(utc);
    apply((struct act){.utc = utc - 5400, .kind = ACT_AIM, .rig = SCOPE});
    /* Read off to a hundredth of the frame. */
    apply((struct act){.utc = utc,
                       .kind = ACT_SEEN,
                       .rig = SCOPE,
                       .value = {round(at.x * 100) / 100, round(at.y * 100) / 100}});
    moment_at(&night, &readings, utc, &seen);
    after = drift_at(utc);
    print_message("azimuth %.1f +- %.1f, altitude %.1f +- %.1f arcmin; drift %.3f, was %.3f\n",
                  rig->polar.az_error_arcmin, rig->polar.az_doubt_arcmin,
                  rig->polar.alt_error_arcmin, rig->polar.alt_doubt_arcmin,
                  after.arcsec_per_s, before.arcsec_per_s);
    /* Near the meridian azimuth is told; what is told is in force. */
    assert_near(rig->polar.az_error_arcmin, 12, 2 * rig->polar.az_doubt_arcmin);
    assert_true(rig->rig.mount.polar_az_error_arcmin == rig->polar.az_error_arcmin);
    assert_true(after.polar_north_arcsec_per_s != 0);
    assert_near(seen.rig[SCOPE].aim.drift_arcsec_per_s, after.arcsec_per_s, 0.002);
    apply((struct act){
        .utc = utc + 1, .kind = ACT_UNDO, .rig = -1, .ref = night.acts[night.act_count - 1].seq});
    assert_true(rig->rig.mount.polar_az_error_arcmin == 0);
    assert_true(drift_at(utc).arcsec_per_s == before.arcsec_per_s);
    night_close(&night);
}

/* Two places that tell nothing are the last word too: the setup's axis holds again. */
static void what_was_measured_goes_with_its_places(void **state)
{
    const struct rig_state *rig = &night.rig[SCOPE];
    struct frame_point at;
    double utc;

    (void)state;
    setup_for(0);
    setup.rig[SCOPE].mount.polar_az_error_arcmin = 3;
    open_night(0);
    utc = contact(CONTACT_GREATEST);
    at = drifted(12, -9, utc - 5400, utc);
    apply((struct act){.utc = utc - 5400, .kind = ACT_AIM, .rig = SCOPE});
    apply((struct act){.utc = utc, .kind = ACT_SEEN, .rig = SCOPE, .value = {at.x, at.y}});
    assert_true(rig->rig.mount.polar_az_error_arcmin > 6);
    apply((struct act){.utc = utc + 10, .kind = ACT_AIM, .rig = SCOPE});
    apply((struct act){.utc = utc + 20, .kind = ACT_SEEN, .rig = SCOPE});
    assert_true(isnan(rig->polar.az_error_arcmin));
    assert_near(rig->rig.mount.polar_az_error_arcmin, 3, 0);
    night_close(&night);
}

static void a_tripod_has_no_axis_to_measure(void **state)
{
    struct act seen = {.kind = ACT_SEEN, .rig = 1};
    struct fault fault;

    (void)state;
    setup_for(0);
    open_night(0);
    seen.utc = contact(CONTACT_U1);
    assert_int_equal(night_apply(&night, &seen, &fault), -1);
    /* Nor is there anything to compare with before an aim. */
    seen.rig = SCOPE;
    assert_int_equal(night_apply(&night, &seen, &fault), -1);
    night_close(&night);
}

static int events_of(enum night_event_kind kind, double *utc)
{
    int count = 0;

    for (int i = 0; i < night.event_count; i++)
        if (night.event[i].kind == kind) {
            assert_int_equal(night.event[i].rig, SCOPE);
            *utc = night.event[i].utc;
            count++;
        }
    return count;
}

static bool plans_flip(void)
{
    bool plans = false;

    for (int i = 0; i < night.agenda.count; i++)
        plans |= (night.agenda.round[i].jobs[SCOPE] & 1U << JOB_FLIP) != 0;
    return plans;
}

/* Told as a job, as an event, and as a round. */
static bool is_told(double utc)
{
    struct moment moment;

    night_follow(&night, utc);
    moment_at(&night, &readings, utc, &moment);
    bool told = hands_job(&moment.hands, JOB_FLIP, SCOPE);
    assert_int_equal(isfinite(moment.rig[SCOPE].flip_in_s), told);
    for (int i = 0; i < night.event_count; i++)
        if (night.event[i].kind == NIGHT_FLIP)
            assert_int_equal(night_event_counts(&night, &night.event[i]), told);
    assert_int_equal(plans_flip(), told);
    return told;
}

/* A flip that is done is told no more; undone it is. Only a mount that is turned over has one. */
static void a_flip_is_done(void **state)
{
    struct act done = {.kind = ACT_FLIP, .rig = SCOPE}, undo = {.kind = ACT_UNDO, .rig = -1};
    struct fault fault;

    (void)state;
    setup_for(0);
    open_night(0);
    done.utc = contact(CONTACT_U1);
    assert_int_equal(night_apply(&night, &done, &fault), -1);
    assert_non_null(strstr(fault.text, " has no mount that is turned over at the meridian"));
    night_close(&night);

    setup.rig[SCOPE].mount.german_equatorial = true;
    open_night(0);
    double utc = night.framing[SCOPE].flip.advised_utc - 600;
    done.utc = undo.utc = utc;
    assert_true(is_told(utc));
    assert_int_equal(night_apply(&night, &done, &fault), 0);
    assert_false(is_told(utc));
    undo.ref = done.seq;
    assert_int_equal(night_apply(&night, &undo, &fault), 0);
    assert_true(is_told(utc));

    /* By the key of a round that is done, when the one before it is not meant any more. */
    struct moment moment;
    struct act acts[ROUND_ACTS];
    bool flips = false;
    moment_at(&night, &readings, utc + 690, &moment);
    int count = round_done(&night, &moment, acts, &fault);
    for (int i = 0; i < count; i++)
        flips |= acts[i].kind == ACT_FLIP && acts[i].rig == SCOPE;
    assert_true(flips);
    night_close(&night);
}

/* Flips are told ahead, kept off totality where they can be, and said where they cannot. */
static void a_flip_is_said_ahead(void **state)
{
    const struct framing *framing = &night.framing[SCOPE];
    double transit = NAN, utc = NAN;
    struct moment moment;

    (void)state;
    setup_for(0);
    open_night(0);
    assert_int_equal(events_of(NIGHT_FLIP, &utc), 0);
    for (int i = 0; i < night.event_count; i++)
        if (night.event[i].kind == NIGHT_SKY && night.event[i].which == SKY_MOON_TRANSIT)
            transit = night.event[i].utc;
    night_close(&night);

    /* At 48 N 100 E the Moon passes the meridian just before U3. */
    setup.rig[SCOPE].mount.german_equatorial = true;
    for (int past_min = 0; past_min <= 60; past_min += 60) {
        setup.rig[SCOPE].mount.past_meridian_min = past_min;
        open_night(0);
        assert_true(framing->flips);
        assert_near(framing->flip.meridian_utc, transit, 30);
        assert_int_equal(events_of(NIGHT_FLIP, &utc), 1);
        assert_true(utc == framing->flip.advised_utc);
        assert_int_equal(framing->flip.in_totality,
                         utc + MOUNT_FLIP_S > contact(CONTACT_U2) && utc < contact(CONTACT_U3));
        moment_at(&night, &readings, utc - 1800, &moment);
        assert_near(moment.rig[SCOPE].flip_in_s, 1800, 1e-6);
        assert_true(isnan(moment.rig[1].flip_in_s));
        moment_at(&night, &readings, framing->flip.latest_utc + 1, &moment);
        assert_true(isnan(moment.rig[SCOPE].flip_in_s));
        /* The headline counts on to the contacts. */
        moment_at(&night, &readings, utc - 1, &moment);
        assert_int_not_equal(night.event[moment.next].kind, NIGHT_FLIP);
        night_close(&night);
    }
}

/* The last offset of UTC that is announced holds to 2027-06-28 (IERS Bulletin C 72). */
static void an_offset_of_utc_past_the_announced_is_held(void **state)
{
    (void)state;
    for (int which = 0; which < NIGHTS; which++) {
        struct moment moment;

        setup_for(which);
        open_night(which);
        moment_at(&night, &readings, contact(CONTACT_U1), &moment);
        assert_int_equal(moment.leap_held, which == 0);
        night_close(&night);
    }
}

static void limits_of_a_mount_are_events(void **state)
{
    struct moment moment;
    double utc = NAN;

    (void)state;
    setup_for(0);
    setup.rig[SCOPE].mount.altitude_max_deg = 55;
    open_night(0);
    assert_true(events_of(NIGHT_LIMIT, &utc) >= 1);
    moment_at(&night, &readings, utc - 5, &moment);
    bool before = moment.rig[SCOPE].out_of_reach;
    moment_at(&night, &readings, utc + 5, &moment);
    assert_int_equal(moment.rig[SCOPE].out_of_reach, !before);
    night_close(&night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(aimed_as_told_the_moon_is_never_lost),
        cmocka_unit_test(the_alarm_comes_before_the_minute_of_a_contact),
        cmocka_unit_test(more_aims_than_are_kept),
        cmocka_unit_test(a_turned_camera_is_aimed_anew),
        cmocka_unit_test(counts_of_the_three_rigs),
        cmocka_unit_test(a_wide_rig_is_left_alone_for_its_part),
        cmocka_unit_test(a_picture_that_holds_a_contact_is_not_touched_in_it),
        cmocka_unit_test(a_picture_that_is_over_is_not_advised_again),
        cmocka_unit_test(two_places_tell_the_axis),
        cmocka_unit_test(what_was_measured_goes_with_its_places),
        cmocka_unit_test(a_tripod_has_no_axis_to_measure),
        cmocka_unit_test(a_flip_is_said_ahead),
        cmocka_unit_test(a_flip_is_done),
        cmocka_unit_test(an_offset_of_utc_past_the_announced_is_held),
        cmocka_unit_test(limits_of_a_mount_are_events),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
