/* Cells, clipping, widths, dots, large digits. Widths: Unicode's EastAsianWidth table (UAX 11). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"

#include "../../src/screen/area.h"

#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

static struct canvas canvas;

static struct area sized(int width, int height, enum glyph_set glyphs)
{
    canvas.glyphs = glyphs;
    assert_int_equal(canvas_resize(&canvas, width, height), 0);
    return canvas_area(&canvas);
}

static void expect(bool roles, const char *wanted)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    assert_non_null(out);
    canvas_print(&canvas, out, roles);
    assert_int_equal(fclose(out), 0);
    assert_string_equal(text, wanted);
    free(text);
}

static int free_canvas(void **state)
{
    (void)state;
    canvas_free(&canvas);
    return 0;
}

static void size_is_clamped(void **state)
{
    (void)state;
    (void)sized(0, -5, GLYPHS_UTF8);
    assert_int_equal(canvas.width, 1);
    assert_int_equal(canvas.height, 1);
    (void)sized(100000, 100000, GLYPHS_UTF8);
    assert_int_equal(canvas.width, CANVAS_WIDTH);
    assert_int_equal(canvas.height, CANVAS_HEIGHT);
}

/* Every line to the end of the area gets a blank one behind it. */
static void lines_are_spread(void **state)
{
    (void)state;
    struct area area = sized(3, 5, GLYPHS_UTF8);
    for (int y = 0; y < 3; y++)
        area_text(area, 0, y, ROLE_VALUE, (const char *const[]){"one", "two", "3"}[y]);
    area_spread(area);
    expect(false, "one\n\ntwo\n\n3\n");
}

static void text_is_cut_with_a_mark(void **state)
{
    (void)state;
    struct area area = sized(6, 4, GLYPHS_UTF8);
    assert_int_equal(area_text(area, 0, 0, ROLE_VALUE, "abcdef"), 6);
    assert_int_equal(area_text(area, 0, 1, ROLE_VALUE, "abcdefg"), 6);
    assert_int_equal(area_text(area, 2, 2, ROLE_VALUE, "abc"), 5);
    area_text(area, 0, 4, ROLE_VALUE, "below");
    area_text(area, 0, -1, ROLE_VALUE, "above");
    expect(false, "abcdef\nabcde\u22ef\n  abc\n\n");

    area = sized(6, 1, GLYPHS_ASCII);
    area_text(area, 0, 0, ROLE_VALUE, "abcdefg");
    expect(false, "abcde~\n");
}

static void text_after_the_edge_leaves_a_mark(void **state)
{
    (void)state;
    struct area area = sized(4, 1, GLYPHS_ASCII);
    int x = area_text(area, 0, 0, ROLE_LABEL, "full");
    assert_int_equal(area_text(area, x, 0, ROLE_VALUE, "x"), 4);
    expect(false, "ful~\n");
}

static void wide_characters_are_never_halved(void **state)
{
    (void)state;
    struct area area = sized(5, 3, GLYPHS_UTF8);
    assert_int_equal(text_columns(area, "\u6708\u98df"), 4);
    area_text(area, 0, 0, ROLE_VALUE, "\u6708\u98df\u6708");
    area_text(area, 0, 1, ROLE_VALUE, "\u6708\u98df");
    area_text(area, 1, 1, ROLE_VALUE, "ab");
    area_text(area, 0, 2, ROLE_VALUE, "a\u98df");
    area_text(area, 0, 2, ROLE_VALUE, "\u6708");
    expect(false, "\u6708\u98df\u22ef\n ab\n\u6708\n");
    for (int i = 0; i < 15; i++)
        assert_true(canvas.cell[i].width != 2 || canvas.cell[i + 1].width == 0);
}

static void combining_characters_stay_with_their_base(void **state)
{
    (void)state;
    struct area area = sized(4, 1, GLYPHS_UTF8);
    assert_int_equal(text_columns(area, "e\u0301a"), 2);
    assert_int_equal(area_text(area, 0, 0, ROLE_VALUE, "e\u0301a"), 2);
    assert_string_equal(canvas.cell[0].text, "e\u0301");
    assert_string_equal(canvas.cell[1].text, "a");
    /* More of them than a cell holds: whole characters are left out. */
    area_text(area, 0, 0, ROLE_VALUE, "e\u0301\u0301\u0301\u0301\u0301\u0301\u0301\u0301");
    assert_string_equal(canvas.cell[0].text, "e\u0301\u0301\u0301\u0301\u0301");
}

static void bad_bytes_become_question_marks(void **state)
{
    (void)state;
    struct area area = sized(12, 3, GLYPHS_UTF8);
    area_text(area, 0, 0, ROLE_VALUE, "a\033[2Jb\n");
    area_text(area, 0, 1, ROLE_VALUE, "a\xff\xc3z\xe6\x9c");
    /* C1 control; direction override, joiner and emoji selector vanish. */
    area_text(area, 0, 2, ROLE_VALUE, "\xc2\x9bx\u202ey\u200dz\ufe0f");
    expect(false, "a?[2Jb?\na??z??\n?xyz\n");
    /* Variation selectors 1 to 16 and 17 to 256 (Unicode 15), the first and the last. */
    area = sized(12, 1, GLYPHS_UTF8);
    area_text(area, 0, 0, ROLE_VALUE, "a\ufe00b\ufe0fc\U000e0100d\U000e01efe");
    assert_string_equal(canvas.cell[0].text, "a");
    assert_string_equal(canvas.cell[3].text, "d");
    expect(false, "abcde\n");
}

static void ascii_takes_the_bare_letter(void **state)
{
    (void)state;
    struct area area = sized(12, 1, GLYPHS_ASCII);
    assert_int_equal(text_columns(area, "\u00e9e\u0301\u6708"), 3);
    area_text(area, 0, 0, ROLE_VALUE, "\u00c5s\u00e9n e\u0301 \u6708");
    expect(false, "Asen e ?\n");
}

static void areas_clip(void **state)
{
    (void)state;
    struct area area = sized(8, 3, GLYPHS_ASCII);
    struct area left = area_part(area, 0, 0, 4, 2);
    area_text(left, 0, 0, ROLE_LABEL, "left is long");
    area_text(left, 0, 2, ROLE_LABEL, "gone");
    area_text(area_part(area, 4, 1, 100, 100), 0, 0, ROLE_LABEL, "right");
    struct area none = area_part(area, 9, 9, 5, 5);
    assert_int_equal(none.width, 0);
    assert_int_equal(none.height, 0);
    area_text(none, 0, 0, ROLE_LABEL, "nothing");
    area_fill(none, ROLE_ALARM);
    area_dot(none, 0, 0, ROLE_LIT);
    struct area before = area_part(area, -3, -3, 4, 4);
    assert_int_equal(before.width, 1);
    assert_int_equal(before.height, 1);
    expect(false, "lef~\n    rig~\n\n");
}

static void alignment_fill_and_lines(void **state)
{
    (void)state;
    struct area area = sized(7, 5, GLYPHS_ASCII);
    area_text_right(area_part(area, 0, 0, 7, 1), 0, ROLE_VALUE, "abc");
    area_text_middle(area, 1, ROLE_STRONG, "mid");
    area_fill(area_part(area, 0, 3, 7, 1), ROLE_ALARM);
    area_upright(area_part(area, 0, 4, 7, 1), 3, ROLE_BORDER);
    area_text_right(area_part(area, 0, 4, 3, 1), 0, ROLE_VALUE, "long");
    expect(true, "    abc\n  mid\n\n\nlo~|\n"
                 "roles\n    vvv\n  sss\n\naaaaaaa\nvvvb\n");
}

static void dots_are_braille(void **state)
{
    (void)state;
    /* Unicode 15, U+2800: dot 1 is the top left, dot 8 the bottom right. */
    struct area area = sized(3, 1, GLYPHS_UTF8);
    area_dot(area, 0, 0, ROLE_LIT);
    area_dot(area, 1, 3, ROLE_LIT);
    area_dot(area, 3, 0, ROLE_SHADE);
    area_dot(area, 6, 0, ROLE_LIT);
    area_dot(area, 0, 4, ROLE_LIT);
    area_text(area, 2, 0, ROLE_VALUE, "x");
    area_dot(area, 4, 2, ROLE_LIT);
    expect(true, "\u2881\u2808\u2804\nroles\nLSL\n");
}

static void dots_in_ascii(void **state)
{
    (void)state;
    struct area area = sized(5, 1, GLYPHS_ASCII);
    area_dot(area, 0, 0, ROLE_LIT);
    area_dot(area, 2, 3, ROLE_LIT);
    area_dot(area, 4, 0, ROLE_LIT);
    area_dot(area, 4, 3, ROLE_LIT);
    for (int i = 0; i < 8; i++) {
        area_dot(area, 6 + i % 2, i / 2, ROLE_LIT);
        if (i < 4)
            area_dot(area, 8 + i % 2, i / 2, ROLE_LIT);
    }
    expect(false, "'.:#\"\n");
}

static void quarters_are_solid(void **state)
{
    (void)state;
    /* Unicode 15, block elements: upper half, left half, quadrants lower right, all four. */
    struct area area = sized(4, 1, GLYPHS_UTF8);
    area_quarter(area, 0, 0, ROLE_STRONG);
    area_quarter(area, 1, 0, ROLE_STRONG);
    area_quarter(area, 2, 0, ROLE_STRONG);
    area_quarter(area, 2, 1, ROLE_STRONG);
    area_quarter(area, 5, 1, ROLE_STRONG);
    for (int i = 0; i < 4; i++)
        area_quarter(area, 6 + i % 2, i / 2, ROLE_STRONG);
    area_quarter(area, 8, 0, ROLE_STRONG);
    area_quarter(area, 0, 2, ROLE_STRONG);
    expect(false, "\u2580\u258c\u2597\u2588\n");
}

/* What would be drawn past any side of a part of the canvas is left out. */
static void nothing_is_drawn_outside_a_part(void **state)
{
    (void)state;
    for (int x = -5; x <= 6; x++)
        for (int y = -9; y <= 12; y++) {
            struct area part = area_part(sized(3, 3, GLYPHS_UTF8), 1, 1, 1, 1);

            if (x < 0 || y < 0 || x >= 2 || y >= 4)
                area_dot(part, x, y, ROLE_LIT);
            if (x < 0 || y < 0 || x >= 2 || y >= 2)
                area_quarter(part, x, y, ROLE_STRONG);
            if (x < 0 || y < 0 || x >= 1 || y >= 2)
                area_tone(part, x, y, 1);
            expect(false, "\n\n\n");
        }
}

static void tones_stand_behind_their_cells(void **state)
{
    (void)state;
    struct area area = sized(4, 1, GLYPHS_UTF8);
    area_tone(area, 0, 0, 1);
    area_tone(area, 0, 1, 0.5);
    area_tone(area, 1, 1, 7);
    area_tone(area, 2, 0, 1);
    area_tone(area, 3, 0, 1);
    area_text(area, 2, 0, ROLE_LABEL, "x");
    area_dot(area, 6, 0, ROLE_LIT);
    area_tone(area, 4, 0, 1);
    expect(true, "  x\u2801\nroles\n  lL\ntones\nf80f\n");
}

static void large_digits(void **state)
{
    (void)state;
    struct area area = sized(30, 5, GLYPHS_ASCII);
    assert_int_equal(digits_columns(4, "1:07"), 2 * 3 * 3 + 2 + 3 * 2);
    assert_int_equal(digits_lines(4), 5);
    assert_int_equal(digits_columns(4, ""), 0);
    assert_int_equal(digits_scale(area, 8, "1:07"), 4);
    assert_int_equal(digits_scale(area_part(area, 0, 0, 30, 2), 8, "1:07"), 0);
    area_digits(area, 0, 0, 4, ROLE_STRONG, "1:07");
    expect(false, "  ##        ######  ######\n"
                  "####    ##  ##  ##      ##\n"
                  "  ##        ##  ##      ##\n"
                  "  ##    ##  ##  ##    ##\n"
                  "######      ######    ##\n");
    area = sized(30, 3, GLYPHS_ASCII);
    area_digits(area, 0, 0, 2, ROLE_STRONG, "20");
    expect(false, "\"\"# #\"#\n#\"\" # #\n\"\"\" \"\"\"\n");
}

/* From whole columns on no stroke ends within a line, for the half blocks of a font may leave gaps. */
static void large_digits_have_no_half_lines(void **state)
{
    static const char text[] = "0123456789:.-ABCDEFGHIJKLMNOPQRSTUVWXYZ";

    (void)state;
    for (int scale = 4; scale <= 12; scale += 2) {
        struct area area = sized(digits_columns(scale, text), digits_lines(scale), GLYPHS_UTF8);

        area_digits(area, 0, 0, scale, ROLE_STRONG, text);
        for (int i = 0; i < area.width * area.height; i++)
            assert_true(area.canvas->cell[i].quarters == 0 || area.canvas->cell[i].quarters == 15);
    }
    /* Nor is one too thin, or a digit of another height than its size says. */
    assert_int_equal(digits_lines(6), 7);
    assert_int_equal(digits_lines(8), 10);
    assert_int_equal(digits_lines(10), 12);
}

/* All that is drawn in large, and every pattern of dots and quarters where there is neither. */
static void shapes_are_as_blessed(void **state)
{
    static const char *const lines[] = {"0123456789:.-", "ABCDEFGHIJKLM", "NOPQRSTUVWXYZ"};
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    (void)state;
    assert_non_null(out);
    for (int scale = 1; scale <= 4; scale *= 2)
        for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
            for (int set = 0; set < 2; set++) {
                struct area area = sized(digits_columns(scale, lines[i]), digits_lines(scale),
                                         set ? GLYPHS_ASCII : GLYPHS_UTF8);

                area_digits(area, 0, 0, scale, ROLE_STRONG, lines[i]);
                canvas_print(area.canvas, out, false);
            }
    struct area area = sized(64, 5, GLYPHS_ASCII);
    for (int pattern = 1; pattern < 256; pattern++)
        for (int dot = 0; dot < 8; dot++)
            if (pattern >> dot & 1)
                area_dot(area, 2 * (pattern % 64) + dot % 2, 4 * (pattern / 64) + dot / 2, ROLE_STRONG);
    for (int pattern = 1; pattern < 16; pattern++)
        for (int quarter = 0; quarter < 4; quarter++)
            if (pattern >> quarter & 1)
                area_quarter(area, 2 * pattern + quarter % 2, 2 * 4 + quarter / 2, ROLE_STRONG);
    canvas_print(area.canvas, out, false);
    assert_int_equal(fclose(out), 0);
    hold_print("shapes", text);
    free(text);
}

/* No glyph of ours may be of ambiguous width: ranges 'A' of EastAsianWidth-15.0.0 in the blocks
 * that we take glyphs from. */
static void glyphs_are_one_column_everywhere(void **state)
{
    static const struct {
        int32_t first, last;
    } ambiguous[] = {
        {0x2010, 0x2010}, {0x2013, 0x2016}, {0x2018, 0x2019}, {0x201c, 0x201d}, {0x2020, 0x2022},
        {0x2024, 0x2027}, {0x2030, 0x2030}, {0x2032, 0x2033}, {0x2035, 0x2035}, {0x203b, 0x203b},
        {0x203e, 0x203e}, {0x2190, 0x2199}, {0x21b8, 0x21b9}, {0x21d2, 0x21d2}, {0x21d4, 0x21d4},
        {0x21e7, 0x21e7}, {0x22a5, 0x22a5}, {0x22bf, 0x22bf}, {0x2312, 0x2312}, {0x2500, 0x254b},
        {0x2550, 0x2573}, {0x2580, 0x258f}, {0x2592, 0x2595}, {0x25a0, 0x25a1}, {0x25a3, 0x25a9},
        {0x25b2, 0x25b3}, {0x25b6, 0x25b7}, {0x25bc, 0x25bd}, {0x25c0, 0x25c1}, {0x25c6, 0x25c8},
        {0x25cb, 0x25cb}, {0x25ce, 0x25d1}, {0x25e2, 0x25e5}, {0x25ef, 0x25ef}, {0x273d, 0x273d},
    };
    (void)state;
    for (int i = 0; i < GLYPH_COUNT; i++) {
        const char *text = glyph(GLYPHS_UTF8, (enum glyph)i);
        int32_t code_point = 0;
        assert_true(utf8proc_iterate((const uint8_t *)text, -1, &code_point) ==
                    (ssize_t)strlen(text));
        assert_int_equal(text_columns(sized(1, 1, GLYPHS_UTF8), text), 1);
        assert_true(code_point >= 0x2010 && code_point < 0x2c00);
        for (size_t k = 0; k < sizeof ambiguous / sizeof *ambiguous; k++)
            assert_false(code_point >= ambiguous[k].first && code_point <= ambiguous[k].last);
        const char *plain = glyph(GLYPHS_ASCII, (enum glyph)i);
        assert_true(strlen(plain) == 1 && plain[0] > ' ' && plain[0] < 0x7f);
    }
}

/* Any bytes, any place, any size: nothing is written outside, every line stays whole. */
static void random_text_keeps_lines_whole(void **state)
{
    (void)state;
    srand(1);
    for (int round = 0; round < 3000; round++) {
        struct area area =
            sized(1 + rand() % 20, 1 + rand() % 4, rand() % 2 ? GLYPHS_UTF8 : GLYPHS_ASCII);
        for (int piece = 0; piece < 8; piece++) {
            char text[24];
            int length = rand() % 24;
            for (int i = 0; i < length; i++)
                text[i] = (char)(rand() % 3 ? 0x80 + rand() % 0x78 : 1 + rand() % 255);
            text[length] = '\0';
            struct area part = area_part(area, rand() % 12 - 2, rand() % 4 - 1, rand() % 20, 3);
            area_text(part, rand() % 20 - 4, rand() % 4, ROLE_VALUE, text);
            area_text(part, rand() % 20 - 4, rand() % 4, ROLE_VALUE, "\u6708\u98df");
            area_dot(part, rand() % 40, rand() % 12, ROLE_LIT);
        }
        for (int y = 0; y < canvas.height; y++) {
            int columns = 0;
            for (int x = 0; x < canvas.width; x++) {
                const struct cell *cell = &canvas.cell[y * canvas.width + x];
                assert_true((cell->text[0] == '\0') == (cell->width == 0));
                assert_true(columns == x || (columns == x + 1 && cell->width == 0));
                columns += cell->width;
            }
            assert_int_equal(columns, canvas.width);
        }
    }
}

/* Widths that are known without the tables are those of the tables. */
static void what_we_draw_with_is_as_wide_as_unicode_says(void **state)
{
    static const int32_t ranges[][2] = {
        {0x20, 0x7e}, {0x22ef, 0x22ef}, {0x2500, 0x25fe}, {0x2713, 0x2713}, {0x2800, 0x28ff}};

    (void)state;
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++)
        for (int32_t code = ranges[i][0]; code <= ranges[i][1]; code++) {
            char text[8] = "";
            (void)utf8proc_encode_char(code, (utf8proc_uint8_t *)text);
            assert_int_equal(text_columns(sized(1, 1, GLYPHS_UTF8), text), utf8proc_charwidth(code));
            assert_int_not_equal(utf8proc_category(code), UTF8PROC_CATEGORY_CF);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_we_draw_with_is_as_wide_as_unicode_says),
        cmocka_unit_test(size_is_clamped),
        cmocka_unit_test(lines_are_spread),
        cmocka_unit_test(text_is_cut_with_a_mark),
        cmocka_unit_test(text_after_the_edge_leaves_a_mark),
        cmocka_unit_test(wide_characters_are_never_halved),
        cmocka_unit_test(combining_characters_stay_with_their_base),
        cmocka_unit_test(bad_bytes_become_question_marks),
        cmocka_unit_test(ascii_takes_the_bare_letter),
        cmocka_unit_test(areas_clip),
        cmocka_unit_test(alignment_fill_and_lines),
        cmocka_unit_test(dots_are_braille),
        cmocka_unit_test(dots_in_ascii),
        cmocka_unit_test(quarters_are_solid),
        cmocka_unit_test(nothing_is_drawn_outside_a_part),
        cmocka_unit_test(tones_stand_behind_their_cells),
        cmocka_unit_test(large_digits),
        cmocka_unit_test(large_digits_have_no_half_lines),
        cmocka_unit_test(shapes_are_as_blessed),
        cmocka_unit_test(glyphs_are_one_column_everywhere),
        cmocka_unit_test(random_text_keeps_lines_whole),
    };
    return cmocka_run_group_tests(tests, NULL, free_canvas);
}
