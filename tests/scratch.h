/* A folder of a test's own. */
#ifndef TESTS_SCRATCH_H
#define TESTS_SCRATCH_H

#include <ftw.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { SCRATCH = 64 };

static inline bool scratch_make(char folder[SCRATCH])
{
    (void)snprintf(folder, SCRATCH, "/tmp/moonstand-test-XXXXXX");
    return mkdtemp(folder) != NULL;
}

static inline int scratch_remove_entry(const char *path, const struct stat *status, int kind,
                                       struct FTW *place)
{
    (void)status;
    (void)kind;
    return place->level > 0 ? remove(path) : 0;
}

/* Removes what is in a folder. */
static inline void scratch_empty(const char *folder)
{
    (void)nftw(folder, scratch_remove_entry, 16, FTW_DEPTH | FTW_PHYS);
}

/* And the folder. */
static inline int scratch_remove(const char *folder)
{
    scratch_empty(folder);
    return rmdir(folder);
}

#endif
