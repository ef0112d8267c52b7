/* One ppoll() over keys, devices, the terminal's readiness, signals and a timer that fires on whole seconds of the wall
 * clock. */
#ifndef MOONSTAND_LOOP_H
#define MOONSTAND_LOOP_H

#include <moonstand/fault.h>

#include <signal.h>

enum { LOOP_FD_KEYS, LOOP_FD_GPS, LOOP_FD_JOURNAL, LOOP_FD_SENSOR, LOOP_FD_OUT, LOOP_FDS };
/* What has happened: at which descriptor, and what else. */
enum {
    LOOP_KEYS = 1 << LOOP_FD_KEYS,
    LOOP_GPS = 1 << LOOP_FD_GPS,
    LOOP_JOURNAL = 1 << LOOP_FD_JOURNAL,
    LOOP_SENSOR = 1 << LOOP_FD_SENSOR,
    LOOP_OUT = 1 << LOOP_FD_OUT, /* what waits for the terminal can be written */
    LOOP_TICK = 1 << LOOP_FDS,
    LOOP_RESIZE = 2 << LOOP_FDS,
    LOOP_QUIT = 4 << LOOP_FDS
};

struct loop {
    int signal_fd, timer_fd;
    sigset_t mask_before;
};

/* Blocks and ignores the signals that the loop answers for, before anything has changed that they
 * must not leave behind; takes the descriptors. Those that end a program by default end the loop.
 * -1 with a fault. */
int loop_open(struct loop *loop, struct fault *fault);
/* Closes the descriptors; the signals are as before, but for those that are ignored. */
void loop_close(struct loop *loop);
/* Starts the ticks. */
void loop_arm(struct loop *loop);
/* Waits for anything of `fds` (-1: not there), a signal or a tick; a set of LOOP_ bits. */
unsigned loop_wait(struct loop *loop, const int fds[LOOP_FDS]);

#endif
