/* A disk that is full or read-only in the middle of the night, or from its start. The calls that
 * reach it are replaced here. */
#include "lived.h"
#include "open_files.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/syscall.h>

static struct session session; /* large: not on the stack */

/* ---- a disk that fails when it is told to ---- */

static _Atomic int disk_error, journal_file = -1;

ssize_t write(int file, const void *bytes, size_t size)
{
    if (disk_error && file == journal_file) {
        errno = disk_error;
        return -1;
    }
    return syscall(SYS_write, file, bytes, size);
}

int openat(int at, const char *name, int flags, ...)
{
    va_list args;
    unsigned mode;
    int file;

    va_start(args, flags);
    mode = flags & O_CREAT ? va_arg(args, unsigned) : 0;
    va_end(args);
    if (disk_error == EROFS && (flags & O_ACCMODE) != O_RDONLY) {
        errno = EROFS;
        return -1;
    }
    file = (int)syscall(SYS_openat, at, name, flags, mode);
    /* It is made under a name of its own first. */
    if ((strcmp(name, "journal.jsonl") == 0 || strcmp(name, "journal.new") == 0) &&
        (flags & O_ACCMODE) != O_RDONLY)
        journal_file = file;
    return file;
}

int mkdir(const char *path, mode_t mode)
{
    if (disk_error) {
        errno = disk_error;
        return -1;
    }
    return (int)syscall(SYS_mkdirat, AT_FDCWD, path, mode);
}

/* ---- a disk that is full or read-only ---- */

static void the_night_goes_on_without_a_disk(int error, const char *word)
{
    uint64_t synced;

    open_session(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    WAIT_SYNCED(&session);
    synced = session.written.synced_seq;
    disk_error = error;
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    WAIT_FOR(&session, *session.written.trouble != '\0');
    assert_non_null(strstr(session.written.trouble, word));
    aim(&session);
    for (int i = 0; i < 1500; i++)
        step(&session, 1);
    assert_int_equal(session.moment.alarm_rig, LONG);
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(session.written.synced_seq, synced);
    assert_true(session.written.appended_seq >= synced + 3);

    disk_error = 0;
    WAIT_FOR(&session, *session.written.trouble == '\0');
    WAIT_SYNCED(&session);
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(count_kind(&session.night, ACT_AIM), 1);
    assert_int_equal(count_kind(&session.night, ACT_ALARM), 1);
    close_session(&session);
}

static void disk_full_in_the_middle_of_the_night(void **state)
{
    (void)state;
    the_night_goes_on_without_a_disk(ENOSPC, "No space left");
}

static void disk_read_only_in_the_middle_of_the_night(void **state)
{
    (void)state;
    the_night_goes_on_without_a_disk(EROFS, "Read-only");
}

/* Not even the folder could be made: when it can, the whole night so far is written. */
static void disk_full_at_the_start(void **state)
{
    struct fault fault;

    (void)state;
    disk_error = ENOSPC;
    assert_int_equal(open_as(&session, &test_clock, false, NULL, &fault), 0);
    assert_non_null(strstr(session.trouble, "No space left"));
    assert_null(session.journal);
    for (int i = 0; i < 30; i++)
        step(&session, 1);
    act(&session, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "no room"});
    assert_null(session.journal);
    disk_error = 0;
    for (int i = 0; i < 11; i++)
        step(&session, 1);
    assert_non_null(session.journal);
    assert_string_equal(session.trouble, "");
    act(&session, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "room again"});
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.acts[0].kind, ACT_BEGIN);
    assert_int_equal(count_kind(&session.night, ACT_NOTE), 2);
    assert_int_equal(session.written.damaged, 0);
    close_session(&session);
}

static int make_home_on_a_good_disk(void **state)
{
    disk_error = 0;
    return make_home(state);
}

static int remove_home_from_a_good_disk(void **state)
{
    disk_error = 0;
    return remove_home(state);
}

#define ON_DISK(test)                                                                              \
    cmocka_unit_test_setup_teardown(test, make_home_on_a_good_disk, remove_home_from_a_good_disk)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ON_DISK(disk_full_in_the_middle_of_the_night),
        ON_DISK(disk_read_only_in_the_middle_of_the_night),
        ON_DISK(disk_full_at_the_start),
    };

    return RUN_AND_CLOSE_ALL(tests, prepare, NULL);
}
