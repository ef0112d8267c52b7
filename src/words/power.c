/* Batteries and cards in words. */
#include <moonstand/clock_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/power_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *cold_source_name(enum cold_source source)
{
    static const char *const names[] = {"reading", "forecast", "site", "unknown"};

    return names[source];
}

const char *swap_reason_name(enum swap_reason reason)
{
    static const char *const names[] = {"runs down",       "before totality",  "after totality",
                                        "with the re-aim", "beside a contact", "in totality",
                                        "too late"};

    return names[reason];
}

enum { HOURS_MINUTES = 16, LIFE_WORDS = 112 };

/* "1:57": whole minutes that it lasts. */
static char *hours_minutes(char out[HOURS_MINUTES], double seconds)
{
    int minutes = (int)floor(fmin(seconds, 99 * 3600.0) / 60);

    return text_set(out, HOURS_MINUTES, "%d:%02d", minutes / 60, minutes % 60);
}

/* "each lasts 2:49 at 12 C (site)", "temperature unknown: 1:57 at -20 C to 3:07 at 20 C". */
static char *say_life(const struct subject *about, const struct rig_power *power,
                      char out[LIFE_WORDS])
{
    enum units units = about->reader.units;
    char cold[TEXT_AIR], warm[TEXT_AIR], least[HOURS_MINUTES], most[HOURS_MINUTES];

    (void)format_temperature(cold, power->cold_c, 0, units);
    (void)hours_minutes(least, power->life_cold_s);
    if (power->cold_from == COLD_UNKNOWN)
        return text_set(out, LIFE_WORDS, "temperature unknown: %s at %s to %s at %s", least, cold,
                        hours_minutes(most, power->life_warm_s),
                        format_temperature(warm, power->warm_c, 0, units));
    return text_set(out, LIFE_WORDS, "each lasts %s at %s (%s)", least, cold,
                    cold_source_name(power->cold_from));
}

char *supply_plan_words(const struct subject *about, int rig, const struct rig_power *power,
                        char out[SENTENCE])
{
    const struct swap_plan *plan = &power->plan;
    int missing = plan->count - power->spares;
    char clock[TEXT_INSTANT], cold[TEXT_AIR], even[TEXT_AIR + 16] = "";

    out[0] = '\0';
    if (!plan->known || !plan->external)
        return out;
    if (power->cold_from == COLD_UNKNOWN)
        (void)snprintf(even, sizeof even, " even at %s",
                       format_temperature(cold, power->warm_c, 0, about->reader.units));
    (void)clock_minute(clock, about->reader, plan->dry_utc);
    if (isfinite(plan->dry_utc) && isfinite(about->night->framing[rig].untouched.from))
        return text_set(out, SENTENCE,
                        "empty at %s%s and cannot be changed: use mains or a power bank", clock,
                        even);
    if (isfinite(plan->dry_utc))
        return text_set(out, SENTENCE, "battery ends %s%s: connect external power", clock, even);
    if (!plan->totality_free)
        return text_set(out, SENTENCE, "a change falls into totality%s: connect external power",
                        even);
    return text_set(out, SENTENCE, "%d %s missing%s: bring more, or external power", missing,
                    missing == 1 ? "battery" : "batteries", even);
}

char *supply_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct swap_plan *plan = &about->night->power[rig].plan;
    char supply[SENTENCE], clock[TEXT_INSTANT];
    char *help = strstr(supply_plan_words(about, rig, &about->night->power[rig], supply), ": ");
    bool ends = isfinite(plan->dry_utc);

    if (!help || brevity == 0 || (brevity == 1 && !ends))
        return text_set(out, SENTENCE, "%s", supply);
    if (brevity == 1)
        return text_set(out, SENTENCE, "empty %s%.120s",
                        clock_minute(clock, about->reader, plan->dry_utc), help);
    if (!ends && plan->totality_free)
        return text_set(out, SENTENCE, "%.*s", (int)(help - supply), supply);
    if (brevity == 2 || !ends)
        return text_set(out, SENTENCE, "%s", help + 2);
    return text_set(out, SENTENCE, "empty %s", clock_minute(clock, about->reader, plan->dry_utc));
}

bool swap_is_overdue(const struct subject *about, const struct rig_power *power)
{
    return about->moment && power->plan.count > 0 && power->plan.swap[0].utc < about->moment->utc;
}

enum { SWAPS_SHOWN = 3 };

/* "23:10 (before U2)", behind a mark. */
static void add_swap(const struct subject *about, const struct rig_power *power, int index,
                     const char *mark, char out[SENTENCE])
{
    const struct swap *swap = &power->plan.swap[index];
    enum swap_reason reason = swap_reason_of(about->night, power, swap);
    char clock[TEXT_INSTANT];

    text_add(out, SENTENCE, "", "%s%s", mark, clock_minute(clock, about->reader, swap->utc));
    if (reason != SWAP_RUNS_DOWN)
        text_add(out, SENTENCE, "", " (%s)", swap_reason_name(reason));
}

/* From `first` on, of those that are shown; and that there are more. */
static void add_swaps(const struct subject *about, const struct rig_power *power, int first,
                      const char *mark, char out[SENTENCE])
{
    for (int i = first; i < power->plan.count && i < SWAPS_SHOWN; i++, mark = ", ")
        add_swap(about, power, i, mark, out);
    if (power->plan.count > SWAPS_SHOWN)
        text_add(out, SENTENCE, "", " ...");
}

char *swaps_words(const struct subject *about, const struct rig_power *power, char out[SENTENCE])
{
    bool overdue = swap_is_overdue(about, power);

    out[0] = '\0';
    if (power->plan.count > 0)
        add_swap(about, power, 0, overdue ? "overdue since " : "by ", out);
    add_swaps(about, power, 1, overdue ? ", then " : ", ", out);
    return out;
}

char *later_swaps_words(const struct subject *about, const struct rig_power *power,
                        char out[SENTENCE])
{
    out[0] = '\0';
    if (power->plan.count > 1)
        add_swaps(about, power, 1, "then change ", out);
    return out;
}

/* When the battery in use is empty: an instant, or a span if the temperature is unknown. */
static void say_empty(const struct subject *about, const struct rig_power *power, bool brief,
                      char out[2 * TEXT_INSTANT])
{
    char last[TEXT_INSTANT];

    if (power->cold_from != COLD_UNKNOWN) {
        (void)(brief ? clock_minute(out, about->reader, power->empty_utc)
                     : clock_near(out, about, power->empty_utc, 0));
        return;
    }
    (void)clock_minute(out, about->reader, power->full_utc + power->life_cold_s);
    text_add(out, 2 * TEXT_INSTANT, "", " to %.30s",
             clock_minute(last, about->reader, power->full_utc + power->life_warm_s));
}

char *battery_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct kit_moment *kit = &about->moment->kit[rig];
    const struct rig_power *power = &about->night->power[rig];
    bool brief = brevity > 0, briefest = brevity > 1;
    char when[TEXT_INSTANT], empty[2 * TEXT_INSTANT], reason[40] = "";

    say_empty(about, power, brief, empty);
    if (brevity < 2)
        (void)snprintf(reason, sizeof reason, " (%s)", swap_reason_name(kit->swap_reason));
    if (isinf(power->life_s))
        return text_set(out, SENTENCE, EXTERNAL_WORDS);
    if (kit->batteries < 0)
        return text_set(out, SENTENCE, "battery life not set");
    if (kit->swap_utc <= about->moment->utc)
        return text_set(out, SENTENCE, "CHANGE %s, due %s%s%s%s", brief ? "IT" : "THE BATTERY",
                        brief ? "" : "since ", clock_minute(when, about->reader, kit->swap_utc),
                        briefest ? "" : ", empty ", briefest ? "" : empty);
    if (isfinite(kit->swap_utc))
        return text_set(out, SENTENCE, "change%s by %s%s, empty %s", brief ? "" : " the battery",
                        brief ? clock_minute(when, about->reader, kit->swap_utc)
                              : clock_near(when, about, kit->swap_utc, 0),
                        reason, empty);
    return text_set(out, SENTENCE, "battery lasts until %s", empty);
}

/* A rig that must not be touched from its first frame on until its battery is empty. */
static bool is_out_of_reach(const struct subject *about, int rig, const struct swap_plan *plan)
{
    return plan->external && plan->count == 0 && isfinite(plan->dry_utc) &&
           isfinite(about->night->framing[rig].untouched.from);
}

char *needed_words(const struct subject *about, int rig, const struct rig_power *power,
                   char out[SENTENCE])
{
    const struct swap_plan *plan = &power->plan;
    char cold[TEXT_AIR], life[LIFE_WORDS];

    if (is_out_of_reach(about, rig, plan))
        (void)snprintf(out, SENTENCE, "no time for a change");
    else
        (void)snprintf(out, SENTENCE, "%d %s needed", plan->batteries,
                       plan->batteries == 1 ? "battery" : "batteries");
    if (power->cold_from == COLD_UNKNOWN && !plan->external)
        text_add(out, SENTENCE, "", " at %s or warmer",
                 format_temperature(cold, power->temperature_c, 0, about->reader.units));
    text_add(out, SENTENCE, "", ", %d %s left; %s", power->spares,
             power->spares == 1 ? "spare" : "spares", say_life(about, power, life));
    return out;
}

char *life_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_power *power = &about->night->power[rig];
    char life[LIFE_WORDS];

    *out = '\0';
    if (isinf(power->life_s) || about->moment->kit[rig].batteries < 0)
        return out;
    if (brevity == 0)
        return needed_words(about, rig, power, out);
    const char *colon = strstr(say_life(about, power, life), ": ");
    return text_set(out, SENTENCE, "%s", brevity > 1 && colon ? colon + 2 : life);
}

char *card_plan_words(const struct subject *about, int rig, const struct card_budget *card,
                      double change_utc, char out[SENTENCE])
{
    char full[TEXT_INSTANT], change[TEXT_INSTANT];

    if (card->fits)
        return text_set(out, SENTENCE, "room for %.0f frames, %.0f still to take", card->frames_fit,
                        card->frames);
    (void)snprintf(out, SENTENCE, "room for %.0f of %.0f frames, full at %s: change it by %s%s",
                   card->frames_fit, card->frames,
                   clock_minute(full, about->reader, card->full_utc),
                   clock_minute(change, about->reader, change_utc),
                   swap_costs_aim(about->night, rig) ? " and re-aim" : "");
    if (isfinite(card->interval_fits_s))
        text_add(out, SENTENCE, "", ", or set an interval of %.0f s", card->interval_fits_s);
    if (card->bracket_fits > 0)
        text_add(out, SENTENCE, "", ", or brackets of %d", card->bracket_fits);
    return out;
}

char *card_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct kit_moment *kit = &about->moment->kit[rig];
    char full[TEXT_INSTANT], change[TEXT_INSTANT], plan[SENTENCE];

    if (kit->card_absent)
        return text_set(out, SENTENCE, brevity > 0 ? "NO CARD" : "NO CARD at %s",
                        about->night->rig[rig].rig.card_path);
    if (!kit->card_known)
        return text_set(out, SENTENCE,
                        brevity > 0 ? "no card size; %.0f frames to take"
                                    : "card size not set; %.0f frames still to take",
                        kit->card.frames);
    if (brevity == 0)
        return text_set(out, SENTENCE, "card: %.150s",
                        card_plan_words(about, rig, &kit->card, kit->card_utc, plan));
    if (kit->card.fits)
        return text_set(out, SENTENCE, "card: room for %.0f, %.0f to take", kit->card.frames_fit,
                        kit->card.frames);
    return text_set(out, SENTENCE,
                    brevity > 1 ? "full %s: change by %s" : "card full %s: change it by %s",
                    clock_minute(full, about->reader, kit->card.full_utc),
                    clock_minute(change, about->reader, kit->card_utc));
}
