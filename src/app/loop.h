/* One ppoll() over keys, devices, signals and a timer that fires on whole seconds of the wall
 * clock. */
#ifndef MOONSTAND_LOOP_H
#define MOONSTAND_LOOP_H

#include <moonstand/base.h>

enum {
    LOOP_TICK = 1,
    LOOP_KEYS = 2,
    LOOP_GPS = 4,
    LOOP_JOURNAL = 8,
    LOOP_RESIZE = 16,
    LOOP_QUIT = 32,
    LOOP_SENSOR = 64
};
enum { LOOP_FD_KEYS, LOOP_FD_GPS, LOOP_FD_JOURNAL, LOOP_FD_SENSOR, LOOP_FDS };

struct loop {
    int signal_fd, timer_fd;
};

/* Blocks and ignores the signals that the loop answers for; takes the descriptors. -1 with a fault.
 */
int loop_open(struct loop *loop, struct fault *fault);
void loop_close(struct loop *loop);
/* Starts the ticks. */
void loop_arm(struct loop *loop);
/* Waits for anything of `fds` (-1: not there), a signal or a tick; a set of LOOP_ bits. */
unsigned loop_wait(struct loop *loop, const int fds[LOOP_FDS]);

#endif
