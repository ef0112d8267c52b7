/* Private to the room: one line of gpsd, parsed by libgps. */
#ifndef MOONSTAND_DEVICES_GPSD_REPORT_H
#define MOONSTAND_DEVICES_GPSD_REPORT_H

#include <stdbool.h>
#include <stddef.h>

struct place {
    double latitude_deg, longitude_deg; /* both known or both NaN */
    double height_m;                    /* NaN: unknown */
    bool height_is_msl;
};

/* Values of the last lines; NaN for what they left out and what is impossible. */
struct gpsd_report {
    bool has_fix_line; /* a TPV came; it filled the fields up to error_m */
    int mode;          /* 0 to 3 */
    struct place place;
    double utc;     /* of the fix */
    double error_m; /* horizontal */
    int satellites; /* used, by the last SKY; -1: none came */
};

void gpsd_report_none(struct gpsd_report *report);
/* Updates the report from one line, terminated at `length` without its newline. Anything but a
 * whole TPV or SKY line is ignored. */
void gpsd_report_read(struct gpsd_report *report, char *line, size_t length);

#endif
