/* photo: mounts that follow the sky. */
#ifndef MOONSTAND_MOUNT_H
#define MOONSTAND_MOUNT_H

#include <moonstand/frame.h>
#include <moonstand/rig.h>

struct track;

/* Turn about the polar axis that follows the sky, rad/s; 0 for a tripod. Sidereal: a turn in a mean
 * sidereal day, 86164.0905 s; lunar: less the Moon's mean motion, 13.17636 degrees a day; solar: a
 * turn in 86400 s. */
double support_rate_rad_per_s(enum support support);

/* Aligned, not a German equatorial, nothing past the meridian, 0 to 90 degrees. */
void mount_default(struct mount *mount);

/* Drift of the Moon over the sensor, towards celestial east and north, in its two parts. */
struct mount_drift {
    double rate_east_arcsec_per_s, rate_north_arcsec_per_s;   /* left by the rate */
    double polar_east_arcsec_per_s, polar_north_arcsec_per_s; /* made by the axis' error */
    double arcsec_per_s;                                      /* of both together */
};
/* All NaN outside the track. */
void mount_drift(const struct mount *mount, enum support support, const struct track *track,
                 double utc, struct mount_drift *drift);

/* Where the Moon's centre was read off the frame of a camera that follows and is not touched. */
struct mount_seen {
    double utc;
    struct frame_point place;
};
/* The errors of alignment that two such places tell. NaN where they do not: the Moon's drift in
 * declination tells azimuth when it stands near the meridian and altitude when it is six hours
 * away, at other times a mixture; the drift in right ascension would part the two but is weak near
 * the equator, and the drive's own errors lie in it. The doubt is one standard deviation and is
 * given for both. */
struct polar_estimate {
    double az_error_arcmin, alt_error_arcmin;
    double az_doubt_arcmin, alt_doubt_arcmin;
};
/* An error with a larger doubt is not told. */
#define POLAR_TOLD_ARCMIN 5.0
/* `reading`: to which fraction of the sensor's height a place is read off. The frame's up is the
 * mount's pole (to a degree); the lunar rate asks least of that. All NaN for a tripod or outside
 * the track. */
void mount_polar_estimate(const struct rig *rig, const struct track *track,
                          const struct mount_seen seen[2], double reading,
                          struct polar_estimate *estimate);

#define MOUNT_FLIP_S 300.0 /* allowed for turning over, finding the Moon again and focus */
/* The meridian flip that falls due in a span of time. It can be done as long before the meridian as
 * the mount may follow past it. */
struct mount_flip {
    double earliest_utc; /* before the span: begin on the far side, and no flip is needed; NaN:
                            before the track */
    double meridian_utc;
    double latest_utc;  /* here the mount has to stop */
    double advised_utc; /* as late as it can begin without touching totality; where totality cannot
                           be spared, the latest */
    bool in_totality;   /* advised so for want of anything better */
};
/* Hour angles are those of the mount's own axis. Returns false, with all NaN, where no flip falls
 * due in [utc_from, utc_to] or the mount needs none. `u2_utc` and `u3_utc` NaN: no totality. */
bool mount_flip(const struct mount *mount, const struct track *track, double utc_from,
                double utc_to, double u2_utc, double u3_utc, struct mount_flip *flip);

/* Whether the mount can look so high. */
bool mount_reaches(const struct mount *mount, double altitude_rad);
struct mount_limit {
    double utc;
    bool enters; /* comes within reach, else leaves it */
    bool upper;  /* over the upper limit, else the lower one */
};
/* When the Moon's centre crosses the limits of altitude in [utc_from, utc_to], in order, to 0.1 s;
 * how many there are, of which `most` are written. Two crossings of one limit in the same minute
 * may be missed. */
int mount_limits(const struct mount *mount, const struct track *track, double utc_from,
                 double utc_to, struct mount_limit *limits, int most);

#endif
