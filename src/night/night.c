#include "night.h"

#include <math.h>
#include <stdlib.h>

enum { ACTS_FIRST = 256 };

int night_open(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
               const struct zone_table *zone, bool rehearsal, struct fault *fault)
{
    *night = (struct night){0};
    if (!setup->has_site)
        return fault_set(fault,
                         "no site: give --site LAT,LON[,ELEV_M], or write one into the setup");
    night->setup = *setup;
    night->eclipse = *eclipse;
    night->zone = *zone;
    night->rehearsal = rehearsal;
    night->pace = 1;
    state_reset(night);
    night->stale = STALE_SITE;
    return 0;
}

void night_close(struct night *night)
{
    free(night->acts);
    night->acts = NULL;
    night->act_count = night->act_room = 0;
}

static int make_room(struct night *night, struct fault *fault)
{
    size_t room = night->act_room ? night->act_room * 2 : ACTS_FIRST;
    struct act *grown;

    if (night->act_count < night->act_room)
        return 0;
    grown = realloc(night->acts, room * sizeof *grown);
    if (!grown)
        return fault_set(fault, "out of memory");
    night->acts = grown;
    night->act_room = room;
    return 0;
}

static bool is_undone(const struct night *night, uint64_t seq)
{
    for (size_t i = 0; i < night->act_count; i++)
        if (night->acts[i].kind == ACT_UNDO && night->acts[i].ref == seq)
            return true;
    return false;
}

/* The state again from the first act, without those that were taken back. */
static unsigned fold_all(struct night *night)
{
    unsigned stale = STALE_NOTHING;

    state_reset(night);
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];

        if (act->kind != ACT_UNDO && !is_undone(night, act->seq))
            stale |= state_fold(night, act);
    }
    return stale;
}

static unsigned undo_stale(const struct night *night, uint64_t seq)
{
    for (size_t i = 0; i < night->act_count; i++)
        if (night->acts[i].seq == seq && night->acts[i].kind == ACT_SITE)
            return STALE_SITE;
    return STALE_LIGHT | STALE_AIM;
}

int night_apply(struct night *night, struct act *act, struct fault *fault)
{
    if (act->seq != 0 && act->seq <= night->last_seq)
        return 1;
    if (state_check(night, act, fault) != 0 || make_room(night, fault) != 0)
        return -1;
    if (act->seq == 0)
        act->seq = night->last_seq + 1;
    night->last_seq = act->seq;
    night->acts[night->act_count++] = *act;
    if (act->kind == ACT_UNDO)
        night->stale |= fold_all(night) | undo_stale(night, act->ref);
    else
        night->stale |= state_fold(night, act);
    return 0;
}

const struct act *night_last_undoable(const struct night *night)
{
    for (size_t i = night->act_count; i-- > 0;) {
        const struct act *act = &night->acts[i];

        if (act_form(act->kind)->by_user && !is_undone(night, act->seq))
            return act;
    }
    return NULL;
}

double item_due_utc(const struct night *night, int item)
{
    const struct check_item *checked = &night->setup.checklist.item[item];

    if (!checked->has_due)
        return NAN;
    return utc_from_tt(contact_offset_tt(&checked->due, &night->eclipse));
}
