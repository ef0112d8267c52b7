/* Whether a rig's picture holds what it is there for: the whole path of the Moon for a wide camera
 * that is pointed once, the disc for every other one.
 *
 * Method for the path: the Moon every two minutes while it is up; the pointing (camera level) with
 * the most room between the path and the margin, by a coarse grid over the sky and then steps that
 * halve down to a hundredth of a degree.
 */
#include "report.h"

#include <math.h>
#include <stdio.h>

/* A fixed camera counts as wide where the shorter side of its frame is at least this: the Moon then
 * crosses it in forty minutes or more. */
#define WIDE_DEG 10.0
#define PATH_STEP_S 120.0
#define GRID_DEG 10.0
#define FINEST_DEG 0.01
enum { PATH_POINTS = 256 };

struct path {
    int count;
    struct vec3 direction[PATH_POINTS];
    double semidiameter_rad[PATH_POINTS];
    double length_rad;
};

static void path_add(struct path *path, const struct track *track, double utc)
{
    struct vec3 direction = track_direction(track, utc);

    if (path->count >= PATH_POINTS || !isfinite(direction.x))
        return;
    if (path->count > 0)
        path->length_rad += vec3_angle(path->direction[path->count - 1], direction);
    path->direction[path->count] = direction;
    path->semidiameter_rad[path->count++] = track_semidiameter(track, utc);
}

/* The Moon's way between two instants, as far as it is up; empty where they are unknown. */
static void path_make(const struct night *night, struct span wanted, struct path *path)
{
    struct span up[UP_SPANS];
    int count = up_spans(night, up);

    path->count = 0;
    path->length_rad = 0;
    if (!isfinite(wanted.from))
        return;
    for (int i = 0; i < count; i++) {
        double from = fmax(up[i].from, wanted.from), to = fmin(up[i].to, wanted.to);

        for (double utc = from; utc < to; utc += PATH_STEP_S)
            path_add(path, &night->track, utc);
        if (from < to)
            path_add(path, &night->track, to);
    }
}

/* Least distance in mm between the disc and the margin along the path; negative: over it. */
static double room_mm(const struct rig *rig, const struct path *path, double altitude_rad,
                      double azimuth_rad)
{
    double width = rig_frame_width_mm(rig), height = rig_frame_height_mm(rig);
    double margin = rig->margin * height, least = INFINITY;
    struct pointing pointing;

    pointing_level(altitude_rad, azimuth_rad, &pointing);
    for (int i = 0; i < path->count; i++) {
        double depth = vec3_dot(path->direction[i], pointing.axis);
        /* The projection stretches a disc off the axis by at most this. */
        double radius = rig_focal_mm(rig) * tan(path->semidiameter_rad[i]) / (depth * depth);
        struct frame_point point;

        if (!frame_project(rig, &pointing, path->direction[i], &point))
            return -INFINITY;
        least = fmin(least, (0.5 - fabs(point.x)) * width - margin - radius);
        least = fmin(least, (0.5 - fabs(point.y)) * height - margin - radius);
    }
    return least;
}

struct best {
    double room_mm, altitude_rad, azimuth_rad;
};

static bool improve(const struct rig *rig, const struct path *path, double altitude_rad,
                    double azimuth_rad, struct best *best)
{
    double room;

    if (altitude_rad < 0 || altitude_rad > PI / 2)
        return false;
    room = room_mm(rig, path, altitude_rad, azimuth_rad);
    if (!(room > best->room_mm))
        return false;
    *best = (struct best){room, altitude_rad, angle_wrap(azimuth_rad)};
    return true;
}

static bool improve_around(const struct rig *rig, const struct path *path, double step_rad,
                           struct best *best)
{
    struct best middle = *best;
    bool better = false;

    for (int up = -1; up <= 1; up++)
        for (int side = -1; side <= 1; side++)
            better |= improve(rig, path, middle.altitude_rad + up * step_rad,
                              middle.azimuth_rad + side * step_rad, best);
    return better;
}

static void point_best(const struct rig *rig, const struct path *path, struct best *best)
{
    *best = (struct best){-INFINITY, NAN, NAN};
    for (double altitude = 0; altitude <= 90; altitude += GRID_DEG)
        for (double azimuth = 0; azimuth < 360; azimuth += GRID_DEG)
            (void)improve(rig, path, rad_from_deg(altitude), rad_from_deg(azimuth), best);
    for (double step = GRID_DEG / 2; step >= FINEST_DEG; step /= 2)
        while (improve_around(rig, path, rad_from_deg(step), best))
            continue;
}

/* ---- what to say ---- */

static double side_deg(const struct rig *rig, double side_mm)
{
    double free_mm = side_mm - 2 * rig->margin * rig_frame_height_mm(rig);

    return deg_from_rad(2 * atan(free_mm / 2 / rig_focal_mm(rig)));
}

static bool is_wide(const struct rig *rig)
{
    double shorter = fmin(rig_frame_width_mm(rig), rig_frame_height_mm(rig));

    return deg_from_rad(2 * atan(shorter / 2 / rig_focal_mm(rig))) >= WIDE_DEG;
}

static void compose_disc(const struct night *night, const struct rig *rig,
                         struct composition *composition)
{
    double semidiameter = track_semidiameter(&night->track, night->contact_utc[CONTACT_GREATEST]);
    double disc_mm = 2 * rig_focal_mm(rig) * tan(semidiameter);
    double free_mm = fmin(rig_frame_width_mm(rig), rig_frame_height_mm(rig)) -
                     2 * rig->margin * rig_frame_height_mm(rig);

    composition->fits = disc_mm <= free_mm;
    if (!composition->fits)
        (void)snprintf(composition->misfit, sizeof composition->misfit,
                       "the disc is %.1f mm across, the frame inside its margins %.1f mm", disc_mm,
                       free_mm);
}

static const enum contact span_ends[][2] = {
    {CONTACT_P1, CONTACT_P4}, {CONTACT_U1, CONTACT_U4}, {CONTACT_U2, CONTACT_U3}};
enum { SPANS = sizeof span_ends / sizeof span_ends[0] };

/* `fitting`: the longest span that fits, SPANS where none does. */
static void say_misfit(const struct rig *rig, double whole_rad, int fitting,
                       struct composition *composition)
{
    char *misfit = composition->misfit;
    const size_t size = sizeof composition->misfit;
    int length = snprintf(misfit, size,
                          "P1 to P4 is a path of %.0f degrees, the frame inside its margins "
                          "%.0f x %.0f: ",
                          deg_from_rad(whole_rad), side_deg(rig, rig_frame_width_mm(rig)),
                          side_deg(rig, rig_frame_height_mm(rig)));

    if (fitting < SPANS)
        (void)snprintf(misfit + length, size - (size_t)length, "%s to %s fits",
                       contact_name(span_ends[fitting][0]), contact_name(span_ends[fitting][1]));
    else
        (void)snprintf(misfit + length, size - (size_t)length, "no span between contacts fits");
}

static void compose_path(const struct night *night, const struct rig *rig,
                         struct composition *composition)
{
    double whole_rad = 0;
    int fitting;

    for (fitting = 0; fitting < SPANS; fitting++) {
        struct span wanted = {night->contact_utc[span_ends[fitting][0]],
                              night->contact_utc[span_ends[fitting][1]]};
        struct path path;
        struct best best;

        path_make(night, wanted, &path);
        if (path.count == 0)
            continue;
        point_best(rig, &path, &best);
        if (fitting == 0)
            whole_rad = path.length_rad;
        if (fitting == 0 || best.room_mm >= 0) {
            composition->altitude_rad = best.altitude_rad;
            composition->azimuth_rad = best.azimuth_rad;
        }
        if (best.room_mm >= 0)
            break;
    }
    composition->fits = fitting == 0;
    if (!isfinite(composition->altitude_rad))
        (void)snprintf(composition->misfit, sizeof composition->misfit,
                       "the Moon is down from P1 to P4");
    else if (!composition->fits)
        say_misfit(rig, whole_rad, fitting, composition);
}

void compose(const struct night *night, int index, struct composition *composition)
{
    const struct rig *rig = &night->rig[index].rig;

    *composition = (struct composition){.altitude_rad = NAN, .azimuth_rad = NAN};
    composition->once = rig->support == SUPPORT_FIXED && is_wide(rig);
    if (composition->once)
        compose_path(night, rig, composition);
    else
        compose_disc(night, rig, composition);
}
