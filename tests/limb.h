/* The Moon's limb against the margin of a frame, point for point. */
#ifndef MOONSTAND_TEST_LIMB_H
#define MOONSTAND_TEST_LIMB_H

#include <moonstand/angle.h>
#include <moonstand/frame.h>
#include <moonstand/rig.h>
#include <moonstand/track.h>

#include <math.h>

/* Whether the limb is inside the margin at an instant, for a tripod's camera that was aimed with
 * the Moon at a place. */
static inline bool limb_is_inside(const struct rig *rig, const struct track *track,
                                  double aimed_utc, struct frame_point place, double utc)
{
    struct pointing pointing;
    struct vec3 moon = track_direction(track, utc);
    struct vec3 side = vec3_unit(vec3_cross(moon, (struct vec3){0.1, 0.2, 1}));
    struct vec3 other = vec3_cross(moon, side);
    double s = track_semidiameter(track, utc);
    double edge_mm = rig->margin * rig->sensor_height_mm - 1e-4;

    if (!pointing_for(rig, track_direction(track, aimed_utc), place, &pointing))
        return false;
    for (int i = 0; i < 72; i++) {
        double angle = rad_from_deg(5 * i);
        struct vec3 off = vec3_add(vec3_scale(side, cos(angle)), vec3_scale(other, sin(angle)));
        struct vec3 limb = vec3_add(vec3_scale(moon, cos(s)), vec3_scale(off, sin(s)));
        struct frame_point point;

        if (!frame_project(rig, &pointing, limb, &point))
            return false;
        if (fabs(point.x) * rig_frame_width_mm(rig) > rig_frame_width_mm(rig) / 2 - edge_mm ||
            fabs(point.y) * rig_frame_height_mm(rig) > rig_frame_height_mm(rig) / 2 - edge_mm)
            return false;
    }
    return true;
}

#endif
