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

struct wide_ask {
    enum wide_part part;
    double foreground; /* least share of the frame's height that lies below the skyline, which is
                          everywhere under the path as high as the highest point of the horizon
                          profile there; 0: none asked; less than 0.5 */
    double roll_min_rad, roll_max_rad; /* tilt of the camera that is allowed, within -+ 45 degrees,
                                          clockwise as seen from behind positive; 0, 0: level */
};
/* As the rig's setup has it. */
void wide_ask_of(const struct rig *rig, struct wide_ask *ask);
/* A tripod's camera counts as wide where the shorter side of its frame is at least 10 degrees: the
 * Moon then takes forty minutes or more to cross it. Every other one is there for the disc. */
bool rig_is_wide(const struct rig *rig);

/* How one part of the eclipse, as far as the Moon is over the horizon profile, fits one frame. The
 * low disc is taken to be round: it comes up to half a minute before moonrise. */
struct wide_fit {
    double utc_from, utc_to; /* first and last instant with the Moon up: in between the rig must not
                                be touched; NaN: there is none, nor any pointing */
    bool cut;                /* the Moon is down for some of it */
    double path_deg;         /* length of its way */
    double focal_mm; /* the longest that fits at any pointing, an extender in it; NaN: none does */
    bool fits;       /* this rig's does: limb inside the margin, foreground as asked */
    /* The pointing with the most room above and below, and the path in the middle of the width as
     * far as this lens leaves a choice; where it does not fit, the one for the longest that does.
     */
    double altitude_rad, azimuth_rad, roll_rad;
    double foreground; /* share of the frame's height below the skyline, with this rig's lens; NaN:
                          not before the camera */
};
struct wide {
    struct wide_fit fit[WIDE_PARTS];
    enum wide_part use; /* the part asked for, or the longest shorter one that fits; if none does,
                           the one asked for */
    bool fits;          /* the part asked for does */
    double free_width_deg, free_height_deg, free_diagonal_deg; /* the frame inside its margins */
};
/* `contact_utc`: NaN for those that do not exist. For once in a night: 2 ms, with a tilt to
 * be found 30 ms. */
void wide_compose(const struct rig *rig, const struct track *track, const struct horizon *horizon,
                  const double contact_utc[CONTACT_COUNT], const struct wide_ask *ask,
                  struct wide *wide);
/* The same for a span alone, as for somebody who comes late. */
void wide_compose_span(const struct rig *rig, const struct track *track,
                       const struct horizon *horizon, struct span span, const struct wide_ask *ask,
                       struct wide_fit *fit);
/* The pointing of a tilted camera; roll as above. */
void pointing_tilted(double altitude_rad, double azimuth_rad, double roll_rad,
                     struct pointing *pointing);

/* Distance of the centres of two discs taken `interval_s` apart, in diameters; NaN outside the
 * track. */
double disc_spacing(const struct track *track, double utc, double interval_s);
/* The least interval with which no two discs overlap in [utc_from, utc_to]; NaN outside the track.
 */
double disc_least_interval_s(const struct track *track, double utc_from, double utc_to);

/* One disc of a composition. */
struct disc_place {
    double utc;
    struct frame_point centre;
    double radius; /* fraction of the frame's height, as the disc is across the line to the frame's
                      centre; along it a wide lens stretches it a little more */
    bool inside;   /* the limb is inside the margin */
};
/* The discs at `first_utc` and every `interval_s` after it up to `utc_to` for a tripod's camera, as
 * far as the Moon is over the horizon profile and before the camera; how many there are, of which
 * `most` are written. */
int wide_discs(const struct rig *rig, const struct pointing *pointing, const struct track *track,
               const struct horizon *horizon, double first_utc, double utc_to, double interval_s,
               struct disc_place *discs, int most);

#endif
