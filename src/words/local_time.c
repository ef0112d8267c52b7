/* Instants and lengths of time as people read them. */
#include "parts.h"

#include <moonstand/clock_words.h>
#include <moonstand/night.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* An instant that is ahead by less than this needs no day. */
#define NEAR_S (20 * 3600.0)
#define PAST_NEAR_S (12 * 3600.0) /* one that is past: a bare "19:00" is read as the next one */
#define COUNT_DAYS_FROM_S (100 * 3600.0)
#define ROUGH_DAYS_FROM_S (48 * 3600.0)

static const struct zone_table utc_zone = {
    .name = "UTC", .count = 1, .step = {{-INFINITY, 0, "UTC"}}};

struct reader reader_local(const struct night *night)
{
    return (struct reader){&night->zone, night->setup.hours, night->setup.units, false};
}

struct reader reader_utc(void)
{
    return (struct reader){&utc_zone, HOURS_24, UNITS_METRIC, false};
}

struct reader reader_swapped(struct reader reader, bool hours, bool units)
{
    if (hours)
        reader.hours = reader.hours == HOURS_12 ? HOURS_24 : HOURS_12;
    if (units)
        reader.units = reader.units == UNITS_IMPERIAL ? UNITS_METRIC : UNITS_IMPERIAL;
    return reader;
}

const char *scale_name(double utc)
{
    return utc_scale_is_utc(utc) ? "UTC" : "UT1";
}

const char *reader_zone(struct reader reader, double utc)
{
    const char *letters;

    if (reader.zone == &utc_zone)
        return scale_name(utc);
    (void)zone_offset(reader.zone, utc, &letters);
    return letters;
}

char *clock_words(char out[TEXT_INSTANT], struct reader reader, double utc, unsigned form)
{
    bool seconds = form & CLOCK_SECONDS, known = isfinite(utc);
    double local = known ? utc + zone_offset(reader.zone, utc, NULL) : NAN;
    double shown = form & CLOCK_RUNNING ? floor(local + 1e-6) : nearest_shown(local, seconds);
    const char *zone = "";
    char day[TEXT_INSTANT] = "", clock[TEXT_INSTANT];

    if (known)
        zone = form & CLOCK_ZONE ? reader_zone(reader, utc) : zone_mark(reader.zone, utc);
    if (known && form & CLOCK_DAY)
        day[strcspn(format_iso(day, shown, 0, ""), "T")] = '\0';
    (void)format_clock(clock, shown, seconds, reader.hours);
    return text_set(out, TEXT_INSTANT, "%.10s%s%.12s%s%.8s", day, *day ? " " : "", clock,
                    *zone ? " " : "", zone);
}

char *clock_minute(char out[TEXT_INSTANT], struct reader reader, double utc)
{
    return clock_words(out, reader, utc, 0);
}

char *clock_second(char out[TEXT_INSTANT], struct reader reader, double utc)
{
    return clock_words(out, reader, utc, CLOCK_SECONDS);
}

bool is_near(double utc, double now)
{
    return !isfinite(utc) || (utc - now < NEAR_S && now - utc < PAST_NEAR_S);
}

char *clock_near(char out[TEXT_INSTANT], const struct subject *about, double utc, unsigned form)
{
    form |= is_near(utc, about->moment->utc) ? CLOCK_SECONDS : CLOCK_DAY;
    return clock_words(out, about->reader, utc, form);
}

char *clock_both(char out[2 * TEXT_INSTANT], const struct subject *about, double utc)
{
    char local[TEXT_INSTANT], other[TEXT_INSTANT];

    bool one = strcmp(reader_zone(about->reader, utc), reader_zone(reader_utc(), utc)) == 0;

    (void)clock_near(local, about, utc, CLOCK_ZONE);
    (void)clock_words(other, reader_utc(), utc, CLOCK_SECONDS | CLOCK_ZONE);
    return text_set(out, 2 * TEXT_INSTANT, "%.38s%s%.38s", local, one ? "" : ", ",
                    one ? "" : other);
}

char *day_words(char out[TEXT_INSTANT], struct reader reader, double utc)
{
    (void)clock_words(out, reader, utc, CLOCK_SECONDS | CLOCK_DAY);
    out[strcspn(out, " ")] = '\0';
    return out;
}

char *eclipse_day(char out[TEXT_INSTANT], const struct eclipse *eclipse)
{
    format_iso(out, floor(utc_from_tt(eclipse->tt[CONTACT_GREATEST])), 0, "");
    out[strcspn(out, "T")] = '\0';
    return out;
}

const char *countdown_words(char out[TEXT_SPAN], double seconds)
{
    if (!(seconds > COUNT_DAYS_FROM_S)) {
        (void)format_left(out, seconds);
        return seconds_left(seconds) < 3600 ? "min" : "h";
    }
    (void)snprintf(out, TEXT_SPAN, "%.0f", floor(seconds / SECONDS_PER_DAY));
    return "days";
}

char *left_words(char out[TEXT_SPAN], double seconds)
{
    if (seconds >= 3600)
        return rough_words(out, seconds);
    const char *unit = countdown_words(out, seconds);
    if (isfinite(seconds))
        text_add(out, TEXT_SPAN, "", " %s", unit);
    return out;
}

char *rough_words(char out[TEXT_SPAN], double seconds)
{
    double whole = floor(fabs(seconds_left(seconds)));
    int minutes = (int)fmin(whole / 60, 1e8);

    if (isnan(seconds))
        return text_set(out, TEXT_SPAN, "-");
    if (whole < 60)
        return text_set(out, TEXT_SPAN, "%.0f s", whole);
    if (whole < 3600)
        return text_set(out, TEXT_SPAN, "%d min", minutes);
    if (whole < ROUGH_DAYS_FROM_S)
        return text_set(out, TEXT_SPAN, "%dh%02d", minutes / 60, minutes % 60);
    return text_set(out, TEXT_SPAN, "%d days", minutes / (24 * 60));
}

char *stay_words(char out[TEXT_SPAN], double seconds)
{
    return left_words(out, floor(seconds));
}
