/* What looks at the Moon show: its light against what is reckoned, sharpness, fading, the umbra. */
#include "derive.h"

#include <moonstand/album.h>
#include <moonstand/median.h>
#include <moonstand/seen.h>
#include <moonstand/test_print.h>

#include <math.h>
#include <string.h>

/* A picture landed as it was taken if it is as late as the one before, to this. */
#define AT_ONCE_S 5.0
enum { LIMBS = 5, LOOKS_FOR_NO_MOON = 3, LOOKS_FOR_UMBRA = 3 };
/* Tones that a JPEG tells with an unknown curve: common practice, no source; see `make eye-table`. */
#define TONE_LEAST (-3.0)
#define TONE_MOST 1.5
/* Mid-grey in a JPEG, of white. */
#define MID_GREY 0.18
/* Pictures fade if they come out so much darker within that time, and have come back at half of it. */
#define FADE_STOPS 0.7
#define FADE_WITHIN_S 600.0
/* The curve of a camera is not known: tones are held against those of about the same exposure. */
#define SAME_TONE_STOPS 1.0
/* What the umbra tells is asked of looks so fresh that agree so well. */
#define UMBRA_WITHIN_S 300.0
#define UMBRA_AGREE_STOPS 0.5
/* And is worth a correction from there on. */
#define UMBRA_STOPS 0.5
/* The umbra's tone is right to half a stop (`make eye-table`) if nearly all of the disc is in it,
 * hardly more clips than what is not, and it is neither near the toe of the curve nor near white. */
#define UMBRA_SHARE_LEAST 0.9
#define UMBRA_CLIPPED_MOST 0.02
#define UMBRA_TONE_LEAST (-2.5)
/* Maria, a third of the near side and half as bright as the rest (from memory), leave the full
 * Moon's median where it is; in the umbra, whose light varies as much, they take so much of it. */
#define MARIA_STOPS 0.25
/* A contrasty curve makes the umbra a third of a stop darker than sRGB's does once the full Moon's tone is
 * taken off (measured on made-up pictures). Which of them a camera has is not known: the middle. */
#define CURVE_STOPS 0.15

/* ---- one picture against the night ---- */

bool landed_at_once(const struct album *album, const struct seen *seen)
{
    const struct shot *before = &album->shot[0];
    const struct metadata *got = &seen->metadata;
    double late = seen->landed_utc - got->taken - got->shutter_s;

    return album->count > 0 && fabs(late - (before->behind_s - before->shutter_s)) < AT_ONCE_S;
}

static bool is_held_alike(const struct rig *rig, const struct metadata *metadata)
{
    bool turned = metadata->orientation >= 5;
    bool tall = turned ? metadata->jpeg_width > metadata->jpeg_height
                       : metadata->jpeg_height > metadata->jpeg_width;

    return tall == rig->portrait;
}

/* Of a tone, 0 to 255, by sRGB (IEC 61966-2-1). */
static double linear_of(double tone)
{
    double v = tone / 255;

    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

double lit_tone_stops(const struct disc_light *light)
{
    return log2(linear_of(light->lit) / MID_GREY);
}

/* Its luminance: red alone is half a stop and more ahead of the eye. */
static double umbra_tone(const struct disc_light *light)
{
    return log2((0.2126 * linear_of(light->umbra[0]) + 0.7152 * linear_of(light->umbra[1]) +
                 0.0722 * linear_of(light->umbra[2])) /
                MID_GREY);
}

double umbra_tone_stops(const struct disc_light *light, double umbra_share)
{
    double stops = umbra_tone(light);
    bool right = umbra_share >= UMBRA_SHARE_LEAST &&
                 light->clipped <= 1 - umbra_share + UMBRA_CLIPPED_MOST &&
                 stops >= UMBRA_TONE_LEAST && stops <= TONE_MOST;

    return right ? stops + MARIA_STOPS + CURVE_STOPS : NAN;
}

/* The light of the middle of what is not in the umbra: half of that area is darker. NaN if that is a
 * sliver. */
static double lit_fraction(const struct night *night, const struct moment *moment)
{
    const double sliver = 0.03;
    const struct shadow *shadow = &moment->shadow;
    double share = moment->light.umbra_share;

    if (!(share <= 1 - sliver))
        return NAN;
    return light_at(&night->light, disc_quantile(shadow, (1 + share) / 2), shadow->umbra,
                    shadow->penumbra);
}

/* `fraction` of full sunlight came out `stops` over mid-grey; `more_stops`: what the setting of the
 * picture is brighter by than the one that is asked for. */
static struct tone_check tone_of(const struct print_ask *ask, double fraction, double more_stops,
                                 double stops)
{
    struct tone_check tone = {NAN, NAN};

    if (isfinite(fraction))
        tone.reckoned_stops = print_stops(ask, fraction) + more_stops;
    if (stops >= TONE_LEAST && stops <= TONE_MOST)
        tone.off_stops = stops - tone.reckoned_stops;
    return tone;
}

bool look_make(const struct night *night, const struct moment *moment, int rig,
               const struct seen *seen, double utc, struct look_at_moon *look)
{
    const struct rig *set_up = &night->rig[rig].rig;
    double more_stops = setting_stops(&moment->rig[rig].exposure, &seen->metadata);
    struct print_ask ask;

    *look = (struct look_at_moon){.utc = utc,
                                  .found = seen->state == SEEN_DISC,
                                  .place = {NAN, NAN},
                                  .clipped = NAN,
                                  .limb_px = NAN,
                                  .limb_least_px = NAN,
                                  .lit = {NAN, NAN},
                                  .umbra = {NAN, NAN},
                                  .umbra_off_stops = NAN,
                                  .danjon = night->danjon_state};
    if (seen->state != SEEN_DISC && seen->state != SEEN_NO_DISC)
        return false;
    if (!look->found)
        return true;
    if (is_held_alike(set_up, &seen->metadata))
        look->place = seen->place;
    look->clipped = seen->light.clipped;
    look->limb_px = seen->limb.width_px;
    look->limb_least_px = seen->limb.least_px;
    print_ask_make(night, moment, rig, &ask);
    look->lit =
        tone_of(&ask, lit_fraction(night, moment), more_stops, lit_tone_stops(&seen->light));
    look->umbra = tone_of(&ask, moment->light.umbra, more_stops, umbra_tone(&seen->light));
    look->umbra_off_stops =
        umbra_tone_stops(&seen->light, moment->light.umbra_share) - look->umbra.reckoned_stops;
    return true;
}

/* ---- the last looks ---- */

static double median_limb(const struct album *album, bool least)
{
    double px[LIMBS];

    for (int i = 0; i < LIMBS; i++) {
        if (i >= album->look_count || isnan(album->look[i].limb_px))
            return NAN;
        px[i] = least ? album->look[i].limb_least_px : album->look[i].limb_px;
    }
    return median_of(px, LIMBS);
}

/* By how much the last two looks are darker than the second brightest before them, which `from`
 * becomes; NaN: nothing to hold them against. */
static double fall_of(const struct album *album, bool umbra, double *from)
{
    const struct look_at_moon *last = &album->look[0];
    double now = -INFINITY, best = NAN, second = NAN;

    for (int i = 0; i < album->look_count && last->utc - album->look[i].utc <= FADE_WITHIN_S; i++) {
        const struct look_at_moon *look = &album->look[i];
        const struct tone_check *tone = umbra ? &look->umbra : &look->lit;
        double apart = tone->reckoned_stops -
                       (umbra ? last->umbra.reckoned_stops : last->lit.reckoned_stops);

        if (i < 2) {
            now = isnan(tone->off_stops) ? INFINITY : fmax(now, tone->off_stops);
        } else if (fabs(apart) <= SAME_TONE_STOPS && look->danjon == last->danjon) {
            if (!(tone->off_stops <= best)) {
                second = best;
                best = isnan(tone->off_stops) ? best : tone->off_stops;
            } else if (!(tone->off_stops <= second)) {
                second = tone->off_stops;
            }
        }
    }
    *from = second;
    return second - now;
}

/* What has begun to fade does so until half of the fall has come back, or the part is gone. */
static void follow_fading(struct album *album)
{
    const struct look_at_moon *last = &album->look[0];
    const struct tone_check *tone = album->faded_umbra ? &last->umbra : &last->lit;

    if (album->fades)
        album->fades = isfinite(tone->reckoned_stops) &&
                       !(tone->off_stops > album->faded_from - FADE_STOPS / 2);
    for (int umbra = 0; umbra <= 1 && !album->fades; umbra++) {
        album->fades = fall_of(album, umbra, &album->faded_from) >= FADE_STOPS;
        album->faded_umbra = umbra;
    }
}

/* The full Moon outside the umbra tells how much brighter the camera makes everything. */
static void follow_camera(struct album *album)
{
    double off[ALBUM_LOOKS];
    int count = 0;

    for (int i = 0; i < album->look_count; i++)
        if (isnan(album->look[i].umbra.reckoned_stops) && isfinite(album->look[i].lit.off_stops))
            off[count++] = album->look[i].lit.off_stops;
    if (count == 0)
        return;
    album->camera_known = true;
    album->camera_stops = median_of(off, count);
}

void album_look(struct album *album, const struct look_at_moon *look)
{
    int kept = album->look_count < ALBUM_LOOKS ? album->look_count : ALBUM_LOOKS - 1;

    (void)memmove(&album->look[1], &album->look[0], (size_t)kept * sizeof *album->look);
    album->look[0] = *look;
    album->look_count = kept + 1;
    double limb_px = median_limb(album, false);
    if (limb_px > 0 && !(album->best_limb_px > 0 && album->best_limb_px <= limb_px))
        album->best_limb_px = limb_px;
    follow_fading(album);
    follow_camera(album);
}

static bool no_moon(const struct album *album)
{
    for (int i = 0; i < LOOKS_FOR_NO_MOON; i++)
        if (i >= album->look_count || album->look[i].found)
            return false;
    return true;
}

/* Of the rigs that were looked at of late one may fade by itself, or all of them. */
static enum look_news fading_news(const struct moment *moment, int rigs)
{
    int looked = 0, fading = 0;

    for (int i = 0; i < rigs; i++) {
        const struct album *album = &moment->readings.album[i];
        bool of_late = moment->album[i].watched && album->look_count > 0 &&
                       moment->utc - album->look[0].utc <= FADE_WITHIN_S;

        looked += of_late;
        fading += of_late && album->fades;
    }
    if (looked == 1)
        return LOOKS_FADE;
    return fading == 1 ? LOOKS_DEW : LOOKS_CLOUD;
}

static enum look_news news_of(const struct moment *moment, int rigs, int rig)
{
    const struct album *album = &moment->readings.album[rig];

    if (no_moon(album))
        return LOOKS_NO_MOON;
    if (album->fades)
        return fading_news(moment, rigs);
    if (!(album->best_limb_px > 0 &&
          moment->album[rig].limb_px > LIMB_SOFT * album->best_limb_px))
        return LOOKS_QUIET;
    return median_limb(album, true) > LIMB_SOFT * album->best_limb_px ? LOOKS_SOFT : LOOKS_SMEARED;
}

/* What remains of the umbra's surprise once the corrections in force are taken off. NaN as long as
 * the camera's own tone is unknown, or so far off that its curve must be an unusual one. */
static double umbra_stops(const struct night *night, const struct album *album, int rig, double utc)
{
    double off[LOOKS_FOR_UMBRA], least = INFINITY, most = -INFINITY, stops;
    int count = 0;

    if (!album->camera_known || fabs(album->camera_stops) > CAMERA_ODD_STOPS)
        return NAN;
    for (int i = 0; i < album->look_count && count < LOOKS_FOR_UMBRA; i++) {
        const struct look_at_moon *look = &album->look[i];

        if (utc - look->utc > UMBRA_WITHIN_S || look->danjon != night->danjon_state)
            break;
        if (isnan(look->umbra_off_stops))
            continue;
        off[count++] = look->umbra_off_stops;
        least = fmin(least, look->umbra_off_stops);
        most = fmax(most, look->umbra_off_stops);
    }
    if (count < LOOKS_FOR_UMBRA || most - least > UMBRA_AGREE_STOPS)
        return NAN;
    stops = median_of(off, count) + night->rig[rig].umbra_left_stops - album->camera_stops;
    return fabs(stops) >= UMBRA_STOPS ? stops : NAN;
}

void see_looks(const struct night *night, struct moment *moment, int rig)
{
    const struct album *album = &moment->readings.album[rig];
    struct album_moment *seen = &moment->album[rig];

    seen->looked = album->look_count > 0;
    seen->limb_px = median_limb(album, false);
    if (night->cloud || !seen->looked || !moment->moon.up || moment->rig[rig].lost ||
        !is_shooting(night, rig, moment->utc))
        return;
    seen->looks = news_of(moment, night->setup.rig_count, rig);
    if (!album->fades)
        seen->umbra_stops = umbra_stops(night, album, rig, moment->utc);
}
