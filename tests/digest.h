/* What a text comes to as a number: where many are held, and nothing of any may change unseen. */
#ifndef TESTS_DIGEST_H
#define TESTS_DIGEST_H

#include <stdint.h>

/* FNV-1a, folded to 32 bits. */
static inline unsigned digest_of(const char *text)
{
    uint64_t hash = 14695981039346656037u;

    for (; *text; text++)
        hash = (hash ^ (unsigned char)*text) * 1099511628211u;
    return (unsigned)(uint32_t)(hash ^ hash >> 32);
}

#endif
