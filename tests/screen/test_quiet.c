/* How many bytes a page costs while nothing happens: one second is one frame, the Moon is redrawn once a
 * minute. This program runs itself with the argument "show" as the one that draws; the parent counts. The
 * bounds are those of the project: 300 bytes a second, four kilobytes for a frame with a new Moon. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "scene.h"

#include <moonstand/palette.h>
#include <moonstand/terminal.h>

#include <poll.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>
#include <utmp.h>

enum { SECONDS = 200, PATIENCE_MS = 30000, QUIET = 300, NEW_MOON = 4096 };
/* Behind each frame, by the test itself. */
#define FRAME_END '\005'

/* ---- the drawing side ---- */

/* All is aimed, set and ticked; the umbra moves over the Moon. */
static int show(int width, int height)
{
    struct fault fault = {0};
    struct theme theme;
    double utc;

    if (term_open(&fault) < 0)
        _exit(3);
    theme_default(&theme);
    term_theme(&theme, 0);
    scene_open(false);
    utc = scene_utc("U1+38m");
    scene_tick_before(utc);
    scene_aim_wide(utc);
    scene_aim(utc);
    for (int second = 0; second < SECONDS; second++) {
        struct pollfd in = {.fd = term_fd(), .events = POLLIN};
        const char end = FRAME_END;

        scene_at(utc + second);
        scene_draw(width, height, term_glyphs());
        term_put(&scene.canvas);
        while (term_waiting_fd() >= 0) {
            struct pollfd out = {.fd = term_waiting_fd(), .events = POLLOUT};

            (void)poll(&out, 1, -1);
            (void)term_send();
        }
        assert_int_equal(write(STDOUT_FILENO, &end, 1), 1);
        (void)poll(&in, 1, -1);
        while (term_key() != INPUT_NONE)
            continue;
    }
    term_close();
    scene_close();
    return 0;
}

/* ---- the counting side ---- */

static const char *program;

static size_t take_frame(int fd)
{
    struct pollfd in = {.fd = fd, .events = POLLIN};
    char bytes[4096];
    size_t size = 0;

    for (;;) {
        ssize_t got = poll(&in, 1, PATIENCE_MS) > 0 ? read(fd, bytes, sizeof bytes) : 0;

        if (got <= 0)
            return size;
        size += (size_t)got;
        if (bytes[got - 1] == FRAME_END)
            return size - 1;
    }
}

static int compare_sizes(const void *a, const void *b)
{
    size_t first = *(const size_t *)a, second = *(const size_t *)b;

    return (first > second) - (first < second);
}

/* The first frame is the whole page, and nobody's tick. */
static void watch(unsigned short width, unsigned short height)
{
    const struct winsize window = {.ws_row = height, .ws_col = width};
    size_t frames[SECONDS];
    char size[2][8];
    int fd, status;
    pid_t pid = forkpty(&fd, NULL, NULL, &window);

    assert_true(pid >= 0);
    (void)snprintf(size[0], sizeof size[0], "%hu", width);
    (void)snprintf(size[1], sizeof size[1], "%hu", height);
    if (pid == 0) {
        char *env[] = {(char *)(intptr_t) "TERM=xterm-256color",
                       (char *)(intptr_t) "LC_ALL=C.UTF-8", NULL};
        char *args[] = {(char *)(intptr_t)program, (char *)(intptr_t) "show", size[0], size[1],
                        NULL};

        (void)execve(program, args, env);
        _exit(9);
    }
    for (int i = 0; i < SECONDS; i++) {
        frames[i] = take_frame(fd);
        assert_int_equal(write(fd, "x", 1), 1);
    }
    (void)take_frame(fd);
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    (void)close(fd);
    qsort(frames + 1, SECONDS - 1, sizeof *frames, compare_sizes);
    print_message("%hux%hu: the page %zu bytes, a second %zu, the most %zu\n", width, height,
                  frames[0], frames[SECONDS / 2], frames[SECONDS - 1]);
    assert_in_range(frames[SECONDS / 2], 1, QUIET);
    assert_in_range(frames[SECONDS - 1], 1, NEW_MOON);
}

static void a_quiet_page_costs_little(void **state)
{
    (void)state;
    watch(80, 24);
    watch(120, 40);
    watch(200, 60);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_quiet_page_costs_little),
    };

    if (argc > 3 && strcmp(argv[1], "show") == 0)
        return show(atoi(argv[2]), atoi(argv[3]));
    program = argv[0];
    return cmocka_run_group_tests(tests, NULL, NULL);
}
