/* Where the Moon stands in a picture, in words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/words/parts.h"
#include <math.h>

static const char *words(double x, double y, int brevity)
{
    static char out[FRAME_WORDS];

    return frame_words((struct frame_point){x, y}, brevity, out);
}

static void a_place_in_words(void **state)
{
    static const struct {
        double x, y;
        const char *words;
    } place[] = {
        {0, 0, "centre"},
        {0.03, -0.03, "centre"},
        {-0.2, 0, "left"},
        {-0.2, -0.1, "left, a little low"},
        {0.1, 0.4, "a little right, near the upper edge"},
        {0.35, -0.2, "far right, low"},
        {0, 0.2, "high"},
        {0, -0.4, "near the lower edge"},
        {NAN, 0, "-"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof place / sizeof *place; i++)
        assert_string_equal(words(place[i].x, place[i].y, 0), place[i].words);
}

static void a_place_gets_shorter(void **state)
{
    (void)state;
    assert_string_equal(words(-0.4, 0.4, 1), "far left, high");
    assert_string_equal(words(-0.4, 0.4, 2), "far left");
    assert_string_equal(words(-0.4, 0.4, 3), "left");
    assert_string_equal(words(0, -0.4, 2), "low");
}

static void a_place_in_numbers(void **state)
{
    char out[FRAME_WORDS];

    (void)state;
    assert_string_equal(offset_words((struct frame_point){-0.23, 0.04}, false, out),
                        "23 % left, 4 % above the centre");
    assert_string_equal(offset_words((struct frame_point){0.23, -0.04}, true, out),
                        "23 % right, 4 % below");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_place_in_words),
        cmocka_unit_test(a_place_gets_shorter),
        cmocka_unit_test(a_place_in_numbers),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
