/* Private to devices: one line of gpsd, read by libgps. */
#ifndef MOONSTAND_DEVICES_GPSD_REPORT_H
#define MOONSTAND_DEVICES_GPSD_REPORT_H

#include <stdbool.h>
#include <stddef.h>

/* What the last lines said; NaN where they did not, or said what cannot be. */
struct gpsd_report {
    bool has_fix_line;                  /* a TPV came; the fields up to error_m are its */
    int mode;                           /* 0 to 3 */
    double latitude_deg, longitude_deg; /* both known or both NaN */
    double height_m;
    bool height_is_msl;
    double utc;     /* of the fix */
    double error_m; /* horizontal */
    int satellites; /* used, as the last SKY has it; -1: none came */
};

void gpsd_report_none(struct gpsd_report *report);
/* Lays one line over what is known; `line` is terminated at `length`, without its newline. What is
 * not a whole TPV or SKY line changes nothing. */
void gpsd_report_read(struct gpsd_report *report, char *line, size_t length);

#endif
