/* The dashboard: what the loop does with each thing that happens. */
#include "live.h"
#include "look.h"
#include "recall.h"
#include "watcher.h"

#include <moonstand/forecast_file.h>
#include <moonstand/gps.h>
#include <moonstand/setup_file.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { KEYS_AT_ONCE = 64, LINES_WAITING = 4096, GLANCES_AT_ONCE = 32 };
/* Pictures that were there so long before P1 belong to another evening. */
#define PICTURES_AHEAD_S (12 * 3600.0)
#define BELL_EVERY_S 2.0
#define LAST_LINES_S 1.0
#define FORECAST_EVERY_S 10.0

/* ---- drawing ---- */

/* Copies into the view what is not part of the moment: messages, prompts, save state. */
static void fill_view(struct live *live)
{
    const struct session *session = &live->session;
    struct view *view = &live->view;

    view->quit_armed = live_quit_armed(live);
    view->message = session_message(session);
    view->acted = session->message_is_act && view->message == session->message;
    view->trouble = *session->trouble ? session->trouble : session->written.trouble;
    view->unwritten = session->written.unsynced;
    view->looking_on = session->looking_on;
    view->hours_swapped = session->hours_swapped;
    view->units_swapped = session->units_swapped;
    view->speed = session->clock.speed;
    view->prompt = prompt_question(live);
    view->typed = live->typed;
}

/* While the terminal takes nothing, nothing is added: what is true is shown when it goes on. */
static void draw_lines(struct live *live)
{
    const struct session *session = &live->session;

    if (outlet_waiting(&live->out) < LINES_WAITING) {
        lines_tell(&live->lines, live->lines_out, &session->night, &session->moment, &live->view);
        (void)fflush(live->lines_out);
    }
    live->leaving |= outlet_send(&live->out) < 0;
}

static void draw(struct live *live)
{
    const struct session *session = &live->session;

    fill_view(live);
    if (live->by_lines) {
        draw_lines(live);
        return;
    }
    dashboard_draw(&live->canvas, &session->night, &session->moment, &live->view);
    term_put(&live->canvas);
}

static void follow_size(struct live *live)
{
    int width, height;

    term_size(&width, &height);
    (void)canvas_resize(&live->canvas, width, height);
}

/* ---- alarms that are heard ---- */

/* Every two seconds while an alarm is on that a key can answer; twice for a warning, once for
 * whatever else has come due. */
static void ring(struct live *live)
{
    double boot = live->session.last_boot;
    bool alarm = live->session.moment.alarm_rig >= 0 && !live->by_lines;

    if (!alarm && live->bells == 0)
        return;
    if (alarm ? boot - live->bell_boot < BELL_EVERY_S - 0.5 : boot - live->bell_boot < 0.5)
        return;
    if (live->bells > 0)
        live->bells--;
    live->bell_boot = boot;
    if (!live->by_lines)
        term_bell();
    else if (outlet_waiting(&live->out) < LINES_WAITING)
        (void)fputc('\a', live->lines_out);
}

/* On the screen that of an alarm goes on until it is answered. */
static const int bells_for[HOOKS] = {
    [HOOK_ALARM] = 3, [HOOK_WARNING] = 2, [HOOK_SWAP] = 1, [HOOK_AIR] = 1};

/* ---- hooks ---- */

/* A command of the setup runs only if nobody else could have written it or its program. */
static int check_command(const struct setup *setup, const struct user_command *command,
                         struct fault *fault)
{
    return setup->trust.may_run ? program_check(command->text, fault)
                                : fault_set(fault, "%s", setup->trust.doubt);
}

static void run_hook(struct live *live, const struct hook_facts *facts, double boot)
{
    const struct setup *setup = &live->session.night.setup;
    const struct user_command *command = &setup->hook[facts->event];
    struct fault fault;

    if (command->count == 0 || !live->hooks_wanted)
        return;
    if (check_command(setup, command, &fault) != 0)
        session_say(&live->session, "hook %s: not run: %.180s", hook_event_name(facts->event),
                    fault.text);
    else if (hooks_run(&live->hooks, command, facts, boot, &fault) != 0)
        session_say(&live->session, "hook %s: %.150s", hook_event_name(facts->event), fault.text);
}

/* Adds lines, and keeps the newest whole ones that fit. */
static void keep_to_say(char kept[SAY_WAITING], const char *lines)
{
    char *all;

    if (asprintf(&all, "%s%s", kept, lines) < 0)
        return;
    const char *newest = all;
    while (strlen(newest) >= SAY_WAITING)
        newest += strcspn(newest, "\n") + 1;
    (void)snprintf(kept, SAY_WAITING, "%s", newest);
    free(all);
}

/* New lines go to the voice; those of the start are not spoken. */
static void speak(struct live *live, double boot)
{
    const struct session *session = &live->session;
    const struct setup *setup = &session->night.setup;
    const struct user_command *voice = &setup->hook[HOOK_SAY];
    bool first = isnan(live->spoken.utc);
    char *lines = NULL;
    size_t size = 0;
    struct fault fault;

    if (voice->count == 0 || !live->hooks_wanted)
        return;
    FILE *memory = open_memstream(&lines, &size);
    if (!memory)
        return;
    fill_view(live);
    lines_tell(&live->spoken, memory, &session->night, &session->moment, &live->view);
    if (fclose(memory) == 0 && !first && size > 0)
        keep_to_say(live->to_say, lines);
    free(lines);
    if (!*live->to_say || hooks_speak(&live->hooks))
        return;
    if (check_command(setup, voice, &fault) != 0)
        session_say(&live->session, "hook say: not run: %.180s", fault.text);
    else if (hooks_say(&live->hooks, voice, live->to_say, boot, &fault) != 0)
        session_say(&live->session, "hook say: %.150s", fault.text);
    live->to_say[0] = '\0';
}

/* Rings the bell and runs hooks for everything new since the last tick. */
static void tell_news(struct live *live)
{
    enum { NEWS = 32 };
    struct session *session = &live->session;
    struct hook_facts facts[NEWS];
    double before = live->watch.utc, boot = machine_boot();
    int count = watch_step(&live->watch, &session->night, &session->moment, facts, NEWS);

    for (int i = 0; i < count; i++) {
        if (bells_for[facts[i].event] > live->bells)
            live->bells = bells_for[facts[i].event];
        run_hook(live, &facts[i], boot);
    }
    speak(live, boot);
    if (live->bells == 0 && watch_due(&session->night, &session->moment, before) > 0)
        live->bells = 1;
}

/* ---- what happens ---- */

/* A picture that has landed, held against the night of that moment. What came out of the watcher is
 * as little to be trusted as a picture. */
static void take_picture(struct live *live, struct glance *glance)
{
    struct session *session = &live->session;
    double ago_s = fmax(machine_utc() - glance->seen.landed_utc, 0);
    double utc = session->clock.utc(&session->clock) - ago_s * session->clock.speed;

    if (!look_is_sound(&session->night.setup, &glance->seen) || !(ago_s < SECONDS_PER_DAY))
        return;
    glance->seen.rig = glance->rig;
    album_take(session, &session->moment, &glance->seen, utc, glance->fresh);
}

/* What is no count becomes 0. */
static double count_of(double value)
{
    return value >= 0 && value < 1e15 ? value : 0;
}

/* What is wrong with one picture stands on the screen until the next act. */
static void tell_picture(struct session *session, const char *words)
{
    session_say(session, "%.190s", words);
    if (*session->standing == '\0')
        (void)snprintf(session->standing, sizeof session->standing, "%.190s", words);
}

static void take_glance(struct live *live, struct glance *glance)
{
    struct session *session = &live->session;
    struct readings *readings = &session->readings;

    glance->text[GLANCE_TEXT - 1] = '\0';
    text_clean(glance->text);
    if (glance->kind == GLANCE_WORD)
        tell_picture(session, glance->text);
    if ((glance->kind == GLANCE_FILE || glance->kind == GLANCE_FOLDER) &&
        (glance->rig < 0 || glance->rig >= session->night.setup.rig_count))
        return;
    for (int i = 0; i < RIGS; i++) {
        readings->album[i].frames = count_of(glance->frames[i]);
        readings->album[i].bytes = count_of(glance->bytes[i]);
        readings->album[i].raw = count_of(glance->raw[i]);
    }
    if (glance->kind == GLANCE_FOLDER)
        readings->album[glance->rig].folder_gone = glance->gone;
    if (glance->kind == GLANCE_FILE)
        take_picture(live, glance);
}

static void hear_of_pictures(struct live *live, double boot)
{
    struct glance glance;

    for (int i = 0; i < GLANCES_AT_ONCE && eye_device_next(&live->eye, boot, &glance); i++)
        take_glance(live, &glance);
    live->session.readings.eye = eye_device_state(&live->eye, boot);
}

static void read_devices(struct live *live)
{
    struct readings *readings = &live->session.readings;
    double utc = machine_utc(), boot = machine_boot();
    struct fault fault;

    battery_tick(&live->battery, boot, readings);
    kernel_clock_tick(&live->kernel_clock, boot, readings);
    if (live->gps) {
        gps_device_tick(live->gps, boot);
        gps_device_fill(live->gps, utc, boot, readings);
    }
    sensor_tick(&live->sensor, utc, boot);
    sensor_fill(&live->sensor, boot, readings);
    for (int i = 0; i < live->session.night.setup.rig_count; i++) {
        card_tick(&live->card[i], boot);
        card_fill(&live->card[i], i, readings);
    }
    hear_of_pictures(live, boot);
    hooks_tick(&live->hooks, boot);
    if (keep_awake_tick(&live->keep_awake, boot, &fault) != 0)
        session_say(&live->session, "%.200s", fault.text);
    if (!live->session.night.rehearsal && !live->session.looking_on)
        readings->awake = live->keep_awake.state;
}

/* Said once each time that it changes. */
static void tell_sensor(struct live *live)
{
    const char *trouble = live->session.readings.air_trouble;

    if (strcmp(trouble, live->sensor_said) == 0)
        return;
    (void)snprintf(live->sensor_said, sizeof live->sensor_said, "%s", trouble);
    if (*trouble)
        session_say(&live->session, "air sensor: %s", trouble);
}

static void journal_readable(struct live *live)
{
    struct session *session = &live->session;
    struct fault fault;

    if (journal_poll(session->journal, &fault) != 0)
        session_say(session, "%.200s", fault.text);
    night_fold(&session->night);
    journal_state(session->journal, &session->written);
}

/* Not more of them than a person types between two looks at clock and signals. */
static void take_keys(struct live *live)
{
    int key = INPUT_NONE;

    for (int i = 0; i < KEYS_AT_ONCE && !live->leaving; i++) {
        key = term_key();
        if (key == INPUT_NONE)
            break;
        if (key == INPUT_GONE)
            live->leaving = true;
        else
            live_key(live, key);
    }
    live->keys_left = key != INPUT_NONE;
}

/* True if there is room again for what could not be shown. */
static bool send_more(struct live *live)
{
    if (!live->by_lines)
        return term_send();
    live->leaving |= outlet_on_writable(&live->out) < 0;
    return outlet_waiting(&live->out) == 0;
}

static void read_forecast(struct live *live)
{
    struct fault fault;

    live->forecast_utc = file_written_utc(live->session.night.setup.site.forecast);
    if (load_forecast(&live->session.night, &fault) != 0)
        session_say(&live->session, "forecast: %.220s", fault.text);
}

/* A newer forecast that came over the file is read. */
static void watch_forecast(struct live *live)
{
    double boot = live->session.last_boot, written;

    if (boot - live->forecast_boot < FORECAST_EVERY_S)
        return;
    live->forecast_boot = boot;
    written = file_written_utc(live->session.night.setup.site.forecast);
    if (isfinite(written) && written != live->forecast_utc)
        read_forecast(live);
}

/* ---- devices ---- */

static void open_cards(struct live *live)
{
    const struct setup *setup = &live->session.night.setup;
    const char *own = *live->session.folder ? live->session.folder : "/";

    for (int i = 0; i < RIGS; i++)
        card_open(&live->card[i], i < setup->rig_count ? setup->rig[i].card_path : "", own);
}

static void close_cards(struct live *live)
{
    for (int i = 0; i < RIGS; i++)
        card_close(&live->card[i]);
}

static int open_gps(struct live *live, struct fault *fault)
{
    const struct setup *setup = &live->session.night.setup;

    if (*setup->gpsd_host == '\0')
        return 0;
    live->gps = gps_device_new(setup->gpsd_host, setup->gpsd_port, fault);
    return live->gps ? 0 : -1;
}

static void open_sensor(struct live *live)
{
    const struct setup *setup = &live->session.night.setup;
    struct fault fault = {""};

    if (setup->air.command.count > 0)
        (void)check_command(setup, &setup->air.command, &fault);
    sensor_open(&live->sensor, &setup->air, fault.text);
}

/* A rehearsal may be slept through, and of two copies the one that writes holds the lock. */
static void open_keep_awake(struct live *live)
{
    const struct session *session = &live->session;
    struct fault fault = {""};
    bool wanted =
        session->night.setup.keep_awake && !session->night.rehearsal && !session->looking_on;

    if (wanted && program_check(KEEP_AWAKE_PROGRAM, &fault) != 0)
        session_say(&live->session, "not run: %.180s", fault.text);
    keep_awake_open(&live->keep_awake, wanted && *fault.text == '\0');
}

static bool wants_pictures(const struct setup *setup)
{
    for (int i = 0; i < setup->rig_count; i++)
        if (*setup->rig[i].pictures)
            return true;
    return false;
}

/* Since when pictures are of this session: a rehearsal's are those that come in it. */
static double pictures_since(const struct live *live)
{
    const struct night *night = &live->session.night;
    double begun = night->act_count ? night->acts[0].utc : NAN;

    if (night->rehearsal)
        return live->opened_utc;
    return fmax(begun, night->contact_utc[CONTACT_P1] - PICTURES_AHEAD_S);
}

/* The program itself, as a process of its own. -1 with a fault. */
static int watch_command(const struct live *live, struct user_command *command, struct fault *fault)
{
    const struct session *session = &live->session;
    char path[PATH_SIZE], since[TEXT_INSTANT];
    const char *program = program_path(path);

    *command = (struct user_command){0};
    if (!wants_pictures(&session->night.setup) || session->looking_on)
        return 0;
    if (!session->journal ||
        setup_keep(session->folder, SETUP_WATCHED, &session->night.setup, fault) != 0)
        return fault_set(fault, "pictures are not watched: this session cannot be saved");
    (void)format_iso(since, pictures_since(live), 3, "Z");
    if (!program || access(program, X_OK) != 0)
        program = "/proc/self/exe";
    if (command_add(command, program) && command_add(command, WATCHER_COMMAND) &&
        command_add(command, session->folder) && command_add(command, since))
        return 0;
    return fault_set(fault, "pictures are not watched: the path of the session is too long");
}

void live_watch(struct live *live)
{
    struct session *session = &live->session;
    struct user_command command;
    struct fault fault;
    double boot = machine_boot();

    eye_device_close(&live->eye);
    if (watch_command(live, &command, &fault) != 0 ||
        eye_device_open(&live->eye, &command, boot, &fault) != 0)
        session_say(session, "%.200s", fault.text);
    session->readings.eye = eye_device_state(&live->eye, boot);
}

/* Once the night is derived: what was seen before is held against it. */
static void begin_pictures(struct live *live)
{
    struct fault fault;

    if (wants_pictures(&live->session.night.setup) && recall_pictures(&live->session, &fault) != 0)
        session_say(&live->session, "%.200s", fault.text);
    live_watch(live);
}

static int open_devices(struct live *live, struct fault *fault)
{
    live->battery.root = BATTERY_ROOT;
    open_sensor(live);
    open_keep_awake(live);
    open_cards(live);
    live->opened_utc = machine_utc();
    live->eye.child.fd = -1;
    return open_gps(live, fault);
}

/* Whether what the watcher goes by has changed. */
static bool pictures_differ(const struct setup *a, const struct setup *b)
{
    return a->rig_count != b->rig_count || a->look_every_s != b->look_every_s ||
           memcmp(a->rig, b->rig, (size_t)a->rig_count * sizeof *a->rig) != 0;
}

static bool same_cards(const struct setup *a, const struct setup *b)
{
    bool same = a->rig_count == b->rig_count;

    for (int i = 0; same && i < a->rig_count; i++)
        same = strcmp(a->rig[i].card_path, b->rig[i].card_path) == 0;
    return same;
}

/* Opens anew what the setup now names otherwise. */
static void reopen_devices(struct live *live)
{
    struct session *session = &live->session;
    const struct setup *before = &live->followed, *now = &session->night.setup;
    struct readings none;
    struct fault fault;

    if (memcmp(&now->air, &before->air, sizeof now->air) != 0) {
        sensor_close(&live->sensor);
        open_sensor(live);
    }
    if (strcmp(now->gpsd_host, before->gpsd_host) != 0 || now->gpsd_port != before->gpsd_port) {
        readings_none(&none);
        session->readings.gps = none.gps;
        gps_device_free(live->gps);
        live->gps = NULL;
        if (open_gps(live, &fault) != 0)
            session_say(session, "%.200s", fault.text);
    }
    if (pictures_differ(now, before))
        live_watch(live);
    if (!same_cards(now, before)) {
        close_cards(live);
        open_cards(live);
    }
    if (now->keep_awake != before->keep_awake) {
        keep_awake_close(&live->keep_awake);
        open_keep_awake(live);
    }
}

/* Goes by a changed setup; only an act changes it. */
static void follow_setup(struct live *live)
{
    static const struct forecast no_forecast = {.issued_utc = NAN};
    struct session *session = &live->session;
    const struct setup *before = &live->followed, *now = &session->night.setup;

    if (live->followed_acts == session->night.act_count)
        return;
    live->followed_acts = session->night.act_count;
    reopen_devices(live);
    if (strcmp(now->site.forecast, before->site.forecast) != 0) {
        night_take_forecast(&session->night, &no_forecast);
        read_forecast(live);
    }
    if (strcmp(now->theme, before->theme) != 0)
        look_take(live, now->theme);
    if (live->view.rig >= now->rig_count)
        live->view.rig = now->rig_count - 1;
    /* What the setup now asks for is shown, whatever a key had chosen before. */
    session->hours_swapped &= now->hours == before->hours;
    session->units_swapped &= now->units == before->units;
    setup_copy(&live->followed, now);
}

/* ---- what happens ---- */

static void tick(struct live *live)
{
    read_devices(live);
    tell_sensor(live);
    /* What takes the night back to its acts comes before the step that derives it again. */
    follow_setup(live);
    watch_forecast(live);
    session_step(&live->session);
    tell_news(live);
    ring(live);
}

static void react(struct live *live, unsigned events)
{
    if (live->keys_left)
        events |= LOOP_KEYS;
    if (events & LOOP_QUIT)
        live->leaving = true;
    if ((events & LOOP_RESIZE) && !live->by_lines) {
        (void)term_resize();
        follow_size(live);
    }
    if (events & LOOP_GPS)
        gps_device_on_readable(live->gps, live->session.clock.boot(&live->session.clock));
    if (events & LOOP_SENSOR)
        sensor_on_readable(&live->sensor);
    if (events & LOOP_JOURNAL)
        journal_readable(live);
    if (events & LOOP_KEYS)
        take_keys(live);
    /* A key acts on what is true now: the moment is made anew, so that its effect shows at once. */
    if (events & (LOOP_TICK | LOOP_KEYS))
        tick(live);
    /* A report of the receiver waits for the tick: one write to the terminal a second is enough. */
    if ((events & ~(unsigned)(LOOP_GPS | LOOP_SENSOR | LOOP_OUT)) ||
        ((events & LOOP_OUT) && send_more(live)))
        draw(live);
}

static void run(struct live *live, struct loop *loop)
{
    loop_arm(loop);
    tick(live);
    draw(live);
    session_keep(&live->session);
    begin_pictures(live);
    while (!live->leaving) {
        int fds[LOOP_FDS] = {
            [LOOP_FD_KEYS] = live->by_lines ? -1 : term_fd(),
            [LOOP_FD_GPS] = live->gps ? gps_device_fd(live->gps) : -1,
            [LOOP_FD_JOURNAL] = live->session.journal ? journal_fd(live->session.journal) : -1,
            [LOOP_FD_SENSOR] = sensor_fd(&live->sensor),
            [LOOP_FD_OUT] = live->by_lines ? outlet_poll_fd(&live->out) : term_waiting_fd(),
        };

        react(live, loop_wait(loop, fds));
    }
}

/* ---- opening and closing ---- */

static ssize_t add_lines(void *outlet, const char *bytes, size_t size)
{
    return outlet_add(outlet, bytes, size) == 0 ? (ssize_t)size : 0;
}

/* Lines for the terminal: as many as it takes. */
static int open_lines(struct live *live, struct fault *fault)
{
    static const cookie_io_functions_t functions = {.write = add_lines};

    if (!live->by_lines)
        return 0;
    outlet_open(&live->out, STDOUT_FILENO);
    live->lines_out = fopencookie(&live->out, "w", functions);
    return live->lines_out ? 0 : fault_set(fault, "out of memory");
}

static void close_lines(struct live *live)
{
    if (!live->lines_out)
        return;
    (void)fclose(live->lines_out);
    (void)outlet_drain(&live->out, LAST_LINES_S);
    outlet_close(&live->out);
}

/* The session first: the terminal may be one that does not read. */
static int close_live(struct live *live, int status)
{
    int lost = session_close(&live->session);

    gps_device_free(live->gps);
    sensor_close(&live->sensor);
    hooks_close(&live->hooks);
    keep_awake_close(&live->keep_awake);
    eye_device_close(&live->eye);
    close_cards(live);
    canvas_free(&live->canvas);
    close_lines(live);
    term_close();
    if (lost > 0)
        return complain_that(EXIT_MACHINE, "%d entries could not be saved", lost);
    return status;
}

/* In a rehearsal hooks run only on request, and never beside the copy that writes. What was missed
 * before the start is news. */
static void begin_watch(struct live *live, const struct options *options)
{
    const struct session *session = &live->session;

    watch_begin(&live->watch,
                session->missed_from ? session->missed_from : session->night.act_count);
    live->hooks_wanted = (!session->night.rehearsal || options->hooks) && !session->looking_on;
}

static void open_canvas(struct live *live, bool ascii)
{
    live->canvas.glyphs = ascii ? GLYPHS_ASCII : term_glyphs();
    term_theme(&live->theme, live->theme_step);
    follow_size(live);
}

int live_run(struct live *live, struct loop *loop, const struct options *options)
{
    struct fault fault;

    if (open_devices(live, &fault) != 0)
        return close_live(live, complain(EXIT_BAD_INPUT, &fault));
    if (open_lines(live, &fault) != 0)
        return close_live(live, complain(EXIT_MACHINE, &fault));
    if (!live->by_lines && term_colours() == TERM_MONO)
        session_say(&live->session, "without colour the screen is not safe for dark-adapted eyes");
    live->quit_armed_boot = live->bell_boot = live->pasted_boot = -INFINITY;
    live->view.item = -1;
    live->view.keys = key_table;
    if (!live->by_lines)
        open_canvas(live, options->ascii);
    lines_begin(&live->lines);
    lines_begin(&live->spoken);
    read_forecast(live);
    setup_copy(&live->followed, &live->session.night.setup);
    live->followed_acts = live->session.night.act_count;
    begin_watch(live, options);
    run(live, loop);
    return close_live(live, EXIT_DONE);
}
