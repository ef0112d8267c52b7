#include <moonstand/base.h>

#include <math.h>

void zone_utc(struct zone_table *zone)
{
    *zone = (struct zone_table){.name = "UTC", .count = 1};
    zone->step[0].from_utc = -INFINITY;
    zone->step[0].abbreviation[0] = 'U';
    zone->step[0].abbreviation[1] = 'T';
    zone->step[0].abbreviation[2] = 'C';
}

int zone_offset(const struct zone_table *zone, double utc, const char **abbreviation)
{
    int in_force = 0, end = zone->count;

    while (end - in_force > 1) {
        int middle = in_force + (end - in_force) / 2;

        if (utc >= zone->step[middle].from_utc)
            in_force = middle;
        else
            end = middle;
    }
    if (abbreviation)
        *abbreviation = zone->step[in_force].abbreviation;
    return zone->step[in_force].offset_s;
}
