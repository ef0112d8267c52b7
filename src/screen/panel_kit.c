/* What could run out: batteries, cards, the dry glass, the clear sky, the laptop; and the clocks of
 * the cameras. */
#include "panels.h"

#include <moonstand/words.h>

#include <math.h>
#include <string.h>

/* A name in the gutter, or before the text where there is none. */
static struct area named(struct area area, const struct scene *scene, const char *name)
{
    if (scene->gutter >= GUTTER_NAME)
        return panel_named(area, scene, name);
    int x = area_text(area, 0, 0, ROLE_LABEL, name) + 1;
    return area_part(area, x, 0, area.width - x, area.height);
}

/* ---- batteries and cards ---- */

static enum role battery_role(const struct scene *scene, int rig)
{
    const struct kit_moment *kit = &scene->moment->kit[rig];

    if (kit->swap_utc <= scene->moment->utc)
        return ROLE_DUE;
    return kit->batteries < 0 && !isinf(scene->night->power[rig].life_s) ? ROLE_STALE : ROLE_VALUE;
}

static enum role card_role(const struct kit_moment *kit)
{
    if (kit->card_absent || (kit->card_known && !kit->card.fits))
        return ROLE_DUE;
    return kit->card_known ? ROLE_VALUE : ROLE_LABEL;
}

/* Returns the row after it. */
static int draw_rig(struct area area, int y, const struct scene *scene, int rig)
{
    static sentence *const says[] = {battery_words, supply_words, life_words, card_words};
    const enum role roles[] = {battery_role(scene, rig), ROLE_DUE, ROLE_LABEL,
                               card_role(&scene->moment->kit[rig])};
    const char number[] = {(char)('1' + rig), '\0'};
    struct area rest =
        named(area_part(area, 0, y, area.width, 4), scene,
              scene->gutter >= GUTTER_NAME ? scene->night->rig[rig].rig.name : number);
    char text[WORDS_LINE];
    int row = 0;

    if (scene->moment->rig[rig].aim_state == AIM_DONE) {
        (void)area_text(rest, 0, 0, ROLE_DONE, "done: no more frames");
        return y + 1;
    }
    for (size_t i = 0; i < sizeof says / sizeof *says; i++) {
        if (*scene_sentence(rest, says[i], scene, rig, text))
            (void)area_text(rest, 0, row++, roles[i], text);
    }
    return y + row;
}

/* ---- air and sky ---- */

static int draw_air(struct area area, int y, const struct scene *scene)
{
    const struct moment *moment = scene->moment;
    struct area rest = named(area_part(area, 0, y, area.width, 4), scene, "Air");
    enum role role = moment->look_at_glass            ? ROLE_DUE
                     : isfinite(moment->air.margin_c) ? ROLE_VALUE
                                                      : ROLE_STALE;
    enum role age_role = moment->air_used.old ? ROLE_STALE : ROLE_LABEL;
    char text[SENTENCE];
    int row = 0;

    int x = draw_sentence(rest, row++, role, air_words, scene, -1) + 2;
    (void)air_source_words(&scene->about, -1, 0, text);
    if (x + text_columns(area.canvas->glyphs, text) <= rest.width)
        (void)area_text(rest, x, row - 1, age_role, text);
    else
        (void)area_text(rest, 0, row++, age_role, text);
    if (*air_trend_words(&scene->about, -1, 0, text))
        (void)area_text(rest, 0, row++,
                        isfinite(moment->air_trend.gone_utc) ? ROLE_DUE : ROLE_VALUE, text);
    if (*moment->readings.air_trouble)
        (void)area_print(rest, 0, row++, ROLE_DUE, "sensor: %s", moment->readings.air_trouble);
    return y + row;
}

/* Hours that a row of the sky has room for at most. */
enum { HOURS_AHEAD = 24 };

/* Hour, cloud and temperature, from this hour on. */
static int draw_sky(struct area area, int y, const struct scene *scene)
{
    const struct forecast *forecast = &scene->night->forecast;
    struct area rest = named(area_part(area, 0, y, area.width, 3), scene,
                             scene->moment->forecast_old ? "Sky (old)" : "Sky");
    double first = floor(scene->moment->utc / 3600) * 3600;
    char text[TEXT_INSTANT], temperature[TEXT_AIR];
    size_t widest = 0;

    if (forecast->count == 0) {
        (void)area_text(rest, 0, 0, ROLE_LABEL, "no forecast");
        return y + 1;
    }
    for (int hour = 0; hour < HOURS_AHEAD; hour++) {
        size_t length = strlen(clock_minute(text, scene->about.reader, first + 3600 * hour));
        widest = length > widest ? length : widest;
    }
    int columns = (int)widest + 1;
    for (int x = 0; x + columns <= rest.width; x += columns) {
        enum role role = scene->moment->forecast_old ? ROLE_STALE : ROLE_VALUE;
        int hour = x / columns;
        double utc = first + 3600 * hour;
        struct forecast_row row;

        forecast_at(forecast, utc, &row);
        (void)area_text(rest, x, 0, ROLE_LABEL, clock_minute(text, scene->about.reader, utc));
        if (isfinite(row.cloud_percent))
            (void)area_print(rest, x, 1, role, "%3.0f %%", row.cloud_percent);
        else
            (void)area_text(rest, x, 1, ROLE_LABEL, "  -");
        if (isfinite(row.temperature_c))
            (void)area_print(
                rest, x, 2, role, "%5s",
                format_temperature(temperature, row.temperature_c, 0, scene->night->setup.units));
    }
    return y + 3;
}

/* ---- clocks and laptop ---- */

static int draw_clocks(struct area area, int y, const struct scene *scene)
{
    struct area rest = named(area_part(area, 0, y, area.width, 1), scene, "Clocks");
    int x = 0;

    for (int i = 0; i < scene->night->setup.rig_count; i++) {
        double behind = scene->night->rig[i].camera_behind_s;
        const char *name = scene->night->rig[i].rig.name;
        char span[TEXT_SPAN];

        if (isfinite(behind))
            x = area_print(rest, x, 0, ROLE_VALUE, "%s UTC%c%s", name, behind > 0 ? '-' : '+',
                           format_span(span, round(fabs(behind)))) +
                3;
        else
            x = area_print(rest, x, 0, ROLE_STALE, "%s: clock error not noted (K)", name) + 3;
    }
    return y + 1;
}

static int draw_laptop(struct area area, int y, const struct scene *scene)
{
    struct area rest = named(area_part(area, 0, y, area.width, 1), scene, "Laptop");
    enum role role = scene->moment->laptop_short ? ROLE_DUE : ROLE_VALUE;

    (void)draw_sentence(rest, 0, role, laptop_words, scene, -1);
    return y + 1;
}

void panel_kit(struct area area, const struct scene *scene)
{
    int y = 0;

    for (int i = 0; i < scene->night->setup.rig_count; i++)
        y = draw_rig(area, y, scene, i);
    y = draw_air(area, y, scene);
    y = draw_sky(area, y, scene);
    y = draw_laptop(area, y, scene);
    (void)draw_clocks(area, y, scene);
}
