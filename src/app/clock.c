#include "app.h"

#include <math.h>
#include <time.h>

static double read_clock(clockid_t id)
{
    struct timespec now;

    clock_gettime(id, &now);
    return seconds_of(now);
}

double machine_utc(void)
{
    return read_clock(CLOCK_REALTIME);
}

double machine_boot(void)
{
    return read_clock(CLOCK_BOOTTIME);
}

double machine_running(void)
{
    return read_clock(CLOCK_MONOTONIC);
}

static double boot_of(const struct clock *clock)
{
    (void)clock;
    return machine_boot();
}

/* At the machine's pace it shows each second once, as the screen is drawn on the machine's, and the boot
 * clock does not keep step with it. */
static double shown_utc(const struct clock *clock)
{
    double running = clock->speed == 1 ? machine_utc() : clock->speed * machine_boot();

    return running + clock->ahead_s;
}

void clock_machine(struct clock *clock)
{
    *clock = (struct clock){.utc = shown_utc, .boot = boot_of, .speed = 1};
}

void clock_shifted(struct clock *clock, double utc, double speed)
{
    *clock = (struct clock){.utc = shown_utc, .boot = boot_of, .speed = speed};
    clock->ahead_s = utc - shown_utc(clock);
    if (speed == 1)
        clock->ahead_s = round(clock->ahead_s);
}

void clock_forward(struct clock *clock, double by_s)
{
    clock->ahead_s += by_s;
}
