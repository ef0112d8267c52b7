/* words: one picture. */
#ifndef MOONSTAND_PICTURE_WORDS_H
#define MOONSTAND_PICTURE_WORDS_H

#include <moonstand/seen.h>
#include <moonstand/subject.h>

/* "+01:00": how far a camera's clock is set ahead of UTC. */
enum { OFFSET_WORDS = 16 };
char *camera_offset_words(char out[OFFSET_WORDS], double offset_min);
/* "2028-12-31 21:04:18, 1/60 s, ISO 400, f/5.6, 400 mm". */
char *metadata_words(const struct metadata *metadata, char out[SENTENCE]);
/* Why no Moon was found; null for SEEN_DISC and SEEN_NOT_LOOKED. */
const char *no_disc_words(enum seen_state state);
/* Of one that was; called a trial until it has been held against real pictures. */
char *disc_words(const struct seen *seen, char out[SENTENCE]);

#endif
