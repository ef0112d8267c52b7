#include "setup_source.h"

#include <moonstand/forecast_file.h>
#include <moonstand/setup_file.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

static int check_rigs(const struct setup *setup, const char *path, const char *typed,
                      struct fault *fault)
{
    char last[ROW_PATH];

    (void)snprintf(last, sizeof last, "rigs[%d]", setup->rig_count - 1);
    if (!typed && strncmp(path, "rigs[", strlen("rigs[")) == 0 && strcmp(path, last) != 0)
        return fault_set(fault, "while the night runs only the last rig can be taken out");
    return 0;
}

static bool same_commands(const struct setup *a, const struct setup *b)
{
    return memcmp(a->hook, b->hook, sizeof a->hook) == 0 &&
           memcmp(&a->air.command, &b->air.command, sizeof a->air.command) == 0;
}

static int check_commands(const struct setup_source *source, const struct setup *from,
                          const struct setup *to, struct fault *fault)
{
    const char *doubt = from->trust.may_run  ? source->doubt.text
                        : *from->trust.doubt ? from->trust.doubt
                                             : "the setup has no file";

    return !*doubt || same_commands(from, to)
               ? 0
               : fault_set(fault, "commands are not taken: %.200s", doubt);
}

int setup_source_edit(void *context, const char *change, struct setup *setup,
                      struct zone_table *zone, struct fault *fault)
{
    const struct setup_source *source = context;
    const char *blank = strchr(change, ' '), *typed = blank ? blank + 1 : NULL;
    struct setup fresh;
    char path[ROW_PATH];

    (void)snprintf(path, sizeof path, "%.*s", (int)strcspn(change, " "), change);
    if (check_rigs(setup, path, typed, fault) != 0 ||
        setup_edit(setup, path, typed, &fresh, fault) != 0 ||
        check_commands(source, setup, &fresh, fault) != 0 ||
        (strcmp(fresh.site.zone, setup->site.zone) != 0 &&
         zone_load(fresh.site.zone, -INFINITY, INFINITY, zone, fault) != 0))
        return -1;
    *setup = fresh;
    return 0;
}

void setup_source_trust(struct setup *kept, const struct setup *read)
{
    if (!kept->trust.may_run || !read->trust.may_run) {
        (void)memcpy(kept->hook, read->hook, sizeof kept->hook);
        kept->air.command = read->air.command;
    }
    kept->trust = read->trust;
}

static bool same_place(const struct site *a, const struct site *b)
{
    return a->latitude_deg == b->latitude_deg && a->longitude_deg == b->longitude_deg;
}

bool setup_source_is_new(const struct night *night, const struct setup *read, bool goes_first,
                         struct setup *setup)
{
    const struct setup *began = &night->began.setup;
    struct setup in_force;

    night_setup(night, &in_force);
    *setup = *read;
    if (goes_first || setup_is_same(read, &in_force))
        return !setup_is_same(read, &in_force);
    *setup = in_force;
    if (!same_place(&read->site, &began->site))
        setup->site = read->site;
    if (read->rule != began->rule)
        setup->rule = read->rule;
    return !setup_is_same(setup, &in_force);
}

int setup_source_save(struct setup_source *source, const struct setup *setup, struct fault *fault)
{
    double written = file_written_utc(source->file);

    if (!*source->file)
        return 0;
    if (written != source->written_utc && !(isnan(written) && isnan(source->written_utc)))
        return fault_set(fault, "%s has been changed by somebody else", source->file);
    if (setup_write(source->file, setup, fault) != 0)
        return -1;
    source->written_utc = file_written_utc(source->file);
    return 0;
}
