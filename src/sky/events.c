/* Finds sign changes of a few heights in five-minute steps. */
#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>

#include <math.h>

#define STEP_S 300.0
#define ROOT_S 0.05

/* Each crosses zero upwards at one kind of event and downwards at another; where both are the same,
 * upwards alone counts. */
enum height {
    MOON_LIMB,
    MOON_HOUR_ANGLE,
    SUN_LIMB,
    SUN_CIVIL,
    SUN_NAUTICAL,
    SUN_ASTRONOMICAL,
    HEIGHTS
};

static const struct {
    enum sky_event_kind rising, falling;
} kinds[HEIGHTS] = {
    [MOON_LIMB] = {SKY_MOONRISE, SKY_MOONSET},
    [MOON_HOUR_ANGLE] = {SKY_MOON_TRANSIT, SKY_MOON_TRANSIT},
    [SUN_LIMB] = {SKY_SUNRISE, SKY_SUNSET},
    [SUN_CIVIL] = {SKY_CIVIL_DAWN, SKY_CIVIL_DUSK},
    [SUN_NAUTICAL] = {SKY_NAUTICAL_DAWN, SKY_NAUTICAL_DUSK},
    [SUN_ASTRONOMICAL] = {SKY_ASTRONOMICAL_DAWN, SKY_ASTRONOMICAL_DUSK},
};

static void heights_at(const struct arc *arc, const struct observer *observer, double utc,
                       double heights[HEIGHTS])
{
    struct sight moon, sun;

    sky_sights(arc, observer, utc, &moon, &sun);
    heights[MOON_LIMB] = moon.upper_limb_rad - moon.horizon_rad;
    /* By the half angle only the upper passage is a change of sign. */
    heights[MOON_HOUR_ANGLE] = sin(moon.hour_angle_rad / 2);
    heights[SUN_LIMB] = sun.upper_limb_rad - sun.horizon_rad;
    heights[SUN_CIVIL] = sun.altitude_airless_rad + rad_from_deg(6);
    heights[SUN_NAUTICAL] = sun.altitude_airless_rad + rad_from_deg(12);
    heights[SUN_ASTRONOMICAL] = sun.altitude_airless_rad + rad_from_deg(18);
}

/* Bisection, because the heights have kinks at the horizon's corners and where refraction is
 * held. */
static double root(const struct arc *arc, const struct observer *observer, enum height which,
                   double utc_below, double utc_above)
{
    while (fabs(utc_above - utc_below) > ROOT_S) {
        double middle = (utc_below + utc_above) / 2;
        double heights[HEIGHTS];

        heights_at(arc, observer, middle, heights);
        if (heights[which] > 0)
            utc_above = middle;
        else
            utc_below = middle;
    }
    return (utc_below + utc_above) / 2;
}

int sky_events(const struct arc *arc, const struct observer *observer, double utc_from,
               double utc_to, struct sky_event *events, int most)
{
    double before[HEIGHTS], after[HEIGHTS];
    int count = 0;

    heights_at(arc, observer, utc_from, before);
    for (double utc = utc_from; utc < utc_to;) {
        double next = fmin(utc + STEP_S, utc_to);

        heights_at(arc, observer, next, after);
        for (int h = 0; h < HEIGHTS; h++) {
            bool rising = before[h] <= 0 && after[h] > 0;
            bool falling = before[h] > 0 && after[h] <= 0 && kinds[h].falling != kinds[h].rising;

            before[h] = after[h];
            if (!(rising || falling) || count == most)
                continue;
            events[count++] = (struct sky_event){
                rising ? kinds[h].rising : kinds[h].falling,
                root(arc, observer, (enum height)h, rising ? utc : next, rising ? next : utc)};
        }
        utc = next;
    }
    return count;
}
