/* What has happened from one moment to the next: what hooks run and bells ring for. */
#ifndef MOONSTAND_WATCH_H
#define MOONSTAND_WATCH_H

#include <moonstand/hooks.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>

struct watch {
    size_t acts; /* of the night that have been looked at */
    double utc;  /* of the last look; NaN: none yet */
    bool warned[RIGS], swap_due[RIGS], power_due[RIGS], stopped[RIGS], wrong[RIGS], looks[RIGS],
        put_off[RIGS], air_gone;
};

/* `acts`: how many acts of the night are old news. */
void watch_begin(struct watch *watch, size_t acts);
/* What is new at this moment; how many of it are written, at most `most`. What passed in a gap is
 * reported by the acts that the gap left behind, not once more. The texts live as long as the night
 * does not change. */
int watch_step(struct watch *watch, const struct night *night, const struct moment *moment,
               struct hook_facts *facts, int most);
/* Reminders and items of the checklist that fall due in (from_utc, utc of the moment]. */
int watch_due(const struct night *night, const struct moment *moment, double from_utc);

#endif
