/* screen: the keys of the dashboard, as its help and its menu show them. */
#ifndef MOONSTAND_KEYS_H
#define MOONSTAND_KEYS_H

#include <moonstand/dashboard.h>

struct live; /* the caller's: screen does not look into it */

/* Groups of keys by what they are for. */
enum key_group {
    KEYS_AIM,
    KEYS_EXPOSE,
    KEYS_KIT,
    KEYS_NOTE,
    KEYS_SEE,
    KEYS_GO,
    KEYS_SETUP,
    KEY_GROUPS
};
const char *key_group_name(enum key_group group);

/* Bits for pages on which a key means most; 0: on all. */
#define ON_PAGE(page) (1U << PAGE_##page)

/* One key. A table of them ends with a row without a name. */
struct key_row {
    const char *label; /* as it is written; null: the row before has both, as of the arrows */
    const char *name;  /* of the act, in at most KEY_NAME columns */
    enum key_group group;
    int key, also; /* a code point or enum input; 0: none */
    int hint;   /* place in the last line of the screen, from 1; 0: none */
    bool learn; /* needed every night */
    unsigned pages;
    /* What it does, or does to `what`; both null: nothing can be done with it from the menu. */
    void (*act)(struct live *live);
    void (*act_on)(struct live *live, int what);
    int what;
    const char *help; /* in at most KEY_HELP_LINES lines of KEY_HELP_WIDTH columns */
};
enum { KEY_LABEL = 7, KEY_NAME = 15, KEY_HELP_LINES = 2, KEY_HELP_WIDTH = 76 };

/* Index of the row that is `rows` further on (negative: back) on the open page of keys, then at the
 * start of the group that is `groups` further on; past an end it goes on at the other. */
int key_step(const struct view *view, int rows, int groups);

#endif
