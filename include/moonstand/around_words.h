/* words: air, receiver, clocks, laptop, site. Sentences of no rig. */
#ifndef MOONSTAND_AROUND_WORDS_H
#define MOONSTAND_AROUND_WORDS_H

#include <moonstand/air.h>
#include <moonstand/subject.h>

/* "8.0 C, 95 %, dew margin 0.7 C: dew likely", "no air reading yet (w to enter)". */
sentence air_words;
/* How old that is: "read 12 min ago"; empty if there is none. */
sentence air_source_words;
/* Of a forecast: "cloud 20 %"; "forecast made 3h05 ago: old". */
char *cloud_words(double percent, char out[SENTENCE]);
char *forecast_age_words(double age_s, bool old, char out[SENTENCE]);
/* "dew from 20:41", "dew margin -0.4 C an hour"; empty if unknown. */
sentence air_trend_words;
/* What to do about the glass, or why nothing is to be done; empty without a reading. */
sentence glass_state_words;
/* Of the GPS "fix, 9 satellites", of the clock "+0.12 s against GPS", of the laptop "63 %, kept awake". */
sentence gps_words, clock_state_words, laptop_words;
#define LAPTOP_SHORT_WORDS "battery ends before P4"
/* Of a camera whose clock error is noted: "long UTC-0:12"; of all others "not noted (K): wide, scope". */
sentence camera_clock_words, unnoted_clocks_words;
/* How far the time card can be trusted, and what to do with it. */
sentence time_card_words;
#define TIME_CARD_WORDS "photograph this with every camera"
/* Before the reason, in words of the disk. */
#define UNSAVED_WORDS "NOTHING IS BEING SAVED"
/* "62.0000 N  60.0000 E  420 m  (gps)". */
sentence site_words;
/* "  (gps)", "  (hand)"; empty where the site is that of the setup or of the command line. */
enum { SOURCE_WORDS = 16 };
char *site_source_words(const struct night *night, char out[SOURCE_WORDS]);
/* One sentence: "Dew is likely soon: look at the glass, heater on. Never wipe it." */
const char *air_advice_words(enum air_advice advice);
enum { GLASS_WORDS = 112 };
/* "dew likely: look at the glass", and of which rigs if not of all. Empty if no look is asked for. */
char *glass_words(const struct subject *about, char out[GLASS_WORDS]);

#endif
