/* words: what a sentence is about, and who reads it. Pure, as all of the room. */
#ifndef MOONSTAND_SUBJECT_H
#define MOONSTAND_SUBJECT_H

#include <moonstand/text.h>

struct moment;
struct night;
struct zone_table;

/* The clock that a reader goes by. */
struct reader {
    const struct zone_table *zone;
    enum hours hours;
    enum units units;
    bool still; /* reads what changes, line by line: no running numbers */
};
/* The local clock of a night as its setup has it. */
struct reader reader_local(const struct night *night);
/* UTC, with 24 hours, metric. */
struct reader reader_utc(void);
/* With the other form of hours, or the other units. */
struct reader reader_swapped(struct reader reader, bool hours, bool units);
/* The letters of a reader's zone at an instant: "+05", "UTC" (before 1972 "UT1"). */
const char *reader_zone(struct reader reader, double utc);
/* What a sentence is about, and who reads it. */
struct subject {
    const struct night *night;
    const struct moment *moment; /* null on paper, which knows no now */
    struct reader reader;
};

/* A sentence about one rig, or about the night whatever the rig: in full with `brevity` 0, shorter with
 * every step up to BREVITIES - 1, until the reader has room for it. Returns `out`. */
enum { SENTENCE = 160, BREVITIES = 5 };
typedef char *sentence(const struct subject *about, int rig, int brevity, char out[SENTENCE]);

#endif
