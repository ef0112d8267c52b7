/* The session on clocks of the test's own: what is done survives, what was missed is told, whatever
 * happens to clock, disk and process. On the total eclipse of 2028-12-31 at 62 N 60 E. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/app/session.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <near.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define SANITIZED 1
#endif
#endif
#ifndef SANITIZED
#define SANITIZED 0
#endif

#define LONG 1 /* the rig on a fixed tripod that has to be aimed again */
/* Instants are written down to the millisecond. */
#define WRITTEN_S 0.0006

static void sleep_ms(double ms)
{
    struct timespec span = {.tv_sec = (time_t)(ms / 1000), .tv_nsec = (long)(fmod(ms, 1000) * 1e6)};

    (void)nanosleep(&span, NULL);
}

static double clock_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static uint64_t seed = 20281231;

/* 0 to below `most`. */
static int any(int most)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (int)((seed >> 33) % (unsigned)most);
}

/* ---- a disk that fails when it is told to ---- */

static _Atomic int disk_error, journal_file = -1;

ssize_t write(int file, const void *bytes, size_t size)
{
    if (disk_error && file == journal_file) {
        errno = disk_error;
        return -1;
    }
    return syscall(SYS_write, file, bytes, size);
}

int openat(int at, const char *name, int flags, ...)
{
    va_list args;
    unsigned mode;
    int file;

    va_start(args, flags);
    mode = flags & O_CREAT ? va_arg(args, unsigned) : 0;
    va_end(args);
    if (disk_error == EROFS && (flags & O_ACCMODE) != O_RDONLY) {
        errno = EROFS;
        return -1;
    }
    file = (int)syscall(SYS_openat, at, name, flags, mode);
    if (strcmp(name, "journal.jsonl") == 0 && (flags & O_ACCMODE) != O_RDONLY)
        journal_file = file;
    return file;
}

int mkdir(const char *path, mode_t mode)
{
    if (disk_error) {
        errno = disk_error;
        return -1;
    }
    return (int)syscall(SYS_mkdirat, AT_FDCWD, path, mode);
}

/* ---- clocks, site, folders ---- */

static struct {
    double utc, boot;
} now;

static double test_utc(const struct clock *clock)
{
    (void)clock;
    return now.utc;
}

static double test_boot(const struct clock *clock)
{
    (void)clock;
    return now.boot;
}

static const struct clock test_clock = {.utc = test_utc, .boot = test_boot, .speed = 1};

static struct setup setup;
static struct eclipse eclipse;
static char state_home[64];
static struct session session, other; /* large: not on the stack */

static double contact(enum contact which)
{
    return utc_from_tt(eclipse.tt[which]);
}

static int prepare(void **state)
{
    double day;

    (void)state;
    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = 62;
    setup.site.longitude_deg = 60;
    setup.site.height_m = 420;
    (void)snprintf(setup.site.zone, sizeof setup.site.zone, "Asia/Yekaterinburg");
    if (parse_day("2028-12-31", &day, NULL) != 0)
        return -1;
    return eclipse_of_day(day, SHADOW_DANJON, &eclipse) ? 0 : -1;
}

static void empty_folder(const char *path)
{
    DIR *folder = opendir(path);
    struct dirent *entry;

    while (folder && (entry = readdir(folder))) {
        char inner[512];

        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        (void)snprintf(inner, sizeof inner, "%s/%s", path, entry->d_name);
        if (entry->d_type == DT_DIR)
            empty_folder(inner);
        (void)remove(inner);
    }
    if (folder)
        (void)closedir(folder);
}

/* A state folder of its own for every test. */
static int make_home(void **state)
{
    (void)state;
    disk_error = 0;
    now.utc = contact(CONTACT_U1);
    now.boot = 5000;
    (void)snprintf(state_home, sizeof state_home, "/tmp/moonstand-test-XXXXXX");
    if (!mkdtemp(state_home))
        return -1;
    return setenv("XDG_STATE_HOME", state_home, 1);
}

static int remove_home(void **state)
{
    (void)state;
    disk_error = 0;
    empty_folder(state_home);
    return rmdir(state_home);
}

static void pass(double seconds)
{
    now.utc += seconds;
    now.boot += seconds;
}

static void step(struct session *of, double seconds)
{
    pass(seconds);
    session_step(of);
}

static void open_session(struct session *of)
{
    struct fault fault = {""};

    if (session_open(of, &test_clock, &setup, &eclipse, false, NULL, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_string_equal(of->trouble, "");
    session_step(of);
}

static void close_session(struct session *of)
{
    assert_int_equal(session_close(of), 0);
}

static void act(struct session *of, struct act what)
{
    if (session_act(of, &what) != 0)
        fail_msg("%s", of->message);
}

static void aim(struct session *of)
{
    act(of, (struct act){.kind = ACT_AIM, .rig = LONG});
    session_step(of);
}

static void tick(struct session *of, int item)
{
    struct act what = {.kind = ACT_CHECK, .rig = -1, .value = {1}};

    (void)snprintf(what.text, sizeof what.text, "%s", of->night.setup.checklist.item[item].id);
    act(of, what);
}

/* Until a condition holds, ten seconds at most. */
#define WAIT_FOR(of, condition)                                                                    \
    do {                                                                                           \
        double start_ = clock_ms();                                                                \
        while (journal_state((of)->journal, &(of)->written), !(condition)) {                       \
            if (clock_ms() - start_ > 10000)                                                       \
                fail_msg("waited in vain: %s (%s)", #condition, (of)->written.trouble);            \
            sleep_ms(0.5);                                                                         \
        }                                                                                          \
    } while (0)

#define WAIT_SYNCED(of) WAIT_FOR(of, (of)->written.synced_seq == (of)->written.appended_seq)

/* ---- what a night holds ---- */

static int count_kind(const struct night *night, enum act_kind kind)
{
    int count = 0;

    for (size_t i = 0; i < night->act_count; i++)
        count += night->acts[i].kind == kind;
    return count;
}

static const struct act *last_of(const struct night *night, enum act_kind kind)
{
    for (size_t i = night->act_count; i-- > 0;)
        if (night->acts[i].kind == kind)
            return &night->acts[i];
    fail_msg("no act of kind %s", act_form(kind)->name);
    return NULL;
}

static int times_missed(const struct night *night, int rig, const char *text, double due_utc)
{
    int count = 0;

    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *missed = &night->acts[i];

        count += missed->kind == ACT_MISSED && missed->rig == rig &&
                 strcmp(missed->text, text) == 0 && fabs(missed->value[0] - due_utc) < WRITTEN_S;
    }
    return count;
}

/* Contacts and due items of a span are written down once, and nothing else but `more`. */
static void assert_missed_between(const struct night *night, double from, double to, int more)
{
    int wanted = more;

    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        if (event->kind == NIGHT_SKY || event->utc <= from || event->utc > to)
            continue;
        assert_int_equal(times_missed(night, -1, night_event_name(event), event->utc), 1);
        wanted++;
    }
    for (int i = 0; i < night->setup.checklist.count; i++) {
        double due = item_due_utc(night, i);

        if (!(due > from && due <= to) || isfinite(night->checked_utc[i]))
            continue;
        assert_int_equal(times_missed(night, -1, night->setup.checklist.item[i].text, due), 1);
        wanted++;
    }
    assert_int_equal(count_kind(night, ACT_MISSED), wanted);
}

static void assert_same(double a, double b, const char *what)
{
    if (!(isnan(a) && isnan(b)) && !(fabs(a - b) <= WRITTEN_S))
        fail_msg("%s: %.6f and %.6f", what, a, b);
}

/* Exactly, unknown ones too. */
static void assert_exact(double a, double b, const char *what)
{
    if (!(isnan(a) && isnan(b)) && a != b)
        fail_msg("%s: %.17g and %.17g", what, a, b);
}

static void assert_same_rig(const struct rig_state *a, const struct rig_state *b)
{
    assert_string_equal(a->rig.name, b->rig.name);
    assert_exact(a->rig.filter_stops, b->rig.filter_stops, "filter_stops");
    assert_exact(a->rig.extender, b->rig.extender, "extender");
    assert_exact(a->rig.f_number, b->rig.f_number, "f_number");
    assert_exact(a->rig.interval_s, b->rig.interval_s, "interval_s");
    assert_int_equal(a->rig.portrait, b->rig.portrait);
    assert_int_equal(a->rig.target, b->rig.target);
    assert_int_equal(a->aimed, b->aimed);
    assert_same(a->aimed_utc, b->aimed_utc, "aimed_utc");
    assert_exact(a->aimed_at.x, b->aimed_at.x, "aimed_at.x");
    assert_exact(a->aimed_at.y, b->aimed_at.y, "aimed_at.y");
    assert_same(a->leaves_utc, b->leaves_utc, "leaves_utc");
    assert_same(a->snoozed_until, b->snoozed_until, "snoozed_until");
    assert_same(a->alarm_utc, b->alarm_utc, "alarm_utc");
    assert_int_equal(a->alarm_missed, b->alarm_missed);
    for (int i = 0; i < TARGETS; i++)
        assert_exact(a->correction_stops[i], b->correction_stops[i], "correction_stops");
    assert_same(a->umbra_utc, b->umbra_utc, "umbra_utc");
    assert_exact(a->umbra_left_stops, b->umbra_left_stops, "umbra_left_stops");
    assert_int_equal(a->frames, b->frames);
    assert_same(a->battery_utc, b->battery_utc, "battery_utc");
    assert_same(a->card_utc, b->card_utc, "card_utc");
    assert_int_equal(a->batteries_changed, b->batteries_changed);
    assert_exact(a->camera_behind_s, b->camera_behind_s, "camera_behind_s");
    assert_int_equal(a->has_setting, b->has_setting);
    assert_int_equal(a->shutter, b->shutter);
    assert_int_equal(a->iso, b->iso);
    assert_int_equal(a->setting_target, b->setting_target);
}

static void assert_same_night(const struct night *a, const struct night *b)
{
    assert_exact(a->site.latitude_deg, b->site.latitude_deg, "latitude_deg");
    assert_exact(a->site.longitude_deg, b->site.longitude_deg, "longitude_deg");
    assert_exact(a->site.height_m, b->site.height_m, "height_m");
    assert_string_equal(a->site_source, b->site_source);
    for (int i = 0; i < CHECK_ITEMS; i++) {
        assert_same(a->checked_utc[i], b->checked_utc[i], "checked_utc");
        assert_same(a->later_utc[i], b->later_utc[i], "later_utc");
    }
    assert_exact(a->danjon_rating, b->danjon_rating, "danjon_rating");
    assert_exact(a->danjon_state, b->danjon_state, "danjon_state");
    assert_int_equal(a->danjon_rig, b->danjon_rig);
    assert_int_equal(a->air_log.count, b->air_log.count);
    if (a->air_log.count > 0) {
        const struct air_reading *x = air_log_last(&a->air_log), *y = air_log_last(&b->air_log);

        assert_same(x->utc, y->utc, "air, utc");
        assert_exact(x->temperature_c, y->temperature_c, "temperature_c");
        assert_exact(x->humidity_percent, y->humidity_percent, "humidity_percent");
    }
    assert_int_equal(a->cloud, b->cloud);
    assert_exact(a->clock_offset_s, b->clock_offset_s, "clock_offset_s");
    for (int i = 0; i < a->setup.rig_count; i++)
        assert_same_rig(&a->rig[i], &b->rig[i]);
}

/* Memory that a killed child leaves to its parent. */
static void *shared_memory(size_t size)
{
    void *memory = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);

    assert_true(memory != MAP_FAILED);
    return memory;
}

static size_t file_size(const char *path)
{
    struct stat status;

    return stat(path, &status) == 0 ? (size_t)status.st_size : 0;
}

/* ---- the clock is set ---- */

static void clock_set_back_by_an_hour(void **state)
{
    double u2 = contact(CONTACT_U2), aimed, boot_aimed, alarmed = NAN;
    int alarms = 0;

    (void)state;
    now.utc = u2 - 1800;
    open_session(&session);
    aim(&session);
    aimed = now.utc;
    boot_aimed = now.boot;
    for (int i = 0; i < 60; i++)
        step(&session, 1);
    now.utc -= 3600;
    step(&session, 1);

    assert_near(last_of(&session.night, ACT_GAP)->value[2], -3600, WRITTEN_S);
    assert_string_equal(session_message(&session), "the clock was set back by 1:00:00");
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    /* What counts down to an instant of the sky follows the clock, ... */
    assert_string_equal(night_event_name(&session.night.event[session.moment.next]), "U1");
    assert_near(session.night.event[session.moment.next].utc - session.moment.utc,
                contact(CONTACT_U1) - now.utc, 1e-6);
    /* ... what runs since it was done keeps running. */
    assert_near(session.night.rig[LONG].aimed_utc, aimed - 3600, WRITTEN_S);
    assert_near(session.moment.utc - session.night.rig[LONG].aimed_utc, now.boot - boot_aimed,
                WRITTEN_S);
    assert_int_equal(session.moment.rig[LONG].aim_state, AIM_STEADY);
    for (int i = 0; i < 3000; i++) {
        step(&session, 1);
        if (count_kind(&session.night, ACT_ALARM) > alarms) {
            alarms++;
            alarmed = now.utc;
        }
    }
    assert_int_equal(alarms, 1);
    assert_true(alarmed >= session.night.rig[LONG].leaves_utc &&
                alarmed < session.night.rig[LONG].leaves_utc + 1);
    assert_int_equal(session.moment.alarm_rig, LONG);
    close_session(&session);
}

static void clock_set_forward_by_an_hour(void **state)
{
    double from, aimed;

    (void)state;
    now.utc = contact(CONTACT_U1) - 1800;
    open_session(&session);
    aim(&session);
    aimed = now.utc;
    act(&session, (struct act){.kind = ACT_SNOOZE, .rig = LONG, .value = {120}});
    step(&session, 1);
    from = now.utc;
    now.utc += 3600;
    step(&session, 1);

    assert_near(last_of(&session.night, ACT_GAP)->value[2], 3600, WRITTEN_S);
    assert_string_equal(session_message(&session), "the clock was set forward by 1:00:00");
    assert_int_equal(times_missed(&session.night, -1, "U1", contact(CONTACT_U1)), 1);
    assert_missed_between(&session.night, from, now.utc, 0);
    /* Two seconds after the aim there is nothing to aim again. */
    assert_near(session.night.rig[LONG].aimed_utc, aimed + 3600, WRITTEN_S);
    assert_near(session.night.rig[LONG].snoozed_until, aimed + 3600 + 120, WRITTEN_S);
    assert_int_equal(session.moment.rig[LONG].aim_state, AIM_STEADY);
    assert_string_equal(night_event_name(&session.night.event[session.moment.next]), "U2");
    close_session(&session);
}

/* The same while the program was not running, on the boot clock that knows better. */
static void clock_set_between_two_starts(void **state)
{
    double aimed;

    (void)state;
    now.utc = contact(CONTACT_U1) + 60;
    open_session(&session);
    aim(&session);
    aimed = now.utc;
    close_session(&session);
    pass(100);
    now.utc -= 7200;
    open_session(&session);
    assert_near(last_of(&session.night, ACT_GAP)->value[2], -7200, 0.002);
    assert_near(session.night.rig[LONG].aimed_utc, aimed - 7200, 0.002);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    close_session(&session);
    /* A second more or less between two clocks that both run is no clock that was set. */
    pass(5);
    now.utc += 1;
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_GAP), 1);
    close_session(&session);
}

/* ---- nobody watched ---- */

enum { TURNS = 40 };

/* What the message line says in turn when the first message has gone: "missed 1 of N: ...". */
static void tell_in_turn(struct session *of, int count, char told[TURNS][ACT_TEXT])
{
    step(of, 5);
    for (int i = 0; i < count; i++) {
        char begins[48];

        (void)snprintf(begins, sizeof begins, "missed %d of %d: ", i + 1, count);
        step(of, i ? 4 : 1);
        (void)snprintf(told[i], ACT_TEXT, "%s", session_message(of));
        if (strncmp(told[i], begins, strlen(begins)) != 0)
            fail_msg("'%s' where '%s' is wanted", told[i], begins);
    }
}

static bool is_told(char told[TURNS][ACT_TEXT], int count, const char *what)
{
    for (int i = 0; i < count; i++)
        if (strstr(told[i], what))
            return true;
    return false;
}

static void suspend_of_two_hours(void **state)
{
    static char told[TURNS][ACT_TEXT];
    double from, leaves;
    int missed, gaps;

    (void)state;
    now.utc = contact(CONTACT_U1) + 300;
    open_session(&session);
    aim(&session);
    step(&session, 5);
    from = now.utc;
    leaves = session.night.rig[LONG].leaves_utc;
    assert_true(leaves > from && leaves < from + 7200);
    step(&session, 7200);

    assert_string_equal(session_message(&session), "nobody watched for 2:00:00");
    assert_true(isnan(last_of(&session.night, ACT_GAP)->value[2]));
    assert_near(last_of(&session.night, ACT_GAP)->value[0], from, WRITTEN_S);
    assert_int_equal(times_missed(&session.night, LONG, "re-aim of long", leaves), 1);
    assert_int_equal(times_missed(&session.night, -1, "U2", contact(CONTACT_U2)), 1);
    assert_int_equal(times_missed(&session.night, -1, "greatest", contact(CONTACT_GREATEST)), 1);
    assert_missed_between(&session.night, from, now.utc, 1);
    assert_int_equal(session.moment.alarm_rig, LONG);
    missed = count_kind(&session.night, ACT_MISSED);
    gaps = count_kind(&session.night, ACT_GAP);

    /* Each stands on the screen in turn, by its time, until the user has done something. */
    assert_true(missed <= TURNS);
    tell_in_turn(&session, missed, told);
    /* Local time is five hours ahead; U2 by the catalogue is at 16:16:27 UTC or so. */
    assert_true(is_told(told, missed, ": U2 at 21:16:"));
    assert_true(is_told(told, missed, ": greatest at 21:5"));
    assert_true(is_told(told, missed, ": re-aim of long at "));
    assert_int_equal(count_kind(&session.night, ACT_MISSED), missed);
    assert_int_equal(count_kind(&session.night, ACT_GAP), gaps);
    aim(&session);
    step(&session, 7);
    assert_string_equal(session_message(&session), "");
    close_session(&session);

    /* Not again at the next start. */
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), missed);
    close_session(&session);
}

/* The program was not running: what it alone could have told is listed when it is there again. */
static void started_again_after_two_hours(void **state)
{
    char wanted[ACT_TEXT];
    double from;

    (void)state;
    now.utc = contact(CONTACT_U1) - 600;
    open_session(&session);
    aim(&session);
    step(&session, 61);
    from = now.utc;
    (void)snprintf(wanted, sizeof wanted, "session opened: %zu entries taken up again",
                   session.night.act_count + 1); /* and the end */
    close_session(&session);
    pass(7200);
    open_session(&session);
    assert_string_equal(session.message, wanted);
    assert_int_equal(times_missed(&session.night, -1, "U1", contact(CONTACT_U1)), 1);
    assert_missed_between(&session.night, from, now.utc, 1);
    close_session(&session);
}

/* Nobody was promised anything before the first start. */
static void late_start_makes_up_nothing(void **state)
{
    (void)state;
    now.utc = contact(CONTACT_U2) + 600;
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    assert_int_equal(count_kind(&session.night, ACT_GAP), 0);
    assert_int_equal(session.night.acts[0].kind, ACT_BEGIN);
    assert_int_equal(session.moment.phase, PHASE_TOTAL);
    assert_string_equal(night_event_name(&session.night.event[session.moment.next]), "greatest");
    assert_true(session.moment.check_overdue > 0);
    assert_int_equal(count_kind(&session.night, ACT_SETTING), setup.rig_count);
    close_session(&session);
}

/* ---- killed and started again ---- */

/* Something of everything that a night can hold. */
static void do_everything(struct session *of)
{
    tick(of, 2);
    tick(of, 5);
    act(of, (struct act){.kind = ACT_AIM, .rig = 0, .value = {-0.31, 0.07}});
    act(of, (struct act){.kind = ACT_AIM, .rig = LONG, .value = {0.12, -0.2}});
    act(of,
        (struct act){.kind = ACT_SITE, .rig = -1, .value = {62.011, 60.013, 433}, .text = "gps"});
    act(of, (struct act){.kind = ACT_TARGET, .rig = 2, .value = {TARGET_UMBRA}});
    act(of, (struct act){.kind = ACT_CORRECTION, .rig = LONG, .value = {TARGET_LIT, 1.0 / 3}});
    act(of, (struct act){.kind = ACT_DANJON, .rig = -1, .value = {2.5}});
    act(of, (struct act){.kind = ACT_CORRECTION, .rig = 2, .value = {TARGET_UMBRA, 2.0 / 3}});
    act(of, (struct act){.kind = ACT_RIG, .rig = LONG, .value = {1.4}, .text = "extender"});
    act(of, (struct act){.kind = ACT_RIG, .rig = 0, .value = {1}, .text = "portrait"});
    act(of, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "thin cloud, \"high\""});
    act(of, (struct act){.kind = ACT_FRAME, .rig = 2});
    act(of, (struct act){.kind = ACT_CLOUD, .rig = -1, .value = {1}});
    act(of, (struct act){.kind = ACT_AIR, .rig = -1, .value = {-11.3, 71}});
    act(of, (struct act){.kind = ACT_BATTERY, .rig = 0});
    act(of, (struct act){.kind = ACT_CARD, .rig = LONG});
    act(of, (struct act){.kind = ACT_CAMERA_CLOCK, .rig = 2, .value = {-18003.25}});
    session_undo(of);
    act(of, (struct act){.kind = ACT_CAMERA_CLOCK, .rig = 2, .value = {-17999.5}});
    of->readings.gps.clock_offset_s = 0.37;
    for (int i = 0; i < 1200; i++)
        step(of, 1);
    assert_int_equal(count_kind(&of->night, ACT_ALARM), 1);
    act(of, (struct act){.kind = ACT_SNOOZE, .rig = LONG, .value = {300}});
    step(of, 1);
}

static void resume_after_kill(void **state)
{
    struct kept {
        struct night night;
        double utc, boot;
    } *kept = shared_memory(sizeof *kept);
    int status;
    pid_t child;
    double start;

    (void)state;
    child = fork();
    if (child == 0) {
        open_session(&session);
        do_everything(&session);
        WAIT_SYNCED(&session);
        kept->night = session.night;
        kept->utc = now.utc;
        kept->boot = now.boot;
        (void)raise(SIGKILL);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
    now.utc = kept->utc + 4;
    now.boot = kept->boot + 4;
    start = clock_ms();
    open_session(&session);
    print_message("stands again after %.1f ms\n", clock_ms() - start);
    assert_true(strstr(session.message, "session resumed") == session.message);
    assert_int_equal(session.night.act_count, kept->night.act_count + 1);
    assert_same_night(&kept->night, &session.night);
    assert_int_equal(session.moment.rig[LONG].aim_state, AIM_SNOOZED);
    assert_near(session.night.clock_offset_s, 0.37, 0);
    close_session(&session);
    (void)munmap(kept, sizeof *kept);
}

static void undo_reaches_across_a_restart(void **state)
{
    static struct night before;

    (void)state;
    open_session(&session);
    before = session.night;
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    act(&session, (struct act){.kind = ACT_CORRECTION, .rig = LONG, .value = {TARGET_UMBRA, 1.5}});
    session_step(&session);
    close_session(&session);

    open_session(&session);
    session_undo(&session);
    assert_string_equal(session.message, "taken back: long: +1.5 stops on umbra");
    close_session(&session);

    open_session(&session);
    session_undo(&session);
    assert_string_equal(session.message, "taken back: wide: frame taken");
    session_step(&session);
    session_undo(&session);
    assert_string_equal(session.message, "nothing to take back");
    close_session(&session);

    open_session(&session);
    for (int i = 0; i < setup.rig_count; i++) {
        /* The setting in force was decided anew, and is the same again. */
        assert_same_rig(&before.rig[i], &session.night.rig[i]);
    }
    close_session(&session);
}

/* Whatever one key did, one key takes back. */
static void every_act_of_the_user_is_undone(void **state)
{
    const struct act acts[] = {
        {.kind = ACT_CHECK, .rig = -1, .value = {1}},
        {.kind = ACT_AIM, .rig = LONG, .value = {0.1, 0.1}},
        {.kind = ACT_SNOOZE, .rig = LONG, .value = {120}},
        {.kind = ACT_SITE, .rig = -1, .value = {61, 59, 0}, .text = "hand"},
        {.kind = ACT_TARGET, .rig = 0, .value = {TARGET_STARS}},
        {.kind = ACT_CORRECTION, .rig = 2, .value = {TARGET_UMBRA, -2}},
        {.kind = ACT_DANJON, .rig = -1, .value = {1}},
        {.kind = ACT_RIG, .rig = 0, .value = {6}, .text = "filter_stops"},
        {.kind = ACT_NOTE, .rig = -1, .text = "a note"},
        {.kind = ACT_FRAME, .rig = 1},
        {.kind = ACT_CLOUD, .rig = -1, .value = {1}},
        {.kind = ACT_AIR, .rig = -1, .value = {-3, 88}},
        {.kind = ACT_BATTERY, .rig = 1},
        {.kind = ACT_CARD, .rig = 1},
        {.kind = ACT_CAMERA_CLOCK, .rig = 1, .value = {12}},
        {.kind = ACT_LATER, .rig = -1, .value = {600}},
    };
    enum { ACTS = sizeof acts / sizeof *acts };
    static struct night before;
    int by_user = 0;

    (void)state;
    for (int kind = 0; kind < ACT_KINDS; kind++)
        by_user += act_form((enum act_kind)kind)->by_user;
    assert_int_equal(by_user, ACTS);
    now.utc = contact(CONTACT_U1) - 7200; /* before P1: no setting is decided */
    open_session(&session);
    for (int i = 0; i < ACTS; i++) {
        struct act what = acts[i];

        if (what.kind == ACT_CHECK || what.kind == ACT_LATER)
            (void)snprintf(what.text, sizeof what.text, "%s", setup.checklist.item[1].id);
        before = session.night;
        act(&session, what);
        session_step(&session);
        session_undo(&session);
        session_step(&session);
        assert_same_night(&before, &session.night);
        assert_null(night_last_undoable(&session.night));
    }
    assert_int_equal(count_kind(&session.night, ACT_UNDO), ACTS);
    close_session(&session);
}

/* ---- a second copy ---- */

static void second_copy_looks_on_and_follows(void **state)
{
    struct fault fault;
    struct act frame = {.kind = ACT_FRAME, .rig = 0};
    size_t known;

    (void)state;
    open_session(&session);
    tick(&session, 3);
    WAIT_SYNCED(&session);
    open_session(&other);
    assert_true(other.looking_on && !session.looking_on);
    assert_int_equal(other.night.act_count, session.night.act_count);
    assert_int_equal(session_act(&other, &frame), -1);
    assert_non_null(strstr(other.message, "looking on"));

    known = session.night.act_count;
    do_everything(&session);
    assert_true(session.night.act_count > known + 20);
    WAIT_SYNCED(&session);
    assert_int_equal(journal_poll(other.journal, &fault), 0);
    session_step(&other);
    assert_int_equal(other.night.act_count, session.night.act_count);
    assert_same_night(&session.night, &other.night);
    assert_int_equal(other.moment.rig[LONG].aim_state, session.moment.rig[LONG].aim_state);
    session_undo(&session);
    session_step(&session);
    WAIT_SYNCED(&session);
    assert_int_equal(journal_poll(other.journal, &fault), 0);
    session_step(&other);
    assert_same_night(&session.night, &other.night);
    /* Sleep is told once, by the copy that writes. */
    step(&other, 600);
    assert_int_equal(other.night.act_count, session.night.act_count);
    close_session(&other);
    close_session(&session);
}

/* ---- another setup than the one that the acts were made with ---- */

static void acts_that_the_setup_no_longer_knows_stay(void **state)
{
    static struct setup whole, fewer;
    char path[PATH_SIZE + 32];
    size_t all, of_fewer;
    uint64_t last;

    (void)state;
    whole = setup;
    open_session(&session);
    tick(&session, setup.checklist.count - 1);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 2});
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    close_session(&session);
    all = session.night.act_count;
    assert_int_equal(all, 0);

    fewer = setup;
    fewer.rig_count = 1;
    fewer.checklist.count--;
    setup = fewer;
    open_session(&session);
    last = session.night.last_seq;
    assert_int_equal(session.night.rig[0].frames, 1);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    assert_int_equal(session.night.rig[0].frames, 2);
    of_fewer = session.night.act_count;
    assert_true(last >= 8);
    /* The older setup is kept beside the newer one. */
    (void)snprintf(path, sizeof path, "%s/setup.json", session.folder);
    assert_true(file_size(path) > 0);
    (void)snprintf(path, sizeof path, "%s/setup-1.json", session.folder);
    assert_true(file_size(path) > 0);
    {
        static struct setup read;
        struct fault fault;

        assert_int_equal(setup_read(path, &read, &fault), 0);
        assert_int_equal(read.rig_count, 3);
    }
    close_session(&session);

    setup = whole;
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(session.night.rig[2].frames, 1);
    assert_true(isfinite(session.night.checked_utc[setup.checklist.count - 1]));
    assert_true(session.night.act_count > of_fewer);
    /* No number twice. */
    for (size_t i = 1; i < session.night.act_count; i++)
        assert_int_equal(session.night.acts[i].seq, session.night.acts[i - 1].seq + 1);
    (void)snprintf(path, sizeof path, "%s/setup-2.json", session.folder);
    assert_true(file_size(path) > 0);
    close_session(&session);
    /* The same setup again is not kept again. */
    open_session(&session);
    (void)snprintf(path, sizeof path, "%s/setup-3.json", session.folder);
    assert_int_equal(file_size(path), 0);
    close_session(&session);
}

/* ---- nothing is overwritten ---- */

static void open_rehearsal(struct session *of)
{
    struct fault fault = {""};

    if (session_open(of, &test_clock, &setup, &eclipse, true, NULL, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void rehearsals_and_nights_keep_apart(void **state)
{
    char first[PATH_SIZE], journal[PATH_SIZE + 32];
    struct fault fault;
    size_t size;

    (void)state;
    open_rehearsal(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    (void)snprintf(first, sizeof first, "%s", session.folder);
    assert_non_null(strstr(first, "/2028-12-31-rehearsal"));
    close_session(&session);
    (void)snprintf(journal, sizeof journal, "%s/journal.jsonl", first);
    size = file_size(journal);
    assert_true(size > 0);

    open_rehearsal(&session);
    assert_string_equal(session.folder + strlen(session.folder) - strlen("rehearsal-2"),
                        "rehearsal-2");
    assert_int_equal(session.night.rig[0].frames, 0);
    close_session(&session);
    assert_int_equal(file_size(journal), size);

    /* The record of a rehearsal takes no real night, nor the other way. */
    assert_int_equal(session_open(&session, &test_clock, &setup, &eclipse, false, first, &fault),
                     -1);
    assert_non_null(strstr(fault.text, "is the record of a rehearsal"));
    assert_int_equal(file_size(journal), size);
    open_session(&session);
    (void)snprintf(first, sizeof first, "%s", session.folder);
    close_session(&session);
    assert_int_equal(session_open(&session, &test_clock, &setup, &eclipse, true, first, &fault),
                     -1);
    assert_non_null(strstr(fault.text, "is the record of a real night"));
}

static void a_session_is_opened_by_its_name(void **state)
{
    struct options options = {.session = "2028-12-31"};
    char path[PATH_SIZE], wanted[PATH_SIZE];
    struct fault fault;

    (void)state;
    open_session(&session);
    (void)snprintf(path, sizeof path, "%s", session.folder);
    close_session(&session);
    assert_int_equal(session_options(&options, &fault), 0);
    assert_string_equal(options.session, path);
    assert_string_equal(options.eclipse, "2028-12-31");
    (void)snprintf(wanted, sizeof wanted, "%.900s/setup.json", path);
    assert_string_equal(options.setup_path, wanted);

    options = (struct options){.session = "/tmp/2028-12-31-kept/", .demo = true};
    assert_int_equal(session_options(&options, &fault), 0);
    assert_string_equal(options.session, "/tmp/2028-12-31-kept");
    assert_null(options.setup_path);
    options = (struct options){.session = "2028-12-31", .eclipse = "2029-06-26"};
    assert_int_equal(session_options(&options, &fault), -1);
    assert_non_null(strstr(fault.text, "2029-06-26"));
    options = (struct options){.session = "/tmp/some"};
    assert_int_equal(session_options(&options, &fault), -1);
    options = (struct options){.session = ""};
    assert_int_equal(session_options(&options, &fault), -1);
}

/* ---- a disk that is full or read-only ---- */

static void the_night_goes_on_without_a_disk(int error, const char *word)
{
    uint64_t synced;

    open_session(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    WAIT_SYNCED(&session);
    synced = session.written.synced_seq;
    disk_error = error;
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    WAIT_FOR(&session, *session.written.trouble != '\0');
    assert_non_null(strstr(session.written.trouble, word));
    aim(&session);
    for (int i = 0; i < 1500; i++)
        step(&session, 1);
    assert_int_equal(session.moment.alarm_rig, LONG);
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(session.written.synced_seq, synced);
    assert_true(session.written.appended_seq >= synced + 3);

    disk_error = 0;
    WAIT_FOR(&session, *session.written.trouble == '\0');
    WAIT_SYNCED(&session);
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(count_kind(&session.night, ACT_AIM), 1);
    assert_int_equal(count_kind(&session.night, ACT_ALARM), 1);
    close_session(&session);
}

static void disk_full_in_the_middle_of_the_night(void **state)
{
    (void)state;
    the_night_goes_on_without_a_disk(ENOSPC, "No space left");
}

static void disk_read_only_in_the_middle_of_the_night(void **state)
{
    (void)state;
    the_night_goes_on_without_a_disk(EROFS, "Read-only");
}

/* Not even the folder could be made: when it can, the whole night so far is written. */
static void disk_full_at_the_start(void **state)
{
    struct fault fault;

    (void)state;
    disk_error = ENOSPC;
    assert_int_equal(session_open(&session, &test_clock, &setup, &eclipse, false, NULL, &fault), 0);
    assert_non_null(strstr(session.trouble, "No space left"));
    assert_null(session.journal);
    for (int i = 0; i < 30; i++)
        step(&session, 1);
    act(&session, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "no room"});
    assert_null(session.journal);
    disk_error = 0;
    for (int i = 0; i < 11; i++)
        step(&session, 1);
    assert_non_null(session.journal);
    assert_string_equal(session.trouble, "");
    act(&session, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "room again"});
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.acts[0].kind, ACT_BEGIN);
    assert_int_equal(count_kind(&session.night, ACT_NOTE), 2);
    assert_int_equal(session.written.damaged, 0);
    close_session(&session);
}

/* ---- a busy night ---- */

/* What a user might do next, sensible or not. */
static void act_at_random(struct session *of)
{
    static const char *const fields[] = {"filter_stops", "extender", "f_number", "portrait"};
    int rig = any(of->night.setup.rig_count);
    struct act what = {.rig = rig};

    switch (any(14)) {
    case 0:
    case 1:
        tick(of, any(of->night.setup.checklist.count));
        return;
    case 2:
    case 3:
        what.kind = ACT_AIM;
        what.value[0] = any(100) / 100.0 - 0.5;
        break;
    case 4:
        what.kind = ACT_SNOOZE;
        what.value[0] = 120;
        break;
    case 5:
        what.kind = ACT_TARGET;
        what.value[0] = any(TARGETS);
        break;
    case 6:
        what.kind = ACT_CORRECTION;
        what.value[0] = any(TARGETS);
        what.value[1] = any(13) / 3.0 - 2;
        break;
    case 7:
        what.kind = ACT_NOTE;
        (void)snprintf(what.text, sizeof what.text, "note %d: cloud in the west, wind dropped",
                       any(1000));
        break;
    case 8:
        what.kind = ACT_CLOUD;
        what.value[0] = any(2);
        break;
    case 9:
        what.kind = ACT_AIR;
        what.value[0] = any(200) / 10.0 - 20;
        what.value[1] = 40 + any(60);
        break;
    case 10:
        what.kind = any(2) ? ACT_BATTERY : ACT_CARD;
        break;
    case 11:
        what.kind = ACT_RIG;
        (void)snprintf(what.text, sizeof what.text, "%s", fields[any(4)]);
        what.value[0] = 1;
        break;
    case 12:
        session_undo(of);
        return;
    default:
        what.kind = ACT_FRAME;
    }
    act(of, what);
}

static void count_acts(void *context, struct act *what)
{
    (void)what;
    ++*(size_t *)context;
}

static size_t acts_in(const char *folder)
{
    struct journal *journal;
    struct fault fault;
    size_t count = 0;

    if (journal_open(folder, false, count_acts, &count, &journal, &fault) != 0)
        fail_msg("%s", fault.text);
    (void)journal_close(journal);
    return count;
}

/* P1 to P4 in steps of four seconds, an act at every other one. */
static void a_busy_night_is_small_and_replays_fast(void **state)
{
    char folder[PATH_SIZE], journal[PATH_SIZE + 32];
    double best = INFINITY, slowest = 0;
    size_t count;

    (void)state;
    now.utc = contact(CONTACT_P1) - 60;
    open_session(&session);
    (void)snprintf(folder, sizeof folder, "%s", session.folder);
    (void)snprintf(journal, sizeof journal, "%s/journal.jsonl", folder);
    while (now.utc < contact(CONTACT_P4) + 60) {
        double start = clock_ms();

        if (any(2) == 0)
            act_at_random(&session);
        step(&session, 4);
        slowest = fmax(slowest, clock_ms() - start);
    }
    assert_int_equal(count_kind(&session.night, ACT_GAP), 0);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    count = session.night.act_count;
    close_session(&session);
    assert_int_equal(acts_in(folder), count + 1);
    for (int i = 0; i < 5; i++) {
        double start = clock_ms();
        struct fault fault;

        assert_int_equal(session_open(&session, &test_clock, &setup, &eclipse, false, NULL, &fault),
                         0);
        best = fmin(best, clock_ms() - start);
        close_session(&session);
    }
    print_message("a busy night: %zu entries, %zu bytes; opened, replayed and computed in %.1f ms; "
                  "slowest step %.1f ms\n",
                  count, file_size(journal), best, slowest);
    assert_true(count > 2500);
    assert_true(file_size(journal) < 2000000);
    if (!SANITIZED)
        assert_true(best < 50);
}

/* ---- killed at random points of a busy night ---- */

enum { LIFE_ACTS = 20000 };
static struct lives {
    _Atomic uint64_t synced; /* last act that was shown as saved */
    uint64_t noted;          /* acts written into the table */
    struct act act[LIFE_ACTS];
} * lives;

/* One life: resumes, lives fast, is killed. Never returns. */
static void live(int pause_us)
{
    struct fault fault;

    if (session_open(&session, &test_clock, &setup, &eclipse, false, NULL, &fault) != 0 ||
        session.looking_on || *session.trouble)
        _exit(3);
    for (;;) {
        act_at_random(&session);
        step(&session, 1);
        for (size_t i = session.night.act_count; i-- > 0;) {
            const struct act *what = &session.night.acts[i];

            if (what->seq <= lives->noted || what->seq >= LIFE_ACTS)
                break;
            lives->act[what->seq] = *what;
        }
        lives->noted = session.night.last_seq;
        /* Only what the table has is called saved. */
        journal_state(session.journal, &session.written);
        if (session.written.synced_seq <= lives->noted)
            lives->synced = session.written.synced_seq;
        if (pause_us)
            sleep_ms(pause_us / 1000.0);
    }
}

struct found {
    struct act act[LIFE_ACTS];
    uint64_t last;
};

static void find(void *context, struct act *what)
{
    struct found *found = context;

    assert_true(what->seq < LIFE_ACTS);
    assert_int_equal(what->seq, found->last + 1); /* none missing, none twice */
    found->act[what->seq] = *what;
    found->last = what->seq;
}

static void assert_same_act(const struct act *a, const struct act *b)
{
    const struct act_form *form = act_form(a->kind);

    assert_int_equal(a->seq, b->seq);
    assert_int_equal(a->kind, b->kind);
    assert_same(a->utc, b->utc, "utc");
    assert_int_equal(form->has_rig ? a->rig : 0, form->has_rig ? b->rig : 0);
    assert_int_equal(a->ref, b->ref);
    for (int i = 0; i < form->values; i++)
        assert_same(a->value[i], b->value[i], form->value_name[i]);
    assert_string_equal(a->text, b->text);
}

static void read_lines(struct found *found, const char *folder)
{
    struct journal_state written;
    struct journal *journal;
    struct fault fault;

    found->last = 0;
    if (journal_open(folder, false, find, found, &journal, &fault) != 0)
        fail_msg("%s", fault.text);
    journal_state(journal, &written);
    assert_int_equal(written.damaged, 0);
    (void)journal_close(journal);
}

/* All that was acknowledged is there, as it was; all that was there before still is. */
static void assert_nothing_lost(const char *folder, struct found *before, struct found *after)
{
    read_lines(after, folder);
    if (after->last < lives->synced)
        fail_msg("entry %llu was shown as saved, the journal ends with %llu",
                 (unsigned long long)lives->synced, (unsigned long long)after->last);
    for (uint64_t i = 1; i <= before->last; i++)
        assert_same_act(&before->act[i], &after->act[i]);
    for (uint64_t i = before->last + 1; i <= lives->synced; i++)
        assert_same_act(&lives->act[i], &after->act[i]);
}

static void killed_at_random_points(void **state)
{
    const char *wanted = getenv("MOONSTAND_KILLS");
    int kills = wanted ? (int)strtol(wanted, NULL, 10) : 200, killed = 0;
    struct found *before = calloc(1, sizeof *before), *after = calloc(1, sizeof *after);
    uint64_t acknowledged = 0;
    char folder[PATH_SIZE];

    (void)state;
    lives = shared_memory(sizeof *lives);
    (void)snprintf(folder, sizeof folder, "%s/moonstand/sessions/2028-12-31", state_home);
    for (int i = 0; i < kills; i++) {
        int status;
        pid_t child;

        if (i % 25 == 0) { /* another night */
            empty_folder(state_home);
            before->last = 0;
            now.utc = contact(CONTACT_P1);
        }
        lives->synced = lives->noted = before->last;
        child = fork();
        if (child == 0) {
            seed += (uint64_t)i * 7919;
            live(any(4) ? 0 : any(3000));
        }
        assert_true(child > 0);
        /* A few live long enough to see a second sync. */
        sleep_ms(i % 60 == 59 ? 1000 + any(300) : 4 + any(26000) / 1000.0);
        assert_int_equal(kill(child, SIGKILL), 0);
        assert_int_equal(waitpid(child, &status, 0), child);
        assert_true(WIFSIGNALED(status));
        if (lives->noted == before->last)
            continue; /* killed before its first act: the next life shows what is left */
        killed++;
        assert_nothing_lost(folder, before, after);
        acknowledged += lives->synced > before->last ? lives->synced - before->last : 0;
        now.utc = after->act[after->last].utc + 2;
        now.boot += 1000;

        /* And the next start stands where it was. */
        open_session(&session);
        assert_int_equal(session.written.damaged, 0);
        assert_true(session.night.act_count >= after->last + 1);
        close_session(&session);
        read_lines(before, folder);
        for (uint64_t j = 1; j <= after->last; j++)
            assert_same_act(&after->act[j], &before->act[j]);
    }
    print_message("%d of %d killed amid acts; %llu entries shown as saved, none lost\n", killed,
                  kills, (unsigned long long)acknowledged);
    assert_true(killed > kills / 2);
    assert_true(acknowledged > (uint64_t)kills);
    free(before);
    free(after);
    (void)munmap(lives, sizeof *lives);
}

#define AT_HOME(test) cmocka_unit_test_setup_teardown(test, make_home, remove_home)

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(clock_set_back_by_an_hour),
        AT_HOME(clock_set_forward_by_an_hour),
        AT_HOME(clock_set_between_two_starts),
        AT_HOME(suspend_of_two_hours),
        AT_HOME(started_again_after_two_hours),
        AT_HOME(late_start_makes_up_nothing),
        AT_HOME(resume_after_kill),
        AT_HOME(undo_reaches_across_a_restart),
        AT_HOME(every_act_of_the_user_is_undone),
        AT_HOME(second_copy_looks_on_and_follows),
        AT_HOME(acts_that_the_setup_no_longer_knows_stay),
        AT_HOME(rehearsals_and_nights_keep_apart),
        AT_HOME(a_session_is_opened_by_its_name),
        AT_HOME(disk_full_in_the_middle_of_the_night),
        AT_HOME(disk_read_only_in_the_middle_of_the_night),
        AT_HOME(disk_full_at_the_start),
        AT_HOME(a_busy_night_is_small_and_replays_fast),
        AT_HOME(killed_at_random_points),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
