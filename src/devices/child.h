/* Private to the room: runs a program beside the loop, bounded in every way. */
#ifndef MOONSTAND_CHILD_H
#define MOONSTAND_CHILD_H

#include <moonstand/fault.h>
#include <moonstand/program.h>
#include <moonstand/setup.h>

/* What a command is given. */
struct child_plan {
    const char *input;  /* text for its standard input; null: none */
    char *const *facts; /* NAME=VALUE to add to the environment, null-terminated; or null */
    bool output;        /* what it prints can be read from child->fd, which never blocks; else it is
                             discarded */
    double until_s;     /* it may run until then */
};
/* Starts a command without a shell, in its own process group. It ends
 * with this program, with everything in its group, even if this program is killed; only a process
 * that starts a new session (setsid) escapes. -1 with a fault if it cannot start. */
int child_start(struct child *child, const struct user_command *command,
                const struct child_plan *plan, struct fault *fault);
/* Returns whether it has ended, without waiting; if so, kills what is left of its group. */
bool child_ended(struct child *child);
/* The same; kills it with its group if it runs past its time. */
bool child_tick(struct child *child, double boot_s);
/* Kills it with its group; harmless if it is not running. */
void child_kill(struct child *child);
/* Closes the pipe of its output. */
void child_close(struct child *child);

#endif
