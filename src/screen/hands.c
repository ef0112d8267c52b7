/* The one question of a cold person: must my hands do anything now? */
#include "panels.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* A change of setting is announced this much ahead. */
#define CHANGE_AHEAD_S 60.0
#define FLIP_AHEAD_S 900.0
#define CLASH_AHEAD_S 900.0
/* Light changes fast where so many changes of one rig fall into so short a time. */
enum { FAST_CHANGES = 3 };
#define FAST_S 300.0
#define BATTERY_LOW_PERCENT 20.0
/* An overdue item claims the hands for so long. */
#define OVERDUE_CLAIM_S 7200.0
/* What comes sooner is told by its hour alone. */
#define TODAY_S (20 * 3600.0)

static const char *rig_name(const struct scene *scene, int rig)
{
    return scene->night->rig[rig].rig.name;
}

/* ---- changes of setting ---- */

/* Changes of one rig that follow one another fast. */
struct rush {
    int changes;
    double utc_from, utc_to;
    bool darker;
};

static bool is_fast(const struct segment *first)
{
    return first[FAST_CHANGES - 1].utc_from - first[0].utc_from <= FAST_S;
}

static struct rush find_rush(const struct run *run, double now)
{
    const struct segment *segment = run->segment;
    struct rush none = {0};
    int first = 0, last;

    while (first < run->count && segment[first].utc_from <= now)
        first++;
    last = first + FAST_CHANGES - 1;
    if (first == 0 || last >= run->count || segment[last].utc_from > now + FAST_S)
        return none;
    while (last + 1 < run->count && is_fast(&segment[last + 2 - FAST_CHANGES]))
        last++;
    return (struct rush){last - first + 1, segment[first].utc_from, segment[last].utc_from,
                         exposure_thirds(&segment[last].exposure) >
                             exposure_thirds(&segment[first - 1].exposure)};
}

/* ---- what is known to come ---- */

enum next_kind { NEXT_NOTHING, NEXT_AIM, NEXT_FLIP, NEXT_SWAP, NEXT_CARD, NEXT_SETTING, NEXT_ITEM };

struct next {
    double utc;
    enum next_kind kind;
    int which; /* rig or item */
    const struct exposure *set;
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
        struct next aim = {rig->due_utc, NEXT_AIM, i, NULL};
        const struct segment *change = hands_setting(night, i, moment->utc);
        if (state == AIM_SNOOZED)
            aim.utc = fmax(rig->snoozed_until, rig->due_utc);
        if (state == AIM_STEADY || state == AIM_SOON || state == AIM_SNOOZED)
            consider(&next, taken, moment->utc, &aim);
        consider(&next, taken, moment->utc,
                 &(struct next){moment->utc + moment->rig[i].flip_in_s, NEXT_FLIP, i, NULL});
        consider(&next, taken, moment->utc,
                 &(struct next){moment->kit[i].swap_utc, NEXT_SWAP, i, NULL});
        consider(&next, taken, moment->utc,
                 &(struct next){moment->kit[i].card_utc, NEXT_CARD, i, NULL});
        if (change)
            consider(&next, taken, moment->utc,
                     &(struct next){change->utc_from, NEXT_SETTING, i, &change->exposure});
    }
    for (int i = 0; i < night->setup.checklist.count; i++) {
        struct next item = {moment->check_due_utc[i], NEXT_ITEM, i, NULL};
        if (isnan(night->checked_utc[i]))
            consider(&next, taken, moment->utc, &item);
    }
    return next;
}

/* Acts at one rig that are best done in one go with it. */
static bool say_together(const struct scene *scene, const struct next *next, char text[WORDS_LINE])
{
    static const enum hands_kind kinds[] = {[NEXT_AIM] = HANDS_AIM,
                                            [NEXT_SWAP] = HANDS_BATTERY,
                                            [NEXT_CARD] = HANDS_CARD,
                                            [NEXT_SETTING] = HANDS_EXPOSURE};
    const struct night *night = scene->night;
    const struct hands_plan *plan = &night->hands;

    if (next->kind != NEXT_AIM && next->kind != NEXT_SWAP && next->kind != NEXT_CARD &&
        next->kind != NEXT_SETTING)
        return false;
    for (int i = 0; i < plan->count; i++) {
        const struct hands_line *line = &plan->line[i];
        for (int j = line->first; line->count > 1 && j < line->first + line->count; j++) {
            const struct hands_task *task = &night->task[plan->order[j]];
            if (task->rig != next->which || task->kind != kinds[next->kind])
                continue;
            hands_line_say(night, line, scene->moment->utc, text, WORDS_LINE);
            return true;
        }
    }
    return false;
}

static void say_next(const struct scene *scene, const struct next *next, char text[WORDS_LINE])
{
    char dial[WORDS_SETTING];
    int before = next->kind == NEXT_AIM ? scene->moment->rig[next->which].due_before : -1;

    if (say_together(scene, next, text))
        return;
    switch (next->kind) {
    case NEXT_AIM:
        (void)snprintf(text, WORDS_LINE, "re-aim %s%s%s", rig_name(scene, next->which),
                       before < 0 ? "" : " before ",
                       before < 0 ? "" : contact_name((enum contact)before));
        break;
    case NEXT_FLIP:
        (void)snprintf(text, WORDS_LINE, "turn the mount of %s over", rig_name(scene, next->which));
        break;
    case NEXT_SWAP:
        (void)snprintf(text, WORDS_LINE, "change the battery of %s", rig_name(scene, next->which));
        break;
    case NEXT_CARD:
        (void)snprintf(text, WORDS_LINE, "change the card of %s", rig_name(scene, next->which));
        break;
    case NEXT_SETTING:
        (void)snprintf(text, WORDS_LINE, "set %s to %s", rig_name(scene, next->which),
                       words_dial(dial, next->set));
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
    case NEXT_FLIP:
    case NEXT_SWAP:
    case NEXT_CARD:
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
                   format_span(span, -scene->moment->rig[rig].due_in_s));
    return true;
}

/* A flip that comes near, then up to where the mount stops. */
static bool say_flip(const struct scene *scene, char out[WORDS_LINE])
{
    const struct night *night = scene->night;
    char span[TEXT_SPAN];

    for (int i = 0; i < night->setup.rig_count; i++) {
        double left = scene->moment->rig[i].flip_in_s;
        bool is_due = left <= 0;
        if (!(left <= FLIP_AHEAD_S))
            continue;
        if (is_due)
            left = night->framing[i].flip.latest_utc - scene->moment->utc;
        (void)snprintf(out, WORDS_LINE, "turn the mount of %s over%s in %s", rig_name(scene, i),
                       is_due ? ": it stops" : "", format_left(span, left));
        return true;
    }
    return false;
}

/* A battery or a card that is due, until it is changed. */
static bool say_swap(const struct scene *scene, char out[WORDS_LINE])
{
    const struct moment *moment = scene->moment;
    char span[TEXT_SPAN];

    for (int i = 0; i < scene->night->setup.rig_count; i++) {
        const struct kit_moment *kit = &moment->kit[i];
        bool is_battery = kit->swap_utc <= moment->utc;
        double left = (is_battery ? kit->battery_empty_utc : kit->card.full_utc) - moment->utc;
        if (!is_battery && !(kit->card_utc <= moment->utc))
            continue;
        (void)snprintf(out, WORDS_LINE, "change the %s of %s: %s %s%s",
                       is_battery ? "battery" : "card", rig_name(scene, i),
                       is_battery ? "empty" : "full", left > 0 ? "in " : "by now",
                       left > 0 ? format_left(span, left) : "");
        return true;
    }
    return false;
}

static bool say_glass(const struct scene *scene, char out[WORDS_LINE])
{
    char text[GLASS_WORDS];

    if (!*glass_say(scene->night, scene->moment, text))
        return false;
    (void)snprintf(out, WORDS_LINE, "%s (%c dry, %c heater on)", text, PRESS_GLASS, PRESS_HEATER);
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

/* The longest overdue; what has been left for long counts, but is for the list to tell. */
static bool say_overdue(const struct scene *scene, char out[WORDS_LINE])
{
    const struct night *night = scene->night;
    double now = scene->moment->utc, earliest = INFINITY;
    int item = -1;

    for (int i = 0; i < night->setup.checklist.count; i++) {
        double due = scene->moment->check_due_utc[i];
        if (!isnan(night->checked_utc[i]) || !(due <= now && due > now - OVERDUE_CLAIM_S))
            continue;
        if (due < earliest) {
            earliest = due;
            item = i;
        }
    }
    if (item < 0)
        return false;
    (void)snprintf(out, WORDS_LINE, "%d overdue: %s", scene->moment->check_overdue,
                   night->setup.checklist.item[item].text);
    return true;
}

/* The light's fastest time within the next minutes, said ahead. */
static bool say_rush(const struct scene *scene, char out[WORDS_LINE])
{
    const struct night *night = scene->night;
    struct rush most = {0};
    char clock[WORDS_WHEN];

    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rush rush = find_rush(&night->run[i], scene->moment->utc);
        if (!night->rig[i].rig.remote_exposure && rush.changes > most.changes)
            most = rush;
    }
    if (most.changes == 0)
        return false;
    (void)snprintf(out, WORDS_LINE, "light %s fast from %s: %d changes in %.0f min",
                   most.darker ? "falls" : "grows", words_minute(clock, scene, most.utc_from),
                   most.changes, fmax(1, (most.utc_to - most.utc_from) / 60));
    return true;
}

/* While the eclipse runs, a rig that stands still and has not been aimed at the Moon. */
static bool say_unaimed(const struct scene *scene, char out[WORDS_LINE])
{
    const double *contact = scene->night->contact_utc, now = scene->moment->utc;
    int at = 0;

    if (now < contact[CONTACT_P1] || now > contact[CONTACT_P4])
        return false;
    for (int i = 0; i < scene->night->setup.rig_count; i++)
        if (scene->moment->rig[i].aim_state == AIM_FREE && at < WORDS_LINE)
            at += snprintf(out + at, (size_t)(WORDS_LINE - at), "%s%s",
                           at ? ", " : "not aimed yet: ", rig_name(scene, i));
    return at > 0;
}

/* More at once than two hands can do. */
static bool say_clash(const struct scene *scene, char out[WORDS_LINE])
{
    double clash = scene->night->hands.clash_utc, now = scene->moment->utc;
    char clock[WORDS_WHEN];

    if (!(clash > now && clash - now <= CLASH_AHEAD_S))
        return false;
    (void)snprintf(out, WORDS_LINE, "%s asks for more hands than two: begin early",
                   words_minute(clock, scene, clash));
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
        (void)snprintf(out, WORDS_LINE, "free for %s %s", count, unit);
}

/* The first line says the most pressing thing. The second one keeps saying what is overdue, so that
 * nothing more pressing hides it; else that the light is about to run; else what comes next. */
void hands_find(const struct scene *scene, struct hands *hands)
{
    double now = scene->moment->utc;
    struct next next = find_next(scene, NULL);
    char text[WORDS_LINE], span[TEXT_SPAN], overdue[WORDS_LINE], rush[WORDS_LINE];
    char clock[WORDS_WHEN];
    bool is_overdue = say_overdue(scene, overdue), is_rush = say_rush(scene, rush);

    *hands = (struct hands){
        .sun = sun_warns(&scene->moment->sun), .role = ROLE_DUE, .then_role = ROLE_DUE};
    hands->left_s = next.kind == NEXT_NOTHING ? NAN : next.utc - now;
    if (say_alarm(scene, hands->now)) {
        hands->left_s = 0;
        hands->role = ROLE_ALARM;
    } else if (is_pressing(scene, &next)) {
        say_next(scene, &next, text);
        (void)snprintf(hands->now, WORDS_LINE, "%.120s in %s", text,
                       format_left(span, next.utc - now));
        next = find_next(scene, &next);
    } else if (say_flip(scene, hands->now) || say_swap(scene, hands->now) ||
               say_glass(scene, hands->now) || say_battery(scene, hands->now)) {
        hands->left_s = 0;
    } else if (is_rush || is_overdue) {
        if (!is_rush)
            hands->left_s = 0;
        (void)snprintf(hands->now, WORDS_LINE, "%s", is_rush ? rush : overdue);
        is_overdue = is_overdue && is_rush;
        is_rush = false;
    } else if (!say_unaimed(scene, hands->now)) {
        say_free(&next, now, hands->now);
        hands->role = ROLE_VALUE;
    }
    if (is_overdue || is_rush) {
        (void)snprintf(hands->then, WORDS_LINE, "%s", is_overdue ? overdue : rush);
        return;
    }
    if (say_clash(scene, hands->then))
        return;
    hands->then_role = ROLE_LABEL;
    say_next(scene, &next, text);
    if (*text)
        (void)snprintf(hands->then, WORDS_LINE, "then%s%s %.140s",
                       next.utc - now < TODAY_S ? " " : "",
                       next.utc - now < TODAY_S ? words_minute(clock, scene, next.utc) : "", text);
}
