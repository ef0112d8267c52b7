/* Waits for the screen of a terminal of tmux, for the scripts beside: over one connection, for
 * starting a client for each look costs more than what is waited for.
 *
 * usage: await SOCKET shows TEXT | hides TEXT | ticks COUNT
 * ticks: the screen has changed so many times. Status 1: not within a minute, or the terminal is
 * gone. */
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { PAUSE_MS = 40, LIMIT_S = 60, SCREEN = 1 << 16 };

static FILE *to, *from;

/* A client in control mode: a command a line, answers between %begin and %end, and no output of the
 * program. */
static bool attach(char *socket)
{
    int asks[2], answers[2];

    if (pipe(asks) != 0 || pipe(answers) != 0)
        return false;
    pid_t client = fork();
    if (client == 0) {
        (void)dup2(asks[0], STDIN_FILENO);
        (void)dup2(answers[1], STDOUT_FILENO);
        (void)close(asks[1]);
        (void)close(answers[0]);
        (void)execlp("tmux", "tmux", "-L", socket, "-C", "attach-session", "-f",
                     "no-output,ignore-size,read-only", (char *)NULL);
        _exit(127);
    }
    (void)close(asks[0]);
    (void)close(answers[1]);
    to = fdopen(asks[1], "w");
    from = fdopen(answers[0], "r");
    return client > 0 && to && from;
}

/* One answer, whole; false: the terminal is gone, or it refuses. */
static bool answer(char screen[SCREEN])
{
    char line[4096];
    size_t length = 0;
    bool inside = false;

    while (fgets(line, sizeof line, from)) {
        if (!inside && strncmp(line, "%begin ", 7) == 0) {
            inside = true;
        } else if (inside && (strncmp(line, "%end ", 5) == 0 || strncmp(line, "%error ", 7) == 0)) {
            screen[length] = '\0';
            return line[2] == 'n';
        } else if (inside && length + strlen(line) < SCREEN) {
            memcpy(screen + length, line, strlen(line));
            length += strlen(line);
        }
    }
    return false;
}

static bool look(char screen[SCREEN])
{
    return fputs("capture-pane -p\n", to) >= 0 && fflush(to) == 0 && answer(screen);
}

int main(int argc, char **argv)
{
    static char screen[SCREEN], before[SCREEN];
    const struct timespec pause = {.tv_nsec = PAUSE_MS * 1000000L};

    if (argc != 4 || !strchr("sht", *argv[2])) {
        (void)fprintf(stderr, "usage: await SOCKET shows TEXT | hides TEXT | ticks COUNT\n");
        return 2;
    }
    (void)signal(SIGPIPE, SIG_IGN);
    /* The first answer is that to attach-session. */
    if (!attach(argv[1]) || !answer(screen) || !look(before))
        return 1;
    const bool counts = *argv[2] == 't', shows = *argv[2] == 's';
    const char *text = argv[3];
    int left = counts ? atoi(text) : 0;

    memcpy(screen, before, sizeof screen);
    for (int i = 0; i < LIMIT_S * 1000 / PAUSE_MS; i++) {
        if (counts && strcmp(screen, before) != 0) {
            left--;
            memcpy(before, screen, sizeof before);
        }
        if (counts ? left == 0 : (strstr(screen, text) != NULL) == shows)
            return 0;
        (void)nanosleep(&pause, NULL);
        if (!look(screen))
            return 1;
    }
    return 1;
}
