#include "child.h"

#include <moonstand/keep_awake.h>

#include <math.h>
#include <unistd.h>

/* Until the next try: a restarted login manager forgets its locks. */
#define AGAIN_S 300.0

/* Prints a word once it holds the lock, then sleeps. */
static const char *const words[] = {
    KEEP_AWAKE_PROGRAM,
    "--what=sleep:idle:handle-lid-switch",
    "--who=Moonstand",
    "--why=A lunar eclipse is being photographed",
    "--mode=block",
    "sh",
    "-c",
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

static int start(struct keep_awake *keep, struct fault *fault)
{
    struct user_command command = {0};

    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        (void)command_add(&command, words[i]);
    return child_start(&keep->child, &command,
                       &(struct child_plan){.output = true, .until_s = INFINITY}, fault);
}

int keep_awake_tick(struct keep_awake *keep, double boot_s, struct fault *fault)
{
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
    if (start(keep, fault) != 0)
        keep->state = AWAKE_NOT;
    return 0;
}

void keep_awake_fill(const struct keep_awake *keep, struct readings *readings)
{
    readings->awake = keep->state;
}
