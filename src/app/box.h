/* Private to app: work on untrusted bytes in a process that can do nothing else. */
#ifndef MOONSTAND_APP_BOX_H
#define MOONSTAND_APP_BOX_H

#include <moonstand/fault.h>

#include <stddef.h>

/* What the work may use, at most. */
struct box_limits {
    int cpu_s, wall_s;
    size_t memory; /* bytes of address space */
};

/* Fills in `answer` from an open file, of which `size` bytes were there when it was opened. It runs
 * with no way out: it can read that file and those beside it, allocate memory and end. */
typedef void box_work(int file, size_t size, void *answer, const void *context);

struct box_task {
    struct box_limits limits;
    box_work *work;
    const void *context;
    size_t answer_size;
};
struct box_file {
    int file;
    size_t size;
};
/* Most files of one box. */
enum { BOX_FILES = 128 };

/* Runs the work on open files, one after the other, in one process, and waits for it. `answers` (one
 * behind the other) come back as the work left them; each is as trustworthy as the files up to its
 * own.
 * The process has resource limits, no new privileges, is not dumpable and has a seccomp filter that
 * kills it on any call but reads of these files, lseek, memory of its own without execution, and exit.
 * Its answers it leaves in memory that both share.
 * Returns how many files have been answered for: all, or fewer with a fault (without the file's
 * name) for the next one, at which the work was ended. 0 also if this machine cannot close the box:
 * then nothing of the files has been read. */
int box_run(const struct box_task *task, const struct box_file *files, int count, void *answers,
            struct fault *fault);

#endif
