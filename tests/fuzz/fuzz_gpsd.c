/* Lines of a gpsd, one after the other as they come. */
#include "fuzz.h"

#include "../../src/devices/gpsd_report.h"

#include <math.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const uint8_t *end = data + size;
    struct gpsd_report report;

    gpsd_report_none(&report);
    while (data < end) {
        const uint8_t *stop = memchr(data, '\n', (size_t)(end - data));
        size_t length = (size_t)((stop ? stop : end) - data);
        char *line = text_of(data, length);

        gpsd_report_read(&report, line, length);
        CLAIM(isnan(report.place.latitude_deg) == isnan(report.place.longitude_deg));
        CLAIM(!(fabs(report.place.latitude_deg) > 90) && !(fabs(report.place.longitude_deg) > 180));
        CLAIM(report.mode >= 0 && report.mode <= 3 && report.satellites >= -1);
        free(line);
        data = stop ? stop + 1 : end;
    }
    return 0;
}
