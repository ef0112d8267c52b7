/* A picture's metadata. */
#include "fuzz.h"

#include <math.h>
#include <moonstand/eye.h>
#include <stddef.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* In memory that ends where the file does. */
    uint8_t *bytes = malloc(size ? size : 1);
    struct metadata metadata;
    struct fault fault = {""};

    CLAIM(bytes);
    if (size > 0)
        memcpy(bytes, data, size);
    int result = metadata_read(bytes, size, &metadata, &fault);

    claim_told(result, &fault);
    CLAIM(text_is_clean(metadata.model) && text_is_clean(metadata.serial));
    CLAIM(metadata.orientation >= 1 && metadata.orientation <= 8);
    CLAIM(metadata.width >= 0 && metadata.width <= UINT16_MAX && metadata.height >= 0 &&
          metadata.height <= UINT16_MAX);
    CLAIM(!(metadata.shutter_s <= 0) && !(metadata.iso <= 0) && !(metadata.f_number <= 0) &&
          !(metadata.focal_mm <= 0) && !(metadata.focal_35mm <= 0) &&
          !(metadata.sensor_px_per_mm <= 0));
    if (result == 0 && metadata.jpeg_size)
        CLAIM(metadata.jpeg_at <= size && metadata.jpeg_size <= size - metadata.jpeg_at &&
              bytes[metadata.jpeg_at] == 0xff && metadata.jpeg_width > 0 &&
              metadata.jpeg_height > 0);
    free(bytes);
    return 0;
}
