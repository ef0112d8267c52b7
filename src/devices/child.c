#include "child.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

enum { ENVIRONMENT = 1024 };
#define FACT_PREFIX "MOONSTAND_"

bool signals_reset(void)
{
    const struct sigaction usual = {.sa_handler = SIG_DFL};
    sigset_t none;

    for (int number = 1; number < NSIG; number++)
        (void)sigaction(number, &usual, NULL);
    (void)sigemptyset(&none);
    return sigprocmask(SIG_SETMASK, &none, NULL) == 0;
}

/* Connects the standard streams to /dev/null, except for input and output if asked for. */
static void change_streams(int input, int output)
{
    int nowhere = open("/dev/null", O_RDWR | O_CLOEXEC);

    (void)dup2(input >= 0 ? input : nowhere, STDIN_FILENO);
    (void)dup2(output >= 0 ? output : nowhere, STDOUT_FILENO);
    (void)dup2(nowhere, STDERR_FILENO);
}

static void kill_group(int number)
{
    (void)number;
    (void)kill(0, SIGKILL);
}

/* Exits the way the command did. */
static void end_like(pid_t command)
{
    int status = 0;

    while (waitpid(command, &status, 0) < 0 && errno == EINTR)
        continue;
    if (WIFSIGNALED(status)) {
        /* The command has dumped its own core, if any. */
        (void)prctl(PR_SET_DUMPABLE, 0);
        (void)raise(WTERMSIG(status));
    }
    _exit(WEXITSTATUS(status));
}

/* Runs in a process between us and the command: if we are killed, the kernel signals it, and it
 * kills the whole group (the kernel alone would kill the command but not what that has started).
 * Forks again and returns in the process that becomes the command; only async-signal-safe calls. */
static void keep(pid_t parent, const int streams[2], int answer)
{
    const struct sigaction killer = {.sa_handler = kill_group};
    pid_t self = getpid(), command;

    (void)setpgid(0, 0);
    (void)signals_reset();
    (void)sigaction(SIGTERM, &killer, NULL);
    (void)prctl(PR_SET_PDEATHSIG, SIGTERM);
    if (getppid() != parent)
        _exit(EXIT_FAILURE);
    command = fork();
    if (command == 0) {
        (void)signals_reset();
        (void)prctl(PR_SET_PDEATHSIG, SIGKILL);
        if (getppid() != self)
            _exit(EXIT_FAILURE);
        change_streams(streams[0], streams[1]);
        return;
    }
    int error = errno;
    if (command < 0)
        (void)!write(answer, &error, sizeof error);
    change_streams(-1, -1);
    /* Do not hold the journal's lock, the terminal or the pipes. */
    (void)close_range(STDERR_FILENO + 1, ~0U, 0);
    if (command < 0)
        _exit(EXIT_FAILURE);
    end_like(command);
}

/* Joins the facts and the environment, without facts we inherited (when a hook started us): of two
 * with one name some programs take the first, shells the last. */
static void fill_environment(char *out[ENVIRONMENT], char *const facts[])
{
    int count = 0;

    for (int i = 0; facts && facts[i] && count < ENVIRONMENT - 1; i++)
        out[count++] = facts[i];
    for (int i = 0; environ[i] && count < ENVIRONMENT - 1; i++)
        if (strncmp(environ[i], FACT_PREFIX, strlen(FACT_PREFIX)) != 0)
            out[count++] = environ[i];
    out[count] = NULL;
}

/* 0 or an errno, which the new process reports if it could not become the command. */
static int spawn(struct child *child, const struct user_command *command, char *const facts[],
                 const int streams[2])
{
    char words[COMMAND_TEXT], *argv[COMMAND_WORDS + 1] = {NULL}, *environment[ENVIRONMENT];
    char *at = words;
    pid_t parent = getpid();
    int answer[2], error = 0;

    memcpy(words, command->text, sizeof words);
    for (int i = 0; i < command->count; i++, at += strlen(at) + 1)
        argv[i] = at;
    fill_environment(environment, facts);
    if (pipe2(answer, O_CLOEXEC) != 0)
        return errno;
    child->pid = fork();
    if (child->pid == 0) {
        keep(parent, streams, answer[1]);
        (void)execvpe(words, argv, environment);
        error = errno;
        (void)!write(answer[1], &error, sizeof error);
        _exit(EXIT_FAILURE);
    }
    if (child->pid < 0)
        error = errno;
    (void)close(answer[1]);
    /* exec closes the pipe without a word. */
    if (child->pid > 0 && read(answer[0], &error, sizeof error) > 0)
        (void)waitpid(child->pid, NULL, 0);
    (void)close(answer[0]);
    return error;
}

/* A file in memory with a text, to be read from its start; -1 if there is no text or no memory. */
static int input_of(const char *text)
{
    size_t length = text ? strlen(text) : 0;
    int fd = length > 0 ? memfd_create("input", MFD_CLOEXEC) : -1;

    if (fd >= 0 && (write(fd, text, length) != (ssize_t)length || lseek(fd, 0, SEEK_SET) != 0)) {
        (void)close(fd);
        return -1;
    }
    return fd;
}

int child_start(struct child *child, const struct user_command *command,
                const struct child_plan *plan, struct fault *fault)
{
    int ends[2] = {-1, -1}, error = 0;

    *child = (struct child){.fd = -1, .until_s = plan->until_s};
    if (plan->output && pipe2(ends, O_CLOEXEC) != 0)
        error = errno;
    int input = input_of(plan->input);
    if (error == 0)
        error = spawn(child, command, plan->facts, (const int[2]){input, ends[1]});
    if (input >= 0)
        (void)close(input);
    if (ends[1] >= 0)
        (void)close(ends[1]);
    child->fd = ends[0];
    if (child->fd >= 0)
        (void)fcntl(child->fd, F_SETFL, O_NONBLOCK);
    if (error == 0)
        return 0;
    child->pid = 0;
    child_close(child);
    return fault_set(fault, "cannot run '%.60s': %s", command->text, strerror(error));
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

/* The group can be killed only before the child is reaped. */
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

bool child_tick(struct child *child, double boot_s)
{
    if (child->pid > 0 && !child->late && boot_s >= child->until_s) {
        child->late = true;
        child_kill(child);
    }
    return child_ended(child);
}
