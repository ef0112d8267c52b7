/* Whole prints against tests/prints/NAME.txt: which lines, in which order and form, with how many
 * decimals, and what is left out. What the numbers must be, the other tests of this room say. BLESS=1
 * writes them anew: the difference is then for people to review. */
#include "demo.h"

#include "blessed.h"

#include <moonstand/angle.h>
#include <moonstand/moment.h>
#include <moonstand/report.h>

static struct night *night;
static struct moment moment;
static struct readings readings;

/* The built-in setup with the first items of its list: enough for a print. */
static struct setup *brief_setup(void)
{
    struct setup *setup = demo_setup();

    setup->checklist.count = 12;
    return setup;
}

static double at_contact(enum contact contact, double seconds)
{
    return night->contact_utc[contact] + seconds;
}

static void act(double utc, enum act_kind kind, int rig, double first, double second,
                const char *text)
{
    struct act made = {
        .utc = utc, .kind = kind, .rig = rig, .value = {first, second, NAN, NAN, NAN}};

    if (kind == ACT_POINT)
        made.value[2] = 0;
    (void)snprintf(made.text, sizeof made.text, "%s", text);
    demo_apply(night, made);
}

static void moment_of(double utc)
{
    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
}

/* The built-in rigs in the partial phase, nothing aimed yet and nothing known of air and place. */
static void unaimed(void)
{
    night = demo_night(demo_setup(), "2028-12-31");
    moment_of(at_contact(CONTACT_U1, 2100));
}

/* Weeks ahead, without a name for the place. */
static void far_off(void)
{
    struct setup *setup = brief_setup();

    setup->site.name[0] = '\0';
    night = demo_night(setup, "2028-12-31");
    moment_of(at_contact(CONTACT_P1, -30 * 86400));
}

/* Every camera aimed, air, a bracket and a filter, all devices at work, twelve hours, feet and
 * Fahrenheit. */
static void busy(void)
{
    struct setup *setup = brief_setup();
    double utc;

    setup->hours = HOURS_12;
    setup->units = UNITS_IMPERIAL;
    setup->rig[1].target = TARGET_BRACKET;
    setup->rig[2].filter_stops = 3;
    setup->rig[2].extender = 1.4;
    setup->rig[2].power.external = true;
    setup->rig[1].card_gb = 8;
    setup->rig[0].card_gb = 128;
    (void)snprintf(setup->rig[1].lens, sizeof setup->rig[1].lens, "400 mm mirror");
    night = demo_night(setup, "2028-12-31");
    night->rehearsal = true;
    readings.gps = (struct gps_reading){GPS_FIX, 3, 9, 62.00012345, 60.00009876, 420.06, 4.04, 1, 0.041, 0.012};
    readings.battery_percent = 34;
    readings.battery_left_s = 5400;
    readings.battery_discharging = true;
    readings.clock_synchronised = 1;
    readings.card_free_bytes[1] = 2e9;
    utc = at_contact(CONTACT_U2, 300);
    act(utc - 4000, ACT_POINT, 0, 52, 120, "");
    act(utc - 3000, ACT_AIR, -1, -14, 70, "");
    act(utc - 60, ACT_AIM, 1, -0.2, -0.1, "");
    act(utc - 30, ACT_AIR, -1, -18, 88, "");
    act(utc - 20, ACT_BATTERY, 1, NAN, NAN, "");
    act(utc - 10, ACT_HEATER, 2, 1, NAN, "");
    act(utc - 5, ACT_DANJON, -1, 1, NAN, "");
    moment_of(utc);
}

/* The Moon has met the margin, and nobody came; the clock is wrong, the sensor silent. */
static void alarm_rings(void)
{
    struct setup *setup = brief_setup();
    double utc;

    setup->rig[0].focal_mm = 35;
    setup->rig[0].portrait = true;
    night = demo_night(setup, "2028-12-31");
    readings.gps.state = GPS_NO_FIX;
    readings.clock_synchronised = 0;
    readings.card_absent[1] = true;
    (void)snprintf(readings.air_trouble, sizeof readings.air_trouble, "no such file");
    utc = at_contact(CONTACT_U2, -120);
    act(utc - 1400, ACT_AIM, 1, -0.2, -0.1, "");
    act(utc - 1000, ACT_FORECAST, -1, utc - 600, 40, "");
    act(utc - 990, ACT_FORECAST, -1, utc + 3000, 80, "");
    moment_of(utc);
}

/* What is rare: two people, a card that is too small, totality that no setting holds, more to do than
 * hands can, a mount's error measured, every doubt about the clock known. */
static void rare(void)
{
    busy();
    night->setup.people = 2;
    night->rig[2].polar =
        (struct polar_estimate){12, -7, .az_doubt_arcmin = 3, .alt_doubt_arcmin = 4};
    night->checked_utc[0] = moment.utc - 600;
    moment.rig[0].lost_span.span = (struct span){moment.utc - 60, moment.utc + 60};
    night->run[1].lost[0] = (struct lost_span){moment.rig[0].lost_span.span, TARGET_LIT, true, false};
    night->run[1].lost_count = 1;
    moment.hands.clash_utc = moment.utc + 300;
    moment.kit[1].card.fits = false;
    moment.kit[1].card.bracket_fits = 3;
    moment.readings.gps.mode = 3;
    moment.readings.gps.error_m = 4;
    moment.readings.gps.clock_spread_s = 0.01;
    moment.readings.clock_error_s = 0.02;
}

/* Two cameras whose every frame a remote sets: any number of frames makes a bracket. The long one is aimed once, for
 * five minutes. */
static void remote_control(void)
{
    struct setup *setup = brief_setup();

    for (int i = 0; i < 3; i += 2) {
        setup->rig[i].remote_exposure = true;
        setup->rig[i].target = TARGET_BRACKET;
        setup->rig[i].bracket_frames = 2 + i;
        setup->rig[i].bracket_step_stops = 2.5;
    }
    setup->rig[1].until = (struct contact_offset){CONTACT_P1, 300};
    night = demo_night(setup, "2028-12-31");
    moment_of(at_contact(CONTACT_U2, -600));
}

/* A mount that must be flipped and has limits; the Moon behind a roof. */
static void roof_and_mount(void)
{
    struct setup *setup = brief_setup();

    setup->site.longitude_deg = 100; /* where the Moon transits before U4 */
    setup->site.horizon =
        (struct horizon){.count = 3,
                         .azimuth_rad = {rad_from_deg(100), rad_from_deg(150), rad_from_deg(200)},
                         .altitude_rad = {0, rad_from_deg(55), 0}};
    setup->rig[2].mount.german_equatorial = true;
    setup->rig[2].mount.altitude_max_deg = 49;
    setup->rig[2].mount.polar_az_error_arcmin = 30;
    setup->rig[2].support = SUPPORT_SIDEREAL;
    night = demo_night(setup, "2028-12-31");
    moment_of(at_contact(CONTACT_U1, -300));
}

/* No phase of it is up. */
static void never_seen(void)
{
    struct setup *setup = brief_setup();

    setup->site.latitude_deg = -30;
    setup->site.longitude_deg = -90;
    night = demo_night(setup, "2028-12-31");
    moment_of(at_contact(CONTACT_GREATEST, 0));
}

/* A partial eclipse at dusk in London, Moonrise in it; rigs that end early. */
static void at_dusk(void)
{
    struct setup *setup = brief_setup();

    setup->site.latitude_deg = 51.5;
    setup->site.longitude_deg = 0;
    setup->rig[1].until = (struct contact_offset){CONTACT_U3, 60};
    night = demo_night(setup, "2028-12-31");
    moment_of(at_contact(CONTACT_U2, -600));
}

static void after_it(void)
{
    night = demo_night(demo_setup(), "2028-12-31");
    moment_of(at_contact(CONTACT_P4, 600));
}

static void write_now(FILE *out)
{
    assert_int_equal(report_now_text(out, night, &moment), 0);
}

static void write_now_json(FILE *out)
{
    assert_int_equal(report_now_json(out, night, &moment), 0);
}

static void write_plan(FILE *out)
{
    assert_int_equal(report_plan_text(out, night), 0);
}

static void write_plan_json(FILE *out)
{
    assert_int_equal(report_plan_json(out, night), 0);
}

static void write_session(FILE *out)
{
    assert_int_equal(report_session_markdown(out, night, NULL), 0);
    assert_int_equal(report_session_csv(out, night, NULL), 0);
}

static void write_session_json(FILE *out)
{
    assert_int_equal(report_session_json(out, night, NULL), 0);
}

static void write_calendar(FILE *out)
{
    assert_int_equal(report_calendar(out, night, night->contact_utc[CONTACT_P1] - 86400), 0);
}

static const struct print {
    const char *name;
    void (*live)(void);
    void (*write)(FILE *out);
} prints[] = {
    {"now-unaimed", unaimed, write_now},
    {"now-far-off", far_off, write_now},
    {"now-busy", busy, write_now},
    {"now-alarm", alarm_rings, write_now},
    {"now-roof", roof_and_mount, write_now},
    {"now-never", never_seen, write_now},
    {"now-dusk", at_dusk, write_now},
    {"now-after", after_it, write_now},
    {"now-busy-json", busy, write_now_json},
    {"now-roof-json", roof_and_mount, write_now_json},
    {"plan-busy", busy, write_plan},
    {"plan-alarm", alarm_rings, write_plan},
    {"plan-roof", roof_and_mount, write_plan},
    {"plan-dusk", at_dusk, write_plan},
    {"plan-never", never_seen, write_plan},
    {"plan-roof-json", roof_and_mount, write_plan_json},
    {"session-busy", busy, write_session},
    {"session-busy-json", busy, write_session_json},
    {"calendar-dusk", at_dusk, write_calendar},
    {"now-rare", rare, write_now},
    {"now-rare-json", rare, write_now_json},
    {"now-alarm-json", alarm_rings, write_now_json},
    {"now-far-off-json", far_off, write_now_json},
    {"plan-rare", rare, write_plan},
    {"plan-alarm-json", alarm_rings, write_plan_json},
    {"plan-never-json", never_seen, write_plan_json},
    {"calendar-busy", busy, write_calendar},
    {"now-remote", remote_control, write_now},
    {"now-remote-json", remote_control, write_now_json},
    {"plan-remote", remote_control, write_plan},
};

/* To be freed. */
static char *page_of(void (*write)(FILE *out))
{
    char *text;
    FILE *out = page_open(&text);

    write(out);
    assert_int_equal(fclose(out), 0);
    page_keep(text);
    return text;
}

static void prints_are_as_blessed(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof prints / sizeof *prints; i++) {
        char *text;

        readings_none(&readings);
        prints[i].live();
        text = page_of(prints[i].write);
        hold_print(prints[i].name, text);
        free(text);
        demo_free(night);
    }
}

/* One that was looked at, and one of a table. */
static void write_pictures(FILE *out)
{
    static char carried[] = "5", column_names[] = "name";
    const struct seen seen = {
        .file = "a.jpg",
        .rig = 0,
        .state = SEEN_DISC,
        .light = {.lit = 150, .umbra = {90, 30, 20}},
        .limb = {.width_px = NAN},
    };
    struct picture picture = {.name = "a.jpg",
                              .time = moment.utc,
                              .is_utc = true,
                              .behind_s = NAN,
                              .rig = 0,
                              .shutter_s = NAN,
                              .iso = NAN,
                              .carried = carried,
                              .picked = "U2"};
    const struct pictures pictures = {
        .item = &picture, .count = 1, .columns = 1, .column_names = column_names};

    assert_int_equal(report_look_json(out, &night->setup, &seen), 0);
    assert_int_equal(report_pictures_json(out, night, &pictures), 0);
}

static void write_comparison(FILE *out)
{
    const struct compared same = {"a", night};

    assert_int_equal(report_comparison_json(out, &same, &same), 0);
}

/* Members that hardly any night has; the manual page is held to every print of these tests. */
static void what_is_rare_is_printed(void **state)
{
    static const struct {
        void (*write)(FILE *out);
        const char *members[16];
    } documents[] = {
        {write_now_json,
         {"lost_from", "lost_to", "clash", "bracket_fits", "mode", "error_m", "error_s", "done",
          "laptop_minus_gps_spread_s", "azimuth_doubt_arcmin", "altitude_doubt_arcmin"}},
        {write_plan_json, {"person", "lost", "twilight", "to_end"}},
        {write_comparison, {"l_by_eye"}},
        {write_pictures, {"umbra", "picked", "columns"}},
    };

    (void)state;
    readings_none(&readings);
    rare();
    for (size_t i = 0; i < sizeof documents / sizeof *documents; i++) {
        char *text = page_of(documents[i].write), key[64];

        for (int j = 0; documents[i].members[j]; j++) {
            (void)snprintf(key, sizeof key, "\"%s\":", documents[i].members[j]);
            if (!strstr(text, key))
                fail_msg("no member %s", key);
        }
        free(text);
    }
    demo_free(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(prints_are_as_blessed),
        cmocka_unit_test(what_is_rare_is_printed),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
