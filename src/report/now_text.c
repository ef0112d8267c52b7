/* A moment for people without a screen: one calm page. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/words.h>

#include <math.h>
#include <string.h>

enum { THEN_EVENTS = 4 };

static void print_event(FILE *out, const char *label, const struct subject *about,
                        const struct night_event *event)
{
    char clocks[2 * TEXT_INSTANT], span[TEXT_SPAN];
    bool is_contact = event->kind == NIGHT_CONTACT;

    text_entry(out, label, "%s in %s: %s%s%s%s", event_words(night_event_name(event), false),
               left_words(span, event->utc - about->moment->utc),
               clock_both(clocks, about, event->utc), is_contact ? " - " : "",
               is_contact ? contact_meaning((enum contact)event->which, false) : "",
               event->moon_up || !is_contact ? "" : " (Moon not seen)");
}

static void print_events(FILE *out, const struct subject *about)
{
    int left = THEN_EVENTS;

    if (about->moment->next < 0) {
        text_entry(out, "Next", "nothing more tonight");
        return;
    }
    print_event(out, "Next", about, &about->night->event[about->moment->next]);
    for (int i = about->moment->next + 1; i < about->night->event_count && left > 0; i++)
        if (night_event_counts(&about->night->event[i])) {
            print_event(out, left == THEN_EVENTS ? "Then" : "", about, &about->night->event[i]);
            left--;
        }
}

static void print_eclipse(FILE *out, const struct subject *about)
{
    const struct eclipse *eclipse = &about->night->eclipse;
    char iso[TEXT_INSTANT];
    double greatest = about->night->contact_utc[CONTACT_GREATEST];

    text_entry(out, "Eclipse", "%s, greatest %s, umbral magnitude %.3f, penumbral %.3f, Saros %d",
               eclipse_kind_name(eclipse->kind),
               clock_words(iso, reader_utc(), greatest, CLOCK_DAY | CLOCK_SECONDS | CLOCK_ZONE),
               eclipse->umbral_magnitude, eclipse->penumbral_magnitude, eclipse->saros);
    if (never_up(about->night))
        text_entry(out, "Seen", "no phase of it is up from this site");
    if (about->moment->phase == PHASE_NONE)
        text_entry(out, "Phase", "none, the Moon is outside the shadow");
    else
        text_entry(out, "Phase", "%s, umbral magnitude now %.3f, penumbral %.3f",
                   phase_name(about->moment->phase), about->moment->shadow.umbral_magnitude,
                   about->moment->shadow.penumbral_magnitude);
}

static void print_moon(FILE *out, const struct subject *about)
{
    const struct sight *moon = &about->moment->moon;
    char horizon[128] = "", clocks[2 * TEXT_INSTANT];

    if (!isfinite(moon->altitude_rad)) {
        text_entry(out, "Moon", "-");
        return;
    }
    if (!moon->up && !isfinite(about->moment->horizon_utc))
        (void)snprintf(horizon, sizeof horizon, "%s all night", behind_horizon(moon) ? "" : ";");
    else if (behind_horizon(moon) && isfinite(about->moment->horizon_utc))
        (void)snprintf(horizon, sizeof horizon, " until %s",
                       clock_both(clocks, about, about->moment->horizon_utc));
    else if (isfinite(about->moment->horizon_utc))
        (void)snprintf(horizon, sizeof horizon, "; %s %s",
                       about->moment->horizon_is_rise ? "rises" : "sets",
                       clock_both(clocks, about, about->moment->horizon_utc));
    text_entry(out, "Moon", "%s%s, altitude %.1f deg, azimuth %.1f deg (%s), %s%s",
               moon->up               ? "up"
               : behind_horizon(moon) ? "behind the local horizon"
                                      : "down",
               behind_horizon(moon) ? horizon : "", deg_from_rad(moon->altitude_rad),
               deg_from_rad(moon->azimuth_rad), compass_point(moon->azimuth_rad),
               about->moment->rising ? "climbing" : "sinking", behind_horizon(moon) ? "" : horizon);
}

static void print_change(FILE *out, const struct subject *about, const struct rig_moment *rig)
{
    char setting[TEXT_SETTING], clocks[2 * TEXT_INSTANT];

    if (rig->change_utc - about->moment->utc < SECONDS_PER_DAY &&
        (rig->exposure.known || rig->change_to.known))
        text_entry(out, "  change", "%s: %s", clock_both(clocks, about, rig->change_utc),
                   setting_words(setting, &rig->change_to));
}

static void print_drift(FILE *out, const struct rig_moment *rig)
{
    char left[TEXT_SPAN];

    if (isfinite(rig->aim.drift_px_per_s))
        text_entry(out, "", "the Moon drifts by %.2f arcsec/s, %.1f px a minute%s",
                   rig->drift.arcsec_per_s, 60 * rig->aim.drift_px_per_s,
                   rig->out_of_reach ? "; it is out of the mount's reach" : "");
    if (isfinite(rig->flip_in_s))
        text_entry(out, "  flip", "%s%s", rig->flip_in_s > 0 ? "in " : "is due",
                   rig->flip_in_s > 0 ? format_left(left, rig->flip_in_s) : "");
}

/* How a wide rig stands, or is to stand from now on. */
static void print_pose(FILE *out, const struct subject *about, int index)
{
    const struct rig_moment *rig = &about->moment->rig[index];
    const struct pose *pose = rig->pose;
    bool held = pose == &about->night->rig[index].pose;

    if (pose->late || held) {
        text_entry(out, "  aim", "%s: altitude %.1f, azimuth %.1f (%s)",
                   held ? "pointed" : "for what is left", deg_from_rad(pose->altitude_rad),
                   deg_from_rad(pose->azimuth_rad), compass_point(pose->azimuth_rad));
        text_way(out, about->night, pose, about->moment->utc);
    } else {
        text_composition(out, about->night, index, about->moment->utc);
    }
}

/* What has become of the picture, and what is to be done. */
static void print_re_aim(FILE *out, const struct subject *about, int index)
{
    const struct rig_moment *rig = &about->moment->rig[index];
    char left[TEXT_SPAN], clocks[2 * TEXT_INSTANT], words[LOSS_WORDS];
    const char *contact = rig->due_before < 0 ? "" : contact_name((enum contact)rig->due_before);
    bool is_due = rig->aim_state == AIM_DUE || rig->aim_state == AIM_SNOOZED;

    if (is_due && rig->loss != LOSS_NONE)
        text_entry(out, "  RE-AIM", "%s",
                   loss_say(rig->loss, clock_both(clocks, about, rig->loss_utc), false, words));
    else if (is_due)
        text_entry(out, "  RE-AIM", "now%s%s", *contact ? ", before " : "", contact);
    else if ((rig->aim_state == AIM_SOON || rig->aim_state == AIM_STEADY) &&
             isfinite(rig->due_in_s))
        text_entry(out, "  re-aim", "in %s%s%s", format_left(left, rig->due_in_s),
                   *contact ? ", before " : "", contact);
}

static void print_aim(FILE *out, const struct rig_moment *rig)
{
    char place[TEXT_PLACE], placed[TEXT_SPAN], centred[TEXT_SPAN], turned[TEXT_SPAN];

    if (!isfinite(rig->aim.placed_stays_s))
        return;
    text_entry(
        out, "  aim", "put the Moon here: %s; it stays %s, from the centre %s, camera turned %s",
        place_words(place, rig->aim.place), format_span(placed, rig->aim.placed_stays_s),
        format_span(centred, rig->aim.centred_stays_s), format_span(turned, rig->turned_stays_s));
}

static void print_tripod(FILE *out, const struct subject *about, int index)
{
    char misfit[TEXT_MISFIT];

    if (about->night->framing[index].wide && !picture_fits(about->night, index, misfit) && *misfit)
        text_entry(out, "  misfit", "%s", misfit);
    if (about->moment->rig[index].pose)
        print_pose(out, about, index);
    else
        print_aim(out, &about->moment->rig[index]);
    print_re_aim(out, about, index);
}

static void print_done(FILE *out, const struct subject *about, int index)
{
    const struct rig *rig = &about->night->rig[index].rig;
    char clocks[2 * TEXT_INSTANT];

    text_entry(out, "Rig", "%s (%s%s%s): done, last frame %s", rig->name, rig->lens,
               *rig->lens ? ", " : "", support_name(rig->support),
               clock_both(clocks, about, about->night->rig[index].ends_utc));
}

static void print_rig(FILE *out, const struct subject *about, int index)
{
    const struct rig *rig = &about->night->rig[index].rig;
    const struct rig_moment *now = &about->moment->rig[index];
    char help_room[HELP_WORDS];
    const char *help = exposure_help(rig, &now->exposure, help_room);
    bool is_bracket = now->exposure.known && now->exposure.bracket_frames > 1;
    char setting[TEXT_SETTING], until[TEXT_INSTANT], lost[LOST_WORDS], limit[LIMIT_WORDS],
        off[STOPS_WORDS];

    if (now->aim_state == AIM_DONE) {
        print_done(out, about, index);
        return;
    }
    text_entry(out, "Rig", "%s (%s%s%s): %s%s%s", rig->name, rig->lens, *rig->lens ? ", " : "",
               support_name(rig->support), setting_words(setting, &now->exposure),
               is_bracket            ? ""
               : now->exposure.known ? ", "
                                     : ": ",
               is_bracket ? "" : target_words(now->exposure.target));
    if (!now->lost && *off_words(rig, now->off_stops, off))
        text_entry(out, "", "%s until the next round", off);
    if (*limit_words(rig, &now->exposure, limit))
        text_entry(out, "", "%s", limit);
    if (now->lost)
        text_entry(out, "", "%s",
                   lost_words(&now->lost_span,
                              clock_minute(until, about->reader, now->lost_span.span.to), 0, lost));
    if (help)
        text_entry(out, "", "%s", help);
    print_change(out, about, now);
    if (rig->support != SUPPORT_FIXED) {
        text_mount(out, about->night, index);
        print_drift(out, now);
    } else {
        print_tripod(out, about, index);
    }
    print_moment_kit(out, about->night, index, about->moment);
}

static void print_checklist(FILE *out, const struct subject *about)
{
    const struct check_item *item;
    char clocks[2 * TEXT_INSTANT];

    text_entry(out, "Checklist", "%d open, %d overdue", about->moment->check_open,
               about->moment->check_overdue);
    if (about->moment->check_next < 0)
        return;
    item = &about->night->setup.checklist.item[about->moment->check_next];
    text_entry(out, "  next", "%s: %s",
               clock_both(clocks, about, about->moment->check_due_utc[about->moment->check_next]),
               item->text);
}

static void print_site(FILE *out, const struct subject *about)
{
    const struct site *site = &about->night->site;
    const struct gps_reading *gps = &about->moment->readings.gps;
    char age[TEXT_SPAN];

    text_entry(out, "Site", "%s%slatitude %.5f, longitude %.5f, %.0f m (%s)", site->name,
               *site->name ? ": " : "", site->latitude_deg, site->longitude_deg, site->height_m,
               about->night->site_source);
    if (isfinite(gps->latitude_deg) && gps->satellites >= 0)
        text_entry(out, "GPS", "%s, %d satellites, age %s, latitude %.5f, longitude %.5f",
                   gps_state_name(gps->state), gps->satellites, format_span(age, gps->age_s),
                   gps->latitude_deg, gps->longitude_deg);
    else
        text_entry(out, "GPS", "%s", gps_state_name(gps->state));
}

static void print_clock(FILE *out, const struct subject *about)
{
    static const char *const synchronised[] = {"not known whether synchronised", "not synchronised",
                                               "synchronised"};
    const struct readings *readings = &about->moment->readings;
    char offset[48] = "", caveat[TEXT_CAVEAT];

    if (isfinite(readings->gps.clock_offset_s))
        (void)snprintf(offset, sizeof offset, ", %+.2f s against GPS",
                       readings->gps.clock_offset_s);
    text_entry(out, "Clock", "%s%s", synchronised[readings->clock_synchronised + 1], offset);
    if (offset_caveat(caveat,
                      fmax(about->moment->utc, about->night->contact_utc[CONTACT_GREATEST])))
        text_entry(out, "", "%s", caveat);
    if (isfinite(readings->battery_percent))
        text_entry(out, "Laptop", "battery %.0f %%%s%s", readings->battery_percent,
                   readings->battery_discharging ? ", discharging" : "",
                   about->moment->laptop_short ? ": it ends before P4" : "");
}

/* The Sun's warning goes before all that the hands do. */
static void print_hands(FILE *out, const struct subject *about)
{
    struct hands_words words;

    if (sun_warns(&about->moment->sun))
        text_entry(out, "CAUTION", "%s", SUN_WARNING);
    hands_say(about, &words);
    text_entry(out, "Hands", "%s", words.now);
    if (*words.then)
        text_entry(out, "", "%s", words.then);
}

int report_now_text(FILE *out, const struct night *night, const struct moment *moment)
{
    const unsigned form = CLOCK_DAY | CLOCK_SECONDS | CLOCK_ZONE | CLOCK_RUNNING;
    const struct subject subject = {night, moment, reader_local(night)}, *about = &subject;
    char local[TEXT_INSTANT], utc[TEXT_INSTANT];

    text_entry(out, "Now", "%s; %s%s", clock_words(local, about->reader, moment->utc, form),
               clock_words(utc, reader_utc(), moment->utc, form),
               night->rehearsal ? "; REHEARSAL" : "");
    print_events(out, about);
    print_eclipse(out, about);
    print_moon(out, about);
    print_hands(out, about);
    for (int i = 0; i < night->setup.rig_count; i++)
        print_rig(out, about, i);
    print_checklist(out, about);
    print_site(out, about);
    print_clock(out, about);
    print_moment_air(out, night, moment);
    text_entry(out, "Note", "The edge of the real umbra is uncertain by tens of seconds.");
    return text_done(out);
}
