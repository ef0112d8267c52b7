/* devices: keeping the laptop awake. */
#ifndef MOONSTAND_KEEP_AWAKE_H
#define MOONSTAND_KEEP_AWAKE_H

#include <moonstand/program.h>
#include <moonstand/readings.h>

struct fault;

#define KEEP_AWAKE_PROGRAM "systemd-inhibit"

/* A lock against sleep, idling and the lid's switch, held by KEEP_AWAKE_PROGRAM; it ends with this
 * program, also if that is killed. */
struct keep_awake {
    struct child child;
    enum awake state;
    double due_s; /* when to try; INFINITY: not wanted */
};
void keep_awake_open(struct keep_awake *keep, bool wanted);
void keep_awake_close(struct keep_awake *keep);
/* Starts the program, looks whether it holds the lock, and tries again if it has ended; once a
 * second, never waits. -1 with a fault each time that it is refused. */
int keep_awake_on_deadline(struct keep_awake *keep, double boot_s, struct fault *fault);
/* Writes awake. */
void keep_awake_fill(const struct keep_awake *keep, struct readings *readings);

#endif
