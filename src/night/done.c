/* A round that somebody says is done. */
#include "derive.h"

#include <math.h>
#include <stdio.h>

/* A coming round may be meant from so long before. */
#define EARLY_S 900.0
/* The key pressed again so soon means no round that is not yet told. */
#define AGAIN_S 30.0

/* Whether a round that has come may still be meant: up to half way to the next one, of settings to the next
 * of those, at least for as long as it is told. */
static bool is_still_meant(const struct night *night, const struct agenda *agenda, int index, double utc)
{
    const struct agenda_round *round = &agenda->round[index];
    double told_s = PRESSING_S, next = INFINITY;

    for (int i = agenda->count - 1; i > index; i--)
        if (round->setting < 0 || agenda->round[i].setting >= 0)
            next = agenda->round[i].utc;
    if (round->setting >= 0)
        told_s = round_told_until(&night->rounds, round->setting) - round->utc;
    return utc - round->utc < fmax(told_s, fmin(MEANT_S, (next - round->utc) / 2));
}

/* The round that is meant: the first that has come and may be, with all that was told of it by then, else the
 * next one. */
static bool meant_round(const struct night *night, double utc, struct agenda_round *meant)
{
    struct agenda agenda;
    double from = utc;
    int i = 0;

    agenda_make(night, utc - MEANT_S, &agenda);
    while (i < agenda.count && agenda.round[i].utc <= utc &&
           !is_still_meant(night, &agenda, i, utc))
        i++;
    if (i < agenda.count)
        from = fmin(from, agenda.round[i].utc);
    agenda_make(night, from - PRESSING_S, &agenda);
    for (i = 0; i < agenda.count && agenda.round[i].utc < from - SAME_S;)
        i++;
    if (i < agenda.count)
        *meant = agenda.round[i];
    return i < agenda.count && meant->utc - utc <= EARLY_S;
}

/* What is done at one rig; how many acts. */
static int done_at(const struct night *night, const struct moment *moment,
                   const struct agenda_round *round, int rig, struct act *acts)
{
    const struct exposure *set = round_setting(night, round, rig);
    const struct job *aim = hands_job(&moment->hands, JOB_AIM, rig);
    /* One that presses but is of the next round is left to that. */
    bool aims = round->jobs[rig] & 1U << JOB_AIM ||
                (aim && aim->state <= JOB_PRESSING && aim->utc <= moment->utc);
    int count = 0;

    if (set)
        acts[count++] = setting_act(set, rig);
    if (aims && isfinite(advised_place(&moment->rig[rig]).x))
        acts[count++] = advised_aim(&moment->rig[rig], rig);
    if (round->jobs[rig] & 1U << JOB_FLIP)
        acts[count++] = (struct act){.kind = ACT_FLIP, .rig = rig};
    if (round->jobs[rig] & 1U << JOB_BATTERY)
        acts[count++] = (struct act){.kind = ACT_BATTERY, .rig = rig};
    if (round->jobs[rig] & 1U << JOB_CARD)
        acts[count++] = (struct act){.kind = ACT_CARD, .rig = rig};
    return count;
}

/* Somebody has looked at the glass. */
static struct act glance_act(const struct night *night, const struct agenda_round *round)
{
    struct act act = {.kind = ACT_GLASS, .rig = -1};

    if (round->item < 0)
        return act;
    act.kind = ACT_CHECK;
    act.value[0] = 1;
    (void)snprintf(act.text, sizeof act.text, "%s", night->setup.checklist.item[round->item].id);
    return act;
}

int round_done(const struct night *night, const struct moment *moment, struct act acts[ROUND_ACTS],
               struct fault *fault)
{
    struct agenda_round round;
    int count = 0;

    if (!meant_round(night, moment->utc, &round))
        return fault_set(fault, "no round within %.0f minutes", EARLY_S / 60) + 1;
    if (round.utc > moment->utc && night->replan.done && moment->utc - night->replan.utc < AGAIN_S)
        return fault_set(fault, "that round is done; the next one is %.0f s away",
                         round.utc - moment->utc) +
               1;
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        count += done_at(night, moment, &round, rig, acts + count);
    if (round_has_glance(&round))
        acts[count++] = glance_act(night, &round);
    acts[count] = (struct act){.kind = ACT_ROUND, .rig = -1, .value = {round.utc, count}};
    return count + 1;
}
