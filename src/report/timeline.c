/* What happens in a night, in order. */
#include "report.h"

#include <math.h>
#include <stdlib.h>

/* What the sky does is told from before the set-up to after the packing. */
#define BEFORE_P1_S (6 * 3600.0)
#define AFTER_P4_S (3 * 3600.0)

const char *line_kind_name(enum line_kind kind)
{
    static const char *const names[] = {"contact", "shading", "sky", "check", "mount"};

    return names[kind];
}

bool check_applies(const struct night *night, int item)
{
    return !night->setup.checklist.item[item].has_due || isfinite(item_due_utc(night, item));
}

static enum line_kind kind_of(const struct night_event *event)
{
    switch (event->kind) {
    case NIGHT_CONTACT:
        return LINE_CONTACT;
    case NIGHT_SHADING:
        return LINE_SHADING;
    case NIGHT_FLIP:
    case NIGHT_LIMIT:
        return LINE_MOUNT;
    case NIGHT_SKY:
        break;
    }
    return LINE_SKY;
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

int timeline_make(const struct night *night, struct line lines[TIMELINE_LINES])
{
    double from = night->contact_utc[CONTACT_P1] - BEFORE_P1_S;
    double to = night->contact_utc[CONTACT_P4] + AFTER_P4_S;
    int count = 0;

    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        if (event->utc >= from && event->utc <= to)
            lines[count++] = (struct line){.utc = event->utc,
                                           .kind = kind_of(event),
                                           .which = event->which,
                                           .rig = event->rig,
                                           .moon_up = event->moon_up,
                                           .name = night_event_name(event)};
    }
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
