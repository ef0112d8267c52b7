/* What could run out: batteries, cards, the dry glass, the clear sky, the laptop; and the clocks of
 * the cameras. */
#include "panels.h"

#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
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

/* When the battery in use is empty: an instant, or a span of an unknown temperature. */
enum { EMPTY_WORDS = 2 * TEXT_INSTANT + 8 };
static void say_empty(char out[EMPTY_WORDS], const struct scene *scene,
                      const struct rig_power *power)
{
    char first[TEXT_INSTANT], last[TEXT_INSTANT];

    if (power->cold_from == COLD_UNKNOWN)
        (void)snprintf(
            out, EMPTY_WORDS, "%s to %s",
            clock_minute(first, scene->about.reader, power->full_utc + power->life_cold_s),
            clock_minute(last, scene->about.reader, power->full_utc + power->life_warm_s));
    else
        (void)snprintf(out, EMPTY_WORDS, "%s",
                       clock_near(first, &scene->about, power->empty_utc, 0));
}

static enum role say_battery(char out[WORDS_LINE], const struct scene *scene, int rig, bool brief)
{
    const struct kit_moment *kit = &scene->moment->kit[rig];
    const struct rig_power *power = &scene->night->power[rig];
    const char *what = brief ? "" : " the battery";
    bool due = kit->swap_utc <= scene->moment->utc;
    char when[TEXT_INSTANT], empty[EMPTY_WORDS];

    if (isinf(power->life_s)) {
        (void)snprintf(out, WORDS_LINE, "external power");
        return ROLE_VALUE;
    }
    if (kit->batteries < 0) {
        (void)snprintf(out, WORDS_LINE, "battery not known");
        return ROLE_STALE;
    }
    say_empty(empty, scene, power);
    if (due)
        (void)snprintf(out, WORDS_LINE, "CHANGE%s, due %s%s, empty %s",
                       brief ? " IT" : " THE BATTERY", brief ? "" : "since ",
                       clock_minute(when, scene->about.reader, kit->swap_utc), empty);
    else if (isfinite(kit->swap_utc))
        (void)snprintf(out, WORDS_LINE, "change%s %s%s%s%s, empty %s", what,
                       clock_near(when, &scene->about, kit->swap_utc, 0), brief ? "" : " (",
                       brief ? "" : swap_reason_name(kit->swap_reason), brief ? "" : ")", empty);
    else
        (void)snprintf(out, WORDS_LINE, "%s%s", kit->external ? "" : "battery lasts until ",
                       kit->external ? "" : empty);
    return due ? ROLE_DUE : ROLE_VALUE;
}

static enum role say_life(char out[WORDS_LINE], const struct scene *scene, int rig, bool brief)
{
    const struct rig_power *power = &scene->night->power[rig];
    char life[POWER_WORDS];
    const char *colon;

    *out = '\0';
    if (isinf(power->life_s) || scene->moment->kit[rig].batteries < 0)
        return ROLE_LABEL;
    colon = strstr(battery_life_words(scene->night, power, life), ": ");
    if (brief)
        (void)snprintf(out, WORDS_LINE, "%s", colon ? colon + 2 : life);
    else
        (void)snprintf(out, WORDS_LINE, "%s; %d needed, %d spare%s left", life,
                       power->plan.batteries, power->spares, power->spares == 1 ? "" : "s");
    return ROLE_LABEL;
}

/* Only if the batteries do not last. */
static enum role say_supply(char out[WORDS_LINE], const struct scene *scene, int rig, bool brief)
{
    const struct rig_power *power = &scene->night->power[rig];
    char supply[POWER_WORDS], clock[TEXT_INSTANT];
    const char *colon;

    (void)supply_words(&scene->about, rig, power, supply);
    colon = strstr(supply, ": ");
    if (brief && colon && isfinite(power->plan.dry_utc))
        (void)snprintf(out, WORDS_LINE, "empty %s: %s",
                       clock_minute(clock, scene->about.reader, power->plan.dry_utc), colon + 2);
    else
        (void)snprintf(out, WORDS_LINE, "%s", supply);
    return ROLE_DUE;
}

static enum role say_card(char out[WORDS_LINE], const struct scene *scene, int rig, bool brief)
{
    const struct kit_moment *kit = &scene->moment->kit[rig];
    const struct card_budget *card = &kit->card;
    char when[TEXT_INSTANT], change[TEXT_INSTANT];

    if (kit->card_absent) {
        (void)snprintf(out, WORDS_LINE, "NO CARD at %s", scene->night->rig[rig].rig.card_path);
        return ROLE_DUE;
    }
    if (!kit->card_known) {
        (void)snprintf(out, WORDS_LINE, "card not known, %.0f frames to come", card->frames);
        return ROLE_LABEL;
    }
    if (card->fits) {
        (void)snprintf(out, WORDS_LINE, "card %s%.0f more%s, %.0f to come", brief ? "" : "holds ",
                       card->frames_fit, brief ? "" : " frames", card->frames);
        return ROLE_VALUE;
    }
    (void)clock_near(when, &scene->about, card->full_utc, 0);
    (void)clock_minute(change, scene->about.reader, kit->card_utc);
    if (isfinite(card->interval_fits_s) && !brief)
        (void)snprintf(out, WORDS_LINE, "card full %s: change it %s, or interval %.0f s", when,
                       change, card->interval_fits_s);
    else
        (void)snprintf(out, WORDS_LINE, "card full %s: change it %s", when, change);
    return ROLE_DUE;
}

/* Returns the row after it. */
static int draw_rig(struct area area, int y, const struct scene *scene, int rig)
{
    static enum role (*const says[])(char[WORDS_LINE], const struct scene *, int,
                                     bool) = {say_battery, say_supply, say_life, say_card};
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
        enum role role = says[i](text, scene, rig, false);
        if (text_columns(area.canvas->glyphs, text) > rest.width)
            role = says[i](text, scene, rig, true);
        if (*text)
            (void)area_text(rest, 0, row++, role, text);
    }
    return y + row;
}

/* ---- air and sky ---- */

static void say_source(char out[WORDS_LINE], const struct moment *moment)
{
    const char *source = moment->air_used.source == AIR_READ ? "read" : "forecast";
    char age[TEXT_SPAN];

    if (isfinite(moment->air_used.age_s))
        (void)snprintf(out, WORDS_LINE, "%s %s ago", source,
                       format_span(age, moment->air_used.age_s));
    else
        (void)snprintf(out, WORDS_LINE, "%s of unknown age", source);
}

static int draw_air(struct area area, int y, const struct scene *scene)
{
    const struct moment *moment = scene->moment;
    const struct air *air = &moment->air;
    const struct air_trend *trend = &moment->air_trend;
    struct area rest = named(area_part(area, 0, y, area.width, 4), scene, "Air");
    enum units units = scene->night->setup.units;
    char text[WORDS_LINE], when[TEXT_INSTANT], margin[TEXT_AIR];
    int row = 0;

    if (!isfinite(air->margin_c)) {
        (void)area_text(rest, 0, row++, ROLE_STALE, "not told yet: w");
    } else {
        int x = area_text(rest, 0, row++, moment->look_at_glass ? ROLE_DUE : ROLE_VALUE,
                          words_air(text, scene, rest));
        say_source(text, moment);
        if (x + 2 + text_columns(area.canvas->glyphs, text) <= rest.width)
            (void)area_text(rest, x + 2, row - 1, moment->air_used.old ? ROLE_STALE : ROLE_LABEL,
                            text);
        else
            (void)area_text(rest, 0, row++, moment->air_used.old ? ROLE_STALE : ROLE_LABEL, text);
    }
    if (isfinite(trend->gone_utc))
        (void)area_print(rest, 0, row++, ROLE_DUE, "margin gone %s",
                         clock_near(when, &scene->about, trend->gone_utc, 0));
    else if (isfinite(trend->margin_c_per_h))
        (void)area_print(rest, 0, row++, ROLE_VALUE, "margin %s an hour",
                         format_warmth(margin, trend->margin_c_per_h, true, units));
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
            x = area_print(rest, x, 0, ROLE_STALE, "%s not told", name) + 3;
    }
    return y + 1;
}

static int draw_laptop(struct area area, int y, const struct scene *scene)
{
    const struct moment *moment = scene->moment;
    const char *awake = awake_name(moment->readings.awake);
    int x;
    struct area rest = named(area_part(area, 0, y, area.width, 1), scene, "Laptop");
    char when[TEXT_INSTANT];

    if (!isfinite(moment->readings.battery_percent))
        x = area_text(rest, 0, 0, ROLE_LABEL, "no battery known");
    else if (!isfinite(moment->laptop_empty_utc))
        x = area_print(rest, 0, 0, ROLE_VALUE, "%.0f %%%s", moment->readings.battery_percent,
                       moment->readings.battery_discharging ? "" : ", on power");
    else
        x = area_print(rest, 0, 0, moment->laptop_short ? ROLE_DUE : ROLE_VALUE,
                       "%.0f %%, empty %s%s", moment->readings.battery_percent,
                       clock_near(when, &scene->about, moment->laptop_empty_utc, 0),
                       moment->laptop_short ? ": BEFORE P4" : "");
    if (*awake)
        (void)area_print(rest, x, 0, ROLE_LABEL, ", %s", awake);
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
