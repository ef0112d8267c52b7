/* base: instants and a place's civil time.
 *
 *   - `utc` is a double: seconds since 1970-01-01T00:00:00 UTC without leap seconds (POSIX). Before
 *     1972-01-01 the same scale counts UT1;
 *   - `tt` is a double: seconds of Terrestrial Time since J2000.0 (2000-01-01T12:00:00 TT);
 *   - NaN is 'unknown', and is never printed as a number.
 */
#ifndef MOONSTAND_INSTANT_H
#define MOONSTAND_INSTANT_H

#include <stdbool.h>
#include <time.h>

#define SECONDS_PER_DAY 86400.0
#define DAYS_PER_CENTURY 36525.0
#define JD_J2000 2451545.0
/* The program covers 1900-01-01 to 2100-12-31, both inclusive. */
#define YEAR_FIRST 1900
#define YEAR_LAST 2100

/* A date and time of the (proleptic) Gregorian calendar, in any time scale. */
struct civil {
    int year, month, day, hour, minute;
    double second;
};

/* Calendar to seconds since 1970-01-01T00:00:00 and back; no leap seconds, years -4799 to 9999. */
double seconds_from_civil(const struct civil *civil);
struct civil civil_from_seconds(double seconds);
/* False for a 30 February or 24:00, or a second that is not from 0 to below 60. */
bool civil_exists(const struct civil *civil);

/* What a clock of the machine, or a file, has as its time. */
static inline double seconds_of(struct timespec time)
{
    return (double)time.tv_sec + (double)time.tv_nsec / 1e9;
}

/* TT from UTC (from 1972) or from UT1 (before).
 * Sources: leap seconds from liberfa (eraDat), held after the last announced date; before 1972
 * the delta T polynomials of Espenak & Meeus. Accuracy: exact from 1972 to the last announced
 * date; about 0.5 s in 1941-1972, about 1 s before. */
double tt_from_utc(double utc);
/* The inverse, to better than a microsecond (not unique inside a leap second). */
double utc_from_tt(double tt);
/* False after the last date for which leap seconds are announced (IERS Bulletin C 72); the last
 * offset is then assumed, which the user should know. */
bool utc_is_announced(double utc);
/* How far UT1, by which the Earth turns, may differ from UTC, seconds: 0.9 as long as leap seconds
 * bound the difference. From 2035 at the latest they no longer do (Resolution 4 of the 27th General
 * Conference on Weights and Measures, 2022), and nobody can predict the drift. Assumed is the mean
 * of 1972 to 2017, 27 leap seconds in 45 years: 0.6 s a year. Rise, set, altitude and azimuth may
 * be off by as much time; contacts in UTC are not. */
double ut1_doubt_s(double utc);
/* True from 1972-01-01, when civil time became UTC; before that it is UT1. */
bool utc_scale_is_utc(double utc);
/* Julian date of TT, split into day and fraction for liberfa. */
void jd_from_tt(double tt, double *day, double *fraction);

/* The changes of a place's local time, in order. Two a year from YEAR_FIRST to YEAR_LAST are 402;
 * New York, which has the most, has 362. */
enum { ZONE_STEPS = 512 };
struct zone_step {
    double from_utc;      /* in force from here; the first one always was */
    int offset_s;         /* local minus UTC */
    char abbreviation[8]; /* such as CEST or +05 */
};
struct zone_table {
    char name[64]; /* as the user gave it, or "UTC" */
    int count;     /* at least 1 */
    struct zone_step step[ZONE_STEPS];
};

/* A table of UTC itself. */
void zone_utc(struct zone_table *zone);
/* Offset in seconds and abbreviation in force at an instant; `abbreviation` may be null. */
int zone_offset(const struct zone_table *zone, double utc, const char **abbreviation);
/* The abbreviation if the local clock shows this time twice, as when summer time ends; else "". */
const char *zone_mark(const struct zone_table *zone, double utc);

#endif
