#include <moonstand/frame.h>
#include <moonstand/rig.h>

#include <math.h>

/* Of a level camera, from the sines and cosines of its altitude and azimuth. */
static void level_axes(double sa, double ca, double sz, double cz, struct pointing *pointing)
{
    pointing->axis = (struct vec3){ca * sz, ca * cz, sa};
    pointing->right = (struct vec3){cz, -sz, 0};
    pointing->up = (struct vec3){-sa * sz, -sa * cz, ca};
}

void pointing_make(double altitude_rad, double azimuth_rad, double roll_rad,
                   struct pointing *pointing)
{
    double s = sin(roll_rad), c = cos(roll_rad);
    struct vec3 right, up;

    level_axes(sin(altitude_rad), cos(altitude_rad), sin(azimuth_rad), cos(azimuth_rad), pointing);
    right = pointing->right;
    up = pointing->up;
    pointing->right = vec3_add(vec3_scale(right, c), vec3_scale(up, -s));
    pointing->up = vec3_add(vec3_scale(up, c), vec3_scale(right, s));
}

bool frame_project(const struct rig *rig, const struct pointing *pointing, struct vec3 direction,
                   struct frame_point *point)
{
    double depth = vec3_dot(direction, pointing->axis);
    double scale_mm = rig_focal_mm(rig) / depth;

    if (!(depth > 0))
        return false;
    point->x = vec3_dot(direction, pointing->right) * scale_mm / rig_frame_width_mm(rig);
    point->y = vec3_dot(direction, pointing->up) * scale_mm / rig_frame_height_mm(rig);
    return true;
}

bool pointing_for(const struct rig *rig, struct vec3 direction, struct frame_point point,
                  struct pointing *pointing)
{
    /* In the camera's axes the direction is (u, v, 1) / length; its height above the horizon is
     * (v cos a + sin a) / length = rise sin(a + atan v), where a is the required altitude. Sines and
     * cosines alone: a search for the best place asks this thousands of times. */
    double u = point.x * rig_frame_width_mm(rig) / rig_focal_mm(rig);
    double v = point.y * rig_frame_height_mm(rig) / rig_focal_mm(rig);
    double rise = sqrt((1 + v * v) / (1 + u * u + v * v));
    double sine = direction.z / rise, sine_in = fmax(-1, fmin(1, sine));
    double cosine_in = sqrt(1 - sine_in * sine_in), to_v = sqrt(1 + v * v);
    double sa = (sine_in - cosine_in * v) / to_v, ca = (cosine_in + sine_in * v) / to_v;
    double ahead = ca - v * sa, near = sqrt(u * u + ahead * ahead);
    double level = sqrt(direction.x * direction.x + direction.y * direction.y);
    /* A direction at the zenith has no azimuth of its own: as if it were north. */
    double sz = level == 0 ? 0 : direction.x / level, cz = level == 0 ? 1 : direction.y / level;
    double su = near == 0 ? 0 : u / near, cu = near == 0 ? 1 : ahead / near;

    level_axes(sa, ca, sz * cu - cz * su, cz * cu + sz * su, pointing);
    return fabs(sine) <= 1;
}
