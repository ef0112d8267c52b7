/* field: the weather forecast, and which air to assume. */
#ifndef MOONSTAND_FORECAST_H
#define MOONSTAND_FORECAST_H

#include <stdbool.h>

struct air_reading;
struct fault;

enum { FORECAST_ROWS = 240 };
/* A forecast older than this is old: weather services issue a new one every six or twelve hours. */
#define FORECAST_OLD_S (12 * 3600.0)
/* A longer gap between two rows is not interpolated. */
#define FORECAST_GAP_S (6 * 3600.0)
/* A newer reading of the air takes precedence over the forecast: half an hour, and half as much
 * again. */
#define AIR_FRESH_S (45 * 60.0)

/* NaN: not given. */
struct forecast_row {
    double utc;
    double cloud_percent, temperature_c, humidity_percent, wind_m_s;
};
/* Zeroed but for `issued_utc`: empty. */
struct forecast {
    double issued_utc; /* when it was made; NaN: unknown */
    int count;
    struct forecast_row row[FORECAST_ROWS];
};
/* No value is known. */
bool forecast_row_is_empty(const struct forecast_row *row);
/* There is a row for exactly that instant. */
bool forecast_has(const struct forecast *forecast, double utc);
/* Appends a row. Returns -1 with a fault, and changes nothing, if it is not later than the last,
 * out of range (cloud 0 to 100 %, temperature -90 to 60 C, humidity above 0 to 100 %, wind 0 to 120
 * m/s) or one too many. */
int forecast_add(struct forecast *forecast, const struct forecast_row *row, struct fault *fault);
/* Whether there is room for a row and its values are in range. */
int forecast_check(const struct forecast *forecast, const struct forecast_row *row,
                   struct fault *fault);
/* Inserts a row by time, replacing one of the same time; one without any value removes it. -1 as
 * forecast_check. */
int forecast_put(struct forecast *forecast, const struct forecast_row *row, struct fault *fault);
/* Values at an instant, linear between rows; NaN outside, in a gap, and next to a value that is not
 * given. */
void forecast_at(const struct forecast *forecast, double utc, struct forecast_row *row);
/* The lowest temperature in a span; NaN if none is known. */
double forecast_coldest_c(const struct forecast *forecast, double utc_from, double utc_to);
/* NaN if the time of issue is unknown or in the future. */
double forecast_age_s(const struct forecast *forecast, double utc);
/* By FORECAST_OLD_S; true if the age is unknown. */
bool forecast_is_old(const struct forecast *forecast, double utc);

enum air_source { AIR_UNKNOWN, AIR_READ, AIR_FORECAST };
struct air_choice {
    enum air_source source;
    double temperature_c, humidity_percent;
    double age_s; /* of the reading or the forecast */
    bool old;     /* a reading past AIR_FRESH_S, or an old forecast */
};
/* The air to assume at `utc`: a fresh reading, else the forecast, else an old reading.
 * `reading`: null if there is none. */
void air_choose(const struct air_reading *reading, const struct forecast *forecast, double utc,
                struct air_choice *choice);

#endif
