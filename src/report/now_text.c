/* A moment for people without a screen: one calm page. */
#include "print.h"

#include <moonstand/aim_words.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/job_words.h>
#include <moonstand/list_words.h>
#include <moonstand/paper_words.h>
#include <moonstand/place_words.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <string.h>

static void print_events(FILE *out, const struct subject *about)
{
    const struct night_event *event = event_to_come(about->night, about->moment, 0);
    static const char *const labels[] = {"Next", "Then", "", "", ""};
    char text[SENTENCE];

    if (!event)
        text_entry(out, "Next", "%s", no_event_words(about, text));
    for (int i = 0; event && i < (int)(sizeof labels / sizeof *labels); i++) {
        text_entry(out, labels[i], "%s", event_when_words(about, event, text));
        event = event_to_come(about->night, about->moment, i + 1);
    }
}

static void print_eclipse(FILE *out, const struct subject *about)
{
    char text[SENTENCE];

    text_entry(out, "Eclipse", "%s", eclipse_words(&about->night->eclipse, text));
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

static void print_mount(FILE *out, const struct subject *about, int index)
{
    const struct rig_moment *rig = &about->moment->rig[index];
    char text[SENTENCE];

    text_entry(out, "  aim", "%s", aim_plan_words(about, index, text));
    if (rig->out_of_reach && about->moment->moon.up)
        text_entry(out, "", "%s", aim_words(about, index, 0, text));
    text_entry(out, "", "%s", drift_words(rig, text));
    text_entry(out, "  flip", "%s", flip_words(rig, text));
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
    char help_room[HELP_WORDS], setting[SETTING_WORDS], purpose[SENTENCE];
    char title[RIG_TITLE];
    const char *help = exposure_help(rig, &now->exposure, help_room);

    (void)rig_title(title, rig);
    if (now->aim_state == AIM_DONE) {
        text_entry(out, "Rig", "%s: done, %s", title, last_frame_words(about, index, 0, purpose));
        return;
    }
    text_entry(out, "Rig", "%s: %s", title, setting_words(&now->exposure, 0, setting));
    text_entry(out, "", "%s", purpose_words(about, index, 0, purpose));
    text_entry(out, "", "%s", help ? help : "");
    print_change(out, about, now);
    if (rig->support != SUPPORT_FIXED)
        print_mount(out, about, index);
    else
        print_tripod(out, about, index);
    print_moment_kit(out, about, index);
}

static void print_checklist(FILE *out, const struct subject *about)
{
    const struct moment *moment = about->moment;
    int next = moment->check_next;
    char clocks[2 * TEXT_INSTANT], open[COUNT_WORDS], overdue[COUNT_WORDS], text[SENTENCE];

    text_entry(out, "Checklist", "%s%s", open_words(moment, open), overdue_words(moment, overdue));
    if (next >= 0)
        text_entry(out, "  next", "%s: %s", clock_both(clocks, about, moment->check_due_utc[next]),
                   item_words(&about->night->setup.checklist.item[next], text));
}

static void print_site(FILE *out, const struct subject *about)
{
    const struct site *site = &about->night->site;
    char place[SITE_PLACE_WORDS], source[SOURCE_WORDS], text[SENTENCE];

    text_entry(out, "Site", "%s%s%s%s", site->name, *site->name ? ": " : "",
               site_place_words(site, place), site_source_words(about->night, source));
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
