#include "bytes.h"

#include <string.h>

bool bytes_are(const struct bytes *bytes, size_t at, const char *text, size_t length)
{
    return bytes_has(bytes, at, length) && memcmp(bytes->data + at, text, length) == 0;
}

struct bytes bytes_part(const struct bytes *bytes, size_t at, size_t count)
{
    struct bytes part = {.little = bytes->little};

    if (at < bytes->size) {
        part.data = bytes->data + at;
        part.size = bytes->size - at < count ? bytes->size - at : count;
    }
    return part;
}

void reading_need(struct reading *reading, size_t at, size_t size)
{
    size_t end = at + size < at ? SIZE_MAX : at + size;

    if (end > reading->needed)
        reading->needed = end;
}
