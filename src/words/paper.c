/* What only paper says: cautions, and how each rig is aimed. */
#include "parts.h"

#include <moonstand/aim_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/framing.h>
#include <moonstand/night.h>
#include <moonstand/paper_words.h>

#include <math.h>
#include <stdio.h>

const char *caution_words(int index)
{
    static const char *const cautions[] = {
        "Never point optics near the Sun while setting up by day.",
        "Cold, ice, cables and tripod legs in the dark: clear the ground before dusk.",
        "Roads and edges in the dark: be seen, keep off edges.",
        "Ask before you stand on somebody's ground.",
        "Mains and heaters in dew: only outdoor-rated, residual-current-protected supplies.",
        "Wiring: as local rules and a licensed electrician say.",
        "Never leave a heater that is on alone.",
        "Do not charge lithium cells below 0 C (32 F). Cover the contacts of spare cells.",
        "Power banks fail in the cold: keep them warm.",
        "Too tired to drive: sleep first.",
    };

    return index < (int)(sizeof cautions / sizeof *cautions) ? cautions[index] : NULL;
}

char *first_aim_words(const struct subject *about, const struct first_aim *first,
                      char out[SENTENCE])
{
    char clock[TEXT_INSTANT], direction[DIRECTION_WORDS], where[FRAME_WORDS];

    return text_set(out, SENTENCE, "first at %s: %s; put the Moon %s",
                    clock_minute(clock, about->reader, first->utc),
                    direction_words(first->moon_altitude_rad, first->moon_azimuth_rad, direction),
                    frame_words(first->aim.place, 0, where));
}

char *first_stay_words(const struct first_aim *first, char out[SENTENCE])
{
    char placed[TEXT_SPAN], centred[TEXT_SPAN], turned[TEXT_SPAN], where[FRAME_WORDS];

    return text_set(
        out, SENTENCE, "%s: stays %s; in the centre %s, with the camera turned %s",
        offset_words(first->aim.place, false, where), stay_words(placed, first->aim.placed_stays_s),
        stay_words(centred, first->aim.centred_stays_s), stay_words(turned, first->turned_stays_s));
}

char *re_aims_words(const struct framing *framing, char out[SENTENCE])
{
    if (framing->re_aims == 0)
        (void)snprintf(out, SENTENCE, "no re-aim after that");
    else
        (void)snprintf(out, SENTENCE, "at least %d re-aim%s after that", framing->re_aims,
                       framing->re_aims == 1 ? "" : "s");
    if (framing->early > 0)
        text_add(out, SENTENCE, "", ", of which early because of a contact: %d", framing->early);
    return out;
}

char *shoots_words(const struct night *night, int rig, int frames, char out[SENTENCE])
{
    const struct rig *used = &night->rig[rig].rig;
    char every[INTERVAL_WORDS];

    return text_set(out, SENTENCE, "every %s, f/%.3g, %d frames, %.1f GB on the card",
                    interval_words(&night->shooting[rig], every), rig_f_number(used), frames,
                    frames * used->frame_mb / 1000);
}

char *bracket_sheet_words(const struct rig *rig, char out[SENTENCE])
{
    return text_set(
        out, SENTENCE,
        "each shot is a bracket, %.3g stops apart; shutter and ISO are those of its %s frame",
        rig_bracket_step(rig),
        bracket_shown_name(rig->remote_exposure ? BRACKET_FIRST : BRACKET_MIDDLE));
}

char *calendar_contact_words(enum contact contact, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "Lunar eclipse %s: %s", contact_name(contact),
                    contact_meaning(contact, false));
}

char *calendar_sky_words(const char *name, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "Lunar eclipse: %s", name);
}

char *calendar_moon_words(const struct sight *moon, char out[SENTENCE])
{
    char direction[DIRECTION_WORDS];

    return text_set(out, SENTENCE, "Moon at %s%s",
                    direction_words(moon->altitude_rad, moon->azimuth_rad, direction),
                    moon->up ? "" : UNSEEN_NOTE);
}

static const struct wide_fit *fit_in_use(const struct night *night, int rig)
{
    const struct wide *wide = &night->framing[rig].composition;

    return &wide->fit[wide->use];
}

static char *once_words(const struct subject *about, int rig, char out[SENTENCE])
{
    const struct wide_fit *fit = fit_in_use(about->night, rig);
    char from[TEXT_INSTANT], to[TEXT_INSTANT], direction[DIRECTION_WORDS], tilt[TILT_WORDS];

    (void)tilt_words(fit->roll_rad, tilt);
    return text_set(out, SENTENCE, "once: %s%s%s; do not touch it from %s to %s",
                    direction_words(fit->altitude_rad, fit->azimuth_rad, direction),
                    *tilt ? ", " : "", tilt, clock_minute(from, about->reader, fit->utc_from),
                    clock_minute(to, about->reader, fit->utc_to));
}

static char *follow_words(const struct subject *about, int rig, char out[SENTENCE])
{
    const struct framing *framing = &about->night->framing[rig];
    const struct mount_flip *flip = &framing->flip;
    char advised[TEXT_INSTANT], latest[TEXT_INSTANT];

    (void)snprintf(out, SENTENCE, "the mount follows (%s)",
                   support_name(about->night->rig[rig].rig.support));
    if (framing->flips)
        text_add(out, SENTENCE, "", "; meridian flip at %s%s: the mount stops at %s",
                 clock_minute(advised, about->reader, flip->advised_utc),
                 flip->in_totality ? ", IN TOTALITY" : "",
                 clock_minute(latest, about->reader, flip->latest_utc));
    return out;
}

char *aim_plan_words(const struct subject *about, int rig, char out[SENTENCE])
{
    if (about->night->framing[rig].whole.known)
        return once_words(about, rig, out);
    if (!never_up(about->night) && about->night->rig[rig].rig.support != SUPPORT_FIXED)
        return follow_words(about, rig, out);
    return text_set(out, SENTENCE, "never: the Moon is not up");
}

char *whole_words(const struct subject *about, int rig, char out[SENTENCE])
{
    const double told_from = 0.005; /* less foreground is none */
    const struct wide *wide = &about->night->framing[rig].composition;
    double foreground = fit_in_use(about->night, rig)->foreground;
    char part[PART_WORDS], ground[32] = "no";

    if (foreground >= told_from)
        (void)snprintf(ground, sizeof ground, "%.0f %% of it is", 100 * foreground);
    return text_set(out, SENTENCE, "one picture for %s; %s foreground", part_words(part, wide->use),
                    ground);
}

char *spacing_words(const struct night *night, int rig, char out[SENTENCE])
{
    const struct wide_fit *fit = fit_in_use(night, rig);

    return text_set(out, SENTENCE, "discs overlap where the interval is below %.0f s",
                    ceil(disc_least_interval_s(&night->eclipse_track, fit->utc_from, fit->utc_to)));
}

char *chain_words(const struct subject *about, int rig, char out[SENTENCE])
{
    struct interval_fit on;
    char first[TEXT_INSTANT];

    *out = '\0';
    if (chain_on_contacts(about->night, fit_in_use(about->night, rig), &on))
        (void)snprintf(
            out, SENTENCE,
            "start at %s, every %.0f s: one frame falls on greatest, contacts are missed "
            "by at most %.0f s",
            clock_second(first, about->reader, on.first_utc), on.interval_s, ceil(on.worst_miss_s));
    return out;
}
