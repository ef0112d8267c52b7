/* field: the checklist. */
#ifndef MOONSTAND_CHECKLIST_H
#define MOONSTAND_CHECKLIST_H

#include <moonstand/due.h>
#include <moonstand/rig.h>

enum { CHECK_ITEMS = 128, CHECK_TEXT = 120, CHECK_ID = 24 };

enum check_group {
    CHECK_DAY_BEFORE,
    CHECK_AT_SITE,
    CHECK_BEFORE_P1,
    CHECK_BEFORE_U2,
    CHECK_BEFORE_P4,
    CHECK_AFTER,
    CHECK_GROUPS,
    CHECK_REMINDER = CHECK_GROUPS /* the user's own */
};
/* "day before", "at the site", "before P1", "before U2", "before P4", "after", "reminders". */
const char *check_group_name(enum check_group group);

struct check_item {
    char id[CHECK_ID]; /* identifies the item in the journal; unique in a list */
    enum check_group group;
    char text[CHECK_TEXT];
    char note[CHECK_TEXT];
    char rig[RIG_NAME];       /* empty: for all */
    unsigned when;            /* WHEN_... */
    bool has_due, at_instant; /* one of them, or neither */
    struct due due;
    double due_utc; /* if at_instant */
};

struct checklist {
    int count;
    struct check_item item[CHECK_ITEMS];
};

/* The built-in list: the work of an eclipse night, with the cautions. */
void checklist_default(struct checklist *list);
/* Index of the item with an id; -1 if there is none. */
int checklist_find(const struct checklist *list, const char *id);

#endif
