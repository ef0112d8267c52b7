/* A moment for tools. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/job_words.h>
#include <moonstand/test_print.h>

#include <math.h>

static void put_moon(struct document *document, cJSON *object, const struct moment *moment)
{
    const struct sight *moon = &moment->moon;

    put_deg(document, object, "altitude_deg", moon->altitude_rad);
    put_deg(document, object, "altitude_airless_deg", moon->altitude_airless_rad);
    put_deg(document, object, "azimuth_deg", moon->azimuth_rad);
    put_number(document, object, "diameter_arcsec", 2 * arcsec_from_rad(moon->semidiameter_rad), 2);
    put_deg(document, object, "parallactic_angle_deg", moon->parallactic_rad);
    put_number(document, object, "distance_km", moon->distance_km, 2);
}

static void put_next(struct document *document, cJSON *object, const struct night *night,
                     const struct moment *moment)
{
    const struct night_event *event;
    cJSON *next;
    int which = 0;

    do
        event = event_to_come(night, moment, which++);
    while (event && !night_event_is_main(event));
    if (!event)
        return;
    next = put_object(document, object, "next");
    put_text(document, next, "name", night_event_name(event));
    put_instant(document, next, "at", event->utc);
    put_number(document, next, "in_s", event->utc - moment->utc, 3);
}

static void put_phase(struct document *document, cJSON *object, const struct night *night,
                      const struct moment *moment)
{
    put_instant(document, object, "greatest", night->contact_utc[CONTACT_GREATEST]);
    put_text(document, object, "kind", eclipse_kind_name(night->eclipse.kind));
    put_text(document, object, "phase", phase_name(moment->phase));
    put_next(document, object, night, moment);
    put_number(document, object, "umbral_magnitude_now", moment->shadow.umbral_magnitude, 5);
    put_number(document, object, "penumbral_magnitude_now", moment->shadow.penumbral_magnitude, 5);
}

static void put_exposure(struct document *document, cJSON *object, const struct exposure *exposure)
{
    put_text(document, object, "target", target_name(exposure->target));
    put_number(document, object, "f_number", exposure->f_number, 2);
    if (!exposure->known)
        return;
    put_shutter_iso(document, object, exposure);
    put_number(document, object, "shutter_s", exposure->shutter_s, 8);
    put_number(document, object, "blur_px", exposure->blur_px, 6);
    put_text(document, object, "limited_by", exposure_limit_name(exposure->limited_by));
    put_number(document, object, "deficit_stops", exposure->deficit_stops, 2);
    put_number(document, object, "correction_stops", exposure->correction_stops, 2);
    put_bracket(document, object, exposure);
    put_number(document, object, "sky_stops", exposure->sky_stops, 2);
    put_number(document, object, "range_stops", exposure->range_stops, 2);
    if (isfinite(exposure->range_stops))
        put_flag(document, object, "one_frame_holds_both", exposure->one_frame_holds_both);
    put_flag(document, object, "vibration_risk", exposure->vibration_risk);
}

static const char *aim_state_name(enum aim_state state, const struct sight *moon)
{
    static const char *const names[] = {"free",    "steady",  "soon", "due",
                                        "snoozed", "tracked", "down", "done"};

    return state == AIM_DOWN && behind_horizon(moon) ? "behind" : names[state];
}

static void put_aim(struct document *document, cJSON *object, const struct night *night, int index,
                    const struct moment *moment)
{
    const struct rig_moment *rig = &moment->rig[index];

    put_number(document, object, "drift_arcsec_per_s", rig->aim.drift_arcsec_per_s, 4);
    put_number(document, object, "drift_px_per_s", rig->aim.drift_px_per_s, 4);
    put_number(document, object, "centred_stays_s", rig->aim.centred_stays_s, 1);
    put_number(document, object, "place_x", rig->aim.place.x, 4);
    put_number(document, object, "place_y", rig->aim.place.y, 4);
    put_number(document, object, "placed_stays_s", rig->aim.placed_stays_s, 1);
    put_text(document, object, "state", aim_state_name(rig->aim_state, &moment->moon));
    put_instant(document, object, "leaves", night->rig[index].leaves_utc);
    put_instant(document, object, "cut", night->rig[index].cut_utc);
    put_instant(document, object, "gone", night->rig[index].gone_utc);
    put_instant(document, object, "due", night->rig[index].due_utc);
    if (rig->due_before >= 0)
        put_text(document, object, "due_before", contact_name((enum contact)rig->due_before));
    put_number(document, object, "turned_stays_s", rig->turned_stays_s, 1);
    put_flag(document, object, "hands_off", rig->hands_off);
    put_number(document, object, "moon_x", rig->moon_at.x, 4);
    put_number(document, object, "moon_y", rig->moon_at.y, 4);
}

static void put_test_print(struct document *document, cJSON *rig, const struct night *night,
                           const struct moment *moment, int index)
{
    struct print_ask ask;
    struct test_print print;

    print_ask_make(night, moment, index, &ask);
    test_print_make(&ask, &print);
    if (isnan(print.clipped))
        return;
    cJSON *object = put_object(document, rig, "test_print");
    put_number(document, object, "clipped_fraction", print.clipped, 4);
    put_number(document, object, "lost_fraction", print.lost, 4);
}

static void put_rig(struct document *document, cJSON *rigs, const struct night *night, int index,
                    const struct moment *moment)
{
    const struct rig_moment *rig = &moment->rig[index];
    cJSON *object = put_object(document, rigs, NULL);
    cJSON *exposure, *change;

    put_text(document, object, "name", night->rig[index].rig.name);
    put_text(document, object, "support", support_name(night->rig[index].rig.support));
    exposure = put_object(document, object, "exposure");
    put_exposure(document, exposure, &rig->exposure);
    put_number(document, exposure, "off_stops", rig->off_stops, 2);
    put_flag(document, exposure, "lost", rig->lost);
    put_instant(document, exposure, "lost_from", rig->lost_span.span.from);
    put_instant(document, exposure, "lost_to", rig->lost_span.span.to);
    put_aim(document, put_object(document, object, "aim"), night, index, moment);
    put_framing(document, object, night, index, moment->utc);
    put_test_print(document, object, night, moment, index);
    put_flag(document, object, "heater", rig->heated);
    put_flag(document, object, "look_at_glass", rig->look_at_glass);
    put_instant(document, object, "ends", night->rig[index].ends_utc);
    if (rig->pose)
        put_pose(document, put_object(document, object, "pose"), rig->pose,
                 pose_is_held(night, moment, index));
    if (!isfinite(rig->change_utc) || !rig->change_to.known)
        return;
    change = put_object(document, object, "change");
    put_instant(document, change, "at", rig->change_utc);
    put_shutter_iso(document, change, &rig->change_to);
    put_number(document, change, "shutter_s", rig->change_to.shutter_s, 8);
}

static void put_kit(struct document *document, cJSON *object, const struct night *night,
                    const struct moment *moment)
{
    const struct readings *readings = &moment->readings;
    cJSON *laptop;

    put_number(document, object, "open", moment->check_open, 0);
    put_number(document, object, "overdue", moment->check_overdue, 0);
    if (moment->check_next >= 0)
        put_text(document, object, "next", night->setup.checklist.item[moment->check_next].id);
    put_checklist(document, object, night);
    put_moment_kit(document, object, night, moment);
    if (!isfinite(readings->battery_percent))
        return;
    laptop = put_object(document, object, "laptop");
    put_number(document, laptop, "battery_percent", readings->battery_percent, 1);
    put_number(document, laptop, "left_s", readings->battery_left_s, 0);
    put_flag(document, laptop, "discharging", readings->battery_discharging);
    put_instant(document, laptop, "empty", moment->laptop_empty_utc);
    put_flag(document, laptop, "lasts", !moment->laptop_short);
}

static void put_gps(struct document *document, cJSON *object, const struct gps_reading *gps)
{
    put_text(document, object, "state", gps_state_name(gps->state));
    if (gps->mode > 0)
        put_number(document, object, "mode", gps->mode, 0);
    if (gps->satellites >= 0)
        put_number(document, object, "satellites", gps->satellites, 0);
    put_number(document, object, "latitude_deg", gps->latitude_deg, 6);
    put_number(document, object, "longitude_deg", gps->longitude_deg, 6);
    put_number(document, object, "height_m", gps->height_m, 1);
    put_number(document, object, "error_m", gps->error_m, 1);
    put_number(document, object, "age_s", gps->age_s, 1);
}

static void put_clock(struct document *document, cJSON *object, const struct night *night,
                      const struct moment *moment)
{
    const struct readings *readings = &moment->readings;
    const char *abbreviation;
    int offset_s = zone_offset(&night->zone, moment->utc, &abbreviation);
    char local[TEXT_INSTANT];

    put_instant(document, object, "utc", moment->utc);
    put_text(document, object, "time_scale", scale_name(moment->utc));
    put_tt(document, object, "tt", moment->tt);
    put_text(document, object, "local", format_iso(local, moment->utc + offset_s, 3, ""));
    put_number(document, object, "local_minus_utc_s", offset_s, 0);
    put_text(document, object, "local_abbreviation", abbreviation);
    put_flag(document, object, "utc_offset_held", moment->leap_held);
    put_number(document, object, "ut1_doubt_s", ut1_doubt_s(moment->utc), 1);
    put_flag(document, object, "rehearsal", night->rehearsal);
    if (readings->clock_synchronised >= 0)
        put_flag(document, object, "synchronised", readings->clock_synchronised == 1);
    put_number(document, object, "error_s", readings->clock_error_s, 6);
    put_number(document, object, "laptop_minus_gps_s", readings->gps.clock_offset_s, 3);
    put_number(document, object, "laptop_minus_gps_spread_s", readings->gps.clock_spread_s, 3);
}

static void put_hands(struct document *document, cJSON *object, const struct night *night,
                      const struct moment *moment)
{
    const struct hands *hands = &moment->hands;
    const struct subject about = {night, moment, reader_utc()};
    struct hands_words words;
    cJSON *jobs;

    hands_say(&about, &words);
    put_text(document, object, "urgency", urgency_name(hands->urgency));
    put_text(document, object, "now", words.now);
    if (*words.then)
        put_text(document, object, "then", words.then);
    put_instant(document, object, "clash", hands->clash_utc);
    put_number(document, object, "rounds_left",
               agenda_count(&night->agenda, moment->utc, night->contact_utc[CONTACT_P4]), 0);
    jobs = put_array(document, object, "jobs");
    for (int i = 0; i < hands->count; i++) {
        const struct job *job = &hands->job[i];
        cJSON *entry = put_object(document, jobs, NULL);
        char text[JOB_WORDS];

        put_instant(document, entry, "at", job->utc);
        if (job->rig < 0)
            put_null(document, entry, "rig");
        else
            put_text(document, entry, "rig", night->rig[job->rig].rig.name);
        put_text(document, entry, "kind", job_kind_name(job->kind));
        put_text(document, entry, "state", job_state_name(job->state));
        put_text(document, entry, "text", job_words(&about, job, text));
        put_instant(document, entry, "limit", job->limit_utc);
        if (job->walk != i)
            put_number(document, entry, "with", job->walk, 0);
    }
}

int report_now_json(FILE *out, const struct night *night, const struct moment *moment)
{
    struct document document;
    cJSON *root, *rigs, *site;

    document_object(&document);
    root = document.root;
    put_moon(&document, put_object(&document, root, "moon"), moment);
    put_phase(&document, put_object(&document, root, "eclipse"), night, moment);
    rigs = put_array(&document, root, "rigs");
    for (int i = 0; i < night->setup.rig_count; i++)
        put_rig(&document, rigs, night, i, moment);
    put_hands(&document, put_object(&document, root, "hands"), night, moment);
    put_kit(&document, put_object(&document, root, "kit"), night, moment);
    put_moment_air(&document, put_object(&document, root, "air"), night, moment);
    site = put_object(&document, root, "site");
    put_site(&document, site, night);
    put_gps(&document, put_object(&document, site, "gps"), &moment->readings.gps);
    put_clock(&document, put_object(&document, root, "clock"), night, moment);
    return document_write(&document, out);
}
