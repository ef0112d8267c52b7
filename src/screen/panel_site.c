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
static int draw_named(struct area area, int y, const struct scene *scene, enum role role,
                      const char *name, sentence *say)
{
    int x = text_columns(area, name) + 1;
    char text[SENTENCE];

    (void)scene_sentence(area_from(area, x, 0), say, scene, -1, text);
    return *text ? area_print(area, 0, y, role, "%s %s", name, text) : 0;
}

static void draw_air(struct area area, int y, const struct scene *scene)
{
    if (isfinite(scene->moment->air.margin_c))
        (void)draw_named(area, y, scene, ROLE_VALUE, "air", air_words);
    else
        (void)draw_sentence(area, y, ROLE_STALE, air_words, scene, -1);
}

void panel_site(struct area area, const struct scene *scene)
{
    const struct readings *readings = &scene->moment->readings;
    enum role clock = clock_role(readings);

    area = panel_named(area, scene, "Site");
    if (!two_columns(area)) {
        /* What may want a hand comes first. */
        draw_air(area, 0, scene);
        (void)draw_named(area, 1, scene, gps_role(scene), "GPS", gps_words);
        (void)draw_named(area, 2, scene, clock, "clock", clock_state_words);
        (void)draw_sentence(area, 3, ROLE_LABEL, site_words, scene, -1);
        return;
    }
    int width = area.width * 11 / 20;
    struct area left = area_part(area, 0, 0, width - 1, area.height);
    struct area right = area_from(area, width, 0);

    (void)draw_sentence(left, 0, ROLE_LABEL, site_words, scene, -1);
    (void)draw_named(right, 0, scene, gps_role(scene), "GPS", gps_words);
    draw_air(left, 1, scene);
    int x = draw_named(right, 1, scene, clock, "clock", clock_state_words) + 2;
    if (isfinite(readings->battery_percent) || *awake_name(readings->awake))
        (void)draw_named(area_from(right, x, 0), 1, scene, ROLE_LABEL, "laptop", laptop_words);
}
