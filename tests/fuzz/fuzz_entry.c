/* One line of a journal. What is taken is written down and read back as the same line. */
#include "../../src/store/files.h"
#include "fuzz.h"

#include <moonstand/act.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char first[ENTRY_LINE], second[ENTRY_LINE], boot[BOOT_ID];
    struct fault fault = {""};
    struct act act;
    char *line = text_of(data, size);
    int result = entry_decode(line, size, &act, boot, &fault);

    (void)entry_is_whole(line, size);
    CLAIM(result == 0 || *fault.text);
    if (result == 0) {
        size_t length = entry_encode(&act, "9c1f03ab", first);

        CLAIM(first[length - 1] == '\n' && entry_is_whole(first, length - 1));
        CLAIM(entry_decode(first, length - 1, &act, boot, &fault) == 0);
        CLAIM(entry_encode(&act, boot, second) == length && memcmp(first, second, length) == 0);
    }
    free(line);
    return 0;
}
