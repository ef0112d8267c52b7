/* base: text in and out. */
#ifndef MOONSTAND_TEXT_H
#define MOONSTAND_TEXT_H

#include <stdbool.h>

struct fault;

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

#endif
