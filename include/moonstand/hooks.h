/* devices: commands of the user's that run at events. */
#ifndef MOONSTAND_HOOKS_H
#define MOONSTAND_HOOKS_H

#include <moonstand/program.h>
#include <moonstand/setup.h>

struct fault;

/* What a hook is told, in its environment. */
struct hook_facts {
    enum hook_event event; /* MOONSTAND_EVENT: its name */
    double utc;            /* MOONSTAND_AT: the instant, of the night's clock, ISO 8601 UTC */
    const char *what;      /* MOONSTAND_WHAT: for people: "U2", "re-aim of long" */
    const char *rig;       /* MOONSTAND_RIG: its name, or empty */
    bool rehearsal;        /* MOONSTAND_REHEARSAL: 1 or 0 */
};

enum { HOOKS_RUNNING = 8 };
struct hooks {
    struct child child[HOOKS_RUNNING];
};

/* Runs a command, with nothing of it on the screen. -1 with a fault where it cannot be run, or too
 * many of them still do. */
int hooks_run(struct hooks *hooks, const struct user_command *command,
              const struct hook_facts *facts, double boot_s, struct fault *fault);
double hooks_next_deadline(const struct hooks *hooks);
void hooks_on_deadline(struct hooks *hooks, double boot_s);
void hooks_close(struct hooks *hooks);

#endif
