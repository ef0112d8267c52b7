/* The red theme stays red however it is lowered. Palette: xterm's 256colres.h (6x6x6 cube with
 * levels 0 95 135 175 215 255 from entry 16, greys 8 to 238 from entry 232). */
#include "../../src/screen/colours.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/fault.h>
#include <moonstand/palette.h>
#include <moonstand/theme.h>
#include <moonstand/theme_file.h>

#include <stdio.h>
#include <string.h>

static void red_has_no_green_or_blue(void **state)
{
    struct theme theme;

    (void)state;
    theme_default(&theme);
    assert_int_equal(theme_valid(&theme, NULL), 0);
    for (int step = 0; step < THEME_STEPS; step++) {
        assert_int_equal(theme.background[step], 0);
        assert_int_equal(colour_256(0, 0), 16);
        for (int role = 0; role < ROLE_COUNT; role++) {
            uint32_t rgb = theme.look[step][role].rgb;
            assert_int_equal(rgb & 0xffff, 0);
            int entry = colour_256(rgb, 0);
            assert_true(entry > 16 && entry < 256);
            /* The palette has these very reds. */
            assert_int_equal(colour_of_256(entry), rgb);
            assert_int_equal(colour_8(rgb, 0), 1);
        }
    }
    for (int role = 0; role < ROLE_COUNT; role++)
        assert_true(theme.look[1][role].rgb <= theme.look[0][role].rgb);
    assert_true(theme.look[1][ROLE_VALUE].rgb < theme.look[0][ROLE_VALUE].rgb);
}

/* The theme that stands in where its file cannot be read is that file's, and what cries loudest is
 * bold and reverse. */
static void the_built_in_theme_is_that_of_the_file(void **state)
{
    struct theme built_in, read;

    (void)state;
    theme_default(&built_in);
    assert_int_equal(theme_read(TEST_DATA "/../../themes/red.json", &read, NULL), 0);
    for (int step = 0; step < THEME_STEPS; step++)
        for (int role = 0; role < ROLE_COUNT; role++) {
            const struct look *a = &built_in.look[step][role], *b = &read.look[step][role];

            assert_int_equal(a->rgb, b->rgb);
            assert_int_equal(a->bold, b->bold);
            assert_int_equal(a->reverse, b->reverse);
            assert_int_equal(a->underline, b->underline);
        }
    assert_true(built_in.look[0][ROLE_ALARM].bold && built_in.look[0][ROLE_ALARM].reverse);
}

static bool are_told_apart(const struct look *a, const struct look *b)
{
    return a->bold != b->bold || a->reverse != b->reverse || a->underline != b->underline;
}

/* What is old is told from what is fresh, what is due from what is only read, by more than a colour;
 * what is done has a sign of its own. */
static void meaning_is_more_than_colour(void **state)
{
    static const char *const names[] = {"red", "daylight", "plain", "blue-orange"};
    static const enum role apart[][2] = {
        {ROLE_STALE, ROLE_LABEL}, {ROLE_STALE, ROLE_VALUE},  {ROLE_STALE, ROLE_DONE},
        {ROLE_STALE, ROLE_DUE},   {ROLE_DUE, ROLE_VALUE},    {ROLE_DUE, ROLE_STRONG},
        {ROLE_ALARM, ROLE_DUE},   {ROLE_ALARM, ROLE_STRONG}, {ROLE_STRONG, ROLE_VALUE}};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[256];
        struct theme theme;
        (void)snprintf(path, sizeof path, "%s/../../themes/%s.json", TEST_DATA, names[i]);
        assert_int_equal(theme_read(path, &theme, NULL), 0);
        for (int step = 0; step < THEME_STEPS; step++)
            for (size_t j = 0; j < sizeof apart / sizeof *apart; j++)
                assert_true(
                    are_told_apart(&theme.look[step][apart[j][0]], &theme.look[step][apart[j][1]]));
    }
}

static void every_red_is_lowered_to_red(void **state)
{
    (void)state;
    for (uint32_t red = 1; red < 256; red++) {
        int entry = colour_256(red << 16, 0);
        assert_true(entry > 16);
        assert_int_equal(colour_of_256(entry) & 0xffff, 0);
    }
    for (uint32_t red = 48; red < 256; red++)
        assert_int_equal(colour_8(red << 16, 0), 1);
}

static void the_palette_is_xterms(void **state)
{
    (void)state;
    assert_int_equal(colour_of_256(16), 0x000000);
    assert_int_equal(colour_of_256(21), 0x0000ff);
    assert_int_equal(colour_of_256(88), 0x870000);
    assert_int_equal(colour_of_256(110), 0x87afd7);
    assert_int_equal(colour_of_256(231), 0xffffff);
    assert_int_equal(colour_of_256(232), 0x080808);
    assert_int_equal(colour_of_256(255), 0xeeeeee);
    for (int entry = 16; entry < 256; entry++) {
        uint32_t rgb = colour_of_256(entry);
        assert_int_equal(colour_of_256(colour_256(rgb, rgb)), rgb);
    }
}

static void nothing_valid_becomes_invisible(void **state)
{
    (void)state;
    /* Both would be nearest to white, or to black. */
    assert_int_not_equal(colour_256(0xf8f8f8, 0xffffff), colour_256(0xffffff, 0xffffff));
    assert_int_not_equal(colour_256(0x050505, 0x000000), 16);
    assert_int_equal(colour_8(0xffffff, 0xffffff), 7);
    assert_int_equal(colour_8(0xaaaaaa, 0xffffff), 0);
    assert_int_equal(colour_8(0x202020, 0x000000), 7);
    assert_int_equal(colour_8(0x0000c0, 0xffffff), 4);
    assert_int_equal(colour_8(0x00c000, 0xffffff), 2);
    assert_int_equal(colour_8(0xc0c000, 0x000000), 3);
}

static void a_theme_that_hides_a_role_is_refused(void **state)
{
    struct theme theme;
    struct fault fault = {0};

    (void)state;
    theme_default(&theme);
    theme.look[1][ROLE_DUE].rgb = 0x2f0000;
    assert_int_equal(theme_valid(&theme, &fault), -1);
    assert_non_null(strstr(fault.text, "dim due"));
    assert_non_null(strstr(fault.text, "#2f0000"));
    theme.look[1][ROLE_DUE].rgb = 0x300000;
    assert_int_equal(theme_valid(&theme, &fault), 0);
}

/* Tones of the red theme take the six reds of the palette and no other colour; over an area they have
 * the mean that they stand for. */
static void tones_are_dithered_reds(void **state)
{
    struct theme theme;
    struct ramp ramp;

    (void)state;
    theme_default(&theme);
    ramp_make(&theme, 0, &ramp);
    assert_int_equal(ramp.count, 6);
    for (int tone = 1; tone <= 255; tone++) {
        double sum = 0;
        assert_int_equal(tone_rgb(&theme, 0, tone) & 0xffff, 0);
        for (int i = 0; i < 16; i++) {
            uint32_t rgb = colour_of_256(ramp_entry(&ramp, tone, i % 4, i / 4));
            assert_int_equal(rgb & 0xffff, 0);
            sum += (double)(rgb >> 16);
        }
        /* Steps of the matrix are a sixteenth of the largest gap, 95. */
        assert_true(sum / 16 > tone - 5 && sum / 16 < tone + 5);
    }
}

/* On white paper the sky of a picture is dark all the same. */
static void no_theme_shows_a_negative(void **state)
{
    const struct theme paper = {.background = {0xffffff, 0xffffff},
                                .look = {[0][ROLE_LIT] = {.rgb = 0xd7af00}}};

    (void)state;
    assert_int_equal(tone_rgb(&paper, 0, 255), 0xffffff);
    assert_int_equal(tone_rgb(&paper, 0, 1), 0xd7af00);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(red_has_no_green_or_blue),
        cmocka_unit_test(the_built_in_theme_is_that_of_the_file),
        cmocka_unit_test(meaning_is_more_than_colour),
        cmocka_unit_test(every_red_is_lowered_to_red),
        cmocka_unit_test(the_palette_is_xterms),
        cmocka_unit_test(nothing_valid_becomes_invisible),
        cmocka_unit_test(a_theme_that_hides_a_role_is_refused),
        cmocka_unit_test(tones_are_dithered_reds),
        cmocka_unit_test(no_theme_shows_a_negative),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
