/* night: what a user or a device can do to a night. */
#ifndef MOONSTAND_ACT_H
#define MOONSTAND_ACT_H

#include <stdbool.h>
#include <stdint.h>

struct forecast_row;

enum { ACT_TEXT = 360, ACT_VALUES = 5 };

enum act_kind {
    ACT_CHECK,      /* text: item id; done: 1 or 0 */
    ACT_AIM,        /* rig; x, y: where the Moon is in the frame */
    ACT_POINT,      /* rig; altitude_deg, azimuth_deg, roll_deg: a tripod's camera was pointed so */
    ACT_SEEN,       /* rig on a mount; x, y: where the Moon has drifted since the last aim */
    ACT_SNOOZE,     /* rig; seconds of quiet for the re-aim alarm */
    ACT_FLIP,       /* rig: its mount was turned over at the meridian */
    ACT_SITE,       /* latitude_deg, longitude_deg, height_m; text: "gps" or "hand" */
    ACT_TARGET,     /* rig; target: of the exposure */
    /* rig; target; stops: brighter (+) than computed from now on; by: stops by which the dial was
     * made brighter then; NaN: it is at what was wanted then, by a test frame */
    ACT_CORRECTION,
    ACT_DANJON,     /* l: rating of what is seen, by eye */
    ACT_RIG,  /* rig; text: field (filter_stops, extender, f_number, portrait, interval_s); value */
    ACT_NOTE, /* text */
    ACT_FRAME,        /* rig: a frame was taken by hand */
    ACT_CLOUD,        /* came: 1 or 0 */
    ACT_AIR,          /* temperature_c, humidity_percent */
    ACT_BATTERY,      /* rig: battery changed */
    ACT_CARD,         /* rig: card changed */
    ACT_GLASS,        /* the front lenses were looked at and are dry */
    ACT_HEATER,       /* rig; on: 1 or 0: the heater on its lens */
    ACT_CAMERA_CLOCK, /* rig; behind_s: UTC minus what the camera shows */
    ACT_LATER,        /* text: item id; seconds by which it is put off, from now */
    ACT_ITEM,         /* text: to do; due_utc (NaN: whenever): one more item of the checklist */
    ACT_FORECAST, /* for_utc, cloud_percent, temperature_c, humidity_percent, wind_m_s: an hour of
                   * the forecast (unknown: NaN; all of them: that hour is taken out) */
    /* text: a value of the setup and what was typed for it ("rigs[1].focal_mm 300"); with nothing
     * after the blank it is left out, without a blank an entry of a list is taken out */
    ACT_SETUP,
    /* planned_utc, acts: the round that was planned for then is done, sooner, later or in time; the
     * last `acts` entries before it are what was done in it, and are undone with it */
    ACT_ROUND,
    ACT_UNDO, /* ref: sequence number of the act that no longer holds */
    /* decided by the program or a device; not undone by a key */
    /* text: program version; anew: 1: what the setup was changed to before is part of the one that
     * the night begins with; 0: it goes on; a run of the program starts */
    ACT_BEGIN,
    ACT_END,     /* a run ends as the user wished */
    ACT_PAST,    /* text: item id; what was due before a rehearsal's start counts as done */
    ACT_ALARM,   /* rig; due_utc: the Moon met the margin */
    ACT_MISSED,  /* rig or -1; due_utc; text: what was due while nobody watched */
    ACT_SETTING, /* rig; shutter, iso, target: indices, frames of a bracket; the setting in force
                  * changes */
    ACT_CLOCK,   /* offset_s of the laptop's clock against GPS, as last measured */
    ACT_SENSOR,  /* temperature_c, humidity_percent: as ACT_AIR, by the sensor of the setup */
    /* from_utc, to_utc as the clock showed them: the laptop slept; clock_set_s: by how much the
     * clock was set forward in it (NaN: not set) */
    ACT_GAP,
    /* rig; frames, bytes, raw (those with a raw file): pictures that have landed since the session
     * began; last_utc: the last of them */
    ACT_PICTURES,
    ACT_STOPPED,       /* rig; since_utc: no picture since then, and there should be */
    ACT_PICTURE_CLOCK, /* rig; behind_s: as ACT_CAMERA_CLOCK, by when its pictures landed */
    /* rig; x, y: where pictures have the Moon, so that the rig is aimed; due_utc: of the re-aim that was
     * due by then or within a minute (NaN: none) */
    ACT_SPOTTED,
    /* likewise, within the aim that was made at since_utc: its place corrected; undone with it */
    ACT_PLACE,
    ACT_KINDS
};

/* What an act has besides its values. */
enum { BY_USER = 1 /* may be undone by the undo key */, HAS_RIG = 2, HAS_REF = 4, HAS_TEXT = 8 };

struct act_value {
    const char *name;
    double lowest, highest; /* the same: whatever it is, and unknown, too */
};

/* How a kind is written down; the journal reads and writes by this. */
struct act_form {
    const char *name; /* "check", "aim", ... */
    unsigned has;
    struct act_value value[ACT_VALUES + 1]; /* the first without a name ends them */
};
const struct act_form *act_form(enum act_kind kind);
/* Whether a value of this name is an instant, UTC: "due_utc". */
bool act_value_is_instant(const char *name);

struct act {
    uint64_t seq; /* rising by one from 1 in a session; 0: not yet numbered */
    double utc;
    double boot_s; /* seconds since boot when it happened; NaN unknown */
    enum act_kind kind;
    int rig; /* -1: none */
    uint64_t ref;
    double value[ACT_VALUES];
    char text[ACT_TEXT];
    bool undone; /* kept by the night: an undo names it */
};
/* The forecast row of an ACT_FORECAST. */
void act_forecast_row(const struct act *act, struct forecast_row *row);

#endif
