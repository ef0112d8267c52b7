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
enum { PICTURE_ACTS = 4 };

static bool alarm_is_new(const struct rig_state *rig, const struct rig_moment *moment)
{
    bool raised = rig->alarm_utc > rig->due_utc - 1;

    return moment->due_in_s <= 0 && moment->aim_state != AIM_DOWN &&
           moment->aim_state != AIM_DONE && !raised;
}

static struct act alarm_act(const struct night *night, int index, double utc)
{
    const struct rig_state *rig = &night->rig[index];
    struct act act = {.utc = utc, .boot_s = NAN, .kind = ACT_ALARM, .rig = index};

    act.value[0] = rig->due_utc;
    if (utc - rig->due_utc > HEARD_WITHIN_S * night->pace)
        act.kind = ACT_MISSED;
    return act;
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

struct act setting_act(const struct exposure *exposure, int rig, double utc)
{
    return (struct act){.utc = utc,
                        .boot_s = NAN,
                        .kind = ACT_SETTING,
                        .rig = rig,
                        .value = {exposure->shutter, exposure->iso, (double)exposure->target,
                                  exposure->bracket_frames}};
}

bool is_shooting(const struct night *night, int rig, double utc)
{
    return utc >= night->contact_utc[CONTACT_P1] && utc <= night->rig[rig].ends_utc;
}

static bool clock_has_moved(const struct night *night, const struct gps_reading *gps)
{
    return isfinite(gps->clock_offset_s) &&
           !(fabs(gps->clock_offset_s - night->clock_offset_s) < CLOCK_MOVED_S);
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

static bool picture_clock_has_moved(const struct rig_state *rig, const struct album_moment *seen)
{
    return isfinite(seen->behind_s) &&
           !(fabs(seen->behind_s - rig->picture_behind_s) < CLOCK_MOVED_S);
}

/* What the pictures of one rig tell; how many acts, of
 * PICTURE_ACTS at most. */
static int decide_pictures(const struct night *night, const struct moment *moment, int index,
                           struct act *acts)
{
    const struct rig_state *rig = &night->rig[index];
    const struct album *album = &moment->readings.album[index];
    const struct album_moment *seen = &moment->album[index];
    const struct act plain = {.utc = moment->utc, .boot_s = NAN, .rig = index};
    int count = 0;

    if (!seen->watched)
        return 0;
    if (count_is_new(rig, album, moment->utc)) {
        acts[count] = plain;
        acts[count].kind = ACT_PICTURES;
        acts[count].value[0] = album->frames;
        acts[count].value[1] = album->bytes;
        acts[count].value[2] = album->raw;
        acts[count++].value[3] = seen->last_utc;
    }
    if (seen->stopped && !(fabs(seen->since_utc - rig->stopped_utc) < 1)) {
        acts[count] = plain;
        acts[count].kind = ACT_STOPPED;
        acts[count++].value[0] = seen->since_utc;
    }
    /* A rehearsal's clock is not the camera's. */
    if (!night->rehearsal && picture_clock_has_moved(rig, seen)) {
        acts[count] = plain;
        acts[count].kind = ACT_PICTURE_CLOCK;
        acts[count++].value[0] = seen->behind_s;
    }
    acts[count] = plain;
    return count + spot_act(night, moment, index, &acts[count]);
}

int night_decide(const struct night *night, const struct moment *moment, struct act *acts, int most)
{
    int count = 0;

    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct rig_state *rig = &night->rig[i];
        const struct exposure *exposure = &moment->rig[i].exposure;

        if (rig->aimed && alarm_is_new(rig, &moment->rig[i]) && count < most)
            acts[count++] = alarm_act(night, i, moment->utc);
        if (is_shooting(night, i, moment->utc) && setting_is_new(rig, exposure) && count < most)
            acts[count++] = setting_act(exposure, i, moment->utc);
        if (count + PICTURE_ACTS <= most)
            count += decide_pictures(night, moment, i, acts + count);
    }
    if (clock_has_moved(night, &moment->readings.gps) && count < most)
        acts[count++] = (struct act){
            .utc = moment->utc,
            .boot_s = NAN,
            .kind = ACT_CLOCK,
            .rig = -1,
            .value = {moment->readings.gps.clock_offset_s},
        };
    if (reading_is_new(night, moment) && count < most)
        acts[count++] = (struct act){
            .utc = moment->utc,
            .boot_s = NAN,
            .kind = ACT_SENSOR,
            .rig = -1,
            .value = {moment->readings.temperature_c, moment->readings.humidity_percent},
        };
    return count;
}

static struct act missed_act(double utc, double due_utc, const char *text)
{
    struct act act = {.utc = utc, .boot_s = NAN, .kind = ACT_MISSED, .rig = -1, .value = {due_utc}};

    (void)snprintf(act.text, sizeof act.text, "%s", text);
    return act;
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
    int count = 0;

    if (most <= 0)
        return 0;
    acts[count++] = (struct act){
        .utc = to_utc,
        .boot_s = NAN,
        .kind = ACT_GAP,
        .rig = -1,
        .value = {from_utc, to_utc, clock_set_s == 0 ? NAN : clock_set_s},
    };
    for (int i = 0; i < night->event_count && count < most; i++) {
        const struct night_event *event = &night->event[i];

        if (night_event_counts(event) && event->utc > from_utc && event->utc <= to_utc)
            acts[count++] = missed_act(to_utc, event->utc, night_event_name(event));
    }
    for (int i = 0; i < list->count && count < most; i++) {
        double due = item_due_utc(night, i);

        if (due > from_utc && due <= to_utc && !isfinite(night->checked_utc[i]))
            acts[count++] = missed_act(to_utc, due, list->item[i].text);
    }
    qsort(acts + 1, (size_t)count - 1, sizeof *acts, compare_due);
    return count;
}
