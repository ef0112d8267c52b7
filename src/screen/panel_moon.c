/* The phase of the eclipse and the place of the Moon. */
#include "panels.h"

#include <moonstand/sky_words.h>

#include <string.h>

/* Where there is room, the night's line is below the facts. */
enum { LINE_LEAST = 4, LINE_MOST = 15 };

/* "nautical twilight", or "twilight" where no more than that fits. */
static const char *last_words(const char *text, int columns)
{
    const char *space = strrchr(text, ' ');

    return (int)strlen(text) <= columns || !space ? text : space + 1;
}

void panel_moon(struct area area, const struct scene *scene)
{
    static sentence *const facts[] = {phase_words, moon_place_words, horizon_words, light_words};
    enum { FACTS = sizeof facts / sizeof *facts };
    const char *sky = sky_words(scene->moment->sun.altitude_airless_rad);

    if (scene->gutter >= GUTTER_LENS && scene->disc_apart)
        moon_disc(area_part(area, 0, 1, scene->gutter - 3, area.height - 1), scene);
    area = panel_named(area, scene, "Moon");
    if (area.height > FACTS || !two_columns(area)) {
        int rest = area.height - FACTS - 1, lines = rest > LINE_MOST ? LINE_MOST : rest;
        struct area line = area_from(area, 0, area.height - lines);
        int facts_shown = FACTS - (lines >= LINE_LEAST && curves_say_light(line));

        for (int i = 0; i < facts_shown; i++)
            (void)draw_sentence(area, i, i == 0 ? ROLE_STRONG : ROLE_VALUE, facts[i], scene, -1);
        if (lines < LINE_LEAST || !curves_say_sky(line))
            (void)area_text(area, 0, facts_shown, ROLE_VALUE, sky);
        if (lines >= LINE_LEAST)
            panel_curves(line, scene);
        return;
    }
    /* The shadow at the left, the sky at the right. */
    int half = left_columns(area);
    struct area left = area_part(area, 0, 0, half - 1, area.height);
    struct area right = area_from(area, half, 0);
    (void)draw_sentence(left, 0, ROLE_STRONG, phase_words, scene, -1);
    (void)draw_sentence(right, 0, ROLE_VALUE, moon_place_words, scene, -1);
    int x = draw_sentence(left, 1, ROLE_VALUE, light_words, scene, -1);
    if (x > 0 && !never_up(scene->night))
        (void)area_print(left, x, 1, ROLE_LABEL, ", %s", last_words(sky, left.width - x - 2));
    (void)draw_sentence(right, 1, ROLE_VALUE, horizon_words, scene, -1);
}
