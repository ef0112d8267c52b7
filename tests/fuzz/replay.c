/* Runs a driver over its corpus: every file of corpus/NAME. */
#include "fuzz.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <unistd.h>

static void run_file(const char *path)
{
    static uint8_t bytes[1 << 20];
    FILE *file = fopen(path, "rb");

    CLAIM(file);
    size_t size = fread(bytes, 1, sizeof bytes, file);
    (void)fclose(file);
    (void)LLVMFuzzerTestOneInput(bytes, size);
}

int main(void)
{
    const char *name = program_invocation_short_name + strlen("fuzz_");
    char folder[512], path[1024];
    /* A driver may take standard output for itself. */
    FILE *out = fdopen(dup(STDOUT_FILENO), "w");
    int count = 0;

    CLAIM(out);
    (void)snprintf(folder, sizeof folder, "%s/%s", FUZZ_CORPUS, name);
    DIR *files = opendir(folder);

    for (struct dirent *entry; files && (entry = readdir(files));) {
        if (entry->d_name[0] == '.')
            continue;
        (void)snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        run_file(path);
        count++;
    }
    if (files)
        (void)closedir(files);
    fprintf(out, "%sok 1 - %d inputs of corpus/%s\n1..1\n", count ? "" : "not ", count, name);
    return fclose(out) != 0 || count == 0;
}
