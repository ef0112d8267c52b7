/* What the tests of eclipses share: dates and rows of the catalogue. */
#ifndef MOONSTAND_TESTS_ROWS_H
#define MOONSTAND_TESTS_ROWS_H

#include <moonstand/eclipse.h>
#include <moonstand/instant.h>

#include "csv.h"

/* A date and a time of day in TT. */
static inline double tt_of(int year, int month, int day, const char *clock)
{
    struct civil civil = {.year = year, .month = month, .day = day};

    if (sscanf(clock, "%d:%d:%lf", &civil.hour, &civil.minute, &civil.second) < 2)
        fail_msg("'%s' is no time of day", clock);
    return seconds_from_civil(&civil) -
           seconds_from_civil(&(struct civil){.year = 2000, .month = 1, .day = 1, .hour = 12});
}

static inline double row_tt(const struct csv *csv, const char *column)
{
    return tt_of((int)csv_number(csv, "year"), (int)csv_number(csv, "month"),
                 (int)csv_number(csv, "day"), csv_text(csv, column));
}

/* The eclipse within half a day of `tt`. */
static inline struct eclipse eclipse_of(double tt, enum shadow_rule rule)
{
    struct eclipse eclipse;

    assert_int_equal(
        eclipse_search(tt - SECONDS_PER_DAY / 2, tt + SECONDS_PER_DAY / 2, rule, &eclipse, 1), 1);
    return eclipse;
}

#endif
