/* Words and times that several panels use. */
#include "panels.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NEAR_S (20 * 3600.0)
#define COUNT_DAYS_FROM_S (100 * 3600.0)

static double local_seconds(const struct scene *scene, double utc)
{
    return utc + zone_offset(&scene->night->zone, utc, NULL);
}

/* "20:46:27", or "08:46:27pm". */
static void clock_text(char out[WORDS_WHEN], double seconds, bool twelve, bool with_seconds)
{
    char text[TEXT_INSTANT];
    int hour = (int)floor(seconds / 3600 - floor(seconds / SECONDS_PER_DAY) * 24);

    if (!twelve || !isfinite(seconds)) {
        (void)snprintf(out, WORDS_WHEN, "%.*s", WORDS_WHEN - 1,
                       format_clock(text, seconds, with_seconds));
        return;
    }
    (void)snprintf(out, WORDS_WHEN, "%02d%.6s%s", (hour + 11) % 12 + 1,
                   format_clock(text, seconds, with_seconds) + 2, hour < 12 ? "am" : "pm");
}

static char *when(char out[WORDS_WHEN], const struct scene *scene, double utc, bool in_utc)
{
    bool twelve = scene->view->twelve_hours && !in_utc;
    double seconds = in_utc || !isfinite(utc) ? utc : local_seconds(scene, utc);
    char day[TEXT_INSTANT], clock[WORDS_WHEN];

    if (!isfinite(utc) || fabs(utc - scene->moment->utc) < NEAR_S) {
        clock_text(out, seconds, twelve, true);
        return out;
    }
    clock_text(clock, seconds, twelve, false);
    (void)snprintf(out, WORDS_WHEN, "%.10s %.8s", format_iso(day, floor(seconds), 0, ""), clock);
    return out;
}

char *words_when(char out[WORDS_WHEN], const struct scene *scene, double utc)
{
    return when(out, scene, utc, scene->view->utc_first);
}

char *words_when_other(char out[WORDS_WHEN], const struct scene *scene, double utc)
{
    return when(out, scene, utc, !scene->view->utc_first);
}

char *words_minute(char out[WORDS_WHEN], const struct scene *scene, double utc)
{
    bool in_utc = scene->view->utc_first;

    clock_text(out, in_utc ? utc : local_seconds(scene, utc), scene->view->twelve_hours && !in_utc,
               false);
    return out;
}

const char *words_hidden(const struct scene *scene)
{
    return behind_skyline(&scene->moment->moon) ? "behind the skyline" : "Moon is down";
}

char *words_celsius(char out[WORDS_WHEN], const struct scene *scene, double temperature_c,
                    int decimals)
{
    bool imperial = scene->view->imperial;

    (void)snprintf(out, WORDS_WHEN, "%.*f %c", decimals,
                   imperial ? temperature_c * 1.8 + 32 : temperature_c, imperial ? 'F' : 'C');
    return out;
}

char *words_kelvin(char out[WORDS_WHEN], const struct scene *scene, double difference_c)
{
    bool imperial = scene->view->imperial;

    (void)snprintf(out, WORDS_WHEN, "%.1f %c", imperial ? difference_c * 1.8 : difference_c,
                   imperial ? 'F' : 'C');
    return out;
}

const char *words_zone(const struct scene *scene, bool of_other)
{
    const char *local;

    if (scene->view->utc_first != of_other)
        return utc_scale_is_utc(scene->moment->utc) ? "UTC" : "UT1";
    (void)zone_offset(&scene->night->zone, scene->moment->utc, &local);
    return local;
}

char *words_dial(char out[WORDS_SETTING], const struct exposure *exposure)
{
    char shutter[SHUTTER_LABEL];

    (void)snprintf(out, WORDS_SETTING, "%s s, ISO %d", shutter_label(exposure->shutter, shutter),
                   iso_label(exposure->iso));
    return out;
}

char *words_setting(char out[WORDS_SETTING], const struct exposure *exposure)
{
    char shutter[SHUTTER_LABEL];

    if (exposure->known)
        (void)snprintf(out, WORDS_SETTING, "%s s  ISO %d  f/%.3g",
                       shutter_label(exposure->shutter, shutter), iso_label(exposure->iso),
                       exposure->f_number);
    else
        (void)snprintf(out, WORDS_SETTING, "no light");
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

bool event_counts(const struct night_event *event)
{
    return event->kind != NIGHT_SKY || event->which == SKY_MOONRISE || event->which == SKY_MOONSET;
}

int words_next(const struct scene *scene)
{
    const struct night *night = scene->night;

    if (scene->moment->utc < night->contact_utc[CONTACT_P1] - SECONDS_PER_DAY) {
        for (int i = 0; i < night->event_count; i++)
            if (night->event[i].kind == NIGHT_CONTACT)
                return i;
    }
    return scene->moment->next;
}

const char *words_countdown(char out[TEXT_SPAN], double seconds)
{
    if (!(seconds > COUNT_DAYS_FROM_S)) {
        (void)format_span(out, seconds);
        return seconds < 3600 ? "min" : "h";
    }
    (void)snprintf(out, TEXT_SPAN, "%.0f", floor(seconds / SECONDS_PER_DAY));
    return "days";
}

int gutter_for(int width)
{
    return width >= 110 ? GUTTER_LENS : width >= 72 ? GUTTER_NAME : width >= 58 ? GUTTER_NUMBER : 0;
}

struct area panel_named(struct area area, const struct scene *scene, const char *name)
{
    int margin = scene->gutter;

    if (margin >= GUTTER_NAME)
        (void)area_text(area_part(area, 0, 0, margin - 1, 1), 0, 0, ROLE_LABEL, name);
    return area_part(area, margin, 0, area.width - margin, area.height);
}
