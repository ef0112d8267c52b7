/* screen: what the dashboard shows.
 *
 *     night + moment + view --> dashboard_draw --> canvas --> term_put, or canvas_print
 */
#ifndef MOONSTAND_DASHBOARD_H
#define MOONSTAND_DASHBOARD_H

#include <moonstand/terminal.h>

struct canvas;
struct moment;
struct night;
struct key_row;
struct setup_row;

enum page {
    PAGE_NIGHT,
    PAGE_LIST,
    PAGE_FAR,
    PAGE_CURVES,
    PAGE_FRAME,
    PAGE_KIT,
    PAGE_TIME_CARD,
    PAGE_SETUP,
    PAGES
};

enum keys_open { KEYS_CLOSED, KEYS_TO_LEARN, KEYS_ALL };

/* What the user looks at and how. Texts may be null: nothing to say. */
struct view {
    enum page page;
    const struct key_row *keys; /* all of them (keys.h) */
    enum keys_open keys_open;   /* the page of keys that is open over the page */
    int key;                    /* the chosen row there */
    bool utc_first;      /* UTC before local time */
    bool hours_swapped;  /* the other form of hours than the setup's, */
    bool units_swapped;  /* and the other units */
    bool apart;          /* a blank line after each line of text */
    int rig;             /* chosen rig */
    int item;            /* chosen item of the checklist; -1: the most urgent one */
    bool quit_armed;     /* one quit key has come */
    bool looking_on;     /* another copy of the program has the keys */
    double speed;        /* of the rehearsal's clock; 1 or 0: real time */
    const char *message; /* what the last act did, or why it was refused */
    bool acted;          /* the message is about an act: saving or saved is shown beside it */
    int unwritten;       /* acts that are not yet safe on the disk */
    const char *trouble; /* why nothing can be written */
    const struct setup_row *rows; /* of the setup page; with the words above them, */
    int row_count, row;           /* the chosen one, */
    const char *rows_path;
    const char *setup_file; /* and where a change is written; "": with the session alone */
    const char *prompt;     /* what is being asked */
    const char *typed;      /* answer so far */
};

/* Draws everything into the canvas, whatever its size. Reads nothing else, allocates nothing. */
void dashboard_draw(struct canvas *canvas, const struct night *night, const struct moment *moment,
                    const struct view *view);

/* The item that the key to tick acts on: the chosen one, else the most urgent open one, else -1. */
int view_item(const struct view *view, const struct night *night, const struct moment *moment);
/* The item `by` rows further down (+) or up (-) in what the page shows; -1 where it shows none. */
int view_item_step(const struct view *view, const struct night *night, const struct moment *moment,
                   int by);
/* The rig that the keys for aim and alarm act on: the one that sounds the alarm, else the chosen
 * one. */
int view_aim_rig(const struct view *view, const struct moment *moment);

#endif
