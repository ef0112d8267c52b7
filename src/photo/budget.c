/* What a night costs: batteries in the cold, frames on a card. */
#include <moonstand/photo.h>

#include <math.h>

/* ---- power ---- */

/* Capacity of a lithium-ion cell against that at 25 C: Samsung SDI, specification of the
 * INR18650-15L, section 7.5. Measured at 10 A, much more than a camera draws, so that it is the
 * careful side. Canon's own figure for a camera battery of this kind agrees at 0 C (LP-E4: 1200 of
 * 1500 shots, 80 percent; the 67 percent of the EOS-1Ds Mark II are those of a nickel cell, the 97
 * percent of the Rebel T6 are a hope) but there is none for below 0 C. */
static const struct cold_point cold_of_the_cell[] = {
    {-20, 0.60}, {-10, 0.75}, {0, 0.80}, {25, 1.00}};

#define SECONDS_PER_HOUR 3600.0
/* A battery that does not last for so many swaps is none to plan with. */
#define LEAST_SWAPS_PER_LIFE 10

void power_default(struct power *power)
{
    *power = (struct power){
        .rated_shots = 1500,
        .rated_hours = 3.25,
        .spares = 2,
        .battery_wh = 13,
        .cold_count = (int)(sizeof cold_of_the_cell / sizeof *cold_of_the_cell),
    };
    for (int i = 0; i < power->cold_count; i++)
        power->cold[i] = cold_of_the_cell[i];
}

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

/* Instants are doubles of 2e9 s: a swap that ends where a span begins does not touch it. */
#define TOUCH_S 1e-3

static bool touches(const struct keep_span *span, const struct swap_ask *ask, double utc)
{
    return utc + ask->swap_s > span->utc_from + TOUCH_S && utc < span->utc_to - TOUCH_S;
}

static struct keep_span totality_of(const struct swap_ask *ask)
{
    return (struct keep_span){ask->u2_utc - AIM_KEEP_OFF_S, ask->u3_utc + AIM_KEEP_OFF_S};
}

/* Spans in which no swap should fall: those in `off`, and as the last one totality. */
static struct keep_span span_at(const struct swap_ask *ask, int index)
{
    return index < ask->off_count ? ask->off[index] : totality_of(ask);
}

enum way { EARLIER, LATER };

/* The instant next to `utc` at which a swap touches no span: at `utc` itself or that way. */
static double free_instant(const struct swap_ask *ask, double utc, enum way way, bool totality_too)
{
    int spans = ask->off_count + (totality_too ? 1 : 0);

    for (int i = 0; i < spans; i++) {
        struct keep_span span = span_at(ask, i);

        if (!touches(&span, ask, utc))
            continue;
        utc = way == EARLIER ? span.utc_from - ask->swap_s : span.utc_to;
        i = -1;
    }
    return utc;
}

/* A battery that is due at `limit`, shortly before a span in which the next one would be due, is
 * better left in until just before it, if it lasts: one swap instead of two. NaN: not so. */
static double last_instant_before(const struct swap_ask *ask, double from, double limit,
                                  double empty)
{
    for (int i = 0; i <= ask->off_count; i++) {
        struct keep_span span = span_at(ask, i);
        double utc = free_instant(ask, span.utc_from - ask->swap_s, EARLIER, true);

        if (utc >= fmax(limit, from) && utc <= empty &&
            touches(&span, ask, limit + (1 - SWAP_RESERVE) * ask->life_s))
            return utc;
    }
    return NAN;
}

/* Where to change a battery that should be changed by `limit` and is empty at `empty`, not before
 * `from`. */
static double swap_instant(const struct swap_ask *ask, double from, double limit, double empty)
{
    double utc = last_instant_before(ask, from, limit, empty);

    if (!isnan(utc))
        return utc;
    utc = free_instant(ask, limit, EARLIER, true);
    if (utc >= from)
        return utc;
    utc = free_instant(ask, fmax(limit, from), LATER, true);
    if (utc <= empty || empty >= ask->utc_to)
        return utc;
    utc = free_instant(ask, limit, EARLIER, false);
    if (utc >= from)
        return utc;
    return free_instant(ask, fmax(limit, from), LATER, false);
}

static void add_swap(const struct swap_ask *ask, struct swap_plan *plan, double utc, double empty)
{
    struct keep_span totality = totality_of(ask);
    struct swap swap = {utc, empty, touches(&totality, ask, utc), utc > empty};

    if (plan->count < SWAPS)
        plan->swap[plan->count] = swap;
    plan->count++;
    plan->totality_free = plan->totality_free && !swap.in_totality;
}

/* The rig stands without power from `empty` until `utc`. */
static void run_dry(const struct swap_ask *ask, struct swap_plan *plan, double empty, double utc)
{
    if (isnan(plan->dry_utc))
        plan->dry_utc = empty;
    if (empty < ask->u3_utc && utc > ask->u2_utc)
        plan->totality_free = false;
}

void swap_plan_make(const struct swap_ask *ask, struct swap_plan *plan)
{
    double changed = isnan(ask->changed_utc) ? ask->utc : ask->changed_utc;
    double life = ask->life_s;

    *plan = (struct swap_plan){.known = !isnan(life), .totality_free = true, .dry_utc = NAN};
    while (changed + (1 - SWAP_RESERVE) * life < ask->utc_to) {
        double limit = changed + (1 - SWAP_RESERVE) * life;
        double empty = fmax(changed + life, ask->utc); /* by what is reckoned it may be past */
        double from = fmax(ask->utc, changed + ask->swap_s);
        double utc = INFINITY;

        if (life >= LEAST_SWAPS_PER_LIFE * ask->swap_s)
            utc = swap_instant(ask, from, limit, empty);
        if (utc > empty && empty < ask->utc_to)
            run_dry(ask, plan, empty, utc);
        if (utc >= ask->utc_to)
            break;
        add_swap(ask, plan, utc, empty);
        changed = utc;
    }
    plan->batteries = plan->count + 1;
    plan->external = !plan->totality_free || !isnan(plan->dry_utc) || plan->count > ask->spares;
}

/* ---- card ---- */

#define LONGEST_INTERVAL_S 3600

/* Shots of an intervalometer, started now, that fall before `utc`. */
static double shots_before(const struct card_ask *ask, double utc, double interval_s)
{
    return ceil(fmax(utc - ask->utc, 0) / interval_s);
}

static double frames_of(const struct card_ask *ask, double interval_s, int longest_bracket)
{
    double frames = 0;

    for (int i = 0; i < ask->span_count; i++) {
        const struct card_span *span = &ask->span[i];
        int bracket =
            span->bracket_frames < longest_bracket ? span->bracket_frames : longest_bracket;

        frames += bracket * (shots_before(ask, span->utc_to, interval_s) -
                             shots_before(ask, span->utc_from, interval_s));
    }
    return frames;
}

/* The first shot that does not go into the room for so many frames. */
static double full_at(const struct card_ask *ask, double room)
{
    for (int i = 0; i < ask->span_count; i++) {
        const struct card_span *span = &ask->span[i];
        double first = shots_before(ask, span->utc_from, ask->interval_s);
        double shots = shots_before(ask, span->utc_to, ask->interval_s) - first;

        if (shots * span->bracket_frames > room)
            return ask->utc + (first + floor(room / span->bracket_frames)) * ask->interval_s;
        room -= shots * span->bracket_frames;
    }
    return NAN;
}

static int longest_bracket(const struct card_ask *ask)
{
    int longest = 0;

    for (int i = 0; i < ask->span_count; i++)
        if (ask->span[i].bracket_frames > longest)
            longest = ask->span[i].bracket_frames;
    return longest;
}

/* A span of length t holds at least t / interval - 1 shots: nothing below that is tried. */
static double interval_that_fits(const struct card_ask *ask, double room, int bracket)
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
        if (frames_of(ask, interval, bracket) <= room)
            return interval;
    return NAN;
}

void card_budget_make(const struct card_ask *ask, struct card_budget *budget)
{
    int bracket = longest_bracket(ask);
    double room = ask->free_bytes;

    if (isnan(room))
        room = ask->card_bytes - ask->frames_taken * ask->frame_bytes;
    if (room < 0)
        room = 0;
    *budget = (struct card_budget){
        .frames = frames_of(ask, ask->interval_s, bracket),
        .frames_fit = floor(room / ask->frame_bytes),
        .full_utc = NAN,
        .interval_fits_s = ask->interval_s,
        .bracket_fits = bracket,
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
    budget->interval_fits_s = interval_that_fits(ask, budget->frames_fit, bracket);
    while (budget->bracket_fits > 0 &&
           !(frames_of(ask, ask->interval_s, budget->bracket_fits) <= budget->frames_fit))
        budget->bracket_fits--;
}
