/* What the pictures show as they land: who has stopped, which setting is off, what a clock shows. */
#include "derive.h"

#include <moonstand/median.h>
#include <moonstand/seen.h>
#include <moonstand/series.h>

#include <math.h>
#include <string.h>

/* A camera that has taken so many frames takes them by an intervalometer. */
enum { FRAMES_FOR_STOP = 5, FRAMES_FOR_CLOCK = 5 };
/* No frame for so many intervals, and so long beside its exposure: it has stopped. */
#define INTERVALS_MISSED 3
#define STOP_SPARE_S 20.0
/* Hands take so long to follow what is asked for. */
#define HANDS_LATE_S 90.0
/* Every zone is off UTC by so much or a multiple of it. */
#define ZONE_STEP_S 900.0
/* Frames of a bracket come one after the other: none of them makes an interval. */
#define BRACKET_WITHIN_S 3.0

void album_add(struct album *album, const struct shot *shot)
{
    int kept = album->count < ALBUM_SHOTS ? album->count : ALBUM_SHOTS - 1;

    (void)memmove(&album->shot[1], &album->shot[0], (size_t)kept * sizeof *album->shot);
    album->shot[0] = *shot;
    album->count = kept + 1;
}

/* ---- one frame against what is asked for ---- */

double setting_stops(const struct exposure *asked, const struct metadata *got)
{
    double f_number = isfinite(got->f_number) ? got->f_number : asked->f_number;
    double iso = 100 * exp2(asked->iso / 3.0);

    return log2(got->shutter_s / shutter_seconds(asked->shutter)) + log2(got->iso / iso) -
           2 * log2(f_number / asked->f_number);
}

/* By how much a frame is brighter than the nearest frame of what is asked for. */
static double stops_from(const struct exposure *asked, const struct seen *seen)
{
    double stops = setting_stops(asked, &seen->metadata), nearest = INFINITY;
    int frames = asked->bracket_frames > 1 ? asked->bracket_frames : 1;
    double first = asked->bracket_shown == BRACKET_MIDDLE ? -(frames - 1) / 2 : 0;

    for (int i = 0; i < frames; i++) {
        double off = stops - (first + i) * asked->bracket_step_stops;

        if (fabs(off) < fabs(nearest))
            nearest = off;
    }
    return isfinite(nearest) ? nearest : NAN;
}

static double nearer(double a, double b)
{
    return fabs(b) < fabs(a) || isnan(a) ? b : a;
}

/* What was asked for shortly before counts as well: hands are not quicker. So does the best of this
 * instant, which the last round may be off. */
static double off_stops(const struct night *night, const struct moment *moment, int rig,
                        const struct seen *seen)
{
    const struct exposure *asked[] = {
        &moment->rig[rig].exposure,
        rounds_now(&night->rounds, rig, moment->utc + HANDS_LATE_S),
        rounds_now(&night->rounds, rig, moment->utc),
        rounds_now(&night->rounds, rig, moment->utc - HANDS_LATE_S),
    };
    double nearest = NAN;

    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        double off = asked[i] && asked[i]->known ? stops_from(asked[i], seen) : NAN;

        nearest = nearer(nearest, off);
        if (i == 0)
            nearest = nearer(nearest, off + moment->rig[rig].off_stops);
    }
    return nearest;
}

void shot_make(const struct night *night, const struct moment *moment, int rig,
               const struct seen *seen, double utc, struct shot *shot)
{
    const struct metadata *got = &seen->metadata;

    *shot = (struct shot){
        .utc = utc,
        .shutter_s = got->shutter_s,
        .iso = got->iso,
        .off_stops = off_stops(night, moment, rig, seen),
        .behind_s = seen->landed_utc - got->taken,
    };
}

/* ---- what they tell ---- */

/* The interval that the frames have come at; 0: unknown. */
static double interval_seen(const struct album *album)
{
    double apart[ALBUM_SHOTS];
    int count = 0;

    for (int i = 0; i + 1 < album->count; i++) {
        double s = album->shot[i].utc - album->shot[i + 1].utc;

        if (s > BRACKET_WITHIN_S)
            apart[count++] = s;
    }
    return count >= 3 ? median_of(apart, count) : 0;
}

/* Since when the rig should be taking frames; NaN: it should not. */
static double shoots_since(const struct night *night, int rig, double utc)
{
    const struct shooting *shooting = &night->shooting[rig];

    for (int i = 0; i < shooting->span_count; i++)
        if (utc >= shooting->span[i].utc_from && utc <= shooting->span[i].utc_to) {
            double from = shooting->span[i].utc_from;

            while (i > 0 && shooting->span[i - 1].utc_to == from)
                from = shooting->span[--i].utc_from;
            return from;
        }
    return NAN;
}

static double longest_exposure_s(const struct album *album)
{
    double longest = 0;

    for (int i = 0; i < album->count; i++)
        longest = fmax(longest, album->shot[i].shutter_s);
    return longest;
}

static void see_stop(const struct night *night, const struct album *album, int rig, double utc,
                     struct album_moment *seen)
{
    double from = shoots_since(night, rig, utc);
    double interval = fmax(night->shooting[rig].interval_s, interval_seen(album));
    double frames = fmax(album->frames, night->rig[rig].pictures.frames);

    if (isnan(from) || isnan(seen->last_utc) || frames < FRAMES_FOR_STOP || night->cloud)
        return;
    from = fmax(from, seen->last_utc);
    seen->stopped =
        utc - from > INTERVALS_MISSED * interval + longest_exposure_s(album) + STOP_SPARE_S;
    if (seen->stopped)
        seen->since_utc = from;
}

static void see_setting(const struct night *night, const struct album *album, int rig, double utc,
                        struct album_moment *seen)
{
    double last = album->shot[0].off_stops, before = album->shot[1].off_stops;

    if (album->count < 2 || isnan(shoots_since(night, rig, utc)))
        return;
    if (fabs(last) >= SETTING_OFF_STOPS && fabs(before) >= SETTING_OFF_STOPS && last * before > 0)
        seen->off_stops = fabs(last) < fabs(before) ? last : before;
}

/* The median of what the last frames show: one that came late does not count. */
static void see_clock(const struct album *album, struct album_moment *seen)
{
    double behind[ALBUM_SHOTS];
    int count = 0;

    for (int i = 0; i < album->count; i++)
        if (isfinite(album->shot[i].behind_s))
            behind[count++] = album->shot[i].behind_s;
    if (count < FRAMES_FOR_CLOCK)
        return;
    seen->behind_s = median_of(behind, count);
    seen->clock_error_s = seen->behind_s - ZONE_STEP_S * round(seen->behind_s / ZONE_STEP_S);
}

void see_album(const struct night *night, struct moment *moment)
{
    for (int i = 0; i < night->setup.rig_count; i++) {
        const struct album *album = &moment->readings.album[i];
        struct album_moment *seen = &moment->album[i];

        *seen = (struct album_moment){
            .watched = *night->rig[i].rig.pictures && moment->readings.eye != EYE_OFF,
            .last_utc = album->count > 0 ? album->shot[0].utc : night->rig[i].pictures.last_utc,
            .since_utc = NAN,
            .behind_s = NAN,
            .clock_error_s = NAN,
            .limb_px = NAN,
            .spot = {SPOT_NONE, {NAN, NAN}, NAN},
            .put_off_utc = NAN,
            .umbra_stops = NAN,
        };
        if (!seen->watched)
            continue;
        see_stop(night, album, i, moment->utc, seen);
        see_setting(night, album, i, moment->utc, seen);
        see_clock(album, seen);
    }
    /* Whether one camera's pictures fade or all of them is known only then. */
    for (int i = 0; i < night->setup.rig_count; i++)
        if (moment->album[i].watched) {
            see_looks(night, moment, i);
            see_spot(night, moment, i);
        }
}
