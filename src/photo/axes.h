/* Private to the room: where a mount's axes point. */
#ifndef MOONSTAND_MOUNT_PRIVATE_H
#define MOONSTAND_MOUNT_PRIVATE_H

#include <moonstand/rig.h>
#include <moonstand/track.h>

/* Of the axis as it stands, in east-north-up. */
struct axes {
    struct vec3 east,
        meridian;          /* hour angles are counted from the meridian; `east` is horizontal */
    struct vec3 north, up; /* ends of the axis: next to the north pole, above the horizon */
};
void axes_of(const struct mount *mount, const struct track *track, struct axes *axes);

#endif
