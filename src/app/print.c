/* What is printed without a terminal: the moment as text, JSON or canvas. */
#include "live.h"

#include <moonstand/report.h>

#include <stdio.h>
#include <string.h>

int printed(int result)
{
    if (result == 0 && fflush(stdout) == 0 && !ferror(stdout))
        return EXIT_DONE;
    return complain_that(EXIT_MACHINE, "could not write the output");
}

static int parse_size(const char *text, int *width, int *height, struct fault *fault)
{
    char columns[8];
    size_t length = strcspn(text, "x");
    struct fault cause;
    double w, h;

    if (text[length] != 'x' || length >= sizeof columns)
        return fault_set(fault, "--canvas: '%.20s' is not a size; write 80x24", text);
    memcpy(columns, text, length);
    columns[length] = '\0';
    if (parse_number(columns, 1, CANVAS_WIDTH, &w, &cause) != 0 ||
        parse_number(text + length + 1, 1, CANVAS_HEIGHT, &h, &cause) != 0)
        return fault_set(fault, "--canvas: %s", cause.text);
    *width = (int)w;
    *height = (int)h;
    return 0;
}

static int print_canvas(const struct options *options, const struct night *night,
                        const struct moment *moment)
{
    struct canvas canvas = {.glyphs = options->ascii ? GLYPHS_ASCII : glyph_locale()};
    struct view view = {.item = -1, .keys = key_table};
    struct fault fault;
    int width = 0, height = 0;

    if (parse_size(options->canvas, &width, &height, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (canvas_resize(&canvas, width, height) != 0)
        return complain_that(EXIT_MACHINE, "out of memory");
    dashboard_draw(&canvas, night, moment, &view);
    canvas_print(&canvas, stdout, false);
    canvas_free(&canvas);
    return printed(0);
}

int print_night(const struct options *options, const struct setup *setup,
                const struct eclipse *eclipse, bool rehearsal, double utc)
{
    static struct night night;
    static struct moment moment;
    struct readings readings;
    struct fault fault;
    int status;

    if (open_night(setup, eclipse, rehearsal, utc, &night, &fault) != 0 ||
        load_forecast(&night, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    readings_none(&readings);
    night_follow(&night, utc);
    moment_at(&night, &readings, utc, &moment);
    if (options->canvas)
        status = print_canvas(options, &night, &moment);
    else
        status = printed(options->json ? report_now_json(stdout, &night, &moment)
                                       : report_now_text(stdout, &night, &moment));
    night_close(&night);
    return status;
}
