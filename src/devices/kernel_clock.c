#include "kernel_clock.h"

#include <moonstand/readings.h>

#include <math.h>

static const double interval_s = 60;

void kernel_clock_open(struct kernel_clock *clock)
{
    *clock = (struct kernel_clock){.due_s = -INFINITY, .synchronised = -1, .error_s = NAN};
}

void kernel_clock_note(struct kernel_clock *clock, int state, const struct timex *answer)
{
    clock->synchronised = -1;
    clock->error_s = NAN;
    if (state == -1)
        return;
    clock->synchronised = state != TIME_ERROR && !(answer->status & STA_UNSYNC);
    if (clock->synchronised && answer->esterror > 0)
        clock->error_s = (double)answer->esterror / 1e6;
}

void kernel_clock_tick(struct kernel_clock *clock, double boot_s)
{
    struct timex answer = {.modes = 0};

    if (boot_s < clock->due_s)
        return;
    clock->due_s = boot_s + interval_s;
    kernel_clock_note(clock, adjtimex(&answer), &answer);
}

void kernel_clock_fill(const struct kernel_clock *clock, struct readings *readings)
{
    readings->clock_synchronised = clock->synchronised;
    readings->clock_error_s = clock->error_s;
}
