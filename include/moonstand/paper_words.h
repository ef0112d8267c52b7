/* words: what only paper says. */
#ifndef MOONSTAND_PAPER_WORDS_H
#define MOONSTAND_PAPER_WORDS_H

#include <moonstand/eclipse.h>
#include <moonstand/subject.h>

struct first_aim;
struct framing;
struct rig;
struct sight;

/* The cautions one by one, from 0; null after the last. */
const char *caution_words(int index);
/* The first aim of a rig that is aimed again and again: "first at 14:03: altitude 20.6, azimuth 79.8 E;
 * put the Moon far left, low". */
char *first_aim_words(const struct subject *about, const struct first_aim *first,
                      char out[SENTENCE]);
/* "35 % left, 28 % below the centre: stays 12:41; in the centre 8:03, with the camera turned 6:10". */
char *first_stay_words(const struct first_aim *first, char out[SENTENCE]);
/* "at least 51 re-aims after that, of which early because of a contact: 4"; re_aims is not negative. Hands that
 * come in time, and with the rounds, need some more. */
char *re_aims_words(const struct framing *framing, char out[SENTENCE]);
/* "every 10 s, f/8, 1404 frames, 42.1 GB on the card". */
char *shoots_words(const struct night *night, int rig, int frames, char out[SENTENCE]);
/* What the rows of a bracket's sheet are. */
char *bracket_sheet_words(const struct rig *rig, char out[SENTENCE]);
#define NOTHING_TO_SET_WORDS "nothing: the Moon is down, or has no light for this target"
/* How another is aimed: "once: altitude 47.1, azimuth 113.4 ESE; do not touch it from 14:03 to
 * 19:40", "the mount follows (lunar); meridian flip at 22:10: the mount stops at 22:40". */
char *aim_plan_words(const struct subject *about, int rig, char out[SENTENCE]);
/* Of a rig whose one picture holds the whole: "one picture for P1 to P4; 12 % of it is foreground";
 * how close its frames may be; and how an interval hits the contacts, empty if none does. */
char *whole_words(const struct subject *about, int rig, char out[SENTENCE]);
char *spacing_words(const struct night *night, int rig, char out[SENTENCE]);
char *chain_words(const struct subject *about, int rig, char out[SENTENCE]);

/* In a calendar: "Lunar eclipse U1: umbra touches the Moon", "Lunar eclipse: moonrise"; what it says of
 * the Moon: "Moon at altitude 38.2, azimuth 124.5 SE". */
char *calendar_contact_words(enum contact contact, char out[SENTENCE]);
char *calendar_sky_words(const char *name, char out[SENTENCE]);
char *calendar_moon_words(const struct sight *moon, char out[SENTENCE]);

#endif
