/* night: which rig took a picture. */
#ifndef MOONSTAND_SEEN_H
#define MOONSTAND_SEEN_H

#include <stdbool.h>

struct metadata;
struct moon_size;
struct setup;

/* The rig that took a picture: the one whose `camera` is its serial number or model, else the only
 * one with its focal length; -1: not known. */
int picture_rig(const struct setup *setup, const struct metadata *metadata);
/* How large the Moon is in a picture's JPEG. The scale is that of `rig` (-1: none) if it was asked
 * for or its camera is named in the setup, else what the camera wrote, else the rig's again. False
 * if none of them is known. */
bool picture_moon_size(const struct setup *setup, int rig, bool asked,
                       const struct metadata *metadata, struct moon_size *size);

#endif
