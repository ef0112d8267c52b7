/* The first page of the plan: what fits into a pocket and must do when the laptop is dead. */
#include "print.h"

#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/paper_words.h>
#include <moonstand/place_words.h>
#include <moonstand/round_words.h>
#include <moonstand/series.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Of paper: a page of US letter at six lines an inch is the shorter one. */
enum { PAGE_LINES = 66, PAGE_COLUMNS = 79 };
/* What stands in a cell of the table of rounds, at most. */
enum { CELL = RIG_NAME };

/* ---- contacts ---- */

static void print_head(FILE *out, const struct night *night)
{
    const struct site *site = &night->site;
    char day[TEXT_INSTANT], place[SITE_PLACE_WORDS];

    fprintf(out, "LUNAR ECLIPSE OF %s: %s\n", eclipse_day(day, &night->eclipse),
            eclipse_kind_name(night->eclipse.kind));
    text_entry(out, "Site", "%s%s%s; local time: %s", site->name, *site->name ? ": " : "",
               site_place_words(site, place), night->zone.name);
    if (never_up(night))
        text_entry(out, "Seen", NEVER_UP_WORDS);
}

/* Columns of the local times of the contacts on a clock. */
static int contact_columns(const struct night *night,
                           char *clock(char out[TEXT_INSTANT], struct reader reader, double utc))
{
    char local[TEXT_INSTANT];
    int widest = 0;

    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(night->contact_utc[i]))
            widest = text_wider(widest, clock(local, reader_local(night), night->contact_utc[i]));
    return widest;
}

static void print_contacts(FILE *out, const struct night *night)
{
    enum { DAY_COLUMNS = 11, YEAR_COLUMNS = 5 };
    int columns = contact_columns(night, clock_second), cut = 0;

    /* The year gives way to the letters of the zone. */
    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(night->contact_utc[i]) && *zone_mark(&night->zone, night->contact_utc[i]))
            cut = YEAR_COLUMNS;
    fprintf(out, "\nCONTACTS    %-*s  %s       Moon\n", DAY_COLUMNS - cut + columns, "  local",
            scale_name(night->contact_utc[CONTACT_GREATEST]));
    for (int i = 0; i < CONTACT_COUNT; i++) {
        double utc = night->contact_utc[i];
        char clock[TEXT_INSTANT], day[TEXT_INSTANT], local[TEXT_INSTANT], cell[SIGHT_CELL];
        struct sight moon;

        if (!isfinite(utc))
            continue;
        sky_moon(&night->arc, &night->observer, utc, &moon);
        fprintf(out, "  %-9s %s %-*s  %s  %-7s %s\n", contact_name((enum contact)i),
                day_words(day, reader_local(night), utc) + cut, columns,
                clock_second(local, reader_local(night), utc),
                clock_second(clock, reader_utc(), utc), sight_cell(&moon, cell),
                contact_meaning((enum contact)i, true));
    }
}

/* ---- rounds ---- */

/* The rigs that are set by hand, a column for each. */
struct pocket_table {
    int rigs, rig[RIGS];
    int clock, cell; /* columns of a time; of a setting, with the space after it */
};

/* "1/60 400"; of a bracket "1/20 400x5". */
static char *cell_words(const struct exposure *exposure, char out[CELL])
{
    char bracket[8] = "";

    if (exposure->bracket_frames > 1)
        (void)snprintf(bracket, sizeof bracket, "x%d", exposure->bracket_frames % 100);
    return text_set(out, CELL, "%s %d%s", shutter_label(exposure->shutter),
                    iso_label(exposure->iso), bracket);
}

static void table_make(const struct night *night, struct pocket_table *table)
{
    const struct rounds *rounds = &night->rounds;
    char text[CELL];

    *table = (struct pocket_table){.clock = contact_columns(night, clock_minute), .cell = 10};
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        if (!rounds->begins[rig].known)
            continue;
        table->rig[table->rigs++] = rig;
        table->cell = text_wider(table->cell, cell_words(&rounds->begins[rig], text));
        for (int i = 0; i < rounds->count; i++)
            if (rounds->round[i].touched[rig])
                table->cell =
                    text_wider(table->cell, cell_words(&rounds->round[i].exposure[rig], text));
    }
    table->cell++;
}

/* A row of cells and what is done besides, which goes below if there is no room beside them. How many
 * lines it took. */
static int print_table_row(FILE *out, const struct pocket_table *table, const char *clock,
                           char cells[RIGS][CELL], const char *also)
{
    int first = 2 + table->clock + 1, from = first + table->cell * table->rigs;
    int columns = 2 + (int)strlen(clock);
    int also_columns = text_width(also);
    bool beside = from + also_columns <= PAGE_COLUMNS;

    fprintf(out, "  %s", clock);
    for (int i = 0; i < table->rigs; i++)
        if (*cells[i]) {
            int at = first + table->cell * i;

            fprintf(out, "%*s%s", at - columns, "", cells[i]);
            columns = at + text_width(cells[i]);
        }
    if (*also)
        fprintf(out, "%s%*s%s", beside ? "" : "\n",
                beside ? from - columns : PAGE_COLUMNS - also_columns, "", also);
    fputc('\n', out);
    return *also && !beside ? 2 : 1;
}

static void print_names(FILE *out, const struct night *night, const struct pocket_table *table)
{
    char cells[RIGS][CELL] = {""};

    for (int i = 0; i < table->rigs; i++) {
        const char *name = night->rig[table->rig[i]].rig.name;

        (void)snprintf(cells[i], CELL, "%.*s", text_bytes(name, table->cell - 1), name);
    }
    (void)print_table_row(out, table, "", cells, "also");
    for (int i = 0; i < table->rigs; i++)
        (void)cell_words(&night->rounds.begins[table->rig[i]], cells[i]);
    (void)print_table_row(out, table, "begin", cells, "");
}

/* One round of settings; how many lines. */
static int print_round(FILE *out, const struct night *night, const struct pocket_table *table,
                       const struct agenda_round *round)
{
    char cells[RIGS][CELL] = {""}, clock[TEXT_INSTANT], also[ROUND_WORDS];

    for (int i = 0; i < table->rigs; i++) {
        const struct exposure *set = round_setting(night, round, table->rig[i]);

        if (set)
            (void)cell_words(set, cells[i]);
    }
    return print_table_row(out, table, clock_minute(clock, reader_local(night), round->utc), cells,
                           round_jobs_words(night, round, also));
}

static int settings_of(const struct agenda *agenda)
{
    int count = 0;

    for (int i = 0; i < agenda->count; i++)
        count += agenda->round[i].setting >= 0;
    return count;
}

/* The rounds at which settings change, in so many lines. */
static void print_pocket_rounds(FILE *out, const struct night *night, const struct agenda *agenda,
                                int room)
{
    int left = settings_of(agenda), lines = 4;
    struct pocket_table table;

    table_make(night, &table);
    fprintf(out, "\nROUNDS (local; shutter and ISO)\n");
    if (table.rigs == 0) {
        text_entry(out, "", NO_HAND_WORDS);
        return;
    }
    print_names(out, night, &table);
    for (int i = 0; i < agenda->count; i++) {
        if (agenda->round[i].setting < 0)
            continue;
        /* A round may take two lines, and the last line may have to say that there are more. */
        if (lines + 3 > room && left > 1) {
            fprintf(out, "  and %d more: see ROUNDS\n", left);
            return;
        }
        lines += print_round(out, night, &table, &agenda->round[i]);
        left--;
    }
}

/* ---- aims ---- */

/* When what the hands do in one round, beside the rounds of settings, is due: every time at which it is
 * the same, from its first on. False if an earlier one was the first. */
static bool print_times(FILE *out, const struct night *night, const struct agenda *agenda,
                        int first, const char *label)
{
    char jobs[ROUND_WORDS], others[ROUND_WORDS], clock[TEXT_INSTANT],
        text[ROUND_WORDS + AGENDA * 8];

    (void)snprintf(text, sizeof text, "%s:", round_jobs_words(night, &agenda->round[first], jobs));
    for (int i = 0; i < agenda->count; i++) {
        if (agenda->round[i].setting >= 0 ||
            strcmp(jobs, round_jobs_words(night, &agenda->round[i], others)) != 0)
            continue;
        if (i < first)
            return false;
        text_add(text, sizeof text, " ", "%s",
                 clock_minute(clock, reader_local(night), agenda->round[i].utc));
    }
    text_entry(out, label, "%s", text);
    return true;
}

static void print_aims(FILE *out, const struct night *night, const struct agenda *agenda)
{
    const struct subject about = {night, NULL, reader_local(night)};
    char label[RIG_NAME + 4], text[SENTENCE];
    bool any = false;

    fprintf(out, "\nAIMS (local; beside those in the rounds)\n");
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        struct first_aim first;

        first_aim_make(night, rig, &first);
        text_entry(out, text_set(label, sizeof label, "  %s", night->rig[rig].rig.name), "%s",
                   isfinite(first.utc) ? first_aim_words(&about, &first, text)
                                       : aim_plan_words(&about, rig, text));
    }
    for (int i = 0; i < agenda->count; i++)
        if (agenda->round[i].setting < 0)
            any |= print_times(out, night, agenda, i, any ? "" : "  then");
}

/* One after the other, as lines allow. */
static void print_cautions(FILE *out)
{
    char text[1024] = "";

    for (int i = 0; caution_words(i); i++)
        text_add(text, sizeof text, " ", "%s", caution_words(i));
    fprintf(out, "\n");
    text_entry(out, "CAUTIONS", "%s", text);
}

/* How many lines a text has. */
static int lines_of(const char *text)
{
    int lines = 0;

    for (; *text; text++)
        lines += *text == '\n';
    return lines;
}

/* The rounds come between head and tail, in the room that both leave on the page. */
int print_pocket(FILE *out, const struct night *night)
{
    char *text = NULL;
    size_t size = 0;
    FILE *page = open_memstream(&text, &size);
    struct agenda agenda;

    if (!page)
        return -1;
    agenda_make(night, -INFINITY, &agenda);
    print_head(page, night);
    print_contacts(page, night);
    long head = ftell(page);
    print_aims(page, night, &agenda);
    print_cautions(page);
    int status = fclose(page) == 0 && head >= 0 ? 0 : -1;
    if (status == 0) {
        fprintf(out, "%.*s", (int)head, text);
        print_pocket_rounds(out, night, &agenda, PAGE_LINES - lines_of(text));
        fprintf(out, "%s\f", text + head);
    }
    free(text);
    return status;
}
