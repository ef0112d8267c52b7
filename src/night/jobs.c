/* What the hands must do: decided here once, for screen, plain lines, text, JSON, bells and hooks. */
#include "derive.h"

#include <math.h>

#define FLIP_AHEAD_S 900.0
/* A job at a rig is done in one go with another one there that is due so much later. */
#define WALK_S 120.0
enum { COMING_ITEMS = 3 };
#define LAPTOP_LOW_PERCENT 20.0
/* Light changes fast where so many rounds fall into so short a time. */
enum { FAST_ROUNDS = 3 };
#define FAST_S 300.0

const char *job_kind_name(enum job_kind kind)
{
    static const char *const names[JOB_KINDS] = {
        [JOB_AIM] = "aim",
        [JOB_FLIP] = "flip",
        [JOB_BATTERY] = "battery",
        [JOB_STOPPED] = "stopped",
        [JOB_WRONG] = "wrong setting",
        [JOB_CARD] = "card",
        [JOB_GLASS] = "glass",
        [JOB_LAPTOP] = "laptop",
        [JOB_LOOK] = "look",
        [JOB_POWER] = "power",
        [JOB_SETTING] = "setting",
        [JOB_ITEM] = "item",
        [JOB_FIRST_AIM] = "first aim",
    };

    return names[kind];
}

const char *job_state_name(enum job_state state)
{
    static const char *const names[] = {"alarm", "pressing", "due", "unaimed", "overdue", "coming"};

    return names[state];
}

const char *urgency_name(enum urgency urgency)
{
    static const char *const names[] = {"free", "soon", "now", "alarm"};

    return names[urgency];
}

double hands_duration_s(enum hands_kind kind)
{
    static const double seconds[HANDS_KINDS] = {AIM_HANDS_S, SWAP_S, 30, 10, 5};

    return seconds[kind];
}

/* ---- fast light ---- */

/* Rounds that follow one another fast and begin within FAST_S. */
static void find_rush(const struct night *night, double utc, struct rush *rush)
{
    const struct rounds *rounds = &night->rounds;
    int first = 0, last;

    while (first < rounds->count && rounds->round[first].utc <= utc)
        first++;
    last = first + FAST_ROUNDS - 1;
    if (last >= rounds->count || rounds->round[last].utc > utc + FAST_S)
        return;
    while (last + 1 < rounds->count &&
           rounds->round[last + 1].utc - rounds->round[last + 2 - FAST_ROUNDS].utc <= FAST_S)
        last++;
    *rush = (struct rush){last - first + 1, rounds->round[first].utc, rounds->round[last].utc,
                          rounds->round[first].utc < night->contact_utc[CONTACT_GREATEST]};
}

/* ---- jobs ---- */

/* By state; what is due by kind, all else by time. */
static bool goes_before(const struct job *a, const struct job *b)
{
    if (a->state != b->state)
        return a->state < b->state;
    if (a->state == JOB_DUE && a->kind != b->kind)
        return a->kind < b->kind;
    /* In one round the light comes first. */
    if (a->utc == b->utc && (a->kind == JOB_SETTING) != (b->kind == JOB_SETTING))
        return a->kind == JOB_SETTING;
    return a->utc < b->utc;
}

static void add(struct hands *hands, const struct job *job)
{
    int at = hands->count;

    if (!isfinite(job->utc) || hands->count == JOBS)
        return;
    for (; at > 0 && goes_before(job, &hands->job[at - 1]); at--)
        hands->job[at] = hands->job[at - 1];
    hands->job[at] = *job;
    hands->count++;
}

static struct job job_of(enum job_kind kind, int rig, double utc, double limit_utc)
{
    return (struct job){.kind = kind,
                        .state = JOB_COMING,
                        .rig = rig,
                        .item = -1,
                        .utc = utc,
                        .limit_utc = limit_utc,
                        .before = -1};
}

static enum job_state state_by_time(double utc, double now)
{
    if (utc <= now)
        return JOB_DUE;
    return utc - now <= PRESSING_S ? JOB_PRESSING : JOB_COMING;
}

static void add_aim(const struct night *night, const struct moment *moment, int index,
                    struct hands *hands)
{
    const struct rig_state *rig = &night->rig[index];
    enum aim_state state = moment->rig[index].aim_state;
    struct job job = job_of(JOB_AIM, index, rig->due_utc, rig->leaves_utc);

    job.before = rig->due_before;
    /* It stays until it sets: what was planned before it was aimed so is no job any more. */
    if ((state == AIM_STEADY || state == AIM_SOON) && !isfinite(rig->due_utc))
        return;
    switch (state) {
    case AIM_DUE:
        job.state = JOB_ALARM;
        break;
    case AIM_SOON:
    case AIM_STEADY:
        job.utc = re_aim_utc(night, index, moment->utc);
        job.state =
            state == AIM_SOON || job.utc - moment->utc <= PRESSING_S ? JOB_PRESSING : JOB_COMING;
        break;
    case AIM_SNOOZED:
        job.utc = fmax(rig->snoozed_until, rig->due_utc);
        break;
    case AIM_FREE:
        /* While the eclipse runs, a rig on a tripod that has not been aimed at the Moon. */
        if (moment->utc < night->contact_utc[CONTACT_P1])
            return;
        job = job_of(JOB_FIRST_AIM, index, night->contact_utc[CONTACT_P1], NAN);
        job.state = JOB_UNAIMED;
        break;
    default:
        return;
    }
    add(hands, &job);
}

/* A flip is announced well ahead, then until the mount stops. */
static void add_flip(const struct night *night, const struct moment *moment, int index,
                     struct hands *hands)
{
    double left = moment->rig[index].flip_in_s;
    struct job job =
        job_of(JOB_FLIP, index, moment->utc + left, night->framing[index].flip.latest_utc);

    job.state = state_by_time(job.utc, moment->utc);
    if (job.state == JOB_COMING && left <= FLIP_AHEAD_S)
        job.state = JOB_DUE;
    add(hands, &job);
}

/* An act within the last minute asks for another setting at once, once the night has begun. */
static bool is_asked_now(const struct night *night, int rig, double utc)
{
    const struct replan *replan = &night->replan;
    const struct dial *dial = &replan->dial[rig];
    const struct exposure *begins = &night->rounds.begins[rig];

    if (replan->done || !(utc >= replan->utc && utc - replan->utc < PRESSING_S) || !begins->known ||
        !(replan->utc > night->sample[0].utc))
        return false;
    return dial->known ? !dial_shows(dial, begins) : rig == replan->rig;
}

/* The next round; before it what a change by the user asks for at once. */
static void add_setting(const struct night *night, const struct moment *moment, int index,
                        struct hands *hands)
{
    double round_utc = NAN;
    struct job job = job_of(JOB_SETTING, index, NAN, NAN);

    job.set = rounds_next(&night->rounds, index, moment->utc, &round_utc);
    job.utc = round_utc;
    if (is_asked_now(night, index, moment->utc) && !(round_utc - moment->utc <= PRESSING_S)) {
        job.set = rounds_now(&night->rounds, index, moment->utc);
        job.utc = night->replan.utc;
    }
    /* One that has come goes on pressing for a while: hands may be late. */
    job.state = job.utc - moment->utc <= PRESSING_S ? JOB_PRESSING : JOB_COMING;
    if (job.set)
        add(hands, &job);
}

/* What the pictures tell that hands can put right. */
static void add_pictures(const struct moment *moment, int index, struct hands *hands)
{
    const struct album_moment *album = &moment->album[index];
    struct job stopped = job_of(JOB_STOPPED, index, album->since_utc, NAN);
    struct job wrong = job_of(JOB_WRONG, index, moment->readings.album[index].shot[0].utc, NAN);
    struct job look = job_of(JOB_LOOK, index, moment->readings.album[index].look[0].utc, NAN);

    stopped.state = wrong.state = look.state = JOB_DUE;
    add(hands, &stopped);
    if (album->stopped)
        return;
    if (album->off_stops != 0)
        add(hands, &wrong);
    else if (album->looks != LOOKS_QUIET)
        add(hands, &look);
}

/* A battery or a card: with the round that it was planned into, else when it is due. */
static void add_swap(const struct night *night, const struct moment *moment, struct job job,
                     struct hands *hands)
{
    const struct agenda_round *round =
        agenda_next(&night->agenda, job.kind, job.rig, moment->utc - PRESSING_S);

    /* One that costs the aim waits a little for the re-aim that it is done with. */
    double waits_s = swap_costs_aim(night, job.rig) ? SWAP_WAITS_S : 0;
    bool planned =
        round && round->utc <= job.utc + waits_s && fmax(job.utc, round->utc) > moment->utc;
    if (planned)
        job.utc = round->utc;
    job.state =
        planned && job.utc <= moment->utc ? JOB_PRESSING : state_by_time(job.utc, moment->utc);
    add(hands, &job);
}

static void add_rig(const struct night *night, const struct moment *moment, int index,
                    struct hands *hands)
{
    const struct kit_moment *kit = &moment->kit[index];
    struct job battery = job_of(JOB_BATTERY, index, kit->swap_utc, kit->battery_empty_utc);
    struct job card = job_of(JOB_CARD, index, kit->card_utc, kit->card.full_utc);
    struct job supply = job_of(JOB_POWER, index, kit->power_utc, night->power[index].plan.dry_utc);

    add_aim(night, moment, index, hands);
    add_flip(night, moment, index, hands);
    add_pictures(moment, index, hands);
    add_swap(night, moment, battery, hands);
    add_swap(night, moment, card, hands);
    supply.state = state_by_time(supply.utc, moment->utc);
    add(hands, &supply);
    add_setting(night, moment, index, hands);
}

static void add_items(const struct night *night, const struct moment *moment, struct hands *hands)
{
    const struct checklist *list = &night->setup.checklist;
    const struct job *glass = hands_job(hands, JOB_GLASS, -1);

    /* The nearest ones: the longest overdue first, then what is due next. */
    for (int taken = 0, last = -1; taken < 2 * COMING_ITEMS; taken++) {
        int next = -1;

        for (int i = 0; i < list->count; i++) {
            double due = moment->check_due_utc[i];
            bool after = last < 0 || due > moment->check_due_utc[last] ||
                         (due == moment->check_due_utc[last] && i > last);

            if (isnan(night->checked_utc[i]) && !sun_says(night, i) && after &&
                !(glass && glass->item == i) && !glance_rides(night, i, moment->utc) &&
                isfinite(due) && !moment->check_past[i] &&
                (next < 0 || due < moment->check_due_utc[next]))
                next = i;
        }
        if (next < 0)
            return;

        struct job job = job_of(JOB_ITEM, -1, moment->check_due_utc[next], NAN);
        job.item = next;
        if (job.utc <= moment->utc)
            job.state = JOB_OVERDUE;
        add(hands, &job);
        last = next;
    }
}

static void add_laptop(const struct moment *moment, struct hands *hands)
{
    const struct readings *readings = &moment->readings;
    struct job job = job_of(JOB_LAPTOP, -1, moment->utc, moment->laptop_empty_utc);

    job.state = JOB_DUE;
    if (readings->battery_discharging && readings->battery_percent <= LAPTOP_LOW_PERCENT)
        add(hands, &job);
}

/* ---- together ---- */

static bool is_at_camera(enum job_kind kind)
{
    return kind == JOB_GLASS || kind == JOB_AIM || kind == JOB_BATTERY || kind == JOB_CARD ||
           kind == JOB_SETTING;
}

static bool is_ahead(const struct job *job)
{
    return job->state == JOB_PRESSING || job->state == JOB_COMING;
}

/* With the round that takes it along, else when it is due. Of a round that has come all else may be done:
 * then nobody goes there any more. */
static void add_glass(const struct night *night, const struct moment *moment, struct hands *hands)
{
    const struct agenda_round *round = glance_next(&night->agenda, moment->utc - PRESSING_S);
    struct job job = job_of(JOB_GLASS, -1, moment->utc, NAN);
    double left_s = round ? round->utc - moment->utc : INFINITY;
    bool walked = false, due = moment->look_at_glass;

    for (int i = 0; round && i < hands->count; i++)
        walked |= is_ahead(&hands->job[i]) && hands->job[i].utc == round->utc;
    job.state = JOB_DUE;
    if (due ? walked && left_s <= GLANCE_WAITS_S : walked || (round && left_s > 0)) {
        job.utc = round->utc;
        job.item = round->item;
        job.state = walked && left_s <= PRESSING_S ? JOB_PRESSING : JOB_COMING;
    }
    if (due || job.state != JOB_DUE)
        add(hands, &job);
}

/* Two jobs of one round, or at one rig close together; a setting has its own time. */
static bool are_together(const struct hands *hands, const struct job *earlier,
                         const struct job *job)
{
    bool sets = earlier->kind == JOB_SETTING || job->kind == JOB_SETTING;

    if (!is_at_camera(earlier->kind))
        return false;
    return earlier->utc == job->utc || (earlier->rig == job->rig && !sets &&
                                        job->utc - hands->job[earlier->walk].utc <= WALK_S);
}

/* Jobs that are not due yet are done in one go with an earlier one at their rig, or with all others of
 * their round. */
static void join_walks(struct hands *hands)
{
    for (int i = 0; i < hands->count; i++) {
        struct job *job = &hands->job[i];

        job->walk = i;
        if (!is_ahead(job) || !is_at_camera(job->kind))
            continue;
        for (int j = 0; j < i && job->walk == i; j++)
            if (is_ahead(&hands->job[j]) && are_together(hands, &hands->job[j], job))
                job->walk = hands->job[j].walk;
    }
}

/* ---- too much ---- */

/* How long the hands may work between two instants: the minutes around the contacts are kept free.
 */
static double free_s(const struct night *night, double from, double to)
{
    double free = fmax(0, to - from), taken_to = from;

    for (int i = CONTACT_U1; i <= CONTACT_U4; i++) {
        double begins = fmax(night->contact_utc[i] - AIM_KEEP_OFF_S, taken_to);
        double ends = fmin(night->contact_utc[i] + AIM_KEEP_OFF_S, to);

        /* fmin and fmax pass over a contact that the eclipse does not have. */
        if (isfinite(night->contact_utc[i]) && ends > begins) {
            free -= ends - begins;
            taken_to = ends;
        }
    }
    return free;
}

/* Jobs can be begun at once, so they can all be done if for each limit all that has to be done by
 * then fits into the time up to there. When the first job is due that does not; NaN: none. */
static double find_clash(const struct night *night, const struct hands *hands, double now)
{
    double first = NAN;

    for (int i = 0; i < hands->count; i++) {
        const struct job *job = &hands->job[i];
        double sum_s = 0;

        if (!(job_takes_s(night, job->kind) > 0) || !(job->limit_utc > now) || job->utc >= first)
            continue;
        for (int j = 0; j < hands->count; j++)
            if (hands->job[j].limit_utc <= job->limit_utc)
                sum_s += job_takes_s(night, hands->job[j].kind);
        if (sum_s > free_s(night, now, job->limit_utc))
            first = job->utc;
    }
    return first;
}

/* ---- the answer ---- */

static enum urgency urgency_of(const struct hands *hands)
{
    enum job_state state = hands->count > 0 ? hands->job[0].state : JOB_COMING;

    if (state == JOB_ALARM)
        return URGENCY_ALARM;
    if (state == JOB_PRESSING)
        return URGENCY_SOON;
    if (state < JOB_COMING)
        return URGENCY_NOW;
    return hands->rush.rounds > 0 ? URGENCY_SOON : URGENCY_FREE;
}

void see_hands(const struct night *night, struct moment *moment)
{
    struct hands *hands = &moment->hands;

    *hands = (struct hands){.clash_utc = NAN};
    for (int i = 0; i < night->setup.rig_count; i++)
        add_rig(night, moment, i, hands);
    add_glass(night, moment, hands);
    add_laptop(moment, hands);
    add_items(night, moment, hands);
    join_walks(hands);
    find_rush(night, moment->utc, &hands->rush);
    hands->clash_utc = find_clash(night, hands, moment->utc);
    hands->urgency = urgency_of(hands);
}

const struct job *hands_next(const struct hands *hands)
{
    for (int i = 0; i < hands->count; i++) {
        const struct job *job = &hands->job[i];

        /* An urgent job that comes first is not what comes next. */
        if (is_ahead(job) && job->walk == i && (i > 0 || job->state == JOB_COMING))
            return job;
    }
    return NULL;
}

const struct job *hands_job(const struct hands *hands, enum job_kind kind, int rig)
{
    for (int i = 0; i < hands->count; i++)
        if (hands->job[i].kind == kind && hands->job[i].rig == rig)
            return &hands->job[i];
    return NULL;
}
