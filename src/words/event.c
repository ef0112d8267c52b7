/* What happens in a night by itself: names, meanings, what the sky hides. */
#include "parts.h"

#include <moonstand/clock_words.h>
#include <moonstand/event.h>
#include <moonstand/event_words.h>
#include <moonstand/instant.h>
#include <moonstand/run.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* By the names that the record and JSON have. Contacts are called by those. */
static const struct event_text {
    const char *name, *words, *brief;
} texts[] = {
    {"shading_begins", "penumbral shading visible", "shading seen"},
    {"shading_ends", "penumbral shading no longer visible", "shading gone"},
    {"moon_highest", "Moon on the meridian", "Moon on meridian"},
    {"civil_dusk", "civil dusk", "civil dusk"},
    {"civil_dawn", "civil dawn", "civil dawn"},
    {"nautical_dusk", "nautical dusk", "nautical dusk"},
    {"nautical_dawn", "nautical dawn", "nautical dawn"},
    {"astronomical_dusk", "end of astronomical twilight", "dark sky"},
    {"astronomical_dawn", "astronomical twilight begins", "first light"},
    {"flip", "meridian flip", "meridian flip"},
    {"flip_in_totality", "meridian flip, in totality", "meridian flip"},
    {"too_low", "too low for the mount", "out of reach"},
    {"high_enough", "high enough for the mount", "within reach"},
    {"too_high", "too high for the mount", "out of reach"},
    {"low_enough", "low enough for the mount", "within reach"},
};

const char *event_words(const char *name, bool brief)
{
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (strcmp(texts[i].name, name) == 0)
            return brief ? texts[i].brief : texts[i].words;
    return name;
}

const char *contact_meaning(enum contact contact, bool brief)
{
    static const char *const meanings[CONTACT_COUNT][2] = {
        [CONTACT_P1] = {"penumbra begins (nothing to see yet)", "penumbra begins"},
        [CONTACT_U1] = {"umbra touches the Moon", "umbra touches the Moon"},
        [CONTACT_U2] = {"totality begins", "totality begins"},
        [CONTACT_GREATEST] = {"deepest in the shadow", "deepest shadow"},
        [CONTACT_U3] = {"totality ends", "totality ends"},
        [CONTACT_U4] = {"umbra leaves the Moon", "umbra leaves the Moon"},
        [CONTACT_P4] = {"penumbra ends (nothing left to see)", "penumbra ends"},
    };

    return meanings[contact][brief];
}

const char *event_meaning(const struct night_event *event, bool brief)
{
    return event->kind == NIGHT_CONTACT ? contact_meaning((enum contact)event->which, brief) : "";
}

const char *other_eclipse_words(bool is_seen)
{
    return is_seen ? "before it comes a penumbral one" : "not up from here; the next that is";
}

char *event_told_words(const struct night_event *event, char out[SENTENCE])
{
    const char *meaning = event_meaning(event, false);

    return text_set(out, SENTENCE, "%s%s%s", event_words(night_event_name(event), false),
                    *meaning ? ", " : "", meaning);
}

char *event_when_words(const struct subject *about, const struct night_event *event,
                       char out[SENTENCE])
{
    char clocks[2 * TEXT_INSTANT], span[TEXT_SPAN];
    const char *name = event_words(night_event_name(event), false);
    const char *meaning = event_meaning(event, false);

    if (about->reader.still)
        return text_set(out, SENTENCE, "%s at %s%s%s", name,
                        clock_near(clocks, about, event->utc, 0), *meaning ? ", " : "", meaning);
    return text_set(out, SENTENCE, "%s in %s: %s%s%s%s", name,
                    left_words(span, event->utc - about->moment->utc),
                    clock_both(clocks, about, event->utc), *meaning ? " - " : "", meaning,
                    *meaning && is_unseen(event) ? UNSEEN_NOTE : "");
}

char *event_near_words(const struct subject *about, const struct night_event *event,
                       char out[SENTENCE])
{
    static const double steps_s[] = {10, 30, 60, 120, 300, 600, 1800, 3600};
    double left = event->utc - about->moment->utc;

    *out = '\0';
    for (size_t i = 0; i < sizeof steps_s / sizeof *steps_s && !*out; i++)
        if (left <= steps_s[i])
            (void)snprintf(out, SENTENCE, "less than %.0f %s to %s",
                           steps_s[i] < 60 ? steps_s[i] : steps_s[i] / 60,
                           steps_s[i] < 60 ? "s" : "min",
                           event_words(night_event_name(event), false));
    return out;
}

char *eclipse_title_words(const struct eclipse *eclipse, char out[SENTENCE])
{
    char day[TEXT_INSTANT];

    return text_set(out, SENTENCE, "%s lunar eclipse of %s", eclipse_kind_name(eclipse->kind),
                    eclipse_day(day, eclipse));
}

char *magnitude_words(const struct eclipse *eclipse, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "umbral %.3f, penumbral %.3f, gamma %+.4f, Saros %d, shadow %s",
                    eclipse->umbral_magnitude, eclipse->penumbral_magnitude, eclipse->gamma,
                    eclipse->saros, shadow_rule_name(eclipse->rule));
}

char *eclipse_words(const struct eclipse *eclipse, char out[SENTENCE])
{
    char clock[TEXT_INSTANT];

    return text_set(out, SENTENCE,
                    "%s, greatest %s, umbral magnitude %.3f, penumbral %.3f, Saros %d",
                    eclipse_kind_name(eclipse->kind),
                    clock_words(clock, reader_utc(), utc_from_tt(eclipse->tt[CONTACT_GREATEST]),
                                CLOCK_DAY | CLOCK_SECONDS | CLOCK_ZONE),
                    eclipse->umbral_magnitude, eclipse->penumbral_magnitude, eclipse->saros);
}

bool is_unseen(const struct night_event *event)
{
    return event->kind != NIGHT_SKY && !event->moon_up;
}

const char *lost_event_words(const struct lost_span *lost, bool ends)
{
    static const char *const words[TARGETS][2][2] = {
        [TARGET_LIT] = {{"sunlit part darker than the sky", "sunlit part brighter than the sky"},
                        {"sunlit part lost in twilight", "sunlit part clear of twilight"}},
        [TARGET_UMBRA] = {{"umbra darker than the sky", "umbra brighter than the sky"},
                          {"umbra lost in twilight", "umbra clear of twilight"}},
        [TARGET_STARS] = {{"stars: Moon darker than the sky", "stars: Moon brighter than the sky"},
                          {"stars lost in twilight", "stars clear of twilight"}},
        [TARGET_AUTO] = {{"Moon darker than the sky", "Moon brighter than the sky"},
                         {"Moon lost in twilight", "Moon clear of twilight"}},
    };
    enum target target = lost->target == TARGET_BRACKET ? TARGET_UMBRA : lost->target;

    return words[target][lost->twilight][ends];
}

char *lost_words(const struct lost_span *lost, const char *until, int brevity, char out[LOST_WORDS])
{
    static const char *const parts[TARGETS] = {
        [TARGET_LIT] = "sunlit part ", [TARGET_UMBRA] = "umbra ", [TARGET_BRACKET] = "umbra ",
        [TARGET_STARS] = "stars ",     [TARGET_FOREGROUND] = "",  [TARGET_AUTO] = "Moon ",
    };
    const char *part = brevity == 0 ? parts[lost->target] : "";
    bool briefest = brevity == LOST_BREVITIES - 1;
    const char *state = briefest ? "sky too bright" : "lost in bright sky";

    if (!isfinite(lost->span.to))
        return text_set(out, LOST_WORDS, "%slost in the light of the sky", part);
    if (!lost->twilight)
        return text_set(out, LOST_WORDS, "%sdarker than the night sky", part);
    if (lost->to_end)
        return text_set(out, LOST_WORDS, "%s%s to the end", part, state);
    return text_set(out, LOST_WORDS, "%s%s until %s%s", part, state, briefest ? "" : "about ",
                    until);
}

char *lost_span_words(const struct lost_span *lost, struct reader reader, char out[LOST_WORDS])
{
    char from[TEXT_INSTANT], to[TEXT_INSTANT], words[LOST_WORDS];

    return text_set(out, LOST_WORDS, "from %s: %.60s", clock_minute(from, reader, lost->span.from),
                    lost_words(lost, clock_minute(to, reader, lost->span.to), 0, words));
}

char *no_event_words(const struct subject *about, char out[SENTENCE])
{
    int open = about->moment->check_open;

    (void)snprintf(out, SENTENCE, "nothing more in the sky tonight");
    if (open > 0)
        text_add(out, SENTENCE, "", ", %d left on the list", open);
    return out;
}
