/* What the batteries do, in words. */
#include <moonstand/night.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>

enum { HOURS_MINUTES = 16 };

/* "1:57": whole minutes that it lasts. */
static char *hours_minutes(char out[HOURS_MINUTES], double seconds)
{
    int minutes = (int)floor(fmin(seconds, 99 * 3600.0) / 60);

    (void)snprintf(out, HOURS_MINUTES, "%d:%02d", minutes / 60, minutes % 60);
    return out;
}

char *battery_life_words(const struct night *night, const struct rig_power *power,
                         char out[POWER_WORDS])
{
    enum units units = night->setup.units;
    char cold[TEXT_AIR], warm[TEXT_AIR], least[HOURS_MINUTES], most[HOURS_MINUTES];

    (void)format_temperature(cold, power->cold_c, 0, units);
    (void)hours_minutes(least, power->life_cold_s);
    if (power->cold_from == COLD_UNKNOWN)
        (void)snprintf(out, POWER_WORDS, "temperature unknown: %s at %s to %s at %s", least, cold,
                       hours_minutes(most, power->life_warm_s),
                       format_temperature(warm, power->warm_c, 0, units));
    else
        (void)snprintf(out, POWER_WORDS, "each lasts %s at %s (%s)", least, cold,
                       cold_source_name(power->cold_from));
    return out;
}

char *supply_words(const struct subject *about, int rig, const struct rig_power *power,
                   char out[POWER_WORDS])
{
    const struct swap_plan *plan = &power->plan;
    int missing = plan->count - power->spares;
    char clock[TEXT_INSTANT], cold[TEXT_AIR], even[TEXT_AIR + 16] = "";

    out[0] = '\0';
    if (!plan->known || !plan->external)
        return out;
    if (power->cold_from == COLD_UNKNOWN)
        (void)snprintf(even, sizeof even, " even at %s",
                       format_temperature(cold, power->warm_c, 0, about->night->setup.units));
    if (isfinite(plan->dry_utc) && isfinite(about->night->framing[rig].untouched.from))
        (void)snprintf(out, POWER_WORDS,
                       "empty at %s%s and cannot be changed: use mains or a power bank",
                       clock_minute(clock, about->reader, plan->dry_utc), even);
    else if (isfinite(plan->dry_utc))
        (void)snprintf(out, POWER_WORDS, "battery ends %s%s: connect external power",
                       clock_minute(clock, about->reader, plan->dry_utc), even);
    else if (!plan->totality_free)
        (void)snprintf(out, POWER_WORDS, "a change falls into totality%s: connect external power",
                       even);
    else
        (void)snprintf(out, POWER_WORDS, "%d %s missing%s: bring more, or external power", missing,
                       missing == 1 ? "battery" : "batteries", even);
    return out;
}
