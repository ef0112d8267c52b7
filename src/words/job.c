/* The jobs of the hands in words. */
#include "parts.h"

#include <moonstand/album_words.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/job_words.h>
#include <moonstand/list_words.h>
#include <moonstand/night.h>
#include <moonstand/series.h>

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* What comes sooner is given by its time of day. */
#define TODAY_S (20 * 3600.0)
#define CLASH_AHEAD_S 900.0

/* What follows a swap that costs the aim, where that is not a job of the same walk anyway. By the time of
 * one that is still to come the rig was aimed. */
static const char *after_swap(const struct subject *about, const struct job *job)
{
    const struct job *aim = hands_job(&about->moment->hands, JOB_AIM, job->rig);

    if (!swap_costs_aim(about->night, job->rig) || (aim && aim->walk == job->walk))
        return "";
    return about->night->rig[job->rig].aimed || job->state == JOB_COMING ? ", then re-aim"
                                                                         : ", then aim";
}

/* What the pictures of a rig ask for: "long: no picture since 21:04:18: check the camera", "set long to
 * 1/60 s, ISO 400: it takes 1/500 s, ISO 400, 3 stops too dark". */
static void say_pictures(const struct subject *about, const struct job *job, const char *name,
                         char out[JOB_WORDS])
{
    const struct moment *moment = about->moment;
    const struct album_moment *album = &moment->album[job->rig];
    const char *colon = *name ? ": " : "";
    char dial[SETTING_WORDS], shot[SHOT_WORDS], off[STOPS_WORDS], clock[TEXT_INSTANT];

    if (job->kind == JOB_STOPPED)
        (void)snprintf(out, JOB_WORDS, "%s%sno picture since %s: check the camera", name, colon,
                       clock_second(clock, about->reader, album->since_utc));
    else if (job->kind == JOB_LOOK)
        (void)snprintf(out, JOB_WORDS, "%s%s%s (trial)", name, colon, looks_words(album->looks));
    else
        (void)snprintf(out, JOB_WORDS, "set %s%sto %s: it takes %s, %s", name, *name ? " " : "",
                       setting_words(&moment->rig[job->rig].exposure, 1, dial),
                       shot_words(&moment->readings.album[job->rig].shot[0], shot),
                       stops_words(album->off_stops, off));
}

/* The words of one job; `named`: with the name of its rig. */
static void say_job(const struct subject *about, const struct job *job, bool named,
                    char out[JOB_WORDS])
{
    const char *of = named ? " of " : "", *name = "";
    char dial[SETTING_WORDS];

    if (job->rig >= 0 && named)
        name = about->night->rig[job->rig].rig.name;
    switch (job->kind) {
    case JOB_AIM:
        (void)snprintf(out, JOB_WORDS, "re-aim%s%s", named ? " " : "", name);
        if (job->before >= 0)
            text_add(out, JOB_WORDS, " ", "before %s", contact_name((enum contact)job->before));
        break;
    case JOB_FLIP:
        (void)snprintf(out, JOB_WORDS, "turn the mount%s%s over", of, name);
        break;
    case JOB_BATTERY:
    case JOB_CARD:
        (void)snprintf(out, JOB_WORDS, "change the %s%s%s%s",
                       job->kind == JOB_BATTERY ? "battery" : "card", of, name,
                       after_swap(about, job));
        break;
    case JOB_POWER:
        (void)snprintf(out, JOB_WORDS, "connect external power%s%s", named ? " to " : "", name);
        break;
    case JOB_SETTING:
        (void)snprintf(out, JOB_WORDS, "set%s%s %s%s", named ? " " : "", name, named ? "to " : "",
                       setting_words(job->set, 1, dial));
        break;
    case JOB_STOPPED:
    case JOB_WRONG:
    case JOB_LOOK:
        say_pictures(about, job, name, out);
        break;
    case JOB_GLASS:
        if (!*glass_words(about, out))
            (void)snprintf(out, JOB_WORDS, GLANCE);
        break;
    case JOB_LAPTOP:
        if (about->reader.still)
            (void)snprintf(out, JOB_WORDS, "laptop is low: give it power");
        else
            (void)snprintf(out, JOB_WORDS, "laptop has %.0f %% left: give it power",
                           about->moment->readings.battery_percent);
        break;
    case JOB_ITEM:
        (void)item_words(&about->night->setup.checklist.item[job->item], out);
        break;
    case JOB_FIRST_AIM:
        (void)snprintf(out, JOB_WORDS, "aim%s%s", named ? " " : "", name);
        break;
    case JOB_KINDS:
        break;
    }
}

char *job_words(const struct subject *about, const struct job *job, char out[JOB_WORDS])
{
    out[0] = '\0';
    say_job(about, job, true, out);
    return out;
}

/* How many jobs of a walk are settings, or are not. */
static int count_in_walk(const struct hands *hands, int walk, bool settings)
{
    int count = 0;

    for (int i = walk; i < hands->count; i++)
        count += hands->job[i].walk == walk && (hands->job[i].kind == JOB_SETTING) == settings;
    return count;
}

/* As briefly as it can be dialled: "1/60", "1.6 s ISO 400"; the ISO only where it changes. */
static void say_briefly(const struct exposure *set, const struct exposure *now, char *out,
                        size_t size)
{
    const char *shutter = shutter_label(set->shutter);

    (void)snprintf(out, size, "%s%s", shutter, strchr(shutter, '/') ? "" : " s");
    if (!now || now->iso != set->iso)
        text_add(out, size, "", " ISO %d", iso_label(set->iso));
    if (set->bracket_frames > 1)
        text_add(out, size, "", " (%d frames)", set->bracket_frames);
}

/* The settings of several rigs: "all 1 stop brighter: wide 1/60, long 1/125 ISO 400"; `brief`: "all 1
 * stop brighter", "set wide, long". */
static void say_settings(const struct subject *about, int walk, bool brief, char out[JOB_WORDS])
{
    const struct hands *hands = &about->moment->hands;
    int thirds[RIGS] = {0};

    for (int i = walk; i < hands->count; i++) {
        const struct job *job = &hands->job[i];

        if (job->walk == walk && job->kind == JOB_SETTING)
            thirds[job->rig] = thirds_by(about->night, job->rig, job->set, job->utc);
    }
    bool alike = *alike_words(about->night, thirds, out) != '\0';
    const char *between = alike ? ": " : "", *verb = alike ? "" : "set ";
    for (int i = walk; i < hands->count && !(alike && brief); i++) {
        const struct job *job = &hands->job[i];
        char setting[32] = "";

        if (job->walk != walk || job->kind != JOB_SETTING)
            continue;
        if (!brief)
            say_briefly(
                job->set,
                rounds_now(&about->night->rounds, job->rig, fmin(about->moment->utc, job->utc - 1)),
                setting, sizeof setting);
        text_add(out, JOB_WORDS, between, "%s%s%s%s", verb, about->night->rig[job->rig].rig.name,
                 brief ? "" : " ", setting);
        between = ", ";
        verb = "";
    }
}

/* Settings of several rigs come first, as one; what else is done at the rigs follows. */
char *walk_words(const struct subject *about, const struct job *first, bool brief,
                 char out[JOB_WORDS])
{
    const struct hands *hands = &about->moment->hands;
    int walk = first->walk, settings = count_in_walk(hands, walk, true);
    bool round = settings > 1;
    int told = count_in_walk(hands, walk, false) + settings, named = -1;
    const char *between = told > 2 ? ", " : " and ";

    out[0] = '\0';
    if (round)
        say_settings(about, walk, brief, out);
    for (int i = walk; i < hands->count; i++) {
        char words[JOB_WORDS];

        if (hands->job[i].walk != walk || (round && hands->job[i].kind == JOB_SETTING))
            continue;
        say_job(about, &hands->job[i], hands->job[i].rig != named || out[0] == '\0', words);
        if (hands->job[i].kind == JOB_GLASS && told > 1) /* why it is asked for says its own line */
            (void)snprintf(words, sizeof words, "%s", brief ? "glass" : GLANCE);
        if (brief && hands->job[i].kind == JOB_ITEM)
            words[strcspn(words, ";")] = '\0';
        named = hands->job[i].rig;
        text_add(out, JOB_WORDS, round ? "; " : between, "%s", words);
    }
    return out;
}

/* ---- the first line ---- */

/* Batteries, or cards, that are due as well: theirs are changed in the same walk. Returns when the
 * first of all runs out. */
static double append_alike(const struct subject *about, const struct job *job, char out[JOB_WORDS])
{
    const struct hands *hands = &about->moment->hands;
    const char *between = ", and of ";
    double first = job->limit_utc;

    if (job->kind != JOB_BATTERY && job->kind != JOB_CARD)
        return first;
    for (int i = 0; i < hands->count; i++) {
        const struct job *other = &hands->job[i];

        if (other == job || other->kind != job->kind || other->state != JOB_DUE)
            continue;
        text_add(out, JOB_WORDS, between, "%s", about->night->rig[other->rig].rig.name);
        between = ", ";
        first = fmin(first, other->limit_utc);
    }
    return first;
}

/* What is due, with what happens if it is not done. */
static void say_due(const struct subject *about, const struct job *job, char out[JOB_WORDS])
{
    static const char *const ends[JOB_KINDS] = {[JOB_FLIP] = "it stops",
                                                [JOB_BATTERY] = "empty",
                                                [JOB_CARD] = "full",
                                                [JOB_POWER] = "empty"};
    const struct rig_power *power = job->rig < 0 ? NULL : &about->night->power[job->rig];
    bool guessed =
        (job->kind == JOB_BATTERY || job->kind == JOB_POWER) && power->cold_from == COLD_UNKNOWN;
    bool flips_later = job->kind == JOB_FLIP && job->utc > about->moment->utc;
    const char *end = flips_later ? "" : ends[job->kind];
    char words[JOB_WORDS], span[TEXT_SPAN];

    (void)job_words(about, job, words);
    double limit_utc = append_alike(about, job, words);
    /* That it may be empty is true from when it is at the coldest that is thought of. */
    if (guessed)
        limit_utc = fmin(limit_utc, power->full_utc + power->life_cold_s);
    double left = (flips_later ? job->utc : limit_utc) - about->moment->utc;
    if (!end || !isfinite(left))
        (void)memcpy(out, words, sizeof words);
    else
        (void)snprintf(out, JOB_WORDS, "%.120s%s%s%s %s%s", words, *end ? ": " : "",
                       guessed ? "may be " : "", end, left > 0 ? "in " : "by now",
                       left > 0 ? left_words(span, left) : "");
}

char *alarm_words(const struct subject *about, int rig, char out[JOB_WORDS])
{
    const struct rig_moment *now = &about->moment->rig[rig];
    char clock[TEXT_INSTANT], words[LOSS_WORDS];

    (void)clock_second(clock, about->reader, now->loss_utc);
    (void)snprintf(out, JOB_WORDS, "RE-AIM %s NOW", about->night->rig[rig].rig.name);
    if (now->loss != LOSS_NONE)
        text_add(out, JOB_WORDS, ": ", "%s", loss_words(now->loss, clock, false, words));
    else if (now->due_before >= 0)
        text_add(out, JOB_WORDS, ", ", "before %s", contact_name((enum contact)now->due_before));
    return out;
}

static void say_overdue(const struct subject *about, const struct job *job, bool brief,
                        char out[JOB_WORDS])
{
    char text[SENTENCE];

    (void)item_words(&about->night->setup.checklist.item[job->item], text);
    if (brief)
        (void)snprintf(out, JOB_WORDS, "overdue: %.*s", (int)strcspn(text, ";"), text);
    else
        (void)snprintf(out, JOB_WORDS, "%d overdue: %.130s", about->moment->check_overdue, text);
}

static void say_unaimed(const struct night *night, const struct hands *hands, char out[JOB_WORDS])
{
    (void)snprintf(out, JOB_WORDS, "aim now, then press a:");
    for (int i = 0, named = 0; i < hands->count; i++)
        if (hands->job[i].state == JOB_UNAIMED)
            text_add(out, JOB_WORDS, named++ ? ", " : " ", "%s",
                     night->rig[hands->job[i].rig].rig.name);
}

/* A warning ahead of the minutes in which the light changes fastest. */
static void say_rush(const struct rush *rush, struct reader reader, char out[JOB_WORDS])
{
    char clock[TEXT_INSTANT];

    (void)snprintf(out, JOB_WORDS, "light %s fast from %s: %d rounds in %.0f min",
                   rush->darker ? "falls" : "grows", clock_minute(clock, reader, rush->utc_from),
                   rush->rounds, fmax(1, (rush->utc_to - rush->utc_from) / 60));
}

/* A rig that waits for its re-aim although its alarm is quiet; -1: none. */
static int waiting_rig(const struct subject *about)
{
    for (int i = 0; i < about->night->setup.rig_count; i++)
        if (about->moment->rig[i].aim_state == AIM_SNOOZED && about->moment->rig[i].due_in_s < 0)
            return i;
    return -1;
}

static void say_free(const struct subject *about, double left_s, char out[JOB_WORDS])
{
    int waiting = waiting_rig(about);
    char span[TEXT_SPAN];

    if (waiting >= 0)
        (void)snprintf(
            out, JOB_WORDS, "re-aim %s: alarm quiet for %s", about->night->rig[waiting].rig.name,
            left_words(span, about->night->rig[waiting].snoozed_until - about->moment->utc));
    else if (isnan(left_s))
        (void)snprintf(out, JOB_WORDS, "nothing left to do");
    else
        (void)snprintf(out, JOB_WORDS, "nothing to do for %s", left_words(span, left_s));
}

/* ---- both lines ---- */

/* A flip is announced long before its round, which is then not told as well. */
static bool is_announced(const struct subject *about, const struct agenda_round *round)
{
    for (int rig = 0; rig < about->night->setup.rig_count; rig++) {
        const struct job *flip = hands_job(&about->moment->hands, JOB_FLIP, rig);

        if (round->jobs[rig] &&
            (round->jobs[rig] != 1U << JOB_FLIP || !flip || flip->state == JOB_COMING))
            return false;
    }
    return true;
}

/* The round after the one that comes next. */
static void say_after(const struct subject *about, double utc, char out[JOB_WORDS])
{
    const struct agenda *agenda = &about->night->agenda;
    char clock[TEXT_INSTANT], words[ROUND_WORDS], text[ROUND_WORDS + TEXT_INSTANT];

    for (int i = 0; i < agenda->count; i++) {
        const struct agenda_round *round = &agenda->round[i];

        if (round->utc <= utc + 1 || round->utc - about->moment->utc > TODAY_S ||
            is_announced(about, round))
            continue;
        (void)snprintf(text, sizeof text, "%s %.*s", clock_minute(clock, about->reader, round->utc),
                       ROUND_WORDS - 1, round_brief(about->night, round, words));
        if (strlen(out) + strlen(text) + 2 < JOB_WORDS)
            text_add(out, JOB_WORDS, "; ", "%s", text);
        return;
    }
}

/* Whether the Moon goes down in that time and stays down. */
static bool sets_between(const struct night *night, double from, double to)
{
    bool sets = false;

    for (int i = 0; i < night->event_count; i++)
        if (night_event_is_horizon(&night->event[i]) && night->event[i].utc > from &&
            night->event[i].utc <= to)
            sets = night->event[i].which != SKY_MOONRISE;
    return sets;
}

char *rounds_left_words(const struct subject *about, char out[ROUNDS_LEFT_WORDS])
{
    const struct night *night = about->night;
    double now = about->moment->utc;
    enum contact end = night->contact_utc[CONTACT_U4] > now ? CONTACT_U4 : CONTACT_P4;
    int count = agenda_count(&night->agenda, now, night->contact_utc[end]);
    bool sets = sets_between(night, now, night->contact_utc[end]);

    out[0] = '\0';
    if (count > 0 && night->contact_utc[CONTACT_P1] - now < TODAY_S)
        (void)snprintf(out, ROUNDS_LEFT_WORDS, "%d round%s to %s", count, count == 1 ? "" : "s",
                       sets ? "moonset" : contact_name(end));
    return out;
}

/* What is overdue is in the second line at least, so that nothing more pressing hides it; else
 * that the light is about to run, or that there is too much to do; else what comes next. */
static void say_then(const struct subject *about, bool rush_told, bool brief, char out[JOB_WORDS],
                     bool *due)
{
    const struct hands *hands = &about->moment->hands;
    const struct job *item = hands_job(hands, JOB_ITEM, -1), *next = hands_next(hands);
    bool told = item == hands->job && !rush_told;
    char clock[TEXT_INSTANT], text[JOB_WORDS];

    out[0] = '\0';
    *due = true;
    if (item && item->state == JOB_OVERDUE && !told) {
        say_overdue(about, item, brief, out);
    } else if (hands->rush.rounds > 0 && !rush_told) {
        say_rush(&hands->rush, about->reader, out);
    } else if (hands->clash_utc > about->moment->utc &&
               hands->clash_utc - about->moment->utc <= CLASH_AHEAD_S) {
        (void)snprintf(out, JOB_WORDS, "%s: more jobs than two hands can do - start early",
                       clock_minute(clock, about->reader, hands->clash_utc));
    } else {
        *due = false;
        if (!next)
            return;
        double ahead_s = next->utc - about->moment->utc;
        bool today = ahead_s > 0 && ahead_s < TODAY_S;
        (void)snprintf(out, JOB_WORDS, "then%s%s %.120s", today ? " " : "",
                       today ? clock_minute(clock, about->reader, next->utc) : "",
                       walk_words(about, next, brief, text));
        if (!brief)
            say_after(about, next->utc, out);
    }
}

/* Two words and a rig's name, in capitals; of the name only letters and figures, as large letters have
 * no others. */
static void say_label(const struct night *night, const struct job *job, char out[JOB_LABEL])
{
    static const char *const verb[JOB_KINDS] = {
        [JOB_AIM] = "AIM",         [JOB_STOPPED] = "CAMERA", [JOB_FLIP] = "FLIP",
        [JOB_BATTERY] = "BATTERY", [JOB_CARD] = "CARD",      [JOB_GLASS] = "GLASS",
        [JOB_WRONG] = "SET",       [JOB_LOOK] = "LOOK",      [JOB_LAPTOP] = "LAPTOP",
        [JOB_POWER] = "POWER",     [JOB_SETTING] = "ROUND",  [JOB_ITEM] = "LIST",
        [JOB_FIRST_AIM] = "AIM"};
    enum { NAME_MOST = 8 };
    int length = snprintf(out, JOB_LABEL, "%s", verb[job->kind]);

    if (job->rig < 0 || job->kind == JOB_SETTING || job->kind == JOB_ITEM)
        return;
    length += snprintf(out + length, (size_t)(JOB_LABEL - length), " %d ", job->rig + 1);
    int most = length + NAME_MOST < JOB_LABEL ? length + NAME_MOST : JOB_LABEL - 1;
    for (const char *name = night->rig[job->rig].rig.name; *name && length < most; name++) {
        if (isalnum((unsigned char)*name) && (unsigned char)*name < 0x80)
            out[length++] = (char)toupper((unsigned char)*name);
    }
    out[length] = '\0';
}

static void say_now(const struct subject *about, double left_s, bool brief, char out[JOB_WORDS])
{
    const struct hands *hands = &about->moment->hands;
    const struct job *first = hands->count > 0 ? hands->job : NULL;
    enum job_state state = first ? first->state : JOB_COMING;
    bool rush = hands->rush.rounds > 0 && state >= JOB_OVERDUE;
    char text[JOB_WORDS];

    if (state == JOB_ALARM)
        (void)alarm_words(about, first->rig, out);
    else if (state == JOB_PRESSING && left_s > 0)
        (void)snprintf(out, JOB_WORDS, "%.120s in %.0f s", walk_words(about, first, brief, text),
                       seconds_left(left_s));
    else if (state == JOB_PRESSING)
        (void)snprintf(out, JOB_WORDS, "%.120s now", walk_words(about, first, brief, text));
    else if (state == JOB_DUE)
        say_due(about, first, out);
    else if (rush)
        say_rush(&hands->rush, about->reader, out);
    else if (state == JOB_OVERDUE)
        say_overdue(about, first, brief, out);
    else if (state == JOB_UNAIMED)
        say_unaimed(about->night, hands, out);
    else
        say_free(about, left_s, out);
}

void hands_say(const struct subject *about, struct hands_words *words)
{
    const struct hands *hands = &about->moment->hands;
    const struct job *first = hands->count > 0 ? hands->job : NULL, *next = hands_next(hands);
    enum job_state state = first ? first->state : JOB_COMING;
    bool rush = hands->rush.rounds > 0 && state >= JOB_OVERDUE;

    words->left_s = next ? next->utc - about->moment->utc : NAN;
    if (state == JOB_ALARM || state == JOB_DUE || (state == JOB_OVERDUE && !rush))
        words->left_s = 0;
    const struct job *labelled = words->left_s == 0 || state == JOB_PRESSING ? first : next;
    words->label[0] = '\0';
    if (labelled)
        say_label(about->night, labelled, words->label);
    if (state == JOB_PRESSING)
        words->left_s = fmax(first->utc - about->moment->utc, 0);
    say_now(about, words->left_s, false, words->now);
    say_now(about, words->left_s, true, words->now_brief);
    say_then(about, rush, false, words->then, &words->then_due);
    say_then(about, rush, true, words->then_brief, &words->then_due);
}
