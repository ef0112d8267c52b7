#include "app.h"

#include <math.h>
#include <time.h>

/* By so much the boot clock may fall behind the wall clock in a night. */
#define DRIFT_S 0.1

static double read_clock(clockid_t id)
{
    struct timespec now;

    clock_gettime(id, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static double machine_utc(const struct clock *clock)
{
    (void)clock;
    return read_clock(CLOCK_REALTIME);
}

static double machine_boot(const struct clock *clock)
{
    (void)clock;
    return read_clock(CLOCK_BOOTTIME);
}

static double shifted_utc(const struct clock *clock)
{
    return clock->utc_at_start + (read_clock(CLOCK_BOOTTIME) - clock->boot_at_start) * clock->speed;
}

void clock_machine(struct clock *clock)
{
    *clock = (struct clock){.utc = machine_utc, .boot = machine_boot, .speed = 1};
}

void clock_shifted(struct clock *clock, double utc, double speed)
{
    double wall = read_clock(CLOCK_REALTIME);

    /* Its seconds begin with the machine's, on which the screen is drawn: else one would be seen twice
     * and the next not at all, now and then. */
    if (speed == 1)
        utc = wall + round(utc - wall) + DRIFT_S;
    *clock = (struct clock){
        .utc = shifted_utc,
        .boot = machine_boot,
        .utc_at_start = utc,
        .boot_at_start = read_clock(CLOCK_BOOTTIME),
        .speed = speed,
    };
}
