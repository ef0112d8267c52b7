/* photo: the Moon's way as seen by a camera. */
#ifndef MOONSTAND_TRACK_H
#define MOONSTAND_TRACK_H

#include <moonstand/vec3.h>

struct arc;
struct observer;

/* The Moon's way as seen by the camera: sampled once per night, interpolated at need. */
enum { TRACK_POINTS = 1500 };
struct track {
    double utc_from, step_s;
    int count;
    struct vec3 enu[TRACK_POINTS]; /* refracted direction */
    double semidiameter_rad[TRACK_POINTS];
    struct vec3 pole; /* celestial north, for mounts that turn with the sky */
};
/* Samples [utc_from, utc_to], at most 25 h, evenly, about every minute (at least four times). */
void track_make(struct track *track, const struct arc *arc, const struct observer *observer,
                double utc_from, double utc_to);
/* Direction at an instant (unit vector); x is NaN outside the span. */
struct vec3 track_direction(const struct track *track, double utc);
double track_semidiameter(const struct track *track, double utc);
/* Apparent angular motion against the fixed ground, rad/s along east, north and up, and its size in
 * arcsec/s; NaN outside the span. */
struct vec3 track_velocity(const struct track *track, double utc);
double track_speed_arcsec_per_s(const struct track *track, double utc);

#endif
