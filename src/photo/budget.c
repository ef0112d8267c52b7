#include "photo_private.h"

#include <moonstand/aim.h>
#include <moonstand/budget.h>
#include <moonstand/sheet.h>

#include <math.h>

/* ---- power ---- */

#define SECONDS_PER_HOUR 3600.0
/* No plan with batteries that last less than this many swaps. */
#define LEAST_SWAPS_PER_LIFE 10

double power_capacity(const struct power *power, double temperature_c)
{
    const struct cold_point *point = power->cold;
    int last = power->cold_count - 1;

    if (isnan(temperature_c))
        return NAN;
    if (temperature_c <= point[0].temperature_c)
        return point[0].capacity;
    for (int i = 1; i <= last; i++) {
        double width = point[i].temperature_c - point[i - 1].temperature_c;
        double share = (temperature_c - point[i - 1].temperature_c) / width;

        if (share <= 1)
            return point[i - 1].capacity + share * (point[i].capacity - point[i - 1].capacity);
    }
    return point[last].capacity;
}

double power_life_s(const struct power *power, double frames_per_s, double temperature_c)
{
    double by_hours = 1 / (power->rated_hours * SECONDS_PER_HOUR);
    double by_shots = frames_per_s / power->rated_shots;
    double drain = by_hours > by_shots ? by_hours : by_shots; /* full batteries per second */

    if (power->external)
        return INFINITY;
    if (isnan(by_hours) || isnan(by_shots))
        return NAN;
    if (power->live_view)
        drain *= LIVE_VIEW_DRAIN;
    if (power->heater_w > 0)
        drain += power->heater_w / (power->battery_wh * SECONDS_PER_HOUR);
    return power_capacity(power, temperature_c) / drain;
}

/* ---- swaps ---- */

/* A swap that ends where a span begins does not touch it, up to rounding. */
#define TOUCH_S 1e-3

static bool touches(const struct span *span, const struct swap_ask *ask, double utc)
{
    return utc + ask->swap_s > span->from + TOUCH_S && utc < span->to - TOUCH_S;
}

/* Totality with a margin at both ends. */
static struct span totality_of(const struct swap_ask *ask, double margin_s)
{
    return (struct span){ask->u2_utc - margin_s, ask->u3_utc + margin_s};
}

/* Spans without swaps: those in `off`, then totality. */
static struct span span_at(const struct swap_ask *ask, int index, double margin_s)
{
    return index < ask->off_count ? ask->off[index] : totality_of(ask, margin_s);
}

enum way { EARLIER, LATER };

/* The nearest instant that way, or `utc` itself, at which a swap touches no span. If the margin is
 * NaN, it may touch totality, which then has no ends. */
static double free_instant(const struct swap_ask *ask, double utc, enum way way, double margin_s)
{
    for (int i = 0; i <= ask->off_count; i++) {
        struct span span = span_at(ask, i, margin_s);

        if (!touches(&span, ask, utc))
            continue;
        utc = way == EARLIER ? span.from - ask->swap_s : span.to;
        i = -1;
    }
    return utc;
}

/* A battery due at `limit`, shortly before a span in which the next one would be due, had better
 * stay in until just before it, if it lasts: one swap instead of two. NaN: it had not. */
static double last_instant_before(const struct swap_ask *ask, const struct swap_window *window)
{
    for (int i = 0; i <= ask->off_count; i++) {
        struct span span = span_at(ask, i, ask->calm_s);
        double utc = free_instant(ask, span.from - ask->swap_s, EARLIER, ask->calm_s);

        if (utc >= fmax(window->limit, window->from) && utc <= window->empty &&
            touches(&span, ask, window->limit + (1 - SWAP_RESERVE) * ask->life_s))
            return utc;
    }
    return NAN;
}

/* The swap nearest to `utc` that way, within `bound`, that a re-aim follows; `utc` if there is
 * none. */
static double with_re_aim(const struct swap_ask *ask, double utc, enum way way, double bound)
{
    double best = NAN;

    for (int i = 0; i < ask->re_aim_count; i++) {
        double swap = ask->re_aim[i] - ask->swap_s;
        bool within = way == EARLIER ? swap <= utc && swap >= fmax(bound, utc - RE_AIM_WITHIN_S)
                                     : swap >= utc && swap <= fmin(bound, utc + RE_AIM_WITHIN_S);

        if (!within || free_instant(ask, swap, way, ask->calm_s) != swap)
            continue;
        if (isnan(best) || way == EARLIER)
            best = swap;
    }
    return isnan(best) ? utc : best;
}

/* How to combine a swap that costs the aim with a re-aim. */
enum join { JOIN_EARLIER, JOIN_LATER, JOIN_NONE };

/* Combines a swap, best done at `utc`, with a re-aim between `from` and `last`. */
static double joined(const struct swap_ask *ask, enum join join, double utc, double from,
                     double last)
{
    double later = join == JOIN_LATER ? with_re_aim(ask, utc, LATER, last) : utc;

    if (join == JOIN_NONE || later != utc)
        return later;
    return with_re_aim(ask, utc, EARLIER, from);
}

/* The free instant that way of a swap best done by `limit`; NaN if there is none between `from` and
 * `empty`. */
static double instant_that_way(const struct swap_ask *ask, enum join join, enum way way,
                               double margin_s, const struct swap_window *window)
{
    double from = window->from, limit = window->limit, empty = window->empty;
    double utc = free_instant(ask, way == EARLIER ? limit : fmax(limit, from), way, margin_s);

    if (way == EARLIER)
        return utc >= from ? joined(ask, join, utc, from, (limit + empty) / 2) : NAN;
    if (utc > empty && empty < ask->utc_to)
        return NAN;
    return join == JOIN_NONE ? utc : with_re_aim(ask, utc, LATER, empty);
}

static double instant(const struct swap_ask *ask, enum join join, const struct swap_window *window)
{
    const double margins_s[] = {ask->calm_s, AIM_KEEP_OFF_S};
    /* A swap due shortly after totality had better wait than come before all of it. */
    bool just_after = window->limit > ask->u3_utc && window->limit < ask->u3_utc + ask->calm_s;
    enum way first = just_after ? LATER : EARLIER;
    double utc = last_instant_before(ask, window);

    if (!isnan(utc))
        return joined(ask, join == JOIN_NONE ? JOIN_NONE : JOIN_EARLIER, utc,
                      fmax(window->from, window->limit), utc);
    for (int i = 0; i < 2; i++) {
        utc = instant_that_way(ask, join, first, margins_s[i], window);
        if (isnan(utc))
            utc =
                instant_that_way(ask, join, first == LATER ? EARLIER : LATER, margins_s[i], window);
        if (!isnan(utc))
            return utc;
    }
    utc = free_instant(ask, window->limit, EARLIER, NAN);
    if (utc >= window->from)
        return utc;
    return free_instant(ask, fmax(window->limit, window->from), LATER, NAN);
}

double swap_instant(const struct swap_ask *ask, const struct swap_window *window)
{
    return instant(ask, JOIN_EARLIER, window);
}

static bool is_before_re_aim(const struct swap_ask *ask, double utc)
{
    for (int i = 0; i < ask->re_aim_count; i++)
        if (fabs(ask->re_aim[i] - ask->swap_s - utc) < TOUCH_S)
            return true;
    return false;
}

static void add_swap(const struct swap_ask *ask, struct swap_plan *plan, double utc, double empty)
{
    struct span totality = totality_of(ask, AIM_KEEP_OFF_S);
    struct swap swap = {utc, empty, touches(&totality, ask, utc), utc > empty,
                        is_before_re_aim(ask, utc)};

    if (plan->count < SWAPS)
        plan->swap[plan->count] = swap;
    plan->count++;
    plan->totality_free = plan->totality_free && !swap.in_totality;
}

/* The rig is without power from `empty` until `utc`. */
static void run_dry(const struct swap_ask *ask, struct swap_plan *plan, double empty, double utc)
{
    if (isnan(plan->dry_utc))
        plan->dry_utc = empty;
    if (empty < ask->u3_utc && utc > ask->u2_utc)
        plan->totality_free = false;
}

/* When to change the battery in use, full at `changed`; INFINITY: batteries too short-lived to
 * plan. */
static double next_swap(const struct swap_ask *ask, enum join join, double changed)
{
    const struct swap_window window = {
        .from = fmax(ask->utc, changed + ask->swap_s),
        .limit = changed + (1 - SWAP_RESERVE) * ask->life_s,
        .empty = fmax(changed + ask->life_s, ask->utc), /* by the estimate it may be past */
    };

    if (!(ask->life_s >= LEAST_SWAPS_PER_LIFE * ask->swap_s))
        return INFINITY;
    return instant(ask, join, &window);
}

static bool lasts(const struct swap_ask *ask, double changed)
{
    return !(changed + (1 - SWAP_RESERVE) * ask->life_s < ask->utc_to);
}

/* Adds a swap at `utc` to a plan; false if the night ends before it. */
static bool follow(const struct swap_ask *ask, double changed, double utc, struct swap_plan *plan)
{
    double empty = fmax(changed + ask->life_s, ask->utc);

    if (utc > empty && empty < ask->utc_to)
        run_dry(ask, plan, empty, utc);
    if (utc >= ask->utc_to)
        return false;
    add_swap(ask, plan, utc, empty);
    return true;
}

static void plan_begin(const struct swap_ask *ask, struct swap_plan *plan)
{
    *plan = (struct swap_plan){.known = !isnan(ask->life_s), .totality_free = true, .dry_utc = NAN};
}

/* The plan from a swap at `utc` on, with no later one combined with a re-aim. */
static void plan_from(const struct swap_ask *ask, double changed, double utc,
                      struct swap_plan *plan)
{
    plan_begin(ask, plan);
    while (follow(ask, changed, utc, plan) && !lasts(ask, utc)) {
        changed = utc;
        utc = next_swap(ask, JOIN_NONE, changed);
    }
}

/* Swaps within the wider margin of totality. */
static int hurried(const struct swap_ask *ask, const struct swap_plan *plan)
{
    struct span calm = totality_of(ask, ask->calm_s);
    int count = 0;

    for (int i = 0; i < plan->count && i < SWAPS; i++)
        count += touches(&calm, ask, plan->swap[i].utc);
    return count;
}

/* Power through totality counts most, then power throughout, then calm, then fewer swaps. */
static bool is_better(const struct swap_ask *ask, const struct swap_plan *plan,
                      const struct swap_plan *than)
{
    bool runs_dry = !isnan(plan->dry_utc), other_runs_dry = !isnan(than->dry_utc);

    if (plan->totality_free != than->totality_free)
        return plan->totality_free;
    if (runs_dry != other_runs_dry)
        return other_runs_dry;
    if (hurried(ask, plan) != hurried(ask, than))
        return hurried(ask, plan) < hurried(ask, than);
    return plan->count < than->count;
}

/* The next swap, combined with a re-aim if the rest of the night is no worse for it. */
static double best_swap(const struct swap_ask *ask, double changed)
{
    double alone = next_swap(ask, JOIN_NONE, changed);
    struct swap_plan without, with;

    if (ask->re_aim_count == 0)
        return alone;
    plan_from(ask, changed, alone, &without);
    for (enum join join = JOIN_EARLIER; join < JOIN_NONE; join++) {
        double utc = next_swap(ask, join, changed);

        plan_from(ask, changed, utc, &with);
        if (utc != alone && !is_better(ask, &without, &with))
            return utc;
    }
    return alone;
}

void swap_plan_make(const struct swap_ask *ask, struct swap_plan *plan)
{
    double changed = isnan(ask->changed_utc) ? ask->utc : ask->changed_utc;

    plan_begin(ask, plan);
    while (!lasts(ask, changed)) {
        double utc = best_swap(ask, changed);

        if (!follow(ask, changed, utc, plan))
            break;
        changed = utc;
    }
    plan->batteries = plan->count + 1;
    plan->external = !plan->totality_free || !isnan(plan->dry_utc) || plan->count > ask->spares;
}

/* ---- card ---- */

#define LONGEST_INTERVAL_S 3600

static double frames_of(const struct card_ask *ask, double interval_s, int longest_bracket)
{
    double frames = 0;

    for (int i = 0; i < ask->span_count; i++) {
        const struct card_span *span = &ask->span[i];
        int bracket =
            span->bracket_frames < longest_bracket ? span->bracket_frames : longest_bracket;

        frames += bracket * (shots_before(ask->utc, interval_s, span->utc_to) -
                             shots_before(ask->utc, interval_s, span->utc_from));
    }
    return frames;
}

/* The first shot that does not fit into the room for so many frames. */
static double full_at(const struct card_ask *ask, double room)
{
    for (int i = 0; i < ask->span_count; i++) {
        const struct card_span *span = &ask->span[i];
        double first = shots_before(ask->utc, ask->interval_s, span->utc_from);
        double shots = shots_before(ask->utc, ask->interval_s, span->utc_to) - first;

        if (shots * span->bracket_frames > room)
            return ask->utc + (first + floor(room / span->bracket_frames)) * ask->interval_s;
        room -= shots * span->bracket_frames;
    }
    return NAN;
}

/* A span of length t holds at least t / interval - 1 shots, which bounds the interval from
 * below. */
static double interval_that_fits(const struct card_ask *ask, double room)
{
    double frame_seconds = 0, frames_of_one_shot = 0;

    for (int i = 0; i < ask->span_count; i++) {
        const struct card_span *span = &ask->span[i];

        frame_seconds +=
            span->bracket_frames * (fmax(span->utc_to, ask->utc) - fmax(span->utc_from, ask->utc));
        frames_of_one_shot += span->bracket_frames;
    }
    for (double interval =
             fmax(ceil(ask->interval_s), floor(frame_seconds / (room + frames_of_one_shot)));
         interval <= LONGEST_INTERVAL_S; interval++)
        if (frames_of(ask, interval, ask->longest_bracket) <= room)
            return interval;
    return NAN;
}

void card_budget_make(const struct card_ask *ask, struct card_budget *budget)
{
    double room = ask->free_bytes;

    if (isnan(room))
        room = ask->card_bytes - ask->frames_taken * ask->frame_bytes;
    if (room < 0)
        room = 0;
    *budget = (struct card_budget){
        .frames = frames_of(ask, ask->interval_s, ask->longest_bracket),
        .frames_fit = floor(room / ask->frame_bytes),
        .full_utc = NAN,
        .interval_fits_s = ask->interval_s,
        .bracket_fits = ask->longest_bracket,
    };
    budget->fits = budget->frames <= budget->frames_fit;
    if (budget->fits)
        return;
    if (isnan(budget->frames_fit)) {
        budget->interval_fits_s = NAN;
        budget->bracket_fits = 0;
        return;
    }
    budget->full_utc = full_at(ask, budget->frames_fit);
    budget->interval_fits_s = interval_that_fits(ask, budget->frames_fit);
    while (budget->bracket_fits > 0 &&
           !(frames_of(ask, ask->interval_s, budget->bracket_fits) <= budget->frames_fit))
        budget->bracket_fits--;
}
