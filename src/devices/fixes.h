/* Private to the room: the last fixes and the steady place they give. */
#ifndef MOONSTAND_DEVICES_FIXES_H
#define MOONSTAND_DEVICES_FIXES_H

#include "gpsd_report.h"

enum { FIXES = 20 };

struct fixes {
    int places; /* ever added; the last FIXES are kept */
    struct place place[FIXES];
    int lags;
    double lag_s[FIXES]; /* boot clock at arrival minus UTC of the fix */
    double last_utc;     /* of a fix; NaN: none */
    struct place steady; /* NaN without fixes */
};

void fixes_clear(struct fixes *fixes);
/* Adds a report with a known place that arrived at `boot_s`. */
void fixes_add(struct fixes *fixes, const struct gpsd_report *report, double boot_s);
/* Median of the lags and their interquartile range; NaN if there are fewer than five. */
double fixes_lag_s(const struct fixes *fixes, double *spread_s);

#endif
