/* What whole nights look like, against tests/prints/tales-screen.txt: every page of every hour in windows of
 * many sizes, with its roles, as a number each, so that nothing of it changes unseen. Whether it is right, the
 * other tests of this room say; SHOW=1 writes the canvases themselves, to be compared with those of before.
 * BLESS=1 writes the numbers anew. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/app/live.h"

#include "blessed.h"
#include "digest.h"
#include "night/tales.h"

#include <moonstand/canvas.h>
#include <moonstand/dashboard.h>

enum { EVERY_STEPS = 60 };

static const struct size {
    int width, height;
} sizes[] = {{80, 24}, {120, 40}, {64, 16}, {100, 30}, {40, 20}, {150, 50}, {90, 12}};
enum { SIZES = sizeof sizes / sizeof *sizes };

static FILE *out;
static double drawn_utc;
static int drawn; /* so many canvases */
static struct canvas canvas;

static void draw(enum page page, const struct size *size)
{
    const struct view view = {.page = page,
                              .item = drawn % 3 - 1,
                              .keys = key_table,
                              .rig = drawn % night->setup.rig_count,
                              .utc_first = drawn % 4 == 1,
                              .hours_swapped = drawn % 5 == 1,
                              .units_swapped = drawn % 7 == 1,
                              .apart = drawn % 11 == 1,
                              .quit_armed = drawn % 13 == 1,
                              .looking_on = drawn % 17 == 1,
                              .message = drawn % 3 == 1 ? "long: aimed, Moon far left" : NULL,
                              .acted = drawn % 6 == 1,
                              .unwritten = drawn % 12 == 1 ? 2 : 0,
                              .trouble = drawn % 19 == 1 ? "no room on the disk" : NULL,
                              .prompt = drawn % 23 == 1 ? "Temperature and humidity" : NULL,
                              .typed = "-8 7"};
    char *text = NULL;
    size_t bytes;
    FILE *page_out = open_memstream(&text, &bytes);

    assert_non_null(page_out);
    canvas.glyphs = drawn++ % 6 == 5 ? GLYPHS_ASCII : GLYPHS_UTF8;
    assert_int_equal(canvas_resize(&canvas, size->width, size->height), 0);
    dashboard_draw(&canvas, night, &moment, &view);
    canvas_print(&canvas, page_out, true);
    assert_int_equal(fclose(page_out), 0);
    fprintf(out, " %08x", digest_of(text));
    if (getenv("SHOW"))
        printf("%+.0f min, page %d:\n%s\n", since(CONTACT_GREATEST, moment.utc) / 60, page, text);
    free(text);
}

static void begins(void)
{
    drawn_utc = moment.utc;
}

static void acts(const struct act *act, const char *by)
{
    (void)act;
    (void)by;
}

static void turns(void) {}

static void minute(void)
{
    if (moment.utc < drawn_utc)
        return;
    for (int page = 0; page < PAGE_SETUP; page++) {
        fprintf(out, "%+.0f min, page %d:", since(CONTACT_GREATEST, moment.utc) / 60, page);
        for (int i = 0; i < 3; i++)
            draw((enum page)page, &sizes[(drawn + i) % SIZES]);
        fprintf(out, "\n");
    }
    drawn_utc += EVERY_STEPS * step_s;
}

static void canvases_are_as_blessed(void **state)
{
    static const char *const names[] = {"madrid", "germany", "japan", "bolivia", "newyork"};
    static const struct diary kept = {begins, acts, turns, minute, turns};
    char *text = NULL;
    size_t size;

    (void)state;
    out = open_memstream(&text, &size);
    assert_non_null(out);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        fprintf(out, "%s\n", names[i]);
        tale_live(tale_of(names[i]), &kept);
    }
    assert_int_equal(fclose(out), 0);
    canvas_free(&canvas);
    hold_print("tales-screen", text);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(canvases_are_as_blessed)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
