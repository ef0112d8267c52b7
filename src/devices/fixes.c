#include "fixes.h"

#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/median.h>
#include <stdbool.h>
#include <string.h>

static const double move_sideways_m = 10, move_in_height_m = 20;
enum { LAGS_NEEDED = 5 };

void fixes_clear(struct fixes *fixes)
{
    *fixes = (struct fixes){
        .last_utc = NAN,
        .steady = {NAN, NAN, NAN, false},
    };
}

static int kept(int added)
{
    return added < FIXES ? added : FIXES;
}

/* Sorts the values; of an even number the mean of the middle two; NaN if there are none. */
static double median(double *values, int count)
{
    if (count == 0)
        return NAN;
    double upper = median_of(values, count);
    return (values[(count - 1) / 2] + upper) / 2;
}

static double longitude_difference_deg(double to, double from)
{
    return deg_from_rad(angle_wrap_signed(rad_from_deg(to - from)));
}

/* Median of each coordinate. Longitudes are taken relative to the newest, which makes the date line
 * harmless; heights count only if measured from the same surface as the newest. */
static struct place median_place(const struct fixes *fixes, const struct place *newest)
{
    struct place middle = *newest;
    double latitudes[FIXES], eastward[FIXES], heights[FIXES];
    int count = kept(fixes->places), height_count = 0;

    for (int i = 0; i < count; i++) {
        const struct place *place = &fixes->place[i];

        latitudes[i] = place->latitude_deg;
        eastward[i] = longitude_difference_deg(place->longitude_deg, newest->longitude_deg);
        if (isfinite(place->height_m) && place->height_is_msl == newest->height_is_msl)
            heights[height_count++] = place->height_m;
    }
    middle.latitude_deg = median(latitudes, count);
    middle.longitude_deg =
        longitude_difference_deg(newest->longitude_deg + median(eastward, count), 0);
    middle.height_m = median(heights, height_count);
    return middle;
}

/* False if either place is unknown. */
static bool is_near(const struct place *a, const struct place *b)
{
    double sideways_m =
        ground_m(a->latitude_deg, a->longitude_deg, b->latitude_deg, b->longitude_deg);
    bool same_height = isfinite(a->height_m)
                           ? a->height_is_msl == b->height_is_msl &&
                                 fabs(a->height_m - b->height_m) <= move_in_height_m
                           : !isfinite(b->height_m);

    return sideways_m <= move_sideways_m && same_height;
}

void fixes_add(struct fixes *fixes, const struct gpsd_report *report, double boot_s)
{
    struct place *newest = &fixes->place[fixes->places++ % FIXES];

    *newest = report->place;
    struct place middle = median_place(fixes, newest);
    if (!is_near(&fixes->steady, &middle))
        fixes->steady = middle;
    /* Some receivers report several times a second; only the first report of a fix came without
     * delay. */
    if (isfinite(report->utc) && report->utc != fixes->last_utc) {
        fixes->last_utc = report->utc;
        fixes->lag_s[fixes->lags++ % FIXES] = boot_s - report->utc;
    }
}

double fixes_lag_s(const struct fixes *fixes, double *spread_s)
{
    double sorted[FIXES], middle;
    int count = kept(fixes->lags);

    *spread_s = NAN;
    if (count < LAGS_NEEDED)
        return NAN;
    memcpy(sorted, fixes->lag_s, sizeof sorted);
    middle = median(sorted, count);
    *spread_s = sorted[(3 * count) / 4] - sorted[count / 4];
    return middle;
}
