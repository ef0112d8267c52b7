/* The caller's thread only copies lines into memory; a helper thread does everything that may wait
 * for a disk.
 *
 * Memory holds the whole file as it should be. Positions count bytes from its start: synced <=
 * written <= appended. The file holds the bytes up to `written`, to which it is cut back after any
 * trouble. If it is no longer the file of that name, it is written again from memory. */
#include "files.h"

#include <moonstand/act.h>
#include <moonstand/forecast_file.h>
#include <moonstand/instant.h>
#include <moonstand/journal.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* Bytes: at the open beyond the file; at most. */
enum { MEMORY = 2 << 20, LARGEST_JOURNAL = 64 << 20 };
#define JOURNAL_NAME "journal.jsonl"
#define TORN_NAME "journal.torn"
#define FRESH_NAME "journal.new"   /* while it is being written */
#define OTHER_NAME "journal.other" /* a file that took the journal's place */
#define SYNC_EVERY_S 1.0
/* The first page of the screen goes first: it would wait a millisecond for a disk that is busy. */
#define BEGIN_AFTER_S 0.03
#define LOOK_EVERY_S 12.0 /* while nobody types; each look wakes the machine */
#define RETRY_EVERY_S 1.0

struct journal {
    bool writable;
    char path[PATH_SIZE]; /* of the folder */
    int folder;           /* holds the lock */
    int file;             /* -1: has to be opened (again) */
    int event;
    journal_take *take;
    void *context;
    char boot[BOOT_ID];

    off_t length;   /* of the whole lines that were read */
    off_t torn;     /* bytes after them, still to be moved aside */
    uint64_t known; /* number of the last act passed on */
    bool made;      /* the file was in its place, as: */
    dev_t device;
    ino_t inode;
    bool renewing; /* it lost its place and has not been written again */

    pthread_t helper;
    pthread_mutex_t lock; /* guards what follows; never held while a disk works */
    pthread_cond_t work;
    bool stop;
    char *bytes; /* all lines; may move */
    size_t room;
    uint64_t appended, written, synced; /* positions in it */
    double sync_after, retry_after;     /* monotonic seconds; retry_after 0: no trouble */
    double begin_after;                 /* nothing is written before */
    double look_after;                  /* when to check that the file is still in its place */
    struct journal_state state;
};

/* ---- reading ---- */

/* The first digits of the boot id; empty if unknown. */
static void read_boot(char boot[BOOT_ID])
{
    int file = file_open("/proc/sys/kernel/random/boot_id");
    ssize_t got = file_read_at(file, boot, BOOT_ID - 1, 0);

    boot[got > 0 ? got : 0] = '\0';
    file_close(file);
}

/* Every line starts with its number. */
static uint64_t seq_of(const char *line)
{
    return strtoull(line + strlen("{\"seq\":"), NULL, 10);
}

/* Passes on one whole line. Returns 0, also if it is skipped; -1 if out of memory. */
static int hand_out(struct journal *journal, const char *line, size_t length, struct fault *fault)
{
    struct act act;
    char boot[BOOT_ID];
    int status = entry_decode(line, length, &act, boot, fault);

    if (status == -2)
        return -1;
    if (status != 0) {
        /* Its number stays taken. */
        journal->known = seq_of(line) > journal->known ? seq_of(line) : journal->known;
        journal->state.damaged++;
        return 0;
    }
    /* A reader sees lines again after the writer has cut and rewritten them. */
    if (act.seq <= journal->known)
        return 0;
    if (strcmp(boot, journal->boot) != 0)
        act.boot_s = NAN;
    journal->known = act.seq;
    journal->take(journal->context, &act);
    return 0;
}

/* Passes on the whole lines of a part of the file and moves journal->length past the last of
 * them. */
static int hand_out_lines(struct journal *journal, const char *bytes, size_t size,
                          struct fault *fault)
{
    const char *at = bytes, *end = bytes + size, *newline;
    off_t start = journal->length;
    int damaged = 0;

    while ((newline = memchr(at, '\n', (size_t)(end - at)))) {
        size_t length = (size_t)(newline - at);

        if (entry_is_whole(at, length)) {
            if (hand_out(journal, at, length, fault) != 0)
                return -1;
            journal->state.damaged += damaged;
            damaged = 0;
            journal->length = start + (newline + 1 - bytes);
        } else {
            damaged++;
        }
        at = newline + 1;
    }
    journal->torn = start + (off_t)size - journal->length;
    return 0;
}

/* Passes on what the file, if there is one, holds past journal->length; a writer keeps it in memory. */
static int read_on(struct journal *journal, int file, struct fault *fault)
{
    struct stat status;

    if (file < 0)
        return 0;
    if (fstat(file, &status) != 0)
        return fault_set(fault, "journal: cannot read: %s", strerror(errno));
    if (status.st_size - journal->length > LARGEST_JOURNAL)
        return fault_set(fault, "journal: larger than 64 MiB");
    if (status.st_size <= journal->length)
        return 0;
    size_t room = (size_t)(status.st_size - journal->length);
    char *bytes = malloc(room + (journal->writable ? MEMORY : 0));
    if (!bytes)
        return fault_set(fault, "journal: out of memory");
    ssize_t got = file_read_at(file, bytes, room, journal->length);
    int result = got < 0 ? fault_set(fault, "journal: cannot read: %s", strerror(errno))
                         : hand_out_lines(journal, bytes, (size_t)got, fault);
    if (journal->writable) {
        journal->bytes = bytes;
        journal->room = room + MEMORY;
    } else {
        free(bytes);
    }
    return result;
}

/* ---- helper thread: the file ---- */

static double monotonic(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return seconds_of(now);
}

static void tell(const struct journal *journal)
{
    (void)eventfd_write(journal->event, 1);
}

/* Notes what failed (errno) for the screen; returns false. */
static bool trouble(struct journal *journal, const char *what)
{
    char text[64];
    const char *cause = strerror_r(errno, text, sizeof text);

    pthread_mutex_lock(&journal->lock);
    (void)snprintf(journal->state.trouble, sizeof journal->state.trouble,
                   "journal: cannot %s: %s; kept in memory, tried again", what, cause);
    journal->retry_after = monotonic() + RETRY_EVERY_S;
    pthread_mutex_unlock(&journal->lock);
    tell(journal);
    return false;
}

static void close_file(struct journal *journal)
{
    file_close(journal->file);
    journal->file = -1;
}

/* Replaces anything of that name that is not a regular file. */
static int open_torn(const struct journal *journal)
{
    int file = file_open_at(journal->folder, TORN_NAME, O_WRONLY | O_CREAT | O_APPEND);

    if (file >= 0 || (errno != ELOOP && errno != EINVAL && errno != ENXIO))
        return file;
    (void)unlinkat(journal->folder, TORN_NAME, 0);
    return file_open_at(journal->folder, TORN_NAME, O_WRONLY | O_CREAT | O_APPEND);
}

/* Copies what follows the last whole line to its own file. */
static bool keep_torn(struct journal *journal)
{
    int torn = open_torn(journal);
    char bytes[4096];
    off_t at = journal->length, end = journal->length + journal->torn;
    bool good = torn >= 0;

    while (good && at < end) {
        size_t size = end - at < (off_t)sizeof bytes ? (size_t)(end - at) : sizeof bytes;

        good = file_read_at(journal->file, bytes, size, at) == (ssize_t)size &&
               write(torn, bytes, size) == (ssize_t)size;
        at += (off_t)size;
    }
    good = good && fsync(torn) == 0;
    file_close(torn);
    return good;
}

/* EINVAL: the file system cannot sync folders. */
static bool sync_folder(int folder)
{
    return fsync(folder) == 0 || errno == EINVAL;
}

/* Cuts the file back to its whole lines. `written` only changes in this thread. */
static bool cut_back(struct journal *journal)
{
    return ftruncate(journal->file, (off_t)journal->written) == 0;
}

/* Other errors count as unchanged: the next write shows what is wrong. */
static bool is_gone(void)
{
    return errno == ENOENT || errno == ENOTDIR;
}

static bool is_same_folder(const struct journal *journal)
{
    struct stat named, held;

    if (stat(journal->path, &named) != 0)
        return !is_gone();
    return fstat(journal->folder, &held) != 0 ||
           (named.st_dev == held.st_dev && named.st_ino == held.st_ino);
}

/* Whether the file of the journal's name is the one that was written, unchanged. */
static bool is_in_place(const struct journal *journal)
{
    struct stat named;

    if (!is_same_folder(journal))
        return false;
    if (fstatat(journal->folder, JOURNAL_NAME, &named, AT_SYMLINK_NOFOLLOW) != 0)
        return !is_gone();
    if (named.st_dev != journal->device || named.st_ino != journal->inode)
        return false;
    /* Closed after trouble, it may hold more: a torn line. */
    return named.st_size == (off_t)journal->written ||
           (journal->file < 0 && named.st_size > (off_t)journal->written);
}

/* Opens and locks the folder of that name; makes it again if it was removed. */
static bool open_folder(struct journal *journal)
{
    struct fault doubt;

    if (folder_make(journal->path, NULL) != 0)
        return trouble(journal, "make the folder");
    int folder = own_open(journal->path, OWN_SESSION, &doubt);
    if (folder >= 0 && *doubt.text) {
        (void)close(folder);
        errno = EACCES;
        return trouble(journal, "trust the folder");
    }
    if (folder < 0 || flock(folder, LOCK_EX | LOCK_NB) != 0) {
        (void)trouble(journal, "lock the folder");
        file_close(folder);
        return false;
    }
    (void)close(journal->folder);
    journal->folder = folder;
    return true;
}

/* Copies a part of the memory, up to `end`; returns how many bytes. */
static size_t copy_part(struct journal *journal, char *part, size_t room, uint64_t at, uint64_t end)
{
    size_t size = end - at < room ? (size_t)(end - at) : room;

    pthread_mutex_lock(&journal->lock);
    (void)memcpy(part, journal->bytes + at, size);
    pthread_mutex_unlock(&journal->lock);
    return size;
}

/* Writes and syncs a new file with all lines up to `end`; -1 with errno. */
static int write_fresh(struct journal *journal, uint64_t end)
{
    char part[4096];
    uint64_t at = 0;

    (void)unlinkat(journal->folder, FRESH_NAME, 0); /* of a run that was killed */
    int file =
        openat(journal->folder, FRESH_NAME, O_RDWR | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0600);
    bool good = file >= 0;
    while (good && at < end) {
        size_t size = copy_part(journal, part, sizeof part, at, end);

        errno = ENOSPC; /* of a short write */
        good = write(file, part, size) == (ssize_t)size;
        at += size;
    }
    if (good && fsync(file) == 0)
        return file;
    file_close(file);
    return -1;
}

/* Moves the new file to the journal's place; keeps a foreign one that is there. */
static bool put_in_place(const struct journal *journal)
{
    (void)unlinkat(journal->folder, OTHER_NAME, 0);
    if (linkat(journal->folder, JOURNAL_NAME, journal->folder, OTHER_NAME, 0) != 0 &&
        errno != ENOENT)
        (void)renameat(journal->folder, JOURNAL_NAME, journal->folder, OTHER_NAME);
    return renameat(journal->folder, FRESH_NAME, journal->folder, JOURNAL_NAME) == 0;
}

/* Notes which file is the journal. */
static bool remember(struct journal *journal, int file)
{
    struct stat status;

    if (fstat(file, &status) != 0)
        return false;
    journal->device = status.st_dev;
    journal->inode = status.st_ino;
    return journal->made = true;
}

/* All lines up to here are in the file, and on the disk. */
static void note_saved(struct journal *journal, uint64_t end, uint64_t seq, bool again)
{
    pthread_mutex_lock(&journal->lock);
    journal->written = journal->synced = end;
    journal->state.written_seq = journal->state.synced_seq = seq;
    journal->sync_after = monotonic() + SYNC_EVERY_S;
    journal->state.renewed += again;
    pthread_mutex_unlock(&journal->lock);
    tell(journal);
}

/* Writes the journal as a new file: at first, and whenever it has lost its place. */
static bool make_file(struct journal *journal)
{
    bool again = journal->made || journal->renewing;

    close_file(journal);
    journal->torn = 0;
    journal->renewing = again;
    journal->made = false;
    pthread_mutex_lock(&journal->lock);
    journal->written = journal->synced = 0;
    journal->state.written_seq = journal->state.synced_seq = 0;
    uint64_t end = journal->appended;
    uint64_t seq = journal->state.appended_seq;
    pthread_mutex_unlock(&journal->lock);
    if (!is_same_folder(journal) && !open_folder(journal))
        return false;
    journal->file = write_fresh(journal, end);
    if (journal->file < 0 || !put_in_place(journal) || !sync_folder(journal->folder) ||
        !remember(journal, journal->file)) {
        (void)trouble(journal, again ? "save it again" : "make it");
        close_file(journal);
        return false;
    }
    /* Its folder may be new; if the disk fails here, it has failed above. */
    (void)folder_sync_above(journal->path);
    journal->renewing = false;
    note_saved(journal, end, seq, again);
    return true;
}

/* Opens the file again after trouble, or for the first time, ready for the next line. */
static bool open_again(struct journal *journal)
{
    journal->file = file_open_at(journal->folder, JOURNAL_NAME, O_RDWR | O_APPEND);
    if (journal->file < 0)
        return trouble(journal, "open");
    if ((journal->torn > 0 && !keep_torn(journal)) || !cut_back(journal) ||
        fsync(journal->file) != 0 || !sync_folder(journal->folder)) {
        (void)trouble(journal, "prepare");
        close_file(journal);
        return false;
    }
    journal->torn = 0;
    note_saved(journal, journal->written, journal->state.written_seq, false);
    return true;
}

/* Gets the file in its place, open and ready for the next line. */
static bool prepare(struct journal *journal)
{
    journal->look_after = monotonic() + LOOK_EVERY_S;
    if (!journal->made || !is_in_place(journal))
        return make_file(journal);
    return journal->file >= 0 || open_again(journal);
}

/* Copies the next unwritten line; returns its length, 0 if there is none. */
static size_t next_line(struct journal *journal, char line[ENTRY_LINE])
{
    size_t length = 0;

    pthread_mutex_lock(&journal->lock);
    if (journal->written < journal->appended) {
        const char *start = journal->bytes + journal->written;
        const char *newline = memchr(start, '\n', (size_t)(journal->appended - journal->written));

        length = (size_t)(newline + 1 - start);
        memcpy(line, start, length);
    }
    pthread_mutex_unlock(&journal->lock);
    return length;
}

static bool write_lines(struct journal *journal)
{
    char line[ENTRY_LINE];
    size_t length;

    while ((length = next_line(journal, line)) > 0) {
        ssize_t put = write(journal->file, line, length);

        if (put != (ssize_t)length) {
            if (put >= 0)
                errno = ENOSPC;
            (void)trouble(journal, "write");
            if (!cut_back(journal))
                close_file(journal);
            return false;
        }
        pthread_mutex_lock(&journal->lock);
        journal->written += length;
        journal->state.written_seq = seq_of(line);
        pthread_mutex_unlock(&journal->lock);
    }
    return true;
}

static bool sync_lines(struct journal *journal)
{
    if (journal->synced == journal->written)
        return true;
    if (fdatasync(journal->file) != 0) {
        (void)trouble(journal, "sync");
        close_file(journal);
        pthread_mutex_lock(&journal->lock);
        journal->written = journal->synced;
        journal->state.written_seq = journal->state.synced_seq;
        pthread_mutex_unlock(&journal->lock);
        return false;
    }
    note_saved(journal, journal->written, journal->state.written_seq, false);
    return true;
}

static void end_trouble(struct journal *journal)
{
    pthread_mutex_lock(&journal->lock);
    bool had = journal->retry_after > 0;
    journal->retry_after = 0;
    journal->state.trouble[0] = '\0';
    pthread_mutex_unlock(&journal->lock);
    if (had)
        tell(journal);
}

/* ---- helper thread: when ---- */

/* When there is something to do next, monotonic seconds; the lock is held. */
static double next_work(const struct journal *journal)
{
    if (journal->stop)
        return 0;
    if (journal->retry_after > 0)
        return journal->retry_after;
    if (journal->written < journal->appended)
        return journal->begin_after;
    return journal->synced < journal->written ? journal->sync_after : journal->look_after;
}

/* Waits for work; returns true if it is the last. */
static bool wait_for_work(struct journal *journal)
{
    bool stop;

    pthread_mutex_lock(&journal->lock);
    for (double when; (when = next_work(journal)) > monotonic();) {
        struct timespec until = {.tv_sec = (time_t)when,
                                 .tv_nsec = (long)((when - floor(when)) * 1e9)};

        (void)pthread_cond_timedwait(&journal->work, &journal->lock, &until);
    }
    stop = journal->stop;
    pthread_mutex_unlock(&journal->lock);
    return stop;
}

/* After a failure, the next try syncs at once. */
static bool sync_is_due(const struct journal *journal)
{
    return journal->retry_after > 0 || monotonic() >= journal->sync_after;
}

static void *help(void *argument)
{
    struct journal *journal = argument;
    bool last;

    do {
        last = wait_for_work(journal);
        if (prepare(journal) && write_lines(journal) &&
            (!(last || sync_is_due(journal)) || (sync_lines(journal) && prepare(journal))))
            end_trouble(journal);
    } while (!last);
    return NULL;
}

static int start_helper(struct journal *journal, struct fault *fault)
{
    pthread_condattr_t attributes;
    sigset_t all, before;

    pthread_mutex_init(&journal->lock, NULL);
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&journal->work, &attributes);
    pthread_condattr_destroy(&attributes);
    /* Only the caller's thread takes signals. */
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    int status = pthread_create(&journal->helper, NULL, help, journal);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return status == 0 ? 0 : fault_set(fault, "journal: no thread: %s", strerror(status));
}

/* ---- open, append, close ---- */

static void discard(struct journal *journal)
{
    file_close(journal->file);
    file_close(journal->event);
    file_close(journal->folder);
    free(journal->bytes);
    free(journal);
}

static int cannot_open(const struct journal *journal, struct fault *fault)
{
    const char *cause = errno == ELOOP    ? "it is a link"
                        : errno == EINVAL ? "not a regular file"
                                          : strerror(errno);

    return fault_set(fault, "%s/" JOURNAL_NAME ": cannot open: %s", journal->path, cause);
}

/* Watches the folder, to notice when the file grows or is written again. */
static void watch(const struct journal *journal)
{
    if (journal->event >= 0)
        (void)inotify_add_watch(journal->event, journal->path, IN_MODIFY | IN_MOVED_TO);
}

/* Follows the writer to a new file; known lines are skipped by their numbers. */
static void change_file(struct journal *journal)
{
    int folder = open(journal->path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    int file = folder >= 0 ? file_open_at(folder, JOURNAL_NAME, O_RDONLY) : -1;

    if (file >= 0 && remember(journal, file)) {
        file_close(journal->file);
        (void)close(journal->folder);
        journal->file = file;
        journal->folder = folder;
        journal->length = 0;
        watch(journal);
        return;
    }
    file_close(file);
    file_close(folder);
}

static int open_to_look_on(struct journal *journal, struct fault *fault)
{
    journal->file = file_open_at(journal->folder, JOURNAL_NAME, O_RDONLY);
    /* A writer that has just begun is about to make it. */
    bool is_to_come = journal->file < 0 && errno == ENOENT && journal_is_written(journal);
    if (!is_to_come && (journal->file < 0 || !remember(journal, journal->file)))
        return cannot_open(journal, fault);
    /* Without the watch, the caller only needs to poll. */
    journal->event = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    watch(journal);
    if (read_on(journal, journal->file, fault) != 0)
        return -1;
    journal->state.torn_bytes = (uint64_t)journal->torn;
    return 0;
}

static int open_to_write(struct journal *journal, struct fault *fault)
{
    if (flock(journal->folder, LOCK_EX | LOCK_NB) != 0) {
        int busy = errno == EWOULDBLOCK;

        (void)fault_set(fault, "%s: %s", journal->path,
                        busy ? "another program writes this session" : strerror(errno));
        return busy ? 1 : -1;
    }
    int file = file_open_at(journal->folder, JOURNAL_NAME, O_RDONLY);
    if (file < 0 && errno != ENOENT)
        return cannot_open(journal, fault);
    int status = read_on(journal, file, fault);
    if (file >= 0 && !remember(journal, file))
        status = fault_set(fault, "journal: cannot read: %s", strerror(errno));
    file_close(file);
    if (status != 0)
        return -1;
    journal->begin_after = journal->look_after = monotonic() + BEGIN_AFTER_S;
    journal->event = eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC);
    if (journal->event < 0)
        return fault_set(fault, "journal: %s", strerror(errno));
    journal->appended = journal->written = journal->synced = (uint64_t)journal->length;
    journal->state.torn_bytes = (size_t)journal->torn;
    journal->state.appended_seq = journal->state.written_seq = journal->known;
    return start_helper(journal, fault);
}

/* Opens the folder. Another user's folder could hold links to this user's files, so it is read but
 * not written to. */
static int open_named_folder(struct journal *journal, const char *folder, struct fault *fault)
{
    struct fault doubt;

    if (snprintf(journal->path, sizeof journal->path, "%s", folder) >= (int)sizeof journal->path)
        return fault_set(fault, "%.80s...: path too long", folder);
    journal->folder = own_open(folder, OWN_SESSION, &doubt);
    if (journal->folder < 0)
        return fault_set(fault, "%s: cannot open: %s", folder, strerror(errno));
    return journal->writable && *doubt.text ? fault_set(fault, "%s", doubt.text) : 0;
}

int journal_open(const char *folder, bool writable, journal_take *take, void *context,
                 struct journal **journal, struct fault *fault)
{
    struct journal *fresh = calloc(1, sizeof *fresh);

    if (!fresh)
        return fault_set(fault, "journal: out of memory");
    fresh->writable = writable;
    fresh->take = take;
    fresh->context = context;
    fresh->file = fresh->event = fresh->folder = -1;
    read_boot(fresh->boot);
    int status = open_named_folder(fresh, folder, fault);
    if (status == 0)
        status = writable ? open_to_write(fresh, fault) : open_to_look_on(fresh, fault);
    if (status != 0)
        discard(fresh);
    else
        *journal = fresh;
    return status;
}

int journal_check(const char *folder, struct fault *fault)
{
    char path[PATH_SIZE];

    if (path_in(folder, JOURNAL_NAME, path, fault) != 0)
        return -1;
    file_close(own_open(path, OWN_SETUP, fault));
    return *fault->text ? -1 : 0;
}

/* Room for another line; the lock is held. */
static bool make_room(struct journal *journal, size_t length)
{
    size_t wanted = (size_t)journal->appended + length, room = journal->room;
    char *bytes;

    if (wanted <= room)
        return true;
    room = 2 * wanted > MEMORY ? 2 * wanted : MEMORY;
    bytes = wanted <= LARGEST_JOURNAL ? realloc(journal->bytes, room) : NULL;
    /* This line may have room where as much again has none. */
    if (!bytes && wanted <= LARGEST_JOURNAL)
        bytes = realloc(journal->bytes, room = wanted);
    if (!bytes)
        return false;
    journal->bytes = bytes;
    journal->room = room;
    return true;
}

int journal_append(struct journal *journal, const struct act *act, struct fault *fault)
{
    char line[ENTRY_LINE];
    int status = 0;

    if (!journal->writable)
        return fault_set(fault, "journal: read-only, nothing is written");
    size_t length = entry_encode(act, journal->boot, line);
    pthread_mutex_lock(&journal->lock);
    if (act->seq <= journal->state.appended_seq) {
        status = fault_set(fault, "journal: entry %llu comes after entry %llu",
                           (unsigned long long)act->seq,
                           (unsigned long long)journal->state.appended_seq);
    } else if (!make_room(journal, length)) {
        status = fault_set(fault, "journal: no room for another entry; entry %llu is lost",
                           (unsigned long long)act->seq);
    } else {
        memcpy(journal->bytes + journal->appended, line, length);
        journal->appended += length;
        journal->state.appended_seq = act->seq;
        pthread_cond_signal(&journal->work);
    }
    pthread_mutex_unlock(&journal->lock);
    return status;
}

/* Lines not synced yet; the lock is held. */
static int unsynced_lines(const struct journal *journal)
{
    int count = 0;

    for (uint64_t at = journal->synced; at < journal->appended; at++)
        count += journal->bytes[at] == '\n';
    return count;
}

uint64_t journal_next_seq(struct journal *journal)
{
    struct journal_state state;

    journal_state(journal, &state);
    return state.appended_seq + 1;
}

void journal_state(struct journal *journal, struct journal_state *state)
{
    if (!journal->writable) {
        *state = journal->state;
        state->appended_seq = state->written_seq = state->synced_seq = journal->known;
        return;
    }
    pthread_mutex_lock(&journal->lock);
    *state = journal->state;
    state->unsynced = unsynced_lines(journal);
    pthread_mutex_unlock(&journal->lock);
}

bool journal_damage(const struct journal_state *state, char out[JOURNAL_DAMAGE])
{
    *out = '\0';
    if (state->damaged > 0)
        (void)snprintf(out, JOURNAL_DAMAGE, "%d damaged entr%s skipped", state->damaged,
                       state->damaged == 1 ? "y was" : "ies were");
    if (state->torn_bytes > 0)
        text_add(out, JOURNAL_DAMAGE, "; ", "left out after the last whole entry: %llu byte%s",
                 (unsigned long long)state->torn_bytes, state->torn_bytes == 1 ? "" : "s");
    return *out != '\0';
}

double journal_written_utc(const char *folder)
{
    char path[PATH_SIZE];

    return path_in(folder, JOURNAL_NAME, path, NULL) == 0 ? file_written_utc(path) : NAN;
}

bool journal_is_written(const struct journal *journal)
{
    /* A shared lock, so that readers do not take one another for the writer. */
    if (flock(journal->folder, LOCK_SH | LOCK_NB) != 0)
        return true;
    (void)flock(journal->folder, LOCK_UN);
    return false;
}

int journal_fd(const struct journal *journal)
{
    return journal->event;
}

int journal_poll(struct journal *journal, struct fault *fault)
{
    char events[1024];

    while (journal->event >= 0 && read(journal->event, events, sizeof events) > 0)
        ;
    if (journal->writable)
        return 0;
    if (!is_in_place(journal))
        change_file(journal);
    return read_on(journal, journal->file, fault);
}

int journal_close(struct journal *journal)
{
    int lost = 0;

    if (journal->writable) {
        pthread_mutex_lock(&journal->lock);
        journal->stop = true;
        pthread_cond_signal(&journal->work);
        pthread_mutex_unlock(&journal->lock);
        pthread_join(journal->helper, NULL);
        lost = unsynced_lines(journal);
        pthread_cond_destroy(&journal->work);
        pthread_mutex_destroy(&journal->lock);
    }
    discard(journal);
    return lost;
}
