/* What the program itself has to write down. */
#include "derive.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* An alarm that is recorded later than this after its time, as people live it, was not heard when
 * it mattered. */
#define HEARD_WITHIN_S 5.0
/* The laptop's clock against GPS is written down again when it has moved by this much. */
#define CLOCK_MOVED_S 1.0
/* So often at most it is written down how many pictures have landed. */
#define COUNT_EVERY_S 60.0

/* What is written down at one instant. */
struct decided {
    struct act *acts;
    int count, most;
    double utc;
};

static void add_decided(struct decided *decided, struct act act)
{
    if (decided->count == decided->most)
        return;
    act.utc = decided->utc;
    decided->acts[decided->count++] = act;
}

static bool alarm_is_new(const struct rig_state *rig, const struct rig_moment *moment)
{
    bool raised = rig->alarm_utc > rig->due_utc - 1;

    return moment->due_in_s <= 0 && moment->aim_state != AIM_DOWN &&
           moment->aim_state != AIM_DONE && !raised;
}

static void add_alarm(struct decided *decided, const struct night *night, int rig)
{
    double due_utc = night->rig[rig].due_utc;
    bool heard = decided->utc - due_utc <= HEARD_WITHIN_S * night->pace;

    add_decided(
        decided,
        (struct act){.kind = heard ? ACT_ALARM : ACT_MISSED, .rig = rig, .value = {due_utc}});
}

bool dial_shows(const struct dial *dial, const struct exposure *exposure)
{
    return dial->known && dial->shutter == exposure->shutter && dial->iso == exposure->iso &&
           dial->frames == exposure->bracket_frames;
}

static bool setting_is_new(const struct rig_state *rig, const struct exposure *exposure)
{
    if (!exposure->known)
        return false;
    return !dial_shows(&rig->dial, exposure) || rig->setting_target != exposure->target;
}

struct act setting_act(const struct exposure *exposure, int rig)
{
    return (struct act){.kind = ACT_SETTING,
                        .rig = rig,
                        .value = {exposure->shutter, exposure->iso, (double)exposure->target,
                                  exposure->bracket_frames}};
}

bool is_shooting(const struct night *night, int rig, double utc)
{
    return utc >= night->contact_utc[CONTACT_P1] && utc <= night->rig[rig].ends_utc;
}

/* A clock against what was last written down of it. */
static bool clock_has_moved(double off_s, double written_s)
{
    return isfinite(off_s) && !(fabs(off_s - written_s) < CLOCK_MOVED_S);
}

/* One reading of the sensor for each AIR_SPACING_S is enough. It counts from when it is written
 * down: one that the sensor already had long before it was asked would be called fresh. */
static bool reading_is_new(const struct night *night, const struct moment *moment)
{
    const struct air_reading *last = air_log_last(&night->air_log);
    double age_s = moment->readings.air_age_s, read_utc = moment->utc - age_s * night->pace;

    return age_s < night->setup.air.every_s + AIR_SPACING_S &&
           (!last || read_utc - last->utc >= AIR_SPACING_S);
}

/* Counts of pictures, once a minute. */
static bool count_is_new(const struct rig_state *rig, const struct album *album, double utc)
{
    return album->count > 0 &&
           !(album->frames == rig->pictures.frames && album->bytes == rig->pictures.bytes) &&
           !(utc - rig->counted_utc < COUNT_EVERY_S);
}

/* What the pictures of one rig tell. */
static void decide_pictures(struct decided *decided, const struct night *night,
                            const struct moment *moment, int index)
{
    const struct rig_state *rig = &night->rig[index];
    const struct album *album = &moment->readings.album[index];
    const struct album_moment *seen = &moment->album[index];
    struct act spotted = {.rig = index};

    if (!seen->watched)
        return;
    if (count_is_new(rig, album, moment->utc))
        add_decided(decided, (struct act){.kind = ACT_PICTURES,
                                          .rig = index,
                                          .value = {album->frames, album->bytes, album->raw,
                                                    seen->last_utc}});
    if (seen->stopped && !(fabs(seen->since_utc - rig->stopped_utc) < 1))
        add_decided(decided,
                    (struct act){.kind = ACT_STOPPED, .rig = index, .value = {seen->since_utc}});
    /* A rehearsal's clock is not the camera's. */
    if (!night->rehearsal && clock_has_moved(seen->behind_s, rig->picture_behind_s))
        add_decided(
            decided,
            (struct act){.kind = ACT_PICTURE_CLOCK, .rig = index, .value = {seen->behind_s}});
    if (spot_act(night, moment, index, &spotted))
        add_decided(decided, spotted);
}

int night_decide(const struct night *night, const struct moment *moment, struct act *acts, int most)
{
    const struct readings *readings = &moment->readings;
    struct decided decided = {acts, 0, most, moment->utc};

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        const struct exposure *exposure = &moment->rig[i].exposure;

        if (rig->aimed && alarm_is_new(rig, &moment->rig[i]))
            add_alarm(&decided, night, i);
        if (is_shooting(night, i, moment->utc) && setting_is_new(rig, exposure))
            add_decided(&decided, setting_act(exposure, i));
        decide_pictures(&decided, night, moment, i);
    }
    if (clock_has_moved(readings->gps.clock_offset_s, night->clock_offset_s))
        add_decided(
            &decided,
            (struct act){.kind = ACT_CLOCK, .rig = -1, .value = {readings->gps.clock_offset_s}});
    if (reading_is_new(night, moment))
        add_decided(&decided,
                    (struct act){.kind = ACT_SENSOR,
                                 .rig = -1,
                                 .value = {readings->temperature_c, readings->humidity_percent}});
    return decided.count;
}

static void add_missed(struct decided *decided, double due_utc, const char *text)
{
    struct act act = {.kind = ACT_MISSED, .rig = -1, .value = {due_utc}};

    (void)snprintf(act.text, sizeof act.text, "%s", text);
    add_decided(decided, act);
}

static int compare_due(const void *a, const void *b)
{
    double first = ((const struct act *)a)->value[0], second = ((const struct act *)b)->value[0];

    return (first > second) - (first < second);
}

int night_missed(const struct night *night, double from_utc, double to_utc, double clock_set_s,
                 struct act *acts, int most)
{
    const struct checklist *list = &night->setup.checklist;
    struct decided decided = {acts, 0, most, to_utc};

    add_decided(&decided,
                (struct act){.kind = ACT_GAP,
                             .rig = -1,
                             .value = {from_utc, to_utc, clock_set_s == 0 ? NAN : clock_set_s}});
    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        if (night_event_counts(night, event) && event->utc > from_utc && event->utc <= to_utc)
            add_missed(&decided, event->utc, night_event_name(event));
    }
    for (int i = 0; i < list->count; i++) {
        double due = item_due_utc(night, i);

        if (due > from_utc && due <= to_utc && !isfinite(night->checked_utc[i]))
            add_missed(&decided, due, list->item[i].text);
    }
    if (decided.count > 0)
        qsort(acts + 1, (size_t)decided.count - 1, sizeof *acts, compare_due);
    return decided.count;
}
