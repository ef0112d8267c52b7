/* When an item of the checklist is due, and on which nights it is on the list at all. */
#include <moonstand/due.h>
#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *anchor_name(enum anchor anchor)
{
    static const char *const names[ANCHORS] = {
        [ANCHOR_START] = "start",     [ANCHOR_END] = "end",           [ANCHOR_SUNSET] = "sunset",
        [ANCHOR_SUNRISE] = "sunrise", [ANCHOR_MOONRISE] = "moonrise", [ANCHOR_MOONSET] = "moonset",
        [ANCHOR_EVE] = "eve",         [ANCHOR_UMBRA] = "umbra",
    };

    return (int)anchor < (int)CONTACT_COUNT ? contact_name((enum contact)anchor) : names[anchor];
}

/* ---- due times ---- */

/* The name ends the text or is followed by a sign. */
static int parse_term(const char *text, struct due_term *term, struct fault *fault)
{
    size_t length = strcspn(text, "+-");

    for (int i = 0; i < ANCHORS; i++) {
        const char *name = anchor_name((enum anchor)i);

        if (strlen(name) != length || memcmp(name, text, length) != 0)
            continue;
        term->anchor = (enum anchor)i;
        return parse_offset(text + length, &term->offset_s, fault);
    }
    return fault_set(fault,
                     "found '%.40s'; expected P1, U1, U2, greatest, U3, U4, P4, start, end, "
                     "sunset, sunrise, moonrise, moonset, eve or umbra, then + or - and a span, as in "
                     "U1-30m",
                     text);
}

/* Cuts off the next part at a comma; null after the last. */
static char *next_part(char **rest)
{
    char *part = *rest, *comma;

    if (!part)
        return NULL;
    part += strspn(part, " ");
    comma = strchr(part, ',');
    *rest = comma ? comma + 1 : NULL;
    if (comma)
        *comma = '\0';
    return part;
}

int due_parse(const char *text, struct due *due, struct fault *fault)
{
    static const char by[] = "by ", from[] = "from ";
    char copy[DUE_TEXT], *rest = copy, *part;
    struct due read = {0};

    if (snprintf(copy, sizeof copy, "%s", text) >= (int)sizeof copy)
        return fault_set(fault, "'%.40s...' is too long for a due time", text);
    if (parse_term(next_part(&rest), &read.at, fault) != 0)
        return -1;
    while ((part = next_part(&rest)) != NULL) {
        bool is_by = strncmp(part, by, strlen(by)) == 0;
        bool is_from = strncmp(part, from, strlen(from)) == 0;

        if ((is_by && !read.has_by) || (is_from && !read.has_from)) {
            part += is_by ? strlen(by) : strlen(from);
            if (parse_term(part + strspn(part, " "), is_by ? &read.by : &read.from, fault) != 0)
                return -1;
            read.has_by |= is_by;
            read.has_from |= is_from;
            continue;
        }
        return fault_set(fault,
                         "found '%.40s'; expected \"by\" or \"from\" and an instant, as in "
                         "P1-2h, by sunset-30m",
                         part);
    }
    *due = read;
    return 0;
}

static size_t format_term(char *out, size_t size, const char *before, const struct due_term *term)
{
    double span = fabs(term->offset_s);
    char letter = fmod(span, 3600) == 0 ? 'h' : fmod(span, 60) == 0 ? 'm' : 's';
    double unit = letter == 'h' ? 3600 : letter == 'm' ? 60 : 1;
    int length = snprintf(out, size, "%s%s", before, anchor_name(term->anchor));

    if (span > 0)
        length += snprintf(out + length, size - (size_t)length, "%c%.12g%c",
                           term->offset_s < 0 ? '-' : '+', span / unit, letter);
    return (size_t)length;
}

char *due_format(char out[DUE_TEXT], const struct due *due)
{
    size_t length = format_term(out, DUE_TEXT, "", &due->at);

    if (due->has_by)
        length += format_term(out + length, DUE_TEXT - length, ", by ", &due->by);
    if (due->has_from)
        (void)format_term(out + length, DUE_TEXT - length, ", from ", &due->from);
    return out;
}

bool due_is_same(const struct due *a, const struct due *b)
{
    char first[DUE_TEXT], second[DUE_TEXT];

    return strcmp(due_format(first, a), due_format(second, b)) == 0;
}

double due_utc(const struct due *due, const double anchor_utc[ANCHORS])
{
    double utc = anchor_utc[due->at.anchor] + due->at.offset_s;

    if (isnan(utc))
        return NAN;
    /* fmin and fmax ignore an instant that this night does not have. */
    if (due->has_by)
        utc = fmin(utc, anchor_utc[due->by.anchor] + due->by.offset_s);
    if (due->has_from)
        utc = fmax(utc, anchor_utc[due->from.anchor] + due->from.offset_s);
    return utc;
}

/* ---- conditions ---- */

static const struct {
    const char *name;
    unsigned flag;
} conditions[] = {
    {"total", WHEN_TOTAL}, {"partial", WHEN_PARTIAL}, {"penumbral", WHEN_PENUMBRAL},
    {"moon", WHEN_MOON},   {"sun", WHEN_SUN},         {"no-sun", WHEN_NO_SUN},
    {"wide", WHEN_WIDE},   {"long", WHEN_LONG},       {"mount", WHEN_MOUNT},
};
enum { CONDITIONS = sizeof conditions / sizeof *conditions };

int when_parse(const char *text, unsigned *when, struct fault *fault)
{
    unsigned read = 0;

    while (*(text += strspn(text, " ,"))) {
        size_t length = strcspn(text, " ,");
        int i = 0;

        while (i < CONDITIONS && (strlen(conditions[i].name) != length ||
                                  memcmp(conditions[i].name, text, length) != 0))
            i++;
        if (i == CONDITIONS)
            return fault_set(fault,
                             "found '%.*s'; expected some of total, partial, penumbral, "
                             "moon, sun, no-sun, wide, long, mount",
                             (int)(length < 40 ? length : 40), text);
        read |= conditions[i].flag;
        text += length;
    }
    *when = read;
    return 0;
}

char *when_format(char out[WHEN_TEXT], unsigned when)
{
    out[0] = '\0';
    for (int i = 0; i < CONDITIONS; i++)
        if (when & conditions[i].flag)
            text_add(out, WHEN_TEXT, " ", "%s", conditions[i].name);
    return out;
}

unsigned when_kind(enum eclipse_kind kind)
{
    static const unsigned of_kind[] = {[ECLIPSE_PENUMBRAL] = WHEN_PENUMBRAL,
                                       [ECLIPSE_PARTIAL] = WHEN_PARTIAL,
                                       [ECLIPSE_TOTAL] = WHEN_TOTAL};

    return of_kind[kind];
}

bool when_is_met(unsigned when, unsigned met)
{
    static const unsigned one_of[] = {WHEN_TOTAL | WHEN_PARTIAL | WHEN_PENUMBRAL, WHEN_MOON,
                                      WHEN_SUN, WHEN_NO_SUN, WHEN_WIDE | WHEN_LONG | WHEN_MOUNT};

    for (size_t i = 0; i < sizeof one_of / sizeof *one_of; i++)
        if ((when & one_of[i]) && !(when & met & one_of[i]))
            return false;
    return true;
}
