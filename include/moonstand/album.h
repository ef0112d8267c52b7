/* night: what the pictures of the night show, as they land. */
#ifndef MOONSTAND_ALBUM_H
#define MOONSTAND_ALBUM_H

#include <moonstand/aim.h>
#include <moonstand/rig.h>

#include <stdbool.h>

struct moment;
struct night;
struct seen;

/* One frame. Unknown is NaN. */
struct shot {
    double utc; /* when it landed, on the night's clock */
    double shutter_s, iso;
    double off_stops; /* how much brighter (+) it was taken than what is asked for */
    double behind_s;  /* UTC minus what the camera's clock showed, if it landed at once */
};

/* One picture in which the Moon was looked for and found. */
struct look_at_moon {
    double utc; /* when it landed, on the night's clock */
    struct frame_point place;
    double clipped; /* share of the disc's pixels with a channel at its end; NaN */
    double limb_px; /* width of its limb; NaN: not measured */
};

/* Who watches the folders of pictures. */
enum eye_state {
    EYE_OFF, /* no rig names a folder, or nothing may be recorded */
    EYE_WATCHES,
    EYE_SILENT, /* no sign of life for EYE_SILENT_S */
    EYE_ENDED
};
/* The watcher gives a sign of life every EYE_ALIVE_S. */
#define EYE_ALIVE_S 15.0
#define EYE_SILENT_S 60.0

/* The pictures of one rig. */
enum { ALBUM_SHOTS = 16, ALBUM_LOOKS = 5 };
struct album {
    bool folder_gone;
    /* Since the session began: frames (a raw file and its JPEG are one), the bytes of all their
     * files, and how many have a raw file. */
    double frames, bytes, raw;
    int count; /* of the last ones: newest first */
    struct shot shot[ALBUM_SHOTS];
    int look_count; /* likewise, of the last looks at the Moon */
    struct look_at_moon look[ALBUM_LOOKS];
    double best_limb_px; /* the least median of five limbs so far; 0: fewer than five */
};
void album_add(struct album *album, const struct shot *shot);
/* Adds what a picture shows of the Moon; nothing if it was not found. */
void album_look(struct album *album, const struct seen *seen, double utc);

/* A frame as it is held against the night: `moment` is that of its landing, or so little later that
 * nothing else is asked for. */
void shot_make(const struct night *night, const struct moment *moment, int rig,
               const struct seen *seen, double utc, struct shot *shot);

/* What the pictures of a rig tell at one instant. */
struct album_moment {
    bool watched;     /* the rig names a folder */
    double last_utc;  /* when the last frame landed; NaN: none yet */
    bool stopped;     /* frames came, and no more do while they should */
    double since_utc; /* since when none came that should have; NaN: not stopped */
    /* Of the last two frames, that which is nearer to what is asked for, if both are off by
     * SETTING_OFF_STOPS on the same side; else 0. */
    double off_stops;
    double behind_s;      /* UTC minus what the camera shows, by the last frames; NaN: unknown */
    double clock_error_s; /* of that what is no time zone: + is slow; NaN: unknown */
    /* A trial: tested on made-up pictures alone. It changes nothing in the night. */
    bool looked;    /* the Moon was found in one at least: the album's look[0] */
    double limb_px; /* median of the last five looks; NaN: fewer */
    bool soft;      /* that is over LIMB_SOFT times the night's best */
};
#define LIMB_SOFT 1.5
/* How far a setting dialled by hand may be off before it is reported: two thirds of a stop, less
 * the rounding of the labels. */
#define SETTING_OFF_STOPS 0.6
/* A camera's clock that is off by more than this is reported; transfers take less. */
#define CAMERA_CLOCK_OFF_S 15.0

#endif
