/* devices: keeping the laptop awake. */
#ifndef MOONSTAND_KEEP_AWAKE_H
#define MOONSTAND_KEEP_AWAKE_H

#include <moonstand/program.h>
#include <moonstand/readings.h>

struct fault;

#define KEEP_AWAKE_PROGRAM "systemd-inhibit"

/* A lock against sleep, idling and the lid switch, held by KEEP_AWAKE_PROGRAM until this program
 * ends, even if that is killed. */
struct keep_awake {
    struct child child;
    enum awake state;
    double due_s; /* of the next try; INFINITY: not wanted */
};
void keep_awake_open(struct keep_awake *keep, bool wanted);
void keep_awake_close(struct keep_awake *keep);
/* Starts the program, checks whether it holds the lock, and starts it again some minutes after it
 * ended. -1 with a fault each time the lock is refused or lost. */
int keep_awake_tick(struct keep_awake *keep, double boot_s, struct fault *fault);

#endif
