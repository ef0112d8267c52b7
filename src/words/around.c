/* Air, receiver, clock and laptop in words. */
#include "parts.h"

#include <moonstand/air.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/readings.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *air_advice_words(enum air_advice advice)
{
    static const char *const text[] = {
        "The glass is well above the dew point.",
        "Dew is near: put the dew shield on and have the heater ready.",
        "Dew is likely soon: look at the glass, heater on. Never wipe it.",
        "Dew is likely: look at the glass. Warm it until it is clear, never wipe it.",
        "Frost is likely: look at the glass. Warm it until it is clear, never scrape it.",
    };

    return text[advice];
}

static const char *word_of_glass(const struct moment *moment)
{
    static const char *const words[] = {
        [AIR_SAFE] = "safe",      [AIR_SHIELD] = "shield",      [AIR_HEAT] = "dew soon",
        [AIR_WET] = "dew likely", [AIR_FROST] = "frost likely",
    };

    /* What was seen of a glass that is likely to be wet counts for more than the air. */
    if (moment->air.advice < AIR_HEAT || moment->look_at_glass)
        return words[moment->air.advice];
    return moment->utc < moment->glass_quiet_utc ? "glass dry" : "heater on";
}

char *air_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct air *air = &about->moment->air;
    enum units units = about->reader.units;
    char temperature[TEXT_AIR], margin[TEXT_AIR], dew[TEXT_AIR + 16] = "";

    (void)rig;
    if (!isfinite(air->margin_c))
        return text_set(out, SENTENCE, "no air reading yet%s", brevity ? " (w)" : " (w to enter)");
    if (brevity == 0)
        (void)snprintf(dew, sizeof dew, ", dew margin %s",
                       format_warmth(margin, air->margin_c, false, units));
    return text_set(out, SENTENCE, "%s, %.0f %%%s: %s",
                    format_temperature(temperature, air->temperature_c, 1, units),
                    air->humidity_percent, dew, word_of_glass(about->moment));
}

/* "read 12 min ago: old". */
static char *say_ago(const char *what, double age_s, bool old, char out[SENTENCE])
{
    char age[TEXT_SPAN];

    if (isfinite(age_s))
        return text_set(out, SENTENCE, "%s %s ago%s", what, rough_words(age, age_s),
                        old ? ": old" : "");
    return text_set(out, SENTENCE, "%s at an unknown time", what);
}

char *forecast_age_words(double age_s, bool old, char out[SENTENCE])
{
    return say_ago("forecast made", age_s, old, out);
}

char *air_source_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct air_choice *used = &about->moment->air_used;

    (void)rig;
    (void)brevity;
    *out = '\0';
    if (isfinite(about->moment->air.margin_c))
        (void)say_ago(used->source == AIR_READ ? "read" : "forecast made", used->age_s, used->old,
                      out);
    return out;
}

char *cloud_words(double percent, char out[SENTENCE])
{
    if (isfinite(percent))
        return text_set(out, SENTENCE, "cloud %.0f %%", percent);
    return text_set(out, SENTENCE, "no cloud given");
}

char *air_trend_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct air_trend *trend = &about->moment->air_trend;
    char clock[TEXT_INSTANT], margin[TEXT_AIR];

    (void)rig;
    (void)brevity;
    *out = '\0';
    if (isfinite(trend->gone_utc))
        (void)snprintf(out, SENTENCE, "dew from %s", clock_near(clock, about, trend->gone_utc, 0));
    else if (isfinite(trend->margin_c_per_h))
        (void)snprintf(
            out, SENTENCE, "dew margin %s an hour",
            format_warmth(margin, trend->margin_c_per_h, true, about->reader.units));
    return out;
}

char *glass_state_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct moment *moment = about->moment;
    char clock[TEXT_INSTANT];

    (void)rig;
    (void)brevity;
    *out = '\0';
    if (isnan(moment->air.margin_c))
        return out;
    if (moment->air.advice < AIR_HEAT)
        (void)snprintf(out, SENTENCE, "%s", air_advice_words(moment->air.advice));
    else if (*glass_words(about, out))
        text_add(out, SENTENCE, "", "; warm it, never wipe it");
    else if (moment->utc < moment->glass_quiet_utc)
        (void)snprintf(out, SENTENCE, "the glass was dry, next look at %s",
                       clock_near(clock, about, moment->glass_quiet_utc, 0));
    else
        (void)snprintf(out, SENTENCE, "dew or frost likely, every heater is on");
    return out;
}

char *gps_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct gps_reading *gps = &about->moment->readings.gps;
    double moved_m = fix_moved_m(about->night, about->moment);
    char age[TEXT_SPAN];

    (void)rig;
    if (isfinite(moved_m))
        return text_set(out, SENTENCE, "%.*f km off%s", moved_m < 1e5 ? 1 : 0, moved_m / 1000,
                        brevity ? ": g moves site" : ": g moves the site");
    if (gps->state == GPS_FIX && gps->satellites >= 0)
        return text_set(out, SENTENCE, "fix, %d satellites", gps->satellites);
    if (gps->state == GPS_STALE)
        return text_set(out, SENTENCE, "fix is %s old", rough_words(age, gps->age_s));
    return text_set(out, SENTENCE, "%s", gps_state_name(gps->state));
}

char *clock_state_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    static const char *const words[] = {"not checked", "NOT synchronised", "synchronised"};
    const struct readings *readings = &about->moment->readings;

    (void)rig;
    (void)brevity;
    if (isfinite(readings->gps.clock_offset_s) && !about->reader.still)
        return text_set(out, SENTENCE, "%+.2f s against GPS", readings->gps.clock_offset_s);
    return text_set(out, SENTENCE, "%s", words[readings->clock_synchronised + 1]);
}

char *laptop_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct moment *moment = about->moment;
    const struct readings *readings = &moment->readings;
    const char *awake = awake_name(readings->awake);
    bool known = isfinite(readings->battery_percent);
    char battery[80] = "", clock[TEXT_INSTANT];

    (void)rig;
    if (known && brevity == 0 && isfinite(moment->laptop_empty_utc))
        (void)snprintf(battery, sizeof battery, "%.0f %%, empty %s%s", readings->battery_percent,
                       clock_near(clock, about, moment->laptop_empty_utc, 0),
                       moment->laptop_short ? ": BEFORE P4" : "");
    else if (known)
        (void)snprintf(battery, sizeof battery, "%.0f %%%s", readings->battery_percent,
                       readings->battery_discharging ? "" : ", on power");
    /* With little room: first that it may sleep, then its battery, then that it is kept awake. */
    if (brevity < 2)
        return text_set(out, SENTENCE, "%s%s%s", battery, *battery && *awake ? ", " : "",
                        *battery || *awake ? awake : "battery unknown");
    if (brevity == 2 && *battery && readings->awake != AWAKE_NOT)
        return text_set(out, SENTENCE, "%s", battery);
    return text_set(out, SENTENCE, "%s", brevity < 4 ? awake : "");
}

char *camera_clock_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    double behind = about->night->rig[rig].camera_behind_s;
    char span[TEXT_SPAN];

    (void)brevity;
    *out = '\0';
    if (isfinite(behind))
        (void)snprintf(out, SENTENCE, "%s UTC%c%s", about->night->rig[rig].rig.name,
                       behind > 0 ? '-' : '+', format_span(span, round(fabs(behind))));
    return out;
}

char *unnoted_clocks_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    int count = about->night->setup.rig_count, missing = 0;

    (void)rig;
    (void)snprintf(out, SENTENCE, "not noted (K):");
    for (int i = 0; i < count; i++) {
        const char number[] = {(char)('1' + i), '\0'};

        if (isnan(about->night->rig[i].camera_behind_s))
            text_add(out, SENTENCE, missing++ ? ", " : " ", "%s",
                     brevity > 0 ? number : about->night->rig[i].rig.name);
    }
    if (missing == count)
        (void)snprintf(out, SENTENCE, "clock errors not noted (K)");
    if (missing == 0)
        *out = '\0';
    return out;
}

char *time_card_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    char state[SENTENCE];

    if (about->night->rehearsal)
        return text_set(out, SENTENCE, "REHEARSAL: no time to set a clock by");
    return text_set(out, SENTENCE, "clock %.100s", clock_state_words(about, rig, brevity, state));
}

char *site_source_words(const struct night *night, char out[SOURCE_WORDS])
{
    *out = '\0';
    if (strcmp(night->site_source, "setup") != 0)
        (void)snprintf(out, SOURCE_WORDS, "  (%s)", night->site_source);
    return out;
}

char *site_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct site *site = &about->night->site;
    char source[SOURCE_WORDS];

    (void)rig;
    (void)snprintf(out, SENTENCE, "%.4f %c  %.4f %c", fabs(site->latitude_deg),
                   site->latitude_deg < 0 ? 'S' : 'N', fabs(site->longitude_deg),
                   site->longitude_deg < 0 ? 'W' : 'E');
    if (brevity == 0)
        text_add(out, SENTENCE, "", "  %.0f m%s", site->height_m,
                 site_source_words(about->night, source));
    return out;
}

char *glass_words(const struct subject *about, char out[GLASS_WORDS])
{
    const struct moment *moment = about->moment;
    int count = about->night->setup.rig_count, asked = 0;

    out[0] = '\0';
    for (int i = 0; i < count; i++)
        asked += moment->rig[i].look_at_glass;
    if (asked == 0)
        return out;
    (void)snprintf(out, GLASS_WORDS, "%s likely: look at the glass",
                   moment->air.advice == AIR_FROST ? "frost" : "dew");
    for (int i = 0, named = 0; i < count && asked < count; i++)
        if (moment->rig[i].look_at_glass)
            text_add(out, GLASS_WORDS, named++ ? ", " : " of ", "%s",
                     about->night->rig[i].rig.name);
    return out;
}
