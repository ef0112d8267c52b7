/* field: dew and frost, the checklist, who needs a hand when. */
#ifndef MOONSTAND_FIELD_H
#define MOONSTAND_FIELD_H

#include <moonstand/photo.h>

/* ---- when an item is due (due.c) ---- */

/* Instants of a night that an item can hang on: the contacts, each with the value that it has as
 * enum contact, and these. */
enum anchor {
    ANCHOR_START = CONTACT_COUNT, /* P1, or the rise of a Moon that rises eclipsed */
    ANCHOR_END,                   /* P4, or the set of a Moon that sets eclipsed */
    ANCHOR_SUNSET,                /* the last before the end */
    ANCHOR_SUNRISE,               /* the first after the start */
    ANCHOR_MOONRISE,              /* the last before the start, or the start itself */
    ANCHOR_MOONSET,               /* the end itself, or the first after it */
    ANCHOR_EVE,                   /* 19:00 local time, the evening before */
    ANCHORS
};
/* "P1" ... "P4", "start", "end", "sunset", "sunrise", "moonrise", "moonset", "eve". */
const char *anchor_name(enum anchor anchor);

struct due_term {
    enum anchor anchor;
    double offset_s;
};
/* "U1-30m"; "start-2h, by sunset-40m": the earlier of the two; "start-40m, from moonrise+3m": the
 * later of the two. */
struct due {
    struct due_term at, by, from;
    bool has_by, has_from;
};
enum { DUE_TEXT = 128 };
/* -1 with a fault, and nothing changed, where the text is anything else. */
int due_parse(const char *text, struct due *due, struct fault *fault);
/* The text that due_parse reads as the same. */
char *due_format(char out[DUE_TEXT], const struct due *due);
bool due_is_same(const struct due *a, const struct due *b);
/* Where it falls with these anchors (NaN: the night has none). `by` and `from` without an anchor
 * change nothing; NaN where the instant itself has none. */
double due_utc(const struct due *due, const double anchor_utc[ANCHORS]);

/* Conditions of an item, or-ed; 0: it is on the list of every night. */
enum {
    WHEN_TOTAL = 1, /* of the three kinds, one of those that are named */
    WHEN_PARTIAL = 2,
    WHEN_PENUMBRAL = 4,
    WHEN_MOON = 8,   /* it is due from WHEN_MOON_SINCE_S after moonrise until moonset */
    WHEN_SUN = 16,   /* the Sun is up at some time of the work at the site */
    WHEN_NO_SUN = 32 /* it is not */
};
#define WHEN_MOON_SINCE_S 600.0
enum { WHEN_TEXT = 48 };
/* Words "total", "partial", "penumbral", "moon", "sun", "no-sun" between blanks or commas. -1 with a
 * fault where there is another. */
int when_parse(const char *text, unsigned *when, struct fault *fault);
char *when_format(char out[WHEN_TEXT], unsigned when);
bool when_is_met(unsigned when, enum eclipse_kind kind, bool moon_up, bool sun);

/* ---- checklist ---- */

enum { CHECK_ITEMS = 128, CHECK_TEXT = 120, CHECK_ID = 24 };

enum check_group {
    CHECK_DAY_BEFORE,
    CHECK_AT_SITE,
    CHECK_BEFORE_P1,
    CHECK_BEFORE_U2,
    CHECK_BEFORE_P4,
    CHECK_AFTER,
    CHECK_GROUPS,
    CHECK_REMINDER = CHECK_GROUPS /* the user's own, beside the groups */
};
/* "day before", "at the site", "before P1", "before U2", "before P4", "after", "reminders". */
const char *check_group_name(enum check_group group);

struct check_item {
    char id[CHECK_ID]; /* names the item in the journal; unique in a list */
    enum check_group group;
    char text[CHECK_TEXT];
    char note[CHECK_TEXT];
    char rig[RIG_NAME];       /* empty: not of one rig */
    unsigned when;            /* WHEN_... */
    bool has_due, at_instant; /* one of them, or neither */
    struct due due;
    double due_utc; /* where at_instant */
};

struct checklist {
    int count;
    struct check_item item[CHECK_ITEMS];
};

/* The list that comes with the program: the work of such a night, with the cautions. */
void checklist_default(struct checklist *list);
/* Index of the item with an id; -1 where there is none. */
int checklist_find(const struct checklist *list, const char *id);

/* ---- air ---- */

/* Dew point over water and frost point over ice, Celsius, from air temperature and relative
 * humidity (over water, 0 < percent <= 100): Magnus with the constants of WMO-No. 8. NaN where the
 * air is out of range: -45 to 60 C; for the frost point -45 to below 0 C. */
double dew_point_c(double temperature_c, double humidity_percent);
double frost_point_c(double temperature_c, double humidity_percent);

enum air_advice {
    AIR_SAFE,   /* the glass is well above the dew point */
    AIR_SHIELD, /* margin getting small: shield on */
    AIR_HEAT,   /* margin almost gone: heater on */
    AIR_WET,    /* margin gone: dew is likely */
    AIR_FROST,  /* the same below 0 C: frost is likely */
};
/* Stable codes "safe", "shield", "heat", "wet", "frost", and one sentence for each. */
const char *air_advice_code(enum air_advice advice);
const char *air_advice_text(enum air_advice advice);

struct air {
    double temperature_c, humidity_percent; /* NaN: no reading */
    double dew_point_c;
    double frost_point_c;   /* NaN at 0 C and above */
    double glass_c;         /* air less the radiative cooling of the glass */
    double margin_c;        /* glass above what condenses on it: frost where glass and dew point
                               are below 0 C, else dew; negative: it forms; NaN unknown */
    enum air_advice advice; /* thresholds: air.c; means nothing where the margin is unknown */
};
/* Glass under a clear sky below the air: 'several degrees' in still air (BAA Journal, "Dealing with
 * dew", https://britastro.org/journal_contents_ite/dealing-with-dew). */
#define GLASS_COOLING_C 3.0
/* Temperature and humidity as two numbers with blanks or a comma between them, and nothing else:
 * "-8.5 81". -1 with a fault where it is anything else or out of range: -45 to 60 C, 1 to 100 %. */
int air_parse(const char *text, double *temperature_c, double *humidity_percent,
              struct fault *fault);
/* What needs a reading that is unknown or out of range is NaN. */
void air_assess(double temperature_c, double humidity_percent, double glass_cooling_c,
                struct air *air);

/* ---- how the air changes (trend.c) ---- */

/* Readings of a night, oldest first from `first`, in a ring: the oldest falls out. */
enum { AIR_READINGS = 600 };
/* Closer readings replace the last one: ten hours of any sensor fit. */
#define AIR_SPACING_S 60.0
/* The trend's window, as typed readings come every half hour; three that span twenty minutes are
 * the least. */
#define AIR_TREND_S (90 * 60.0)
#define AIR_TREND_LEAST_S (20 * 60.0)
/* A reading speaks for what was so long before and after it. */
#define AIR_REFERENCE_S (45 * 60.0)
/* The focus is looked at again after such a fall (common practice, no source). */
#define FOCUS_FALL_C 5.0

struct air_reading {
    double utc; /* NaN: none */
    double temperature_c, humidity_percent;
};
/* Zeroed: empty. */
struct air_log {
    int first, count;
    struct air_reading reading[AIR_READINGS];
};
/* False for a reading that is out of range for the dew point or not newer than the last: nothing
 * has changed then. */
bool air_log_add(struct air_log *log, const struct air_reading *reading);
/* The newest; null where there is none. */
const struct air_reading *air_log_last(const struct air_log *log);

struct air_trend {
    int count;                                  /* readings in the window */
    double temperature_c_per_h, margin_c_per_h; /* least squares; NaN: too few readings */
    double gone_utc; /* when the margin of the glass is gone at this rate; the last reading's time
                        where it is gone already; NaN: it does not fall, or unknown */
};
/* Trend over the readings of the AIR_TREND_S before `utc`. */
void air_trend_make(const struct air_log *log, double utc, double glass_cooling_c,
                    struct air_trend *trend);
/* How far the air has cooled since an instant (the focus was looked at): the reading next to it
 * less the last one, Celsius; negative: warmer. NaN where no reading stands within
 * AIR_REFERENCE_S. */
double air_log_fall_c(const struct air_log *log, double since_utc);

/* ---- forecast (forecast.c) ---- */

enum { FORECAST_ROWS = 240 };
/* Older than this a forecast is called old: weather services compute theirs anew every six or
 * twelve hours, so that a newer one is to be had. */
#define FORECAST_OLD_S (12 * 3600.0)
/* Nothing is read out of a gap longer than this between two rows. */
#define FORECAST_GAP_S (6 * 3600.0)
/* A reading of the air younger than this goes before the forecast: half-hourly ones, and half as
 * much again. */
#define AIR_FRESH_S (45 * 60.0)

/* NaN: not given. */
struct forecast_row {
    double utc;
    double cloud_percent, temperature_c, humidity_percent, wind_m_s;
};
/* Zeroed but for `issued_utc`: empty. */
struct forecast {
    double issued_utc; /* when it was made; NaN unknown */
    int count;
    struct forecast_row row[FORECAST_ROWS];
};
/* No value is known. */
bool forecast_row_is_empty(const struct forecast_row *row);
/* There is a row of just that instant. */
bool forecast_has(const struct forecast *forecast, double utc);
/* Takes a row, later than the one before. Returns -1 with a fault, and takes nothing, where it is
 * not later, out of range (cloud 0 to 100 %, temperature -90 to 60 C, humidity over 0 to 100 %,
 * wind 0 to 120 m/s) or one too many. */
int forecast_add(struct forecast *forecast, const struct forecast_row *row, struct fault *fault);
/* Whether there is room for a row, and its values are in range. */
int forecast_check(const struct forecast *forecast, const struct forecast_row *row,
                   struct fault *fault);
/* Takes a row to its place by time, for one of the same time; one without any value takes that one
 * out. -1 as forecast_check. */
int forecast_put(struct forecast *forecast, const struct forecast_row *row, struct fault *fault);
/* Values at an instant, linear between rows; NaN outside, in a gap, and beside a value that is not
 * given. */
void forecast_at(const struct forecast *forecast, double utc, struct forecast_row *row);
/* The lowest temperature in a span; NaN where none is known. */
double forecast_coldest_c(const struct forecast *forecast, double utc_from, double utc_to);
/* NaN where it is not known when the forecast was made, as where it says that this is to come. */
double forecast_age_s(const struct forecast *forecast, double utc);
/* By FORECAST_OLD_S; true where the age is unknown. */
bool forecast_is_old(const struct forecast *forecast, double utc);

enum air_source { AIR_UNKNOWN, AIR_READ, AIR_FORECAST };
struct air_choice {
    enum air_source source;
    double temperature_c, humidity_percent;
    double age_s; /* of the reading or the forecast */
    bool old;     /* reading past AIR_FRESH_S, or forecast that is old */
};
/* The air to reckon with at `utc`: a fresh reading, else the forecast, else a reading past its
 * time. Either may be null. */
void air_choose(const struct air_reading *reading, const struct forecast *forecast, double utc,
                struct air_choice *choice);

#endif
