/* First line: rehearsal or not, where, and what time it is. */
#include "panels.h"

#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>

#include <stdio.h>

static int draw_mark(struct area area, const struct scene *scene)
{
    if (!scene->night->rehearsal)
        return 0;
    if (scene->view->speed > 1)
        return 2 + area_print(area, 0, 0, ROLE_STRONG, "REHEARSAL x%.0f", scene->view->speed);
    return 2 + area_text(area, 0, 0, ROLE_STRONG, "REHEARSAL");
}

void panel_status(struct area area, const struct scene *scene)
{
    char clock[TEXT_INSTANT], text[WORDS_LINE];
    const unsigned form = CLOCK_SECONDS | CLOCK_ZONE | CLOCK_RUNNING;
    double utc = scene->moment->utc;
    int x = draw_mark(area, scene);

    (void)clock_words(text, scene->about.reader, utc, form);
    if (area.width - x >= 38 && !scene->one_clock)
        text_add(text, sizeof text, "  ", "%s",
                 clock_words(clock, scene->other.reader, utc, form));
    int clocks = text_columns(area, text);
    if (area.width < x + clocks)
        return;
    area_text_right(area, 0, ROLE_VALUE, text);
    struct area name = area_part(area, x, 0, area.width - x - clocks - 2, 1);
    if (name.width < 8)
        return;
    (void)eclipse_title_words(&scene->night->eclipse, text);
    x = area_text(name, 0, 0, ROLE_LABEL, scene->night->site.name);
    x += x > 0 ? 3 : 0;
    if (x + text_columns(area, text) > name.width)
        (void)snprintf(text, sizeof text, "%s %s", eclipse_kind_name(scene->night->eclipse.kind),
                       eclipse_day(clock, &scene->night->eclipse));
    if (x + text_columns(area, text) <= name.width)
        (void)area_text(name, x, 0, ROLE_LABEL, text);
}
