/* Batteries, cards and the air, in every print that has them. */
#include "print.h"

#include <moonstand/around_words.h>
#include <moonstand/power_words.h>

#include <math.h>
#include <stdio.h>

static bool is_told(const struct rig_power *power)
{
    return power->plan.known && !isinf(power->life_s);
}

/* ---- for tools ---- */

void put_power(struct node object, const struct night *night, const struct rig_power *power)
{
    const struct swap_plan *plan = &power->plan;

    put_number(object, power->cold_from == COLD_UNKNOWN ? "planned_for_c" : "temperature_c",
               power->temperature_c, 1);
    put_text(object, "temperature_from", cold_source_name(power->cold_from));
    put_flag(object, "external", isinf(power->life_s));
    if (!is_told(power))
        return;
    put_number(object, "life_s", power->life_s, 0);
    if (power->cold_from == COLD_UNKNOWN) {
        put_number(object, "life_least_s", power->life_cold_s, 0);
        put_number(object, "life_most_s", power->life_warm_s, 0);
    }
    put_instant(object, "empty", power->empty_utc);
    put_number(object, "spares", power->spares, 0);
    put_number(object, "batteries", plan->batteries, 0);
    put_flag(object, "external_wanted", plan->external);
    put_flag(object, "totality_free", plan->totality_free);
    put_instant(object, "dry", plan->dry_utc);
    struct node swaps = put_array(object, "swaps");
    for (int i = 0; i < plan->count && i < SWAPS; i++) {
        struct node swap = put_object(swaps, NULL);

        put_instant(swap, "at", plan->swap[i].utc);
        put_text(swap, "reason", swap_reason_name(swap_reason_of(night, power, &plan->swap[i])));
        put_flag(swap, "with_re_aim", plan->swap[i].at_re_aim);
    }
}

void put_card(struct node object, const struct card_budget *card, bool known, double change_utc)
{
    put_number(object, "frames", card->frames, 0);
    if (!known)
        return;
    put_number(object, "frames_fit", card->frames_fit, 0);
    put_flag(object, "fits", card->fits);
    if (card->fits)
        return;
    put_instant(object, "full", card->full_utc);
    put_instant(object, "change", change_utc);
    put_number(object, "interval_fits_s", card->interval_fits_s, 0);
    if (card->bracket_fits > 0)
        put_number(object, "bracket_fits", card->bracket_fits, 0);
}

void put_forecast(struct node object, const struct forecast_row *row, double age_s, bool old)
{
    put_number(object, "cloud_percent", row->cloud_percent, 0);
    put_number(object, "temperature_c", row->temperature_c, 1);
    put_number(object, "humidity_percent", row->humidity_percent, 0);
    put_number(object, "wind_m_s", row->wind_m_s, 1);
    put_number(object, "age_s", age_s, 0);
    put_flag(object, "old", old);
}

void put_moment_air(struct node object, const struct night *night, const struct moment *moment)
{
    const struct air_trend *trend = &moment->air_trend;

    put_air(object, &moment->air);
    put_number(object, "age_s", moment->air_used.age_s, 1);
    put_instant(object, "glass_dry", night->glass_utc);
    if (moment->air_used.source != AIR_UNKNOWN) {
        put_text(object, "source", moment->air_used.source == AIR_READ ? "reading" : "forecast");
        put_flag(object, "old", moment->air_used.old);
    }
    if (trend->count > 0) {
        struct node entry = put_object(object, "trend");
        put_number(entry, "readings", trend->count, 0);
        put_number(entry, "temperature_c_per_h", trend->temperature_c_per_h, 2);
        put_number(entry, "margin_c_per_h", trend->margin_c_per_h, 2);
        put_instant(entry, "gone", trend->gone_utc);
    }
    if (night->forecast.count > 0)
        put_forecast(put_object(object, "forecast"), &moment->forecast, moment->forecast_age_s,
                     moment->forecast_old);
    put_text(object, "sensor_trouble", text_or_null(moment->readings.air_trouble));
}

void put_moment_kit(struct node object, const struct night *night, const struct moment *moment)
{
    struct node rigs = put_array(object, "rigs");

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct kit_moment *kit = &moment->kit[i];
        struct node rig = put_object(rigs, NULL);

        put_text(rig, "name", night->rig[i].rig.name);
        put_power(put_object(rig, "power"), night, &night->power[i]);
        struct node card = put_object(rig, "card");
        put_card(card, &kit->card, kit->card_known, kit->card_utc);
        put_number(card, "free_bytes", moment->readings.card_free_bytes[i], 0);
        if (*night->rig[i].rig.card_path)
            put_flag(card, "absent", kit->card_absent);
    }
}

int report_air_json(FILE *out, const struct air *air)
{
    struct document document;

    struct node root = document_object(&document);
    put_air(root, air);
    return document_write(&document, out);
}

/* ---- for people ---- */

void print_power(FILE *out, const struct subject *about, int rig, const struct rig_power *power)
{
    char text[SENTENCE];

    if (isinf(power->life_s))
        text_entry(out, "  power", EXTERNAL_WORDS);
    if (!is_told(power))
        return;
    text_entry(out, "  power", "%s", needed_words(about, rig, power, text));
    text_entry(out, swap_is_overdue(about, power) ? "  SWAP" : "  swap", "%s",
               swaps_words(about, power, text));
    text_entry(out, "  POWER", "%s", supply_plan_words(about, rig, power, text));
}

void print_moment_kit(FILE *out, const struct subject *about, int rig)
{
    const struct moment *moment = about->moment;
    const struct kit_moment *kit = &moment->kit[rig];
    const struct shooting *shooting = &about->night->shooting[rig];
    char text[SENTENCE];

    if (moment->utc < shooting->utc_to && moment->utc > shooting->utc_from - SECONDS_PER_DAY)
        print_power(out, about, rig, &about->night->power[rig]);
    if (kit->card_absent || kit->card_known)
        text_entry(out, kit->card_known && !kit->card.fits ? "  CARD" : "  card", "%s",
                   kit->card_absent ? card_words(about, rig, 0, text)
                                    : card_plan_words(about, rig, &kit->card, kit->card_utc, text));
}

void print_moment_air(FILE *out, const struct subject *about)
{
    const struct forecast_row *row = &about->moment->forecast;
    char text[SENTENCE], source[SENTENCE];

    (void)air_source_words(about, -1, 0, source);
    text_entry(out, "Air", "%s%s%s%s", air_words(about, -1, 0, text), *source ? " (" : "", source,
               *source ? ")" : "");
    text_entry(out, "", "%s", air_trend_words(about, -1, 0, text));
    text_entry(out, "", "%s", glass_state_words(about, -1, 0, text));
    if (isfinite(row->cloud_percent))
        text_entry(
            out, "Sky", "%s, %s", cloud_words(row->cloud_percent, text),
            forecast_age_words(about->moment->forecast_age_s, about->moment->forecast_old, source));
}

static void print_celsius(FILE *out, const char *label, double celsius)
{
    char text[TEXT_AIR];

    text_entry(out, label, "%s", format_temperature(text, celsius, 1, UNITS_METRIC));
}

int report_air_text(FILE *out, const struct air *air)
{
    text_entry(out, "Air", "%.1f C, %.0f %%", air->temperature_c, air->humidity_percent);
    print_celsius(out, "Dew point", air->dew_point_c);
    if (isfinite(air->frost_point_c))
        print_celsius(out, "Frost pt.", air->frost_point_c);
    print_celsius(out, "Glass", air->glass_c);
    if (isfinite(air->margin_c))
        text_entry(out, "Margin", "%.1f C: %s", air->margin_c, air_advice_words(air->advice));
    return text_done(out);
}
