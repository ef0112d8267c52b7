/* A short night from the setup to the report, again and again, and each time one of our own calls
 * fails: the n-th of its kind, once, or that one and all after it. The program must end by itself,
 * say what is wrong, and lose nothing that it has called kept.
 *
 * It is the real program in a terminal of ours, each command a process of its own. Its clock is a
 * hand that moves on by a second whenever the loop waits; then a key comes and the receiver speaks.
 *
 * With MOONSTAND_FAULTS=all every n is tried (make faults), with MOONSTAND_FAULTS=few some of each
 * kind, and without it one that fails once, where a life is shortest.
 * usage: test_faults [CALL]   (every call; of one the row of the table that make faults prints) */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/app/app.h"
#include "../../src/store/files.h"
#include "scratch.h"

#include <cjson/cJSON.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <locale.h>
#include <math.h>
#include <moonstand/canvas.h>
#include <moonstand/dashboard.h>
#include <moonstand/moment.h>
#include <moonstand/setup_file.h>
#include <poll.h>
#include <pthread.h>
#include <pty.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/timerfd.h>
#include <sys/timex.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>
#include <utmp.h>

/* ---- the call that fails ---- */

typedef int scandir_filter(const struct dirent *);
typedef int scandir_order(const struct dirent **, const struct dirent **);
typedef void *thread_start(void *);

#define OWN_CALL CALL
enum call {
#define CALL(type, name, parameters, arguments, failed, why) CALL_##name,
#include "calls.h"
#undef CALL
    CALLS
};

static const char *const call_name[] = {
#define CALL(type, name, parameters, arguments, failed, why) #name,
#include "calls.h"
#undef CALL
};

enum mode {
    ONCE,
    FROM_THEN_ON,
    HALF, /* a write that takes half of the bytes */
    MODES
};
static const char *const mode_name[] = {"once", "from then on", "by half"};

/* Of a short night. */
enum { ACTS_LEAST = 10, ACTS_MOST = 128 };

/* What the processes of a night share. */
struct shared {
    enum call call; /* the one that fails */
    enum mode mode;
    int nth;                /* 0: none does */
    atomic_int seen[CALLS]; /* calls so far */
    atomic_bool struck;
    /* what the screen has shown of the present process, and what it has ever called kept */
    struct act shown[ACTS_MOST], kept[ACTS_MOST];
    int shown_count, kept_count;
};
static struct shared *shared;
static bool armed; /* true in the processes of a night */

static bool fails(enum call call)
{
    int count;

    if (!armed)
        return false;
    count = atomic_fetch_add(&shared->seen[call], 1) + 1;
    if (shared->nth == 0 || call != shared->call || count < shared->nth ||
        (count > shared->nth && shared->mode != FROM_THEN_ON))
        return false;
    atomic_store(&shared->struck, true);
    return true;
}

#define CALL(type, name, parameters, arguments, failed, why)                                       \
    type __real_##name parameters;                                                                 \
    type __wrap_##name parameters;
#include "calls.h"
#undef CALL
#undef OWN_CALL

#define OWN_CALL(type, name, parameters, arguments, failed, why)
#define CALL(type, name, parameters, arguments, failed, why)                                       \
    type __wrap_##name parameters                                                                  \
    {                                                                                              \
        if (!fails(CALL_##name))                                                                   \
            return __real_##name arguments;                                                        \
        errno = why;                                                                               \
        return failed;                                                                             \
    }
#include "calls.h"
#undef CALL

ssize_t __wrap_write(int file, const void *bytes, size_t size)
{
    if (!fails(CALL_write))
        return __real_write(file, bytes, size);
    if (shared->mode == HALF)
        return __real_write(file, bytes, size / 2);
    errno = ENOSPC;
    return -1;
}

/* The descriptor is gone all the same. */
int __wrap_close(int file)
{
    int result = __real_close(file);

    if (!fails(CALL_close))
        return result;
    errno = EIO;
    return -1;
}

/* ---- time: a hand that the loop's wait moves on ---- */

int __real_clock_gettime(clockid_t id, struct timespec *out);
int __wrap_clock_gettime(clockid_t id, struct timespec *out);
int __real_pthread_cond_timedwait(pthread_cond_t *work, pthread_mutex_t *lock,
                                  const struct timespec *until);
int __wrap_pthread_cond_timedwait(pthread_cond_t *work, pthread_mutex_t *lock,
                                  const struct timespec *until);
int __wrap_pthread_cond_wait(pthread_cond_t *work, pthread_mutex_t *lock);
int __real_pthread_join(pthread_t thread, void **result);
int __wrap_pthread_join(pthread_t thread, void **result);

enum { EVENING = 1861880000 };    /* 2028-12-31, 13:33 UTC */
static atomic_long second;        /* of every clock */
static atomic_int rests, threads; /* of the journal's thread */

int __wrap_clock_gettime(clockid_t id, struct timespec *out)
{
    if (!armed)
        return __real_clock_gettime(id, out);
    *out = (struct timespec){.tv_sec = atomic_load(&second)};
    return 0;
}

/* A short rest: whoever waits looks again whether it is time. */
int __wrap_pthread_cond_timedwait(pthread_cond_t *work, pthread_mutex_t *lock,
                                  const struct timespec *until)
{
    struct timespec soon;

    if (!armed)
        return __real_pthread_cond_timedwait(work, lock, until);
    (void)atomic_fetch_add(&rests, 1);
    (void)__real_clock_gettime(CLOCK_MONOTONIC, &soon);
    soon.tv_nsec += 20000;
    if (soon.tv_nsec >= 1000000000) {
        soon.tv_sec++;
        soon.tv_nsec -= 1000000000;
    }
    (void)__real_pthread_cond_timedwait(work, lock, &soon);
    return 0;
}

int __wrap_pthread_cond_wait(pthread_cond_t *work, pthread_mutex_t *lock)
{
    const struct timespec never = {.tv_sec = INT32_MAX};

    return __wrap_pthread_cond_timedwait(work, lock, &never);
}

int __wrap_pthread_create(pthread_t *out, const pthread_attr_t *attributes, thread_start *run,
                          void *argument)
{
    if (fails(CALL_pthread_create))
        return EAGAIN;
    (void)atomic_fetch_add(&threads, 1);
    return __real_pthread_create(out, attributes, run, argument);
}

int __wrap_pthread_join(pthread_t thread, void **result)
{
    (void)atomic_fetch_sub(&threads, 1);
    return __real_pthread_join(thread, result);
}

/* Until the journal's thread has seen all that there is to do at this second. */
static void let_thread_work(void)
{
    const struct timespec moment = {.tv_nsec = 20000};
    int from = atomic_load(&rests);

    while (atomic_load(&threads) > 0 && atomic_load(&rests) - from < 2)
        (void)nanosleep(&moment, NULL);
}

/* ---- the receiver, the keys, the wait ---- */

static const char greeting[] = "{\"class\":\"VERSION\",\"release\":\"3.22\",\"rev\":\"3.22\","
                               "\"proto_major\":3,\"proto_minor\":14}\n";
static const char fix[] = "{\"class\":\"TPV\",\"mode\":3,\"time\":\"2028-12-31T15:00:00.000Z\","
                          "\"lat\":62.1,\"lon\":60.1,\"altMSL\":430.0,\"eph\":5.0}\n";
static int receiver = -1, timer = -1;
static int terminal;    /* the side of the keyboard */
static const char *key; /* the next one */
enum { PATIENCE = 60, NEVER_LEAVES = 90 };
static int waits_after_end;

int __wrap_socket(int family, int type, int protocol)
{
    int ends[2];

    if (!armed)
        return __real_socket(family, type, protocol);
    if (fails(CALL_socket) || socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) != 0) {
        errno = EMFILE;
        return -1;
    }
    receiver = ends[1];
    (void)__real_fcntl64(ends[0], F_SETFL, O_NONBLOCK);
    (void)__real_send(receiver, greeting, sizeof greeting - 1, MSG_NOSIGNAL);
    return ends[0];
}

int __wrap_connect(int file, const struct sockaddr *to, socklen_t size)
{
    if (!armed)
        return __real_connect(file, to, size);
    errno = ECONNREFUSED;
    return fails(CALL_connect) ? -1 : 0;
}

int __wrap_timerfd_create(clockid_t id, int flags)
{
    if (!armed)
        return __real_timerfd_create(id, flags);
    timer = fails(CALL_timerfd_create) ? -1 : __real_eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC);
    errno = EMFILE;
    return timer;
}

int __wrap_timerfd_settime(int file, int flags, const struct itimerspec *next,
                           struct itimerspec *old)
{
    if (!armed)
        return __real_timerfd_settime(file, flags, next, old);
    errno = EINVAL;
    return fails(CALL_timerfd_settime) ? -1 : 0;
}

static void press_next_key(void)
{
    struct winsize size = {.ws_row = 45, .ws_col = 130};

    if (*key == '\0' && waits_after_end++ == PATIENCE)
        _exit(NEVER_LEAVES);
    if (*key == '<')
        (void)__real_ioctl(terminal, TIOCSWINSZ, &size);
    else if (*key)
        (void)__real_write(terminal, key, 1);
    else /* out of a question that takes no answer, then out of the night */
        (void)__real_write(terminal, waits_after_end % 2 ? "\033" : "qq",
                           waits_after_end % 2 ? 1 : 2);
    key += *key != '\0';
}

/* A second of the night, in which all that was begun comes to its end. */
static void live_on(void)
{
    siginfo_t ended;

    let_thread_work();
    (void)__real_waitid(P_ALL, 0, &ended, WEXITED | WNOWAIT);
    (void)atomic_fetch_add(&second, 1);
    let_thread_work();
    if (receiver >= 0)
        (void)__real_send(receiver, fix, sizeof fix - 1, MSG_NOSIGNAL);
    if (timer >= 0)
        (void)__real_eventfd_write(timer, 1);
    press_next_key();
}

int __wrap_ppoll(struct pollfd *fds, nfds_t count, const struct timespec *limit,
                 const sigset_t *set)
{
    if (!armed)
        return __real_ppoll(fds, count, limit, set);
    live_on();
    errno = EINTR;
    return fails(CALL_ppoll) ? -1 : __real_ppoll(fds, count, limit, set);
}

/* ---- what the screen tells ---- */

void __real_dashboard_draw(struct canvas *canvas, const struct night *night,
                           const struct moment *moment, const struct view *view);
void __wrap_dashboard_draw(struct canvas *canvas, const struct night *night,
                           const struct moment *moment, const struct view *view);

/* Instants are written down to the millisecond, other values to the last bit. */
static bool is_near(double a, double b, bool instant)
{
    return (isnan(a) && isnan(b)) || (instant ? fabs(a - b) < 1e-3 : a == b);
}

static bool is_same(const struct act *a, const struct act *b)
{
    const struct act_form *form = act_form(a->kind);

    for (int i = 0; a->kind == b->kind && form->value[i].name; i++)
        if (!is_near(a->value[i], b->value[i], strstr(form->value[i].name, "_utc") != NULL))
            return false;
    return a->kind == b->kind && a->rig == b->rig && (!(form->has & HAS_REF) || a->ref == b->ref) &&
           is_near(a->utc, b->utc, true) && strcmp(a->text, b->text) == 0;
}

static int count_of(const struct act *acts, int count, const struct act *wanted)
{
    int found = 0;

    for (int i = 0; i < count; i++)
        found += is_same(&acts[i], wanted);
    return found;
}

static void note_shown(const struct night *night, const struct view *view)
{
    bool all_kept = view->unwritten == 0 && (!view->trouble || *view->trouble == '\0');

    for (size_t i = (size_t)shared->shown_count; i < night->act_count && i < ACTS_MOST; i++)
        shared->shown[shared->shown_count++] = night->acts[i];
    for (int i = 0; all_kept && i < shared->shown_count; i++)
        if (shared->kept_count < ACTS_MOST &&
            count_of(shared->kept, shared->kept_count, &shared->shown[i]) == 0)
            shared->kept[shared->kept_count++] = shared->shown[i];
}

void __wrap_dashboard_draw(struct canvas *canvas, const struct night *night,
                           const struct moment *moment, const struct view *view)
{
    if (armed)
        note_shown(night, view);
    __real_dashboard_draw(canvas, night, moment, view);
}

/* ---- the night ---- */

struct step {
    const char *name;
    const char *command;
    const char *arguments; /* parted by blanks */
    const char *keys;      /* one at each wait; of a command that asks: the answers */
};

#define NAME "2028-12-31-rehearsal"
#define SESSION "moonstand/sessions/" NAME
#define OWN_SETUP "moonstand/setup.json"
#define BLANKS "\n\n\n\n\n\n\n\n\n\n\n\n"
static const struct step steps[] = {
    {"night", "rehearse", "--setup one.json --eclipse 2028-12-31 --from U2-6s --hooks",
     "fa<\t R+nhalo\ruNcar\r\rouygtqq"},
    {"resumed", "rehearse",
     "--setup two.json --eclipse 2028-12-31 --from U2+30s --session " NAME " --hooks",
     "f1fuE\r\r2\ruEw-5 70\rqq"},
    {"report", "report", "--session " NAME, ""},
    {"report as JSON", "report", "--session " NAME " --json", ""},
    {"sessions", "sessions", "", ""},
    {"now", "now", "--setup one.json --at 2028-12-31T17:00 --json", ""},
    {"setup", "setup", "", "62, 60, 420 m\nUTC\n1\n" BLANKS BLANKS BLANKS "\4"},
};
enum { STEPS = sizeof steps / sizeof *steps, OUTPUT = 1 << 19 };

/* Calls are counted through the night and its resumption, through the night alone (which is what fails
 * where nothing is wished), and through each other command alone: those find the folder as a night
 * without a fault has left it. */
struct part {
    int first, end;
};
static const struct part parts[] = {{0, 2}, {0, 1}, {2, 3}, {3, 4}, {4, 5}, {5, 6}, {6, 7}};
enum { PARTS = sizeof parts / sizeof *parts, NIGHT_ALONE = 1, REPORT = 2 };

struct outcome {
    int status; /* as waitpid tells; -1: it hung */
    char *output;
    size_t length;
};
static struct outcome sound[STEPS]; /* without a fault */
static char output[OUTPUT];

static bool is_live(const struct step *step)
{
    return strcmp(step->command, "rehearse") == 0;
}

static void write_file(const char *name, const char *text)
{
    FILE *file = fopen(name, "w");

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

/* One rig and a short checklist, so that a night is over soon; `air`: where the air is read. The hook is
 * a link, as sh is on Debian, and is followed. */
static void write_setup(const char *name, const char *folder, const char *air)
{
    char text[1024];

    (void)snprintf(text, sizeof text,
                   "{\"site\": {\"name\": \"hut\", \"latitude_deg\": 62, \"longitude_deg\": 60,"
                   " \"height_m\": 420, \"time_zone\": \"Asia/Yekaterinburg\","
                   " \"forecast\": \"%s/forecast.json\"},"
                   " \"rigs\": [{\"name\": \"long\", \"focal_mm\": 400, \"f_number\": 6.3,"
                   " \"card_path\": \"/proc\"}],"
                   " \"checklist\": [{\"group\": \"day before\", \"text\": \"charge\"},"
                   " {\"group\": \"before U2\", \"text\": \"look\", \"due\": \"U2-2s\"}],"
                   " \"gpsd\": {\"host\": \"127.0.0.1\", \"port\": 2947},"
                   " \"hooks\": {\"contact\": [\"sh\", \"-c\", \":\"]}, \"air\": {%s}}",
                   folder, air);
    write_file(name, text);
}

static void enter(const char *folder)
{
    assert_int_equal(chdir(folder), 0);
    assert_int_equal(setenv("XDG_CONFIG_HOME", folder, 1), 0);
    assert_int_equal(setenv("XDG_STATE_HOME", folder, 1), 0);
    atomic_store(&second, EVENING);
}

/* The night's folder, and in it all that the user has written before. */
static void lay_out(char folder[])
{
    const struct timespec fresh[2] = {{.tv_sec = EVENING}, {.tv_sec = EVENING}};
    char air[128];

    assert_non_null(mkdtemp(folder));
    enter(folder);
    assert_int_equal(mkdir("moonstand", 0700), 0);
    (void)snprintf(air, sizeof air, "\"file\": \"%s/air\", \"every_s\": 10", folder);
    write_setup("one.json", folder, air);
    write_setup("two.json", folder, "\"command\": [\"echo\", \"-7 82\"]");
    write_file("forecast.json",
               "{\"issued\": \"2028-12-31T12:00Z\", \"hours\": ["
               "{\"time\": \"2028-12-31T15:00Z\", \"cloud_percent\": 20, \"temperature_c\": -18},"
               "{\"time\": \"2028-12-31T18:00Z\", \"cloud_percent\": 60, \"temperature_c\": -20}"
               "]}");
    write_file("air", "-8 80\n");
    assert_int_equal(utimensat(AT_FDCWD, "air", fresh, 0), 0);
}

static void run(const struct step *step, int side)
{
    char words[256], *argv[16], *rest = words;
    int argc = 0, status;

    (void)login_tty(side);
    (void)setlocale(LC_ALL, "C.UTF-8");
    (void)setlocale(LC_NUMERIC, "C");
    (void)snprintf(words, sizeof words, "%s", step->arguments);
    for (char *word; (word = strsep(&rest, " "));)
        if (*word)
            argv[argc++] = word;
    argv[argc] = NULL;
    key = step->keys;
    armed = true;
    status = command_run(command_find(step->command), argc, argv);
    armed = false;
    (void)fflush(stdout);
    _exit(status);
}

/* Takes what it prints until it ends; kills it where that lasts too long. */
static void follow(pid_t child, int screen, struct outcome *outcome)
{
    struct pollfd fd = {.fd = screen, .events = POLLIN};
    enum { LIMIT_MS = 20000 };
    size_t length = 0;
    ssize_t got = 0;
    int ready;

    while ((ready = poll(&fd, 1, LIMIT_MS)) > 0 && length < sizeof output - 1 &&
           (got = read(screen, output + length, sizeof output - 1 - length)) > 0)
        length += (size_t)got;
    if (ready <= 0)
        (void)kill(child, SIGKILL);
    output[length] = '\0';
    assert_int_equal(waitpid(child, &outcome->status, 0), child);
    if (ready <= 0)
        outcome->status = -1;
    outcome->output = output;
    outcome->length = length;
}

static void do_step(const struct step *step, struct outcome *outcome)
{
    struct winsize size = {.ws_row = 40, .ws_col = 100};
    int side;
    pid_t child;

    assert_int_equal(openpty(&terminal, &side, NULL, NULL, &size), 0);
    if (!is_live(step))
        assert_int_equal(write(terminal, step->keys, strlen(step->keys)), strlen(step->keys));
    shared->shown_count = 0;
    (void)fflush(stdout);
    child = fork();
    assert_true(child >= 0);
    if (child == 0)
        run(step, side);
    (void)close(side);
    follow(child, terminal, outcome);
    (void)close(terminal);
    (void)atomic_fetch_add(&second, 100);
}

/* ---- what must hold ---- */

static int complaints;

static void complain_of(const char *step, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void complain_of(const char *step, const char *format, ...)
{
    char text[512];
    va_list args;

    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    complaints++;
    print_error("%s %d, %s: %s: %s\n", call_name[shared->call], shared->nth,
                mode_name[shared->mode], step, text);
}

/* The last of what was said on standard error, which comes after the screen. */
static const char *said(const struct outcome *outcome)
{
    const char *last = NULL;

    for (const char *at = outcome->output; (at = strstr(at, "moonstand: ")); at++)
        last = at;
    return last;
}

struct record {
    struct act acts[2 * ACTS_MOST];
    int count;
};

/* The journal as it lies there, line by line. */
static void read_record(struct record *record)
{
    FILE *file = fopen(SESSION "/journal.jsonl", "r");
    char line[ENTRY_LINE];
    struct fault fault;

    record->count = 0;
    while (file && fgets(line, sizeof line, file)) {
        struct act *act = &record->acts[record->count];
        size_t length = strcspn(line, "\n");

        if (line[length] == '\0') /* torn at the end: the next one who writes puts it aside */
            break;
        if (!entry_is_whole(line, length) || entry_decode(line, length, act, NULL, &fault) != 0)
            complain_of("journal", "a damaged line");
        else if (record->count > 0 && act->seq <= act[-1].seq)
            complain_of("journal", "number %d comes twice", (int)act->seq);
        else
            record->count++;
        assert_true(record->count < 2 * ACTS_MOST);
    }
    if (file)
        (void)fclose(file);
}

/* How many of these are not in the journal; says so where they must be. */
static int missing(const struct record *record, const struct act *acts, int count, const char *must)
{
    int lost = 0;

    for (int i = 0; i < count; i++) {
        int found = count_of(record->acts, record->count, &acts[i]);

        if (found > 1)
            complain_of("journal", "%s is there %d times", act_form(acts[i].kind)->name, found);
        if (found == 0 && must)
            complain_of("journal", "%s '%s' was %s and is not there", act_form(acts[i].kind)->name,
                        acts[i].text, must);
        lost += found == 0;
    }
    return lost;
}

static void check_record(const struct outcome *outcome)
{
    static struct record record;
    const char *words = said(outcome);
    int announced = 0, lost;

    read_record(&record);
    (void)missing(&record, shared->kept, shared->kept_count, "called kept");
    lost = missing(&record, shared->shown, shared->shown_count,
                   WEXITSTATUS(outcome->status) == EXIT_DONE ? "shown, and all went well," : NULL);
    if (WEXITSTATUS(outcome->status) == EXIT_MACHINE && words)
        (void)sscanf(words, "moonstand: %d entries", &announced);
    if (lost > announced && WEXITSTATUS(outcome->status) != EXIT_DONE)
        complain_of("journal", "%d entries are lost, %d were said to be", lost, announced);
    if (lost > 0 && shared->mode != FROM_THEN_ON)
        complain_of("journal", "a single fault has lost %d entries: %s", lost, words);
}

static void check_end(const struct step *step, const struct outcome *outcome)
{
    int status = outcome->status;

    if (status == -1)
        complain_of(step->name, "hangs");
    else if (WIFSIGNALED(status))
        complain_of(step->name, "ended by signal %d", WTERMSIG(status));
    else if (WEXITSTATUS(status) == NEVER_LEAVES)
        complain_of(step->name, "cannot be left");
    else if (WEXITSTATUS(status) > EXIT_MACHINE)
        complain_of(step->name, "ended with status %d", WEXITSTATUS(status));
    else if (WEXITSTATUS(status) > EXIT_NOTHING && !said(outcome))
        complain_of(step->name, "ended with status %d and no word", WEXITSTATUS(status));
    if (strstr(outcome->output, "Sanitizer") || strstr(outcome->output, "runtime error"))
        complain_of(step->name, "%s", outcome->output);
}

/* A command that prints and fails nowhere prints what it always does. */
static void check_print(int step, const struct outcome *outcome)
{
    if (WEXITSTATUS(outcome->status) != EXIT_DONE || said(outcome))
        return;
    if (outcome->length != sound[step].length ||
        memcmp(outcome->output, sound[step].output, outcome->length) != 0)
        complain_of(steps[step].name, "prints something else and calls it done");
}

static int check_file(const char *path, const struct stat *status, int type, struct FTW *place)
{
    static struct setup setup;
    const char *name = path + place->base;
    struct fault fault;

    (void)status;
    if (type != FTW_F)
        return 0;
    if (strstr(name, ".new-") && shared->call != CALL_unlink)
        complain_of("files", "%s is left behind", name);
    if ((strncmp(name, "setup", 5) == 0 || strncmp(name, "two", 3) == 0) &&
        !strstr(name, ".new-") && setup_read(path, &setup, &fault) != 0)
        complain_of("files", "%s", fault.text);
    return 0;
}

static void check_setup(const struct outcome *outcome)
{
    static struct setup setup;
    struct fault fault;

    if (setup_read(OWN_SETUP, &setup, &fault) != 0)
        complain_of("setup", "%s", fault.text);
    else if (WEXITSTATUS(outcome->status) == EXIT_DONE && setup.site.latitude_deg != 62 &&
             !strstr(outcome->output, "  ! ")) /* an answer that was refused is asked for again */
        complain_of("setup", "called written and is not");
}

static void check_step(int step, const struct outcome *outcome)
{
    check_end(&steps[step], outcome);
    if (is_live(&steps[step]))
        check_record(outcome);
    else if (strcmp(steps[step].command, "setup") == 0)
        check_setup(outcome);
    else
        check_print(step, outcome);
}

/* What was kept can be read by a program that nothing fails. */
static void check_report(void)
{
    struct outcome outcome;
    int nth = shared->nth;

    shared->nth = 0;
    do_step(&steps[REPORT], &outcome);
    shared->nth = nth;
    /* What could never be written cannot be read. */
    if (shared->mode != FROM_THEN_ON && shared->kept_count > 0 && outcome.status != 0)
        complain_of("afterwards", "the report says %s", said(&outcome));
}

static void clear_away(const char *folder)
{
    assert_int_equal(chdir("/"), 0);
    (void)scratch_remove(folder);
}

#define FOLDER P_tmpdir "/moonstand-faults-XXXXXX"
static char sound_folder[] = FOLDER;
static int tried;
static const char *only; /* the one call that is asked for; null: all */

/* One part, in which a call fails; true where that came. */
static bool live_through(const struct part *part, enum call call, int nth, enum mode mode)
{
    char folder[] = FOLDER;
    bool live = is_live(&steps[part->first]);
    struct outcome outcome;

    *shared = (struct shared){.call = call, .mode = mode, .nth = nth};
    if (live)
        lay_out(folder);
    else
        enter(sound_folder);
    write_file(OWN_SETUP, "{\"site\": {\"latitude_deg\": 10, \"longitude_deg\": 10}}");
    for (int i = part->first; i < part->end; i++) {
        do_step(&steps[i], &outcome);
        check_step(i, &outcome);
    }
    if (live)
        check_report();
    (void)nftw(".", check_file, 8, FTW_PHYS);
    tried++;
    if (live)
        clear_away(folder);
    return atomic_load(&shared->struck);
}

/* ---- the tests ---- */

static int total[PARTS][CALLS];

static void count_calls(int part)
{
    for (int k = 0; k < CALLS; k++)
        total[part][k] = atomic_load(&shared->seen[k]);
}

/* What the commands print, and how many calls there are, where nothing fails. */
static int live_soundly(void **state)
{
    (void)state;
    lay_out(sound_folder);
    for (int i = 0; i < PARTS; i++) {
        if (i == NIGHT_ALONE)
            continue;
        *shared = (struct shared){0};
        for (int k = parts[i].first; k < parts[i].end; k++) {
            do_step(&steps[k], &sound[k]);
            sound[k].output = strdup(sound[k].output);
            if (sound[k].status != 0 || !sound[k].output ||
                (is_live(&steps[k]) && shared->kept_count < ACTS_LEAST)) {
                print_error("%s, without a fault: %s\n", steps[k].name, sound[k].output);
                return -1;
            }
            if (k == 0)
                count_calls(NIGHT_ALONE);
        }
        count_calls(i);
    }
    return 0;
}

static int leave(void **state)
{
    (void)state;
    clear_away(sound_folder);
    if (only)
        printf("| %-22s | %5d | %6d |\n", only, tried, complaints);
    else
        print_message("# %d times\n", tried);
    return 0;
}

/* The part in which a call fails where nothing else is wished: the shortest that makes it, which is
 * the last. */
static int tried_part(enum call call)
{
    int part = 0;

    for (int i = 1; i < PARTS; i++)
        if (total[i][call] > 0)
            part = i;
    return part;
}

static bool is_sensible(enum call call, enum mode mode)
{
    if (mode == HALF)
        return call == CALL_write;
    /* A kernel that never lets anybody wait again is none. */
    return mode == ONCE || call != CALL_ppoll;
}

static void try_all(const struct part *part, enum call call, enum mode mode)
{
    for (int nth = 1; live_through(part, call, nth, mode); nth++)
        continue;
}

/* A call that nobody makes has not been tried: its name may have changed. */
static bool is_made(enum call call)
{
    for (int i = 0; i < PARTS; i++)
        if (total[i][call] > 0)
            return true;
    return false;
}

static void test_call(void **state)
{
    const char *wish = getenv("MOONSTAND_FAULTS");
    enum call call = *(const enum call *)*state;

    complaints = 0;
    /* A file that is somebody else's is root's to change, and may not be met. */
    assert_true(is_made(call) || call == CALL_fchown);
    for (int i = 0; i < PARTS; i++)
        for (enum mode mode = 0; mode < MODES; mode++) {
            if (total[i][call] == 0 || !is_sensible(call, mode) || (wish && i == NIGHT_ALONE) ||
                (!wish && (mode != ONCE || i != tried_part(call))))
                continue;
            if (wish && strcmp(wish, "all") == 0)
                try_all(&parts[i], call, mode);
            else
                (void)live_through(&parts[i], call, mode == ONCE ? total[i][call] / 2 + 1 : 1,
                                   mode);
        }
    assert_int_equal(complaints, 0);
}

int main(int argc, char **argv)
{
    static enum call calls[CALLS];
    struct CMUnitTest tests[CALLS];
    cJSON_Hooks hooks = {.malloc_fn = malloc, .free_fn = free};

    /* Its memory is ours, too. */
    cJSON_InitHooks(&hooks);
    shared = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (shared == MAP_FAILED || setenv("TERM", "xterm-256color", 1) != 0)
        return 1;
    for (int i = 0; i < CALLS; i++) {
        calls[i] = (enum call)i;
        tests[i] = (struct CMUnitTest){
            .name = call_name[i], .test_func = test_call, .initial_state = &calls[i]};
    }
    only = argc > 1 ? argv[1] : NULL;
    if (only)
        cmocka_set_test_filter(only);
    return cmocka_run_group_tests_name("faults", tests, live_soundly, leave);
}
