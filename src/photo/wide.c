/* At a given pointing each disc bounds the focal length: its limb must be inside the frame's
 * margins. The pointing that allows the longest focal length for every disc and the foreground
 * leaves any lens the most room; the same number shows whether the path fits and which lens would
 * hold it. It is found by a grid over the sky and then by nested golden sections: tilt, azimuth,
 * altitude.
 */
#include "photo_private.h"

#include <moonstand/angle.h>
#include <moonstand/observer.h>
#include <moonstand/wide.h>

#include <math.h>

/* Between samples the path bows out by less than PATH_BOW_ARCSEC. */
#define PATH_STEP_S 480.0
#define EDGE_ACCURACY_S 1.0
enum { PATH_POINTS = 200 };

#define WIDE_DEG 10.0
#define FINEST_DEG 0.01
enum { SCAN = 16 };
#define GOLDEN 0.6180339887498949

/* ---- the path ---- */

/* The discs of one part of the eclipse. */
struct path {
    const struct track *track;
    const struct horizon *horizon;
    int count;
    struct vec3 direction[PATH_POINTS];
    double limb[PATH_POINTS];      /* sine of the semidiameter */
    struct vec3 land[PATH_POINTS]; /* below the discs, as high as the highest of the profile */
    double from, to, length_rad;
    bool cut;
};

static double azimuth_of(struct vec3 direction)
{
    return angle_wrap(atan2(direction.x, direction.y));
}

/* `follows`: the Moon was up since the last point. */
static void path_add(struct path *path, double utc, bool follows)
{
    struct vec3 direction;
    double semidiameter;

    if (path->count == PATH_POINTS)
        return;
    track_disc(path->track, utc, &direction, &semidiameter);
    if (follows)
        path->length_rad += vec3_angle(path->direction[path->count - 1], direction);
    path->direction[path->count] = direction;
    path->limb[path->count] = sin(semidiameter);
    if (path->count == 0)
        path->from = utc;
    path->to = utc;
    path->count++;
}

/* Makes the horizon as high everywhere as the profile's highest point under the path. */
static void path_horizon(struct path *path)
{
    double highest = -INFINITY;

    for (int i = 0; i < path->count; i++) {
        double azimuth = azimuth_of(path->direction[i]);

        highest = fmax(highest, horizon_altitude(path->horizon, azimuth));
    }
    for (int i = 0; i < path->count; i++) {
        struct pointing level;

        pointing_make(highest, azimuth_of(path->direction[i]), 0, &level);
        path->land[i] = level.axis;
    }
}

/* When the Moon rises or sets, on the side where it is up. */
static double edge(const struct path *path, double up, double down)
{
    while (fabs(up - down) > EDGE_ACCURACY_S) {
        double middle = (up + down) / 2;

        if (track_is_up(path->track, path->horizon, middle))
            up = middle;
        else
            down = middle;
    }
    return up;
}

static void path_make(const struct track *track, const struct horizon *horizon, double from,
                      double to, struct path *path)
{
    double utc = from;
    bool was_up = track_is_up(track, horizon, from);

    *path = (struct path){.track = track, .horizon = horizon, .from = NAN, .to = NAN};
    path->cut = isfinite(from) && !was_up;
    if (was_up)
        path_add(path, from, false);
    while (utc < to) {
        double next = fmin(to, utc + PATH_STEP_S);
        bool up = track_is_up(track, horizon, next);

        if (up && !was_up)
            path_add(path, edge(path, next, utc), false);
        if (up)
            path_add(path, next, true);
        if (was_up && !up)
            path_add(path, edge(path, utc, next), true);
        path->cut |= !up;
        was_up = up;
        utc = next;
    }
    path_horizon(path);
}

/* ---- how long a lens ---- */

/* What a pointing must hold, and in which frame. */
struct view {
    const struct path *path;
    double half_width_mm, half_height_mm; /* inside the margin */
    double below_mm; /* from the frame's middle down to the lowest allowed horizon */
};

/* One over the longest focal length at which a limb `across` and `depth` from the axis is inside
 * half a side; infinite if there is none. */
static double limb_need(double across, double depth, double limb, double half_mm)
{
    double tangent = sqrt(depth * depth + across * across - limb * limb);
    double near = depth * tangent - fabs(across) * limb;

    if (!(near > 0 && depth > 0 && half_mm > 0))
        return INFINITY;
    return (fabs(across) * tangent + depth * limb) / near / half_mm;
}

/* The same for the horizon, which must not be lower than `below_mm`; 0 if it never is. */
static double horizon_need(double up, double depth, double below_mm)
{
    return depth > 0 ? fmax(0, -up / depth / below_mm) : INFINITY;
}

/* One over the longest focal length at which everything fits at a pointing; stops at `enough`. */
static double need(const struct view *view, const struct pointing *pointing, double enough)
{
    const struct path *path = view->path;
    double most = 0;

    for (int i = 0; i < path->count && most < enough; i++) {
        struct vec3 disc = path->direction[i], land = path->land[i];
        double depth = vec3_dot(disc, pointing->axis);

        most = fmax(most, limb_need(vec3_dot(disc, pointing->right), depth, path->limb[i],
                                    view->half_width_mm));
        most = fmax(most, limb_need(vec3_dot(disc, pointing->up), depth, path->limb[i],
                                    view->half_height_mm));
        if (view->below_mm < INFINITY)
            most = fmax(most, horizon_need(vec3_dot(land, pointing->up),
                                           vec3_dot(land, pointing->axis), view->below_mm));
    }
    return most;
}

/* ---- the best pointing ---- */

enum { ROLL, AZIMUTH, ALTITUDE, TURNS };
struct search {
    const struct view *view;
    double low[TURNS], high[TURNS];
    double at[TURNS];
};

static double need_at(const struct search *search, double enough)
{
    struct pointing pointing;

    pointing_make(search->at[ALTITUDE], search->at[AZIMUTH], search->at[ROLL], &pointing);
    return need(search->view, &pointing, enough);
}

/* Bounds azimuth and altitude to the neighbourhood of the best point of a grid over the sky; false
 * if nothing fits anywhere. */
static bool look_around(struct search *search)
{
    const double step = rad_from_deg(5);
    double azimuth = NAN, altitude = NAN, least = INFINITY;
    double *at = search->at;

    for (at[AZIMUTH] = 0; at[AZIMUTH] < 2 * PI; at[AZIMUTH] += 2 * step)
        for (at[ALTITUDE] = 0; at[ALTITUDE] <= PI / 2; at[ALTITUDE] += step) {
            double here = need_at(search, least);

            if (here < least) {
                least = here;
                azimuth = at[AZIMUTH];
                altitude = at[ALTITUDE];
            }
        }
    /* The optimum may lie along a ridge, some way from the best point of the grid. */
    search->low[AZIMUTH] = azimuth - 4 * step;
    search->high[AZIMUTH] = azimuth + 4 * step;
    search->low[ALTITUDE] = fmax(0, altitude - 2 * step);
    search->high[ALTITUDE] = fmin(PI / 2, altitude + 2 * step);
    return least < INFINITY;
}

static double settle(struct search *search, int turn);

/* The need at a value of a turn, with those after it optimised; of the last one it stops at `enough`. */
static double settle_with(struct search *search, int turn, double value, double enough)
{
    search->at[turn] = value;
    return turn == ALTITUDE ? need_at(search, enough) : settle(search, turn + 1);
}

/* Narrows the bounds of a turn, with those after it optimised, to the neighbourhood of the best of
 * evenly spaced samples, because tilted and turned frames have several local optima. */
static void scan(struct search *search, int turn, double *low, double *high)
{
    double step = (*high - *low) / SCAN, first = *low, last = *high, least = INFINITY;

    for (int i = 0; i <= SCAN; i++) {
        double at = first + i * step;
        double here = settle_with(search, turn, at, INFINITY);

        if (here < least) {
            least = here;
            *low = fmax(first, at - step);
            *high = fmin(last, at + step);
        }
    }
}

/* Optimises the turns from `turn` on within their bounds; returns the need. */
static double settle(struct search *search, int turn)
{
    double low, high, inner, outer, need_inner, need_outer;

    if (turn == AZIMUTH && !look_around(search))
        return INFINITY;
    low = search->low[turn];
    high = search->high[turn];
    if (!(high > low))
        return settle_with(search, turn, low, INFINITY);
    if (turn != ALTITUDE)
        scan(search, turn, &low, &high);
    inner = high - GOLDEN * (high - low);
    outer = low + GOLDEN * (high - low);
    need_inner = settle_with(search, turn, inner, INFINITY);
    need_outer = settle_with(search, turn, outer, INFINITY);
    /* The greater of the two is left behind: it only has to be greater. */
    while (high - low > rad_from_deg(FINEST_DEG)) {
        if (need_inner < need_outer) {
            high = outer;
            outer = inner;
            need_outer = need_inner;
            inner = high - GOLDEN * (high - low);
            need_inner = settle_with(search, turn, inner, need_outer);
        } else {
            low = inner;
            inner = outer;
            need_inner = need_outer;
            outer = low + GOLDEN * (high - low);
            need_outer = settle_with(search, turn, outer, need_inner);
        }
    }
    return settle_with(search, turn, (low + high) / 2, INFINITY);
}

/* How much width the path needs at an azimuth; infinite if this lens does not hold it there. */
static double width_need(const struct rig *rig, struct search *search, double azimuth)
{
    const struct view width = {search->view->path, search->view->half_width_mm, INFINITY, INFINITY};

    search->at[AZIMUTH] = azimuth;
    if (rig_focal_mm(rig) * settle(search, ALTITUDE) > 1)
        return INFINITY;
    struct search across = *search;
    across.view = &width;
    return need_at(&across, INFINITY);
}

/* Centres the path in the width if this lens leaves a choice of azimuths: goes to the side where
 * less is needed for as long as it helps. */
static void centre(const struct rig *rig, struct search *search)
{
    const double step = rad_from_deg(1);
    const double from = search->at[AZIMUTH], here = width_need(rig, search, from);
    const double left = width_need(rig, search, from - step);
    const double right = width_need(rig, search, from + step);
    const double turn = left < right ? -step : step;
    double best = from, least = here;

    for (double next = fmin(left, right); next < least;
         next = width_need(rig, search, best + turn)) {
        best += turn;
        least = next;
    }
    search->at[AZIMUTH] = best;
    (void)settle(search, ALTITUDE);
}

/* ---- the answer ---- */

static const struct {
    enum contact begins, ends;
} parts[WIDE_PARTS] = {
    [WIDE_P1_P4] = {CONTACT_P1, CONTACT_P4},
    [WIDE_U1_U4] = {CONTACT_U1, CONTACT_U4},
    [WIDE_U2_U3] = {CONTACT_U2, CONTACT_U3},
};

const char *wide_part_name(enum wide_part part)
{
    static const char *const names[WIDE_PARTS] = {"P1-P4", "U1-U4", "U2-U3"};

    return names[part];
}

bool rig_is_wide(const struct rig *rig)
{
    double half_mm = fmin(rig_frame_width_mm(rig), rig_frame_height_mm(rig)) / 2;

    return rig->support == SUPPORT_FIXED &&
           2 * atan(half_mm / rig_focal_mm(rig)) >= rad_from_deg(WIDE_DEG);
}

enum contact wide_begins(enum wide_part part)
{
    return parts[part].begins;
}

enum contact wide_ends(enum wide_part part)
{
    return parts[part].ends;
}

/* Half a side of the frame inside the margin. */
static double half_free_mm(const struct rig *rig, double side_mm)
{
    return side_mm / 2 - rig->margin * rig->sensor_height_mm;
}

static struct view view_of(const struct rig *rig, const struct path *path)
{
    double height_mm = rig_frame_height_mm(rig);

    return (struct view){
        .path = path,
        .half_width_mm = half_free_mm(rig, rig_frame_width_mm(rig)),
        .half_height_mm = half_free_mm(rig, height_mm),
        .below_mm = rig->foreground > 0 ? (0.5 - rig->foreground) * height_mm : INFINITY,
    };
}

/* The lowest place of the horizon, as a share of the frame's height. */
static double foreground_share(const struct rig *rig, const struct path *path,
                               const struct pointing *pointing)
{
    double share = 1;

    for (int i = 0; i < path->count; i++) {
        struct frame_point point;

        if (!frame_project(rig, pointing, path->land[i], &point))
            return NAN;
        share = fmin(share, 0.5 + point.y);
    }
    return fmax(0, share);
}

static void fit_make(const struct rig *rig, const struct path *path, struct wide_fit *fit)
{
    double tilt = rad_from_deg(rig->tilt_deg);
    struct view view = view_of(rig, path);
    struct search search = {.view = &view, .low = {-tilt}, .high = {tilt}};
    struct pointing pointing;
    double least;

    *fit = (struct wide_fit){.utc_from = path->from,
                             .utc_to = path->to,
                             .cut = path->cut,
                             .path_deg = NAN,
                             .focal_mm = NAN,
                             .altitude_rad = NAN,
                             .azimuth_rad = NAN,
                             .roll_rad = NAN,
                             .foreground = NAN};
    if (path->count == 0)
        return;
    fit->path_deg = deg_from_rad(path->length_rad);
    least = settle(&search, ROLL);
    if (!(least < INFINITY))
        return;
    fit->focal_mm = 1 / least;
    fit->fits = rig_focal_mm(rig) <= fit->focal_mm;
    if (fit->fits)
        centre(rig, &search);
    fit->altitude_rad = search.at[ALTITUDE];
    fit->azimuth_rad = angle_wrap(search.at[AZIMUTH]);
    fit->roll_rad = search.at[ROLL];
    pointing_make(fit->altitude_rad, fit->azimuth_rad, fit->roll_rad, &pointing);
    fit->foreground = foreground_share(rig, path, &pointing);
}

static double free_deg(const struct rig *rig, double side_mm)
{
    return deg_from_rad(2 * atan(fmax(0, half_free_mm(rig, side_mm)) / rig_focal_mm(rig)));
}

void wide_compose_span(const struct rig *rig, const struct track *track,
                       const struct horizon *horizon, struct span span, struct wide_fit *fit)
{
    struct path path;

    path_make(track, horizon, span.from, span.to, &path);
    fit_make(rig, &path, fit);
}

void wide_compose(const struct rig *rig, const struct track *track, const struct horizon *horizon,
                  const double contact_utc[CONTACT_COUNT], struct wide *wide)
{
    int use = (int)rig->part;

    *wide = (struct wide){0};
    for (; use < WIDE_PARTS; use++) {
        const struct span span = {contact_utc[parts[use].begins], contact_utc[parts[use].ends]};

        wide_compose_span(rig, track, horizon, span, &wide->fit[use]);
        if (wide->fit[use].fits)
            break;
    }
    wide->fits = use == (int)rig->part;
    wide->use = use < WIDE_PARTS ? (enum wide_part)use : rig->part;
    wide->free_width_deg = free_deg(rig, rig_frame_width_mm(rig));
    wide->free_height_deg = free_deg(rig, rig_frame_height_mm(rig));
}

/* ---- the discs ---- */

double disc_spacing(const struct track *track, double utc, double interval_s)
{
    double later = utc + interval_s;

    return vec3_angle(track_direction(track, utc), track_direction(track, later)) /
           (track_semidiameter(track, utc) + track_semidiameter(track, later));
}

double disc_least_interval_s(const struct track *track, double utc_from, double utc_to)
{
    double least = 0;

    for (double utc = utc_from; utc <= utc_to; utc += track->step_s) {
        double diameter = arcsec_from_rad(2 * track_semidiameter(track, utc));
        double interval = diameter / track_speed_arcsec_per_s(track, utc);

        if (isnan(interval))
            return NAN;
        least = fmax(least, interval);
    }
    return least > 0 ? least : NAN;
}

int wide_discs(const struct disc_ask *ask, struct disc_place *discs, int most)
{
    int count = 0;

    for (int i = 0; ask->interval_s > 0; i++) {
        struct disc_place disc = {.utc = ask->first_utc + i * ask->interval_s};

        if (!(disc.utc <= ask->utc_to))
            break;
        if (!track_is_up(ask->track, ask->horizon, disc.utc) ||
            !frame_project(ask->rig, ask->pointing, track_direction(ask->track, disc.utc),
                           &disc.centre))
            continue;
        if (count < most)
            discs[count] = disc;
        count++;
    }
    return count;
}
