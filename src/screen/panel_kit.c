/* What could run out: batteries, cards, the dry glass, the clear sky, the laptop; and the clocks of
 * the cameras. */
#include "panels.h"

#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/list_words.h>
#include <moonstand/power_words.h>
#include <moonstand/setting_words.h>

#include <math.h>
#include <string.h>

/* A name in the gutter, or before the text where there is none. */
static struct area named(struct area area, const struct scene *scene, const char *name)
{
    if (scene->gutter >= GUTTER_NAME)
        return panel_named(area, scene, name);
    int x = area_text(area, 0, 0, ROLE_LABEL, name) + 1;
    return area_from(area, x, 0);
}

/* ---- two columns: what there is, and what is wrong with it ---- */

/* What is wrong is at the right, or with too little room for that below the rest. */
struct kit_block {
    const struct scene *scene;
    bool split;
    struct area side[2];
    int rows[2];
};

static struct kit_block block_at(struct area area, int y, const struct scene *scene,
                                 const char *name)
{
    enum { LEFT_PARTS = 11, PARTS = 20, BOTH_FROM = 64 };
    struct area rest = named(area_from(area, 0, y), scene, name);
    int half = rest.width * LEFT_PARTS / PARTS;

    if (rest.width < BOTH_FROM)
        return (struct kit_block){.scene = scene, .side = {rest}};
    return (struct kit_block){
        .scene = scene,
        .split = true,
        .side = {area_part(rest, 0, 0, half - 1, rest.height), area_from(rest, half, 0)}};
}

static int rows_of(const struct kit_block *block)
{
    return block->rows[0] > block->rows[1] ? block->rows[0] : block->rows[1];
}

static void put_part(struct kit_block *block, bool wrong, enum role role, const char *text)
{
    int side = wrong && block->split, *y = &block->rows[side];
    struct area area = block->side[side];
    int lines = text_lines(area, text);

    area_wrap(area_part(area, 0, *y, area.width, lines), role, text);
    *y += lines;
}

static void put_sentence(struct kit_block *block, bool wrong, enum role role, sentence *say,
                         int rig)
{
    struct area area = block->side[wrong && block->split];
    char text[SENTENCE];

    if (*scene_sentence(area, say, block->scene, rig, text))
        put_part(block, wrong, role, text);
}

/* ---- batteries and cards ---- */

static int draw_rig(struct area area, int y, const struct scene *scene, int rig, bool roomy)
{
    const char number[] = {(char)('1' + rig), '\0'};
    char later[SENTENCE];
    const struct kit_moment *kit = &scene->moment->kit[rig];
    bool overdue = kit->swap_utc <= scene->moment->utc;
    bool unknown = kit->batteries < 0 && !isinf(scene->night->power[rig].life_s);
    bool no_card = kit->card_absent || (kit->card_known && !kit->card.fits);
    enum role battery_role = unknown ? ROLE_STALE : ROLE_VALUE;
    enum role card_role = kit->card_known ? ROLE_VALUE : ROLE_LABEL;
    struct kit_block block = block_at(
        area, y, scene, scene->gutter >= GUTTER_NAME ? scene->night->rig[rig].rig.name : number);

    if (scene->moment->rig[rig].aim_state == AIM_DONE) {
        put_part(&block, false, ROLE_DONE, NO_FRAMES_WORDS);
        return rows_of(&block);
    }
    put_sentence(&block, true, ROLE_DUE, supply_words, rig);
    put_sentence(&block, overdue, overdue ? ROLE_DUE : battery_role, battery_words, rig);
    if (roomy && *later_swaps_words(&scene->about, &scene->night->power[rig], later))
        put_part(&block, false, ROLE_LABEL, later);
    put_sentence(&block, false, ROLE_LABEL, life_words, rig);
    put_sentence(&block, no_card, no_card ? ROLE_DUE : card_role, card_words, rig);
    return rows_of(&block);
}

/* ---- air and sky ---- */

static int draw_air_block(struct area area, int y, const struct scene *scene)
{
    const struct moment *moment = scene->moment;
    bool known = isfinite(moment->air.margin_c);
    enum role role = known ? ROLE_VALUE : ROLE_STALE;
    struct kit_block block = block_at(area, y, scene, "Air");
    char text[SENTENCE];

    put_sentence(&block, !known, moment->look_at_glass ? ROLE_DUE : role, air_words, -1);
    put_sentence(&block, false, moment->air_used.old ? ROLE_STALE : ROLE_LABEL, air_source_words,
                 -1);
    put_sentence(&block, isfinite(moment->air_trend.gone_utc),
                 isfinite(moment->air_trend.gone_utc) ? ROLE_DUE : ROLE_VALUE, air_trend_words, -1);
    if (*glass_words(&scene->about, text))
        put_part(&block, true, ROLE_DUE, text);
    if (*moment->readings.air_trouble)
        put_part(&block, true, ROLE_DUE,
                 text_set(text, sizeof text, "sensor: %s", moment->readings.air_trouble));
    return rows_of(&block);
}

/* Hours that a row of the sky has room for at most. */
enum { HOURS_AHEAD = 24 };

/* Hour, cloud and temperature, from this hour on. */
static int draw_sky_block(struct area area, int y, const struct scene *scene)
{
    const struct forecast *forecast = &scene->night->forecast;
    const char *name = scene->moment->forecast_old ? "Sky (old)" : "Sky";
    double first = floor(scene->moment->utc / 3600) * 3600;
    char text[TEXT_INSTANT], temperature[TEXT_AIR];
    size_t widest = 0;

    if (forecast->count == 0) {
        struct kit_block block = block_at(area, y, scene, name);
        put_part(&block, true, ROLE_LABEL, NO_FORECAST_WORDS);
        return rows_of(&block);
    }
    struct area rest = named(area_part(area, 0, y, area.width, 3), scene, name);
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
                format_temperature(temperature, row.temperature_c, 0, scene->about.reader.units));
    }
    return 3;
}

/* ---- clocks and laptop ---- */

static int draw_clock_block(struct area area, int y, const struct scene *scene)
{
    struct kit_block block = block_at(area, y, scene, "Clocks");
    char text[SENTENCE], state[SENTENCE];

    for (int i = 0; i < scene->night->setup.rig_count; i++)
        put_sentence(&block, false, ROLE_VALUE, camera_clock_words, i);
    put_sentence(&block, true, ROLE_STALE, unnoted_clocks_words, -1);
    if (clock_role(&scene->moment->readings) == ROLE_DUE)
        put_part(&block, true, ROLE_DUE,
                 text_set(text, sizeof text, "laptop: %.150s",
                          clock_state_words(&scene->about, -1, 0, state)));
    return rows_of(&block);
}

static int draw_laptop(struct area area, int y, const struct scene *scene)
{
    const struct readings *readings = &scene->moment->readings;
    bool known = isfinite(readings->battery_percent) || *awake_name(readings->awake);
    struct kit_block block = block_at(area, y, scene, "Laptop");

    put_sentence(&block, !known, known ? ROLE_VALUE : ROLE_LABEL, laptop_words, -1);
    if (scene->moment->laptop_short)
        put_part(&block, true, ROLE_DUE, LAPTOP_SHORT_WORDS);
    return rows_of(&block);
}

/* Draws what the area has room for; returns how many lines all of it takes. */
static int draw_blocks(struct area area, const struct scene *scene, bool roomy)
{
    static int (*const draw[])(struct area, int, const struct scene *) = {
        draw_air_block, draw_sky_block, draw_laptop, draw_clock_block};
    int y = 0;

    if (roomy) {
        struct kit_block head = block_at(area, 1, scene, "");
        put_part(&head, false, ROLE_LABEL, "what there is");
        if (head.split)
            put_part(&head, true, ROLE_LABEL, "what is wrong");
        y = 3;
    }
    for (int i = 0; i < scene->night->setup.rig_count; i++)
        y += draw_rig(area, y, scene, i, roomy) + roomy;
    for (size_t i = 0; i < sizeof draw / sizeof *draw; i++)
        y += draw[i](area, y, scene) + roomy;
    return y - roomy;
}

void panel_kit(struct area area, const struct scene *scene)
{
    enum { LIST_FROM = 6 };
    bool roomy = draw_blocks(area_part(area, 0, 0, area.width, 0), scene, true) <= area.height;
    int below = draw_blocks(area, scene, roomy) + 1;

    /* What else needs a hand, where a large window has room for some of it. */
    if (area.height - below >= LIST_FROM)
        panel_list(area_from(area, 0, below), scene);
}
