/* The sky in words: phase, Moon, Sun, light, and what is uncertain about the times of them. */
#include "parts.h"

#include <moonstand/angle.h>
#include <moonstand/instant.h>
#include <moonstand/moment.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/framing.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdio.h>

/* Less than this is 0.0 when it is written. */
#define LEAST_DROP_MAG 0.05

const char *sky_words(double sun_altitude_rad)
{
    /* The upper limb on the horizon; the three twilights. */
    static const struct {
        double above_deg;
        const char *words;
    } skies[] = {{-0.833, "day"},
                 {-6, "civil twilight"},
                 {-12, "nautical twilight"},
                 {-18, "astronomical twilight"}};

    if (!isfinite(sun_altitude_rad))
        return "";
    for (size_t i = 0; i < sizeof skies / sizeof *skies; i++)
        if (sun_altitude_rad > rad_from_deg(skies[i].above_deg))
            return skies[i].words;
    return "dark sky";
}

const char *hidden_words(const struct sight *moon)
{
    return behind_horizon(moon) ? "behind the local horizon" : "Moon is down";
}

char *sight_cell(const struct sight *moon, char out[SIGHT_CELL])
{
    if (moon->up)
        return text_set(out, SIGHT_CELL, "%.0f %s", deg_from_rad(moon->altitude_rad),
                        compass_point(moon->azimuth_rad));
    return text_set(out, SIGHT_CELL, "%s", behind_horizon(moon) ? "hidden" : "down");
}

char *sight_words(const struct sight *moon, char out[SENTENCE])
{
    if (moon->up)
        return text_set(out, SENTENCE, "altitude %.0f deg %s, %.0f deg over the local horizon",
                        deg_from_rad(moon->altitude_rad), compass_point(moon->azimuth_rad),
                        deg_from_rad(moon->altitude_rad - moon->horizon_rad));
    return text_set(out, SENTENCE, "NOT SEEN: %s", hidden_words(moon));
}

char *sun_words(double altitude_rad, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "%s, the Sun at %.0f deg", sky_words(altitude_rad),
                    deg_from_rad(altitude_rad));
}

/* ---- the Moon now ---- */

char *phase_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    static const char *const words[] = {"outside the shadow", "penumbral", "partial", "TOTAL"};
    const struct moment *moment = about->moment;
    bool umbral = moment->phase >= PHASE_PARTIAL;

    (void)rig;
    (void)snprintf(out, SENTENCE, "%s", words[moment->phase]);
    if (moment->phase != PHASE_NONE)
        text_add(
            out, SENTENCE, ",", "%s magnitude %.3f", umbral && brevity == 0 ? " umbral" : "",
            fmax(0, umbral ? moment->shadow.umbral_magnitude : moment->shadow.penumbral_magnitude));
    return out;
}

char *moon_place_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct sight *moon = &about->moment->moon;
    double altitude_deg = deg_from_rad(moon->altitude_rad);
    bool below = altitude_deg < 0;
    const char *moves = about->moment->rising ? ", rising" : ", sinking";
    const char *where = brevity > 0 ? "below" : "below the horizon";
    char azimuth[TEXT_AZIMUTH];

    (void)rig;
    if (isnan(altitude_deg))
        return text_set(out, SENTENCE, UNPLACED_WORDS);
    if (below && moon->up) /* no more than its upper limb */
        return text_set(out, SENTENCE, "just up%s, %s%s", moves, brevity > 0 ? "" : "azimuth ",
                        format_azimuth(azimuth, moon->azimuth_rad, 0));
    return text_set(out, SENTENCE, "%.1f deg %s%s, %s%s", fabs(altitude_deg), below ? where : "up",
                    below ? "" : moves, brevity > 0 ? "" : "azimuth ",
                    format_azimuth(azimuth, moon->azimuth_rad, 0));
}

char *horizon_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct moment *moment = about->moment;
    bool behind = behind_horizon(&moment->moon);
    double last = last_use_utc(about->night);
    char span[TEXT_SPAN], clock[TEXT_INSTANT];

    (void)rig;
    *out = '\0';
    if (isnan(moment->moon.altitude_rad) || moment->utc >= last)
        return out;
    if (!(moment->horizon_utc <= last))
        return text_set(out, SENTENCE, "stays %s",
                        moment->moon.up ? "up to the end"
                        : behind        ? "behind the local horizon"
                                        : "down");
    if (behind)
        return text_set(out, SENTENCE, "behind the local horizon until %s",
                        clock_minute(clock, about->reader, moment->horizon_utc));
    return text_set(out, SENTENCE, "%s in %s%s%s", moment->horizon_is_rise ? "rises" : "sets",
                    rough_words(span, moment->horizon_utc - moment->utc),
                    brevity > 0 ? "" : ", at ",
                    brevity > 0 ? "" : clock_near(clock, about, moment->horizon_utc, 0));
}

char *dimmer_words(double drop_mag, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "%.1f mag dimmer", fabs(drop_mag));
}

char *light_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct moment *moment = about->moment;

    (void)rig;
    (void)brevity;
    if (never_up(about->night))
        return text_set(out, SENTENCE, NEVER_UP_WORDS);
    if (moment->phase == PHASE_NONE || !(fabs(moment->light.drop_mag) >= LEAST_DROP_MAG))
        return text_set(out, SENTENCE, "full brightness");
    return dimmer_words(moment->light.drop_mag, out);
}

bool utc_caveat_words(double utc, bool brief, char out[CAVEAT_WORDS])
{
    const double arcsec_per_s = 15; /* the Earth turns */
    double doubt_s = ut1_doubt_s(utc);

    if (utc_is_announced(utc))
        return false;
    if (doubt_s < 1)
        (void)snprintf(out, CAVEAT_WORDS,
                       "No leap second is announced so far ahead: UTC may be off by a second.");
    else if (brief)
        (void)snprintf(out, CAVEAT_WORDS,
                       "UTC and the turning Earth may be up to %.0f s apart by then: rise, set "
                       "and azimuth are that uncertain, contacts are not.",
                       doubt_s);
    else
        (void)snprintf(
            out, CAVEAT_WORDS,
            "UTC and the turning Earth may be up to %.0f s apart by %d: rise and set may "
            "be off by as much, altitude and azimuth by %.1f arcmin; contacts are not.",
            doubt_s, civil_from_seconds(utc).year, doubt_s * arcsec_per_s / 60);
    return true;
}
