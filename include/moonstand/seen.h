/* night: a picture that was looked at, and which rig took it. */
#ifndef MOONSTAND_SEEN_H
#define MOONSTAND_SEEN_H

#include <moonstand/frame.h>
#include <moonstand/eye.h>

#include <stdbool.h>

struct setup;

/* Whether the Moon was seen, or why not. */
enum seen_state {
    SEEN_DISC,
    SEEN_NO_DISC,   /* looked for and not found */
    SEEN_TOO_SMALL, /* for this focal length */
    SEEN_NO_SCALE,  /* its size is unknown */
    SEEN_NO_JPEG, /* a raw file without a preview, or a JPEG of a rare kind (lossless, 12 bits, CMYK) */
    SEEN_HEIF,
    SEEN_NOT_LOOKED, /* only the metadata was asked for */
    SEEN_STATES
};

/* One picture that was looked at. */
struct seen {
    const char *file; /* its path */
    double bytes;
    double landed_utc; /* when the file was last written; on a card the camera's local time */
    double took_s;     /* to look at it */
    struct metadata metadata;
    int rig; /* index in the setup; -1: not known */
    enum seen_state state;
    /* Where state is SEEN_DISC; in px of the picture, also if a smaller preview was looked at. */
    struct moon_disc disc;
    struct frame_point place; /* of its centre, in the picture held upright */
    struct disc_light light;
    struct limb limb; /* most_deg likewise of the picture held upright */
};

/* The rig that took a picture: the one whose `camera` is its serial number or model, else the only
 * one with its focal length; -1: not known. */
int picture_rig(const struct setup *setup, const struct metadata *metadata);
/* True if the rig's `camera` is the picture's serial number or model, or make and model. */
bool picture_is_of(const struct rig *rig, const struct metadata *metadata);
/* How large the Moon is in a picture's JPEG. The scale is that of `rig` (-1: none) if it was asked
 * for or its camera is named in the setup, else what the camera wrote, else the rig's again. False
 * if none of them is known. */
bool picture_moon_size(const struct setup *setup, int rig, bool asked,
                       const struct metadata *metadata, struct moon_size *size);

#endif
