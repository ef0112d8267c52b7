#include <moonstand/pages.h>

#include <stdint.h>
#include <string.h>
#include <sys/mman.h>

/* Of nearly all machines; where pages are larger, the kernel refuses what does not begin with one. */
enum { PAGE = 4096 };

void pages_clear(void *bytes, size_t size)
{
    static const char zeros[PAGE];

    for (char *at = bytes, *end = at + size; at < end; at += PAGE) {
        size_t part = end - at < PAGE ? (size_t)(end - at) : PAGE;

        if (memcmp(at, zeros, part) != 0)
            (void)memset(at, 0, part);
    }
}

void *pages_fetch(void *bytes, size_t size)
{
    size_t before = (uintptr_t)bytes % PAGE;

    if (bytes)
        (void)madvise((char *)bytes - before, before + size, MADV_POPULATE_WRITE);
    return bytes;
}
