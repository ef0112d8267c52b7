/* The wait of the live night, with pipes, signals and the real timer; and the clocks that everything gets its time
 * from. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "open_files.h"

#include "../../src/app/app.h"
#include "../../src/app/loop.h"

#include <math.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static const int none[LOOP_FDS] = {-1, -1, -1, -1, -1};

static void open_loop(struct loop *loop)
{
    struct fault fault;

    assert_int_equal(loop_open(loop, &fault), 0);
}

/* ---- what it waits for ---- */

/* Each descriptor has its own event; what can be written counts for the terminal alone. */
static void descriptors_have_their_events(void **state)
{
    static const unsigned events[LOOP_FDS] = {LOOP_KEYS, LOOP_GPS, LOOP_JOURNAL, LOOP_SENSOR, LOOP_OUT};
    struct loop loop;

    (void)state;
    open_loop(&loop);
    for (int i = 0; i < LOOP_FDS; i++)
        for (int j = 0; j < LOOP_FDS; j++) {
            int fds[LOOP_FDS] = {-1, -1, -1, -1, -1}, ends[2][2];

            assert_int_equal(pipe(ends[0]), 0);
            assert_int_equal(pipe(ends[1]), 0);
            fds[i] = ends[0][i == LOOP_FD_OUT];
            if (i != LOOP_FD_OUT)
                assert_int_equal(write(ends[0][1], "x", 1), 1);
            /* Nothing has come from another one. */
            if (j != i && j != LOOP_FD_OUT)
                fds[j] = ends[1][0];
            assert_int_equal(loop_wait(&loop, fds), events[i]);
            for (int k = 0; k < 4; k++)
                assert_int_equal(close(ends[k / 2][k % 2]), 0);
        }
    loop_close(&loop);
}

/* Every signal that would end the program ends the loop instead, and the window's two ask for another size. */
static void signals_have_their_events(void **state)
{
    static const int ends[] = {SIGTERM, SIGINT,  SIGHUP,    SIGQUIT, SIGUSR1, SIGUSR2,
                               SIGALRM, SIGPWR,  SIGVTALRM, SIGPROF, SIGIO};
    struct loop loop;

    (void)state;
    open_loop(&loop);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        assert_int_equal(raise(ends[i]), 0);
        assert_int_equal(loop_wait(&loop, none), LOOP_QUIT);
    }
    assert_int_equal(raise(SIGWINCH), 0);
    assert_int_equal(loop_wait(&loop, none), LOOP_RESIZE);
    assert_int_equal(raise(SIGCONT), 0);
    assert_int_equal(loop_wait(&loop, none), LOOP_RESIZE);
    assert_int_equal(raise(SIGWINCH), 0);
    assert_int_equal(raise(SIGTERM), 0);
    assert_int_equal(loop_wait(&loop, none), LOOP_RESIZE | LOOP_QUIT);
    /* What write() has reported already, and a stop or a closed pipe, end nothing. */
    assert_int_equal(raise(SIGXFSZ), 0);
    assert_int_equal(raise(SIGTSTP), 0);
    assert_int_equal(raise(SIGPIPE), 0);
    assert_int_equal(loop_wait(&loop, none), 0);
    loop_close(&loop);
}

/* Somebody else's is meant. */
static void a_limit_of_somebody_else_ends_it(void **state)
{
    struct loop loop;
    pid_t child, parent = getpid();

    (void)state;
    open_loop(&loop);
    child = fork();
    assert_true(child >= 0);
    if (child == 0)
        _exit(kill(parent, SIGXFSZ));
    assert_int_equal(waitpid(child, NULL, 0), child);
    assert_int_equal(loop_wait(&loop, none), LOOP_QUIT);
    loop_close(&loop);
}

/* Once a second, on the second; not before it is armed. */
static void it_ticks_on_the_second(void **state)
{
    struct loop loop;
    struct timespec now;
    time_t last = 0;

    (void)state;
    open_loop(&loop);
    assert_int_equal(raise(SIGWINCH), 0);
    assert_int_equal(loop_wait(&loop, none), LOOP_RESIZE);
    loop_arm(&loop);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(loop_wait(&loop, none), LOOP_TICK);
        clock_gettime(CLOCK_REALTIME, &now);
        /* On a busy machine it may come late, never early. */
        assert_true(now.tv_sec > last);
        assert_true(i == 0 || now.tv_sec <= last + 30);
        last = now.tv_sec;
    }
    loop_close(&loop);
}

/* ---- before and after ---- */

static void signals_are_as_before(void **state)
{
    struct loop loop;
    sigset_t before, within, after;
    struct sigaction action;
    int files = count_open_files();

    (void)state;
    assert_int_equal(sigemptyset(&before), 0);
    assert_int_equal(sigaddset(&before, SIGUSR1), 0);
    assert_int_equal(sigprocmask(SIG_SETMASK, &before, NULL), 0);
    open_loop(&loop);
    assert_int_equal(count_open_files(), files + 2);
    assert_int_equal(sigprocmask(SIG_BLOCK, NULL, &within), 0);
    assert_true(sigismember(&within, SIGTERM) && sigismember(&within, SIGUSR1) && !sigismember(&within, SIGCHLD));
    loop_close(&loop);
    assert_true(loop.signal_fd == -1 && loop.timer_fd == -1);
    assert_int_equal(count_open_files(), files);
    assert_int_equal(sigprocmask(SIG_SETMASK, NULL, &after), 0);
    assert_true(sigismember(&after, SIGUSR1) && !sigismember(&after, SIGTERM) && !sigismember(&after, SIGWINCH));
    assert_int_equal(sigaction(SIGPIPE, NULL, &action), 0);
    assert_true(action.sa_handler == SIG_IGN);
    assert_int_equal(sigaction(SIGTSTP, NULL, &action), 0);
    assert_true(action.sa_handler == SIG_IGN);
    assert_int_equal(sigemptyset(&before), 0);
    assert_int_equal(sigprocmask(SIG_SETMASK, &before, NULL), 0);
}

/* Without a descriptor left, or with one: said, and nothing stays open. */
static void no_descriptor_is_a_fault(void **state)
{
    struct rlimit before, few;
    int files = count_open_files(), lowest = dup(0);

    (void)state;
    assert_int_equal(close(lowest), 0);
    assert_int_equal(getrlimit(RLIMIT_NOFILE, &before), 0);
    for (int left = 0; left < 2; left++) {
        struct loop loop;
        struct fault fault = {""};

        few = (struct rlimit){(rlim_t)(lowest + left), before.rlim_max};
        assert_int_equal(setrlimit(RLIMIT_NOFILE, &few), 0);
        int result = loop_open(&loop, &fault);
        assert_int_equal(setrlimit(RLIMIT_NOFILE, &before), 0);
        assert_int_equal(result, -1);
        assert_string_equal(fault.text, "cannot create a timer or signal descriptor");
        assert_int_equal(count_open_files(), files);
    }
}

/* ---- clocks ---- */

static void clocks_run_as_they_are_asked_to(void **state)
{
    const struct timespec nap = {.tv_nsec = 300000000};
    struct clock machine, fast, same;
    double utc[2], boot[4], seen;

    (void)state;
    clock_machine(&machine);
    clock_shifted(&fast, 1e9, 50);
    clock_shifted(&same, 1e9 + 0.3, 1);
    assert_near(machine.utc(&machine), (double)time(NULL), 1.5);
    assert_true(machine_running() <= machine_boot());
    assert_near(same.utc(&same), 1e9 + 0.3, 2);
    /* A second of the machine's is a second of it, whenever it is asked between two looks at the machine's. */
    utc[0] = machine_utc();
    seen = same.utc(&same) - same.ahead_s;
    utc[1] = machine_utc();
    assert_true(same.ahead_s == round(same.ahead_s) && seen > utc[0] - 1e-6 && seen < utc[1] + 1e-6);
    boot[0] = machine_boot();
    utc[0] = fast.utc(&fast);
    boot[1] = machine_boot();
    (void)nanosleep(&nap, NULL);
    boot[2] = machine_boot();
    utc[1] = fast.utc(&fast);
    boot[3] = machine_boot();
    assert_true(boot[2] - boot[1] > 0.299);
    assert_true(utc[1] - utc[0] > 50 * (boot[2] - boot[1]) - 1e-4 && utc[1] - utc[0] < 50 * (boot[3] - boot[0]) + 1e-4);
    for (int i = 0; i < 3; i++) {
        struct clock *clock = (struct clock *[]){&machine, &fast, &same}[i];

        utc[0] = clock->utc(clock);
        clock_forward(clock, 5000);
        assert_near(clock->utc(clock) - utc[0], 5000, 50);
        assert_near(clock->boot(clock), machine_boot(), 1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(descriptors_have_their_events),    cmocka_unit_test(signals_have_their_events),
        cmocka_unit_test(a_limit_of_somebody_else_ends_it), cmocka_unit_test(it_ticks_on_the_second),
        cmocka_unit_test(signals_are_as_before),            cmocka_unit_test(no_descriptor_is_a_fault),
        cmocka_unit_test(clocks_run_as_they_are_asked_to),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
