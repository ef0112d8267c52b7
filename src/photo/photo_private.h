/* Private to the room. */
#ifndef MOONSTAND_PHOTO_PRIVATE_H
#define MOONSTAND_PHOTO_PRIVATE_H

#include <moonstand/rig.h>
#include <moonstand/track.h>

#include <math.h>

/* Where a mount's axis points, in east-north-up. */
struct axes {
    struct vec3 east,
        meridian;          /* hour angles are counted from the meridian; `east` is horizontal */
    struct vec3 north, up; /* ends of the axis: next to the north pole, above the horizon */
};
void axes_of(const struct mount *mount, const struct track *track, struct axes *axes);

/* Turn about the polar axis that follows the sky, rad/s; 0 for a tripod. */
double support_rate_rad_per_s(enum support support);

/* The Moon's apparent motion against the ground, rad/s along east, north and up, and its size in
 * arcsec/s; NaN outside the track. */
struct vec3 track_velocity(const struct track *track, double utc);
double track_speed_arcsec_per_s(const struct track *track, double utc);

static inline double clamp(double value, double lowest, double highest)
{
    return fmin(fmax(value, lowest), highest);
}

#define MEAN_FULL_MOON 4935.0 /* cd/m2 above the air, of a Moon of -12.74 mag */

/* Luminance of a diffuse landscape of 18 % reflectance, cd/m2. */
double landscape_luminance(double ground_lux);
/* Stops of exposure (shutter times ISO, from 1 s at ISO 100) that put a luminance, cd/m2, at
 * mid-grey through the rig's lens and filter. */
double mid_grey_stops(const struct rig *rig, double luminance);

/* The longest shutter step that is not longer, clamped to the series. */
int shutter_index_within(double longest_s);

/* A battery's capacity in the cold: linear between the points of the table, held outside; NaN for
 * an unknown temperature. */
double power_capacity(const struct power *power, double temperature_c);

#endif
