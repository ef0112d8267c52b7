/* Words and times that several panels use. */
#include "panels.h"

#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

struct scene scene_of(const struct night *night, const struct moment *moment,
                      const struct view *view)
{
    struct subject local = {night, moment, reader_local(night)};
    struct subject utc = {night, moment, reader_utc()};

    return (struct scene){.night = night,
                          .moment = moment,
                          .view = view,
                          .about = view->utc_first ? utc : local,
                          .other = view->utc_first ? local : utc};
}

/* What was said of a glass that is likely to be wet goes before what the air tells. */
static const char *word_of_glass(const struct moment *moment)
{
    static const char *const words[] = {
        [AIR_SAFE] = "safe",      [AIR_SHIELD] = "shield",      [AIR_HEAT] = "dew soon",
        [AIR_WET] = "dew likely", [AIR_FROST] = "frost likely",
    };

    if (moment->air.advice < AIR_HEAT || moment->look_at_glass)
        return words[moment->air.advice];
    return moment->utc < moment->glass_quiet_utc ? "glass dry" : "heater on";
}

char *words_air(char out[WORDS_LINE], const struct scene *scene, struct area area)
{
    const struct air *air = &scene->moment->air;
    enum units units = scene->night->setup.units;
    char temperature[TEXT_AIR], margin[TEXT_AIR];

    (void)format_temperature(temperature, air->temperature_c, 1, units);
    (void)snprintf(out, WORDS_LINE, "%s, %.0f %%, dew margin %s: %s", temperature,
                   air->humidity_percent, format_warmth(margin, air->margin_c, false, units),
                   word_of_glass(scene->moment));
    if (text_columns(area.canvas->glyphs, out) > area.width)
        (void)snprintf(out, WORDS_LINE, "%s, %.0f %%: %s", temperature, air->humidity_percent,
                       word_of_glass(scene->moment));
    return out;
}

char *words_setting(char out[WORDS_SETTING], const struct exposure *exposure, struct area area)
{
    char shutter[SHUTTER_LABEL];

    if (!exposure->known) {
        (void)snprintf(out, WORDS_SETTING, "no light");
        return out;
    }
    if (area.height == 1 && exposure->bracket_frames > 1) {
        (void)dial_words(exposure, out);
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return out;
    }
    int dial =
        snprintf(out, WORDS_SETTING, "%s%s%s s  ISO %d",
                 exposure->bracket_frames > 1 ? bracket_shown_name(exposure->bracket_shown) : "",
                 exposure->bracket_frames > 1 ? " " : "", shutter_label(exposure->shutter, shutter),
                 iso_label(exposure->iso));
    (void)snprintf(out + dial, (size_t)(WORDS_SETTING - dial), "  f/%.3g", exposure->f_number);
    if (text_columns(area.canvas->glyphs, out) > area.width)
        out[dial] = '\0';
    return out;
}

int gutter_for(int width)
{
    return width >= 110 ? GUTTER_LENS : width >= 72 ? GUTTER_NAME : width >= 58 ? GUTTER_NUMBER : 0;
}

bool two_columns(struct area area)
{
    return area.width >= 52;
}

struct area panel_named(struct area area, const struct scene *scene, const char *name)
{
    int margin = scene->gutter;

    if (margin >= GUTTER_NAME)
        (void)area_text(area_part(area, 0, 0, margin - 1, 1), 0, 0, ROLE_LABEL, name);
    return area_part(area, margin, 0, area.width - margin, area.height);
}
