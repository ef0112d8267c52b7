/* The rounds of the hands: what falls together is one walk. Settings set the pace (rounds.c), re-aims
 * are planned into their rounds (re_aim.c), batteries and cards go with the round before them. */
#include "derive.h"

#include <moonstand/agenda.h>

#include <math.h>

/* A battery or a card goes with a round that comes so much sooner. */
#define SWAP_SOONER_S 900.0

/* The round at an instant, a new one if need be; null: no room. */
static struct agenda_round *round_at(struct agenda *agenda, double utc)
{
    int at = agenda->count;

    while (at > 0 && agenda->round[at - 1].utc > utc + SAME_S)
        at--;
    if (at > 0 && agenda->round[at - 1].utc > utc - SAME_S)
        return &agenda->round[at - 1];
    if (agenda->count == AGENDA)
        return NULL;
    for (int i = agenda->count++; i > at; i--)
        agenda->round[i] = agenda->round[i - 1];
    agenda->round[at] = (struct agenda_round){.utc = utc, .setting = -1, .item = -1};
    return &agenda->round[at];
}

/* ---- two hands, or four ---- */

double job_takes_s(const struct night *night, enum job_kind kind)
{
    const double *takes_s = night->setup.hands_s;

    switch (kind) {
    case JOB_AIM:
    case JOB_FLIP:
    case JOB_FIRST_AIM:
        return takes_s[HANDS_AIM];
    case JOB_BATTERY:
        return takes_s[HANDS_BATTERY];
    case JOB_CARD:
        return takes_s[HANDS_CARD];
    case JOB_SETTING:
        return takes_s[HANDS_EXPOSURE];
    default:
        return 0;
    }
}

static double rig_work_s(const struct night *night, const struct agenda_round *round, int rig)
{
    double sum = 0;

    for (int kind = 0; kind < JOB_KINDS; kind++)
        if (round->jobs[rig] & 1U << kind)
            sum += job_takes_s(night, (enum job_kind)kind);
    return sum;
}

/* What one person takes for the rigs of a set: the work and the way from one to the next. */
static double person_work_s(const struct night *night, const struct agenda_round *round,
                            unsigned rigs)
{
    double sum = 0;
    int visited = 0;

    for (int i = 0; i < night->setup.rig_count; i++)
        if (rigs & 1U << i && round->jobs[i])
            sum += rig_work_s(night, round, i) +
                   (visited++ > 0 ? night->setup.hands_s[HANDS_WALK] : 0);
    return sum;
}

/* Of all ways to divide the rigs the one in which the longer of both is the shortest. */
void agenda_divide(const struct night *night, struct agenda_round *round)
{
    unsigned all = (1U << night->setup.rig_count) - 1, best = 0;

    round->work_s = person_work_s(night, round, all);
    for (unsigned second = 1; night->setup.people > 1 && second <= all; second++) {
        double longer =
            fmax(person_work_s(night, round, all & ~second), person_work_s(night, round, second));

        if (longer < round->work_s) {
            round->work_s = longer;
            best = second;
        }
    }
    for (int i = 0; i < night->setup.rig_count; i++)
        round->second[i] = best & 1U << i && round->jobs[i];
}

void agenda_add(const struct night *night, struct agenda *agenda, double utc, enum job_kind kind,
                int rig)
{
    struct agenda_round *round = round_at(agenda, utc);

    if (!round)
        return;
    round->jobs[rig] |= 1U << kind;
    agenda_divide(night, round);
}

/* ---- when there is time ---- */

/* The last instant up to `utc` from which hands work for so long without meeting the minute around a
 * contact. */
static double clear_of_contacts(const struct night *night, double utc, double takes_s)
{
    for (int i = CONTACT_U4; i >= CONTACT_U1; i--) {
        double begins = night->contact_utc[i] - AIM_KEEP_OFF_S;

        if (utc + takes_s > begins && utc < night->contact_utc[i] + AIM_KEEP_OFF_S)
            utc = begins - takes_s;
    }
    return utc;
}

double free_until(const struct night *night, double utc, double next_utc)
{
    double until = next_utc;

    for (int i = CONTACT_U1; i <= CONTACT_U4; i++)
        if (night->contact_utc[i] + AIM_KEEP_OFF_S > utc)
            until = fmin(until, night->contact_utc[i] - AIM_KEEP_OFF_S);
    return until;
}

/* How long slow hands have for more at a round until the next one begins, or a contact's minute. */
static double left_s(const struct night *night, const struct agenda *agenda, int index)
{
    const struct agenda_round *round = &agenda->round[index];
    double next = index + 1 < agenda->count ? agenda->round[index + 1].utc : INFINITY;

    return free_until(night, round->utc, next) - round->utc - round->work_s - HANDS_SLOW_S;
}

bool agenda_has_time(const struct night *night, const struct agenda *agenda, double utc,
                     double takes_s)
{
    for (int i = 0; i < agenda->count; i++)
        if (fabs(agenda->round[i].utc - utc) <= SAME_S)
            return left_s(night, agenda, i) >= takes_s;
    return true;
}

/* The last instant between a round (-1: the begin) and the next one from which slow hands are done by
 * then; NaN: there is none. */
static double alone_after(const struct night *night, const struct agenda *agenda, int index,
                          const struct fit_ask *ask)
{
    double from = ask->from, to = ask->to;

    if (index + 1 < agenda->count)
        to = fmin(to, agenda->round[index + 1].utc - HANDS_SLOW_S - ask->takes_s);
    if (index >= 0)
        from = fmax(from, agenda->round[index].utc + agenda->round[index].work_s + HANDS_SLOW_S);
    to = clear_of_contacts(night, to, ask->takes_s);
    return to >= from ? to : NAN;
}

double agenda_fit(const struct night *night, const struct agenda *agenda, const struct fit_ask *ask)
{
    double alone = NAN, roomiest = ask->to, most_s = -HANDS_SLOW_S;

    for (int i = agenda->count - 1; i >= -1; i--) {
        const struct agenda_round *round = i >= 0 ? &agenda->round[i] : NULL;

        if (round && round->utc > ask->to)
            continue;
        if (isnan(alone) && ask->aim_of < 0)
            alone = alone_after(night, agenda, i, ask);
        if (!round || round->utc < ask->from || (round->utc < ask->gladly && isfinite(alone)))
            break;
        if (round->utc + (ask->aim_of < 0 ? round->work_s : 0) > ask->to ||
            (ask->aim_of >= 0 && !(round->jobs[ask->aim_of] & 1U << JOB_AIM)))
            continue;
        double more_s = left_s(night, agenda, i) - ask->takes_s;
        if (more_s >= 0)
            return round->utc;
        if (more_s > most_s && round->utc >= ask->gladly) {
            most_s = more_s;
            roomiest = round->utc;
        }
    }
    return isfinite(alone) ? alone : roomiest;
}

/* When a swap is done that is planned for `utc`. One that costs the aim comes just before the re-aim
 * that it is done with. */
static double with_round(const struct night *night, const struct agenda *agenda, int rig,
                         double from, double utc)
{
    bool costs_aim = swap_costs_aim(night, rig);
    const double *takes_s = night->setup.hands_s;
    struct fit_ask ask = {.from = fmax(from, utc - 2 * SWAP_SOONER_S),
                          .gladly = utc - SWAP_SOONER_S,
                          .to = costs_aim ? utc + SWAP_WAITS_S : utc,
                          .takes_s = fmax(takes_s[HANDS_BATTERY], takes_s[HANDS_CARD]),
                          .aim_of = costs_aim ? rig : -1};
    double instant = agenda_fit(night, agenda, &ask);

    return instant < ask.to ? instant : utc;
}

static void add_swaps(const struct night *night, int rig, double utc, struct agenda *agenda)
{
    const struct swap_plan *plan = &night->power[rig].plan;
    struct card_budget card;

    for (int i = 0; i < plan->count && i < SWAPS; i++)
        if (plan->swap[i].utc >= utc)
            agenda_add(night, agenda, with_round(night, agenda, rig, utc, plan->swap[i].utc),
                       JOB_BATTERY, rig);
    /* What is free was read now; a card that was put in since is as it was put in. */
    double now = fmax(utc + PRESSING_S, night->rig[rig].card_utc);
    if (!rig_card_make(night, rig, now, night->card_free_bytes[rig], &card))
        return;
    double full = card_swap_utc(night, rig, now, card.full_utc);
    if (full >= utc)
        agenda_add(night, agenda, with_round(night, agenda, rig, utc, full), JOB_CARD, rig);
}

/* As they were planned at that time. */
static void add_aims(const struct night *night, int rig, double utc, struct agenda *agenda)
{
    const struct framing *framing = &night->framing[rig];
    bool passed = isfinite(utc) && framing->passed_count > 0 && framing->passed_utc[0] >= utc;
    const double *aims = passed ? framing->passed_utc : framing->planned_utc;

    for (int i = 0; i < (passed ? framing->passed_count : framing->planned_count); i++)
        if (aims[i] >= utc)
            agenda_add(night, agenda, aims[i], JOB_AIM, rig);
}

/* A mount is turned over when that is advised, whatever else is done. */
static void plan_flip(const struct night *night, int rig, double utc, struct agenda *agenda)
{
    const struct framing *framing = &night->framing[rig];

    if (framing->flips && isnan(night->rig[rig].flipped_utc) && framing->flip.advised_utc >= utc)
        agenda_add(night, agenda, framing->flip.advised_utc, JOB_FLIP, rig);
}

static bool breaks_into_contact(const struct night *night, const struct agenda_round *round)
{
    for (int i = CONTACT_U1; i <= CONTACT_U4; i++) {
        double begins = night->contact_utc[i] - AIM_KEEP_OFF_S;

        if (round->utc <= begins && round->utc + round->work_s > begins + SAME_S)
            return true;
    }
    return false;
}

bool agenda_is_off(const struct night *night, const struct agenda_round *round, int rig)
{
    return round->setting >= 0 && night->rounds.round[round->setting].worst_stops[rig] >
                                      night->rig[rig].rig.tolerance_stops + 1e-6;
}

static bool is_too_fast(const struct night *night, const struct agenda_round *round)
{
    for (int i = 0; i < night->setup.rig_count; i++)
        if (agenda_is_off(night, round, i))
            return true;
    return false;
}

void agenda_settings(const struct night *night, double utc, struct agenda *agenda)
{
    const struct rounds *rounds = &night->rounds;

    agenda->count = 0;
    for (int i = 0; i < rounds->count; i++) {
        struct agenda_round *round =
            rounds->round[i].utc >= utc ? round_at(agenda, rounds->round[i].utc) : NULL;

        if (!round)
            continue;
        round->setting = i;
        for (int rig = 0; rig < night->setup.rig_count; rig++)
            if (rounds->round[i].touched[rig])
                round->jobs[rig] |= 1U << JOB_SETTING;
        agenda_divide(night, round);
    }
}

void agenda_make(const struct night *night, double utc, struct agenda *agenda)
{
    agenda_settings(night, utc, agenda);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        plan_flip(night, rig, utc, agenda);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        add_aims(night, rig, utc, agenda);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        add_swaps(night, rig, utc, agenda);
    for (int i = 0; i < agenda->count; i++) {
        struct agenda_round *round = &agenda->round[i];
        double next = i + 1 < agenda->count ? agenda->round[i + 1].utc : INFINITY;

        round->fast = is_too_fast(night, round);
        round->late =
            round->utc + round->work_s > next + SAME_S || breaks_into_contact(night, round);
    }
    glances_plan(night, utc, agenda);
}

const struct agenda_round *agenda_next(const struct agenda *agenda, enum job_kind kind, int rig,
                                       double utc)
{
    for (int i = 0; i < agenda->count; i++)
        if (agenda->round[i].utc >= utc && agenda->round[i].jobs[rig] & 1U << kind)
            return &agenda->round[i];
    return NULL;
}

const struct exposure *round_setting(const struct night *night, const struct agenda_round *round,
                                     int rig)
{
    bool sets = round->jobs[rig] & 1U << JOB_SETTING;

    return sets ? &night->rounds.round[round->setting].exposure[rig] : NULL;
}

int agenda_count(const struct agenda *agenda, double from, double to)
{
    int count = 0;

    for (int i = 0; i < agenda->count; i++)
        count += agenda->round[i].utc > from && agenda->round[i].utc <= to;
    return count;
}
