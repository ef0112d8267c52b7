/* screen: the terminal; term.c alone knows curses. */
#ifndef MOONSTAND_TERMINAL_H
#define MOONSTAND_TERMINAL_H

#include <moonstand/glyph.h>

#include <stdbool.h>

struct canvas;
struct fault;
struct theme;

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
    INPUT_PASTE,    /* what follows is pasted, not typed; if the terminal marks it */
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
 * standard error (if it is a terminal) is collected in memory and printed after. Its characters are those
 * of the locale. -1 with a fault if there is no terminal or TERM is unknown: nothing has then changed. */
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
 * terminal does not take waits; while it does, canvases are dropped, and if it stopped the first
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

#endif
