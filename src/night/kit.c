/* What the night asks of batteries and cards. */
#include "derive.h"

#include <moonstand/sheet.h>

#include <math.h>

#define BYTES_PER_GB 1e9
/* A swap within this of the battery's own due time counts as not moved. */
#define MOVED_S 1.0
/* A mild night: the warm end of an unknown temperature. */
#define MILD_C 20.0
/* The laptop's battery is held against P4 from so long before P1 on. */
#define LAPTOP_AHEAD_S (6 * 3600.0)

/* ---- when the Moon is up ---- */

int up_spans_to(const struct night *night, double to, struct span spans[UP_SPANS])
{
    double from = night->contact_utc[CONTACT_P1], up_since = NAN;
    int count = 0;

    for (int i = 0; i < night->event_count && count < UP_SPANS; i++) {
        const struct night_event *event = &night->event[i];
        bool is_p1 = event->kind == NIGHT_CONTACT && event->which == CONTACT_P1;
        bool is_rise = event->kind == NIGHT_SKY && event->which == SKY_MOONRISE;
        bool is_set = event->kind == NIGHT_SKY && event->which == SKY_MOONSET;

        if (event->utc < from || event->utc > to)
            continue;
        if (is_rise || (is_p1 && event->moon_up))
            up_since = event->utc;
        if (is_set && isfinite(up_since)) {
            spans[count++] = (struct span){up_since, event->utc};
            up_since = NAN;
        }
    }
    if (to > up_since && count < UP_SPANS)
        spans[count++] = (struct span){up_since, to};
    return count;
}

/* ---- what is shot ---- */

static double longest_shot_s(const struct rig *rig, const struct run *run)
{
    double longest = 0;

    for (int i = 0; i < run->count; i++)
        if (run->segment[i].exposure.known)
            longest = fmax(longest, exposure_busy_s(&run->segment[i].exposure, rig->saving_s));
    return longest;
}

static void add_span(struct shooting *shooting, double from, double to, int bracket_frames)
{
    struct card_span *last =
        shooting->span_count > 0 ? &shooting->span[shooting->span_count - 1] : NULL;

    if (!last)
        shooting->utc_from = from;
    shooting->utc_to = to;
    if (bracket_frames > shooting->longest_bracket)
        shooting->longest_bracket = bracket_frames;
    if (last && last->utc_to == from && last->bracket_frames == bracket_frames)
        last->utc_to = to;
    else
        shooting->span[shooting->span_count++] = (struct card_span){from, to, bracket_frames};
}

void shooting_make(const struct night *night, int index, const struct run *run,
                   struct shooting *shooting)
{
    const struct rig *rig = &night->rig[index].rig;
    struct span up[UP_SPANS];
    int count = up_spans_to(night, night->rig[index].ends_utc, up);
    double greatest = night->contact_utc[CONTACT_GREATEST];
    double disc_s = disc_least_interval_s(&night->eclipse_track, greatest, greatest);

    shooting->utc_from = shooting->utc_to = NAN;
    shooting->interval_s = interval_choose(rig, disc_s, longest_shot_s(rig, run),
                                           &shooting->interval_reason);
    shooting->longest_bracket = shooting->span_count = 0;
    for (int j = 0; j < count; j++)
        for (int i = 0; i < run->count; i++) {
            const struct segment *segment = &run->segment[i];
            double from = fmax(segment->utc_from, up[j].from);
            double to = fmin(segment->utc_to, up[j].to);

            if (segment->exposure.known && from < to)
                add_span(shooting, from, to, segment->exposure.bracket_frames);
        }
    shooting->first_utc = interval_first_utc(shooting->utc_from, shooting->interval_s);
}

/* ---- power ---- */

/* The coldest that is expected in a span, as seen at `utc`: of a fresh reading and the forecast;
 * else a reading that is old; else what the site is known for; NaN: unknown. */
static double coldest(const struct night *night, double utc, double utc_from, double utc_to,
                      enum cold_source *source)
{
    const struct air_reading *reading = air_log_last(&night->air_log);
    double foretold = forecast_coldest_c(&night->forecast, utc_from, utc_to), lowest = INFINITY;

    *source = isfinite(night->site.temperature_c) ? COLD_SITE : COLD_UNKNOWN;
    if (reading && utc - reading->utc < AIR_FRESH_S) {
        lowest = reading->temperature_c;
        *source = COLD_READING;
    }
    if (foretold < lowest) {
        lowest = foretold;
        *source = COLD_FORECAST;
    }
    if (isfinite(lowest))
        return lowest;
    if (!reading)
        return night->site.temperature_c;
    *source = COLD_READING;
    return reading->temperature_c;
}

static struct span around(double utc)
{
    return (struct span){utc - AIM_KEEP_OFF_S, utc + AIM_KEEP_OFF_S};
}

static double life_at(const struct night *night, int index, double temperature_c)
{
    const struct shooting *shooting = &night->shooting[index];

    return power_life_s(&night->rig[index].rig.power,
                        shooting->longest_bracket / shooting->interval_s, temperature_c);
}

/* Plans for one temperature. */
static void plan_for(const struct night *night, int index, double temperature_c,
                     struct swap_ask *ask, struct rig_power *power)
{
    power->temperature_c = temperature_c;
    power->life_s = ask->life_s = life_at(night, index, temperature_c);
    power->empty_utc = power->full_utc + power->life_s;
    swap_plan_make(ask, &power->plan);
}

/* Plans for what is known of the temperature; else as carefully as the batteries allow. */
static void plan_make(const struct night *night, int index, double known_c, struct swap_ask *ask,
                      struct rig_power *power)
{
    double table_c = night->rig[index].rig.power.cold[0].temperature_c;

    power->cold_c = isnan(known_c) ? table_c : known_c;
    power->warm_c = isnan(known_c) ? fmax(table_c, MILD_C) : known_c;
    power->life_cold_s = life_at(night, index, power->cold_c);
    power->life_warm_s = life_at(night, index, power->warm_c);
    for (double c = power->cold_c; c < power->warm_c; c++) {
        plan_for(night, index, c, ask, power);
        if (!power->plan.external)
            return;
    }
    plan_for(night, index, power->warm_c, ask, power);
}

bool swap_costs_aim(const struct night *night, int index)
{
    return night->rig[index].rig.support == SUPPORT_FIXED && !night->framing[index].wide;
}

enum { OFF_SPANS = 4 };
/* What holds for every swap at a rig, of a battery or a card. */
static struct swap_ask ask_of(const struct night *night, int index, enum hands_kind kind,
                              struct span off[OFF_SPANS])
{
    const struct framing *framing = &night->framing[index];
    const double *contact = night->contact_utc;
    bool costs_aim = swap_costs_aim(night, index);

    off[0] = around(contact[CONTACT_U1]);
    off[1] = around(contact[CONTACT_GREATEST]);
    off[2] = around(contact[CONTACT_U4]);
    off[3] = framing->untouched;
    return (struct swap_ask){
        .utc_to = night->shooting[index].utc_to,
        .swap_s = night->setup.hands_s[kind] + (costs_aim ? night->setup.hands_s[HANDS_AIM] : 0),
        .u2_utc = contact[CONTACT_U2],
        .u3_utc = contact[CONTACT_U3],
        .calm_s = costs_aim ? SWAP_CALM_S : AIM_KEEP_OFF_S,
        .re_aim = framing->re_aim_utc,
        .re_aim_count = costs_aim ? framing->re_aim_count : 0,
        .off = off,
        .off_count = OFF_SPANS,
    };
}

void rig_power_make(const struct night *night, int index, double utc, struct rig_power *power)
{
    const struct rig_state *rig = &night->rig[index];
    const struct shooting *shooting = &night->shooting[index];
    struct span off[OFF_SPANS];
    double first = shooting->utc_from;
    /* A camera runs from its first shot on. */
    double changed = rig->battery_utc > first ? rig->battery_utc : first;
    double known_c =
        coldest(night, utc > first ? utc : first, changed, shooting->utc_to, &power->cold_from);
    struct swap_ask ask = ask_of(night, index, HANDS_BATTERY, off);

    power->full_utc = changed;
    power->spares = rig->rig.power.spares - rig->batteries_changed;
    if (power->spares < 0)
        power->spares = 0;
    ask.utc = ask.changed_utc = changed;
    ask.spares = power->spares;
    plan_make(night, index, known_c, &ask, power);
    if (shooting->span_count == 0 || utc >= shooting->utc_to)
        power->plan = (struct swap_plan){.known = true, .totality_free = true, .dry_utc = NAN};
}

enum swap_reason swap_reason_of(const struct night *night, const struct rig_power *power,
                                const struct swap *swap)
{
    double alone = swap->empty_utc - SWAP_RESERVE * power->life_s;
    double u2 = night->contact_utc[CONTACT_U2], u3 = night->contact_utc[CONTACT_U3];

    if (swap->late)
        return SWAP_TOO_LATE;
    if (swap->in_totality)
        return SWAP_IN_TOTALITY;
    if (fabs(swap->utc - alone) < MOVED_S)
        return SWAP_RUNS_DOWN;
    /* A little ahead of where the battery alone would have it, and that far from totality. */
    if (swap->at_re_aim && swap->utc < alone && !(alone > u2 - RE_AIM_WITHIN_S && alone < u3))
        return SWAP_AT_RE_AIM;
    if (swap->utc < u2 && power->life_s > 0 && alone + (1 - SWAP_RESERVE) * power->life_s > u2)
        return SWAP_BEFORE_TOTALITY;
    if (alone < u3 + SWAP_CALM_S && swap->utc > fmax(u3, alone))
        return SWAP_AFTER_TOTALITY;
    return swap->utc < alone ? SWAP_BESIDE_CONTACT : SWAP_RUNS_DOWN;
}

/* ---- card ---- */

double next_shot_utc(const struct shooting *shooting, double utc)
{
    double first = shooting->first_utc, interval_s = shooting->interval_s;

    return first + interval_s * shots_before(first, interval_s, utc);
}

/* Frames that an intervalometer has put on the card in use by `utc`. */
static double frames_on_card(const struct night *night, int index, double utc)
{
    const struct shooting *shooting = &night->shooting[index];
    double first = shooting->first_utc, interval_s = shooting->interval_s;
    double put_in = night->rig[index].card_utc, frames = 0;
    double from = put_in > shooting->utc_from ? put_in : shooting->utc_from;

    for (int i = 0; i < shooting->span_count; i++) {
        const struct card_span *span = &shooting->span[i];
        double begins = fmax(span->utc_from, from), ends = fmin(span->utc_to, utc);

        if (begins < ends)
            frames += span->bracket_frames * (shots_before(first, interval_s, ends) -
                                              shots_before(first, interval_s, begins));
    }
    return frames;
}

/* What the pictures have counted since the card was put in takes the place of what is reckoned. Their
 * bytes are those on the card if every frame has come with its raw file; else no less than the setup's
 * is reckoned for one. */
static void count_pictures(const struct rig_state *rig, struct card_ask *ask)
{
    double frames = rig->pictures.frames - rig->on_card.frames;
    double raw = rig->pictures.raw - rig->on_card.raw;
    double each = (rig->pictures.bytes - rig->on_card.bytes) / frames;

    if (!(rig->pictures.frames > 0))
        return;
    ask->frames_taken = (int)frames;
    if (frames > 0 && (raw == frames || each > ask->frame_bytes))
        ask->frame_bytes = each;
}

bool rig_card_make(const struct night *night, int index, double utc, double free_bytes,
                   struct card_budget *budget)
{
    const struct rig *rig = &night->rig[index].rig;
    const struct shooting *shooting = &night->shooting[index];
    struct card_ask ask = {
        .utc = next_shot_utc(shooting, utc),
        .interval_s = shooting->interval_s,
        .span = shooting->span,
        .span_count = shooting->span_count,
        .longest_bracket = shooting->longest_bracket,
        .frame_bytes = rig->frame_mb * BYTES_PER_MB,
        .card_bytes = rig->card_gb * BYTES_PER_GB,
        .frames_taken = (int)frames_on_card(night, index, utc),
        .free_bytes = free_bytes,
    };

    count_pictures(&night->rig[index], &ask);
    card_budget_make(&ask, budget);
    /* One without room for a frame is full before the next shot. */
    if (budget->frames_fit < 1)
        budget->full_utc = utc > shooting->utc_from ? utc : shooting->utc_from;
    return isfinite(ask.card_bytes) || isfinite(free_bytes);
}

double card_swap_utc(const struct night *night, int index, double utc, double full_utc)
{
    struct span off[OFF_SPANS];
    struct swap_ask ask = ask_of(night, index, HANDS_CARD, off);
    double latest = full_utc - ask.swap_s, from = utc;

    /* What does not cost the aim is done at the last moment: a card lasts by its count of frames. */
    if (!swap_costs_aim(night, index) || isnan(full_utc) || latest <= utc)
        return latest;
    /* One that goes with the next re-aim waits for it. */
    if (night->rig[index].aimed && ask.re_aim_count > 0)
        from = fmin(utc, ask.re_aim[0] - ask.swap_s);
    return fmin(swap_instant(&ask, &(struct swap_window){from, latest, latest}), latest);
}

/* ---- the moment ---- */

/* A cable too would move a rig that must not be touched; once that has begun, the last that helps. */
static double power_wanted_utc(const struct night *night, int index, double utc)
{
    const struct swap_plan *plan = &night->power[index].plan;
    double from = night->framing[index].untouched.from;

    if (!plan->known || !plan->external || !isfinite(plan->dry_utc))
        return NAN;
    return utc < from ? from : plan->dry_utc - night->setup.hands_s[HANDS_BATTERY];
}

void see_kit(const struct night *night, struct moment *moment)
{
    moment->laptop_empty_utc = moment->utc + moment->readings.battery_left_s * night->pace;
    moment->laptop_short = moment->laptop_empty_utc < night->contact_utc[CONTACT_P4] &&
                           moment->utc > night->contact_utc[CONTACT_P1] - LAPTOP_AHEAD_S;
    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_power *power = &night->power[i];
        const struct swap_plan *plan = &power->plan;
        struct kit_moment *kit = &moment->kit[i];

        *kit = (struct kit_moment){
            .battery_empty_utc = isfinite(power->empty_utc) ? power->empty_utc : NAN,
            .swap_utc = plan->count > 0 ? plan->swap[0].utc : NAN,
            .swap_reason =
                plan->count > 0 ? swap_reason_of(night, power, &plan->swap[0]) : SWAP_RUNS_DOWN,
            .batteries = plan->known ? plan->batteries : -1,
            .power_utc = power_wanted_utc(night, i, moment->utc),
            .card_absent = moment->readings.card_absent[i],
        };
        kit->card_known =
            rig_card_make(night, i, moment->utc, moment->readings.card_free_bytes[i], &kit->card);
        kit->card_utc = card_swap_utc(night, i, moment->utc, kit->card.full_utc);
    }
}
