/* The only file that knows curses. It draws what has changed of a canvas, turns roles into what the
 * terminal can show, decodes keys, and gives the terminal back whatever happens. */
#include <moonstand/screen.h>

/* After our own header, since curses defines short common names. */
#include <curses.h>
#include <fcntl.h>
#include <langinfo.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <termios.h>
#include <unistd.h>
#include <utf8proc.h>

static const int crash_signals[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGQUIT};
enum { CRASH_SIGNALS = sizeof crash_signals / sizeof *crash_signals };

/* Keys of ours, past those of curses: the marks around pasted text. */
enum { KEY_PASTE = KEY_MAX + 1, KEY_PASTE_END };

/* Curses is one per process, and so is this. */
static struct {
    SCREEN *screen; /* null: not open */
    WINDOW *keys;   /* a pad: reading keys from it does not refresh the screen */
    enum term_colours colours;
    enum glyph_set glyphs;
    struct theme theme;
    int step;
    struct canvas shown; /* what the terminal has */
    bool repaint;        /* draw every cell */
    bool garbled;        /* and do not trust what curses believes to be there */

    /* for the way back, also from a crash */
    struct termios modes_before;
    char restore[256];
    size_t restore_size;
    int errors_before, errors_file; /* descriptors; -1: standard error is left alone */
    struct sigaction action_before[CRASH_SIGNALS];
} term = {.errors_before = -1, .errors_file = -1};

/* ---- the way back ---- */

/* Writes all of it; only async-signal-safe calls. */
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
    term.errors_before = term.errors_file = -1;
    if (!isatty(STDERR_FILENO))
        return;
    term.errors_file = memfd_create("errors", MFD_CLOEXEC);
    if (term.errors_file < 0)
        return;
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
    write_all(STDOUT_FILENO, term.restore, term.restore_size);
    (void)tcsetattr(STDIN_FILENO, TCSANOW, &term.modes_before);
    errors_release();
    (void)raise(number);
}

/* What the terminal's description says; NULL where it says nothing (curses' -1: not a text). */
static const char *terminal_says(const char *capability)
{
    const char *text = tigetstr(capability);

    return (intptr_t)text == -1 ? NULL : text;
}

static void restore_add(const char *capability)
{
    const char *text = terminal_says(capability);

    if (!text)
        return;
    while (*text && term.restore_size < sizeof term.restore) {
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

    term.restore_size = 0;
    restore_add("sgr0");
    restore_add("op");
    restore_add("BD");
    restore_add("rmkx");
    restore_add("cnorm");
    restore_add("rmcup");
    (void)sigaltstack(&own_stack, NULL);
    (void)sigemptyset(&action.sa_mask);
    for (int i = 0; i < CRASH_SIGNALS; i++)
        (void)sigaction(crash_signals[i], &action, &term.action_before[i]);
}

static void crash_forget(void)
{
    for (int i = 0; i < CRASH_SIGNALS; i++)
        (void)sigaction(crash_signals[i], &term.action_before[i], NULL);
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

static short pair_of(int role)
{
    return (short)(term.colours == TERM_MONO ? 0 : role + 1);
}

void term_theme(const struct theme *theme, int step)
{
    term.theme = *theme;
    term.step = step;
    term.repaint = true;
    if (term.colours == TERM_MONO)
        return;
    uint32_t background = theme->background[step];
    /* Also what curses uses between cells and for clearing: no grey of the terminal's own. */
    (void)assume_default_colors(lowered(theme->look[step][ROLE_LABEL].rgb, background),
                                lowered(background, background));
    for (int role = 0; role < ROLE_COUNT; role++)
        (void)init_extended_pair(pair_of(role), lowered(theme->look[step][role].rgb, background),
                                 lowered(background, background));
}

static attr_t attributes(int role)
{
    const struct look *look = &term.theme.look[term.step][role];
    /* With eight colours brightness is bold, plain or dim: one less of it at the dim step, but an
     * alarm is never dimmed. */
    bool dim = term.colours == TERM_BASIC && term.step > 0 && role != ROLE_ALARM;
    attr_t brightness = look->bold ? (dim ? A_NORMAL : A_BOLD) : (dim ? A_DIM : A_NORMAL);

    return (look->reverse ? A_REVERSE : 0) | (look->underline ? A_UNDERLINE : 0) | brightness;
}

static void prepare_repaint(void)
{
    cchar_t blank;

    (void)setcchar(&blank, L" ", A_NORMAL, pair_of(ROLE_LABEL), NULL);
    (void)bkgrnd(&blank);
    (void)erase();
    if (term.garbled)
        (void)redrawwin(stdscr);
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

static enum glyph_set decide_glyphs(const char *name)
{
    /* The Linux console's font has no braille. */
    bool console = name && strncmp(name, "linux", 5) == 0;

    return strcmp(nl_langinfo(CODESET), "UTF-8") != 0 || console ? GLYPHS_ASCII : GLYPHS_UTF8;
}

/* Keys one by one, unechoed. Flow control off, as an accidental Ctrl-S would freeze the alarms; the
 * mode is curses' own from then on. */
static int set_modes(void)
{
    struct termios modes;

    if (cbreak() == ERR || noecho() == ERR || nonl() == ERR || tcgetattr(STDIN_FILENO, &modes) < 0)
        return -1;
    modes.c_iflag &= ~(tcflag_t)IXON;
    if (tcsetattr(STDIN_FILENO, TCSANOW, &modes) < 0 || def_prog_mode() == ERR)
        return -1;
    (void)typeahead(-1);
    (void)curs_set(0);
    if (!getenv("ESCDELAY"))
        (void)set_escdelay(25);
    term.keys = newpad(1, 1);
    if (!term.keys || keypad(term.keys, TRUE) == ERR || nodelay(term.keys, TRUE) == ERR)
        return -1;
    return 0;
}

/* A terminal that can tell pasted text from typed keys is asked to. */
static void mark_pastes(void)
{
    const char *begin = terminal_says("PS"), *end = terminal_says("PE");
    const char *ask = terminal_says("BE"), *stop = terminal_says("BD");

    if (!begin || !end || !ask || !stop)
        return;
    (void)define_key(begin, KEY_PASTE);
    (void)define_key(end, KEY_PASTE_END);
    write_all(STDOUT_FILENO, ask, strlen(ask));
}

static void leave_curses(void)
{
    const char *stop = terminal_says("BD");

    if (stop)
        write_all(STDOUT_FILENO, stop, strlen(stop));
    (void)endwin();
    if (term.keys)
        (void)delwin(term.keys);
    term.keys = NULL;
    delscreen(term.screen);
    term.screen = NULL;
}

int term_open(struct fault *fault)
{
    const char *name = getenv("TERM");

    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO) ||
        tcgetattr(STDIN_FILENO, &term.modes_before) < 0)
        return fault_set(fault, "standard input and output must be a terminal for the dashboard");
    /* In the environment they would win over the window's real size. */
    (void)unsetenv("LINES");
    (void)unsetenv("COLUMNS");
    term.screen = newterm(NULL, stdout, stdin);
    if (!term.screen)
        return fault_set(fault,
                         "TERM is \"%s\": this machine does not know such a terminal; "
                         "try TERM=xterm",
                         name ? name : "");
    if (!terminal_says("cup")) {
        leave_curses();
        return fault_set(fault, "TERM is \"%s\": such a terminal cannot place text; try TERM=xterm",
                         name ? name : "");
    }
    if (set_modes() < 0) {
        leave_curses();
        return fault_set(fault, "the terminal refuses to be set to single keys");
    }
    mark_pastes();
    term.colours = decide_colours();
    term.glyphs = decide_glyphs(name);
    theme_default(&term.theme);
    term_theme(&term.theme, 0);
    prepare_repaint();
    /* Once through leaving and coming back: until then curses flushes after every move of the
     * cursor, from then on a frame is one write. */
    (void)endwin();
    (void)refresh();
    crash_prepare();
    errors_collect();
    return 0;
}

void term_close(void)
{
    if (!term.screen)
        return;
    /* A multiplexer whose window has grown meanwhile would leave lines of the last frame behind. */
    (void)erase();
    (void)refresh();
    leave_curses();
    (void)tcsetattr(STDIN_FILENO, TCSADRAIN, &term.modes_before);
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
    getmaxyx(stdscr, *height, *width);
}

bool term_resize(void)
{
    struct winsize size;

    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) < 0 || size.ws_row == 0 || size.ws_col == 0 ||
        !is_term_resized(size.ws_row, size.ws_col))
        return false;
    (void)resizeterm(size.ws_row, size.ws_col);
    term.repaint = true;
    return true;
}

/* ---- drawing ---- */

static bool is_writable(void)
{
    struct pollfd out = {.fd = STDOUT_FILENO, .events = POLLOUT};

    return poll(&out, 1, 0) == 1 && (out.revents & POLLOUT) != 0;
}

/* The cell's characters; one that the C library counts otherwise than we do would shift the rest of
 * the line, so it becomes '?'. */
static void wide_text(const struct cell *cell, wchar_t out[CCHARW_MAX + 1])
{
    const uint8_t *text = (const uint8_t *)cell->text;
    int count = 0;

    while (*text && count < CCHARW_MAX) {
        int32_t code_point;
        text += utf8proc_iterate(text, -1, &code_point);
        out[count++] = (wchar_t)code_point;
    }
    if (count == 0 || wcwidth(out[0]) != cell->width) {
        out[0] = L'?';
        count = 1;
    }
    out[count] = L'\0';
}

/* A blank looks the same in every role that is neither reversed nor underlined. Taking that of the
 * text before it saves most changes of colour, and they are most of a frame's bytes. */
static int drawn_role(const struct cell *cell, int before)
{
    const struct look *looks = term.theme.look[term.step];
    const struct look *own = &looks[cell->role], *other = &looks[before];
    bool same = cell->text[0] == ' ' && !own->reverse && !own->underline && !other->reverse &&
                !other->underline;

    return same ? before : cell->role;
}

static void draw_cell(int x, int y, const struct cell *cell, int role)
{
    wchar_t text[CCHARW_MAX + 1];
    cchar_t drawn;

    if (cell->width == 0)
        return;
    wide_text(cell, text);
    (void)setcchar(&drawn, text, attributes(role), pair_of(role), NULL);
    (void)mvadd_wch(y, x, &drawn);
}

/* Draws the cells of a line that have changed. */
static void put_line(const struct canvas *canvas, int y)
{
    size_t width = (size_t)canvas->width, first = (size_t)y * width;
    const struct cell *line = canvas->cell + first;
    struct cell *shown = term.shown.cell + first;

    if (!term.repaint && memcmp(line, shown, width * sizeof *line) == 0)
        return;
    for (int x = 0, role = ROLE_LABEL; x < canvas->width; x++) {
        role = drawn_role(&line[x], role);
        if (!term.repaint && memcmp(&line[x], &shown[x], sizeof *line) == 0)
            continue;
        draw_cell(x, y, &line[x], role);
        shown[x] = line[x];
    }
}

void term_put(const struct canvas *canvas)
{
    struct canvas *shown = &term.shown;

    if (!is_writable())
        return;
    if (canvas->width != shown->width || canvas->height != shown->height) {
        if (canvas_resize(shown, canvas->width, canvas->height) < 0)
            return;
        term.repaint = true;
    }
    if (term.repaint)
        prepare_repaint();
    for (int y = 0; y < canvas->height; y++)
        put_line(canvas, y);
    term.repaint = term.garbled = false;
    (void)wnoutrefresh(stdscr);
    (void)doupdate();
}

void term_redraw(void)
{
    term.repaint = term.garbled = true;
}

void term_bell(void)
{
    /* Without a bell curses would flash the screen, which blinds. */
    if (terminal_says("bel") && is_writable())
        (void)beep();
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
    wint_t next;

    if (wget_wch(term.keys, &next) != OK)
        return INPUT_ESCAPE;
    if (next != L'[' && next != L'O') {
        (void)unget_wch((wchar_t)next);
        return INPUT_ESCAPE;
    }
    while (wget_wch(term.keys, &next) == OK && (next < 0x40 || next > 0x7e))
        continue;
    return INPUT_NONE;
}

static int character_key(wint_t code)
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
        /* The C library takes sequences past Unicode's end; special keys have those numbers. */
        return code < INPUT_UP ? (int)code : INPUT_NONE;
    }
}

int term_key(void)
{
    for (;;) {
        wint_t code = 0;
        int result = wget_wch(term.keys, &code);
        if (result == ERR)
            return input_is_gone() ? INPUT_GONE : INPUT_NONE;
        int key = result == KEY_CODE_YES ? special_key(code) : character_key(code);
        if (key != INPUT_NONE)
            return key;
    }
}
