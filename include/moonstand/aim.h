/* photo: drift, stays and re-aims. */
#ifndef MOONSTAND_AIM_H
#define MOONSTAND_AIM_H

#include <moonstand/frame.h>

struct rig;
struct track;

/* How a rig stands to the Moon at one instant. A stay is the time until the Moon's limb, not its
 * centre, meets the margin, for a camera that is left alone: a tripod stands still; a mount turns
 * about its own axis at its rate and shows what motion is left. A tripod's camera is level and
 * never tipped past the zenith; on a mount 'up' is the end of the axis that is above the horizon.
 * Everything is NaN outside the track. */
struct aim {
    double drift_arcsec_per_s; /* over the sensor */
    double drift_px_per_s;     /* in the middle of the frame */
    double centred_stays_s;    /* with the Moon centred now; 0 where it does not fit */
    struct frame_point place;  /* where to put the Moon now so that it stays longest, with the aim
                                  tolerance kept free inside the margin; (0, 0) where that is not
                                  to be had */
    double placed_stays_s;
};
/* Drift of the Moon over the sensor at an instant, with what a mount's axis adds, arcsec/s; NaN
 * outside the track. */
double aim_drift_arcsec_per_s(const struct rig *rig, const struct track *track, double utc);
/* `until` bounds every stay (the end of what is being photographed). The search for the place takes
 * 0.1 to 0.3 ms: the advice changes slowly and need not be asked for more often than it is shown.
 */
void aim_advise(const struct rig *rig, const struct track *track, double utc, double until,
                struct aim *aim);
/* The placed stay if the camera were turned from landscape to portrait or back. */
double aim_turned_stays_s(const struct rig *rig, const struct track *track, double utc,
                          double until);
/* Instant at which the Moon's limb meets the margin for a camera aimed at `aimed_utc` with the Moon
 * at `place`; +INFINITY past the track's end; `aimed_utc` itself where it is already outside; NaN
 * where that lies outside the track. Also where the Moon's centre is in the frame at `utc` (null:
 * not wanted; NaN: not before the camera, or outside the track). */
double aim_leaves(const struct rig *rig, const struct track *track, double aimed_utc,
                  struct frame_point place, double utc, struct frame_point *now);

/* A tripod's camera that is left alone, at a pointing of its own. The limb counts as inside the margin
 * up to PATH_BOW_ARCSEC past it, which is what wide_compose leaves out. */
#define PATH_BOW_ARCSEC 20.0
enum frame_edge {
    EDGE_MARGIN, /* the Moon's limb meets the margin */
    EDGE_FRAME,  /* it meets the frame's edge, which then cuts the disc */
    EDGE_GONE    /* all of the disc is outside */
};
/* First instant from `utc` on at which the Moon crosses an edge outwards: `utc` itself if it is
 * outside then, INFINITY past the track's end, NaN outside the track. */
double frame_exit_utc(const struct rig *rig, const struct track *track,
                      const struct pointing *pointing, double utc, enum frame_edge edge);
/* Since when the Moon, inside the margin at `utc`, has been so; -INFINITY: since before the track. */
double frame_entry_utc(const struct rig *rig, const struct track *track,
                       const struct pointing *pointing, double utc);
/* The first minute from `utc` on at which the Moon is inside the margin; NaN if there is none on the
 * track. */
double frame_inside_utc(const struct rig *rig, const struct track *track,
                        const struct pointing *pointing, double utc);

#define AIM_HANDS_S 20.0    /* what hands need for a re-aim */
#define AIM_KEEP_OFF_S 30.0 /* no hands at a rig this close to a contact */
/* When a camera that was aimed at `aimed_utc` is to be aimed again: when the limb meets the margin,
 * or so much earlier that hands are off before the minute around a contact. `keep_off` are the
 * contacts, rising, NaN for none; `contact`: which of them moved it; -1: none. */
double aim_due(double leaves_utc, double aimed_utc, const double *keep_off, int keep_off_count,
               int *contact);
struct aim_step {
    double utc;
    struct frame_point place;
    bool early; /* would have been due in the minute around a contact, and is done before it */
};
/* All aims of a night from `utc_from` to `utc_to`, each at the place of the longest stay and the
 * next one when it is due; the first is the setting up, the others are re-aims. As each stay is the
 * longest, no level camera needs fewer. `keep_off` as for aim_due. Returns how many there are, of
 * which `most` are written; 0 where the Moon does not stay as long as a re-aim takes, or the track
 * does not cover the span. */
int aim_plan(const struct rig *rig, const struct track *track, double utc_from, double utc_to,
             const double *keep_off, int keep_off_count, struct aim_step *steps, int most);

#endif
