/* base: text in and out. */
#ifndef MOONSTAND_TEXT_H
#define MOONSTAND_TEXT_H

#include <stdbool.h>
#include <stddef.h>

struct fault;

/* Every parser takes the whole string, or returns -1 with a fault and leaves the output unchanged.
 * Numbers are decimal, finite and independent of the locale. */
int parse_number(const char *text, double lowest, double highest, double *value,
                 struct fault *fault);
/* A day YYYY-MM-DD of the years 1900 to 2100, as the UTC of its first instant. */
int parse_day(const char *text, double *utc, struct fault *fault);
/* An instant YYYY-MM-DDTHH:MM[:SS[.f]][Z], UTC, of the years 1900 to 2100. */
int parse_instant(const char *text, double *utc, struct fault *fault);
/* A latitude, or else a longitude: decimal degrees (-3.1019), or degrees, minutes, seconds with a
 * letter (3 6 7 S; 60d01'30"W; 60:01:30.5 W). Gives degrees, north and east positive. */
int parse_angle_deg(const char *text, bool latitude, double *deg, struct fault *fault);
/* A place: LAT,LON[,ELEV_M], or as people write it: "41.9, 2.3, 800 m", "41 54 N 2 18 E", "41.9 N 2.3 E
 * 2600 ft"; elevation -500 to 9000 m, NaN if not given. */
int parse_site(const char *text, double *lat_deg, double *lon_deg, double *height_m,
               struct fault *fault);
/* What follows the name of an instant, in seconds: "" is 0, or a sign and a span: +90s, -10m, +2h,
 * -1h30m, +45 (seconds), kept to the millisecond; a year at most. */
int parse_offset(const char *text, double *seconds, struct fault *fault);

/* Pieces of an answer as people write it, in any order: each skips blanks, commas and semicolons, reads
 * one piece and advances, or leaves the text alone. A decimal number; a word (letters in either case,
 * not the beginning of a longer one); whether nothing more follows. */
bool piece_number(const char **text, double *value);
bool piece_word(const char **text, const char *word);
bool piece_end(const char *text);

enum { TEXT_INSTANT = 40, TEXT_SPAN = 32 };

/* ISO 8601 of seconds since 1970, rounded to 0 to 3 decimals; `suffix`: "Z" or "". */
char *format_iso(char out[TEXT_INSTANT], double seconds, int decimals, const char *suffix);
/* How people read a time of day: 20:46:27, or 08:46:27pm. */
enum hours { HOURS_24, HOURS_12, HOURS_FORMS };
/* A running clock: cut to the second or minute, as clocks are; "-" if unknown. */
char *format_clock(char out[TEXT_INSTANT], double seconds, bool with_seconds, enum hours hours);
/* The time of an event: rounded to the second or minute, as in published tables. */
char *format_time(char out[TEXT_INSTANT], double seconds, bool with_seconds, enum hours hours);
/* The instant that format_time shows, from which the day follows. */
double nearest_shown(double seconds, bool with_seconds);
/* A duration, cut to whole seconds: 1:02:33, 12:07, -0:09; "-" if unknown. */
char *format_span(char out[TEXT_SPAN], double seconds);
/* The time left until an instant: rounded up, so that 0:00 shows only when it has come. */
char *format_left(char out[TEXT_SPAN], double seconds);
/* The whole seconds that format_left shows. */
double seconds_left(double seconds);

/* How people read the air. */
enum units { UNITS_METRIC, UNITS_IMPERIAL, UNITS_FORMS };
enum { TEXT_AIR = 24 };
/* Temperature and humidity as people write them: "4C 88%", "39 F, 88 %", without a letter in `units`.
 * -45 to 60 C, 1 to 100 %. */
int parse_air(const char *text, enum units units, double *temperature_c, double *humidity_percent,
              struct fault *fault);
/* A temperature ("-22.0 C", "-7.6 F"), a temperature difference (with a plus sign if `with_sign`),
 * a wind speed ("3 m/s", "7 mph"); "-" if unknown. */
char *format_temperature(char out[TEXT_AIR], double celsius, int decimals, enum units units);
char *format_warmth(char out[TEXT_AIR], double kelvin, bool with_sign, enum units units);
char *format_wind(char out[TEXT_AIR], double m_s, enum units units);
/* The nearest of the sixteen compass points: N, NNE, NE ... */
const char *compass_point(double azimuth_rad);
/* "124.5 SE": in degrees with so many decimals, never "360"; "-" if unknown. */
enum { TEXT_AZIMUTH = 16 };
char *format_azimuth(char out[TEXT_AZIMUTH], double azimuth_rad, int decimals);
/* Writes a text of so many bytes as printf() does, cut if it has no room. Returns it. */
char *text_set(char *out, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Puts more behind what a text of so many bytes holds, parted by `between` if it holds anything; cut if
 * it has no room. */
void text_add(char *out, size_t size, const char *between, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* The last name of a path: what stands behind its last '/'. */
const char *path_name(const char *path);
/* Whether a byte of UTF-8 begins a character. */
bool begins_character(char byte);
/* Length of the clean character that a text begins with, in bytes; 0 if it is not clean, or the end. */
size_t clean_character(const char *text);
/* True if the text is well-formed UTF-8 without control characters and invisible ones (zero width,
 * direction marks and overrides, variation selectors). */
bool text_is_clean(const char *text);
/* Names the first thing that is not clean: "an invisible character (U+202E)". Null if there is
 * none. */
enum { TEXT_FAULT = 48 };
const char *text_fault(const char *text, char out[TEXT_FAULT]);
/* Replaces every byte that is not clean with '?', in place. */
void text_clean(char *text);

#endif
