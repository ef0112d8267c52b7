/* Lines made up for a journal, with the checksum that lets them in. */
#ifndef TESTS_JOURNAL_LINES_H
#define TESTS_JOURNAL_LINES_H

#include "fuzz.h"

#include "../../src/store/files.h"

#include <inttypes.h>
#include <stdio.h>

/* Hands on every line: one that begins like an entry as ,"crc":"..."} would end it, every other one
 * as it stands. */
static inline void each_line(const uint8_t *data, size_t size,
                             void (*take)(void *context, const char *line, size_t length),
                             void *context)
{
    const char *at = (const char *)data, *end = at + size;

    while (at < end) {
        const char *stop = memchr(at, '\n', (size_t)(end - at));
        size_t length = (size_t)((stop ? stop : end) - at);
        char *line = malloc(length + 64);

        CLAIM(line);
        memcpy(line, at, length);
        if (*at == '{' && stop)
            length += (size_t)snprintf(line + length, 64, ",\"crc\":\"%08" PRIx32 "\"}",
                                       crc32_of(line, length));
        take(context, line, length);
        free(line);
        at = stop ? stop + 1 : end;
    }
}

#endif
