#include <moonstand/instant.h>

#include <erfa.h>
#include <math.h>
#include <stdint.h>

#define TT_MINUS_TAI_S 32.184
/* 1970-01-01 as a modified Julian date. */
#define UNIX_EPOCH_MJD 40587.0
/* TT at the POSIX epoch's day count: 2000-01-01T12:00 lies 10957.5 days after 1970-01-01T00:00. */
#define UNIX_DAYS_AT_J2000 10957.5

/* 1972-01-01: from here the civil scale is UTC with leap seconds. */
#define UTC_SINCE 63072000.0
/* Leap seconds keep UT1 within 0.9 s of UTC (ITU-R TF.460-6) until then. */
enum { LEAP_KEPT_UNTIL = 2035 };
#define LEAP_KEPT_WITHIN_S 0.9
#define LEAP_RATE_S_PER_YEAR 0.6
/* 2027-06-28, the last date covered by IERS Bulletin C 72 (July 2026). */
#define LEAP_ANNOUNCED_UNTIL 1814140800.0

double seconds_from_civil(const struct civil *civil)
{
    double zero, mjd = UNIX_EPOCH_MJD; /* stays where there is no such month */

    (void)eraCal2jd(civil->year, civil->month, civil->day, &zero, &mjd);
    return (mjd - UNIX_EPOCH_MJD) * SECONDS_PER_DAY + civil->hour * 3600.0 + civil->minute * 60.0 +
           civil->second;
}

struct civil civil_from_seconds(double seconds)
{
    double whole_days = floor(seconds / SECONDS_PER_DAY);
    double rest = seconds - whole_days * SECONDS_PER_DAY;
    /* In years that begin in March the leap day comes last and month lengths follow one rule. The
     * library's own way back takes twice as long, and each instant goes it. */
    int64_t z = (int64_t)whole_days + 719468;
    int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    int64_t day_of_era = z - era * 146097;
    int64_t year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int64_t month_index = (5 * day_of_year + 2) / 153;
    struct civil civil;

    civil.day = (int)(day_of_year - (153 * month_index + 2) / 5 + 1);
    civil.month = (int)(month_index < 10 ? month_index + 3 : month_index - 9);
    civil.year = (int)(year_of_era + era * 400 + (civil.month <= 2));
    civil.hour = (int)(rest / 3600);
    civil.minute = (int)((rest - civil.hour * 3600.0) / 60);
    civil.second = rest - civil.hour * 3600.0 - civil.minute * 60.0;
    return civil;
}

bool civil_exists(const struct civil *civil)
{
    struct civil back = civil_from_seconds(seconds_from_civil(civil));

    return back.month == civil->month && back.day == civil->day && back.hour == civil->hour &&
           back.minute == civil->minute && fabs(back.second - civil->second) < 0.5;
}

bool utc_scale_is_utc(double utc)
{
    return utc >= UTC_SINCE;
}

bool utc_is_announced(double utc)
{
    return utc <= LEAP_ANNOUNCED_UNTIL;
}

double ut1_doubt_s(double utc)
{
    const struct civil last = {.year = LEAP_KEPT_UNTIL, .month = 1, .day = 1};
    double years = (utc - seconds_from_civil(&last)) / (DAYS_PER_CENTURY / 100 * SECONDS_PER_DAY);

    return LEAP_KEPT_WITHIN_S + LEAP_RATE_S_PER_YEAR * fmax(0, years);
}

/* TT - UT1 in seconds before 1972: polynomials of Espenak & Meeus (NASA/TP-2006-214141). The
 * coefficients before 1941 are from memory, and within 0.25 s of the almanac's yearly values. */
static double delta_t_s(double ut1)
{
    struct civil civil = civil_from_seconds(ut1);
    double year = civil.year + (civil.month - 0.5) / 12;
    double t;

    if (year < 1920) {
        t = year - 1900;
        return -2.79 + t * (1.494119 + t * (-0.0598939 + t * (0.0061966 - 0.000197 * t)));
    }
    if (year < 1941) {
        t = year - 1920;
        return 21.20 + t * (0.84493 + t * (-0.076100 + 0.0020936 * t));
    }
    if (year < 1961) {
        t = year - 1950;
        return 29.07 + t * (0.407 + t * (-1 / 233.0 + t / 2547));
    }
    t = year - 1975;
    return 45.45 + t * (1.067 + t * (-1 / 260.0 - t / 718));
}

static double tt_minus_civil_s(double utc)
{
    double tai_minus_utc = 0;

    if (!utc_scale_is_utc(utc))
        return delta_t_s(utc);
    struct civil civil = civil_from_seconds(utc);
    /* A status above zero ('dubious year') only means that the last value is held. */
    if (eraDat(civil.year, civil.month, civil.day, 0.0, &tai_minus_utc) < 0)
        return NAN;
    return tai_minus_utc + TT_MINUS_TAI_S;
}

double tt_from_utc(double utc)
{
    if (!isfinite(utc))
        return NAN;
    return utc - UNIX_DAYS_AT_J2000 * SECONDS_PER_DAY + tt_minus_civil_s(utc);
}

double utc_from_tt(double tt)
{
    double civil = tt + UNIX_DAYS_AT_J2000 * SECONDS_PER_DAY;
    double utc = civil;

    if (!isfinite(tt))
        return NAN;
    /* The offset changes by at most a second in months: two rounds suffice. */
    utc = civil - tt_minus_civil_s(utc);
    utc = civil - tt_minus_civil_s(utc);
    return utc;
}

void jd_from_tt(double tt, double *day, double *fraction)
{
    double days = tt / SECONDS_PER_DAY;
    double whole = floor(days);

    *day = JD_J2000 + whole;
    *fraction = days - whole;
}
