/* photo: what a camera makes of the light: exposure series, exposure, blur, framing and drift. */
#ifndef MOONSTAND_PHOTO_H
#define MOONSTAND_PHOTO_H

#include <moonstand/eclipse.h>

enum { RIG_NAME = 32, RIG_LENS = 64, RIG_CAMERA = 64, RIGS = 3 };

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

/* ---- series (series.c) ---- */

enum { SHUTTER_LABEL = 12 };
/* Third-stop steps of shutter and ISO as cameras label them. Shutter: index 0 is 1 s, + is longer,
 * exact time 2^(index/3) s; -45 (1/32000) to 18 (60). */
int shutter_index(double seconds);          /* nearest step, clamped to the series */
int shutter_index_within(double longest_s); /* longest step that is not longer */
double shutter_seconds(int index);          /* exact */
/* As printed on cameras: "1/60", "0.6", "2". Returns `out`. */
char *shutter_label(int index, char out[SHUTTER_LABEL]);
/* The step of a label as printed on cameras ("1/60", "0.6", "2", or "2s"). -1 where it is none. */
int shutter_parse(const char *label, int *index, struct fault *fault);
/* ISO: index 0 is 100, exact 100 * 2^(index/3); -6 (25) to 36 (409600). */
int iso_index(double iso); /* nearest step, clamped to the series */
int iso_label(int index);  /* as printed: 100 125 160 200 ... */

/* ---- air in the way (extinction.c) ---- */

/* Extinction in magnitudes for an apparent altitude and a site's height: the components of Green
 * 1992 times Rozenberg's air mass, average conditions; within 0.01 mag of every cell of Green's
 * table (sea level to 3 km). Below the horizon the value at the horizon is held.
 * `zenith_mag` replaces the zenith coefficient by the user's own; NaN takes the table's. */
double extinction_mag(double altitude_rad, double height_m, double zenith_mag);
/* The zenith coefficient, magnitudes per air mass: 0.281 at sea level, 0.206 at 1 km. */
double extinction_zenith_mag(double height_m);
/* What is left of the light after so many magnitudes, 1 at none. */
double extinction_factor(double mag);

/* ---- light of the sky and on the ground (sky_light.c) ---- */

struct sky_light {
    double ground_lux; /* horizontal illuminance: Sun, Moon, starlight */
    double luminance;  /* of the clear sky about the Moon, cd/m2 */
};
/* By the airless altitudes of Sun and Moon; `moon_share` is the Moon's light against that of the
 * full Moon at mean distance (moonlight_share), 0 for none. Sources, accuracy: sky_light.c. All NaN
 * where one of them is. */
void sky_light(double sun_altitude_rad, double moon_altitude_rad, double moon_share,
               struct sky_light *light);
/* What the Moon gives against the full Moon at mean distance: `luminance` as of moon_luminance(),
 * `mean_fraction` of full sunlight over the disc (the eclipse's dimming), topocentric distance. */
double moonlight_share(double luminance, double mean_fraction, double distance_km);
/* Luminance of a diffuse landscape of 18 % reflectance, cd/m2. */
double landscape_luminance(double ground_lux);

/* ---- exposure (exposure.c) ---- */

/* Mean luminance of the sunlit full disc above the atmosphere, cd/m2. 4935 for the mean full Moon
 * of -12.74 mag (0 mag = 2.54e-6 lx, disc 6.42e-5 sr) at 1 au; falls with the phase angle by
 * 0.026 |a| + 4e-9 a^4 mag (Allen; a in degrees) and with the square of the Sun's distance. The
 * opposition surge, 0.13 dex (0.33 mag; Schmidt: -13.09 in the early penumbra), is full up to 1.5
 * degrees, the phase of every eclipsed point, and gone at 5. The Moon's distance does not matter to
 * a luminance. Take the whole extinction off it: 4935 lies above the air, the 3950 cd/m2 that the
 * meter anchors stand for already have one air mass behind them. */
double moon_luminance(double phase_angle_rad, double sun_distance_km);
/* Luminance of a part of the disc that gets a fraction of full sunlight, from the sunlit disc's.
 * The light inside the umbra is fitted against the mean full Moon, so the surge that `luminance`
 * holds is taken out in proportion to the depth, wholly from the umbra's edge on. */
double moon_part_luminance(double luminance, double fraction);

/* The frame of a bracket whose setting is shown. */
enum bracket_shown {
    BRACKET_FIRST, /* a remote sets every frame, from this one on */
    BRACKET_MIDDLE /* the camera brackets by itself: this one is dialled */
};
/* "first", "middle". */
const char *bracket_shown_name(enum bracket_shown shown);

/* The longest shutter of a mount without a guider that is used before ISO beyond the rig's comfort:
 * common practice, no source. */
#define UNGUIDED_S 4.0
enum exposure_limit { LIMITED_NONE, LIMITED_BLUR, LIMITED_ISO };
/* "none", "blur", "iso". */
const char *exposure_limit_name(enum exposure_limit limit);

/* What the exposure of one rig at one instant depends on. */
struct exposure_ask {
    enum phase phase;
    struct light light;    /* of this instant */
    double luminance;      /* sunlit disc at the camera, cd/m2: above the air times extinction;
                                NaN: the Moon is down */
    struct sky_light sky;  /* in front of the Moon, and on the foreground */
    double drift_px_per_s; /* of the Moon over the sensor; 0 where the mount follows */
    double correction_stops[TARGETS]; /* user's test frames, + is brighter; bracket and auto use
                                         those of the lit part and the umbra, that of the bracket
                                         shifts all its frames */
};

struct exposure {
    enum target target; /* resolved: never TARGET_AUTO */
    bool known;         /* false where the target has no light (no umbra yet, Moon down); then only
                           target, f_number and the range are set */
    int shutter, iso;   /* indices of the series: what to dial; of a bracket see bracket_shown */
    int shutter_last, iso_last; /* of a bracket's longest frame; else the same */
    double shutter_s;           /* exact, of `shutter` */
    double f_number;
    double blur_px; /* drift during the (longest) exposure */
    enum exposure_limit limited_by;
    double deficit_stops;    /* missing past the ISO limit, of a bracket from its last frame to the
                                umbra's need; negative: too bright at the shortest and lowest, of a
                                bracket its first frame; 0 where it fits */
    double correction_stops; /* in force */
    /* Wanted, before rounding and limits: log2(N^2/t) at ISO 100; smooth in time. Of a bracket's
     * first frame. */
    double ev100;
    int bracket_frames; /* 1 where one frame does */
    double bracket_step_stops;
    enum bracket_shown bracket_shown; /* which frame `shutter` and `iso` are */
    double bracket_missing_stops; /* part of the deficit: as many frames as the setup allows, so far
                                     apart, do not reach from the lit part to the umbra */
    /* By which the sky is brighter than the part of the Moon that the target wants; negative: it is
     * darker. NaN for the foreground, or where the target has no light. */
    double sky_stops;
    double range_stops;        /* between the lit part and the umbra; NaN where only one exists */
    bool one_frame_holds_both; /* range within what one frame can hold (stated in exposure.c) */
    bool vibration_risk;       /* 1/60 to 1/2 s on a lens of 200 mm or more (exposure.c) */
};

/* What to set. Meter equation, placements and the way from a needed exposure to shutter and ISO:
 * exposure.c. No allocation. */
void exposure_choose(const struct rig *rig, const struct exposure_ask *ask,
                     struct exposure *exposure);
/* True where the same is to be dialled, whatever it is for. */
bool exposure_same_dial(const struct exposure *a, const struct exposure *b);
/* True where the same is to be dialled for the same target. */
bool exposure_same(const struct exposure *a, const struct exposure *b);
/* What is dialled, in thirds of a stop: more is more light on the sensor. */
int exposure_thirds(const struct exposure *exposure);
/* ---- framing and drift (frame.c, aim.c) ---- */

/* A point of the frame as fractions of its width and height from its centre, right and up positive.
 */
struct frame_point {
    double x, y;
};

/* Such a point in words: "centre", "left", "far left, a little low". Not finite: "-". */
enum { FRAME_WORDS = 40 };
char *frame_words(struct frame_point point, char out[FRAME_WORDS]);

/* A camera's pointing, as a frame in the horizontal system. */
struct pointing {
    struct vec3 axis, right, up; /* unit vectors, east-north-up */
};
/* Level camera (roll zero), looking at an altitude and azimuth. An altitude past the zenith is a
 * camera tipped over backwards. */
void pointing_level(double altitude_rad, double azimuth_rad, struct pointing *pointing);
/* Gnomonic projection; false where the direction lies behind the camera. */
bool frame_project(const struct rig *rig, const struct pointing *pointing, struct vec3 direction,
                   struct frame_point *point);
/* The pointing (level) that puts `direction` at `point` of the frame. False where there is none
 * (the direction is closer to the zenith than the point is to the frame's middle column): the
 * pointing is then the nearest one. */
bool pointing_for(const struct rig *rig, struct vec3 direction, struct frame_point point,
                  struct pointing *pointing);

/* The Moon's way as seen by the camera: sampled once per night, interpolated at need. */
enum { TRACK_POINTS = 1500 };
struct track {
    double utc_from, step_s;
    int count;
    struct vec3 enu[TRACK_POINTS]; /* refracted direction */
    double semidiameter_rad[TRACK_POINTS];
    struct vec3 pole; /* celestial north, for mounts that turn with the sky */
};
/* Samples [utc_from, utc_to], at most 25 h, evenly, about every minute (at least four times). */
void track_make(struct track *track, const struct arc *arc, const struct observer *observer,
                double utc_from, double utc_to);
/* Direction at an instant (unit vector); x is NaN outside the span. */
struct vec3 track_direction(const struct track *track, double utc);
double track_semidiameter(const struct track *track, double utc);
/* Apparent angular motion against the fixed ground, rad/s along east, north and up, and its size in
 * arcsec/s; NaN outside the span. */
struct vec3 track_velocity(const struct track *track, double utc);
double track_speed_arcsec_per_s(const struct track *track, double utc);

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

/* ---- tracking mounts (mount.c) ---- */

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

/* ---- the whole eclipse in one picture (compose.c) ---- */

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

/* ---- the intervalometer (interval.c) ---- */

/* An interval that puts a frame on greatest and others near the contacts. */
struct interval_fit {
    double interval_s;
    double first_utc; /* the first frame of the span: when to start */
    int frames;
    double worst_miss_s; /* of a contact inside the span */
};
/* Tries every whole second from `least_s` to `most_s`; of equal ones the shortest. Returns false
 * where there is none, or greatest lies outside [utc_from, utc_to]. */
bool interval_on_contacts(const double contact_utc[CONTACT_COUNT], double utc_from, double utc_to,
                          double least_s, double most_s, struct interval_fit *fit);

/* How long a shot keeps the camera: the shutter is open for every frame of a bracket and each is
 * saved. */
#define SAVING_S 1.0 /* allowance for one frame, a common card and camera: common practice, no source */
double exposure_busy_s(const struct exposure *exposure, double saving_s);

/* A setting over a span of time. */
struct sheet_part {
    double utc_from, utc_to;
    const struct exposure *exposure;
};
/* One programme of the device. */
struct sheet_line {
    double utc_from, utc_to;         /* the setting holds; shots fall in [from, to) */
    const struct exposure *exposure; /* of its first part */
    double start_utc;                /* first shot; NaN where none falls in it */
    int shots, frames;               /* a bracket is one shot of several frames */
    double busy_s;                   /* the longest of one shot */
    double short_s; /* by which the interval is too short for that; 0: long enough */
};
struct sheet {
    double start_utc, interval_s; /* NaN: no shot at all */
    int shots, frames;
    double least_interval_s; /* whole seconds that would be long enough for every line */
    double short_s;          /* the worst of the lines */
    int lines;               /* how many there are */
};
/* Lines of a rig from settings in order of time, with shots at `start_utc` and every
 * rig->interval_s after it. Settings without an exposure are left out; neighbours with the same on
 * the dials are one line. Of the lines `most` are written. */
void sheet_make(const struct rig *rig, const struct sheet_part *parts, int count, double start_utc,
                double saving_s, struct sheet *sheet, struct sheet_line *lines, int most);

/* ---- power (budget.c) ---- */

enum { SWAPS = 32 };
#define SWAP_S 60.0       /* what hands need for a battery */
#define SWAP_CALM_S 600.0 /* before U2 and after U3, of a swap that costs a long rig's aim */
#define RE_AIM_WITHIN_S 1200.0
#define SWAP_RESERVE 0.1  /* of a battery's life that a plan does not touch but for totality */
#define LIVE_VIEW_DRAIN 3 /* times; Canon Rebel T6: 600 shots by the finder, 190 in live view */

/* 1500 shots (Canon, LP-E4 at 23 C), 3.25 hours (Sony, filming without a break at 25 C: sensor on
 * all the time), two spares, no live view, no heater, 13 Wh (7.2 V, 1.8 Ah), the cold table of
 * budget.c. */
void power_default(struct power *power);
/* Linear between the points of the table, held outside; NaN for an unknown temperature. */
double power_capacity(const struct power *power, double temperature_c);
/* How long a full battery lasts, s, in air of one temperature (a plan takes the coldest that is
 * expected): frames per second are those of the bracket over those of the interval. INFINITY with
 * an external supply; NaN where something is unknown. */
double power_life_s(const struct power *power, double frames_per_s, double temperature_c);

/* A span of a night; NaN at either end: none. */
struct keep_span {
    double utc_from, utc_to;
};
struct swap_ask {
    double utc, utc_to;    /* now (or the night's first frame) and the last frame */
    double changed_utc;    /* of the battery in use; NaN: full at `utc` */
    double life_s;         /* power_life_s */
    double swap_s;         /* SWAP_S, or what the user's hands need; with the re-aim that follows */
    int spares;            /* still full */
    double u2_utc, u3_utc; /* NaN: no totality */
    double calm_s;         /* kept free before U2 and after U3, at least AIM_KEEP_OFF_S */
    /* When re-aims that are due anyway are done, rising: a swap is best done just before one. None
     * where a swap does not cost the aim. */
    const double *re_aim;
    int re_aim_count;
    /* Spans in which the rig must not be touched: a wide rig's run, minutes around contacts. */
    const struct keep_span *off;
    int off_count;
};
struct swap {
    double utc;       /* when hands begin */
    double empty_utc; /* when the battery in use would be empty */
    bool in_totality; /* could not be kept out of it */
    bool late;        /* after that battery is empty: the rig may not be touched before */
    bool at_re_aim;   /* a re-aim that is due anyway follows */
};
struct swap_plan {
    bool known; /* false: the life of a battery is unknown, and the rest means nothing */
    int count;  /* of the swaps, of which the first SWAPS are written */
    struct swap swap[SWAPS];
    int batteries;      /* for the rest of the night, the one in use included */
    bool totality_free; /* no swap and no empty battery between U2 and U3 */
    double dry_utc;     /* first time at which the rig stands without power; NaN: never */
    bool external;      /* the power does not last: an external supply is needed (a swap falls in
                           totality, the rig runs dry, or the spares do not suffice) */
};
/* The swaps of the rest of a night, as late as can be, each before a tenth of the life is left (a
 * little later where that saves one). One that would touch [U2, U3], with AIM_KEEP_OFF_S at either
 * end, is moved ahead of U2; else after U3, if the reserve lasts so long; only then is it left
 * inside. The margin of `calm_s` goes before that of AIM_KEEP_OFF_S. A swap that costs the aim is
 * then moved to a re-aim within RE_AIM_WITHIN_S of it, unless that takes one battery more. None ever touches a span in `off`: where no
 * other instant is left the rig runs dry. */
void swap_plan_make(const struct swap_ask *ask, struct swap_plan *plan);
/* When one swap can be done: not before `from`, best by `limit`, at `empty` at the latest. */
struct swap_window {
    double from, limit, empty;
};
/* When to do one swap, of a battery or a card, by the same rules: outside the window, or in totality,
 * only where there is no other way. */
double swap_instant(const struct swap_ask *ask, const struct swap_window *window);

/* ---- card (budget.c) ---- */

/* A span of the night with one length of bracket. */
struct card_span {
    double utc_from, utc_to;
    int bracket_frames;
};
struct card_ask {
    double utc; /* now: the intervalometer's next shot */
    double interval_s;
    const struct card_span *span; /* in order, without overlap */
    int span_count;
    double frame_bytes;
    double card_bytes; /* size of the card in the camera, with `frames_taken` on it */
    int frames_taken;
    double free_bytes; /* as read from the card itself: goes before the two above; NaN: not read */
};
struct card_budget {
    double frames;          /* from now to the end */
    double frames_fit;      /* on what is free */
    bool fits;              /* false also where something is unknown: the numbers are then NaN */
    double full_utc;        /* of the first shot that the card does not hold; NaN: it holds all */
    double interval_fits_s; /* shortest interval of whole seconds that would fit; the same where it
                               fits; NaN: none of an hour or less */
    int bracket_fits;       /* longest bracket that would fit at this interval; 0: none */
};
void card_budget_make(const struct card_ask *ask, struct card_budget *budget);

#endif
