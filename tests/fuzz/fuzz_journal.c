/* The file of a journal: read by who looks on, then by who writes, then what is left of it again.
 */
#include "journal_lines.h"

#include <moonstand/act.h>
#include <moonstand/journal.h>

#include <unistd.h>

static char folder[64], journal_path[96], torn_path[96];

static void remove_folder(void)
{
    (void)unlink(journal_path);
    (void)unlink(torn_path);
    (void)rmdir(folder);
}

/* In memory where the machine has it: a disk would be worn by millions of files. */
static void make_folder(void)
{
    (void)snprintf(folder, sizeof folder, "%s/fuzz-journal-XXXXXX",
                   access("/dev/shm", W_OK) == 0 ? "/dev/shm" : P_tmpdir);
    CLAIM(mkdtemp(folder));
    (void)snprintf(journal_path, sizeof journal_path, "%s/journal.jsonl", folder);
    (void)snprintf(torn_path, sizeof torn_path, "%s/journal.torn", folder);
    (void)atexit(remove_folder);
}

static void put_line(void *context, const char *line, size_t length)
{
    (void)fwrite(line, 1, length, context);
    (void)fputc('\n', context);
}

static void count(void *context, struct act *act)
{
    CLAIM(act->seq > 0 && act->kind < ACT_KINDS);
    ++*(int *)context;
}

static int acts_of(bool writable)
{
    struct journal_state state;
    struct journal *journal;
    struct fault fault = {""};
    int acts = 0;

    CLAIM(journal_open(folder, writable, count, &acts, &journal, &fault) == 0);
    journal_state(journal, &state);
    CLAIM(state.damaged >= 0);
    CLAIM(journal_close(journal) == 0);
    return acts;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (!*folder)
        make_folder();
    FILE *file = fopen(journal_path, "wb");

    CLAIM(file);
    each_line(data, size, put_line, file);
    (void)fclose(file);
    int seen = acts_of(false);

    if (size % 8 == 0) {
        CLAIM(acts_of(true) == seen);
        CLAIM(acts_of(false) == seen);
    }
    (void)unlink(torn_path);
    return 0;
}
