/* When tripods are to be aimed again: with the rounds that set the cameras, where half of a stay is
 * over by then, else when it is due and with the other tripods. Of all plans that never use less than
 * half a stay this has the fewest walks for one tripod: an aim at a later round lasts longer. */
#include "derive.h"

#include <math.h>

/* The last aim of a tripod and when the next one is due; NaN: no more. */
struct aiming {
    double utc, due_utc;
};

static double next_rise(const struct span *up, int ups, double utc)
{
    for (int i = 0; i < ups; i++)
        if (up[i].from > utc)
            return up[i].from;
    return NAN;
}

/* When a rig that is aimed at `utc` has to be aimed again, at the latest. */
static double due_after(const struct night *night, int rig, double utc)
{
    const struct rig *set_up = &night->rig[rig].rig;
    struct span up[UP_SPANS];
    int ups = up_spans_to(night, night->rig[rig].ends_utc, up), contact;
    struct aim aim;

    for (int i = 0; i < ups; i++) {
        if (utc < up[i].from || utc >= up[i].to)
            continue;
        aim_advise(set_up, &night->eclipse_track, utc, up[i].to, &aim);
        if (!(aim.placed_stays_s >= AIM_HANDS_S))
            return NAN;
        if (utc + aim.placed_stays_s >= up[i].to - 1)
            break;
        return aim_due(utc + aim.placed_stays_s, utc,
                       (struct keep_off){night->contact_utc + CONTACT_U1, KEPT_OFF}, &contact);
    }
    return next_rise(up, ups, utc);
}

static void begin_aiming(const struct night *night, int rig, struct aiming *aiming)
{
    const struct rig_state *state = &night->rig[rig];
    struct span up[UP_SPANS];

    *aiming = (struct aiming){NAN, NAN};
    if (night->framing[rig].re_aims <= 0)
        return;
    if (state->aimed && isfinite(state->due_utc)) {
        *aiming = (struct aiming){state->aimed_utc, state->due_utc};
    } else if (up_spans_to(night, state->ends_utc, up) > 0) {
        aiming->utc = up[0].from;
        aiming->due_utc = due_after(night, rig, up[0].from);
    }
}

/* From here on a re-aim may come sooner to save a walk: at less it would cost many more of them. */
static double half_stay(const struct aiming *aiming)
{
    return aiming->utc + (aiming->due_utc - aiming->utc) / 2;
}

/* When to aim that rig: with the last round of settings in its second half, else when it is due, but
 * not so close before the next round that it would still be going on. */
static double aim_instant(const struct night *night, const struct aiming *aiming, double now)
{
    const struct rounds *rounds = &night->rounds;
    double from = fmax(half_stay(aiming), now), instant = aiming->due_utc;

    for (int i = rounds->count; i-- > 0;) {
        double utc = rounds->round[i].utc;

        if (utc > aiming->due_utc && utc - aiming->due_utc < ROUND_APART_S &&
            utc - ROUND_APART_S > from)
            instant = utc - ROUND_APART_S;
        if (utc <= aiming->due_utc && utc >= from)
            return utc;
    }
    return fmax(instant, fmin(now, aiming->due_utc));
}

static int soonest(const struct night *night, const struct aiming aiming[RIGS])
{
    int first = -1;

    for (int i = 0; i < night->setup.rig_count; i++)
        if (isfinite(aiming[i].due_utc) && (first < 0 || aiming[i].due_utc < aiming[first].due_utc))
            first = i;
    return first;
}

static bool is_stale(const struct framing *framing, double since, double utc)
{
    bool passed = framing->planned_count > 0 && framing->planned_utc[0] < utc - PRESSING_S;

    return !(since == framing->planned_since) || passed;
}

void aims_plan(struct night *night, double utc)
{
    struct aiming aiming[RIGS];
    bool stale = false;

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        double since = rig->aimed ? rig->aimed_utc : -INFINITY;

        /* What nobody has aimed is planned as a whole. */
        if (night->framing[i].re_aims <= 0)
            continue;
        stale |= is_stale(&night->framing[i], since, rig->aimed ? utc : -INFINITY);
        night->framing[i].planned_since = since;
    }
    if (!stale)
        return;
    for (int i = 0; i < night->setup.rig_count; i++) {
        night->framing[i].planned_count = 0;
        begin_aiming(night, i, &aiming[i]);
    }
    for (int first = soonest(night, aiming); first >= 0; first = soonest(night, aiming)) {
        double now = night->rig[first].aimed ? utc : -INFINITY;
        double instant = aim_instant(night, &aiming[first], now);

        for (int i = 0; i < night->setup.rig_count; i++) {
            struct framing *framing = &night->framing[i];

            if (i != first && !(instant >= half_stay(&aiming[i])))
                continue;
            if (framing->planned_count == AIM_STEPS) {
                aiming[i].due_utc = NAN;
                continue;
            }
            framing->planned_utc[framing->planned_count++] = instant;
            aiming[i] = (struct aiming){instant, due_after(night, i, instant)};
        }
    }
}
