/* Air, receiver, clock and laptop in words. */
#include <moonstand/air.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/readings.h>
#include <moonstand/words.h>

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
    if (!isfinite(air->margin_c)) {
        (void)snprintf(out, SENTENCE, "no air reading yet%s", brevity ? " (w)" : " (w to enter)");
        return out;
    }
    if (brevity == 0)
        (void)snprintf(dew, sizeof dew, ", dew margin %s",
                       format_warmth(margin, air->margin_c, false, units));
    (void)snprintf(out, SENTENCE, "%s, %.0f %%%s: %s",
                   format_temperature(temperature, air->temperature_c, 1, units),
                   air->humidity_percent, dew, word_of_glass(about->moment));
    return out;
}

char *air_source_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct moment *moment = about->moment;
    const char *source = moment->air_used.source == AIR_READ ? "read" : "forecast made";
    char age[TEXT_SPAN];

    (void)rig;
    (void)brevity;
    *out = '\0';
    if (isnan(moment->air.margin_c))
        return out;
    if (isfinite(moment->air_used.age_s))
        (void)snprintf(out, SENTENCE, "%s %s ago%s", source,
                       rough_words(age, moment->air_used.age_s),
                       moment->air_used.old ? ": old" : "");
    else
        (void)snprintf(out, SENTENCE, "%s at an unknown time", source);
    return out;
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
        (void)snprintf(out + strlen(out), SENTENCE - strlen(out), "; warm it, never wipe it");
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
        (void)snprintf(out, SENTENCE, "%.1f km off%s", moved_m / 1000,
                       brevity ? ": g moves site" : ": g moves the site");
    else if (gps->state == GPS_FIX && gps->satellites >= 0)
        (void)snprintf(out, SENTENCE, "fix, %d satellites", gps->satellites);
    else if (gps->state == GPS_STALE)
        (void)snprintf(out, SENTENCE, "fix is %s old", rough_words(age, gps->age_s));
    else
        (void)snprintf(out, SENTENCE, "%s", gps_state_name(gps->state));
    return out;
}

char *clock_state_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    static const char *const words[] = {"not checked", "NOT synchronised", "synchronised"};
    const struct readings *readings = &about->moment->readings;

    (void)rig;
    (void)brevity;
    if (isfinite(readings->gps.clock_offset_s))
        (void)snprintf(out, SENTENCE, "%+.2f s against GPS", readings->gps.clock_offset_s);
    else
        (void)snprintf(out, SENTENCE, "%s", words[readings->clock_synchronised + 1]);
    return out;
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
        (void)snprintf(out, SENTENCE, "%s%s%s", battery, *battery && *awake ? ", " : "",
                       *battery || *awake ? awake : "battery unknown");
    else if (brevity == 2 && *battery && readings->awake != AWAKE_NOT)
        (void)snprintf(out, SENTENCE, "%s", battery);
    else
        (void)snprintf(out, SENTENCE, "%s", brevity < 4 ? awake : "");
    return out;
}

char *site_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct site *site = &about->night->site;
    int at = snprintf(out, SENTENCE, "%.4f %c  %.4f %c", fabs(site->latitude_deg),
                      site->latitude_deg < 0 ? 'S' : 'N', fabs(site->longitude_deg),
                      site->longitude_deg < 0 ? 'W' : 'E');

    (void)rig;
    if (brevity == 0)
        (void)snprintf(out + at, (size_t)(SENTENCE - at), "  %.0f m  (%s)", site->height_m,
                       about->night->site_source);
    return out;
}

char *glass_words(const struct subject *about, char out[GLASS_WORDS])
{
    const struct moment *moment = about->moment;
    int count = about->night->setup.rig_count, asked = 0;
    size_t length;

    out[0] = '\0';
    for (int i = 0; i < count; i++)
        asked += moment->rig[i].look_at_glass;
    if (asked == 0)
        return out;
    length = (size_t)snprintf(out, GLASS_WORDS, "%s likely: look at the glass",
                              moment->air.advice == AIR_FROST ? "frost" : "dew");
    for (int i = 0, named = 0; i < count && asked < count && length < GLASS_WORDS; i++)
        if (moment->rig[i].look_at_glass)
            length += (size_t)snprintf(out + length, GLASS_WORDS - length, "%s%s",
                                       named++ ? ", " : " of ", about->night->rig[i].rig.name);
    return out;
}
