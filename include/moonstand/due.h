/* field: when an item of the checklist is due. */
#ifndef MOONSTAND_DUE_H
#define MOONSTAND_DUE_H

#include <moonstand/eclipse.h>

#include <stdbool.h>

/* Instants of a night that a due time can refer to: the contacts, with their values of enum
 * contact, and these. */
enum anchor {
    ANCHOR_START = CONTACT_COUNT, /* P1, or the rise of a Moon that rises eclipsed */
    ANCHOR_END,                   /* P4, or the set of a Moon that sets eclipsed */
    ANCHOR_SUNSET,                /* the last before the end */
    ANCHOR_SUNRISE,               /* the first after the start */
    ANCHOR_MOONRISE,              /* the last before the start, or the start itself */
    ANCHOR_MOONSET,               /* the end itself, or the first after it */
    ANCHOR_EVE,                   /* 19:00 local time, the evening before */
    ANCHOR_UMBRA,                 /* the umbra stands out in totality: nearest to two minutes after greatest */
    ANCHORS
};

struct due_term {
    enum anchor anchor;
    double offset_s;
};
/* "U1-30m"; "start-2h, by sunset-40m": the earlier of the two; "start-40m, from moonrise+3m": the
 * later of the two. The anchors are called "P1" ... "P4", "start", "end", "sunset", "sunrise",
 * "moonrise", "moonset", "eve", "umbra". */
struct due {
    struct due_term at, by, from;
    bool has_by, has_from;
};
enum { DUE_TEXT = 128 };
/* -1 with a fault, leaving `due` unchanged, if the text is anything else. */
int due_parse(const char *text, struct due *due, struct fault *fault);
/* The text that due_parse reads back. */
char *due_format(char out[DUE_TEXT], const struct due *due);
bool due_is_same(const struct due *a, const struct due *b);
/* The instant, given the anchors (NaN: the night has no such one); `by` and `from` are ignored if
 * they have none. NaN if the instant itself has none. */
double due_utc(const struct due *due, const double anchor_utc[ANCHORS]);

/* Conditions of an item, or-ed; 0: on the list every night. */
enum {
    WHEN_TOTAL = 1, /* the kind of eclipse is one of those named */
    WHEN_PARTIAL = 2,
    WHEN_PENUMBRAL = 4,
    WHEN_MOON = 8,    /* due between WHEN_MOON_SINCE_S after moonrise and moonset */
    WHEN_SUN = 16,    /* the Sun is up for part of the work at the site */
    WHEN_NO_SUN = 32, /* it is not */
    WHEN_WIDE =
        64, /* the setup has a rig of one of the sorts that are named: on a tripod for the whole path */
    WHEN_LONG = 128, /* on a tripod, re-aimed */
    WHEN_MOUNT = 256 /* on a mount that follows */
};
#define WHEN_MOON_SINCE_S 600.0
enum { WHEN_TEXT = 64 };
/* The words "total", "partial", "penumbral", "moon", "sun", "no-sun", "wide", "long", "mount", separated by
 * blanks or commas. -1 with a fault if there is another. */
int when_parse(const char *text, unsigned *when, struct fault *fault);
char *when_format(char out[WHEN_TEXT], unsigned when);
/* Which condition that kind of eclipse meets. */
unsigned when_kind(enum eclipse_kind kind);
/* Whether an item is on the list, given all the conditions that are met. */
bool when_is_met(unsigned when, unsigned met);

#endif
