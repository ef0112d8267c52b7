/* photo: what to set on a camera. */
#ifndef MOONSTAND_EXPOSURE_H
#define MOONSTAND_EXPOSURE_H

#include <moonstand/light.h>
#include <moonstand/rig.h>
#include <moonstand/sky_light.h>

/* The frame of a bracket whose setting is shown. */
enum bracket_shown {
    BRACKET_FIRST, /* a remote sets every frame, starting with this one */
    BRACKET_MIDDLE /* the camera brackets around this one, which is dialled */
};

/* The longest shutter on an unguided mount before ISO goes beyond the rig's comfort: common
 * practice, no source. */
#define UNGUIDED_S 4.0
enum exposure_limit { LIMITED_NONE, LIMITED_BLUR, LIMITED_ISO };
/* "none", "blur", "iso". */
const char *exposure_limit_name(enum exposure_limit limit);

/* What an exposure depends on. */
struct exposure_ask {
    enum phase phase;
    struct light light;    /* of this instant */
    double luminance;      /* sunlit disc at the camera, after extinction, cd/m2; NaN: Moon down */
    struct sky_light sky;  /* in front of the Moon, and on the foreground */
    double drift_px_per_s; /* of the Moon over the sensor; 0 if the mount follows */
    double correction_stops[TARGETS]; /* from test frames, + is brighter; bracket and auto use those
                                         of the lit part and the umbra, the bracket's own shifts all
                                         its frames */
};

struct exposure {
    enum target target; /* resolved: never TARGET_AUTO */
    bool known;         /* false if the target has no light (no umbra yet, Moon down); then only
                           target, f_number and the range are set */
    int shutter, iso;   /* what to dial, indices of the series; for a bracket see bracket_shown */
    int shutter_last, iso_last; /* of a bracket's longest frame; else the same */
    double shutter_s;           /* exact, of `shutter` */
    double f_number;
    double blur_px; /* drift during the (longest) exposure */
    enum exposure_limit limited_by;
    double deficit_stops; /* light missing at the ISO limit, in a bracket for the umbra in its last
                                frame; negative: too bright at the shortest and lowest, in a bracket
                                its first frame; 0 if it fits */
    double correction_stops; /* in force */
    /* Wanted, before rounding and limits: log2(N^2/t) at ISO 100, smooth in time; for a bracket's
     * first frame. */
    double ev100;
    int bracket_frames; /* 1 if there is no bracket */
    double bracket_step_stops;
    enum bracket_shown bracket_shown; /* which frame `shutter` and `iso` are */
    double
        bracket_missing_stops; /* the part of the deficit that is due to the setup's limits on frames
                                     and steps */
    /* How much brighter the sky is than the targeted part of the Moon; negative: darker. NaN for
     * the foreground, or if the target has no light. */
    double sky_stops;
    double range_stops;        /* between the lit part and the umbra; NaN if only one exists */
    bool one_frame_holds_both; /* range within ONE_FRAME_STOPS */
    bool vibration_risk;       /* 1/60 to 1/2 s on a lens of 200 mm or more (exposure.c) */
};

/* From clean highlights to usable shadows in raw: common practice, no source. */
#define ONE_FRAME_STOPS 7.0

/* Stops between two frames of a rig's brackets: what its setup asks for, in whole thirds as on a dial. */
double rig_bracket_step(const struct rig *rig);
/* Chooses the setting. Meter equation and the split into shutter and ISO: exposure.c. */
void exposure_choose(const struct rig *rig, const struct exposure_ask *ask,
                     struct exposure *exposure);
/* Whether the dials are the same, for any target. */
bool exposure_same_dial(const struct exposure *a, const struct exposure *b);
/* Whether the dials and the target are the same. */
bool exposure_same(const struct exposure *a, const struct exposure *b);
/* Takes what is dialled from another one, with its frames, blur and risk of vibration. */
void exposure_take_dial(struct exposure *exposure, const struct exposure *set);
/* The dialled exposure in thirds of a stop; more is brighter. */
int exposure_thirds(const struct exposure *exposure);

#endif
