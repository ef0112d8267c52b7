/* From light to what to dial.
 *
 * Meter equation (ISO 2720, reflected light): N^2/t = L S / K with K = 12.5 cd/m2 puts the
 * luminance L at mid-grey. A placement p and the user's correction multiply the exposure by 2^p, a
 * filter by 2^stops. So the exposure needed, t S in units of 1 s at ISO 100, is
 *     stops = log2(N^2 K / (100 L)) + placement + correction + filter,
 * rounded once to thirds and then split between shutter and ISO. L is what reaches the camera: a
 * part of the Moon and the sky in front of it.
 *
 * The split. Seven steps in order, each as far as it goes:
 *     1. lowest ISO, shutter up to 1/60 s on a long lens (mirror and wind shake beyond);
 *     2. on a long lens ISO up to 400, which costs little;
 *     3. shutter up to half the blur limit, or to 4 s if the mount follows;
 *     4. ISO up to iso_comfort;
 *     5. shutter up to the whole blur limit, but at most 4 s if the mount follows;
 *     6. ISO up to the camera's limit;
 *     7. on a mount, shutter up to the dial's longest, within the blur limit.
 * What is left is the deficit. Half the limit comes before ISO because short frames of a drifting
 * Moon can be stacked; the whole limit comes before high ISO because noise hides a pixel of blur.
 * So the built-in 400 mm f/6.3, fixed, has 1/8 s in totality at ISO 6400 to 16000 (2028-12-31, L = 3);
 * the 800 mm f/8 at lunar rate has 4 s at ISO 400 to 1000.
 *
 * With the default placements the full Moon gets the published f/11, ISO 100, 1/125 to 1/250, and
 * nineteen published exposures of totality scatter from -2.5 to +2.2 stops about ours with a median
 * of +0.5 (tests/photo/test_exposure.c prints them). */
#include "photo_private.h"

#include <moonstand/exposure.h>
#include <moonstand/series.h>

#include <math.h>

/* ---- the exposure needed ---- */

#define METER_K 12.5 /* ISO 2720; Canon, Nikon, Sekonic */

double mid_grey_stops(const struct rig *rig, double luminance)
{
    double n = rig_f_number(rig);

    return log2(n * n * METER_K / (100 * luminance)) + rig->filter_stops;
}

struct need {
    double stops;      /* NaN: no light */
    double correction; /* of the user, in `stops` */
};

static struct need need_of(const struct rig *rig, const struct exposure_ask *ask,
                           enum target target, double stops)
{
    double correction = ask->correction_stops[target];

    return (struct need){stops + rig->placement_stops[target] + correction, correction};
}

/* Parts of the disc's light, in stops at mid-grey. */
struct parts {
    double lit, umbra;
    double umbra_weight; /* share of the umbra in auto */
    double sky;          /* of the sky alone */
    double wanted;       /* the targeted part without the sky in front; NaN: not on the Moon */
};

/* Auto slides from the lit part to the umbra, from when the umbra reaches into the brightest
 * twentieth until the contact. */
static double umbra_weight(double umbra_share)
{
    const double begins = 1 - LIGHT_BRIGHTEST;
    double u = clamp((umbra_share - begins) / (1 - begins), 0, 1);

    return u * u * (3 - 2 * u);
}

static double mix(double lit, double umbra, double weight)
{
    if (weight <= 0)
        return lit;
    return lit + weight * (umbra - lit);
}

static struct need target_need(const struct rig *rig, const struct exposure_ask *ask,
                               const struct parts *parts)
{
    struct need lit = need_of(rig, ask, TARGET_LIT, parts->lit);
    struct need umbra = need_of(rig, ask, TARGET_UMBRA, parts->umbra);
    double weight = parts->umbra_weight, shift;

    switch (rig->target) {
    case TARGET_UMBRA:
        return umbra;
    case TARGET_STARS: /* the Moon may glow, the sky may not */
        lit = need_of(rig, ask, TARGET_STARS, mix(parts->lit, parts->umbra, weight));
        if (lit.stops > parts->sky + lit.correction)
            lit.stops = parts->sky + lit.correction;
        return lit;
    case TARGET_FOREGROUND:
        return need_of(rig, ask, TARGET_FOREGROUND,
                       mid_grey_stops(rig, landscape_luminance(ask->sky.ground_lux)));
    case TARGET_AUTO:
        return (struct need){mix(lit.stops, umbra.stops, weight),
                             mix(lit.correction, umbra.correction, weight)};
    case TARGET_BRACKET: /* its first frame */
        shift = ask->correction_stops[TARGET_BRACKET];
        return (struct need){lit.stops + shift, lit.correction + shift};
    default:
        return lit;
    }
}

/* ---- the split ---- */

#define LONG_LENS_MM 200.0 /* common practice, no source */
/* Indices of the series. Mirror shake is worst between 1/60 s and 0.5 s: photo.net, "Mirror Lock Up",
 * http://photo.net/learn/nature/mlu. Stars: common practice, no source. */
enum { SHAKE_FROM = -18, SHAKE_TO = -3, STARS_8_S = 9, ISO_400_CALM = 6 };
#define LANDSCAPE_ARCSEC_PER_S 15.04 /* past a camera that follows the sky */

/* Limits of the steps, as indices of the series. */
struct room {
    int shutter_min, shutter_calm, shutter_soft, shutter_whole, shutter_max;
    int iso_min, iso_calm, iso_comfort, iso_max;
    bool blur_bound; /* drift, not the dial, limits the shutter */
};

static bool is_long(const struct rig *rig)
{
    return rig_focal_mm(rig) >= LONG_LENS_MM;
}

static int max_int(int a, int b)
{
    return a > b ? a : b;
}

static int min_int(int a, int b)
{
    return a < b ? a : b;
}

static struct room room_of(const struct rig *rig, double drift_px_per_s)
{
    double blur_s = drift_px_per_s > 0 ? rig->blur_limit_px / drift_px_per_s : INFINITY;
    double longest_s = fmin(blur_s, rig->shutter_max_s);
    double soft_s = fmin(blur_s / 2, fmin(UNGUIDED_S, longest_s));
    double whole_s = rig->support == SUPPORT_FIXED ? longest_s : fmin(UNGUIDED_S, longest_s);
    struct room room = {
        .shutter_min = shutter_index(rig->shutter_min_s),
        .iso_min = iso_index(rig->iso_min),
        .blur_bound = blur_s < rig->shutter_max_s,
    };

    room.shutter_max = max_int(room.shutter_min, shutter_index_within(longest_s));
    room.shutter_soft = max_int(room.shutter_min, shutter_index_within(soft_s));
    room.shutter_whole = max_int(room.shutter_soft, shutter_index_within(whole_s));
    room.iso_max = max_int(room.iso_min, iso_index(rig->iso_max));
    room.shutter_calm = room.shutter_soft;
    room.iso_calm = room.iso_min;
    if (is_long(rig)) {
        room.shutter_calm = min_int(room.shutter_soft, SHAKE_FROM);
        room.iso_calm = max_int(room.iso_min, min_int(room.iso_max, ISO_400_CALM));
    }
    room.iso_comfort = min_int(room.iso_max, iso_index(rig->iso_comfort));
    return room;
}

struct setting {
    int shutter, iso;
    int left; /* thirds that did not fit; negative: too bright */
};

static void spend(int *left, int *value, int limit)
{
    int step = max_int(0, min_int(*left, limit - *value));

    *value += step;
    *left -= step;
}

static struct setting split(const struct room *room, int thirds)
{
    struct setting s = {room->shutter_min, room->iso_min,
                        thirds - room->shutter_min - room->iso_min};

    spend(&s.left, &s.shutter, room->shutter_calm);
    spend(&s.left, &s.iso, room->iso_calm);
    spend(&s.left, &s.shutter, room->shutter_soft);
    spend(&s.left, &s.iso, room->iso_comfort);
    spend(&s.left, &s.shutter, room->shutter_whole);
    spend(&s.left, &s.iso, room->iso_max);
    spend(&s.left, &s.shutter, room->shutter_max);
    return s;
}

/* Stars need the longest shutter; ISO does the rest. Where the sky alone is too bright for that, as
 * in twilight, it is for the sky. */
static struct setting split_stars(const struct room *room, int thirds, int sky_thirds)
{
    struct setting s = {min_int(room->shutter_max, STARS_8_S), room->iso_min, 0};

    if (s.shutter + s.iso > sky_thirds)
        s.shutter = max_int(room->shutter_min, sky_thirds - s.iso);
    s.left = thirds - s.shutter - s.iso;
    spend(&s.left, &s.iso, room->iso_max);
    return s;
}

static enum exposure_limit limit_of(const struct room *room, const struct setting *s)
{
    if (s->left > 0 && s->iso >= room->iso_max)
        return LIMITED_ISO;
    if (room->blur_bound && s->shutter >= room->shutter_soft && s->iso > room->iso_calm)
        return LIMITED_BLUR;
    return LIMITED_NONE;
}

static int thirds_of(double stops)
{
    return (int)lround(3 * stops);
}

/* ---- answers ---- */

static void answer(struct exposure *exposure, const struct room *room, const struct setting *dial,
                   const struct setting *longest, double drift_px_per_s)
{
    exposure->known = true;
    exposure->shutter = dial->shutter;
    exposure->iso = dial->iso;
    exposure->shutter_s = shutter_seconds(dial->shutter);
    exposure->shutter_last = longest->shutter;
    exposure->iso_last = longest->iso;
    exposure->blur_px = drift_px_per_s * shutter_seconds(longest->shutter);
    exposure->limited_by = limit_of(room, longest);
    exposure->deficit_stops = longest->left / 3.0;
}

/* What a bracket has to hold, in thirds. */
struct bracket {
    int first, last; /* needs of the lit part and of the umbra, the greater one */
    int key;         /* the need whose deficit counts: the umbra's, or without one the lit part's */
    int step, most;
};

/* Frames until one has at least `thirds`. */
static int frames_until(const struct bracket *bracket, int thirds)
{
    return (max_int(0, thirds - bracket->first) + bracket->step - 1) / bracket->step + 1;
}

/* What the last frame lacks; else how much the first one is too bright, negative. */
static int bracket_left(const struct bracket *bracket, int first, int last)
{
    return bracket->key > last ? bracket->key - last : min_int(0, bracket->first - first);
}

/* The camera brackets by itself: an odd number of frames at one ISO around the dialled one. ISO is
 * that of the umbra alone, but not so high that the lit part burns out at the shortest shutter. The
 * first frame is for the lit part; if the last one would then be too long, all are shorter, by less
 * than they reach past the umbra. */
static void camera_bracket(struct exposure *exposure, const struct room *room,
                           const struct bracket *bracket, double drift_px_per_s)
{
    int on_the_dial = (room->shutter_max - room->shutter_min) / bracket->step + 1;
    int most = (min_int(bracket->most, on_the_dial) - 1) | 1;
    int reach = min_int(bracket->last, bracket->first + bracket->step * (most - 1));
    int iso =
        max_int(room->iso_min, min_int(split(room, reach).iso, bracket->first - room->shutter_min));
    int frames = frames_until(bracket, min_int(reach, iso + room->shutter_max)) | 1;
    int half = bracket->step * (frames - 1) / 2;
    int shortest =
        max_int(room->shutter_min, min_int(bracket->first - iso, room->shutter_max - 2 * half));
    struct setting dial = {shortest + half, iso, 0}, longest = {shortest + 2 * half, iso, 0};

    longest.left = bracket_left(bracket, shortest + iso, longest.shutter + iso);
    exposure->bracket_frames = frames;
    exposure->bracket_shown = frames > 1 ? BRACKET_MIDDLE : BRACKET_FIRST;
    answer(exposure, room, &dial, &longest, drift_px_per_s);
}

/* The remote sets every frame, so each is split by itself. */
static void remote_bracket(struct exposure *exposure, const struct room *room,
                           const struct bracket *bracket, double drift_px_per_s)
{
    int brightest = room->shutter_max + room->iso_max;
    int frames = min_int(bracket->most, frames_until(bracket, min_int(bracket->last, brightest)));
    struct setting dial = split(room, bracket->first);
    struct setting longest = split(room, bracket->first + bracket->step * (frames - 1));

    longest.left = bracket_left(bracket, dial.shutter + dial.iso, longest.shutter + longest.iso);
    exposure->bracket_frames = frames;
    answer(exposure, room, &dial, &longest, drift_px_per_s);
}

static int bracket_thirds(const struct rig *rig)
{
    return max_int(1, thirds_of(rig->bracket_step_stops));
}

double rig_bracket_step(const struct rig *rig)
{
    return bracket_thirds(rig) / 3.0;
}

static void choose_bracket(const struct rig *rig, const struct exposure_ask *ask,
                           const struct parts *parts, const struct room *room,
                           struct exposure *exposure)
{
    double shift = ask->correction_stops[TARGET_BRACKET];
    double lit = need_of(rig, ask, TARGET_LIT, parts->lit).stops + shift;
    double umbra = need_of(rig, ask, TARGET_UMBRA, parts->umbra).stops + shift;
    struct bracket bracket = {
        .first = thirds_of(lit),
        .step = bracket_thirds(rig),
        .most = max_int(1, rig->bracket_frames),
    };

    if (!rig->remote_exposure)
        bracket.most = (bracket.most - 1) | 1;
    bracket.key = isfinite(umbra) ? thirds_of(umbra) : bracket.first;
    bracket.last = max_int(bracket.first, bracket.key);
    exposure->bracket_step_stops = bracket.step / 3.0;
    exposure->bracket_missing_stops =
        max_int(0, bracket.last - bracket.first - bracket.step * (bracket.most - 1)) / 3.0;
    (rig->remote_exposure ? remote_bracket : camera_bracket)(exposure, room, &bracket,
                                                             ask->drift_px_per_s);
}

/* The targeted part of the Moon, in stops at mid-grey: the darkest for a bracket. */
static double wanted_stops(const struct rig *rig, double lit, double umbra, double weight)
{
    switch (rig->target) {
    case TARGET_LIT:
        return lit;
    case TARGET_UMBRA:
        return umbra;
    case TARGET_BRACKET:
        return isfinite(umbra) ? umbra : lit;
    case TARGET_FOREGROUND:
        return NAN;
    default:
        return mix(lit, umbra, weight);
    }
}

/* The sky in front of the Moon adds its light to every part. */
static struct parts parts_of(const struct rig *rig, const struct exposure_ask *ask)
{
    double lit = moon_part_luminance(ask->luminance, ask->light.lit);
    double umbra = moon_part_luminance(ask->luminance, ask->light.umbra);
    double sky = ask->sky.luminance, weight = umbra_weight(ask->light.umbra_share);

    return (struct parts){
        .lit = mid_grey_stops(rig, lit + sky),
        .umbra = mid_grey_stops(rig, umbra + sky),
        .umbra_weight = weight,
        .sky = mid_grey_stops(rig, sky),
        .wanted = wanted_stops(rig, mid_grey_stops(rig, lit), mid_grey_stops(rig, umbra), weight),
    };
}

/* Drift over the sensor of the Moon, or of the landscape if the camera follows the sky. */
static double target_drift(const struct rig *rig, const struct exposure_ask *ask)
{
    if (rig->target != TARGET_FOREGROUND)
        return ask->drift_px_per_s;
    return rig->support == SUPPORT_FIXED ? 0 : LANDSCAPE_ARCSEC_PER_S / rig_arcsec_per_px(rig);
}

void exposure_choose(const struct rig *rig, const struct exposure_ask *ask,
                     struct exposure *exposure)
{
    struct parts parts = parts_of(rig, ask);
    struct need need = target_need(rig, ask, &parts);
    double range = parts.umbra - parts.lit;
    double drift = target_drift(rig, ask);
    enum target automatic = ask->phase == PHASE_TOTAL ? TARGET_UMBRA : TARGET_LIT;

    *exposure = (struct exposure){
        .target = rig->target == TARGET_AUTO ? automatic : rig->target,
        .f_number = rig_f_number(rig),
        .shutter_s = NAN,
        .blur_px = NAN,
        .correction_stops = need.correction,
        .ev100 = 2 * log2(rig_f_number(rig)) - need.stops,
        .bracket_frames = 1,
        .sky_stops = parts.wanted - parts.sky,
        .range_stops = range,
        .one_frame_holds_both = !(range > ONE_FRAME_STOPS),
    };
    if (!isfinite(need.stops) || isnan(drift))
        return;

    struct room room = room_of(rig, drift);
    int thirds = thirds_of(need.stops);

    if (rig->target == TARGET_BRACKET) {
        choose_bracket(rig, ask, &parts, &room, exposure);
    } else {
        int sky_thirds = thirds_of(parts.sky + need.correction);
        struct setting dial = rig->target == TARGET_STARS ? split_stars(&room, thirds, sky_thirds)
                                                          : split(&room, thirds);

        answer(exposure, &room, &dial, &dial, drift);
    }
    exposure->vibration_risk = is_long(rig) && exposure->shutter_last >= SHAKE_FROM &&
                               exposure->shutter <= SHAKE_TO;
}

bool exposure_same_dial(const struct exposure *a, const struct exposure *b)
{
    return a->known == b->known && a->shutter == b->shutter && a->iso == b->iso &&
           a->bracket_frames == b->bracket_frames &&
           (a->bracket_frames == 1 || a->bracket_step_stops == b->bracket_step_stops);
}

bool exposure_same(const struct exposure *a, const struct exposure *b)
{
    return a->target == b->target && exposure_same_dial(a, b);
}

int exposure_thirds(const struct exposure *exposure)
{
    return exposure->shutter + exposure->iso;
}

const char *exposure_limit_name(enum exposure_limit limit)
{
    static const char *const names[] = {"none", "blur", "iso"};

    return names[limit];
}

void exposure_take_dial(struct exposure *exposure, const struct exposure *set)
{
    exposure->shutter = set->shutter;
    exposure->iso = set->iso;
    exposure->shutter_last = set->shutter_last;
    exposure->iso_last = set->iso_last;
    exposure->shutter_s = set->shutter_s;
    exposure->bracket_frames = set->bracket_frames;
    exposure->bracket_step_stops = set->bracket_step_stops;
    exposure->bracket_shown = set->bracket_shown;
    exposure->blur_px = set->blur_px;
    exposure->limited_by = set->limited_by;
    exposure->vibration_risk = set->vibration_risk;
}
