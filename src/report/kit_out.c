/* Batteries, cards and the air, in every print that has them. */
#include "print.h"

#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SWAPS_TOLD = 3 };

static bool is_told(const struct rig_power *power)
{
    return power->plan.known && !isinf(power->life_s);
}

/* ---- for tools ---- */

void put_power(struct document *document, cJSON *object, const struct night *night,
               const struct rig_power *power)
{
    const struct swap_plan *plan = &power->plan;
    cJSON *swaps;

    if (power->cold_from != COLD_UNKNOWN)
        put_number(document, object, "temperature_c", power->temperature_c, 1);
    else
        put_number(document, object, "planned_for_c", power->temperature_c, 1);
    put_text(document, object, "temperature_from", cold_source_name(power->cold_from));
    put_flag(document, object, "external", isinf(power->life_s));
    if (!is_told(power))
        return;
    put_number(document, object, "life_s", power->life_s, 0);
    if (power->cold_from == COLD_UNKNOWN) {
        put_number(document, object, "life_least_s", power->life_cold_s, 0);
        put_number(document, object, "life_most_s", power->life_warm_s, 0);
    }
    put_instant(document, object, "empty", power->empty_utc);
    put_number(document, object, "spares", power->spares, 0);
    put_number(document, object, "batteries", plan->batteries, 0);
    put_flag(document, object, "external_wanted", plan->external);
    put_flag(document, object, "totality_free", plan->totality_free);
    put_instant(document, object, "dry", plan->dry_utc);
    swaps = put_array(document, object, "swaps");
    for (int i = 0; i < plan->count && i < SWAPS; i++) {
        cJSON *swap = put_object(document, swaps, NULL);

        put_instant(document, swap, "at", plan->swap[i].utc);
        put_text(document, swap, "reason",
                 swap_reason_name(swap_reason_of(night, power, &plan->swap[i])));
        put_flag(document, swap, "with_re_aim", plan->swap[i].at_re_aim);
    }
}

void put_card(struct document *document, cJSON *object, const struct card_budget *card, bool known,
              double change_utc)
{
    put_number(document, object, "frames", card->frames, 0);
    if (!known)
        return;
    put_number(document, object, "frames_fit", card->frames_fit, 0);
    put_flag(document, object, "fits", card->fits);
    if (card->fits)
        return;
    put_instant(document, object, "full", card->full_utc);
    put_instant(document, object, "change", change_utc);
    put_number(document, object, "interval_fits_s", card->interval_fits_s, 0);
    if (card->bracket_fits > 0)
        put_number(document, object, "bracket_fits", card->bracket_fits, 0);
}

static void put_forecast(struct document *document, cJSON *object, const struct moment *moment)
{
    const struct forecast_row *row = &moment->forecast;

    put_number(document, object, "cloud_percent", row->cloud_percent, 0);
    put_number(document, object, "temperature_c", row->temperature_c, 1);
    put_number(document, object, "humidity_percent", row->humidity_percent, 0);
    put_number(document, object, "wind_m_s", row->wind_m_s, 1);
    put_number(document, object, "age_s", moment->forecast_age_s, 0);
    put_flag(document, object, "old", moment->forecast_old);
}

void put_moment_air(struct document *document, cJSON *object, const struct night *night,
                    const struct moment *moment)
{
    const struct air_trend *trend = &moment->air_trend;
    const char *trouble = moment->readings.air_trouble;
    cJSON *entry;

    put_air(document, object, &moment->air);
    put_number(document, object, "age_s", moment->air_age_s, 1);
    put_instant(document, object, "glass_dry", night->glass_utc);
    if (moment->air_used.source != AIR_UNKNOWN) {
        put_text(document, object, "source",
                 moment->air_used.source == AIR_READ ? "reading" : "forecast");
        put_flag(document, object, "old", moment->air_used.old);
    }
    if (trend->count > 0) {
        entry = put_object(document, object, "trend");
        put_number(document, entry, "readings", trend->count, 0);
        put_number(document, entry, "temperature_c_per_h", trend->temperature_c_per_h, 2);
        put_number(document, entry, "margin_c_per_h", trend->margin_c_per_h, 2);
        put_instant(document, entry, "gone", trend->gone_utc);
    }
    if (night->forecast.count > 0)
        put_forecast(document, put_object(document, object, "forecast"), moment);
    put_text(document, object, "sensor_trouble", *trouble ? trouble : NULL);
}

void put_moment_kit(struct document *document, cJSON *object, const struct night *night,
                    const struct moment *moment)
{
    cJSON *rigs = put_array(document, object, "rigs");

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct kit_moment *kit = &moment->kit[i];
        cJSON *rig = put_object(document, rigs, NULL), *card;

        put_text(document, rig, "name", night->rig[i].rig.name);
        put_power(document, put_object(document, rig, "power"), night, &night->power[i]);
        card = put_object(document, rig, "card");
        put_card(document, card, &kit->card, kit->card_known, kit->card_utc);
        put_number(document, card, "free_bytes", moment->readings.card_free_bytes[i], 0);
        if (*night->rig[i].rig.card_path)
            put_flag(document, card, "absent", kit->card_absent);
    }
}

/* ---- for people ---- */

/* `now`: NaN for a plan, in which nothing is overdue. */
static void print_swaps(FILE *out, const struct night *night, const struct rig_power *power,
                        double now)
{
    const struct swap_plan *plan = &power->plan;
    bool overdue = plan->count > 0 && plan->swap[0].utc < now;
    char text[160] = "", clock[TEXT_INSTANT];

    for (int i = 0; i < plan->count && i < SWAPS_TOLD; i++) {
        enum swap_reason reason = swap_reason_of(night, power, &plan->swap[i]);
        size_t length = strlen(text);

        (void)snprintf(text + length, sizeof text - length, "%s%s%s%s%s",
                       i == 0              ? ""
                       : i == 1 && overdue ? "; then "
                                           : ", ",
                       clock_minute(clock, reader_local(night), plan->swap[i].utc),
                       reason == SWAP_RUNS_DOWN ? "" : " (",
                       reason == SWAP_RUNS_DOWN ? "" : swap_reason_name(reason),
                       reason == SWAP_RUNS_DOWN ? "" : ")");
    }
    if (plan->count > 0)
        text_entry(out, overdue ? "  SWAP" : "  swap", "%s %s%s", overdue ? "overdue since" : "at",
                   text, plan->count > SWAPS_TOLD ? " ..." : "");
}

void print_power(FILE *out, const struct night *night, int index, const struct rig_power *power,
                 double now)
{
    const struct swap_plan *plan = &power->plan;
    const struct subject about = {night, NULL, reader_local(night)};
    char text[POWER_WORDS], from[TEXT_AIR + 24] = "", temperature[TEXT_AIR];

    if (isinf(power->life_s))
        text_entry(out, "  power", "external power");
    if (!is_told(power))
        return;
    if (power->cold_from == COLD_UNKNOWN && !plan->external)
        (void)snprintf(
            from, sizeof from, " at %s or warmer",
            format_temperature(temperature, power->temperature_c, 0, night->setup.units));
    text_entry(out, "  power", "%d %s needed%s, %d %s left; %s", plan->batteries,
               plan->batteries == 1 ? "battery" : "batteries", from, power->spares,
               power->spares == 1 ? "spare" : "spares", battery_life_words(night, power, text));
    print_swaps(out, night, power, now);
    if (*supply_words(&about, index, power, text))
        text_entry(out, "  POWER", "%s", text);
}

void print_card(FILE *out, const struct night *night, int index, const struct card_budget *card,
                double change_utc)
{
    char full[TEXT_INSTANT], change[TEXT_INSTANT], help[96] = "";

    if (card->fits) {
        text_entry(out, "  card", "room for %.0f frames, %.0f planned", card->frames_fit,
                   card->frames);
        return;
    }
    if (isfinite(card->interval_fits_s))
        (void)snprintf(help, sizeof help, ", or an interval of %.0f s", card->interval_fits_s);
    if (card->bracket_fits > 0) {
        size_t length = strlen(help);

        (void)snprintf(help + length, sizeof help - length, ", or brackets of %d",
                       card->bracket_fits);
    }
    text_entry(out, "  CARD", "room for %.0f frames, %.0f planned, full at %s: change it at %s%s%s",
               card->frames_fit, card->frames,
               clock_second(full, reader_local(night), card->full_utc),
               clock_minute(change, reader_local(night), change_utc),
               swap_costs_aim(night, index) ? " and re-aim" : "", help);
}

void print_moment_kit(FILE *out, const struct night *night, int index, const struct moment *moment)
{
    const struct kit_moment *kit = &moment->kit[index];

    if (moment->utc < night->shooting[index].utc_to &&
        moment->utc > night->shooting[index].utc_from - SECONDS_PER_DAY)
        print_power(out, night, index, &night->power[index], moment->utc);
    if (kit->card_absent)
        text_entry(out, "  card", "none at %s", night->rig[index].rig.card_path);
    else if (kit->card_known)
        print_card(out, night, index, &kit->card, kit->card_utc);
}

/* Of a glass that is likely to be wet: whether a look is asked for, or why not. */
static void print_glass(FILE *out, const struct night *night, const struct moment *moment)
{
    char text[GLASS_WORDS], clock[TEXT_INSTANT];

    if (!isfinite(moment->air.margin_c) || moment->air.advice < AIR_HEAT)
        return;
    if (*glass_words(&(struct subject){night, moment, reader_local(night)}, text))
        text_entry(out, "Glass", "%s", text);
    else if (moment->utc < moment->glass_quiet_utc)
        text_entry(out, "Glass", "was dry, next look at %s",
                   clock_second(clock, reader_local(night), moment->glass_quiet_utc));
    else
        text_entry(out, "Glass", "every heater is on");
}

void print_moment_air(FILE *out, const struct night *night, const struct moment *moment)
{
    const struct air *air = &moment->air;
    const struct air_trend *trend = &moment->air_trend;
    const struct forecast_row *row = &moment->forecast;
    enum units units = night->setup.units;
    char age[TEXT_SPAN], clock[TEXT_INSTANT], temperature[TEXT_AIR], dew[TEXT_AIR],
        margin[TEXT_AIR];

    if (!isfinite(air->margin_c))
        text_entry(out, "Air", "no reading");
    else
        text_entry(out, "Air", "%s, %.0f %%, dew point %s, margin %s: %s (%s%s%s)",
                   format_temperature(temperature, air->temperature_c, 1, units),
                   air->humidity_percent, format_temperature(dew, air->dew_point_c, 1, units),
                   format_warmth(margin, air->margin_c, false, units),
                   air_advice_words(air->advice),
                   moment->air_used.source == AIR_FORECAST ? "forecast" : "",
                   moment->air_used.source == AIR_FORECAST ? moment->air_used.old ? ", old" : ""
                                                           : format_span(age, moment->air_age_s),
                   moment->air_used.source == AIR_FORECAST ? "" : " ago");
    print_glass(out, night, moment);
    if (isfinite(trend->margin_c_per_h))
        text_entry(out, "", "margin %s an hour%s%s",
                   format_warmth(margin, trend->margin_c_per_h, true, units),
                   isfinite(trend->gone_utc) ? ", gone at " : "",
                   isfinite(trend->gone_utc)
                       ? clock_second(clock, reader_local(night), trend->gone_utc)
                       : "");
    if (isfinite(row->cloud_percent))
        text_entry(out, "Sky", "forecast: cloud %.0f %%%s", row->cloud_percent,
                   moment->forecast_old ? " (old forecast)" : "");
}
