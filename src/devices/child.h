/* Private to the room: runs a program beside the loop, bounded in every way. */
#ifndef MOONSTAND_CHILD_H
#define MOONSTAND_CHILD_H

#include <moonstand/fault.h>
#include <moonstand/program.h>
#include <moonstand/setup.h>

/* Starts a command without a shell, in its own process group, with no input. `facts`: NAME=VALUE to
 * add to the environment, null-terminated; or null. With `output`, what it prints can be read from
 * child->fd, which never blocks; otherwise it is discarded. It may run until `until_s`. It ends
 * with this program, with everything in its group, even if this program is killed; only a process
 * that starts a new session (setsid) escapes. -1 with a fault if it cannot start. */
int child_start(struct child *child, const struct user_command *command, char *const facts[],
                bool output, double until_s, struct fault *fault);
/* Kills it with its group if it runs past its time. */
void child_tick(struct child *child, double boot_s);
/* Returns whether it has ended, without waiting; if so, kills what is left of its group. */
bool child_ended(struct child *child);
/* Kills it with its group; harmless if it is not running. */
void child_kill(struct child *child);
/* Closes the pipe of its output. */
void child_close(struct child *child);

#endif
