/* The groups of the list; and what only paper says: cautions, how each rig is aimed in one line. */
#include <moonstand/checklist.h>
#include <moonstand/words.h>

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

const char *item_group_words(const struct night *night, enum check_group group)
{
    if (group == CHECK_BEFORE_U2 && night->eclipse.kind != ECLIPSE_TOTAL)
        return "before greatest";
    if (group == CHECK_BEFORE_P1 &&
        night->anchor_utc[ANCHOR_START] > night->contact_utc[CONTACT_P1])
        return "at moonrise";
    return check_group_name(group);
}

char *first_aim_words(const struct subject *about, double utc, const struct sight *moon,
                      struct frame_point place, char out[SENTENCE])
{
    char clock[TEXT_INSTANT], direction[DIRECTION_WORDS], where[FRAME_WORDS];

    (void)snprintf(out, SENTENCE, "first at %s: %s; Moon %s",
                   clock_minute(clock, about->reader, utc),
                   direction_words(moon->altitude_rad, moon->azimuth_rad, direction),
                   frame_words(place, 0, where));
    return out;
}

char *aim_plan_words(const struct subject *about, int rig, char out[SENTENCE])
{
    const struct framing *framing = &about->night->framing[rig];
    const struct wide_fit *fit = &framing->composition.fit[framing->composition.use];
    char from[TEXT_INSTANT], to[TEXT_INSTANT], direction[DIRECTION_WORDS];

    if (framing->whole.known)
        (void)snprintf(out, SENTENCE, "once: %s; do not touch it from %s to %s",
                       direction_words(fit->altitude_rad, fit->azimuth_rad, direction),
                       clock_minute(from, about->reader, fit->utc_from),
                       clock_minute(to, about->reader, fit->utc_to));
    else if (never_up(about->night) || about->night->rig[rig].rig.support == SUPPORT_FIXED)
        (void)snprintf(out, SENTENCE, "never: the Moon is not up");
    else if (framing->flips)
        (void)snprintf(out, SENTENCE, "the mount follows; meridian flip at %s%s",
                       clock_minute(from, about->reader, framing->flip.advised_utc),
                       framing->flip.in_totality ? ", IN TOTALITY" : "");
    else
        (void)snprintf(out, SENTENCE, "the mount follows");
    return out;
}
