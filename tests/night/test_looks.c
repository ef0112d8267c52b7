/* What looks at the Moon tell, in the night of 2028-12-31: where it is against the aim, alarms, the
 * lens, the light. The rules' numbers (2 and 5 % of the frame's height, 1.5 times, 0.7 stop within ten
 * minutes) are ours: common practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"
#include "../../src/night/derive.h"

#include <moonstand/album_words.h>
#include <moonstand/job_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/record_words.h>
#include <moonstand/seen.h>
#include <moonstand/series.h>
#include <moonstand/test_print.h>
#include <moonstand/track.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>

enum { WIDE, LONG, SCOPE };

static struct readings readings;
static struct moment moment;

static int open_night(void **state)
{
    static struct setup setup;
    struct zone_table zone;

    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    for (int i = 0; i < 3; i++)
        (void)snprintf(setup.rig[i].pictures, RIG_PICTURES, "/card%d", i);
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

/* Where a camera that had the Moon at `place` at `since` has it now. */
static struct frame_point drift(int rig, double since, struct frame_point place, double utc)
{
    const struct rig *set_up = &night->rig[rig].rig;
    struct frame_point now = {NAN, NAN};
    struct pointing pointing;

    (void)pointing_for(set_up, track_direction(&night->track, since), place, &pointing);
    (void)frame_project(set_up, &pointing, track_direction(&night->track, utc), &now);
    return now;
}

/* A picture as it is asked for, that landed 1.5 s after it was taken. */
static struct seen picture(int rig, double utc)
{
    const struct exposure *asked = &moment.rig[rig].exposure;
    double shutter_s = shutter_seconds(asked->shutter);

    return (struct seen){
        .landed_utc = utc,
        .state = SEEN_DISC,
        .rig = rig,
        .metadata = {.taken = utc - shutter_s - 1.5,
                     .shutter_s = shutter_s,
                     .iso = iso_label(asked->iso),
                     .f_number = asked->f_number,
                     .orientation = 1,
                     .jpeg_width = 6000,
                     .jpeg_height = 4000},
        .light = {NAN, {NAN, NAN, NAN}, 0, 1},
        .limb = {NAN, NAN, NAN, NAN},
    };
}

/* It lands, and is looked at if it landed at once. */
static void land(int rig, double utc, struct seen seen)
{
    struct album *album = &readings.album[rig];
    struct look_at_moon look;
    struct shot shot;

    if (landed_at_once(album, &seen) && look_make(night, &moment, rig, &seen, utc, &look))
        album_look(album, &look);
    shot_make(night, &moment, rig, &seen, utc, &shot);
    album_add(album, &shot);
    album->frames++;
}

/* One with the Moon there. */
static void land_at(int rig, double utc, struct frame_point place)
{
    struct seen seen;

    see(utc);
    seen = picture(rig, utc);
    seen.place = place;
    land(rig, utc, seen);
    see(utc + 1);
}

/* The acts of pictures on an aim that are decided now; they are applied, and followed. */
static int decide(struct act *spotted)
{
    struct act acts[20];
    int count = night_decide(night, &moment, acts, 20), spots = 0;

    for (int i = 0; i < count; i++) {
        if (acts[i].kind == ACT_SPOTTED || acts[i].kind == ACT_PLACE) {
            *spotted = acts[i];
            spots++;
        }
        apply(acts[i]);
    }
    see(moment.utc);
    return spots;
}

static void aim(int rig, double utc, struct frame_point place)
{
    apply((struct act){.utc = utc, .kind = ACT_AIM, .rig = rig, .value = {place.x, place.y}});
    see(utc);
}

static const char *words_now(int rig)
{
    static char out[ALBUM_WORDS];

    (void)album_words(&moment, rig, 0, out);
    return out;
}

/* ---- the aim ---- */

static void test_two_pictures_aim_a_rig(void **state)
{
    const struct frame_point left = {-0.3, 0.05};
    double from = at(CONTACT_U1, 60);
    struct act act;

    (void)state;
    land_at(LONG, from - 30, left); /* nothing to hold its landing against */
    assert_int_equal(decide(&act), 0);
    land_at(LONG, from, left);
    assert_int_equal(decide(&act), 0); /* one alone */
    land_at(LONG, from + 30, drift(LONG, from, left, from + 30));
    assert_int_equal(moment.album[LONG].spot.kind, SPOT_MOVED);
    assert_int_equal(decide(&act), 1);
    assert_int_equal(act.kind, ACT_SPOTTED);
    assert_true(isnan(act.value[2]));
    assert_true(night->rig[LONG].aimed);
    assert_null(hands_job(&moment.hands, JOB_FIRST_AIM, LONG));
    /* True time to the margin: as of a rig that was aimed so by hand. */
    assert_near(night->rig[LONG].leaves_utc,
                aim_leaves(&night->rig[LONG].rig, &night->track, from, left, from, NULL), 0.5);
    /* Undone like any act, and not done again. */
    assert_int_equal(night_last_undoable(night)->kind, ACT_SPOTTED);
    apply((struct act){.utc = from + 32, .kind = ACT_UNDO, .rig = -1,
                       .ref = night_last_undoable(night)->seq});
    see(from + 33);
    assert_false(night->rig[LONG].aimed);
    assert_int_equal(decide(&act), 0);
    land_at(LONG, from + 60, drift(LONG, from, left, from + 60));
    assert_int_equal(decide(&act), 0);
    /* Until the rig is aimed by hand: somebody looks after it again. */
    aim(LONG, from + 70, (struct frame_point){0.3, 0});
    land_at(LONG, from + 90, drift(LONG, from, left, from + 90));
    land_at(LONG, from + 120, drift(LONG, from, left, from + 120));
    assert_int_equal(decide(&act), 1);
}

static void test_an_aim_is_confirmed_silently_and_corrected(void **state)
{
    const struct frame_point told = {-0.3, 0.05}, close = {-0.3 + 0.008 * 15.6 / 23.5, 0.05 + 0.006};
    double from = at(CONTACT_U1, 60), before;
    struct act act;

    (void)state;
    aim(LONG, from, told);
    before = night->rig[LONG].leaves_utc;
    land_at(LONG, from + 20, drift(LONG, from, told, from + 20));
    land_at(LONG, from + 50, drift(LONG, from, told, from + 50));
    assert_int_equal(moment.album[LONG].spot.kind, SPOT_FITS);
    assert_near(moment.album[LONG].spot.off, 0, 1e-6);
    assert_int_equal(decide(&act), 0);
    /* A hundredth of the height to the right: the place is corrected, and the time to the margin. */
    land_at(LONG, from + 80, drift(LONG, from, close, from + 80));
    assert_near(moment.album[LONG].spot.off, 0.01, 5e-4);
    assert_int_equal(decide(&act), 1);
    assert_int_equal(act.kind, ACT_PLACE);
    assert_near(night->rig[LONG].leaves_utc,
                aim_leaves(&night->rig[LONG].rig, &night->track, from, close, from, NULL), 0.5);
    assert_true(fabs(night->rig[LONG].leaves_utc - before) > 2);
    assert_int_equal(decide(&act), 0);
    /* What a key undoes is the aim, and its correction with it. */
    assert_int_equal(night_last_undoable(night)->kind, ACT_AIM);
    apply((struct act){.utc = from + 85, .kind = ACT_UNDO, .rig = -1,
                       .ref = night_last_undoable(night)->seq});
    see(from + 86);
    assert_false(night->rig[LONG].aimed);
}

/* As long after the end of its exposure as the one before, whatever the two shutters were. */
static void test_one_that_landed_at_once_is_known(void **state)
{
    const struct album album = {.count = 1, .shot[0] = {.shutter_s = 1, .behind_s = 7201 + 1.5}};
    struct seen seen = {.landed_utc = 20000, .metadata = {.taken = 20000 - 7200 - 1.5 - 30, .shutter_s = 30}};

    (void)state;
    assert_true(landed_at_once(&album, &seen));
    seen.metadata.shutter_s = 1;
    assert_false(landed_at_once(&album, &seen));
    assert_false(landed_at_once(&(struct album){.count = 0}, &seen));
}

static void test_a_lamp_and_old_pictures_aim_nothing(void **state)
{
    const struct frame_point told = {-0.3, 0.05}, lamp = {0.2, -0.2};
    double from = at(CONTACT_U1, 60);
    struct act act;
    struct seen seen;

    (void)state;
    aim(LONG, from, told);
    /* It does not move. */
    for (int i = 1; i < 6; i++)
        land_at(LONG, from + 30 * i, lamp);
    assert_int_equal(moment.album[LONG].spot.kind, SPOT_NONE);
    assert_int_equal(decide(&act), 0);
    /* A card is read in: pictures of the last hour land together. */
    for (int i = 0; i < 6; i++) {
        double utc = from + 200 + 0.2 * i;

        see(utc);
        seen = picture(LONG, utc);
        seen.metadata.taken = from - 3600 + 30 * i;
        seen.place = drift(LONG, from, lamp, from + 30 * i);
        land(LONG, utc, seen);
    }
    see(from + 202);
    assert_int_equal(decide(&act), 0);
    /* A camera that is held otherwise than the setup has it tells no place. */
    for (int i = 0; i < 3; i++) {
        double utc = from + 240 + 30 * i;

        see(utc);
        seen = picture(LONG, utc);
        seen.metadata.orientation = 6;
        seen.place = drift(LONG, from, lamp, utc);
        land(LONG, utc, seen);
    }
    see(from + 302);
    assert_true(readings.album[LONG].look[0].found);
    assert_int_equal(decide(&act), 0);
}

/* The reckoning would give an alarm within the minute: a new aim puts it off, and says so. */
static void test_no_alarm_is_put_off_without_a_word(void **state)
{
    const struct reader reader = reader_local(night);
    const struct frame_point told = {0.1, 0}, moved = {-0.25, 0.1};
    double from = at(CONTACT_U1, 60), due;
    struct act act;
    char words[ACT_TEXT];

    (void)state;
    aim(LONG, from, told);
    due = night->rig[LONG].due_utc;
    assert_true(due > from + 120);
    land_at(LONG, due - 90, drift(LONG, from, told, due - 90));
    land_at(LONG, due - 60, drift(LONG, from, told, due - 60));
    assert_int_equal(decide(&act), 0);
    land_at(LONG, due - 40, drift(LONG, due - 40, moved, due - 40));
    land_at(LONG, due - 10, drift(LONG, due - 40, moved, due - 10));
    assert_int_equal(decide(&act), 1);
    assert_near(act.value[2], due, 0.001);
    assert_true(night->rig[LONG].due_utc > due + 60);
    act_words(night, &act, &reader, words, sizeof words);
    if (!strstr(words, "long: aimed, by its pictures, Moon ") || !strstr(words, "; puts off the re-aim of "))
        fail_msg("%s", words);
    assert_near(moment.album[LONG].put_off_utc, due, 0.001);
    assert_string_equal(words_now(LONG), "trial 1 s ago: re-aim alarm put off: Moon seen elsewhere");
    see(due + 40);
    assert_near(moment.album[LONG].put_off_utc, due, 0.001);
    see(due + 60);
    assert_true(isnan(moment.album[LONG].put_off_utc));
    /* The key that undoes it brings the alarm back. */
    apply((struct act){.utc = due + 61, .kind = ACT_UNDO, .rig = -1,
                       .ref = night_last_undoable(night)->seq});
    see(due + 62);
    assert_int_equal(moment.rig[LONG].aim_state, AIM_DUE);
    assert_int_equal(moment.alarm_rig, LONG);
}

/* One place counts in a wide picture only near the aim, two if they moved as reckoned. */
static void test_wide_places(void **state)
{
    const struct frame_point told = {-0.2, 0.1}, near_it = {-0.2 + 0.04 * 24.0 / 36, 0.1},
                             far = {0.1, 0.1};
    double from = at(CONTACT_U1, 60);
    struct act act;

    (void)state;
    aim(WIDE, from, told);
    land_at(WIDE, from + 10, drift(WIDE, from, told, from + 10));
    land_at(WIDE, from + 40, drift(WIDE, from, near_it, from + 40));
    assert_int_equal(moment.album[WIDE].spot.kind, SPOT_FITS);
    land_at(WIDE, from + 70, drift(WIDE, from, far, from + 70));
    assert_int_equal(moment.album[WIDE].spot.kind, SPOT_NONE);
    /* A lamp there, then the Moon there. */
    land_at(WIDE, from + 130, readings.album[WIDE].look[0].place);
    assert_int_equal(moment.album[WIDE].spot.kind, SPOT_NONE);
    readings.album[WIDE].look_count = 0;
    land_at(WIDE, from + 160, drift(WIDE, from, far, from + 160));
    land_at(WIDE, from + 220, drift(WIDE, from, far, from + 220));
    assert_int_equal(moment.album[WIDE].spot.kind, SPOT_MOVED);
    assert_int_equal(decide(&act), 1);
    assert_near(night->rig[WIDE].aimed_at.x, drift(WIDE, from, far, from + 221).x, 1e-3);
}

/* ---- what the hands should know ---- */

static void land_blank(int rig, double utc)
{
    struct seen seen;

    see(utc);
    seen = picture(rig, utc);
    seen.state = SEEN_NO_DISC;
    land(rig, utc, seen);
    see(utc + 1);
}

static void test_three_without_a_moon(void **state)
{
    double from = at(CONTACT_U1, 60);
    struct hands_words words;

    (void)state;
    land_at(LONG, from, (struct frame_point){0, 0});
    land_blank(LONG, from + 30);
    land_blank(LONG, from + 60);
    assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
    land_blank(LONG, from + 90);
    assert_int_equal(moment.album[LONG].looks, LOOKS_NO_MOON);
    assert_string_equal(words_now(LONG), "trial 1 s ago: no Moon in it");
    assert_non_null(hands_job(&moment.hands, JOB_LOOK, LONG));
    hands_say(&(struct subject){night, &moment, reader_local(night)}, &words);
    assert_string_equal(words.label, "LOOK 2 LONG");
    /* Cloud that was told is a reason. */
    apply((struct act){.utc = from + 92, .kind = ACT_CLOUD, .rig = -1, .value = {1}});
    see(from + 93);
    assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
    apply((struct act){.utc = from + 94, .kind = ACT_CLOUD, .rig = -1, .value = {0}});
    land_at(LONG, from + 120, (struct frame_point){0.1, 0});
    assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
}

static void land_limb(double utc, double width_px, double least_px)
{
    struct seen seen;

    see(utc);
    seen = picture(LONG, utc);
    seen.limb = (struct limb){width_px, least_px, 2 * width_px - least_px, 20};
    seen.light.clipped = 0.04;
    land(LONG, utc, seen);
    see(utc + 1);
}

static void test_soft_and_smeared_limbs(void **state)
{
    double utc = at(CONTACT_P1, 600);

    (void)state;
    for (int i = 0; i < 6; i++)
        land_limb(utc += 30, 0.9, 0.8);
    if (strcmp(words_now(LONG), "6 seen, last 1 s ago; trial 1 s ago: lit part clipped 4 %") != 0)
        fail_msg("%s", words_now(LONG));
    /* Two soft ones are none yet: the median of five counts. */
    land_limb(utc += 30, 2.4, 2.2);
    land_limb(utc += 30, 2.4, 2.2);
    assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
    land_limb(utc += 30, 2.4, 2.2);
    assert_int_equal(moment.album[LONG].looks, LOOKS_SOFT);
    assert_string_equal(words_now(LONG), "trial 1 s ago: limb 2.4 px, was 0.9: focus?");
    /* Sharp along one axis: not the focus. */
    for (int i = 0; i < 3; i++)
        land_limb(utc += 30, 1.8, 0.9);
    assert_int_equal(moment.album[LONG].looks, LOOKS_SMEARED);
    assert_string_equal(words_now(LONG), "trial 1 s ago: limb 1.8 px, was 0.9: smeared or shaken?");
    /* A limb that cannot be measured tells nothing. */
    land_limb(utc += 30, NAN, NAN);
    assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
}

/* The age of the last look is told as long as there is room for it, and why there is none. */
static void test_words_get_shorter(void **state)
{
    static const char *const why[][2] = {
        {"HEIF", "HEIF: set the camera to JPEG"}, {"raw", "raw without a preview"}};
    char words[ALBUM_WORDS];
    double from = at(CONTACT_U1, 60);

    (void)state;
    see(from);
    readings.album[LONG].why_not = SEEN_HEIF;
    for (int i = 0; i < 2; i++) {
        struct seen seen = picture(LONG, from);

        seen.state = SEEN_NOT_LOOKED;
        land(LONG, from, seen);
        see(from + 8);
        (void)album_words(&moment, LONG, 1, words);
        if (!strstr(words, why[i][1]) || strncmp(words, i ? "2 seen; " : "1 seen; ", 8) != 0)
            fail_msg("%s", words);
        readings.album[LONG].why_not = SEEN_NO_JPEG;
    }
    readings.album[LONG].why_not = 0;
    land_at(LONG, from + 30, (struct frame_point){-0.3, -0.2});
    land_at(LONG, from + 60, (struct frame_point){-0.3, -0.2});
    see(from + 68);
    (void)album_words(&moment, LONG, 0, words);
    assert_string_equal(words, "4 seen, last 8 s ago; trial 8 s ago: Moon left, low");
    (void)album_words(&moment, LONG, 1, words);
    assert_string_equal(words, "4 seen; trial 8 s ago: Moon left, low");
    (void)album_words(&moment, LONG, 2, words);
    assert_string_equal(words, "4 seen, last 8 s ago");
    (void)album_words(&moment, LONG, 3, words);
    assert_string_equal(words, "4, 8 s");
}

/* ---- light ---- */

/* The tone of sRGB that is so many stops over mid-grey (0.18 of white; IEC 61966-2-1). */
static double tone_at(double stops)
{
    double v = 0.18 * exp2(stops);

    return 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * pow(v, 1 / 2.4) - 0.055);
}

/* What the maria and the camera's curve take of the umbra's median; see looks.c. */
#define UMBRA_LESS_STOPS 0.40

/* A picture as bright as reckoned, and so much brighter (+); grey, as the eye sees it. */
static void land_light(int rig, double utc, double lit_off, double umbra_off)
{
    struct print_ask ask;
    struct seen seen;

    see(utc);
    seen = picture(rig, utc);
    print_ask_make(night, &moment, rig, &ask);
    seen.light.lit = tone_at(print_stops(&ask, moment.light.lit) + lit_off);
    if (isfinite(moment.light.umbra))
        for (int c = 0; c < 3; c++)
            seen.light.umbra[c] =
                tone_at(print_stops(&ask, moment.light.umbra) - UMBRA_LESS_STOPS + umbra_off);
    land(rig, utc, seen);
    see(utc + 1);
}

static void test_fading_of_one_and_of_all(void **state)
{
    double utc = at(CONTACT_P1, -900);

    (void)state;
    /* Before P1 the Moon is full; from P1 on it is said. */
    for (int i = 0; i < 20; i++, utc += 30)
        for (int rig = LONG; rig <= SCOPE; rig++) {
            land_light(rig, utc, i == 17 ? -0.6 : 0.25 + 0.0025 * i, 0);
            assert_false(readings.album[rig].fades);
        }
    for (int i = 0; i < 12; i++, utc += 30) {
        land_light(LONG, utc, 0.3 - 0.1 * i, 0);
        land_light(SCOPE, utc, 0.3, 0);
        if (i < 8)
            assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
    }
    assert_int_equal(moment.album[LONG].looks, LOOKS_DEW);
    /* A dark look between bright ones is none of them. */
    assert_near(readings.album[LONG].faded_from, 0.3, 0.02);
    assert_int_equal(moment.album[SCOPE].looks, LOOKS_QUIET);
    if (!strstr(words_now(LONG), "fades: dew?"))
        fail_msg("%s", words_now(LONG));
    /* The other one, too. */
    for (int i = 0; i < 3; i++, utc += 30) {
        land_light(LONG, utc, -0.8, 0);
        land_light(SCOPE, utc, -0.8, 0);
    }
    assert_int_equal(moment.album[LONG].looks, LOOKS_CLOUD);
    assert_int_equal(moment.album[SCOPE].looks, LOOKS_CLOUD);
    /* It lasts as long as they are dark, and ends when they come back. */
    for (int i = 0; i < 24; i++, utc += 30)
        for (int rig = LONG; rig <= SCOPE; rig++)
            land_light(rig, utc, -0.8, 0);
    assert_int_equal(moment.album[LONG].looks, LOOKS_CLOUD);
    land_light(LONG, utc, 0.2, 0);
    assert_int_equal(moment.album[LONG].looks, LOOKS_QUIET);
    assert_int_equal(moment.album[SCOPE].looks, LOOKS_DEW);
    /* With one camera alone nobody can tell which. */
    readings.album[LONG].look_count = 0;
    see(utc + 2);
    assert_int_equal(moment.album[SCOPE].looks, LOOKS_FADE);
}

static void test_the_umbra_is_proposed_and_never_taken_by_itself(void **state)
{
    double utc = at(CONTACT_P1, -200), l_before;
    char words[ALBUM_WORDS];
    struct act act;
    int undoable;

    (void)state;
    /* This camera makes everything 0.4 stop brighter: the full Moon tells. */
    for (int i = 0; i < 4; i++)
        land_light(LONG, utc + 30 * i, 0.4, 0);
    apply((struct act){.utc = utc, .kind = ACT_TARGET, .rig = LONG, .value = {TARGET_UMBRA}});
    utc = at(CONTACT_GREATEST, -600);
    l_before = (see(utc), night->danjon_state);
    undoable = (int)night->act_count;
    for (int i = 0; i < 3; i++)
        land_light(LONG, utc + 30 * i, NAN, 0.4 - 0.3);
    assert_true(isnan(moment.album[LONG].umbra_stops)); /* 0.3 stop is none */
    utc += 700; /* what falls faster fades */
    for (int i = 0; i < 3; i++) {
        assert_true(isnan(moment.album[LONG].umbra_stops));
        land_light(LONG, utc + 30 * i, NAN, 0.4 - 1.2);
    }
    assert_near(moment.album[LONG].umbra_stops, -1.2, 0.05);
    if (!strstr(words_now(LONG), "trial 1 s ago: umbra 1.2 darker than expected: + takes it"))
        fail_msg("%s", words_now(LONG));
    /* With little room it still names the key. */
    (void)album_words(&moment, LONG, ALBUM_BREVITIES - 1, words);
    assert_string_equal(words, "umbra 1.2 darker: press +");
    assert_int_equal(decide(&act), 0);
    assert_near(night->danjon_state, l_before, 0);
    for (size_t i = (size_t)undoable; i < night->act_count; i++)
        assert_true(night->acts[i].kind != ACT_CORRECTION && night->acts[i].kind != ACT_DANJON);
    /* Taken: L follows, and nothing more is proposed, neither by old looks nor by new ones. */
    apply((struct act){.utc = moment.utc, .kind = ACT_CORRECTION, .rig = LONG,
                       .value = {TARGET_UMBRA,
                                 night_correction(night, &moment, LONG, TARGET_UMBRA) -
                                     moment.album[LONG].umbra_stops}});
    see(moment.utc + 1);
    assert_true(night->danjon_state < l_before - 0.3);
    assert_true(isnan(moment.album[LONG].umbra_stops));
    utc += 100;
    for (int i = 0; i < 3; i++)
        land_light(LONG, utc + 30 * i, NAN, 0.4);
    assert_true(isnan(moment.album[LONG].umbra_stops));
    /* Undone by one key. */
    apply((struct act){.utc = moment.utc, .kind = ACT_UNDO, .rig = -1,
                       .ref = night_last_undoable(night)->seq});
    see(moment.utc + 1);
    assert_near(night->danjon_state, l_before, 1e-9);
}

/* Without the full Moon, and with one that a flat profile shows far too bright, nothing is said; nor of an
 * umbra that is clipped, nearly black, or covers too little of the disc. */
static void test_a_tone_that_shows_too_little_says_nothing(void **state)
{
    static const struct album album[] = {
        {.camera_known = false},
        {.camera_known = true, .camera_stops = 0.6},
        {.camera_known = true, .camera_stops = 0.2},
    };
    const struct disc_light fair = {NAN, {90, 60, 40}, 0.01, 1};
    struct disc_light light = fair;
    double utc = at(CONTACT_GREATEST, -300);

    (void)state;
    apply((struct act){.utc = utc, .kind = ACT_TARGET, .rig = LONG, .value = {TARGET_UMBRA}});
    for (int i = 0; i < 3; i++) {
        readings.album[LONG] = album[i];
        for (int k = 0; k < 4; k++, utc += 30)
            land_light(LONG, utc, NAN, 0.2 + 0.9);
        if (i < 2)
            assert_true(isnan(moment.album[LONG].umbra_stops));
    }
    assert_near(moment.album[LONG].umbra_stops, 0.9, 0.05);
    if (!strstr(words_now(LONG), "umbra 0.9 brighter than expected: - takes it"))
        fail_msg("%s", words_now(LONG));

    assert_true(isfinite(umbra_tone_stops(&fair, 1)));
    assert_true(isfinite(umbra_tone_stops(&fair, 0.91)));
    assert_true(isnan(umbra_tone_stops(&fair, 0.89)));
    light.clipped = 0.04;
    assert_true(isnan(umbra_tone_stops(&light, 1)));
    assert_true(isfinite(umbra_tone_stops(&light, 0.95)));
    light = (struct disc_light){NAN, {48, 32, 20}, 0, 1};
    assert_true(isnan(umbra_tone_stops(&light, 1)));
    light = (struct disc_light){NAN, {255, 240, 220}, 0, 1};
    assert_true(isnan(umbra_tone_stops(&light, 1)));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, open_night, ridge_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_two_pictures_aim_a_rig),
        TEST(test_an_aim_is_confirmed_silently_and_corrected),
        TEST(test_one_that_landed_at_once_is_known),
        TEST(test_a_lamp_and_old_pictures_aim_nothing),
        TEST(test_no_alarm_is_put_off_without_a_word),
        TEST(test_wide_places),
        TEST(test_three_without_a_moon),
        TEST(test_soft_and_smeared_limbs),
        TEST(test_words_get_shorter),
        TEST(test_fading_of_one_and_of_all),
        TEST(test_the_umbra_is_proposed_and_never_taken_by_itself),
        TEST(test_a_tone_that_shows_too_little_says_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
