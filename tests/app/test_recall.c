/* What the pictures have shown outlives the program: the sharpest limb, and the camera's own tone. */
#include "lived.h"

#include "../../src/app/recall.h"

#include <moonstand/album_words.h>
#include <moonstand/path.h>
#include <moonstand/pictures_file.h>
#include <moonstand/report.h>
#include <moonstand/seen.h>
#include <moonstand/series.h>
#include <moonstand/test_print.h>

static struct session session;

enum { EVERY_S = 30, BEFORE = 8 };

/* The tone of sRGB that is so many stops over mid-grey (0.18 of white; IEC 61966-2-1). */
static double tone_at(double stops)
{
    return 255 * (1.055 * pow(0.18 * exp2(stops), 1 / 2.4) - 0.055);
}

/* A picture as it is asked for, which landed 1.5 s after it was taken, 0.4 stop brighter than reckoned
 * and with a limb of that width. */
static struct seen picture(const char *file, double limb_px)
{
    const struct exposure *asked = &session.moment.rig[LONG].exposure;
    double shutter_s = shutter_seconds(asked->shutter);
    struct print_ask ask;

    print_ask_make(&session.night, &session.moment, LONG, &ask);
    return (struct seen){
        .file = file,
        .bytes = 9e6,
        .landed_utc = now.utc,
        .took_s = 0.1,
        .rig = LONG,
        .state = SEEN_DISC,
        .metadata = {.taken = now.utc - shutter_s - 1.5,
                     .taken_decimals = 3,
                     .offset_min = 0,
                     .shutter_s = shutter_s,
                     .iso = iso_label(asked->iso),
                     .f_number = asked->f_number,
                     .focal_mm = NAN,
                     .orientation = 1,
                     .width = 6000,
                     .height = 4000},
        .disc = {NAN, NAN, 390, 0.9, 0.3, 0.8},
        .place = {0.01, 0.02},
        .light = {tone_at(print_stops(&ask, session.moment.light.lit) + 0.4), {NAN, NAN, NAN}, 0, 2},
        .limb = {limb_px, limb_px, limb_px, NAN},
    };
}

/* A frame lands, a raw file beside it if there is a list: what the watcher does with it. */
static void land(FILE *list, int number, double limb_px)
{
    char name[40], raw_name[40];
    struct seen seen, raw;

    step(&session, EVERY_S);
    (void)snprintf(name, sizeof name, "/card/IMG_%04d.JPG", number);
    (void)snprintf(raw_name, sizeof raw_name, "/card/IMG_%04d.CR2", number);
    seen = picture(name, limb_px);
    album_take(&session, &session.moment, &seen, now.utc, true);
    if (!list)
        return;
    raw = seen;
    raw.file = raw_name;
    raw.state = SEEN_NOT_LOOKED;
    raw.metadata.format = PICTURE_RAW;
    raw.landed_utc += 2;
    album_take(&session, &session.moment, &raw, raw.landed_utc, false);
    assert_int_equal(report_look_json(list, &session.night.setup, &seen), 0);
    assert_int_equal(report_look_json(list, &session.night.setup, &raw), 0);
}

/* Opened with a folder of pictures that is watched. */
static void open_watched(void)
{
    (void)snprintf(setup.rig[LONG].pictures, RIG_PICTURES, "/card");
    open_session(&session);
    setup.rig[LONG].pictures[0] = '\0';
    session.readings.eye = EYE_WATCHES;
}

static void what_was_seen_outlives_a_new_start(void **state)
{
    struct album before, *album = &session.readings.album[LONG];
    char path[PATH_SIZE + sizeof "/" PICTURES_FILE], words[ALBUM_WORDS];
    struct fault fault = {""};
    FILE *list;

    (void)state;
    now.utc = contact(CONTACT_P1) + 600;
    open_watched();
    (void)snprintf(path, sizeof path, "%s/" PICTURES_FILE, session.folder);
    list = fopen(path, "w");
    assert_non_null(list);
    for (int i = 0; i < BEFORE; i++)
        land(list, i, i == 0 ? 1.4 : 0.9);
    fputs("{\"file\": \"cut", list);
    assert_int_equal(fclose(list), 0);
    before = *album;
    assert_near(before.best_limb_px, 0.9, 1e-9);
    assert_true(before.camera_known);
    assert_near(before.camera_stops, 0.4, 0.1);
    close_session(&session);

    pass(45);
    open_watched();
    assert_int_equal(album->look_count + album->count, 0);
    if (recall_pictures(&session, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(album->count, BEFORE);
    assert_int_equal(album->look_count, before.look_count);
    assert_true(album->camera_known);
    assert_near(album->camera_stops, before.camera_stops, 0.01);
    assert_near(album->best_limb_px, before.best_limb_px, 0.005);
    for (int i = 0; i < BEFORE; i++) {
        assert_near(album->shot[i].utc, before.shot[i].utc, WRITTEN_S);
        assert_near(album->shot[i].off_stops, before.shot[i].off_stops, 1e-6);
    }
    /* How the camera was held is not in the list: no aim by it. */
    assert_true(isnan(album->look[0].place.x));
    for (int i = 0; i < 5; i++)
        land(NULL, BEFORE + i, 2.5);
    session_step(&session);
    assert_int_equal(session.moment.album[LONG].looks, LOOKS_SOFT);
    (void)album_words(&session.moment, LONG, 0, words);
    if (!strstr(words, "limb 2.5 px, was 0.9: focus?"))
        fail_msg("%s", words);
    close_session(&session);
}

static void without_a_list_albums_begin_empty(void **state)
{
    struct fault fault = {""};

    (void)state;
    open_watched();
    assert_int_equal(recall_pictures(&session, &fault), 0);
    assert_int_equal(session.readings.album[LONG].count, 0);
    assert_true(session.readings.album[LONG].best_limb_px == 0);
    close_session(&session);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(what_was_seen_outlives_a_new_start),
        AT_HOME(without_a_list_albums_begin_empty),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
