/* photo: drift, stays and re-aims. */
#ifndef MOONSTAND_AIM_H
#define MOONSTAND_AIM_H

#include <moonstand/frame.h>
#include <moonstand/rig.h>

struct track;

/* What the Moon does in a rig's frame at one instant. A stay is the time until the Moon's limb
 * meets the margin of a camera that is left alone: a tripod stands still, a mount turns about its
 * own axis at its rate. A camera on a tripod is level and never tipped past the zenith; on a mount
 * 'up' is the end of the axis that is above the horizon. Everything is NaN outside the track. */
struct aim {
    double drift_arcsec_per_s; /* over the sensor */
    double drift_px_per_s;     /* in the middle of the frame */
    double centred_stays_s;    /* with the Moon centred now; 0 if it does not fit */
    struct frame_point place;  /* where to put the Moon now so that it stays longest, with the aim
                                  tolerance kept free inside the margin; (0, 0) if there is no such
                                  place */
    double placed_stays_s;
};
/* Drift of the Moon over the sensor, including that from a misaligned axis; NaN outside the
 * track. */
double aim_drift_arcsec_per_s(const struct rig *rig, const struct track *track, double utc);
/* `until` bounds every stay. Takes up to 0.2 ms, too long for every tick. */
void aim_advise(const struct rig *rig, const struct track *track, double utc, double until,
                struct aim *aim);
/* The placed stay if the camera were turned from landscape to portrait or back. */
double aim_turned_stays_s(const struct rig *rig, const struct track *track, double utc,
                          double until);
/* When the Moon's limb meets the margin of a camera aimed at `aimed_utc` with the Moon at `place`:
 * +INFINITY past the track's end, `aimed_utc` itself if it is already outside, NaN if that is
 * outside the track. `now`, if not null: the Moon's centre in the frame at `utc`; NaN if it is not
 * in front of the camera or `utc` is outside the track. */
double aim_leaves(const struct rig *rig, const struct track *track, double aimed_utc,
                  struct frame_point place, double utc, struct frame_point *now);

/* A camera on a tripod that is left alone at a given pointing. The limb counts as inside the margin
 * up to PATH_BOW_ARCSEC past it, which wide_compose neglects. */
#define PATH_BOW_ARCSEC 20.0
enum frame_edge {
    EDGE_MARGIN, /* the Moon's limb meets the margin */
    EDGE_FRAME,  /* it meets the frame's edge */
    EDGE_GONE    /* all of the disc is outside the frame */
};
/* First instant from `utc` on at which the Moon crosses an edge outwards: `utc` itself if it is
 * outside then, INFINITY past the track's end, NaN outside the track. */
double frame_exit_utc(const struct rig *rig, const struct track *track,
                      const struct pointing *pointing, double utc, enum frame_edge edge);
/* Since when the Moon, inside the margin at `utc`, has been so; -INFINITY: since before the
 * track. */
double frame_entry_utc(const struct rig *rig, const struct track *track,
                       const struct pointing *pointing, double utc);
/* The first minute from `utc` on at which the Moon is inside the margin; NaN if there is none on
 * the track. */
double frame_inside_utc(const struct rig *rig, const struct track *track,
                        const struct pointing *pointing, double utc);

#define AIM_HANDS_S 20.0    /* a re-aim takes this long */
#define AIM_KEEP_OFF_S 30.0 /* no hands at a rig this close to a contact */
/* When to re-aim a camera that was aimed at `aimed_utc`: when the limb meets the margin, or enough
 * earlier that hands are off before the minute around a contact, from U1 to U4 (NaN: it does not
 * exist). `contact`: that contact; -1: none. */
double aim_due(double leaves_utc, double aimed_utc, const double contact_utc[CONTACT_COUNT],
               int *contact);
struct aim_step {
    double utc;
    bool early; /* moved ahead of the minute around a contact */
};
/* All aims of a span, each at the place of the longest stay, the next one when it is due; the first
 * is the setting up, the others are re-aims. Since each stay is the longest, no level camera needs
 * fewer. Writes at most `most` and returns how many there are; 0 if the Moon does not stay as long
 * as a re-aim takes, or the track does not cover the span. */
int aim_plan(const struct rig *rig, const struct track *track, struct span span,
             const double contact_utc[CONTACT_COUNT], struct aim_step *steps, int most);

#endif
