/* base: what every other room stands on. Angles, instants, text in and out, errors that say where.
 *
 * Conventions of the whole program:
 *   - angles in radians, lengths in the unit that the name carries, everything else SI;
 *   - `utc` is a double: seconds since 1970-01-01T00:00:00 UTC without leap seconds (POSIX). Before
 *     1972-01-01 the same scale counts UT1;
 *   - `tt` is a double: seconds of Terrestrial Time since J2000.0 (2000-01-01T12:00:00 TT);
 *   - NaN is 'unknown'. It is never computed with on purpose, never printed as a number.
 */
#ifndef MOONSTAND_BASE_H
#define MOONSTAND_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* ---- angles ---- */

#define PI 3.14159265358979323846
#define ARCSEC_PER_RAD (180.0 * 3600.0 / PI)

static inline double rad_from_deg(double deg)
{
    return deg * (PI / 180.0);
}
static inline double deg_from_rad(double rad)
{
    return rad * (180.0 / PI);
}
static inline double arcsec_from_rad(double rad)
{
    return rad * ARCSEC_PER_RAD;
}
static inline double rad_from_arcsec(double arcsec)
{
    return arcsec / ARCSEC_PER_RAD;
}

/* The same angle in [0, 2 pi). */
double angle_wrap(double rad);
/* The same angle in [-pi, pi). */
double angle_wrap_signed(double rad);

/* ---- errors with a place in them ---- */

/* One message for the user: where, what was found, what is allowed. Empty text: no error. */
struct fault {
    char text[512];
};

/* Writes the message (cut at the buffer's end) and returns -1, so that a caller can
 * `return fault_set(...)`. What it quotes cannot steer a terminal: it is cleaned (text_clean). A
 * null `fault` is allowed: only the -1 remains. */
int fault_set(struct fault *fault, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* ---- instants ---- */

#define SECONDS_PER_DAY 86400.0
#define DAYS_PER_CENTURY 36525.0
#define JD_J2000 2451545.0
/* Span that the program answers for: 1900-01-01 to 2100-12-31, both inclusive. */
#define YEAR_FIRST 1900
#define YEAR_LAST 2100

/* A date and time of the (proleptic) Gregorian calendar, in whatever scale the caller keeps. */
struct civil {
    int year, month, day, hour, minute;
    double second;
};

/* Calendar to seconds since 1970-01-01T00:00:00 and back; no leap seconds, any year -9999..9999. */
double seconds_from_civil(const struct civil *civil);
struct civil civil_from_seconds(double seconds);

/* TT from UTC (from 1972) or from UT1 (before).
 * Sources: leap seconds from liberfa (eraDat), held after the last announced date; before 1972
 * the delta T polynomials of Espenak & Meeus. Accuracy: exact from 1972 to the last announced
 * date; about 0.5 s in 1941-1972, about 1 s before. */
double tt_from_utc(double utc);
/* The inverse, to better than a microsecond (not unique inside a leap second). */
double utc_from_tt(double tt);
/* False after the last date for which leap seconds have been announced (IERS Bulletin C 72):
 * the offset is then held and the reader should be told. */
bool utc_is_announced(double utc);
/* How far UT1, which turns the Earth here, may lie from UTC, seconds: 0.9 as long as leap seconds keep
 * them together. From 2035 at the latest they no longer do (Resolution 4 of the 27th General
 * Conference on Weights and Measures, 2022); both then part at a rate that nobody can foretell. Taken
 * is the mean of 1972 to 2017, 27 leap seconds in 45 years: 0.6 s a year, a minute in a century.
 * Rise, set, altitude and azimuth are off by as much time; contacts in UTC are not. */
double ut1_doubt_s(double utc);
/* True from 1972-01-01: the civil scale is UTC; before, UT1. */
bool utc_scale_is_utc(double utc);
/* Julian date of TT, split in two parts as liberfa likes it (day part, fraction). */
void jd_from_tt(double tt, double *day, double *fraction);

/* ---- a place's civil time ---- */

/* The changes of a place's local time, in order; read by the store. From YEAR_FIRST to YEAR_LAST two a
 * year are 402; New York, with the most, has 362. */
enum { ZONE_STEPS = 512 };
struct zone_step {
    double from_utc;      /* in force from here (the first one: from ever) */
    int offset_s;         /* local minus UTC */
    char abbreviation[8]; /* as the zone file has it, such as CEST or +05 */
};
struct zone_table {
    char name[64]; /* as the user gave it, or "UTC" */
    int count;     /* at least 1 */
    struct zone_step step[ZONE_STEPS];
};

/* UTC itself as a table. */
void zone_utc(struct zone_table *zone);
/* Offset in seconds and abbreviation in force at an instant; `abbreviation` may be null. */
int zone_offset(const struct zone_table *zone, double utc, const char **abbreviation);
/* The abbreviation if the local clock shows this reading twice, as in the hour that comes again when
 * summer time ends; else "". */
const char *zone_mark(const struct zone_table *zone, double utc);

/* ---- text in ---- */

/* All parsers: the whole string must fit, else -1 with a fault that says what was found and what
 * is allowed; the output is then untouched. Numbers are decimal, independent of the locale, finite.
 */
int parse_number(const char *text, double lowest, double highest, double *value,
                 struct fault *fault);
/* A day YYYY-MM-DD of the years 1900 to 2100, as the UTC of its first instant. */
int parse_day(const char *text, double *utc, struct fault *fault);
/* An instant YYYY-MM-DDTHH:MM[:SS[.f]][Z], UTC, of the years 1900 to 2100. */
int parse_instant(const char *text, double *utc, struct fault *fault);
/* A latitude or longitude: decimal degrees (-3.1019), or degrees, minutes, seconds with a letter
 * (3 6 7 S; 60d01'30"W; 60:01:30.5 W). Out in degrees, north and east positive.
 * `latitude` decides on the letters and the range. */
int parse_angle_deg(const char *text, bool latitude, double *deg, struct fault *fault);
/* LAT,LON[,ELEV_M] as one argument; elevation -500 to 9000 m, NaN where none is given. */
int parse_site(const char *text, double *lat_deg, double *lon_deg, double *height_m,
               struct fault *fault);
/* A span of time: 90s, 10m, 2h, 1h30m, or bare seconds; not negative. */
int parse_span(const char *text, double *seconds, struct fault *fault);
/* What follows the name of an instant: "" is 0, "+10m" and "-1h30m" are seconds. */
int parse_offset(const char *text, double *seconds, struct fault *fault);

/* ---- text out ---- */

enum { TEXT_INSTANT = 40, TEXT_SPAN = 32 };

/* ISO 8601 of seconds since 1970, with 0 to 3 decimals, rounded to the nearest; `suffix` is "Z" or
 * "". */
char *format_iso(char out[TEXT_INSTANT], double seconds, int decimals, const char *suffix);
/* How people read a time of day: 20:46:27, or 08:46:27pm. */
enum hours { HOURS_24, HOURS_12, HOURS_FORMS };
/* A running clock, with or without seconds: cut, as clocks are; "-" where unknown. */
char *format_clock(char out[TEXT_INSTANT], double seconds, bool with_seconds, enum hours hours);
/* The time of day of an instant that is told of: rounded to the nearest second or minute shown, as
 * published tables do. */
char *format_time(char out[TEXT_INSTANT], double seconds, bool with_seconds, enum hours hours);
/* What format_time shows, for the day that belongs to it. */
double nearest_shown(double seconds, bool with_seconds);
/* A length of time, cut to whole seconds: 1:02:33, 12:07, 0:09; negative with a minus sign; "-"
 * where unknown. */
char *format_span(char out[TEXT_SPAN], double seconds);
/* The time left to an instant: the same, but 0:00 only when it has come. */
char *format_left(char out[TEXT_SPAN], double seconds);
/* The whole seconds that format_left shows. */
double seconds_left(double seconds);

/* How people read the air. */
enum units { UNITS_METRIC, UNITS_IMPERIAL, UNITS_FORMS };
enum { TEXT_AIR = 24 };
/* A temperature, a difference of temperatures (with its plus where `with_sign`), a wind: "-22.0 C",
 * "-7.6 F"; "3 m/s", "7 mph"; "-" where unknown. */
char *format_temperature(char out[TEXT_AIR], double celsius, int decimals, enum units units);
char *format_warmth(char out[TEXT_AIR], double kelvin, bool with_sign, enum units units);
char *format_wind(char out[TEXT_AIR], double m_s, enum units units);
/* Compass point of an azimuth, sixteen points: N, NNE, NE ... */
const char *compass_point(double azimuth_rad);
/* True if every byte sequence is well-formed UTF-8 of a character that can be seen: no control
 * characters, and nothing invisible (zero width, direction marks and overrides, variation
 * selectors). */
bool text_is_clean(const char *text);
/* Says what the first thing is that is not clean: "an invisible character (U+202E)". Null if the text
 * is clean. */
enum { TEXT_FAULT = 48 };
const char *text_fault(const char *text, char out[TEXT_FAULT]);
/* Makes it so: what is not becomes '?', byte by byte. */
void text_clean(char *text);

/* ---- roles ---- */

/* What a cell of the screen means; a theme says how it looks. */
enum role {
    ROLE_LABEL,  /* names, units, help: quiet */
    ROLE_VALUE,  /* what is being read */
    ROLE_STRONG, /* the one thing to look at */
    ROLE_BORDER, /* lines and frames */
    ROLE_DUE,    /* wants a hand soon */
    ROLE_ALARM,  /* wants a hand now */
    ROLE_STALE,  /* old or uncertain */
    ROLE_DONE,   /* ticked, past */
    ROLE_LIT,    /* picture: sunlit part of the disc */
    ROLE_SHADE,  /* picture: inside the umbra */
    ROLE_COUNT
};
/* "label", "value" ... as theme files name them. */
const char *role_name(enum role role);

/* How a theme shows a role: colour 0xRRGGBB and what remains where there is no colour. */
struct look {
    uint32_t rgb;
    bool bold, reverse, underline;
};
/* A theme at its brightness steps: 0 normal, 1 dim. The background is painted, never left to the
 * terminal. */
enum { THEME_STEPS = 2 };
struct theme {
    char name[32];
    uint32_t background[THEME_STEPS];
    struct look look[THEME_STEPS][ROLE_COUNT];
};

#endif
