/* The night that a test lives on the ridge, and its instants. */
#ifndef MOONSTAND_TESTS_RIDGE_NIGHT_H
#define MOONSTAND_TESTS_RIDGE_NIGHT_H

#include "night/ridge.h"

#include <moonstand/night.h>

#include <stdlib.h>

static struct eclipse eclipse;
static struct night *night;

/* The setup and zone of `ridge` in the air of that night. */
static inline int ridge_in_the_cold(struct setup *setup, struct zone_table *zone)
{
    int status = ridge(setup, zone, &eclipse);

    setup->site.temperature_c = -22;
    return status;
}

/* Opens it with the setup and zone of `ridge`, as far as the test has not changed them. */
static inline int ridge_open(const struct setup *setup, const struct zone_table *zone,
                             bool rehearsal)
{
    night = calloc(1, sizeof *night);
    return night ? night_open(night, setup, &eclipse, zone, rehearsal, NULL) : -1;
}

static inline int ridge_close(void **state)
{
    (void)state;
    night_close(night);
    free(night);
    return 0;
}

static inline double at(enum contact which, double after_s)
{
    return utc_from_tt(eclipse.tt[which]) + after_s;
}

#endif
