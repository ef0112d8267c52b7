/* night: all that is known (night), all that a user or a device can do to it (act), all that is
 * true at one instant (moment).
 *
 *     setup + site + eclipse --> night      act --> night_apply(night, act)      night + utc -->
 * moment
 *
 * Every panel and every print reads from a moment and its night and nothing else. A resume after a
 * crash is the fold of the journal by night_replay; undo is an act that names the one it undoes.
 */
#ifndef MOONSTAND_NIGHT_H
#define MOONSTAND_NIGHT_H

#include <moonstand/eye.h>
#include <moonstand/field.h>

/* ---- setup: what the user wrote down before the night ---- */

enum { SITE_NAME = 64, THEME_NAME = 32, HOST_NAME = 48, FILE_PATH = 256 };
enum { SITES = 8, REMINDERS = 32, COMMAND_WORDS = 16, COMMAND_TEXT = 512 };

struct site {
    char name[SITE_NAME];
    double latitude_deg, longitude_deg, height_m;
    char zone[64];        /* a zone name, or empty for the system's */
    double pressure_hpa;  /* NaN: standard atmosphere at the height */
    double temperature_c; /* NaN: likewise */
    struct horizon horizon;
    char horizon_file[FILE_PATH]; /* that it was read from; empty: it stands in the setup */
    char forecast[FILE_PATH];     /* file with the place's forecast; empty: none */
};

/* A program and its arguments, to be run as they stand, without a shell. */
struct user_command {
    int count;               /* of the words; 0: no command */
    char text[COMMAND_TEXT]; /* the words one after the other, each with its '\0' */
};

/* Where temperature and humidity are read from: a file, a command, or (both empty) nothing. */
struct air_sensor {
    char file[FILE_PATH];
    struct user_command command;
    double every_s;
};

/* What a command of the user's can be told of. */
enum hook_event {
    HOOK_CONTACT, /* a contact, greatest or a moonrise or moonset has come */
    HOOK_ALARM,   /* the Moon met the margin of a rig */
    HOOK_WARNING, /* it will soon */
    HOOK_MISSED,  /* something passed while nobody was told */
    HOOK_SWAP,    /* a battery is due */
    HOOK_AIR,     /* the margin of a glass is gone, and nobody has said that it is dry or heated */
    HOOKS
};
/* "contact", "alarm", "warning", "missed", "swap", "air". */
const char *hook_event_name(enum hook_event event);

/* Whether what a setup names may be run: it came from a file that nobody but the user can change. */
enum { SETUP_DOUBT = 160 };
struct trust {
    bool may_run;
    char doubt[SETUP_DOUBT]; /* why not: which file or folder is at fault */
};
/* What takes the hands a known time. */
enum hands_kind { HANDS_AIM, HANDS_BATTERY, HANDS_CARD, HANDS_EXPOSURE, HANDS_KINDS };
/* Unless the setup says otherwise, s: 20, 60, 30, 10, with gloves on: common practice, no source. */
double hands_duration_s(enum hands_kind kind);

struct setup {
    bool has_site;
    struct site site; /* the active one */
    int site_count;
    struct site sites[SITES]; /* to choose from, by name */
    int rig_count;
    struct rig rig[RIGS];
    struct checklist checklist; /* the reminders at its end */
    int reminder_count;
    struct check_item reminder[REMINDERS];
    enum shadow_rule rule;
    char theme[THEME_NAME];
    enum hours hours;          /* of local time, for people; a key changes it */
    enum units units;          /* of the air, likewise */
    double danjon;             /* state of the air assumed at the start, 0 to 4 */
    double extinction_mag;     /* zenith extinction of the user's own; NaN: the table's */
    double glass_cooling_c;    /* of the front lens below air */
    char gpsd_host[HOST_NAME]; /* numeric loopback address; empty: no gpsd wanted */
    int gpsd_port;
    double hands_s[HANDS_KINDS]; /* what each act takes */
    struct air_sensor air;
    struct user_command hook[HOOKS];
    bool keep_awake; /* the laptop, through a live night */
    struct trust trust;
};
/* A site of the list; null where it has none of that name. */
const struct site *setup_site(const struct setup *setup, const char *name);

/* The rig of that index, 0 to RIGS - 1, without a setup: a wide and a long lens on tripods, and a
 * telescope on a mount at lunar rate. */
void rig_built_in(int index, struct rig *rig);

/* No site, the three built-in rigs, the default checklist, rule danjon, theme red, L 3, gpsd on
 * 127.0.0.1:2947, no sensor, no hooks, hands as hands_duration_s() has them. */
void setup_default(struct setup *setup);

/* One line of a setup as it is looked at and edited: a value, or a way to more lines. */
enum { ROW_PATH = 96, ROW_LABEL = 40, ROW_ALLOWED = 160, SETUP_ROWS = CHECK_ITEMS + 1 };
enum row_kind {
    ROW_VALUE,
    ROW_FOLDER, /* more lines stand below it */
    ROW_MORE    /* one more entry of a list is made here */
};
struct setup_row {
    enum row_kind kind;
    bool entry;            /* of a list: it can be taken out */
    char path[ROW_PATH];   /* "rigs[1].focal_mm" */
    char label[ROW_LABEL]; /* the last part of it, or an entry's number from 1 on */
    char value[FILE_PATH]; /* as it is typed; empty: left out */
    char allowed[ROW_ALLOWED];
};

/* ---- acts ---- */

enum { ACT_TEXT = 240, ACT_VALUES = 5 };

enum act_kind {
    ACT_CHECK,      /* text: item id; done: 1 or 0 */
    ACT_AIM,        /* rig; x, y: where the Moon stands in the frame */
    ACT_POINT,      /* rig; altitude_deg, azimuth_deg, roll_deg: a tripod's camera was pointed so */
    ACT_SEEN,       /* rig on a mount; x, y: where the Moon has drifted since the last aim */
    ACT_SNOOZE,     /* rig; seconds of quiet for the re-aim alarm */
    ACT_SITE,       /* latitude_deg, longitude_deg, height_m; text: "gps" or "hand" */
    ACT_TARGET,     /* rig; target: of the exposure */
    ACT_CORRECTION, /* rig; target; stops: brighter (+) than computed from now on */
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
    /* text: path and new value of the setup ("rigs[1].focal_mm 300"), which is in force already;
     * kept: number under which the session keeps the setup before it (NaN: it does not) */
    ACT_SETUP,
    ACT_UNDO, /* ref: sequence number of the act that no longer holds */
    /* decided by the program or a device; not undone by a key */
    ACT_BEGIN,   /* text: program version; a run of the program starts */
    ACT_END,     /* a run ends as the user wished */
    ACT_PAST,    /* text: item id; what was due before a rehearsal's start counts as done */
    ACT_ALARM,   /* rig; due_utc: the Moon met the margin */
    ACT_MISSED,  /* rig or -1; due_utc; text: what passed while nobody was told */
    ACT_SETTING, /* rig; shutter, iso, target: indices; the setting in force changes */
    ACT_CLOCK,   /* offset_s of the laptop's clock against GPS, as last measured */
    ACT_SENSOR,  /* temperature_c, humidity_percent: as ACT_AIR, by the sensor of the setup */
    /* from_utc, to_utc as the clock showed them: the laptop slept; clock_set_s: by how much the
     * clock was set forward in it (NaN: not set) */
    ACT_GAP,
    ACT_KINDS
};

/* How a kind is written down; the journal reads and writes by this table. */
struct act_form {
    const char *name; /* "check", "aim", ... */
    bool by_user;     /* may be undone by the undo key */
    bool has_rig;
    bool has_ref;
    bool has_text;
    int values;
    const char *value_name[ACT_VALUES];
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
    bool taken_back; /* kept by the night: an undo names it */
};
/* The row that an ACT_FORECAST tells. */
void act_forecast_row(const struct act *act, struct forecast_row *row);

/* ---- what devices say ---- */

enum gps_state {
    GPS_OFF,    /* not wanted by the setup */
    GPS_ABSENT, /* no gpsd there (yet, or again) */
    GPS_SILENT, /* connected, no report for more than 5 s */
    GPS_NO_FIX,
    GPS_FIX,  /* mode 2 or 3, fresh */
    GPS_STALE /* a fix, but older than 5 s */
};
const char *gps_state_name(enum gps_state state);

struct gps_reading {
    enum gps_state state;
    int mode;       /* 0 unknown, 1 none, 2 2-D, 3 3-D */
    int satellites; /* used; -1 unknown */
    double latitude_deg, longitude_deg;
    double height_m;       /* above the ellipsoid where known, else mean sea level; NaN unknown */
    double error_m;        /* horizontal, as gpsd estimates it; NaN unknown */
    double age_s;          /* of the fix; NaN none */
    double clock_offset_s; /* laptop minus GPS, median of the last fixes; NaN unknown */
    double clock_spread_s;
};

/* Whether the laptop is kept from falling asleep. */
enum awake { AWAKE_UNKNOWN, AWAKE_HELD, AWAKE_NOT };
/* "kept awake", "may sleep"; "" if that is unknown. */
const char *awake_name(enum awake awake);

enum { READINGS_TROUBLE = 120 };
struct readings {
    struct gps_reading gps;
    double battery_percent; /* the laptop's; NaN: none or unknown */
    double battery_left_s;  /* NaN: unknown or charging */
    bool battery_discharging;
    enum awake awake;
    int clock_synchronised;       /* the kernel's word: 1 yes, 0 no, -1 unknown */
    double clock_error_s;         /* kernel's estimate; NaN unknown */
    double card_free_bytes[RIGS]; /* NaN: not read, or no card there */
    bool card_absent[RIGS];       /* the setup names a place for it, and it is not there */
    double air_age_s;             /* of the sensor's last good reading; NaN: none */
    double temperature_c, humidity_percent;
    char air_trouble[READINGS_TROUBLE]; /* why the sensor tells nothing; empty where it does */
};
void readings_none(struct readings *readings);

/* ---- the night ---- */

enum night_event_kind {
    NIGHT_CONTACT, /* which: enum contact */
    NIGHT_SHADING, /* which: 0 first seen, 1 last seen (penumbral magnitude 0.6) */
    NIGHT_SKY,     /* which: enum sky_event_kind */
    NIGHT_FLIP,    /* of a rig's mount, when it is advised; which: 1 inside totality */
    NIGHT_LIMIT    /* of a rig's mount; which: enum night_limit */
};
enum night_limit { LIMIT_TOO_LOW, LIMIT_LOW_REACHED, LIMIT_TOO_HIGH, LIMIT_HIGH_REACHED };
struct night_event {
    enum night_event_kind kind;
    int which;
    int rig; /* -1: of none */
    double utc;
    bool moon_up; /* the Moon stands over the horizon profile then */
};
/* Short name: "U1", "greatest", "shading seen", "moonrise", "sunset" ... */
const char *night_event_name(const struct night_event *event);
/* Moonrise or moonset. */
bool night_event_is_horizon(const struct night_event *event);
/* True for events that people wait for: dusk, dawn and transits pass untold. */
bool night_event_counts(const struct night_event *event);

/* How a wide rig's camera stands on its tripod, and the Moon's way through its picture. */
struct pose {
    bool known;
    bool late; /* composed for what is left of the eclipse at since_utc */
    double since_utc;
    double altitude_rad, azimuth_rad, roll_rad;
    /* Between these the Moon is up and its limb inside the margin; -+INFINITY: past the computed sky.
     */
    double enters_utc, leaves_utc;
    bool rises, sets;                  /* it enters with moonrise, leaves with moonset */
    struct frame_point enters, leaves; /* where its centre is then */
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
    struct polar_estimate polar; /* derived from them; then in force in `rig` where it is told */
    double snoozed_until;        /* NaN: not */
    double alarm_utc;            /* due time of the last alarm raised or missed; NaN none */
    bool alarm_missed;
    double correction_stops[TARGETS]; /* as the user gave them; of auto: none */
    double umbra_utc;                 /* when that of the umbra was given; NaN: none */
    double umbra_left_stops;          /* derived: what of it the estimate of L does not explain */
    int frames;                       /* tapped by hand */
    bool heater_told, heater_on;      /* by a key; else as the setup has it */
    double battery_utc, card_utc;     /* last change; NaN none */
    int batteries_changed;
    double camera_behind_s; /* NaN unknown */
    bool has_setting;
    int shutter, iso; /* setting in force, as last journaled */
    enum target setting_target;
};

enum { NIGHT_EVENTS = 64, RUN_SAMPLES = 1300, SEGMENTS = 160 };
#define RUN_SAMPLE_S 30.0 /* between two samples of the run */

/* One rig's setting over a span of time. */
struct segment {
    double utc_from, utc_to;
    struct exposure exposure;
};

/* ---- rounds: when the hands set cameras (rounds.c) ---- */

enum { ROUNDS = 160, ROUND_SAMPLES = 2 * RUN_SAMPLES };
/* What rounds are looked for: exposures in thirds of a stop at samples evenly apart. */
struct rounds_ask {
    int count, rigs;            /* samples; rigs that are set by hand or not */
    const double *wanted[RIGS]; /* by sample; NaN: no frame is taken */
    double tolerance[RIGS];     /* thirds */
    const bool *kept_off;       /* by sample: no round there; null: anywhere */
    int apart;                  /* least samples between two rounds; 0: none */
};
/* The fewest rounds at which a change of settings keeps every rig within its tolerance of what it
 * wants: indices of samples. Where that cannot be, rounds as close as `apart` allows. Returns how
 * many; ROUNDS at most. */
int rounds_cut(const struct rounds_ask *ask, int rounds[ROUNDS]);

/* All rounds from P1 to P4. Rigs that a remote sets have none. */
struct rounds {
    int count;
    struct {
        double utc;
        bool touched[RIGS];
        struct exposure exposure[RIGS]; /* to be set; of the touched ones */
    } round[ROUNDS];
    struct exposure begins[RIGS]; /* set before the first frame; not known: no frame, or by remote */
    int set_count[RIGS];          /* settings of one rig, that one included */
    int settings;                 /* changes at rounds, of all rigs */
    int least;                    /* rounds if hands were quick and could come at any time */
    double worst_stops;           /* largest error of a setting against what is wanted */
};
/* The next setting of a rig after `utc` and its round, or one that came within the last minute; null:
 * none. */
const struct exposure *rounds_next(const struct rounds *rounds, int rig, double utc,
                                   double *round_utc);
/* What the hands have set on a rig at `utc`, at the last round or before the first frame; null:
 * nothing. */
const struct exposure *rounds_now(const struct rounds *rounds, int rig, double utc);

enum { UP_SPANS = 16 };

/* What one rig shoots: an intervalometer that runs while the Moon is up, from P1 to P4. */
struct shooting {
    double utc_from, utc_to; /* first and last shot; NaN: none */
    double interval_s;       /* the rig's, or more where the longest exposure asks for it */
    int longest_bracket;
    int span_count;
    struct card_span span[SEGMENTS + UP_SPANS];
};

/* How one rig frames the night, from P1 to P4 while the Moon is up. */
enum { AIM_STEPS = 400, RIG_LIMITS = 8 };
struct framing {
    bool known; /* what stands up to `early` is computed (night_follow, night_settle) */
    bool wide;  /* a wide rig on a tripod: */
    struct wide composition; /* the picture of the whole */
    struct span untouched;   /* in which it must not be touched: the part in use; NaN: none */
    struct pose whole;       /* the pointing of that picture, if its part fits */
    struct pose
        pose;    /* derived every few seconds: the one to take now, for the whole or for what is
                         left; not known: none holds more than the longest stay does */
    int re_aims; /* of a tripod after its setting up; -1: of a mount, or the Moon does not stay */
    int early;   /* of these, done before the minute around a contact */
    /* When they fall due, derived: from the one that is due next; before the rig is first aimed as if
     * that were done when the Moon is up. */
    double re_aims_since;
    int re_aim_count;
    double re_aim_utc[AIM_STEPS];

    bool flips; /* a mount's meridian flip falls due: */
    struct mount_flip flip;
    int limit_count;
    struct mount_limit limit[RIG_LIMITS]; /* the Moon crosses the mount's limits, by time */
};

/* Where the temperature comes from that batteries are reckoned with. */
enum cold_source { COLD_READING, COLD_FORECAST, COLD_SITE, COLD_UNKNOWN };
/* "reading", "forecast", "site" (the setup's), "unknown". */
const char *cold_source_name(enum cold_source source);

enum swap_reason {
    SWAP_RUNS_DOWN,       /* a tenth of the battery is left */
    SWAP_BEFORE_TOTALITY, /* moved ahead, to keep totality free */
    SWAP_AFTER_TOTALITY,  /* put off, likewise */
    SWAP_AT_RE_AIM,       /* moved to a re-aim, which it would else add to */
    SWAP_BESIDE_CONTACT,  /* moved off the minute around a contact */
    SWAP_IN_TOTALITY,     /* no other way */
    SWAP_TOO_LATE         /* after the battery is empty: no other way */
};
/* "runs down", "before totality", "after totality", "with the re-aim", "beside a contact",
 * "in totality", "too late". */
const char *swap_reason_name(enum swap_reason reason);

/* The power of one rig from an instant on. */
struct rig_power {
    /* Planned for: the coldest that is expected. Of an unknown temperature the coldest one between
     * `cold_c` and `warm_c` at which the batteries last (at `warm_c` they may not), so that no more is
     * asked for than is certain. Both are `temperature_c` if that is known. */
    double temperature_c, cold_c, warm_c;
    enum cold_source cold_from;
    double life_s;    /* of a full battery; INFINITY with an external supply; NaN unknown */
    double life_cold_s, life_warm_s;
    double full_utc;  /* when the one in use was full */
    double empty_utc; /* when it is empty; not finite: see life_s */
    int spares;       /* still full */
    struct swap_plan plan;
};

/* What the exposures of the eclipse depend on, sampled once per night from P1 to P4. */
struct run_sample {
    double utc;
    struct light light;
    double luminance;        /* of the sunlit disc at the camera, cd/m2; NaN: the Moon is down */
    double sun_altitude_rad; /* airless */
    struct sky_light sky;
    double drift_arcsec_per_s[RIGS];
};

/* A span in which the sky is brighter than the part of the Moon that a rig exposes for, so that
 * nothing of it is to be had: in twilight, or at night in an eclipse darker than the sky. */
struct lost_span {
    struct span span;
    enum target target; /* of the rig */
    bool twilight;      /* the Sun is less than 18 degrees down */
    bool to_end;        /* it lasts for as long as the Moon is up, or to P4 */
};
enum { LOST_SPANS = 6 };

/* The run of settings of one rig, from P1 to P4, in order, without overlap. */
struct run {
    int count;
    struct segment segment[SEGMENTS];
    int lost_count;
    struct lost_span lost[LOST_SPANS];
};

struct night {
    struct setup setup;
    struct eclipse eclipse;
    struct zone_table zone;
    int items_of_setup;            /* of the checklist; what follows them came by ACT_ITEM */
    struct forecast forecast_file; /* as it was read; empty: none */
    bool rehearsal;
    double pace; /* seconds of the night per second lived: 1, or faster in a rehearsal */
    double card_free_bytes[RIGS]; /* as the readings tell it; NaN: not read */

    /* folded from the acts */
    struct site site;
    char site_source[8]; /* "setup", "gps", "hand" */
    struct rig_state rig[RIGS];
    double checked_utc[CHECK_ITEMS]; /* NaN: open */
    struct forecast forecast;        /* the file's, with the hours that were told by hand */
    double danjon_rating;            /* as seen; NaN: none given */
    double later_utc[CHECK_ITEMS];   /* put off until then; NaN: not */
    double focus_utc;                /* last look at the focus; NaN none */
    double glass_utc;                /* last look at the glass, which was dry; NaN none */
    struct air_log air_log;
    bool cloud;
    double gap_from, gap_to; /* the last gap; NaN none */
    double clock_offset_s;   /* laptop minus GPS, as last written down; NaN none */

    /* derived from site, eclipse and setup, by night_follow */
    unsigned stale; /* what has to be computed again */
    struct observer observer;
    struct arc
        arc; /* covers [utc_from, utc_to]: the eclipse's night, or the day that is followed */
    double utc_from, utc_to;
    struct track track;                /* over the same span */
    struct track eclipse_track;        /* of the eclipse's night */
    double contact_utc[CONTACT_COUNT]; /* NaN where missing */
    double anchor_utc[ANCHORS];        /* what due times hang on; U2 and U3 fall to greatest where a
                                          partial eclipse has none; NaN where missing */
    bool left_out[CHECK_ITEMS];        /* items whose condition this night does not meet */
    /* contacts, shading, and the sky's events of the eclipse's night and of the day that is
     * followed */
    int event_count;
    struct night_event event[NIGHT_EVENTS];
    double danjon_state; /* state of the air in force: by test frame, by eye, or as set up */
    int danjon_rig;      /* rig whose test frame it comes from; -1: none */
    struct light_model light;
    int sample_count;
    struct run_sample sample[RUN_SAMPLES];
    struct run run[RIGS];
    struct rounds rounds;
    struct shooting shooting[RIGS];
    double advice_utc; /* of the advice below; NaN: none yet */
    struct aim advice[RIGS];
    double turned_stays_s[RIGS]; /* with the camera turned; NaN: of a mount */
    struct framing framing[RIGS];
    struct rig_power power[RIGS];
    struct air_trend air_trend;

    /* every act in order; owned, grown by night_apply */
    struct act *acts;
    size_t act_count, act_room;
    bool unfolded; /* an undo was replayed: the state is old until night_fold */
    int own_items; /* of the checklist, told in the night and not undone */
    uint64_t last_seq;
    double alive_utc; /* of a record: the last sign of life of its program; NaN: none */
};

/* Opens the night of an eclipse. `zone` is the table of local time for the site and the night.
 * Its contacts are known from here on (the Moon counts as up at them), all else that is derived by
 * night_follow. Returns -1 with a fault where there is no site. night_close frees what it owns; safe on a zeroed
 * night. */
int night_open(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
               const struct zone_table *zone, bool rehearsal, struct fault *fault);
void night_close(struct night *night);

/* Puts another setup (with what hangs on it) in the place of the night's and folds the acts again
 * over it. */
void night_take_setup(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
                      const struct zone_table *zone);
/* The same for the forecast that was read from a file. */
void night_take_forecast(struct night *night, const struct forecast *forecast);

/* Brings what is derived up to date: computes again what acts have made stale, and makes the sky's
 * arc and track cover `utc` (the eclipse's own night, greatest -+ 12 hours, where `utc` lies in it,
 * else the day after `utc`). Call it before moment_at; costs nothing where nothing has changed. */
void night_follow(struct night *night, double utc);
/* Computes what night_follow puts off: how the rigs frame the night costs some milliseconds each,
 * so that it does one by one in later calls and a first screen does not wait. */
void night_settle(struct night *night);

/* Adds an act and lets it take effect. An act without number gets the next one (written into
 * `act`); one that is already known (number not above the last) is ignored. Returns 0; 1 ignored;
 * -1 where the act makes no sense (unknown rig, item or target; value out of range) or memory is
 * out: then nothing has changed. */
int night_apply(struct night *night, struct act *act, struct fault *fault);
/* The same for an act of a record, but after an undo the state stays old until night_fold, so that a
 * whole record costs one fold, however much in it was undone. What only the state could tell then
 * (whether a rig is aimed, whether the forecast has room) was judged when it was recorded. */
int night_replay(struct night *night, struct act *act, struct fault *fault);
/* Folds what was replayed; night_follow does so, too. Costs nothing if there is nothing to fold. */
void night_fold(struct night *night);
/* What is allowed for a field of ACT_RIG; NaN where there is none of that name. */
void rig_field_range(const char *name, double *lowest, double *highest);
/* The last act that the undo key would take back; null where there is none. */
const struct act *night_last_undoable(const struct night *night);
/* The spans between P1 and P4 in which the Moon is up; how many. */
int up_spans(const struct night *night, struct span spans[UP_SPANS]);
/* The same up to another instant. */
int up_spans_to(const struct night *night, double to, struct span spans[UP_SPANS]);
/* The contacts that a pose holds from `utc` on; false if it holds none. */
bool pose_holds(const struct night *night, const struct pose *pose, double utc, enum contact *first,
                enum contact *last);
/* The power of a rig as it is planned at `utc`, from the last change of battery (or the first shot)
 * on: a swap that was planned and not done stands in the past. */
void rig_power_make(const struct night *night, int rig, double utc, struct rig_power *power);
/* Whether a change of battery or card costs a rig its aim: a long one on a tripod. It is then planned
 * with a re-aim, and further from totality. */
bool swap_costs_aim(const struct night *night, int rig);
/* When hands should change a card that is full at `full_utc`, as seen at `utc`. */
double card_swap_utc(const struct night *night, int rig, double utc, double full_utc);
/* Why a swap stands where it does. */
enum swap_reason swap_reason_of(const struct night *night, const struct rig_power *power,
                                const struct swap *swap);
/* What goes on a rig's card from `utc` on. `free_bytes`: as read from the card, NaN: reckoned from
 * its size and from what an intervalometer has shot since it was put in. False where neither is
 * known; `frames` is set all the same. */
bool rig_card_make(const struct night *night, int rig, double utc, double free_bytes,
                   struct card_budget *budget);
/* When a checklist item is due in this night (or put off to); NaN if it has no due time, or the night
 * leaves it out. Due times on sky and eve are known from night_follow on. */
double item_due_utc(const struct night *night, int item);
/* False for an item that this night leaves out: its condition is not met (another kind of eclipse,
 * the Moon is down) or what it hangs on does not exist. */
bool item_applies(const struct night *night, int item);
/* What people read for a group of the list: as check_group_name, without contacts that this eclipse
 * does not have: "before greatest", "at moonrise". */
const char *item_group_words(const struct night *night, enum check_group group);
/* "Moon lost in twilight until about 18:10", or a shorter form: `brevity` 0 (all of it) to
 * LOST_BREVITIES - 1. `until` is the end of its span as the reader has it. */
enum { LOST_BREVITIES = 3, LOST_WORDS = 80 };
char *lost_say(const struct lost_span *lost, const char *until, int brevity, char out[LOST_WORDS]);
/* What an act did: "long aimed again", "ticked: focus". People read hours and units as the setup
 * has them, in local time; for tools it is UTC, with degrees Celsius. */
enum readers { FOR_PEOPLE, FOR_TOOLS };
void act_describe(const struct night *night, const struct act *act, enum readers readers, char *out,
                  size_t size);

/* The eclipse to open at `utc` from a site: the next (or current) umbral eclipse whose umbral phase
 * is up at some time; `penumbral_from` also takes penumbral ones of at least that magnitude (NaN:
 * none). Returns false where there is none before the end of 2100. `site` null: seen from anywhere.
 */
bool eclipse_pick(const struct site *site, enum shadow_rule rule, double utc, double penumbral_from,
                  struct eclipse *eclipse);
/* Whether the Moon is up at some time between P1 and P4; `site` null: seen from anywhere. */
bool eclipse_is_seen(const struct eclipse *eclipse, const struct site *site);
/* The eclipse whose night it is at `utc`: one of any kind from P1 to P4, seen from the site or not;
 * after P4, as long as the checklist goes on, one that was up there at some time. `site` null: seen
 * from anywhere. False if there is none. */
#define NIGHT_AFTER_P4_S (12 * 3600.0)
bool eclipse_tonight(const struct site *site, enum shadow_rule rule, double utc,
                     struct eclipse *eclipse);
/* The eclipse with greatest on the UTC day that begins at `day_utc`; false where there is none. */
bool eclipse_of_day(double day_utc, enum shadow_rule rule, struct eclipse *eclipse);
/* The eclipse of any kind in progress at `utc` (P1 to P4), else the next: after the last one of 2100
 * the first of 2101. */
bool eclipse_current(double utc, enum shadow_rule rule, struct eclipse *eclipse);
void site_observer(const struct site *site, struct observer *observer);

/* ---- the moment ---- */

enum aim_state {
    AIM_FREE, /* never confirmed: nothing to warn about */
    AIM_STEADY,
    AIM_SOON,    /* within the warning time */
    AIM_DUE,     /* the limb has met the margin */
    AIM_SNOOZED, /* due, but quiet for a while */
    AIM_TRACKED, /* the mount follows */
    AIM_DOWN,    /* the Moon is not up */
    AIM_DONE     /* the rig's exposures are over */
};

/* What has happened to a picture whose re-aim is late. */
enum aim_loss {
    LOSS_NONE,   /* the Moon is inside the margin */
    LOSS_MARGIN, /* it is past the margin */
    LOSS_CUT,    /* the frame's edge cuts it */
    LOSS_GONE    /* it has left the frame */
};

struct rig_moment {
    struct exposure exposure;
    bool lost; /* the sky outshines what the exposure is for; then `lost_span` says from when to
                  when: NaN outside the eclipse */
    struct lost_span lost_span;
    double change_utc; /* next change of shutter or ISO; NaN none before P4 */
    struct exposure change_to;
    struct aim aim; /* NaN while the Moon is down */
    /* Of a wide rig: how its camera stands, or if it is to be aimed, how it should stand; null: none
     * is better than the longest stay. It belongs to the night. */
    const struct pose *pose;
    struct frame_point composed; /* the Moon's place in that picture now; NaN: not in it */
    enum aim_state aim_state;
    double leaves_in_s; /* of the confirmed aim; NaN where free */
    double due_in_s;    /* until it is to be aimed again: sooner where a contact is near */
    int due_before;     /* that contact; -1: none */
    enum aim_loss loss;
    double loss_utc;          /* since when; NaN: LOSS_NONE */
    double turned_stays_s;    /* placed_stays_s if the camera were turned; NaN: of a mount */
    bool hands_off;           /* a wide rig inside its picture of the whole */
    struct mount_drift drift; /* of a mount; NaN of a tripod */
    double flip_in_s;         /* until the advised flip, negative up to the last chance; NaN none */
    bool out_of_reach;        /* the Moon stands outside the mount's limits */
    bool heated;              /* a heater is on its lens */
    bool look_at_glass;       /* dew or frost is likely on it */
    struct frame_point moon_at;   /* of the confirmed aim: the Moon's centre now; NaN where free */
    struct frame_point path_exit; /* where it will be when the limb meets the margin */
};

/* What a rig lives on. */
struct kit_moment {
    double battery_empty_utc; /* of the one in use; NaN: never, or unknown */
    double swap_utc;          /* hands change it then; in the past: due; NaN: not tonight */
    enum swap_reason swap_reason;
    int batteries;   /* for the rest of the night, the one in use included; -1 unknown */
    bool external;   /* the batteries do not last: an external supply is wanted */
    bool card_known; /* false: of the card below only `frames` is known */
    bool card_absent;
    double card_utc; /* hands change it then; in the past: due; NaN: it holds all */
    struct card_budget card;
};

/* ---- what the hands must do (jobs.c) ---- */

/* Where several are due, in this order. */
enum job_kind {
    JOB_AIM,     /* a tripod loses the Moon */
    JOB_FLIP,    /* a mount has to be turned over */
    JOB_BATTERY, /* to be changed, likewise the card */
    JOB_CARD,
    JOB_GLASS,  /* dew or frost: look at it */
    JOB_LAPTOP, /* its battery is low */
    JOB_SETTING,
    JOB_ITEM,      /* of the checklist */
    JOB_FIRST_AIM, /* a tripod that was never aimed */
    JOB_KINDS
};
/* "aim", "flip", "battery", "card", "glass", "laptop", "setting", "item", "first aim". */
const char *job_kind_name(enum job_kind kind);

/* How a job stands, the most urgent first. */
enum job_state {
    JOB_ALARM,    /* the Moon has met the margin of a rig */
    JOB_PRESSING, /* comes so soon that other things stop for it */
    JOB_DUE,
    JOB_OVERDUE, /* an item of the list */
    JOB_UNAIMED,
    JOB_COMING
};
/* "alarm", "pressing", "due", "overdue", "unaimed", "coming". */
const char *job_state_name(enum job_state state);
struct job {
    enum job_kind kind;
    enum job_state state;
    int rig;          /* -1: no rig of its own */
    int item;         /* of the checklist; -1: none */
    double utc;       /* due then */
    double limit_utc; /* too late then: Moon, battery, card or mount are at their end; NaN */
    int before;       /* contact that moved a re-aim ahead (enum contact); -1: none */
    const struct exposure *set; /* of JOB_SETTING; lives as long as the night is not derived anew */
    int walk; /* index of the first job of those done with it in one go, at its rig or in one round;
                 its own where it is first */
};

enum urgency {
    URGENCY_FREE, /* nothing to do */
    URGENCY_SOON, /* a job presses, or the light runs */
    URGENCY_NOW,
    URGENCY_ALARM
};
/* "free", "soon", "now", "alarm". */
const char *urgency_name(enum urgency urgency);

/* Rounds that follow one another fast; none: `rounds` 0. */
struct rush {
    int rounds;
    double utc_from, utc_to;
    bool darker;
};

/* All that the hands must do now, and what comes next: decided once, read by everybody. */
enum { JOBS = 32 };
struct hands {
    enum urgency urgency;
    int count;
    struct job job[JOBS]; /* by state, then by kind where they are due, else by time */
    struct rush rush;     /* the fastest time of the light within the next minutes */
    double clash_utc;     /* more is due then than two hands can do; NaN: none */
};
/* The first job (or walk) that is not due yet and is not the first of all; null: none. */
const struct job *hands_next(const struct hands *hands);
/* The most urgent job of a kind at a rig (-1: of none); null: none. */
const struct job *hands_job(const struct hands *hands, enum job_kind kind, int rig);

struct moment {
    double utc, tt;
    bool leap_held; /* past the last announced leap second */
    struct sight moon, sun;
    bool rising;        /* Moon's altitude grows */
    double horizon_utc; /* next moonrise or moonset; NaN none in the night */
    bool horizon_is_rise;
    struct shadow shadow;
    enum phase phase;
    int next; /* index of the next event that counts (contact, shading, moonrise,
                 moonset); -1 none */
    struct light light;
    struct rig_moment rig[RIGS];
    double check_due_utc[CHECK_ITEMS]; /* NaN: no due time in this eclipse */
    int check_open, check_overdue;
    int check_next; /* most urgent open item with a due time; -1 none */
    struct kit_moment kit[RIGS];
    struct air_choice air_used; /* a reading or the forecast */
    struct air air;             /* of that */
    double air_age_s;           /* likewise; NaN: none */
    bool look_at_glass;         /* of one rig at least */
    double glass_quiet_utc; /* nothing is said of the glass until then: it was dry; NaN: never */
    struct air_trend air_trend;
    struct forecast_row forecast; /* of this instant */
    double forecast_age_s;        /* NaN: unknown, or none */
    bool forecast_old;
    double laptop_empty_utc; /* when its battery is; NaN: unknown, or on mains */
    bool laptop_short;       /* before P4 */
    int alarm_rig;           /* rig whose re-aim is due and not snoozed; -1 none */
    struct hands hands;
    struct readings readings;
};

/* All that is true at `utc`. Pure, no allocation. Where the night does not follow `utc`
 * (night_follow) the sky's fields are NaN. */
void moment_at(const struct night *night, const struct readings *readings, double utc,
               struct moment *moment);

/* Where to put the Moon: as the picture of the whole has it, else where it stays longest. */
struct frame_point advised_place(const struct rig_moment *rig);
/* The act of somebody who has aimed a rig as advised. */
struct act advised_aim(const struct rig_moment *moment, int rig);
/* Over the true horizon, but behind the site's own. */
bool behind_skyline(const struct sight *moon);
/* The Sun is over the true horizon or the site's own: what is said then before anything else. */
bool sun_warns(const struct sight *sun);
#define SUN_WARNING "Sun up: never point optics near it"
#define SUN_WARNING_SHORT "Sun: optics away" /* where that has no room */

/* ---- pictures (seen.c) ---- */

/* The rig that took a picture: the one whose `camera` is its serial number or model, else the only
 * one with its focal length; -1: not known. */
int picture_rig(const struct setup *setup, const struct metadata *metadata);
/* How large the Moon is in a picture's JPEG. The scale is that of `rig` (-1: none) if it was asked
 * for or its camera is named in the setup, else what the camera wrote, else the rig's again. False
 * if none of them is known. */
bool picture_moon_size(const struct setup *setup, int rig, bool asked,
                       const struct metadata *metadata, struct moon_size *size);

/* For so long after a dry look nothing is said of the glass: common practice, no source. */
#define GLASS_QUIET_S 1200.0
enum { GLASS_WORDS = 112 };
/* "dew likely: look at the glass", of which rigs where it is not all of them. Empty where no look is
 * asked for. */
char *glass_say(const struct night *night, const struct moment *moment, char out[GLASS_WORDS]);

/* How much brighter (+) a rig exposes a part at a moment than the setup and the eye's rating alone
 * would have it: its own correction, and for the umbra what test frames have told of the air. What
 * is still wanted there is added to this. */
double night_correction(const struct night *night, const struct moment *moment, int rig,
                        enum target target);

/* Acts that the program has to write down at this moment (alarms raised or missed, settings in
 * force, the laptop's clock against GPS). Returns how many were written; they are not yet applied.
 */
int night_decide(const struct night *night, const struct moment *moment, struct act *acts,
                 int most);
/* Acts that tell of a gap (from_utc, to_utc] in which nobody was told anything: the gap itself,
 * then what passed in it: contacts, shading, moonrise and moonset, flips and limits of the mounts,
 * open due items, in order. The re-aims follow from night_decide once the gap is applied.
 * `clock_set_s`: by how much the clock was set forward in it (0: not); what runs on the clock (aims,
 * quiet, the times of what was done) is then shifted with it. Returns how many acts were written;
 * NIGHT_MISSED are enough. */
enum { NIGHT_MISSED = 1 + NIGHT_EVENTS + CHECK_ITEMS };
int night_missed(const struct night *night, double from_utc, double to_utc, double clock_set_s,
                 struct act *acts, int most);

#endif
