#include "derive.h"

#include <moonstand/pages.h>

#include <math.h>
#include <stdlib.h>

enum { ACTS_FIRST = 256 };

int night_open(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
               const struct zone_table *zone, bool rehearsal, struct fault *fault)
{
    if (!setup->has_site)
        return fault_set(fault,
                         "no site: give --site LAT,LON[,ELEV_M], or write one into the setup");
    night_close(night);
    night->is_open = true;
    night->rehearsal = rehearsal;
    night->pace = 1;
    night->alive_utc = NAN;
    night->forecast_file.issued_utc = NAN;
    for (int i = 0; i < RIGS; i++)
        night->card_free_bytes[i] = NAN;
    night_take_setup(night, setup, eclipse, zone);
    return 0;
}

void night_close(struct night *night)
{
    if (!night->is_open)
        return;
    free(night->acts);
    pages_clear(night, sizeof *night);
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

static int compare_seq(const void *key, const void *member)
{
    uint64_t seq = *(const uint64_t *)key, other = ((const struct act *)member)->seq;

    return (seq > other) - (seq < other);
}

const struct act *night_act(const struct night *night, uint64_t seq)
{
    return night->act_count
               ? bsearch(&seq, night->acts, night->act_count, sizeof *night->acts, compare_seq)
               : NULL;
}

/* The state again from the first act, without those that were undone. */
static void fold_all(struct night *night)
{
    state_reset(night);
    for (size_t i = 0; i < night->act_count; i++)
        if (!night->acts[i].undone)
            act_fold(night, &night->acts[i]);
    night->unfolded = false;
}

void night_fold(struct night *night)
{
    if (night->unfolded)
        fold_all(night);
}

void night_take_setup(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
                      const struct zone_table *zone)
{
    setup_copy(&night->began.setup, setup);
    night->began.eclipse = *eclipse;
    night->began.zone = *zone;
    eclipse_by_rule(&night->began.eclipse, setup->rule);
    setup_begin(night);
    fold_all(night);
    night->stale = STALE_SITE;
}

void night_take_forecast(struct night *night, const struct forecast *forecast)
{
    night->forecast_file = *forecast;
    fold_all(night);
    go_stale(night, STALE_ADVICE);
}

static bool is_done_in_round(enum act_kind kind)
{
    return kind == ACT_SETTING || kind == ACT_AIM || kind == ACT_POINT || kind == ACT_BATTERY ||
           kind == ACT_CARD;
}

/* Marks the act that an undo names, of a round also what was done in it; act_check() has verified that
 * it is there and can be undone. */
static void take_back(struct night *night, uint64_t seq)
{
    struct act *act = &night->acts[night_act(night, seq) - night->acts];

    night->own_items -= act->kind == ACT_ITEM && !act->undone;
    act->undone = true;
    for (int i = 1; act->kind == ACT_ROUND && i <= act->value[1] && act - i >= night->acts; i++)
        act[-i].undone |= is_done_in_round(act[-i].kind);
    night->unfolded = true;
    go_stale(night, act->kind == ACT_SITE || act->kind == ACT_SETUP ? STALE_SITE : STALE_FRAMING);
    /* What rigs and items the acts behind it may name hangs on it. */
    if (act->kind == ACT_SETUP)
        night_fold(night);
}

int night_replay(struct night *night, struct act *act, struct fault *fault)
{
    if (act->seq != 0 && act->seq <= night->last_seq)
        return 1;
    if (act->kind == ACT_SETUP)
        night_fold(night);
    if (act_check(night, act, fault) != 0 || make_room(night, fault) != 0)
        return -1;
    if (act->seq == 0)
        act->seq = night->last_seq + 1;
    night->last_seq = act->seq;
    act->undone = false;
    night->acts[night->act_count++] = *act;
    night->own_items += act->kind == ACT_ITEM;
    if (act->kind == ACT_UNDO)
        take_back(night, act->ref);
    else if (!night->unfolded)
        act_fold(night, act);
    return 0;
}

int night_apply(struct night *night, struct act *act, struct fault *fault)
{
    night_fold(night);
    if (act->kind == ACT_SETUP && setup_check_change(night, act->text, fault) != 0)
        return -1;
    int status = night_replay(night, act, fault);
    night_fold(night);
    return status;
}

const struct act *night_last_undoable(const struct night *night)
{
    for (size_t i = night->act_count; i-- > 0;) {
        const struct act *act = &night->acts[i];

        if (act_is_undoable(night, act) && !act->undone)
            return act;
    }
    return NULL;
}
