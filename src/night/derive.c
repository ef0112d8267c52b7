/* What follows from site, eclipse, setup and state. */
#include "derive.h"

#include <moonstand/pick.h>

#include <math.h>
#include <stdlib.h>

#define HALF_NIGHT_S (12 * 3600.0)
#define DAY_BEHIND_S 3600.0
#define DAY_AHEAD_S (23 * 3600.0)
#define ADVICE_S 20.0
/* Shading is first seen by eye at about this penumbral magnitude: common practice, no source. */
#define SHADING_MAGNITUDE 0.6

static double greatest_utc(const struct night *night)
{
    return night->contact_utc[CONTACT_GREATEST];
}

static void cover(struct night *night, double utc_from, double utc_to)
{
    night->utc_from = utc_from;
    night->utc_to = utc_to;
    /* A failed fit leaves a span without positions; they then read as unknown. */
    (void)arc_make(&night->arc, tt_from_utc(utc_from) - 60, tt_from_utc(utc_to) + 60, true);
    track_make(&night->track, &night->arc, &night->observer, utc_from, utc_to);
}

static void cover_eclipse(struct night *night)
{
    cover(night, greatest_utc(night) - HALF_NIGHT_S, greatest_utc(night) + HALF_NIGHT_S);
    night->eclipse_track = night->track;
}

static bool covers_eclipse(const struct night *night)
{
    return night->utc_from == greatest_utc(night) - HALF_NIGHT_S;
}

static bool in_eclipse_night(const struct night *night, double utc)
{
    return fabs(utc - greatest_utc(night)) <= HALF_NIGHT_S;
}

static void cover_night_of(struct night *night, double utc)
{
    if (in_eclipse_night(night, utc))
        cover_eclipse(night);
    else
        cover(night, utc - DAY_BEHIND_S, utc + DAY_AHEAD_S);
}

/* ---- events ---- */

static int compare_events(const void *a, const void *b)
{
    double first = ((const struct night_event *)a)->utc,
           second = ((const struct night_event *)b)->utc;

    return (first > second) - (first < second);
}

static void add_event(struct night *night, enum night_event_kind kind, int which, int rig,
                      double utc)
{
    struct sight moon;

    if (!isfinite(utc) || night->event_count >= NIGHT_EVENTS)
        return;
    sky_moon(&night->arc, &night->observer, utc, &moon);
    night->event[night->event_count++] = (struct night_event){kind, which, rig, utc, moon.up};
}

static double penumbral_magnitude(const struct night *night, double tt)
{
    struct shadow shadow;

    shadow_at(&night->arc, tt, night->eclipse.rule, &shadow);
    return shadow.penumbral_magnitude;
}

/* The TT between a contact outside and greatest at which shading begins (or ceases) to be seen. */
static double shading_tt(const struct night *night, enum contact outside)
{
    double low = night->eclipse.tt[outside], high = night->eclipse.tt[CONTACT_GREATEST];

    if (night->eclipse.penumbral_magnitude < SHADING_MAGNITUDE)
        return NAN;
    for (int i = 0; i < 20; i++) {
        double middle = (low + high) / 2;

        if (penumbral_magnitude(night, middle) < SHADING_MAGNITUDE)
            low = middle;
        else
            high = middle;
    }
    return high;
}

static void add_sky_events(struct night *night, bool of_eclipse_night)
{
    struct sky_event sky[NIGHT_EVENTS];
    int count = sky_events(&night->arc, &night->observer, night->utc_from, night->utc_to, sky,
                           NIGHT_EVENTS);

    for (int i = 0; i < count; i++)
        if (in_eclipse_night(night, sky[i].utc) == of_eclipse_night)
            add_event(night, NIGHT_SKY, (int)sky[i].kind, -1, sky[i].utc);
    qsort(night->event, (size_t)night->event_count, sizeof night->event[0], compare_events);
}

/* What the mounts will have to do in the night. */
static void add_mount_events(struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct framing *framing = &night->framing[i];

        mount_duties_make(night, i, framing);
        if (framing->flips)
            add_event(night, NIGHT_FLIP, framing->flip.in_totality, i, framing->flip.advised_utc);
        for (int j = 0; j < framing->limit_count; j++)
            add_event(night, NIGHT_LIMIT, 2 * framing->limit[j].upper + framing->limit[j].enters, i,
                      framing->limit[j].utc);
    }
}

static void derive_events(struct night *night)
{
    night->event_count = 0;
    for (int i = 0; i < CONTACT_COUNT; i++)
        add_event(night, NIGHT_CONTACT, i, -1, night->contact_utc[i]);
    add_event(night, NIGHT_SHADING, 0, -1, utc_from_tt(shading_tt(night, CONTACT_P1)));
    add_event(night, NIGHT_SHADING, 1, -1, utc_from_tt(shading_tt(night, CONTACT_P4)));
    add_mount_events(night);
    add_sky_events(night, true);
}

/* The events of another day beside those of the eclipse's night. */
static void follow_events(struct night *night)
{
    int kept = 0;

    for (int i = 0; i < night->event_count; i++)
        if (in_eclipse_night(night, night->event[i].utc))
            night->event[kept++] = night->event[i];
    night->event_count = kept;
    add_sky_events(night, false);
}

const char *night_event_name(const struct night_event *event)
{
    static const char *const sky_names[] = {
        [SKY_MOONRISE] = "moonrise",
        [SKY_MOONSET] = "moonset",
        [SKY_MOON_TRANSIT] = "moon_highest",
        [SKY_SUNRISE] = "sunrise",
        [SKY_SUNSET] = "sunset",
        [SKY_CIVIL_DUSK] = "civil_dusk",
        [SKY_CIVIL_DAWN] = "civil_dawn",
        [SKY_NAUTICAL_DUSK] = "nautical_dusk",
        [SKY_NAUTICAL_DAWN] = "nautical_dawn",
        [SKY_ASTRONOMICAL_DUSK] = "astronomical_dusk",
        [SKY_ASTRONOMICAL_DAWN] = "astronomical_dawn",
    };

    static const char *const limit_names[] = {
        [LIMIT_TOO_LOW] = "too_low",
        [LIMIT_LOW_REACHED] = "high_enough",
        [LIMIT_TOO_HIGH] = "too_high",
        [LIMIT_HIGH_REACHED] = "low_enough",
    };

    switch (event->kind) {
    case NIGHT_CONTACT:
        return contact_name((enum contact)event->which);
    case NIGHT_SHADING:
        return event->which == 0 ? "shading_begins" : "shading_ends";
    case NIGHT_SKY:
        return sky_names[event->which];
    case NIGHT_FLIP:
        return event->which ? "flip_in_totality" : "flip";
    case NIGHT_LIMIT:
        return limit_names[event->which];
    }
    return "";
}

bool night_event_is_horizon(const struct night_event *event)
{
    return event->kind == NIGHT_SKY &&
           (event->which == SKY_MOONRISE || event->which == SKY_MOONSET);
}

bool night_event_is_main(const struct night_event *event)
{
    return event->kind == NIGHT_CONTACT || night_event_is_horizon(event);
}

bool night_event_counts(const struct night *night, const struct night_event *event)
{
    if (event->kind == NIGHT_FLIP && event->rig >= 0)
        return isnan(night->rig[event->rig].flipped_utc);
    return event->kind != NIGHT_SKY || night_event_is_horizon(event);
}

/* ---- light ---- */

/* A rating by eye, if there is one, knows more of the air than the setup. */
static double air_state(const struct night *night)
{
    if (!isfinite(night->danjon_rating))
        return night->setup.danjon;
    return danjon_state_from_rating(night->danjon_rating, night->eclipse.umbral_magnitude);
}

/* What the camera sees of the umbra: the sky in front of it included. */
static double umbra_luminance(const struct run_sample *sample)
{
    return moon_part_luminance(sample->luminance, sample->light.umbra) + sample->sky.luminance;
}

/* How much brighter (+) the umbra is exposed for what test frames showed of the air. */
static double told_stops(const struct night *night, double utc)
{
    struct light_model untold = night->light;
    struct run_sample before, after;
    double stops;

    light_set_danjon(&untold, air_state(night));
    run_sample_at(night, &untold, utc, &before);
    run_sample_at(night, &night->light, utc, &after);
    stops = log2(umbra_luminance(&before) / umbra_luminance(&after));
    return isfinite(stops) ? stops : 0;
}

/* How much darker the umbra is than computed where a frame had to be this much brighter (+): the
 * sky's share of that frame was right. NaN where the sky outshone the umbra, so that the frame says
 * nothing about it. */
static double umbra_correction(const struct run_sample *sample, double stops)
{
    const double least = 1e-9; /* a frame brighter than the sky alone would need: no umbra at all */
    double umbra = moon_part_luminance(sample->luminance, sample->light.umbra);
    double sky = sample->sky.luminance;
    double seen = (umbra + sky) * exp2(-stops) - sky;

    return sky < umbra ? log2(umbra / fmax(seen, least * umbra)) : NAN;
}

double night_correction(const struct night *night, const struct moment *moment, int rig,
                        enum target target)
{
    const struct rig_state *state = &night->rig[rig];

    return target == TARGET_UMBRA ? state->umbra_left_stops + told_stops(night, moment->utc)
                                  : state->correction_stops[target];
}

/* A test frame of the umbra shows the state of the air, the last one that can tell it for every
 * rig. Each rig keeps what the state does not explain of its own frame, so that at the instant of
 * that frame it still does what was found then. */
static void inherit_umbra(struct night *night)
{
    double last = -INFINITY;

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        struct run_sample frame;
        struct shadow shadow;
        double state;

        shadow_at(&night->arc, tt_from_utc(rig->umbra_utc), night->eclipse.rule, &shadow);
        run_sample_at(night, &night->light, rig->umbra_utc, &frame);
        state = danjon_state_from_correction(
            &night->light, &shadow, umbra_correction(&frame, rig->correction_stops[TARGET_UMBRA]));
        if (!isfinite(state) || !(rig->umbra_utc > last))
            continue;
        last = rig->umbra_utc;
        night->danjon_state = state;
    }
    light_set_danjon(&night->light, night->danjon_state);
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rig_state *rig = &night->rig[i];

        rig->umbra_left_stops =
            rig->correction_stops[TARGET_UMBRA] - told_stops(night, rig->umbra_utc);
    }
}

/* Until when the rigs shoot. */
static void derive_ends(struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rig_state *rig = &night->rig[i];

        rig->ends_utc = utc_from_tt(contact_offset_tt(&rig->rig.until, &night->eclipse));
        if (!isfinite(rig->ends_utc))
            rig->ends_utc = night->contact_utc[CONTACT_P4];
    }
}

static void derive_light(struct night *night)
{
    struct shadow shadow;

    shadow_at(&night->arc, night->eclipse.tt[CONTACT_GREATEST], night->eclipse.rule, &shadow);
    night->danjon_state = air_state(night);
    light_prepare(&night->light, shadow.umbra, shadow.penumbra, night->danjon_state);
    inherit_umbra(night);
    run_samples_make(night, night->contact_utc[CONTACT_P1], last_use_utc(night));
}

static void derive_leaves(struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rig_state *rig = &night->rig[i];

        rig->leaves_utc = rig->cut_utc = rig->gone_utc = rig->due_utc = NAN;
        rig->due_before = -1;
        rig->pose.known = false;
        if (rig->aimed && rig->rig.support == SUPPORT_FIXED)
            aim_follow(night, rig);
    }
}

/* Measured axes, each on the track of its own night. */
static void derive_axes(struct night *night)
{
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rig_state *rig = &night->rig[i];

        rig->rig.mount = night->setup.rig[i].mount;
        if (!isfinite(rig->seen[1].utc))
            continue;
        cover_night_of(night, rig->seen[0].utc);
        polar_make(night, rig);
    }
}

static void derive_shooting(struct night *night)
{
    if (!covers_eclipse(night))
        cover_eclipse(night);
    /* Rounds care for what is shot, and how many frames that is depends on them. */
    for (int i = 0; i < night->setup.rig_count; i++)
        shooting_make(night, i, &night->run[i], &night->shooting[i]);
    rounds_make(night, &night->rounds);
    for (int i = 0; i < night->setup.rig_count; i++) {
        shooting_make(night, i, &night->step[i], &night->shooting[i]);
        /* Re-aims meet the rounds, wherever those now are. */
        night->framing[i].planned_since = NAN;
    }
}

void go_stale(struct night *night, enum stale stale)
{
    if (night->stale < stale)
        night->stale = stale;
}

/* Computes again what is stale. */
static void derive(struct night *night, enum stale stale)
{
    if (stale >= STALE_SITE)
        site_observer(&night->site, &night->observer);
    derive_ends(night);
    if (stale >= STALE_LIGHT) {
        derive_axes(night);
        cover_eclipse(night);
    }
    if (stale >= STALE_FRAMING) {
        derive_events(night);
        for (int i = 0; i < night->setup.rig_count; i++)
            framing_make(night, i, &night->framing[i]);
    }
    if (stale >= STALE_SITE)
        items_make(night);
    if (stale >= STALE_LIGHT) {
        derive_light(night);
        items_follow_umbra(night);
    }
    if (stale >= STALE_RUN)
        run_make(night);
    if (stale >= STALE_ROUNDS)
        derive_shooting(night);
    if (stale >= STALE_AIM)
        derive_leaves(night);
}

/* Where to put the Moon, batteries and the trend of the air change slowly and cost most: they are
 * asked for every few seconds only. */
static void derive_advice(struct night *night, double utc)
{
    if (fabs(utc - night->advice_utc) < ADVICE_S)
        return;
    night->advice_utc = utc;
    aims_plan(night, utc);
    /* Outside the eclipse a stay ends with the track. */
    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig *rig = &night->rig[i].rig;
        double last = night->rig[i].ends_utc;
        double until = utc < last ? fmin(last, night->utc_to) : night->utc_to;

        aim_advise(rig, &night->track, utc, until, &night->advice[i]);
        night->turned_stays_s[i] = rig->support == SUPPORT_FIXED
                                       ? aim_turned_stays_s(rig, &night->track, utc, until)
                                       : NAN;
        re_aims_follow(night, i);
        rig_power_make(night, i, utc, &night->power[i]);
        pose_advise(night, i, utc);
    }
    air_trend_make(&night->air_log, utc, night->setup.glass_cooling_c, &night->air_trend);
    agenda_make(night, utc - PRESSING_S, &night->agenda);
}

/* A day that was begun before the eclipse's night ends with the first instant of that night. */
static void cover_utc(struct night *night, double utc)
{
    if (covers_eclipse(night) == in_eclipse_night(night, utc) && utc >= night->utc_from &&
        utc <= night->utc_to)
        return;
    cover_night_of(night, utc);
    follow_events(night);
    derive_leaves(night);
}

void night_follow(struct night *night, double utc)
{
    night_fold(night);
    if (night->stale) {
        derive(night, night->stale);
        night->stale = STALE_NOTHING;
        night->advice_utc = NAN;
    }
    if (!isfinite(utc))
        return;
    cover_utc(night, utc);
    derive_advice(night, utc);
}
