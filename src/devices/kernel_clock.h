/* Private to the room: what follows from the kernel's answer about its clock; tests give their
 * own. */
#ifndef MOONSTAND_DEVICES_KERNEL_CLOCK_H
#define MOONSTAND_DEVICES_KERNEL_CLOCK_H

#include <moonstand/laptop.h>
#include <sys/timex.h>

/* `state`: what adjtimex returned; `answer`: what it filled in. */
void kernel_clock_note(struct kernel_clock *clock, int state, const struct timex *answer);

#endif
