/* words: phase, Moon, Sun, and what the sky hides. */
#ifndef MOONSTAND_SKY_WORDS_H
#define MOONSTAND_SKY_WORDS_H

#include <moonstand/subject.h>

struct sight;

/* The sky's light for an airless altitude of the Sun: "day" ... "dark sky"; "" if unknown. */
const char *sky_words(double sun_altitude_rad);
/* "partial, umbral magnitude 0.412", "outside the shadow". */
sentence phase_words;
#define UNPLACED_WORDS "place unknown"
/* "35.1 deg up, rising, azimuth 108 ESE", "just up, rising, azimuth 54 NE". */
sentence moon_place_words;
/* "sets in 1h02, at 22:04:18", "behind the local horizon until 22:04", "stays up to the end". Empty
 * after the last exposure. */
sentence horizon_words;
/* "9.2 mag dimmer", "full light", "no phase is up from here". */
sentence light_words;
/* "9.2 mag dimmer". */
char *dimmer_words(double drop_mag, char out[SENTENCE]);
/* Of a curve, or a stretch of it: it is drawn later; the Moon is down, or hidden. */
#define NO_TRACK_WORDS "known from the eclipse's day on"
#define NOT_SEEN_WORDS "not seen"
/* What to know of every time. */
#define UMBRA_CAVEAT "The edge of the real umbra is uncertain by tens of seconds."
/* What to know about UTC so far ahead that no leap second is announced; false if it is. */
enum { CAVEAT_WORDS = 200 };
bool utc_caveat_words(double utc, bool brief, char out[CAVEAT_WORDS]);
/* Why the Moon is not seen: "Moon is down", "behind the local horizon". */
const char *hidden_words(const struct sight *moon);

/* In a table: "35 SE", "down", "hidden" (behind the local horizon). */
enum { SIGHT_CELL = 16 };
char *sight_cell(const struct sight *moon, char out[SIGHT_CELL]);
/* "altitude 35 deg SE, 28 deg over the local horizon", "NOT SEEN: Moon is down". */
char *sight_words(const struct sight *moon, char out[SENTENCE]);
/* "dark sky, the Sun at -31 deg". */
char *sun_words(double altitude_rad, char out[SENTENCE]);

#endif
