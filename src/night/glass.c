/* The glance at the glass: it rides on a round that comes by anyway, and is no walk of its own. */
#include "derive.h"

#include <math.h>
#include <string.h>

/* It is done so much sooner if a round comes by then: common practice, no source. */
#define GLANCE_SOONER_S 600.0

bool asks_for_glass(const struct night *night, int item)
{
    static const char id[] = "glass";

    return strncmp(night->setup.checklist.item[item].id, id, strlen(id)) == 0;
}

bool dew_is_likely(const struct air *air)
{
    return isfinite(air->margin_c) && air->advice >= AIR_HEAT;
}

bool rig_is_heated(const struct rig_state *rig)
{
    if (rig->heater_told)
        return rig->heater_on;
    return rig->rig.heater || rig->rig.power.heater_w > 0;
}

/* When dew asks for the next look; NaN: not as far as is known at `now`. */
static double dew_due_utc(const struct night *night, double now)
{
    struct air_choice choice;
    struct air air;

    if (!isfinite(now))
        return NAN;
    air_choose(air_log_last(&night->air_log), &night->forecast, now, &choice);
    air_assess(choice.temperature_c, choice.humidity_percent, night->setup.glass_cooling_c, &air);
    if (!dew_is_likely(&air))
        return NAN;
    return night->glass_utc <= now ? fmax(now, night->glass_utc + GLASS_QUIET_S) : now;
}

static bool is_looked_at(const struct night *night, int rig, double utc)
{
    return !rig_is_heated(&night->rig[rig]) && utc < night->rig[rig].ends_utc;
}

bool round_has_glance(const struct agenda_round *round)
{
    for (int i = 0; i < RIGS; i++)
        if (round->jobs[i] & 1U << JOB_GLASS)
            return true;
    return false;
}

/* With the last round up to when it is due; one that is due waits a while for a round. */
static void add_glance(const struct night *night, struct agenda *agenda, struct span within,
                       int item)
{
    for (int i = agenda->count; i-- > 0 && agenda->round[i].utc >= within.from;) {
        struct agenda_round round = agenda->round[i];
        double next = i + 1 < agenda->count ? agenda->round[i + 1].utc : INFINITY;

        for (int rig = 0; rig < night->setup.rig_count; rig++)
            if (is_looked_at(night, rig, round.utc))
                round.jobs[rig] |= 1U << JOB_GLASS;
        agenda_divide(night, &round);
        /* It is over before the next one, and before the minute around a contact. */
        if (round.utc > within.to || round.utc + round.work_s > free_until(night, round.utc, next))
            continue;
        round.item = item >= 0 ? item : round.item;
        agenda->round[i] = round;
        return;
    }
}

static struct span window_of(double due, double utc)
{
    /* What is overdue stands at `utc` itself: that is no round that comes by. */
    return (struct span){fmax(utc + 1, due - GLANCE_SOONER_S),
                         fmax(due, utc + PRESSING_S + GLANCE_WAITS_S)};
}

void glances_plan(const struct night *night, double utc, struct agenda *agenda)
{
    double due = dew_due_utc(night, utc + PRESSING_S);
    struct span within = window_of(due, utc);

    for (int i = 0; i < night->setup.checklist.count; i++)
        if (asks_for_glass(night, i) && isnan(night->checked_utc[i]) && item_applies(night, i) &&
            item_due_utc(night, i) > utc - GLASS_QUIET_S)
            add_glance(night, agenda, window_of(item_due_utc(night, i), utc), i);
    /* One of the list in that time answers for it. */
    const struct agenda_round *planned = glance_next(agenda, within.from - 1);
    if (isfinite(due) && !(planned && planned->utc <= within.to))
        add_glance(night, agenda, within, -1);
}

const struct agenda_round *glance_next(const struct agenda *agenda, double utc)
{
    for (int i = 0; i < agenda->count; i++)
        if (agenda->round[i].utc > utc && round_has_glance(&agenda->round[i]))
            return &agenda->round[i];
    return NULL;
}

bool glance_rides(const struct night *night, int item, double utc)
{
    for (int i = 0; i < night->agenda.count; i++)
        if (night->agenda.round[i].utc > utc && night->agenda.round[i].item == item &&
            round_has_glance(&night->agenda.round[i]))
            return true;
    return false;
}
