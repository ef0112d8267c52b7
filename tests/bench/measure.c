/* Runs programs, each alone in a terminal of 120x40 that this one holds, and measures them from
 * outside.
 * usage: measure paint RUNS TEXT PROGRAM [ARGUMENT]... [-- TEXT PROGRAM ...]...
 *            in turn: per program a line of the milliseconds from the start until TEXT, the last of
 *            a page, has come: median, least, most
 *        measure idle SECONDS PROGRAM [ARGUMENT]... [-- PROGRAM ...]...
 *            all of them at once: per program a line of wake-ups, writes and bytes per second, CPU
 *            seconds an hour (children with it), resident and private kB at the end, growth of
 *            the kB that are in no file in the last two windows; the first four medians of five
 *            windows
 *        measure pace SECONDS KEY PROGRAM [ARGUMENT]...
 *            a program that draws on every whole second of the wall clock and is sent KEY in the
 *            middle of every minute: ticks, of these without a drawing, ms that the latest drawing
 *            came after its second, ms of that without the wait for a processor, keys sent, growth
 *            as above, exit status after SIGTERM */
#include <math.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { PROGRAMS = 8, WINDOWS = 5, RUNS_MOST = 101 };
#define SETTLE_S 5.0

struct program {
    char **arguments;
    pid_t pid;
    int terminal;
    double bytes;
    char last[65536]; /* of what it wrote: of one painting the end may come apart from the rest */
    size_t last_size;
};

struct sample {
    double wakeups, writes, bytes, cpu_s;
};

static double now_s(void)
{
    struct timespec now;

    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

/* Sorts. */
static double median(double *value, int count)
{
    qsort(value, (size_t)count, sizeof *value, compare);
    return (value[(count - 1) / 2] + value[count / 2]) / 2;
}

static void start(struct program *program)
{
    struct winsize size = {.ws_row = 40, .ws_col = 120};

    program->bytes = 0;
    program->last_size = 0;
    program->pid = forkpty(&program->terminal, NULL, NULL, &size);
    if (program->pid == 0) {
        (void)execvp(program->arguments[0], program->arguments);
        _exit(127);
    }
    if (program->pid < 0) {
        perror("measure");
        exit(3);
    }
}

static void stop(struct program *program)
{
    (void)kill(program->pid, SIGKILL);
    (void)waitpid(program->pid, NULL, 0);
    (void)close(program->terminal);
}

/* Takes what is there; false where nothing came within the time. */
static bool take(struct program *program, int limit_ms)
{
    struct pollfd fd = {.fd = program->terminal, .events = POLLIN};
    ssize_t size;

    if (poll(&fd, 1, limit_ms) < 1)
        return false;
    if (program->last_size == sizeof program->last)
        program->last_size = 0;
    size = read(program->terminal, program->last + program->last_size,
                sizeof program->last - program->last_size);
    if (size <= 0)
        return false;
    program->bytes += (double)size;
    program->last_size += (size_t)size;
    return true;
}

/* ---- first paint ---- */

static double paint_ms(struct program *program, const char *text)
{
    double from = now_s(), ms = NAN;

    start(program);
    while (isnan(ms) && take(program, 5000))
        if (memmem(program->last, program->last_size, text, strlen(text)))
            ms = (now_s() - from) * 1e3;
    stop(program);
    return ms;
}

/* The first argument of each is the text. */
static int paint(int runs, struct program *program, int count)
{
    static double ms[PROGRAMS][RUNS_MOST];

    runs = runs < RUNS_MOST ? runs : RUNS_MOST;
    for (int run = 0; run < runs; run++)
        for (int i = 0; i < count; i++) {
            struct program bare = {.arguments = program[i].arguments + 1};

            ms[i][run] = paint_ms(&bare, program[i].arguments[0]);
        }
    for (int i = 0; i < count; i++) {
        double middle = median(ms[i], runs);

        printf("%.1f %.1f %.1f\n", middle, ms[i][0], ms[i][runs - 1]);
    }
    return 0;
}

/* ---- idle cost ---- */

/* The sum of a number over all threads: `file` of each, the number after `key`. */
static double proc_number(pid_t pid, const char *file, const char *key)
{
    char path[64], line[256];
    double value = 0;

    (void)snprintf(path, sizeof path, "/proc/%d/%s", (int)pid, file);
    FILE *in = fopen(path, "r");

    while (in && fgets(line, sizeof line, in))
        if (strncmp(line, key, strlen(key)) == 0) {
            value = strtod(line + strlen(key), NULL);
            break;
        }
    if (in)
        (void)fclose(in);
    return value;
}

/* Threads have following numbers here: none but the program makes any. */
static double over_threads(pid_t pid, const char *file, const char *key)
{
    double sum = 0;

    for (int id = (int)pid; id < (int)pid + 64; id++) {
        char path[64];

        (void)snprintf(path, sizeof path, "task/%d/%s", id, file);
        sum += proc_number(pid, path, key);
    }
    return sum;
}

/* CPU of the children that have ended: fields 16 and 17, in ticks. */
static double children_s(pid_t pid)
{
    char path[64], line[1024];
    unsigned long user = 0, kernel = 0;

    (void)snprintf(path, sizeof path, "/proc/%d/stat", (int)pid);
    FILE *in = fopen(path, "r");

    if (in && fgets(line, sizeof line, in)) {
        char *rest = strrchr(line, ')');

        if (rest)
            (void)sscanf(rest + 1, " %*c %*d %*d %*d %*d %*d %*u %*u %*u %*u %*u %*u %*u %lu %lu",
                         &user, &kernel);
    }
    if (in)
        (void)fclose(in);
    return (double)(user + kernel) / (double)sysconf(_SC_CLK_TCK);
}

static struct sample sample_of(const struct program *program)
{
    return (struct sample){
        .wakeups = over_threads(program->pid, "status", "voluntary_ctxt_switches:"),
        .writes = proc_number(program->pid, "io", "syscw:"),
        .bytes = program->bytes,
        .cpu_s = over_threads(program->pid, "schedstat", "") / 1e9 + children_s(program->pid),
    };
}

static void run_until(struct program *program, int count, double end)
{
    while (now_s() < end)
        for (int i = 0; i < count; i++)
            (void)take(&program[i], count > 1 ? 2 : 20);
}

static int idle(double seconds, struct program *program, int count)
{
    static double window[PROGRAMS][4][WINDOWS];
    struct sample last[PROGRAMS];
    double anonymous[PROGRAMS], at;

    for (int i = 0; i < count; i++)
        start(&program[i]);
    run_until(program, count, now_s() + SETTLE_S);
    at = now_s();
    for (int i = 0; i < count; i++)
        last[i] = sample_of(&program[i]);
    for (int w = 0; w < WINDOWS; w++) {
        double from = at;

        run_until(program, count, at + seconds / WINDOWS);
        at = now_s();
        for (int i = 0; i < count; i++) {
            struct sample now = sample_of(&program[i]);

            window[i][0][w] = (now.wakeups - last[i].wakeups) / (at - from);
            window[i][1][w] = (now.writes - last[i].writes) / (at - from);
            window[i][2][w] = (now.bytes - last[i].bytes) / (at - from);
            window[i][3][w] = (now.cpu_s - last[i].cpu_s) / (at - from) * 3600;
            last[i] = now;
            if (w == WINDOWS / 2)
                anonymous[i] = proc_number(program[i].pid, "smaps_rollup", "Anonymous:");
        }
    }
    for (int i = 0; i < count; i++) {
        double now = proc_number(program[i].pid, "smaps_rollup", "Rss:");
        double own = proc_number(program[i].pid, "smaps_rollup", "Private_Clean:") +
                     proc_number(program[i].pid, "smaps_rollup", "Private_Dirty:");

        printf("%.2f %.2f %.0f %.2f %.0f %.0f %.0f\n", median(window[i][0], WINDOWS),
               median(window[i][1], WINDOWS), median(window[i][2], WINDOWS),
               median(window[i][3], WINDOWS), now, own,
               proc_number(program[i].pid, "smaps_rollup", "Anonymous:") - anonymous[i]);
        stop(&program[i]);
    }
    return 0;
}

/* ---- the pace ---- */

static double wall_s(void)
{
    struct timespec now;

    (void)clock_gettime(CLOCK_REALTIME, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* How far the wall clock is ahead of the one that nobody sets: a step of it is no fault of the
 * program's. */
static double wall_ahead_s(void)
{
    return wall_s() - now_s();
}

/* How long a process has waited for a processor so far, ms: what keeps it waiting is others' work. */
static double waited_ms(pid_t pid)
{
    char path[64];
    unsigned long long waited = 0;

    (void)snprintf(path, sizeof path, "/proc/%d/schedstat", (int)pid);
    FILE *in = fopen(path, "r");

    if (in) {
        (void)fscanf(in, "%*u %llu", &waited);
        (void)fclose(in);
    }
    return (double)waited / 1e6;
}

struct pace {
    time_t seen; /* the last second that had a drawing */
    int missing, keys;
    double latest_ms, own_latest_ms;
    double waited_ms;    /* when a drawing was last seen */
    double wall_ahead_s; /* at the start */
};

static void miss(struct pace *pace, time_t until)
{
    if (until <= pace->seen + 1)
        return;
    pace->missing += (int)(until - pace->seen - 1);
    fprintf(stderr, "no drawing for %d s from %lld on, wall clock set by %.3f s since the start\n",
            (int)(until - pace->seen - 1), (long long)pace->seen + 1,
            wall_ahead_s() - pace->wall_ahead_s);
}

/* What has been read just now belongs to the second in which it came; the first of each counts. */
static void see_drawing(const struct program *program, struct pace *pace)
{
    double at = wall_s(), waited = waited_ms(program->pid) + waited_ms(getpid()), late_ms;
    time_t second = (time_t)floor(at);

    if (second > pace->seen) {
        miss(pace, second);
        late_ms = (at - (double)second) * 1e3;
        pace->latest_ms = fmax(pace->latest_ms, late_ms);
        pace->own_latest_ms = fmax(pace->own_latest_ms, late_ms - (waited - pace->waited_ms));
        pace->seen = second;
    }
    pace->waited_ms = waited;
}

static int pace(int seconds, const char *key, struct program *program)
{
    struct pace pace = {.wall_ahead_s = wall_ahead_s()};
    double warm = 0, growth, next_key, end, now;
    time_t begin;
    int status = 0;

    start(program);
    run_until(program, 1, now_s() + SETTLE_S);
    begin = (time_t)ceil(wall_s());
    /* Between two ticks, when nothing else is drawn. */
    next_key = (double)begin + 30.5;
    end = (double)(begin + seconds) - 0.5;
    pace.seen = begin - 1;
    while ((now = wall_s()) < end) {
        if (take(program, (int)((fmin(next_key, end) - now) * 1e3) + 1) &&
            wall_s() >= (double)begin)
            see_drawing(program, &pace);
        if (warm == 0 && now > (double)begin + seconds * 0.6)
            warm = proc_number(program->pid, "smaps_rollup", "Anonymous:");
        if (wall_s() < next_key)
            continue;
        next_key += 60;
        pace.keys += write(program->terminal, key, strlen(key)) == (ssize_t)strlen(key);
    }
    miss(&pace, begin + seconds);
    growth = proc_number(program->pid, "smaps_rollup", "Anonymous:") - warm;
    (void)kill(program->pid, SIGTERM);
    while (waitpid(program->pid, &status, WNOHANG) == 0)
        (void)take(program, 10);
    printf("%d %d %.1f %.1f %d %.0f %d\n", seconds, pace.missing, pace.latest_ms,
           pace.own_latest_ms, pace.keys, growth, WIFEXITED(status) ? WEXITSTATUS(status) : -1);
    return 0;
}

/* Programs with their arguments, apart by "--". */
static int split(char **argument, int arguments, struct program program[PROGRAMS])
{
    int count = 1;

    program[0].arguments = argument;
    for (int i = 1; i < arguments && count < PROGRAMS; i++)
        if (strcmp(argument[i], "--") == 0) {
            argument[i] = NULL;
            program[count++].arguments = argument + i + 1;
        }
    return count;
}

int main(int argc, char **argv)
{
    static struct program program[PROGRAMS];

    if (argc > 4 && strcmp(argv[1], "paint") == 0)
        return paint(atoi(argv[2]), program, split(argv + 3, argc - 3, program));
    if (argc > 3 && strcmp(argv[1], "idle") == 0)
        return idle(strtod(argv[2], NULL), program, split(argv + 3, argc - 3, program));
    if (argc > 4 && strcmp(argv[1], "pace") == 0) {
        program[0].arguments = argv + 4;
        return pace(atoi(argv[2]), argv[3], &program[0]);
    }
    fputs("usage: measure paint RUNS TEXT PROGRAM... [-- TEXT PROGRAM...] | idle SECONDS "
          "PROGRAM... [-- PROGRAM...] | "
          "pace SECONDS KEY PROGRAM...\n",
          stderr);
    return 2;
}
