/* The box: work in it that tries to get out is ended, whatever it tries. */
#include "../../src/app/box.h"

#include <fcntl.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/ptrace.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <setjmp.h>
#include <stdarg.h>

#include <cmocka.h>

#if defined(__SANITIZE_ADDRESS__)
#define SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define SANITIZED 1
#endif
#endif
#ifndef SANITIZED
#define SANITIZED 0
#endif

/* A sanitizer needs more of the kernel than honest work does: with one only what must end is tried. */
static const struct box_limits limits = {
    .cpu_s = 10, .wall_s = 30, .memory = SANITIZED ? 0 : (size_t)900 << 20};
static const struct box_limits short_limits = {.cpu_s = 1, .wall_s = 20};
static const struct box_limits short_wait = {.cpu_s = 20, .wall_s = 1};

struct answer {
    int sum;
    char text[64];
};

static char folder[] = "/tmp/moonstand-box-XXXXXX";
static char target[64];

static int make_input(const char *text)
{
    int file = memfd_create("input", MFD_CLOEXEC);

    assert_true(file >= 0);
    assert_int_equal(write(file, text, strlen(text)), strlen(text));
    assert_int_equal(lseek(file, 0, SEEK_SET), 0);
    return file;
}

/* 0, or -1 with a fault. */
static int run_file(int file, size_t size, const struct box_limits *within, box_work *work,
                    const void *context, struct answer *answer, struct fault *fault)
{
    const struct box_task task = {*within, work, context, sizeof *answer};

    return box_run(&task, &(struct box_file){file, size}, 1, answer, fault) - 1;
}

static int run_within(const struct box_limits *within, box_work *work, const void *context,
                      struct answer *answer, struct fault *fault)
{
    int file = make_input("abc"), result;

    *answer = (struct answer){.sum = -1};
    result = run_file(file, 3, within, work, context, answer, fault);
    (void)close(file);
    return result;
}

static int run(box_work *work, const void *context, struct answer *answer, struct fault *fault)
{
    return run_within(&limits, work, context, answer, fault);
}

/* ---- what it is for ---- */

static void add_up(int file, size_t size, void *out, const void *context)
{
    struct answer *answer = out;
    uint8_t *bytes = malloc(size);

    if (!bytes || read(file, bytes, size) != (ssize_t)size)
        return;
    for (size_t i = 0; i < size; i++)
        answer->sum += bytes[i];
    (void)memcpy(answer->text, context, strlen(context) + 1);
    free(bytes);
}

static void test_work_is_done(void **state)
{
    struct answer answer;
    struct fault fault = {""};

    (void)state;
    if (run(add_up, "told", &answer, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(answer.sum, -1 + 'a' + 'b' + 'c');
    assert_string_equal(answer.text, "told");
}

static void use_memory(int file, size_t size, void *out, const void *context)
{
    struct answer *answer = out;
    size_t much = *(const size_t *)context;
    uint8_t *bytes = malloc(much);

    (void)file;
    (void)size;
    answer->sum = bytes != NULL;
    for (size_t i = 0; bytes && i < much; i += 4096)
        bytes[i] = 1;
    /* Grown, moved and given back as a decoder does. */
    bytes = realloc(bytes, much / 2);
    free(bytes);
}

static void test_memory_has_a_limit(void **state)
{
    const size_t much = (size_t)100 << 20, too_much = (size_t)2 << 30;
    struct answer answer;
    struct fault fault = {""};

    (void)state;
    assert_int_equal(run(use_memory, &much, &answer, &fault), 0);
    assert_int_equal(answer.sum, 1);
    assert_int_equal(run(use_memory, &too_much, &answer, &fault), 0);
    assert_int_equal(answer.sum, 0);
}

/* Bytes that this process has asked the kernel to read so far, its children not counted. */
static long bytes_read(void)
{
    FILE *in = fopen("/proc/thread-self/io", "r");
    long count = -1;

    if (in && fscanf(in, "rchar: %ld", &count) != 1)
        count = -1;
    if (in)
        (void)fclose(in);
    return count;
}

static void drain(int file, size_t size, void *out, const void *context)
{
    static uint8_t some[65536];
    struct answer *answer = out;
    ssize_t count;

    (void)context;
    answer->sum = 0;
    while ((count = read(file, some, sizeof some)) > 0)
        answer->sum += (int)count;
    answer->sum = answer->sum == (int)size;
}

static void test_only_the_child_reads(void **state)
{
    enum { SIZE = 8 << 20 };
    int file = memfd_create("large", MFD_CLOEXEC);
    struct answer answer = {.sum = -1};
    struct fault fault = {""};
    long before;

    (void)state;
    assert_int_equal(ftruncate(file, SIZE), 0);
    before = bytes_read();
    assert_true(before >= 0);
    assert_int_equal(run_file(file, SIZE, &limits, drain, NULL, &answer, &fault), 0);
    assert_int_equal(answer.sum, 1);
    /* The counter itself. */
    assert_in_range(bytes_read() - before, 1, 4096);
    (void)close(file);
}

/* ---- several files in one box ---- */

/* Counts the bytes of a file; one that begins with X is too much for it, one with Y tries to read
 * past the last of the files. */
static void count_bytes(int file, size_t size, void *out, const void *context)
{
    struct answer *answer = out;
    char bytes[64];
    ssize_t count = read(file, bytes, sizeof bytes);

    (void)size;
    if (count > 0 && bytes[0] == 'X')
        __builtin_trap();
    if (count > 0 && bytes[0] == 'Y')
        (void)syscall(SYS_read, *(const int *)context, bytes, 1);
    answer->sum = (int)count;
}

static int run_texts(const char *const *texts, int count, struct answer *answers,
                     struct fault *fault)
{
    const struct box_task task = {limits, count_bytes, &count, sizeof *answers};
    struct box_file files[BOX_FILES];
    int answered;

    for (int i = 0; i < count; i++) {
        files[i] = (struct box_file){make_input(texts[i]), strlen(texts[i])};
        answers[i].sum = -1;
    }
    answered = box_run(&task, files, count, answers, fault);
    for (int i = 0; i < count; i++)
        (void)close(files[i].file);
    return answered;
}

static void test_several_files_share_a_box(void **state)
{
    static const char *const good[] = {"a", "bc", "def"}, *const bad[] = {"a", "bc", "Xef", "g"},
                             *const out[] = {"a", "Y", "c"};
    const char *many[BOX_FILES];
    struct answer answers[BOX_FILES];
    struct fault fault = {""};

    (void)state;
    assert_int_equal(run_texts(good, 3, answers, &fault), 3);
    for (int i = 0; i < 3; i++)
        assert_int_equal(answers[i].sum, i + 1);
    /* What came before the one that breaks it is answered, what follows is not. */
    assert_int_equal(run_texts(bad, 4, answers, &fault), 2);
    assert_int_equal(answers[1].sum, 2);
    assert_int_equal(answers[3].sum, -1);
    assert_non_null(strstr(fault.text, "failed"));
    assert_int_equal(run_texts(out, 3, answers, &fault), 1);
    assert_non_null(strstr(fault.text, "must not do"));
    for (int i = 0; i < BOX_FILES; i++)
        many[i] = good[i % 3];
    assert_int_equal(run_texts(many, BOX_FILES, answers, &fault), BOX_FILES);
    assert_int_equal(answers[BOX_FILES - 1].sum, 1 + (BOX_FILES - 1) % 3);
}

/* ---- ways out ---- */

/* Every way is a call of the kernel's own, past any library. That it succeeds or fails is all the
 * same: the process has to be dead before it comes back. */
static void way_open(void)
{
    (void)syscall(SYS_openat, AT_FDCWD, "/etc/passwd", O_RDONLY);
}
static void way_create(void)
{
    (void)syscall(SYS_openat, AT_FDCWD, target, O_WRONLY | O_CREAT, 0600);
}
static void way_socket(void)
{
    (void)syscall(SYS_socket, AF_INET, SOCK_STREAM, 0);
}
static void way_unix_socket(void)
{
    (void)syscall(SYS_socketpair, AF_UNIX, SOCK_STREAM, 0, (int[2]){0});
}
static void way_exec(void)
{
    char *const arguments[] = {"/bin/true", NULL}, *const environment[] = {NULL};

    (void)syscall(SYS_execve, arguments[0], arguments, environment);
}
static void way_fork(void)
{
    (void)syscall(SYS_clone, SIGCHLD, 0, 0, 0, 0);
}
static void way_kill(void)
{
    (void)syscall(SYS_kill, 1, 0);
}
static void way_trace(void)
{
    (void)syscall(SYS_ptrace, PTRACE_TRACEME, 0, 0, 0);
}
static void way_sleep(void)
{
    (void)syscall(SYS_nanosleep, &(struct timespec){.tv_sec = 1}, NULL);
}
static void way_unlink(void)
{
    (void)syscall(SYS_unlinkat, AT_FDCWD, target, 0);
}
static void way_duplicate(void)
{
    (void)syscall(SYS_dup, 1);
}
static void way_limits(void)
{
    (void)syscall(SYS_prlimit64, 0, 0, NULL, NULL);
}
static void way_control(void)
{
    (void)syscall(SYS_ioctl, 0, 0, 0);
}
#ifdef SYS_mmap2
#define SYS_MAP SYS_mmap2
#else
#define SYS_MAP SYS_mmap
#endif
static void way_write_and_execute(void)
{
    (void)syscall(SYS_MAP, NULL, 4096, PROT_READ | PROT_WRITE | PROT_EXEC,
                  MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
}
static void way_execute(void)
{
    (void)syscall(SYS_MAP, NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
}
static void way_protect(void)
{
    static uint8_t page[8192] __attribute__((aligned(4096)));

    (void)syscall(SYS_mprotect, page, 4096, PROT_READ | PROT_EXEC);
}
static void way_map_the_file(void)
{
    (void)syscall(SYS_MAP, NULL, 4096, PROT_READ, MAP_PRIVATE, 0, 0);
}
static void way_read_another(void)
{
    char byte;

    (void)syscall(SYS_read, 1, &byte, 1);
}
static void way_write(void)
{
    (void)syscall(SYS_write, 1, "", 0);
}
static void way_write_to_the_file(void)
{
    (void)syscall(SYS_write, 0, "", 0);
}

static const struct {
    const char *name;
    void (*go)(void);
} ways[] = {
    {"open a file", way_open},
    {"create a file", way_create},
    {"open a socket", way_socket},
    {"make a pair of sockets", way_unix_socket},
    {"run a program", way_exec},
    {"fork", way_fork},
    {"send a signal", way_kill},
    {"be traced", way_trace},
    {"sleep", way_sleep},
    {"delete a file", way_unlink},
    {"copy a descriptor", way_duplicate},
    {"ask for limits", way_limits},
    {"control a device", way_control},
    {"map memory to write and execute", way_write_and_execute},
    {"map memory to execute", way_execute},
    {"make memory executable", way_protect},
    {"map the file", way_map_the_file},
    {"read another descriptor", way_read_another},
    {"write to a descriptor", way_write},
    {"write to the file", way_write_to_the_file},
};

static void try_way(int file, size_t size, void *out, const void *context)
{
    (void)file;
    (void)size;
    (void)out;
    ways[*(const size_t *)context].go();
}

static void test_no_way_leads_out(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        struct answer answer;
        struct fault fault = {""};

        if (run(try_way, &i, &answer, &fault) != -1)
            fail_msg("it could %s", ways[i].name);
        if (!strstr(fault.text, "must not do"))
            fail_msg("%s: '%s'", ways[i].name, fault.text);
    }
    assert_int_equal(access(target, F_OK), -1);
    /* Nothing is left over: no child that nobody waits for. */
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
}

/* ---- what does not end, or ends badly ---- */

static void spin(int file, size_t size, void *out, const void *context)
{
    (void)file;
    (void)size;
    (void)out;
    (void)context;
    for (volatile unsigned i = 0;; i++)
        ;
}

static void wait_for_ever(int file, size_t size, void *out, const void *context)
{
    int word = 0;

    (void)file;
    (void)size;
    (void)out;
    (void)context;
    (void)syscall(SYS_futex, &word, 0 /* FUTEX_WAIT */, 0, NULL, NULL, 0);
}

static void crash(int file, size_t size, void *out, const void *context)
{
    (void)file;
    (void)size;
    (void)out;
    (void)context;
    __builtin_trap();
}

static void test_what_hangs_or_crashes_ends(void **state)
{
    struct answer answer;
    struct fault fault = {""};

    (void)state;
    assert_int_equal(run_within(&short_limits, spin, NULL, &answer, &fault), -1);
    assert_non_null(strstr(fault.text, "took too long"));
    assert_int_equal(run_within(&short_wait, wait_for_ever, NULL, &answer, &fault), -1);
    assert_non_null(strstr(fault.text, "took too long"));
    assert_int_equal(run(crash, NULL, &answer, &fault), -1);
    assert_non_null(strstr(fault.text, "refused"));
}

/* ---- what the child says of itself ---- */

/* A file of /proc/ID, as text; empty: there is none. */
static void read_of(int id, const char *name, char text[4096])
{
    char path[64];
    FILE *in;

    (void)snprintf(path, sizeof path, "/proc/%d/%s", id, name);
    *text = '\0';
    in = fopen(path, "r");
    if (!in)
        return;
    text[fread(text, 1, 4095, in)] = '\0';
    (void)fclose(in);
}

/* Runs what waits until its wall time is over, as a user with no rights. */
_Noreturn static void keep_box_open(int file)
{
    const struct box_limits within = {.cpu_s = 20, .wall_s = 2, .memory = limits.memory};
    struct answer answer;
    struct fault fault;

    if (getuid() == 0 && setuid(65534) != 0)
        _exit(1);
    (void)prctl(PR_SET_DUMPABLE, 1); /* which another user's number takes away */
    _exit(run_file(file, 3, &within, wait_for_ever, NULL, &answer, &fault) != -1);
}

/* The process in the box, once its filter is closed; 0: it did not come. */
static int find_boxed(int child, char text[4096])
{
    char list[32];

    (void)snprintf(list, sizeof list, "task/%d/children", child);
    for (int tries = 0; tries < 100; tries++) {
        int id = 0;

        (void)nanosleep(&(struct timespec){.tv_nsec = 20000000}, NULL);
        read_of(child, list, text);
        if (sscanf(text, "%d", &id) != 1)
            continue;
        read_of(id, "status", text);
        if (strstr(text, "Seccomp:\t2"))
            return id;
    }
    return 0;
}

/* Filtered, no new privileges, not dumpable, with every limit: as the kernel has them of the process. */
static void test_child_is_as_tight_as_it_should_be(void **state)
{
    static const struct {
        const char *name, *most;
    } limited[] = {{"Max cpu time", "20"},   {"Max file size", "0"},  {"Max core file size", "0"},
                   {"Max processes", "0"},   {"Max open files", "0"}, {"Max address space", "943718400"}};
    int file = make_input("abc"), status, id;
    char path[64], text[4096];
    struct stat owner;
    pid_t child = fork();

    (void)state;
    if (child == 0)
        keep_box_open(file);
    id = find_boxed(child, text);
    assert_true(id > 0);
    assert_non_null(strstr(text, "NoNewPrivs:\t1"));
    /* The files of a process that is not dumpable belong to root. */
    (void)snprintf(path, sizeof path, "/proc/%d/status", id);
    assert_int_equal(stat(path, &owner), 0);
    assert_int_equal(owner.st_uid, 0);
    read_of(id, "limits", text);
    for (size_t i = 0; i < sizeof limited / sizeof *limited; i++) {
        const char *line = strstr(text, limited[i].name);
        char soft[32] = "", hard[32] = "";

        if (SANITIZED && i == 5)
            continue;
        if (!line || sscanf(line + 26, "%31s %31s", soft, hard) != 2 ||
            strcmp(soft, limited[i].most) != 0 || strcmp(hard, limited[i].most) != 0)
            fail_msg("%s: %s, %s; wanted %s", limited[i].name, soft, hard, limited[i].most);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(WEXITSTATUS(status), 0);
    (void)close(file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_no_way_leads_out),
        cmocka_unit_test(test_what_hangs_or_crashes_ends),
        cmocka_unit_test(test_child_is_as_tight_as_it_should_be),
    };
    const struct CMUnitTest honest[] = {
        cmocka_unit_test(test_work_is_done),
        cmocka_unit_test(test_memory_has_a_limit),
        cmocka_unit_test(test_only_the_child_reads),
        cmocka_unit_test(test_several_files_share_a_box),
    };
    int failed;

    if (!mkdtemp(folder))
        return 1;
    (void)snprintf(target, sizeof target, "%s/escaped", folder);
    failed = cmocka_run_group_tests(tests, NULL, NULL);
    if (!SANITIZED)
        failed += cmocka_run_group_tests(honest, NULL, NULL);
    (void)rmdir(folder);
    return failed;
}
