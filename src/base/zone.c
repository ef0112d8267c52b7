#include <moonstand/instant.h>

#include <math.h>

void zone_utc(struct zone_table *zone)
{
    *zone = (struct zone_table){"UTC", 1, {{-INFINITY, 0, "UTC"}}};
}

/* Index of the step in force. */
static int step_at(const struct zone_table *zone, double utc)
{
    int in_force = 0, end = zone->count;

    while (end - in_force > 1) {
        int middle = in_force + (end - in_force) / 2;

        if (utc >= zone->step[middle].from_utc)
            in_force = middle;
        else
            end = middle;
    }
    return in_force;
}

int zone_offset(const struct zone_table *zone, double utc, const char **abbreviation)
{
    const struct zone_step *step = &zone->step[step_at(zone, utc)];

    if (abbreviation)
        *abbreviation = step->abbreviation;
    return step->offset_s;
}

const char *zone_mark(const struct zone_table *zone, double utc)
{
    int in_force = step_at(zone, utc);

    /* The hours before and after each change that sets the clock back. */
    for (int i = in_force > 0 ? in_force : 1; i <= in_force + 1 && i < zone->count; i++) {
        double back_s = zone->step[i - 1].offset_s - zone->step[i].offset_s;
        double since_s = utc - zone->step[i].from_utc;

        if (since_s >= -back_s && since_s < back_s)
            return zone->step[in_force].abbreviation;
    }
    return "";
}
