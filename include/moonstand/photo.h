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
    TARGET_AUTO,       /* lit until U2, umbra in totality, lit from U3 */
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
    double placement_stops;              /* tone of the target against mid-grey; + is brighter */
    double blur_limit_px;                /* drift allowed during one exposure */
    double shutter_min_s, shutter_max_s; /* what the camera's dial offers */
    int bracket_frames;                  /* most frames of one bracket */
    double bracket_step_stops;
    bool remote_exposure; /* the remote can change the exposure between frames */
    double filter_stops;  /* light lost in a filter, stops */
    double extender;      /* factor on focal length and f-number: 1.4 extender, 0.8 reducer */

    bool portrait;        /* camera turned by 90 degrees */
    double margin;        /* fraction of the frame's height kept free at its edge */
    double aim_tolerance; /* fraction of the frame's height by which hands miss */
    double warn_s;        /* warning ahead of the re-aim */
};

/* A rig with the defaults of the house: 36x24 mm, 5.9 micrometres, ISO 100 to 6400, interval 10 s,
 * margin and tolerance 5 %, blur 1 px; name, lens and optics are left for the caller. */
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
/* Third-stop steps of shutter and ISO as cameras label them: index 0 is 1 s, + is longer.
 * Exact time is 2^(index/3) s; label as printed on cameras ("1/60", "0.6", "2"). */
int shutter_index(double seconds); /* nearest step */
double shutter_seconds(int index); /* exact */
char *shutter_label(int index, char out[SHUTTER_LABEL]);
/* ISO: index 0 is 100. Exact is 100 * 2^(index/3), label as printed (100 125 160 200 ...). */
int iso_index(double iso);
double iso_exact(int index);
int iso_label(int index);

/* ---- air in the way (extinction.c) ---- */

/* Extinction in magnitudes for an apparent altitude and a site height: Green 1992 components with
 * Rozenberg's air mass, average conditions. `zenith_mag` > 0 replaces the zenith coefficient by the
 * user's own; NaN takes the table. */
double extinction_mag(double altitude_rad, double height_m, double zenith_mag);
double extinction_zenith_mag(double height_m);

/* ---- exposure (exposure.c) ---- */

/* Luminance of full sunlit Moon above the atmosphere, cd/m2, for phase angle and distances. */
double moon_luminance(double phase_angle_rad, double sun_distance_km);

enum exposure_limit { LIMITED_NONE, LIMITED_BLUR, LIMITED_ISO };
/* "none", "blur", "iso". */
const char *exposure_limit_name(enum exposure_limit limit);

/* What the exposure of one rig at one instant depends on. */
struct exposure_ask {
    enum phase phase;
    struct light light;      /* of this instant */
    double luminance;        /* sunlit disc at the camera, cd/m2: above the air times extinction */
    double drift_px_per_s;   /* of the Moon over the sensor; 0 where the mount follows */
    double sun_altitude_rad; /* for the foreground target */
    double correction_stops[TARGETS]; /* user's test frames, + is brighter */
};

struct exposure {
    enum target target; /* resolved: never TARGET_AUTO */
    bool known;         /* false where the target has no light (no umbra yet, Moon down) */
    int shutter, iso;   /* indices of the series */
    double shutter_s;   /* exact */
    double f_number;
    double blur_px; /* drift during the exposure */
    enum exposure_limit limited_by;
    double deficit_stops;    /* missing past the ISO limit; 0 where none */
    double correction_stops; /* in force */
    int bracket_frames;      /* 1 where one frame does */
    double bracket_step_stops;
    double range_stops;        /* between the lit part and the umbra; NaN where only one exists */
    bool one_frame_holds_both; /* range within what one frame can hold (stated in exposure.c) */
    bool vibration_risk;       /* 1/2 to 1/60 s on a long lens */
};

void exposure_choose(const struct rig *rig, const struct exposure_ask *ask,
                     struct exposure *exposure);

/* ---- framing and drift (frame.c, aim.c) ---- */

/* A point of the frame as fractions of its width and height from its centre, right and up positive.
 */
struct frame_point {
    double x, y;
};

/* A camera's pointing, as a frame in the horizontal system. */
struct pointing {
    struct vec3 axis, right, up; /* unit vectors, east-north-up */
};
/* Level camera (roll zero), looking at an altitude and azimuth. */
void pointing_level(double altitude_rad, double azimuth_rad, struct pointing *pointing);
/* Gnomonic projection; false where the direction lies behind the camera. */
bool frame_project(const struct rig *rig, const struct pointing *pointing, struct vec3 direction,
                   struct frame_point *point);
/* The pointing (level) that puts `direction` at `point` of the frame. */
void pointing_for(const struct rig *rig, struct vec3 direction, struct frame_point point,
                  struct pointing *pointing);

/* The Moon's way as seen by the camera: sampled once per night, interpolated at need. */
enum { TRACK_POINTS = 1500 };
struct track {
    double utc_from, step_s;
    int count;
    struct vec3 enu[TRACK_POINTS]; /* refracted direction */
    double semidiameter_rad[TRACK_POINTS];
};
/* Samples every minute of [utc_from, utc_to], at most 25 h. */
void track_make(struct track *track, const struct arc *arc, const struct observer *observer,
                double utc_from, double utc_to);
/* Direction at an instant (unit vector); x is NaN outside the span. */
struct vec3 track_direction(const struct track *track, double utc);
double track_semidiameter(const struct track *track, double utc);
/* Apparent angular speed against the fixed ground, arcsec/s. */
double track_speed_arcsec_per_s(const struct track *track, double utc);

/* How a rig stands to the Moon at one instant. */
struct aim {
    double drift_arcsec_per_s; /* over the sensor: fixed, sidereal or lunar as the rig is */
    double drift_px_per_s;
    double centred_stays_s;   /* until the limb meets the margin, centred now */
    struct frame_point place; /* where to put the Moon now so that it stays longest */
    double placed_stays_s;
};
/* `until` bounds every stay (the end of what is being photographed). */
void aim_advise(const struct rig *rig, const struct track *track, double utc, double until,
                struct aim *aim);
/* Instant at which the Moon's limb meets the margin for a camera aimed at `aimed_utc` with the Moon
 * at `place`; +INFINITY past the track's end; `aimed_utc` itself where it is already outside. Also
 * where the Moon's centre is in the frame at `utc` (null: not wanted). */
double aim_leaves(const struct rig *rig, const struct track *track, double aimed_utc,
                  struct frame_point place, double utc, struct frame_point *now);

#endif
