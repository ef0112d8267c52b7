/* The run of settings through the eclipse. */
#include "night.h"

#include <math.h>
#include <string.h>

#define BOUNDARY_S 1.0 /* boundaries of segments are found to this */

void run_sample_of(const struct night *night, double utc, const struct shadow *shadow,
                   const struct sight *moon, const struct sight *sun, struct run_sample *sample)
{
    sample->utc = utc;
    light_disc(&night->light, shadow, &sample->light);
    sample->luminance = NAN;
    if (moon->altitude_rad > -moon->semidiameter_rad)
        sample->luminance =
            moon_luminance(shadow->phase_angle, shadow->sun_distance_km) *
            extinction_factor(extinction_mag(moon->altitude_rad, night->observer.height_m,
                                             night->setup.extinction_mag));
    sample->sun_altitude_rad = sun->altitude_airless_rad;
    for (int i = 0; i < night->setup.rig_count; i++)
        sample->drift_arcsec_per_s[i] =
            aim_drift_arcsec_per_s(&night->rig[i].rig, &night->track, utc);
}

void run_sample_at(const struct night *night, double utc, struct run_sample *sample)
{
    struct shadow shadow;
    struct sight moon, sun;

    shadow_at(&night->arc, tt_from_utc(utc), night->eclipse.rule, &shadow);
    sky_moon(&night->arc, &night->observer, utc, &moon);
    sky_sun(&night->arc, &night->observer, utc, &sun);
    run_sample_of(night, utc, &shadow, &moon, &sun, sample);
}

void run_ask(const struct night *night, int rig, const struct run_sample *sample, double utc,
             struct exposure_ask *ask)
{
    const struct rig_state *state = &night->rig[rig];

    ask->phase = eclipse_phase(&night->eclipse, tt_from_utc(utc));
    ask->light = sample->light;
    ask->luminance = sample->luminance;
    ask->drift_px_per_s = sample->drift_arcsec_per_s[rig] / rig_arcsec_per_px(&state->rig);
    ask->sun_altitude_rad = sample->sun_altitude_rad;
    memcpy(ask->correction_stops, state->correction_stops, sizeof ask->correction_stops);
    ask->correction_stops[TARGET_UMBRA] = state->umbra_left_stops;
}

/* Between two samples light changes by factors, so its logarithm is what runs straight. */
static double mix_log(double a, double b, double share)
{
    return exp(log(a) * (1 - share) + log(b) * share);
}

static double mix(double a, double b, double share)
{
    return a * (1 - share) + b * share;
}

static void sample_between(const struct run_sample *a, const struct run_sample *b, double utc,
                           struct run_sample *out)
{
    double share = (utc - a->utc) / (b->utc - a->utc);

    out->utc = utc;
    out->light.lit = mix_log(a->light.lit, b->light.lit, share);
    out->light.umbra = mix_log(a->light.umbra, b->light.umbra, share);
    /* Where the umbra comes or goes between the samples, the one that has it speaks. */
    if (!isfinite(out->light.umbra))
        out->light.umbra = isfinite(a->light.umbra) ? a->light.umbra : b->light.umbra;
    out->light.mean = mix_log(a->light.mean, b->light.mean, share);
    out->light.darkest = mix_log(a->light.darkest, b->light.darkest, share);
    out->light.umbra_share = mix(a->light.umbra_share, b->light.umbra_share, share);
    out->light.drop_mag = mix(a->light.drop_mag, b->light.drop_mag, share);
    out->luminance = mix_log(a->luminance, b->luminance, share);
    out->sun_altitude_rad = mix(a->sun_altitude_rad, b->sun_altitude_rad, share);
    for (int i = 0; i < RIGS; i++)
        out->drift_arcsec_per_s[i] = mix(a->drift_arcsec_per_s[i], b->drift_arcsec_per_s[i], share);
}

static void exposure_of(const struct night *night, int rig, const struct run_sample *sample,
                        struct exposure *exposure)
{
    struct exposure_ask ask;

    run_ask(night, rig, sample, sample->utc, &ask);
    exposure_choose(&night->rig[rig].rig, &ask, exposure);
}

/* The instant between two samples at which the setting of the first one ends. */
static double boundary(const struct night *night, int rig, const struct run_sample *a,
                       const struct run_sample *b, const struct exposure *before)
{
    double low = a->utc, high = b->utc;

    while (high - low > BOUNDARY_S) {
        double middle = (low + high) / 2;
        struct run_sample sample;
        struct exposure exposure;

        sample_between(a, b, middle, &sample);
        exposure_of(night, rig, &sample, &exposure);
        if (exposure_same(before, &exposure))
            low = middle;
        else
            high = middle;
    }
    return high;
}

static void run_of_rig(const struct night *night, int rig, struct run *run)
{
    const struct run_sample *sample = night->sample;
    struct segment *segment = run->segment;

    run->count = 0;
    if (night->sample_count == 0)
        return;
    *segment = (struct segment){.utc_from = sample->utc, .utc_to = sample->utc};
    exposure_of(night, rig, sample, &segment->exposure);
    run->count = 1;
    for (int i = 1; i < night->sample_count; i++) {
        struct exposure exposure;

        exposure_of(night, rig, &sample[i], &exposure);
        if (!exposure_same(&segment->exposure, &exposure) && run->count < SEGMENTS) {
            double utc = boundary(night, rig, &sample[i - 1], &sample[i], &segment->exposure);

            segment->utc_to = utc;
            segment++;
            run->count++;
            *segment = (struct segment){.utc_from = utc, .exposure = exposure};
        }
        segment->utc_to = sample[i].utc;
    }
}

void run_make(struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++)
        run_of_rig(night, i, &night->run[i]);
}
