/* A moment for people without a screen: one calm page. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/words.h>

#include <math.h>
#include <string.h>

enum { THEN_EVENTS = 4 };

/* "17:27:18 UTC, 22:27:18 local (+05)"; the day as well where it is not today's. */
static char *both_clocks(char *out, size_t size, const struct night *night, double utc, double now)
{
    char day[TEXT_INSTANT], today[TEXT_INSTANT], clock[TEXT_INSTANT], local[TEXT_INSTANT];
    bool is_today =
        strcmp(local_day(day, night, nearest_shown(utc, true)), local_day(today, night, now)) == 0;

    (void)snprintf(out, size, "%s%s%s, %s %s", is_today ? "" : day, is_today ? "" : " ",
                   local_zoned(local, night, utc), format_time(clock, utc, true, HOURS_24),
                   scale_name(utc));
    return out;
}

static void print_event(FILE *out, const char *label, const struct night *night,
                        const struct night_event *event, double now)
{
    char clocks[128], span[TEXT_SPAN];
    bool is_contact = event->kind == NIGHT_CONTACT;

    text_entry(out, label, "%s in %s: %s%s%s%s", night_event_name(event),
               countdown(span, event->utc - now),
               both_clocks(clocks, sizeof clocks, night, event->utc, now), is_contact ? " - " : "",
               is_contact ? contact_meaning((enum contact)event->which) : "",
               event->moon_up || !is_contact ? "" : " (Moon not seen)");
}

static void print_events(FILE *out, const struct night *night, const struct moment *moment)
{
    int left = THEN_EVENTS;

    if (moment->next < 0) {
        text_entry(out, "Next", "nothing more tonight");
        return;
    }
    print_event(out, "Next", night, &night->event[moment->next], moment->utc);
    for (int i = moment->next + 1; i < night->event_count && left > 0; i++)
        if (night_event_counts(&night->event[i])) {
            print_event(out, left == THEN_EVENTS ? "Then" : "", night, &night->event[i],
                        moment->utc);
            left--;
        }
}

static void print_eclipse(FILE *out, const struct night *night, const struct moment *moment)
{
    const struct eclipse *eclipse = &night->eclipse;
    char iso[TEXT_INSTANT];
    double greatest = night->contact_utc[CONTACT_GREATEST];

    text_entry(out, "Eclipse",
               "%s, greatest %s %s, umbral magnitude %.3f, penumbral %.3f, Saros %d",
               eclipse_kind_name(eclipse->kind), day_and_time(iso, greatest), scale_name(greatest),
               eclipse->umbral_magnitude, eclipse->penumbral_magnitude, eclipse->saros);
    if (never_up(night))
        text_entry(out, "Seen", "no phase of it is up from this site");
    if (moment->phase == PHASE_NONE)
        text_entry(out, "Phase", "none, the Moon is outside the shadow");
    else
        text_entry(out, "Phase", "%s, umbral magnitude now %.3f, penumbral %.3f",
                   phase_name(moment->phase), moment->shadow.umbral_magnitude,
                   moment->shadow.penumbral_magnitude);
}

static void print_moon(FILE *out, const struct night *night, const struct moment *moment)
{
    const struct sight *moon = &moment->moon;
    char horizon[128] = "", clocks[96];

    if (!isfinite(moon->altitude_rad)) {
        text_entry(out, "Moon", "-");
        return;
    }
    if (!moon->up && !isfinite(moment->horizon_utc))
        (void)snprintf(horizon, sizeof horizon, "%s all night", behind_skyline(moon) ? "" : ";");
    else if (behind_skyline(moon) && isfinite(moment->horizon_utc))
        (void)snprintf(horizon, sizeof horizon, " until %s",
                       both_clocks(clocks, sizeof clocks, night, moment->horizon_utc, moment->utc));
    else if (isfinite(moment->horizon_utc))
        (void)snprintf(horizon, sizeof horizon, "; %s %s",
                       moment->horizon_is_rise ? "rises" : "sets",
                       both_clocks(clocks, sizeof clocks, night, moment->horizon_utc, moment->utc));
    text_entry(out, "Moon", "%s%s, altitude %.1f deg, azimuth %.1f deg (%s), %s%s",
               moon->up               ? "up"
               : behind_skyline(moon) ? "behind the skyline"
                                      : "down",
               behind_skyline(moon) ? horizon : "", deg_from_rad(moon->altitude_rad),
               deg_from_rad(moon->azimuth_rad), compass_point(moon->azimuth_rad),
               moment->rising ? "climbing" : "sinking", behind_skyline(moon) ? "" : horizon);
}

static void print_change(FILE *out, const struct night *night, const struct rig_moment *rig,
                         double now)
{
    char setting[TEXT_SETTING], clocks[96];

    if (rig->change_utc - now < SECONDS_PER_DAY && (rig->exposure.known || rig->change_to.known))
        text_entry(out, "  change", "%s: %s",
                   both_clocks(clocks, sizeof clocks, night, rig->change_utc, now),
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
static void print_pose(FILE *out, const struct night *night, int index, const struct moment *moment)
{
    const struct rig_moment *rig = &moment->rig[index];
    const struct pose *pose = rig->pose;
    bool held = pose == &night->rig[index].pose;

    if (pose->late || held) {
        text_entry(out, "  aim", "%s: altitude %.1f, azimuth %.1f (%s)",
                   held ? "pointed" : "for what is left", deg_from_rad(pose->altitude_rad),
                   deg_from_rad(pose->azimuth_rad), compass_point(pose->azimuth_rad));
        text_way(out, night, pose, moment->utc);
    } else {
        text_composition(out, night, index, moment->utc);
    }
}

/* What has become of the picture, and what is to be done. */
static void print_re_aim(FILE *out, const struct night *night, int index,
                         const struct moment *moment)
{
    const struct rig_moment *rig = &moment->rig[index];
    char left[TEXT_SPAN], clocks[96], words[LOSS_WORDS];
    const char *contact = rig->due_before < 0 ? "" : contact_name((enum contact)rig->due_before);
    bool is_due = rig->aim_state == AIM_DUE || rig->aim_state == AIM_SNOOZED;

    if (is_due && rig->loss != LOSS_NONE)
        text_entry(out, "  RE-AIM", "%s",
                   loss_say(rig->loss,
                            both_clocks(clocks, sizeof clocks, night, rig->loss_utc, moment->utc),
                            false, words));
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

static void print_tripod(FILE *out, const struct night *night, int index,
                         const struct moment *moment)
{
    char misfit[TEXT_MISFIT];

    if (night->framing[index].wide && !picture_fits(night, index, misfit) && *misfit)
        text_entry(out, "  misfit", "%s", misfit);
    if (moment->rig[index].pose)
        print_pose(out, night, index, moment);
    else
        print_aim(out, &moment->rig[index]);
    print_re_aim(out, night, index, moment);
}

static void print_done(FILE *out, const struct night *night, int index, const struct moment *moment)
{
    const struct rig *rig = &night->rig[index].rig;
    char clocks[96];

    text_entry(out, "Rig", "%s (%s%s%s): done, last frame %s", rig->name, rig->lens,
               *rig->lens ? ", " : "", support_name(rig->support),
               both_clocks(clocks, sizeof clocks, night, night->rig[index].ends_utc, moment->utc));
}

static void print_rig(FILE *out, const struct night *night, int index, const struct moment *moment)
{
    const struct rig *rig = &night->rig[index].rig;
    const struct rig_moment *now = &moment->rig[index];
    const char *help = exposure_help(rig, &now->exposure);
    bool is_bracket = now->exposure.known && now->exposure.bracket_frames > 1;
    char setting[TEXT_SETTING], until[TEXT_INSTANT], lost[LOST_WORDS], limit[LIMIT_WORDS];

    if (now->aim_state == AIM_DONE) {
        print_done(out, night, index, moment);
        return;
    }
    text_entry(out, "Rig", "%s (%s%s%s): %s%s%s", rig->name, rig->lens, *rig->lens ? ", " : "",
               support_name(rig->support), setting_words(setting, &now->exposure),
               is_bracket            ? ""
               : now->exposure.known ? ", "
                                     : ": ",
               is_bracket ? "" : target_words(now->exposure.target));
    if (*limit_words(rig, &now->exposure, limit))
        text_entry(out, "", "%s", limit);
    if (now->lost)
        text_entry(
            out, "", "%s",
            lost_say(&now->lost_span, local_minute(until, night, now->lost_span.span.to), 0, lost));
    if (help)
        text_entry(out, "", "%s", help);
    print_change(out, night, now, moment->utc);
    if (rig->support != SUPPORT_FIXED) {
        text_mount(out, night, index);
        print_drift(out, now);
    } else {
        print_tripod(out, night, index, moment);
    }
    print_moment_kit(out, night, index, moment);
}

static void print_checklist(FILE *out, const struct night *night, const struct moment *moment)
{
    const struct check_item *item;
    char clocks[96];

    text_entry(out, "Checklist", "%d open, %d overdue", moment->check_open, moment->check_overdue);
    if (moment->check_next < 0)
        return;
    item = &night->setup.checklist.item[moment->check_next];
    text_entry(out, "  next", "%s: %s",
               both_clocks(clocks, sizeof clocks, night, moment->check_due_utc[moment->check_next],
                           moment->utc),
               item->text);
}

static void print_site(FILE *out, const struct night *night, const struct moment *moment)
{
    const struct site *site = &night->site;
    const struct gps_reading *gps = &moment->readings.gps;
    char age[TEXT_SPAN];

    text_entry(out, "Site", "%s%slatitude %.5f, longitude %.5f, %.0f m (%s)", site->name,
               *site->name ? ": " : "", site->latitude_deg, site->longitude_deg, site->height_m,
               night->site_source);
    if (isfinite(gps->latitude_deg) && gps->satellites >= 0)
        text_entry(out, "GPS", "%s, %d satellites, age %s, latitude %.5f, longitude %.5f",
                   gps_state_name(gps->state), gps->satellites, format_span(age, gps->age_s),
                   gps->latitude_deg, gps->longitude_deg);
    else
        text_entry(out, "GPS", "%s", gps_state_name(gps->state));
}

static void print_clock(FILE *out, const struct night *night, const struct moment *moment)
{
    static const char *const synchronised[] = {"not known whether synchronised", "not synchronised",
                                               "synchronised"};
    const struct readings *readings = &moment->readings;
    char offset[48] = "", caveat[TEXT_CAVEAT];

    if (isfinite(readings->gps.clock_offset_s))
        (void)snprintf(offset, sizeof offset, ", %+.2f s against GPS",
                       readings->gps.clock_offset_s);
    text_entry(out, "Clock", "%s%s", synchronised[readings->clock_synchronised + 1], offset);
    if (offset_caveat(caveat, fmax(moment->utc, night->contact_utc[CONTACT_GREATEST])))
        text_entry(out, "", "%s", caveat);
    if (isfinite(readings->battery_percent))
        text_entry(out, "Laptop", "battery %.0f %%%s%s", readings->battery_percent,
                   readings->battery_discharging ? ", discharging" : "",
                   moment->laptop_short ? ": it ends before P4" : "");
}

/* The Sun's warning goes before all that the hands do. */
static void print_hands(FILE *out, const struct night *night, const struct moment *moment)
{
    struct reader reader = reader_local(night);
    struct hands_words words;

    if (sun_warns(&moment->sun))
        text_entry(out, "CAUTION", "%s", SUN_WARNING);
    hands_say(night, moment, &reader, &words);
    text_entry(out, "Hands", "%s", words.now);
    if (*words.then)
        text_entry(out, "", "%s", words.then);
}

int report_now_text(FILE *out, const struct night *night, const struct moment *moment)
{
    char iso[TEXT_INSTANT], day[TEXT_INSTANT], clock[TEXT_INSTANT];
    const char *abbreviation;

    (void)zone_offset(&night->zone, moment->utc, &abbreviation);
    text_entry(out, "Now", "%s %s %s; %s %s%s", local_day(day, night, moment->utc),
               local_clock(clock, night, moment->utc), abbreviation,
               day_and_clock(iso, moment->utc), scale_name(moment->utc),
               night->rehearsal ? "; REHEARSAL" : "");
    print_events(out, night, moment);
    print_eclipse(out, night, moment);
    print_moon(out, night, moment);
    print_hands(out, night, moment);
    for (int i = 0; i < night->setup.rig_count; i++)
        print_rig(out, night, i, moment);
    print_checklist(out, night, moment);
    print_site(out, night, moment);
    print_clock(out, night, moment);
    print_moment_air(out, night, moment);
    text_entry(out, "Note", "The edge of the real umbra is uncertain by tens of seconds.");
    return text_done(out);
}
