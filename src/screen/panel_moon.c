/* Where the eclipse and the Moon stand. */
#include "panels.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Where there is room, the night's line stands below the facts. */
enum { FACTS = 5, LINE_LEAST = 4, LINE_MOST = 9 };

static void say_phase(char out[WORDS_LINE], const struct moment *moment)
{
    static const char *const words[] = {"outside the shadow", "penumbral", "partial", "TOTAL"};

    if (moment->phase >= PHASE_PARTIAL)
        (void)snprintf(out, WORDS_LINE, "%s, magnitude %.3f", words[moment->phase],
                       moment->shadow.umbral_magnitude);
    else if (moment->phase == PHASE_PENUMBRAL)
        (void)snprintf(out, WORDS_LINE, "%s, magnitude %.3f", words[moment->phase],
                       moment->shadow.penumbral_magnitude);
    else
        (void)snprintf(out, WORDS_LINE, "%s", words[moment->phase]);
}

static void say_place(char out[WORDS_LINE], const struct moment *moment, enum glyph_set glyphs)
{
    const struct sight *moon = &moment->moon;
    const char *arrow = glyph(glyphs, moment->rising ? GLYPH_RISE : GLYPH_SINK);

    if (!isfinite(moon->altitude_rad))
        (void)snprintf(out, WORDS_LINE, "place unknown");
    else
        (void)snprintf(out, WORDS_LINE, "%.1f deg %s %s, %.0f %s",
                       fabs(deg_from_rad(moon->altitude_rad)), arrow,
                       moon->altitude_rad < 0 ? "below"
                       : moment->rising       ? "rising"
                                              : "sinking",
                       deg_from_rad(moon->azimuth_rad), compass_point(moon->azimuth_rad));
}

static void say_horizon(char out[WORDS_LINE], const struct scene *scene, int columns)
{
    const struct moment *moment = scene->moment;
    char span[TEXT_SPAN], clock[TEXT_INSTANT];

    if (!isfinite(moment->moon.altitude_rad))
        out[0] = '\0';
    else if (behind_horizon(&moment->moon) && isfinite(moment->horizon_utc))
        (void)snprintf(out, WORDS_LINE, "behind the local horizon until %s",
                       clock_minute(clock, scene->about.reader, moment->horizon_utc));
    else if (!isfinite(moment->horizon_utc))
        (void)snprintf(out, WORDS_LINE, "%s all night",
                       moment->moon.up                 ? "up"
                       : behind_horizon(&moment->moon) ? "behind the local horizon"
                                                       : "down");
    else {
        int at = snprintf(out, WORDS_LINE, "%s in %s", moment->horizon_is_rise ? "rises" : "sets",
                          format_left(span, moment->horizon_utc - moment->utc));
        (void)clock_near(clock, &scene->about, moment->horizon_utc, 0);
        if (at + (int)strlen(", at ") + (int)strlen(clock) <= columns)
            (void)snprintf(out + at, (size_t)(WORDS_LINE - at), ", at %s", clock);
    }
}

static void say_light(char out[WORDS_LINE], const struct moment *moment)
{
    if (moment->phase == PHASE_NONE || !isfinite(moment->light.drop_mag))
        (void)snprintf(out, WORDS_LINE, "full light");
    else
        (void)snprintf(out, WORDS_LINE, "%.1f mag dimmer", moment->light.drop_mag);
}

/* "nautical twilight", or "twilight" where no more than that fits. */
static const char *last_words(const char *text, int columns)
{
    const char *space = strrchr(text, ' ');

    return (int)strlen(text) <= columns || !space ? text : space + 1;
}

void panel_moon(struct area area, const struct scene *scene)
{
    const struct moment *moment = scene->moment;
    char fact[FACTS][WORDS_LINE];
    struct span up[UP_SPANS];

    if (scene->gutter >= GUTTER_LENS)
        moon_disc(area_part(area, 0, 1, scene->gutter - 3, area.height - 1), scene);
    area = panel_named(area, scene, "Moon");
    int half = area.width < 66 ? area.width / 2 : area.width * 9 / 20;
    say_phase(fact[0], moment);
    say_place(fact[1], moment, area.canvas->glyphs);
    say_horizon(fact[2], scene,
                area.height >= FACTS || !two_columns(area) ? area.width : area.width - half);
    bool seen = up_spans(scene->night, up) > 0;
    if (seen)
        say_light(fact[3], moment);
    else
        (void)snprintf(fact[3], WORDS_LINE, "no phase is up from here");
    (void)snprintf(fact[4], WORDS_LINE, "%s", sky_words(moment->sun.altitude_airless_rad));
    if (area.height >= FACTS || !two_columns(area)) {
        for (int i = 0; i < FACTS; i++)
            (void)area_text(area, 0, i, i == 0 ? ROLE_STRONG : ROLE_VALUE, fact[i]);
        int lines = area.height - FACTS > LINE_MOST ? LINE_MOST : area.height - FACTS;
        if (lines >= LINE_LEAST)
            panel_curves(area_part(area, 0, area.height - lines, area.width, lines), scene);
        return;
    }
    /* The shadow at the left, the sky at the right. */
    struct area left = area_part(area, 0, 0, half - 1, area.height);
    struct area right = area_part(area, half, 0, area.width - half, area.height);
    (void)area_text(left, 0, 0, ROLE_STRONG, fact[0]);
    (void)area_text(right, 0, 0, ROLE_VALUE, fact[1]);
    int x = area_text(left, 0, 1, ROLE_VALUE, fact[3]);
    if (x > 0 && seen)
        (void)area_print(left, x, 1, ROLE_LABEL, ", %s", last_words(fact[4], left.width - x - 2));
    (void)area_text(right, 0, 1, ROLE_VALUE, fact[2]);
}
