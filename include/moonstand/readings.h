/* night: what devices say. */
#ifndef MOONSTAND_READINGS_H
#define MOONSTAND_READINGS_H

#include <moonstand/album.h>
#include <moonstand/rig.h>

enum gps_state {
    GPS_OFF,    /* off in the setup */
    GPS_ABSENT, /* no gpsd there (yet, or again) */
    GPS_SILENT, /* connected, no report for more than 5 s */
    GPS_NO_FIX,
    GPS_FIX,  /* mode 2 or 3, fresh */
    GPS_STALE /* a fix, but older than 5 s */
};
const char *gps_state_name(enum gps_state state);

struct gps_reading {
    enum gps_state state;
    int mode;       /* 0 unknown, 1 none, 2 2-D, 3 3-D */
    int satellites; /* used; -1 unknown */
    double latitude_deg, longitude_deg;
    double height_m;       /* above the ellipsoid where known, else mean sea level; NaN unknown */
    double error_m;        /* horizontal, as gpsd estimates it; NaN unknown */
    double age_s;          /* of the fix; NaN none */
    double clock_offset_s; /* laptop minus GPS, median of the last fixes; NaN unknown */
    double clock_spread_s;
};

/* Whether the laptop is kept from falling asleep. */
enum awake { AWAKE_UNKNOWN, AWAKE_HELD, AWAKE_NOT };
/* "kept awake", "may sleep"; "" if that is unknown. */
const char *awake_name(enum awake awake);

enum { READINGS_TROUBLE = 120 };
struct readings {
    struct gps_reading gps;
    double battery_percent; /* the laptop's; NaN: none or unknown */
    double battery_left_s;  /* NaN: unknown or charging */
    bool battery_discharging;
    enum awake awake;
    int clock_synchronised;       /* the kernel's word: 1 yes, 0 no, -1 unknown */
    double clock_error_s;         /* kernel's estimate; NaN unknown */
    double card_free_bytes[RIGS]; /* NaN: not read, or no card there */
    bool card_absent[RIGS];       /* the setup names a place for it, and it is not there */
    enum eye_state eye;           /* who watches the pictures */
    struct album album[RIGS];
    double air_age_s; /* of the sensor's last good reading; NaN: none */
    double temperature_c, humidity_percent;
    char air_trouble[READINGS_TROUBLE]; /* why the sensor gives no reading; empty if it does */
};
void readings_none(struct readings *readings);

#endif
