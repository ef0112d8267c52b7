/* Where we are, how sure of the time, how the machine and the air do. */
#include "panels.h"

#include <moonstand/around_words.h>

#include <math.h>

static enum role gps_role(const struct scene *scene)
{
    if (isfinite(fix_moved_m(scene->night, scene->moment)))
        return ROLE_DUE;
    return scene->moment->readings.gps.state == GPS_FIX ? ROLE_VALUE : ROLE_STALE;
}

enum role clock_role(const struct readings *readings)
{
    bool wrong = fabs(readings->gps.clock_offset_s) >= 1 || readings->clock_synchronised == 0;

    return wrong ? ROLE_DUE : ROLE_VALUE;
}

/* A sentence behind its name; nothing if there is no room for a word of it. Returns the column after
 * it. */
static int draw_named(struct area area, const struct scene *scene, enum role role, const char *name,
                      sentence *say)
{
    int x = text_columns(area.canvas->glyphs, name) + 1;
    char text[SENTENCE];

    (void)scene_sentence(area_part(area, x, 0, area.width - x, 1), say, scene, -1, text);
    return *text ? area_print(area, 0, 0, role, "%s %s", name, text) : 0;
}

static void draw_air(struct area area, const struct scene *scene)
{
    if (isfinite(scene->moment->air.margin_c))
        (void)draw_named(area, scene, ROLE_VALUE, "air", air_words);
    else
        (void)draw_sentence(area, 0, ROLE_STALE, air_words, scene, -1);
}

void panel_site(struct area area, const struct scene *scene)
{
    const struct readings *readings = &scene->moment->readings;

    area = panel_named(area, scene, "Site");
    int width = two_columns(area) ? area.width * 11 / 20 : area.width;
    struct area line[2], right[2];

    for (int i = 0; i < 2; i++) {
        line[i] = area_part(area, 0, i, width - (width < area.width), 1);
        right[i] = area_part(area, width, i, area.width - width, 1);
    }
    if (width == area.width) {
        /* What may want a hand comes first. */
        draw_air(line[0], scene);
        (void)draw_named(line[1], scene, gps_role(scene), "GPS", gps_words);
        (void)draw_named(area_part(area, 0, 2, width, 1), scene, clock_role(readings), "clock",
                         clock_state_words);
        (void)draw_sentence(area_part(area, 0, 3, width, 1), 0, ROLE_LABEL, site_words, scene, -1);
        return;
    }
    (void)draw_sentence(line[0], 0, ROLE_LABEL, site_words, scene, -1);
    (void)draw_named(right[0], scene, gps_role(scene), "GPS", gps_words);
    draw_air(line[1], scene);
    int x = draw_named(right[1], scene, clock_role(readings), "clock", clock_state_words) + 2;
    if (isfinite(readings->battery_percent) || *awake_name(readings->awake))
        (void)draw_named(area_part(right[1], x, 0, right[1].width - x, 1), scene, ROLE_LABEL,
                         "laptop", laptop_words);
}
