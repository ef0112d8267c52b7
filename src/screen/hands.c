/* The one question of a cold person: must my hands do anything now? */
#include "panels.h"

#include <math.h>
#include <stdio.h>

/* A change of setting is announced this much ahead. */
#define CHANGE_AHEAD_S 60.0
#define BATTERY_LOW_PERCENT 20.0
/* An overdue item claims the hands for so long. */
#define OVERDUE_CLAIM_S 7200.0

static const char *rig_name(const struct scene *scene, int rig)
{
    return scene->night->rig[rig].rig.name;
}

/* ---- what is known to come ---- */

enum next_kind { NEXT_NOTHING, NEXT_AIM, NEXT_SETTING, NEXT_ITEM };

struct next {
    double utc;
    enum next_kind kind;
    int which; /* rig or item */
};

/* Keeps the earliest that lies ahead and is not `taken`. */
static void consider(struct next *next, const struct next *taken, double now,
                     const struct next *candidate)
{
    bool is_taken = taken && taken->kind == candidate->kind && taken->which == candidate->which;

    if (!is_taken && candidate->utc > now && candidate->utc < next->utc)
        *next = *candidate;
}

static struct next find_next(const struct scene *scene, const struct next *taken)
{
    const struct night *night = scene->night;
    const struct moment *moment = scene->moment;
    struct next next = {.utc = INFINITY, .kind = NEXT_NOTHING};

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        enum aim_state state = moment->rig[i].aim_state;
        struct next aim = {rig->leaves_utc, NEXT_AIM, i};
        struct next change = {moment->rig[i].change_utc, NEXT_SETTING, i};
        if (state == AIM_SNOOZED)
            aim.utc = fmax(rig->snoozed_until, rig->leaves_utc);
        if (state == AIM_STEADY || state == AIM_SOON || state == AIM_SNOOZED)
            consider(&next, taken, moment->utc, &aim);
        /* A remote changes the exposure by itself. */
        if (moment->rig[i].change_to.known && !rig->rig.remote_exposure)
            consider(&next, taken, moment->utc, &change);
    }
    for (int i = 0; i < night->setup.checklist.count; i++) {
        struct next item = {moment->check_due_utc[i], NEXT_ITEM, i};
        if (isnan(night->checked_utc[i]))
            consider(&next, taken, moment->utc, &item);
    }
    return next;
}

static void say_next(const struct scene *scene, const struct next *next, char text[WORDS_LINE])
{
    char dial[WORDS_SETTING];

    switch (next->kind) {
    case NEXT_AIM:
        (void)snprintf(text, WORDS_LINE, "re-aim %s", rig_name(scene, next->which));
        break;
    case NEXT_SETTING:
        (void)snprintf(text, WORDS_LINE, "set %s to %s", rig_name(scene, next->which),
                       words_dial(dial, &scene->moment->rig[next->which].change_to));
        break;
    case NEXT_ITEM:
        (void)snprintf(text, WORDS_LINE, "%s",
                       scene->night->setup.checklist.item[next->which].text);
        break;
    case NEXT_NOTHING:
        text[0] = '\0';
        break;
    }
}

/* Near enough to stop other things for it. */
static bool is_pressing(const struct scene *scene, const struct next *next)
{
    switch (next->kind) {
    case NEXT_AIM:
        return scene->moment->rig[next->which].aim_state == AIM_SOON;
    case NEXT_SETTING:
        return next->utc - scene->moment->utc <= CHANGE_AHEAD_S;
    default:
        return false;
    }
}

/* ---- what is so now ---- */

static bool say_alarm(const struct scene *scene, char out[WORDS_LINE])
{
    int rig = scene->moment->alarm_rig;
    char span[TEXT_SPAN];

    if (rig < 0)
        return false;
    (void)snprintf(out, WORDS_LINE, "RE-AIM %s NOW, %s over", rig_name(scene, rig),
                   format_span(span, -scene->moment->rig[rig].leaves_in_s));
    return true;
}

static bool say_glass(const struct scene *scene, char out[WORDS_LINE])
{
    static const char *const words[] = {
        [AIR_HEAT] = "glass near the dew point: heater on",
        [AIR_WET] = "dew on the glass: warm it, never wipe",
        [AIR_FROST] = "frost on the glass: warm it, never wipe",
    };
    const struct air *air = &scene->moment->air;

    if (!isfinite(air->margin_c) || air->advice < AIR_HEAT)
        return false;
    (void)snprintf(out, WORDS_LINE, "%s", words[air->advice]);
    return true;
}

static bool say_battery(const struct scene *scene, char out[WORDS_LINE])
{
    const struct readings *readings = &scene->moment->readings;

    if (!readings->battery_discharging || !(readings->battery_percent <= BATTERY_LOW_PERCENT))
        return false;
    (void)snprintf(out, WORDS_LINE, "laptop has %.0f %% left: give it power",
                   readings->battery_percent);
    return true;
}

/* The longest overdue; what has been left for long is for the list to tell. */
static bool say_overdue(const struct scene *scene, char out[WORDS_LINE])
{
    const struct night *night = scene->night;
    double now = scene->moment->utc, earliest = INFINITY;
    int item = -1, count = 0;

    for (int i = 0; i < night->setup.checklist.count; i++) {
        double due = scene->moment->check_due_utc[i];
        if (!isnan(night->checked_utc[i]) || !(due <= now && due > now - OVERDUE_CLAIM_S))
            continue;
        count++;
        if (due < earliest) {
            earliest = due;
            item = i;
        }
    }
    if (item < 0)
        return false;
    (void)snprintf(out, WORDS_LINE, "%d overdue: %s", count,
                   night->setup.checklist.item[item].text);
    return true;
}

/* ---- the answer ---- */

static void say_free(const struct next *next, double now, char out[WORDS_LINE])
{
    char count[TEXT_SPAN];
    const char *unit = words_countdown(count, next->utc - now);

    if (next->kind == NEXT_NOTHING)
        (void)snprintf(out, WORDS_LINE, "free: nothing more is planned");
    else
        (void)snprintf(out, WORDS_LINE, "free for %s%s%s", count, *unit ? " " : "", unit);
}

void hands_find(const struct scene *scene, struct hands *hands)
{
    double now = scene->moment->utc;
    struct next next = find_next(scene, NULL);
    char text[WORDS_LINE], span[TEXT_SPAN];

    *hands = (struct hands){.role = ROLE_DUE};
    if (say_alarm(scene, hands->now)) {
        hands->role = ROLE_ALARM;
    } else if (is_pressing(scene, &next)) {
        say_next(scene, &next, text);
        (void)snprintf(hands->now, WORDS_LINE, "%.120s in %s", text,
                       format_span(span, next.utc - now));
        next = find_next(scene, &next);
    } else if (!say_glass(scene, hands->now) && !say_battery(scene, hands->now) &&
               !say_overdue(scene, hands->now)) {
        say_free(&next, now, hands->now);
        hands->role = ROLE_VALUE;
    }
    say_next(scene, &next, text);
    if (*text)
        (void)snprintf(hands->then, WORDS_LINE, "then %.150s", text);
}
