/* Whole nights, every ten minutes, as a cold person reads them: what to do comes first, what
 * nobody needs at that hour does not stand there, and no sentence is cut. */
#include <regex.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "screen/scene.h"
#include "timed.h"

/* UTC days of greatest eclipse, and places from which all, a part or nothing of it is seen. */
static const struct walk {
    double day_utc, latitude_deg, longitude_deg;
} walks[] = {
    {1861833600, 62, 60},   /* 2028-12-31, total */
    {1861833600, 35, 139},  /* high */
    {1757203200, 48, 12},   /* 2025-09-07, total, rises eclipsed */
    {1757203200, -33, 151}, /* sets eclipsed */
    {1772496000, 20, -156}, /* 2026-03-03, total, high */
    {1772496000, 51, 0},    /* not seen */
    {1787875200, 40, -4},   /* 2026-08-28, partial, sets */
    {1787875200, -23, -46}, /* high */
    {1831248000, 52, 5},    /* 2028-01-12, partial */
    {1877126400, -12, -77}, /* 2029-06-26, total, high */
    {1803081600, 45, 10},   /* 2027-02-20, penumbral */
};
enum { WALKS = sizeof walks / sizeof *walks, STEP_S = 600, LIVES = 2 };
enum life { IDLE, DILIGENT }; /* nothing is done; everything is done in time */

static const int sizes[][2] = {{80, 24}, {120, 40}};
enum { SIZES = sizeof sizes / sizeof *sizes };

static void open_walk(const struct walk *walk)
{
    struct fault fault = {0};

    scene_open(false);
    night_close(&scene.night);
    memset(&scene.night, 0, sizeof scene.night);
    scene.setup.site.latitude_deg = walk->latitude_deg;
    scene.setup.site.longitude_deg = walk->longitude_deg;
    assert_true(eclipse_of_day(walk->day_utc, SHADOW_DANJON, &scene.eclipse));
    if (night_open(&scene.night, &scene.setup, &scene.eclipse, &scene.zone, false, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void tick_due(double utc)
{
    for (int i = 0; i < scene.setup.checklist.count; i++)
        if (item_applies(&scene.night, i) && isnan(scene.night.checked_utc[i]) &&
            !(item_due_utc(&scene.night, i) >= utc))
            scene_tick(i, utc);
}

/* As advised, whatever the Moon has reached. */
static void aim_all(double utc)
{
    for (int rig = 0; rig < scene.setup.rig_count; rig++) {
        const struct rig_moment *now = &scene.moment.rig[rig];
        if (scene.setup.rig[rig].support != SUPPORT_FIXED || now->aim_state == AIM_DONE ||
            (now->pose && pose_is_held(&scene.night, &scene.moment, rig)) ||
            !scene.moment.moon.up)
            continue;
        struct act act = advised_aim(now, rig);
        act.utc = utc;
        scene_act(act);
    }
}

static void live(enum life life, double utc)
{
    scene_at(utc);
    if (life == IDLE)
        return;
    tick_due(utc);
    aim_all(utc);
    scene_at(utc);
}

/* ---- what is read ---- */

static bool matches(const char *text, const char *pattern)
{
    regex_t compiled;

    assert_int_equal(regcomp(&compiled, pattern, REG_EXTENDED | REG_NOSUB | REG_NEWLINE), 0);
    bool found = regexec(&compiled, text, 0, NULL, 0) == 0;
    regfree(&compiled);
    return found;
}

static void refuse(const char *text, const char *pattern)
{
    if (!matches(text, pattern))
        return;
    (void)fputs(text, stderr);
    fail_msg("stands there: %s", pattern);
}

/* The line, from 0 on, in which a text stands; -1: in none. */
static int line_of(const char *text, const char *what)
{
    const char *found = strstr(text, what);
    int line = 0;

    for (const char *at = text; found && at < found; at++)
        line += *at == '\n';
    return found ? line : -1;
}

static void each_canvas(enum page page, void (*check)(const char *text))
{
    scene.view.page = page;
    for (int i = 0; i < SIZES; i++) {
        scene_draw(sizes[i][0], sizes[i][1], GLYPHS_UTF8);
        char *text = scene_text(false);
        check(text);
        free(text);
    }
}

static void walk_all(void (*check)(void))
{
    /* Where time is short, three of them. */
    for (int i = 0; i < WALKS; i += QUICK ? 4 : 1) {
        for (enum life life = IDLE; life <= DILIGENT; life++) {
            open_walk(&walks[i]);
            double from = scene.night.contact_utc[CONTACT_P1] - 3 * 3600;
            double to = scene.night.contact_utc[CONTACT_P4] + 2 * 3600;
            for (double utc = from; utc <= to; utc += STEP_S) {
                live(life, utc);
                check();
            }
        }
    }
}

/* ---- the order ---- */

static void order_is(const char *text)
{
    const int line[] = {
        line_of(text, "Hands "), line_of(text, "1 wide"),      line_of(text, "2 long"),
        line_of(text, "3 telescope"), line_of(text, "Moon   "), line_of(text, "Site "),
    };

    for (size_t i = 1; i < sizeof line / sizeof *line; i++)
        if (line[i] <= line[i - 1]) {
            (void)fputs(text, stderr);
            fail_msg("place %zu", i);
        }
    /* The countdown: the first line with a clock and the name of its zone below the hands. */
    int count = line_of(text, "\u2588");
    if (count >= 0 && !(count > line[0] && count < line[1])) {
        (void)fputs(text, stderr);
        fail_msg("the countdown");
    }
}

static void check_order(void)
{
    if (scene.moment.alarm_rig < 0)
        each_canvas(PAGE_NIGHT, order_is);
}

static void what_to_do_comes_first(void **state)
{
    (void)state;
    walk_all(check_order);
}

/* ---- what nobody needs ---- */

static double end_of_use(void)
{
    double last = scene.night.contact_utc[CONTACT_P4];

    for (int i = 0; i < scene.setup.rig_count; i++)
        last = fmax(last, scene.night.rig[i].ends_utc);
    return last;
}

static void no_moonset(const char *text)
{
    refuse(text, "moonset|sets in");
}

static bool is_put(int rig)
{
    return scene.moment.rig[rig].aim_state == AIM_STEADY;
}

static void no_place_for_long(const char *text)
{
    refuse(text, "2 long.*(far|Moon (left|right|in the))");
    refuse(text, "centre it|centred|put it|put there");
}

static void no_pose_any_more(const char *text)
{
    refuse(text, "Moon leaves|: leaves|aimed (at )?[0-9a]|up, .*do not touch it");
}

/* The wide rig, to the end of the eclipse. */
static bool stands(void)
{
    const struct rig_moment *wide = &scene.moment.rig[0];

    return wide->aim_state == AIM_STEADY && !isfinite(wide->due_in_s) &&
           pose_is_held(&scene.night, &scene.moment, 0) &&
           (wide->pose->sets || wide->pose->leaves_utc >= scene.night.contact_utc[CONTACT_P4]);
}

static void no_needless(const char *text)
{
    refuse(text, "stays (in frame )?[0-9]+:[0-9]{2}:[0-9]{2}");
    refuse(text, "[0-9]:[0-9]{2}:[0-9]{2} (more|less)");
    refuse(text, "magnitude -");
    refuse(text, "(put there|centred|portrait|landscape) +[0-9]+:[0-9]{2}:[0-9]{2}");
}

static void portrait_is_offered(const char *text)
{
    assert_true(matches(text, "2 long|long, landscape"));
    if (!matches(text, "portrait")) {
        (void)fputs(text, stderr);
        fail_msg("portrait is not offered");
    }
}

static void portrait_is_not_offered(const char *text)
{
    refuse(text, "portrait");
}

static int offers, stays_put, no_sets, stood;

static void check_needs(void)
{
    const struct rig_moment *lon = &scene.moment.rig[1];
    bool pays = lon->turned_stays_s > lon->aim.placed_stays_s * 4 / 3;
    bool asked = lon->aim_state == AIM_FREE || lon->aim_state == AIM_SOON;
    bool set_counts = scene.moment.horizon_utc <= end_of_use();

    scene.view.rig = 1;
    each_canvas(PAGE_NIGHT, no_needless);
    each_canvas(PAGE_FRAME, no_needless);
    if (!set_counts || scene.moment.utc > end_of_use()) {
        no_sets++;
        each_canvas(PAGE_NIGHT, no_moonset);
    }
    if (is_put(1)) {
        stays_put++;
        each_canvas(PAGE_FRAME, no_place_for_long);
        each_canvas(PAGE_NIGHT, no_place_for_long);
    }
    if (stands()) {
        stood++;
        each_canvas(PAGE_NIGHT, no_pose_any_more);
    }
    if (pays && asked) {
        offers++;
        each_canvas(PAGE_NIGHT, portrait_is_offered);
        each_canvas(PAGE_FRAME, portrait_is_offered);
    } else if (!pays) {
        each_canvas(PAGE_NIGHT, portrait_is_not_offered);
        each_canvas(PAGE_FRAME, portrait_is_not_offered);
    }
}

static void nothing_needless_stands_there(void **state)
{
    (void)state;
    offers = stays_put = no_sets = stood = 0;
    walk_all(check_needs);
    /* The walk has met what it asks about. */
    assert_true(offers > 10 && stays_put > 100 && no_sets > 100 && stood > 50);
}

/* ---- nothing is cut ---- */

static void no_sentence_is_cut(const char *text)
{
    refuse(text, "\u22ef");
}

static void check_whole(void)
{
    static const enum page pages[] = {PAGE_NIGHT, PAGE_KIT, PAGE_LIST};

    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++)
        each_canvas(pages[i], no_sentence_is_cut);
    for (int rig = 0; rig < scene.setup.rig_count; rig++) {
        scene.view.rig = rig;
        each_canvas(PAGE_FRAME, no_sentence_is_cut);
    }
}

static void sentences_are_whole(void **state)
{
    (void)state;
    walk_all(check_whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_to_do_comes_first),
        cmocka_unit_test(nothing_needless_stands_there),
        cmocka_unit_test(sentences_are_whole),
    };
    int result = cmocka_run_group_tests(tests, NULL, NULL);

    scene_close();
    return result;
}
