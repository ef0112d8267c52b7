/* screen: canvases of cells with roles, panels, layouts, themes, and the terminal.
 *
 *     night + moment + view --> dashboard_draw --> canvas --> term_put, or canvas_print
 *
 * Only term.c knows curses. Everything else is a pure function of its arguments, so a canvas can be
 * had without a terminal. No drawing call allocates; only canvas_resize does.
 */
#ifndef MOONSTAND_SCREEN_H
#define MOONSTAND_SCREEN_H

#include <moonstand/words.h>

#include <stdio.h>

/* ---- glyphs (glyph.c) ---- */

enum glyph_set { GLYPHS_UTF8, GLYPHS_ASCII };

/* The characters of our own that are not plain ASCII. All are one column wide everywhere: none is
 * of ambiguous width (no degree sign, no box lines, no classic arrows). */
enum glyph {
    GLYPH_CUT, /* stands where text was cut */
    GLYPH_RISE,
    GLYPH_SINK,
    GLYPH_POINTER, /* the chosen row */
    GLYPH_TICK,
    GLYPH_UPRIGHT, /* a line downwards */
    GLYPH_COUNT
};
const char *glyph(enum glyph_set set, enum glyph which);

/* Sets the locale (character type only: numbers keep the C form) and says which glyphs it can show:
 * the user's where it is UTF-8, else C.UTF-8 where the machine has it, else ASCII. */
enum glyph_set glyph_locale(void);

/* Columns that a text takes: wide characters two, combining ones none. */
int text_columns(enum glyph_set set, const char *text);

/* ---- canvas (canvas.c) ---- */

/* Largest canvas; a larger terminal keeps a blank rest. */
enum { CANVAS_WIDTH = 512, CANVAS_HEIGHT = 256, CELL_TEXT = 12 };

/* One column of one line: a base character with its combining ones, UTF-8, zero-filled to the end.
 * The second column of a wide character has width 0 and no text. */
struct cell {
    char text[CELL_TEXT];
    uint8_t width;
    uint8_t role; /* enum role */
    uint8_t dots; /* braille dots drawn so far, as in U+2800; 0: a character */
};

struct canvas {
    int width, height;
    enum glyph_set glyphs;
    struct cell *cell; /* owned; width * height, line by line */
    size_t room;       /* cells that `cell` has memory for */
};

/* Gives a canvas (zeroed before its first use) a size, clamped to 1 and the largest, and clears it.
 * -1 where memory is out: it then keeps its old size. */
int canvas_resize(struct canvas *canvas, int width, int height);
void canvas_free(struct canvas *canvas);
/* Blank cells of ROLE_LABEL. */
void canvas_clear(struct canvas *canvas);
/* The lines as text without trailing blanks; with `roles` then a line "roles" and one letter per
 * cell (label l, value v, strong s, border b, due d, alarm a, stale o, done x, lit L, shade S;
 * blank cells of ROLE_LABEL stay blank). */
void canvas_print(const struct canvas *canvas, FILE *out, bool roles);

/* A rectangle of a canvas. Drawing is clipped to it, so panels cannot overlap. May be empty. */
struct area {
    struct canvas *canvas;
    int x, y, width, height;
};
struct area canvas_area(struct canvas *canvas);
/* Part of an area, in its own coordinates, clipped to it. */
struct area area_part(struct area area, int x, int y, int width, int height);

/* Text from column x of line y; what does not fit is cut with a mark at the area's edge. Control
 * and undecodable bytes become '?', invisible format characters vanish; the ASCII set takes the
 * bare letter or '?'. Returns the column after the text. A line outside the area draws nothing. */
int area_text(struct area area, int x, int y, enum role role, const char *text);
int area_print(struct area area, int x, int y, enum role role, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
/* Text broken at blanks into the area's lines; what is left for the last line is cut with a mark.
 */
void area_wrap(struct area area, enum role role, const char *text);
/* The lines that such a text takes in so many columns. */
int text_lines(enum glyph_set set, const char *text, int columns);
/* A text of one line, ending before column `end`, or in the middle of the area. */
void area_text_right(struct area area, int end, int y, enum role role, const char *text);
void area_text_middle(struct area area, int y, enum role role, const char *text);
/* Every cell blank and of one role. */
void area_fill(struct area area, enum role role);
/* A line down the whole height at x. */
void area_upright(struct area area, int x, enum role role);
/* Moves the lines of the upper half apart, so that a blank one follows each. */
void area_spread(struct area area);

/* ---- dots and large digits (dots.c) ---- */

/* Sets one dot: two per column, four per line, from the top left. ASCII shows rough shapes. */
void area_dot(struct area area, int x, int y, enum role role);
/* The same where ASCII has a character of its own for what the dot belongs to: a curve, a line. */
void area_mark(struct area area, int x, int y, enum role role, char ascii);

/* Large digits of `scale` dots per stroke: 0 to 9, ':', '.', '-', U, P, blank. Other characters are left
 * out. Their size in columns and lines: */
int digits_columns(int scale, const char *text);
int digits_lines(int scale);
/* The largest scale, up to `most`, that fits an area; 0 where none does. */
int digits_scale(struct area area, int most, const char *text);
void area_digits(struct area area, int x, int y, int scale, enum role role, const char *text);

/* ---- themes (theme.c) ---- */

/* The red theme: pure red on black at both steps. */
void theme_default(struct theme *theme);
/* Whether every role can be told from the background. */
int theme_valid(const struct theme *theme, struct fault *fault);
/* The entry of the fixed part (16 to 255) of the 256-colour palette for a colour. A channel that is
 * zero stays zero (red stays purely red), and what differs from `background` does not take its
 * entry. */
int colour_256(uint32_t rgb, uint32_t background);
/* Colour of an entry 16 to 255. */
uint32_t colour_of_256(int entry);
/* The same for the eight basic colours, 0 to 7. */
int colour_8(uint32_t rgb, uint32_t background);

/* ---- bytes for a terminal (outlet.c) ---- */

/* A queue before a terminal that may not be reading. Nothing here waits, but for outlet_drain. The
 * terminal is opened again where that can be: non-blocking is a property of the open description,
 * and the first one belongs to the shell as well. */
enum { OUTLET_MOST = 1 << 24 };
struct outlet {
    int fd;
    bool shared; /* could not be opened again: non-blocking for each write alone */
    bool stuck;  /* said to take bytes, and took none: not polled until the next outlet_send */
    char *bytes; /* owned; those from `sent` to `length` wait */
    size_t sent, length, room;
};
/* Begins a queue before the terminal on `fd`, which must stay open. */
void outlet_open(struct outlet *outlet, int fd);
/* Drops what waits; harmless if zeroed with an fd of -1. */
void outlet_close(struct outlet *outlet);
/* Puts bytes at the end. -1 if memory or OUTLET_MOST (bytes) is exceeded: nothing is then added. */
int outlet_add(struct outlet *outlet, const char *bytes, size_t size);
/* Drops what waits. */
void outlet_forget(struct outlet *outlet);
size_t outlet_waiting(const struct outlet *outlet);
/* Writes what the terminal takes now. -1 if it is gone. */
int outlet_send(struct outlet *outlet);
/* The descriptor to poll for POLLOUT; -1: nothing waits. */
int outlet_poll_fd(const struct outlet *outlet);
/* After POLLOUT: as outlet_send. */
int outlet_on_writable(struct outlet *outlet);
/* Waits up to `seconds` until all is written; false if it is not. */
bool outlet_drain(struct outlet *outlet, double seconds);
/* Writes a few bytes past the queue; if the terminal takes none, what it has not read yet is
 * discarded. Async-signal-safe. */
void outlet_force(const struct outlet *outlet, const char *bytes, size_t size);

/* ---- terminal (term.c) ---- */

/* What the caller's loop must do:
 *   - block SIGWINCH, SIGCONT and the signals that end the program in order before term_open and
 *     take them by signalfd or inside ppoll. For every other one whose usual course is death, and
 *     for those if they are not blocked, term_open installs one-shot handlers that give the terminal
 *     back and let the signal take its course;
 *   - ignore SIGPIPE and SIGTSTP (an accidental suspend would stop the alarms);
 *   - poll term_fd() for input; on POLLIN, POLLHUP or POLLERR call term_key until INPUT_NONE, and
 *     look at clock and signals after some dozens of keys;
 *   - poll term_waiting_fd() for POLLOUT, then call term_send;
 *   - on SIGWINCH and SIGCONT call term_resize.
 */

enum input {
    INPUT_GONE = -1, /* the terminal is gone: save and leave */
    INPUT_NONE = 0,  /* nothing more for now */
    /* a character is its code point; others: */
    INPUT_UP = 0x110000,
    INPUT_DOWN,
    INPUT_LEFT,
    INPUT_RIGHT,
    INPUT_HOME,
    INPUT_END,
    INPUT_PAGE_UP,
    INPUT_PAGE_DOWN,
    INPUT_ENTER,
    INPUT_ESCAPE,
    INPUT_TAB,
    INPUT_TAB_BACK,
    INPUT_BACKSPACE,
    INPUT_DELETE,
    INPUT_PASTE,    /* what follows is pasted, not typed; where the terminal tells */
    INPUT_PASTE_END /* and up to here */
};

enum term_colours {
    TERM_MONO,  /* none, or NO_COLOR: roles are bold, reverse, underline; not safe for dark eyes */
    TERM_BASIC, /* the eight of the palette, whatever the user has made of them */
    TERM_256,   /* fixed part of the 256 */
    TERM_DIRECT /* RGB */
};

/* Takes the terminal on standard input and output: keys one by one (Ctrl-C, Ctrl-\\ and Ctrl-Z too),
 * no flow control; with the first canvas the alternate screen without a cursor. While it is held,
 * standard error (if it is a terminal) is collected in memory and printed after. Call glyph_locale
 * before. -1 with a fault if there is no terminal or TERM is unknown: nothing has then changed. */
int term_open(struct fault *fault);
/* Gives it back, within a second also if it does not read; harmless if it is not open. */
void term_close(void);
int term_fd(void);
enum term_colours term_colours(void);
/* ASCII where the locale or the terminal (the Linux console) cannot show the other. */
enum glyph_set term_glyphs(void);
/* Size of the window. */
void term_size(int *width, int *height);
/* Looks at the terminal's size and follows it; true if it has changed. */
bool term_resize(void);
/* How roles look from the next term_put on. */
void term_theme(const struct theme *theme, int step);
/* Shows a canvas: only cells that have changed are drawn, in one write that never blocks. What the
 * terminal does not take waits; while it does, canvases are dropped, and if it stood still the first
 * one after is drawn whole. */
void term_put(const struct canvas *canvas);
/* The descriptor to poll for POLLOUT; -1: nothing waits. */
int term_waiting_fd(void);
/* Writes more of what waits, after POLLOUT. True if a canvas was dropped and one can go now. */
bool term_send(void);
/* The next term_put paints everything (the user's Ctrl-L does the same). */
void term_redraw(void);
/* Rings with the next canvas that goes out. */
void term_bell(void);
/* The next key: a code point, or one of enum input. Escape sequences that are not understood are
 * swallowed whole, so that they cannot act as letters; one that does not end is dropped, and so are
 * bytes that are no UTF-8. INPUT_NONE also after some dozens of bytes without a key. */
int term_key(void);

/* ---- the dashboard (dashboard.c, panel_*.c) ---- */

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

/* ---- line by line (lines.c) ---- */

/* What was said last. */
enum { LINE_TEXT = 320, TOPICS = 18 };
struct lines {
    double utc; /* NaN: nothing yet */
    char said[TOPICS][RIGS][LINE_TEXT];
};
void lines_begin(struct lines *lines);
/* Prints a line "HH:MM:SS  text" for everything that has changed since the last time, at the first
 * time for all that stands. Of the view: clocks, message, trouble. */
void lines_tell(struct lines *lines, FILE *out, const struct night *night,
                const struct moment *moment, const struct view *view);

#endif
