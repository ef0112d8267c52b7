#include "child.h"

#include <moonstand/keep_awake.h>

#include <math.h>
#include <unistd.h>

/* Until the next try: a restarted login manager forgets its locks. */
#define AGAIN_S 300.0

/* Prints a word once it holds the lock, then sleeps. */
static const struct user_command holder = {
    .count = 8,
    .text = KEEP_AWAKE_PROGRAM "\0"
                               "--what=sleep:idle:handle-lid-switch\0"
                               "--who=Moonstand\0"
                               "--why=A lunar eclipse is being photographed\0"
                               "--mode=block\0"
                               "sh\0"
                               "-c\0"
                               "echo held; exec sleep infinity",
};

void keep_awake_open(struct keep_awake *keep, bool wanted)
{
    *keep = (struct keep_awake){.child = {.fd = -1},
                                .state = wanted ? AWAKE_UNKNOWN : AWAKE_NOT,
                                .due_s = wanted ? -INFINITY : INFINITY};
}

void keep_awake_close(struct keep_awake *keep)
{
    child_kill(&keep->child);
    child_close(&keep->child);
}

int keep_awake_tick(struct keep_awake *keep, double boot_s, struct fault *fault)
{
    const struct child_plan plan = {.output = true, .until_s = INFINITY};
    char word[16];

    if (keep->child.pid > 0) {
        if (keep->state != AWAKE_HELD && read(keep->child.fd, word, sizeof word) > 0)
            keep->state = AWAKE_HELD;
        if (!child_ended(&keep->child))
            return 0;
        child_close(&keep->child);
        keep->state = AWAKE_NOT;
        keep->due_s = boot_s + AGAIN_S;
        return fault_set(fault, "%s holds no lock: the laptop may sleep", KEEP_AWAKE_PROGRAM);
    }
    if (boot_s < keep->due_s)
        return 0;
    keep->due_s = boot_s + AGAIN_S;
    /* Without the program there is nothing to report beyond the state. */
    if (child_start(&keep->child, &holder, &plan, fault) != 0)
        keep->state = AWAKE_NOT;
    return 0;
}
