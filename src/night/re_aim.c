/* When tripods are to be aimed again: with the rounds that set the cameras, where half of a stay is
 * over by then, else when it is due and with the other tripods. Of all plans that never use less than
 * half a stay this has the fewest walks for one tripod: an aim at a later round lasts longer. */
#include "derive.h"

#include <math.h>
#include <string.h>

/* So much of a stay is used before a re-aim comes sooner to save a walk: at less it would cost many more of
 * them; and so much where there is no time for it later. */
#define GOOD_PART 0.5
#define LEAST_PART 0.25

/* The last aim of a tripod and when the next one is due; NaN: no more. */
struct aiming {
    double utc, due_utc;
};

/* Until when a rig that is still to shoot has the Moon in sight from an instant on; NaN: it has not. */
static double in_sight_to(const struct night *night, int rig, double utc)
{
    struct span up[UP_SPANS];
    int ups = up_spans_to(night, night->rig[rig].ends_utc, up);

    for (int i = 0; i < ups; i++)
        if (utc >= up[i].from && utc < up[i].to)
            return up[i].to;
    return NAN;
}

/* When a rig that is aimed at `utc` has to be aimed again, at the latest. */
static double due_after(const struct night *night, int rig, double utc)
{
    double to = in_sight_to(night, rig, utc);
    struct aim aim;
    int contact;

    if (isnan(to))
        return next_up_utc(night, rig, utc);
    aim_advise(&night->rig[rig].rig, &night->eclipse_track, utc, to, &aim);
    if (!(aim.placed_stays_s >= AIM_HANDS_S))
        return NAN;
    if (utc + aim.placed_stays_s >= to - 1)
        return next_up_utc(night, rig, utc);
    return aim_due(utc + aim.placed_stays_s, utc, night->contact_utc, &contact);
}

/* Until when a rig that was aimed at `utc` is left alone in any case: one whose picture holds a part of the
 * eclipse, to the end of that part. */
static double left_alone_to(const struct framing *framing, double utc)
{
    bool holds = framing->whole.known && utc < framing->untouched.to;

    return holds ? fmax(utc, framing->untouched.to + AIM_KEEP_OFF_S) : utc;
}

static void begin_aiming(const struct night *night, int rig, struct aiming *aiming)
{
    const struct rig_state *state = &night->rig[rig];
    const struct framing *framing = &night->framing[rig];

    *aiming = (struct aiming){NAN, NAN};
    if (framing->re_aims <= 0)
        return;
    if (state->aimed && isfinite(state->due_utc)) {
        *aiming = (struct aiming){left_alone_to(framing, state->aimed_utc), state->due_utc};
    } else if (framing->whole.known) {
        *aiming = (struct aiming){left_alone_to(framing, framing->whole.enters_utc),
                                  framing->whole.leaves_utc};
    } else {
        aiming->utc = next_up_utc(night, rig, -INFINITY);
        aiming->due_utc = due_after(night, rig, aiming->utc);
    }
}

static double part_of_stay(const struct aiming *aiming, double part)
{
    return aiming->utc + part * (aiming->due_utc - aiming->utc);
}

static double takes_s(const struct night *night)
{
    return night->setup.hands_s[HANDS_AIM] + night->setup.hands_s[HANDS_WALK];
}

static bool sees(const struct night *night, int rig, double utc)
{
    return isfinite(in_sight_to(night, rig, utc));
}

/* When to aim that rig: in time for slow hands, but at a Moon that rises not before it does. */
static double aim_instant(const struct night *night, const struct agenda *agenda, int rig,
                          const struct aiming *aiming, double now)
{
    struct fit_ask ask = {
        .from = fmax(part_of_stay(aiming, LEAST_PART), now),
        .gladly = fmax(part_of_stay(aiming, GOOD_PART), now),
        .to = aiming->due_utc - HANDS_SLOW_S - night->setup.hands_s[HANDS_AIM],
        .takes_s = takes_s(night),
        .aim_of = -1,
    };
    double instant = fmin(fmax(agenda_fit(night, agenda, &ask), ask.from), aiming->due_utc);

    return sees(night, rig, instant) ? instant : aiming->due_utc;
}

static int soonest(const struct night *night, const struct aiming aiming[RIGS])
{
    int first = -1;

    for (int i = 0; i < night->setup.rig_count; i++)
        if (isfinite(aiming[i].due_utc) && (first < 0 || aiming[i].due_utc < aiming[first].due_utc))
            first = i;
    return first;
}

/* Hands that are late may still say that they have done what was planned. */
static void keep_passed(struct framing *framing, double since, double utc)
{
    bool kept = framing->passed_count > 0 && framing->passed_utc[0] > utc - MEANT_S;

    if (!(since == framing->planned_since)) {
        framing->passed_count = 0;
    } else if (!kept && framing->planned_count > 0 && framing->planned_utc[0] <= utc) {
        framing->passed_count = framing->planned_count;
        memcpy(framing->passed_utc, framing->planned_utc, sizeof framing->passed_utc);
    }
}

static bool is_stale(const struct framing *framing, double since, double utc)
{
    bool passed = framing->planned_count > 0 && framing->planned_utc[0] < utc - PRESSING_S;

    return !(since == framing->planned_since) || passed;
}

void aims_plan(struct night *night, double utc)
{
    struct aiming aiming[RIGS];
    struct agenda agenda;
    bool stale = false;

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        double since = rig->aimed ? rig->aimed_utc : -INFINITY;

        /* What nobody has aimed is planned as a whole. */
        if (night->framing[i].re_aims <= 0)
            continue;
        stale |= is_stale(&night->framing[i], since, rig->aimed ? utc : -INFINITY);
        keep_passed(&night->framing[i], since, utc);
        night->framing[i].planned_since = since;
    }
    if (!stale)
        return;
    agenda_settings(night, -INFINITY, &agenda);
    for (int i = 0; i < night->setup.rig_count; i++) {
        night->framing[i].planned_count = 0;
        begin_aiming(night, i, &aiming[i]);
    }
    for (int first = soonest(night, aiming); first >= 0; first = soonest(night, aiming)) {
        double now = night->rig[first].aimed ? utc : -INFINITY;
        double instant = aim_instant(night, &agenda, first, &aiming[first], now);

        for (int i = 0; i < night->setup.rig_count; i++) {
            struct framing *framing = &night->framing[i];

            if (i != first &&
                !(instant >= part_of_stay(&aiming[i], GOOD_PART) && sees(night, i, instant) &&
                  agenda_has_time(night, &agenda, instant, takes_s(night))))
                continue;
            if (framing->planned_count == AIM_STEPS) {
                aiming[i].due_utc = NAN;
                continue;
            }
            framing->planned_utc[framing->planned_count++] = instant;
            agenda_add(night, &agenda, instant, JOB_AIM, i);
            aiming[i] = (struct aiming){instant, due_after(night, i, instant)};
        }
    }
}

double re_aim_utc(const struct night *night, int rig, double utc)
{
    const struct framing *framing = &night->framing[rig];
    double due_utc = night->rig[rig].due_utc;

    for (int i = 0; i < framing->planned_count; i++)
        if (framing->planned_utc[i] > utc - PRESSING_S)
            return fmin(framing->planned_utc[i], due_utc);
    return due_utc;
}
