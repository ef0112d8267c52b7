/* The box: a child with resource limits and a seccomp filter, for files from anywhere. */
#include "box.h"

#include <moonstand/program.h>

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <signal.h>
#include <stdbool.h>
#include <stddef.h>
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
enum { STATUS_OPEN_BOX = 3 };
#ifdef MACHINE
/* ---- the filter ---- */

/* All these machines are little-endian: the low half of an argument comes first. */
#define LOAD(field) BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, field))
#define RETURN(what) BPF_STMT(BPF_RET | BPF_K, what)
#define SKIP_UNLESS(value, count) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, value, 0, count)
#define SKIP_UNLESS_SET(bits, count) BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, bits, 0, count)
#define SKIP_IF_SET(bits, count) BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, bits, count, 0)

#define ALLOW(call) SKIP_UNLESS(call, 1), RETURN(SECCOMP_RET_ALLOW)
/* Only on the first descriptors, so many of them. */
#define ALLOW_ON(call, first)                                                                      \
    SKIP_UNLESS(call, 4), LOAD(args[0]), BPF_JUMP(BPF_JMP | BPF_JGE | BPF_K, first, 1, 0),         \
        RETURN(SECCOMP_RET_ALLOW), RETURN(SECCOMP_RET_KILL_PROCESS)
/* Only memory of no file, and not to be executed. */
#define ALLOW_MAP(call)                                                                            \
    SKIP_UNLESS(call, 6), LOAD(args[3]), SKIP_UNLESS_SET(MAP_ANONYMOUS, 3), LOAD(args[2]),         \
        SKIP_IF_SET(PROT_EXEC, 1), RETURN(SECCOMP_RET_ALLOW), RETURN(SECCOMP_RET_KILL_PROCESS)

static bool close_box(uint32_t files)
{
    struct sock_filter filter[] = {
        LOAD(arch),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, MACHINE, 1, 0),
        RETURN(SECCOMP_RET_KILL_PROCESS),
        LOAD(nr),
        ALLOW_ON(__NR_read, files),
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
    const struct sock_fprog program = {.len = sizeof filter / sizeof filter[0], .filter = filter};

    return prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}
#else
/* No filter is known for this machine: nothing is opened. */
static bool close_box(uint32_t files)
{
    (void)files;
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
    if (!signals_reset())
        return false;
    (void)alarm((unsigned)limits->wall_s);
    return (limits->memory == 0 || limit(RLIMIT_AS, limits->memory)) &&
           limit(RLIMIT_CPU, (rlim_t)limits->cpu_s) && limit(RLIMIT_FSIZE, 0) &&
           limit(RLIMIT_CORE, 0) && limit(RLIMIT_NPROC, 0) && limit(RLIMIT_NOFILE, 0);
}

/* The files as the first descriptors: the filter lets no others through. */
static bool set_descriptors(const struct box_file *files, int count)
{
    int source[BOX_FILES];

    /* Out of each other's way first. */
    for (int i = 0; i < count; i++)
        source[i] = fcntl(files[i].file, F_DUPFD_CLOEXEC, count);
    for (int i = 0; i < count; i++)
        if (source[i] < 0 || dup2(source[i], i) != i)
            return false;
    return true;
}

/* What comes back: memory that both processes see. */
struct told {
    int answered;
    _Alignas(max_align_t) uint8_t answers[];
};

_Noreturn static void live_in_box(const struct box_task *task, const struct box_file *files,
                                  int count, struct told *told, pid_t parent)
{
    if (!set_descriptors(files, count) || prctl(PR_SET_PDEATHSIG, SIGKILL) != 0 ||
        getppid() != parent || prctl(PR_SET_DUMPABLE, 0) != 0 ||
        prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0 || !set_limits(&task->limits) ||
        !close_box((uint32_t)count))
        _exit(STATUS_OPEN_BOX);
    for (int i = 0; i < count; i++) {
        task->work(i, files[i].size, told->answers + (size_t)i * task->answer_size,
                   task->context);
        told->answered = i + 1;
    }
    _exit(0);
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

static int cannot(struct fault *fault, const char *what)
{
    (void)fault_set(fault, "cannot %s: %s", what, strerror(errno));
    return 0;
}

int box_run(const struct box_task *task, const struct box_file *files, int count, void *answers,
            struct fault *fault)
{
    size_t size = (size_t)count * task->answer_size;
    struct told *told = mmap(NULL, sizeof *told + size, PROT_READ | PROT_WRITE,
                             MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    pid_t parent = getpid(), child;
    int status = 0, answered;

    if (told == MAP_FAILED)
        return cannot(fault, "share memory");
    memcpy(told->answers, answers, size);
    child = fork();
    if (child == 0)
        live_in_box(task, files, count, told, parent);
    while (child > 0 && waitpid(child, &status, 0) < 0 && errno == EINTR)
        continue;
    /* Now nobody changes it any more. */
    answered = told->answered;
    memcpy(answers, told->answers, size);
    (void)munmap(told, sizeof *told + size);
    if (child < 0)
        return cannot(fault, "start a process");
    if (answered == count && WIFEXITED(status) && WEXITSTATUS(status) == 0)
        return count;
    (void)explain(status, fault);
    return answered < 0 || answered >= count ? count - 1 : answered;
}
