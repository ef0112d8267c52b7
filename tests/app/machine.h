/* The clocks of the machine in the place of src/app/clock.c: those of the test's own. */
#ifndef TESTS_APP_MACHINE_H
#define TESTS_APP_MACHINE_H

#include "../../src/app/app.h"
#include "lived.h"

double machine_utc(void)
{
    return now.utc;
}

double machine_boot(void)
{
    return now.boot;
}

double machine_running(void)
{
    return now.boot;
}

void clock_machine(struct clock *clock)
{
    *clock = test_clock;
}

void clock_shifted(struct clock *clock, double utc, double speed)
{
    (void)utc;
    (void)speed;
    *clock = test_clock;
}

void clock_forward(struct clock *clock, double by_s)
{
    (void)clock;
    (void)by_s;
}

#endif
