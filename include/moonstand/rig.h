/* photo: a camera with its lens and support, as the setup describes it. */
#ifndef MOONSTAND_RIG_H
#define MOONSTAND_RIG_H

#include <moonstand/eclipse.h>

#include <stdbool.h>

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
    TARGET_LIT,        /* the lit part: median of the brightest twentieth of the disc */
    TARGET_UMBRA,      /* the part inside the umbra */
    TARGET_BRACKET,    /* frames from the lit part to the umbra */
    TARGET_STARS,      /* stars with the Moon: the longest shutter that the blur limit allows */
    TARGET_FOREGROUND, /* the landscape by the light of Sun, Moon and stars */
    TARGET_AUTO,       /* lit part, in totality umbra; slides between them near U2 and U3 */
    TARGETS
};
/* "lit", "umbra", "bracket", "stars", "foreground", "auto". */
const char *target_name(enum target target);

/* How far pictures are looked at. */
enum look_for { LOOK_FOR_PLACE, LOOK_FOR_METADATA, LOOK_FOR_KINDS };
/* "place", "metadata". */
const char *look_for_name(enum look_for look);

enum { COLD_POINTS = 8, CARD_PATH = 256 };
/* What share of its capacity at 25 C a battery gives in the cold. */
struct cold_point {
    double temperature_c, capacity;
};
/* What one rig draws its power from. */
struct power {
    double rated_shots; /* of a full battery in the warm, without live view */
    double rated_hours; /* switched on, likewise; whichever ends first counts */
    int spares;         /* full ones beside the one in the camera */
    bool live_view;
    bool external;     /* a supply that outlasts the night */
    double heater_w;   /* of a heater on the same battery; 0: none, or on its own supply */
    double battery_wh; /* of one battery; matters with a heater alone */
    int cold_count;    /* at least 1 */
    struct cold_point cold[COLD_POINTS]; /* rising by temperature; may be the user's own */
};

/* A mount as it was set up. Errors of alignment are those of the base: azimuth as the base is
 * turned, clockwise from above positive (towards the east where the north pole is up); altitude as
 * the axis is tilted, up positive. The axis itself is off by the azimuth's error times the cosine
 * of the latitude. */
struct mount {
    double polar_az_error_arcmin, polar_alt_error_arcmin;
    bool german_equatorial;   /* has to be turned over when the Moon passes the meridian */
    double past_meridian_min; /* how far past it the mount may follow, minutes of hour angle: a
                                 quarter of a degree each */
    double altitude_min_deg, altitude_max_deg; /* what it can reach, refracted */
};

/* The part of the eclipse that one picture is to hold. */
enum wide_part { WIDE_P1_P4, WIDE_U1_U4, WIDE_U2_U3, WIDE_PARTS };
/* "P1-P4", "U1-U4", "U2-U3". */
const char *wide_part_name(enum wide_part part);

/* Until when a rig can go on: so long before or after a contact. */
#define UNTIL_WITHIN_S (4 * 3600.0)

/* One rig as the setup describes it. Every field has a sensible value after rig_default(). */
struct rig {
    char name[RIG_NAME];
    char lens[RIG_LENS];
    char camera[RIG_CAMERA]; /* serial number or model as its pictures have it; empty: not told */
    char pictures[RIG_PICTURES]; /* the folder that its pictures land in; empty: none */
    enum look_for look;          /* in them */
    double focal_mm, f_number;
    double sensor_width_mm, sensor_height_mm; /* landscape: width is the longer side */
    double pixel_pitch_um;
    enum support support;
    double iso_min, iso_max;
    double iso_comfort; /* the whole blur limit is spent before ISO goes beyond it */
    double interval_s; /* between frames of the intervalometer */
    struct contact_offset
        until;       /* of its exposures and re-aims, within UNTIL_WITHIN_S; P4 where the
                                    eclipse has no such contact */
    double frame_mb; /* bytes of one raw frame, in 10^6 */

    enum target target;
    /* Tone of each target against mid-grey; + is brighter. A bracket and auto use those of the lit
     * part and the umbra. */
    double placement_stops[TARGETS];
    double blur_limit_px;                /* drift allowed during one exposure */
    double tolerance_stops; /* by which a setting of the hands may be off what is wanted */
    double shutter_min_s, shutter_max_s; /* what the camera's dial offers */
    int bracket_frames;                  /* most frames of one bracket */
    double bracket_step_stops;
    bool remote_exposure; /* the remote can change shutter and ISO between frames */
    double filter_stops;  /* light lost in a filter, stops */
    double extender;      /* factor on focal length and f-number: 1.4 extender, 0.8 reducer */

    bool portrait;        /* camera turned by 90 degrees */
    double margin;        /* kept free at the frame's edges, fraction of the sensor's height */
    double aim_tolerance; /* by which hands miss, likewise */
    double warn_s;        /* warning ahead of the re-aim */
    double saving_s;      /* for which a frame keeps the camera after its exposure */

    struct mount mount; /* of a rig that follows */
    /* The composition of a wide rig on a tripod. */
    enum wide_part part;
    double foreground; /* least share of the frame's height below the skyline, below 0.5 */
    double tilt_deg;   /* of the camera, allowed to either side; 0: level */

    struct power power;
    double card_gb;            /* size of a card, in 10^9 bytes; NaN: unknown */
    bool heater; /* a dew heater is on this lens, on whatever supply; one of power.heater_w counts */
    char card_path[CARD_PATH]; /* a folder on the card, where it is mounted; empty: none */
};

/* A rig with the defaults of the house: 36x24 mm, 5.9 micrometres, ISO 100 to 25600, 1/8000 to
 * 30 s, interval 10 s, margin and tolerance 5 %, blur 1 px, bracket of at most 7 frames 2 stops
 * apart by the camera itself, until P4, comfortable up to ISO 3200, SAVING_S, mount_default(), a
 * level picture of P1 to P4 without foreground. Placements: lit +2/3 stop (the full Moon then gets
 * f/11, ISO 100, 1/125 to 1/250; about 2.3 stops stay free above the mean of the disc, of which highlands and rays
 * need 0.6); umbra -2/3 (the red channel runs 0.5 to 1.4 stops ahead of the eye there, so that it
 * comes to mid-grey); stars +2 (the Moon is allowed to glow; common practice, no source);
 * foreground 0. Power of power_default(), no card known. Name and optics are left for the caller. */
void rig_default(struct rig *rig);
/* Optics in force with extender. */
double rig_focal_mm(const struct rig *rig);
double rig_f_number(const struct rig *rig);
/* Image scale, arcsec per pixel. */
double rig_arcsec_per_px(const struct rig *rig);
/* Frame as held: width and height in mm after orientation. */
double rig_frame_width_mm(const struct rig *rig);
double rig_frame_height_mm(const struct rig *rig);

#endif
