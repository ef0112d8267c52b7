/* moonstand look: pictures, one line each. */
#include "app.h"
#include "look.h"

#include <moonstand/path.h>
#include <moonstand/report.h>
#include <moonstand/setup_file.h>

#include <math.h>
#include <stdio.h>

/* What all pictures of one run have in common. */
struct round {
    const struct options *options;
    struct setup setup; /* the user's own; without rigs if there is none */
    struct picture_context context;
    int found, bad;
    bool broken; /* printing failed */
};

/* ---- files and folders ---- */

static void tell_bad(void *context, const char *path, const char *what)
{
    struct round *round = context;

    (void)complain_that(EXIT_BAD_INPUT, "%s: %s", path, what);
    round->bad++;
}

static bool look_at_file(void *context, const char *path)
{
    struct round *round = context;
    struct seen seen;
    struct fault fault;

    if (look_at(&round->context, path, &seen, &fault) != 0) {
        tell_bad(round, path, fault.text);
        return true;
    }
    round->found++;
    if ((round->options->json ? report_look_json(stdout, &round->setup, &seen)
                              : report_look_text(stdout, &round->setup, &seen)) != 0 ||
        fflush(stdout) != 0)
        round->broken = true;
    return !round->broken;
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
    round->context =
        (struct picture_context){.setup = setup, .rig = name ? setup_rig(setup, name) : -1};
    return !name || round->context.rig >= 0
               ? 0
               : fault_set(fault, "--rig: the setup has no rig '%.40s'", name);
}

int command_look(struct options *options)
{
    static struct round round;
    struct fault fault;

    round = (struct round){.options = options};
    if (options->operand_count == 0)
        return complain_that(EXIT_BAD_INPUT, "no picture given: moonstand look FILE...|FOLDER");
    if (take_setup(&round, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    for (int i = 0; i < options->operand_count && !round.broken; i++)
        look_each(&(struct look_walk){look_at_file, tell_bad, &round}, options->operands[i]);
    if (round.broken)
        return printed(-1);
    if (round.found == 0 && round.bad == 0)
        return complain_that(EXIT_NOTHING, "no picture found in %s", options->operands[0]);
    return round.bad ? EXIT_BAD_INPUT : EXIT_DONE;
}
