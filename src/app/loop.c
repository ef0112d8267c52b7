/* The one place that waits. */
#include "loop.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/signalfd.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

/* Those that would end the program without a word, and two that change the window. */
static const int caught_signals[] = {SIGWINCH, SIGCONT,   SIGTERM, SIGINT,  SIGHUP,
                                     SIGQUIT,  SIGUSR1,   SIGUSR2, SIGALRM, SIGPWR,
                                     SIGXFSZ,  SIGVTALRM, SIGPROF, SIGIO};

int loop_open(struct loop *loop, struct fault *fault)
{
    sigset_t caught;

    *loop = (struct loop){.signal_fd = -1, .timer_fd = -1};
    (void)sigemptyset(&caught);
    for (size_t i = 0; i < sizeof caught_signals / sizeof *caught_signals; i++)
        (void)sigaddset(&caught, caught_signals[i]);
    (void)sigprocmask(SIG_BLOCK, &caught, &loop->mask_before);
    /* A closed pipe is an error of write(); a slip on Ctrl-Z must not stop the alarms. */
    (void)sigaction(SIGPIPE, &(struct sigaction){.sa_handler = SIG_IGN}, NULL);
    (void)sigaction(SIGTSTP, &(struct sigaction){.sa_handler = SIG_IGN}, NULL);
    loop->signal_fd = signalfd(-1, &caught, SFD_NONBLOCK | SFD_CLOEXEC);
    loop->timer_fd = timerfd_create(CLOCK_REALTIME, TFD_NONBLOCK | TFD_CLOEXEC);
    if (loop->signal_fd < 0 || loop->timer_fd < 0) {
        loop_close(loop);
        return fault_set(fault, "cannot create a timer or signal descriptor");
    }
    return 0;
}

void loop_close(struct loop *loop)
{
    if (loop->signal_fd >= 0)
        (void)close(loop->signal_fd);
    if (loop->timer_fd >= 0)
        (void)close(loop->timer_fd);
    loop->signal_fd = loop->timer_fd = -1;
    (void)sigprocmask(SIG_SETMASK, &loop->mask_before, NULL);
}

void loop_arm(struct loop *loop)
{
    struct timespec now;
    struct itimerspec next = {.it_interval = {.tv_sec = 1}};

    clock_gettime(CLOCK_REALTIME, &now);
    next.it_value.tv_sec = now.tv_sec + 1;
    (void)timerfd_settime(loop->timer_fd, TFD_TIMER_ABSTIME | TFD_TIMER_CANCEL_ON_SET, &next, NULL);
}

/* A clock that was set, or a resume, cancels the timer; it must be armed again or nothing ticks. */
static bool timer_fired(struct loop *loop)
{
    uint64_t ticks;

    if (read(loop->timer_fd, &ticks, sizeof ticks) == (ssize_t)sizeof ticks)
        return true;
    if (errno == ECANCELED) {
        loop_arm(loop);
        return true;
    }
    return false;
}

static unsigned take_signals(struct loop *loop)
{
    struct signalfd_siginfo info;
    unsigned events = 0;

    while (read(loop->signal_fd, &info, sizeof info) == (ssize_t)sizeof info) {
        /* A file of ours that may grow no further: write() has reported it. */
        bool own = info.ssi_signo == SIGXFSZ && info.ssi_pid == (uint32_t)getpid();

        if (info.ssi_signo == SIGWINCH || info.ssi_signo == SIGCONT)
            events |= LOOP_RESIZE;
        else if (!own)
            events |= LOOP_QUIT;
    }
    return events;
}

unsigned loop_wait(struct loop *loop, const int fds[LOOP_FDS])
{
    struct pollfd polled[LOOP_FDS + 2];
    unsigned events = 0;

    for (int i = 0; i < LOOP_FDS; i++)
        polled[i] = (struct pollfd){.fd = fds[i], .events = i == LOOP_FD_OUT ? POLLOUT : POLLIN};
    polled[LOOP_FDS] = (struct pollfd){.fd = loop->signal_fd, .events = POLLIN};
    polled[LOOP_FDS + 1] = (struct pollfd){.fd = loop->timer_fd, .events = POLLIN};
    if (ppoll(polled, LOOP_FDS + 2, NULL, NULL) < 0)
        return 0;
    for (int i = 0; i < LOOP_FDS; i++)
        if (polled[i].revents)
            events |= 1U << i;
    if (polled[LOOP_FDS].revents)
        events |= take_signals(loop);
    if (polled[LOOP_FDS + 1].revents && timer_fired(loop))
        events |= LOOP_TICK;
    return events;
}
