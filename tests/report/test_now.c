/* The moment, for tools and for people. */
#include "demo.h"

#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/moment.h>
#include <moonstand/report.h>
#include <moonstand/series.h>

static struct readings no_readings(void)
{
    struct readings readings;

    readings_none(&readings);
    return readings;
}

static struct moment *moment_of(struct night *night, const struct readings *readings, double utc)
{
    static struct moment moment;

    night_follow(night, utc);
    moment_at(night, readings, utc, &moment);
    return &moment;
}

static cJSON *now_json(struct night *night, const struct readings *readings, double utc)
{
    const struct moment *moment = moment_of(night, readings, utc);
    char *text;
    cJSON *root;

    PRINTED(text, report_now_json(out, night, moment));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    return root;
}

static char *now_text(struct night *night, const struct readings *readings, double utc)
{
    const struct moment *moment = moment_of(night, readings, utc);
    char *text;

    PRINTED(text, report_now_text(out, night, moment));
    return text;
}

static void the_moon_is_as_the_moment_has_it(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double utc = night->contact_utc[CONTACT_U1] + 600;
    cJSON *root = now_json(night, &readings, utc);
    const cJSON *moon = member(root, "moon");
    const struct sight *sight = &moment_of(night, &readings, utc)->moon;

    (void)state;
    assert_true(fabs(number(moon, "altitude_deg") - deg_from_rad(sight->altitude_rad)) < 1e-5);
    assert_true(fabs(number(moon, "altitude_airless_deg") -
                     deg_from_rad(sight->altitude_airless_rad)) < 1e-5);
    assert_true(fabs(number(moon, "azimuth_deg") - deg_from_rad(sight->azimuth_rad)) < 1e-5);
    assert_true(fabs(number(moon, "diameter_arcsec") -
                     2 * arcsec_from_rad(sight->semidiameter_rad)) <= 0.005);
    assert_true(fabs(number(moon, "parallactic_angle_deg") - deg_from_rad(sight->parallactic_rad)) <
                1e-5);
    assert_true(fabs(number(moon, "distance_km") - sight->distance_km) <= 0.005);
    cJSON_Delete(root);
    demo_free(night);
}

/* From well before the eclipse to its end. */
static void next_is_a_contact_greatest_or_the_horizon(void **state)
{
    static const char *const allowed[] = {"P1", "U1", "U2",       "greatest", "U3",
                                          "U4", "P4", "moonrise", "moonset"};
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double end = night->contact_utc[CONTACT_P4];
    bool skipped_shading = false;

    (void)state;
    for (double utc = end - 12 * 3600; utc < end; utc += 600) {
        cJSON *root = now_json(night, &readings, utc);
        const struct moment *moment = moment_of(night, &readings, utc);
        const cJSON *next = member(member(root, "eclipse"), "next");
        const char *name = text_of(next, "name");
        bool is_allowed = false;

        for (size_t i = 0; i < sizeof allowed / sizeof allowed[0]; i++)
            is_allowed |= strcmp(name, allowed[i]) == 0;
        assert_true(is_allowed);
        assert_true(fabs(instant(next, "at") - utc - number(next, "in_s")) < 0.0015);
        assert_true(number(next, "in_s") > 0);
        if (night->event[moment->next].kind == NIGHT_SHADING)
            skipped_shading = true;
        else
            assert_string_equal(name, night_event_name(&night->event[moment->next]));
        cJSON_Delete(root);
    }
    assert_true(skipped_shading);
    demo_free(night);
}

static void the_eclipse_has_its_phase_and_magnitudes(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    static const struct {
        enum contact after;
        const char *phase;
    } phases[] = {{CONTACT_P1, "penumbral"}, {CONTACT_U1, "partial"},   {CONTACT_U2, "total"},
                  {CONTACT_U3, "partial"},   {CONTACT_U4, "penumbral"}, {CONTACT_P4, "none"}};

    (void)state;
    for (size_t i = 0; i < sizeof phases / sizeof phases[0]; i++) {
        double utc = night->contact_utc[phases[i].after] + 60;
        cJSON *root = now_json(night, &readings, utc);
        const cJSON *eclipse = member(root, "eclipse");
        const struct moment *moment = moment_of(night, &readings, utc);

        assert_string_equal(text_of(eclipse, "phase"), phases[i].phase);
        assert_true(fabs(instant(eclipse, "greatest") - night->contact_utc[CONTACT_GREATEST]) <=
                    0.0005);
        assert_true(fabs(number(eclipse, "umbral_magnitude_now") -
                         moment->shadow.umbral_magnitude) <= 0.000005);
        assert_true(fabs(number(eclipse, "penumbral_magnitude_now") -
                         moment->shadow.penumbral_magnitude) <= 0.000005);
        cJSON_Delete(root);
    }
    demo_free(night);
}

static void every_rig_has_its_exposure_and_aim(void **state)
{
    static const char *const aim_keys[] = {
        "drift_arcsec_per_s", "drift_px_per_s", "centred_stays_s", "place_x", "place_y",
        "placed_stays_s"};
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double utc = night->contact_utc[CONTACT_GREATEST];
    cJSON *root = now_json(night, &readings, utc);
    const struct moment *moment = moment_of(night, &readings, utc);
    const cJSON *rig = member(root, "rigs")->child;

    (void)state;
    for (int i = 0; i < 3; i++, rig = rig->next) {
        const cJSON *exposure = member(rig, "exposure"), *aim = member(rig, "aim");
        const struct exposure *wanted = &moment->rig[i].exposure;

        assert_non_null(rig);
        assert_string_equal(text_of(rig, "name"), night->rig[i].rig.name);
        assert_string_equal(text_of(rig, "support"), support_name(night->rig[i].rig.support));
        assert_string_equal(text_of(exposure, "target"), target_name(wanted->target));
        assert_string_equal(text_of(exposure, "shutter"), shutter_label(wanted->shutter));
        assert_true(fabs(number(exposure, "shutter_s") / wanted->shutter_s - 1) < 1e-4);
        assert_int_equal((int)number(exposure, "iso"), iso_label(wanted->iso));
        assert_true(fabs(number(exposure, "f_number") - rig_f_number(&night->rig[i].rig)) < 0.005);
        assert_true(number(exposure, "blur_px") >= 0);
        assert_int_equal((int)number(exposure, "bracket_frames"), wanted->bracket_frames);
        assert_int_equal(has(exposure, "bracket_shown"), wanted->bracket_frames > 1);
        assert_string_equal(text_of(exposure, "limited_by"),
                            exposure_limit_name(wanted->limited_by));
        for (size_t key = 0; key < sizeof aim_keys / sizeof aim_keys[0]; key++)
            (void)number(aim, aim_keys[key]);
        assert_true(fabs(number(aim, "place_x")) <= 0.5 && fabs(number(aim, "place_y")) <= 0.5);
        assert_true(number(aim, "placed_stays_s") >= number(aim, "centred_stays_s"));
        /* Never confirmed: there is nothing that it could leave. */
        assert_false(has(aim, "leaves"));
        assert_false(has(aim, "moon_x"));
    }
    assert_null(rig);
    cJSON_Delete(root);
    demo_free(night);
}

/* Puts a space for every break of a line and what it is indented by. */
static void unwrap(char *text)
{
    char *to = text;

    for (const char *at = text; *at; to++) {
        size_t blanks = strspn(at, "\n ");
        *to = blanks > 0 ? ' ' : *at;
        at += blanks > 0 ? blanks : 1;
    }
    *to = '\0';
}

/* What to dial on a camera that brackets by itself: in JSON and in words, and no deficit is one of
 * nothing. */
static void a_bracket_is_told(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    struct readings readings = no_readings();
    double utc;
    char *text, words[64];
    cJSON *root;

    (void)state;
    for (int i = 0; i < 3; i++)
        setup->rig[i].target = TARGET_BRACKET;
    setup->rig[2].remote_exposure = true;
    night = demo_night(setup, "2028-12-31");
    utc = night->contact_utc[CONTACT_U1] + 2400;
    root = now_json(night, &readings, utc);
    const struct moment *moment = moment_of(night, &readings, utc);
    for (int i = 0; i < 3; i++) {
        const cJSON *exposure = member(cJSON_GetArrayItem(member(root, "rigs"), i), "exposure");
        const struct exposure *wanted = &moment->rig[i].exposure;

        assert_true(wanted->bracket_frames > 1);
        assert_int_equal((int)number(exposure, "bracket_frames"), wanted->bracket_frames);
        assert_true(number(exposure, "bracket_step_stops") == 2);
        assert_string_equal(text_of(exposure, "bracket_shown"), i == 2 ? "first" : "middle");
        assert_true(fabs(number(exposure, "deficit_stops") - wanted->deficit_stops) < 0.006);
    }
    cJSON_Delete(root);
    PRINTED(text, report_now_text(out, night, moment));
    unwrap(text);
    (void)snprintf(words, sizeof words, "%d frames, 2 stops apart",
                   moment->rig[0].exposure.bracket_frames);
    assert_non_null(strstr(text, words));
    assert_true(moment->rig[1].exposure.deficit_stops > 0);
    (void)snprintf(words, sizeof words, "umbra %.1f stops short",
                   moment->rig[1].exposure.deficit_stops);
    assert_non_null(strstr(text, words));
    assert_null(strstr(text, "(none)"));
    free(text);
    demo_free(night);
}

static void what_is_unknown_has_no_key(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    cJSON *root = now_json(night, &readings, night->contact_utc[CONTACT_P1]);
    const cJSON *gps = member(member(root, "site"), "gps"), *clock = member(root, "clock");

    (void)state;
    assert_int_equal(cJSON_GetArraySize(member(root, "air")), 0);
    assert_string_equal(text_of(gps, "state"), "off");
    assert_int_equal(cJSON_GetArraySize(gps), 1);
    assert_false(has(clock, "synchronised"));
    assert_false(has(clock, "laptop_minus_gps_s"));
    assert_false(has(member(root, "kit"), "laptop"));
    cJSON_Delete(root);
    demo_free(night);
}

static void what_is_known_has_one(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    double utc = night->contact_utc[CONTACT_P1];
    struct readings readings = no_readings();
    cJSON *root;
    const cJSON *gps;

    (void)state;
    demo_apply(night,
               (struct act){.utc = utc - 60, .kind = ACT_AIR, .rig = -1, .value = {-12, 78}});
    readings.gps.state = GPS_FIX;
    readings.gps.satellites = 9;
    readings.gps.latitude_deg = 62.0001;
    readings.gps.longitude_deg = 60.0002;
    readings.gps.clock_offset_s = 0.125;
    readings.clock_synchronised = 0;
    readings.battery_percent = 81;
    root = now_json(night, &readings, utc);
    gps = member(member(root, "site"), "gps");
    assert_true(fabs(number(member(root, "air"), "dew_point_c") - dew_point_c(-12, 78)) <= 0.005);
    assert_true(fabs(number(member(root, "air"), "age_s") - 60) < 0.1);
    assert_int_equal((int)number(gps, "satellites"), 9);
    assert_true(fabs(number(gps, "latitude_deg") - 62.0001) < 1e-6);
    assert_true(fabs(number(member(root, "clock"), "laptop_minus_gps_s") - 0.125) < 1e-9);
    assert_false(flag(member(root, "clock"), "synchronised"));
    assert_int_equal((int)number(member(member(root, "kit"), "laptop"), "battery_percent"), 81);
    cJSON_Delete(root);
    demo_free(night);
}

static void the_checklist_counts_and_drops_what_has_no_contact(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    struct readings readings = no_readings();
    struct fault fault;
    cJSON *root;
    const cJSON *items;
    char *page;

    (void)state;
    setup->checklist = (struct checklist){.count = 2};
    setup->checklist.item[0] = (struct check_item){.id = "focus", .text = "Focus", .has_due = true};
    setup->checklist.item[1] = (struct check_item){.id = "umbra", .text = "Umbra", .has_due = true};
    assert_int_equal(due_parse("P1-10m", &setup->checklist.item[0].due, &fault), 0);
    assert_int_equal(due_parse("U1-10m", &setup->checklist.item[1].due, &fault), 0);
    night = demo_night(setup, "2027-02-20");
    root = now_json(night, &readings, night->contact_utc[CONTACT_P1]);
    items = member(member(root, "kit"), "items");
    assert_int_equal(cJSON_GetArraySize(items), 1);
    assert_string_equal(text_of(items->child, "id"), "focus");
    assert_true(fabs(instant(items->child, "due") - night->contact_utc[CONTACT_P1] + 600) < 0.001);
    assert_false(has(items->child, "done"));
    assert_int_equal((int)number(member(root, "kit"), "overdue"), 1);
    cJSON_Delete(root);
    page = now_text(night, &readings, night->contact_utc[CONTACT_P1]);
    assert_non_null(strstr(page, "Focus"));
    free(page);
    demo_free(night);
}

static void expect_on_page(struct night *night, double utc, const char *wanted)
{
    struct readings readings = no_readings();
    char *page = now_text(night, &readings, utc);

    if (!strstr(page, wanted))
        fail_msg("'%s' is not in:\n%s", wanted, page);
    free(page);
}

/* A bare "19:00" would be read as that of this evening. */
static void what_is_long_overdue_has_its_day(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double due = item_due_utc(night, 0);

    (void)state;
    for (int hours = 1; hours <= 18; hours += 17) {
        char day[TEXT_INSTANT], *text = now_text(night, &readings, due + 3600 * hours);
        char *next = strstr(text, "\n  next     ");

        assert_non_null(next);
        next[40] = '\0';
        (void)day_words(day, reader_local(night), due);
        assert_int_equal(strstr(next, day) != NULL, hours > 12);
        free(text);
    }
    demo_free(night);
}

static void dew_and_its_answer_are_on_the_page(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double utc = night->contact_utc[CONTACT_U1];
    const cJSON *rig;
    cJSON *root;

    (void)state;
    demo_apply(night, (struct act){.utc = utc, .kind = ACT_AIR, .rig = -1, .value = {8, 95}});
    demo_apply(night, (struct act){.utc = utc, .kind = ACT_HEATER, .rig = 0, .value = {1}});
    expect_on_page(night, utc + 1, "\n           dew likely: look at the glass of ");
    root = now_json(night, &readings, utc + 1);
    rig = member(root, "rigs")->child;
    assert_true(cJSON_IsTrue(member(rig, "heater")) && cJSON_IsFalse(member(rig, "look_at_glass")));
    assert_true(cJSON_IsFalse(member(rig->next, "heater")) &&
                cJSON_IsTrue(member(rig->next, "look_at_glass")));
    assert_false(has(member(root, "air"), "glass_dry"));
    cJSON_Delete(root);
    demo_apply(night, (struct act){.utc = utc + 60, .kind = ACT_GLASS, .rig = -1});
    /* U1 is at 20:07:42 +05 (NASA's canon); a minute and then twenty more. */
    expect_on_page(night, utc + 61, "\n           the glass was dry, next look at 20:28:42");
    root = now_json(night, &readings, utc + 61);
    assert_true(fabs(instant(member(root, "air"), "glass_dry") - utc - 60) < 0.01);
    cJSON_Delete(root);
    demo_free(night);
}

static void a_sun_that_is_up_is_a_caution(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    double utc = night->contact_utc[CONTACT_P1] - 4.5 * 3600;

    (void)state;
    night_follow(night, utc);
    expect_on_page(night, utc, "\nCAUTION    Sun up: never point optics near it\n");
    demo_free(night);
}

static void an_aimed_rig_tells_when_it_leaves(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double utc = night->contact_utc[CONTACT_U1];
    cJSON *root;
    const cJSON *aim;

    (void)state;
    demo_apply(night, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 1, .value = {0, 0}});
    root = now_json(night, &readings, utc + 60);
    aim = member(member(root, "rigs")->child->next, "aim");
    assert_string_equal(text_of(aim, "state"), "steady");
    assert_true(fabs(instant(aim, "leaves") - night->rig[1].leaves_utc) <= 0.0005);
    assert_true(fabs(number(aim, "moon_x")) < 0.5);
    assert_true(fabs(instant(aim, "due") - night->rig[1].due_utc) <= 0.0005);
    assert_true(number(aim, "turned_stays_s") > 0);
    assert_false(flag(aim, "hands_off"));
    assert_false(has(aim, "due_before"));
    cJSON_Delete(root);
    /* Aimed so that it would be due in the minute around U2. */
    utc = night->contact_utc[CONTACT_U2] - (night->rig[1].leaves_utc - utc);
    demo_apply(night, (struct act){.utc = utc, .kind = ACT_AIM, .rig = 1, .value = {0, 0}});
    root = now_json(night, &readings, utc + 60);
    aim = member(member(root, "rigs")->child->next, "aim");
    assert_string_equal(text_of(aim, "due_before"), "U2");
    assert_true(instant(aim, "due") < instant(aim, "leaves"));
    assert_true(has(member(root, "rigs")->child, "composition"));
    assert_true(has(member(root, "rigs")->child->next->next, "mount"));
    cJSON_Delete(root);
    demo_free(night);
}

static void the_page_is_calm_and_fits(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double p1 = night->contact_utc[CONTACT_P1];
    static const char *const wanted[] = {"\nNext ",      "\nMoon ", "\nPhase ", "\nRig ", "\nSite ",
                                         "\nChecklist ", "\nGPS ",  "\nClock ", "\nAir "};

    (void)state;
    for (double utc = p1 - 1000 * SECONDS_PER_DAY; utc < p1 + 1.2 * SECONDS_PER_DAY;
         utc += utc < p1 - SECONDS_PER_DAY ? 27.3 * SECONDS_PER_DAY : 3000) {
        char *text = now_text(night, &readings, utc);

        assert_fits_paper(text);
        assert_null(strstr(text, "nan"));
        assert_null(strstr(text, "inf "));
        assert_int_equal(times_in(text, "tens of seconds"), 1);
        for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
            assert_non_null(strstr(text, wanted[i]));
        free(text);
    }
    demo_free(night);
}

/* IERS Bulletin C 72: no leap second until the middle of 2027. */
static void a_held_offset_is_said_once_and_only_then(void **state)
{
    struct night *announced = demo_night(demo_setup(), "2026-08-28");
    struct night *held = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    char *before = now_text(announced, &readings, announced->contact_utc[CONTACT_P1]);
    char *after = now_text(held, &readings, held->contact_utc[CONTACT_P1]);

    (void)state;
    assert_null(strstr(before, "No leap second"));
    assert_int_equal(times_in(after, "No leap second"), 1);
    assert_null(strstr(after, "2035"));
    free(before);
    free(after);
    demo_free(announced);
    demo_free(held);
}

/* A wrapped text as one line with single blanks; free() it. */
static char *one_line(const char *text)
{
    char *line = malloc(strlen(text) + 1), *to = line;

    assert_non_null(line);
    for (; *text; text++) {
        bool is_gap = *text == ' ' || *text == '\n';

        if (!is_gap || (to > line && to[-1] != ' '))
            *to++ = is_gap ? ' ' : *text;
    }
    *to = '\0';
    return line;
}

/* Resolution 4 of the 27th CGPM (2022) lets UT1 - UTC grow for at least a century; a minute in a
 * century is the size that was named then (from memory). */
static void past_2035_the_drift_of_utc_is_said(void **state)
{
    static const struct {
        const char *day, *apart, *arcmin;
    } rows[] = {{"2036-02-11", "up to 2 s apart by 2036", "by 0.4 arcmin"},
                {"2060-04-15", "up to 16 s apart by 2060", "by 4.0 arcmin"},
                {"2100-02-24", "up to 40 s apart by 2100", "by 10.0 arcmin"}};
    struct readings readings = no_readings();

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct night *night = demo_night(demo_setup(), rows[i].day);
        char *text = now_text(night, &readings, night->contact_utc[CONTACT_P1]);
        char *line = one_line(text);

        assert_int_equal(times_in(line, "UTC and the turning Earth"), 1);
        assert_non_null(strstr(line, rows[i].apart));
        assert_non_null(strstr(line, rows[i].arcmin));
        assert_non_null(strstr(line, "contacts are not"));
        free(line);
        free(text);
        demo_free(night);
    }
}

static void local_and_utc_stand_side_by_side(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    char *text = now_text(night, &readings, night->contact_utc[CONTACT_U2] + 1);

    (void)state;
    assert_non_null(strstr(text, "Next       greatest in 35:3"));
    assert_non_null(strstr(text, "21:52:06 +05, 16:52:06 UTC"));
    free(text);
    demo_free(night);
}

/* A text that names a Celsius temperature or a local time of 24 hours; null where none does. */
static const char *first_of_other_forms(const char *text)
{
    for (const char *at = text; (at = strstr(at, " C")) != NULL; at++)
        if (at > text && at[-1] >= '0' && at[-1] <= '9' && strchr(",;: )\n", at[2]) &&
            strncmp(at, " C (", 4) != 0)
            return at - 5;
    return strstr(text, ":06 +05") ? strstr(text, ":06 +05") - 5 : NULL;
}

/* Hours and units of the setup are for people: all that they read has them, and what tools read has
 * not. */
static void hours_and_units_are_for_people(void **state)
{
    struct setup *setup = demo_setup();
    struct readings readings = no_readings();
    struct act air = {.kind = ACT_AIR, .rig = -1, .value = {-22, 70}};
    struct moment moment;
    char *text[2], *json[2], *plan[2], *session[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        setup->hours = i == 0 ? HOURS_24 : HOURS_12;
        setup->units = i == 0 ? UNITS_METRIC : UNITS_IMPERIAL;
        struct night *night = demo_night(setup, "2028-12-31");
        air.utc = night->contact_utc[CONTACT_U2];
        demo_apply(night, air);
        moment_at(night, &readings, air.utc + 1, &moment);
        PRINTED(text[i], report_now_text(out, night, &moment));
        PRINTED(json[i], report_now_json(out, night, &moment));
        PRINTED(plan[i], report_plan_text(out, night));
        PRINTED(session[i], report_session_markdown(out, night, NULL));
        demo_free(night);
    }
    assert_string_equal(json[0], json[1]);
    assert_non_null(strstr(text[0], "Air        -22.0 C, 70 %, dew margin -1.6 C: frost likely"));
    assert_non_null(strstr(text[1], "Air        -7.6 F, 70 %, dew margin -2.9 F: frost likely"));
    assert_non_null(strstr(text[1], "09:52:06pm +05, 16:52:06 UTC"));
    assert_non_null(strstr(plan[0], "greatest  2028-12-31 21:52:06  16:52:06"));
    assert_non_null(strstr(plan[1], "greatest  2028-12-31 09:52:06pm  16:52:06"));
    assert_non_null(strstr(session[0], "air -22.0 C, 70 %"));
    assert_non_null(strstr(session[1], "air -7.6 F, 70 %"));
    const char *const read[] = {text[1], plan[1], session[1]};
    for (size_t i = 0; i < sizeof read / sizeof *read; i++)
        if (first_of_other_forms(read[i]))
            fail_msg("still metric, or 24 hours: %.30s", first_of_other_forms(read[i]));
    for (int i = 0; i < 2; i++) {
        free(text[i]);
        free(json[i]);
        free(plan[i]);
        free(session[i]);
    }
}

static void a_full_disk_is_told(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    const struct moment *moment = moment_of(night, &readings, night->contact_utc[CONTACT_P1]);

    (void)state;
    REFUSED_BY_FULL_DISK(report_now_json(out, night, moment));
    REFUSED_BY_FULL_DISK(report_now_text(out, night, moment));
    demo_free(night);
}

/* From a place that never has the Moon up nothing is advised, and that is said once. */
static void a_moon_that_is_down_is_aimed_at_by_nothing(void **state)
{
    struct setup *setup = demo_setup();
    struct readings readings = no_readings();
    struct night *night;
    cJSON *root, *plan;
    char *text;

    (void)state;
    setup->site.latitude_deg = -3;
    setup->site.longitude_deg = -60;
    night = demo_night(setup, "2028-12-31");
    root = now_json(night, &readings, night->contact_utc[CONTACT_U2] + 200);
    for (int i = 0; i < night->setup.rig_count; i++) {
        const cJSON *rig = cJSON_GetArrayItem(member(root, "rigs"), i);
        const cJSON *aim = member(rig, "aim");

        assert_false(has(aim, "place_x") || has(aim, "place_y") || has(aim, "placed_stays_s") ||
                     has(aim, "centred_stays_s") || has(aim, "drift_px_per_s") ||
                     has(aim, "drift_arcsec_per_s") || has(aim, "turned_stays_s"));
        if (has(rig, "mount"))
            assert_false(has(member(rig, "mount"), "drift"));
    }
    cJSON_Delete(root);
    text = now_text(night, &readings, night->contact_utc[CONTACT_U2] + 200);
    assert_non_null(strstr(text, "no phase is up from here"));
    assert_null(strstr(text, "put the Moon"));
    assert_null(strstr(text, "drifts"));
    assert_null(strstr(text, "for this target for"));
    free(text);
    PRINTED(text, report_plan_json(out, night));
    plan = json_parse(text);
    free(text);
    for (int i = 0; i < night->setup.rig_count; i++) {
        const cJSON *rig = cJSON_GetArrayItem(member(plan, "rigs"), i);

        assert_true(cJSON_IsFalse(member(rig, "fits")));
        assert_string_equal(text_of(rig, "misfit"), "the Moon is not up");
    }
    cJSON_Delete(plan);
    demo_free(night);
}

/* A skyline hides a Moon that is over the true horizon: it is not down. */
static void a_skyline_is_no_horizon(void **state)
{
    struct setup *setup = demo_setup();
    struct readings readings = no_readings();
    struct night *night;
    char *text;

    (void)state;
    setup->site.horizon = (struct horizon){.count = 2,
                                           .azimuth_rad = {0, rad_from_deg(180)},
                                           .altitude_rad = {rad_from_deg(50), rad_from_deg(50)}};
    night = demo_night(setup, "2028-12-31");
    text = now_text(night, &readings, night->contact_utc[CONTACT_U2]);
    assert_non_null(strstr(text, "; behind the local"));
    assert_null(strstr(text, " down"));
    free(text);
    PRINTED(text, report_now_json(out, night,
                                  moment_of(night, &readings, night->contact_utc[CONTACT_U2])));
    cJSON *root = json_parse(text);
    const cJSON *rig = cJSON_GetArrayItem(member(root, "rigs"), 1);
    assert_string_equal(text_of(member(rig, "aim"), "state"), "behind");
    cJSON_Delete(root);
    free(text);
    demo_free(night);
}

/* The composition's place and the longest stay are told apart; tools get the longest stay. */
static void a_wide_rig_is_told_the_place_in_its_picture(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    double utc = night->contact_utc[CONTACT_U2] + 200;
    const struct moment *moment = moment_of(night, &readings, utc);
    const struct rig_moment *wide = &moment->rig[0];
    const struct wide *composition = &night->framing[0].composition;
    const struct wide_fit *fit = &composition->fit[composition->use];
    struct pointing pointing;
    struct vec3 direction;
    cJSON *root;
    char *text;

    (void)state;
    (void)pointing_for(&night->rig[0].rig, track_direction(&night->track, utc), wide->composed,
                       &pointing);
    direction = pointing.axis;
    assert_true(fabs(asin(direction.z) - fit->altitude_rad) < rad_from_deg(0.01));
    assert_true(fabs(angle_wrap(atan2(direction.x, direction.y)) - angle_wrap(fit->azimuth_rad)) <
                rad_from_deg(0.01));
    assert_true(advised_place(wide).x == wide->composed.x);
    assert_true(isnan(moment->rig[1].composed.x));
    text = now_text(night, &readings, utc);
    assert_non_null(strstr(text, "  aim      not aimed: aim, then press a\n"));
    assert_non_null(strstr(text, "           aim at altitude "));
    assert_non_null(strstr(text, ": covers "));
    assert_non_null(strstr(text, "           Moon leaves "));
    free(text);
    root = now_json(night, &readings, utc);
    assert_true(fabs(number(member(cJSON_GetArrayItem(member(root, "rigs"), 0), "aim"), "place_y") -
                     wide->aim.place.y) < 1e-4);
    assert_true(
        fabs(number(member(cJSON_GetArrayItem(member(root, "rigs"), 0), "pose"), "azimuth_deg") -
             deg_from_rad(fit->azimuth_rad)) < 0.01);
    assert_false(flag(member(cJSON_GetArrayItem(member(root, "rigs"), 0), "pose"), "held"));
    assert_false(has(cJSON_GetArrayItem(member(root, "rigs"), 1), "pose"));
    cJSON_Delete(root);
    demo_free(night);
}

/* Where the sky could not be computed there is a dash, and no member of JSON. */
static void an_unknown_moon_is_a_dash(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    struct readings readings = no_readings();
    struct moment *moment = moment_of(night, &readings, night->contact_utc[CONTACT_U1]);
    char *text;
    cJSON *root;

    (void)state;
    moment->moon = (struct sight){.altitude_airless_rad = NAN, .altitude_rad = NAN, .azimuth_rad = NAN,
                                  .distance_km = NAN, .semidiameter_rad = NAN, .parallactic_rad = NAN};
    PRINTED(text, report_now_text(out, night, moment));
    assert_non_null(strstr(text, "\nMoon       -\n"));
    assert_null(strstr(text, "nan"));
    free(text);
    PRINTED(text, report_now_json(out, night, moment));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    assert_false(has(member(root, "moon"), "altitude_deg"));
    cJSON_Delete(root);
    demo_free(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_moon_is_as_the_moment_has_it),
        cmocka_unit_test(next_is_a_contact_greatest_or_the_horizon),
        cmocka_unit_test(the_eclipse_has_its_phase_and_magnitudes),
        cmocka_unit_test(every_rig_has_its_exposure_and_aim),
        cmocka_unit_test(a_bracket_is_told),
        cmocka_unit_test(what_is_unknown_has_no_key),
        cmocka_unit_test(what_is_known_has_one),
        cmocka_unit_test(the_checklist_counts_and_drops_what_has_no_contact),
        cmocka_unit_test(what_is_long_overdue_has_its_day),
        cmocka_unit_test(dew_and_its_answer_are_on_the_page),
        cmocka_unit_test(a_sun_that_is_up_is_a_caution),
        cmocka_unit_test(an_aimed_rig_tells_when_it_leaves),
        cmocka_unit_test(the_page_is_calm_and_fits),
        cmocka_unit_test(a_held_offset_is_said_once_and_only_then),
        cmocka_unit_test(past_2035_the_drift_of_utc_is_said),
        cmocka_unit_test(local_and_utc_stand_side_by_side),
        cmocka_unit_test(hours_and_units_are_for_people),
        cmocka_unit_test(a_full_disk_is_told),
        cmocka_unit_test(a_moon_that_is_down_is_aimed_at_by_nothing),
        cmocka_unit_test(a_skyline_is_no_horizon),
        cmocka_unit_test(a_wide_rig_is_told_the_place_in_its_picture),
        cmocka_unit_test(an_unknown_moon_is_a_dash),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
