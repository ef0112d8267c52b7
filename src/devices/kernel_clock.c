#include <moonstand/laptop.h>
#include <moonstand/readings.h>

#include <math.h>
#include <sys/timex.h>

static const double kernel_interval_s = 60;

void kernel_clock_tick(struct kernel_clock *clock, double boot_s, struct readings *readings)
{
    struct timex answer = {.modes = 0};

    if (boot_s < clock->due_s)
        return;
    clock->due_s = boot_s + kernel_interval_s;
    int state = adjtimex(&answer);
    bool kept = state != TIME_ERROR && !(answer.status & STA_UNSYNC);
    readings->clock_synchronised = state == -1 ? -1 : kept;
    readings->clock_error_s = readings->clock_synchronised == 1 && answer.esterror > 0
                                  ? (double)answer.esterror / 1e6
                                  : NAN;
}
