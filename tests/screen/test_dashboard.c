/* What the dashboard says, at any size. */
#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/screen/area.h"
#include "screen/scene.h"
#include "timed.h"

#include <moonstand/angle.h>
#include <moonstand/series.h>
#include <moonstand/setting_words.h>
#include <moonstand/test_print.h>

#include <malloc.h>

static bool shows(const char *text)
{
    char *drawn = scene_text(false);
    bool found = strstr(drawn, text) != NULL;

    free(drawn);
    return found;
}

static void expect(const char *text)
{
    if (shows(text))
        return;
    char *drawn = scene_text(false);
    print_error("%s", drawn);
    free(drawn);
    fail_msg("nowhere: %s", text);
}

/* Role of the first cell of a text in the canvas. */
static enum role role_of(const char *text)
{
    const struct canvas *canvas = &scene.canvas;
    size_t length = strlen(text);

    for (int i = 0; i + (int)length <= canvas->width * canvas->height; i++) {
        size_t at = 0;
        while (at < length && canvas->cell[i + (int)at].text[0] == text[at])
            at++;
        if (at == length)
            return (enum role)canvas->cell[i].role;
    }
    fail_msg("nowhere: %s", text);
    return ROLE_COUNT;
}

/* The row and the column of a text; -1: it is not shown. */
static void find(const char *text, int *x, int *y)
{
    const struct canvas *canvas = &scene.canvas;
    int length = (int)strlen(text);

    for (*y = 0; *y < canvas->height; (*y)++)
        for (*x = 0; *x + length <= canvas->width; (*x)++) {
            int at = 0;
            while (at < length && canvas->cell[*y * canvas->width + *x + at].text[0] == text[at])
                at++;
            if (at == length)
                return;
        }
    *x = *y = -1;
}

/* ---- must my hands do anything now ---- */

static void hands_tell_the_most_urgent(void **state)
{
    double utc;

    (void)state;
    scene_open(false);
    utc = scene_utc("U1+38m");
    scene_tick_before(utc);
    scene_at(utc);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("aim now, then press a: wide, long");
    assert_int_equal(role_of("not aimed"), ROLE_DUE);
    scene_aim_wide(utc);
    scene_at(utc);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("aim now, then press a: long");
    scene_aim(utc);
    scene_at(utc);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("nothing to do for ");
    assert_int_equal(role_of("nothing to do for "), ROLE_VALUE);

    /* A few minutes after what was due then; nobody has to change a setting by hand. */
    scene_open(false);
    for (int i = 0; i < scene.setup.rig_count; i++)
        scene.night.rig[i].rig.remote_exposure = true;
    scene.night.stale = STALE_SITE;
    scene_tick_before(scene_utc("U2-31m"));
    scene_at(scene_utc("U2-28m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("1 overdue: Look at the focus again");
    assert_int_equal(role_of("1 overdue"), ROLE_DUE);

    scene.readings.battery_percent = 12;
    scene.readings.battery_discharging = true;
    scene_at(scene_utc("U2-28m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("laptop has 12 % left");

    scene_act(
        (struct act){.utc = scene_utc("U2-29m"), .kind = ACT_AIR, .rig = -1, .value = {-5, 95}});
    scene_at(scene_utc("U2-28m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("frost likely: look at the glass (G dry, H heater on)");
}

/* In a narrow window the long name of an event does not push its countdown out. */
static void the_countdown_is_whole_in_every_width(void **state)
{
    static const struct {
        int columns, lines;
        const char *said;
    } windows[] = {{60, 12, "penumbral shading no longer visible in 9:00 min"},
                   {40, 12, "shading gone in 9:00 min"},
                   {20, 5, "shading gone 9:00"}};

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("U4"));
    for (int i = 0; i < scene.night.event_count; i++)
        if (strcmp(night_event_name(&scene.night.event[i]), "shading_ends") == 0)
            scene_at(scene.night.event[i].utc - 9 * 60);
    for (size_t i = 0; i < sizeof windows / sizeof *windows; i++) {
        scene_draw(windows[i].columns, windows[i].lines, GLYPHS_UTF8);
        expect(windows[i].said);
    }
}

/* Bytes before a text, in capitals or not; a great many where it is not there. */
static long place_in(const char *text, const char *what)
{
    const char *found = strcasestr(text, what);

    return found ? (long)(found - text) : LONG_MAX;
}

/* The Sun's warning is drawn, and nothing that asks for an aim stands before it. */
static void assert_sun_is_first(int width, int height)
{
    scene_draw(width, height, GLYPHS_UTF8);
    char *text = scene_text(false);
    bool is_first = place_in(text, "Sun up: never point") < place_in(text, "aim");
    if (!is_first)
        print_error("%d x %d:\n%s", width, height, text);
    free(text);
    assert_true(is_first);
}

static void the_sun_comes_before_any_aim(void **state)
{
    static const int size[][2] = {{80, 24}, {120, 40}, {60, 8}, {80, 3}, {30, 20}, {40, 40}};
    double by_day = scene_utc("P1-4h10m"), with_moon = by_day - SECONDS_PER_DAY - 1800;

    (void)state;
    scene_open(false);
    scene_at(by_day);
    assert_true(scene.moment.sun.up && !scene.moment.moon.up);
    for (size_t i = 0; i < sizeof size / sizeof *size; i++)
        assert_sun_is_first(size[i][0], size[i][1]);
    assert_int_equal(role_of("Sun up"), ROLE_DUE);
    scene_draw(24, 6, GLYPHS_UTF8);
    expect("Sun: optics away");

    /* On the day before the Moon is up with the Sun: with an alarm it is still first, and the alarm
     * is there. */
    scene_aim(with_moon);
    scene_at(with_moon + 1800);
    assert_true(scene.moment.sun.up && scene.moment.moon.up && scene.moment.alarm_rig == 1);
    for (size_t i = 0; i < 2; i++) {
        assert_sun_is_first(size[i][0], size[i][1]);
        expect("RE-AIM long");
    }
    scene.view.page = PAGE_FAR;
    assert_sun_is_first(80, 24);
    expect("RE-AIM long");
    scene.view.page = PAGE_NIGHT;

    scene_at(scene_utc("P1"));
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_false(shows("Sun up"));
}

static void aim_goes_from_steady_to_alarm(void **state)
{
    double leaves;

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4"));
    scene_aim(scene_utc("U1"));
    scene_at(scene_utc("U1"));
    leaves = scene.night.rig[1].leaves_utc;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("re-aim within ");
    assert_int_equal(role_of("re-aim within "), ROLE_VALUE);

    /* Hands begin a minute before the Moon meets the margin: who needs 40 s is done by then. */
    scene_at(leaves - 90);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("re-aim long in 30 s");
    scene_at(leaves - 30);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("RE-AIM WITHIN 0:30");
    expect("re-aim long now");
    assert_int_equal(role_of("RE-AIM WITHIN"), ROLE_DUE);
    assert_int_equal(role_of("re-aim long"), ROLE_DUE);

    scene_at(leaves + 9);
    assert_int_equal(view_aim_rig(&scene.view, &scene.moment), 1);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("RE-AIM long NOW: the Moon passed the margin at ");
    expect("a  aimed again");
    assert_int_equal(role_of("RE-AIM long NOW"), ROLE_ALARM);
    /* The band goes from edge to edge. */
    int band = 0;
    for (int y = 0; y < 24; y++) {
        int alarmed = 0;
        for (int x = 0; x < 80; x++)
            alarmed += scene.canvas.cell[y * 80 + x].role == ROLE_ALARM;
        band += alarmed == 80;
    }
    assert_true(band >= 4);

    scene_act((struct act){.utc = leaves + 9, .kind = ACT_SNOOZE, .rig = 1, .value = {120}});
    scene_at(leaves + 10);
    assert_int_equal(view_aim_rig(&scene.view, &scene.moment), 0);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("quiet until ");
    assert_false(shows("NOW"));
}

/* Each round is said twenty seconds ahead, and nothing between the rounds. */
static void a_round_is_said_ahead(void **state)
{
    const struct rounds *rounds = &scene.night.rounds;
    char text[80];

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4+10h"));
    scene.night.setup.rig_count = 1;
    scene.night.stale = STALE_SITE;
    scene_at(scene_utc("P1"));
    assert_true(rounds->count > 10);
    for (int i = 0; i < rounds->count; i++) {
        scene_at(rounds->round[i].utc - 20);
        scene_draw(120, 40, GLYPHS_UTF8);
        (void)snprintf(text, sizeof text, "set wide to %s s, ISO %d in 20 s",
                       shutter_label(rounds->round[i].exposure[0].shutter),
                       iso_label(rounds->round[i].exposure[0].iso));
        expect(text);
        assert_int_equal(role_of("set wide"), ROLE_DUE);
        scene_at(rounds->round[i].utc + 1);
        scene_draw(120, 40, GLYPHS_UTF8);
        assert_true(!shows("set wide to") || shows(" now"));
    }
}

static void overdue_is_said_beside_what_presses(void **state)
{
    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("U2-31m"));
    scene.night.setup.rig_count = 1;
    scene.night.stale = STALE_SITE;
    scene_at(scene_utc("U2-8m"));

    double round = NAN;
    assert_non_null(rounds_next(&scene.night.rounds, 0, scene.moment.utc, &round));
    scene_at(round - 20);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("set wide to ");
    expect("overdue: Look at the focus again");
}

/* Every count of what is overdue on one screen is the same, and what is done is not late. */
static void the_list_and_the_hands_count_alike(void **state)
{
    char count[32];

    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-30m"));
    scene.view.page = PAGE_LIST;
    scene_draw(80, 24, GLYPHS_UTF8);
    (void)snprintf(count, sizeof count, "%d overdue: ", scene.moment.check_overdue);
    expect(count);
    (void)snprintf(count, sizeof count, ", %d overdue", scene.moment.check_overdue);
    expect(count);
    expect(" late");
    scene_tick_before(scene_utc("U1-30m"));
    scene_at(scene_utc("U1-30m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect(" done");
    assert_false(shows(" late"));
}

/* What is done takes a quarter of the page at most; how long an item has stands beside its time. */
static void the_list_shows_what_comes(void **state)
{
    static const int sizes[][2] = {{80, 24}, {120, 40}, {120, 24}};

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("U2-5m"));
    scene_at(scene_utc("U2-5m"));
    scene.view.page = PAGE_LIST;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        int x, y, open_x, open_y, left_x, left_y;

        scene_draw(sizes[i][0], sizes[i][1], GLYPHS_UTF8);
        find(" open", &x, &y);
        find("[ ] ", &open_x, &open_y);
        find(" in 2 min", &left_x, &left_y);
        assert_int_equal(left_y, open_y);
        assert_true(open_y - y - 2 <= sizes[i][1] / 4);
        assert_true(sizes[i][0] == 80 || left_x == open_x + 10);
    }
}

static int item_named(const char *id)
{
    for (int i = 0; i < scene.night.setup.checklist.count; i++)
        if (strcmp(scene.night.setup.checklist.item[i].id, id) == 0)
            return i;
    fail_msg("no item %s", id);
    return -1;
}

static void the_list_says_what_is_wrong(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-30m"));
    scene.view.page = PAGE_LIST;
    scene.view.item = item_named("air");
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("no reading yet");
    scene.view.item = item_named("aim");
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("long not aimed");
    scene_act(
        (struct act){.utc = scene_utc("U1-31m"), .kind = ACT_AIR, .rig = -1, .value = {4, 60}});
    scene_aim(scene_utc("U1-31m"));
    scene_at(scene_utc("U1-30m"));
    scene_draw(120, 40, GLYPHS_UTF8);
    assert_false(shows("no reading yet"));
    assert_false(shows("long not aimed"));
}

static void after_the_last_moonset_nothing_is_counted_down(void **state)
{
    (void)state;
    scene_open(false);
    scene.setup.site.latitude_deg = 40;
    scene.setup.site.longitude_deg = -120;
    night_take_setup(&scene.night, &scene.setup, &scene.eclipse, &scene.zone);
    scene_at(scene_utc("P1+20m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_true(scene.moment.moon.up);
    assert_false(shows("nothing more in the sky tonight"));
    expect(" to moonset");
    assert_false(shows(" to U4"));
    scene_at(scene_utc("greatest"));
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_false(scene.moment.moon.up);
    expect("nothing more in the sky tonight, ");
    assert_false(shows("U3"));
    /* Nobody aims or sets for a Moon that is shot. */
    for (int i = 0; i < scene.night.setup.checklist.count; i++)
        assert_true(scene.moment.check_past[i] || isnan(scene.moment.check_due_utc[i]) ||
                    scene.night.setup.checklist.item[i].group >= CHECK_AFTER);
    assert_int_equal(scene.setup.checklist.item[scene.moment.check_next].group, CHECK_AFTER);
    scene_tick_before(scene_utc("P4+20h"));
    scene_at(scene_utc("greatest"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("nothing more in the sky tonight");
    assert_false(shows("left on the list"));
}

/* Nobody ticked anything: in totality the list does not ask for the day before, and its page says that
 * it was not done. */
static void what_is_past_leaves_the_list(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U2+10m"));
    scene_draw(120, 40, GLYPHS_UTF8);
    assert_false(shows("Charge every battery"));
    scene.view.page = PAGE_LIST;
    scene.view.item = 0;
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("not done");
    expect("Charge every battery");
}

/* The count of what is left is on the screen whatever else Hands has, and in every size of the page. */
static void rounds_left_are_always_counted(void **state)
{
    static const int sizes[][2] = {{80, 24}, {100, 40}, {120, 40}, {160, 50}};
    static const char *const instants[] = {"P1-10m", "U1-20m", "U2-8m", "U2+5m", "U4-20m"};

    (void)state;
    scene_open(false);
    for (size_t i = 0; i < sizeof instants / sizeof *instants; i++)
        for (size_t j = 0; j < sizeof sizes / sizeof *sizes; j++) {
            char count[32];
            double utc = scene_utc(instants[i]);

            scene_at(utc);
            (void)snprintf(
                count, sizeof count, "%d rounds to U4",
                agenda_count(&scene.night.agenda, utc, scene.night.contact_utc[CONTACT_U4]));
            scene_draw(sizes[j][0], sizes[j][1], GLYPHS_UTF8);
            expect(count);
        }
}

static void what_comes_next_has_its_time(void **state)
{
    char text[64], clock[TEXT_INSTANT];
    double round = NAN;

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4+10h"));
    scene.night.setup.rig_count = 1;
    scene.night.stale = STALE_SITE;
    scene_at(scene_utc("U1+5m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_non_null(rounds_next(&scene.night.rounds, 0, scene.moment.utc, &round));
    (void)snprintf(text, sizeof text, "then %s set wide to ",
                   format_time(clock, round + 5 * 3600, false, HOURS_24));
    expect(text);
}

/* What is corrected stands in full where the words have to give way. */
static void a_correction_is_not_cut(void **state)
{
    (void)state;
    scene_open(false);
    scene_act((struct act){
        .utc = scene_utc("P1"), .kind = ACT_CORRECTION, .rig = 1, .value = {TARGET_LIT, -1.7}});
    scene_at(scene_utc("U1+5m"));
    scene.moment.rig[1].exposure.limited_by = LIMITED_BLUR;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("longer would blur, -1.7");
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("longer would blur, -1.7");
}

/* The camera brackets by itself: what to dial stands on every screen that has room for a rig. */
static void a_bracket_says_what_to_dial(void **state)
{
    (void)state;
    scene_open(false);
    for (int rig = 0; rig < RIGS; rig++)
        scene_act((struct act){
            .utc = scene_utc("P1"), .kind = ACT_TARGET, .rig = rig, .value = {TARGET_BRACKET}});
    scene_at(scene_utc("U1+35m"));
    const struct exposure *exposure = &scene.moment.rig[1].exposure;
    char words[BRACKET_WORDS], shown[SETTING_WORDS];
    assert_true(exposure->bracket_frames > 1 && exposure->deficit_stops > 0);
    (void)bracket_words(exposure, false, words);
    (void)setting_words(exposure, 2, shown); /* "middle 1/200 s, ISO 2000" */

    scene_draw(160, 50, GLYPHS_UTF8);
    expect(" (middle of 5)");
    expect(words); /* "5 frames, 2 stops apart" */
    expect("stops apart, umbra");
    expect("stops short");
    static const int size[][2] = {{120, 40}, {80, 24}, {60, 24}};
    for (size_t i = 0; i < sizeof size / sizeof *size; i++) {
        scene_draw(size[i][0], size[i][1], GLYPHS_UTF8);
        expect(size[i][0] == 120 ? " (middle of 5)" : shown);
        (void)snprintf(words, sizeof words, "%d x %.3g", exposure->bracket_frames,
                       exposure->bracket_step_stops);
        expect(words);
        expect(" short");
    }
    scene_draw(40, 24, GLYPHS_UTF8);
    expect(words);
    /* One line for a rig: all of it, or which frame it is. */
    scene_draw(30, 6, GLYPHS_UTF8);
    expect(shown);
}

/* From day to day through the eclipse, for every target and rig: no limit that is none, and no word
 * of darkness beside a sky that is too bright for what is wanted. */
static void no_limit_is_not_named(void **state)
{
    int lost = 0;

    (void)state;
    for (int target = 0; target < TARGETS; target++) {
        scene_open(false);
        for (int rig = 0; rig < RIGS; rig++)
            scene_act((struct act){
                .utc = scene_utc("P1-10h"), .kind = ACT_TARGET, .rig = rig, .value = {target}});
        for (double utc = scene_utc("P1-4h"); utc < scene_utc("P4+9h"); utc += 900) {
            scene_at(utc);
            scene_draw(120, 40, GLYPHS_UTF8);
            assert_false(shows("none)") || shows("limit: none") || shows("capped by none"));
            for (int rig = 0; rig < RIGS; rig++) {
                const struct rig_moment *now = &scene.moment.rig[rig];
                char words[LIMIT_WORDS];
                (void)limit_words(&scene.night.rig[rig].rig, &now->exposure, 0, words);
                lost += now->lost;
                assert_false(now->lost && (strstr(words, "dark") || strstr(words, "short")));
            }
        }
    }
    assert_true(lost > 10);
}

/* A frame that the air explains leaves nothing to be told of its rig. */
static void a_correction_of_nothing_is_not_told(void **state)
{
    (void)state;
    scene_open(false);
    scene_act((struct act){
        .utc = scene_utc("U2+30m"), .kind = ACT_CORRECTION, .rig = 1, .value = {TARGET_UMBRA, 1}});
    scene_at(scene_utc("U2+30m"));
    scene_draw(120, 40, GLYPHS_UTF8);
    assert_false(shows(", +0.0") || shows(", -0.0"));
}

/* A Moon that is not seen is down or behind the local horizon; where no phase is seen that is said. */
static void why_the_moon_is_not_seen(void **state)
{
    (void)state;
    scene_open(false);
    scene.night.site.horizon =
        (struct horizon){.count = 1, .azimuth_rad = {0}, .altitude_rad = {rad_from_deg(45)}};
    scene.night.observer.horizon = scene.night.site.horizon;
    scene_act((struct act){.utc = scene_utc("P1"),
                           .kind = ACT_SITE,
                           .rig = -1,
                           .value = {62, 60, 420},
                           .text = "hand"});
    scene_at(scene_utc("U2"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("behind the local horizon until ");
    assert_false(shows("drifts "));
    assert_false(shows("no phase is up"));
    scene.night.site.horizon.altitude_rad[0] = rad_from_deg(80);
    scene_act((struct act){.utc = scene_utc("P1"),
                           .kind = ACT_SITE,
                           .rig = -1,
                           .value = {62, 60, 420},
                           .text = "hand"});
    scene_at(scene_utc("U2"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("stays behind the local horizon");
    scene_act((struct act){.utc = scene_utc("P1"),
                           .kind = ACT_SITE,
                           .rig = -1,
                           .value = {-3, -60, 0},
                           .text = "hand"});
    scene_at(scene_utc("U2"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("no phase is up from here");
    expect("Moon is down");
    assert_false(shows("the mount follows"));
    assert_false(shows("drifts "));
}

static void fast_light_is_said_ahead(void **state)
{
    const struct rounds *rounds = &scene.night.rounds;
    int first = 0, count = 3;
    char text[80], clock[TEXT_INSTANT];

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4+10h"));
    scene.night.setup.rig_count = 1;
    scene.night.rig[0].rig.interval_s = 10;
    scene.night.stale = STALE_SITE;
    scene_at(scene_utc("P1"));
    while (rounds->round[first + 2].utc - rounds->round[first].utc > 230)
        first++;
    while (rounds->round[first + count].utc - rounds->round[first + count - 2].utc <= 300)
        count++;
    scene_at(rounds->round[first].utc - 65);
    scene_draw(80, 24, GLYPHS_UTF8);
    (void)snprintf(text, sizeof text, "light falls fast from %s: %d rounds in ",
                   format_time(clock, rounds->round[first].utc + 5 * 3600, false, HOURS_24), count);
    expect(text);
    assert_int_equal(role_of("light falls"), ROLE_DUE);

    scene_at(scene_utc("greatest"));
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_false(shows("fast"));
    scene_at(scene_utc("U3+4m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("light grows fast from 22:3");
    /* A remote follows by itself. */
    scene.night.rig[0].rig.remote_exposure = true;
    scene.night.stale = STALE_SITE;
    scene_at(scene_utc("U3+4m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_false(shows("fast"));
}

/* A card that will be full: what comes next, then what presses, then what stays until it is done. */
static void a_full_card_is_said_ahead(void **state)
{
    static const struct {
        int frames; /* that it still holds, one each ten seconds */
        const char *said;
    } cards[] = {
        {15, "change the card of telescope"},
        {8, "change the card of telescope in "},
        {2, "change the card of telescope: full in 0:"},
        {0, "change the card of telescope: full by now"},
    };
    double utc;

    (void)state;
    scene_open(false);
    utc = scene_utc("U1+35m");
    scene_tick_before(scene_utc("P4"));
    scene_aim_wide(utc);
    scene_aim(utc);
    for (int i = 0; i < scene.setup.rig_count; i++) {
        scene.night.rig[i].rig.remote_exposure = true;
        scene.night.rig[i].rig.power.external = true;
    }
    scene.night.stale = STALE_SITE;
    for (size_t i = 0; i < sizeof cards / sizeof *cards; i++) {
        scene.readings.card_free_bytes[2] = cards[i].frames * 30e6;
        scene_at(utc);
        scene_draw(120, 40, GLYPHS_UTF8);
        expect(cards[i].said);
        assert_int_equal(role_of(cards[i].said), i == 0 ? ROLE_LABEL : ROLE_DUE);
    }
    scene.view.page = PAGE_CURVES;
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("change the card of telescope: full by now");
}

/* What does not fit 80 columns gives way to the warning; nothing of it is cut. */
static void an_unseen_contact_is_said_at_every_width(void **state)
{
    (void)state;
    scene_open(false);
    scene_act((struct act){.utc = scene_utc("P1"),
                           .kind = ACT_SITE,
                           .rig = -1,
                           .value = {-48, -120, 0},
                           .text = "hand"});
    scene_at(scene_utc("greatest-20m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("greatest  Moon not up");
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("greatest  deepest shadow (Moon not up)");
}

/* A mount's flip is said well ahead, and up to where the mount stops. */
static void a_flip_is_said_ahead(void **state)
{
    double flip;

    (void)state;
    scene_open(false);
    scene.night.setup.rig[2].mount.german_equatorial = true;
    scene.night.setup.rig[2].mount.past_meridian_min = 30;
    for (int i = 0; i < scene.setup.rig_count; i++)
        scene.night.rig[i].rig.remote_exposure = true;
    /* Where the Moon transits inside totality: the flip comes after it. */
    scene_act((struct act){.utc = scene_utc("P1"),
                           .kind = ACT_SITE,
                           .rig = -1,
                           .value = {48, 100, 0},
                           .text = "hand"});
    scene_tick_before(scene_utc("P4"));
    scene_at(scene_utc("U3"));
    flip = scene.night.framing[2].flip.advised_utc;
    assert_true(flip > scene_utc("U3"));
    scene_at(flip - 600);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("turn the mount of telescope over in 10:00");
    assert_int_equal(role_of("turn the mount"), ROLE_DUE);
    scene_at(scene.night.framing[2].flip.latest_utc + 1);
    scene_draw(80, 24, GLYPHS_UTF8);
    assert_false(shows("turn the mount"));
}

/* A mount that cannot point so low does not follow. */
static void a_moon_out_of_reach_is_said(void **state)
{
    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4"));
    scene_at(scene_utc("U2"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("the mount follows");
    scene.night.rig[2].rig.mount.altitude_min_deg = 60;
    scene_at(scene_utc("U2"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("out of the mount's reach");
    assert_int_equal(role_of("out of the mount's reach"), ROLE_DUE);
    assert_false(shows("the mount follows"));
    /* When it comes into reach stands among what follows, in words that fit. */
    scene.night.setup.rig[2].mount.altitude_min_deg = 40;
    scene_act((struct act){.utc = scene_utc("U1"),
                           .kind = ACT_SITE,
                           .rig = -1,
                           .value = {62, 60, 420},
                           .text = "hand"});
    scene_at(scene_utc("U2-10m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("within reach");
}

/* The re-aim that a contact has moved says so. */
static void an_early_re_aim_names_its_contact(void **state)
{
    double stay;

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4"));
    scene_aim(scene_utc("U2-20m"));
    scene_at(scene_utc("U2-20m"));
    stay = scene.night.rig[1].leaves_utc - scene.night.rig[1].aimed_utc;
    scene_aim(scene_utc("U2") - stay);
    scene_at(scene_utc("U2-140s"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("21:15 re-aim long before U2");
}

/* ---- the rest of a look ---- */

static void unknown_is_never_a_number(void **state)
{
    (void)state;
    scene_open(false);
    /* The night does not follow this instant: the sky is unknown. */
    night_follow(&scene.night, scene_utc("U1"));
    moment_at(&scene.night, &scene.readings, scene_utc("P1-3000h"), &scene.moment);
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("place unknown");
    expect("no air reading yet (w to enter)");
    expect("clock not checked");
    expect("GPS off");
    assert_false(shows("nan"));
    assert_false(shows("inf"));
}

static void clocks_change_places(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("+05  14:47:42 UTC");
    scene.view.utc_first = true;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("14:47:42 UTC  19:47:42 +05");
}

static void the_user_chooses_hours_and_units(void **state)
{
    (void)state;
    scene_open(false);
    scene_act(
        (struct act){.utc = scene_utc("U1-21m"), .kind = ACT_AIR, .rig = -1, .value = {-22, 70}});
    scene_at(scene_utc("U1-20m"));
    scene.night.setup.hours = HOURS_12;
    scene.night.setup.units = UNITS_IMPERIAL;
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("07:47:42pm +05  14:47:42 UTC");
    expect("greatest      09:52:06pm  16:52:06");
    expect("air -7.6 F, 70 %, dew margin -2.9 F: frost");
    scene_at(scene_utc("P4+20m"));
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("01:00:12am +05  20:00:12 UTC");
}

/* Each line of text stands alone, and none is lost that a shorter canvas has. */
static void lines_stand_apart(void **state)
{
    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4+10h"));
    scene_aim_wide(scene_utc("U1+35m"));
    scene_aim(scene_utc("U1+35m"));
    scene_at(scene_utc("U1+38m"));
    scene.view.apart = true;
    scene_draw(80, 60, GLYPHS_UTF8);
    expect("nothing to do for ");
    expect("covers U2 to P4: do not touch it");
    expect("GPS off");
    int first = 0;
    while (strcmp(scene.canvas.cell[first * 80 + 1].text, "1") != 0) /* the first rig */
        first++;
    for (int y = first; y < 59; y++) {
        bool blank = true;
        for (int x = 0; x < 80; x++)
            blank &= scene.canvas.cell[y * 80 + x].text[0] == ' ';
        assert_true(blank || (y - first) % 2 == 0);
    }
}

/* Where there is room for the countdown alone, an answer that is typed is seen. */
static void a_small_canvas_has_the_answer(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    scene.view.prompt = "Note";
    scene.view.typed = "cloud";
    scene_draw(40, 2, GLYPHS_UTF8);
    expect("Note: cloud_");
    scene_draw(18, 5, GLYPHS_UTF8);
    expect("Note: cloud_");
    scene.view.prompt = "That time is past. s: still to do, d: done, Esc: back";
    scene.view.typed = "Cap off @ U2-10m";
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("That time is past. s: still to do, d: done, Esc: back: Cap off @ U2-10m_");
}

/* However many lines it takes. */
static void a_long_note_is_read_to_its_end(void **state)
{
    int notes = 0;

    (void)state;
    scene_open(false);
    scene.view.page = PAGE_LIST;
    for (int i = 0; i < scene.night.setup.checklist.count; i++) {
        const char *note = scene.night.setup.checklist.item[i].note;
        char begins[16];

        scene.view.item = i;
        scene_at(scene_utc("P1-22m"));
        scene_draw(40, 24, GLYPHS_UTF8);
        (void)snprintf(begins, sizeof begins, "%s", note);
        if (strlen(note) < 60 || !shows(begins)) /* not of this night */
            continue;
        expect(strrchr(note, ' ') + 1);
        notes++;
    }
    assert_true(notes > 3);
}

/* As wide as a phone: each thing has a line of its own. */
static void a_slim_canvas_has_air_gps_clock_and_site(void **state)
{
    (void)state;
    scene_open(false);
    scene.readings.gps.state = GPS_FIX;
    scene.readings.gps.satellites = 7;
    scene_at(scene_utc("U1-20m"));
    scene_draw(36, 70, GLYPHS_UTF8);
    expect("GPS fix, 7 satellites");
    assert_int_equal(role_of("GPS fix"), ROLE_VALUE);
    expect("no air reading yet");
    expect("clock not checked");
    expect("62.0000 N  60.0000 E");
}

static void a_moved_site_asks_for_a_key(void **state)
{
    (void)state;
    scene_open(false);
    scene.readings.gps.state = GPS_FIX;
    scene.readings.gps.latitude_deg = 62.01;
    scene.readings.gps.longitude_deg = 60;
    scene_at(scene_utc("U1-20m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("GPS 1.1 km off: g moves site");
    assert_int_equal(role_of("GPS 1.1"), ROLE_DUE);
    /* From the other side of the Earth it is as short: 124 degrees of a great circle. */
    scene.readings.gps.latitude_deg = -62;
    scene_at(scene_utc("U1-20m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect(" km off: g moves site");
}

static void the_last_line_answers(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("? help   Enter menu   space tick");
    scene.view.message = "ticked: focus";
    scene.view.acted = true;
    scene.view.unwritten = 1;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("ticked: focus  saving");
    scene.view.unwritten = 0;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("ticked: focus  \u2713");
    scene.view.quit_armed = true;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("press q again to quit: alarms stop");
    /* Over an answer it is Ctrl-C that asks twice. */
    scene.view.prompt = "Note";
    scene.view.typed = "thin cloud";
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("press Ctrl-C again to quit: alarms stop");
    scene.view.quit_armed = false;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("Note: thin cloud_");
    scene.view.looking_on = true;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("read-only: another copy is recording this night");
    scene.view.trouble = "the disk is full";
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("NOTHING IS BEING SAVED: the disk is full");
    assert_int_equal(role_of("NOTHING"), ROLE_ALARM);
}

/* ---- the pages of keys ---- */

/* Role of a key's label on an open page of keys, where its name stands behind it, in a column of its own
 * or right behind; ROLE_COUNT where it is not shown. */
static enum role key_role(const struct key_row *row)
{
    char line[KEY_LABEL + KEY_NAME + 2];

    (void)snprintf(line, sizeof line, "%-*s%s", KEY_LABEL, row->label, row->name);
    if (shows(line))
        return role_of(line);
    (void)snprintf(line, sizeof line, " %s %s", row->label, row->name);
    int x, y;
    find(line, &x, &y);
    return x < 0 ? ROLE_COUNT
                 : (enum role)scene.canvas.cell[y * scene.canvas.width + x + 1].role;
}

/* The keys to learn stand in the help of every page at once; those of the page stand out. */
static void the_help_has_the_keys_of_a_night_at_once(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    scene.view.keys_open = KEYS_TO_LEARN;
    for (int page = 0; page < PAGES; page++) {
        scene.view.page = (enum page)page;
        scene_draw(80, 24, GLYPHS_UTF8);
        for (int i = 1; key_table[i].name; i++) /* the first one is chosen */
            if (key_table[i].label)
                assert_int_equal(key_role(&key_table[i]), !key_table[i].learn ? ROLE_COUNT
                                                          : (key_table[i].pages & 1U << page)
                                                              ? ROLE_STRONG
                                                              : ROLE_VALUE);
        expect("uncertain by tens of seconds");
        expect("No leap second is");
    }
}

/* Wherever the chosen key stands, it is seen with its explanation, in groups, at any size that has
 * room for them. */
static void a_chosen_key_is_explained(void **state)
{
    static const int sizes[][2] = {{80, 24}, {120, 40}, {60, 24}, {80, 15}, {200, 60}};

    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    for (int open = KEYS_TO_LEARN; open <= KEYS_ALL; open++)
        for (size_t size = 0; size < sizeof sizes / sizeof *sizes; size++) {
            int keys = 0;

            scene.view.keys_open = (enum keys_open)open;
            scene.view.key = 0;
            do {
                const struct key_row *row = &key_table[scene.view.key];
                char first[24];

                scene_draw(sizes[size][0], sizes[size][1], GLYPHS_UTF8);
                assert_int_equal(key_role(row), ROLE_STRONG);
                (void)snprintf(first, sizeof first, "%s", row->help);
                expect(first);
                scene.view.key = key_step(&scene.view, 1, 0);
                keys++;
            } while (scene.view.key != 0);
            assert_true(open == KEYS_ALL ? keys > 40 : keys == 20);
        }
}

/* A large window has all keys at once: those to learn beside their help, the menu in whole groups. */
static void a_large_window_has_all_keys_at_once(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    scene.view.keys_open = KEYS_TO_LEARN;
    scene_draw(200, 60, GLYPHS_UTF8);
    for (int i = 0; key_table[i].name; i++)
        if (key_table[i].learn)
            expect(key_table[i].help);
    scene.view.keys_open = KEYS_ALL;
    for (int width = 120; width <= 200; width += 80) {
        int heading_x = 0, heading_y = 0, in_group = 0;

        scene_draw(width, width == 120 ? 40 : 60, GLYPHS_UTF8);
        for (int i = 0; key_table[i].name; i++) {
            char line[KEY_LABEL + KEY_NAME + 1];
            int x, y;

            if (i == 0 || key_table[i].group != key_table[i - 1].group) {
                find(key_group_name(key_table[i].group), &heading_x, &heading_y);
                assert_true(heading_y > 0);
                in_group = 0;
            }
            if (!key_table[i].label)
                continue;
            (void)snprintf(line, sizeof line, "%-*s%s", KEY_LABEL, key_table[i].label,
                           key_table[i].name);
            find(line, &x, &y);
            assert_int_equal(x, heading_x + 2);
            assert_int_equal(y, heading_y + ++in_group);
        }
        expect("Esc goes back");
    }
}

/* The usual window has all of the menu at once, each group with its heading in every column that it
 * stands in; a smaller one says that there is more. */
static void the_usual_window_has_the_menu_at_once(void **state)
{
    int x, y, heading_y;

    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1-20m"));
    scene.view.keys_open = KEYS_ALL;
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("Esc goes back");
    for (int i = 0; key_table[i].name; i++)
        if (key_table[i].label)
            assert_int_not_equal(key_role(&key_table[i]), ROLE_COUNT);
    for (int group = 0; group < KEY_GROUPS; group++) {
        find(key_group_name((enum key_group)group), &x, &y);
        assert_true(y > 0);
    }
    /* Expose goes on beside where it began, and says so. */
    find("Expose              Tick and note", &x, &heading_y);
    find("  f frame taken", &x, &y);
    assert_true(heading_y > 0);
    assert_int_equal(y, heading_y + 1);
    scene_draw(80, 20, GLYPHS_UTF8);
    expect("choose and see more with the arrows");
}

/* Left and right go by groups, both ways round. */
static void groups_are_stepped_through(void **state)
{
    (void)state;
    scene_open(false);
    scene.view.keys_open = KEYS_ALL;
    for (int way = -1; way <= 1; way += 2) {
        bool met[KEY_GROUPS] = {false};

        scene.view.key = 0;
        for (int i = 0; i < KEY_GROUPS; i++) {
            scene.view.key = key_step(&scene.view, 0, way);
            const struct key_row *row = &key_table[scene.view.key];
            assert_false(met[row->group]);
            met[row->group] = true;
            assert_true(row == key_table || row[-1].group != row->group);
        }
        assert_int_equal(scene.view.key, 0);
    }
    scene.view.key = 2;
    assert_int_equal(key_step(&scene.view, -1, 0), 1);
    assert_true(key_table[key_step(&scene.view, -3, 0)].group == KEYS_SETUP);
}

/* Twenty columns and five lines say what to set; a page that has no room says so. */
static void small_windows_are_of_use(void **state)
{
    (void)state;
    scene_open(false);
    scene_aim(scene_utc("U1"));
    scene_at(scene_utc("U1+5m"));
    scene_draw(20, 5, GLYPHS_UTF8);
    expect("U2 in 1:03:45 h");
    expect("1 1/2500 s, ISO 100");
    scene.view.page = PAGE_KIT;
    scene_draw(20, 5, GLYPHS_UTF8);
    expect("1 empty 21:59");
    scene_draw(60, 2, GLYPHS_UTF8);
    expect("kit: no room");
    scene_draw(40, 1, GLYPHS_UTF8);
    expect("U2 in 1:03:45 h");
    expect("kit: no room");
    scene.view.keys_open = KEYS_TO_LEARN;
    scene_draw(40, 1, GLYPHS_UTF8);
    expect("help: no room");
}

/* From afar the countdown has its contact's name, and the hands have a countdown of their own. With the
 * smallest font in use, 4 mm a line, six lines are 28 arcminutes at 3 m: more than five times what sight
 * of 1.0 reads (5 arcminutes, ISO 8596; from memory). */
static void the_far_view_has_both_counts(void **state)
{
    static const struct {
        int width, height, solid_lines;
    } windows[] = {{80, 24, 2 * 6}, {120, 40, 2 * 12}, {200, 60, 2 * 18}};
    int beside = 0;

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("P4+10h"));
    scene_aim_wide(scene_utc("U1+34m"));
    scene_aim(scene_utc("U1+34m"));
    scene_at(scene_utc("U1+38m"));
    scene.view.page = PAGE_FAR;
    for (size_t i = 0; i < sizeof windows / sizeof windows[0]; i++) {
        int width = windows[i].width, lines = 0;

        scene_draw(width, windows[i].height, GLYPHS_UTF8);
        expect("U2 in ");
        expect("nothing to do for ");
        for (int y = 0; y < windows[i].height; y++) {
            int solid = 0;
            for (int x = 0; x < width; x++)
                solid += scene.canvas.cell[y * width + x].quarters != 0;
            lines += solid > 0;
        }
        assert_true(lines >= windows[i].solid_lines);
    }
    /* Where no line is left above the second one, its name stands beside it. */
    scene_draw(80, 22, GLYPHS_UTF8);
    for (int y = 13; y < 21; y++)
        for (int x = 0; x < 12; x++)
            beside += scene.canvas.cell[y * 80 + x].quarters != 0;
    assert_true(beside > 12);
}

static void items_are_chosen_in_the_order_shown(void **state)
{
    struct view *view = &scene.view;

    (void)state;
    scene_open(false);
    scene_tick_before(scene_utc("U2-31m"));
    scene_at(scene_utc("U2-28m"));
    int urgent = view_item(view, &scene.night, &scene.moment);
    assert_int_equal(urgent, checklist_find(&scene.setup.checklist, "focus-again"));
    view->item = view_item_step(view, &scene.night, &scene.moment, 1);
    assert_int_equal(view->item, checklist_find(&scene.setup.checklist, "glass"));
    view->item = view_item_step(view, &scene.night, &scene.moment, -5);
    assert_int_equal(view->item, urgent);
    /* Once ticked it is gone from the panel, and the next one is the most urgent. */
    scene_tick(urgent, scene_utc("U2-28m"));
    scene_at(scene_utc("U2-28m"));
    assert_int_equal(view_item(view, &scene.night, &scene.moment),
                     checklist_find(&scene.setup.checklist, "glass"));
    /* On its page the list keeps it. */
    view->page = PAGE_LIST;
    assert_int_equal(view_item(view, &scene.night, &scene.moment), urgent);
    for (int i = 0; i < scene.setup.checklist.count; i++)
        if (isnan(scene.night.checked_utc[i]))
            scene_tick(i, scene_utc("U2-28m"));
    view->page = PAGE_NIGHT;
    scene_at(scene_utc("U2-28m"));
    assert_int_equal(view_item(view, &scene.night, &scene.moment), -1);
    assert_int_equal(view_item_step(view, &scene.night, &scene.moment, 1), -1);
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("everything is ticked");
    scene.night.setup.checklist.count = 0;
    scene_at(scene_utc("U2-28m"));
    scene_draw(80, 24, GLYPHS_UTF8);
    expect("nothing on it");
}

/* ---- pictures ---- */

/* Dots of some roles in a part of the canvas: how many, and their middle in dots from its corner.
 */
struct spot {
    int dots;
    double x, y;
};

static struct spot find_spot(int left, int top, int width, int height, unsigned roles)
{
    static const int row_of[8] = {0, 1, 2, 0, 1, 2, 3, 3}, column_of[8] = {0, 0, 0, 1, 1, 1, 0, 1};
    struct spot spot = {0};

    for (int i = 0; i < width * height; i++) {
        int x = i % width, y = i / width;
        const struct cell *cell = &scene.canvas.cell[(top + y) * scene.canvas.width + left + x];
        for (int bit = 0; bit < 8; bit++) {
            if (!(roles & 1u << cell->role) || !(cell->dots & 1u << bit))
                continue;
            spot.dots++;
            spot.x += 2 * x + column_of[bit] + 0.5;
            spot.y += 4 * y + row_of[bit] + 0.5;
        }
    }
    spot.x /= spot.dots;
    spot.y /= spot.dots;
    return spot;
}

/* First line of the picture of a rig: its border's corner stands in the first column. */
static int frame_top(void)
{
    for (int y = 0; y < scene.canvas.height; y++) {
        uint8_t dots = scene.canvas.cell[y * scene.canvas.width].dots;
        if (dots & 1)
            return y;
    }
    fail_msg("no frame");
    return 0;
}

/* Before P1 the whole disc is lit; a frame of 3:2 in a page of 120x40. */
static void the_disc_has_its_size_and_place(void **state)
{
    (void)state;
    scene_open(false);
    double utc = scene_utc("P1-5m");
    scene_aim(utc);
    scene_at(utc);
    scene.view.page = PAGE_FRAME;
    scene.view.rig = 1;
    scene_draw(120, 40, GLYPHS_UTF8);
    int top = frame_top(), columns = 0;
    while (scene.canvas.cell[top * 120 + columns].dots)
        columns++;
    double width = 2 * columns, height = floor(width / 1.5);
    struct spot disc = find_spot(0, top, columns, 40 - top - 1, 1u << ROLE_LIT);
    assert_true(fabs(disc.x - (0.5 - 0.2) * width) < 1.5);
    assert_true(fabs(disc.y - (0.5 + 0.1) * height) < 1.5);
    double radius = 400 * tan(scene.moment.moon.semidiameter_rad) / 15.6 * height;
    double area = PI * radius * radius;
    assert_true(radius > 8);
    assert_true(fabs(disc.dots - area) < 0.06 * area);
    expect("it stands");
    /* Where it should be put is said again when it is to be put there. */
    assert_false(shows("put it"));
    scene_at(scene.night.rig[1].leaves_utc - 30);
    scene_draw(120, 40, GLYPHS_UTF8);
    expect("put it     far left");
}

/* In the print of a wide rig the disc is smaller than half a cell: wherever it stands, one has all its
 * light, and no print is black that the setting does not leave black. */
static void the_smallest_disc_keeps_its_light(void **state)
{
    enum { RIG_LINES = 9, PRINT_COLUMNS = 3 * RIG_LINES + 2 };
    double from, to;
    int x, y;

    (void)state;
    scene_open(false);
    from = scene_utc("P1");
    to = scene_utc("U1-20m");
    for (double utc = from; utc < to; utc += 60) {
        struct print_ask print;
        int brightest = 0;

        scene_at(utc);
        scene_draw(200, 60, GLYPHS_UTF8);
        find("1 wide", &x, &y);
        print_ask_make(&scene.night, &scene.moment, 0, &print);
        for (int i = 0; i < RIG_LINES * PRINT_COLUMNS; i++) {
            int at = (y + i / PRINT_COLUMNS + 1) * 200 - 1 - i % PRINT_COLUMNS;
            for (int half = 0; half < 2; half++)
                if (scene.canvas.cell[at].half[half] > brightest)
                    brightest = scene.canvas.cell[at].half[half];
        }
        /* The maria take a little, and so does the thin of the penumbra. */
        assert_true(brightest >= 0.8 * 255 * print_tone(print_stops(&print, 1)));
    }
}

/* On a northern mount north is up and east is left: the umbra lies where the shadow's axis is. */
static void the_umbra_lies_on_the_right_side(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1+35m"));
    scene.view.page = PAGE_FRAME;
    scene.view.rig = 2;
    scene_draw(120, 40, GLYPHS_UTF8);
    int top = frame_top();
    struct spot lit = find_spot(0, top, 80, 40 - top - 1, 1u << ROLE_LIT);
    struct spot shade = find_spot(0, top, 80, 40 - top - 1, 1u << ROLE_SHADE);
    double drawn = atan2(-(shade.y - lit.y), shade.x - lit.x);
    double wanted = atan2(-scene.moment.shadow.north, scene.moment.shadow.east);
    assert_true(fabs(angle_wrap_signed(drawn - wanted)) < rad_from_deg(5));
    expect("rings: in 30, 60 min");
}

/* The mark of now stands at its share of the span from P1 to P4. */
static void curves_mark_now(void **state)
{
    enum { GUTTER = 20, LINE = 10 };

    (void)state;
    scene_open(false);
    double utc = scene_utc("U2+20m");
    scene_at(utc);
    scene.view.page = PAGE_CURVES;
    scene_draw(120, 40, GLYPHS_ASCII);
    double share = (utc - scene_utc("P1")) / (scene_utc("P4") - scene_utc("P1"));
    int x = GUTTER + (int)(share * (120 - GUTTER));
    assert_string_equal(scene.canvas.cell[LINE * 120 + x].text, "|");
    assert_int_equal(scene.canvas.cell[LINE * 120 + x].role, ROLE_STRONG);
    expect("mag dimmer");
    expect("Next set 1");
    assert_false(shows("2 long"));
    /* Another day's sky is followed: no altitudes are made up. */
    scene_at(scene_utc("P1-3000h"));
    scene_draw(120, 40, GLYPHS_ASCII);
    expect("known from the eclipse's day on");
}

/* With much room the curves have every rig, and the night's page says nothing beside them again. */
static void a_large_window_has_every_rigs_curve(void **state)
{
    int wide_y, long_y, last_y, x, y;

    (void)state;
    scene_open(false);
    scene_at(scene_utc("U2+20m"));
    scene.view.page = PAGE_CURVES;
    scene_draw(200, 60, GLYPHS_UTF8);
    find("1 wide", &x, &wide_y);
    find("2 long", &x, &long_y);
    find("3 telescope", &x, &last_y);
    assert_true(wide_y > 0 && long_y >= wide_y + 8 && last_y >= long_y + 8);
    find("Next set 1", &x, &y);
    assert_true(y >= last_y + 8);
    scene.view.page = PAGE_NIGHT;
    scene_draw(200, 60, GLYPHS_UTF8);
    find("mag dimmer", &x, &y);
    assert_true(y > 0);
    *scene.canvas.cell[y * 200 + x].text = '.';
    assert_false(shows("mag dimmer"));
}

/* The centre needs no per cent, a drift of hours no minutes; the keys stand apart from what is said. */
static void the_frame_page_says_what_is_needed(void **state)
{
    int x, y;

    (void)state;
    scene_open(false);
    scene_at(scene_utc("U3-20m"));
    scene.view.page = PAGE_FRAME;
    scene.view.rig = 2;
    scene_draw(120, 40, GLYPHS_ASCII);
    expect("put it     centre");
    assert_false(shows("of centre"));
    expect("a disc in 7h");
    find("a aimed   1-3 rig", &x, &y);
    assert_string_equal(scene.canvas.cell[(y - 1) * 120 + x].text, " ");
    scene.view.rig = 1;
    scene_draw(120, 40, GLYPHS_ASCII);
    expect("of centre  ");
}

/* ---- sizes ---- */

static void assert_lines_are_whole(void)
{
    const struct canvas *canvas = &scene.canvas;

    for (int y = 0; y < canvas->height; y++) {
        int columns = 0;
        for (int x = 0; x < canvas->width; x++)
            columns += canvas->cell[y * canvas->width + x].width;
        assert_int_equal(columns, canvas->width);
    }
}

static void every_size_is_drawn(void **state)
{
    (void)state;
    scene_open(true);
    (void)snprintf(scene.night.site.name, sizeof scene.night.site.name, "\u6708\u5c71 e\u0301");
    srand(7);
    for (int round = 0; round < 10000; round++) {
        int width = 1 + rand() % (round % 2 ? 300 : 90),
            height = 1 + rand() % (round % 2 ? 100 : 30);
        if (round % 500 == 0) {
            double utc = scene_utc("P1") + rand() % 20000;
            scene_aim(utc - rand() % 1400);
            scene_at(utc);
        }
        scene.view.page = (enum page)(rand() % PAGES);
        scene.view.rig = rand() % 3;
        scene.view.keys_open = rand() % 5 == 0 ? (enum keys_open)(1 + rand() % 2) : KEYS_CLOSED;
        scene.view.key = rand() % 2 ? 0 : 30;
        scene.view.apart = rand() % 4 == 0;
        scene.night.setup.hours = (enum hours)(rand() % HOURS_FORMS);
        scene.view.trouble = rand() % 4 == 0 ? "no room" : NULL;
        scene_draw(width, height, rand() % 2 ? GLYPHS_UTF8 : GLYPHS_ASCII);
        assert_lines_are_whole();
        if (width >= 24)
            expect("REHEARSAL");
    }
}

/* ---- nothing is cut without its mark ---- */

/* A word is what several widths show; a piece that has lost its mark, or two words that overlap,
 * changes with the width. */
enum { WORDS = 1 << 14, WORD_BYTES = 64, SHOWN_BY = 4, WIDEST = 130, HIGHEST = 32 };

static struct word {
    char text[WORD_BYTES];
    int width; /* that showed it last */
    int widths;
} words[WORDS];

static struct word *find_word(const char *text)
{
    unsigned at = 5381;

    for (const char *c = text; *c; c++)
        at = 33 * at + (unsigned char)*c;
    for (;; at++) {
        struct word *word = &words[at % WORDS];
        if (*word->text == '\0' || strcmp(word->text, text) == 0)
            return word;
    }
}

static bool learn(const char *text)
{
    struct word *word = find_word(text);

    if (word->width != scene.canvas.width)
        word->widths++;
    word->width = scene.canvas.width;
    if (*word->text == '\0')
        (void)snprintf(word->text, sizeof word->text, "%s", text);
    return true;
}

/* Labels in a picture (minutes, clocks, how large it is drawn) go with its size. */
static bool goes_with_size(const char *text)
{
    return scene.view.page == PAGE_FRAME && text[strspn(text, "0123456789:.apm")] == '\0';
}

static bool is_known(const char *text)
{
    return find_word(text)->widths >= SHOWN_BY || goes_with_size(text);
}

/* A cell between words: blank, or of a picture. */
static bool is_between(const struct cell *cell, const char *upright)
{
    return cell->text[0] == ' ' || cell->dots || cell->quarters || strcmp(cell->text, upright) == 0;
}

/* Calls `take` for each word of the canvas; one that carries the mark of a cut is left out. Returns
 * the first word that `take` refuses, else null. */
static const char *each_word(bool (*take)(const char *))
{
    static char word[WORD_BYTES];
    const struct canvas *canvas = &scene.canvas;
    const char *cut = glyph(canvas->glyphs, GLYPH_CUT);
    const char *upright = glyph(canvas->glyphs, GLYPH_UPRIGHT);

    for (int y = 0; y < canvas->height; y++) {
        bool marked = false;
        size_t length = 0;
        for (int x = 0; x <= canvas->width; x++) {
            const struct cell *cell = &canvas->cell[y * canvas->width + x];
            bool ends = x == canvas->width || is_between(cell, upright);
            if (!ends) {
                marked |= strcmp(cell->text, cut) == 0;
                size_t more = strlen(cell->text);
                assert_true(length + more < sizeof word);
                memcpy(word + length, cell->text, more);
                length += more;
                continue;
            }
            /* A clause that is left out takes its comma along. */
            if (length > 1 && strchr(",;:", word[length - 1]))
                length--;
            word[length] = '\0';
            if (length > 0 && !marked && !take(word))
                return word;
            length = 0;
            marked = false;
        }
    }
    return NULL;
}

/* In ASCII the pictures of curves and frame are made of characters; the golden canvases have them.
 */
static bool has_characters_for_dots(enum glyph_set glyphs, int width)
{
    return glyphs == GLYPHS_ASCII && !scene.view.keys_open &&
           (scene.view.page == PAGE_CURVES || scene.view.page == PAGE_FRAME ||
            (scene.view.page == PAGE_NIGHT && width >= 58));
}

/* Every page, the help and the menu at one size. */
static void take_pages(int width, int height, enum glyph_set glyphs, bool (*take)(const char *))
{
    enum { HELP = PAGES, MENU, ALL };

    for (int page = 0; page < ALL; page++) {
        scene.view.page = (enum page)(page % PAGES);
        scene.view.keys_open = page == HELP ? KEYS_TO_LEARN : page == MENU ? KEYS_ALL : KEYS_CLOSED;
        if (has_characters_for_dots(glyphs, width))
            continue;
        scene_draw(width, height, glyphs);
        const char *piece = each_word(take);
        if (!piece)
            continue;
        canvas_print(&scene.canvas, stderr, false);
        fail_msg("%dx%d: '%s' is no word", width, height, piece);
    }
}

/* Every page at every size of a grid, at moments of every kind, with long names. */
static void words_are_whole_or_marked(void **state)
{
    static const char *const moments[] = {"P1-3000h", "P1-10m", "U1+35m",
                                          "U2-2m",    "U3-13m", "P4+5m"};
    const int step = SLOWED ? 12 : 6;

    (void)state;
    for (size_t i = 0; i < 2 * sizeof moments / sizeof *moments; i++) {
        enum glyph_set glyphs = i % 2 ? GLYPHS_ASCII : GLYPHS_UTF8;
        double utc = scene_utc(moments[i / 2]);
        if (QUICK && i / 2 != 2)
            continue;
        scene_open(i % 4 < 2);
        for (int rig = 0; rig < scene.night.setup.rig_count; rig++)
            (void)snprintf(scene.night.rig[rig].rig.name, RIG_NAME, "refractor-%d-east", rig);
        scene_act((struct act){.utc = utc - 90, .kind = ACT_AIR, .rig = -1, .value = {-22, 70}});
        if (i > 3)
            scene_aim(utc - 600);
        scene.view.message = i % 3 ? "taken-back: something-long was-ticked" : NULL;
        scene.view.trouble = i % 5 ? NULL : "the-disk of-this-laptop is-full";
        scene.view.apart = i % 4 == 3;
        scene.night.setup.hours = i % 3 == 1 ? HOURS_12 : HOURS_24;
        scene.night.setup.units = i % 3 == 2 ? UNITS_IMPERIAL : UNITS_METRIC;
        scene_at(utc);
        memset(words, 0, sizeof words);
        for (int width = 1; width <= 300; width += width < WIDEST || width >= 290 ? 1 : 10) {
            take_pages(width, 100, glyphs, learn);
            for (int height = 1; height <= 22; height += 7)
                take_pages(width, height, glyphs, learn);
        }
        /* A sixth of the sizes each time, so that every size meets two of the moments; under a
         * sanitizer, which looks for something else, a twelfth. */
        for (int width = 1; width <= WIDEST; width++)
            for (int height = 1 + (width + (int)i) % step; height <= HIGHEST; height += step)
                take_pages(width, height, glyphs, is_known);
        take_pages(300, 100, glyphs, is_known);
    }
}

static void drawing_does_not_allocate(void **state)
{
    (void)state;
    scene_open(false);
    scene_at(scene_utc("U1+5m"));
    scene_draw(120, 40, GLYPHS_UTF8);
    struct mallinfo2 before = mallinfo2();
    for (int i = 0; i < 100; i++) {
        scene.view.page = (enum page)(i % PAGES);
        dashboard_draw(&scene.canvas, &scene.night, &scene.moment, &scene.view);
    }
    assert_true(mallinfo2().uordblks == before.uordblks);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_countdown_is_whole_in_every_width),
        cmocka_unit_test(hands_tell_the_most_urgent),
        cmocka_unit_test(the_sun_comes_before_any_aim),
        cmocka_unit_test(aim_goes_from_steady_to_alarm),
        cmocka_unit_test(a_round_is_said_ahead),
        cmocka_unit_test(overdue_is_said_beside_what_presses),
        cmocka_unit_test(the_list_and_the_hands_count_alike),
        cmocka_unit_test(what_is_past_leaves_the_list),
        cmocka_unit_test(the_list_shows_what_comes),
        cmocka_unit_test(the_list_says_what_is_wrong),
        cmocka_unit_test(after_the_last_moonset_nothing_is_counted_down),
        cmocka_unit_test(rounds_left_are_always_counted),
        cmocka_unit_test(what_comes_next_has_its_time),
        cmocka_unit_test(a_correction_is_not_cut),
        cmocka_unit_test(a_correction_of_nothing_is_not_told),
        cmocka_unit_test(a_bracket_says_what_to_dial),
        cmocka_unit_test(no_limit_is_not_named),
        cmocka_unit_test(why_the_moon_is_not_seen),
        cmocka_unit_test(fast_light_is_said_ahead),
        cmocka_unit_test(a_full_card_is_said_ahead),
        cmocka_unit_test(an_unseen_contact_is_said_at_every_width),
        cmocka_unit_test(a_flip_is_said_ahead),
        cmocka_unit_test(a_moon_out_of_reach_is_said),
        cmocka_unit_test(an_early_re_aim_names_its_contact),
        cmocka_unit_test(unknown_is_never_a_number),
        cmocka_unit_test(clocks_change_places),
        cmocka_unit_test(the_user_chooses_hours_and_units),
        cmocka_unit_test(lines_stand_apart),
        cmocka_unit_test(a_small_canvas_has_the_answer),
        cmocka_unit_test(a_long_note_is_read_to_its_end),
        cmocka_unit_test(a_slim_canvas_has_air_gps_clock_and_site),
        cmocka_unit_test(a_moved_site_asks_for_a_key),
        cmocka_unit_test(the_last_line_answers),
        cmocka_unit_test(the_help_has_the_keys_of_a_night_at_once),
        cmocka_unit_test(a_chosen_key_is_explained),
        cmocka_unit_test(a_large_window_has_all_keys_at_once),
        cmocka_unit_test(the_usual_window_has_the_menu_at_once),
        cmocka_unit_test(groups_are_stepped_through),
        cmocka_unit_test(small_windows_are_of_use),
        cmocka_unit_test(the_far_view_has_both_counts),
        cmocka_unit_test(items_are_chosen_in_the_order_shown),
        cmocka_unit_test(the_disc_has_its_size_and_place),
        cmocka_unit_test(the_smallest_disc_keeps_its_light),
        cmocka_unit_test(the_umbra_lies_on_the_right_side),
        cmocka_unit_test(curves_mark_now),
        cmocka_unit_test(a_large_window_has_every_rigs_curve),
        cmocka_unit_test(the_frame_page_says_what_is_needed),
        cmocka_unit_test(every_size_is_drawn),
        cmocka_unit_test(words_are_whole_or_marked),
        cmocka_unit_test(drawing_does_not_allocate),
    };
    int result = cmocka_run_group_tests(tests, NULL, NULL);

    scene_close();
    return result;
}
