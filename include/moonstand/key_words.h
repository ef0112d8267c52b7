/* words: what a key asks, and what it answers besides the words of its act. */
#ifndef MOONSTAND_KEY_WORDS_H
#define MOONSTAND_KEY_WORDS_H

#include <moonstand/subject.h>

/* What is being asked, if anything. */
enum prompt {
    PROMPT_NONE,
    PROMPT_NOTE,
    PROMPT_SITE,
    PROMPT_AIR,
    PROMPT_RATING,
    PROMPT_LOOKED_RIGHT,
    PROMPT_LOOKED_FAR, /* that setting is far from what was planned */
    PROMPT_OPTICS,
    PROMPT_AIMED,
    PROMPT_SEEN,
    PROMPT_CAMERA_CLOCK,
    PROMPT_ITEM,
    PROMPT_ITEM_PAST, /* the time of day that was typed for it is past */
    PROMPT_ITEM_GONE, /* so is the time beside a contact */
    PROMPT_FORECAST,
    PROMPT_BATTERY_AGAIN,
    PROMPT_CARD_AGAIN,
    PROMPT_SETUP /* asked in the words of the chosen line of the setup */
};
/* The question; null for PROMPT_NONE and PROMPT_SETUP. */
const char *prompt_words(enum prompt prompt, enum units units);

/* What follows when the umbra is taken to be as dark as `danjon_l`: "umbra L 1.8: slope and long follow",
 * "umbra L 1.8: other rigs stay as planned". `followers`: a bit for each rig whose setting has changed. */
char *umbra_follows_words(const struct night *night, double danjon_l, unsigned followers,
                          char out[SENTENCE]);

/* Formats of answers: what was changed, how long ago, and of which rig; by how much a setting is "brighter"
 * or "darker"; the rig; the state of the receiver; what the act had done. */
#define CHANGED_JUST_NOW_WORDS "changed %.0f s ago for %s"
#define FAR_FROM_PLANNED_WORDS "that is %.1f stops %s than planned"
#define NO_ALARM_WORDS "%s: no re-aim alarm to silence"
#define NO_FIX_WORDS "no fresh GPS fix to accept (GPS: %s)"
#define UNDONE_WORDS "undone: %.200s"
#define NOTHING_TO_TICK_WORDS "nothing to tick"
#define NOTHING_TO_PUT_OFF_WORDS "nothing to put off"
#define NOTHING_TO_UNDO_WORDS "nothing to undo"
/* Format of the question before the end: the key that ends it. */
#define QUIT_WORDS "press %s again to quit: alarms stop"
/* No key acts then. */
#define LOOKING_ON_WORDS "read-only: another copy is recording this night"
/* The keys that answer an alarm, and a glance at the glass. */
#define ALARM_KEYS_WORDS "a  aimed again      z  quiet for 2 minutes"
#define GLANCE_KEYS_WORDS " (G dry, H heater on)"

#endif
