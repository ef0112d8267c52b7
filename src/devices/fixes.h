/* Private to devices: the last fixes and what is steady in them. */
#ifndef MOONSTAND_DEVICES_FIXES_H
#define MOONSTAND_DEVICES_FIXES_H

#include "gpsd_report.h"

enum { FIXES = 20 };

struct place {
    double latitude_deg, longitude_deg;
    double height_m; /* NaN: unknown */
    bool height_is_msl;
};

struct fixes {
    int places; /* how many were ever added; the last FIXES of them are kept */
    struct place place[FIXES];
    int lags;
    double lag_s[FIXES]; /* boot clock at arrival minus UTC of the fix */
    double last_utc;     /* of a fix; NaN none */
    struct place steady; /* NaN without fixes */
};

void fixes_clear(struct fixes *fixes);
/* Takes in a report with a known place that arrived at `boot_s`. */
void fixes_add(struct fixes *fixes, const struct gpsd_report *report, double boot_s);
/* Median of the lags and their interquartile range; NaN for fewer than five. */
double fixes_lag_s(const struct fixes *fixes, double *spread_s);

#endif
