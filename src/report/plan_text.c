/* The plan on paper: it must do when the laptop is dead. */
#include "print.h"

#include <moonstand/aim_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/list_words.h>
#include <moonstand/paper_words.h>
#include <moonstand/power_words.h>
#include <moonstand/round_words.h>
#include <moonstand/series.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What the first page leaves out of the eclipse itself. */
static void print_planned_eclipse(FILE *out, const struct night *night)
{
    char caveat[CAVEAT_WORDS], magnitude[SENTENCE];

    text_entry(out, "Magnitude", "%s", magnitude_words(&night->eclipse, magnitude));
    text_entry(out, "Mind", "%s", UMBRA_CAVEAT);
    if (utc_caveat_words(night->contact_utc[CONTACT_GREATEST], false, caveat))
        text_entry(out, "", "%s", caveat);
}

static void print_timeline(FILE *out, const struct night *night)
{
    struct line lines[TIMELINE_LINES];
    int count = timeline_make(night, lines);
    char label[2 * TEXT_INSTANT], clock[TEXT_INSTANT];

    fprintf(out, "\nTIMELINE (local)\n");
    for (int i = 0; i < count; i++) {
        (void)snprintf(label, sizeof label, "  %s",
                       clock_second(clock, reader_local(night), lines[i].utc));
        if (lines[i].kind == LINE_MOUNT)
            text_entry(out, label, "%s: %s", night->rig[lines[i].rig].rig.name, lines[i].name);
        else if (lines[i].kind != LINE_CHECK)
            text_entry(out, label, "%s%s", lines[i].name,
                       lines[i].moon_up || lines[i].kind == LINE_SKY ? "" : UNSEEN_NOTE);
    }
}

/* The rows that an intervalometer is set by, a column for each thing. */
static void print_sheet(FILE *out, const struct night *night, const struct plan_rig *plan)
{
    char clock[TEXT_INSTANT];
    int columns = (int)strlen("start");

    for (int i = 0; i < plan->sheet.lines; i++)
        if (plan->line[i].shots > 0)
            columns = text_wider(columns,
                                 clock_second(clock, reader_local(night), plan->line[i].start_utc));
    fprintf(out, "  %-*s  shutter    ISO   every  count  frames\n", columns, "start");
    for (int i = 0; i < plan->sheet.lines; i++) {
        const struct sheet_line *line = &plan->line[i];

        if (line->shots > 0)
            fprintf(out, "  %-*s  %7s  %5d  %4g s  %5d  %6d\n", columns,
                    clock_second(clock, reader_local(night), line->start_utc),
                    shutter_label(line->exposure->shutter), iso_label(line->exposure->iso),
                    plan->sheet.interval_s, line->shots, line->frames);
    }
}

static void print_planned_tripod(FILE *out, const struct subject *about, int index)
{
    const struct framing *framing = &about->night->framing[index];
    struct first_aim first;
    char text[SENTENCE];

    first_aim_make(about->night, index, &first);
    if (!isfinite(first.utc))
        return;
    text_entry(out, "  aim", "%s", first_aim_words(about, &first, text));
    text_entry(out, "", "%s", first_stay_words(&first, text));
    if (framing->re_aims >= 0)
        text_entry(out, "", "%s", re_aims_words(framing, text));
}

static void print_whole(FILE *out, const struct subject *about, int index)
{
    char text[SENTENCE];

    text_entry(out, "", "%s", whole_words(about, index, text));
    text_entry(out, "", "%s", way_words(about, &about->night->framing[index].whole, 0, text));
    text_entry(out, "", "%s", spacing_words(about->night, index, text));
    text_entry(out, "", "%s", chain_words(about, index, text));
}

static void print_aim(FILE *out, const struct night *night, int index)
{
    const struct subject about = {night, NULL, reader_local(night)};
    bool whole = night->framing[index].whole.known;
    char text[SENTENCE];

    text_entry(out, "  misfit", "%s", misfit_words(night, index, text));
    if (!whole && night->rig[index].rig.support == SUPPORT_FIXED) {
        print_planned_tripod(out, &about, index);
        return;
    }
    text_entry(out, "  aim", "%s", aim_plan_words(&about, index, text));
    if (whole)
        print_whole(out, &about, index);
}

static void print_needs(FILE *out, const struct night *night, int index)
{
    double first = night->shooting[index].utc_from;
    struct rig_power power;
    struct card_budget card;
    const struct subject about = {night, NULL, reader_local(night)};
    char text[SENTENCE];

    if (!isfinite(first))
        return;
    rig_power_make(night, index, first, &power);
    print_power(out, &about, index, &power);
    if (rig_card_make(night, index, first, NAN, &card))
        text_entry(out, card.fits ? "  card" : "  CARD", "%s",
                   card_plan_words(&about, index, &card,
                                   card_swap_utc(night, index, first, card.full_utc), text));
}

/* From when to when the settings are for the sky, since it hides what they should be for. */
static void print_lost(FILE *out, const struct night *night, int index)
{
    const struct run *run = &night->run[index];
    char words[LOST_WORDS];

    for (int i = 0; i < run->lost_count; i++)
        text_entry(out, i == 0 ? "  sky" : "", "%s",
                   lost_span_words(&run->lost[i], reader_local(night), words));
}

static void print_planned_rig(FILE *out, const struct night *night, int index)
{
    const struct rig *rig = &night->rig[index].rig;
    struct plan_rig plan;
    char title[RIG_TITLE], text[SENTENCE];

    plan_rig_make(night, index, &plan);
    fprintf(out, "\n");
    text_entry(out, "RIG", "%s", rig_title(title, rig));
    text_entry(out, "  shoots", "%s", shoots_words(night, index, plan.sheet.frames, text));
    print_needs(out, night, index);
    print_aim(out, night, index);
    if (plan.sheet.lines == 0) {
        text_entry(out, "  set", NOTHING_TO_SET_WORDS);
        return;
    }
    print_lost(out, night, index);
    text_entry(out, "  sheet", "for the intervalometer (local)");
    if (rig->target == TARGET_BRACKET)
        text_entry(out, "", "%s", bracket_sheet_words(rig, text));
    print_sheet(out, night, &plan);
}

/* When there is more to do than hands can, and what would help. */
static void print_overloads(FILE *out, const struct night *night, const struct agenda *agenda)
{
    struct overload overload[OVERLOADS];
    int count = agenda_overloads(night, agenda, overload);
    struct remedy remedy;
    char words[REMEDY_WORDS];

    for (int i = 0; i < count; i++)
        text_entry(out, "  TOO MUCH", "%s", overload_words(night, &overload[i], words));
    if (count > 0 && remedy_find(night, &remedy) == 0)
        text_entry(out, "  remedy", "%s", remedy_words(night, &remedy, words));
}

/* The walks from camera to camera: who reads them needs no screen. */
static void print_rounds(FILE *out, const struct night *night)
{
    struct agenda agenda;
    char label[TEXT_INSTANT + 4], clock[TEXT_INSTANT], words[ROUND_WORDS];

    agenda_make(night, -INFINITY, &agenda);
    fprintf(out, "\nROUNDS (local)\n");
    text_entry(out, "  begin", "%s", begin_words(night, words));
    text_entry(out, "", "%s", rounds_words(night, &agenda, words));
    print_overloads(out, night, &agenda);
    for (int i = 0; i < agenda.count; i++) {
        (void)snprintf(label, sizeof label, "  %s",
                       clock_second(clock, reader_local(night), agenda.round[i].utc));
        text_entry(out, label, "%s", round_words(night, &agenda.round[i], words));
    }
}

static void print_item(FILE *out, const struct night *night, int index)
{
    const struct check_item *item = &night->setup.checklist.item[index];
    double due = item_due_utc(night, index);
    char label[TEXT_INSTANT + 8], clock[TEXT_INSTANT] = "", day[TEXT_INSTANT] = "",
                                  first_day[TEXT_INSTANT], text[SENTENCE];

    if (isfinite(due)) {
        (void)clock_minute(clock, reader_local(night), due);
        (void)day_words(day, reader_local(night), due);
    }
    /* A day is named where it is not the one on which the eclipse begins. */
    if (strcmp(day, day_words(first_day, reader_local(night), night->contact_utc[CONTACT_P1])) == 0)
        *day = '\0';
    (void)snprintf(label, sizeof label, "[%c] %s", isfinite(night->checked_utc[index]) ? 'x' : ' ',
                   clock);
    text_entry(out, label, "%s%s%s%s%s", day, *day ? " " : "", item_words(item, text),
               *item->note ? " - " : "", item->note);
}

/* Undated ones come first. */
static double due_key(const struct night *night, int item)
{
    double due = item_due_utc(night, item);

    return isnan(due) ? -INFINITY : due;
}

/* The items of this night by due time, at one time in the order of the list; how many. */
static int items_by_due(const struct night *night, int order[CHECK_ITEMS])
{
    int count = 0;

    for (int i = 0; i < night->setup.checklist.count; i++) {
        int at = count;

        if (!item_applies(night, i))
            continue;
        for (; at > 0 && due_key(night, order[at - 1]) > due_key(night, i); at--)
            order[at] = order[at - 1];
        order[at] = i;
        count++;
    }
    return count;
}

static void print_planned_checklist(FILE *out, const struct night *night)
{
    int order[CHECK_ITEMS], count = items_by_due(night, order);

    fprintf(out, "\nCHECKLIST (local)\n");
    for (int group = 0; group <= CHECK_REMINDER; group++) {
        bool any = false;

        for (int i = 0; i < count; i++) {
            if ((int)night->setup.checklist.item[order[i]].group != group)
                continue;
            if (!any)
                fprintf(out, "%s\n", item_group_words(night, (enum check_group)group));
            any = true;
            print_item(out, night, order[i]);
        }
    }
}

int report_plan_text(FILE *out, const struct night *night)
{
    if (print_pocket(out, night) != 0)
        return -1;
    print_planned_eclipse(out, night);
    print_timeline(out, night);
    print_rounds(out, night);
    for (int i = 0; i < night->setup.rig_count; i++)
        print_planned_rig(out, night, i);
    print_planned_checklist(out, night);
    return text_done(out);
}
