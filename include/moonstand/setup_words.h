/* words: the lines of a setup. */
#ifndef MOONSTAND_SETUP_WORDS_H
#define MOONSTAND_SETUP_WORDS_H

#include <moonstand/setup.h>
#include <moonstand/subject.h>

/* A line of the setup: its path in the file without the numbers of entries, what the screen calls it,
 * and what depends on it. */
struct setup_word {
    const char *path, *words, *why;
};
/* Of a path such as "rigs[1].focal_mm"; null if there is none. */
const struct setup_word *setup_word(const char *path);
/* All of them, in the order of the file. */
const struct setup_word *setup_words_all(int *count);
/* "rigs > 2 long > focal length". `setup` may be null: then entries have no names. */
char *setup_path_words(const struct setup *setup, const char *path, char out[ROW_TRAIL]);
/* The rig that a path leads to; -1: none. `rest`: what follows, "" for the rig itself. */
int setup_path_rig(const struct setup *setup, const char *path, const char **rest);
/* What is wrong with what a path leads to: "too small for the night", "GPS off"; empty: nothing. */
char *setup_fault_words(const struct subject *about, const char *path, char out[SENTENCE]);
/* A message of the file's reader with words in place of paths and keys. */
char *setup_in_words(const struct setup *setup, const char *text, char *out, size_t size);

#endif
