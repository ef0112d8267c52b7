/* Private to devices: the kernel's answer about its clock, apart from the asking. */
#ifndef MOONSTAND_DEVICES_KERNEL_CLOCK_H
#define MOONSTAND_DEVICES_KERNEL_CLOCK_H

#include <moonstand/laptop.h>
#include <sys/timex.h>

/* `state` is what adjtimex returned, `answer` what it filled in. */
void kernel_clock_note(struct kernel_clock *clock, int state, const struct timex *answer);

#endif
