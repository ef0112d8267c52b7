/* A change of the setup: the path on the first line, what is typed on the second; without a second
 * one an entry is taken out. */
#include "../../src/store/files.h"
#include "fuzz.h"

#include <moonstand/setup_file.h>

static const char start[] =
    "{\"site\": \"hut\", \"sites\": [{\"name\": \"hut\", \"latitude_deg\": 62, \"longitude_deg\": "
    "60,"
    " \"horizon\": [[10, 5], [90, 12.5]]}],"
    " \"reminders\": [{\"text\": \"look up\", \"due\": \"U2\"}],"
    " \"hooks\": {\"alarm\": [\"true\", \"now\"]}, \"air\": {\"file\": \"/run/air\"}}";

/* Every line that is shown leads somewhere, and shows what a terminal can. */
static void claim_lines(const struct setup *setup, const char *path)
{
    static struct setup_row rows[SETUP_ROWS];
    int count = setup_rows(setup, path, rows);

    CLAIM(count >= 0 && count <= SETUP_ROWS);
    for (int i = 0; i < count; i++)
        CLAIM(text_is_clean(rows[i].value) && text_is_clean(rows[i].path) && *rows[i].label);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct setup setup, changed, again;
    struct fault fault = {""};
    char *text = text_of(data, size), *typed = strchr(text, '\n');
    int result;

    if (setup.rig_count == 0)
        CLAIM(setup_parse("start", start, sizeof start - 1, NULL, &setup, &fault) == 0);
    if (typed)
        *typed++ = '\0';
    result = setup_edit(&setup, text, typed, &changed, &fault);
    claim_told(result, &fault);
    if (text_is_clean(text)) /* it stands in the paths of the lines below it */
        claim_lines(&setup, text);
    if (result == 0) {
        CLAIM(changed.rig_count >= 1 && changed.rig_count <= RIGS);
        claim_lines(&changed, "");
        /* What came out is a setup like any other. */
        CLAIM(setup_edit(&changed, "danjon", "1", &again, &fault) == 0);
    }
    free(text);
    return 0;
}
