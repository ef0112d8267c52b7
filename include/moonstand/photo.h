/* photo: what a camera makes of the light: exposure series, exposure, blur, framing and drift. */
#ifndef MOONSTAND_PHOTO_H
#define MOONSTAND_PHOTO_H

#include <moonstand/eclipse.h>

enum { RIG_NAME = 32, RIG_LENS = 64, RIGS = 3 };

enum support { SUPPORT_FIXED, SUPPORT_SIDEREAL, SUPPORT_LUNAR, SUPPORTS };
/* "fixed", "sidereal", "lunar". */
const char *support_name(enum support support);

/* What an exposure is made for. */
enum target {
    TARGET_LIT,        /* the lit part: median of the brightest twentieth of the disc */
    TARGET_UMBRA,      /* the part inside the umbra */
    TARGET_BRACKET,    /* frames from the lit part to the umbra */
    TARGET_STARS,      /* stars with the Moon: the longest shutter that the blur limit allows */
    TARGET_FOREGROUND, /* the landscape at dusk, by the Sun's altitude */
    TARGET_AUTO,       /* lit part, in totality umbra; slides between them near U2 and U3 */
    TARGETS
};
/* "lit", "umbra", "bracket", "stars", "foreground", "auto". */
const char *target_name(enum target target);

/* One rig as the setup describes it. Every field has a sensible value after rig_default(). */
struct rig {
    char name[RIG_NAME];
    char lens[RIG_LENS];
    double focal_mm, f_number;
    double sensor_width_mm, sensor_height_mm; /* landscape: width is the longer side */
    double pixel_pitch_um;
    enum support support;
    double iso_min, iso_max;
    double interval_s; /* between frames of the intervalometer */
    double frame_mb;   /* bytes of one raw frame, in 10^6 */

    enum target target;
    /* Tone of each target against mid-grey; + is brighter. A bracket and auto use those of the lit
     * part and the umbra. */
    double placement_stops[TARGETS];
    double blur_limit_px;                /* drift allowed during one exposure */
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
};

/* A rig with the defaults of the house: 36x24 mm, 5.9 micrometres, ISO 100 to 25600, 1/8000 to
 * 30 s, interval 10 s, margin and tolerance 5 %, blur 1 px, bracket of at most 7 frames 2 stops
 * apart by the camera itself. Placements: lit +2/3 stop (the full Moon then gets f/11, ISO 100,
 * 1/125 to 1/250; about 2.3 stops stay free above the mean of the disc, of which highlands and rays
 * need 0.6); umbra -2/3 (the red channel runs 0.5 to 1.4 stops ahead of the eye there, so that it
 * comes to mid-grey); stars +2 (the Moon is allowed to glow; common practice); foreground 0. Name
 * and optics are left for the caller. */
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
/* ISO: index 0 is 100, exact 100 * 2^(index/3); -6 (25) to 36 (409600). */
int iso_index(double iso); /* nearest step, clamped to the series */
double iso_exact(int index);
int iso_label(int index); /* as printed: 100 125 160 200 ... */

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

/* ---- exposure (exposure.c) ---- */

/* Mean luminance of the sunlit full disc above the atmosphere, cd/m2. 4935 for the mean full Moon
 * of -12.74 mag (0 mag = 2.54e-6 lx, disc 6.42e-5 sr) at 1 au; falls with the phase angle by
 * 0.026 |a| + 4e-9 a^4 mag (Allen; a in degrees) and with the square of the Sun's distance. The
 * opposition surge, 0.13 dex (0.33 mag; Schmidt: -13.09 in the early penumbra), is full up to 1.5
 * degrees, the phase of every eclipsed point, and gone at 5. The Moon's distance does not matter to
 * a luminance. Take the whole extinction off it: 4935 lies above the air, the 3950 cd/m2 that the
 * meter anchors stand for already have one air mass behind them. */
double moon_luminance(double phase_angle_rad, double sun_distance_km);

enum exposure_limit { LIMITED_NONE, LIMITED_BLUR, LIMITED_ISO };
/* "none", "blur", "iso". */
const char *exposure_limit_name(enum exposure_limit limit);

/* What the exposure of one rig at one instant depends on. */
struct exposure_ask {
    enum phase phase;
    struct light light;      /* of this instant */
    double luminance;        /* sunlit disc at the camera, cd/m2: above the air times extinction;
                                NaN: the Moon is down */
    double drift_px_per_s;   /* of the Moon over the sensor; 0 where the mount follows */
    double sun_altitude_rad; /* for the foreground target */
    double correction_stops[TARGETS]; /* user's test frames, + is brighter; bracket and auto use
                                         those of the lit part and the umbra */
};

struct exposure {
    enum target target; /* resolved: never TARGET_AUTO */
    bool known;         /* false where the target has no light (no umbra yet, Moon down); then only
                           target, f_number and the range are set */
    int shutter, iso;   /* indices of the series: what to dial. A bracket by the remote starts here,
                           one by the camera has it in its middle */
    int shutter_last, iso_last; /* of a bracket's longest frame; else the same */
    double shutter_s;           /* exact, of `shutter` */
    double f_number;
    double blur_px; /* drift during the (longest) exposure */
    enum exposure_limit limited_by;
    double deficit_stops;    /* missing past the ISO limit; negative: too bright at the shortest and
                                lowest; 0 where it fits */
    double correction_stops; /* in force */
    double ev100; /* wanted, before rounding and limits: log2(N^2/t) at ISO 100; smooth in time */
    int bracket_frames; /* 1 where one frame does */
    double bracket_step_stops;
    double bracket_missing_stops; /* from the last frame to the umbra, where the frames run out */
    double range_stops;        /* between the lit part and the umbra; NaN where only one exists */
    bool one_frame_holds_both; /* range within what one frame can hold (stated in exposure.c) */
    bool vibration_risk;       /* 1/60 to 1/2 s on a lens of 200 mm or more (common practice) */
};

/* What to set. Meter equation, placements and the way from a needed exposure to shutter and ISO:
 * exposure.c. No allocation. */
void exposure_choose(const struct rig *rig, const struct exposure_ask *ask,
                     struct exposure *exposure);
/* True where the same is to be dialled for the same target. */
bool exposure_same(const struct exposure *a, const struct exposure *b);
/* What would help against a deficit, or what the speed calls for; null where there is nothing to
 * say. */
const char *exposure_help(const struct rig *rig, const struct exposure *exposure);

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
 * about the celestial pole at its rate and shows what motion is left. A tripod's camera is level
 * and never tipped past the zenith; on a mount 'up' is the pole that is above the horizon.
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
/* Drift of the Moon over the sensor for a support at an instant, arcsec/s; NaN outside the track.
 */
double aim_drift_arcsec_per_s(enum support support, const struct track *track, double utc);
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

#define AIM_HANDS_S 20.0    /* what hands need for a re-aim */
#define AIM_KEEP_OFF_S 30.0 /* no re-aim is planned this close to a contact */
struct aim_step {
    double utc;
    struct frame_point place;
    bool early; /* would have been due in the minute around a contact, and is done before it */
};
/* All aims of a night from `utc_from` to `utc_to`, each at the place of the longest stay and the
 * next one when the limb meets the margin; the first is the setting up, the others are re-aims. As
 * each stay is the longest, no level camera needs fewer. `keep_off` are the contacts that no re-aim
 * may disturb, rising, NaN for none. Returns how many there are, of which `most` are written; 0
 * where the Moon does not stay as long as a re-aim takes, or the track does not cover the span. */
int aim_plan(const struct rig *rig, const struct track *track, double utc_from, double utc_to,
             const double *keep_off, int keep_off_count, struct aim_step *steps, int most);

/* ---- power (budget.c) ---- */

enum { COLD_POINTS = 8, SWAPS = 32 };
#define SWAP_S 60.0       /* what hands need for a battery */
#define SWAP_RESERVE 0.1  /* of a battery's life that a plan does not touch but for totality */
#define LIVE_VIEW_DRAIN 3 /* times; Canon Rebel T6: 600 shots by the finder, 190 in live view */

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
    double swap_s;         /* SWAP_S, or what the user's hands need */
    int spares;            /* still full */
    double u2_utc, u3_utc; /* NaN: no totality */
    /* Spans in which the rig must not be touched: a wide rig's run, minutes around contacts. */
    const struct keep_span *off;
    int off_count;
};
struct swap {
    double utc;       /* when hands begin */
    double empty_utc; /* when the battery in use would be empty */
    bool in_totality; /* could not be kept out of it */
    bool late;        /* after that battery is empty: the rig may not be touched before */
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
 * inside. None ever touches a span in `off`: where no other instant is left the rig runs dry. */
void swap_plan_make(const struct swap_ask *ask, struct swap_plan *plan);

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
