/* night: what the pictures of the night show, as they land. */
#ifndef MOONSTAND_ALBUM_H
#define MOONSTAND_ALBUM_H

#include <moonstand/frame.h>

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

/* A part of the Moon in one picture, stops. NaN: unknown. */
struct tone_check {
    double reckoned_stops; /* over mid-grey, with the setting that the picture was taken with */
    double off_stops;      /* how much brighter (+) it came out */
};

/* One picture in which the Moon was looked for. Unknown is NaN. */
struct look_at_moon {
    double utc; /* when it landed, on the night's clock */
    bool found;
    struct frame_point place; /* NaN also if the camera is held otherwise than the rig's */
    double clipped;           /* share of the disc's pixels with a channel at its end */
    double limb_px, limb_least_px; /* width of its limb, and along its sharpest axis */
    struct tone_check lit, umbra;
    /* How much brighter (+) the umbra came out, where that is known to half a stop. */
    double umbra_off_stops;
    double danjon; /* state of the air that was reckoned with */
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
enum { ALBUM_SHOTS = 16, ALBUM_LOOKS = 24 };
struct album {
    bool folder_gone;
    /* Since the session began: frames (a raw file and its JPEG are one), the bytes of all their
     * files, and how many have a raw file. */
    double frames, bytes, raw;
    int count; /* of the last ones: newest first */
    struct shot shot[ALBUM_SHOTS];
    int look_count; /* likewise, of the last looks at the Moon */
    struct look_at_moon look[ALBUM_LOOKS];
    double best_limb_px;   /* the least median of five limbs so far; 0: fewer than five */
    bool fades;            /* its tones have fallen and not come back */
    bool faded_umbra;      /* those of the umbra, else of the lit part */
    double faded_from;     /* how much they were off before, stops */
    bool camera_known;     /* the full Moon was seen outside the umbra: */
    double camera_stops;   /* how much brighter (+) this camera's tones are than reckoned */
    int why_not;           /* why the Moon could not be looked for in the last picture (enum
                              seen_state); 0: it could */
};
void album_add(struct album *album, const struct shot *shot);
void album_look(struct album *album, const struct look_at_moon *look);

/* Whether a picture landed as soon after it was taken as the last one: else what it shows may be long
 * past. To be asked before that picture is added. */
bool landed_at_once(const struct album *album, const struct seen *seen);
/* A picture as it is held against the night, likewise. False if the Moon was not looked for in it. */
bool look_make(const struct night *night, const struct moment *moment, int rig,
               const struct seen *seen, double utc, struct look_at_moon *look);

/* A camera whose full Moon is so far off has a curve of which no more is known (a flat profile). */
#define CAMERA_ODD_STOPS 0.5

/* A frame as it is held against the night: `moment` is that of its landing, or so little later that
 * nothing else is asked for. */
void shot_make(const struct night *night, const struct moment *moment, int rig,
               const struct seen *seen, double utc, struct shot *shot);

/* What the looks at the Moon tell that the hands should know. */
enum look_news {
    LOOKS_QUIET,
    LOOKS_NO_MOON, /* not found three times */
    LOOKS_CLOUD,   /* the pictures of all rigs fade */
    LOOKS_DEW,     /* those of this one alone */
    LOOKS_FADE,    /* either: only this one is looked at */
    LOOKS_SMEARED, /* soft along one axis alone */
    LOOKS_SOFT     /* the limb is LIMB_SOFT times as wide as at the night's best */
};

/* What the looks tell of a tripod's aim. */
enum spot_kind {
    SPOT_NONE, /* nothing that counts */
    SPOT_FITS, /* the Moon is where the aim has it */
    SPOT_MOVED /* elsewhere, in two pictures that agree along its drift; or the rig is not aimed */
};
struct moon_spot {
    enum spot_kind kind;
    struct frame_point place; /* at this instant, as the last look has it */
    double off;               /* distance from where the aim has it, of the frame's height; NaN */
};

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
    /* A trial from here on: tested on made-up pictures alone. */
    bool looked; /* the Moon was looked for in one at least: the album's look[0] */
    enum look_news looks;
    double limb_px; /* median of the last five looks; NaN: fewer */
    struct moon_spot spot;
    /* When the reckoning would have given the alarm that an aim by pictures has put off within the
     * last minute; NaN: none. */
    double put_off_utc;
    /* How much brighter (+) the umbra is than expected, by the last looks and with the corrections in
     * force, if that is worth a correction; else NaN. It is taken by a key, never by itself. */
    double umbra_stops;
};
#define LIMB_SOFT 1.5
/* How far a setting dialled by hand may be off before it is reported: two thirds of a stop, less
 * the rounding of the labels. */
#define SETTING_OFF_STOPS 0.6
/* A camera's clock that is off by more than this is reported; transfers take less. */
#define CAMERA_CLOCK_OFF_S 15.0

#endif
