/* The dashboard: what the loop does with each thing that happens. */
#include "live.h"
#include "loop.h"

#include <moonstand/report.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define BELL_EVERY_S 2.0

/* ---- drawing ---- */

/* What the program says besides what is true: the moment's own words stay with the session. */
static void fill_view(struct live *live)
{
    const struct session *session = &live->session;
    struct view *view = &live->view;
    uint64_t appended = session->written.appended_seq, synced = session->written.synced_seq;

    view->quit_armed = live_quit_armed(live);
    view->message = session_message(session);
    view->trouble = *session->trouble ? session->trouble : session->written.trouble;
    view->unwritten = appended > synced ? (int)(appended - synced) : 0;
    view->looking_on = session->looking_on;
    view->speed = session->clock.speed;
    view->prompt = prompt_question(live->prompt);
    view->typed = live->typed;
}

static void draw(struct live *live)
{
    fill_view(live);
    dashboard_draw(&live->canvas, &live->session.night, &live->session.moment, &live->view);
    term_put(&live->canvas);
}

static void follow_size(struct live *live)
{
    int width, height;

    term_size(&width, &height);
    (void)canvas_resize(&live->canvas, width, height);
}

/* ---- alarms that are heard ---- */

static bool any_rig_warns(const struct live *live)
{
    for (int i = 0; i < live->session.night.setup.rig_count; i++)
        if (live->session.moment.rig[i].aim_state == AIM_SOON)
            return true;
    return false;
}

/* Once when a warning begins, every two seconds while an alarm stands. */
static void ring(struct live *live)
{
    double boot = live->session.last_boot;
    bool alarm = live->session.moment.alarm_rig >= 0;

    if (!alarm && !any_rig_warns(live)) {
        live->bell_boot = -INFINITY;
        return;
    }
    if (isinf(live->bell_boot) || (alarm && boot - live->bell_boot >= BELL_EVERY_S - 0.5)) {
        live->bell_boot = boot;
        term_bell();
    }
}

/* ---- what happens ---- */

static void read_devices(struct live *live)
{
    struct clock machine;
    struct readings *readings = &live->session.readings;
    double boot;

    clock_machine(&machine);
    boot = machine.boot(&machine);
    battery_on_deadline(&live->battery, boot);
    battery_fill(&live->battery, readings);
    kernel_clock_on_deadline(&live->kernel_clock, boot);
    kernel_clock_fill(&live->kernel_clock, readings);
    if (live->gps) {
        gps_device_on_deadline(live->gps, boot);
        gps_device_fill(live->gps, machine.utc(&machine), boot, readings);
    }
}

static void gps_readable(struct live *live)
{
    gps_device_on_readable(live->gps, live->session.clock.boot(&live->session.clock));
}

static void journal_readable(struct live *live)
{
    struct session *session = &live->session;
    struct fault fault;

    if (journal_poll(session->journal, &fault) != 0)
        session_say(session, "%.200s", fault.text);
    journal_state(session->journal, &session->written);
}

static void take_keys(struct live *live)
{
    int key;

    while (!live->leaving && (key = term_key()) != INPUT_NONE) {
        if (key == INPUT_GONE) {
            live->leaving = true;
            return;
        }
        live_key(live, key);
    }
}

static void tick(struct live *live)
{
    read_devices(live);
    session_step(&live->session);
    ring(live);
}

static void react(struct live *live, unsigned events)
{
    if (events & LOOP_QUIT)
        live->leaving = true;
    if (events & LOOP_RESIZE) {
        (void)term_resize();
        follow_size(live);
    }
    if (events & LOOP_GPS)
        gps_readable(live);
    if (events & LOOP_JOURNAL)
        journal_readable(live);
    if (events & LOOP_KEYS)
        take_keys(live);
    /* A key acts on what is true now: the moment is made anew, so that its effect shows at once. */
    if (events & (LOOP_TICK | LOOP_KEYS))
        tick(live);
    /* A report of the receiver waits for the tick: one write to the terminal a second is enough. */
    if (events & ~(unsigned)LOOP_GPS)
        draw(live);
}

static void run(struct live *live, struct loop *loop)
{
    loop_arm(loop);
    tick(live);
    draw(live);
    while (!live->leaving) {
        int fds[LOOP_FDS] = {
            [LOOP_FD_KEYS] = term_fd(),
            [LOOP_FD_GPS] = live->gps ? gps_device_fd(live->gps) : -1,
            [LOOP_FD_JOURNAL] = live->session.journal ? journal_fd(live->session.journal) : -1,
        };

        react(live, loop_wait(loop, fds));
    }
}

/* ---- opening and closing ---- */

static int open_theme(struct live *live, const struct options *options, struct fault *fault)
{
    const char *name = options->theme ? options->theme : live->session.night.setup.theme;
    char path[PATH_SIZE];

    theme_default(&live->theme);
    if (strcmp(name, live->theme.name) == 0)
        return 0;
    if (path_theme(name, "themes", path, fault) != 0 || theme_read(path, &live->theme, fault) != 0)
        return -1;
    return theme_valid(&live->theme, fault);
}

static int open_devices(struct live *live, struct fault *fault)
{
    const struct setup *setup = &live->session.night.setup;

    battery_open(&live->battery, BATTERY_ROOT);
    kernel_clock_open(&live->kernel_clock);
    if (*setup->gpsd_host == '\0')
        return 0;
    live->gps = gps_device_new(setup->gpsd_host, setup->gpsd_port, fault);
    return live->gps ? 0 : -1;
}

static int close_live(struct live *live, int status)
{
    struct fault fault;
    int lost;

    term_close();
    gps_device_free(live->gps);
    canvas_free(&live->canvas);
    lost = session_close(&live->session);
    if (lost > 0) {
        (void)fault_set(&fault, "%d entries could not be saved", lost);
        return complain(EXIT_MACHINE, &fault);
    }
    return status;
}

int live_run(struct live *live, const struct options *options)
{
    struct fault fault;
    struct loop loop;

    live->quit_armed_boot = live->bell_boot = -INFINITY;
    if (open_theme(live, options, &fault) != 0 || open_devices(live, &fault) != 0)
        return close_live(live, complain(EXIT_BAD_INPUT, &fault));
    if (loop_open(&loop, &fault) != 0)
        return close_live(live, complain(EXIT_MACHINE, &fault));
    if (term_open(&fault) != 0) {
        loop_close(&loop);
        return close_live(live, complain(EXIT_MACHINE, &fault));
    }
    live->canvas.glyphs = options->ascii ? GLYPHS_ASCII : term_glyphs();
    live->view.item = -1;
    if (term_colours() == TERM_MONO)
        session_say(&live->session, "without colour the screen is not safe for dark-adapted eyes");
    term_theme(&live->theme, live->theme_step);
    follow_size(live);
    run(live, &loop);
    loop_close(&loop);
    return close_live(live, EXIT_DONE);
}
