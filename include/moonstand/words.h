/* words: English about the night, for every screen and print: instants in local time, settings,
 * jobs. Pure. */
#ifndef MOONSTAND_WORDS_H
#define MOONSTAND_WORDS_H

#include <moonstand/moment.h>
#include <moonstand/night.h>

/* ---- instants (local_time.c) ---- */

/* Whose clock times are told by. */
struct reader {
    const struct zone_table *zone;
    enum hours hours;
};
/* The local clock of a night as its setup has it. */
struct reader reader_local(const struct night *night);
/* UTC, with 24 hours. */
struct reader reader_utc(void);
/* HH:MM of an instant, with the zone's letters behind it where the clock shows that time twice. */
char *clock_minute(char out[TEXT_INSTANT], const struct reader *reader, double utc);
/* The same with seconds. */
char *clock_second(char out[TEXT_INSTANT], const struct reader *reader, double utc);
/* Text of a countdown and its unit: "1:02:33" and "h", "2:33" and "min", or "733" and "days". */
const char *countdown_words(char out[TEXT_SPAN], double seconds);

/* ---- settings (setting.c) ---- */

/* What is exposed for: "for the sunlit part", "for the umbra". */
const char *target_words(enum target target);
/* What to dial: "1/20 s, ISO 400", of a bracket "1/20 s, ISO 400 (middle of 5)". */
enum { DIAL_WORDS = 48 };
char *dial_words(const struct exposure *exposure, char out[DIAL_WORDS]);
/* What to dial besides shutter and ISO of a bracket: "5 frames, 2 stops apart, middle 1/20". Empty
 * where one frame does. */
enum { BRACKET_WORDS = 64 };
char *bracket_words(const struct exposure *exposure, char out[BRACKET_WORDS]);
/* Why it is not a better setting: "at blur limit, so ISO 10000", "umbra 1.3 stops short". Empty
 * where nothing limits it, and beside a sky that outshines what is wanted (nothing is missing
 * there). */
enum { LIMIT_WORDS = 48 };
char *limit_words(const struct rig *rig, const struct exposure *exposure, char out[LIMIT_WORDS]);
/* What would help against a deficit, or what the speed calls for; null where there is nothing to
 * say. */
const char *exposure_help(const struct rig *rig, const struct exposure *exposure);

/* ---- batteries (power.c) ---- */

enum { POWER_WORDS = 112 };
/* "each lasts 2:49 at 12 C (site)", "temperature unknown: 1:57 at -20 C to 3:07 at 20 C". */
char *battery_life_words(const struct night *night, const struct rig_power *power,
                         char out[POWER_WORDS]);
/* Why external power is needed: "battery ends 21:59: connect external power". Empty if it is not. */
char *supply_words(const struct night *night, int rig, const struct rig_power *power,
                   const struct reader *reader, char out[POWER_WORDS]);

/* ---- what the hands must do (job.c) ---- */

enum { JOB_WORDS = 160, JOB_LABEL = 24 };
/* "re-aim long before U2", "set scope to 1/60 s, ISO 400": one job, without a time. */
char *job_words(const struct night *night, const struct moment *moment, const struct job *job,
                char out[JOB_WORDS]);
/* The same of all that is done with it in one go. */
char *walk_words(const struct night *night, const struct moment *moment, const struct job *first,
                 char out[JOB_WORDS]);

/* "the Moon left the frame at 22:12", `clock` being loss_utc as its reader has it; `brief`: "Moon left
 * frame 22:12". Empty for LOSS_NONE. */
enum { LOSS_WORDS = 96 };
char *loss_say(enum aim_loss loss, const char *clock, bool brief, char out[LOSS_WORDS]);

/* "wide 1/60 s, long 1/125 s ISO 400": the settings of a round (index), rig by rig. */
enum { ROUND_WORDS = 200 };
char *round_words(const struct night *night, int round, char out[ROUND_WORDS]);
/* Likewise what is set before the first frame. */
char *begin_words(const struct night *night, char out[ROUND_WORDS]);

/* The answer to the one question of a cold person. */
struct hands_words {
    char now[JOB_WORDS];  /* the most pressing thing, or for how long there is nothing to do */
    char then[JOB_WORDS]; /* what else is overdue or close; what comes next; may be empty */
    bool then_due;        /* that is due as well */
    double left_s;        /* until the next job; 0: now; NaN: none is left */
    char label[JOB_LABEL]; /* that job for large letters: "AIM 2 LONG", "ROUND"; empty: none */
};
void hands_say(const struct night *night, const struct moment *moment, const struct reader *reader,
               struct hands_words *words);

#endif
