/* words: the checklist. */
#ifndef MOONSTAND_LIST_WORDS_H
#define MOONSTAND_LIST_WORDS_H

#include <moonstand/checklist.h>
#include <moonstand/subject.h>

/* Of an item, or a rig, that is. */
#define DONE_WORD "done"
#define NO_FORECAST_WORDS "no forecast"
/* What people read for a group of the list: as check_group_name, without contacts that this eclipse
 * does not have: "before greatest", "at moonrise". */
const char *item_group_words(const struct night *night, enum check_group group);
/* "long: clean the lens", without a rig its text alone. */
char *item_words(const struct check_item *item, char out[SENTENCE]);
/* "12 open"; behind it ", 3 overdue", empty if none is. */
enum { COUNT_WORDS = 24 };
char *open_words(const struct moment *moment, char out[COUNT_WORDS]);
char *overdue_words(const struct moment *moment, char out[COUNT_WORDS]);
/* "in 12 min", "1h05 late", "done", "not done"; empty where nothing is due. */
char *item_stand_words(const struct subject *about, int item, char out[SENTENCE]);
/* What the program itself sees amiss in what an item asks for: "no reading yet"; empty: nothing, or it
 * cannot see it. */
char *item_fault_words(const struct subject *about, int item, char out[SENTENCE]);
/* Why nothing of the list is asked for. */
const char *no_item_words(const struct subject *about);

#endif
