/* What the hands must do, as the screen has it: the words of the moment's jobs, the keys for them, and
 * how much they matter. */
#include "panels.h"

#include <moonstand/words.h>

#include <stdio.h>
#include <string.h>

static bool glass_is_first(const struct hands *hands)
{
    return hands->count > 0 && hands->job[0].kind == JOB_GLASS;
}

void hands_lines_make(const struct scene *scene, struct hands_lines *lines)
{
    static const enum role roles[] = {[URGENCY_FREE] = ROLE_VALUE,
                                      [URGENCY_SOON] = ROLE_DUE,
                                      [URGENCY_NOW] = ROLE_DUE,
                                      [URGENCY_ALARM] = ROLE_ALARM};
    const struct moment *moment = scene->moment;
    struct hands_words words;

    hands_say(&scene->about, &words);
    *lines = (struct hands_lines){.sun = sun_warns(&moment->sun),
                                  .role = roles[moment->hands.urgency],
                                  .then_role = words.then_due ? ROLE_DUE : ROLE_LABEL,
                                  .left_s = words.left_s};
    (void)snprintf(lines->now, WORDS_LINE, "%s", words.now);
    (void)snprintf(lines->then, WORDS_LINE, "%s", words.then);
    (void)snprintf(lines->label, sizeof lines->label, "%s", words.label);
    if (glass_is_first(&moment->hands)) {
        size_t length = strlen(lines->now);
        (void)snprintf(lines->now + length, WORDS_LINE - length, " (G dry, H heater on)");
    }
}
