/* sky: Moon and Sun as an observer sees them; rise, transit, set. */
#ifndef MOONSTAND_SIGHT_H
#define MOONSTAND_SIGHT_H

#include <moonstand/vec3.h>

#include <stdbool.h>

struct arc;
struct observer;

struct sight {
    double altitude_airless_rad; /* centre, topocentric */
    double altitude_rad;         /* centre, refracted */
    double azimuth_rad;          /* from north through east, [0, 2 pi) */
    double distance_km;          /* topocentric */
    double semidiameter_rad;     /* topocentric, unrefracted */
    double parallactic_rad;      /* from celestial north to the zenith, eastward positive */
    double hour_angle_rad;       /* topocentric, west positive, [-pi, pi) */
    double right_ascension_rad, declination_rad; /* topocentric, of date */
    double horizon_rad;    /* altitude of the horizon profile below the body */
    double upper_limb_rad; /* refracted altitude of the upper limb */
    bool up;               /* the upper limb clears the horizon profile */
    struct vec3 enu;       /* unit vector east, north, up of the refracted centre */
};

void sky_moon(const struct arc *arc, const struct observer *observer, double utc,
              struct sight *sight);
void sky_sun(const struct arc *arc, const struct observer *observer, double utc,
             struct sight *sight);
/* Both at once, which is faster; either may be null. */
void sky_sights(const struct arc *arc, const struct observer *observer, double utc,
                struct sight *moon, struct sight *sun);

enum sky_event_kind {
    SKY_MOONRISE, /* refracted upper limb over the horizon profile */
    SKY_MOONSET,
    SKY_MOON_TRANSIT, /* upper passage of the meridian */
    SKY_SUNRISE,
    SKY_SUNSET,
    SKY_CIVIL_DUSK,
    SKY_CIVIL_DAWN, /* Sun's airless centre at -6 degrees */
    SKY_NAUTICAL_DUSK,
    SKY_NAUTICAL_DAWN, /* -12 */
    SKY_ASTRONOMICAL_DUSK,
    SKY_ASTRONOMICAL_DAWN, /* -18 */
};

struct sky_event {
    enum sky_event_kind kind;
    double utc;
};

/* Writes the events of [utc_from, utc_to] inside the arc, to 0.1 s, and returns their number (at most
 * `most`). They are in order of time, but for different ones within five minutes. Crossings of one kind
 * less than five minutes apart may be missed. */
int sky_events(const struct arc *arc, const struct observer *observer, double utc_from,
               double utc_to, struct sky_event *events, int most);

#endif
