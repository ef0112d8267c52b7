/* The box: a child with resource limits and a seccomp filter, for files from anywhere. */
#include "box.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#if defined __x86_64__ && defined __LP64__
#define MACHINE AUDIT_ARCH_X86_64
#elif defined __i386__
#define MACHINE AUDIT_ARCH_I386
#elif defined __aarch64__
#define MACHINE AUDIT_ARCH_AARCH64
#elif defined __arm__ && defined __ARM_EABI__
#define MACHINE AUDIT_ARCH_ARM
#elif defined __riscv && __riscv_xlen == 64
#define MACHINE AUDIT_ARCH_RISCV64
#endif

/* How the child ends if the box cannot be closed; the work itself ends with 0. */
enum { STATUS_OPEN_BOX = 3, OUTPUT = 1 };

#ifdef MACHINE
/* ---- the filter ---- */

/* All these machines are little-endian: the low half of an argument comes first. */
#define LOAD(field) BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, field))
#define RETURN(what) BPF_STMT(BPF_RET | BPF_K, what)
#define SKIP_UNLESS(value, count) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, value, 0, count)
#define SKIP_UNLESS_SET(bits, count) BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, bits, 0, count)
#define SKIP_IF_SET(bits, count) BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, bits, count, 0)

#define ALLOW(call) SKIP_UNLESS(call, 1), RETURN(SECCOMP_RET_ALLOW)
/* Only on this descriptor. */
#define ALLOW_ON(call, file)                                                                       \
    SKIP_UNLESS(call, 4), LOAD(args[0]), SKIP_UNLESS(file, 1), RETURN(SECCOMP_RET_ALLOW),          \
        RETURN(SECCOMP_RET_KILL_PROCESS)
/* Only memory of no file, and not to be executed. */
#define ALLOW_MAP(call)                                                                            \
    SKIP_UNLESS(call, 6), LOAD(args[3]), SKIP_UNLESS_SET(MAP_ANONYMOUS, 3), LOAD(args[2]),         \
        SKIP_IF_SET(PROT_EXEC, 1), RETURN(SECCOMP_RET_ALLOW), RETURN(SECCOMP_RET_KILL_PROCESS)

static struct sock_filter filter[] = {
    LOAD(arch),
    BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, MACHINE, 1, 0),
    RETURN(SECCOMP_RET_KILL_PROCESS),
    LOAD(nr),
    ALLOW_ON(__NR_read, BOX_INPUT),
    ALLOW_ON(__NR_write, OUTPUT),
#ifdef __NR_mmap2
    ALLOW_MAP(__NR_mmap2),
#else
    ALLOW_MAP(__NR_mmap),
#endif
    ALLOW(__NR_munmap),
    ALLOW(__NR_mremap),
    ALLOW(__NR_madvise),
    ALLOW(__NR_brk),
    ALLOW(__NR_lseek),
#ifdef __NR__llseek
    ALLOW(__NR__llseek),
#endif
    ALLOW(__NR_futex),
    ALLOW(__NR_clock_gettime),
#ifdef __NR_clock_gettime64
    ALLOW(__NR_clock_gettime64),
#endif
    ALLOW(__NR_rt_sigreturn),
    ALLOW(__NR_exit),
    ALLOW(__NR_exit_group),
    RETURN(SECCOMP_RET_KILL_PROCESS),
};

static bool close_box(void)
{
    const struct sock_fprog program = {.len = sizeof filter / sizeof filter[0], .filter = filter};

    return prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}
#else
/* No filter is known for this machine: nothing is opened. */
static bool close_box(void)
{
    return false;
}
#endif

/* ---- the child ---- */

static bool limit(__rlimit_resource_t what, rlim_t most)
{
    const struct rlimit limits = {.rlim_cur = most, .rlim_max = most};

    return setrlimit(what, &limits) == 0;
}

static bool set_limits(const struct box_limits *limits)
{
    const struct sigaction usual = {.sa_handler = SIG_DFL};
    sigset_t none;

    for (int number = 1; number < NSIG; number++)
        (void)sigaction(number, &usual, NULL);
    (void)sigemptyset(&none);
    (void)alarm((unsigned)limits->wall_s);
    return sigprocmask(SIG_SETMASK, &none, NULL) == 0 &&
           (limits->memory == 0 || limit(RLIMIT_AS, limits->memory)) &&
           limit(RLIMIT_CPU, (rlim_t)limits->cpu_s) && limit(RLIMIT_FSIZE, 0) &&
           limit(RLIMIT_CORE, 0) && limit(RLIMIT_NPROC, 0) && limit(RLIMIT_NOFILE, 0);
}

/* The file and the pipe as the only descriptors that the filter lets through. */
static bool set_descriptors(int file, int output)
{
    /* Out of each other's way first. */
    int in = fcntl(file, F_DUPFD_CLOEXEC, OUTPUT + 1);
    int out = fcntl(output, F_DUPFD_CLOEXEC, OUTPUT + 1);

    return in >= 0 && out >= 0 && dup2(in, BOX_INPUT) == BOX_INPUT && dup2(out, OUTPUT) == OUTPUT;
}

struct task {
    const struct box_limits *limits;
    box_work *work;
    const void *context;
    void *answer;
    size_t answer_size;
};

_Noreturn static void live_in_box(const struct task *task, int file, size_t size, int output,
                                  pid_t parent)
{
    if (!set_descriptors(file, output) || prctl(PR_SET_PDEATHSIG, SIGKILL) != 0 ||
        getppid() != parent || prctl(PR_SET_DUMPABLE, 0) != 0 ||
        prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0 || !set_limits(task->limits) || !close_box())
        _exit(STATUS_OPEN_BOX);
    task->work(size, task->answer, task->context);
    _exit(write(OUTPUT, task->answer, task->answer_size) != (ssize_t)task->answer_size);
}

/* ---- the parent ---- */

static int explain(int status, struct fault *fault)
{
    if (WIFEXITED(status) && WEXITSTATUS(status) == STATUS_OPEN_BOX)
        return fault_set(fault, "not read: this machine cannot isolate the reader (seccomp)");
    if (WIFSIGNALED(status) && WTERMSIG(status) == SIGSYS)
        return fault_set(fault, "refused: reading it tried what a picture must not do");
    if (WIFSIGNALED(status) &&
        (WTERMSIG(status) == SIGXCPU || WTERMSIG(status) == SIGKILL || WTERMSIG(status) == SIGALRM))
        return fault_set(fault, "refused: reading it took too long");
    return fault_set(fault, "refused: reading it failed");
}

/* Reads until the answer is complete or the child has ended. */
static bool read_answer(int from, void *answer, size_t size)
{
    uint8_t *at = answer;

    while (size > 0) {
        ssize_t count = read(from, at, size);

        if (count < 0 && errno == EINTR)
            continue;
        if (count <= 0)
            return false;
        at += count;
        size -= (size_t)count;
    }
    return true;
}

int box_run(int file, size_t size, const struct box_limits *limits, box_work *work,
            const void *context, void *answer, size_t answer_size, struct fault *fault)
{
    const struct task task = {limits, work, context, answer, answer_size};
    int ends[2], status = 0;
    pid_t parent = getpid(), child;
    bool complete;

    if (pipe2(ends, O_CLOEXEC) != 0)
        return fault_set(fault, "cannot create a pipe: %s", strerror(errno));
    child = fork();
    if (child == 0)
        live_in_box(&task, file, size, ends[1], parent);
    (void)close(ends[1]);
    if (child < 0) {
        (void)close(ends[0]);
        return fault_set(fault, "cannot start a process: %s", strerror(errno));
    }
    complete = read_answer(ends[0], answer, answer_size);
    (void)close(ends[0]);
    while (waitpid(child, &status, 0) < 0)
        if (errno != EINTR)
            return fault_set(fault, "cannot wait for the reader: %s", strerror(errno));
    return complete && WIFEXITED(status) && WEXITSTATUS(status) == 0 ? 0 : explain(status, fault);
}
