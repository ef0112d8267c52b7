/* Whose file it is: what a file names is only run where nobody else could have written it. */
#include "store.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Nobody but the owner writes it, and the owner is the user (or, for a folder, the system). */
static bool is_safe(const char *path, bool folder)
{
    struct stat status;

    if (stat(path, &status) != 0 || (status.st_mode & (S_IWGRP | S_IWOTH)) != 0)
        return false;
    return status.st_uid == geteuid() || (folder && status.st_uid == 0);
}

bool file_is_own(const char *path)
{
    char *real = realpath(path, NULL);
    bool safe = real && is_safe(real, false);

    if (safe) {
        char *slash = strrchr(real, '/');

        slash[slash == real ? 1 : 0] = '\0';
        safe = is_safe(real, true);
    }
    free(real);
    return safe;
}
