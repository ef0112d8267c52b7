/* A list of pictures. */
#include "fuzz.h"

#include <math.h>
#include <moonstand/night.h>
#include <moonstand/report.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct night night;
    struct pictures pictures = {0};
    struct fault fault = {""};

    if (size == 0)
        return 0;
    if (night.setup.rig_count == 0) {
        setup_default(&night.setup);
        for (int i = 0; i < night.setup.rig_count; i++)
            night.rig[i].rig = night.setup.rig[i];
    }
    FILE *in = fmemopen((void *)(uintptr_t)data, size, "rb");

    CLAIM(in);
    int result = pictures_read(in, "list", &night, &pictures, &fault);

    (void)fclose(in);
    claim_told(result, &fault);
    for (size_t i = 0; result == 0 && i < pictures.count; i++)
        CLAIM(isfinite(pictures.item[i].time) && pictures.item[i].rig >= -1 &&
              pictures.item[i].rig < night.setup.rig_count);
    pictures_free(&pictures);
    return 0;
}
