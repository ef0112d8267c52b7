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

/* Fills in `answer` from the descriptor BOX_INPUT, of which `size` bytes were there when it was
 * opened. It runs with no way out: it can read that descriptor, allocate memory and end. */
enum { BOX_INPUT = 0 };
typedef void box_work(size_t size, void *answer, const void *context);

/* Runs `work` on an open file in a process of its own and waits for it. `answer` (at most 4096 bytes,
 * so that it goes through a pipe in one piece) comes back as the work left it; it is as trustworthy
 * as the file.
 * The process has resource limits, no new privileges, is not dumpable and has a seccomp filter that
 * kills it on any call but read(BOX_INPUT), its one write, lseek, memory without execution, and exit.
 * Returns 0; -1 with a fault (without the file's name) if the work was ended, or if this machine
 * cannot close the box: then nothing of the file has been read. */
int box_run(int file, size_t size, const struct box_limits *limits, box_work *work,
            const void *context, void *answer, size_t answer_size, struct fault *fault);

#endif
