/* A theme file. */
#include "../../src/store/files.h"
#include "fuzz.h"

#include <moonstand/palette.h>
#include <moonstand/theme.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct theme theme;
    struct fault fault = {""};
    char *text = text_of(data, size);
    struct json_file file = {.name = "theme.json", .text = text, .fault = &fault};
    int result = json_read_text(&file, size, &theme_form, &theme);

    claim_told(result, &fault);
    if (result == 0)
        claim_told(theme_valid(&theme, &fault), &fault);
    free(text);
    return 0;
}
