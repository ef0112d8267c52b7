/* A moment for tools. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/job_words.h>
#include <moonstand/test_print.h>

#include <math.h>

static void put_moon(struct node object, const struct moment *moment)
{
    const struct sight *moon = &moment->moon;

    put_deg(object, "altitude_deg", moon->altitude_rad);
    put_deg(object, "altitude_airless_deg", moon->altitude_airless_rad);
    put_deg(object, "azimuth_deg", moon->azimuth_rad);
    put_number(object, "diameter_arcsec", 2 * arcsec_from_rad(moon->semidiameter_rad), 2);
    put_deg(object, "parallactic_angle_deg", moon->parallactic_rad);
    put_number(object, "distance_km", moon->distance_km, 2);
}

static void put_next(struct node object, const struct night *night, const struct moment *moment)
{
    const struct night_event *event;
    int which = 0;

    do
        event = event_to_come(night, moment, which++);
    while (event && !night_event_is_main(event));
    if (!event)
        return;
    struct node next = put_object(object, "next");
    put_text(next, "name", night_event_name(event));
    put_instant(next, "at", event->utc);
    put_number(next, "in_s", event->utc - moment->utc, 3);
}

static void put_phase(struct node object, const struct night *night, const struct moment *moment)
{
    put_instant(object, "greatest", night->contact_utc[CONTACT_GREATEST]);
    put_text(object, "kind", eclipse_kind_name(night->eclipse.kind));
    put_text(object, "phase", phase_name(moment->phase));
    put_next(object, night, moment);
    put_number(object, "umbral_magnitude_now", moment->shadow.umbral_magnitude, 5);
    put_number(object, "penumbral_magnitude_now", moment->shadow.penumbral_magnitude, 5);
}

static void put_exposure(struct node object, const struct exposure *exposure)
{
    put_text(object, "target", target_name(exposure->target));
    put_number(object, "f_number", exposure->f_number, 2);
    if (!exposure->known)
        return;
    put_shutter_iso(object, exposure);
    put_number(object, "shutter_s", exposure->shutter_s, 8);
    put_number(object, "blur_px", exposure->blur_px, 6);
    put_text(object, "limited_by", exposure_limit_name(exposure->limited_by));
    put_number(object, "deficit_stops", exposure->deficit_stops, 2);
    put_number(object, "correction_stops", exposure->correction_stops, 2);
    put_bracket(object, exposure);
    put_number(object, "sky_stops", exposure->sky_stops, 2);
    put_number(object, "range_stops", exposure->range_stops, 2);
    if (isfinite(exposure->range_stops))
        put_flag(object, "one_frame_holds_both", exposure->one_frame_holds_both);
    put_flag(object, "vibration_risk", exposure->vibration_risk);
}

static const char *aim_state_name(enum aim_state state, const struct sight *moon)
{
    static const char *const names[] = {"free",    "steady",  "soon", "due",
                                        "snoozed", "tracked", "down", "done"};

    return state == AIM_DOWN && behind_horizon(moon) ? "behind" : names[state];
}

static void put_aim(struct node object, const struct night *night, int index,
                    const struct moment *moment)
{
    const struct rig_moment *rig = &moment->rig[index];

    put_number(object, "drift_arcsec_per_s", rig->aim.drift_arcsec_per_s, 4);
    put_number(object, "drift_px_per_s", rig->aim.drift_px_per_s, 4);
    put_number(object, "centred_stays_s", rig->aim.centred_stays_s, 1);
    put_number(object, "place_x", rig->aim.place.x, 4);
    put_number(object, "place_y", rig->aim.place.y, 4);
    put_number(object, "placed_stays_s", rig->aim.placed_stays_s, 1);
    put_text(object, "state", aim_state_name(rig->aim_state, &moment->moon));
    put_instant(object, "leaves", night->rig[index].leaves_utc);
    put_instant(object, "cut", night->rig[index].cut_utc);
    put_instant(object, "gone", night->rig[index].gone_utc);
    put_instant(object, "due", night->rig[index].due_utc);
    if (rig->due_before >= 0)
        put_text(object, "due_before", contact_name((enum contact)rig->due_before));
    put_number(object, "turned_stays_s", rig->turned_stays_s, 1);
    put_flag(object, "hands_off", rig->hands_off);
    put_number(object, "moon_x", rig->moon_at.x, 4);
    put_number(object, "moon_y", rig->moon_at.y, 4);
}

static void put_test_print(struct node rig, const struct night *night, const struct moment *moment,
                           int index)
{
    struct print_ask ask;
    struct test_print print;

    print_ask_make(night, moment, index, &ask);
    test_print_make(&ask, &print);
    if (isnan(print.clipped))
        return;
    struct node object = put_object(rig, "test_print");
    put_number(object, "clipped_fraction", print.clipped, 4);
    put_number(object, "lost_fraction", print.lost, 4);
}

static void put_rig(struct node rigs, const struct night *night, int index,
                    const struct moment *moment)
{
    const struct rig_moment *rig = &moment->rig[index];
    struct node object = put_object(rigs, NULL);

    put_text(object, "name", night->rig[index].rig.name);
    put_text(object, "support", support_name(night->rig[index].rig.support));
    struct node exposure = put_object(object, "exposure");
    put_exposure(exposure, &rig->exposure);
    put_number(exposure, "off_stops", rig->off_stops, 2);
    put_flag(exposure, "lost", rig->lost);
    put_instant(exposure, "lost_from", rig->lost_span.span.from);
    put_instant(exposure, "lost_to", rig->lost_span.span.to);
    put_aim(put_object(object, "aim"), night, index, moment);
    put_framing(object, night, index, moment->utc);
    put_test_print(object, night, moment, index);
    put_flag(object, "heater", rig->heated);
    put_flag(object, "look_at_glass", rig->look_at_glass);
    put_instant(object, "ends", night->rig[index].ends_utc);
    if (rig->pose)
        put_pose(put_object(object, "pose"), rig->pose, pose_is_held(night, moment, index));
    if (!isfinite(rig->change_utc) || !rig->change_to.known)
        return;
    struct node change = put_object(object, "change");
    put_instant(change, "at", rig->change_utc);
    put_shutter_iso(change, &rig->change_to);
    put_number(change, "shutter_s", rig->change_to.shutter_s, 8);
}

static void put_kit(struct node object, const struct night *night, const struct moment *moment)
{
    const struct readings *readings = &moment->readings;

    put_number(object, "open", moment->check_open, 0);
    put_number(object, "overdue", moment->check_overdue, 0);
    if (moment->check_next >= 0)
        put_text(object, "next", night->setup.checklist.item[moment->check_next].id);
    put_checklist(object, night);
    put_moment_kit(object, night, moment);
    if (!isfinite(readings->battery_percent))
        return;
    struct node laptop = put_object(object, "laptop");
    put_number(laptop, "battery_percent", readings->battery_percent, 1);
    put_number(laptop, "left_s", readings->battery_left_s, 0);
    put_flag(laptop, "discharging", readings->battery_discharging);
    put_instant(laptop, "empty", moment->laptop_empty_utc);
    put_flag(laptop, "lasts", !moment->laptop_short);
}

static void put_gps(struct node object, const struct gps_reading *gps)
{
    put_text(object, "state", gps_state_name(gps->state));
    if (gps->mode > 0)
        put_number(object, "mode", gps->mode, 0);
    if (gps->satellites >= 0)
        put_number(object, "satellites", gps->satellites, 0);
    put_number(object, "latitude_deg", gps->latitude_deg, 6);
    put_number(object, "longitude_deg", gps->longitude_deg, 6);
    put_number(object, "height_m", gps->height_m, 1);
    put_number(object, "error_m", gps->error_m, 1);
    put_number(object, "age_s", gps->age_s, 1);
}

static void put_clock(struct node object, const struct night *night, const struct moment *moment)
{
    const struct readings *readings = &moment->readings;
    const char *abbreviation;
    int offset_s = zone_offset(&night->zone, moment->utc, &abbreviation);
    char local[TEXT_INSTANT];

    put_instant(object, "utc", moment->utc);
    put_text(object, "time_scale", scale_name(moment->utc));
    put_tt(object, "tt", moment->tt);
    put_text(object, "local", format_iso(local, moment->utc + offset_s, 3, ""));
    put_number(object, "local_minus_utc_s", offset_s, 0);
    put_text(object, "local_abbreviation", abbreviation);
    put_flag(object, "utc_offset_held", moment->leap_held);
    put_number(object, "ut1_doubt_s", ut1_doubt_s(moment->utc), 1);
    put_flag(object, "rehearsal", night->rehearsal);
    if (readings->clock_synchronised >= 0)
        put_flag(object, "synchronised", readings->clock_synchronised == 1);
    put_number(object, "error_s", readings->clock_error_s, 6);
    put_number(object, "laptop_minus_gps_s", readings->gps.clock_offset_s, 3);
    put_number(object, "laptop_minus_gps_spread_s", readings->gps.clock_spread_s, 3);
}

static void put_hands(struct node object, const struct night *night, const struct moment *moment)
{
    const struct hands *hands = &moment->hands;
    const struct subject about = {night, moment, reader_utc()};
    struct hands_words words;

    hands_say(&about, &words);
    put_text(object, "urgency", urgency_name(hands->urgency));
    put_text(object, "now", words.now);
    put_text(object, "then", text_or_null(words.then));
    put_instant(object, "clash", hands->clash_utc);
    put_number(object, "rounds_left",
               agenda_count(&night->agenda, moment->utc, night->contact_utc[CONTACT_P4]), 0);
    struct node jobs = put_array(object, "jobs");
    for (int i = 0; i < hands->count; i++) {
        const struct job *job = &hands->job[i];
        struct node entry = put_object(jobs, NULL);
        char text[JOB_WORDS];

        put_instant(entry, "at", job->utc);
        if (job->rig < 0)
            put_null(entry, "rig");
        else
            put_text(entry, "rig", night->rig[job->rig].rig.name);
        put_text(entry, "kind", job_kind_name(job->kind));
        put_text(entry, "state", job_state_name(job->state));
        put_text(entry, "text", job_words(&about, job, text));
        put_instant(entry, "limit", job->limit_utc);
        if (job->walk != i)
            put_number(entry, "with", job->walk, 0);
    }
}

int report_now_json(FILE *out, const struct night *night, const struct moment *moment)
{
    struct document document;

    struct node root = document_object(&document);
    put_moon(put_object(root, "moon"), moment);
    put_phase(put_object(root, "eclipse"), night, moment);
    struct node rigs = put_array(root, "rigs");
    for (int i = 0; i < night->setup.rig_count; i++)
        put_rig(rigs, night, i, moment);
    put_hands(put_object(root, "hands"), night, moment);
    put_kit(put_object(root, "kit"), night, moment);
    put_moment_air(put_object(root, "air"), night, moment);
    struct node site = put_object(root, "site");
    put_site(site, night);
    put_gps(put_object(site, "gps"), &moment->readings.gps);
    put_clock(put_object(root, "clock"), night, moment);
    return document_write(&document, out);
}
