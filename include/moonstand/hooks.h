/* devices: the user's commands that run at events. */
#ifndef MOONSTAND_HOOKS_H
#define MOONSTAND_HOOKS_H

#include <moonstand/program.h>
#include <moonstand/setup.h>

struct fault;

/* What a hook finds in its environment. */
struct hook_facts {
    enum hook_event event; /* MOONSTAND_EVENT: its name */
    double utc;            /* MOONSTAND_AT: ISO 8601 UTC, by the night's clock */
    const char *what;      /* MOONSTAND_WHAT: in words: "U2", "re-aim of long" */
    const char *rig;       /* MOONSTAND_RIG: its name, or empty */
    bool rehearsal;        /* MOONSTAND_REHEARSAL: 1 or 0 */
};

enum { HOOKS_RUNNING = 8 };
struct hooks {
    struct child child[HOOKS_RUNNING];
    struct child voice; /* one speaks at a time */
};

/* Starts a command whose output is discarded. -1 with a fault if it cannot run or HOOKS_RUNNING of
 * them still do. */
int hooks_run(struct hooks *hooks, const struct user_command *command,
              const struct hook_facts *facts, double boot_s, struct fault *fault);
/* A voice may take so long for what it is given; then it is killed. */
#define VOICE_LIMIT_S 60.0
/* Whether the voice is still running. */
bool hooks_speak(struct hooks *hooks);
/* Gives lines to a command on its standard input. -1 with a fault if it cannot run. */
int hooks_say(struct hooks *hooks, const struct user_command *command, const char *lines,
              double boot_s, struct fault *fault);
void hooks_tick(struct hooks *hooks, double boot_s);
void hooks_close(struct hooks *hooks);

#endif
