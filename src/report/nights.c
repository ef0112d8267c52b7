/* Eclipses to choose from. */
#include "print.h"

#include <moonstand/clock_words.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdio.h>

/* The arc reaches a little past the outer contacts. */
#define ARC_MARGIN_S 60.0

int nights_entry_make(struct nights_entry *entry, const struct eclipse *eclipse,
                      const struct observer *observer)
{
    struct arc arc;

    *entry = (struct nights_entry){.eclipse = *eclipse, .has_site = observer != NULL};
    if (!observer)
        return 0;
    if (arc_make(&arc, eclipse->tt[CONTACT_P1] - ARC_MARGIN_S,
                 eclipse->tt[CONTACT_P4] + ARC_MARGIN_S, true) != 0)
        return -1;
    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(eclipse->tt[i]))
            sky_moon(&arc, observer, utc_from_tt(eclipse->tt[i]), &entry->seen[i]);
    return 0;
}

int report_nights_json(FILE *out, const struct nights_entry *entries, size_t count)
{
    struct document document;

    struct node root = document_array(&document);
    for (size_t i = 0; i < count; i++)
        put_eclipse(put_object(root, NULL), &entries[i]);
    return document_write(&document, out);
}

/* The clock of a contact, with a sign where it falls on the day before or after greatest. */
static void contact_cell(char out[SIGHT_CELL], const struct eclipse *eclipse, int contact)
{
    double utc = nearest_shown(utc_from_tt(eclipse->tt[contact]), true);
    double greatest = utc_from_tt(eclipse->tt[CONTACT_GREATEST]);
    double days = floor(utc / SECONDS_PER_DAY) - floor(greatest / SECONDS_PER_DAY);
    char clock[TEXT_INSTANT];

    (void)snprintf(out, SIGHT_CELL, "%s%.8s", days < 0 ? "<" : days > 0 ? ">" : "",
                   clock_second(clock, reader_utc(), utc));
}

static void print_cells(FILE *out, const char *label, char cells[CONTACT_COUNT][SIGHT_CELL])
{
    fprintf(out, "  %-6s", label);
    for (int i = 0; i < CONTACT_COUNT; i++)
        fprintf(out, " %9s", cells[i]);
    fprintf(out, "\n");
}

static void print_nights_entry(FILE *out, const struct nights_entry *entry)
{
    const struct eclipse *eclipse = &entry->eclipse;
    char times[CONTACT_COUNT][SIGHT_CELL] = {0}, seen[CONTACT_COUNT][SIGHT_CELL] = {0};
    char day[TEXT_INSTANT];

    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(eclipse->tt[i])) {
            contact_cell(times[i], eclipse, i);
            (void)sight_cell(&entry->seen[i], seen[i]);
        }
    fprintf(out, "%s  %-9s  penumbral %.3f  umbral %.3f  gamma %+.4f  Saros %d\n",
            eclipse_day(day, eclipse), eclipse_kind_name(eclipse->kind),
            eclipse->penumbral_magnitude, eclipse->umbral_magnitude, eclipse->gamma,
            eclipse->saros);
    print_cells(out, scale_name(utc_from_tt(eclipse->tt[CONTACT_GREATEST])), times);
    if (entry->has_site)
        print_cells(out, "seen", seen);
}

int report_names_json(FILE *out, const char *const *names, size_t count)
{
    struct document document;

    struct node root = document_array(&document);
    for (size_t i = 0; i < count; i++)
        put_text(root, NULL, names[i]);
    return document_write(&document, out);
}

int report_nights_text(FILE *out, const struct nights_entry *entries, size_t count)
{
    char names[CONTACT_COUNT][SIGHT_CELL];

    if (count == 0) {
        fprintf(out, "No eclipse.\n");
        return text_done(out);
    }
    for (int i = 0; i < CONTACT_COUNT; i++)
        (void)snprintf(names[i], SIGHT_CELL, "%s", contact_name((enum contact)i));
    print_cells(out, "", names);
    for (size_t i = 0; i < count; i++)
        print_nights_entry(out, &entries[i]);
    fprintf(out, "Days are those of greatest eclipse; < is the day before, > the day after.\n");
    if (entries[0].has_site)
        fprintf(out, "Seen: the Moon's altitude in degrees and the direction.\n");
    return text_done(out);
}
