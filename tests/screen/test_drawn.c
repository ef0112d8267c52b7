/* What a terminal shows after frame upon frame, against what each frame has in its cells. This program runs
 * itself with the argument "show" as the one that draws; the parent is the terminal: it keeps the colours
 * and attributes of every cell by the sequences that it reads (ECMA-48, and xterm's for 256 colours and
 * RGB). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/screen/area.h"
#include "../../src/screen/colours.h"
#include <moonstand/fault.h>
#include <moonstand/palette.h>
#include <moonstand/terminal.h>

#include <poll.h>
#include <pty.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include <utmp.h>

enum { COLUMNS = 60, LINES = 12, FRAMES = 60, PATIENCE_MS = 30000 };
/* Behind each frame, by the test itself. */
#define FRAME_END "\005"

/* ---- the frames, the same on both sides ---- */

static unsigned chance;

static int any(int below)
{
    chance = chance * 1103515245u + 12345u;
    return (int)((chance >> 16) % (unsigned)below);
}

/* Something drawn over what is there. */
static void scribble(struct area area)
{
    static const char *const words[] = {"aim",     " ",          "   ",    "\u6708\u98df",
                                        "e\u0301", "U2 in 4:07", "\u25b8", "------------"};
    int x = any(area.width + 4) - 2, y = any(area.height);
    enum role role = (enum role)any(ROLE_COUNT);

    switch (any(7)) {
    case 0:
        for (int i = 0; i < 12; i++)
            area_quarter(area, 2 * x + i % 5, 2 * y + i / 5, role);
        break;
    case 1:
        for (int i = 0; i < 14; i++)
            area_tone(area, x + i % 7, 2 * y + i / 7, any(3) ? any(256) / 255.0 : 0.5);
        break;
    case 2:
        area_dot(area, 2 * x, 4 * y, role);
        break;
    case 3:
        area_fill(area_part(area, x < 0 ? 0 : x, y, 1 + any(20), 1 + any(2)), role);
        break;
    default:
        (void)area_text(area, x, y, role, words[any((int)(sizeof words / sizeof *words))]);
    }
}

/* Some are whole, some change little, some not at all. */
static void next_frame(struct canvas *canvas, int number)
{
    struct area area;

    if (number % 20 == 0)
        assert_int_equal(canvas_resize(canvas, COLUMNS, LINES), 0);
    area = canvas_area(canvas);
    for (int i = number % 20 == 0 ? 80 : any(6); i > 0; i--)
        scribble(area);
}

/* The dimmed step half of the time, the alarm reversed in the theme of the program. */
static int step_of(int number)
{
    return number / 15 % 2;
}

/* ---- the drawing side ---- */

/* As when another program sets the modes of this terminal: a line feed then returns, too. */
static void feeds_return(bool they_do)
{
    struct termios modes;

    assert_int_equal(tcgetattr(STDIN_FILENO, &modes), 0);
    if (they_do)
        modes.c_oflag |= OPOST | ONLCR;
    else
        modes.c_oflag &= ~(tcflag_t)ONLCR;
    assert_int_equal(tcsetattr(STDIN_FILENO, TCSANOW, &modes), 0);
}

static int show(void)
{
    struct canvas canvas = {0};
    struct fault fault = {0};
    struct theme theme;

    (void)glyph_locale();
    if (term_open(&fault) < 0)
        _exit(3);
    canvas.glyphs = term_glyphs();
    theme_default(&theme);
    for (int number = 0; number < FRAMES; number++) {
        struct pollfd in = {.fd = term_fd(), .events = POLLIN};

        if (number % 15 == 0)
            term_theme(&theme, step_of(number));
        if (number % 7 == 3)
            term_redraw();
        if (number % 20 == 10)
            feeds_return(number == 30);
        next_frame(&canvas, number);
        term_put(&canvas);
        while (term_waiting_fd() >= 0) {
            struct pollfd out = {.fd = term_waiting_fd(), .events = POLLOUT};

            (void)poll(&out, 1, -1);
            (void)term_send();
        }
        assert_int_equal(write(STDOUT_FILENO, FRAME_END, 1), 1);
        (void)poll(&in, 1, -1);
        while (term_key() != INPUT_NONE)
            continue;
    }
    term_close();
    canvas_free(&canvas);
    return 0;
}

/* ---- the terminal ---- */

/* Entries of the 256 colours, or RGB with this bit; -1: the terminal's own. */
enum { RGB_BIT = 1 << 25 };
struct pen {
    int ink[2]; /* of characters, behind them */
    bool bold, dim, underline, reverse;
};
static struct {
    int pid, fd, x, y;
    struct pen pen;
    struct {
        char text[16];
        struct pen pen;
    } cell[LINES][COLUMNS];
} terminal;

static void no_colours(struct pen *pen)
{
    pen->ink[0] = pen->ink[1] = -1;
}

static void wipe(void)
{
    for (int y = 0; y < LINES; y++)
        for (int x = 0; x < COLUMNS; x++) {
            (void)snprintf(terminal.cell[y][x].text, sizeof terminal.cell[y][x].text, " ");
            terminal.cell[y][x].pen = terminal.pen;
        }
}

/* Select Graphic Rendition. */
static void select_pen(const int *number, int count)
{
    struct pen *pen = &terminal.pen;

    for (int i = 0; i < count; i++) {
        int code = number[i], which = code >= 40 && code < 50;

        if (code == 0)
            *pen = (struct pen){.ink = {-1, -1}};
        else if (code == 1)
            pen->bold = true;
        else if (code == 2)
            pen->dim = true;
        else if (code == 4)
            pen->underline = true;
        else if (code == 7)
            pen->reverse = true;
        else if ((code == 38 || code == 48) && number[i + 1] == 5)
            pen->ink[which] = number[i + 2], i += 2;
        else if ((code == 38 || code == 48) && number[i + 1] == 2)
            pen->ink[which] = number[i + 2] << 16 | number[i + 3] << 8 | number[i + 4] | RGB_BIT,
            i += 4;
        else if (code == 39 || code == 49)
            pen->ink[which] = -1;
        else if ((code >= 30 && code < 38) || (code >= 40 && code < 48))
            pen->ink[which] = code % 10;
        else
            fail_msg("unknown attribute %d", code);
    }
}

/* Of what is erased xterm keeps the colour behind, and no attribute. */
static void erase(int cells)
{
    assert_in_range(cells, 1, COLUMNS - terminal.x);
    for (int x = terminal.x; x < terminal.x + cells; x++) {
        (void)snprintf(terminal.cell[terminal.y][x].text, 8, " ");
        terminal.cell[terminal.y][x].pen = (struct pen){.ink = {-1, terminal.pen.ink[1]}};
    }
}

/* A sequence from its `[` on; what follows it. */
static const char *obey(const char *at)
{
    int number[16] = {0}, count = 0;
    bool private = at[1] == '?';

    at += private ? 2 : 1;
    for (;; at++) {
        number[count++] = (int)strtol(at, (char **)(intptr_t)&at, 10);
        if (*at != ';')
            break;
        assert_true(count < 12);
    }
    switch (private ? 'h' : *at) {
    case 'm':
        select_pen(number, count);
        break;
    case 'H':
        terminal.y = number[0] > 0 ? number[0] - 1 : 0;
        terminal.x = number[1] > 0 ? number[1] - 1 : 0;
        break;
    case 'C':
        terminal.x += number[0] > 0 ? number[0] : 1;
        break;
    case 'D':
        terminal.x -= number[0] > 0 ? number[0] : 1;
        break;
    case 'X':
        erase(number[0]);
        break;
    case 'J':
        wipe();
        break;
    case 'h':
    case 'l':
    case 'r':
    case 't':
        break;
    default:
        fail_msg("unknown sequence ending in '%c'", *at);
    }
    return at + 1;
}

static bool is_wide(const char *at)
{
    return (unsigned char)*at == 0xe6 || (unsigned char)*at == 0xe9; /* the two that we draw */
}

/* Puts a character, or adds a combining one; what follows it. */
static const char *put_character(const char *at)
{
    size_t size = 1;

    while (((unsigned char)at[size] & 0xc0) == 0x80)
        size++;
    if ((unsigned char)*at == 0xcc) {
        char *before = terminal.cell[terminal.y][terminal.x - 1].text;

        (void)snprintf(before + strlen(before), 8, "%.*s", (int)size, at);
        return at + size;
    }
    assert_in_range(terminal.y, 0, LINES - 1);
    assert_in_range(terminal.x, 0, COLUMNS - 1);
    (void)snprintf(terminal.cell[terminal.y][terminal.x].text, 8, "%.*s", (int)size, at);
    terminal.cell[terminal.y][terminal.x++].pen = terminal.pen;
    if (is_wide(at)) {
        *terminal.cell[terminal.y][terminal.x].text = '\0';
        terminal.cell[terminal.y][terminal.x++].pen = terminal.pen;
    }
    return at + size;
}

/* A line feed goes down, and no further left: had the driver made more of it, it would come with a return. */
static void feed(char byte)
{
    if (byte == '\r')
        terminal.x = 0;
    else
        terminal.y++;
    assert_in_range(terminal.y, 0, LINES - 1);
}

/* All that comes up to the end of a frame, or of the program; returns its bytes. */
static size_t take_frame(void)
{
    static char bytes[1 << 16];
    size_t size = 0;
    struct pollfd in = {.fd = terminal.fd, .events = POLLIN};

    while (size == 0 || bytes[size - 1] != *FRAME_END) {
        ssize_t got = poll(&in, 1, PATIENCE_MS) > 0
                          ? read(terminal.fd, bytes + size, sizeof bytes - 1 - size)
                          : 0;

        if (got <= 0)
            break;
        size += (size_t)got;
    }
    bytes[size] = '\0';
    for (const char *at = bytes; *at;) {
        if (*at == '\033' && at[1] == '[')
            at = obey(at + 1);
        else if (*at == '\033')
            at += at[1] == '(' ? 3 : 2;
        else if (*at == '\r' || *at == '\n')
            feed(*at++);
        else if (*at == '\a' || *at == '\017' || *at == *FRAME_END)
            at++;
        else
            at = put_character(at);
    }
    return size;
}

/* ---- what must be seen ---- */

static enum term_colours colours;
static bool rgb_tones;
static struct theme theme;

static int ink_of(uint32_t rgb, int step)
{
    uint32_t behind = theme.background[step];

    return colours == TERM_256     ? colour_256(rgb, behind)
           : colours == TERM_BASIC ? colour_8(rgb, behind)
                                   : -1;
}

/* RGB in steps that are not seen apart: 31 of them; the palette by one of the two entries around. */
static void expect_tone(int ink, int tone, int step)
{
    int red = (int)(tone_rgb(&theme, step, tone) >> 16),
        most = (int)(tone_rgb(&theme, step, 255) >> 16), shown;

    if (rgb_tones) {
        assert_true(ink >= RGB_BIT && (ink & 0xffff) == 0);
        shown = (ink & ~RGB_BIT) >> 16;
        assert_true(abs(shown - red) <= most / 31 + 1);
        return;
    }
    assert_in_range(ink, 16, 255);
    assert_int_equal(colour_of_256(ink) & 0xffff, 0);
    shown = (int)(colour_of_256(ink) >> 16);
    /* xterm's levels are 40 apart, but for the first, which is 95. */
    assert_true(abs(shown - red) < (red < 95 || shown < 95 ? 95 : 40));
}

/* The ink of each quarter of a block element, as bits of the character's. */
static int quarters_of(const char *text)
{
    static const char *const blocks[16] = {
        " ",      "\u2598", "\u259d", "\u2580", "\u2596", "\u258c", "\u259e", "\u259b",
        "\u2597", "\u259a", "\u2590", "\u259c", "\u2584", "\u2599", "\u259f", "\u2588"};

    for (int i = 0; i < 16; i++)
        if (strcmp(blocks[i], text) == 0)
            return i;
    fail_msg("'%s' is no block", text);
    return 0;
}

static void expect_quarters(const struct cell *cell, const char *text, const struct pen *pen,
                            int step)
{
    int drawn = quarters_of(text), own = ink_of(theme.look[step][cell->role].rgb, step),
        paper = ink_of(theme.background[step], step);

    for (int i = 0; i < 4; i++)
        assert_int_equal(pen->ink[drawn >> i & 1 ? 0 : 1], cell->quarters >> i & 1 ? own : paper);
}

static void expect_role(const struct cell *cell, const char *text, const struct pen *pen, int step)
{
    const struct look *look = &theme.look[step][cell->role];
    bool dim = colours == TERM_BASIC && step > 0 && cell->role != ROLE_ALARM;

    assert_string_equal(text, cell->text);
    assert_int_equal(pen->ink[1], ink_of(theme.background[step], step));
    assert_int_equal(pen->reverse, look->reverse);
    assert_int_equal(pen->underline, look->underline);
    /* The rest of a blank is not seen. */
    if (*cell->text == ' ' && !look->reverse && !look->underline)
        return;
    assert_int_equal(pen->ink[0], ink_of(look->rgb, step));
    assert_int_equal(pen->bold, look->bold && !dim);
    assert_int_equal(pen->dim, !look->bold && dim);
}

static void expect_frame(const struct canvas *canvas, int number)
{
    int step = step_of(number);

    for (int y = 0; y < LINES; y++)
        for (int x = 0; x < COLUMNS; x++) {
            const struct cell *cell = &canvas->cell[y * COLUMNS + x];
            const char *text = terminal.cell[y][x].text;
            const struct pen *pen = &terminal.cell[y][x].pen;

            if (cell->width == 0)
                continue;
            if (cell->half[0] > 0 && colours >= TERM_256) {
                bool two = strcmp(text, "\u2584") == 0;

                assert_true(two || strcmp(text, " ") == 0);
                expect_tone(pen->ink[1], cell->half[0], step);
                expect_tone(pen->ink[two ? 0 : 1], cell->half[1], step);
            } else if (cell->quarters > 0 && colours >= TERM_256 &&
                       !theme.look[step][cell->role].reverse &&
                       !theme.look[step][cell->role].underline) {
                expect_quarters(cell, text, pen, step);
            } else {
                expect_role(cell, text, pen, step);
            }
        }
}

static const char *program;

/* `most`: bytes of all frames, a fiftieth above what they took when they were as short as we know. */
static void watch(const char *name, const char *more, size_t most)
{
    const struct winsize size = {.ws_row = LINES, .ws_col = COLUMNS};
    struct canvas canvas = {0};
    size_t bytes = 0;
    int status, other;

    memset(&terminal, 0, sizeof terminal);
    no_colours(&terminal.pen);
    wipe();
    assert_int_equal(openpty(&terminal.fd, &other, NULL, NULL, &size), 0);
    terminal.pid = fork();
    if (terminal.pid == 0) {
        char term[64];
        char *env[] = {term, (char *)(intptr_t) "LC_ALL=C.UTF-8", (char *)(intptr_t)more, NULL};
        char *args[] = {(char *)(intptr_t)program, (char *)(intptr_t) "show", NULL};

        (void)close(terminal.fd);
        (void)login_tty(other);
        (void)snprintf(term, sizeof term, "TERM=%s", name);
        (void)execve(program, args, env);
        _exit(9);
    }
    assert_true(terminal.pid > 0);
    (void)close(other);
    chance = 1;
    for (int number = 0; number < FRAMES; number++) {
        next_frame(&canvas, number);
        bytes += take_frame();
        expect_frame(&canvas, number);
        assert_int_equal(write(terminal.fd, "x", 1), 1);
    }
    (void)take_frame();
    print_message("%d frames: %zu bytes\n", FRAMES, bytes);
    assert_true(bytes <= most);
    assert_int_equal(waitpid(terminal.pid, &status, 0), terminal.pid);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    (void)close(terminal.fd);
    canvas_free(&canvas);
}

static void frames_on_256_colours(void **state)
{
    (void)state;
    colours = TERM_256;
    rgb_tones = false;
    watch("xterm-256color", "COLORTERM=", 50000);
}

static void frames_with_rgb_tones(void **state)
{
    (void)state;
    colours = TERM_256;
    rgb_tones = true;
    watch("xterm-256color", "COLORTERM=truecolor", 58500);
}

static void frames_on_eight_colours(void **state)
{
    (void)state;
    colours = TERM_BASIC;
    watch("xterm", "COLORTERM=", 25600);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_on_256_colours),
        cmocka_unit_test(frames_with_rgb_tones),
        cmocka_unit_test(frames_on_eight_colours),
    };

    chance = 1;
    if (argc > 1 && strcmp(argv[1], "show") == 0)
        return show();
    program = argv[0];
    theme_default(&theme);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
