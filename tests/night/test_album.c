/* What pictures tell as they land: three rigs in the night of 2028-12-31. The rules' numbers (three
 * intervals, 20 s, two thirds of a stop) are ours: common practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <moonstand/album_words.h>
#include <moonstand/job_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/seen.h>
#include <moonstand/series.h>
#include <moonstand/subject.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>

enum { WIDE, LONG, SCOPE };
#define INTERVAL_S 10.0

static struct readings readings;
static struct moment moment;

static int open_night(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    (void)snprintf(setup.rig[LONG].pictures, RIG_PICTURES, "/card");
    setup.rig[LONG].interval_s = INTERVAL_S;
    setup.rig[LONG].card_gb = 64;
    setup.rig[LONG].frame_mb = 30;
    setup.rig[LONG].target = TARGET_LIT;
    readings_none(&readings);
    readings.eye = EYE_WATCHES;
    return ridge_open(&setup, &zone, false);
}

static void see(double utc)
{
    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
}

static void apply(struct act act)
{
    struct fault fault = {""};

    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* A picture of the long rig as it is asked for, brighter by so much. */
static struct seen picture(double utc, double brighter)
{
    const struct exposure *asked = &moment.rig[LONG].exposure;
    struct seen seen = {.landed_utc = utc, .state = SEEN_NOT_LOOKED, .rig = LONG};

    seen.metadata = (struct metadata){
        .taken = utc,
        .shutter_s = shutter_seconds(asked->shutter) * exp2(brighter),
        .iso = iso_label(asked->iso),
        .f_number = asked->f_number,
    };
    return seen;
}

static void land(double utc, double brighter)
{
    struct seen seen;
    struct shot shot;

    see(utc);
    seen = picture(utc, brighter);
    shot_make(night, &moment, LONG, &seen, utc, &shot);
    album_add(&readings.album[LONG], &shot);
    readings.album[LONG].frames++;
    readings.album[LONG].bytes += 4e7;
}

static const char *words_now(void)
{
    static char out[ALBUM_WORDS];

    (void)album_words(&moment, LONG, 0, out);
    return out;
}

/* What large letters say of the most pressing job. */
static const char *label_now(void)
{
    static struct hands_words words;

    hands_say(&(struct subject){night, &moment, reader_local(night)}, &words);
    return words.label;
}

static void test_frames_are_told(void **state)
{
    (void)state;
    see(at(CONTACT_U1, 0));
    assert_string_equal(words_now(), "no picture yet");
    for (int i = 0; i < 6; i++)
        land(at(CONTACT_U1, 10 * i), 0);
    see(at(CONTACT_U1, 58));
    assert_string_equal(words_now(), "6 seen, last 8 s ago");
    /* A rig that names no folder has nothing to tell. */
    assert_false(moment.album[WIDE].watched);
}

static void test_stopped_after_three_intervals(void **state)
{
    double last = at(CONTACT_U1, 50), limit = 3 * INTERVAL_S + 20;

    (void)state;
    for (int i = 0; i < 6; i++)
        land(at(CONTACT_U1, 10 * i), 0);
    limit += readings.album[LONG].shot[0].shutter_s;
    see(last + limit - 1);
    assert_false(moment.album[LONG].stopped);
    see(last + limit + 1);
    assert_true(moment.album[LONG].stopped);
    assert_near(moment.album[LONG].since_utc, last, 0.001);
    see(last + 100);
    assert_string_equal(words_now(), "NO PICTURE FOR 1:40");
    assert_non_null(hands_job(&moment.hands, JOB_STOPPED, LONG));
    assert_string_equal(label_now(), "CAMERA 2 LONG");
    /* Cloud that was told is a reason to stop. */
    apply((struct act){.utc = last + 101, .kind = ACT_CLOUD, .rig = -1, .value = {1}});
    see(last + 102);
    assert_false(moment.album[LONG].stopped);
    apply((struct act){.utc = last + 103, .kind = ACT_CLOUD, .rig = -1, .value = {0}});
    see(last + 104);
    assert_true(moment.album[LONG].stopped);
    /* It goes on, and nothing is said any more. */
    land(last + 110, 0);
    see(last + 111);
    assert_false(moment.album[LONG].stopped);
    assert_null(hands_job(&moment.hands, JOB_STOPPED, LONG));
}

static void test_frames_by_hand_do_not_stop(void **state)
{
    (void)state;
    /* Fewer than five. */
    for (int i = 0; i < 4; i++)
        land(at(CONTACT_U1, 10 * i), 0);
    see(at(CONTACT_U1, 600));
    assert_false(moment.album[LONG].stopped);
    /* Every two minutes by hand, whatever the setup's interval: three of those may pass. */
    for (int i = 1; i < 8; i++)
        land(at(CONTACT_U1, 30 + 120 * i), 0);
    see(at(CONTACT_U1, 30 + 120 * 7 + 300));
    assert_false(moment.album[LONG].stopped);
    see(at(CONTACT_U1, 30 + 120 * 7 + 400));
    assert_true(moment.album[LONG].stopped);
    /* Three gaps between frames are enough to know it, and two frames of one moment are none. */
    readings.album[LONG].count = 0;
    for (int i = 0; i < 5; i++)
        land(at(CONTACT_U1, 2000 + 120 * (i > 0 ? i - 1 : 0) + (i > 0)), 0);
    see(at(CONTACT_U1, 2361 + 300));
    assert_false(moment.album[LONG].stopped);
}

static void test_only_while_it_should_shoot(void **state)
{
    (void)state;
    for (int i = 0; i < 6; i++)
        land(at(CONTACT_P1, -3600 + 10 * i), 0);
    see(at(CONTACT_P1, -1800));
    assert_false(moment.album[LONG].stopped);
    /* From P1 on it should shoot: the silence counts from there. */
    see(at(CONTACT_P1, 40));
    assert_false(moment.album[LONG].stopped);
    see(at(CONTACT_P1, 90));
    assert_true(moment.album[LONG].stopped);
    assert_near(moment.album[LONG].since_utc, at(CONTACT_P1, 0), 1);
    see(at(CONTACT_P4, 60));
    assert_false(moment.album[LONG].stopped);
}

static void test_setting_against_what_is_asked(void **state)
{
    /* The round's setting counts as well, which is up to two thirds of a stop away. */
    static const double off[] = {-3, -1.3, 1.3, 4};
    static const char *const words[] = {"3 stops too dark", "too dark", "too bright", "stops too bright"};

    (void)state;
    for (int i = 0; i < 4; i++) {
        readings.album[LONG].count = 0;
        land(at(CONTACT_P1, 600), off[i]);
        see(at(CONTACT_P1, 601));
        assert_true(moment.album[LONG].off_stops == 0); /* one alone may be a test frame */
        land(at(CONTACT_P1, 610), off[i]);
        see(at(CONTACT_P1, 611));
        assert_near(moment.album[LONG].off_stops, off[i], 0.7);
        if (!strstr(words_now(), words[i]) || strncmp(words_now(), "camera: 1/", 10) != 0)
            fail_msg("'%s', wanted %s", words_now(), words[i]);
        assert_non_null(hands_job(&moment.hands, JOB_WRONG, LONG));
        assert_string_equal(label_now(), "SET 2 LONG");
    }
    /* Half a stop is what hands may be off; to both sides is a test. */
    for (int i = 0; i < 2; i++)
        land(at(CONTACT_P1, 620 + 10 * i), 0.5);
    see(at(CONTACT_P1, 631));
    assert_true(moment.album[LONG].off_stops == 0);
    land(at(CONTACT_P1, 640), -2);
    land(at(CONTACT_P1, 650), 2);
    see(at(CONTACT_P1, 651));
    assert_true(moment.album[LONG].off_stops == 0);
}

static void test_hands_follow_a_round(void **state)
{
    double round_utc = NAN;
    const struct exposure *before, *after;
    struct seen seen;
    struct shot shot;

    (void)state;
    see(at(CONTACT_U1, 0));
    /* The last round of that rig before U2 with some peace after it. */
    for (int i = 0; night->rounds.round[i].utc < at(CONTACT_U2, -300); i++)
        if (night->rounds.round[i].touched[LONG])
            round_utc = night->rounds.round[i].utc;
    assert_true(isfinite(round_utc));
    see(round_utc + 60);
    before = rounds_now(&night->rounds, LONG, round_utc - 1);
    after = rounds_now(&night->rounds, LONG, round_utc);
    assert_non_null(before);
    assert_non_null(after);
    /* A minute after a round the setting before it still counts as what was asked for. */
    seen = picture(round_utc + 60, 0);
    seen.metadata.shutter_s = shutter_seconds(before->shutter);
    seen.metadata.iso = iso_label(before->iso);
    shot_make(night, &moment, LONG, &seen, round_utc + 60, &shot);
    assert_true(fabs(shot.off_stops) < 0.1);
    seen.metadata.shutter_s = shutter_seconds(after->shutter);
    seen.metadata.iso = iso_label(after->iso);
    shot_make(night, &moment, LONG, &seen, round_utc + 60, &shot);
    assert_true(fabs(shot.off_stops) < 0.1);
}

static void test_any_frame_of_a_bracket(void **state)
{
    const struct exposure *asked;
    struct seen seen;
    struct shot shot;

    (void)state;
    apply((struct act){.utc = at(CONTACT_U1, 0), .kind = ACT_TARGET, .rig = LONG,
                       .value = {TARGET_BRACKET}});
    see(at(CONTACT_U1, 1800));
    asked = &moment.rig[LONG].exposure;
    assert_true(asked->bracket_frames > 2);
    for (int i = 0; i < asked->bracket_frames; i++) {
        double first = asked->bracket_shown == BRACKET_MIDDLE ? -(asked->bracket_frames - 1) / 2 : 0;

        seen = picture(moment.utc, (first + i) * asked->bracket_step_stops);
        shot_make(night, &moment, LONG, &seen, moment.utc, &shot);
        assert_true(fabs(shot.off_stops) < 0.1);
    }
    seen = picture(moment.utc, 8 * asked->bracket_step_stops);
    shot_make(night, &moment, LONG, &seen, moment.utc, &shot);
    assert_true(shot.off_stops > 1);
}

/* A camera on local time so far ahead of UTC, and 41 s slow; each picture lands 1.5 s late, one of them
 * half a minute. */
static void check_camera_clock(double zone_s)
{
    readings.album[LONG] = (struct album){.frames = 0};
    for (int i = 0; i < 7; i++) {
        struct seen seen;
        struct shot shot;
        double utc = at(CONTACT_U1, 10 * i);

        see(utc);
        seen = picture(utc, 0);
        seen.metadata.taken = utc + zone_s - 41;
        seen.landed_utc = utc + (i == 3 ? 30 : 1.5);
        shot_make(night, &moment, LONG, &seen, utc, &shot);
        album_add(&readings.album[LONG], &shot);
        readings.album[LONG].frames++;
    }
    see(at(CONTACT_U1, 62));
    assert_near(moment.album[LONG].behind_s, 42.5 - zone_s, 0.01);
    assert_near(moment.album[LONG].clock_error_s, 42.5, 0.01);
    if (!strstr(words_now(), "clock 42 s slow"))
        fail_msg("%s", words_now());
}

/* Zones are whole quarters of an hour: 5:45 is that of Nepal. */
static void test_camera_clock(void **state)
{
    static const double zones_h[] = {2, 0, -3.5, 5.75, 12.75};

    (void)state;
    for (size_t i = 0; i < sizeof zones_h / sizeof *zones_h; i++)
        check_camera_clock(3600 * zones_h[i]);
}

/* How many of the acts decided at an instant are of pictures; all of them are applied. */
static int told_of_pictures(double utc, struct act acts[20])
{
    int count, told = 0;

    see(utc);
    count = night_decide(night, &moment, acts, 20);
    for (int i = 0; i < count; i++) {
        told += acts[i].kind >= ACT_PICTURES && acts[i].kind <= ACT_PICTURE_CLOCK;
        apply(acts[i]);
    }
    return told;
}

static void test_what_is_written_down(void **state)
{
    struct act acts[20];
    int count, pictures = 0, clocks = 0;

    (void)state;
    for (int i = 0; i < 6; i++)
        land(at(CONTACT_U1, 10 * i), 0);
    see(at(CONTACT_U1, 51));
    count = night_decide(night, &moment, acts, 20);
    for (int i = 0; i < count; i++) {
        if (acts[i].kind == ACT_PICTURES) {
            assert_int_equal(acts[i].rig, LONG);
            assert_near(acts[i].value[0], 6, 0);
            assert_near(acts[i].value[1], 24e7, 0);
            pictures++;
        }
        clocks += acts[i].kind == ACT_PICTURE_CLOCK;
        apply(acts[i]);
    }
    assert_int_equal(pictures, 1);
    assert_int_equal(clocks, 1);
    /* Once a minute at most, and a clock only if it moves. */
    land(at(CONTACT_U1, 60), 0);
    assert_int_equal(told_of_pictures(at(CONTACT_U1, 61), acts), 0);
    land(at(CONTACT_U1, 110), 0);
    assert_int_equal(told_of_pictures(at(CONTACT_U1, 112), acts), 1);
    assert_near(night->rig[LONG].pictures.frames, 8, 0);
    /* A silence is written down once. */
    assert_int_equal(told_of_pictures(at(CONTACT_U1, 200), acts), 1);
    assert_near(night->rig[LONG].stopped_utc, at(CONTACT_U1, 110), 0.001);
    assert_int_equal(told_of_pictures(at(CONTACT_U1, 300), acts), 0);
    /* After a start anew, before the first picture, the silence is still known. */
    readings.album[LONG] = (struct album){.frames = 8};
    see(at(CONTACT_U1, 301));
    assert_true(moment.album[LONG].stopped);
    assert_near(moment.album[LONG].last_utc, at(CONTACT_U1, 110), 0.001);
    /* Where the clock is set, all of it stays as long ago as it was. */
    double last = night->rig[LONG].pictures.last_utc, told = night->rig[LONG].counted_utc;
    double behind = night->rig[LONG].picture_behind_s;
    apply((struct act){.utc = moment.utc + 1, .kind = ACT_GAP, .rig = -1,
                       .value = {moment.utc, moment.utc + 1, 100}});
    assert_near(night->rig[LONG].stopped_utc, at(CONTACT_U1, 210), 0.001);
    assert_near(night->rig[LONG].pictures.last_utc, last + 100, 1e-6);
    assert_near(night->rig[LONG].counted_utc, told + 100, 1e-6);
    assert_near(night->rig[LONG].picture_behind_s, behind + 100, 1e-6);
}

static void count_pictures(double utc, double frames, double bytes, double raw)
{
    apply((struct act){.utc = utc, .kind = ACT_PICTURES, .rig = LONG,
                       .value = {frames, bytes, raw, utc}});
}

/* A card of 64 GB: what was counted since it was put in, by the bytes of the raw files. */
static void test_the_card_follows(void **state)
{
    struct card_budget budget;
    double utc = at(CONTACT_U1, 0), free;

    (void)state;
    see(utc);
    count_pictures(utc, 100, 5e9, 100); /* 50 MB each, not 30 */
    assert_true(rig_card_make(night, LONG, utc, NAN, &budget));
    assert_near(budget.frames_fit, floor((64e9 - 5e9) / 50e6), 1);
    /* JPEG alone: the raw files on the card are as large as the setup has them. */
    count_pictures(utc + 60, 100, 1e9, 0);
    assert_true(rig_card_make(night, LONG, utc, NAN, &budget));
    assert_near(budget.frames_fit, floor((64e9 - 100 * 30e6) / 30e6), 1);
    /* Another card is empty. */
    apply((struct act){.utc = utc + 61, .kind = ACT_CARD, .rig = LONG});
    assert_true(rig_card_make(night, LONG, utc, NAN, &budget));
    free = 64e9;
    assert_near(budget.frames_fit, floor(free / 30e6), 1);
    count_pictures(utc + 120, 110, 1.5e9, 10);
    assert_true(rig_card_make(night, LONG, utc, NAN, &budget));
    assert_near(budget.frames_fit, floor((free - 0.5e9) / 50e6), 1);
}

static void test_trouble_with_the_watching(void **state)
{
    char words[ALBUM_WORDS];

    (void)state;
    for (int i = 0; i < 6; i++)
        land(at(CONTACT_U1, 10 * i), 0);
    readings.album[LONG].folder_gone = true;
    see(at(CONTACT_U1, 51));
    assert_int_equal(album_words(&moment, LONG, 0, words), ALBUM_TROUBLE);
    assert_string_equal(words, "folder of pictures is gone");
    readings.eye = EYE_SILENT;
    see(at(CONTACT_U1, 52));
    assert_int_equal(album_words(&moment, LONG, 0, words), ALBUM_TROUBLE);
    readings.eye = EYE_ENDED;
    see(at(CONTACT_U1, 53));
    assert_int_equal(album_words(&moment, LONG, 0, words), ALBUM_TROUBLE);
    assert_non_null(strstr(words, "press P"));
    readings.eye = EYE_OFF;
    see(at(CONTACT_U1, 300));
    assert_int_equal(album_words(&moment, LONG, 0, words), ALBUM_NONE);
    assert_false(moment.album[LONG].stopped);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, open_night, ridge_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_frames_are_told),
        TEST(test_stopped_after_three_intervals),
        TEST(test_frames_by_hand_do_not_stop),
        TEST(test_only_while_it_should_shoot),
        TEST(test_setting_against_what_is_asked),
        TEST(test_hands_follow_a_round),
        TEST(test_any_frame_of_a_bracket),
        TEST(test_camera_clock),
        TEST(test_what_is_written_down),
        TEST(test_the_card_follows),
        TEST(test_trouble_with_the_watching),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
