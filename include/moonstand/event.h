/* night: what happens in a night by itself. */
#ifndef MOONSTAND_EVENT_H
#define MOONSTAND_EVENT_H

#include <stdbool.h>

struct night;

enum night_event_kind {
    NIGHT_CONTACT, /* which: enum contact */
    NIGHT_SHADING, /* which: 0 first seen, 1 last seen (penumbral magnitude 0.6) */
    NIGHT_SKY,     /* which: enum sky_event_kind */
    NIGHT_FLIP,    /* of a rig's mount, when it is advised; which: 1 inside totality */
    NIGHT_LIMIT    /* of a rig's mount; which: enum night_limit */
};
enum night_limit { LIMIT_TOO_LOW, LIMIT_LOW_REACHED, LIMIT_TOO_HIGH, LIMIT_HIGH_REACHED };
struct night_event {
    enum night_event_kind kind;
    int which;
    int rig; /* -1: of none */
    double utc;
    bool moon_up; /* the Moon is above the horizon profile then */
};
/* Its name in the record and in JSON: "U1", "greatest", "moonrise", "shading_begins" ... */
const char *night_event_name(const struct night_event *event);
/* Moonrise or moonset. */
bool night_event_is_horizon(const struct night_event *event);
/* A contact, greatest, moonrise or moonset. */
bool night_event_is_main(const struct night_event *event);
/* True for events that people wait for; dusk, dawn and transits are not announced, nor a flip that is done. */
bool night_event_counts(const struct night *night, const struct night_event *event);

#endif
