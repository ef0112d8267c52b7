/* First line: rehearsal or not, where, and what time it is. */
#include "panels.h"

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
    char clock[WORDS_WHEN], other[WORDS_WHEN], text[WORDS_LINE];
    double now = scene->moment->utc;
    int x = draw_mark(area, scene);

    if (area.width - x >= 38)
        (void)snprintf(text, sizeof text, "%s %s  %s %s", words_when(clock, scene, now),
                       words_zone(scene, false), words_when_other(other, scene, now),
                       words_zone(scene, true));
    else
        (void)snprintf(text, sizeof text, "%s %s", words_when(clock, scene, now),
                       words_zone(scene, false));
    int clocks = text_columns(area.canvas->glyphs, text);
    if (area.width < x + clocks)
        return;
    area_text_right(area, area.width, 0, ROLE_VALUE, text);
    struct area name = area_part(area, x, 0, area.width - x - clocks - 2, 1);
    if (name.width < 8)
        return;
    x = area_text(name, 0, 0, ROLE_LABEL, scene->night->site.name);
    char day[TEXT_INSTANT];
    double greatest = scene->night->contact_utc[CONTACT_GREATEST];
    (void)snprintf(text, sizeof text, "%s lunar eclipse, %.10s",
                   eclipse_kind_name(scene->night->eclipse.kind), format_iso(day, greatest, 0, ""));
    if (x + 3 + text_columns(area.canvas->glyphs, text) <= name.width)
        (void)area_text(name, x > 0 ? x + 3 : 0, 0, ROLE_LABEL, text);
}
