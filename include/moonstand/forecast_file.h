/* store: forecast files. */
#ifndef MOONSTAND_FORECAST_FILE_H
#define MOONSTAND_FORECAST_FILE_H

#include <stddef.h>

struct fault;
struct forecast;

/*  *
 *   { "issued": "2028-12-31T06:00Z",
 *     "hours": [ { "time": "2028-12-31T12:00Z", "cloud_percent": 20, "temperature_c": -18,
 *                  "humidity_percent": 70, "wind_m_s": 3 }, ... ] }
 *
 * `hours`: 1 to 240 rows, rising by time; rows may be further apart than an hour, but nothing is
 * read out of a gap of more than six. Cloud 0 to 100, temperature -90 to 60, humidity above 0 to
 * 100, wind 0 to 120; each may be left out. `issued` is when the forecast was made: one that is
 * older than twelve hours, does not say, or says that it is to come, is called old.
 */
int forecast_read(const char *path, struct forecast *forecast, struct fault *fault);
/* The same from memory, as setup_parse. */
int forecast_parse(const char *name, const char *text, size_t length, struct forecast *forecast,
                   struct fault *fault);

/* When a file was last written, by the clock of the machine; NaN: there is none. */
double file_written_utc(const char *path);

#endif
