/* The only file that knows curses: its description of the terminal, its colours and its keys. What
 * goes to the terminal is made here and goes through an outlet, for curses itself would wait for a
 * terminal that does not read. Draws what has changed of a canvas, turns roles into what the terminal
 * can show, decodes keys, and gives the terminal back whatever happens. */
#include "colours.h"

#include <moonstand/canvas.h>
#include <moonstand/fault.h>
#include <moonstand/outlet.h>
#include <moonstand/palette.h>
#include <moonstand/terminal.h>

/* After our own header, since curses defines short common names. */
#include <curses.h>
#include <fcntl.h>
#include <langinfo.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <term.h>
#include <termios.h>
#include <unistd.h>
#include <utf8proc.h>

/* Those whose usual course is death. The loop takes some of them itself and blocks them: for these
 * the handlers stand by until then. */
static const int crash_signals[] = {
    SIGSEGV, SIGBUS,  SIGFPE, SIGILL,  SIGABRT, SIGSYS,  SIGTRAP,   SIGXCPU, SIGXFSZ, SIGQUIT,
    SIGINT,  SIGTERM, SIGHUP, SIGUSR1, SIGUSR2, SIGALRM, SIGVTALRM, SIGPROF, SIGPWR,  SIGIO,
};
enum { CRASH_SIGNALS = sizeof crash_signals / sizeof *crash_signals };

/* Keys of ours, past those of curses: the marks around pasted text. */
enum { KEY_PASTE = KEY_MAX + 1, KEY_PASTE_END };

/* So long the end may take if the terminal does not read. */
#define LAST_S 1.0
/* So long the rest of an escape sequence is waited for. */
#define SEQUENCE_S 0.1
enum { SEQUENCE_BYTES = 64, BYTES_AT_ONCE = 64 };

/* Curses is one per process, and so is this. */
static struct {
    SCREEN *screen; /* null: not open */
    FILE *mute;     /* what curses writes goes nowhere */
    WINDOW *keys;   /* a pad: reading keys from it does not refresh the screen */
    enum term_colours colours;
    enum glyph_set glyphs;
    bool is_utf8;
    struct theme theme;
    int step;
    int ink[ROLE_COUNT], paper; /* the theme's colours as set_ink takes them */
    struct winsize size;        /* the usual one until the terminal says it */
    struct canvas shown; /* what the terminal has, or will have when it has taken what waits */
    bool repaint;        /* draw every cell */
    bool ring;           /* ring with the next canvas */
    bool short_of_memory;
    bool dropped;        /* the last canvas could not go */
    size_t sent_at_drop; /* of what waits */
    struct outlet out;
    bool begun;       /* the screen has been taken */
    int pen_x, pen_y; /* where the cursor is; -1: not known */
    int pen_role;     /* that it draws; -1: not known, or a picture */
    int pen_attributes;
    int pen_ink[2];      /* colour of the characters, and behind them; -1: not known */
    int not_with_colour; /* attributes that the terminal cannot show together with colours */
    bool rgb_tones;      /* a picture's tones are sent as RGB */
    struct ramp ramp;    /* else these */
    bool scrolls_at_end; /* a character in the last column of the last line does */
    bool fills;          /* erased characters take the colour behind */
    const char *feed;    /* one line down in the same column; null: it cannot be had that way */

    /* decoding of keys */
    uint8_t partial[4]; /* of a character in UTF-8 */
    int partial_count;
    int sequence_bytes; /* of an escape sequence that has not ended; 0: in none */
    double sequence_until_s;

    /* the way in, and the way back, also from a crash */
    struct termios modes_before;
    char restore[256];
    size_t restore_size;
    int errors_before, errors_file; /* descriptors; -1: standard error is left alone */
    struct sigaction action_before[CRASH_SIGNALS];
} term = {
    .size = {.ws_row = 24, .ws_col = 80}, .out.fd = -1, .errors_before = -1, .errors_file = -1};

/* ---- the way back ---- */

/* Writes all of it, or what a terminal takes that does not read; async-signal-safe. */
static void write_all(int fd, const char *bytes, size_t size)
{
    while (size > 0) {
        ssize_t written = write(fd, bytes, size);
        if (written <= 0)
            return;
        bytes += written;
        size -= (size_t)written;
    }
}

/* Standard error to its own place again, with what was collected; async-signal-safe. */
static void errors_release(void)
{
    char bytes[512];
    ssize_t size;

    if (term.errors_before < 0)
        return;
    (void)dup2(term.errors_before, STDERR_FILENO);
    for (off_t at = 0; (size = pread(term.errors_file, bytes, sizeof bytes, at)) > 0; at += size)
        write_all(STDERR_FILENO, bytes, (size_t)size);
}

static void errors_collect(void)
{
    if (!isatty(STDERR_FILENO))
        return;
    term.errors_file = memfd_create("errors", MFD_CLOEXEC);
    if (term.errors_file < 0)
        return;
    /* Opened again if that can be, so that no last word waits for a terminal that does not read. */
    term.errors_before = open("/proc/self/fd/2", O_WRONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (term.errors_before < 0)
        term.errors_before = fcntl(STDERR_FILENO, F_DUPFD_CLOEXEC, 3);
    if (term.errors_before < 0 || dup2(term.errors_file, STDERR_FILENO) < 0)
        term.errors_before = -1;
}

static void errors_close(void)
{
    errors_release();
    if (term.errors_before >= 0)
        (void)close(term.errors_before);
    if (term.errors_file >= 0)
        (void)close(term.errors_file);
    term.errors_before = term.errors_file = -1;
}

/* Curses may be in any state here, so the bytes have been prepared. The handler is one-shot: the
 * raised signal takes its default course as soon as this returns. */
static void on_crash(int number)
{
    if (term.begun)
        outlet_force(&term.out, term.restore, term.restore_size);
    (void)tcsetattr(STDIN_FILENO, TCSANOW, &term.modes_before);
    errors_release();
    (void)raise(number);
}

/* A text of the terminal's description; NULL if it has none (curses' -1: not a text). */
static const char *terminal_says(const char *capability)
{
    const char *text = tigetstr(capability);

    return (intptr_t)text == -1 ? NULL : text;
}

static void add_to_restore(const char *capability)
{
    const char *text = terminal_says(capability);

    while (text && *text && term.restore_size < sizeof term.restore) {
        /* Padding is for tputs: $<2> means nothing to the terminal. */
        const char *padding_end = strncmp(text, "$<", 2) == 0 ? strchr(text, '>') : NULL;
        if (padding_end)
            text = padding_end + 1;
        else
            term.restore[term.restore_size++] = *text++;
    }
}

static void crash_prepare(void)
{
    /* Also for a stack that has run over. */
    static char stack[32768];
    const stack_t own_stack = {.ss_sp = stack, .ss_size = sizeof stack};
    struct sigaction action = {.sa_handler = on_crash,
                               .sa_flags = (int)(SA_RESETHAND | SA_ONSTACK)};

    (void)sigaltstack(&own_stack, NULL);
    (void)sigemptyset(&action.sa_mask);
    for (int i = 0; i < CRASH_SIGNALS; i++) {
        (void)sigaction(crash_signals[i], &action, &term.action_before[i]);
        if (term.action_before[i].sa_handler == SIG_IGN)
            (void)sigaction(crash_signals[i], &term.action_before[i], NULL);
    }
}

static void crash_forget(void)
{
    for (int i = 0; i < CRASH_SIGNALS; i++)
        (void)sigaction(crash_signals[i], &term.action_before[i], NULL);
}

/* ---- bytes of a frame ---- */

static void add(const char *bytes, size_t size)
{
    term.short_of_memory |= outlet_add(&term.out, bytes, size) != 0;
}

static int add_byte(int byte)
{
    const char one = (char)byte;

    add(&one, 1);
    return byte;
}

static void add_capability(const char *capability)
{
    const char *text = terminal_says(capability);

    if (text)
        (void)tputs(text, 1, add_byte);
}

/* ---- colours ---- */

static int direct_colour(uint32_t rgb)
{
    /* Entries of direct-colour terminals take numbers below 256 for the palette. One step of red
     * more is not seen. */
    return (int)(rgb < 256 ? rgb | 0x010000 : rgb);
}

static int lowered(uint32_t rgb, uint32_t background)
{
    switch (term.colours) {
    case TERM_DIRECT:
        return direct_colour(rgb);
    case TERM_256:
        return colour_256(rgb, background);
    default:
        return colour_8(rgb, background);
    }
}

void term_theme(const struct theme *theme, int step)
{
    term.theme = *theme;
    term.step = step;
    term.repaint = true;
    term.paper = lowered(theme->background[step], theme->background[step]);
    for (int role = 0; role < ROLE_COUNT; role++)
        term.ink[role] = lowered(theme->look[step][role].rgb, theme->background[step]);
    if (term.colours == TERM_256 && !term.rgb_tones)
        ramp_make(theme, step, &term.ramp);
}

/* Attributes of a look, with the values of no_color_video in terminfo(5). */
enum { PEN_UNDERLINE = 2, PEN_REVERSE = 4, PEN_DIM = 16, PEN_BOLD = 32 };

/* Without those that this terminal shows by a colour of its own. */
static int attributes(int role)
{
    const struct look *look = &term.theme.look[term.step][role];
    /* With eight colours brightness is bold, plain or dim: one less of it at the dim step, but an
     * alarm is never dimmed. */
    bool dim = term.colours == TERM_BASIC && term.step > 0 && role != ROLE_ALARM;
    int brightness = look->bold ? (dim ? 0 : PEN_BOLD) : (dim ? PEN_DIM : 0);

    return ((look->reverse ? PEN_REVERSE : 0) | (look->underline ? PEN_UNDERLINE : 0) |
            brightness) &
           ~term.not_with_colour;
}

/* ---- opening ---- */

static enum term_colours decide_colours(void)
{
    const char *no_color = getenv("NO_COLOR");

    if ((no_color && *no_color) || !has_colors() || start_color() == ERR || COLORS < 8)
        return TERM_MONO;
    if (COLORS == 256)
        return TERM_256;
    return COLORS == 1 << 24 ? TERM_DIRECT : TERM_BASIC;
}

/* A multiplexer may hand the variable on without what it means. */
static bool decide_rgb_tones(const char *name)
{
    const char *says = getenv("COLORTERM");
    bool direct = says && (strcmp(says, "truecolor") == 0 || strcmp(says, "24bit") == 0);
    bool multiplexer = strncmp(name, "screen", 6) == 0 || strncmp(name, "tmux", 4) == 0;

    return term.colours == TERM_DIRECT || (term.colours == TERM_256 && direct && !multiplexer);
}

static enum glyph_set decide_glyphs(const char *name)
{
    /* The Linux console's font has no braille. */
    bool console = strncmp(name, "linux", 5) == 0;

    return term.is_utf8 && !console ? GLYPHS_UTF8 : GLYPHS_ASCII;
}

/* From here on curses writes into nothing, and cannot change the terminal's modes. */
static int mute(void)
{
    int nowhere = open("/dev/null", O_RDWR | O_CLOEXEC);
    int result = nowhere < 0 ? -1 : dup3(nowhere, fileno(term.mute), O_CLOEXEC);

    if (nowhere >= 0)
        (void)close(nowhere);
    return result < 0 ? -1 : 0;
}

static int open_keys(void)
{
    const char *begin = terminal_says("PS"), *end = terminal_says("PE");

    (void)typeahead(-1);
    if (!getenv("ESCDELAY"))
        (void)set_escdelay(25);
    if (begin && end) {
        (void)define_key(begin, KEY_PASTE);
        (void)define_key(end, KEY_PASTE_END);
    }
    term.keys = newpad(1, 1);
    if (!term.keys || keypad(term.keys, TRUE) == ERR || nodelay(term.keys, TRUE) == ERR)
        return -1;
    return 0;
}

static void prepare_restore(void)
{
    static const char *const back[] = {"sgr0", "op", "BD", "rmkx", "cnorm", "rmcup"};

    term.restore_size = 0;
    for (size_t i = 0; i < sizeof back / sizeof *back; i++)
        add_to_restore(back[i]);
}

static void leave_curses(void)
{
    (void)tcsetattr(STDIN_FILENO, TCSANOW, &term.modes_before);
    if (term.keys)
        (void)delwin(term.keys);
    term.keys = NULL;
    if (term.screen) {
        (void)endwin();
        delscreen(term.screen);
    }
    term.screen = NULL;
    if (term.mute)
        (void)fclose(term.mute);
    term.mute = NULL;
    outlet_close(&term.out);
}

static int start_curses(const char *name, struct fault *fault)
{
    int fd = fcntl(STDOUT_FILENO, F_DUPFD_CLOEXEC, 3);

    term.mute = fd < 0 ? NULL : fdopen(fd, "w");
    if (!term.mute) {
        if (fd >= 0)
            (void)close(fd);
        return fault_set(fault, "cannot open the terminal again");
    }
    /* Curses' own canvases are not used: it is given a small window. */
    (void)setenv("LINES", "2", 1);
    (void)setenv("COLUMNS", "80", 1);
    term.screen = newterm(NULL, term.mute, stdin);
    /* Commands of the user's must not see them, nor what the user's shell has set for another
     * window. */
    (void)unsetenv("LINES");
    (void)unsetenv("COLUMNS");
    if (!term.screen)
        return fault_set(fault,
                         "TERM is \"%s\": this machine does not know such a terminal; "
                         "try TERM=xterm",
                         name);
    if (!terminal_says("cup"))
        return fault_set(fault, "TERM is \"%s\": such a terminal cannot place text; try TERM=xterm",
                         name);
    /* Keys one by one, unechoed. Without flow control, as an accidental Ctrl-S would freeze the alarms; the
     * keys that send signals are keys like the others. */
    if (raw() == ERR || noecho() == ERR || nonl() == ERR || mute() < 0 || open_keys() < 0)
        return fault_set(fault, "cannot switch the terminal to single-key input");
    return 0;
}

int term_open(struct fault *fault)
{
    const char *term_name = getenv("TERM"), *name = term_name ? term_name : "";

    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO) ||
        tcgetattr(STDIN_FILENO, &term.modes_before) < 0)
        return fault_set(fault, "standard input and output must be a terminal for the dashboard");
    (void)setlocale(LC_CTYPE, "");
    outlet_open(&term.out, STDOUT_FILENO);
    if (start_curses(name, fault) < 0) {
        leave_curses();
        return -1;
    }
    prepare_restore();
    int ncv = tigetnum("ncv");
    term.begun = false;
    term.scrolls_at_end = tigetflag("am") > 0 && tigetflag("xenl") <= 0;
    term.fills = tigetflag("bce") > 0 && terminal_says("ech");
    term.is_utf8 = strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
    term.colours = decide_colours();
    term.glyphs = decide_glyphs(name);
    term.rgb_tones = decide_rgb_tones(name);
    term.not_with_colour = term.colours == TERM_MONO || ncv < 0 ? 0 : ncv;
    theme_default(&term.theme);
    (void)term_resize();
    crash_prepare();
    errors_collect();
    return 0;
}

/* A multiplexer whose window has grown meanwhile would leave lines of the last frame behind. */
static void leave_screen(void)
{
    add_capability("sgr0");
    add_capability("op");
    add_capability("clear");
    add(term.restore, term.restore_size);
    if (!outlet_drain(&term.out, LAST_S))
        outlet_force(&term.out, term.restore, term.restore_size);
}

void term_close(void)
{
    if (!term.screen)
        return;
    if (term.begun)
        leave_screen();
    leave_curses();
    crash_forget();
    errors_close();
    canvas_free(&term.shown);
}

int term_fd(void)
{
    return STDIN_FILENO;
}

enum term_colours term_colours(void)
{
    return term.colours;
}

enum glyph_set term_glyphs(void)
{
    return term.glyphs;
}

/* ---- size ---- */

void term_size(int *width, int *height)
{
    *width = term.size.ws_col;
    *height = term.size.ws_row;
}

bool term_resize(void)
{
    struct winsize size;

    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) < 0 || size.ws_row == 0 || size.ws_col == 0 ||
        (size.ws_row == term.size.ws_row && size.ws_col == term.size.ws_col))
        return false;
    term.size = size;
    term.repaint = true;
    return true;
}

/* ---- drawing ---- */

/* The cell's characters, or '?' for one that the locale cannot show, or that the C library counts
 * otherwise than we do: where terminals disagree, the rest of the line would be shifted. */
static const char *shown_text(const struct cell *cell)
{
    const uint8_t *text = (const uint8_t *)cell->text;
    int32_t first;

    if (*text < 0x80 && text[1] == '\0')
        return cell->text;
    (void)utf8proc_iterate(text, -1, &first);
    return term.is_utf8 && wcwidth((wchar_t)first) == cell->width ? cell->text : "?";
}

/* Whether a role's blanks look like those of the paper. */
static bool is_plain(int role)
{
    const struct look *look = &term.theme.look[term.step][role];

    return !look->reverse && !look->underline;
}

/* A blank looks the same in all plain roles. Taking that of the text before it saves most changes of
 * colour, and they are most of a frame's bytes. */
static int drawn_role(const struct cell *cell, int before)
{
    return cell->text[0] == ' ' && is_plain(cell->role) && is_plain(before) ? before : cell->role;
}

/* What is only added leaves the colours as they are. */
static void use_attributes(int wanted)
{
    static const struct {
        int bit;
        const char *capability;
    } ways[] = {
        {PEN_BOLD, "bold"}, {PEN_DIM, "dim"}, {PEN_UNDERLINE, "smul"}, {PEN_REVERSE, "rev"}};

    if (wanted == term.pen_attributes)
        return;
    if (term.pen_attributes & ~wanted) { /* or not known */
        add_capability("sgr0");
        term.pen_ink[0] = term.pen_ink[1] = -1;
        term.pen_attributes = 0;
    }
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++)
        if (wanted & ~term.pen_attributes & ways[i].bit)
            add_capability(ways[i].capability);
    term.pen_attributes = wanted;
}

/* `which`: 0 of the characters, 1 behind them. An ink is an entry of the terminal's colours, or with
 * INK_RGB a colour that its description does not know of. */
enum { INK_RGB = 1 << 25 };
static void set_ink(int which, int ink)
{
    char bytes[32];
    const char *way = terminal_says(which == 0 ? "setaf" : "setab");

    if (ink == term.pen_ink[which] || term.colours == TERM_MONO)
        return;
    term.pen_ink[which] = ink;
    if (ink & INK_RGB) {
        int size = snprintf(bytes, sizeof bytes, "\033[%d;2;%d;%d;%dm", which == 0 ? 38 : 48,
                            ink >> 16 & 0xff, ink >> 8 & 0xff, ink & 0xff);
        add(bytes, (size_t)size);
    } else if (way) {
        (void)tputs(tiparm(way, ink), 1, add_byte);
    }
}

static void set_role(int role)
{
    if (role == term.pen_role)
        return;
    use_attributes(attributes(role));
    set_ink(0, term.ink[role]);
    set_ink(1, term.paper);
    term.pen_role = role;
}

/* Whether a cell is shown as a picture; else its replacement is. */
static bool shows_tones(const struct cell *cell)
{
    return cell->half[0] > 0 && term.glyphs == GLYPHS_UTF8 && term.colours >= TERM_256;
}

/* The ink of a picture: RGB in steps that save bytes and are not seen, or an entry of the palette. */
static int tone_ink(int level, int x, int y)
{
    enum { STEPS = 31 };
    int even = 1 + (level - 1) * STEPS / 254 * 254 / STEPS;

    if (!term.rgb_tones)
        return ramp_entry(&term.ramp, level, x, y);
    uint32_t rgb = tone_rgb(&term.theme, term.step, even);
    return term.colours == TERM_DIRECT ? direct_colour(rgb) : (int)rgb | INK_RGB;
}

static void ink_blanks(int behind)
{
    if (term.pen_attributes & (PEN_UNDERLINE | PEN_REVERSE)) /* or not known */
        use_attributes(0);
    set_ink(1, behind);
    term.pen_role = -1;
}

static void draw_inked(const char *text, int ink, int behind)
{
    if (*text != ' ') {
        use_attributes(0);
        set_ink(0, ink);
    }
    ink_blanks(behind);
    add(text, strlen(text));
}

/* Quarters of a cell, by bits. */
enum { UPPER = 3, WHOLE = 15 };

/* What is solid up to the cell's upper edge is the cell's own ground, and what is left of it is drawn
 * over that: the blocks of many fonts leave a gap above, which would part a digit. */
static void draw_quarters(const struct cell *cell)
{
    static const char *const rest[] = {"\u2584", "\u2597", "\u2596",
                                       " "}; /* by the lower quarters */
    int own = term.ink[cell->role];

    if ((cell->quarters & UPPER) == UPPER)
        draw_inked(rest[cell->quarters >> 2], term.paper, own);
    else
        draw_inked(shown_text(cell), own, term.paper);
}

/* Pictures and large digits: true if the cell has been drawn. */
static bool draw_cell_picture(const struct cell *cell, int x, int y)
{
    if (shows_tones(cell)) {
        int upper = tone_ink(cell->half[0], x, 2 * y),
            lower = tone_ink(cell->half[1], x, 2 * y + 1);
        draw_inked(upper == lower ? " " : "\u2584", lower, upper);
    } else if (cell->quarters > 0 && is_plain(cell->role) && term.colours >= TERM_256 &&
               (term.glyphs == GLYPHS_UTF8 || cell->quarters == WHOLE)) {
        draw_quarters(cell);
    } else if (cell->text[0] == ' ' && is_plain(cell->role) && term.pen_role < 0) {
        draw_inked(" ", 0, term.paper);
    } else {
        return false;
    }
    return true;
}

/* Over a few cells that already look right it is shorter to write them again. */
static bool can_pass(const struct cell *line, int from, int to)
{
    enum { SHORT = 6 };

    if (from < 0 || term.pen_role < 0 || to - from > SHORT || from > to)
        return false;
    for (int x = from; x < to; x++)
        if ((unsigned char)line[x].text[0] >= 0x80 || line[x].width != 1 || line[x].quarters > 0 ||
            shows_tones(&line[x]) || drawn_role(&line[x], term.pen_role) != term.pen_role)
            return false;
    return true;
}

/* Along a line that the pen is in; false if the terminal cannot. */
static bool move_along(const struct cell *line, int x)
{
    const char *way = terminal_says(term.pen_x < x ? "cuf" : "cub");

    if (can_pass(line, term.pen_x, x))
        for (int at = term.pen_x; at < x; at++)
            add(line[at].text, strlen(line[at].text));
    else if (term.pen_x != x && way)
        (void)tputs(tiparm(way, abs(x - term.pen_x)), 1, add_byte);
    else
        return term.pen_x == x;
    return true;
}

/* A few lines down and along takes fewer bytes than to name the place. The line is there, so that
 * nothing scrolls. */
static void move_to(const struct cell *line, int x, int y)
{
    enum { LINES_DOWN = 3 };
    int down = y - term.pen_y;

    if (term.pen_x >= 0 && down > 0 && down <= LINES_DOWN && term.feed) {
        for (; term.pen_y < y; term.pen_y++)
            (void)tputs(term.feed, 1, add_byte);
    }
    if (term.pen_x < 0 || term.pen_y != y || !move_along(line, x))
        (void)tputs(tiparm(terminal_says("cup"), y, x), 1, add_byte);
    term.pen_x = x;
    term.pen_y = y;
}

static void draw_cell(const struct cell *line, int x, int y, int role)
{
    const struct cell *cell = &line[x];
    const char *text = shown_text(cell);
    bool last = x + cell->width >= term.size.ws_col;

    if (cell->width == 0 || (term.scrolls_at_end && last && y + 1 >= term.size.ws_row))
        return;
    move_to(line, x, y);
    if (!draw_cell_picture(cell, x, y)) {
        set_role(role);
        add(text, strlen(text));
    }
    /* Behind the last column terminals differ. */
    term.pen_x = last ? -1 : x + cell->width;
}

/* The ink of a cell that is of one colour all over; -1: of none. */
static int even_ink(const struct cell *cell, int x, int y)
{
    if (shows_tones(cell)) {
        int upper = tone_ink(cell->half[0], x, 2 * y);
        return upper == tone_ink(cell->half[1], x, 2 * y + 1) ? upper : -1;
    }
    if (cell->quarters > 0)
        return cell->quarters == WHOLE && is_plain(cell->role) && term.colours >= TERM_256
                   ? term.ink[cell->role]
                   : -1;
    return cell->text[0] == ' ' && is_plain(cell->role) ? term.paper : -1;
}

static bool is_due(const struct cell *line, const struct cell *shown, int x)
{
    return term.repaint || memcmp(&line[x], &shown[x], sizeof *line) != 0;
}

/* How many cells from one on are of its colour, up to the last of them that has changed. */
static int even_run(const struct cell *line, const struct cell *shown, int x, int y, int width)
{
    int ink = term.fills ? even_ink(&line[x], x, y) : -1, run = 0;

    for (int at = x; ink >= 0 && at < width && even_ink(&line[at], at, y) == ink; at++)
        if (is_due(line, shown, at))
            run = at + 1 - x;
    return run;
}

/* How many cells from one on are better erased than written; 0: none. The paper's are erased before
 * all others are drawn: then colours need not change between the two in each line of a large digit. */
static int erased(const struct cell *line, const struct cell *shown, int x, int y, bool paper_only)
{
    enum { ERASE = 5, GO_ON = 5 };
    int width = term.shown.width, run = even_run(line, shown, x, y, width);

    if (paper_only)
        return run > 1 && even_ink(&line[x], x, y) == term.paper ? run : 0;
    bool goes_on = x + run < width && is_due(line, shown, x + run);
    return run > ERASE + (goes_on ? GO_ON : 0) ? run : 0;
}

/* Draws the cells of a line that have changed, or only erases those of the paper's colour. */
static void put_changed_line(const struct canvas *canvas, int y, bool paper_only)
{
    size_t width = (size_t)canvas->width, first = (size_t)y * width;
    const struct cell *line = canvas->cell + first;
    struct cell *shown = term.shown.cell + first;

    if (!term.repaint && memcmp(line, shown, width * sizeof *line) == 0)
        return;
    for (int x = 0, role = ROLE_LABEL; x < canvas->width; x++) {
        if (!shows_tones(&line[x]))
            role = drawn_role(&line[x], role);
        if (!is_due(line, shown, x))
            continue;
        int run = erased(line, shown, x, y, paper_only);
        if (run > 0) {
            move_to(line, x, y);
            ink_blanks(even_ink(&line[x], x, y));
            (void)tputs(tiparm(terminal_says("ech"), run), 1, add_byte);
        } else if (!paper_only) {
            draw_cell(line, x, y, role);
            run = 1;
        } else {
            continue;
        }
        memcpy(&shown[x], &line[x], (size_t)run * sizeof *line);
        x += run - 1;
    }
}

/* A terminal that can tell pasted text from typed keys is asked to. */
static void take_screen(void)
{
    static const char *const in[] = {"smcup", "civis", "smkx", "BE"};

    for (size_t i = 0; i < sizeof in / sizeof *in; i++)
        add_capability(in[i]);
}

/* Nothing of what the terminal shows, or of how it would draw, is trusted. */
static void begin_whole(const struct canvas *canvas)
{
    add_capability("sgr0");
    add_capability("op");
    term.pen_x = term.pen_y = term.pen_role = term.pen_attributes = -1;
    if (canvas->width >= term.size.ws_col && canvas->height >= term.size.ws_row)
        return;
    /* The largest canvas is smaller than this window. */
    set_role(ROLE_LABEL);
    add_capability("clear");
}

/* A terminal whose modes somebody has set anew goes back to the first column, too. */
static const char *feed_of_terminal(void)
{
    struct termios modes;
    bool returns =
        tcgetattr(STDIN_FILENO, &modes) < 0 || (modes.c_oflag & OPOST && modes.c_oflag & ONLCR);

    return returns ? NULL : terminal_says("cud1");
}

static void draw(const struct canvas *canvas)
{
    term.feed = feed_of_terminal();
    if (!term.begun)
        take_screen();
    if (term.ring)
        add_capability("bel");
    if (term.repaint)
        begin_whole(canvas);
    for (int y = 0; y < canvas->height && !term.repaint; y++)
        put_changed_line(canvas, y, true);
    for (int y = 0; y < canvas->height; y++)
        put_changed_line(canvas, y, false);
}

void term_put(const struct canvas *canvas)
{
    struct canvas *shown = &term.shown;

    (void)outlet_send(&term.out);
    term.dropped = outlet_waiting(&term.out) > 0;
    if (term.dropped) {
        /* Slow is one thing; of one that stopped nothing is known. */
        term.repaint |= term.out.sent == term.sent_at_drop;
        term.sent_at_drop = term.out.sent;
        return;
    }
    term.sent_at_drop = 0;
    term.glyphs = canvas->glyphs;
    if (canvas->width != shown->width || canvas->height != shown->height) {
        if (canvas_resize(shown, canvas->width, canvas->height) < 0)
            return;
        term.repaint = true;
    }
    term.short_of_memory = false;
    draw(canvas);
    term.repaint = term.short_of_memory;
    if (term.short_of_memory) {
        outlet_forget(&term.out);
        return;
    }
    term.ring = false;
    term.begun = true;
    (void)outlet_send(&term.out);
}

int term_waiting_fd(void)
{
    return outlet_poll_fd(&term.out);
}

bool term_send(void)
{
    (void)outlet_on_writable(&term.out);
    return term.dropped && outlet_waiting(&term.out) == 0;
}

void term_redraw(void)
{
    term.repaint = true;
}

void term_bell(void)
{
    /* Without a bell nothing: flashing the screen would blind. */
    term.ring = true;
}

/* ---- keys ---- */

static bool input_is_gone(void)
{
    struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};
    int waiting = 0;

    if (poll(&in, 1, 0) < 1)
        return false;
    if (in.revents & (POLLHUP | POLLERR | POLLNVAL))
        return true;
    return ioctl(STDIN_FILENO, FIONREAD, &waiting) < 0 || waiting == 0;
}

static int special_key(wint_t code)
{
    static const struct {
        wint_t curses;
        int input;
    } keys[] = {
        {KEY_UP, INPUT_UP},         {KEY_DOWN, INPUT_DOWN},
        {KEY_LEFT, INPUT_LEFT},     {KEY_RIGHT, INPUT_RIGHT},
        {KEY_HOME, INPUT_HOME},     {KEY_END, INPUT_END},
        {KEY_PPAGE, INPUT_PAGE_UP}, {KEY_NPAGE, INPUT_PAGE_DOWN},
        {KEY_ENTER, INPUT_ENTER},   {KEY_BTAB, INPUT_TAB_BACK},
        {KEY_DC, INPUT_DELETE},     {KEY_BACKSPACE, INPUT_BACKSPACE},
        {KEY_PASTE, INPUT_PASTE},   {KEY_PASTE_END, INPUT_PASTE_END},
    };

    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        if (keys[i].curses == code)
            return keys[i].input;
    }
    return INPUT_NONE;
}

/* After an escape: a lone one is a key, one that opens a sequence which curses has not understood
 * is swallowed up to the sequence's final byte. */
static int after_escape(void)
{
    int next = wgetch(term.keys);

    if (next == '[' || next == 'O') {
        term.sequence_bytes = 1;
        term.sequence_until_s = outlet_now_s() + SEQUENCE_S;
        return INPUT_NONE;
    }
    if (next != ERR)
        (void)ungetch(next);
    return INPUT_ESCAPE;
}

static int character_key(int code)
{
    switch (code) {
    case 0x1b:
        return after_escape();
    case '\r':
    case '\n':
        return INPUT_ENTER;
    case '\t':
        return INPUT_TAB;
    case '\b':
    case 0x7f:
        return INPUT_BACKSPACE;
    case '\f':
        term_redraw();
        return INPUT_NONE;
    default:
        return code;
    }
}

/* A byte that does not belong to the character before it drops that one and is looked at itself. */
static int utf8_key(int byte)
{
    int32_t code_point;

    if ((byte & 0xc0) != 0x80)
        term.partial_count = 0;
    else if (term.partial_count == 0)
        return INPUT_NONE;
    term.partial[term.partial_count++] = (uint8_t)byte;
    if (utf8proc_utf8class[term.partial[0]] > term.partial_count)
        return INPUT_NONE;
    utf8proc_ssize_t length = utf8proc_iterate(term.partial, term.partial_count, &code_point);
    term.partial_count = 0;
    return length > 0 ? character_key(code_point) : INPUT_NONE;
}

/* True while a byte belongs to an escape sequence that was not understood. */
static bool is_swallowed(int byte)
{
    if (term.sequence_bytes == 0)
        return false;
    /* Control bytes do not belong to one. */
    if (outlet_now_s() > term.sequence_until_s || ++term.sequence_bytes > SEQUENCE_BYTES ||
        byte < 0x20) {
        term.sequence_bytes = 0;
        return false;
    }
    if (byte >= 0x40 && byte <= 0x7e)
        term.sequence_bytes = 0;
    return true;
}

int term_key(void)
{
    for (int i = 0; i < BYTES_AT_ONCE; i++) {
        int code = wgetch(term.keys), key;
        if (code == ERR)
            return input_is_gone() ? INPUT_GONE : INPUT_NONE;
        if (code > 0xff) {
            term.partial_count = term.sequence_bytes = 0;
            key = special_key((wint_t)code);
        } else {
            key = is_swallowed(code) ? INPUT_NONE : utf8_key(code);
        }
        if (key != INPUT_NONE)
            return key;
    }
    return INPUT_NONE;
}
