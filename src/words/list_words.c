/* The list in words: its items, how each stands, what the program sees of what it asks for. */
#include "parts.h"

#include <moonstand/around_words.h>
#include <moonstand/checklist.h>
#include <moonstand/list_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/power_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *item_group_words(const struct night *night, enum check_group group)
{
    const double *anchor = night->anchor_utc;
    bool deepens = group == CHECK_BEFORE_U2, total = night->eclipse.kind == ECLIPSE_TOTAL;
    double until = night->contact_utc[!deepens ? CONTACT_P4 : total ? CONTACT_U2 : CONTACT_GREATEST];

    if (group == CHECK_BEFORE_P1 && anchor[ANCHOR_START] > night->contact_utc[CONTACT_P1])
        return "at moonrise";
    if (deepens && anchor[ANCHOR_START] > until)
        return "after moonrise";
    if ((deepens || group == CHECK_BEFORE_P4) && anchor[ANCHOR_END] < until)
        return "before moonset";
    return deepens && !total ? "before greatest" : check_group_name(group);
}

char *item_words(const struct check_item *item, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "%s%s%s", item->rig, *item->rig ? ": " : "", item->text);
}

char *open_words(const struct moment *moment, char out[COUNT_WORDS])
{
    return text_set(out, COUNT_WORDS, "%d open", moment->check_open);
}

char *overdue_words(const struct moment *moment, char out[COUNT_WORDS])
{
    *out = '\0';
    if (moment->check_overdue > 0)
        (void)snprintf(out, COUNT_WORDS, ", %d overdue", moment->check_overdue);
    return out;
}

char *item_stand_words(const struct subject *about, int item, char out[SENTENCE])
{
    double left = about->moment->check_due_utc[item] - about->moment->utc;
    char span[TEXT_SPAN];

    *out = '\0';
    if (isfinite(about->night->checked_utc[item]))
        (void)snprintf(out, SENTENCE, DONE_WORD);
    else if (about->moment->check_past[item])
        (void)snprintf(out, SENTENCE, "not done");
    else if (left <= 0 && left > -1)
        (void)snprintf(out, SENTENCE, "now");
    else if (isfinite(left))
        (void)snprintf(out, SENTENCE, "%s%s%s", left < 0 ? "" : "in ", rough_words(span, left),
                       left < 0 ? " late" : "");
    return out;
}

/* Of the rigs that are aimed by the Moon in their frame. */
static void say_first_unaimed(const struct subject *about, char out[SENTENCE])
{
    for (int i = 0; i < about->night->setup.rig_count && !*out; i++) {
        const struct rig_moment *rig = &about->moment->rig[i];
        if (!rig->pose && (rig->aim_state == AIM_FREE || rig->aim_state == AIM_DUE))
            (void)snprintf(out, SENTENCE, "%s not aimed", about->night->rig[i].rig.name);
    }
}

static void say_first_supply(const struct subject *about, char out[SENTENCE])
{
    char text[SENTENCE];

    for (int i = 0; i < about->night->setup.rig_count && !*out; i++)
        if (*supply_words(about, i, 2, text))
            (void)snprintf(out, SENTENCE, "%s: %.120s", about->night->rig[i].rig.name, text);
    for (int i = 0; i < about->night->setup.rig_count && !*out; i++)
        if (about->moment->kit[i].swap_utc <= about->moment->utc)
            (void)snprintf(out, SENTENCE, "%s: change it", about->night->rig[i].rig.name);
}

char *item_fault_words(const struct subject *about, int item, char out[SENTENCE])
{
    const struct moment *moment = about->moment;
    const char *id = about->night->setup.checklist.item[item].id;

    *out = '\0';
    if (strcmp(id, "air") == 0 && isnan(moment->air.margin_c))
        (void)snprintf(out, SENTENCE, "no reading yet");
    else if (strcmp(id, "forecast") == 0 && about->night->forecast.count == 0)
        (void)snprintf(out, SENTENCE, NO_FORECAST_WORDS);
    else if (strcmp(id, "forecast") == 0 && moment->forecast_old)
        (void)snprintf(out, SENTENCE, "forecast is old");
    else if (strncmp(id, "aim", 3) == 0)
        say_first_unaimed(about, out);
    else if (asks_for_glass(about->night, item))
        (void)glass_words(about, out);
    else if (strncmp(id, "batteries", 9) == 0)
        say_first_supply(about, out);
    return out;
}

const char *no_item_words(const struct subject *about)
{
    const struct checklist *list = &about->night->setup.checklist;

    for (int i = 0; i < list->count; i++)
        if (about->moment->check_past[i])
            return "nothing left to do";
    return list->count > 0 ? "everything is ticked" : "nothing on it";
}
