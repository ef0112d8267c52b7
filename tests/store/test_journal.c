/* The journal: what is acknowledged (synced) is never lost, nothing comes twice, every file opens
 * again. The calls that reach the disk are replaced here, so that each can be slow, fail, or be the
 * last one before the process is killed. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/act.h>
#include <moonstand/fault.h>
#include <moonstand/journal.h>
#include <moonstand/rig.h>

#include <cjson/cJSON.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "../../src/store/files.h"
#include "timed.h"
#include "open_files.h"

static void sleep_ms(double ms)
{
    struct timespec span = {.tv_sec = (time_t)(ms / 1000), .tv_nsec = (long)(fmod(ms, 1000) * 1e6)};

    (void)nanosleep(&span, NULL);
}

static double clock_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static uint64_t seed = 61231;

/* 0 to below `most`. */
static unsigned any(unsigned most)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)(seed >> 33) % most;
}

/* of the test's session */
static char folder[64], path[96], torn_path[96], fresh_path[96], other_path[96];

/* ---- the calls that reach the disk ---- */

enum call { CALL_WRITE, CALL_OPEN, CALL_TRUNCATE, CALL_SYNC, CALL_DATASYNC, CALLS };

static struct {
    _Atomic int fails[CALLS]; /* how often it still fails; -1: for ever */
    int error[CALLS];         /* errno; 0 for a write: short */
    _Atomic int count[CALLS];
    _Atomic int dies_in; /* calls until the process is killed; 0: never */
    _Atomic unsigned slow_ms;
    _Atomic bool counts; /* calls of this test are meant */
    bool loses_pages;    /* a failed sync leaves garbage on the disk */
} disk;

/* What a killed process leaves to its parent. */
static struct shared {
    _Atomic uint64_t synced; /* last acknowledged act */
    _Atomic int begun;       /* acts of this life */
    _Atomic off_t durable;   /* bytes of the file that a sync has promised */
} * shared;

static bool fails(enum call call)
{
    if (!disk.counts)
        return false;
    disk.count[call]++;
    if (disk.slow_ms)
        sleep_ms(disk.slow_ms);
    if (disk.fails[call] == 0)
        return false;
    if (disk.fails[call] > 0)
        disk.fails[call]--;
    errno = disk.error[call];
    return true;
}

static bool dies(void)
{
    return disk.counts && disk.dies_in > 0 && --disk.dies_in == 0;
}

ssize_t write(int file, const void *bytes, size_t size)
{
    bool last = dies();

    if (fails(CALL_WRITE)) {
        if (disk.error[CALL_WRITE])
            return -1;
        return syscall(SYS_write, file, bytes, size / 2);
    }
    if (last)
        (void)syscall(SYS_write, file, bytes, (size_t)any((unsigned)size + 1));
    if (last)
        (void)raise(SIGKILL);
    return syscall(SYS_write, file, bytes, size);
}

int openat(int at, const char *name, int flags, ...)
{
    va_list args;
    unsigned mode;

    va_start(args, flags);
    mode = flags & O_CREAT ? va_arg(args, unsigned) : 0;
    va_end(args);
    if (dies())
        (void)raise(SIGKILL);
    if ((flags & O_ACCMODE) != O_RDONLY && fails(CALL_OPEN))
        return -1;
    return (int)syscall(SYS_openat, at, name, flags, mode);
}

int ftruncate(int file, off_t length)
{
    if (dies())
        (void)raise(SIGKILL);
    return fails(CALL_TRUNCATE) ? -1 : (int)syscall(SYS_ftruncate, file, length);
}

int fsync(int file)
{
    struct stat status, journal;

    if (dies())
        (void)raise(SIGKILL);
    if (fstat(file, &status) != 0 || fails(CALL_SYNC) || syscall(SYS_fsync, file) != 0)
        return -1;
    /* Under its own name, or the one under which it is written. */
    if (disk.counts && ((stat(path, &journal) == 0 && journal.st_ino == status.st_ino) ||
                        (stat(fresh_path, &journal) == 0 && journal.st_ino == status.st_ino)))
        shared->durable = status.st_size;
    return 0;
}

int fdatasync(int file)
{
    struct stat status;

    if (dies())
        (void)raise(SIGKILL);
    if (fstat(file, &status) != 0)
        return -1;
    if (fails(CALL_DATASYNC)) {
        off_t lost = status.st_size - shared->durable;
        char garbage[4096];

        memset(garbage, '#', sizeof garbage);
        if (disk.loses_pages && lost > 0) {
            (void)syscall(SYS_ftruncate, file, shared->durable);
            (void)syscall(SYS_write, file, garbage,
                          lost < (off_t)sizeof garbage ? (size_t)lost : sizeof garbage);
            errno = disk.error[CALL_DATASYNC];
        }
        return -1;
    }
    if (syscall(SYS_fdatasync, file) != 0)
        return -1;
    shared->durable = status.st_size;
    return 0;
}

static void heal_disk(void)
{
    for (int i = 0; i < CALLS; i++) {
        disk.fails[i] = 0;
        disk.error[i] = 0;
        disk.count[i] = 0;
    }
    disk.slow_ms = 0;
    disk.dies_in = 0;
    disk.loses_pages = false;
}

/* ---- a session of its own for every test ---- */

static int make_session(void **state)
{
    (void)state;
    (void)snprintf(folder, sizeof folder, "/tmp/moonstand-test-XXXXXX");
    if (!mkdtemp(folder))
        return -1;
    (void)snprintf(path, sizeof path, "%s/journal.jsonl", folder);
    (void)snprintf(torn_path, sizeof torn_path, "%s/journal.torn", folder);
    (void)snprintf(fresh_path, sizeof fresh_path, "%s/journal.new", folder);
    (void)snprintf(other_path, sizeof other_path, "%s/journal.other", folder);
    shared = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    heal_disk();
    disk.counts = true;
    return shared == MAP_FAILED ? -1 : 0;
}

static int remove_session(void **state)
{
    (void)state;
    disk.counts = false;
    heal_disk();
    (void)remove(path);
    (void)remove(torn_path);
    (void)remove(fresh_path); /* of a run that was killed */
    (void)remove(other_path);
    (void)munmap(shared, sizeof *shared);
    return rmdir(folder);
}

static size_t file_size(const char *name)
{
    struct stat status;

    return stat(name, &status) == 0 ? (size_t)status.st_size : 0;
}

/* ---- acts that are known by their number ---- */

static struct act act_of(uint64_t seq)
{
    struct act act = {.seq = seq,
                      .utc = 1861974000 + (double)seq / 4,
                      .boot_s = 100 + (double)seq / 8,
                      .kind = (enum act_kind)(seq % ACT_KINDS),
                      .rig = -1};
    const struct act_form *form = act_form(act.kind);

    if (form->has & HAS_RIG)
        act.rig = (int)(seq % RIGS);
    if (form->has & HAS_REF)
        act.ref = seq - 1;
    for (int i = 0; form->value[i].name; i++)
        act.value[i] = strstr(form->value[i].name, "_utc") ? act.utc - i : (double)seq / 3 + i;
    if (form->has & HAS_TEXT)
        (void)snprintf(act.text, sizeof act.text, "say \"%llu\" \\ M\xc3\xb6ve",
                       (unsigned long long)seq);
    return act;
}

static bool same(double a, double b, double apart)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= apart;
}

static void assert_same_act(const struct act *a, const struct act *b)
{
    const struct act_form *form = act_form(a->kind);

    assert_int_equal(a->seq, b->seq);
    assert_int_equal(a->kind, b->kind);
    /* Instants and boot times are kept to the millisecond. */
    assert_true(same(a->utc, b->utc, 0.0006));
    assert_true(same(a->boot_s, b->boot_s, 0.0006));
    assert_int_equal(a->rig, b->rig);
    assert_int_equal(a->ref, b->ref);
    for (int i = 0; form->value[i].name; i++)
        assert_true(
            same(a->value[i], b->value[i], strstr(form->value[i].name, "_utc") ? 0.0006 : 0));
    assert_string_equal(a->text, b->text);
}

/* ---- replay ---- */

struct replay {
    uint64_t last;
    int count;
    bool gaps_allowed;
};

static void take(void *context, struct act *act)
{
    struct replay *replay = context;
    struct act wanted = act_of(act->seq);

    if (!replay->gaps_allowed)
        assert_int_equal(act->seq, replay->last + 1);
    assert_true(act->seq > replay->last);
    assert_same_act(act, &wanted);
    replay->last = act->seq;
    replay->count++;
}

static struct journal *must_open(bool writable, struct replay *replay)
{
    struct journal *journal = NULL;
    struct fault fault;

    if (journal_open(folder, writable, take, replay, &journal, &fault) != 0)
        fail_msg("%s", fault.text);
    return journal;
}

static void append(struct journal *journal, uint64_t from, uint64_t to)
{
    for (uint64_t seq = from; seq <= to; seq++) {
        struct act act = act_of(seq);
        struct fault fault;

        if (journal_append(journal, &act, &fault) != 0)
            fail_msg("%s", fault.text);
    }
}

static struct journal_state state_of(struct journal *journal)
{
    struct journal_state state;

    journal_state(journal, &state);
    return state;
}

/* Waits for a condition as the loop of the program does: on the descriptor, at most 30 s. */
#define WAIT_FOR(journal, condition)                                                               \
    do {                                                                                           \
        double end = clock_ms() + 30000;                                                           \
        while (!(condition)) {                                                                     \
            struct pollfd wait = {.fd = journal_fd(journal), .events = POLLIN};                    \
            assert_true(clock_ms() < end);                                                         \
            (void)poll(&wait, 1, 100);                                                             \
            assert_int_equal(journal_poll(journal, NULL), 0);                                      \
        }                                                                                          \
    } while (false)

static void assert_holds(uint64_t last)
{
    struct replay replay = {0};
    struct journal *journal = must_open(false, &replay);

    assert_int_equal(state_of(journal).damaged, 0);
    assert_int_equal(journal_close(journal), 0);
    assert_int_equal(replay.last, last);
}

/* ---- lines ---- */

static void test_every_kind_as_a_line_and_back(void **state)
{
    char line[ENTRY_LINE], boot[BOOT_ID];
    struct act back;

    (void)state;
    for (uint64_t seq = 1; seq <= 3 * ACT_KINDS; seq++) {
        struct act act = act_of(seq);
        size_t length;

        if (seq > 2 * ACT_KINDS) {
            act.boot_s = NAN;
            for (int i = 0; i < ACT_VALUES; i++)
                act.value[i] = i % 2 ? INFINITY : NAN;
        }
        length = entry_encode(&act, "0123abcd", line);
        assert_int_equal(line[length - 1], '\n');
        assert_true(entry_is_whole(line, length - 1));
        assert_int_equal(entry_decode(line, length - 1, &back, boot, NULL), 0);
        assert_string_equal(boot, "0123abcd");
        for (int i = 0; i < ACT_VALUES; i++)
            act.value[i] = isfinite(act.value[i]) ? act.value[i] : NAN;
        assert_same_act(&act, &back);
        for (size_t i = 0; i < length - 1; i++) {
            line[i] ^= 4;
            assert_false(entry_is_whole(line, length - 1));
            line[i] ^= 4;
            assert_false(entry_is_whole(line, i));
        }
    }
}

/* The checksum from zlib's crc32. */
static void test_line_as_documented(void **state)
{
    struct act act = {.seq = 12,
                      .utc = 1861888050.25,
                      .boot_s = 5234.118,
                      .kind = ACT_AIM,
                      .rig = 1,
                      .value = {-0.31, 0.02}};
    char line[ENTRY_LINE];

    (void)state;
    assert_true(entry_encode(&act, "9c1f03ab", line) > 0);
    assert_memory_equal(
        line,
        "{\"seq\":12,\"utc\":\"2028-12-31T15:07:30.250Z\",\"boot_s\":5234.118,\"boot\":"
        "\"9c1f03ab\",\"kind\":\"aim\",\"rig\":1,\"x\":-0.31,\"y\":0.02,\"crc\":\"6e55632c\"}\n",
        strlen("{\"seq\":12,\"utc\":\"2028-12-31T15:07:30.250Z\",\"boot_s\":5234.118,\"boot\":"
               "\"9c1f03ab\",\"kind\":\"aim\",\"rig\":1,\"x\":-0.31,\"y\":0.02,\"crc\":"
               "\"6e55632c\"}\n"));
}

static void test_longest_and_unclean_texts(void **state)
{
    struct act act = {
        .seq = UINT64_MAX >> 11, .utc = -1e9, .boot_s = 1e9, .kind = ACT_NOTE, .rig = -1};
    char line[ENTRY_LINE];
    struct act back;
    size_t length;

    (void)state;
    memset(act.text, '\x01', sizeof act.text - 1);
    length = entry_encode(&act, "9c1f03ab", line);
    assert_true(entry_is_whole(line, length - 1));
    assert_int_equal(entry_decode(line, length - 1, &back, NULL, NULL), 0);
    assert_int_equal(strspn(back.text, "?"), sizeof act.text - 1);
    (void)snprintf(act.text, sizeof act.text, "a\xc3z");
    length = entry_encode(&act, "", line);
    assert_int_equal(entry_decode(line, length - 1, &back, NULL, NULL), 0);
    assert_string_equal(back.text, "a?z");
    /* As somebody else may have written it: escapes, a direction override, a line end. */
    length = (size_t)snprintf(
        line, sizeof line,
        "{\"seq\":1,\"utc\":\"2028-12-31T15:07:30Z\",\"boot\":\"\",\"kind\":\"note\","
        "\"text\":\"a\\u001b]0;b\\u0007\\u202ec\xe2\x80\x8b\\n\"}");
    assert_int_equal(entry_decode(line, length, &back, NULL, NULL), 0);
    assert_string_equal(back.text, "a?]0;b????c????");
}

/* ---- plain work ---- */

static void test_resume(void **state)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);
    struct act act = act_of(3);

    (void)state;
    assert_int_equal(journal_next_seq(journal), 1);
    append(journal, 1, 5);
    assert_int_equal(state_of(journal).appended_seq, 5);
    assert_int_equal(journal_append(journal, &act, NULL), -1);
    WAIT_FOR(journal, state_of(journal).synced_seq == 5);
    assert_int_equal(state_of(journal).written_seq, 5);
    assert_int_equal(journal_close(journal), 0);
    journal = must_open(true, &replay);
    assert_int_equal(replay.last, 5);
    assert_int_equal(journal_next_seq(journal), 6);
    append(journal, 6, 9);
    assert_int_equal(journal_close(journal), 0);
    assert_holds(9);
}

static void take_boot(void *context, struct act *act)
{
    *(double *)context = act->boot_s;
}

static void test_boot_time_of_another_boot_is_unknown(void **state)
{
    struct act act = act_of(1);
    char line[ENTRY_LINE];
    size_t length = entry_encode(&act, "00000000", line);
    FILE *file = fopen(path, "w");
    struct journal *journal;
    double boot_s = 0;

    (void)state;
    assert_int_equal(fwrite(line, 1, length, file), length);
    (void)fclose(file);
    assert_int_equal(journal_open(folder, true, take_boot, &boot_s, &journal, NULL), 0);
    assert_true(isnan(boot_s));
    assert_int_equal(journal_close(journal), 0);
}

static void test_second_copy_looks_on(void **state)
{
    struct replay first = {0}, second = {0};
    struct journal *journal, *other = NULL;
    struct act act = act_of(4);
    struct fault fault;

    (void)state;
    assert_int_equal(journal_open(folder, false, take, &second, &other, &fault), -1);
    journal = must_open(true, &first);
    append(journal, 1, 3);
    WAIT_FOR(journal, state_of(journal).synced_seq == 3);
    assert_int_equal(journal_open(folder, true, take, &second, &other, &fault), 1);
    assert_non_null(strstr(fault.text, "another program writes"));
    other = must_open(false, &second);
    assert_int_equal(second.last, 3);
    assert_int_equal(journal_append(other, &act, NULL), -1);
    append(journal, 4, 40);
    WAIT_FOR(other, second.last == 40);
    assert_int_equal(journal_close(journal), 0);
    /* The lock is free again. */
    journal = must_open(true, &first);
    assert_int_equal(journal_close(journal), 0);
    assert_int_equal(journal_close(other), 0);
}

/* ---- damage ---- */

static char *whole_file(size_t *size)
{
    char *bytes;
    FILE *file = fopen(path, "r");

    *size = file_size(path);
    bytes = malloc(*size + 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *size, file), *size);
    bytes[*size] = '\0';
    (void)fclose(file);
    return bytes;
}

static void put_file(const char *bytes, size_t size)
{
    FILE *file = fopen(path, "w");

    assert_int_equal(fwrite(bytes, 1, size, file), size);
    assert_int_equal(fclose(file), 0);
}

static void write_session(uint64_t last)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);

    append(journal, 1, last);
    assert_int_equal(journal_close(journal), 0);
}

static void test_torn_tail_is_kept_aside_and_cut(void **state)
{
    mode_t before = umask(0);
    struct stat status;
    size_t size, start;
    char *bytes;

    (void)state;
    write_session(4);
    bytes = whole_file(&size);
    start = size - 1;
    while (bytes[start - 1] != '\n')
        start--;
    for (size_t cut = start; cut < size; cut++) {
        struct replay replay = {0};
        struct journal *journal;
        char kept[ENTRY_LINE];
        FILE *torn;

        (void)remove(torn_path);
        put_file(bytes, cut);
        journal = must_open(true, &replay);
        assert_int_equal(replay.last, 3);
        assert_int_equal(state_of(journal).torn_bytes, cut - start);
        append(journal, 4, 5);
        assert_int_equal(journal_close(journal), 0);
        assert_holds(5);
        assert_int_equal(file_size(torn_path), cut - start);
        /* Its owner's alone, whatever the umask. */
        assert_true(cut == start || stat(torn_path, &status) == 0);
        assert_true(cut == start || (status.st_mode & 0777) == 0600);
        torn = fopen(torn_path, "r");
        assert_int_equal(torn ? fread(kept, 1, sizeof kept, torn) : 0, cut - start);
        assert_memory_equal(kept, bytes + start, cut - start);
        if (torn)
            (void)fclose(torn);
    }
    (void)umask(before);
    free(bytes);
}

static void test_damage_in_the_middle_is_skipped_and_counted(void **state)
{
    size_t size;
    char *bytes;

    (void)state;
    write_session(30);
    bytes = whole_file(&size);
    for (int i = 0; i < 200; i++) {
        /* Not in the last line: that would be a torn tail. */
        size_t at = any((unsigned)size - 300);
        char before = bytes[at];
        struct replay replay = {.gaps_allowed = true};
        struct journal *journal;
        int lines_hit = before == '\n' ? 2 : 1;

        bytes[at] = '~';
        put_file(bytes, size);
        journal = must_open(true, &replay);
        assert_int_equal(replay.count, 30 - lines_hit);
        assert_int_equal(state_of(journal).damaged, 1);
        assert_int_equal(state_of(journal).torn_bytes, 0);
        assert_int_equal(journal_close(journal), 0);
        assert_int_equal(file_size(path), size);
        bytes[at] = before;
    }
    free(bytes);
}

static void test_garbage_never_harms(void **state)
{
    static char garbage[3000];

    (void)state;
    for (int i = 0; i < 100; i++) {
        struct replay replay = {0};
        struct journal *journal;
        size_t size = any(sizeof garbage);

        for (size_t j = 0; j < size; j++)
            garbage[j] = (char)(any(8) ? "{\"seq\":1}\n\0\xff"[any(12)] : '\n');
        put_file(garbage, size);
        journal = must_open(true, &replay);
        append(journal, 1, 2);
        assert_int_equal(journal_close(journal), 0);
        assert_holds(2);
    }
}

/* An entry of a later program: whole, but not understood. Its number stays taken. */
static void test_unknown_kind_keeps_its_number(void **state)
{
    struct replay replay = {.gaps_allowed = true};
    struct journal *journal;

    (void)state;
    put_file("{\"seq\":7,\"utc\":\"2028-12-31T15:07:30.250Z\",\"boot\":\"9c1f03ab\",\"kind\":"
             "\"dance\",\"steps\":3,\"crc\":\"a7de4a52\"}\n",
             strlen("{\"seq\":7,\"utc\":\"2028-12-31T15:07:30.250Z\",\"boot\":\"9c1f03ab\","
                    "\"kind\":\"dance\",\"steps\":3,\"crc\":\"a7de4a52\"}\n"));
    journal = must_open(true, &replay);
    assert_int_equal(state_of(journal).damaged, 1);
    assert_int_equal(replay.count, 0);
    assert_int_equal(journal_next_seq(journal), 8);
    append(journal, 8, 8);
    assert_int_equal(journal_close(journal), 0);
    journal = must_open(true, &replay);
    assert_int_equal(replay.count, 1);
    assert_int_equal(journal_close(journal), 0);
}

/* ---- a disk that fails ---- */

/* The call fails until that is noticed, and `times` times at least; told, survived, and all is
 * written afterwards. */
static void survive(enum call call, int error, int times, const char *word)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);
    uint64_t next = replay.last + 1;

    append(journal, next, next);
    WAIT_FOR(journal, state_of(journal).synced_seq == next);
    disk.error[call] = error;
    disk.fails[call] = -1;
    append(journal, next + 1, next + 20);
    WAIT_FOR(journal, state_of(journal).trouble[0] != '\0');
    assert_non_null(strstr(state_of(journal).trouble, word));
    assert_true(state_of(journal).synced_seq == next);
    disk.fails[call] = times - 1;
    WAIT_FOR(journal, state_of(journal).trouble[0] == '\0');
    assert_int_equal(state_of(journal).synced_seq, next + 20);
    /* Nobody but the disk did anything to it. */
    assert_int_equal(state_of(journal).renewed, 0);
    assert_int_equal(journal_close(journal), 0);
    assert_holds(next + 20);
}

static void test_short_write(void **state)
{
    (void)state;
    survive(CALL_WRITE, 0, 1, "No space left");
}

static void test_disk_full_for_a_while(void **state)
{
    (void)state;
    survive(CALL_WRITE, ENOSPC, 2, "No space left");
}

static void test_write_error_that_cannot_be_cut_back(void **state)
{
    (void)state;
    disk.error[CALL_TRUNCATE] = EIO;
    disk.fails[CALL_TRUNCATE] = 0;
    survive(CALL_WRITE, EIO, 1, "Input/output error");
    /* Short, and the cut fails too: done when the file is opened again. */
    {
        struct replay replay = {0};
        struct journal *journal = must_open(true, &replay);
        uint64_t next = replay.last + 1;

        append(journal, next, next);
        WAIT_FOR(journal, state_of(journal).synced_seq == next);
        disk.error[CALL_WRITE] = 0;
        disk.fails[CALL_WRITE] = 1;
        disk.fails[CALL_TRUNCATE] = 1;
        append(journal, next + 1, next + 3);
        WAIT_FOR(journal, state_of(journal).synced_seq == next + 3);
        assert_int_equal(state_of(journal).renewed, 0);
        assert_int_equal(journal_close(journal), 0);
        assert_holds(next + 3);
    }
}

/* After a failed sync the pages may be gone although the kernel calls them clean. */
static void test_failed_sync_is_written_again(void **state)
{
    (void)state;
    disk.loses_pages = true;
    survive(CALL_DATASYNC, EIO, 1, "Input/output error");
    survive(CALL_DATASYNC, ENOSPC, 2, "No space left");
}

/* What follows the last whole entry is not cut off before it is safe elsewhere, however often the disk refuses. */
static void test_torn_tail_outlasts_a_failing_disk(void **state)
{
    static const char tail[] = "{\"seq\":4,\"utc\":\"2028-12-31T1";
    struct replay replay = {0};
    struct journal *journal;
    char kept[ENTRY_LINE] = "";
    size_t size;
    char *bytes;
    FILE *file;

    (void)state;
    write_session(3);
    bytes = whole_file(&size);
    file = fopen(path, "a");
    assert_non_null(file);
    assert_true(fputs(tail, file) >= 0);
    assert_int_equal(fclose(file), 0);
    disk.error[CALL_SYNC] = EIO;
    disk.fails[CALL_SYNC] = -1;
    journal = must_open(true, &replay);
    append(journal, 4, 5);
    WAIT_FOR(journal, strstr(state_of(journal).trouble, "cannot prepare: Input/output error") != NULL);
    assert_int_equal(file_size(path), size + strlen(tail));
    disk.fails[CALL_SYNC] = 1;
    WAIT_FOR(journal, state_of(journal).synced_seq == 5);
    assert_int_equal(state_of(journal).renewed, 0);
    assert_int_equal(journal_close(journal), 0);
    assert_holds(5);
    file = fopen(torn_path, "r");
    assert_non_null(file);
    size = fread(kept, 1, sizeof kept - 1, file);
    assert_int_equal(fclose(file), 0);
    /* Once for each try. */
    assert_int_equal(size % strlen(tail), 0);
    assert_memory_equal(kept, tail, strlen(tail));
    free(bytes);
}

static void test_opened_read_only_then_writable(void **state)
{
    struct replay replay = {0};
    struct journal *journal;

    (void)state;
    write_session(3);
    disk.error[CALL_OPEN] = EROFS;
    disk.fails[CALL_OPEN] = -1;
    journal = must_open(true, &replay);
    assert_int_equal(replay.last, 3);
    append(journal, 4, 6);
    WAIT_FOR(journal, strstr(state_of(journal).trouble, "Read-only") != NULL);
    disk.fails[CALL_OPEN] = 0;
    WAIT_FOR(journal, state_of(journal).synced_seq == 6);
    WAIT_FOR(journal, state_of(journal).trouble[0] == '\0');
    assert_int_equal(journal_close(journal), 0);
    assert_holds(6);
}

static void test_folder_sync_fails_at_creation(void **state)
{
    struct replay replay = {0};
    struct journal *journal;

    (void)state;
    disk.error[CALL_SYNC] = EIO;
    disk.fails[CALL_SYNC] = -1;
    journal = must_open(true, &replay);
    append(journal, 1, 2);
    WAIT_FOR(journal, state_of(journal).trouble[0] != '\0');
    assert_int_equal(state_of(journal).synced_seq, 0);
    disk.fails[CALL_SYNC] = 0;
    WAIT_FOR(journal, state_of(journal).synced_seq == 2);
    assert_int_equal(journal_close(journal), 0);
}

/* Full to the end of the night: told how much is lost, and never more waits than can be read back. */
static void test_disk_full_for_ever(void **state)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);
    struct fault fault = {""};
    uint64_t seq = 0;

    (void)state;
    append(journal, 1, 3);
    WAIT_FOR(journal, state_of(journal).synced_seq == 3);
    disk.error[CALL_WRITE] = ENOSPC;
    disk.fails[CALL_WRITE] = -1;
    for (seq = 4;; seq++) {
        struct act act = {.seq = seq, .utc = 1861974000, .kind = ACT_NOTE, .rig = -1};

        memset(act.text, 'x', sizeof act.text - 1);
        if (journal_append(journal, &act, &fault) != 0)
            break;
    }
    assert_non_null(strstr(fault.text, "no room for another entry"));
    /* More than a night's worth. */
    assert_true(seq > 10000);
    assert_int_equal(journal_close(journal), seq - 1 - 3);
    assert_holds(3);
}

/* Numbers may leave a gap (those of a run that could not read the record come from the clock):
 * what is lost is counted in acts. */
static void test_lost_acts_are_counted_as_acts(void **state)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);
    uint64_t far = 3000000000u; /* the difference is negative as an int */

    (void)state;
    append(journal, 1, 3);
    WAIT_FOR(journal, state_of(journal).synced_seq == 3);
    assert_int_equal(state_of(journal).unsynced, 0);
    disk.error[CALL_WRITE] = ENOSPC;
    disk.fails[CALL_WRITE] = -1;
    append(journal, far, far + 1);
    assert_int_equal(state_of(journal).unsynced, 2);
    assert_int_equal(journal_close(journal), 2);
    assert_holds(3);
}

/* Nobody waits for a slow card; what comes within a second shares one sync. */
static void test_slow_disk_delays_nobody(void **state)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);
    double longest = 0, start;
    uint64_t seq = 0;

    (void)state;
    append(journal, 1, 1);
    WAIT_FOR(journal, state_of(journal).synced_seq == 1);
    disk.slow_ms = 800;
    start = clock_ms();
    for (seq = 2; seq <= 25; seq++) {
        double before = clock_ms();

        append(journal, seq, seq);
        (void)state_of(journal);
        longest = fmax(longest, clock_ms() - before);
        sleep_ms(10);
    }
    disk.slow_ms = 0;
    WAIT_FOR(journal, state_of(journal).synced_seq == 25);
    print_message("longest append on a disk of 800 ms: %.3f ms\n", longest);
    assert_true(longest < 400);
    assert_true(disk.count[CALL_DATASYNC] <= 1 + 1 + (int)((clock_ms() - start) / 1000));
    assert_int_equal(journal_close(journal), 0);
    assert_holds(25);
}

/* ---- a file that vanishes ---- */

/* Twelve acts, the harm is done after five; the file of that name has all of them at the end. */
static void survive_harm(void (*harm)(void))
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);

    append(journal, 1, 5);
    WAIT_FOR(journal, state_of(journal).synced_seq == 5);
    harm();
    append(journal, 6, 12);
    WAIT_FOR(journal, state_of(journal).renewed > 0);
    WAIT_FOR(journal, state_of(journal).synced_seq == 12);
    assert_string_equal(state_of(journal).trouble, "");
    assert_holds(12);
    assert_int_equal(journal_close(journal), 0);
    assert_holds(12);
    /* What was read is part of it. */
    replay = (struct replay){0};
    journal = must_open(true, &replay);
    assert_int_equal(replay.last, 12);
    harm();
    assert_int_equal(journal_close(journal), 0);
    assert_holds(12);
}

static void remove_file(void)
{
    assert_int_equal(remove(path), 0);
}

static void replace_file(void)
{
    assert_int_equal(rename(path, torn_path), 0);
    put_file("strange\n", 8);
}

static void cut_file(void)
{
    assert_int_equal(truncate(path, 100), 0);
}

static void add_to_file(void)
{
    FILE *file = fopen(path, "a");

    assert_true(fputs("strange\n", file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void put_link(void)
{
    assert_int_equal(rename(path, torn_path), 0);
    assert_int_equal(symlink(torn_path, path), 0);
}

/* The thread may write a file into it meanwhile. */
static void remove_folder(void)
{
    do {
        (void)remove(torn_path);
        (void)remove(other_path);
        (void)remove(fresh_path);
        (void)remove(path);
    } while (rmdir(folder) != 0);
}

static void move_folder(void)
{
    static const char *const files[] = {"journal.jsonl", "journal.new", "journal.other", "journal.torn"};
    enum { FILES = sizeof files / sizeof *files };
    char away[160];

    (void)snprintf(away, sizeof away, "%s-away", folder);
    assert_int_equal(rename(folder, away), 0);
    /* The thread may have made it again meanwhile, or write into the one that went away. */
    assert_true(mkdir(folder, 0700) == 0 || errno == EEXIST);
    for (int i = 0; i < FILES; i++) {
        char file[200];
        (void)snprintf(file, sizeof file, "%s/%s", away, files[i]);
        (void)remove(file);
    }
    (void)rmdir(away);
}

static void test_file_removed(void **state)
{
    (void)state;
    survive_harm(remove_file);
}

static void test_file_replaced(void **state)
{
    char text[9] = "";
    FILE *file;

    (void)state;
    survive_harm(replace_file);
    file = fopen(other_path, "r");
    assert_non_null(file);
    assert_int_equal(fread(text, 1, 8, file), 8);
    assert_int_equal(fclose(file), 0);
    assert_string_equal(text, "strange\n");
}

static void test_file_cut(void **state)
{
    (void)state;
    survive_harm(cut_file);
}

static void test_file_added_to(void **state)
{
    (void)state;
    survive_harm(add_to_file);
}

static void test_file_becomes_a_link(void **state)
{
    (void)state;
    survive_harm(put_link);
}

static void test_folder_removed(void **state)
{
    (void)state;
    survive_harm(remove_folder);
}

static void test_folder_moved_away(void **state)
{
    (void)state;
    survive_harm(move_folder);
}

/* Nobody types for a while: it is noticed all the same. */
static void test_removed_while_idle(void **state)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);
    double last;

    (void)state;
    append(journal, 1, 3);
    WAIT_FOR(journal, state_of(journal).synced_seq == 3);
    remove_folder();
    last = clock_ms() + 16000;
    while (state_of(journal).renewed == 0 && clock_ms() < last)
        sleep_ms(50);
    assert_holds(3);
    assert_int_equal(journal_close(journal), 0);
}

/* Removed, and the disk takes nothing for a while: nothing counts as saved until it is again. */
static void test_removed_and_full(void **state)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);

    (void)state;
    append(journal, 1, 5);
    WAIT_FOR(journal, state_of(journal).synced_seq == 5);
    disk.error[CALL_WRITE] = ENOSPC;
    disk.fails[CALL_WRITE] = -1;
    remove_file();
    append(journal, 6, 6);
    WAIT_FOR(journal, strstr(state_of(journal).trouble, "No space left") != NULL);
    WAIT_FOR(journal, state_of(journal).unsynced == 6);
    disk.fails[CALL_WRITE] = 0;
    WAIT_FOR(journal, state_of(journal).synced_seq == 6);
    assert_int_equal(state_of(journal).renewed, 1);
    /* Nobody types, and nothing is left to write: it is no longer said all the same. */
    WAIT_FOR(journal, state_of(journal).trouble[0] == '\0');
    disk.fails[CALL_WRITE] = -1;
    remove_file();
    append(journal, 7, 7);
    assert_int_equal(journal_close(journal), 7);
}

/* Whoever looks on goes on reading in the new file. */
static void test_looking_on_at_a_file_that_is_renewed(void **state)
{
    struct replay replay = {0}, seen = {0};
    struct journal *journal = must_open(true, &replay), *other;

    (void)state;
    append(journal, 1, 2);
    WAIT_FOR(journal, state_of(journal).synced_seq == 2);
    other = must_open(false, &seen);
    remove_file();
    append(journal, 3, 4);
    WAIT_FOR(journal, state_of(journal).renewed == 1);
    append(journal, 5, 5);
    WAIT_FOR(other, seen.last == 5);
    assert_int_equal(journal_close(other), 0);
    assert_int_equal(journal_close(journal), 0);
}

/* Two copies are started at once: the second is there before the first has written anything. */
static void test_looking_on_before_there_is_a_file(void **state)
{
    struct replay replay = {0}, seen = {0};
    struct journal *journal = must_open(true, &replay), *other = must_open(false, &seen);

    (void)state;
    append(journal, 1, 2);
    WAIT_FOR(other, seen.last == 2);
    assert_int_equal(journal_close(other), 0);
    assert_int_equal(journal_close(journal), 0);
    remove_file();
    assert_int_equal(journal_open(folder, false, take, &seen, &other, NULL), -1);
}

/* ---- a folder that somebody else has prepared ---- */

static void assert_refused(bool writable, const char *word)
{
    struct replay replay = {0};
    struct journal *journal = NULL;
    struct fault fault = {""};

    assert_int_equal(journal_open(folder, writable, take, &replay, &journal, &fault), -1);
    if (!strstr(fault.text, word))
        fail_msg("%s", fault.text);
}

static void assert_untouched(const char *name)
{
    char text[16] = "";
    FILE *file = fopen(name, "r");

    assert_non_null(file);
    assert_int_equal(fread(text, 1, sizeof text - 1, file), 7);
    assert_int_equal(fclose(file), 0);
    assert_string_equal(text, "private");
}

/* A private file of the user's, and a link of that name to it. */
static void put_trap(const char *name)
{
    FILE *file = fopen(other_path, "w");

    assert_true(fputs("private", file) >= 0);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(symlink(other_path, name), 0);
}

static void test_link_is_not_followed(void **state)
{
    (void)state;
    put_trap(path);
    assert_refused(true, "a link");
    assert_refused(false, "a link");
    assert_untouched(other_path);
    assert_int_equal(access(torn_path, F_OK), -1);
}

static void test_torn_tail_is_not_put_behind_a_link(void **state)
{
    struct replay replay = {0};
    struct journal *journal;

    (void)state;
    write_session(2);
    add_to_file();
    put_trap(torn_path);
    journal = must_open(true, &replay);
    append(journal, 3, 3);
    WAIT_FOR(journal, state_of(journal).synced_seq == 3);
    assert_int_equal(journal_close(journal), 0);
    assert_untouched(other_path);
    assert_int_equal(file_size(torn_path), 8);
    assert_holds(3);
}

static void test_pipe_does_not_hang(void **state)
{
    (void)state;
    assert_int_equal(mkfifo(path, 0600), 0);
    (void)alarm(10);
    assert_refused(true, "not a regular file");
    assert_refused(false, "not a regular file");
    (void)alarm(0);
}

/* Whoever looks on has what was read, and is not held up, when a FIFO takes the folder's place. */
static void test_pipe_in_the_folders_place(void **state)
{
    struct replay seen = {0};
    struct journal *other;

    (void)state;
    write_session(2);
    other = must_open(false, &seen);
    remove_folder();
    assert_int_equal(mkfifo(folder, 0600), 0);
    (void)alarm(10);
    assert_int_equal(journal_poll(other, NULL), 0);
    (void)alarm(0);
    assert_int_equal(seen.last, 2);
    assert_int_equal(unlink(folder), 0);
    assert_int_equal(mkdir(folder, 0700), 0);
    assert_int_equal(journal_close(other), 0);
}

static void test_folder_of_somebody_else(void **state)
{
    (void)state;
    if (geteuid() != 0)
        skip(); /* only root can give a folder away */
    assert_int_equal(chown(folder, 65534, 65534), 0);
    assert_refused(true, "belongs to another user");
    assert_int_equal(chown(folder, 0, 0), 0);
}

/* ---- killed ---- */

/* A promise is not undone: a journal that was opened anew knows of no sync at first. */
static void acknowledge(uint64_t seq)
{
    if (seq > shared->synced)
        shared->synced = seq;
}

enum { LIFE_ACTS = 6 };

/* One life of the program: resumes, acts, acknowledges, closes. Never returns. */
static void live(unsigned pause_us)
{
    struct replay replay = {0};
    struct journal *journal = NULL;
    uint64_t last;

    if (journal_open(folder, true, take, &replay, &journal, NULL) != 0)
        _exit(3);
    for (int i = 0; i < LIFE_ACTS; i++) {
        struct act act = act_of(journal_next_seq(journal));

        shared->begun = i + 1;
        if (journal_append(journal, &act, NULL) != 0)
            _exit(4);
        if (pause_us)
            sleep_ms((double)pause_us / 1000);
        for (int wait = 0; i == 2 && state_of(journal).synced_seq == 0 && wait < 1000; wait++)
            sleep_ms(0.2);
        acknowledge(state_of(journal).synced_seq);
    }
    last = journal_next_seq(journal) - 1;
    if (journal_close(journal) == 0)
        acknowledge(last);
    _exit(0);
}

/* The power goes too: of what was not synced any part may be there, or garbage. */
static void lose_power(void)
{
    size_t size = file_size(path), durable = (size_t)shared->durable;
    char garbage[64];

    if (size > durable)
        assert_int_equal(truncate(path, (off_t)(durable + any((unsigned)(size - durable) + 1))), 0);
    if (size > durable && any(2)) {
        FILE *file = fopen(path, "a");

        memset(garbage, any(2) ? 0 : 'x', sizeof garbage);
        garbage[any(sizeof garbage)] = '\n';
        (void)fwrite(garbage, 1, any(sizeof garbage), file);
        (void)fclose(file);
    }
}

/* Everything acknowledged is there, once, in order; returns the last number. */
static uint64_t check_after_death(void)
{
    struct replay replay = {0};
    struct journal *journal = must_open(true, &replay);

    if (replay.last < shared->synced)
        fail_msg("entry %llu was acknowledged, the journal ends with %llu",
                 (unsigned long long)shared->synced, (unsigned long long)replay.last);
    assert_int_equal(state_of(journal).damaged, 0);
    assert_int_equal(journal_close(journal), 0);
    return replay.last;
}

/* Killed before every call that reaches the disk, and in the middle of every write. */
static void test_killed_between_any_two_calls(void **state)
{
    int lives = 0;

    (void)state;
    for (int power = 0; power <= 1; power++) {
        for (int call = 1;; call++) {
            int status;
            pid_t child = fork();

            if (child == 0) {
                seed = (uint64_t)(call * 2 + power);
                disk.dies_in = call;
                live(0);
            }
            assert_true(child > 0);
            assert_int_equal(waitpid(child, &status, 0), child);
            lives++;
            if (power)
                lose_power();
            (void)check_after_death();
            if (WIFEXITED(status)) {
                assert_int_equal(WEXITSTATUS(status), 0);
                assert_true(call > 12);
                break;
            }
        }
    }
    print_message("%d lives\n", lives);
}

/* Killed at any time, again and again in one session, as in a night that goes badly. */
static void test_killed_at_random_points(void **state)
{
    const char *wanted = getenv("MOONSTAND_KILLS");
    int kills = wanted ? (int)strtol(wanted, NULL, 10) : 100, killed = 0, acknowledged = 0;
    uint64_t last = 0;

    (void)state;
    for (int i = 0; i < kills; i++) {
        uint64_t before = shared->synced;
        int status, begun = (int)any(LIFE_ACTS + 1);
        pid_t child;

        shared->begun = 0;
        child = fork();
        if (child == 0)
            live(any(1500));
        assert_true(child > 0);
        /* At some time after some act, every other time after the first promise: by what it has done,
         * for a busy machine makes any of it late. */
        while (shared->begun < begun || (i % 4 >= 2 && shared->synced == before))
            sleep_ms(0.1);
        sleep_ms(any(3000) / 1000.0);
        assert_int_equal(kill(child, SIGKILL), 0);
        assert_int_equal(waitpid(child, &status, 0), child);
        killed += WIFSIGNALED(status);
        acknowledged += WIFSIGNALED(status) && shared->synced > before;
        if (i % 2)
            lose_power();
        last = check_after_death();
        assert_true(i < 40 || acknowledged > 0);
    }
    print_message(
        "%d of %d killed, %d of them after acts were acknowledged; %llu acknowledged, the journal "
        "holds %llu\n",
        killed, kills, acknowledged, (unsigned long long)shared->synced, (unsigned long long)last);
    assert_true(killed > kills / 3);
    /* Some die before anything is promised; a journal that promises nothing must not pass. */
    assert_true(acknowledged > kills / 10);
    assert_true(last >= shared->synced);
}

/* ---- memory ---- */

static int calls_left;

static void *failing_malloc(size_t size)
{
    if (calls_left-- > 0)
        return malloc(size);
    errno = ENOMEM;
    return NULL;
}

static void test_memory_out_while_replaying(void **state)
{
    cJSON_Hooks hooks = {failing_malloc, free};
    size_t size;
    int calls = 0, status;

    (void)state;
    write_session(12);
    size = file_size(path);
    cJSON_InitHooks(&hooks);
    do {
        struct replay replay = {0};
        struct journal *journal = NULL;
        struct fault fault;

        calls_left = calls++;
        status = journal_open(folder, true, take, &replay, &journal, &fault);
        if (status != 0)
            assert_string_equal(fault.text, "out of memory");
        else
            assert_int_equal(journal_close(journal), 0);
        assert_int_equal(file_size(path), size);
    } while (status != 0);
    cJSON_InitHooks(NULL);
    assert_true(calls > 100);
    assert_holds(12);
}

/* ---- size and speed ---- */

static void test_a_whole_night(void **state)
{
    enum { ENTRIES = 10000 };
    double best = INFINITY;

    (void)state;
    write_session(ENTRIES);
    for (int i = 0; i < 5; i++) {
        clock_t start = clock(); /* of the processor: others may be at work */
        struct replay replay = {0};
        struct journal *journal = must_open(false, &replay);

        best = fmin(best, (double)(clock() - start) * 1e3 / CLOCKS_PER_SEC);
        assert_int_equal(replay.last, ENTRIES);
        assert_int_equal(journal_close(journal), 0);
    }
    print_message("%d entries, %zu bytes, replayed in %.1f ms\n", ENTRIES, file_size(path), best);
    assert_true(file_size(path) <= 2 << 20);
    if (TIMED)
        assert_true(best < 100); /* on a machine at half its speed */
}

#define IN_SESSION(test) cmocka_unit_test_setup_teardown(test, make_session, remove_session)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_kind_as_a_line_and_back),
        cmocka_unit_test(test_line_as_documented),
        cmocka_unit_test(test_longest_and_unclean_texts),
        IN_SESSION(test_resume),
        IN_SESSION(test_boot_time_of_another_boot_is_unknown),
        IN_SESSION(test_second_copy_looks_on),
        IN_SESSION(test_torn_tail_is_kept_aside_and_cut),
        IN_SESSION(test_damage_in_the_middle_is_skipped_and_counted),
        IN_SESSION(test_garbage_never_harms),
        IN_SESSION(test_unknown_kind_keeps_its_number),
        IN_SESSION(test_short_write),
        IN_SESSION(test_disk_full_for_a_while),
        IN_SESSION(test_write_error_that_cannot_be_cut_back),
        IN_SESSION(test_failed_sync_is_written_again),
        IN_SESSION(test_torn_tail_outlasts_a_failing_disk),
        IN_SESSION(test_opened_read_only_then_writable),
        IN_SESSION(test_folder_sync_fails_at_creation),
        IN_SESSION(test_disk_full_for_ever),
        IN_SESSION(test_lost_acts_are_counted_as_acts),
        IN_SESSION(test_slow_disk_delays_nobody),
        IN_SESSION(test_file_removed),
        IN_SESSION(test_file_replaced),
        IN_SESSION(test_file_cut),
        IN_SESSION(test_file_added_to),
        IN_SESSION(test_file_becomes_a_link),
        IN_SESSION(test_folder_removed),
        IN_SESSION(test_folder_moved_away),
        IN_SESSION(test_removed_while_idle),
        IN_SESSION(test_removed_and_full),
        IN_SESSION(test_looking_on_at_a_file_that_is_renewed),
        IN_SESSION(test_looking_on_before_there_is_a_file),
        IN_SESSION(test_link_is_not_followed),
        IN_SESSION(test_torn_tail_is_not_put_behind_a_link),
        IN_SESSION(test_pipe_does_not_hang),
        IN_SESSION(test_pipe_in_the_folders_place),
        IN_SESSION(test_folder_of_somebody_else),
        IN_SESSION(test_killed_between_any_two_calls),
        IN_SESSION(test_killed_at_random_points),
        IN_SESSION(test_memory_out_while_replaying),
        IN_SESSION(test_a_whole_night),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
