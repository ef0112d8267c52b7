/* When the hands set cameras: the fewest rounds that keep every rig within its tolerance.
 *
 * All ways of cutting the night are weighed, from its begin on (dynamic programming over the instant
 * of the last round): first by how far settings are off beyond the tolerance, added up, then by the
 * number of rounds. Rounds keep off the minutes around the contacts and come no closer than hands
 * can follow; where the light runs faster than that, the tolerance is broken, and by how much is
 * said. Each rig is then touched at as few of the rounds as can be: every part of a span that one
 * setting serves is such a span itself, so that the latest change is the best one.
 *
 * What is asked for is in thirds of a stop, as the dial has them, at samples some seconds
 * apart. A bracket needs a stretch of them and covers one: its frames reach as far to either side of
 * the one that is dialled as the light of the span asks for at its widest, never further. */
#include "derive.h"

#include <moonstand/pages.h>
#include <moonstand/series.h>

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#define ROUND_STEP_S 15.0
/* Nobody is told of a round for longer than that: by then slow hands are done, or it is forgotten; and the
 * next one is said so long ahead. */
#define TOLD_S 120.0
#define SAID_AHEAD_S 20.0
enum { PER_SAMPLE = 2 }; /* steps between two samples of the run */
#define NEARLY 1e-9      /* of a third */
enum { SOON = 20 };      /* steps: five minutes of peace, if that costs nothing */
#define AT_ONCE 0.5 /* of a third: nobody is sent at once for less, if the next round is near */

/* What one setting has to serve, and how far its frames reach to either side: thirds of a stop. With
 * slack the least may be more than the most: all between them serves without any tolerance. */
struct range {
    double least, most, reach;
    double held; /* the setting itself where it is there already; NaN: to be chosen */
};

static const struct range nothing = {INFINITY, -INFINITY, 0, NAN};

/* What a rig's dial, as it is found, has to serve: nothing yet. */
static struct range found(const struct rounds_ask *ask, int rig)
{
    struct range range = nothing;

    if (ask->dial && isfinite(ask->dial[rig].third)) {
        range.held = ask->dial[rig].third;
        range.reach = ask->dial[rig].reach;
    }
    return range;
}

/* Samples [from, to). */
struct stretch {
    int from, to;
};

/* What one sample needs: it stands for what is wanted up to the next one. */
static struct range need_of(const struct rounds_ask *ask, int rig, int sample)
{
    const double *wanted = &ask->wanted[rig][sample];
    double next = sample + 1 < ask->count && !isnan(wanted[1]) ? wanted[1] : wanted[0];
    double reach = ask->reach[rig] ? ask->reach[rig][sample] : 0;
    double more = reach - (ask->slack[rig] ? ask->slack[rig][sample] : 0);

    if (isnan(wanted[0]))
        return nothing;
    return (struct range){(wanted[0] < next ? wanted[0] : next) - more,
                          (wanted[0] < next ? next : wanted[0]) + more, reach, NAN};
}

/* False if the range has room for the need. */
static bool widen(struct range *range, const struct range *need)
{
    if (need->least >= range->least && need->most <= range->most && need->reach <= range->reach)
        return false;
    range->least = need->least < range->least ? need->least : range->least;
    range->most = need->most > range->most ? need->most : range->most;
    if (isnan(range->held) && need->reach > range->reach)
        range->reach = need->reach;
    return true;
}

/* The whole third that is nearest to the middle of what it has to serve. */
static double best_third(const struct range *range)
{
    return isnan(range->held) ? floor((range->least + range->most) / 2 + 0.5) : range->held;
}

/* By how much the best whole third is off beyond the tolerance; 0: it serves all. */
static inline double excess(const struct range *range, double tolerance)
{
    double third, off;

    /* The next whole third is never further off: most ranges need no look for it. */
    if (isnan(range->held) && (range->most - range->least) / 2 + 0.5 <= range->reach + tolerance)
        return 0;
    third = best_third(range);
    off = fmax(range->most - third, third - range->least) - range->reach - tolerance;
    return off > NEARLY ? off : 0;
}

/* The best way of cutting up to a sample, which is its last round. */
struct cut {
    double excess;
    int rounds;
    bool soon; /* what is found is changed soon */
    int from;  /* the round before; -1: none */
};

static bool is_better(const struct cut *a, const struct cut *b)
{
    if (fabs(a->excess - b->excess) > NEARLY)
        return a->excess < b->excess;
    return a->rounds != b->rounds ? a->rounds < b->rounds : a->soon < b->soon;
}

/* Whether a round may follow one at `from` (-1: what was found). Who asks for a change is at the
 * camera: the first round may come at once. */
static bool may_be_round(const struct rounds_ask *ask, int from, int sample)
{
    if (from < 0 && sample == ask->from)
        return ask->at_once;
    return sample >= (from < 0 ? ask->first : from + ask->apart) &&
           !(ask->kept_off && ask->kept_off[sample]);
}

enum { BLOCK = 8 };

struct weighing {
    const struct rounds_ask *ask;
    struct cut cuts[ROUND_SAMPLES + 1];
    struct range needs[RIGS][ROUND_SAMPLES];
    struct range blocks[RIGS][ROUND_SAMPLES / BLOCK]; /* what whole blocks of samples need */
    /* The round whose setting serves furthest of those tried, and up to where: one after it that is no
     * better by itself is none for any round up to there. */
    int furthest, served;
};

/* Widens the range by a block if it then serves at each of its samples: where the reach stays, what all of
 * them need is the most that is off. */
static bool takes_block(struct range *range, const struct range *block, double tolerance)
{
    struct range all = *range;

    (void)widen(&all, block);
    if (all.reach > range->reach || excess(&all, tolerance) > 0)
        return false;
    *range = all;
    return true;
}

/* Up to which sample a setting made at `from` serves, `last` at most. It stays until `first` in any
 * case, even where it no longer serves: by how much it is off by then. */
static int serves_to(const struct weighing *weighing, int rig, int from, int first, int last,
                     double *off)
{
    const struct rounds_ask *ask = weighing->ask;
    const struct range *needs = weighing->needs[rig];
    struct range range = from < 0 ? found(ask, rig) : nothing;
    double now_off;

    for (int i = from < 0 ? ask->from : from; i < first; i++)
        (void)widen(&range, &needs[i]);
    *off = now_off = excess(&range, ask->tolerance[rig]);
    for (int i = first; i < last; i++) {
        if (i % BLOCK == 0 && i + BLOCK <= last &&
            takes_block(&range, &weighing->blocks[rig][i / BLOCK], ask->tolerance[rig])) {
            i += BLOCK - 1;
            continue;
        }
        if (widen(&range, &needs[i]))
            now_off = excess(&range, ask->tolerance[rig]);
        if (now_off > 0)
            return i;
    }
    return last;
}

/* Tries all next rounds (or the end) after one at `from`, or after what was found (-1). A setting that
 * no longer serves is kept on for as long as it takes to get to another round, no longer. */
static void try_rounds(struct weighing *weighing, int from)
{
    const struct rounds_ask *ask = weighing->ask;
    const struct cut before = from < 0 ? (struct cut){.from = -1} : weighing->cuts[from];
    int first = from < 0 ? ask->from : from + 1, last = ask->count, known = 0;
    double squares = 0;

    while (first < ask->count && !may_be_round(ask, from, first))
        first++;
    for (int rig = 0; rig < ask->rigs; rig++) {
        double off;

        last = serves_to(weighing, rig, from, first, last, &off);
        squares += off * off;
    }
    if (from >= 0 && weighing->served > first &&
        !is_better(&before, &weighing->cuts[weighing->furthest]))
        known = weighing->served;
    for (int to = first; to <= last; to = to < known ? known + 1 : to + 1) {
        struct cut cut = {before.excess + (to == first ? squares : 0),
                          before.rounds + (to < ask->count), before.soon, from};

        if (to < ask->count && !may_be_round(ask, from, to))
            continue;
        if (from < 0 && to < ask->count) {
            cut.excess += to == ask->from ? AT_ONCE : 0;
            cut.soon = ask->dial && to < ask->from + SOON;
        }
        if (is_better(&cut, &weighing->cuts[to]))
            weighing->cuts[to] = cut;
    }
    if (from >= 0 && last > weighing->served) {
        weighing->furthest = from;
        weighing->served = last;
    }
}

int rounds_cut(const struct rounds_ask *ask, int rounds[ROUNDS])
{
    struct weighing *weighing = ask->count > 0 ? malloc(sizeof *weighing) : NULL;
    struct cut *cuts;
    int count;

    if (!weighing)
        return 0;
    weighing->ask = ask;
    weighing->served = 0;
    cuts = weighing->cuts;
    for (int i = 0; i <= ask->count; i++)
        cuts[i] = (struct cut){INFINITY, INT_MAX, true, -1};
    for (int rig = 0; rig < ask->rigs; rig++) {
        struct range *needs =
            pages_fetch(weighing->needs[rig], (size_t)ask->count * sizeof *needs);

        for (int i = 0; i < ask->count; i++) {
            struct range *block = &weighing->blocks[rig][i / BLOCK];

            needs[i] = need_of(ask, rig, i);
            if (i % BLOCK == 0)
                *block = nothing;
            (void)widen(block, &needs[i]);
        }
    }
    try_rounds(weighing, -1);
    for (int i = ask->from; i < ask->count; i++)
        if (isfinite(cuts[i].excess))
            try_rounds(weighing, i);
    count = cuts[ask->count].rounds < ROUNDS ? cuts[ask->count].rounds : ROUNDS;
    for (int at = cuts[ask->count].from, i = cuts[ask->count].rounds; at >= 0; at = cuts[at].from)
        if (--i < ROUNDS)
            rounds[i] = at;
    free(weighing);
    return count;
}

/* ---- the night's rounds ---- */

static bool by_hand(const struct night *night, int rig)
{
    return !night->rig[rig].rig.remote_exposure;
}

double full_round_s(const struct night *night)
{
    const double *takes_s = night->setup.hands_s;
    int rigs = 0, people = night->setup.people;

    for (int i = 0; i < night->setup.rig_count; i++)
        rigs += by_hand(night, i);
    int each = (rigs + people - 1) / people;
    return each * takes_s[HANDS_EXPOSURE] + fmax(each - 1, 0) * takes_s[HANDS_WALK];
}

/* When the light of a sample is; and when a round for it is begun, so that the last camera is set by
 * then. */
static double light_utc(const struct night *night, int sample)
{
    return night->sample[0].utc + ROUND_STEP_S * sample;
}

static double round_utc(const struct night *night, int sample)
{
    return light_utc(night, sample) - full_round_s(night);
}

/* Exposure in thirds of a stop that a rig can and should have: of one frame a number that runs
 * smoothly, what is wanted less what the dial cannot give. */
static double wanted_thirds(const struct exposure *exposure)
{
    if (!exposure->known)
        return NAN;
    if (exposure->target == TARGET_BRACKET)
        return exposure_thirds(exposure);
    return 3 * (2 * log2(exposure->f_number) - exposure->ev100 - exposure->deficit_stops);
}

static double reach_thirds(const struct exposure *exposure)
{
    return 1.5 * exposure->bracket_step_stops * (exposure->bracket_frames - 1);
}

double stops_off(const struct exposure *wanted, const struct exposure *set)
{
    double off = exposure_thirds(set) - wanted_thirds(wanted);
    double more = reach_thirds(set) - reach_thirds(wanted);

    /* Of a bracket only what its frames do not cover. */
    return copysign(fmax(0, fabs(off) - fmax(more, 0)), off) / 3;
}

/* A frame falls into the time of a sample. */
static bool takes_frame(const struct shooting *shooting, double from, double to)
{
    double interval = shooting->interval_s;

    if (!(to >= shooting->utc_from && from <= shooting->utc_to))
        return false;
    return floor((to - shooting->first_utc) / interval) >
           ceil((from - shooting->first_utc) / interval) - 1;
}

/* The sky outshines what the rig is to show. */
static bool is_lost(const struct run *run, double utc)
{
    for (int i = 0; i < run->lost_count; i++)
        if (utc >= run->lost[i].span.from && utc <= run->lost[i].span.to)
            return true;
    return false;
}

/* No setting helps a picture of which the horizon or the mount's end leaves nothing. */
static bool is_shown(const struct night *night, int rig, double utc)
{
    const struct rig *set_up = &night->rig[rig].rig;

    return set_up->support == SUPPORT_FIXED ||
           mount_reaches(&set_up->mount, asin(track_direction(&night->eclipse_track, utc).z));
}

static bool is_wanted(const struct night *night, int rig, const struct span *up, int ups,
                      double utc)
{
    bool is_up = false;

    for (int i = 0; i < ups; i++)
        is_up |= utc >= up[i].from && utc <= up[i].to;
    return is_up && by_hand(night, rig) && is_shown(night, rig, utc) &&
           takes_frame(&night->shooting[rig], utc, utc + ROUND_STEP_S);
}

/* By sample. Between two samples of the run it goes evenly. */
static void find_wanted(const struct night *night, int rig, double *wanted, double *reach,
                        double *slack)
{
    struct span up[UP_SPANS];
    int ups = up_spans_to(night, night->rig[rig].ends_utc, up);
    struct exposure before, after;
    size_t size = (size_t)(PER_SAMPLE * (night->sample_count - 1)) * sizeof *wanted;

    (void)pages_fetch(wanted, size);
    (void)pages_fetch(reach, size);
    (void)pages_fetch(slack, size);
    run_exposure(night, rig, &night->sample[0], 0, &after);
    for (int i = 0; i + 1 < night->sample_count; i++) {
        before = after;
        run_exposure(night, rig, &night->sample[i + 1], 0, &after);
        double from = wanted_thirds(&before), to = wanted_thirds(&after);
        bool bracket = before.bracket_frames > 1 || after.bracket_frames > 1;

        for (int j = 0; j < PER_SAMPLE; j++) {
            int sample = PER_SAMPLE * i + j;
            double utc = light_utc(night, sample);
            bool wants = is_wanted(night, rig, up, ups, utc);

            wanted[sample] = wants ? from + (bracket ? 0 : (to - from) * j / PER_SAMPLE) : NAN;
            reach[sample] = before.known ? reach_thirds(&before) : 0;
            slack[sample] = is_lost(&night->run[rig], utc) ? 3 * LOST_SLACK_STOPS : 0;
        }
    }
}

/* Two people can take turns. */
static int samples_apart(const struct night *night)
{
    return (int)ceil(fmax(ROUND_APART_S / night->setup.people, full_round_s(night)) / ROUND_STEP_S);
}

/* A round is over before the minute around a contact begins. */
static void find_kept_off(const struct night *night, int count, bool kept_off[ROUND_SAMPLES])
{
    double work_s = full_round_s(night);

    for (int i = 0; i < count; i++) {
        double utc = round_utc(night, i);

        kept_off[i] = false;
        for (int c = CONTACT_U1; c <= CONTACT_U4; c++)
            kept_off[i] |= utc > night->contact_utc[c] - AIM_KEEP_OFF_S - work_s &&
                           utc < night->contact_utc[c] + AIM_KEEP_OFF_S;
    }
}

/* The sample between two whose frames reach as far as any there and whose own choice is nearest to
 * that third. -1: no frame is taken. */
static int sample_of(const struct rounds_ask *ask, int rig, struct stretch span, double third)
{
    const double *wanted = ask->wanted[rig], *reach = ask->reach[rig];
    int best = -1;

    for (int i = span.from; i < span.to; i++) {
        if (isnan(wanted[i]) || (best >= 0 && reach[i] < reach[best]))
            continue;
        if (best < 0 || reach[i] > reach[best] ||
            fabs(wanted[i] - third) < fabs(wanted[best] - third))
            best = i;
    }
    return best;
}

/* What a rig has on its dial from the instant on at which the rounds were planned again; not known:
 * it is to be set as is best from then on. A test frame that looked right is on it. */
static void find_dial(const struct night *night, int rig, struct exposure *exposure)
{
    const struct replan *replan = &night->replan;
    const struct dial *dial = &replan->dial[rig];
    struct run_sample sample;

    run_sample_at(night, &night->light, replan->utc, &sample);
    run_exposure(night, rig, &sample, 0, exposure);
    if (!exposure->known || !dial->known) {
        exposure->known = false;
        return;
    }
    double wanted = wanted_thirds(exposure);
    if (replan->pinned && rig == replan->rig) {
        run_exposure(night, rig, &sample, (floor(wanted + 0.5) - wanted) / 3, exposure);
        return;
    }
    int more_thirds = rig == replan->rig ? replan->more_thirds : 0;
    int thirds = dial->shutter + dial->iso + more_thirds;
    run_exposure(night, rig, &sample, (thirds - wanted) / 3, exposure);
    exposure->bracket_frames = dial->frames;
    if (dial->frames > 1 || more_thirds)
        return;
    exposure->blur_px *= shutter_seconds(dial->shutter) / exposure->shutter_s;
    exposure->shutter_s = shutter_seconds(dial->shutter);
    exposure->shutter = exposure->shutter_last = dial->shutter;
    exposure->iso = exposure->iso_last = dial->iso;
}

/* Has a rig set for a range at a round (-1: before the first frame), if that changes its dial. */
static void set_rig(const struct night *night, int rig, int sample, const struct range *range,
                    int round, struct rounds *rounds)
{
    const struct run_sample *at = &night->sample[sample / PER_SAMPLE];
    double third = best_third(range);
    double off = fmax(range->most - third, third - range->least) - range->reach;
    double worst = fmax(off, 0) / 3;
    const struct exposure *before;
    struct exposure exposure;

    rounds->worst_stops = fmax(rounds->worst_stops, worst);
    if (isfinite(range->held))
        return;
    run_exposure(night, rig, at, 0, &exposure);
    run_exposure(night, rig, at, (third - wanted_thirds(&exposure)) / 3, &exposure);
    if (round >= 0)
        rounds->round[round].worst_stops[rig] = worst;
    if (round < 0 || rounds->set_count[rig] == 0) {
        rounds->begins[rig] = exposure;
        rounds->set_count[rig] = 1;
        return;
    }
    before = rounds_now(rounds, rig, rounds->round[round].utc);
    if (before && exposure_same_dial(before, &exposure))
        return;
    rounds->round[round].touched[rig] = true;
    rounds->round[round].exposure[rig] = exposure;
    rounds->set_count[rig]++;
    rounds->settings++;
}

/* The settings of one rig: at as few of the rounds as can be. */
static void touch_rig(const struct night *night, const struct rounds_ask *ask, const int at[ROUNDS],
                      int rig, struct rounds *rounds)
{
    int from = ask->from;

    for (int first = -1; first < rounds->count;) {
        struct range range = first < 0 ? found(ask, rig) : nothing;
        int next = first, end = from, chosen;

        /* As many spans between rounds as one setting serves, at least one. */
        do {
            struct range tried = range;
            int to = next + 1 < rounds->count ? at[next + 1] : ask->count;

            for (int i = end; i < to; i++) {
                struct range need = need_of(ask, rig, i);

                (void)widen(&tried, &need);
            }
            if (next > first && excess(&tried, ask->tolerance[rig]) > 0)
                break;
            range = tried;
            end = to;
            next++;
        } while (next < rounds->count);
        chosen = sample_of(ask, rig, (struct stretch){from, end}, best_third(&range));
        if (chosen >= 0)
            set_rig(night, rig, chosen, &range, first, rounds);
        first = next;
        from = end;
    }
}

/* Rounds at which nothing is to be dialled are none. */
static void drop_empty(struct rounds *rounds)
{
    int kept = 0;

    for (int i = 0; i < rounds->count; i++) {
        bool touched = false;

        for (int rig = 0; rig < RIGS; rig++)
            touched |= rounds->round[i].touched[rig];
        if (touched)
            rounds->round[kept++] = rounds->round[i];
    }
    rounds->count = kept;
}

/* What each rig is to have when: by round; what no hand sets follows the light. */
static void find_steps(struct night *night, const struct rounds *rounds, int rig)
{
    const struct exposure *begins = &rounds->begins[rig];
    struct run *step = &night->step[rig];

    *step = night->run[rig];
    if (!begins->known)
        return;
    step->count = 1;
    step->segment[0] = (struct segment){night->sample[0].utc, night->rig[rig].ends_utc, *begins};
    for (int i = 0; i < rounds->count && step->count < SEGMENTS; i++) {
        if (!rounds->round[i].touched[rig])
            continue;
        step->segment[step->count] = (struct segment){
            rounds->round[i].utc, night->rig[rig].ends_utc, rounds->round[i].exposure[rig]};
        step->segment[step->count - 1].utc_to = rounds->round[i].utc;
        step->count++;
    }
}

/* What rounds are asked for in a night, with what the ask points to. */
struct wants {
    double wanted[RIGS][ROUND_SAMPLES], reach[RIGS][ROUND_SAMPLES], slack[RIGS][ROUND_SAMPLES];
    bool kept_off[ROUND_SAMPLES];
    struct found_dial dial[RIGS];
    struct rounds_ask ask;
};

/* The sample whose light is that of an instant, or the one before it. */
static int sample_at(const struct night *night, double utc)
{
    return (int)fmax(0, floor((utc - night->sample[0].utc) / ROUND_STEP_S));
}

/* From where rounds are looked for, and what is on the dials there: after an act that changed what is
 * asked for, or a round that was told to be done. */
static void wants_from(const struct night *night, struct rounds *rounds, struct wants *wants)
{
    const struct replan *replan = &night->replan;
    struct rounds_ask *ask = &wants->ask;
    double end = night->sample[night->sample_count - 1].utc;

    ask->first = ask->apart;
    if (!(replan->utc > night->sample[0].utc && replan->utc < end))
        return;
    double work_s = full_round_s(night);
    /* What has light sooner no hand can change any more. */
    ask->from = sample_at(night, fmin(fmax(replan->utc, replan->planned_utc) + work_s, end));
    ask->at_once = replan->asks;
    ask->first = sample_at(night, replan->utc + work_s) + 1;
    double busy_utc = fmax(replan->done ? replan->utc : NAN, replan->set_utc);
    if (isfinite(busy_utc)) {
        int free = sample_at(night, busy_utc + work_s) + ask->apart + 1;
        ask->first = free > ask->first ? free : ask->first;
    }
    ask->dial = wants->dial;
    for (int rig = 0; rig < ask->rigs; rig++) {
        struct exposure *dial = &rounds->begins[rig];

        dial->known = false;
        if (by_hand(night, rig))
            find_dial(night, rig, dial);
        wants->dial[rig] = (struct found_dial){NAN, 0};
        if (!dial->known)
            continue;
        wants->dial[rig] = (struct found_dial){exposure_thirds(dial), reach_thirds(dial)};
        rounds->set_count[rig] = 1;
    }
}

/* Too large for a stack that never shrinks. NULL if nothing of the eclipse has been sampled, or no
 * memory is left; the caller frees it. */
static struct wants *wants_make(const struct night *night)
{
    struct wants *wants = night->sample_count < 2 ? NULL : malloc(sizeof *wants);

    if (!wants)
        return NULL;
    wants->ask = (struct rounds_ask){.count = PER_SAMPLE * (night->sample_count - 1),
                                     .rigs = night->setup.rig_count,
                                     .kept_off = wants->kept_off,
                                     .apart = samples_apart(night)};
    for (int rig = 0; rig < wants->ask.rigs; rig++) {
        find_wanted(night, rig, wants->wanted[rig], wants->reach[rig], wants->slack[rig]);
        wants->ask.wanted[rig] = wants->wanted[rig];
        wants->ask.reach[rig] = wants->reach[rig];
        wants->ask.slack[rig] = wants->slack[rig];
        wants->ask.tolerance[rig] = 3 * night->rig[rig].rig.tolerance_stops;
    }
    find_kept_off(night, wants->ask.count, wants->kept_off);
    return wants;
}

void rounds_make(struct night *night, struct rounds *rounds)
{
    static const struct rounds none = {0};
    struct wants *wants = wants_make(night);
    int at[ROUNDS];

    *rounds = none;
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        night->step[rig].count = 0;
    if (!wants)
        return;
    wants_from(night, rounds, wants);
    rounds->count = rounds_cut(&wants->ask, at);
    for (int i = 0; i < rounds->count; i++)
        rounds->round[i].utc = round_utc(night, at[i]);
    /* One that is asked for at once. */
    if (rounds->count > 0 && wants->ask.at_once && at[0] == wants->ask.from)
        rounds->round[0].utc = night->replan.utc;
    for (int rig = 0; rig < wants->ask.rigs; rig++)
        touch_rig(night, &wants->ask, at, rig, rounds);
    drop_empty(rounds);
    for (int rig = 0; rig < wants->ask.rigs; rig++)
        find_steps(night, rounds, rig);
    free(wants);
}

/* On a dial with so many steps in a third of a stop. */
static void make_finer(struct wants *wants, int steps)
{
    for (int rig = 0; rig < wants->ask.rigs; rig++) {
        wants->ask.tolerance[rig] *= steps;
        for (int i = 0; i < wants->ask.count; i++) {
            wants->wanted[rig][i] *= steps;
            wants->reach[rig][i] *= steps;
            wants->slack[rig][i] *= steps;
        }
    }
}

int rounds_least(const struct night *night, int rig, int steps)
{
    struct wants *wants = wants_make(night);
    int at[ROUNDS], count;

    if (!wants)
        return 0;
    struct rounds_ask *ask = &wants->ask;
    ask->apart = 0;
    ask->kept_off = NULL;
    make_finer(wants, steps);
    if (rig >= 0) {
        ask->rigs = 1;
        ask->wanted[0] = wants->wanted[rig];
        ask->reach[0] = wants->reach[rig];
        ask->slack[0] = wants->slack[rig];
        ask->tolerance[0] = ask->tolerance[rig];
    }
    count = rounds_cut(ask, at);
    free(wants);
    return count;
}

double round_told_until(const struct rounds *rounds, int round)
{
    double begins = rounds->round[round].utc;
    double next = round + 1 < rounds->count ? rounds->round[round + 1].utc : INFINITY;

    return begins + fmax(PRESSING_S, fmin(TOLD_S, next - begins - SAID_AHEAD_S));
}

const struct exposure *rounds_next(const struct rounds *rounds, int rig, double utc,
                                   double *round_utc)
{
    for (int i = 0; i < rounds->count; i++)
        if (utc < round_told_until(rounds, i) && rounds->round[i].touched[rig]) {
            *round_utc = rounds->round[i].utc;
            return &rounds->round[i].exposure[rig];
        }
    return NULL;
}

const struct exposure *rounds_now(const struct rounds *rounds, int rig, double utc)
{
    const struct exposure *set = &rounds->begins[rig];

    for (int i = 0; i < rounds->count && rounds->round[i].utc <= utc; i++)
        if (rounds->round[i].touched[rig])
            set = &rounds->round[i].exposure[rig];
    return set->known ? set : NULL;
}
