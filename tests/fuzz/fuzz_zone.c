/* A file of the time zone database. */
#include "fuzz.h"

#include <moonstand/store.h>
#include <stdio.h>
#include <unistd.h>

static char folder[64], path[96];

static void remove_folder(void)
{
    (void)unlink(path);
    (void)rmdir(folder);
}

static void make_folder(void)
{
    (void)snprintf(folder, sizeof folder, "%s/fuzz-zone-XXXXXX",
                   access("/dev/shm", W_OK) == 0 ? "/dev/shm" : P_tmpdir);
    CLAIM(mkdtemp(folder));
    (void)snprintf(path, sizeof path, "%s/Zone", folder);
    (void)setenv("TZDIR", folder, 1);
    (void)atexit(remove_folder);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const double from = 1861800000, to = from + 3 * 365 * SECONDS_PER_DAY;
    struct fault fault = {""};
    struct zone_table zone;

    if (!*folder)
        make_folder();
    FILE *file = fopen(path, "wb");

    CLAIM(file);
    (void)fwrite(data, 1, size, file);
    (void)fclose(file);
    int result = zone_load("Zone", from, to, &zone, &fault);

    claim_told(result, &fault);
    CLAIM(result != 0 || (zone.count >= 1 && zone.count <= ZONE_STEPS));
    return 0;
}
