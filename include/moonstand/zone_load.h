/* store: a place's local time, from the C library. */
#ifndef MOONSTAND_ZONE_LOAD_H
#define MOONSTAND_ZONE_LOAD_H

#include <stdbool.h>
#include <stddef.h>

struct fault;
struct zone_table;

/* Reads every change of a place's local time from the C library, between two instants or, with
 * -INFINITY and INFINITY, of the years YEAR_FIRST to YEAR_LAST (2 to 5 ms). `name`: a zone file
 * below $TZDIR, else /usr/share/zoneinfo, such as "Europe/Rome"; "" or "system": $TZ (also a path,
 * or a rule such as CET-1CEST,M3.5.0,M10.5.0/3), else /etc/localtime, else UTC. -1 for an unknown
 * name, a damaged file, one that counts leap seconds, or more than ZONE_STEPS changes. $TZ is
 * another one during the call: no other thread may read the environment then. */
int zone_load(const char *name, double utc_from, double utc_to, struct zone_table *zone,
              struct fault *fault);
/* The name of the zone of the town nearest to a place, by the table zone1970.tab beside the zone
 * files; false if there is none. Near a border it may be that of the neighbour. */
bool zone_near(double latitude_deg, double longitude_deg, char *name, size_t size);

#endif
