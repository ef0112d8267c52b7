/* What stands around in words, state by state: the air, receiver, clock and laptop, the pictures of a rig,
 * and what helps an exposure. The wording is that of the manual page; how short it gets, the screen's. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <math.h>
#include <moonstand/aim_words.h>
#include <moonstand/album.h>
#include <moonstand/album_words.h>
#include <moonstand/around_words.h>
#include <moonstand/moment.h>
#include <moonstand/paper_words.h>
#include <moonstand/round_words.h>
#include <moonstand/setting_words.h>
#include <moonstand/sky_words.h>
#include <moonstand/test_print.h>
#include <stdio.h>
#include <string.h>

static struct moment moment;
static struct subject about;

static int prepare(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0 || ridge_open(&setup, &zone, false) != 0)
        return -1;
    about = (struct subject){night, &moment, reader_utc()};
    return 0;
}

/* 20:00 UTC, with nothing known. */
static void fresh(void)
{
    memset(&moment, 0, sizeof moment);
    moment.utc = floor(night->contact_utc[CONTACT_U2] / 86400) * 86400 + 20 * 3600.0;
    readings_none(&moment.readings);
    moment.air.margin_c = moment.air_trend.gone_utc = moment.air_trend.margin_c_per_h = NAN;
    moment.glass_quiet_utc = moment.laptop_empty_utc = NAN;
    for (int i = 0; i < RIGS; i++)
        moment.album[i] = (struct album_moment){.watched = true,
                                                .last_utc = NAN,
                                                .since_utc = NAN,
                                                .behind_s = NAN,
                                                .clock_error_s = NAN,
                                                .limb_px = NAN,
                                                .put_off_utc = NAN,
                                                .umbra_stops = NAN};
}

static void expect(sentence *words, int brevity, const char *wanted)
{
    char text[SENTENCE];

    assert_string_equal(words(&about, 0, brevity, text), wanted);
}

static void the_air(void **state)
{
    (void)state;
    fresh();
    expect(air_source_words, 0, "");
    expect(air_trend_words, 0, "");
    moment.air.margin_c = 1;
    moment.air_used.age_s = NAN;
    moment.air_used.source = AIR_READ;
    expect(air_source_words, 0, "read at an unknown time");
    moment.air_used.source = AIR_FORECAST;
    expect(air_source_words, 0, "forecast made at an unknown time");
    moment.air_used.age_s = 600;
    expect(air_source_words, 0, "forecast made 10 min ago");
    moment.air_used.old = true;
    expect(air_source_words, 0, "forecast made 10 min ago: old");
    moment.air_trend.margin_c_per_h = -0.5;
    expect(air_trend_words, 0, "dew margin -0.5 C an hour");
    about.reader.units = UNITS_IMPERIAL;
    expect(air_trend_words, 0, "dew margin -0.9 F an hour");
    about.reader.units = UNITS_METRIC;
    moment.air_trend.gone_utc = moment.utc + 600;
    expect(air_trend_words, 0, "dew from 20:10:00");
}

static void receiver_clock_and_laptop(void **state)
{
    struct readings *readings = &moment.readings;

    (void)state;
    fresh();
    for (int i = GPS_OFF; i <= GPS_NO_FIX; i++) {
        readings->gps.state = (enum gps_state)i;
        expect(gps_words, 0, gps_state_name((enum gps_state)i));
    }
    readings->gps.state = GPS_FIX;
    readings->gps.satellites = 0;
    readings->gps.latitude_deg = NAN;
    expect(gps_words, 0, "fix, 0 satellites");
    readings->gps.state = GPS_STALE;
    readings->gps.age_s = 90;
    expect(gps_words, 0, "fix is 1 min old");
    readings->gps.clock_offset_s = NAN;
    expect(clock_state_words, 0, "not checked");
    readings->clock_synchronised = 0;
    expect(clock_state_words, 0, "NOT synchronised");
    readings->clock_synchronised = 1;
    expect(clock_state_words, 0, "synchronised");
    readings->gps.clock_offset_s = -0.125;
    expect(clock_state_words, 0, "-0.12 s against GPS");
    expect(laptop_words, 0, "battery unknown");
    readings->awake = AWAKE_HELD;
    expect(laptop_words, 0, "kept awake");
    expect(laptop_words, 4, "");
    readings->battery_percent = 64;
    expect(laptop_words, 0, "64 %, on power, kept awake");
    expect(laptop_words, 2, "64 %, on power");
    expect(laptop_words, 3, "kept awake");
    readings->battery_discharging = true;
    expect(laptop_words, 0, "64 %, kept awake");
    moment.laptop_empty_utc = moment.utc + 3600;
    expect(laptop_words, 0, "64 %, empty 21:00:00, kept awake");
    expect(laptop_words, 1, "64 %, kept awake");
    moment.laptop_short = true;
    readings->awake = AWAKE_NOT;
    expect(laptop_words, 0, "64 %, empty 21:00:00: BEFORE P4, may sleep");
    expect(laptop_words, 2, "may sleep");
}

static void expect_album(enum album_news news, int brevity, const char *wanted)
{
    char text[ALBUM_WORDS];

    assert_int_equal(album_words(&moment, 0, brevity, text), news);
    assert_string_equal(text, wanted);
}

/* What is worst stands alone; a trial is called one. */
static void pictures_of_a_rig(void **state)
{
    static const struct {
        enum look_news looks;
        const char *words;
    } looks[] = {
        {LOOKS_NO_MOON, "trial 40 s ago: no Moon in it"},
        {LOOKS_CLOUD, "trial 40 s ago: fades: cloud?"},
        {LOOKS_DEW, "trial 40 s ago: fades: dew?"},
        {LOOKS_FADE, "trial 40 s ago: fades: cloud or dew?"},
        {LOOKS_SMEARED, "trial 40 s ago: limb 3.5 px, was 2.0: smeared or shaken?"},
        {LOOKS_SOFT, "trial 40 s ago: limb 3.5 px, was 2.0: focus?"},
    };
    struct album *album = &moment.readings.album[0];
    struct album_moment *seen = &moment.album[0];

    (void)state;
    fresh();
    seen->watched = false;
    expect_album(ALBUM_NONE, 0, "");
    seen->watched = true;
    seen->looked = true;
    album->look_count = 1;
    album->best_limb_px = 2;
    seen->limb_px = 3.5;
    album->look[0] =
        (struct look_at_moon){.utc = moment.utc - 40, .place = {NAN, NAN}, .clipped = NAN};
    for (size_t i = 0; i < sizeof looks / sizeof *looks; i++) {
        seen->looks = looks[i].looks;
        expect_album(ALBUM_WRONG, 0, looks[i].words);
        expect_album(ALBUM_WRONG, 1, looks[i].words);
    }
    seen->put_off_utc = moment.utc;
    expect_album(ALBUM_WRONG, 0, "trial 40 s ago: re-aim alarm put off: Moon seen elsewhere");
    expect_album(ALBUM_WRONG, 2, "trial 40 s ago: re-aim alarm put off");
    album->shot[0] = (struct shot){.shutter_s = 1.0 / 60, .iso = 400};
    seen->off_stops = -2;
    expect_album(ALBUM_WRONG, 0, "camera: 1/60 s, ISO 400: 2 stops too dark");
    expect_album(ALBUM_WRONG, 1, "1/60 s, ISO 400: 2 stops too dark");
    seen->stopped = true;
    seen->since_utc = moment.utc - 90;
    expect_album(ALBUM_STOPPED, 0, "NO PICTURE FOR 1:30");
    album->folder_gone = true;
    expect_album(ALBUM_TROUBLE, 0, "folder of pictures is gone");
    moment.readings.eye = EYE_SILENT;
    expect_album(ALBUM_TROUBLE, 0, "the watcher hangs: press P");
    moment.readings.eye = EYE_ENDED;
    expect_album(ALBUM_TROUBLE, 0, "pictures not watched: press P");
}

static void expect_help(struct rig rig, struct exposure exposure, const char *wanted)
{
    char text[HELP_WORDS];
    const char *help = exposure_help(&rig, &exposure, text);

    if (!wanted)
        assert_null(help);
    else
        assert_string_equal(help, wanted);
}

/* The cheapest thing first: what is in the way is taken out before a faster lens is bought. */
static void what_helps_an_exposure(void **state)
{
    struct rig rig;
    struct exposure exposure = {.known = true};

    (void)state;
    rig_default(&rig);
    rig.support = SUPPORT_LUNAR;
    rig.extender = 1;
    expect_help(rig, exposure, NULL);
    exposure.vibration_risk = true;
    expect_help(rig, exposure,
                "mirror up and wait, wind off the lens; fire that much ahead of a contact");
    exposure.deficit_stops = -0.1;
    expect_help(rig, exposure, "too bright: stop down, or put a filter in");
    exposure.deficit_stops = 0.1;
    exposure.sky_stops = 0.1;
    expect_help(rig, exposure, NULL);
    exposure.sky_stops = -3;
    exposure.limited_by = LIMITED_BLUR;
    expect_help(rig, exposure,
                "a remote that sets every frame reaches it; or expose for the umbra alone");
    exposure.limited_by = LIMITED_ISO;
    expect_help(rig, exposure, "a faster lens, or a longer shutter with a guider");
    rig.support = SUPPORT_FIXED;
    expect_help(rig, exposure, "a mount that follows, a faster lens, or 2 px of blur");
    rig.extender = 1.4;
    expect_help(rig, exposure, "take the extender off");
    rig.filter_stops = 3;
    expect_help(rig, exposure, "take the filter out");
    /* 5 stops at 2 a step are three frames; a camera adds one at either end. */
    exposure.bracket_missing_stops = 5;
    exposure.bracket_step_stops = 2;
    expect_help(rig, exposure, "bracket 5.0 stops too narrow: 4 more frames, or wider steps");
    rig.remote_exposure = true;
    expect_help(rig, exposure, "bracket 5.0 stops too narrow: 3 more frames, or wider steps");
    exposure.bracket_missing_stops = 2;
    expect_help(rig, exposure, "bracket 2.0 stops too narrow: 1 more frame, or wider steps");
    exposure.known = false;
    expect_help(rig, exposure, NULL);
}

static void what_a_test_print_loses(void **state)
{
    char out[SETTING_WORDS];

    (void)state;
    assert_string_equal(print_words(&(struct test_print){.clipped = 0.013, .lost = 0.468}, out),
                        "1 % clipped, 47 % too dark");
    assert_string_equal(print_words(&(struct test_print){.clipped = NAN, .lost = NAN}, out), "");
}

/* The other orientation is offered only if the Moon then stays more than a third longer. */
static void when_turning_the_camera_is_offered(void **state)
{
    static const struct {
        double turned_s;
        bool pays;
    } cases[] = {{900, false}, {1200, false}, {1201, true}, {NAN, false}};
    char out[SENTENCE];

    (void)state;
    fresh();
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        enum { LONG = 1 };
        struct rig_moment *rig = &moment.rig[LONG];

        rig->aim_state = AIM_FREE;
        rig->aim.drift_px_per_s = 5;
        moment.moon.up = true;
        rig->aim.place = (struct frame_point){-0.3, 0};
        rig->aim.placed_stays_s = 900;
        rig->turned_stays_s = cases[i].turned_s;
        assert_int_equal(turning_pays(rig), cases[i].pays);
        assert_int_equal(strstr(look_words(&about, LONG, 0, out), "portrait 20:01 min") != NULL,
                         cases[i].pays);
    }
}

/* What is counted is said in numbers that are none, one or many. */
static void what_a_plan_counts(void **state)
{
    const struct rounds kept = night->rounds;
    struct agenda agenda = {.count = 62};
    char out[ROUND_WORDS], re_aims[SENTENCE];

    (void)state;
    night->rounds = (struct rounds){.count = 0, .settings = 0, .worst_stops = 0.4};
    assert_string_equal(rounds_words(night, &agenda, out),
                        "62 rounds; no setting changes: every camera stays within 0.4 stops");
    night->rounds = (struct rounds){.count = 38, .settings = 70, .worst_stops = 0.5};
    assert_string_equal(rounds_words(night, &agenda, out),
                        "62 rounds; at 38 of them 70 settings keep every camera within 0.5 stops");
    night->rounds = kept;
    assert_string_equal(re_aims_words(&(struct framing){.re_aims = 0}, re_aims), "no re-aim after that");
    assert_string_equal(re_aims_words(&(struct framing){.re_aims = 1}, re_aims), "at least 1 re-aim after that");
    assert_string_equal(re_aims_words(&(struct framing){.re_aims = 9, .early = 2}, re_aims),
                        "at least 9 re-aims after that, of which early because of a contact: 2");
}

/* A drop that would be written as nothing is none. */
static void light(void **state)
{
    (void)state;
    fresh();
    night_follow(night, moment.utc);
    moment.phase = PHASE_PENUMBRAL;
    moment.light.drop_mag = 0.04;
    expect(light_words, 0, "full brightness");
    moment.light.drop_mag = 0.06;
    expect(light_words, 0, "0.1 mag dimmer");
    moment.light.drop_mag = NAN;
    expect(light_words, 0, "full brightness");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_air),
        cmocka_unit_test(receiver_clock_and_laptop),
        cmocka_unit_test(pictures_of_a_rig),
        cmocka_unit_test(what_helps_an_exposure),
        cmocka_unit_test(what_a_test_print_loses),
        cmocka_unit_test(when_turning_the_camera_is_offered),
        cmocka_unit_test(what_a_plan_counts),
        cmocka_unit_test(light),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
