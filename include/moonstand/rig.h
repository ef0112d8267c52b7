/* photo: a camera with its lens and support, as the setup describes it. */
#ifndef MOONSTAND_RIG_H
#define MOONSTAND_RIG_H

#include <moonstand/eclipse.h>

#include <stdbool.h>

#define BYTES_PER_MB 1e6
enum { RIG_NAME = 32, RIG_LENS = 64, RIG_CAMERA = 64, RIG_PICTURES = 256, RIGS = 3 };

/* A span of time, UTC. */
struct span {
    double from, to;
};

enum support { SUPPORT_FIXED, SUPPORT_SIDEREAL, SUPPORT_LUNAR, SUPPORT_SOLAR, SUPPORTS };
/* "fixed", "sidereal", "lunar", "solar". */
const char *support_name(enum support support);

/* What an exposure is made for. */
enum target {
    TARGET_LIT,        /* the sunlit part: median of the brightest twentieth of the disc */
    TARGET_UMBRA,      /* the part inside the umbra */
    TARGET_BRACKET,    /* frames from the sunlit part to the umbra */
    TARGET_STARS,      /* stars and Moon: the longest shutter within the blur limit */
    TARGET_FOREGROUND, /* the landscape in the light of Sun, Moon and stars */
    TARGET_AUTO,       /* sunlit part, in totality umbra; slides between them near U2 and U3 */
    TARGETS
};
/* "lit", "umbra", "bracket", "stars", "foreground", "auto". */
const char *target_name(enum target target);

/* How far pictures are looked at. */
enum look_for { LOOK_FOR_PLACE, LOOK_FOR_METADATA, LOOK_FOR_KINDS };
/* "place", "metadata". */
const char *look_for_name(enum look_for look);

enum { COLD_POINTS = 8, CARD_PATH = 256 };
/* The share of its capacity at 25 C that a battery has in the cold. */
struct cold_point {
    double temperature_c, capacity;
};
/* The power of one rig. */
struct power {
    double rated_shots; /* of a full battery when warm, without live view */
    double rated_hours; /* likewise, switched on; whichever ends first counts */
    int spares;         /* full ones besides the one in the camera */
    bool live_view;
    bool external;     /* a supply that outlasts the night */
    double heater_w;   /* of a heater on the same battery; 0: none, or on its own supply */
    double battery_wh; /* of one battery; only matters with a heater */
    int cold_count;    /* at least 1 */
    struct cold_point cold[COLD_POINTS]; /* rising by temperature */
};

/* A mount as it was set up. Alignment errors are those of the base: azimuth positive clockwise from
 * above (towards the east if the north pole is up), altitude positive upwards. The axis itself is
 * off by the azimuth error times the cosine of the latitude. */
struct mount {
    double polar_az_error_arcmin, polar_alt_error_arcmin;
    bool german_equatorial;   /* needs a flip when the Moon passes the meridian */
    double past_meridian_min; /* how far past it the mount may follow, minutes of hour angle (a
                                 quarter of a degree each) */
    double altitude_min_deg, altitude_max_deg; /* its reach, refracted */
};

/* The part of the eclipse that one picture should hold. */
enum wide_part { WIDE_P1_P4, WIDE_U1_U4, WIDE_U2_U3, WIDE_PARTS };
/* "P1-P4", "U1-U4", "U2-U3". */
const char *wide_part_name(enum wide_part part);

/* The end of a rig's work is at most this far from a contact. */
#define UNTIL_WITHIN_S (4 * 3600.0)

/* One rig as the setup describes it. Every field has a sensible value after rig_default(). */
struct rig {
    char name[RIG_NAME];
    char lens[RIG_LENS];
    char camera[RIG_CAMERA];     /* serial number or model, as in its pictures; empty: unknown */
    char pictures[RIG_PICTURES]; /* the folder that its pictures arrive in; empty: none */
    enum look_for look;          /* in them */
    double focal_mm, f_number;
    double sensor_width_mm, sensor_height_mm; /* landscape: width is the longer side */
    double pixel_pitch_um;
    enum support support;
    double iso_min, iso_max;
    double iso_comfort; /* used before the second half of the blur limit */
    double interval_s;  /* between frames of the intervalometer; NaN: as suits the rig */
    /* End of its exposures and re-aims, within UNTIL_WITHIN_S; P4 if the eclipse has no such
     * contact. */
    struct contact_offset until;
    double frame_mb; /* bytes of one raw frame, in BYTES_PER_MB */

    enum target target;
    /* Tone of each target relative to mid-grey; + is brighter. Bracket and auto use those of the
     * lit part and the umbra. */
    double placement_stops[TARGETS];
    double blur_limit_px;                /* drift allowed during one exposure */
    double tolerance_stops;              /* how far a dialled setting may be off */
    double shutter_min_s, shutter_max_s; /* on the camera's dial */
    int bracket_frames;                  /* most frames of one bracket */
    double bracket_step_stops;
    bool remote_exposure; /* the remote can change shutter and ISO between frames */
    double filter_stops;  /* light lost in a filter */
    double extender;      /* factor on focal length and f-number: 1.4 extender, 0.8 reducer */

    bool portrait;        /* camera turned by 90 degrees */
    double margin;        /* kept free at the frame's edges, fraction of the sensor's height */
    double aim_tolerance; /* how far hands may miss, likewise */
    double warn_s;        /* warning before a re-aim */
    double saving_s;      /* time to save a frame after its exposure */

    struct mount mount; /* if it follows */
    /* Composition of a wide rig on a tripod. */
    enum wide_part part;
    double foreground; /* least share of the frame's height below the horizon, below 0.5 */
    double tilt_deg;   /* of the camera, allowed to either side; 0: level */

    struct power power;
    double card_gb; /* size of a card, in 10^9 bytes; NaN: unknown */
    bool heater;    /* a dew heater is on this lens, on any supply; power.heater_w means one too */
    char card_path[CARD_PATH]; /* a folder on the mounted card; empty: none */
};

/* The default rig, without name and optics. Reasons for the placements: lit +2/3 stop gives the
 * full Moon f/11, ISO 100, 1/125 to 1/250 and leaves about 2.3 stops above the mean of the disc, of
 * which highlands and rays need 0.6; umbra -2/3, because the red channel runs 0.5 to 1.4 stops
 * ahead of the eye there and so comes to mid-grey; stars +2, because the Moon may glow (common
 * practice, no source).
 */
void rig_default(struct rig *rig);
/* With the extender. */
double rig_focal_mm(const struct rig *rig);
double rig_f_number(const struct rig *rig);
/* Image scale, arcsec per pixel. */
double rig_arcsec_per_px(const struct rig *rig);
/* Frame as held, after orientation. */
double rig_frame_width_mm(const struct rig *rig);
double rig_frame_height_mm(const struct rig *rig);

#endif
