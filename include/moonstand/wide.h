/* photo: the whole eclipse in one picture. */
#ifndef MOONSTAND_WIDE_H
#define MOONSTAND_WIDE_H

#include <moonstand/frame.h>
#include <moonstand/rig.h>

struct horizon;
struct track;

/* The two contacts that bound a part. */
enum contact wide_begins(enum wide_part part);
enum contact wide_ends(enum wide_part part);

/* A camera on a tripod is wide if the shorter side of its frame is at least 10 degrees: the Moon
 * then takes forty minutes or more to cross it. */
bool rig_is_wide(const struct rig *rig);

/* How one part of the eclipse, while the Moon is above the horizon profile, fits one frame. The low
 * disc is taken to be round: it appears up to half a minute before moonrise. */
struct wide_fit {
    double utc_from, utc_to; /* first and last instant with the Moon up, between which the rig must
                                not be touched; NaN: it is down throughout, and there is no pointing */
    bool cut;                /* the Moon is down for part of it */
    double path_deg;         /* length of the path */
    double focal_mm; /* the longest that fits at any pointing, extender included; NaN: none does */
    bool fits;       /* this rig's does: limb inside the margin, enough foreground */
    /* The pointing with the most room above and below, with the path centred in the width if this
     * lens leaves a choice; if it does not fit, the pointing for the longest that does. */
    double altitude_rad, azimuth_rad, roll_rad;
    double foreground; /* share of the frame's height below the horizon, with this rig's lens; NaN:
                          not in front of the camera */
};
struct wide {
    /* Of the part asked for and, while none fits, of shorter ones: others are not looked at. */
    struct wide_fit fit[WIDE_PARTS];
    enum wide_part use; /* the part asked for, else the longest shorter one that fits, else the one
                           asked for */
    bool fits;          /* the part asked for fits */
    double free_width_deg, free_height_deg; /* the frame inside its margins */
};
/* Part, foreground and tilt are those of the rig; for the foreground the horizon is taken to be as high
 * everywhere as its highest point under the path. `contact_utc`: NaN if a contact does not exist. A part
 * takes 1 ms; 10 ms if a tilt is allowed. */
void wide_compose(const struct rig *rig, const struct track *track, const struct horizon *horizon,
                  const double contact_utc[CONTACT_COUNT], struct wide *wide);
/* The same for one span, as for somebody who comes late. */
void wide_compose_span(const struct rig *rig, const struct track *track,
                       const struct horizon *horizon, struct span span, struct wide_fit *fit);

/* Distance between the centres of two discs `interval_s` apart, in diameters; NaN outside the
 * track. */
double disc_spacing(const struct track *track, double utc, double interval_s);
/* The shortest interval at which no discs of [utc_from, utc_to] overlap; NaN outside the track. */
double disc_least_interval_s(const struct track *track, double utc_from, double utc_to);

/* One disc of a composition. */
struct disc_place {
    double utc;
    struct frame_point centre;
};
struct disc_ask {
    const struct rig *rig;
    const struct pointing *pointing;
    const struct track *track;
    const struct horizon *horizon;
    double first_utc, interval_s, utc_to;
};
/* The discs at `first_utc` and every `interval_s` after it, for a camera on a tripod, while the
 * Moon is above the horizon profile and in front of the camera. Writes at most `most` and returns
 * how many there are. */
int wide_discs(const struct disc_ask *ask, struct disc_place *discs, int most);

#endif
