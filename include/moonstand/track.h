/* photo: the Moon's path as seen by a camera. */
#ifndef MOONSTAND_TRACK_H
#define MOONSTAND_TRACK_H

#include <moonstand/vec3.h>

#include <stdbool.h>

struct arc;
struct horizon;
struct observer;

/* Sampled once per night, interpolated between. */
enum { TRACK_POINTS = 1500 };
struct track {
    double utc_from, step_s;
    int count;
    struct vec3 enu[TRACK_POINTS]; /* refracted direction */
    double semidiameter_rad[TRACK_POINTS];
    struct vec3 pole; /* celestial north, for mounts that turn with the sky */
};
/* Samples [utc_from, utc_to], at most 25 h, about once a minute (at least four times). */
void track_make(struct track *track, const struct arc *arc, const struct observer *observer,
                double utc_from, double utc_to);
/* Unit vector to the centre and the semidiameter; NaN outside the span. */
void track_disc(const struct track *track, double utc, struct vec3 *direction,
                double *semidiameter_rad);
/* One of the two. */
struct vec3 track_direction(const struct track *track, double utc);
double track_semidiameter(const struct track *track, double utc);
/* Whether the upper limb clears the profile; false outside the span. */
bool track_is_up(const struct track *track, const struct horizon *horizon, double utc);

#endif
