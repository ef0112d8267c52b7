/* words: instants in local time, countdowns, lengths of time. */
#ifndef MOONSTAND_CLOCK_WORDS_H
#define MOONSTAND_CLOCK_WORDS_H

#include <moonstand/subject.h>

struct eclipse;

/* "UTC", or "UT1" before 1972. */
const char *scale_name(double utc);

/* An instant, rounded to the nearest second or minute shown. The zone's letters follow where the
 * clock shows that time twice, or always. */
enum clock_form {
    CLOCK_SECONDS = 1,
    CLOCK_DAY = 2,    /* "2028-12-31 22:04" */
    CLOCK_ZONE = 4,   /* "22:04 +05" */
    CLOCK_RUNNING = 8 /* what a clock shows now: cut, as clocks are */
};
char *clock_words(char out[TEXT_INSTANT], struct reader reader, double utc, unsigned form);
/* "22:04" and "22:04:18". */
char *clock_minute(char out[TEXT_INSTANT], struct reader reader, double utc);
char *clock_second(char out[TEXT_INSTANT], struct reader reader, double utc);
/* Whether an instant is so close to `now`, or unknown, that its day need not be named. */
bool is_near(double utc, double now);
/* "22:04:18"; "2028-12-31 22:04" if it is not near. `form`: 0 or CLOCK_ZONE. */
char *clock_near(char out[TEXT_INSTANT], const struct subject *about, double utc, unsigned form);
/* "22:04:18 +05, 17:04:18 UTC"; once if the local time is UTC. */
char *clock_both(char out[2 * TEXT_INSTANT], const struct subject *about, double utc);
/* YYYY-MM-DD on the reader's clock. */
char *day_words(char out[TEXT_INSTANT], struct reader reader, double utc);
/* The day of greatest eclipse in UTC, YYYY-MM-DD. */
char *eclipse_day(char out[TEXT_INSTANT], const struct eclipse *eclipse);
/* A countdown; returns its unit: "1:02:33" and "h", "2:33" and "min", or "733" and "days". */
const char *countdown_words(char out[TEXT_SPAN], double seconds);

#endif
