/* What happens in a night, in order. */
#include "print.h"

#include <moonstand/event_words.h>

#include <math.h>
#include <stdlib.h>

/* Events of the sky are listed from before setting up to after packing. */
#define BEFORE_P1_S (6 * 3600.0)
#define AFTER_P4_S (3 * 3600.0)
#define SAME_S 1.0

const char *line_kind_name(enum line_kind kind)
{
    static const char *const names[] = {"contact", "shading", "sky", "check", "mount", "light"};

    return names[kind];
}

static int compare_lines(const void *a, const void *b)
{
    const struct line *first = a, *second = b;

    if (first->utc != second->utc)
        return first->utc < second->utc ? -1 : 1;
    if (first->kind != second->kind)
        return first->kind < second->kind ? -1 : 1;
    return first->which - second->which;
}

/* A rig with the same target as an earlier one has the same span. */
static bool is_told_lost(const struct night *night, int rig, const struct lost_span *lost)
{
    for (int i = 0; i < rig; i++)
        for (int j = 0; j < night->run[i].lost_count; j++) {
            const struct lost_span *other = &night->run[i].lost[j];

            if (lost_event_words(other, false) == lost_event_words(lost, false) &&
                fabs(other->span.from - lost->span.from) < SAME_S)
                return true;
        }
    return false;
}

static int add_lost(const struct night *night, struct line *lines)
{
    int count = 0;

    for (int i = 0; i < night->setup.rig_count; i++)
        for (int j = 0; j < night->run[i].lost_count; j++) {
            const struct lost_span *lost = &night->run[i].lost[j];

            if (is_told_lost(night, i, lost))
                continue;
            for (int ends = 0; ends < (lost->to_end ? 1 : 2); ends++)
                lines[count++] = (struct line){.utc = ends ? lost->span.to : lost->span.from,
                                               .kind = LINE_LIGHT,
                                               .which = (int)lost->target,
                                               .moon_up = true,
                                               .name = lost_event_words(lost, ends)};
        }
    return count;
}

int timeline_make(const struct night *night, struct line lines[TIMELINE_LINES])
{
    static const enum line_kind kinds[] = {
        [NIGHT_CONTACT] = LINE_CONTACT, [NIGHT_SHADING] = LINE_SHADING, [NIGHT_SKY] = LINE_SKY,
        [NIGHT_FLIP] = LINE_MOUNT,      [NIGHT_LIMIT] = LINE_MOUNT,
    };
    double from = night->contact_utc[CONTACT_P1] - BEFORE_P1_S;
    double to = night->contact_utc[CONTACT_P4] + AFTER_P4_S;
    int count = 0;

    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        if (event->utc >= from && event->utc <= to)
            lines[count++] = (struct line){.utc = event->utc,
                                           .kind = kinds[event->kind],
                                           .which = event->which,
                                           .rig = event->rig,
                                           .moon_up = event->moon_up,
                                           .name = event_words(night_event_name(event), false)};
    }
    count += add_lost(night, lines + count);
    for (int i = 0; i < night->setup.checklist.count; i++) {
        double due = item_due_utc(night, i);

        if (isfinite(due))
            lines[count++] = (struct line){.utc = due,
                                           .kind = LINE_CHECK,
                                           .which = i,
                                           .name = night->setup.checklist.item[i].text};
    }
    qsort(lines, (size_t)count, sizeof lines[0], compare_lines);
    return count;
}
