/* A round that somebody says is done. */
#include "derive.h"

#include <math.h>
#include <stdio.h>

/* A round that has come may be meant for so long, a coming one from so long before. */
#define LATE_S 300.0
#define EARLY_S 900.0
/* The key pressed again so soon means no round that is not yet told. */
#define AGAIN_S 30.0

/* The round of settings that has come and may still be meant: up to half way to the next one, at
 * least for as long as it is told. -1: none. */
static int late_round(const struct rounds *rounds, double utc)
{
    int last = -1;

    while (last + 1 < rounds->count && rounds->round[last + 1].utc <= utc)
        last++;
    for (int i = last > 0 ? last - 1 : 0; i <= last; i++) {
        double begins = rounds->round[i].utc;
        double next = i + 1 < rounds->count ? rounds->round[i + 1].utc : INFINITY;
        double told_s = round_told_until(rounds, i) - begins;

        if (utc - begins < fmax(told_s, fmin(LATE_S, (next - begins) / 2)))
            return i;
    }
    return -1;
}

/* The round that is meant; its jobs at the rigs by bits. */
static bool meant_round(const struct night *night, double utc, struct agenda_round *meant)
{
    const struct rounds *rounds = &night->rounds;
    const struct agenda *agenda = &night->agenda;
    int late = late_round(rounds, utc), first = 0;

    while (first < agenda->count && agenda->round[first].utc <= utc - PRESSING_S)
        first++;
    bool other = first < agenda->count &&
                 (late < 0 || agenda->round[first].utc <= rounds->round[late].utc + 1);
    if (other) {
        *meant = agenda->round[first];
        return meant->utc - utc <= EARLY_S;
    }
    if (late < 0)
        return false;
    *meant = (struct agenda_round){.utc = rounds->round[late].utc, .setting = late};
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        if (rounds->round[late].touched[rig])
            meant->jobs[rig] = 1U << JOB_SETTING;
    return true;
}

static double last_done_utc(const struct night *night)
{
    return night->replan.done ? night->replan.utc : NAN;
}

/* What is done at one rig; how many acts. */
static int done_at(const struct night *night, const struct moment *moment,
                   const struct agenda_round *round, int rig, struct act *acts)
{
    const struct job *aim = hands_job(&moment->hands, JOB_AIM, rig);
    bool aims = round->jobs[rig] & 1U << JOB_AIM || (aim && aim->state <= JOB_PRESSING);
    struct act plain = {.utc = moment->utc, .boot_s = NAN, .rig = rig};
    int count = 0;

    if (round->setting >= 0 && round->jobs[rig] & 1U << JOB_SETTING)
        acts[count++] =
            setting_act(&night->rounds.round[round->setting].exposure[rig], rig, moment->utc);
    if (aims && isfinite(advised_place(&moment->rig[rig]).x))
        acts[count++] = advised_aim(&moment->rig[rig], rig);
    for (int kind = JOB_BATTERY; kind <= JOB_CARD; kind++)
        if (round->jobs[rig] & 1U << kind) {
            plain.kind = kind == JOB_BATTERY ? ACT_BATTERY : ACT_CARD;
            acts[count++] = plain;
        }
    return count;
}

/* Somebody has looked at the glass. */
static struct act glance_act(const struct night *night, const struct agenda_round *round,
                             double utc)
{
    struct act act = {.utc = utc, .boot_s = NAN, .kind = ACT_GLASS, .rig = -1};

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
    if (round.utc > moment->utc && moment->utc - last_done_utc(night) < AGAIN_S)
        return fault_set(fault, "that round is done; the next one is %.0f s away",
                         round.utc - moment->utc) +
               1;
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        count += done_at(night, moment, &round, rig, acts + count);
    if (round_has_glance(&round))
        acts[count++] = glance_act(night, &round, moment->utc);
    acts[count] = (struct act){.utc = moment->utc,
                               .boot_s = NAN,
                               .kind = ACT_ROUND,
                               .rig = -1,
                               .value = {round.utc, count}};
    return count + 1;
}
