/* Words and times that several panels use. */
#include "panels.h"

#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NEAR_S (20 * 3600.0)

static double local_seconds(const struct scene *scene, double utc)
{
    return utc + zone_offset(&scene->night->zone, utc, NULL);
}

/* The user's hours are those of local time; UTC always has 24. */
static enum hours hours_of(const struct scene *scene, bool in_utc)
{
    return in_utc ? HOURS_24 : scene->night->setup.hours;
}

static double clock_seconds(const struct scene *scene, double utc, bool in_utc)
{
    return in_utc || !isfinite(utc) ? utc : local_seconds(scene, utc);
}

/* Behind a time: the zone's letters where they are asked for, or where the clock shows it twice. */
static void add_zone(char out[WORDS_WHEN], const struct scene *scene, double utc, bool in_utc,
                     bool always)
{
    size_t length = strlen(out);
    const char *zone = in_utc ? "" : zone_mark(&scene->night->zone, utc);

    if (always)
        zone = words_zone(scene, utc, in_utc != scene->view->utc_first);
    if (isfinite(utc) && *zone)
        (void)snprintf(out + length, WORDS_WHEN - length, " %s", zone);
}

static char *when(char out[WORDS_WHEN], const struct scene *scene, double utc, bool in_utc,
                  bool with_zone)
{
    double seconds = clock_seconds(scene, utc, in_utc);
    enum hours hours = hours_of(scene, in_utc);
    char day[TEXT_INSTANT], clock[TEXT_INSTANT];

    if (!isfinite(utc) || fabs(utc - scene->moment->utc) < NEAR_S)
        (void)snprintf(out, WORDS_WHEN, "%.20s", format_time(clock, seconds, true, hours));
    else
        (void)snprintf(out, WORDS_WHEN, "%.10s %.8s",
                       format_iso(day, nearest_shown(seconds, false), 0, ""),
                       format_time(clock, seconds, false, hours));
    add_zone(out, scene, utc, in_utc, with_zone);
    return out;
}

char *words_when(char out[WORDS_WHEN], const struct scene *scene, double utc)
{
    return when(out, scene, utc, scene->view->utc_first, false);
}

char *words_when_other(char out[WORDS_WHEN], const struct scene *scene, double utc)
{
    return when(out, scene, utc, !scene->view->utc_first, false);
}

char *words_zoned(char out[WORDS_WHEN], const struct scene *scene, double utc, bool of_other)
{
    return when(out, scene, utc, scene->view->utc_first != of_other, true);
}

char *words_now(char out[WORDS_WHEN], const struct scene *scene, enum now_zone zone)
{
    bool in_utc = scene->view->utc_first != (zone == NOW_OTHER);
    char clock[TEXT_INSTANT];

    (void)snprintf(out, WORDS_WHEN, "%.20s",
                   format_clock(clock, clock_seconds(scene, scene->moment->utc, in_utc), true,
                                hours_of(scene, in_utc)));
    add_zone(out, scene, scene->moment->utc, in_utc, zone != NOW_MARKED);
    return out;
}

char *words_minute(char out[WORDS_WHEN], const struct scene *scene, double utc)
{
    bool in_utc = scene->view->utc_first;
    char clock[TEXT_INSTANT];

    (void)snprintf(
        out, WORDS_WHEN, "%.20s",
        format_time(clock, clock_seconds(scene, utc, in_utc), false, hours_of(scene, in_utc)));
    add_zone(out, scene, utc, in_utc, false);
    return out;
}

const char *words_hidden(const struct scene *scene)
{
    return behind_skyline(&scene->moment->moon) ? "behind the skyline" : "Moon is down";
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

const char *words_zone(const struct scene *scene, double utc, bool of_other)
{
    const char *local;

    if (scene->view->utc_first != of_other)
        return utc_scale_is_utc(utc) ? "UTC" : "UT1";
    (void)zone_offset(&scene->night->zone, utc, &local);
    return local;
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

const char *words_sky(double sun_altitude_deg)
{
    /* The upper limb on the horizon; the three twilights. */
    static const struct {
        double above_deg;
        const char *word;
    } skies[] = {{-0.833, "day"},
                 {-6, "civil twilight"},
                 {-12, "nautical twilight"},
                 {-18, "last twilight"}};

    if (!isfinite(sun_altitude_deg))
        return "";
    for (size_t i = 0; i < sizeof skies / sizeof *skies; i++) {
        if (sun_altitude_deg > skies[i].above_deg)
            return skies[i].word;
    }
    return "full night";
}

const char *words_event(const struct night_event *event)
{
    static const char *const contacts[CONTACT_COUNT] = {
        [CONTACT_P1] = "penumbra begins, unseen", [CONTACT_U1] = "umbra touches the Moon",
        [CONTACT_U2] = "totality begins",         [CONTACT_GREATEST] = "deepest in the shadow",
        [CONTACT_U3] = "totality ends",           [CONTACT_U4] = "umbra leaves the Moon",
        [CONTACT_P4] = "penumbra ends, unseen",
    };

    return event->kind == NIGHT_CONTACT ? contacts[event->which] : "";
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
