#include <moonstand/frame.h>
#include <moonstand/rig.h>

#include <math.h>

void pointing_make(double altitude_rad, double azimuth_rad, double roll_rad,
                   struct pointing *pointing)
{
    double sa = sin(altitude_rad), ca = cos(altitude_rad);
    double sz = sin(azimuth_rad), cz = cos(azimuth_rad);
    double s = sin(roll_rad), c = cos(roll_rad);
    struct vec3 right = {cz, -sz, 0}, up = {-sa * sz, -sa * cz, ca};

    pointing->axis = (struct vec3){ca * sz, ca * cz, sa};
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
     * (v cos a + sin a) / length = rise sin(a + atan v), where a is the required altitude. */
    double u = point.x * rig_frame_width_mm(rig) / rig_focal_mm(rig);
    double v = point.y * rig_frame_height_mm(rig) / rig_focal_mm(rig);
    double rise = sqrt((1 + v * v) / (1 + u * u + v * v));
    double sine = direction.z / rise;
    double altitude = asin(fmax(-1, fmin(1, sine))) - atan(v);
    double azimuth = atan2(direction.x, direction.y) - atan2(u, cos(altitude) - v * sin(altitude));

    pointing_make(altitude, azimuth, 0, pointing);
    return fabs(sine) <= 1;
}
