/* screen: what the dashboard shows, and the keys that it names.
 *
 *     night + moment + view --> dashboard_draw --> canvas --> term_put, or canvas_print
 */
#ifndef MOONSTAND_DASHBOARD_H
#define MOONSTAND_DASHBOARD_H

#include <moonstand/terminal.h>

struct canvas;
struct moment;
struct night;
struct setup_row;

/* Keys as the hints and the help name them; the caller acts on them. Arrow up and down (j, k)
 * choose an item of the checklist, left and right (h, l) or 1 to 3 a rig. */
enum press {
    PRESS_TICK = ' ',     /* the chosen item of the checklist: done, or open again */
    PRESS_AIMED = 'a',    /* the rig of view_aim_rig() is aimed again, the Moon where advised */
    PRESS_AIMED_AT = 'A', /* the same, the Moon elsewhere (asks) */
    PRESS_SEEN_AT = 'S',  /* where the Moon of the chosen rig on a mount has drifted to (asks) */
    PRESS_TURN = 'T',     /* camera of the chosen rig turned: landscape, portrait */
    PRESS_QUIET = 'z',    /* its alarm is quiet for two minutes */
    PRESS_LATER = 'Z',    /* the chosen item of the checklist is put off for ten minutes */
    PRESS_UNDO = 'u',     /* takes back the last act */
    PRESS_FRAME = 'f',    /* a frame was taken with the chosen rig */
    PRESS_TARGET = 't',   /* next exposure target of the chosen rig */
    PRESS_BRIGHTER = '+', /* correction of the chosen rig, a third of a stop */
    PRESS_DARKER = '-',
    PRESS_LOOKED_RIGHT = 's', /* the setting of a test frame that looked right (asks) */
    PRESS_OPTICS = 'e',       /* f-number, filter, extender, interval of the chosen rig (asks) */
    PRESS_BATTERY = 'b',      /* battery of the chosen rig changed */
    PRESS_CARD = 'm',         /* memory card changed */
    PRESS_GLASS = 'G',        /* the front lenses were looked at: dry */
    PRESS_HEATER = 'H',       /* the heater on the lens of the chosen rig: on, or off */
    PRESS_CLOUD = 'c',        /* cloud came, or went */
    PRESS_RATING = 'd',       /* rate the colour of the umbra (asks) */
    PRESS_AIR = 'w',          /* temperature and humidity (asks) */
    PRESS_CAMERA_CLOCK = 'K', /* what the clock of the chosen rig's camera shows (asks) */
    PRESS_NOTE = 'n',         /* a note (asks) */
    PRESS_ITEM = 'N',         /* one more item of the checklist (asks) */
    PRESS_PLACE = 'p',        /* the site by hand (asks) */
    PRESS_WATCH = 'P',        /* the pictures are watched again */
    PRESS_FIX = 'g',          /* accept the GPS fix as the site */
    PRESS_LIST = INPUT_TAB,   /* the whole checklist, and back */
    PRESS_FORECAST = 'F',     /* an hour of the forecast (asks) */
    PRESS_SETUP = 'E',        /* the setup, to be changed line by line, and back */
    PRESS_TAKE_OUT = 'D',     /* there: takes the chosen entry out of its list */
    PRESS_FAR = 'v',          /* countdown to be read from afar, and back */
    PRESS_VIEWFINDER = 'i',   /* the picture of the chosen rig, and back */
    PRESS_CURVES = 'o',       /* the night as curves, and back */
    PRESS_KIT = 'y',          /* batteries, cards, air, forecast, clocks, and back */
    PRESS_TIME_CARD = 'C',    /* UTC to be photographed, and back */
    PRESS_UTC = 'x',          /* local time first, or UTC */
    PRESS_DIM = 'r',          /* the theme's other brightness */
    PRESS_THEME = 'R',        /* the next theme; some are bright: not to be hit by a slip */
    PRESS_HOURS = 'X',        /* local time with 24 hours, or with 12 */
    PRESS_UNITS = 'W',        /* the air in metric units, or in imperial ones */
    PRESS_APART = 'L',        /* a blank line after each line of text, or not */
    PRESS_HELP = '?',
    PRESS_QUIT = 'q', /* twice within two seconds */
    PRESS_QUIT_NOW = 'Q'
};

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

/* What the user looks at and how. Texts may be null: nothing to say. */
struct view {
    enum page page;
    int help;            /* part of the help that is shown, from 1; 0: none */
    bool opening;        /* the night is not yet followed: only what the eclipse tells is shown */
    bool utc_first;      /* UTC before local time */
    bool apart;          /* a blank line after each line of text */
    int rig;             /* chosen rig */
    int item;            /* chosen item of the checklist; -1: the most urgent one */
    bool quit_armed;     /* one quit key has come */
    bool looking_on;     /* another copy of the program has the keys */
    double speed;        /* of the rehearsal's clock; 1 or 0: real time */
    const char *message; /* what the last act did, or why it was refused */
    bool acted;          /* the message tells of an act: its way to the disk is shown */
    int unwritten;       /* acts that are not yet safe on the disk */
    const char *trouble; /* why nothing can be written */
    const struct setup_row *rows; /* of the setup's page; with the path that they stand below, */
    int row_count, row;           /* the chosen one, */
    const char *rows_path;
    const char *setup_file; /* and where a change is written; "": with the session alone */
    const char *prompt;     /* what is being asked */
    const char *typed;      /* answer so far */
};

/* Draws everything into the canvas, whatever its size. Reads nothing else, allocates nothing. Returns
 * how many parts the help has at this size; 0 where it is not shown. */
int dashboard_draw(struct canvas *canvas, const struct night *night, const struct moment *moment,
                   const struct view *view);

/* The item that PRESS_TICK acts on: the chosen one, else the most urgent open one, else -1. */
int view_item(const struct view *view, const struct night *night, const struct moment *moment);
/* The item `by` rows further down (+) or up (-) in what the page shows; -1 where it shows none. */
int view_item_step(const struct view *view, const struct night *night, const struct moment *moment,
                   int by);
/* The rig that PRESS_AIMED and PRESS_QUIET act on: the one that sounds the alarm, else the chosen
 * one. */
int view_aim_rig(const struct view *view, const struct moment *moment);

#endif
