/* Private to the room: a program that is run beside the loop, bounded in every way. */
#ifndef MOONSTAND_CHILD_H
#define MOONSTAND_CHILD_H

#include <moonstand/fault.h>
#include <moonstand/program.h>
#include <moonstand/setup.h>

/* Starts the command without a shell, in a process group of its own, with no input and nothing on
 * the screen; `facts`: NAME=VALUE added to the environment, null-terminated, or null. With `output`
 * what it prints can be read from child->fd, which never blocks; without it that is lost. It may
 * run until `until_s`. It and all that it has started in its group end with this program, also if
 * that is killed; what has made a session of its own (setsid) is on its own. -1 with a fault if it
 * cannot be started. */
int child_start(struct child *child, const struct user_command *command, char *const facts[],
                bool output, double until_s, struct fault *fault);
/* Where it is still running past its time, it is killed with its whole group. */
void child_on_deadline(struct child *child, double boot_s);
/* Looks, without waiting, whether it has ended; what it leaves behind is then killed. */
bool child_ended(struct child *child);
/* Kills it with its group; harmless where it is not running. */
void child_kill(struct child *child);
/* Closes what it prints. */
void child_close(struct child *child);

#endif
