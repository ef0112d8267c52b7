/* field: the weather forecast, and which air to reckon with. */
#ifndef MOONSTAND_FORECAST_H
#define MOONSTAND_FORECAST_H

#include <stdbool.h>

struct air_reading;
struct fault;

enum { FORECAST_ROWS = 240 };
/* Older than this a forecast is called old: weather services compute theirs anew every six or
 * twelve hours, so that a newer one is to be had. */
#define FORECAST_OLD_S (12 * 3600.0)
/* Nothing is read out of a gap longer than this between two rows. */
#define FORECAST_GAP_S (6 * 3600.0)
/* A reading of the air younger than this goes before the forecast: half-hourly ones, and half as
 * much again. */
#define AIR_FRESH_S (45 * 60.0)

/* NaN: not given. */
struct forecast_row {
    double utc;
    double cloud_percent, temperature_c, humidity_percent, wind_m_s;
};
/* Zeroed but for `issued_utc`: empty. */
struct forecast {
    double issued_utc; /* when it was made; NaN unknown */
    int count;
    struct forecast_row row[FORECAST_ROWS];
};
/* No value is known. */
bool forecast_row_is_empty(const struct forecast_row *row);
/* There is a row of just that instant. */
bool forecast_has(const struct forecast *forecast, double utc);
/* Takes a row, later than the one before. Returns -1 with a fault, and takes nothing, where it is
 * not later, out of range (cloud 0 to 100 %, temperature -90 to 60 C, humidity over 0 to 100 %,
 * wind 0 to 120 m/s) or one too many. */
int forecast_add(struct forecast *forecast, const struct forecast_row *row, struct fault *fault);
/* Whether there is room for a row, and its values are in range. */
int forecast_check(const struct forecast *forecast, const struct forecast_row *row,
                   struct fault *fault);
/* Takes a row to its place by time, for one of the same time; one without any value takes that one
 * out. -1 as forecast_check. */
int forecast_put(struct forecast *forecast, const struct forecast_row *row, struct fault *fault);
/* Values at an instant, linear between rows; NaN outside, in a gap, and beside a value that is not
 * given. */
void forecast_at(const struct forecast *forecast, double utc, struct forecast_row *row);
/* The lowest temperature in a span; NaN where none is known. */
double forecast_coldest_c(const struct forecast *forecast, double utc_from, double utc_to);
/* NaN where it is not known when the forecast was made, as where it says that this is to come. */
double forecast_age_s(const struct forecast *forecast, double utc);
/* By FORECAST_OLD_S; true where the age is unknown. */
bool forecast_is_old(const struct forecast *forecast, double utc);

enum air_source { AIR_UNKNOWN, AIR_READ, AIR_FORECAST };
struct air_choice {
    enum air_source source;
    double temperature_c, humidity_percent;
    double age_s; /* of the reading or the forecast */
    bool old;     /* reading past AIR_FRESH_S, or forecast that is old */
};
/* The air to reckon with at `utc`: a fresh reading, else the forecast, else a reading past its
 * time. Either may be null. */
void air_choose(const struct air_reading *reading, const struct forecast *forecast, double utc,
                struct air_choice *choice);

#endif
