/* words: what the hands must do. */
#ifndef MOONSTAND_JOB_WORDS_H
#define MOONSTAND_JOB_WORDS_H

#include <stdbool.h>

struct job;
struct subject;

/* Said before anything else while the Sun is up; the short form for narrow canvases. */
#define SUN_WARNING "Sun up: never point optics near it"
#define SUN_WARNING_SHORT "Sun: optics away"

enum { JOB_WORDS = 160, JOB_LABEL = 24 };
/* "re-aim long before U2", "set scope to 1/60 s, ISO 400": one job, without a time. */
char *job_words(const struct subject *about, const struct job *job, char out[JOB_WORDS]);
/* Of a rig whose re-aim is late: "RE-AIM long NOW: the Moon left the frame at 22:12:04". */
char *alarm_words(const struct subject *about, int rig, char out[JOB_WORDS]);
/* All that is done in one go with a job; `brief`: of an item its first clause, of settings whose they
 * are. */
char *walk_words(const struct subject *about, const struct job *first, bool brief,
                 char out[JOB_WORDS]);

/* "12 rounds to U4", after that "3 rounds to P4"; "8 rounds to moonset" if that is sooner. Empty if no
 * round is left. */
enum { ROUNDS_LEFT_WORDS = 32 };
char *rounds_left_words(const struct subject *about, char out[ROUNDS_LEFT_WORDS]);

/* The answer to the one question of a cold person. */
struct hands_words {
    char now[JOB_WORDS];  /* the most pressing thing, or for how long there is nothing to do */
    char then[JOB_WORDS]; /* what else is overdue or close; what comes next; may be empty */
    char now_brief[JOB_WORDS],
        then_brief[JOB_WORDS]; /* with less: no settings, one clause, one job */
    bool then_due;             /* that is due as well */
    double left_s;             /* until the next job; 0: now; NaN: none is left */
    char label[JOB_LABEL];     /* that job for large letters: "AIM 2 LONG", "ROUND"; empty: none */
};
void hands_say(const struct subject *about, struct hands_words *words);

#endif
