/* What the hands will have to do for all rigs together. */
#include "night.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Hands are asked for a new setting where it is two thirds of a stop from the last one that they
 * were asked for: three rigs would else ask for a third every minute and hide all other things.
 * This close to U2 and U3 every third is asked for. What is exactly right stands with its rig. */
#define ASKED_THIRDS 2
#define ASKED_ALL_S 600.0
/* What lies further ahead is not yet planned for: one re-aim shifts the next. */
#define AHEAD_S 3600.0

/* What cannot wait goes before what can. */
enum { CAN_WAIT, SHOULD_NOT_WAIT, CANNOT_WAIT };

/* ---- settings ---- */

static bool is_near_totality(const struct night *night, double utc)
{
    return fabs(utc - night->contact_utc[CONTACT_U2]) <= ASKED_ALL_S ||
           fabs(utc - night->contact_utc[CONTACT_U3]) <= ASKED_ALL_S;
}

static bool is_asked(const struct night *night, const struct segment *segment,
                     const struct exposure *last)
{
    const struct exposure *exposure = &segment->exposure;

    if (!exposure->known || (exposure->shutter == last->shutter && exposure->iso == last->iso))
        return false;
    return !last->known || is_near_totality(night, segment->utc_from) ||
           abs(exposure_thirds(exposure) - exposure_thirds(last)) >= ASKED_THIRDS;
}

const struct segment *hands_setting(const struct night *night, int rig, double utc)
{
    const struct run *run = &night->run[rig];
    double greatest = night->contact_utc[CONTACT_GREATEST];

    if (night->rig[rig].rig.remote_exposure)
        return NULL;
    for (int i = 1, last = 0; i < run->count; i++) {
        if (!is_asked(night, &run->segment[i], &run->segment[last].exposure))
            continue;
        if (run->segment[i].utc_from > utc) {
            /* While the light falls nothing is said of when it grows again. */
            bool turns = utc < greatest && run->segment[i].utc_from > greatest;
            return turns ? NULL : &run->segment[i];
        }
        last = i;
    }
    return NULL;
}

/* ---- tasks ---- */

static void add_task(struct night *night, double utc, enum hands_kind kind, int rig, double wish,
                     double to, int priority)
{
    if (!(wish <= utc + AHEAD_S) || night->task_count >= HANDS_TASKS)
        return;
    night->task[night->task_count++] = (struct hands_task){
        .kind = kind,
        .rig = rig,
        .wish_utc = wish > utc ? wish : utc,
        .utc_from = NAN,
        .utc_to = to,
        .duration_s = night->setup.hands_s[kind],
        .priority = priority,
    };
}

static void add_rig(struct night *night, double utc, int index)
{
    const struct rig_state *rig = &night->rig[index];
    const struct framing *framing = &night->framing[index];
    const struct segment *setting = hands_setting(night, index, utc);
    const struct swap_plan *swaps = &night->power[index].plan;
    struct card_budget card;

    /* Hands have finished when the limb meets the margin. */
    if (rig->aimed && rig->rig.support == SUPPORT_FIXED && isfinite(rig->due_utc))
        add_task(night, utc, HANDS_AIM, index, rig->due_utc - night->setup.hands_s[HANDS_AIM],
                 rig->leaves_utc, CANNOT_WAIT);
    if (framing->flips && utc <= framing->flip.latest_utc)
        add_task(night, utc, HANDS_AIM, index, framing->flip.advised_utc,
                 framing->flip.latest_utc + night->setup.hands_s[HANDS_AIM], CANNOT_WAIT);
    if (swaps->known && swaps->count > 0)
        add_task(night, utc, HANDS_BATTERY, index, swaps->swap[0].utc,
                 fmax(swaps->swap[0].empty_utc, utc), SHOULD_NOT_WAIT);
    if (rig_card_make(night, index, utc, night->card_free_bytes[index], &card) &&
        isfinite(card.full_utc))
        add_task(night, utc, HANDS_CARD, index, card.full_utc - night->setup.hands_s[HANDS_CARD],
                 card.full_utc, SHOULD_NOT_WAIT);
    if (setting)
        add_task(night, utc, HANDS_EXPOSURE, index, setting->utc_from, NAN, CAN_WAIT);
}

void hands_ahead_make(struct night *night, double utc)
{
    struct hands_ask ask = {
        .utc = utc,
        .task = night->task,
        .keep_off = night->contact_utc + CONTACT_U1,
        .keep_off_count = KEPT_OFF,
    };

    night->task_count = 0;
    for (int i = 0; i < night->setup.rig_count; i++)
        add_rig(night, utc, i);
    ask.task_count = night->task_count;
    hands_plan_make(&ask, &night->hands);
}

/* ---- words ---- */

/* The first of a line names the rig. */
static void say_task(const struct night *night, const struct hands_task *task, bool first,
                     double utc, char *out, size_t size)
{
    const struct rig_state *rig = &night->rig[task->rig];
    const char *of = first ? " of " : "", *name = first ? rig->rig.name : "";
    const struct segment *setting = hands_setting(night, task->rig, utc);
    char shutter[SHUTTER_LABEL];

    if (task->kind == HANDS_AIM && rig->rig.support != SUPPORT_FIXED)
        (void)snprintf(out, size, "turn the mount%s%s over", of, name);
    else if (task->kind == HANDS_AIM)
        (void)snprintf(out, size, "re-aim%s%s%s%s", first ? " " : "", name,
                       rig->due_before < 0 ? "" : " before ",
                       rig->due_before < 0 ? "" : contact_name((enum contact)rig->due_before));
    else if (task->kind == HANDS_BATTERY || task->kind == HANDS_CARD)
        (void)snprintf(out, size, "change the %s%s%s", hands_kind_name(task->kind), of, name);
    else if (setting)
        (void)snprintf(out, size, "set%s%s %s%s s, ISO %d", first ? " " : "", name,
                       first ? "to " : "", shutter_label(setting->exposure.shutter, shutter),
                       iso_label(setting->exposure.iso));
}

void hands_line_say(const struct night *night, const struct hands_line *line, double utc, char *out,
                    size_t size)
{
    size_t length = 0;

    for (int i = 0; i < line->count && length < size; i++) {
        const struct hands_task *task = &night->task[night->hands.order[line->first + i]];
        char what[96] = "";

        say_task(night, task, i == 0, utc, what, sizeof what);
        (void)snprintf(out + length, size - length, "%s%s",
                       i == 0            ? ""
                       : line->count > 2 ? ", "
                                         : " and ",
                       what);
        length = strlen(out);
    }
}
