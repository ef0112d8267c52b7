/* moonstand look: pictures, one line each. */
#include "app.h"
#include "look.h"

#include <moonstand/report.h>

#include <stdio.h>

/* What all pictures of one run have in common. */
struct round {
    const struct options *options;
    struct setup setup; /* the user's own; without rigs if there is none */
    struct picture_context context;
    size_t found, bad;
    bool broken; /* printing failed */
};

static void look_at_file(void *context, const char *path)
{
    struct round *round = context;
    struct seen seen;
    struct fault fault;

    if (round->broken)
        return;
    if (look_at(&round->context, path, &seen, &fault) != 0) {
        complain_of_file(path, fault.text, &round->bad);
        return;
    }
    round->found++;
    if ((round->options->json ? report_look_json(stdout, &round->setup, &seen)
                              : report_look_text(stdout, &round->setup, &seen)) != 0 ||
        fflush(stdout) != 0)
        round->broken = true;
}

int command_look(struct options *options)
{
    static struct round round;
    struct fault fault;

    round = (struct round){.options = options, .context = {.setup = &round.setup}};
    if (options->operand_count == 0)
        return complain_that(EXIT_BAD_INPUT, "no picture given: moonstand look FILE...|FOLDER");
    /* Without a setup of the user's own there are no rigs: the built-in ones say nothing about a picture. */
    if (read_setup(options, &round.setup, &fault) < 0 ||
        find_rig(options, &round.setup, "setup", &round.context.rig, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    for (int i = 0; i < options->operand_count; i++)
        look_each(&(struct look_walk){look_at_file, &round, &round.bad}, options->operands[i]);
    if (round.broken)
        return printed(-1);
    if (round.found == 0 && round.bad == 0)
        return complain_that(EXIT_NOTHING, "no picture found in %s", options->operands[0]);
    return round.bad ? EXIT_BAD_INPUT : EXIT_DONE;
}
