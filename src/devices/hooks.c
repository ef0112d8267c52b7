#include "child.h"

#include <moonstand/hooks.h>

#include <stdio.h>

enum { FACTS = 5, FACT_TEXT = 320 };

static struct child *free_child(struct hooks *hooks)
{
    for (int i = 0; i < HOOKS_RUNNING; i++)
        if (child_ended(&hooks->child[i]))
            return &hooks->child[i];
    return NULL;
}

int hooks_run(struct hooks *hooks, const struct user_command *command,
              const struct hook_facts *facts, double boot_s, struct fault *fault)
{
    char text[FACTS][FACT_TEXT], at[TEXT_INSTANT];
    char *const environment[FACTS + 1] = {text[0], text[1], text[2], text[3], text[4]};
    struct child *child = free_child(hooks);

    if (!child)
        return fault_set(fault, "'%.60s' not run: %d hooks are still running", command->text,
                         HOOKS_RUNNING);
    (void)snprintf(text[0], FACT_TEXT, "MOONSTAND_EVENT=%s", hook_event_name(facts->event));
    (void)snprintf(text[1], FACT_TEXT, "MOONSTAND_AT=%s", format_iso(at, facts->utc, 0, "Z"));
    (void)snprintf(text[2], FACT_TEXT, "MOONSTAND_WHAT=%s", facts->what);
    (void)snprintf(text[3], FACT_TEXT, "MOONSTAND_RIG=%s", facts->rig);
    (void)snprintf(text[4], FACT_TEXT, "MOONSTAND_REHEARSAL=%d", facts->rehearsal);
    return child_start(
        child, command,
        &(struct child_plan){.facts = environment, .until_s = boot_s + COMMAND_LIMIT_S}, fault);
}

bool hooks_speak(struct hooks *hooks)
{
    return !child_ended(&hooks->voice);
}

int hooks_say(struct hooks *hooks, const struct user_command *command, const char *lines,
              double boot_s, struct fault *fault)
{
    return child_start(&hooks->voice, command,
                       &(struct child_plan){.input = lines, .until_s = boot_s + VOICE_LIMIT_S},
                       fault);
}

void hooks_tick(struct hooks *hooks, double boot_s)
{
    (void)child_tick(&hooks->voice, boot_s);
    for (int i = 0; i < HOOKS_RUNNING; i++)
        (void)child_tick(&hooks->child[i], boot_s);
}

void hooks_close(struct hooks *hooks)
{
    child_kill(&hooks->voice);
    for (int i = 0; i < HOOKS_RUNNING; i++)
        child_kill(&hooks->child[i]);
}
