/* Private to app: pixels of a JPEG. */
#ifndef MOONSTAND_APP_JPEG_H
#define MOONSTAND_APP_JPEG_H

#include <moonstand/eye.h>
#include <moonstand/fault.h>

#include <stddef.h>
#include <stdint.h>

/* Decodes a JPEG at 1/`shrink` of its size (1, 2, 4 or 8), or of it at full size the part from
 * (left, top) on that is `width` x `height`; what lies outside is left out. Returns 0; -1 with a
 * fault if it is damaged, too large, or memory runs out. pixels->rgb is to be freed. */
struct jpeg_part {
    int shrink;
    int left, top, width, height; /* width 0: all of it */
};
int jpeg_decode(const uint8_t *bytes, size_t size, const struct jpeg_part *part,
                struct pixels *pixels, struct fault *fault);

#endif
