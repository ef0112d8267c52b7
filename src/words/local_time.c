/* Instants and lengths of time as people read them. */
#include <moonstand/night.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT_DAYS_FROM_S (100 * 3600.0)

struct reader reader_local(const struct night *night)
{
    return (struct reader){&night->zone, night->setup.hours};
}

struct reader reader_utc(void)
{
    static const struct zone_table utc = {
        .name = "UTC", .count = 1, .step = {{-INFINITY, 0, "UTC"}}};

    return (struct reader){&utc, HOURS_24};
}

static char *clock_of(char out[TEXT_INSTANT], const struct reader *reader, double utc,
                      bool with_seconds)
{
    double local = isfinite(utc) ? utc + zone_offset(reader->zone, utc, NULL) : utc;
    const char *mark = isfinite(utc) ? zone_mark(reader->zone, utc) : "";
    size_t length = strlen(format_time(out, local, with_seconds, reader->hours));

    if (*mark)
        (void)snprintf(out + length, TEXT_INSTANT - length, " %s", mark);
    return out;
}

char *clock_minute(char out[TEXT_INSTANT], const struct reader *reader, double utc)
{
    return clock_of(out, reader, utc, false);
}

char *clock_second(char out[TEXT_INSTANT], const struct reader *reader, double utc)
{
    return clock_of(out, reader, utc, true);
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
