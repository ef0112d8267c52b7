#include "derive.h"

#include <moonstand/angle.h>
#include <moonstand/test_print.h>

#include <math.h>
#include <string.h>

#define RISING_STEP_S 30.0
/* An overdue item of the list is asked for so long at least: common practice, no source. */
#define OVERDUE_CLAIM_S 7200.0

/* A Moon that is down has no place to be put. */
static const struct aim no_aim = {NAN, NAN, NAN, {NAN, NAN}, NAN};

static void see_sky(const struct night *night, struct moment *moment)
{
    struct sight later;

    sky_sights(&night->arc, &night->observer, moment->utc, &moment->moon, &moment->sun);
    sky_moon(&night->arc, &night->observer, moment->utc + RISING_STEP_S, &later);
    moment->rising = later.altitude_airless_rad > moment->moon.altitude_airless_rad;
    shadow_at(&night->arc, moment->tt, night->eclipse.rule, &moment->shadow);
    moment->phase = eclipse_phase(&night->eclipse, moment->tt);
}

/* Contacts, shading, what a mount comes to, and what moonrises and moonsets belong to the eclipse: no
 * moonset before P1, a day and more ahead no moonrise either, nothing of both once all is shot. */
static bool is_awaited(const struct night *night, const struct night_event *event, double now_utc)
{
    double first = night->contact_utc[CONTACT_P1];

    if (!night_event_is_horizon(event))
        return night_event_counts(night, event);
    if (event->utc < first)
        return event->which == SKY_MOONRISE && now_utc >= first - SECONDS_PER_DAY;
    return event->utc <= last_use_utc(night);
}

/* Whether the Moon is gone, and there has been a last frame of it: of one that is never up there is
 * none. */
static bool moon_is_shot(const struct night *night, const struct moment *moment)
{
    double last = -INFINITY;

    for (int i = 0; i < night->setup.rig_count; i++)
        last = fmax(last, night->shooting[i].utc_to);
    return isfinite(last) && moment->utc >= last && moon_is_gone(night, moment);
}

static void see_events(const struct night *night, struct moment *moment)
{
    moment->next = -1;
    moment->horizon_utc = NAN;
    for (int i = night->event_count; i-- > 0;) {
        const struct night_event *event = &night->event[i];

        if (event->utc <= moment->utc)
            break;
        if (event->rig < 0 && is_awaited(night, event, moment->utc))
            moment->next = i;
        if (night_event_is_horizon(event)) {
            moment->horizon_utc = event->utc;
            moment->horizon_is_rise = event->which == SKY_MOONRISE;
        }
    }
    /* Where the Moon is never up the contacts stay: the night is then watched for its times. */
    if (moon_is_shot(night, moment))
        moment->next = -1;
}

const struct night_event *event_to_come(const struct night *night, const struct moment *moment,
                                        int which)
{
    for (int i = moment->next; i >= 0 && i < night->event_count; i++)
        if (is_awaited(night, &night->event[i], moment->utc) && which-- == 0)
            return &night->event[i];
    return NULL;
}

/* Nothing is left to shoot: the setup ends it, or the Moon, which does not come back. */
static bool is_over(const struct night *night, int rig, const struct moment *moment)
{
    return moment->utc >= night->rig[rig].ends_utc ||
           (moon_is_gone(night, moment) && moment->utc >= night->shooting[rig].utc_to);
}

static enum aim_state aim_state_of(const struct night *night, int index,
                                   const struct moment *moment)
{
    const struct rig_state *rig = &night->rig[index];
    double left = rig->due_utc - moment->utc;

    if (is_over(night, index, moment))
        return AIM_DONE;
    if (rig->rig.support != SUPPORT_FIXED)
        return AIM_TRACKED;
    if (!moment->moon.up)
        return AIM_DOWN;
    if (!rig->aimed || !isfinite(rig->aimed_utc) || isnan(rig->due_utc))
        return AIM_FREE;
    if (moment->utc < rig->snoozed_until && left <= rig->rig.warn_s)
        return AIM_SNOOZED;
    if (left <= 0)
        return AIM_DUE;
    return left <= rig->rig.warn_s ? AIM_SOON : AIM_STEADY;
}

/* The next change of what is dialled; a target that changes alone is none. */
static void see_change(const struct run *run, double utc, struct rig_moment *rig)
{
    rig->change_utc = NAN;
    for (int i = 0; i < run->count; i++)
        if (run->segment[i].utc_from > utc &&
            !exposure_same_dial(&run->segment[i].exposure, &rig->exposure)) {
            rig->change_utc = run->segment[i].utc_from;
            rig->change_to = run->segment[i].exposure;
            return;
        }
}

/* Whether the sky hides what the rig exposes for, and until when. */
static void see_lost(const struct run *run, double utc, struct rig_moment *rig)
{
    rig->lost = rig->exposure.known && rig->exposure.sky_stops > 0;
    rig->lost_span = (struct lost_span){.span = {NAN, NAN}, .target = TARGET_AUTO};
    for (int i = 0; i < run->lost_count; i++)
        if (rig->lost && utc >= run->lost[i].span.from && utc <= run->lost[i].span.to)
            rig->lost_span = run->lost[i];
}

static void see_mount(const struct night *night, int index, const struct moment *moment,
                      struct rig_moment *rig)
{
    const struct rig *set_up = &night->rig[index].rig;
    const struct framing *framing = &night->framing[index];

    rig->flip_in_s = NAN;
    if (set_up->support == SUPPORT_FIXED)
        return;
    rig->out_of_reach = !mount_reaches(&set_up->mount, moment->moon.altitude_rad);
    if (framing->flips && isnan(night->rig[index].flipped_utc) &&
        moment->utc <= framing->flip.latest_utc)
        rig->flip_in_s = framing->flip.advised_utc - moment->utc;
}

/* How the camera is pointed; once it is to be aimed, how it should be. */
static const struct pose *pose_of(const struct night *night, int index, enum aim_state aim,
                                  double utc)
{
    const struct rig_state *rig = &night->rig[index];
    const struct framing *framing = &night->framing[index];
    bool to_aim = aim == AIM_FREE || aim == AIM_SOON || aim == AIM_DUE || aim == AIM_SNOOZED ||
                  re_aim_utc(night, index, utc) - utc <= rig->rig.warn_s;

    if (!framing->wide || aim == AIM_DONE)
        return NULL;
    if (rig->pose.known && !to_aim)
        return &rig->pose;
    return framing->pose.known ? &framing->pose : NULL;
}

static struct frame_point place_in(const struct night *night, const struct rig *rig,
                                   const struct pose *pose, double utc)
{
    struct pointing pointing;

    if (!pose || utc < pose->enters_utc || utc > pose->leaves_utc)
        return (struct frame_point){NAN, NAN};
    pointing_make(pose->altitude_rad, pose->azimuth_rad, pose->roll_rad, &pointing);
    return place_at(rig, &night->track, &pointing, utc);
}

struct frame_point advised_place(const struct rig_moment *rig)
{
    return rig->pose ? rig->composed : rig->aim.place;
}

double fix_moved_m(const struct night *night, const struct moment *moment)
{
    const double moved_from_m = 200;
    const struct gps_reading *gps = &moment->readings.gps;
    const struct site *site = &night->site;
    double moved_m;

    if (gps->state != GPS_FIX)
        return NAN;
    moved_m =
        ground_m(site->latitude_deg, site->longitude_deg, gps->latitude_deg, gps->longitude_deg);
    return moved_m > moved_from_m ? moved_m : NAN;
}

bool pose_is_held(const struct night *night, const struct moment *moment, int rig)
{
    return moment->rig[rig].pose == &night->rig[rig].pose;
}

struct act advised_aim(const struct rig_moment *moment, int rig)
{
    struct act act = {.kind = ACT_AIM, .rig = rig};
    const struct pose *pose = moment->pose;
    struct frame_point place = advised_place(moment);

    if (pose) {
        act.kind = ACT_POINT;
        act.value[0] = deg_from_rad(pose->altitude_rad);
        act.value[1] = deg_from_rad(pose->azimuth_rad);
        act.value[2] = deg_from_rad(pose->roll_rad) + 0.0; /* no -0 in the record */
    } else if (isfinite(place.x) && isfinite(place.y)) {
        act.value[0] = place.x;
        act.value[1] = place.y;
    }
    return act;
}

bool behind_horizon(const struct sight *moon)
{
    return !moon->up && moon->upper_limb_rad > 0;
}

bool sun_warns(const struct sight *sun)
{
    return sun->up || sun->upper_limb_rad > 0;
}

double last_use_utc(const struct night *night)
{
    double last = night->contact_utc[CONTACT_P4];

    for (int i = 0; i < night->setup.rig_count; i++)
        last = fmax(last, night->rig[i].ends_utc);
    return last;
}

bool moon_is_gone(const struct night *night, const struct moment *moment)
{
    return !moment->moon.up && !(moment->horizon_utc <= last_use_utc(night));
}

bool sun_says(const struct night *night, int item)
{
    return strcmp(night->setup.checklist.item[item].id, "sun") == 0;
}

/* What a tripod that is aimed has of the Moon. */
static void see_aimed(const struct night *night, const struct rig_state *state, double utc,
                      struct rig_moment *rig)
{
    const double since[] = {[LOSS_MARGIN] = state->leaves_utc,
                            [LOSS_CUT] = state->cut_utc,
                            [LOSS_GONE] = state->gone_utc};

    rig->moon_at = (struct frame_point){NAN, NAN};
    rig->loss_utc = NAN;
    if (!state->aimed || state->rig.support != SUPPORT_FIXED || isnan(state->leaves_utc))
        return;
    rig->moon_at = place_at(&state->rig, &night->track, &state->pointing, utc);
    for (int loss = LOSS_MARGIN; loss <= LOSS_GONE; loss++)
        if (since[loss] <= utc) {
            rig->loss = (enum aim_loss)loss;
            rig->loss_utc = since[loss];
        }
}

/* What the camera is to have is what the last round has set, with all else as of now. */
static void see_set(const struct night *night, int index, double utc, struct rig_moment *rig)
{
    const struct exposure *set = rounds_now(&night->rounds, index, utc);

    rig->off_stops = NAN;
    if (!set || !rig->exposure.known || !is_shooting(night, index, utc))
        return;
    rig->off_stops = stops_off(&rig->exposure, set);
    exposure_take_dial(&rig->exposure, set);
}

static void see_rig(const struct night *night, int index, const struct run_sample *sample,
                    struct moment *moment)
{
    const struct rig_state *state = &night->rig[index];
    struct rig_moment *rig = &moment->rig[index];
    struct exposure_ask ask;

    run_ask(night, index, sample, moment->utc, &ask);
    exposure_choose(&state->rig, &ask, &rig->exposure);
    see_set(night, index, moment->utc, rig);
    see_change(&night->step[index], moment->utc, rig);
    rig->idle = next_shot_utc(&night->shooting[index], moment->utc) >= rig->change_utc;
    see_lost(&night->run[index], moment->utc, rig);
    rig->aim = moment->moon.up ? night->advice[index] : no_aim;
    rig->aim_state = aim_state_of(night, index, moment);
    rig->due_in_s = state->due_utc - moment->utc;
    rig->due_before = state->due_before;
    rig->turned_stays_s = moment->moon.up ? night->turned_stays_s[index] : NAN;
    rig->hands_off = moment->utc >= night->framing[index].untouched.from &&
                     moment->utc <= night->framing[index].untouched.to;
    rig->pose = pose_of(night, index, rig->aim_state, moment->utc);
    rig->composed = place_in(night, &state->rig, rig->pose, moment->utc);
    see_mount(night, index, moment, rig);
    see_aimed(night, state, moment->utc, rig);
}

static void see_rigs(const struct night *night, struct moment *moment)
{
    struct run_sample sample;
    double soonest = INFINITY;

    run_sample_of(night, &night->light, moment->utc,
                  &(struct run_sky){&moment->shadow, &moment->moon, &moment->sun}, &sample);
    moment->light = sample.light;
    moment->luminance = sample.luminance;
    moment->sky_luminance = sample.sky.luminance;
    moment->alarm_rig = -1;
    for (int i = 0; i < night->setup.rig_count; i++) {
        see_rig(night, i, &sample, moment);
        if (moment->rig[i].aim_state == AIM_DUE && night->rig[i].due_utc < soonest) {
            soonest = night->rig[i].due_utc;
            moment->alarm_rig = i;
        }
    }
}

/* When the first item of the list falls due that is done at the site. */
static double site_work_utc(const struct night *night, const double *due_utc)
{
    const struct checklist *list = &night->setup.checklist;
    double first = INFINITY;

    for (int i = 0; i < list->count; i++)
        if (list->item[i].group == CHECK_AT_SITE)
            first = fmin(first, due_utc[i]);
    return first;
}

/* Until when an open item is asked for: the day before's up to the work at the site, what has to be
 * ready for P1 up to P1, all for a while at least. */
static double asked_until_utc(const struct night *night, int item, double due, double site_utc)
{
    double least = due + OVERDUE_CLAIM_S;

    switch (night->setup.checklist.item[item].group) {
    case CHECK_DAY_BEFORE:
        return fmax(least, fmin(site_utc, night->contact_utc[CONTACT_P1]));
    case CHECK_BEFORE_P1:
        return fmax(least, night->contact_utc[CONTACT_P1]);
    default:
        return least;
    }
}

static bool all_are_done(const struct night *night, const struct moment *moment)
{
    for (int i = 0; i < night->setup.rig_count; i++)
        if (moment->rig[i].aim_state != AIM_DONE)
            return false;
    return true;
}

static void see_checklist(const struct night *night, struct moment *moment)
{
    const struct checklist *list = &night->setup.checklist;
    double earliest = INFINITY, site_utc;
    bool done = all_are_done(night, moment);

    moment->check_next = -1;
    for (int i = 0; i < list->count; i++)
        moment->check_due_utc[i] = item_due_utc(night, i);
    site_utc = site_work_utc(night, moment->check_due_utc);
    for (int i = 0; i < list->count; i++) {
        double due = moment->check_due_utc[i];

        if (isfinite(night->checked_utc[i]) || !item_applies(night, i))
            continue;
        /* With the last frame the work before it is past. */
        moment->check_past[i] = asked_until_utc(night, i, due, site_utc) <= moment->utc ||
                                (done && list->item[i].group < CHECK_AFTER);
        if (moment->check_past[i])
            continue;
        moment->check_open++;
        if (due <= moment->utc)
            moment->check_overdue++;
        if (due < earliest) {
            earliest = due;
            moment->check_next = i;
        }
    }
}

static void see_air(const struct night *night, struct moment *moment)
{
    const struct forecast *forecast = &night->forecast;
    struct air_choice *used = &moment->air_used;

    air_choose(air_log_last(&night->air_log), forecast, moment->utc, used);
    air_assess(used->temperature_c, used->humidity_percent, night->setup.glass_cooling_c,
               &moment->air);
    moment->air_trend = night->air_trend;
    forecast_at(forecast, moment->utc, &moment->forecast);
    moment->forecast_age_s = forecast_age_s(forecast, moment->utc);
    moment->forecast_old = forecast->count > 0 && forecast_is_old(forecast, moment->utc);
}

/* A lens with a heater on is warmer than the air and stays dry; after the last frame it may get wet. */
static void see_glass(const struct night *night, struct moment *moment)
{
    bool likely = dew_is_likely(&moment->air);

    /* A look that is still to come, by a clock that was wrong, silences nothing. */
    moment->glass_quiet_utc =
        night->glass_utc <= moment->utc ? night->glass_utc + GLASS_QUIET_S : NAN;
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rig_moment *rig = &moment->rig[i];

        rig->heated = rig_is_heated(&night->rig[i]);
        rig->look_at_glass = likely && !rig->heated && rig->aim_state != AIM_DONE &&
                             !(moment->utc < moment->glass_quiet_utc);
        moment->look_at_glass |= rig->look_at_glass;
    }
}

void moment_at(const struct night *night, const struct readings *readings, double utc,
               struct moment *moment)
{
    *moment = (struct moment){.utc = utc, .tt = tt_from_utc(utc), .readings = *readings};
    moment->leap_held = !utc_is_announced(utc);
    see_sky(night, moment);
    see_events(night, moment);
    see_rigs(night, moment);
    see_checklist(night, moment);
    see_air(night, moment);
    see_glass(night, moment);
    see_kit(night, moment);
    see_album(night, moment);
    see_hands(night, moment);
}

void print_ask_make(const struct night *night, const struct moment *moment, int rig,
                    struct print_ask *ask)
{
    *ask = (struct print_ask){.rig = &night->rig[rig].rig,
                              .exposure = &moment->rig[rig].exposure,
                              .luminance = moment->luminance,
                              .sky_luminance = moment->sky_luminance,
                              .model = &night->light,
                              .shadow = &moment->shadow};
}
