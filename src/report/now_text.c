/* A moment for people without a screen: one calm page. */
#include "print.h"

#include <moonstand/words.h>

#include <math.h>
#include <string.h>

enum { THEN_EVENTS = 4 };

static void print_event(FILE *out, const char *label, const struct subject *about,
                        const struct night_event *event)
{
    char clocks[2 * TEXT_INSTANT], span[TEXT_SPAN];
    const char *meaning = event_meaning(event, false);

    text_entry(out, label, "%s in %s: %s%s%s%s", event_words(night_event_name(event), false),
               left_words(span, event->utc - about->moment->utc),
               clock_both(clocks, about, event->utc), *meaning ? " - " : "", meaning,
               *meaning && is_unseen(event) ? UNSEEN_NOTE : "");
}

static void print_events(FILE *out, const struct subject *about)
{
    int left = THEN_EVENTS;
    char text[SENTENCE];

    if (about->moment->next < 0) {
        text_entry(out, "Next", "%s", no_event_words(about, text));
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
    char iso[TEXT_INSTANT], text[SENTENCE];
    double greatest = about->night->contact_utc[CONTACT_GREATEST];

    text_entry(out, "Eclipse", "%s, greatest %s, umbral magnitude %.3f, penumbral %.3f, Saros %d",
               eclipse_kind_name(eclipse->kind),
               clock_words(iso, reader_utc(), greatest, CLOCK_DAY | CLOCK_SECONDS | CLOCK_ZONE),
               eclipse->umbral_magnitude, eclipse->penumbral_magnitude, eclipse->saros);
    if (never_up(about->night))
        text_entry(out, "Seen", NEVER_UP_WORDS);
    text_entry(out, "Phase", "%s", phase_words(about, -1, 0, text));
}

static void print_moon(FILE *out, const struct subject *about)
{
    char place[SENTENCE], horizon[SENTENCE];

    if (isnan(about->moment->moon.altitude_rad))
        text_entry(out, "Moon", "-");
    else
        text_entry(out, "Moon", "%s%s%s", moon_place_words(about, -1, 0, place),
                   *horizon_words(about, -1, 0, horizon) ? "; " : "", horizon);
}

static void print_change(FILE *out, const struct subject *about, const struct rig_moment *rig)
{
    char setting[SETTING_WORDS], clocks[2 * TEXT_INSTANT];

    if (rig->change_utc - about->moment->utc < SECONDS_PER_DAY &&
        (rig->exposure.known || rig->change_to.known))
        text_entry(out, "  change", "%s: %s", clock_both(clocks, about, rig->change_utc),
                   setting_words(&rig->change_to, 1, setting));
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

/* Whether its picture fits, and where it points. */
static void print_tripod(FILE *out, const struct subject *about, int index)
{
    char text[SENTENCE];

    if (about->night->framing[index].wide)
        text_entry(out, "  misfit", "%s", misfit_words(about->night, index, text));
    text_entry(out, "  aim", "%s", aim_words(about, index, 0, text));
    text_entry(out, "", "%s", look_words(about, index, 0, text));
    text_entry(out, "", "%s", else_words(about, index, 0, text));
}

static void print_rig(FILE *out, const struct subject *about, int index)
{
    const struct rig *rig = &about->night->rig[index].rig;
    const struct rig_moment *now = &about->moment->rig[index];
    char help_room[HELP_WORDS], setting[SETTING_WORDS], purpose[SENTENCE], off[STOPS_WORDS];
    char title[RIG_TITLE];
    const char *help = exposure_help(rig, &now->exposure, help_room);

    (void)rig_title(title, rig);
    if (now->aim_state == AIM_DONE) {
        text_entry(out, "Rig", "%s: done, %s", title, last_frame_words(about, index, 0, purpose));
        return;
    }
    text_entry(out, "Rig", "%s: %s", title, setting_words(&now->exposure, 0, setting));
    if (*purpose_words(about, index, 0, purpose))
        text_entry(out, "", "%s%s", purpose,
                   *off_words(rig, now, off) && !now->lost ? " until the next round"
                                                                      : "");
    text_entry(out, "", "%s", help ? help : "");
    print_change(out, about, now);
    if (rig->support != SUPPORT_FIXED) {
        text_entry(out, "  aim", "%s", aim_plan_words(about, index, purpose));
        print_drift(out, now);
    } else {
        print_tripod(out, about, index);
    }
    print_moment_kit(out, about, index);
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
    char place[SITE_PLACE_WORDS], text[SENTENCE];

    text_entry(out, "Site", "%s%s%s (%s)", site->name, *site->name ? ": " : "",
               site_place_words(site, place), about->night->site_source);
    text_entry(out, "GPS", "%s", gps_words(about, -1, 0, text));
}

static void print_clock(FILE *out, const struct subject *about)
{
    double last = fmax(about->moment->utc, about->night->contact_utc[CONTACT_GREATEST]);
    char caveat[CAVEAT_WORDS], text[SENTENCE];

    text_entry(out, "Clock", "%s", clock_state_words(about, -1, 0, text));
    if (utc_caveat_words(last, false, caveat))
        text_entry(out, "", "%s", caveat);
    if (isfinite(about->moment->readings.battery_percent))
        text_entry(out, "Laptop", "%s", laptop_words(about, -1, 0, text));
}

/* The Sun's warning goes before all that the hands do. */
static void print_hands(FILE *out, const struct subject *about)
{
    struct hands_words words;
    char rounds[ROUNDS_LEFT_WORDS];

    if (sun_warns(&about->moment->sun))
        text_entry(out, "CAUTION", "%s", SUN_WARNING);
    hands_say(about, &words);
    text_entry(out, "Hands", "%s", words.now);
    text_entry(out, "", "%s", words.then);
    text_entry(out, "", "%s", rounds_left_words(about, rounds));
}

int report_now_text(FILE *out, const struct night *night, const struct moment *moment)
{
    const unsigned form = CLOCK_DAY | CLOCK_SECONDS | CLOCK_ZONE | CLOCK_RUNNING;
    const struct subject subject = {night, moment, reader_local(night)}, *about = &subject;
    char local[TEXT_INSTANT], utc[TEXT_INSTANT];

    (void)clock_words(local, about->reader, moment->utc, form);
    (void)clock_words(utc, reader_utc(), moment->utc, form);
    bool once = strcmp(local, utc) == 0;
    text_entry(out, "Now", "%s%s%s%s", local, once ? "" : "; ", once ? "" : utc,
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
    print_moment_air(out, about);
    text_entry(out, "Note", "%s", UMBRA_CAVEAT);
    return text_done(out);
}
