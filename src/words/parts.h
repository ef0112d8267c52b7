/* Inside the room: parts of sentences. */
#ifndef MOONSTAND_WORDS_PARTS_H
#define MOONSTAND_WORDS_PARTS_H

#include <moonstand/place_words.h>
#include <moonstand/round_words.h>
#include <moonstand/setting_words.h>

struct shot;

/* Where a point of the frame is, in numbers: "23 % right, 4 % below the centre". */
char *offset_words(struct frame_point point, char out[FRAME_WORDS]);

/* "P1 to P4". */
enum { PART_WORDS = 24 };
char *part_words(char out[PART_WORDS], enum wide_part part);

/* "3 stops too dark", "0.7 stop too bright". */
char *stops_words(double stops, char out[STOPS_WORDS]);

/* What a camera was set to: "1/500 s, ISO 400". */
enum { SHOT_WORDS = 32 };
char *shot_words(const struct shot *shot, char out[SHOT_WORDS]);

/* "2 stops brighter": how much a setting differs from the one before. */
enum { CHANGE_WORDS = 32 };
char *change_words(double stops, char out[CHANGE_WORDS]);

/* What a round says that takes the look along. */
#define GLANCE "look at the glass"

/* A round without its settings: "all 2 stops brighter; aim long", "set wide, scope". */
char *round_brief(const struct night *night, const struct agenda_round *round,
                  char out[ROUND_WORDS]);

#endif
