/* Where and when the tests of a night take place: at 62 N 60 E by UTC, at the total eclipse of
 * 2028-12-31, with all that is built in. */
#ifndef MOONSTAND_TESTS_RIDGE_H
#define MOONSTAND_TESTS_RIDGE_H

#include <moonstand/instant.h>
#include <moonstand/pick.h>
#include <moonstand/setup.h>

static inline int ridge(struct setup *setup, struct zone_table *zone, struct eclipse *eclipse)
{
    setup_default(setup);
    setup->has_site = true;
    setup->site.latitude_deg = 62;
    setup->site.longitude_deg = 60;
    zone_utc(zone);
    return eclipse_of_day(1861833600, SHADOW_DANJON, eclipse) ? 0 : -1; /* 2028-12-31 */
}

#endif
