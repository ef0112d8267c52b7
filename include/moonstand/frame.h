/* photo: a point in the picture, a pointing, the projection between sky and frame. */
#ifndef MOONSTAND_FRAME_H
#define MOONSTAND_FRAME_H

#include <moonstand/vec3.h>

#include <stdbool.h>

struct rig;

/* A point of the frame as fractions of its width and height from its centre, right and up positive.
 */
struct frame_point {
    double x, y;
};

/* A camera's pointing, as a frame in the horizontal system. */
struct pointing {
    struct vec3 axis, right, up; /* unit vectors, east-north-up */
};
/* Looks at an altitude and azimuth, rolled clockwise as seen from behind. An altitude past the
 * zenith is a camera tipped over backwards. */
void pointing_make(double altitude_rad, double azimuth_rad, double roll_rad,
                   struct pointing *pointing);
/* Gnomonic projection; false if the direction is behind the camera. */
bool frame_project(const struct rig *rig, const struct pointing *pointing, struct vec3 direction,
                   struct frame_point *point);
/* The level pointing that puts `direction` at `point` of the frame. False, with the nearest one, if
 * there is none (the direction is closer to the zenith than the point is to the frame's middle
 * column). */
bool pointing_for(const struct rig *rig, struct vec3 direction, struct frame_point point,
                  struct pointing *pointing);

#endif
