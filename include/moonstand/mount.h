/* photo: mounts that follow the sky. */
#ifndef MOONSTAND_MOUNT_H
#define MOONSTAND_MOUNT_H

#include <moonstand/frame.h>
#include <moonstand/rig.h>

struct track;

/* Drift of the Moon over the sensor, towards celestial east and north, in its two parts. */
struct mount_drift {
    double rate_east_arcsec_per_s, rate_north_arcsec_per_s;   /* left by the rate */
    double polar_east_arcsec_per_s, polar_north_arcsec_per_s; /* made by the axis' error */
    double arcsec_per_s;                                      /* of both together */
};
/* NaN outside the track. */
void mount_drift(const struct mount *mount, enum support support, const struct track *track,
                 double utc, struct mount_drift *drift);

/* Where the Moon's centre was in the frame of a camera that follows and is not touched. */
struct mount_seen {
    double utc;
    struct frame_point place;
};
/* The alignment errors that follow from two such places; NaN if they do not follow. Drift in
 * declination shows the azimuth error near the meridian, the altitude error six hours away from it,
 * and a mixture in between; drift in right ascension could separate them but is weak near the
 * equator and includes the drive's own errors. The doubt is one standard deviation, given for both.
 */
struct polar_estimate {
    double az_error_arcmin, alt_error_arcmin;
    double az_doubt_arcmin, alt_doubt_arcmin;
};
/* An error with a larger doubt is NaN. */
#define POLAR_TOLD_ARCMIN 5.0
/* `reading`: accuracy of the places, as a fraction of the sensor's height. The frame's up is
 * assumed to point to the mount's pole (to a degree), which matters least at lunar rate. All NaN
 * for a tripod or outside the track. */
void mount_polar_estimate(const struct rig *rig, const struct track *track,
                          const struct mount_seen seen[2], double reading,
                          struct polar_estimate *estimate);

#define MOUNT_FLIP_S 300.0 /* to turn over, find the Moon again and focus */
/* The meridian flip that falls due in a span of time. It can be done as early before the meridian
 * as the mount may follow past it. */
struct mount_flip {
    double earliest_utc; /* before the span: start on the far side and no flip is needed; NaN:
                            before the track */
    double meridian_utc;
    double latest_utc;  /* the mount must stop here */
    double advised_utc; /* as late as possible without touching totality; if that cannot be
                           avoided, the latest */
    bool in_totality;   /* it cannot be avoided */
};
/* Hour angles are about the mount's own axis. Returns false, with all NaN, if no flip falls due in
 * the span or the mount needs none. `totality`: NaN if there is none. */
bool mount_flip(const struct mount *mount, const struct track *track, struct span span,
                struct span totality, struct mount_flip *flip);

/* Whether the mount reaches this altitude. */
bool mount_reaches(const struct mount *mount, double altitude_rad);
struct mount_limit {
    double utc;
    bool enters; /* comes within reach, else leaves it */
    bool upper;  /* over the upper limit, else the lower one */
};
/* When the Moon's centre crosses the altitude limits in [utc_from, utc_to], in order, to 0.1 s.
 * Writes at most `most` and returns how many there are. Two crossings of one limit within a minute
 * may be missed. */
int mount_limits(const struct mount *mount, const struct track *track, double utc_from,
                 double utc_to, struct mount_limit *limits, int most);

#endif
