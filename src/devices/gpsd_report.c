#include "gpsd_report.h"

#include <moonstand/instant.h>

#include <gps.h>
#include <math.h>
#include <string.h>

/* What is used here is the same in API 9 (3.20: struct timespec, altHAE and altMSL) to 16 (3.27).
 * The lines come from our own socket, because gps_open blocks; gps_unpack never does. */
#if GPSD_API_MAJOR_VERSION < 9 || GPSD_API_MAJOR_VERSION > 16
#error "libgps with API 9 to 16 is needed (gpsd 3.20 to 3.27)"
#endif

void gpsd_report_none(struct gpsd_report *report)
{
    *report = (struct gpsd_report){
        .place = {NAN, NAN, NAN, false},
        .utc = NAN,
        .error_m = NAN,
        .satellites = -1,
    };
}

/* False for NaN. */
static bool within(double value, double lowest, double highest)
{
    return value >= lowest && value <= highest;
}

static void read_height(struct place *place, const struct gps_fix_t *fix)
{
    static const double lowest_m = -500, highest_m = 9000;

    if (fix->mode < MODE_3D)
        return;
    if (within(fix->altHAE, lowest_m, highest_m)) {
        place->height_m = fix->altHAE;
    } else if (within(fix->altMSL, lowest_m, highest_m)) {
        place->height_m = fix->altMSL;
        place->height_is_msl = true;
    }
}

static void read_fix(struct gpsd_report *report, const struct gps_data_t *data)
{
    const struct gps_fix_t *fix = &data->fix;
    int satellites = report->satellites;

    gpsd_report_none(report);
    report->satellites = satellites;
    report->has_fix_line = true;
    report->mode = within(fix->mode, MODE_NOT_SEEN, MODE_3D) ? fix->mode : MODE_NOT_SEEN;
    if (report->mode < MODE_2D || !(data->set & LATLON_SET) || !within(fix->latitude, -90, 90) ||
        !within(fix->longitude, -180, 180))
        return;
    report->place.latitude_deg = fix->latitude;
    report->place.longitude_deg = fix->longitude;
    read_height(&report->place, fix);
    if (data->set & TIME_SET && fix->time.tv_sec > 0)
        report->utc = seconds_of(fix->time);
    report->error_m = isfinite(fix->eph) ? fix->eph : hypot(fix->epx, fix->epy);
    if (!within(report->error_m, 0, 1e6))
        report->error_m = NAN;
}

static bool starts_with(const char *line, const char *start)
{
    return strncmp(line, start, strlen(start)) == 0;
}

/* Nothing was cut off and no zero byte hides the end. Text with a second class can make libgps loop
 * for ever. */
static bool is_whole(char *line, size_t length)
{
    static const char class[] = "\"class\":";

    if (length > 0 && line[length - 1] == '\r')
        line[--length] = '\0';
    return length > 0 && line[length - 1] == '}' && strlen(line) == length &&
           !strstr(strstr(line, class) + 1, class);
}

void gpsd_report_read(struct gpsd_report *report, char *line, size_t length)
{
    bool is_fix = starts_with(line, "{\"class\":\"TPV\"");
    bool is_sky = starts_with(line, "{\"class\":\"SKY\"");

    if ((!is_fix && !is_sky) || !is_whole(line, length))
        return;
    /* `set` must hold only what this line gave. */
    struct gps_data_t data = {.set = 0};

    if (gps_unpack(line, &data) != 0)
        return;
    if (is_fix && data.set & MODE_SET)
        read_fix(report, &data);
    /* A SKY without a list of satellites gives no count. */
    if (is_sky && data.set & SATELLITE_SET &&
        (data.satellites_visible > 0 || data.satellites_used > 0))
        report->satellites = data.satellites_used;
}
