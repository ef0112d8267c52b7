/* photo: what to set on a camera. */
#ifndef MOONSTAND_EXPOSURE_H
#define MOONSTAND_EXPOSURE_H

#include <moonstand/light.h>
#include <moonstand/rig.h>
#include <moonstand/sky_light.h>

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
    bool one_frame_holds_both; /* range within ONE_FRAME_STOPS */
    bool vibration_risk;       /* 1/60 to 1/2 s on a lens of 200 mm or more (exposure.c) */
};

/* From clean highlights to usable shadows in raw: common practice, no source. */
#define ONE_FRAME_STOPS 7.0

/* What to set. Meter equation, placements and the way from a needed exposure to shutter and ISO:
 * exposure.c. No allocation. */
void exposure_choose(const struct rig *rig, const struct exposure_ask *ask,
                     struct exposure *exposure);
/* True where the same is to be dialled, whatever it is for. */
bool exposure_same_dial(const struct exposure *a, const struct exposure *b);
/* True where the same is to be dialled for the same target. */
bool exposure_same(const struct exposure *a, const struct exposure *b);
/* Takes what is dialled from another one, with its frames, blur and risk of vibration. */
void exposure_take_dial(struct exposure *exposure, const struct exposure *set);
/* What is dialled, in thirds of a stop: more is more light on the sensor. */
int exposure_thirds(const struct exposure *exposure);

#endif
