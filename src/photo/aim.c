/* The limb is inside a margin line as long as the Moon's centre is at least its semidiameter off
 * the plane through that line and the lens: exact for any focal length, even if the picture of the
 * disc is an ellipse. The flattening of a low Moon by refraction is neglected (the limb is then
 * taken up to 3 arcmin too far up or down).
 */
#include "photo_private.h"

#include <moonstand/aim.h>
#include <moonstand/angle.h>

#include <math.h>

/* Upper bounds of the Moon's motion over a picture, rad/s: 16 arcsec/s for a camera on a tripod
 * still, 6 arcsec/s for one that follows (mostly refraction at the horizon). */
#define FASTEST_FIXED 7.8e-5
#define FASTEST_FOLLOWED 2.9e-5 /* with the axis at the pole */
/* A path that leaves and comes back within this time bends out by less than an arcsecond. */
#define LOOK_S 60.0
#define EXIT_ACCURACY_S 1e-3
/* A place further out must be better by this much, so that the Moon stays near the middle along a
 * side that does not matter. */
#define GAIN_S 0.2
#define GAIN_SHARE 1e-3

/* What the camera stands on: axes in east-north-up, the last one the zenith or the end of the
 * mount's axis above the horizon, and how fast the stand turns about it. */
struct stand {
    struct vec3 east, north, up;
    double turn;    /* of directions as seen from the stand, rad/s about `up` */
    double fastest; /* rad/s */
};

static void stand_of(const struct rig *rig, const struct track *track, struct stand *stand)
{
    double turn = support_rate_rad_per_s(rig->support);
    bool south = track->pole.z < 0;
    struct axes axes;

    *stand = (struct stand){{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, 0, FASTEST_FIXED};
    if (rig->support == SUPPORT_FIXED)
        return;
    axes_of(&rig->mount, track, &axes);
    stand->up = axes.up;
    stand->east = axes.east;
    stand->north = vec3_cross(axes.up, axes.east);
    stand->turn = south ? -turn : turn;
    stand->fastest =
        FASTEST_FOLLOWED + turn * vec3_length(vec3_add(axes.north, vec3_scale(track->pole, -1)));
}

/* One rig that looks at the Moon from `since` on, when its stand has the axes above. */
struct watch {
    const struct rig *rig;
    const struct track *track;
    struct stand stand;
    double since;
    double disc;  /* 1: all of the disc must be inside; -1: some of it */
    double slack; /* how far it may be past the line, rad */
};

static void watch_begin(struct watch *watch, const struct rig *rig, const struct track *track,
                        double since)
{
    watch->rig = rig;
    watch->track = track;
    watch->since = since;
    watch->disc = 1;
    watch->slack = 0;
    stand_of(rig, track, &watch->stand);
}

/* Direction of the Moon's centre as seen from the stand, and its semidiameter. */
static struct vec3 watch_disc(const struct watch *watch, double utc, double *semidiameter_rad)
{
    const struct stand *stand = &watch->stand;
    double angle = stand->turn * (utc - watch->since), c, s;
    struct vec3 d;

    track_disc(watch->track, utc, &d, semidiameter_rad);
    if (stand->turn == 0)
        return d;
    d = vec3_in(d, stand->east, stand->north, stand->up);
    c = cos(angle);
    s = sin(angle);
    return (struct vec3){c * d.x - s * d.y, s * d.x + c * d.y, d.z};
}

static struct vec3 watch_direction(const struct watch *watch, double utc)
{
    double semidiameter_rad;

    return watch_disc(watch, utc, &semidiameter_rad);
}

/* The planes through the lens and the four lines that bound a part of the frame; normals inward. */
struct window {
    struct vec3 normal[4];
};

static void window_make(const struct rig *rig, const struct pointing *pointing, double inset,
                        struct window *window)
{
    double inset_mm = inset * rig->sensor_height_mm;
    double half_width = rig_frame_width_mm(rig) / 2 - inset_mm;
    double half_height = rig_frame_height_mm(rig) / 2 - inset_mm;
    double focal_mm = rig_focal_mm(rig);
    double to_side = sqrt(focal_mm * focal_mm + half_width * half_width);
    double to_top = sqrt(focal_mm * focal_mm + half_height * half_height);
    struct vec3 across = vec3_scale(pointing->right, focal_mm / to_side);
    struct vec3 along = vec3_scale(pointing->up, focal_mm / to_top);
    struct vec3 wide = vec3_scale(pointing->axis, half_width / to_side);
    struct vec3 high = vec3_scale(pointing->axis, half_height / to_top);

    window->normal[0] = vec3_add(wide, across);
    window->normal[1] = vec3_add(wide, vec3_scale(across, -1));
    window->normal[2] = vec3_add(high, along);
    window->normal[3] = vec3_add(high, vec3_scale(along, -1));
}

/* Distance of the limb from the window's lines, as the sine of an angle; negative outside. */
static double clearance(const struct window *window, struct vec3 direction, double semidiameter_rad)
{
    double least = INFINITY;

    for (int i = 0; i < 4; i++)
        least = fmin(least, vec3_dot(direction, window->normal[i]));
    return least - sin(semidiameter_rad);
}

static double watch_clearance(const struct watch *watch, const struct window *window, double utc)
{
    double semidiameter_rad;
    struct vec3 direction = watch_disc(watch, utc, &semidiameter_rad);

    return clearance(window, direction, watch->disc * semidiameter_rad - watch->slack);
}

/* The exit between an instant inside and one outside, in either order. */
static double exit_between(const struct watch *watch, const struct window *window, double inside,
                           double outside)
{
    double here = watch_clearance(watch, window, inside);
    double there = watch_clearance(watch, window, outside);

    /* The path is nearly straight, so the secant converges at once. */
    while (fabs(outside - inside) > EXIT_ACCURACY_S) {
        double utc = inside + (outside - inside) * here / (here - there);
        double c = watch_clearance(watch, window, utc);

        if (fabs(c) < watch->stand.fastest * EXIT_ACCURACY_S / 10)
            return utc;
        if (c >= 0) {
            inside = utc;
            here = c;
        } else {
            outside = utc;
            there = c;
        }
    }
    return inside;
}

/* First instant from `since` towards `until`, in either direction, at which the limb meets the
 * window; `until` if there is none. The clearance bounds the step. */
static double first_exit(const struct watch *watch, const struct window *window, double until)
{
    double inside = watch->since;
    double utc = inside, sense = until < inside ? -1 : 1;

    for (;;) {
        double c = watch_clearance(watch, window, utc);

        if (c < 0)
            return utc != inside ? exit_between(watch, window, inside, utc) : inside;
        if (utc == until)
            return until;
        inside = utc;
        utc += sense * fmin(fmax(LOOK_S, c / watch->stand.fastest), fabs(until - utc));
    }
}

static double track_end(const struct track *track)
{
    return track->utc_from + (track->count - 1) * track->step_s;
}

/* Whether the Moon can be put at a place: inside margin and tolerance, the camera not tipped past
 * the zenith, nor so close to it that hands cannot hit the place. */
static bool can_put(const struct watch *watch, const struct pointing *pointing, struct vec3 moon,
                    struct frame_point place)
{
    const struct rig *rig = watch->rig;
    double miss = rig->aim_tolerance * rig->sensor_height_mm / rig_frame_width_mm(rig);
    struct frame_point missed = {place.x + (place.x < 0 ? -miss : miss), place.y};
    struct pointing off;
    struct window window;

    if (!(pointing->up.z >= 0) || !pointing_for(rig, moon, missed, &off))
        return false;
    window_make(rig, pointing, rig->margin + rig->aim_tolerance, &window);
    return watch_clearance(watch, &window, watch->since) >= 0;
}

/* The best place so far, and the Moon at the end of the shortest stay that is better. */
struct find {
    struct frame_point place;
    double stays_s, better_s;
    struct vec3 direction;
    double semidiameter_rad;
};

static struct find find_at(const struct watch *watch, struct frame_point place, double stays_s)
{
    struct find find = {.place = place, .stays_s = stays_s};

    find.better_s = stays_s + fmin(GAIN_S, GAIN_SHARE * stays_s);
    find.direction = watch_disc(watch, watch->since + find.better_s, &find.semidiameter_rad);
    return find;
}

/* The furthest from the middle, to the right and up, at which can_put() may hold: a limb is no nearer to a line
 * than it would be at the middle of the frame. A search need not point the camera to see that. */
static struct frame_point furthest_place(const struct rig *rig, double semidiameter_rad)
{
    double inset_mm = (rig->margin + rig->aim_tolerance) * rig->sensor_height_mm +
                      rig_focal_mm(rig) * sin(semidiameter_rad);

    return (struct frame_point){0.5 - inset_mm / rig_frame_width_mm(rig),
                                0.5 - inset_mm / rig_frame_height_mm(rig)};
}

/* 0, -1, 1, -2, 2 ... */
static int from_middle(int i)
{
    return (i % 2 ? -1 : 1) * ((i + 1) / 2);
}

/* Moves to the best place of a square grid around, nearest first; false if none is better. */
static bool find_step(const struct watch *watch, double until, double step, int reach,
                      struct find *find)
{
    const struct frame_point from = find->place;
    const double longest = until - watch->since;
    double semidiameter_rad;
    const struct vec3 moon = watch_disc(watch, watch->since, &semidiameter_rad);
    const struct frame_point furthest = furthest_place(watch->rig, semidiameter_rad);
    bool better = false;

    for (int i = 0; i <= 2 * reach; i++) {
        for (int j = 0; j <= 2 * reach && find->better_s < longest; j++) {
            double x = from_middle(i) * step, y = from_middle(j) * step;
            struct frame_point place = {from.x + x, from.y + y};
            bool tried = find->stays_s > 0 && i == 0 && j == 0;
            struct pointing pointing;
            struct window window;

            if (tried || fabs(place.x) > furthest.x || fabs(place.y) > furthest.y ||
                !pointing_for(watch->rig, moon, place, &pointing))
                continue;
            window_make(watch->rig, &pointing, watch->rig->margin, &window);
            /* Most places already fail at the end of a better stay. */
            if (clearance(&window, find->direction, find->semidiameter_rad) < 0 ||
                !can_put(watch, &pointing, moon, place))
                continue;
            double stay = first_exit(watch, &window, until) - watch->since;
            if (stay > find->better_s) {
                *find = find_at(watch, place, stay);
                better = true;
            }
        }
    }
    return better;
}

/* The best of a coarse grid over the frame, then of ever finer ones around it; within 0.2 % of the
 * longest stay. Only at 24 to 135 mm with a Moon that passes a few degrees from the zenith, where
 * the best place turns the camera far round, up to 6 % were missed. */
static struct find find_best(const struct watch *watch, double until)
{
    struct find find = find_at(watch, (struct frame_point){0, 0}, 0);

    (void)find_step(watch, until, 0.1, 4, &find);
    for (double step = 0.05; step > 1e-4; step /= 2)
        while (find_step(watch, until, step, 1, &find))
            ;
    return find;
}

static double centred_leaves(const struct watch *watch, double until)
{
    struct pointing pointing;
    struct window window;

    (void)pointing_for(watch->rig, watch_direction(watch, watch->since), (struct frame_point){0, 0},
                       &pointing);
    window_make(watch->rig, &pointing, watch->rig->margin, &window);
    return first_exit(watch, &window, until);
}

double aim_drift_arcsec_per_s(const struct rig *rig, const struct track *track, double utc)
{
    struct stand stand;
    struct vec3 place = track_direction(track, utc);
    struct vec3 motion = track_velocity(track, utc);

    stand_of(rig, track, &stand);
    motion = vec3_add(motion, vec3_scale(vec3_cross(stand.up, place), stand.turn));
    return arcsec_from_rad(vec3_length(motion));
}

void aim_advise(const struct rig *rig, const struct track *track, double utc, double until,
                struct aim *aim)
{
    struct watch watch;

    *aim = (struct aim){NAN, NAN, NAN, {NAN, NAN}, NAN};
    aim->drift_arcsec_per_s = aim_drift_arcsec_per_s(rig, track, utc);
    aim->drift_px_per_s = aim->drift_arcsec_per_s / rig_arcsec_per_px(rig);
    until = fmin(until, track_end(track));
    if (isnan(aim->drift_arcsec_per_s) || !(until >= utc))
        return;
    watch_begin(&watch, rig, track, utc);
    struct find find = find_best(&watch, until);
    aim->centred_stays_s = centred_leaves(&watch, until) - utc;
    aim->place = find.place;
    aim->placed_stays_s = fmax(find.stays_s, aim->centred_stays_s);
}

double aim_turned_stays_s(const struct rig *rig, const struct track *track, double utc,
                          double until)
{
    struct rig turned = *rig;
    struct aim aim;

    turned.portrait = !rig->portrait;
    aim_advise(&turned, track, utc, until, &aim);
    return aim.placed_stays_s;
}

double aim_leaves(const struct rig *rig, const struct track *track, double aimed_utc,
                  struct frame_point place, double utc, struct frame_point *now)
{
    struct watch watch;
    struct pointing pointing;
    struct window window;
    double end = track_end(track);

    watch_begin(&watch, rig, track, aimed_utc);
    (void)pointing_for(rig, watch_direction(&watch, aimed_utc), place, &pointing);
    if (now && !frame_project(rig, &pointing, watch_direction(&watch, utc), now))
        *now = (struct frame_point){NAN, NAN};
    if (isnan(track_semidiameter(track, aimed_utc)))
        return NAN;
    window_make(rig, &pointing, rig->margin, &window);
    double leaves = first_exit(&watch, &window, end);
    return leaves < end ? leaves : INFINITY;
}

/* Towards `until`, from an instant of the track. */
static double edge_utc(const struct rig *rig, const struct track *track,
                       const struct pointing *pointing, double utc, double until,
                       enum frame_edge edge)
{
    struct watch watch;
    struct window window;

    watch_begin(&watch, rig, track, utc);
    watch.disc = edge == EDGE_GONE ? -1 : 1;
    watch.slack = edge == EDGE_MARGIN ? rad_from_arcsec(PATH_BOW_ARCSEC) : 0;
    window_make(rig, pointing, edge == EDGE_MARGIN ? rig->margin : 0, &window);
    return first_exit(&watch, &window, until);
}

double frame_exit_utc(const struct rig *rig, const struct track *track,
                      const struct pointing *pointing, double utc, enum frame_edge edge)
{
    double end = track_end(track), exit;

    if (isnan(track_semidiameter(track, utc)))
        return NAN;
    exit = edge_utc(rig, track, pointing, utc, end, edge);
    return exit < end ? exit : INFINITY;
}

double frame_entry_utc(const struct rig *rig, const struct track *track,
                       const struct pointing *pointing, double utc)
{
    double begin = track->utc_from, entry;

    if (isnan(track_semidiameter(track, utc)))
        return NAN;
    entry = edge_utc(rig, track, pointing, utc, begin, EDGE_MARGIN);
    return entry > begin ? entry : -INFINITY;
}

double frame_inside_utc(const struct rig *rig, const struct track *track,
                        const struct pointing *pointing, double utc)
{
    for (double end = track_end(track); utc <= end; utc += LOOK_S)
        if (edge_utc(rig, track, pointing, utc, end, EDGE_MARGIN) > utc)
            return utc;
    return NAN;
}

double aim_due(double leaves_utc, double aimed_utc, const double contact_utc[CONTACT_COUNT],
               int *contact)
{
    double due = leaves_utc;

    *contact = -1;
    for (int i = CONTACT_U4; i >= CONTACT_U1; i--) {
        double sooner = contact_utc[i] - AIM_KEEP_OFF_S - AIM_HANDS_S;

        if (due > sooner && due < contact_utc[i] + AIM_KEEP_OFF_S && sooner > aimed_utc) {
            due = sooner;
            *contact = i;
        }
    }
    return due;
}

int aim_plan(const struct rig *rig, const struct track *track, struct span span,
             const double contact_utc[CONTACT_COUNT], struct aim_step *steps, int most)
{
    struct aim_step step = {span.from, false};
    int count = 0;

    while (step.utc < span.to) {
        struct aim aim;
        int contact = -1;

        aim_advise(rig, track, step.utc, span.to, &aim);
        if (!(aim.placed_stays_s >= fmin(AIM_HANDS_S, span.to - step.utc)))
            return 0;
        if (count < most)
            steps[count] = step;
        count++;
        double due = step.utc + aim.placed_stays_s;
        if (due < span.to)
            due = aim_due(due, step.utc, contact_utc, &contact);
        step.utc = due;
        step.early = contact >= 0;
    }
    return count;
}
