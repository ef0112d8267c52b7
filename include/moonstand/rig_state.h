/* night: what is known of a rig: how it is aimed and set, its pictures, battery, card and clock. */
#ifndef MOONSTAND_RIG_STATE_H
#define MOONSTAND_RIG_STATE_H

#include <moonstand/framing.h>
#include <moonstand/mount.h>

/* Pictures that have landed since the session began. */
struct pictures_count {
    double frames, bytes, raw; /* raw: frames with a raw file */
    double last_utc;           /* NaN: none yet */
};

/* What the hands have set on a camera. */
struct dial {
    bool known;
    int shutter, iso; /* as of struct exposure */
    int frames;       /* of a bracket; else 1 */
};

struct rig_state {
    struct rig rig; /* as the live screen has changed it */
    bool aimed;
    double aimed_utc;
    bool pointed;                /* by the angles of `pose`; else with the Moon at `aimed_at` */
    struct frame_point aimed_at; /* NaN: the Moon is not in the frame then */
    struct pose pose;            /* of a tripod that is aimed; derived but for the angles */
    struct pointing pointing;    /* derived: the same as axes */
    double ends_utc;             /* derived: no exposure and no re-aim from then on */
    double leaves_utc;           /* derived: the Moon's limb meets the margin */
    double cut_utc, gone_utc;    /* derived: the frame's edge cuts it; all of it is outside */
    /* derived: to be aimed again, early where a contact is near (aim_due); INFINITY: never, for the
     * Moon stays until the rig ends or the Moon sets */
    double due_utc;
    int due_before;              /* derived: that contact (enum contact); -1: none */
    struct mount_seen seen[2];   /* of a mount: as it was aimed, and later; utc NaN: not */
    struct polar_estimate polar; /* derived from them; used in `rig` once noted */
    double made_utc;      /* when the aim was made that `aimed_utc` and `aimed_at` may correct */
    double over_due_utc;  /* of the re-aim that was near when pictures aimed it anew; NaN: none */
    double snoozed_until; /* NaN: not */
    double flipped_utc;   /* when its mount was turned over; NaN: not in this night */
    double alarm_utc;     /* due time of the last alarm raised or missed; NaN none */
    double correction_stops[TARGETS]; /* as the user gave them; of auto: none */
    double umbra_utc;                 /* when that of the umbra was given; NaN: none */
    double umbra_left_stops;          /* derived: what of it the estimate of L does not explain */
    int frames;                       /* tapped by hand */
    struct pictures_count pictures;   /* that have landed, as last written down */
    struct pictures_count on_card;    /* of them, when the card was changed last */
    double counted_utc;               /* when that was; NaN */
    double stopped_utc;               /* since when no picture came, as last written down; NaN */
    double picture_behind_s;          /* camera_behind_s by its pictures; NaN unknown */
    bool heater_told, heater_on;      /* by a key; else as the setup has it */
    double battery_utc, card_utc;     /* last change; NaN none */
    int batteries_changed;
    double camera_behind_s; /* NaN unknown */
    struct dial dial;       /* setting in force, as last journaled */
    double set_utc;         /* when that was; NaN */
    enum target setting_target;
};

#endif
