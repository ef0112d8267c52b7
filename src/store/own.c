/* The path is walked name by name, each folder opened in the one before and judged by its
 * descriptor, links read on the way, so that what is opened at the end is what was judged, whatever
 * changes meanwhile. */
#include "files.h"

#include <moonstand/setup_file.h>

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LINKS_MOST = 40 }; /* as the kernel follows */

struct walk {
    enum own_kind kind;
    struct fault *doubt;
    int at;               /* the folder reached */
    int links;            /* followed so far */
    char seen[PATH_SIZE]; /* its path, without links; "" for the root */
    char rest[PATH_SIZE]; /* what is still to be walked */
};

/* Notes the first one that is not trusted. */
static void judge(struct walk *walk, const char *name, const struct stat *status)
{
    bool folder = S_ISDIR(status->st_mode), other = status->st_uid != geteuid();
    bool open_to_others = (status->st_mode & (S_IWGRP | S_IWOTH)) != 0 &&
                          !(folder && (status->st_mode & S_ISVTX)) && !S_ISLNK(status->st_mode);
    const char *slash = *walk->seen && !*name ? "" : "/";

    if (*walk->doubt->text)
        return;
    /* Root is trusted, but a setup must be the user's own. */
    if (other && (status->st_uid != 0 || (walk->kind == OWN_SETUP && S_ISREG(status->st_mode))))
        (void)fault_set(walk->doubt, "%.300s%s%.100s belongs to another user", walk->seen, slash,
                        name);
    else if (open_to_others && walk->kind != OWN_SESSION)
        (void)fault_set(walk->doubt, "%.300s%s%.100s can be changed by other users", walk->seen,
                        slash, name);
}

/* Judges an open file or folder, with its name in the folder reached; false with errno. */
static bool look_at(struct walk *walk, const char *name, int file, struct stat *status)
{
    if (file < 0 || fstat(file, status) != 0)
        return false;
    judge(walk, name, status);
    return true;
}

/* Continues from an open folder; `name`: "" for the root. */
static void enter(struct walk *walk, const char *name, int folder)
{
    size_t length = strlen(walk->seen);
    char *slash = strrchr(walk->seen, '/');

    file_close(walk->at);
    walk->at = folder;
    if (*name == '\0')
        *walk->seen = '\0';
    else if (strcmp(name, "..") == 0 && slash)
        *slash = '\0';
    else if (strcmp(name, "..") != 0 && strcmp(name, ".") != 0)
        (void)snprintf(walk->seen + length, sizeof walk->seen - length, "/%s", name);
}

static bool enter_root(struct walk *walk)
{
    struct stat status;
    int root = open("/", O_PATH | O_DIRECTORY | O_CLOEXEC);

    if (root < 0)
        return false;
    enter(walk, "", root);
    return look_at(walk, "", root, &status);
}

static bool set_rest(struct walk *walk, const char *first, const char *between, const char *then)
{
    char rest[PATH_SIZE];

    if (snprintf(rest, sizeof rest, "%s%s%s", first, between, then) >= (int)sizeof rest) {
        errno = ENAMETOOLONG;
        return false;
    }
    (void)memcpy(walk->rest, rest, sizeof rest);
    return true;
}

static bool begin(struct walk *walk, const char *path)
{
    char here[PATH_SIZE] = "";

    if (*path == '\0') {
        errno = ENOENT;
        return false;
    }
    if (*path != '/' && !getcwd(here, sizeof here))
        return false;
    return set_rest(walk, here, "/", path) && enter_root(walk);
}

/* Takes the next name; false at the end. */
static bool next_name(struct walk *walk, char name[PATH_SIZE])
{
    char *start = walk->rest + strspn(walk->rest, "/");
    size_t length = strcspn(start, "/");

    (void)snprintf(name, PATH_SIZE, "%.*s", (int)length, start);
    (void)memmove(walk->rest, start + length, strlen(start + length) + 1);
    return length > 0;
}

static bool follow(struct walk *walk, int link)
{
    char target[PATH_SIZE];
    ssize_t length = readlinkat(link, "", target, sizeof target - 1);

    if (length < 0)
        return false;
    target[length] = '\0';
    if (++walk->links > LINKS_MOST) {
        errno = ELOOP;
        return false;
    }
    return set_rest(walk, target, "", walk->rest) && (*target != '/' || enter_root(walk));
}

/* Opens the end of the walk by its name in the folder reached. */
static int open_last(struct walk *walk, const char *name)
{
    int flags = walk->kind == OWN_SESSION   ? O_RDONLY | O_DIRECTORY
                : walk->kind == OWN_PROGRAM ? O_PATH
                                            : O_RDONLY | O_NONBLOCK;
    int file = openat(walk->at, name, flags | O_NOFOLLOW | O_CLOEXEC);
    struct stat status;

    if (file >= 0 && !look_at(walk, strcmp(name, ".") == 0 ? "" : name, file, &status)) {
        (void)close(file);
        return -1;
    }
    return file;
}

/* Goes one name further. Returns the descriptor at the end; -1 with errno; -2: continue. */
static int step(struct walk *walk, const char *name)
{
    int next = openat(walk->at, name, O_PATH | O_NOFOLLOW | O_CLOEXEC);
    struct stat status;
    int result = -1;

    if (look_at(walk, name, next, &status)) {
        if (S_ISDIR(status.st_mode)) {
            enter(walk, name, next);
            return -2;
        }
        if (S_ISLNK(status.st_mode))
            result = follow(walk, next) ? -2 : -1;
        else if (*walk->rest)
            errno = ENOTDIR;
        else
            result = open_last(walk, name);
    }
    file_close(next);
    return result;
}

int own_open(const char *path, enum own_kind kind, struct fault *doubt)
{
    struct walk walk = {.kind = kind, .doubt = doubt, .at = -1};
    char name[PATH_SIZE];
    int file = -1;

    *doubt->text = '\0';
    if (begin(&walk, path)) {
        do
            file = next_name(&walk, name) ? step(&walk, name) : open_last(&walk, ".");
        while (file == -2);
    }
    file_close(walk.at);
    return file;
}

/* 1 if there is no such file, 0 if it may be run, -1 if not. */
static int check_program(const char *path, struct fault *fault)
{
    int file = own_open(path, OWN_PROGRAM, fault);

    file_close(file);
    return *fault->text ? -1 : file < 0;
}

int program_check(const char *program, struct fault *fault)
{
    const char *folders = getenv("PATH");
    char path[PATH_SIZE];

    if (strchr(program, '/'))
        return check_program(program, fault) < 0 ? -1 : 0;
    for (const char *at = folders ? folders : "/bin:/usr/bin"; *at;) {
        size_t length = strcspn(at, ":");
        int status = -1;

        if (snprintf(path, sizeof path, "%.*s%s%s", (int)length, at, length ? "/" : "", program) <
            (int)sizeof path)
            status = check_program(path, fault);
        else
            (void)fault_set(fault, "a folder of PATH is too long");
        if (status != 1)
            return status;
        at += length + (at[length] == ':');
    }
    return 0; /* starting it will report that there is none */
}
