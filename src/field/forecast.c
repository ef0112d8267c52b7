#include <moonstand/air.h>
#include <moonstand/fault.h>
#include <moonstand/forecast.h>

#include <math.h>
#include <string.h>

/* False for a value that is not given. */
static bool outside(double value, double lowest, double highest)
{
    return value < lowest || value > highest;
}

/* The first row at or after an instant. */
static int row_from(const struct forecast *forecast, double utc)
{
    int at = 0;

    while (at < forecast->count && forecast->row[at].utc < utc)
        at++;
    return at;
}

bool forecast_has(const struct forecast *forecast, double utc)
{
    int at = row_from(forecast, utc);

    return at < forecast->count && forecast->row[at].utc == utc;
}

int forecast_check(const struct forecast *forecast, const struct forecast_row *row,
                   struct fault *fault)
{
    if (forecast->count == FORECAST_ROWS && !forecast_has(forecast, row->utc))
        return fault_set(fault, "more than %d rows", FORECAST_ROWS);
    if (outside(row->cloud_percent, 0, 100))
        return fault_set(fault, "cloud is %g percent; expected 0 to 100", row->cloud_percent);
    if (outside(row->temperature_c, -90, 60))
        return fault_set(fault, "temperature is %g C; expected -90 to 60", row->temperature_c);
    if (row->humidity_percent <= 0 || row->humidity_percent > 100)
        return fault_set(fault, "humidity is %g percent; expected above 0 to 100",
                         row->humidity_percent);
    if (outside(row->wind_m_s, 0, 120))
        return fault_set(fault, "wind is %g m/s; expected 0 to 120", row->wind_m_s);
    return 0;
}

int forecast_add(struct forecast *forecast, const struct forecast_row *row, struct fault *fault)
{
    int count = forecast->count;

    if (forecast_check(forecast, row, fault) != 0)
        return -1;
    if (!isfinite(row->utc) || (count > 0 && row->utc <= forecast->row[count - 1].utc))
        return fault_set(fault, "the time is not later than in the row before");
    forecast->row[forecast->count++] = *row;
    return 0;
}

bool forecast_row_is_empty(const struct forecast_row *row)
{
    return isnan(row->cloud_percent) && isnan(row->temperature_c) && isnan(row->humidity_percent) &&
           isnan(row->wind_m_s);
}

int forecast_put(struct forecast *forecast, const struct forecast_row *row, struct fault *fault)
{
    struct forecast_row *rows = forecast->row;
    int at = row_from(forecast, row->utc), behind = at + forecast_has(forecast, row->utc);

    if (forecast_check(forecast, row, fault) != 0)
        return -1;
    if (forecast_row_is_empty(row)) {
        memmove(rows + at, rows + behind, (size_t)(forecast->count - behind) * sizeof *rows);
        forecast->count -= behind - at;
        return 0;
    }
    memmove(rows + at + 1, rows + behind, (size_t)(forecast->count - behind) * sizeof *rows);
    rows[at] = *row;
    forecast->count += at + 1 - behind;
    return 0;
}

/* With a share of 1 the first may be unknown. */
static double between(double before, double after, double share)
{
    return share == 1 ? after : before + share * (after - before);
}

void forecast_at(const struct forecast *forecast, double utc, struct forecast_row *row)
{
    int i = row_from(forecast, utc);

    *row = (struct forecast_row){utc, NAN, NAN, NAN, NAN};
    if (i == forecast->count || !(utc >= forecast->row[0].utc))
        return;
    const struct forecast_row *after = &forecast->row[i];
    const struct forecast_row *before = i > 0 ? after - 1 : after;
    double share = after->utc == utc ? 1 : (utc - before->utc) / (after->utc - before->utc);
    if (share < 1 && after->utc - before->utc > FORECAST_GAP_S)
        return;
    row->cloud_percent = between(before->cloud_percent, after->cloud_percent, share);
    row->temperature_c = between(before->temperature_c, after->temperature_c, share);
    row->humidity_percent = between(before->humidity_percent, after->humidity_percent, share);
    row->wind_m_s = between(before->wind_m_s, after->wind_m_s, share);
}

double forecast_coldest_c(const struct forecast *forecast, double utc_from, double utc_to)
{
    struct forecast_row first, last;

    forecast_at(forecast, utc_from, &first);
    forecast_at(forecast, utc_to, &last);
    double coldest = fmin(first.temperature_c, last.temperature_c);
    for (int i = 0; i < forecast->count; i++)
        if (forecast->row[i].utc >= utc_from && forecast->row[i].utc <= utc_to)
            coldest = fmin(coldest, forecast->row[i].temperature_c);
    return coldest;
}

double forecast_age_s(const struct forecast *forecast, double utc)
{
    return forecast->issued_utc <= utc ? utc - forecast->issued_utc : NAN;
}

bool forecast_is_old(const struct forecast *forecast, double utc)
{
    return !(forecast_age_s(forecast, utc) <= FORECAST_OLD_S);
}

void air_choose(const struct air_reading *reading, const struct forecast *forecast, double utc,
                struct air_choice *choice)
{
    double age = reading ? utc - reading->utc : NAN;
    struct forecast_row row;

    forecast_at(forecast, utc, &row);
    *choice = (struct air_choice){AIR_UNKNOWN, NAN, NAN, NAN, false};
    if (!(age <= AIR_FRESH_S) && isfinite(row.temperature_c) && isfinite(row.humidity_percent))
        *choice =
            (struct air_choice){AIR_FORECAST, row.temperature_c, row.humidity_percent,
                                forecast_age_s(forecast, utc), forecast_is_old(forecast, utc)};
    else if (reading && isfinite(age))
        *choice = (struct air_choice){AIR_READ, reading->temperature_c, reading->humidity_percent,
                                      age, age > AIR_FRESH_S};
}
