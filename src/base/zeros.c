#include <moonstand/zeros.h>

#include <string.h>

void zeros_put(void *bytes, size_t size)
{
    enum { PART = 4096 };
    static const char zeros[PART];

    for (char *at = bytes, *end = at + size; at < end; at += PART) {
        size_t part = end - at < PART ? (size_t)(end - at) : PART;

        if (memcmp(at, zeros, part) != 0)
            (void)memset(at, 0, part);
    }
}
