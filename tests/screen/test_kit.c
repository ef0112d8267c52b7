/* The page of what could run out, and the time card. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "screen/scene.h"

static bool shows(const char *words)
{
    char *text = scene_text(false);
    bool found = strstr(text, words) != NULL;

    if (!found)
        print_message("%s\n", text);
    free(text);
    return found;
}

static bool shown(const char *words)
{
    char *text = scene_text(false);
    bool found = strstr(text, words) != NULL;

    free(text);
    return found;
}

/* With room for every sentence in full. */
static void draw_page(enum page page, double utc)
{
    scene.view.page = page;
    scene_at(utc);
    scene_draw(220, 40, GLYPHS_UTF8);
}

static int open_scene(void **state)
{
    (void)state;
    scene_open(false);
    return 0;
}

static int close_scene(void **state)
{
    (void)state;
    scene_close();
    return 0;
}

static void batteries_say_when_and_why(void **state)
{
    double utc = scene_utc("U1+30m");

    (void)state;
    draw_page(PAGE_KIT, utc);
    assert_true(shows("(before totality), empty "));
    assert_true(shows("no time for a change, 2 spares left; each lasts 2:55 at 12 C (site)"));
    assert_true(shows("and cannot be changed: use mains or a power bank")); /* the wide rig */
    draw_page(PAGE_KIT, scene_utc("P4-30m"));
    assert_true(shows("CHANGE THE BATTERY, due since "));
    scene.night.site.temperature_c = NAN;
    draw_page(PAGE_KIT, scene_utc("U1+31m"));
    assert_true(shows("2 spares left; temperature unknown: 1:57 at -20 C to 3:07 at 20 C"));
    assert_true(shows("and cannot be changed"));   /* two batteries in the warm would not do */
    assert_false(shown("connect external power")); /* of the long one and the telescope they do */
    assert_false(shown("bring more"));
    scene.night.rig[0].rig.power.external = true;
    draw_page(PAGE_KIT, scene_utc("P4-29m"));
    assert_true(shows("external power"));
}

static void cards_say_what_to_change(void **state)
{
    double utc = scene_utc("U1+30m");

    (void)state;
    (void)snprintf(scene.night.rig[0].rig.card_path, CARD_PATH, "/media/card");
    scene.readings.card_absent[0] = true;
    scene.readings.card_free_bytes[1] = 100 * 30e6;
    draw_page(PAGE_KIT, utc);
    assert_true(shows("NO CARD at /media/card"));
    assert_true(shows("card full "));
    assert_true(shows(": change it "));
    assert_true(shows("card size not set; "));
    scene.readings.card_free_bytes[1] = 1e12;
    draw_page(PAGE_KIT, utc + 1);
    assert_true(shows("card: room for 33333 frames, "));
}

/* Columns before a text; -1: it is not there. */
static int column_of(const char *what)
{
    const struct canvas *canvas = &scene.canvas;
    int length = (int)strlen(what);

    for (int i = 0; i + length <= canvas->width * canvas->height; i++) {
        int at = 0;
        while (at < length && canvas->cell[i + at].text[0] == what[at])
            at++;
        if (at == length)
            return i % canvas->width;
    }
    return -1;
}

/* What is wrong stands in one column, beside what there is. */
static void what_is_wrong_has_a_column(void **state)
{
    (void)state;
    (void)snprintf(scene.night.rig[0].rig.card_path, CARD_PATH, "/media/card");
    scene.readings.card_absent[0] = true;
    scene_at(scene_utc("P4-30m"));
    scene.view.page = PAGE_KIT;
    scene_draw(80, 24, GLYPHS_UTF8);
    int column = column_of("CHANGE IT, due ");
    assert_true(column > 40);
    assert_int_equal(column_of("NO CARD"), column);
    assert_int_equal(column_of("clock errors not noted (K)"), column);
    assert_true(column_of("card size not set; ") < 20);
    scene_draw(120, 40, GLYPHS_UTF8);
    assert_int_equal(column_of("what is wrong"), column_of("NO CARD"));
    assert_int_equal(column_of("what there is"), column_of("card size not set; "));
    /* What is unknown wants a hand, too. */
    scene.readings.clock_synchronised = 0;
    scene_at(scene_utc("P4-30m"));
    scene_draw(120, 40, GLYPHS_UTF8);
    assert_int_equal(column_of("no air reading yet"), column_of("what is wrong"));
    assert_int_equal(column_of("no forecast"), column_of("what is wrong"));
    assert_int_equal(column_of("battery unknown"), column_of("what is wrong"));
    assert_int_equal(column_of("laptop: NOT synchronised"), column_of("what is wrong"));
}

/* Blank lines, heads and the changes to come stand where all of it has room, and only there. */
static void a_large_kit_has_the_changes_to_come(void **state)
{
    (void)state;
    scene_at(scene_utc("P1-10m"));
    scene.view.page = PAGE_KIT;
    scene_draw(200, 60, GLYPHS_UTF8);
    assert_true(scene.night.power[1].plan.count > 1);
    assert_true(column_of("then change ") == column_of("what there is"));
    scene_draw(120, 40, GLYPHS_UTF8);
    assert_true(column_of("what is wrong") > 0 && column_of("clock errors not noted (K)") > 0);
    scene_draw(80, 22, GLYPHS_UTF8);
    assert_int_equal(column_of("what there is"), -1);
    assert_true(column_of("clock errors not noted (K)") > 0);
}

static void air_says_its_source_trend_and_trouble(void **state)
{
    double utc = scene_utc("U1+30m");
    struct forecast_row row = {utc, 30, -7, 70, 2};

    (void)state;
    draw_page(PAGE_KIT, utc);
    assert_true(shows("no air reading yet (w to enter)"));
    assert_true(shows("no forecast"));
    scene.night.forecast.issued_utc = utc - 13 * 3600;
    assert_int_equal(forecast_add(&scene.night.forecast, &row, NULL), 0);
    row.utc += 3600;
    row.cloud_percent = NAN;
    assert_int_equal(forecast_add(&scene.night.forecast, &row, NULL), 0);
    draw_page(PAGE_KIT, utc);
    assert_true(shows("-7.0 C, 70 %"));
    assert_true(shows("forecast made 13h00 ago: old"));
    assert_true(shows("Sky (old)"));
    for (int i = 0; i < 4; i++)
        scene_act((struct act){.utc = utc - 1800 + i * 600,
                               .kind = ACT_AIR,
                               .rig = -1,
                               .value = {3 - i * 0.3, 60 + i * 2}});
    (void)snprintf(scene.readings.air_trouble, READINGS_TROUBLE, "ended with status 3");
    draw_page(PAGE_KIT, utc + 60);
    assert_true(shows("read 1 min ago"));
    assert_true(shows("dew from "));
    assert_true(shows("sensor: ended with status 3"));
}

static void laptop_and_cameras(void **state)
{
    double utc = scene_utc("U1+30m");

    (void)state;
    scene.readings.battery_percent = 40;
    scene.readings.battery_left_s = 3600;
    scene.readings.battery_discharging = true;
    scene_act(
        (struct act){.utc = utc, .kind = ACT_CAMERA_CLOCK, .rig = 1, .value = {3.4 - 5 * 3600}});
    draw_page(PAGE_KIT, utc);
    assert_true(shows("40 %, empty "));
    assert_true(shows(": BEFORE P4"));
    assert_true(shows("long UTC+4:59:57"));
    assert_true(shows("not noted (K): wide, telescope"));
    assert_true(shows("battery ends before P4"));
}

/* Only where somebody knows; at the side of the site's line the warning outlives the battery. */
static void whether_the_laptop_may_sleep(void **state)
{
    double utc = scene_utc("U1+30m");
    char *text;

    (void)state;
    scene.readings.battery_percent = 40;
    draw_page(PAGE_KIT, utc);
    assert_false(shown("kept awake") || shown("may sleep"));
    scene.readings.awake = AWAKE_HELD;
    draw_page(PAGE_KIT, utc);
    assert_true(shows("40 %, on power, kept awake"));
    scene.readings.awake = AWAKE_NOT;
    draw_page(PAGE_KIT, utc);
    assert_true(shows("40 %, on power, may sleep"));
    scene.view.page = PAGE_NIGHT;
    scene_draw(120, 40, GLYPHS_UTF8);
    text = scene_text(false);
    assert_non_null(strstr(text, "laptop may sleep"));
    free(text);
}

/* Day, scale and whether the clock can be trusted; never a rehearsal's time without its mark. */
static void the_time_card_is_honest(void **state)
{
    (void)state;
    draw_page(PAGE_TIME_CARD, scene_utc("P4+2m"));
    assert_true(shows("2028-12-31  UTC"));
    assert_true(shows("clock not checked"));
    assert_true(shows("photograph this with every camera"));
    scene.readings.gps.clock_offset_s = -0.37;
    draw_page(PAGE_TIME_CARD, scene_utc("P4+2m"));
    assert_true(shows("clock -0.37 s against GPS"));
    scene_open(true);
    draw_page(PAGE_TIME_CARD, scene_utc("P4+2m"));
    assert_true(shows("REHEARSAL: no time to set a clock by"));
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, open_scene, close_scene)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(batteries_say_when_and_why),
        TEST(cards_say_what_to_change),
        TEST(what_is_wrong_has_a_column),
        TEST(a_large_kit_has_the_changes_to_come),
        TEST(air_says_its_source_trend_and_trouble),
        TEST(laptop_and_cameras),
        TEST(whether_the_laptop_may_sleep),
        TEST(the_time_card_is_honest),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
