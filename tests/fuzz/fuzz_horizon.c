/* A file with a horizon profile. */
#include "../../src/store/files.h"
#include "fuzz.h"

#include <math.h>
#include <moonstand/observer.h>
#include <stddef.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct horizon horizon;
    struct fault fault = {""};
    char *text = text_of(data, size);
    int result = horizon_parse("horizon.txt", text, &horizon, &fault);

    claim_told(result, &fault);
    if (result == 0) {
        CLAIM(horizon.count >= 0 && horizon.count <= HORIZON_POINTS);
        CLAIM(isfinite(horizon_altitude(&horizon, 1)));
    }
    free(text);
    return 0;
}
