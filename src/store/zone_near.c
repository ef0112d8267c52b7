/* The zone of a place: that of the nearest town in the system's own table of zones. */
#include "files.h"

#include <moonstand/angle.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* "+4230", "-0000530": degrees, minutes, perhaps seconds; advances the text. */
static double take_iso6709(const char **text, int degree_digits)
{
    double sign = **text == '-' ? -1 : 1;
    char *end;
    long number = strtol(*text + 1, &end, 10);

    if (end - *text == 1 + degree_digits + 2)
        number *= 100;
    *text = end;
    return sign * ((double)(number / 10000) + (double)(number / 100 % 100) / 60 +
                   (double)(number % 100) / 3600);
}

static double distance_rad(double latitude_a, double longitude_a, double latitude_b,
                           double longitude_b)
{
    double a = rad_from_deg(latitude_a), b = rad_from_deg(latitude_b);

    return acos(fmin(1, sin(a) * sin(b) +
                            cos(a) * cos(b) * cos(rad_from_deg(longitude_a - longitude_b))));
}

bool zone_near(double latitude_deg, double longitude_deg, char *name, size_t size)
{
    char path[PATH_SIZE], line[512];
    double nearest = INFINITY;

    zone_path("zone1970.tab", path);
    FILE *file = fopen(path, "re");
    if (!file)
        return false;
    while (fgets(line, sizeof line, file)) {
        /* Countries, coordinates, name, remark. */
        const char *at = line[0] == '#' ? NULL : strchr(line, '\t');
        if (!at || (*++at != '+' && *at != '-'))
            continue;
        double latitude = take_iso6709(&at, 2), longitude = take_iso6709(&at, 3);
        double away = distance_rad(latitude, longitude, latitude_deg, longitude_deg);
        size_t length = *at == '\t' ? strcspn(at + 1, "\t\n") : 0;
        if (length == 0 || length >= size || away >= nearest)
            continue;
        nearest = away;
        (void)snprintf(name, size, "%.*s", (int)length, at + 1);
    }
    (void)fclose(file);
    return isfinite(nearest);
}
