/* What the fuzzing drivers share. A driver is one function that takes any bytes; libFuzzer calls it
 * with what it makes up, replay.c with what is kept in corpus/. */
#ifndef TESTS_FUZZ_H
#define TESTS_FUZZ_H

#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* What must hold whatever comes in. */
#define CLAIM(what)                                                                                \
    do {                                                                                           \
        if (!(what))                                                                               \
            abort();                                                                               \
    } while (0)

/* The bytes with a '\0' after them, in memory that ends there; to be freed. */
static inline char *text_of(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);

    CLAIM(text);
    if (size > 0)
        memcpy(text, data, size);
    text[size] = '\0';
    return text;
}

/* What is refused is refused with a message that a terminal can show. */
static inline void claim_told(int result, const struct fault *fault)
{
    CLAIM(result >= 0 || (*fault->text && text_is_clean(fault->text)));
}

#endif
