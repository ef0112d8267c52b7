/* A five-hour night, again and again at the highest speed: the session on a clock of ours, acts as
 * a busy night has them, a journal on the disk, a screen drawn. Memory must stay flat, no step may
 * be late, the journal must hold every act. usage: soak [NIGHTS]   (100) */
#include "../../src/app/live.h"

#include <malloc.h>
#include <math.h>
#include <moonstand/canvas.h>
#include <moonstand/dashboard.h>
#include <moonstand/pick.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { HOURS = 5, WARM = 10 };
#define LATE_MS 50.0

static double utc, boot;

static double clock_utc(const struct clock *clock)
{
    (void)clock;
    return utc;
}

static double clock_boot(const struct clock *clock)
{
    (void)clock;
    return boot;
}

static void check(bool holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "soak: %s\n", what);
    exit(1);
}

/* Of work done: what else the machine does is no fault of ours. */
static double work_ms(void)
{
    struct timespec now;

    (void)clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static long resident_kb(void)
{
    long pages = 0, all = 0;
    FILE *in = fopen("/proc/self/statm", "r");

    check(in && fscanf(in, "%ld %ld", &all, &pages) == 2, "no memory figures");
    (void)fclose(in);
    return pages * (sysconf(_SC_PAGESIZE) / 1024);
}

/* Once a minute something is done: aimed, ticked, corrected, noted, undone. */
static void do_something(struct session *session, int minute)
{
    struct act act = {.rig = minute % RIGS};

    switch (minute % 7) {
    case 0:
    case 1:
        act.kind = ACT_AIM;
        act.value[0] = -0.3;
        break;
    case 2:
        act.kind = ACT_FRAME;
        break;
    case 3:
        act.kind = ACT_CORRECTION;
        act.value[0] = TARGET_UMBRA;
        act.value[1] = minute % 2 ? 0.3 : 0;
        break;
    case 4:
        act.kind = ACT_NOTE;
        act.rig = -1;
        (void)snprintf(act.text, sizeof act.text, "minute %d", minute);
        break;
    case 5:
        act.kind = ACT_AIR;
        act.rig = -1;
        act.value[0] = -minute % 40;
        act.value[1] = 80;
        break;
    default:
        session_undo(session);
        return;
    }
    check(session_act(session, &act) == 0, session->message);
}

static void count(void *context, struct act *act)
{
    uint64_t *last = context;

    check(act->seq == *last + 1, "a number is missing in the journal");
    *last = act->seq;
}

static void check_journal(const char *folder, uint64_t acts)
{
    struct journal_state state;
    struct journal *journal;
    struct fault fault;
    uint64_t last = 0;

    check(journal_open(folder, false, count, &last, &journal, &fault) == 0, fault.text);
    journal_state(journal, &state);
    (void)journal_close(journal);
    check(last == acts && state.damaged == 0 && state.torn_bytes == 0, "the journal is not whole");
}

static void remove_session(const char *folder)
{
    static const char *const names[] = {"journal.jsonl", "setup.json", "alive", "setup.json.bak"};
    char path[PATH_SIZE + 32];

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        (void)unlink(path);
    }
    check(rmdir(folder) == 0, "the session's folder holds more than is known");
}

/* The slowest step, ms; how many acts the journal must hold. */
static double night(const char *folder, struct canvas *canvas, uint64_t *acts)
{
    static struct session session;
    static struct setup setup;
    const struct clock clock = {.utc = clock_utc, .boot = clock_boot, .speed = 1};
    struct view view = {.item = -1, .keys = key_table};
    struct eclipse eclipse;
    struct fault fault;
    double day, slowest = 0;

    demo_setup(&setup);
    rig_built_in(2, &setup.rig[2]);
    setup.rig_count = RIGS;
    check(parse_day(DEMO_ECLIPSE_DAY, &day, NULL) == 0 &&
              eclipse_of_day(day, SHADOW_DANJON, &eclipse),
          "no eclipse");
    utc = utc_from_tt(eclipse.tt[CONTACT_GREATEST]) - HOURS * 3600 / 2.0;
    check(session_open(&session, &clock,
                       &(struct session_start){
                           .setup = &setup, .eclipse = &eclipse, .rehearsal = true, .folder = folder},
                       &fault) == 0,
          fault.text);
    for (int second = 0; second < HOURS * 3600; second++) {
        double from = work_ms();

        session_step(&session);
        if (second % 60 == 30)
            do_something(&session, second / 60);
        view.page = (enum page)(second / 600 % PAGES);
        view.rig = second / 60 % RIGS;
        view.message = session_message(&session);
        if (second % 10 == 0)
            dashboard_draw(canvas, &session.night, &session.moment, &view);
        slowest = fmax(slowest, work_ms() - from);
        utc++;
        boot++;
    }
    check(*session.trouble == '\0', session.trouble);
    *acts = session.night.last_seq + 1; /* the end follows */
    check(session_close(&session) == 0, "acts were lost");
    return slowest;
}

int main(int argc, char **argv)
{
    int nights = argc > 1 ? atoi(argv[1]) : 100;
    char folder[] = P_tmpdir "/soak-XXXXXX", session[64];
    struct canvas canvas = {.glyphs = GLYPHS_UTF8};
    double slowest = 0;
    long warm = 0, now = 0;
    size_t heap = 0;

    check(mkdtemp(folder) != NULL && canvas_resize(&canvas, 120, 40) == 0, "cannot begin");
    (void)snprintf(session, sizeof session, "%s/2028-12-31", folder);
    for (int i = 0; i < nights; i++) {
        uint64_t acts;

        slowest = fmax(slowest, night(session, &canvas, &acts));
        check_journal(session, acts);
        remove_session(session);
        if (i < WARM)
            warm = resident_kb();
        now = resident_kb();
        heap = heap == 0 ? mallinfo2().uordblks : heap;
        check(mallinfo2().uordblks == heap, "a night left memory behind");
    }
    canvas_free(&canvas);
    (void)rmdir(folder);
    printf(
        "%d nights of %d hours: slowest step %.1f ms, resident %ld kB after %d nights, %ld kB at "
        "the end\n",
        nights, HOURS, slowest, warm, WARM, now);
    check(now <= warm, "memory grew");
    check(slowest < LATE_MS, "a step was late");
    return 0;
}
