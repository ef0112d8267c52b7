/* What keys and typed answers do to a night, as the manual page has it. */
#include "lived.h"

#include "../../src/app/live.h"
#include "open_files.h"

#include <moonstand/palette.h>

enum { WIDE, LONG_RIG, TELESCOPE };

static struct live live;

static void begin(void)
{
    memset(&live, 0, sizeof live);
    live.view.item = -1;
    live.view.keys = key_table;
    live.quit_armed_boot = live.pasted_boot = -INFINITY;
    theme_default(&live.theme);
    open_session(&live.session);
}

static void end(void)
{
    close_session(&live.session);
}

/* A character is typed as it is; \n is Enter. */
static void type(const char *text)
{
    for (; *text; text++)
        live_key(&live, *text == '\n' ? (int)INPUT_ENTER : (int)*text);
    session_step(&live.session);
}

/* The last of the user's; those of the program (settings, gaps) may come after it. */
static const struct act *last_act(void)
{
    const struct night *night = &live.session.night;

    for (size_t i = night->act_count; i-- > 0;)
        if (act_form(night->acts[i].kind)->has & BY_USER || night->acts[i].kind == ACT_UNDO)
            return &night->acts[i];
    fail_msg("no act of the user");
    return NULL;
}

static void assert_last(enum act_kind kind, int rig, double first, double second)
{
    const struct act *last = last_act();

    assert_int_equal(last->kind, kind);
    assert_int_equal(last->rig, rig);
    if (isfinite(first))
        assert_near(last->value[0], first, 1e-9);
    if (isfinite(second))
        assert_near(last->value[1], second, 1e-9);
}

static void assert_message(const char *part)
{
    if (!strstr(live.session.message, part))
        fail_msg("'%s' does not say '%s'", live.session.message, part);
}

/* ---- what the pictures tell ---- */

/* Three looks that agree: 0.8 stop darker than reckoned. One key takes it as a whole, one undoes it. */
static void the_umbra_of_the_pictures_is_taken_by_a_key(void **state)
{
    const struct night *night = &live.session.night;
    struct album *album = &live.session.readings.album[LONG];
    double l_before, before;

    (void)state;
    now.utc = contact(CONTACT_GREATEST);
    (void)snprintf(setup.rig[LONG].pictures, RIG_PICTURES, "/card");
    begin();
    setup.rig[LONG].pictures[0] = '\0';
    live.view.rig = LONG;
    live.session.readings.eye = EYE_WATCHES;
    album->camera_known = true;
    for (; album->look_count < 3; album->look_count++)
        album->look[album->look_count] =
            (struct look_at_moon){.utc = now.utc - 30 * album->look_count,
                                  .found = true,
                                  .place = {NAN, NAN},
                                  .limb_px = NAN,
                                  .lit = {NAN, NAN},
                                  .umbra = {-0.7, -0.8},
                                  .umbra_off_stops = -0.8,
                                  .danjon = night->danjon_state};
    session_step(&live.session);
    assert_near(live.session.moment.album[LONG].umbra_stops, -0.8, 1e-9);
    before = night_correction(night, &live.session.moment, LONG, TARGET_UMBRA);
    l_before = night->danjon_state;
    type("+");
    assert_last(ACT_CORRECTION, LONG, TARGET_UMBRA, before + 0.8);
    assert_true(night->danjon_state < l_before);
    assert_true(isnan(live.session.moment.album[LONG].umbra_stops));
    type("u");
    assert_near(night->danjon_state, l_before, 1e-9);
    end();
}

/* Its frames are too dark whatever the umbra is: no L follows from that, and no other rig. */
static void a_rig_at_its_limit_is_not_asked_for_more(void **state)
{
    const struct night *night = &live.session.night;
    int most = (int)setup.rig[LONG].iso_max;

    (void)state;
    now.utc = contact(CONTACT_GREATEST);
    setup.rig[LONG].iso_max = 400;
    begin();
    setup.rig[LONG].iso_max = most;
    live.view.rig = LONG;
    assert_true(live.session.moment.rig[LONG].exposure.deficit_stops > 1);
    double l_before = night->danjon_state;
    size_t acts = night->act_count;
    type("+");
    assert_message("long can be no brighter: ");
    assert_message("stops dark, ISO limit");
    assert_int_equal(night->act_count, acts);
    assert_near(night->danjon_state, l_before, 0);
    type("-");
    assert_last(ACT_CORRECTION, LONG, TARGET_UMBRA, -1. / 3);
    end();
}

/* ---- keys that ask nothing ---- */

static void one_key_is_one_act(void **state)
{
    static const struct {
        int key;
        enum act_kind kind;
        int rig;
        double first, second;
    } keys[] = {
        {'b', ACT_BATTERY, LONG_RIG, NAN, NAN},
        {'m', ACT_CARD, LONG_RIG, NAN, NAN},
        {'f', ACT_FRAME, LONG_RIG, NAN, NAN},
        {'G', ACT_GLASS, -1, NAN, NAN},
        {'H', ACT_HEATER, LONG_RIG, 1, NAN},
        {'H', ACT_HEATER, LONG_RIG, 0, NAN},
        {'c', ACT_CLOUD, -1, 1, NAN},
        {'c', ACT_CLOUD, -1, 0, NAN},
        {'T', ACT_RIG, LONG_RIG, 1, NAN},
        {'T', ACT_RIG, LONG_RIG, 0, NAN},
        {'+', ACT_CORRECTION, LONG_RIG, TARGET_LIT, 1. / 3},
        {'=', ACT_CORRECTION, LONG_RIG, TARGET_LIT, 2. / 3},
        {'-', ACT_CORRECTION, LONG_RIG, TARGET_LIT, 1. / 3},
        {'t', ACT_TARGET, LONG_RIG, TARGET_LIT, NAN}, /* after auto, the last of them */
        {'t', ACT_TARGET, LONG_RIG, TARGET_UMBRA, NAN},
    };

    (void)state;
    begin();
    live_key(&live, '2');
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        size_t before = live.session.night.act_count;

        live_key(&live, keys[i].key);
        assert_int_equal(live.session.night.act_count, before + 1);
        assert_last(keys[i].kind, keys[i].rig, keys[i].first, keys[i].second);
        session_step(&live.session);
    }
    end();
}

/* a: the Moon where the screen advised; z: quiet for two minutes, once there is something to be
 * quiet about. */
static void aimed_and_quiet(void **state)
{
    (void)state;
    begin();
    type("2");
    struct frame_point advised = live.session.moment.rig[LONG_RIG].aim.place;
    type("z");
    assert_message("long: no re-aim alarm to silence");
    type("a");
    assert_last(ACT_AIM, LONG_RIG, advised.x, advised.y);
    type("z");
    assert_last(ACT_SNOOZE, LONG_RIG, 120, NAN);
    type("u");
    assert_int_equal(last_act()->kind, ACT_UNDO);
    assert_false(live.session.night.rig[LONG_RIG].snoozed_until > now.utc);
    end();
}

/* Space ticks the chosen item, and opens it again; Z puts it off by ten minutes. */
static void items_are_ticked_and_put_off(void **state)
{
    int item;

    (void)state;
    begin();
    live_key(&live, INPUT_TAB); /* on the first page a ticked item makes room for the next */
    item = view_item(&live.view, &live.session.night, &live.session.moment);
    assert_true(item >= 0);
    live.view.item = item;
    type(" ");
    assert_last(ACT_CHECK, -1, 1, NAN);
    assert_string_equal(last_act()->text, live.session.night.setup.checklist.item[item].id);
    live.view.item = item;
    type(" ");
    assert_last(ACT_CHECK, -1, 0, NAN);
    type("Z");
    assert_last(ACT_LATER, -1, 600, NAN);
    end();
}

static void the_site_is_moved_to_a_fix(void **state)
{
    struct gps_reading *gps = &live.session.readings.gps;

    (void)state;
    begin();
    type("g");
    assert_message("no fresh GPS fix");
    *gps = (struct gps_reading){.state = GPS_FIX,
                                .latitude_deg = 61.5,
                                .longitude_deg = 59.25,
                                .height_m = 310,
                                .satellites = 7,
                                .mode = 3};
    type("g");
    assert_last(ACT_SITE, -1, 61.5, 59.25);
    assert_near(last_act()->value[2], 310, 0);
    assert_string_equal(last_act()->text, "gps");
    gps->height_m = NAN; /* then the site's stays */
    type("g");
    assert_near(last_act()->value[2], 310, 0);
    end();
}

/* ---- answers ---- */

struct answered {
    int key;
    const char *typed;
    enum act_kind kind;
    int rig;
    double value[ACT_VALUES];
    const char *text;
};

/* Before each: 20:30:00 local time (+05), 15:30 UTC, the long rig chosen. */
static void answers_become_acts(void **state)
{
    static const struct answered answers[] = {
        {'n', "thin cloud, west", ACT_NOTE, -1, {NAN, NAN, NAN, NAN, NAN}, "thin cloud, west"},
        {'w', "-8 75", ACT_AIR, -1, {-8, 75, NAN, NAN, NAN}, ""},
        {'w', "-8.5,75", ACT_AIR, -1, {-8.5, 75, NAN, NAN, NAN}, ""},
        {'d', "2.5", ACT_DANJON, -1, {2.5, NAN, NAN, NAN, NAN}, ""},
        {'p', "62 30 N, 60 15 E, 300", ACT_SITE, -1, {62.5, 60.25, 300, NAN, NAN}, "hand"},
        {'p', "61,59", ACT_SITE, -1, {61, 59, 300, NAN, NAN}, "hand"}, /* the height stays */
        {'e', "f 8", ACT_RIG, 1, {8, NAN, NAN, NAN, NAN}, "f_number"},
        {'e', "filter 3", ACT_RIG, 1, {3, NAN, NAN, NAN, NAN}, "filter_stops"},
        {'e', "extender 1.4", ACT_RIG, 1, {1.4, NAN, NAN, NAN, NAN}, "extender"},
        {'e', "interval 20", ACT_RIG, 1, {20, NAN, NAN, NAN, NAN}, "interval_s"},
        {'A', "-30 5", ACT_AIM, 1, {-0.3, 0.05, NAN, NAN, NAN}, ""},
        {'A', "", ACT_AIM, 1, {0, 0, NAN, NAN, NAN}, ""},
        {'A', "50 -50", ACT_AIM, 1, {0.5, -0.5, NAN, NAN, NAN}, ""},
        /* 20:30:10 on a camera that keeps local time: 15:30:00 less 20:30:10. */
        {'K', "20:30:10", ACT_CAMERA_CLOCK, 1, {-18010, NAN, NAN, NAN, NAN}, ""},
        {'K', "2028-12-31T15:29:58", ACT_CAMERA_CLOCK, 1, {2, NAN, NAN, NAN, NAN}, ""},
        {'K', "8:30:00pm", ACT_CAMERA_CLOCK, 1, {-18000, NAN, NAN, NAN, NAN}, ""},
        {'K', "3:30:00 pm", ACT_CAMERA_CLOCK, 1, {0, NAN, NAN, NAN, NAN}, ""},
        /* Ten hours ahead it is already tomorrow there: 01:30 is not 14 hours ago. */
        {'K', "01:30:00", ACT_CAMERA_CLOCK, 1, {-36000, NAN, NAN, NAN, NAN}, ""},
        {'N', "Move the car", ACT_ITEM, -1, {NAN, NAN, NAN, NAN, NAN}, "Move the car"},
    };

    (void)state;
    begin();
    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++) {
        const struct answered *one = &answers[i];

        now.utc = 1861889400; /* date -u -d 2028-12-31T15:30Z +%s */
        now.boot += 10;
        session_step(&live.session);
        live.view.rig = LONG_RIG;
        live_key(&live, one->key);
        assert_non_null(prompt_question(&live));
        type(one->typed);
        assert_string_equal(live.typed, one->typed);
        type("\n");
        if (live.prompt != PROMPT_NONE)
            fail_msg("%c '%s': %s", one->key, one->typed, live.session.message);
        assert_int_equal(last_act()->kind, one->kind);
        assert_int_equal(last_act()->rig, one->rig);
        assert_string_equal(last_act()->text, one->text);
        for (int value = 0; value < ACT_VALUES; value++)
            if (isfinite(one->value[value]))
                assert_near(last_act()->value[value], one->value[value], 1e-6);
    }
    end();
}

/* 2028-12-31T15:30Z is 20:30 in Yekaterinburg. */
static void due_times_are_of_the_first_clock(void **state)
{
    static const struct {
        const char *typed, *due; /* UTC */
        bool utc_first;
    } items[] = {
        {"Drink @ 21:30", "2028-12-31T16:30:00Z", false},
        {"Drink @ 21:30", "2028-12-31T21:30:00Z", true},
        {"Drink @ 9:30pm", "2028-12-31T16:30:00Z", false},
        {"Drink @ 12:15am", "2028-12-31T19:15:00Z", false},
        {"Drink @20:30:30", "2028-12-31T15:30:30Z", false},
        {"Drink @ 8:15", "2029-01-01T03:15:00Z", false}, /* the morning is nearer than the last */
        {"Drink @ 0:05", "2028-12-31T19:05:00Z", false},
    };

    (void)state;
    begin();
    for (size_t i = 0; i < sizeof items / sizeof *items; i++) {
        double due;

        now.utc = 1861889400;
        session_step(&live.session);
        live.view.utc_first = items[i].utc_first;
        type("N");
        type(items[i].typed);
        type("\n");
        if (live.prompt != PROMPT_NONE)
            fail_msg("'%s': %s", items[i].typed, live.session.message);
        assert_int_equal(parse_instant(items[i].due, &due, NULL), 0);
        assert_int_equal(last_act()->kind, ACT_ITEM);
        assert_near(last_act()->value[0], due, 1e-6);
        assert_string_equal(last_act()->text, "Drink");
    }
    live.view.utc_first = false;
    type("NRate it @ U2-10m\n");
    assert_near(last_act()->value[0], contact(CONTACT_U2) - 600, 1e-3);
    end();
}

/* What was typed stays until it is known what is meant. */
static void a_time_that_is_past_is_asked_about(void **state)
{
    static const double typed_at = 1861889400; /* 20:30 there */
    const struct night *night = &live.session.night;
    size_t acts;
    int last;

    (void)state;
    begin();
    now.utc = typed_at;
    session_step(&live.session);
    acts = night->act_count;
    type("NMove the car @ 20:10\n");
    assert_int_equal(live.prompt, PROMPT_ITEM_PAST);
    assert_string_equal(prompt_question(&live),
                        "That time is past. t: tomorrow, d: done, Esc: back");
    assert_string_equal(live.typed, "Move the car @ 20:10");
    /* Nothing is done by Enter, by another key, or by Escape, which leads back to the text. */
    type("\nx");
    assert_int_equal(live.prompt, PROMPT_ITEM_PAST);
    live_key(&live, INPUT_ESCAPE);
    assert_int_equal(live.prompt, PROMPT_ITEM);
    assert_string_equal(live.typed, "Move the car @ 20:10");
    assert_int_equal(night->act_count, acts);
    type("\nt");
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_int_equal(last_act()->kind, ACT_ITEM);
    assert_string_equal(last_act()->text, "Move the car");
    assert_near(last_act()->value[0], typed_at - 20 * 60 + SECONDS_PER_DAY, 1e-6);
    /* Done: it stands on the list, ticked, with the time that is past. */
    type("NMove the car @ 8:10pm\nd");
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_int_equal(last_act()->kind, ACT_CHECK);
    last = night->setup.checklist.count - 1;
    assert_string_equal(night->setup.checklist.item[last].text, "Move the car");
    assert_near(night->setup.checklist.item[last].due_utc, typed_at - 20 * 60, 1e-6);
    assert_true(isfinite(night->checked_utc[last]));
    type("uu");
    assert_int_equal(night->setup.checklist.count, last);
    /* No contact comes again tomorrow. */
    now.utc = contact(CONTACT_U2);
    session_step(&live.session);
    type("NCap off @ U2-10m\n");
    assert_int_equal(live.prompt, PROMPT_ITEM_GONE);
    type("t");
    assert_int_equal(live.prompt, PROMPT_ITEM_GONE);
    type("s");
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_int_equal(last_act()->kind, ACT_ITEM);
    assert_near(last_act()->value[0], contact(CONTACT_U2) - 600, 1e-3);
    end();
}

/* S: where the Moon stands now tells how a mount drifts. A tripod has no axis, and the drift of a mount is
 * counted from where the Moon stood: both are said before anything is typed. */
static void what_would_be_refused_is_not_asked(void **state)
{
    (void)state;
    begin();
    type("2S");
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_message("is on a tripod, which has no axis to measure");
    type("3S");
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_message("first say where the Moon stood when telescope was aimed");
    type("aS");
    assert_int_equal(live.prompt, PROMPT_SEEN);
    end();
}

/* In 80 columns, with the colon and 26 columns for the answer. */
static void no_question_is_cut(void **state)
{
    (void)state;
    begin();
    for (int imperial = 0; imperial < 2; imperial++, type("W"))
        for (int prompt = PROMPT_NONE + 1; prompt < PROMPT_SETUP; prompt++) {
            live.prompt = (enum prompt)prompt;
            assert_in_range(strlen(prompt_question(&live)), 1, 80 - 1 - 26);
            live.prompt = PROMPT_NONE;
        }
    end();
}

static void an_hour_of_the_forecast(void **state)
{
    static const double hour = 1861898400; /* 2028-12-31T18:00Z, 23:00 there */
    const double *value;

    (void)state;
    begin();
    now.utc = 1861889400;
    session_step(&live.session);
    type("F23:00 40 -5 80 3\n");
    value = last_act()->value;
    assert_last(ACT_FORECAST, -1, hour, 40);
    assert_near(value[2], -5, 0);
    assert_near(value[3], 80, 0);
    assert_near(value[4], 3, 0);
    type("F23:00 - -6\n"); /* what is not said is unknown */
    value = last_act()->value;
    assert_true(isnan(value[1]) && isnan(value[3]) && isnan(value[4]));
    assert_near(value[2], -6, 0);
    type("F23:00\n"); /* the time alone takes the hour out */
    assert_true(isnan(last_act()->value[2]));
    assert_int_equal(live.prompt, PROMPT_NONE);
    type("F23:00\n"); /* which is out */
    assert_int_equal(live.prompt, PROMPT_FORECAST);
    assert_message("has no hour 23:00");
    live_key(&live, INPUT_ESCAPE);
    type("F20:00 10\n"); /* that has just passed, not tomorrow's */
    assert_near(last_act()->value[0], 1861889400 - 1800, 1e-6);
    type("W");
    type("F23:00 40 14 80 10\n"); /* 14 F are -10 C, 10 mph 4.4704 m/s */
    assert_near(last_act()->value[2], -10, 1e-9);
    assert_near(last_act()->value[4], 4.4704, 1e-9);
    type("w23 50\n"); /* 23 F are -5 C */
    assert_last(ACT_AIR, -1, -5, 50);
    end();
}

/* What looked right corrects by the stops that part it from what was asked for: one stop slower is one
 * stop brighter. */
static void what_looked_right_corrects(void **state)
{
    const struct exposure *exposure = &live.session.moment.rig[LONG_RIG].exposure;
    char typed[32];
    double once;

    (void)state;
    begin();
    type("2");
    /* EV at ISO 100 is log2(N^2 / t * 100 / ISO) by its definition; what a camera calls 1/500 is 1/512 s. */
    (void)snprintf(typed, sizeof typed, "s1/500 %d\n", 400);
    once = exposure->ev100 - log2(exposure->f_number * exposure->f_number * 512 / 4);
    type(typed);
    assert_last(ACT_CORRECTION, LONG_RIG, exposure->target, once);
    type("s1/250 400\n");
    assert_near(last_act()->value[1] - once, 1, 1e-9);
    /* Three stops are believed; more is asked about, and what was typed stays to be mended. */
    type("s1/30 400\n");
    assert_near(last_act()->value[1] - once, 4, 1e-9);
    type("s1/2 400\n");
    assert_int_equal(live.prompt, PROMPT_LOOKED_FAR);
    assert_near(last_act()->value[1] - once, 4, 1e-9);
    assert_string_equal(live.session.message, "that is 4.0 stops brighter than planned");
    type("\0251/60 400\n");
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_near(last_act()->value[1] - once, 3, 1e-9);
    type("s1/4000 400\n\n");
    assert_near(last_act()->value[1] - once, -3, 1e-9);
    end();
}

static void wrong_answers_stay_to_be_mended(void **state)
{
    static const struct {
        int key;
        const char *typed, *why;
    } wrong[] = {
        {'w', "-8", "such as 4C 88%"},
        {'w', "-8 75 3", "such as 4C 88%"},
        {'w', "-46 75", "-45"},
        {'w', "61 75", "60"},
        {'w', "5 0.5", "100"},
        {'w', "5 101", "100"},
        {'d', "4.1", "4"},
        {'d', "-0.1", "0"},
        {'p', "91, 0", "91"},
        {'e', "focal 3", "expected f, filter"},
        {'e', "filter", "filter 3"},
        {'e', "filter x", "x"},
        {'A', "51 0", "50"},
        {'A', "0 -51", "50"},
        {'A', "5", "-30 5"},
        {'K', "25:00:00", "21:04:30"},
        {'K', "9:30xm", "21:04:30"},
        {'K', "13:30pm", "21:04:30"},
        {'K', "0:30am", "21:04:30"},
        {'N', "Drink @ noon", "expected a time"},
        {'F', "23:00 101", "100"},
        {'F', "23:00 40 61", "60"},
        {'F', "23:00 40 -5 101", "100"},
        {'F', "23:00 40 -5 80 121", "120"},
        {'F', "23:00 40 -5 80 3 9", "too many values"},
        {'F', "late 40", "expected a time"},
        {'s', "1/30", "1/30 1600"},
        {'s', "1/30 24", "25"},
    };

    (void)state;
    begin();
    type("2");
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        size_t before = live.session.night.act_count;

        live_key(&live, wrong[i].key);
        type(wrong[i].typed);
        live_key(&live, INPUT_ENTER);
        if (live.prompt == PROMPT_NONE)
            fail_msg("%c '%s' is taken", wrong[i].key, wrong[i].typed);
        assert_message(wrong[i].why);
        assert_string_equal(live.typed, wrong[i].typed);
        assert_int_equal(live.session.night.act_count, before);
        live_key(&live, INPUT_ESCAPE);
        assert_int_equal(live.prompt, PROMPT_NONE);
    }
    type("n\n"); /* an empty note is none */
    assert_int_equal(live.prompt, PROMPT_NONE);
    assert_int_equal(count_kind(&live.session.night, ACT_NOTE), 0);
    end();
}

/* ---- typing ---- */

static void characters_are_typed_and_rubbed_out_whole(void **state)
{
    static const int characters[] = {'a', 0xe9, 0x6708, 0x1f311}; /* of one to four bytes */
    static const char *const whole = "a\xc3\xa9\xe6\x9c\x88\xf0\x9f\x8c\x91";
    static const int lengths[] = {6, 3, 1, 0};

    (void)state;
    begin();
    type("n");
    for (int i = 0; i < 4; i++)
        live_key(&live, characters[i]);
    assert_string_equal(live.typed, whole);
    for (int i = 0; i < 4; i++) {
        live_key(&live, i % 2 ? INPUT_DELETE : INPUT_BACKSPACE);
        assert_int_equal(strlen(live.typed), lengths[i]);
        assert_memory_equal(live.typed, whole, (size_t)lengths[i]);
    }
    live_key(&live, INPUT_BACKSPACE); /* of nothing */
    assert_string_equal(live.typed, "");
    live_key(&live, 0x7f); /* what is no text is not typed */
    live_key(&live, INPUT_UP);
    assert_string_equal(live.typed, "");
    type("abc");
    live_key(&live, 'U' - '@');
    assert_string_equal(live.typed, "");
    for (int i = 0; i < 2 * ACT_TEXT; i++)
        live_key(&live, 'x');
    assert_int_equal(strlen(live.typed), TYPED - 1); /* as much as an answer holds */
    live_key(&live, INPUT_ENTER);
    assert_int_equal(strlen(last_act()->text), TYPED - 1);
    end();
}

/* Pasted text acts on nothing, and is lost half a second after its end got lost. */
static void pasted_text_is_only_text(void **state)
{
    size_t before;

    (void)state;
    begin();
    before = live.session.night.act_count;
    live_key(&live, INPUT_PASTE);
    live_key(&live, 'b');
    live_key(&live, INPUT_PASTE_END);
    assert_int_equal(live.session.night.act_count, before);
    assert_message("pasted text ignored");
    live_key(&live, 'n');
    live_key(&live, INPUT_PASTE);
    live_key(&live, 'a');
    live_key(&live, INPUT_ENTER);
    live_key(&live, INPUT_TAB);
    live_key(&live, 'b');
    live_key(&live, INPUT_PASTE_END);
    assert_string_equal(live.typed, "a  b");
    live_key(&live, INPUT_ENTER);
    assert_string_equal(last_act()->text, "a  b");
    live_key(&live, INPUT_PASTE);
    now.boot += 0.4;
    live_key(&live, 'b');
    assert_int_equal(last_act()->kind, ACT_NOTE);
    now.boot += 0.6;
    live_key(&live, 'b');
    assert_int_equal(last_act()->kind, ACT_BATTERY);
    end();
}

/* ---- what is looked at ---- */

static void keys_of_the_view(void **state)
{
    static const struct {
        int key;
        enum page page;
    } pages[] = {{INPUT_TAB, PAGE_LIST}, {'v', PAGE_FAR}, {'i', PAGE_FRAME},
                 {'o', PAGE_CURVES},     {'y', PAGE_KIT}, {'C', PAGE_TIME_CARD}};

    (void)state;
    begin();
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++) {
        live_key(&live, pages[i].key);
        assert_int_equal(live.view.page, pages[i].page);
        live_key(&live, pages[i].key);
        assert_int_equal(live.view.page, PAGE_NIGHT);
        live_key(&live, pages[i].key);
    }
    live_key(&live, INPUT_ESCAPE);
    assert_int_equal(live.view.page, PAGE_NIGHT);
    assert_int_equal(live.view.rig, WIDE);
    live_key(&live, INPUT_LEFT);
    assert_int_equal(live.view.rig, TELESCOPE);
    live_key(&live, 'l');
    assert_int_equal(live.view.rig, WIDE);
    live_key(&live, INPUT_RIGHT);
    assert_int_equal(live.view.rig, LONG_RIG);
    live_key(&live, 'h');
    live_key(&live, '3');
    assert_int_equal(live.view.rig, TELESCOPE);
    live_key(&live, 'x');
    assert_true(live.view.utc_first);
    live_key(&live, 'X');
    assert_int_equal(session_reader(&live.session).hours, HOURS_12);
    assert_int_equal(live.session.night.setup.hours, HOURS_24);
    live_key(&live, 'X');
    assert_int_equal(session_reader(&live.session).hours, HOURS_24);
    live_key(&live, 'W');
    assert_int_equal(session_reader(&live.session).units, UNITS_IMPERIAL);
    assert_int_equal(live.session.night.setup.units, UNITS_METRIC);
    live_key(&live, 'W');
    assert_int_equal(session_reader(&live.session).units, UNITS_METRIC);
    live_key(&live, 'L');
    assert_true(live.view.apart);
    live_key(&live, '?');
    assert_int_equal(live.view.keys_open, KEYS_TO_LEARN);
    live_key(&live, '?');
    assert_int_equal(live.view.keys_open, KEYS_CLOSED);
    end();
}

/* j and k walk through the list in the order that the page shows. */
static void the_list_is_walked(void **state)
{
    int first, second;

    (void)state;
    begin();
    first = view_item(&live.view, &live.session.night, &live.session.moment);
    second = view_item_step(&live.view, &live.session.night, &live.session.moment, 1);
    assert_int_not_equal(first, second);
    live_key(&live, 'j');
    assert_int_equal(live.view.item, second);
    live_key(&live, INPUT_UP);
    assert_int_equal(view_item(&live.view, &live.session.night, &live.session.moment), first);
    live_key(&live, INPUT_DOWN);
    assert_int_equal(live.view.item, second);
    live_key(&live, 'k');
    assert_int_equal(view_item(&live.view, &live.session.night, &live.session.moment), first);
    end();
}

/* Twice within two seconds, also with Caps Lock on; Ctrl-C and Ctrl-\ as q, also within an answer. */
static void leaving_takes_two_keys(void **state)
{
    static const int keys[] = {'q', 'Q', 'C' - '@', '\\' - '@'};

    (void)state;
    begin();
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        live.leaving = false;
        now.boot += 10;
        live_key(&live, keys[i]);
        assert_false(live.leaving);
        assert_true(live_quit_armed(&live));
        now.boot += 2.1;
        assert_false(live_quit_armed(&live));
        live_key(&live, keys[i]);
        assert_false(live.leaving);
        now.boot += 1.9;
        live_key(&live, keys[i]);
        assert_true(live.leaving);
    }
    live.leaving = false;
    now.boot += 10;
    live_key(&live, 'n');
    live_key(&live, 'q');
    live_key(&live, 'q');
    assert_false(live.leaving);
    live_key(&live, 'C' - '@');
    live_key(&live, 'C' - '@');
    assert_true(live.leaving);
    end();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(one_key_is_one_act),
        AT_HOME(aimed_and_quiet),
        AT_HOME(items_are_ticked_and_put_off),
        AT_HOME(the_site_is_moved_to_a_fix),
        AT_HOME(answers_become_acts),
        AT_HOME(due_times_are_of_the_first_clock),
        AT_HOME(a_time_that_is_past_is_asked_about),
        AT_HOME(what_would_be_refused_is_not_asked),
        AT_HOME(no_question_is_cut),
        AT_HOME(an_hour_of_the_forecast),
        AT_HOME(what_looked_right_corrects),
        AT_HOME(wrong_answers_stay_to_be_mended),
        AT_HOME(characters_are_typed_and_rubbed_out_whole),
        AT_HOME(pasted_text_is_only_text),
        AT_HOME(keys_of_the_view),
        AT_HOME(the_list_is_walked),
        AT_HOME(the_umbra_of_the_pictures_is_taken_by_a_key),
        AT_HOME(a_rig_at_its_limit_is_not_asked_for_more),
        AT_HOME(leaving_takes_two_keys),
    };

    return RUN_AND_CLOSE_ALL(tests, prepare, NULL);
}
