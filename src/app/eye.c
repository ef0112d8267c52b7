/* moonstand look: pictures, one line each. */
#include "app.h"
#include "look.h"

#include <moonstand/path.h>
#include <moonstand/report.h>
#include <moonstand/setup_file.h>

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* What all pictures of one run have in common. */
struct round {
    const struct options *options;
    struct setup setup; /* the user's own; without rigs if there is none */
    struct picture_context context;
    int found, bad;
    bool broken; /* printing failed */
};

/* ---- files and folders ---- */

static void tell_bad(struct round *round, const char *path, const char *what)
{
    struct fault fault;

    (void)fault_set(&fault, "%s: %s", path, what);
    (void)complain(EXIT_BAD_INPUT, &fault);
    round->bad++;
}

static void look_at_file(struct round *round, const char *path)
{
    struct seen seen;
    struct fault fault;

    if (look_at(&round->context, path, &seen, &fault) != 0) {
        tell_bad(round, path, fault.text);
        return;
    }
    round->found++;
    if ((round->options->json ? report_look_json(stdout, &round->setup, &seen)
                              : report_look_text(stdout, &round->setup, &seen)) != 0 ||
        fflush(stdout) != 0)
        round->broken = true;
}

static int is_shown(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static void look_in_folder(struct round *round, const char *path, int deeper);

/* What lies in a folder: pictures and more folders count, links and the rest do not. */
static void look_at_entry(struct round *round, const char *folder, const char *name, int deeper)
{
    size_t length = strlen(folder);
    struct stat status;
    char *path;

    while (length > 1 && folder[length - 1] == '/')
        length--;
    if (asprintf(&path, "%.*s/%s", (int)length, folder, name) < 0) {
        tell_bad(round, folder, "out of memory");
        return;
    }
    if (lstat(path, &status) != 0)
        tell_bad(round, path, strerror(errno));
    else if (S_ISDIR(status.st_mode))
        look_in_folder(round, path, deeper);
    else if (S_ISREG(status.st_mode) && look_is_picture(name))
        look_at_file(round, path);
    free(path);
}

static void look_in_folder(struct round *round, const char *path, int deeper)
{
    struct dirent **entries;
    int count = deeper > 0 ? scandir(path, &entries, is_shown, by_name) : 0;

    if (count < 0) {
        tell_bad(round, path, strerror(errno));
        return;
    }
    if (deeper == 0) {
        tell_bad(round, path, "folders inside folders go too deep here");
        return;
    }
    for (int i = 0; i < count; i++) {
        if (!round->broken)
            look_at_entry(round, path, entries[i]->d_name, deeper - 1);
        free(entries[i]);
    }
    free(entries);
}

static void look_at_argument(struct round *round, const char *path)
{
    struct stat status;

    if (stat(path, &status) == 0 && S_ISDIR(status.st_mode))
        look_in_folder(round, path, LOOK_DEEP);
    else
        look_at_file(round, path);
}

/* The rigs of the user's own setup, if there is one: the built-in ones say nothing about a picture. */
static int take_setup(struct round *round, struct fault *fault)
{
    const char *path = round->options->setup_path, *name = round->options->rig;
    struct setup *setup = &round->setup;
    char usual[PATH_SIZE];
    int status = 1;

    if (path && load_setup(round->options, setup, fault) != 0)
        return -1;
    if (!path && path_setup(usual, fault) == 0 && (status = setup_read(usual, setup, fault)) < 0)
        return -1;
    if (!path && status > 0)
        *setup = (struct setup){.rig_count = 0};
    round->context = (struct picture_context){.setup = setup, .rig = -1};
    for (int i = 0; name && i < setup->rig_count; i++)
        if (strcmp(setup->rig[i].name, name) == 0)
            round->context.rig = i;
    return !name || round->context.rig >= 0
               ? 0
               : fault_set(fault, "--rig: the setup has no rig '%.40s'", name);
}

int command_look(struct options *options)
{
    static struct round round;
    struct fault fault;

    round = (struct round){.options = options};
    if (options->operand_count == 0) {
        (void)fault_set(&fault, "no picture given: moonstand look FILE...|FOLDER");
        return complain(EXIT_BAD_INPUT, &fault);
    }
    if (take_setup(&round, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    for (int i = 0; i < options->operand_count && !round.broken; i++)
        look_at_argument(&round, options->operands[i]);
    if (round.broken)
        return printed(-1);
    if (round.found == 0 && round.bad == 0) {
        (void)fault_set(&fault, "no picture found in %s", options->operands[0]);
        return complain(EXIT_NOTHING, &fault);
    }
    return round.bad ? EXIT_BAD_INPUT : EXIT_DONE;
}
