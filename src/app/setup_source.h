/* Where the setup of a session comes from, how it is changed, and where changes are saved. */
#ifndef MOONSTAND_SETUP_SOURCE_H
#define MOONSTAND_SETUP_SOURCE_H

#include <moonstand/act.h>
#include <moonstand/fault.h>
#include <moonstand/night.h>
#include <moonstand/path.h>

struct setup_source {
    char file[PATH_SIZE]; /* that it was read from; changes are saved there; empty: in none */
    double written_utc;   /* when that was last written, as far as is known here */
    struct fault doubt;   /* whose words the session's acts may be; empty: the user's alone */
};

/* The editor of a night (struct setup_editor); `source` is a struct setup_source. A change is a path,
 * and what was typed behind a blank, without which the entry there is taken out. Acts name rigs by
 * number, so that only the last one is taken out. A command is changed only if neither the setup nor
 * the record of the acts could have been written by anybody else. */
int setup_source_edit(void *source, const char *change, struct setup *setup,
                      struct zone_table *zone, struct fault *fault);
/* Gives a setup that a session has kept the trust of the one that was read, and its commands unless
 * both are trusted: what a session has kept is trusted no more than what was read. */
void setup_source_trust(struct setup *kept, const struct setup *read);
/* Whether a night that is resumed is to begin anew, and with what setup: with the one that was read
 * if that differs from what the night has and `goes_first`; else with what the night has, at
 * the place and by the shadow rule of the one that was read if these are other ones than before. */
bool setup_source_is_new(const struct night *night, const struct setup *read, bool goes_first,
                         struct setup *setup);
/* Saves a changed setup in its file, unless somebody else has written that meanwhile: -1 with a fault. */
int setup_source_save(struct setup_source *source, const struct setup *setup, struct fault *fault);

#endif
