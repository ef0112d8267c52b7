/* A setup file. */
#include "../../src/store/files.h"
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct setup setup;
    struct fault fault = {""};
    char *text = text_of(data, size);
    int result = setup_parse("setup.json", text, size, NULL, &setup, &fault);

    claim_told(result, &fault);
    CLAIM(result != 0 || (setup.rig_count >= 1 && setup.rig_count <= RIGS));
    free(text);
    return 0;
}
