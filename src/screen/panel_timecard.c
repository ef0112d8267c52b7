/* The time card: UTC with seconds, as large as the screen, to be photographed by every camera, so
 * that its clock can be put right afterwards. */
#include "panels.h"

#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>

#include <math.h>
#include <stdio.h>

enum { CARD_SCALE = 40 };

/* Day and scale, how far they can be trusted, and what to do with it. */
static void draw_card_words(struct area area, const struct scene *scene)
{
    const struct moment *moment = scene->moment;
    char day[TEXT_INSTANT], text[WORDS_LINE], state[SENTENCE];

    (void)snprintf(text, sizeof text, "%.10s  %s", format_iso(day, floor(moment->utc), 0, ""),
                   scale_name(moment->utc));
    area_text_middle(area, 0, ROLE_STRONG, text);
    area_text_middle(area, 1, ROLE_VALUE, time_card_words(&scene->about, -1, 0, state));
    area_text_middle(area, 2, ROLE_LABEL, TIME_CARD_WORDS);
}

void panel_timecard(struct area area, const struct scene *scene)
{
    enum { WORDS = 3 };
    struct area rest = area_part(area, 0, 0, area.width, area.height - WORDS - 1);
    char clock[TEXT_INSTANT];

    (void)format_clock(clock, scene->moment->utc, true, HOURS_24);
    int scale = digits_scale(rest, CARD_SCALE, clock);
    if (scale == 0) {
        char text[sizeof "REHEARSAL " + TEXT_INSTANT];

        area_text_middle(area, 0, ROLE_STRONG,
                         text_set(text, sizeof text, "%s%s",
                                  scene->night->rehearsal ? "REHEARSAL " : "", clock));
        return;
    }
    area_digits_middle(rest, scale, ROLE_STRONG, clock);
    draw_card_words(area_from(area, 0, area.height - WORDS), scene);
}
