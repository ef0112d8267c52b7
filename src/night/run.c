/* The run of settings through the eclipse. */
#include "derive.h"

#include <moonstand/angle.h>

#include <math.h>
#include <string.h>

#define BOUNDARY_S 1.0 /* boundaries of segments are found to this */

/* Luminances of the sunlit disc and of the sky in front of it; the sample's light is known. */
static void sample_shine(const struct night *night, const struct run_sky *sky,
                         struct run_sample *sample)
{
    const struct sight *moon = sky->moon;
    double above_air = moon_luminance(sky->shadow->phase_angle, sky->shadow->sun_distance_km);
    double extinction =
        extinction_mag(moon->altitude_rad, night->observer.height_m, night->setup.extinction_mag);

    sample->luminance = moon->altitude_rad > -moon->semidiameter_rad
                            ? above_air * extinction_factor(extinction)
                            : NAN;
    sample->sun_altitude_rad = sky->sun->altitude_airless_rad;
    sky_light(sky->sun->altitude_airless_rad, moon->altitude_airless_rad,
              moonlight_share(above_air, sample->light.mean, moon->distance_km), &sample->sky);
}

void run_sample_of(const struct night *night, const struct light_model *model, double utc,
                   const struct run_sky *sky, struct run_sample *sample)
{
    sample->utc = utc;
    light_disc(model, sky->shadow, &sample->light);
    sample_shine(night, sky, sample);
    for (int i = 0; i < night->setup.rig_count; i++)
        sample->drift_arcsec_per_s[i] =
            aim_drift_arcsec_per_s(&night->rig[i].rig, &night->track, utc);
}

void run_sample_at(const struct night *night, const struct light_model *model, double utc,
                   struct run_sample *sample)
{
    struct shadow shadow;
    struct sight moon, sun;

    shadow_at(&night->arc, tt_from_utc(utc), night->eclipse.rule, &shadow);
    sky_sights(&night->arc, &night->observer, utc, &moon, &sun);
    run_sample_of(night, model, utc, &(struct run_sky){&shadow, &moon, &sun}, sample);
}

void run_ask(const struct night *night, int rig, const struct run_sample *sample, double utc,
             struct exposure_ask *ask)
{
    const struct rig_state *state = &night->rig[rig];

    ask->phase = eclipse_phase(&night->eclipse, tt_from_utc(utc));
    ask->light = sample->light;
    ask->luminance = sample->luminance;
    ask->drift_px_per_s = sample->drift_arcsec_per_s[rig] / rig_arcsec_per_px(&state->rig);
    ask->sky = sample->sky;
    memcpy(ask->correction_stops, state->correction_stops, sizeof ask->correction_stops);
    ask->correction_stops[TARGET_UMBRA] = state->umbra_left_stops;
}

/* Interpolates light logarithmically: it changes by factors. */
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
    /* If only one of the two samples has an umbra, use its value. */
    if (!isfinite(out->light.umbra))
        out->light.umbra = isfinite(a->light.umbra) ? a->light.umbra : b->light.umbra;
    out->light.mean = mix_log(a->light.mean, b->light.mean, share);
    out->light.darkest = mix_log(a->light.darkest, b->light.darkest, share);
    out->light.umbra_share = mix(a->light.umbra_share, b->light.umbra_share, share);
    out->light.drop_mag = mix(a->light.drop_mag, b->light.drop_mag, share);
    out->luminance = mix_log(a->luminance, b->luminance, share);
    out->sky.ground_lux = mix_log(a->sky.ground_lux, b->sky.ground_lux, share);
    out->sky.luminance = mix_log(a->sky.luminance, b->sky.luminance, share);
    out->sun_altitude_rad = mix(a->sun_altitude_rad, b->sun_altitude_rad, share);
    for (int i = 0; i < RIGS; i++)
        out->drift_arcsec_per_s[i] = mix(a->drift_arcsec_per_s[i], b->drift_arcsec_per_s[i], share);
}

void run_exposure(const struct night *night, int rig, const struct run_sample *sample,
                  double more_stops, struct exposure *exposure)
{
    struct exposure_ask ask;

    run_ask(night, rig, sample, sample->utc, &ask);
    /* A bracket is shifted by what shifts its parts. */
    for (int i = 0; i < TARGETS; i++)
        if (i != TARGET_BRACKET)
            ask.correction_stops[i] += more_stops;
    exposure_choose(&night->rig[rig].rig, &ask, exposure);
}

#define LIVELY_S 600.0 /* around a contact */

static bool runs_evenly(const struct night *night, const struct run_sample *a,
                        const struct run_sample *b)
{
    if (!isfinite(a->luminance) || !isfinite(b->luminance))
        return false;
    for (int i = 0; i < CONTACT_COUNT; i++)
        if (night->contact_utc[i] > a->utc - LIVELY_S && night->contact_utc[i] < b->utc + LIVELY_S)
            return false;
    return true;
}

void run_samples_make(struct night *night, double utc_from, double utc_to)
{
    double last = fmin(floor((utc_to - utc_from) / RUN_SAMPLE_S), RUN_SAMPLES - 1);
    int count = (int)fmax(0, last + 1);

    night->sample_count = count;
    for (int i = 0; i < count; i += 2)
        run_sample_at(night, &night->light, utc_from + i * RUN_SAMPLE_S, &night->sample[i]);
    /* Every other one is between two that are known. */
    for (int i = 1; i < count; i += 2) {
        struct run_sample *sample = &night->sample[i];
        double utc = utc_from + i * RUN_SAMPLE_S;

        if (i + 1 < count && runs_evenly(night, sample - 1, sample + 1))
            sample_between(sample - 1, sample + 1, utc, sample);
        else
            run_sample_at(night, &night->light, utc, sample);
    }
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
        run_exposure(night, rig, &sample, 0, &exposure);
        if (exposure_same(before, &exposure))
            low = middle;
        else
            high = middle;
    }
    return high;
}

/* ---- what the sky hides ---- */

#define NIGHT_SUN_RAD rad_from_deg(-18)

/* The instant between two samples at which the sky is as bright as the part. */
static double crossing(const struct run_sample *a, const struct run_sample *b, double stops_a,
                       double stops_b)
{
    return a->utc + (b->utc - a->utc) * stops_a / (stops_a - stops_b);
}

/* One sample more of a rig's run: opens, keeps or closes a span. `before` is the exposure of the
 * sample before it; of the first one null. */
static void follow_lost(const struct run_sample *sample, enum target target,
                        const struct exposure *before, const struct exposure *now, struct run *run)
{
    struct lost_span *open = run->lost_count > 0 && run->lost[run->lost_count - 1].to_end
                                 ? &run->lost[run->lost_count - 1]
                                 : NULL;
    bool twilight = sample->sun_altitude_rad > NIGHT_SUN_RAD;
    bool lost = now->known && now->sky_stops > 0;
    bool same = lost && open && open->twilight == twilight;

    if (same || (!now->known && open)) {
        if (same)
            open->span.to = sample->utc;
        return;
    }
    if (open) {
        open->to_end = false;
        open->span.to =
            lost ? sample->utc : crossing(sample - 1, sample, before->sky_stops, now->sky_stops);
    }
    if (!lost || run->lost_count == LOST_SPANS)
        return;
    bool came = before && before->known && before->sky_stops < 0;
    double from =
        came ? crossing(sample - 1, sample, before->sky_stops, now->sky_stops) : sample->utc;
    run->lost[run->lost_count++] = (struct lost_span){{from, sample->utc}, target, twilight, true};
}

/* Samples are half a minute apart and ignore the horizon: spans end when the Moon is down. */
static void clip_lost(const struct night *night, double end, struct run *run)
{
    const struct run whole = *run;
    struct span up[UP_SPANS];
    int spans = up_spans_to(night, end, up);

    run->lost_count = 0;
    for (int i = 0; i < whole.lost_count; i++)
        for (int j = 0; j < spans && run->lost_count < LOST_SPANS; j++) {
            struct lost_span lost = whole.lost[i];

            lost.span.from = fmax(lost.span.from, up[j].from);
            lost.to_end = lost.to_end || lost.span.to > up[j].to;
            lost.span.to = fmin(lost.span.to, up[j].to);
            if (lost.span.from < lost.span.to)
                run->lost[run->lost_count++] = lost;
        }
}

static void run_of_rig(const struct night *night, int rig, struct run *run)
{
    const struct run_sample *sample = night->sample;
    struct segment *segment = run->segment;
    enum target target = night->rig[rig].rig.target;
    struct exposure before;
    double end = night->rig[rig].ends_utc;

    run->count = run->lost_count = 0;
    if (night->sample_count == 0)
        return;
    *segment = (struct segment){.utc_from = sample->utc, .utc_to = sample->utc};
    run_exposure(night, rig, sample, 0, &segment->exposure);
    run->count = 1;
    before = segment->exposure;
    follow_lost(sample, target, NULL, &before, run);
    for (int i = 1; i < night->sample_count && sample[i - 1].utc < end; i++) {
        struct exposure exposure;

        run_exposure(night, rig, &sample[i], 0, &exposure);
        follow_lost(&sample[i], target, &before, &exposure, run);
        before = exposure;
        if (!exposure_same(&segment->exposure, &exposure) && run->count < SEGMENTS) {
            double utc = boundary(night, rig, &sample[i - 1], &sample[i], &segment->exposure);

            segment->utc_to = utc;
            segment++;
            run->count++;
            *segment = (struct segment){.utc_from = utc, .exposure = exposure};
        }
        segment->utc_to = fmin(sample[i].utc, end);
    }
    if (segment->utc_from >= end)
        run->count--;
    clip_lost(night, end, run);
}

void run_make(struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++)
        run_of_rig(night, i, &night->run[i]);
}
