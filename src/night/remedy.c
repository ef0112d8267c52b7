/* Times with more jobs than hands, and what helps against them: found by planning again. */
#include "derive.h"

#include <moonstand/agenda.h>

#include <math.h>
#include <stdlib.h>

/* A tolerance that a raw file still takes: common practice, no source. */
#define COARSER_STOPS 1.0
/* The Moon may come so close to the frame's edge. */
#define CLOSER_MARGIN 0.02
/* Rounds with too much to do belong to one time if no quiet round this long lies between them. */
#define TOGETHER_S 600.0

/* When the hands are done, and where settings run out of a tolerance, when those rigs are set anew. */
static double ends_utc(const struct night *night, const struct agenda *agenda, int round)
{
    const struct agenda_round *at = &agenda->round[round];
    double end = at->utc + at->work_s;

    for (int rig = 0; rig < night->setup.rig_count; rig++)
        for (int i = round + 1; agenda_is_off(night, at, rig) && i < agenda->count; i++)
            if (agenda->round[i].jobs[rig] & 1U << JOB_SETTING) {
                end = fmax(end, agenda->round[i].utc + agenda->round[i].work_s);
                break;
            }
    return end;
}

static double worst_of(const struct night *night, const struct agenda_round *round)
{
    double worst = 0;

    for (int i = 0; round->setting >= 0 && i < night->setup.rig_count; i++)
        worst = fmax(worst, night->rounds.round[round->setting].worst_stops[i]);
    return worst;
}

int agenda_overloads(const struct night *night, const struct agenda *agenda,
                     struct overload overload[OVERLOADS])
{
    int count = 0;

    for (int i = 0; i < agenda->count; i++) {
        const struct agenda_round *round = &agenda->round[i];
        struct overload *last = count > 0 ? &overload[count - 1] : NULL;

        if (!round->late && !round->fast)
            continue;
        if (!last || round->utc - last->utc_to > TOGETHER_S) {
            if (count == OVERLOADS)
                return count;
            last = &overload[count++];
            *last = (struct overload){.utc_from = round->utc};
        }
        last->utc_to = fmax(last->utc_to, ends_utc(night, agenda, i));
        last->rounds++;
        last->worst_stops = fmax(last->worst_stops, worst_of(night, round));
    }
    return count;
}

/* ---- remedies ---- */

/* What a remedy leaves of the trouble. */
static void count_left(const struct night *night, struct agenda *agenda, struct remedy *remedy)
{
    agenda_make(night, -INFINITY, agenda);
    remedy->overloaded = 0;
    for (int i = 0; i < agenda->count; i++)
        remedy->overloaded += agenda->round[i].late || agenda->round[i].fast;
    remedy->rounds = agenda->count;
}

static bool leaves_less(const struct remedy *a, const struct remedy *b)
{
    if (a->overloaded != b->overloaded)
        return a->overloaded < b->overloaded;
    return a->rounds < b->rounds;
}

/* Whether a remedy applies to a rig, and then applies it; one for all rigs is applied with rig 0. */
static bool apply(struct night *night, struct remedy *remedy)
{
    struct rig *rig = &night->rig[remedy->rig < 0 ? 0 : remedy->rig].rig;
    bool re_aimed = remedy->rig >= 0 && night->framing[remedy->rig].re_aims > 0;

    switch (remedy->kind) {
    case REMEDY_BRACKET:
        if (rig->target == TARGET_BRACKET || rig->remote_exposure)
            return false;
        rig->target = TARGET_BRACKET;
        return true;
    case REMEDY_TOLERANCE:
        remedy->value = COARSER_STOPS;
        for (int i = 0; i < night->setup.rig_count; i++)
            night->rig[i].rig.tolerance_stops =
                fmax(night->rig[i].rig.tolerance_stops, COARSER_STOPS);
        return true;
    case REMEDY_TURN:
        rig->portrait = !rig->portrait;
        return re_aimed;
    case REMEDY_MARGIN:
        remedy->value = CLOSER_MARGIN;
        if (!re_aimed || rig->margin <= CLOSER_MARGIN)
            return false;
        rig->margin = CLOSER_MARGIN;
        return true;
    case REMEDY_SECOND:
        night->setup.people++;
        return night->setup.people == 2;
    case REMEDY_NONE:
        break;
    }
    return false;
}

/* One remedy, on a copy of the night. */
static bool try_one(const struct night *night, struct night *copy, struct remedy *remedy)
{
    *copy = *night;
    if (!apply(copy, remedy))
        return false;
    copy->stale = STALE_FRAMING;
    copy->advice_utc = NAN;
    night_follow(copy, night->contact_utc[CONTACT_P1]);
    count_left(copy, &copy->agenda, remedy);
    if (remedy->kind == REMEDY_BRACKET) {
        remedy->value = copy->shooting[remedy->rig].longest_bracket;
        remedy->step_stops = rig_bracket_step(&copy->rig[remedy->rig].rig);
    }
    return true;
}

int remedy_find(const struct night *night, struct remedy *remedy)
{
    struct night *copy = malloc(sizeof *copy);

    *remedy = (struct remedy){.kind = REMEDY_NONE, .rig = -1};
    if (!copy)
        return -1;
    count_left(night, &copy->agenda, remedy);
    for (int kind = REMEDY_BRACKET; kind <= REMEDY_SECOND; kind++) {
        bool all = kind == REMEDY_TOLERANCE || kind == REMEDY_SECOND;

        for (int rig = all ? -1 : 0; rig < (all ? 0 : night->setup.rig_count); rig++) {
            struct remedy tried = {.kind = (enum remedy_kind)kind, .rig = rig};

            if (try_one(night, copy, &tried) && leaves_less(&tried, remedy))
                *remedy = tried;
        }
    }
    free(copy);
    return 0;
}
