/* The loop of the live night, with a clock, a keyboard, a terminal, a battery, a receiver and a watcher of
 * the test's own: an hour passes in a moment, and each bell, message, question, hook and act is held to
 * tests/prints/live-*.txt. */
#include "lived.h"
#include "machine.h"

#include "../../src/app/live.h"
#include "open_files.h"

#include <blessed.h>

#include <moonstand/forecast.h>
#include <moonstand/gps.h>
#include <moonstand/record_words.h>
#include <moonstand/series.h>
#include <moonstand/terminal.h>

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/timex.h>
#include <sys/wait.h>

static struct live live;

/* ---- the machine ---- */

int adjtimex(struct timex *answer)
{
    *answer = (struct timex){.status = STA_UNSYNC};
    return TIME_ERROR;
}

static struct {
    double percent, left_s;
    bool discharging;
} laptop = {81, NAN, false};

void battery_tick(struct battery_device *battery, double boot_s, struct readings *readings)
{
    (void)boot_s;
    assert_string_equal(battery->root, BATTERY_ROOT);
    readings->battery_percent = laptop.percent;
    readings->battery_left_s = laptop.left_s;
    readings->battery_discharging = laptop.discharging;
}

/* Every card that is named is full; that is known at once, on however busy a machine. */
void card_open(struct card_device *card, const char *path, const char *own)
{
    *card = (struct card_device){.free_bytes = *path ? 0 : NAN};
    assert_true(*own);
}

void card_close(struct card_device *card)
{
    (void)card;
}

void card_tick(struct card_device *card, double boot_s)
{
    (void)card;
    assert_near(boot_s, now.boot, 0);
}

void card_fill(const struct card_device *card, int rig, struct readings *readings)
{
    readings->card_free_bytes[rig] = card->free_bytes;
}

/* ---- the receiver ---- */

struct gps_device {
    bool open;
};

static struct gps_device receiver;
static struct gps_reading heard = {GPS_NO_FIX, 1, 4, NAN, NAN, NAN, NAN, NAN, NAN, NAN};

static void put_device(const char *what);

struct gps_device *gps_device_new(const char *host, int port, struct fault *fault)
{
    char what[80];

    (void)snprintf(what, sizeof what, "receiver %s:%d", host, port);
    put_device(what);
    if (port == 13) {
        (void)fault_set(fault, "no receiver at this port");
        return NULL;
    }
    assert_false(receiver.open);
    receiver.open = true;
    return &receiver;
}

void gps_device_free(struct gps_device *gps)
{
    if (!gps)
        return;
    assert_true(gps->open);
    gps->open = false;
    put_device("receiver closed");
}

int gps_device_fd(const struct gps_device *gps)
{
    assert_true(gps->open);
    return -1;
}

void gps_device_on_readable(struct gps_device *gps, double boot_s)
{
    (void)boot_s;
    assert_true(gps->open);
}

void gps_device_tick(struct gps_device *gps, double boot_s)
{
    assert_true(gps->open);
    assert_near(boot_s, now.boot, 0);
}

void gps_device_fill(const struct gps_device *gps, double utc, double boot_s, struct readings *readings)
{
    assert_true(gps->open);
    assert_near(utc, now.utc, 0);
    assert_near(boot_s, now.boot, 0);
    readings->gps = heard;
}

/* ---- the watcher of pictures ---- */

enum { GLANCES = 64 };
static struct {
    struct glance glance[GLANCES];
    int count, taken, hurried;
    enum eye_state state;
} watcher;

/* Its command: what is after the program and the folder of the session. */
int eye_device_open(struct eye_device *eye, const struct user_command *command, double boot_s, struct fault *fault)
{
    const char *word = command->text;
    char what[120];

    (void)boot_s;
    (void)fault;
    eye->wanted = command->count > 0;
    if (!eye->wanted)
        return 0;
    assert_int_equal(command->count, 4);
    for (int i = 0; i < 3; i++)
        word += strlen(word) + 1;
    (void)snprintf(what, sizeof what, "watcher of pictures since %s", word);
    put_device(what);
    return 0;
}

void eye_device_close(struct eye_device *eye)
{
    eye->wanted = false;
}

bool eye_device_next(struct eye_device *eye, double boot_s, struct glance *glance)
{
    (void)boot_s;
    if (!eye->wanted || watcher.taken == watcher.count)
        return false;
    *glance = watcher.glance[watcher.taken++];
    return true;
}

void eye_device_hurry(const struct eye_device *eye)
{
    watcher.hurried += eye->wanted;
}

enum eye_state eye_device_state(struct eye_device *eye, double boot_s)
{
    (void)boot_s;
    return eye->wanted ? watcher.state : EYE_OFF;
}

/* ---- the terminal ---- */

static struct {
    const char *keys; /* not taken yet */
    int bells, drawn, width, asked_for_size;
    bool gone, closed;
} terminal;

int term_open(struct fault *fault)
{
    (void)fault;
    return 0;
}

void term_close(void)
{
    terminal.closed = true;
}

int term_fd(void)
{
    return -1;
}

enum term_colours term_colours(void)
{
    return TERM_256;
}

enum glyph_set term_glyphs(void)
{
    return GLYPHS_ASCII;
}

void term_size(int *width, int *height)
{
    *width = terminal.width;
    *height = 40;
}

bool term_resize(void)
{
    terminal.asked_for_size++;
    return true;
}

void term_theme(const struct theme *theme, int step)
{
    (void)theme;
    (void)step;
}

void term_put(const struct canvas *canvas)
{
    terminal.drawn++;
    terminal.width = canvas->width;
}

int term_waiting_fd(void)
{
    return -1;
}

bool term_send(void)
{
    return false;
}

void term_redraw(void)
{
}

void term_bell(void)
{
    terminal.bells++;
}

int term_key(void)
{
    int key = (unsigned char)*terminal.keys;

    if (key == '\0')
        return terminal.gone ? (int)INPUT_GONE : (int)INPUT_NONE;
    terminal.keys++;
    return key == '\n' ? (int)INPUT_ENTER : key == '\t' ? (int)INPUT_TAB : key == '\33' ? (int)INPUT_ESCAPE : key;
}

/* ---- the loop ---- */

#define SLOW_S 1.0
#define FAST_S (GAP_S - 2)

/* What happens so many seconds after the start. */
struct happening {
    double at_s;
    const char *keys;
    void (*happens)(void);
};

static struct {
    const struct happening *first, *next; /* the last one ends it, if nothing before has */
    double begun_utc;
    FILE *log;
    int rung; /* bells since the last line about them */
    double rung_from, rung_to;
    char message[ACT_TEXT], question[ACT_TEXT], typed[TYPED];
} play;

int loop_open(struct loop *loop, struct fault *fault)
{
    (void)loop;
    (void)fault;
    return 0;
}

void loop_close(struct loop *loop)
{
    (void)loop;
}

void loop_arm(struct loop *loop)
{
    (void)loop;
}

/* The folder of the test has another name each time. */
static void put_clean(const char *text)
{
    for (const char *home; (home = strstr(text, state_home)); text = home + strlen(state_home))
        fprintf(play.log, "%.*s~", (int)(home - text), text);
    fprintf(play.log, "%.*s\n", (int)strcspn(text, "\n"), text);
}

/* Bells no more than three seconds apart are one line. */
static void log_bells(void)
{
    char from[TEXT_INSTANT], to[TEXT_INSTANT];

    if (terminal.bells > 0) {
        play.rung_from = play.rung > 0 ? play.rung_from : now.utc;
        play.rung_to = now.utc;
        play.rung += terminal.bells;
        terminal.bells = 0;
    } else if (play.rung > 0 && now.utc - play.rung_to > 3) {
        fprintf(play.log, "%.8s rings %d times until %.8s\n", format_iso(from, play.rung_from, 0, "") + 11, play.rung,
                format_iso(to, play.rung_to, 0, "") + 11);
        play.rung = 0;
    }
}

static void log_if_new(const char *what, char *last, size_t size, const char *text)
{
    char clock[TEXT_INSTANT];

    if (strncmp(last, text, size - 1) == 0)
        return;
    (void)snprintf(last, size, "%s", text);
    fprintf(play.log, "%.8s %s ", format_iso(clock, now.utc, 0, "") + 11, what);
    put_clean(text);
}

static void log_what_is_new(void)
{
    const char *question = live.view.prompt ? live.view.prompt : "";

    log_bells();
    log_if_new(live.view.acted ? "act" : "says", play.message, sizeof play.message, live.view.message);
    log_if_new("asks", play.question, sizeof play.question, question);
    log_if_new("typed", play.typed, sizeof play.typed, *question ? live.view.typed : "");
}

/* What becomes of the devices. */
static void put_device(const char *what)
{
    char clock[TEXT_INSTANT];

    fprintf(play.log, "%.8s %s\n", format_iso(clock, now.utc, 0, "") + 11, what);
}

/* No hook and no sensor takes any time of the night. */
static void wait_for_programs(void)
{
    const struct child *all[HOOKS_RUNNING + 2] = {&live.sensor.child, &live.hooks.voice};
    siginfo_t info;

    for (int i = 0; i < HOOKS_RUNNING; i++)
        all[i + 2] = &live.hooks.child[i];
    for (int i = 0; i < HOOKS_RUNNING + 2; i++)
        if (all[i]->pid > 0)
            (void)waitid(P_PID, (id_t)all[i]->pid, &info, WEXITED | WNOWAIT);
}

/* Second by second while it rings and around what happens; else as fast as nobody would call asleep. */
static bool is_slow(void)
{
    double at_s = now.utc - play.begun_utc;
    bool soon = fabs(live.session.night.rig[LONG].due_utc - now.utc) < 2 * FAST_S;

    return soon || live.session.moment.alarm_rig >= 0 || play.rung > 0 || play.next->at_s - at_s < 2 * FAST_S ||
           (play.next > play.first && at_s - play.next[-1].at_s < FAST_S);
}

unsigned loop_wait(struct loop *loop, const int fds[LOOP_FDS])
{
    unsigned events = LOOP_TICK;

    (void)loop;
    (void)fds;
    log_what_is_new();
    wait_for_programs();
    pass(is_slow() ? SLOW_S : FAST_S);
    while (now.utc - play.begun_utc >= play.next->at_s) {
        if (play.next->keys) {
            terminal.keys = play.next->keys;
            events |= LOOP_KEYS;
        }
        if (play.next->happens)
            play.next->happens();
        else if (!play.next->keys)
            return LOOP_QUIT;
        play.next++;
    }
    return terminal.width != live.canvas.width ? events | LOOP_RESIZE : events;
}

/* ---- a night ---- */

static const char *path_of(const char *name)
{
    static char path[128];

    (void)snprintf(path, sizeof path, "%s/%s", state_home, name);
    return path;
}

static void put_file(const char *name, const char *text)
{
    FILE *file = fopen(path_of("new"), "w");
    char fresh[128];

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
    (void)snprintf(fresh, sizeof fresh, "%s", path_of("new"));
    assert_int_equal(rename(fresh, path_of(name)), 0);
}

/* As old as the test's clock has it. */
static void put_reading(const char *text)
{
    const struct timespec times[2] = {{.tv_sec = (time_t)now.utc}, {.tv_sec = (time_t)now.utc}};

    put_file("air", text);
    assert_int_equal(utimensat(AT_FDCWD, path_of("air"), times, 0), 0);
}

static void put_forecast(int cloud_percent)
{
    const struct timespec times[2] = {{.tv_sec = (time_t)now.utc}, {.tv_sec = (time_t)now.utc}};
    char text[300];

    (void)snprintf(text, sizeof text,
                   "{\"issued\": \"2028-12-31T12:00Z\", \"hours\": ["
                   "{\"time\": \"2028-12-31T12:00Z\", \"cloud_percent\": %d},"
                   "{\"time\": \"2028-12-31T20:00Z\", \"cloud_percent\": %d}]}",
                   cloud_percent, cloud_percent);
    put_file("forecast", text);
    assert_int_equal(utimensat(AT_FDCWD, path_of("forecast"), times, 0), 0);
}

static void put_hook(enum hook_event event)
{
    char script[300];
    struct user_command *command = &setup.hook[event];

    *command = (struct user_command){0};
    (void)snprintf(script, sizeof script,
                   "%s >>%s.%s", event == HOOK_SAY ? "cat" : "echo \"$MOONSTAND_AT $MOONSTAND_EVENT: $MOONSTAND_WHAT\"",
                   path_of("hook"), hook_event_name(event));
    assert_true(command_add(command, "/bin/sh") && command_add(command, "-c") && command_add(command, script));
}

/* What hooks have left, one kind after the other. */
static void add_hooks(void)
{
    char name[64], line[400];

    for (int i = 0; i < HOOKS; i++) {
        (void)snprintf(name, sizeof name, "hook.%s", hook_event_name((enum hook_event)i));
        FILE *file = fopen(path_of(name), "r");

        fprintf(play.log, "---- hook %s ----\n", hook_event_name((enum hook_event)i));
        while (file && fgets(line, sizeof line, file))
            (void)fputs(line, play.log);
        if (file)
            (void)fclose(file);
    }
}

static void begin(double utc, const struct happening *happenings, char **text, size_t *size)
{
    struct fault fault;

    memset(&live, 0, sizeof live);
    memset(&play, 0, sizeof play);
    memset(&terminal, 0, sizeof terminal);
    terminal.keys = "";
    terminal.width = 120;
    play.first = play.next = happenings;
    play.log = open_memstream(text, size);
    assert_non_null(play.log);
    now.utc = play.begun_utc = utc;
    setup.keep_awake = false;
    setup.gpsd_host[0] = '\0';
    setup.rig[LONG].interval_s = 60;
    setup.trust.may_run = true;
    assert_int_equal(look_open(&live, NULL, setup.theme, &fault), 0);
    assert_int_equal(open_as(&live.session, &test_clock, false, NULL, &fault), 0);
}

static void play_to_the_end(void)
{
    static const struct options options;
    struct loop loop;

    assert_int_equal(live_run(&live, &loop, &options), EXIT_DONE);
    assert_true(terminal.closed);
}

static void hold(const char *name, char **text)
{
    assert_int_equal(fclose(play.log), 0);
    hold_print(name, *text);
    free(*text);
}

static void air_comes(void)
{
    put_reading("-8.5 81\n");
}

static void air_is_nonsense(void)
{
    put_reading("cold\n");
}

static void sky_clouds_over(void)
{
    put_forecast(90);
}

static void window_narrows(void)
{
    terminal.width = 80;
}

static void edit(const char *path, const char *value)
{
    (void)session_setup_edit(&live.session, path, value);
}

static void card_is_named(void)
{
    edit("rigs[1].card_path", "/proc");
}

static void laptop_runs_dry(void)
{
    laptop.percent = 9;
    laptop.left_s = 1200;
    laptop.discharging = true;
}

static void receiver_is_named(void)
{
    edit("gpsd.host", "127.0.0.1");
    edit("gpsd.port", "1");
}

static void two_rigs(void)
{
    edit("rigs[2]", NULL);
}

/* Half an hour from ten minutes before U1, at a screen: an alarm that is heard until it is answered, one
 * that is put off, questions, a sensor that fails, a forecast that is replaced, a window that changes, a
 * setup that changes. */
static void half_an_hour_at_the_screen(void **state)
{
    static const struct happening happenings[] = {
        {3, "2a", NULL},
        {20, "n", NULL},
        {21, "seeing poor, dew on the ", NULL},
        {23, "hood\n", NULL},
        {30, "w-9 80\n", NULL},
        {40, "fffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff", NULL},
        {60, "u", NULL},
        {90, NULL, air_comes},
        {200, NULL, air_is_nonsense},
        {400, NULL, air_comes},
        {500, NULL, sky_clouds_over},
        {600, NULL, window_narrows},
        {700, NULL, laptop_runs_dry},
        {750, "2a", NULL},
        {800, NULL, receiver_is_named},
        {1000, NULL, card_is_named},
        {1520, "2z", NULL},
        {1650, "2a", NULL},
        {1660, "b", NULL},
        {1670, "b", NULL},
        {1675, "\33", NULL},
        {1700, "3", NULL},
        {1710, NULL, two_rigs},
        {1720, "\t", NULL},
        {1730, "?", NULL},
        {1740, "q", NULL},
        {1750, "qq", NULL},
        {INFINITY, NULL, NULL},
    };
    char *text = NULL;
    size_t size = 0;

    (void)state;
    (void)snprintf(setup.air.file, sizeof setup.air.file, "%s", path_of("air"));
    setup.air.every_s = 30;
    (void)snprintf(setup.site.forecast, sizeof setup.site.forecast, "%s", path_of("forecast"));
    now.utc = contact(CONTACT_U1) - 600;
    put_forecast(10);
    for (int i = 0; i < HOOKS; i++)
        put_hook((enum hook_event)i);
    begin(round(contact(CONTACT_U1)) - 600, happenings, &text, &size);
    play_to_the_end();
    add_hooks();
    hold("live-screen", &text);
    assert_true(terminal.drawn > 300);
    assert_int_equal(terminal.asked_for_size, 1);
    assert_int_equal(live.leaving, true);
}

/* By lines nothing is asked and no key is taken; a bell is a byte among them. Standard output is a file. */
static void what_comes_by_lines(void **state)
{
    static const struct happening happenings[] = {
        {400, NULL, air_comes},
        {3000, NULL, laptop_runs_dry},
        {4000, NULL, NULL},
    };
    int before = dup(STDOUT_FILENO), file = open(path_of("lines"), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    char *text = NULL, line[400];
    size_t size = 0;

    (void)state;
    assert_true(before >= 0 && file >= 0);
    (void)snprintf(setup.air.file, sizeof setup.air.file, "%s", path_of("air"));
    laptop.percent = 81;
    laptop.left_s = NAN;
    laptop.discharging = false;
    memset(setup.hook, 0, sizeof setup.hook);
    begin(round(contact(CONTACT_U1)) - 600, happenings, &text, &size);
    live.by_lines = true;
    (void)fflush(stdout);
    (void)dup2(file, STDOUT_FILENO);
    (void)close(file);
    play_to_the_end();
    (void)dup2(before, STDOUT_FILENO);
    (void)close(before);
    assert_int_equal(terminal.drawn, 0);
    FILE *lines = fopen(path_of("lines"), "r");
    assert_non_null(lines);
    while (fgets(line, sizeof line, lines)) {
        for (char *bell; (bell = strchr(line, '\a'));)
            *bell = '*';
        put_clean(line);
    }
    (void)fclose(lines);
    hold("live-lines", &text);
}

/* ---- pictures and a receiver ---- */

static void card_of_pictures(void)
{
    watcher.state = EYE_WATCHES;
    edit("rigs[1].pictures", "/card");
}

static struct glance *next_glance(enum glance_kind kind, int rig)
{
    struct glance *glance = &watcher.glance[watcher.count++];

    assert_true(watcher.count <= GLANCES);
    *glance = (struct glance){.kind = kind, .rig = rig};
    for (int i = 0; i < RIGS; i++) {
        glance->frames[i] = i == LONG ? watcher.count : 0;
        glance->bytes[i] = 4e7 * glance->frames[i];
    }
    return glance;
}

/* A frame as it is asked for, brighter by so many stops, that landed some seconds ago. */
static struct glance *land(double brighter, double ago_s)
{
    const struct exposure *asked = &live.session.moment.rig[LONG].exposure;
    struct glance *glance = next_glance(GLANCE_FILE, LONG);

    glance->fresh = true;
    glance->seen = (struct seen){
        .landed_utc = now.utc - ago_s,
        .rig = LONG,
        .state = SEEN_NOT_LOOKED,
        .metadata = {.taken = now.utc - ago_s - 40, /* the camera's clock is slow */
                     .offset_min = NAN,
                     .orientation = 1,
                     .shutter_s = asked->shutter_s * exp2(brighter),
                     .iso = iso_label(asked->iso),
                     .f_number = asked->f_number,
                     .focal_mm = NAN,
                     .focal_35mm = NAN,
                     .sensor_px_per_mm = NAN},
    };
    return glance;
}

static void six_land(void)
{
    for (int i = 6; i > 0; i--)
        (void)land(0, 60 * i - 58);
}

static void two_are_too_bright(void)
{
    (void)land(3, 61);
    (void)land(3, 1);
}

/* Why the Moon is not looked for holds for what is not looked at behind it. */
static void a_preview_is_missing(void)
{
    land(0, 3)->seen.state = SEEN_NO_JPEG;
    (void)land(0, 1);
}

/* Nothing of these is taken: rigs that are not there, counts that are none, a picture of the week before, measures
 * that are out of range. */
static void nonsense_lands(void)
{
    struct glance *glance = land(9, 0);

    glance->rig = glance->seen.rig = RIGS;
    glance = next_glance(GLANCE_FOLDER, -1);
    glance->gone = true;
    (void)land(9, 8 * SECONDS_PER_DAY);
    glance = land(9, 0);
    glance->seen.state = (enum seen_state)SEEN_STATES;
    glance->frames[LONG] = INFINITY;
}

static void less_than_nothing(void)
{
    struct glance *glance = next_glance(GLANCE_ALIVE, 0);

    glance->frames[LONG] = -1;
    glance->bytes[LONG] = NAN;
}

static void a_word_comes(void)
{
    (void)snprintf(next_glance(GLANCE_WORD, -1)->text, GLANCE_TEXT, "%s", "a.jpg: \33[31mdamaged");
}

static void folder_goes(void)
{
    next_glance(GLANCE_FOLDER, LONG)->gone = true;
}

static void folder_comes(void)
{
    next_glance(GLANCE_FOLDER, LONG)->gone = false;
}

static void watcher_hangs(void)
{
    watcher.state = EYE_SILENT;
}

static void watcher_ends(void)
{
    watcher.state = EYE_ENDED;
}

static void looks_less_often(void)
{
    edit("look_every_s", "120");
}

static void no_card_of_pictures(void)
{
    edit("rigs[1].pictures", "");
}

static void fix_comes(void)
{
    heard = (struct gps_reading){GPS_FIX, 3, 9, 62.01, 60.02, 433, 4, 1, 0.2, 0.02};
}

static void receiver_at_another_port(void)
{
    edit("gpsd.port", "13");
}

static void receiver_is_taken_out(void)
{
    edit("gpsd.host", "");
}

/* All that the night has written down. */
static void add_acts(void)
{
    const struct night *night = &live.session.night;
    const struct reader reader = session_reader(&live.session);
    char words[ACT_TEXT], clock[TEXT_INSTANT];

    fprintf(play.log, "---- acts ----\n");
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];

        act_words(night, act, &reader, words, sizeof words);
        fprintf(play.log, "%.8s %s%s ", format_iso(clock, act->utc, 0, "") + 11, act_form(act->kind)->name,
                act->undone ? " (undone)" : "");
        put_clean(words);
    }
}

static void add_album(void)
{
    const struct album *album = &live.session.readings.album[LONG];
    const struct gps_reading *gps = &live.session.readings.gps;

    fprintf(play.log, "---- the readings: receiver %s, watcher %d; %.0f frames, %.3g bytes, %d shots, folder %s\n",
            gps_state_name(gps->state), (int)live.session.readings.eye, album->frames, album->bytes, album->count,
            album->folder_gone ? "gone" : "there");
    if (album->why_not)
        fprintf(play.log, "     no Moon is looked for: %d\n", album->why_not);
}

/* Half an hour in which pictures come in and a receiver has a fix. */
static void half_an_hour_of_pictures(void **state)
{
    static const struct happening happenings[] = {
        {5, "p", NULL},
        {6, "\33", NULL},
        {10, NULL, receiver_is_named},
        {20, "g", NULL},
        {30, NULL, fix_comes},
        {40, "g", NULL},
        {50, "u", NULL},
        {60, "P", NULL},
        {70, NULL, card_of_pictures},
        {80, "2a", NULL},
        {500, NULL, six_land},
        {501, NULL, add_album},
        {560, NULL, two_are_too_bright},
        {570, NULL, a_preview_is_missing},
        {571, NULL, add_album},
        {580, NULL, nonsense_lands},
        {581, NULL, add_album},
        {590, NULL, less_than_nothing},
        {591, NULL, add_album},
        {620, NULL, a_word_comes},
        {640, "n", NULL},
        {641, "a frame of it\n", NULL},
        {660, NULL, folder_goes},
        {662, NULL, add_album},
        {700, NULL, folder_comes},
        {720, NULL, watcher_hangs},
        {722, NULL, add_album},
        {760, NULL, watcher_ends},
        {770, "P", NULL},
        {780, NULL, looks_less_often},
        {800, NULL, receiver_at_another_port},
        {802, NULL, add_album},
        {810, "g", NULL},
        {830, NULL, receiver_is_named},
        {840, NULL, receiver_is_taken_out},
        {842, NULL, add_album},
        {850, NULL, no_card_of_pictures},
        {852, NULL, add_album},
        {860, "P", NULL},
        {880, "2a", NULL},
        {1450, ".", NULL},
        {1460, "u", NULL},
        {1470, NULL, add_acts},
        {1480, NULL, NULL},
    };
    char *text = NULL;
    size_t size = 0;

    (void)state;
    laptop.percent = 81;
    laptop.left_s = NAN;
    laptop.discharging = false;
    setup.air = (struct air_sensor){.every_s = 30};
    setup.site.forecast[0] = '\0';
    memset(setup.hook, 0, sizeof setup.hook);
    begin(round(contact(CONTACT_U1)) - 600, happenings, &text, &size);
    play_to_the_end();
    assert_int_equal(watcher.taken, watcher.count);
    assert_int_equal(watcher.hurried, 1);
    assert_false(receiver.open);
    hold("live-pictures", &text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(half_an_hour_at_the_screen),
        AT_HOME(what_comes_by_lines),
        AT_HOME(half_an_hour_of_pictures),
    };

    return RUN_AND_CLOSE_ALL(tests, prepare, NULL);
}
