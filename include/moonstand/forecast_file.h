/* store: forecast files. */
#ifndef MOONSTAND_FORECAST_FILE_H
#define MOONSTAND_FORECAST_FILE_H

struct fault;
struct forecast;

/*
 *   { "issued": "2028-12-31T06:00Z",
 *     "hours": [ { "time": "2028-12-31T12:00Z", "cloud_percent": 20, "temperature_c": -18,
 *                  "humidity_percent": 70, "wind_m_s": 3 }, ... ] }
 *
 * `hours`: 1 to 240 rows in order of time; a gap of more than six hours is not interpolated. Cloud 0
 * to 100, temperature -90 to 60, humidity above 0 to 100, wind 0 to 120; each may be left out.
 * `issued`: when the forecast was made; one that is older than twelve hours, lacks this or has it in
 * the future counts as old.
 */
int forecast_read(const char *path, struct forecast *forecast, struct fault *fault);

/* When a file was last modified, by the machine's clock; NaN: no such file. */
double file_written_utc(const char *path);

#endif
