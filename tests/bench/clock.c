/* A page of the smallest sort, to measure against: fixed lines, a clock and four numbers, drawn
 * anew every second in one write. `clock empty` draws it once and waits. */
#include <curses.h>
#include <locale.h>
#include <poll.h>
#include <stdint.h>
#include <string.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

static void draw(void)
{
    time_t now = time(NULL);
    struct tm local;
    char text[32];

    (void)localtime_r(&now, &local);
    (void)strftime(text, sizeof text, "%H:%M:%S", &local);
    (void)erase();
    (void)mvaddstr(0, 0, text);
    for (int i = 0; i < 4; i++)
        (void)mvprintw(0, 20 + 12 * i, "%8ld", (long)now / (i + 1) % 10000);
    for (int line = 1; line < LINES - 1 && line < 35; line++)
        (void)mvprintw(line, 0, "line %d of a page that does not change", line);
    (void)refresh();
}

int main(int argc, char **argv)
{
    const struct itimerspec second = {{1, 0}, {time(NULL) + 1, 0}};
    int timer = timerfd_create(CLOCK_REALTIME, TFD_CLOEXEC);
    struct pollfd fds[] = {{.fd = STDIN_FILENO, .events = POLLIN}, {.fd = timer, .events = POLLIN}};
    uint64_t fired;

    (void)setlocale(LC_ALL, "");
    (void)initscr();
    (void)cbreak();
    (void)noecho();
    (void)nodelay(stdscr, TRUE);
    (void)curs_set(0);
    (void)keypad(stdscr, TRUE);
    (void)start_color();
    if (argc > 1 && strcmp(argv[1], "empty") == 0) {
        draw();
        (void)poll(fds, 1, -1);
        (void)endwin();
        return 0;
    }
    /* Until curses has left and come back once it flushes after every move of the cursor. */
    (void)endwin();
    (void)refresh();
    (void)timerfd_settime(timer, TFD_TIMER_ABSTIME, &second, NULL);
    do {
        draw();
        (void)poll(fds, 2, -1);
        if (fds[1].revents)
            (void)!read(timer, &fired, sizeof fired);
    } while (getch() == ERR);
    (void)endwin();
    return 0;
}
