/* Running a program of the user's beside the loop. */
#include "child.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

enum { ENVIRONMENT = 1024 };

/* Input, output and errors lead nowhere, but for the output that is asked for. */
static int prepare_files(posix_spawn_file_actions_t *actions, int output)
{
    int error = posix_spawn_file_actions_addopen(actions, 0, "/dev/null", O_RDONLY, 0);

    if (error == 0)
        error = output >= 0
                    ? posix_spawn_file_actions_adddup2(actions, output, 1)
                    : posix_spawn_file_actions_addopen(actions, 1, "/dev/null", O_WRONLY, 0);
    return error == 0 ? posix_spawn_file_actions_addopen(actions, 2, "/dev/null", O_WRONLY, 0)
                      : error;
}

/* A group of its own, and the signals as any program expects them: the loop has changed ours. */
static int prepare_signals(posix_spawnattr_t *attributes)
{
    sigset_t none, all;
    int error;

    (void)sigemptyset(&none);
    (void)sigfillset(&all);
    error = posix_spawnattr_setsigmask(attributes, &none);
    if (error == 0)
        error = posix_spawnattr_setsigdefault(attributes, &all);
    if (error == 0)
        error = posix_spawnattr_setpgroup(attributes, 0);
    return error == 0 ? posix_spawnattr_setflags(attributes, POSIX_SPAWN_SETSIGMASK |
                                                                 POSIX_SPAWN_SETSIGDEF |
                                                                 POSIX_SPAWN_SETPGROUP)
                      : error;
}

/* The environment with the facts before it, so that they are found first. */
static void fill_environment(char *out[ENVIRONMENT], char *const facts[])
{
    int count = 0;

    for (int i = 0; facts && facts[i] && count < ENVIRONMENT - 1; i++)
        out[count++] = facts[i];
    for (int i = 0; environ[i] && count < ENVIRONMENT - 1; i++)
        out[count++] = environ[i];
    out[count] = NULL;
}

static int spawn(struct child *child, const struct user_command *command, char *const facts[],
                 int output)
{
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    char words[COMMAND_TEXT], *argv[COMMAND_WORDS + 1] = {NULL}, *environment[ENVIRONMENT];
    char *at = words;
    int error;

    memcpy(words, command->text, sizeof words);
    for (int i = 0; i < command->count; i++, at += strlen(at) + 1)
        argv[i] = at;
    fill_environment(environment, facts);
    (void)posix_spawn_file_actions_init(&actions);
    (void)posix_spawnattr_init(&attributes);
    error = prepare_files(&actions, output);
    if (error == 0)
        error = prepare_signals(&attributes);
    if (error == 0)
        error = posix_spawnp(&child->pid, argv[0], &actions, &attributes, argv, environment);
    (void)posix_spawn_file_actions_destroy(&actions);
    (void)posix_spawnattr_destroy(&attributes);
    return error;
}

int child_start(struct child *child, const struct user_command *command, char *const facts[],
                bool output, double until_s, struct fault *fault)
{
    int ends[2] = {-1, -1}, error = 0;

    *child = (struct child){.fd = -1, .until_s = until_s};
    if (output && pipe2(ends, O_CLOEXEC) != 0)
        error = errno;
    if (error == 0)
        error = spawn(child, command, facts, ends[1]);
    if (ends[1] >= 0)
        (void)close(ends[1]);
    child->fd = ends[0];
    if (child->fd >= 0)
        (void)fcntl(child->fd, F_SETFL, O_NONBLOCK);
    if (error == 0)
        return 0;
    child->pid = 0;
    child_close(child);
    return fault_set(fault, "'%.60s' cannot be run: %s", command->text, strerror(error));
}

void child_close(struct child *child)
{
    if (child->fd >= 0)
        (void)close(child->fd);
    child->fd = -1;
}

void child_kill(struct child *child)
{
    if (child->pid > 0)
        (void)kill(-child->pid, SIGKILL);
}

/* Its group outlives it until it is waited for: what it has left behind is killed before. */
bool child_ended(struct child *child)
{
    siginfo_t info = {0};

    if (child->pid == 0)
        return true;
    if (waitid(P_PID, (id_t)child->pid, &info, WEXITED | WNOHANG | WNOWAIT) == 0 &&
        info.si_pid == 0)
        return false;
    child_kill(child);
    if (waitpid(child->pid, &child->status, WNOHANG) < 0)
        child->status = -1;
    child->pid = 0;
    return true;
}

void child_on_deadline(struct child *child, double boot_s)
{
    if (child->pid == 0 || child->late || boot_s < child->until_s)
        return;
    child->late = true;
    child_kill(child);
}
