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

static double moved_utc(const struct clock *clock)
{
    return machine_utc() + clock->ahead_s;
}

static double shifted_utc(const struct clock *clock)
{
    return clock->utc_at_start + (machine_boot() - clock->boot_at_start) * clock->speed;
}

void clock_machine(struct clock *clock)
{
    *clock = (struct clock){.utc = moved_utc, .boot = boot_of, .speed = 1};
}

void clock_shifted(struct clock *clock, double utc, double speed)
{
    *clock = (struct clock){
        .utc = shifted_utc,
        .boot = boot_of,
        .utc_at_start = utc,
        .boot_at_start = machine_boot(),
        .speed = speed,
    };
    if (speed != 1)
        return;
    /* Whole seconds from the machine's clock: it shows each second once, as the screen is drawn on
     * the machine's, and the boot clock does not keep step with it. */
    clock->utc = moved_utc;
    clock->ahead_s = round(utc - machine_utc());
}

void clock_forward(struct clock *clock, double by_s)
{
    clock->ahead_s += by_s;
    clock->utc_at_start += by_s;
}
