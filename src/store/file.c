#include "files.h"

#include <moonstand/forecast_file.h>
#include <moonstand/instant.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int fault_errno(struct fault *fault, const char *path, const char *what)
{
    return fault_set(fault, "%s: cannot %s: %s", path, what, strerror(errno));
}

ssize_t file_read_at(int file, char *bytes, size_t room, off_t from)
{
    size_t length = 0;

    while (length < room) {
        ssize_t got = pread(file, bytes + length, room - length, from + (off_t)length);

        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        length += (size_t)got;
    }
    return (ssize_t)length;
}

int file_open_at(int folder, const char *name, int flags)
{
    int file = openat(folder, name, flags | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0600);
    struct stat status;

    if (file >= 0 && fstat(file, &status) == 0 && S_ISREG(status.st_mode))
        return file;
    if (file >= 0) {
        (void)close(file);
        errno = EINVAL;
    }
    return -1;
}

int file_open(const char *path)
{
    return open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
}

void file_close(int file)
{
    if (file >= 0)
        (void)close(file);
}

int file_take(int file, const char *path, size_t most, char **bytes, size_t *length,
              struct fault *fault)
{
    struct stat status;

    if (file < 0) {
        (void)fault_errno(fault, path, "open");
        return errno == ENOENT ? 1 : -1;
    }
    if (fstat(file, &status) != 0 || !S_ISREG(status.st_mode)) {
        (void)close(file);
        return fault_set(fault, "%s: not a regular file", path);
    }
    char *buffer = malloc(most + 2);
    ssize_t got = buffer ? file_read_at(file, buffer, most + 1, 0) : -1;
    if (got < 0)
        (void)fault_errno(fault, path, "read");
    else if ((size_t)got > most)
        got = fault_set(fault, "%s: larger than %zu bytes, which is the most allowed", path, most);
    (void)close(file);
    if (got < 0) {
        free(buffer);
        return -1;
    }
    buffer[got] = '\0';
    *bytes = buffer;
    *length = (size_t)got;
    return 0;
}

int file_read(const char *path, size_t most, char **bytes, size_t *length, struct fault *fault)
{
    return file_take(file_open(path), path, most, bytes, length, fault);
}

const char *text_past_mark(const char *text)
{
    static const char mark[] = "\xef\xbb\xbf";

    return strncmp(text, mark, strlen(mark)) == 0 ? text + strlen(mark) : text;
}

/* The start of the path's last name. */
static size_t name_start(const char *path)
{
    return (size_t)(path_name(path) - path);
}

bool folder_sync_above(const char *path)
{
    char folder[PATH_SIZE];
    int length = (int)name_start(path), file;

    (void)snprintf(folder, sizeof folder, "%.*s", length ? length : 1, length ? path : ".");
    file = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (file < 0)
        return false;
    bool good = fsync(file) == 0;
    (void)close(file);
    return good;
}

int path_in(const char *folder, const char *name, char out[PATH_SIZE], struct fault *fault)
{
    return snprintf(out, PATH_SIZE, "%s/%s", folder, name) < PATH_SIZE
               ? 0
               : fault_set(fault, "%.80s...: path too long", folder);
}

int folder_make(const char path[PATH_SIZE], struct fault *fault)
{
    char part[PATH_SIZE];

    (void)snprintf(part, sizeof part, "%s", path);
    for (char *at = part + 1;; at++) {
        char here = *at;

        if (here != '/' && here != '\0')
            continue;
        *at = '\0';
        if (mkdir(part, 0700) == 0)
            (void)folder_sync_above(part);
        else if (errno != EEXIST)
            return fault_errno(fault, part, "make the folder");
        *at = here;
        if (here == '\0')
            return 0;
    }
}

static bool write_all(int file, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t put = write(file, bytes, length);

        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0)
            return false;
        bytes += put;
        length -= (size_t)put;
    }
    return true;
}

/* Copies owner and mode of the old file: who could not read it must not read the new one. */
static bool keep_access(int file, const struct stat *old)
{
    struct stat fresh;

    return fstat(file, &fresh) == 0 &&
           ((fresh.st_uid == old->st_uid && fresh.st_gid == old->st_gid) ||
            fchown(file, old->st_uid, old->st_gid) == 0) &&
           fchmod(file, old->st_mode & 0777) == 0;
}

int file_put(const char *path, const char *bytes, size_t length, const struct stat *old,
             struct fault *fault)
{
    char fresh[PATH_SIZE + 32];

    (void)snprintf(fresh, sizeof fresh, "%s.new-%ld", path, (long)getpid());
    /* Remove what a killed program with our process id may have left. */
    (void)unlink(fresh);
    int file = open(fresh, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (file < 0)
        return fault_errno(fault, fresh, "make");
    bool good =
        write_all(file, bytes, length) && (!old || keep_access(file, old)) && fsync(file) == 0;
    /* Report the first call that failed, not the tidying up. */
    if (!good)
        (void)fault_errno(fault, fresh, "write");
    if (close(file) != 0 && good)
        good = fault_errno(fault, fresh, "write") == 0;
    if (good && rename(fresh, path) != 0)
        good = fault_errno(fault, path, "replace") == 0;
    if (!good) {
        (void)unlink(fresh);
        return -1;
    }
    return folder_sync_above(path) ? 0 : fault_errno(fault, path, "sync the folder of");
}

/* Follows symbolic links, so that the file itself is replaced, not the link. */
static int real_name(const char *path, char out[PATH_SIZE], struct fault *fault)
{
    char *real = realpath(path, NULL);
    int written = snprintf(out, PATH_SIZE, "%s", real ? real : path);

    free(real);
    return written < PATH_SIZE - 8 ? 0 : fault_set(fault, "%.80s...: path too long", path);
}

int file_can_replace(const char *path, struct fault *fault)
{
    char above[PATH_SIZE];
    struct stat status;

    if (real_name(path, above, fault) != 0)
        return -1;
    /* Missing folders are made in the last one that exists. */
    do
        above[name_start(above) ? name_start(above) - 1 : 0] = '\0';
    while (*above && stat(above, &status) != 0);
    if (!*above)
        (void)snprintf(above, sizeof above, "%s", *path == '/' ? "/" : ".");
    if (stat(above, &status) == 0 && !S_ISDIR(status.st_mode))
        return fault_set(fault, "%s: not a folder", above);
    return access(above, W_OK) == 0 ? 0 : fault_errno(fault, above, "write in the folder");
}

int file_replace(const char *path, const char *bytes, size_t length, struct fault *fault)
{
    enum { LARGEST_KEPT = 16 << 20 };
    char place[PATH_SIZE], folder[PATH_SIZE], backup[PATH_SIZE + 8], *old = NULL;
    size_t old_length = 0;
    struct stat was;

    if (real_name(path, place, fault) != 0)
        return -1;
    (void)snprintf(folder, sizeof folder, "%.*s", (int)name_start(place), place);
    if (*folder && folder_make(folder, fault) != 0)
        return -1;
    int status = file_read(place, LARGEST_KEPT, &old, &old_length, fault);
    if (status != 0)
        return status > 0 ? file_put(place, bytes, length, NULL, fault) : -1;
    (void)snprintf(backup, sizeof backup, "%s.bak", place);
    if (stat(place, &was) != 0)
        status = fault_errno(fault, place, "read");
    if (status == 0)
        status = file_put(backup, old, old_length, &was, fault);
    free(old);
    return status == 0 ? file_put(place, bytes, length, &was, fault) : -1;
}

double file_written_utc(const char *path)
{
    struct stat status;

    return stat(path, &status) == 0 ? seconds_of(status.st_mtim) : NAN;
}
