/* words: what happens by itself. */
#ifndef MOONSTAND_EVENT_WORDS_H
#define MOONSTAND_EVENT_WORDS_H

#include <moonstand/eclipse.h>
#include <moonstand/subject.h>

struct lost_span;
struct night_event;

/* Words for the name of an event: "penumbral shading visible"; `brief`: "shading seen". */
const char *event_words(const char *name, bool brief);
/* What a contact means for the eye: "umbra touches the Moon". */
const char *contact_meaning(enum contact contact, bool brief);
/* The same for an event; "" for any other than a contact. */
const char *event_meaning(const struct night_event *event, bool brief);
/* An event by its name and meaning: "U1, umbra touches the Moon". */
char *event_told_words(const struct night_event *event, char out[SENTENCE]);
/* The same with when it is: "U1 in 12:33 min: 21:04:18 +01, 20:04:18 UTC - umbra touches the Moon"; for
 * a still reader "U1 at 21:04:18, umbra touches the Moon". */
char *event_when_words(const struct subject *about, const struct night_event *event,
                       char out[SENTENCE]);
/* How near it is, in steps: "less than 10 min to U1"; empty an hour and more ahead. */
char *event_near_words(const struct subject *about, const struct night_event *event,
                       char out[SENTENCE]);
/* "total lunar eclipse of 2028-12-31". */
char *eclipse_title_words(const struct eclipse *eclipse, char out[SENTENCE]);
/* "total, greatest 2028-12-31 16:52:06 UTC, umbral magnitude 1.246, penumbral 2.274, Saros 125". */
char *eclipse_words(const struct eclipse *eclipse, char out[SENTENCE]);
/* "umbral 1.246, penumbral 2.274, gamma -0.3268, Saros 125, shadow danjon". */
char *magnitude_words(const struct eclipse *eclipse, char out[SENTENCE]);
/* When no event is to come: "nothing more in the sky tonight, 4 left on the list". */
char *no_event_words(const struct subject *about, char out[SENTENCE]);
/* What one eclipse is beside the one that was chosen: the next that is seen, or one that comes first. */
const char *other_eclipse_words(bool is_seen);
/* Behind what is read off the hour of greatest. */
#define AT_GREATEST_NOTE " at greatest"
#define NEVER_UP_WORDS "no phase is up from here"
#define UNSEEN_WORDS "Moon not up"
/* Behind the name of an event. */
#define UNSEEN_NOTE " (" UNSEEN_WORDS ")"
/* Whether the Moon is not up then. Moonrise and moonset are seen as far as anything is. */
bool is_unseen(const struct night_event *event);
/* What begins or ends when the sky hides a target: "umbra lost in twilight". The same text for the
 * same event. */
const char *lost_event_words(const struct lost_span *lost, bool ends);
/* "Moon lost in twilight until about 18:10", or a shorter form: `brevity` 0 (all of it) to
 * LOST_BREVITIES - 1. `until` is the end of its span as the reader has it. */
enum { LOST_BREVITIES = 3, LOST_WORDS = 80 };
char *lost_words(const struct lost_span *lost, const char *until, int brevity,
                 char out[LOST_WORDS]);
/* On paper: "from 16:05: Moon lost in twilight until about 16:41". */
char *lost_span_words(const struct lost_span *lost, struct reader reader, char out[LOST_WORDS]);

#endif
