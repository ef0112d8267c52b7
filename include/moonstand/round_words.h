/* words: rounds. */
#ifndef MOONSTAND_ROUND_WORDS_H
#define MOONSTAND_ROUND_WORDS_H

#include <moonstand/agenda.h>

/* All that is done in a round: "all 2 stops brighter: wide 1/60 s ISO 100, long 1/125 s ISO 400; aim
 * long; second person: battery of scope". */
enum { ROUND_WORDS = 320 };
char *round_words(const struct night *night, const struct agenda_round *round,
                  char out[ROUND_WORDS]);
/* What a round has besides its settings: "re-aim long; battery of long, scope". */
char *round_jobs_words(const struct night *night, const struct agenda_round *round,
                       char out[ROUND_WORDS]);
/* What is set before the first frame: "wide 1/60 s ISO 100, long 1/125 s ISO 400". */
char *begin_words(const struct night *night, char out[ROUND_WORDS]);
/* How many there are: "44 rounds; at 38 of them 70 settings keep every camera within 0.5 stops", "no
 * rounds: no camera is set by hand". */
char *rounds_words(const struct night *night, const struct agenda *agenda, char out[ROUND_WORDS]);
#define NO_HAND_WORDS "no camera is set by hand"
/* "from 19:10 to 19:32 more jobs than two hands can do: 5 rounds, settings up to 1.0 stops off". */
enum { OVERLOAD_WORDS = 160 };
char *overload_words(const struct night *night, const struct overload *overload,
                     char out[OVERLOAD_WORDS]);
/* What to change against it: "bracket 5 frames, 2 stops apart on scope (key t)"; of REMEDY_NONE that
 * nothing helps. */
enum { REMEDY_WORDS = 160 };
char *remedy_words(const struct night *night, const struct remedy *remedy, char out[REMEDY_WORDS]);
/* "bracket", "tolerance", "turn", "margin", "second person"; null: none. */
const char *remedy_name(enum remedy_kind kind);

#endif
