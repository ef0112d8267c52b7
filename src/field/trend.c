#include <moonstand/air.h>

#include <math.h>
#include <stddef.h>

enum { TREND_READINGS = 3 };
#define SECONDS_PER_HOUR 3600.0

/* The reading that has this many older ones. */
static const struct air_reading *reading_at(const struct air_log *log, int index)
{
    return &log->reading[(log->first + index) % AIR_READINGS];
}

const struct air_reading *air_log_last(const struct air_log *log)
{
    return log->count > 0 ? reading_at(log, log->count - 1) : NULL;
}

bool air_log_add(struct air_log *log, const struct air_reading *reading)
{
    const struct air_reading *last = air_log_last(log);

    if (!isfinite(reading->utc) || (last && reading->utc <= last->utc) ||
        isnan(dew_point_c(reading->temperature_c, reading->humidity_percent)))
        return false;
    if (!last || log->count < 2 ||
        last->utc - reading_at(log, log->count - 2)->utc >= AIR_SPACING_S) {
        if (log->count < AIR_READINGS)
            log->count++;
        else
            log->first = (log->first + 1) % AIR_READINGS;
    }
    log->reading[(log->first + log->count - 1) % AIR_READINGS] = *reading;
    return true;
}

static double margin_of(const struct air_reading *reading, double glass_cooling_c)
{
    struct air air;

    air_assess(reading->temperature_c, reading->humidity_percent, glass_cooling_c, &air);
    return air.margin_c;
}

/* A straight line by least squares. */
struct line {
    double count, x, y, xx, xy; /* sums */
};

static void line_add(struct line *line, double x, double y)
{
    line->count++;
    line->x += x;
    line->y += y;
    line->xx += x * x;
    line->xy += x * y;
}

static double line_slope(const struct line *line)
{
    return (line->count * line->xy - line->x * line->y) /
           (line->count * line->xx - line->x * line->x);
}

static double line_zero(const struct line *line)
{
    return (line->x - line->y / line_slope(line)) / line->count;
}

void air_trend_make(const struct air_log *log, double utc, double glass_cooling_c,
                    struct air_trend *trend)
{
    const struct air_reading *last = air_log_last(log);
    const struct air_reading *oldest = last;
    struct line temperature = {0}, margin = {0};

    *trend = (struct air_trend){0, NAN, NAN, NAN};
    for (int i = log->count - 1; i >= 0 && reading_at(log, i)->utc >= utc - AIR_TREND_S; i--) {
        double hours = (reading_at(log, i)->utc - utc) / SECONDS_PER_HOUR;

        oldest = reading_at(log, i);
        line_add(&temperature, hours, oldest->temperature_c);
        line_add(&margin, hours, margin_of(oldest, glass_cooling_c));
        trend->count++;
    }
    if (trend->count > 0 && margin_of(last, glass_cooling_c) <= 0)
        trend->gone_utc = last->utc;
    if (trend->count < TREND_READINGS || last->utc - oldest->utc < AIR_TREND_LEAST_S)
        return;
    trend->temperature_c_per_h = line_slope(&temperature);
    trend->margin_c_per_h = line_slope(&margin);
    if (isnan(trend->gone_utc) && trend->margin_c_per_h < 0)
        trend->gone_utc = fmax(utc + line_zero(&margin) * SECONDS_PER_HOUR, last->utc);
}

double air_log_fall_c(const struct air_log *log, double since_utc)
{
    const struct air_reading *nearest = NULL;

    for (int i = 0; i < log->count; i++) {
        const struct air_reading *reading = reading_at(log, i);

        if (!nearest || fabs(reading->utc - since_utc) < fabs(nearest->utc - since_utc))
            nearest = reading;
    }
    if (!nearest || !(fabs(nearest->utc - since_utc) <= AIR_REFERENCE_S))
        return NAN;
    return nearest->temperature_c - air_log_last(log)->temperature_c;
}
