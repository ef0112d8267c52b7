/* The plan of a night, for tools and for paper. */
#include "demo.h"
#include "timed.h"

#include <moonstand/agenda.h>
#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/paper_words.h>
#include <moonstand/report.h>

static cJSON *plan_json(const struct night *night)
{
    char *text;
    cJSON *root;

    PRINTED(text, report_plan_json(out, night));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    return root;
}

static char *plan_text(const struct night *night)
{
    char *text;

    PRINTED(text, report_plan_text(out, night));
    return text;
}

static const cJSON *rig_of(const cJSON *root, int index)
{
    return cJSON_GetArrayItem(member(root, "rigs"), index);
}

static void the_timeline_is_in_order_and_whole(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    cJSON *root = plan_json(night);
    double before = -INFINITY;
    int contacts = 0, checks = 0, due = 0;

    (void)state;
    for (const cJSON *line = member(root, "timeline")->child; line; line = line->next) {
        assert_true(instant(line, "at") >= before);
        before = instant(line, "at");
        assert_true(*text_of(line, "what"));
        contacts += strcmp(text_of(line, "kind"), "contact") == 0;
        checks += strcmp(text_of(line, "kind"), "check") == 0;
    }
    for (int i = 0; i < night->setup.checklist.count; i++)
        due += isfinite(item_due_utc(night, i));
    assert_int_equal(contacts, CONTACT_COUNT);
    assert_int_equal(checks, due);
    assert_true(has(member(root, "eclipse"), "seen"));
    assert_string_equal(text_of(member(root, "eclipse"), "kind"), "total");
    assert_int_equal(cJSON_GetArraySize(member(member(root, "kit"), "items")), demo_items(night));
    assert_int_equal(cJSON_GetArraySize(member(root, "air")), 0);
    cJSON_Delete(root);
    demo_free(night);
}

/* Segments one after the other, their frames, and the sums of a rig. */
static void check_rig(const struct night *night, const cJSON *rig, int index, double from,
                      double to)
{
    double before = from, frames = 0, interval = night->shooting[index].interval_s;

    for (const cJSON *segment = member(rig, "segments")->child; segment; segment = segment->next) {
        double begins = instant(segment, "from"), ends = instant(segment, "to");

        assert_true(begins >= before - 0.001 && ends > begins && ends <= to + 0.001);
        assert_true(fabs(number(segment, "frames") - (ends - begins) / interval) <= 1);
        assert_true(*text_of(segment, "shutter"));
        assert_true(number(segment, "iso") >= night->rig[index].rig.iso_min);
        before = ends;
        frames += number(segment, "frames");
    }
    assert_true(number(rig, "frames") == frames);
    assert_true(fabs(number(rig, "card_bytes") - frames * night->rig[index].rig.frame_mb * 1e6) <=
                0.5);
    assert_true(number(rig, "interval_s") == interval);
    assert_true(number(rig, "batteries") >= 1);
}

static void frames_fill_the_time_from_p1_to_p4(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    cJSON *root = plan_json(night);
    double from = night->contact_utc[CONTACT_P1], to = night->contact_utc[CONTACT_P4];

    (void)state;
    for (int i = 0; i < 3; i++) {
        const cJSON *rig = rig_of(root, i);

        check_rig(night, rig, i, from, to);
        /* The run is sampled every half minute, so its end may miss that much. */
        assert_true(number(rig, "interval_s") == (i == 0 ? 180 : 10));
        assert_string_equal(text_of(rig, "interval_reason"), i == 0 ? "chain" : "time-lapse");
        assert_true(fabs(number(rig, "frames") - (to - from) / number(rig, "interval_s")) <= 4);
        assert_true(cJSON_GetArraySize(member(rig, "segments")) > 15);
    }
    cJSON_Delete(root);
    demo_free(night);
}

static void nothing_is_shot_before_the_moon_is_up(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;
    double rise = NAN;

    (void)state;
    setup->site.latitude_deg = 51.5;
    setup->site.longitude_deg = 0;
    night = demo_night(setup, "2028-12-31");
    for (int i = 0; i < night->event_count; i++)
        if (night->event[i].kind == NIGHT_SKY && night->event[i].which == SKY_MOONRISE &&
            night->event[i].utc > night->contact_utc[CONTACT_P1])
            rise = night->event[i].utc;
    assert_true(rise > night->contact_utc[CONTACT_U1] && rise < night->contact_utc[CONTACT_U2]);
    root = plan_json(night);
    for (int i = 0; i < 3; i++) {
        check_rig(night, rig_of(root, i), i, rise, night->contact_utc[CONTACT_P4]);
        assert_true(fabs(instant(member(rig_of(root, i), "segments")->child, "from") - rise) <=
                    0.001);
    }
    cJSON_Delete(root);
    demo_free(night);
}

static void a_roof_in_the_way_parts_the_night(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;
    /* The Moon passes azimuths 100 to 110 on its way up, at some 35 degrees. */
    static const double profile_deg[][2] = {{99, 0}, {100, 60}, {110, 60}, {111, 0}};
    double longest_gap = 0, before = NAN;

    (void)state;
    setup->site.horizon.count = 4;
    for (int i = 0; i < 4; i++) {
        setup->site.horizon.azimuth_rad[i] = rad_from_deg(profile_deg[i][0]);
        setup->site.horizon.altitude_rad[i] = rad_from_deg(profile_deg[i][1]);
    }
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    check_rig(night, rig_of(root, 1), 1, night->contact_utc[CONTACT_P1],
              night->contact_utc[CONTACT_P4]);
    for (const cJSON *segment = member(rig_of(root, 1), "segments")->child; segment;
         segment = segment->next) {
        if (isfinite(before))
            longest_gap = fmax(longest_gap, instant(segment, "from") - before);
        before = instant(segment, "to");
    }
    /* Ten degrees of azimuth take more than half an hour there. */
    assert_true(longest_gap > 1800 && longest_gap < 5400);
    cJSON_Delete(root);
    demo_free(night);
}

static void where_the_moon_is_down_there_is_nothing_to_shoot(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;
    char *text;

    (void)state;
    setup->site.latitude_deg = -30;
    setup->site.longitude_deg = -90;
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(cJSON_GetArraySize(member(rig_of(root, i), "segments")), 0);
        assert_true(number(rig_of(root, i), "frames") == 0);
    }
    assert_false(flag(rig_of(root, 0), "fits"));
    assert_non_null(strstr(text_of(rig_of(root, 0), "misfit"), "not up"));
    assert_false(has(rig_of(root, 1), "first_aim"));
    text = plan_text(night);
    assert_fits_paper(text);
    free(text);
    cJSON_Delete(root);
    demo_free(night);
}

/* ---- framing ---- */

static bool path_inside(const struct night *night, double altitude_rad, double azimuth_rad,
                        double from, double to)
{
    const struct rig *rig = &night->rig[0].rig;
    double margin_y = rig->margin,
           margin_x = rig->margin * rig_frame_height_mm(rig) / rig_frame_width_mm(rig);
    struct pointing pointing;

    pointing_make(altitude_rad, azimuth_rad, 0, &pointing);
    for (double utc = from; utc <= to; utc += 60) {
        struct frame_point point;

        if (!frame_project(rig, &pointing, track_direction(&night->track, utc), &point) ||
            fabs(point.x) > 0.5 - margin_x || fabs(point.y) > 0.5 - margin_y)
            return false;
    }
    return true;
}

/* Any level pointing at all, degree by degree. */
static bool some_pointing_holds(const struct night *night, double from, double to)
{
    for (int altitude = 0; altitude <= 90; altitude++)
        for (int azimuth = 0; azimuth < 360; azimuth++)
            if (path_inside(night, rad_from_deg(altitude), rad_from_deg(azimuth), from, to))
                return true;
    return false;
}

static struct night *wide_night(double focal_mm, bool portrait)
{
    struct setup *setup = demo_setup();

    setup->rig[0].focal_mm = focal_mm;
    setup->rig[0].portrait = portrait;
    return demo_night(setup, "2028-12-31");
}

static void a_wide_rig_fits_where_the_promised_pointing_holds_the_path(void **state)
{
    static const double focal_mm[] = {12, 16, 20, 24, 28, 35, 50};
    bool fitted_before = true, any_fits = false, any_misfits = false;

    (void)state;
    for (size_t i = 0; i < sizeof focal_mm / sizeof focal_mm[0]; i++) {
        struct night *night = wide_night(focal_mm[i], false);
        double from = night->contact_utc[CONTACT_P1], to = night->contact_utc[CONTACT_P4];
        cJSON *root = plan_json(night);
        const cJSON *rig = rig_of(root, 0);
        const cJSON *pointing = member(member(rig, "composition"), "pointing");
        bool fits = flag(rig, "fits");

        assert_true(fitted_before || !fits);
        assert_int_equal(has(rig, "misfit"), !fits);
        assert_int_equal(fits,
                         path_inside(night, rad_from_deg(number(pointing, "altitude_deg")),
                                     rad_from_deg(number(pointing, "azimuth_deg")), from, to));
        if (!fits)
            assert_false(some_pointing_holds(night, from, to));
        any_fits |= fits;
        any_misfits |= !fits;
        fitted_before = fits;
        cJSON_Delete(root);
        demo_free(night);
    }
    assert_true(any_fits && any_misfits);
}

/* What a wide rig is told: pointing, the span it is left alone in, spacing of the discs. */
static void a_wide_rig_has_a_composition(void **state)
{
    struct night *night = wide_night(20, false);
    double p1 = night->contact_utc[CONTACT_P1], p4 = night->contact_utc[CONTACT_P4];
    double greatest = night->contact_utc[CONTACT_GREATEST], frame;
    cJSON *root = plan_json(night);
    const cJSON *rig = rig_of(root, 0), *composition = member(rig, "composition");
    const cJSON *on = member(composition, "on_contacts");
    char *text = plan_text(night);

    (void)state;
    assert_string_equal(text_of(composition, "asked"), "P1-P4");
    assert_string_equal(text_of(composition, "part"), "P1-P4");
    assert_true(flag(composition, "fits"));
    assert_int_equal(cJSON_GetArraySize(member(composition, "parts")), 3);
    assert_true(number(member(composition, "pointing"), "roll_deg") == 0);
    assert_true(fabs(instant(member(composition, "untouched"), "from") - p1) < 1);
    assert_true(fabs(instant(member(composition, "untouched"), "to") - p4) < 1);
    assert_true(number(member(rig, "re_aims"), "count") == 0);
    /* The Moon moves by its own diameter in about two minutes: common practice, no
     * source. */
    assert_true(number(composition, "least_interval_s") > 110 &&
                number(composition, "least_interval_s") < 150);
    assert_true(number(on, "interval_s") >= number(composition, "least_interval_s"));
    frame = (greatest - instant(on, "first")) / number(on, "interval_s");
    assert_true(fabs(frame - round(frame)) * number(on, "interval_s") < 0.01);
    assert_false(has(rig, "first_aim"));
    assert_false(has(rig_of(root, 1), "composition"));
    assert_non_null(strstr(text, "do not touch it from"));
    assert_non_null(strstr(text, "one picture for P1 to P4; "));
    assert_non_null(strstr(text, "one frame falls on greatest"));
    free(text);
    cJSON_Delete(root);
    demo_free(night);
}

/* Flip and limits of a mount stand in the timeline and with their rig. */
static void a_mount_says_what_it_will_have_to_do(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    const cJSON *mount, *flip;
    cJSON *root;
    char *text;
    int told = 0;

    (void)state;
    setup->site.longitude_deg = 100; /* where the Moon transits before U4 */
    setup->rig[2].mount.german_equatorial = true;
    setup->rig[2].mount.altitude_max_deg = 40;
    setup->rig[2].mount.polar_az_error_arcmin = 30;
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    mount = member(rig_of(root, 2), "mount");
    flip = member(mount, "flip");
    assert_true(instant(flip, "latest") == instant(flip, "meridian"));
    assert_true(number(member(mount, "polar_error"), "azimuth_arcmin") == 30);
    assert_false(flag(member(mount, "polar_error"), "measured"));
    assert_true(number(member(mount, "drift"), "polar_north_arcsec_per_s") != 0);
    assert_int_equal(cJSON_GetArraySize(member(mount, "limits")), night->framing[2].limit_count);
    assert_true(night->framing[2].limit_count > 0);
    for (const cJSON *line = member(root, "timeline")->child; line; line = line->next)
        if (strcmp(text_of(line, "kind"), "mount") == 0) {
            assert_string_equal(text_of(line, "rig"), setup->rig[2].name);
            told++;
        }
    assert_int_equal(told, 1 + night->framing[2].limit_count);
    text = plan_text(night);
    assert_fits_paper(text);
    assert_non_null(strstr(text, "telescope: meridian flip"));
    assert_non_null(strstr(text, "; meridian flip at "));
    free(text);
    cJSON_Delete(root);
    demo_free(night);
}

static void a_misfit_says_what_would_fit(void **state)
{
    struct night *night = wide_night(28, false);
    double u1 = night->contact_utc[CONTACT_U1], u4 = night->contact_utc[CONTACT_U4];
    cJSON *root = plan_json(night);
    const cJSON *rig = rig_of(root, 0);
    const cJSON *pointing = member(member(rig, "composition"), "pointing");
    char *text = plan_text(night);

    (void)state;
    assert_non_null(strstr(text_of(rig, "misfit"), "P1 to P4 needs "));
    assert_non_null(strstr(text_of(rig, "misfit"), " mm or less; at 28 mm only U1 to U4 fits"));
    assert_true(path_inside(night, rad_from_deg(number(pointing, "altitude_deg")),
                            rad_from_deg(number(pointing, "azimuth_deg")), u1, u4));
    assert_non_null(strstr(text, "  misfit   P1 to P4 needs "));
    free(text);
    cJSON_Delete(root);
    demo_free(night);
}

static void other_rigs_fit_where_the_disc_does(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;

    (void)state;
    /* The Moon is half a degree: 7.4 mm at 800 mm, 18 mm at 2000 mm, on sensors 15.6 mm high. */
    setup->rig[1].focal_mm = 2000;
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    assert_false(flag(rig_of(root, 1), "fits"));
    assert_non_null(strstr(text_of(rig_of(root, 1), "misfit"), "disc"));
    assert_true(flag(rig_of(root, 2), "fits"));
    assert_false(has(rig_of(root, 2), "misfit"));
    assert_false(has(rig_of(root, 2), "first_aim"));
    cJSON_Delete(root);
    demo_free(night);
}

static void a_long_rig_has_a_first_aim(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    cJSON *root = plan_json(night);
    const cJSON *first = member(rig_of(root, 1), "first_aim");
    struct vec3 moon = track_direction(&night->track, night->contact_utc[CONTACT_P1]);

    (void)state;
    assert_true(fabs(instant(first, "at") - night->contact_utc[CONTACT_P1]) <= 0.0005);
    assert_true(fabs(number(first, "moon_altitude_deg") - deg_from_rad(asin(moon.z))) <= 0.005);
    assert_true(number(first, "placed_stays_s") > 600);
    assert_true(number(first, "placed_stays_s") > 1.5 * number(first, "centred_stays_s"));
    assert_true(number(first, "turned_stays_s") > 0);
    assert_true(number(member(rig_of(root, 1), "re_aims"), "count") == night->framing[1].re_aims);
    cJSON_Delete(root);
    demo_free(night);
}

/* ---- brackets and long exposures ---- */

static void a_bracket_counts_all_its_frames(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;
    bool any_bracket = false;

    (void)state;
    setup->rig[2].target = TARGET_BRACKET;
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    for (const cJSON *segment = member(rig_of(root, 2), "segments")->child; segment;
         segment = segment->next) {
        double per_shot = number(segment, "frames") / number(segment, "shots");

        if (number(segment, "shots") > 0 && per_shot > 1) {
            any_bracket = true;
            assert_true(per_shot <= setup->rig[2].bracket_frames && per_shot == floor(per_shot));
        }
    }
    assert_true(any_bracket);
    cJSON_Delete(root);
    demo_free(night);
}

static void an_interval_shorter_than_the_exposure_is_stretched(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;

    (void)state;
    setup->rig[0].interval_s = 1;
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    /* The wide rig exposes up to two seconds in totality. */
    assert_true(number(rig_of(root, 0), "interval_s") == 3);
    assert_true(number(rig_of(root, 0), "least_interval_s") == 3);
    cJSON_Delete(root);
    demo_free(night);
}

/* When the next round from an instant on sets this rig; NaN: none. */
static double round_after(const cJSON *root, const char *rig, double utc)
{
    for (const cJSON *round = member(root, "rounds")->child; round; round = round->next)
        for (const cJSON *job = member(round, "jobs")->child; job; job = job->next)
            if (instant(round, "at") > utc && strcmp(text_of(job, "kind"), "setting") == 0 &&
                strcmp(text_of(job, "rig"), rig) == 0)
                return instant(round, "at");
    return NAN;
}

/* The sheet of each rig has a row for its first setting and one for each round that sets it, no other;
 * each begins a whole number of intervals after the first, and that on the clock. */
static void rows_follow_the_rounds_at_whole_intervals(void **state)
{
    static const double intervals_s[] = {NAN, 10, 25, 7, 180};
    int rows = 0;

    (void)state;
    for (size_t i = 0; i < sizeof intervals_s / sizeof *intervals_s; i++) {
        struct setup *setup = demo_setup();
        struct night *night;
        cJSON *root;

        for (int rig = 0; rig < RIGS; rig++)
            setup->rig[rig].interval_s = intervals_s[i];
        night = demo_night(setup, "2028-12-31");
        root = plan_json(night);
        for (const cJSON *rig = member(root, "rigs")->child; rig; rig = rig->next) {
            double interval = number(rig, "interval_s"), first = instant(rig, "start");
            double step = fmod(3600, interval) == 0 ? interval : 60, at = -INFINITY;

            assert_true(fabs(first - step * round(first / step)) < 1e-3);
            for (const cJSON *row = member(rig, "segments")->child; row; row = row->next, rows++) {
                double since = (instant(row, "start") - first) / interval;

                assert_true(fabs(since - round(since)) * interval < 1e-3);
                if (isfinite(at)) {
                    at = round_after(root, text_of(rig, "name"), at);
                    assert_true(fabs(instant(row, "from") - at) < 1e-3);
                } else
                    at = instant(row, "from");
                assert_true(instant(row, "start") >= at - 1e-3 &&
                            instant(row, "start") < at + fmax(interval, step));
            }
            assert_true(isnan(round_after(root, text_of(rig, "name"), at)));
        }
        cJSON_Delete(root);
        demo_free(night);
    }
    assert_true(rows > 200);
}

/* ---- on paper ---- */

static void the_paper_has_all_that_is_needed_without_a_laptop(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    char *text;
    static const char *const wanted[] = {
        "LUNAR ECLIPSE OF 2028-12-31: total",
        "P1        2028-12-31 19:03:5",
        "P4        2029-01-01 00:40:1",
        "TIMELINE",
        "RIG        wide (24 mm f/2.8, fixed)",
        "RIG        telescope (800 mm f/8, lunar)",
        "first at 19:04: altitude",
        "once: altitude",
        "the mount follows (lunar)",
        "CHECKLIST",
        "day before",
        "CAUTIONS",
        "near the Sun",
        "lithium",
        "licensed electrician",
    };

    (void)state;
    demo_apply(night, (struct act){.utc = night->contact_utc[CONTACT_P1],
                                   .kind = ACT_CHECK,
                                   .rig = -1,
                                   .value = {1},
                                   .text = "focus"});
    text = plan_text(night);
    assert_fits_paper(text);
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        if (!strstr(text, wanted[i]))
            fail_msg("'%s' is missing", wanted[i]);
    assert_int_equal(times_in(text, "\n[ ] ") + 1, demo_items(night));
    assert_int_equal(times_in(text, "\n[x] "), 1);
    assert_int_equal(times_in(text, "tens of seconds"), 1);
    free(text);
    demo_free(night);
}

static void a_rig_need_not_name_its_lens(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    char *text;

    (void)state;
    *setup->rig[0].lens = '\0';
    night = demo_night(setup, "2028-12-31");
    text = plan_text(night);
    assert_non_null(strstr(text, "RIG        wide (fixed)"));
    free(text);
    demo_free(night);
}

/* Whether a text has a sentence, wherever its lines break. */
static bool flows_in(const char *text, const char *words)
{
    for (; *text; text++) {
        const char *at = text, *want = words;

        while (*want && (*at == *want || (*want == ' ' && *at == '\n'))) {
            at += *want == ' ' ? strspn(at, " \n") : 1;
            want++;
        }
        if (!*want)
            return true;
    }
    return false;
}

static void the_words_of_the_paper_are_ascii(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    char *text;

    (void)state;
    *setup->site.name = '\0';
    night = demo_night(setup, "2028-12-31");
    text = plan_text(night);
    for (const char *c = text; *c; c++)
        assert_true((*c >= ' ' && *c <= '~') || *c == '\n' || *c == '\f');
    free(text);
    demo_free(night);
}

/* What stands on the sheet adds up to the frames. */
static void the_sheet_counts_every_frame(void **state)
{
    static const double intervals_s[] = {10, 1, 0.5};

    (void)state;
    for (size_t i = 0; i < sizeof intervals_s / sizeof intervals_s[0]; i++) {
        struct setup *setup = demo_setup();
        struct night *night;
        cJSON *root;
        char *text;
        double counted = 0;

        setup->rig_count = 1;
        setup->rig[0] = setup->rig[2];
        setup->rig[0].shutter_max_s = 1.0 / 60;
        setup->rig[0].interval_s = intervals_s[i];
        night = demo_night(setup, "2028-12-31");
        root = plan_json(night);
        text = plan_text(night);
        assert_fits_paper(text);
        *strstr(text, "\nCHECKLIST") = '\0';
        for (char *row = strstr(text, "  start "); (row = strchr(row, '\n')) != NULL; row++) {
            char start[16], shutter[16];
            double iso, every, count, frames;

            if (sscanf(row, "\n  %15s %15s %lf %lf s %lf %lf", start, shutter, &iso, &every, &count,
                       &frames) != 6)
                continue;
            assert_true(every == number(rig_of(root, 0), "interval_s") && count == frames);
            counted += frames;
        }
        assert_true(counted == number(rig_of(root, 0), "frames"));
        free(text);
        cJSON_Delete(root);
        demo_free(night);
    }
}

/* Shutters and ISO of three rigs, contacts, aims and cautions: on one page, in ten nights of all
 * kinds, and nothing of it left out. */
static void one_page_goes_into_the_pocket(void **state)
{
    static const struct {
        const char *day;
        double latitude_deg, longitude_deg;
        enum hours hours;
    } nights[] = {
        {"2025-03-14", 40, -105, HOURS_12},    {"2025-09-07", -33.9, 18.4, HOURS_24},
        {"2026-03-03", 35.7, 139.7, HOURS_24}, {"2026-08-28", -34.6, -58.4, HOURS_12},
        {"2028-07-06", 28.6, 77.2, HOURS_24},  {"2028-12-31", 62, 60, HOURS_12},
        {"2029-06-26", 41.9, -87.6, HOURS_12}, {"2029-12-20", 41.9, 2.3, HOURS_24},
        {"2032-04-25", -6.2, 106.8, HOURS_24}, {"2020-07-05", 40, -75, HOURS_24},
    };

    (void)state;
    for (size_t i = 0; i < sizeof nights / sizeof *nights; i += QUICK ? 4 : 1)
        for (int tracked = 0; tracked < 2; tracked++) {
            struct setup *setup = demo_setup();
            struct night *night;
            struct agenda agenda;
            char *text, *end, line[160], clock[TEXT_INSTANT];
            int lines = 0;

            setup->site.latitude_deg = nights[i].latitude_deg;
            setup->site.longitude_deg = nights[i].longitude_deg;
            setup->hours = nights[i].hours;
            if (!tracked) { /* three that are aimed by hand, of different lengths */
                setup->rig[0] = setup->rig[2] = setup->rig[1];
                setup->rig[0].focal_mm = 300;
                setup->rig[2].focal_mm = 500;
                (void)snprintf(setup->rig[0].name, sizeof setup->rig[0].name, "short");
                (void)snprintf(setup->rig[2].name, sizeof setup->rig[2].name, "longest");
            }
            night = demo_night(setup, nights[i].day);
            text = plan_text(night);
            end = strchr(text, '\f');
            assert_non_null(end);
            *end = '\0';
            assert_fits_paper(text);
            for (const char *c = text; *c; c++)
                lines += *c == '\n';
            if (lines > 66)
                fail_msg("%s has %d lines\n%s", nights[i].day, lines, text);
            for (int which = 0; which < CONTACT_COUNT; which++)
                if (isfinite(night->contact_utc[which])) {
                    (void)snprintf(line, sizeof line, "\n  %-9s ",
                                   contact_name((enum contact)which));
                    assert_non_null(strstr(text, line));
                }
            /* Every round is on it, or it says that there are more: two at most, but of three that are aimed
             * by hand. */
            const char *more = strstr(text, " more: see ROUNDS\n");
            bool is_full = more != NULL;
            if (tracked && is_full)
                assert_true(strncmp(more - 5, "and 1", 5) == 0 || strncmp(more - 5, "and 2", 5) == 0);
            agenda_make(night, -INFINITY, &agenda);
            for (int k = 0; k < agenda.count; k++) {
                (void)snprintf(line, sizeof line, " %s",
                               clock_minute(clock, reader_local(night), agenda.round[k].utc));
                if (!strstr(text, line) && !is_full) {
                    fputs(text, stderr);
                    fail_msg("%s: the round at %s is not on it", nights[i].day, clock);
                }
            }
            for (int rig = 0; rig < 3; rig++) {
                (void)snprintf(line, sizeof line, "\n  %s ", setup->rig[rig].name);
                assert_non_null(strstr(text, line));
            }
            for (int k = 0; caution_words(k); k++)
                assert_true(flows_in(text, caution_words(k)));
            free(text);
            demo_free(night);
        }
}

/* The head of the page's table of rounds, for a first rig of this name. */
static void pocket_head(const char *name, char out[160])
{
    struct setup *setup = demo_setup();
    struct night *night;
    char *text, *begins, *ends;

    (void)snprintf(setup->rig[0].name, sizeof setup->rig[0].name, "%s", name);
    night = demo_night(setup, "2028-12-31");
    text = plan_text(night);
    begins = strstr(text, "ROUNDS (local; shutter and ISO)\n");
    assert_non_null(begins);
    begins = strchr(begins, '\n') + 1;
    ends = strchr(begins, '\n');
    (void)snprintf(out, 160, "%.*s", (int)(ends - begins), begins);
    free(text);
    demo_free(night);
}

/* A name is cut between letters, and what follows it stands where it would after plain letters. */
static void a_name_with_an_umlaut_is_cut_between_letters(void **state)
{
    char plain[160], umlaut[160], *at;

    (void)state;
    pocket_head("Weitwinkeln", plain);
    pocket_head("Weitwinke\xc3\xa4n", umlaut);
    at = strstr(umlaut, "\xc3\xa4");
    assert_non_null(at);
    (void)memmove(at, at + 1, strlen(at));
    *at = 'l';
    assert_string_equal(umlaut, plain);
}

/* A night that needs more rounds than a page has lines says where the others are. */
static void a_page_that_is_full_says_so(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    char *text, *end;
    int lines = 0;

    (void)state;
    for (int rig = 0; rig < 3; rig++) {
        setup->rig[rig] = setup->rig[1];
        setup->rig[rig].tolerance_stops = 1.0 / 6;
    }
    night = demo_night(setup, "2028-12-31");
    text = plan_text(night);
    end = strchr(text, '\f');
    assert_non_null(end);
    assert_non_null(strstr(text, " more: see ROUNDS\n"));
    assert_true(strstr(text, " more: see ROUNDS\n") < end);
    *end = '\0';
    for (const char *c = text; *c; c++)
        lines += *c == '\n';
    assert_in_range(lines, 60, 66);
    free(text);
    demo_free(night);
}

static void before_1972_the_plan_is_in_ut1(void **state)
{
    struct night *night = demo_night(demo_setup(), "1902-04-22");
    char *text;

    (void)state;
    PRINTED(text, report_plan_text(out, night));
    assert_non_null(strstr(text, "CONTACTS      local              UT1       Moon\n"));
    free(text);
    demo_free(night);
}

static void a_full_disk_is_told(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");

    (void)state;
    REFUSED_BY_FULL_DISK(report_plan_json(out, night));
    REFUSED_BY_FULL_DISK(report_plan_text(out, night));
    demo_free(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_timeline_is_in_order_and_whole),
        cmocka_unit_test(frames_fill_the_time_from_p1_to_p4),
        cmocka_unit_test(nothing_is_shot_before_the_moon_is_up),
        cmocka_unit_test(a_roof_in_the_way_parts_the_night),
        cmocka_unit_test(where_the_moon_is_down_there_is_nothing_to_shoot),
        cmocka_unit_test(a_wide_rig_fits_where_the_promised_pointing_holds_the_path),
        cmocka_unit_test(a_wide_rig_has_a_composition),
        cmocka_unit_test(a_mount_says_what_it_will_have_to_do),
        cmocka_unit_test(a_misfit_says_what_would_fit),
        cmocka_unit_test(other_rigs_fit_where_the_disc_does),
        cmocka_unit_test(a_long_rig_has_a_first_aim),
        cmocka_unit_test(a_bracket_counts_all_its_frames),
        cmocka_unit_test(an_interval_shorter_than_the_exposure_is_stretched),
        cmocka_unit_test(rows_follow_the_rounds_at_whole_intervals),
        cmocka_unit_test(the_paper_has_all_that_is_needed_without_a_laptop),
        cmocka_unit_test(a_rig_need_not_name_its_lens),
        cmocka_unit_test(the_words_of_the_paper_are_ascii),
        cmocka_unit_test(the_sheet_counts_every_frame),
        cmocka_unit_test(one_page_goes_into_the_pocket),
        cmocka_unit_test(a_name_with_an_umlaut_is_cut_between_letters),
        cmocka_unit_test(a_page_that_is_full_says_so),
        cmocka_unit_test(before_1972_the_plan_is_in_ut1),
        cmocka_unit_test(a_full_disk_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
