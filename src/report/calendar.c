/* The night as an iCalendar file, RFC 5545. */
#include "print.h"

#include <moonstand/clock_words.h>
#include <moonstand/paper_words.h>

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { LINE_OCTETS = 75, CONTENT_BYTES = 1024, WORDS_BYTES = 300 };

/* One content line, folded so that no line has more than 75 octets and no character is torn. */
__attribute__((format(printf, 2, 3)))
static void print_line(FILE *out, const char *format, ...)
{
    char content[CONTENT_BYTES];
    const char *rest = content;
    size_t most = LINE_OCTETS;
    va_list arguments;

    va_start(arguments, format);
    (void)vsnprintf(content, sizeof content, format, arguments);
    va_end(arguments);
    while (strlen(rest) > most) {
        size_t cut = most;

        while (cut > 1 && !begins_character(rest[cut]))
            cut--;
        fprintf(out, "%.*s\r\n ", (int)cut, rest);
        rest += cut;
        /* The space that a continued line begins with counts. */
        most = LINE_OCTETS - 1;
    }
    fprintf(out, "%s\r\n", rest);
}

/* A value of type TEXT; texts of the setup have no line ends. */
static char *escape(char *out, size_t size, const char *text)
{
    size_t length = 0;

    for (; *text && length + 3 < size; text++) {
        if (strchr("\\;,", *text))
            out[length++] = '\\';
        out[length++] = *text;
    }
    out[length] = '\0';
    return out;
}

/* 20281231T165205Z */
static char *format_stamp(char out[TEXT_INSTANT], double utc)
{
    char iso[TEXT_INSTANT];
    size_t length = 0;

    format_iso(iso, utc, 0, "Z");
    for (const char *c = iso; *c; c++)
        if (*c != '-' && *c != ':')
            out[length++] = *c;
    out[length] = '\0';
    return out;
}

struct entry {
    char uid[96];
    double utc;
    char summary[WORDS_BYTES], description[WORDS_BYTES];
    const char *alarm; /* when it rings: a duration from then on */
};

static void print_entry(FILE *out, const struct night *night, const struct entry *entry,
                        const char *stamp)
{
    const struct site *site = &night->site;
    char start[TEXT_INSTANT], text[2 * WORDS_BYTES];

    print_line(out, "BEGIN:VEVENT");
    print_line(out, "UID:%s", escape(text, sizeof text, entry->uid));
    print_line(out, "DTSTAMP:%s", stamp);
    print_line(out, "DTSTART:%s", format_stamp(start, entry->utc));
    print_line(out, "SUMMARY:%s", escape(text, sizeof text, entry->summary));
    if (*entry->description)
        print_line(out, "DESCRIPTION:%s", escape(text, sizeof text, entry->description));
    if (*site->name)
        print_line(out, "LOCATION:%s", escape(text, sizeof text, site->name));
    print_line(out, "GEO:%.6f;%.6f", site->latitude_deg, site->longitude_deg);
    print_line(out, "TRANSP:TRANSPARENT");
    print_line(out, "BEGIN:VALARM");
    print_line(out, "ACTION:DISPLAY");
    print_line(out, "DESCRIPTION:%s", escape(text, sizeof text, entry->summary));
    print_line(out, "TRIGGER:%s", entry->alarm);
    print_line(out, "END:VALARM");
    print_line(out, "END:VEVENT");
}

/* False for a line that has no place in a calendar. `rises` counts what repeats in one night. */
static bool entry_make(const struct night *night, const struct line *line, int *rises,
                       struct entry *entry)
{
    const struct check_item *item = &night->setup.checklist.item[line->which];
    char day[TEXT_INSTANT];
    struct sight moon;

    *entry = (struct entry){.utc = line->utc, .alarm = "-PT10M"};
    eclipse_day(day, &night->eclipse);
    switch (line->kind) {
    case LINE_CONTACT:
        (void)snprintf(entry->uid, sizeof entry->uid, "%s-%s@moonstand", day, line->name);
        (void)calendar_contact_words((enum contact)line->which, entry->summary);
        break;
    case LINE_SKY:
        if (line->which != SKY_MOONRISE && line->which != SKY_MOONSET)
            return false;
        (void)snprintf(entry->uid, sizeof entry->uid, "%s-%s-%d@moonstand", day, line->name,
                       ++*rises);
        (void)calendar_sky_words(line->name, entry->summary);
        break;
    case LINE_CHECK:
        if (isfinite(night->checked_utc[line->which]))
            return false;
        (void)snprintf(entry->uid, sizeof entry->uid, "%s-check-%s@moonstand", day, item->id);
        (void)snprintf(entry->summary, sizeof entry->summary, "%s", item->text);
        (void)snprintf(entry->description, sizeof entry->description, "%s", item->note);
        entry->alarm = "PT0S";
        return true;
    case LINE_SHADING:
    case LINE_MOUNT:
    case LINE_LIGHT:
        return false;
    }
    sky_moon(&night->arc, &night->observer, line->utc, &moon);
    if (isfinite(moon.altitude_rad))
        (void)calendar_moon_words(&moon, entry->description);
    return true;
}

int report_calendar(FILE *out, const struct night *night, double stamp_utc)
{
    struct line lines[TIMELINE_LINES];
    int count = timeline_make(night, lines), rises = 0;
    char stamp[TEXT_INSTANT];

    format_stamp(stamp, stamp_utc);
    print_line(out, "BEGIN:VCALENDAR");
    print_line(out, "VERSION:2.0");
    print_line(out, "PRODID:-//Moonstand//Moonstand//EN");
    print_line(out, "CALSCALE:GREGORIAN");
    for (int i = 0; i < count; i++) {
        struct entry entry;

        if (entry_make(night, &lines[i], &rises, &entry))
            print_entry(out, night, &entry, stamp);
    }
    print_line(out, "END:VCALENDAR");
    return text_done(out);
}
