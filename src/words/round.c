/* Rounds of the hands in words. */
#include "parts.h"

#include <moonstand/clock_words.h>
#include <moonstand/hands.h>
#include <moonstand/night.h>
#include <moonstand/series.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* "1/60 s ISO 400", "1/20 s ISO 400 (middle of 5, 2 stops apart)". */
static void append_setting(const struct rig *rig, const struct exposure *exposure,
                           const char *between, char out[ROUND_WORDS])
{
    char bracket[48] = "";

    if (exposure->bracket_frames > 1)
        (void)snprintf(bracket, sizeof bracket, " (%s of %d, %.3g stops apart)",
                       bracket_shown_name(exposure->bracket_shown), exposure->bracket_frames,
                       exposure->bracket_step_stops);
    text_add(out, ROUND_WORDS, between, "%s %s s ISO %d%s", rig->name,
             shutter_label(exposure->shutter), iso_label(exposure->iso), bracket);
}

char *begin_words(const struct night *night, char out[ROUND_WORDS])
{
    out[0] = '\0';
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        if (night->rounds.begins[rig].known)
            append_setting(&night->rig[rig].rig, &night->rounds.begins[rig], ", ", out);
    return out;
}

int thirds_by(const struct night *night, int rig, const struct exposure *set, double utc)
{
    const struct exposure *before = rounds_now(&night->rounds, rig, utc - 1);

    return before ? exposure_thirds(set) - exposure_thirds(before) : 0;
}

char *alike_words(const struct night *night, const int thirds[RIGS], char out[ALIKE_WORDS])
{
    int by = 0, rigs = 0;

    *out = '\0';
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        if (!night->rounds.begins[rig].known)
            continue;
        if (thirds[rig] == 0 || (rigs++ > 0 && thirds[rig] != by))
            return out;
        by = thirds[rig];
    }
    double stops = round(10 * abs(by) / 3.0) / 10;
    if (rigs > 1)
        (void)snprintf(out, ALIKE_WORDS, "all %g stop%s %s", stops, stops == 1 ? "" : "s",
                       by > 0 ? "brighter" : "darker");
    return out;
}

static char *round_alike(const struct night *night, const struct agenda_round *round,
                         char out[ALIKE_WORDS])
{
    int thirds[RIGS] = {0};

    for (int rig = 0; rig < night->setup.rig_count; rig++)
        if (round_setting(night, round, rig))
            thirds[rig] = thirds_by(night, rig, round_setting(night, round, rig), round->utc);
    return alike_words(night, thirds, out);
}

/* What one person sets in a round. */
static void append_settings(const struct night *night, const struct agenda_round *round,
                            bool second, char out[ROUND_WORDS])
{
    char alike[ALIKE_WORDS] = "";
    const char *between = "; ";

    if (!second)
        (void)round_alike(night, round, alike);
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        if (!round_setting(night, round, rig) || round->second[rig] != second)
            continue;
        if (*alike) {
            text_add(out, ROUND_WORDS, between, "%s", alike);
            between = ": ";
            *alike = '\0';
        }
        append_setting(&night->rig[rig].rig, round_setting(night, round, rig), between, out);
        between = ", ";
    }
}

static const char *const verbs_in_full[JOB_KINDS] = {[JOB_AIM] = "re-aim ",
                                                     [JOB_FLIP] = "turn over the mount of ",
                                                     [JOB_BATTERY] = "change the battery of ",
                                                     [JOB_CARD] = "change the card of ",
                                                     [JOB_GLASS] = GLANCE};
static const char *const verbs_brief[JOB_KINDS] = {[JOB_AIM] = "re-aim ",
                                                   [JOB_FLIP] = "flip of ",
                                                   [JOB_BATTERY] = "battery of ",
                                                   [JOB_CARD] = "card of ",
                                                   [JOB_GLASS] = "glass"};

/* One look serves all rigs: it is told of the first. */
static bool is_told(const struct agenda_round *round, int kind, int rig)
{
    bool told = round->jobs[rig] & 1U << kind;

    for (int other = 0; other < rig && kind == JOB_GLASS; other++)
        told &= !(round->jobs[other] & 1U << kind);
    return told;
}

/* What else one person does: "re-aim long, scope; change the battery of wide". */
static void append_jobs(const struct night *night, const struct agenda_round *round,
                        const char *const verbs[JOB_KINDS], bool second, char out[ROUND_WORDS])
{
    for (int kind = 0; kind < JOB_KINDS; kind++) {
        bool first = true;

        for (int rig = 0; verbs[kind] && rig < night->setup.rig_count; rig++) {
            if (!is_told(round, kind, rig) || round->second[rig] != second)
                continue;
            text_add(out, ROUND_WORDS, first ? "; " : ", ", "%s%s", first ? verbs[kind] : "",
                     kind == JOB_GLASS ? "" : night->rig[rig].rig.name);
            first = false;
        }
    }
}

char *round_words(const struct night *night, const struct agenda_round *round,
                  char out[ROUND_WORDS])
{
    char second[ROUND_WORDS] = "";

    out[0] = '\0';
    append_settings(night, round, false, out);
    append_jobs(night, round, verbs_in_full, false, out);
    append_settings(night, round, true, second);
    append_jobs(night, round, verbs_in_full, true, second);
    if (*second)
        text_add(out, ROUND_WORDS, "; ", "second person: %s", second);
    return out;
}

char *round_brief(const struct night *night, const struct agenda_round *round,
                  char out[ROUND_WORDS])
{
    bool alike = *round_alike(night, round, out) != '\0';

    for (int rig = 0; rig < night->setup.rig_count && !alike; rig++)
        if (round_setting(night, round, rig))
            text_add(out, ROUND_WORDS, ", ", "%s%s", *out ? "" : "set ", night->rig[rig].rig.name);
    append_jobs(night, round, verbs_brief, false, out);
    append_jobs(night, round, verbs_brief, true, out);
    return out;
}

char *round_jobs_words(const struct night *night, const struct agenda_round *round,
                       char out[ROUND_WORDS])
{
    out[0] = '\0';
    append_jobs(night, round, verbs_brief, false, out);
    append_jobs(night, round, verbs_brief, true, out);
    return out;
}

/* ---- too much ---- */

char *overload_words(const struct night *night, const struct overload *overload,
                     char out[OVERLOAD_WORDS])
{
    char from[TEXT_INSTANT], to[TEXT_INSTANT];

    (void)snprintf(out, OVERLOAD_WORDS, "from %s to %s more jobs than %s hands can do: %d round%s",
                   clock_minute(from, reader_local(night), overload->utc_from),
                   clock_minute(to, reader_local(night), overload->utc_to),
                   night->setup.people > 1 ? "four" : "two", overload->rounds,
                   overload->rounds == 1 ? "" : "s");
    if (overload->worst_stops > 0)
        text_add(out, OVERLOAD_WORDS, "", ", settings up to %.1f stops off", overload->worst_stops);
    return out;
}

static bool is_any_lost(const struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++)
        if (night->run[i].lost_count > 0)
            return true;
    return false;
}

char *rounds_words(const struct night *night, const struct agenda *agenda, char out[ROUND_WORDS])
{
    const struct rounds *rounds = &night->rounds;

    if (agenda->count == 0)
        return text_set(out, ROUND_WORDS, "no rounds: %s",
                        *begin_words(night, out) ? "that serves to the end" : NO_HAND_WORDS);
    if (rounds->settings == 0)
        (void)snprintf(out, ROUND_WORDS, "%d rounds; no setting changes: every camera stays",
                       agenda->count);
    else
        (void)snprintf(out, ROUND_WORDS, "%d rounds; at %d of them %d settings keep every camera",
                       agenda->count, rounds->count, rounds->settings);
    text_add(out, ROUND_WORDS, "", " within %.1f stops%s", rounds->worst_stops,
             is_any_lost(night) ? ", a stop more while the Moon is lost" : "");
    return out;
}

const char *remedy_name(enum remedy_kind kind)
{
    static const char *const names[] = {NULL,   "bracket", "tolerance",
                                        "turn", "margin",  "second person"};

    return names[kind];
}

char *remedy_words(const struct night *night, const struct remedy *remedy, char out[REMEDY_WORDS])
{
    const struct rig *rig = &night->rig[remedy->rig < 0 ? 0 : remedy->rig].rig;
    char what[REMEDY_WORDS - 64] = "";

    switch (remedy->kind) {
    case REMEDY_NONE:
        return text_set(out, REMEDY_WORDS, "no other setup that was tried leaves fewer of them");
    case REMEDY_BRACKET:
        (void)snprintf(what, sizeof what, "bracket %.0f frames, %.3g stops apart on %s (key t)",
                       remedy->value, remedy->step_stops, rig->name);
        break;
    case REMEDY_TOLERANCE:
        (void)snprintf(what, sizeof what, "a coarser tolerance, tolerance_stops %g", remedy->value);
        break;
    case REMEDY_TURN:
        (void)snprintf(what, sizeof what, "%s on %s (key T): fewer re-aims",
                       rig->portrait ? "landscape" : "portrait", rig->name);
        break;
    case REMEDY_MARGIN:
        (void)snprintf(what, sizeof what, "let the Moon come closer to the edge of %s, margin %g",
                       rig->name, remedy->value);
        break;
    case REMEDY_SECOND:
        (void)snprintf(what, sizeof what, "a second person (people 2)");
        break;
    }
    return text_set(out, REMEDY_WORDS, "%s: leaves %d of %d rounds too close", what,
                    remedy->overloaded, remedy->rounds);
}
