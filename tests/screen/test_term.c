/* The terminal, seen from its other end: a pseudo-terminal that reads every byte. This program runs
 * itself with the argument "show" as the one that draws. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include "../../src/screen/area.h"
#include "../../src/screen/colours.h"
#include <moonstand/fault.h>
#include <moonstand/palette.h>
#include <moonstand/terminal.h>

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>
#include <utmp.h>

/* ---- the drawing side ---- */

static volatile sig_atomic_t resized;
static void on_resize(int number)
{
    (void)number;
    resized = 1;
}

static void draw(struct canvas *canvas, const char *last, int keys)
{
    int width, height;
    term_size(&width, &height);
    if (canvas_resize(canvas, width, height) < 0)
        abort();
    struct area area = canvas_area(canvas);
    for (int role = 0; role < ROLE_COUNT; role++)
        area_print(area, 1, role, (enum role)role, "[%s]", role_name((enum role)role));
    area_print(area, 1, ROLE_COUNT, ROLE_VALUE, "%dx%d", width, height);
    area_print(area, 1, ROLE_COUNT + 1, ROLE_VALUE, "last <%s> of %d", last, keys);
    area_print(area, 1, ROLE_COUNT + 2, ROLE_VALUE, "colours %d", (int)term_colours());
    area_text(area, 1, ROLE_COUNT + 3, ROLE_VALUE, "\u6708\u98df e\u0301.");
    if (getenv("PICTURES")) {
        area_tone(area, 20, 0, 1);
        area_tone(area, 20, 1, 0.5);
        area_digits(area_part(area, 24, 0, 36, 10), 0, 0, 6, ROLE_STRONG, keys % 2 ? "9" : "8");
    }
    term_put(canvas);
}

/* Ends after the terminal has been given back, with the time that took in tenths of a second. */
static int stop_taking(struct canvas *canvas)
{
    struct timespec before, after;

    (void)clock_gettime(CLOCK_MONOTONIC, &before);
    term_close();
    (void)clock_gettime(CLOCK_MONOTONIC, &after);
    canvas_free(canvas);
    return 10 + (int)(10 * ((double)(after.tv_sec - before.tv_sec) +
                            (double)(after.tv_nsec - before.tv_nsec) / 1e9));
}

/* Shows the last key in hexadecimal and how many there were; some keys also do something. */
static int show(void)
{
    struct canvas canvas = {0};
    struct fault fault = {0};
    struct theme theme;
    const struct sigaction on_winch = {.sa_handler = on_resize};
    const struct sigaction ignored = {.sa_handler = SIG_IGN};
    char last[32] = "ready";
    int keys = 0;
    bool every_cell = false;

    (void)sigaction(SIGWINCH, &on_winch, NULL);
    (void)sigaction(SIGHUP, &ignored, NULL);
    (void)glyph_locale();
    if (term_open(&fault) < 0) {
        (void)printf("fault: %s\n", fault.text);
        (void)fflush(stdout);
        /* Curses keeps what a failed newterm has taken: no leak of ours. */
        _exit(3);
    }
    canvas.glyphs = getenv("PICTURES") ? GLYPHS_ASCII : term_glyphs();
    theme_default(&theme);
    draw(&canvas, last, keys);
    for (;;) {
        struct pollfd ends[] = {{.fd = term_fd(), .events = POLLIN},
                                {.fd = term_waiting_fd(), .events = POLLOUT}};
        (void)poll(ends, 2, -1);
        if (ends[1].revents && term_send())
            draw(&canvas, last, keys);
        if (resized) {
            /* Before the look at it, or a size that changes meanwhile would be lost. */
            resized = 0;
            if (term_resize())
                draw(&canvas, last, keys);
        }
        for (int key; (key = term_key()) != INPUT_NONE;) {
            if (key == INPUT_GONE)
                _exit(7);
            if (key == 'q') {
                term_close();
                canvas_free(&canvas);
                return 0;
            }
            if (key == 'f' || key == 'F')
                every_cell = key == 'f';
            if (every_cell)
                term_redraw();
            if (key == 't')
                return stop_taking(&canvas);
            if (key == 'd')
                term_theme(&theme, 1);
            if (key == 'e')
                (void)fputs("said aside\n", stderr);
            if (key == 'b')
                term_bell();
            if (key == 's')
                (void)raise(SIGSEGV);
            if (key == 'a')
                abort();
            (void)snprintf(last, sizeof last, "%x", (unsigned)key);
            draw(&canvas, last, ++keys);
        }
    }
}

/* ---- the other end ---- */

/* Room for all that one test is shown: hundreds of frames of every cell, if they are read as fast as
 * they are drawn. */
enum { SEEN = 1 << 22, PATIENCE_MS = 30000, TRIES = 10 };

static struct {
    pid_t pid;
    int fd, keeper; /* our end; the other end kept open, so that its modes outlive the child */
    struct termios before;
    char seen[SEEN + 1];
    size_t size;
    int reads; /* packets since the last forget() */
    int status;
} pty;

static const char *program;

static void start(const char *name, const char *const *extra)
{
    const struct winsize size = {.ws_row = 20, .ws_col = 60};
    memset(&pty, 0, sizeof pty);
    assert_int_equal(openpty(&pty.fd, &pty.keeper, NULL, NULL, &size), 0);
    assert_int_equal(tcgetattr(pty.keeper, &pty.before), 0);
    pty.pid = fork();
    if (pty.pid == 0) {
        (void)close(pty.fd);
        (void)login_tty(pty.keeper);
        char term[64];
        (void)snprintf(term, sizeof term, "TERM=%s", name);
        char *env[8] = {term, (char *)(intptr_t) "LC_ALL=C.UTF-8", (char *)(intptr_t) "LINES=7"};
        for (int i = 0; extra && extra[i]; i++)
            env[i + 3] = (char *)(intptr_t)extra[i];
        char *args[] = {(char *)(intptr_t)program, (char *)(intptr_t) "show", NULL};
        (void)execve(program, args, env);
        _exit(9);
    }
    assert_true(pty.pid > 0);
}

static double now_s(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static bool take(int wait_ms)
{
    struct pollfd in = {.fd = pty.fd, .events = POLLIN};
    if (poll(&in, 1, wait_ms) < 1)
        return false;
    assert_true(pty.size < SEEN);
    ssize_t got = read(pty.fd, pty.seen + pty.size, SEEN - pty.size);
    if (got <= 0)
        return false;
    pty.size += (size_t)got;
    pty.seen[pty.size] = '\0';
    pty.reads++;
    return true;
}

static void forget(void)
{
    while (take(30))
        continue;
    pty.size = 0;
    pty.seen[0] = '\0';
    pty.reads = 0;
}

static void await(const char *text)
{
    double until = now_s() + PATIENCE_MS / 1000.0;
    while (!strstr(pty.seen, text)) {
        if (now_s() > until)
            fail_msg("never saw \"%s\" in: %s", text, pty.seen);
        (void)take(100);
    }
}

static void type(const char *keys)
{
    assert_int_equal(write(pty.fd, keys, strlen(keys)), (ssize_t)strlen(keys));
}

/* Waits for the end of the child and reads what it still wrote. */
static void finish(void)
{
    double until = now_s() + PATIENCE_MS / 1000.0;
    while (waitpid(pty.pid, &pty.status, WNOHANG) == 0) {
        (void)take(20);
        if (now_s() > until) {
            (void)kill(pty.pid, SIGKILL);
            fail_msg("does not end");
        }
    }
    while (take(20))
        continue;
}

static void hang_up(void)
{
    (void)close(pty.keeper);
    (void)close(pty.fd);
}

static bool modes_are_back(void)
{
    struct termios now;
    assert_int_equal(tcgetattr(pty.keeper, &now), 0);
    return now.c_lflag == pty.before.c_lflag && now.c_iflag == pty.before.c_iflag &&
           now.c_oflag == pty.before.c_oflag;
}

/* The last of these in the output wins. */
static const char *last_of(const char *text)
{
    const char *last = NULL;
    for (const char *at = pty.seen; (at = strstr(at, text)); at++)
        last = at;
    return last;
}

static void assert_restored(void)
{
    const char *entered = last_of("\033[?1049h"), *left = last_of("\033[?1049l");
    const char *hidden = last_of("\033[?25l"), *shown = last_of("\033[?25h");
    const char *asked = last_of("\033[?2004h"), *freed = last_of("\033[?2004l"); /* marked pastes */
    assert_true(asked && freed && freed > asked);
    assert_true(entered && left && left > entered);
    assert_true(hidden && shown && shown > hidden);
    assert_true(modes_are_back());
}

/* ---- colours ---- */

/* One number of an SGR sequence and what follows it; fails on any colour with green or blue. */
static const char *check_colour(const char *at, bool *coloured)
{
    char *end;
    long code = strtol(at, &end, 10);
    if (code == 38 || code == 48) {
        *coloured = true;
        if (strncmp(end, ";5;", 3) == 0) {
            long entry = strtol(end + 3, &end, 10);
            assert_true(entry >= 16 && entry < 256);
            assert_int_equal(colour_of_256((int)entry) & 0xffff, 0);
        } else if (strncmp(end, ":2::", 4) == 0) {
            (void)strtol(end + 4, &end, 10);
            assert_memory_equal(end, ":0:0", 4);
            end += 4;
        } else {
            fail_msg("unknown colour: %.20s", at);
        }
    } else if ((code >= 30 && code <= 37) || (code >= 40 && code <= 47)) {
        *coloured = true;
        assert_true(code == 31 || code == 40 || code == 30 || code == 41);
    } else {
        assert_true(code < 30 || code == 39 || code == 49);
    }
    return end;
}

/* Looks at every SGR sequence that has come; true where there was a colour. */
static bool check_all_colours(void)
{
    bool coloured = false;
    for (const char *at = pty.seen; (at = strstr(at, "\033[")); at++) {
        const char *end = at + 2 + strspn(at + 2, "0123456789;:");
        if (*end != 'm')
            continue;
        for (const char *p = at + 2; p < end;) {
            p = check_colour(p, &coloured);
            assert_true(p == end || *p == ';');
            p += *p == ';';
        }
    }
    return coloured;
}

/* `ink`: how the strongest red of the dimmed theme, #af0000, is written there; "": no colour is. */
static void red_stays_red(const char *name, const char *const *extra, const char *colours,
                          const char *ink)
{
    char text[32];
    start(name, extra);
    await("ready");
    type("d");
    await("64");
    (void)snprintf(text, sizeof text, "colours %s", colours);
    await(text);
    type("q");
    finish();
    assert_true(WIFEXITED(pty.status) && WEXITSTATUS(pty.status) == 0);
    assert_true(modes_are_back());
    assert_int_equal(check_all_colours(), *ink != '\0');
    assert_non_null(strstr(pty.seen, ink));
    hang_up();
}

static void red_on_256(void **state)
{
    (void)state;
    red_stays_red("xterm-256color", NULL, "2", "38;5;124m");
    red_stays_red("tmux-256color", NULL, "2", "38;5;124m");
}

static void red_on_8(void **state)
{
    (void)state;
    red_stays_red("xterm", NULL, "1", "31m");
}

/* The entry that ncurses has for such terminals: below 8 the palette, above RGB. */
static const char direct_entry[] =
    "direct-test|test of direct colour,\n"
    "\tRGB, colors#0x1000000, pairs#0x7FFF, op=\\E[39;49m,\n"
    "\tsetab=\\E[%?%p1%{8}%<%t4%p1%d%e48:2::%p1%{65536}%/%d:%p1%{256}%/%{255}%&%d:"
    "%p1%{255}%&%d%;m,\n"
    "\tsetaf=\\E[%?%p1%{8}%<%t3%p1%d%e38:2::%p1%{65536}%/%d:%p1%{256}%/%{255}%&%d:"
    "%p1%{255}%&%d%;m,\n"
    "\tsetb@, setf@, initc@, ccc@, use=xterm-256color,\n";

static void run_to_end(const char *command, const char *input)
{
    FILE *shell = popen(command, "w");

    assert_non_null(shell);
    assert_true(fputs(input, shell) >= 0);
    assert_int_equal(pclose(shell), 0);
}

/* Under a terminal of an entry of our own. */
static void with_entry(const char *entry, void (*use)(const char *const *extra))
{
    char folder[] = P_tmpdir "/moonstand-terminfo-XXXXXX", command[128], variable[128];
    const char *const extra[] = {variable, NULL};

    assert_non_null(mkdtemp(folder));
    (void)snprintf(command, sizeof command, "tic -x -o %s - 2>/dev/null", folder);
    run_to_end(command, entry);
    (void)snprintf(variable, sizeof variable, "TERMINFO=%s", folder);
    use(extra);
    (void)snprintf(command, sizeof command, "rm -r %s", folder);
    run_to_end(command, "");
}

static void use_direct(const char *const *extra)
{
    red_stays_red("direct-test", extra, "3", "38:2::175:0:0m");
}

static void red_on_direct(void **state)
{
    (void)state;
    with_entry(direct_entry, use_direct);
}

/* How often an attribute is switched on: 1 bold, 2 dim, 4 underline, 7 reverse (ECMA-48). */
static int times_on(int attribute)
{
    char sequence[16];
    int times = 0;

    (void)snprintf(sequence, sizeof sequence, "\033[%dm", attribute);
    for (const char *at = pty.seen; (at = strstr(at, sequence)) != NULL; at++)
        times++;
    return times;
}

static void use_without_colours(const char *const *extra)
{
    start("ncv-4", extra);
    await("ready");
    assert_true(times_on(4) > 0 && times_on(1) > 0 && times_on(7) == 0);
    type("q");
    finish();
    hang_up();
    start("ncv-34", extra);
    await("ready");
    assert_true(times_on(4) == 0 && times_on(1) == 0 && times_on(7) > 0);
    type("q");
    finish();
    hang_up();
}

/* What a terminal cannot show together with colours (terminfo(5), no_color_video) is left out, and nothing
 * else. */
static void only_what_goes_with_colours(void **state)
{
    (void)state;
    with_entry("ncv-4|no reverse with colours,\n\tncv#4, use=xterm-256color,\n"
               "ncv-34|no underline or bold with colours,\n\tncv#34, use=xterm-256color,\n",
               use_without_colours);
}

static void no_colour_at_all(void **state)
{
    static const char *const no_color[] = {"NO_COLOR=1", NULL};

    (void)state;
    red_stays_red("vt100", NULL, "0", "");
    red_stays_red("xterm-256color", no_color, "0", "");
    /* The roles are still told apart: an alarm is reversed, what is due underlined. */
    start("xterm-256color", no_color);
    await("ready");
    assert_non_null(strstr(pty.seen, "4m[due]"));
    assert_non_null(strstr(pty.seen, "7m[alarm]"));
    type("q");
    finish();
    hang_up();
}

/* ---- frames, sizes, keys ---- */

static void quit(void)
{
    type("q");
    finish();
    assert_true(WIFEXITED(pty.status) && WEXITSTATUS(pty.status) == 0);
    hang_up();
}

static void a_frame_is_small_and_whole(void **state)
{
    (void)state;
    start("xterm-256color", NULL);
    await("\u98df e\u0301.");
    forget();
    type("x");
    await("78");
    forget();
    type("y");
    await("9");
    while (take(50))
        continue;
    assert_int_equal(pty.reads, 1);
    assert_true(pty.size < 100);
    quit();
}

static void repaints_on_request_without_a_flash(void **state)
{
    (void)state;
    start("xterm-256color", NULL);
    await("\u98df e\u0301.");
    type("x");
    await("78");
    forget();
    type("\f");
    assert_false(take(100));
    type("z");
    await("\u98df e\u0301.");
    assert_non_null(strstr(pty.seen, "[label]"));
    assert_null(strstr(pty.seen, "\033[2J"));
    forget();
    type("b");
    await("\a");
    quit();
}

static void follows_the_size(void **state)
{
    static const struct winsize sizes[] = {{14, 60, 0, 0},  {2, 3, 0, 0},     {1, 1, 0, 0},
                                           {60, 200, 0, 0}, {300, 700, 0, 0}, {20, 60, 0, 0}};
    (void)state;
    start("xterm-256color", NULL);
    await("60x20");
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        char text[32];
        forget();
        assert_int_equal(ioctl(pty.fd, TIOCSWINSZ, &sizes[i]), 0);
        (void)snprintf(text, sizeof text, "%dx%d", sizes[i].ws_col, sizes[i].ws_row);
        await(sizes[i].ws_row > ROLE_COUNT ? text : "\033[");
    }
    quit();
}

static void keys_are_decoded(void **state)
{
    static const struct {
        const char *bytes;
        int code;
    } keys[] = {
        {"\033OA", INPUT_UP},
        {"\033OB", INPUT_DOWN},
        {"\033OD", INPUT_LEFT},
        {"\033OC", INPUT_RIGHT},
        {"\033OH", INPUT_HOME},
        {"\033OF", INPUT_END},
        {"\033[5~", INPUT_PAGE_UP},
        {"\033[6~", INPUT_PAGE_DOWN},
        {"\r", INPUT_ENTER},
        {"\033", INPUT_ESCAPE},
        {"\t", INPUT_TAB},
        {"\033[Z", INPUT_TAB_BACK},
        {"\177", INPUT_BACKSPACE},
        {"\033[3~", INPUT_DELETE},
        {"\033[200~", INPUT_PASTE},
        {"\033[201~", INPUT_PASTE_END},
        {"\u00e9", 0xe9},
        {"\u6708", 0x6708},
        {"\023", 0x13},
        {"K", 'K'},
        /* Not understood: swallowed whole, and only the letter after it counts. */
        {"\033[1;5Pm", 'm'},
        {"\033[298~n", 'n'},
        {"\033[97;5uo", 'o'},
        /* A control byte ends one, and is a key. */
        {"\033[97;5\t", INPUT_TAB},
        {"\003", 3},
        {"\034", 0x1c},
        {"\032", 0x1a},
        /* Bytes that are no UTF-8 are dropped, and only they. */
        {"\351g", 'g'},
        {"\303(", '('},
        {"\342\202h", 'h'},
        {"\370\210\200\200\200i", 'i'},
        {"\300\257j", 'j'},
        {"\355\240\200k", 'k'},
        {"\364\220\200\200l", 'l'},
        {"\200\377m", 'm'},
        {"\342\202\303\251", 0xe9},
    };
    (void)state;
    start("xterm-256color", NULL);
    await("ready");
    type("f");
    int count = 1;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        double took_s = 1;
        /* A busy machine is slow now and then, a key that waits for something is always. */
        for (int try = 0; try < TRIES && took_s >= 0.5; try++) {
            char text[32];
            forget();
            double typed_s = now_s();
            type(keys[i].bytes);
            (void)snprintf(text, sizeof text, "<%x> of %d", (unsigned)keys[i].code, ++count);
            await(text);
            took_s = now_s() - typed_s;
        }
        assert_true(took_s < 0.5);
    }
    quit();
}

/* A character that comes in pieces is one. */
static void a_key_in_pieces(void **state)
{
    (void)state;
    start("xterm-256color", NULL);
    await("ready");
    type("f\342");
    await("66");
    type("\202");
    (void)take(100);
    type("\254");
    await("<20ac> of 2");
    quit();
}

/* Types a sequence in two pieces; true if no key came of the second. */
static bool late_rest_is_no_key(void)
{
    start("xterm-256color", NULL);
    await("ready");
    type("f\033[12");
    await("66");
    (void)take(60);
    type("3~z");
    await("<7a> of ");
    return last_of("<7a> of 2") != NULL;
}

/* The rest of a sequence that is late is no key, and one that never ends holds back no key for
 * long. */
static void an_unfinished_sequence_is_dropped(void **state)
{
    int tries = 1;

    (void)state;
    /* On a busy machine the rest can come later than it is waited for. */
    while (!late_rest_is_no_key()) {
        assert_true(tries++ < TRIES);
        quit();
    }
    type("\033[1;");
    while (take(400))
        continue;
    type("y");
    await("<79> of 3");
    char endless[512];
    memset(endless, '1', sizeof endless);
    memcpy(endless, "\033[", 2);
    endless[sizeof endless - 2] = 'x';
    endless[sizeof endless - 1] = '\0';
    type(endless);
    await("<78> of ");
    quit();
}

/* ---- a terminal that does not read ---- */

static bool ends_within(double seconds)
{
    const struct timespec pause = {.tv_nsec = 10000000};
    double until = now_s() + seconds;

    while (waitpid(pty.pid, &pty.status, WNOHANG) == 0) {
        if (now_s() > until) {
            (void)kill(pty.pid, SIGKILL);
            (void)waitpid(pty.pid, &pty.status, 0);
            return false;
        }
        (void)nanosleep(&pause, NULL);
    }
    return true;
}

/* Frames of every cell, more than any buffer of the kernel holds. */
static void stall(void)
{
    const struct winsize large = {.ws_row = 100, .ws_col = 300};

    start("xterm-256color", NULL);
    await("ready");
    assert_int_equal(ioctl(pty.fd, TIOCSWINSZ, &large), 0);
    type("f");
    await("300x100");
    for (int i = 0; i < 60; i++)
        type("x");
}

static void keys_go_on_while_it_does_not_read(void **state)
{
    (void)state;
    stall();
    type("t");
    assert_true(ends_within(PATIENCE_MS / 1000.0));
    assert_true(WIFEXITED(pty.status));
    /* One second for what waits, and not much more. */
    assert_in_range(WEXITSTATUS(pty.status), 10, 40);
    assert_true(modes_are_back());
    /* The way out has been written, whatever became of the frames. */
    pty.size = 0;
    while (take(50))
        continue;
    assert_non_null(last_of("\033[?1049l"));
    hang_up();
}

static void a_crash_does_not_wait_for_it(void **state)
{
    (void)state;
    stall();
    type("s");
    assert_true(ends_within(PATIENCE_MS / 1000.0));
    assert_true(WIFSIGNALED(pty.status) && WTERMSIG(pty.status) == SIGSEGV);
    assert_true(modes_are_back());
    hang_up();
}

static void the_first_frame_after_is_whole(void **state)
{
    (void)state;
    stall();
    type("Fy");
    /* All keys are taken before anything is read: a frame that goes earlier is not the last. */
    double until = now_s() + PATIENCE_MS / 1000.0;
    for (int left = 1; left > 0; (void)poll(NULL, 0, 100)) {
        assert_int_equal(ioctl(pty.keeper, FIONREAD, &left), 0);
        assert_true(now_s() < until);
    }
    pty.size = 0;
    await("<79> of 63");
    while (take(50))
        continue;
    /* Of frames that could not go nothing is seen, and the last is drawn from its first cell on. */
    assert_null(strstr(pty.seen, " of 40"));
    const char *whole = last_of("[label]");
    assert_non_null(whole);
    assert_non_null(strstr(whole, "<79> of 63"));
    quit();
}

/* ---- manners at the end ---- */

static void the_terminal_comes_back(void **state)
{
    static const struct {
        const char *keys;
        int signal; /* sent from outside; 0: the keys do it */
        int dies_of;
    } ends[] = {
        {"eq", 0, 0},          {"es", 0, SIGSEGV},    {"ea", 0, SIGABRT},   {"e", SIGQUIT, SIGQUIT},
        {"e", SIGFPE, SIGFPE}, {"e", SIGBUS, SIGBUS}, {"e", SIGILL, SIGILL}};
    (void)state;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        start("xterm-256color", NULL);
        await("ready");
        assert_false(modes_are_back());
        type(ends[i].keys);
        if (ends[i].signal) {
            await("65");
            assert_int_equal(kill(pty.pid, ends[i].signal), 0);
        }
        finish();
        if (ends[i].dies_of)
            assert_true(WIFSIGNALED(pty.status) && WTERMSIG(pty.status) == ends[i].dies_of);
        else
            assert_true(WIFEXITED(pty.status) && WEXITSTATUS(pty.status) == 0);
        assert_restored();
        /* What went to standard error meanwhile comes after the screen is back. */
        const char *aside = strstr(pty.seen, "said aside");
        assert_true(aside && aside > last_of("\033[?1049l"));
        hang_up();
    }
}

static void a_lost_terminal_is_noticed(void **state)
{
    (void)state;
    start("xterm-256color", NULL);
    await("ready");
    hang_up();
    assert_true(ends_within(PATIENCE_MS / 1000.0));
    assert_true(WIFEXITED(pty.status) && WEXITSTATUS(pty.status) == 7);
}

static void useless_terminals_are_refused(void **state)
{
    static const char *const names[] = {"nosuch", "", "dumb"};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        start(names[i], NULL);
        finish();
        assert_true(WIFEXITED(pty.status) && WEXITSTATUS(pty.status) == 3);
        assert_non_null(strstr(pty.seen, "fault: TERM is"));
        assert_non_null(strstr(pty.seen, "TERM=xterm"));
        assert_true(modes_are_back());
        hang_up();
    }
}

static void no_terminal_at_all(void **state)
{
    struct fault fault = {0};
    int input = dup(STDIN_FILENO), nothing = open("/dev/null", O_RDWR);

    (void)state;
    assert_true(input >= 0 && nothing >= 0);
    (void)dup2(nothing, STDIN_FILENO);
    int result = term_open(&fault);
    (void)dup2(input, STDIN_FILENO);
    (void)close(input);
    (void)close(nothing);
    assert_int_equal(result, -1);
    assert_non_null(strstr(fault.text, "must be a terminal"));
    term_close();
}

static void ascii_where_the_locale_is_not_utf8(void **state)
{
    static const char *const plain[] = {"LC_ALL=POSIX", NULL};

    (void)state;
    /* The C library here offers C.UTF-8, so even the POSIX locale is lifted. */
    start("xterm-256color", plain);
    await("\u6708");
    quit();
    start("linux", NULL);
    await("?? e.");
    quit();
}

/* Who asks for ASCII has a font without blocks, whatever the locale says: pictures and digits make do
 * with characters and with solid ground. */
static void ascii_on_request_has_no_blocks(void **state)
{
    static const char *const pictures[] = {"PICTURES=1", NULL};

    (void)state;
    start("xterm-256color", pictures);
    await("?? e.");
    type("x");
    await("78");
    quit();
    for (size_t i = 0; i < pty.size; i++)
        assert_true((unsigned char)pty.seen[i] < 0x80);
    assert_null(strstr(pty.seen, "##"));
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(red_on_256),
        cmocka_unit_test(red_on_8),
        cmocka_unit_test(red_on_direct),
        cmocka_unit_test(only_what_goes_with_colours),
        cmocka_unit_test(no_colour_at_all),
        cmocka_unit_test(a_frame_is_small_and_whole),
        cmocka_unit_test(repaints_on_request_without_a_flash),
        cmocka_unit_test(follows_the_size),
        cmocka_unit_test(keys_are_decoded),
        cmocka_unit_test(a_key_in_pieces),
        cmocka_unit_test(an_unfinished_sequence_is_dropped),
        cmocka_unit_test(keys_go_on_while_it_does_not_read),
        cmocka_unit_test(a_crash_does_not_wait_for_it),
        cmocka_unit_test(the_first_frame_after_is_whole),
        cmocka_unit_test(the_terminal_comes_back),
        cmocka_unit_test(a_lost_terminal_is_noticed),
        cmocka_unit_test(useless_terminals_are_refused),
        cmocka_unit_test(no_terminal_at_all),
        cmocka_unit_test(ascii_where_the_locale_is_not_utf8),
        cmocka_unit_test(ascii_on_request_has_no_blocks),
    };
    program = argv[0];
    if (argc > 1 && strcmp(argv[1], "show") == 0)
        return show();
    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
