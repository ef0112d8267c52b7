/* Inside the room: parts of sentences. */
#ifndef MOONSTAND_WORDS_PARTS_H
#define MOONSTAND_WORDS_PARTS_H

#include <moonstand/moment.h>
#include <moonstand/place_words.h>
#include <moonstand/round_words.h>
#include <moonstand/setting_words.h>

/* For people, to the second only within the hour: "2:33 min", "1h02", "21 days". */
char *left_words(char out[TEXT_SPAN], double seconds);
/* A length of time that nobody needs to the second, without its sign: "45 s", "12 min", "1h05",
 * "21 days". */
char *rough_words(char out[TEXT_SPAN], double seconds);
/* How long a Moon stays, never told too long: "12:41 min", from an hour on "2h05". */
char *stay_words(char out[TEXT_SPAN], double seconds);

/* "P1 to P4". */
enum { PART_WORDS = 24 };
char *part_words(char out[PART_WORDS], enum wide_part part);

/* Both: "right, a little low (23 % right, 4 % below the centre)". */
enum { PLACE_WORDS = 2 * FRAME_WORDS };
char *place_words(struct frame_point point, char out[PLACE_WORDS]);

/* "the Moon left the frame at 22:12", `clock` being loss_utc as its reader has it; `brief`: "Moon left
 * frame 22:12". Empty for LOSS_NONE. */
enum { LOSS_WORDS = 96 };
char *loss_words(enum aim_loss loss, const char *clock, bool brief, char out[LOSS_WORDS]);

/* What is exposed for: "for the sunlit part", "for the umbra". */
const char *target_words(enum target target);

/* "3 stops too dark", "0.7 stop too bright". */
char *stops_words(double stops, char out[STOPS_WORDS]);

/* What a camera was set to: "1/500 s, ISO 400". */
enum { SHOT_WORDS = 32 };
char *shot_words(const struct shot *shot, char out[SHOT_WORDS]);

/* By how many thirds of a stop a setting made at `utc` is brighter than the one before it; 0: there
 * was none. */
int thirds_by(const struct night *night, int rig, const struct exposure *set, double utc);
/* "all 2 stops brighter", if every rig that a hand sets is made brighter by as many thirds; else
 * empty. */
enum { ALIKE_WORDS = 40 };
char *alike_words(const struct night *night, const int thirds[RIGS], char out[ALIKE_WORDS]);

/* What a round says that takes the look along. */
#define GLANCE "look at the glass"

/* A round without its settings: "all 2 stops brighter; re-aim long", "set wide, scope". */
char *round_brief(const struct night *night, const struct agenda_round *round,
                  char out[ROUND_WORDS]);

#endif
