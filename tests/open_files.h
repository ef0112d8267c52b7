/* What a test program opens it has to close: runs its tests and holds them to that. */
#ifndef TESTS_OPEN_FILES_H
#define TESTS_OPEN_FILES_H

#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>

static inline int count_open_files(void)
{
    DIR *folder = opendir("/proc/self/fd");
    int count = 0;

    while (folder && readdir(folder))
        count++;
    if (folder)
        (void)closedir(folder);
    return count;
}

static int open_files_before;

static inline bool note_open_files(void)
{
    open_files_before = count_open_files();
    return true;
}

/* As cmocka's own result: how many failed. */
static inline int all_are_closed(int failed)
{
    int left = count_open_files() - open_files_before;

    if (left != 0)
        printf("not ok - %d files are left open\n", left);
    return failed + (left != 0);
}

#define RUN_AND_CLOSE_ALL(tests, set_up, tear_down)                                                \
    (note_open_files() ? all_are_closed(cmocka_run_group_tests(tests, set_up, tear_down)) : 1)

#endif
