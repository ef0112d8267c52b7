/* screen: the night line by line. */
#ifndef MOONSTAND_LINES_H
#define MOONSTAND_LINES_H

#include <moonstand/rig.h>

#include <stdio.h>

struct moment;
struct night;
struct view;

/* The last lines printed, by topic and rig. */
enum { LINE_TEXT = 320, TOPICS = 18 };
struct lines {
    double utc; /* NaN: nothing yet */
    char said[TOPICS][RIGS][LINE_TEXT];
};
void lines_begin(struct lines *lines);
/* Prints a line "HH:MM:SS  text" for everything that has changed since the last time, at the first
 * time for all that stands. Of the view: clocks, message, trouble. */
void lines_tell(struct lines *lines, FILE *out, const struct night *night,
                const struct moment *moment, const struct view *view);

#endif
