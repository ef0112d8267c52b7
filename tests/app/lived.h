/* What the tests of app share: a session on clocks of the test's own, on the total eclipse of
 * 2028-12-31 at 62 N 60 E, in a state folder of its own. */
#ifndef TESTS_APP_LIVED_H
#define TESTS_APP_LIVED_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/app/session.h"
#include "scratch.h"

#include <moonstand/pick.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define LONG 1 /* the rig on a fixed tripod that has to be aimed again */
/* Instants are written down to the millisecond. */
#define WRITTEN_S 0.0006

static inline void sleep_ms(double ms)
{
    struct timespec span = {.tv_sec = (time_t)(ms / 1000), .tv_nsec = (long)(fmod(ms, 1000) * 1e6)};

    (void)nanosleep(&span, NULL);
}

static inline double clock_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static uint64_t seed = 20281231;

/* 0 to below `most`. */
static inline int any(int most)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (int)((seed >> 33) % (unsigned)most);
}

/* ---- clocks, site, folders ---- */

static struct {
    double utc, boot;
} now;

static inline double test_utc(const struct clock *clock)
{
    (void)clock;
    return now.utc;
}

static inline double test_boot(const struct clock *clock)
{
    (void)clock;
    return now.boot;
}

static const struct clock test_clock = {.utc = test_utc, .boot = test_boot, .speed = 1};

static struct setup setup;
static struct eclipse eclipse;
static char state_home[SCRATCH];

static inline double contact(enum contact which)
{
    return utc_from_tt(eclipse.tt[which]);
}

static inline int prepare(void **state)
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

/* A state folder of its own for every test. */
static inline int make_home(void **state)
{
    (void)state;
    now.utc = contact(CONTACT_U1);
    now.boot = 5000;
    return scratch_make(state_home) ? setenv("XDG_STATE_HOME", state_home, 1) : -1;
}

static inline int remove_home(void **state)
{
    (void)state;
    return scratch_remove(state_home);
}

static inline void pass(double seconds)
{
    now.utc += seconds;
    now.boot += seconds;
}

static inline void step(struct session *of, double seconds)
{
    pass(seconds);
    session_step(of);
}

/* Changes of the setup are written to a file beside the sessions. */
static inline int open_as(struct session *of, const struct clock *clock, bool rehearsal,
                          const char *folder, struct fault *fault)
{
    char file[SCRATCH + sizeof "/setup.json"];
    struct session_start start = {.setup = &setup,
                                  .setup_file = file,
                                  .eclipse = &eclipse,
                                  .rehearsal = rehearsal,
                                  .folder = folder};

    (void)snprintf(file, sizeof file, "%s/setup.json", state_home);
    if (session_open(of, clock, &start, fault) != 0)
        return -1;
    session_keep(of);
    return 0;
}

static inline void open_session(struct session *of)
{
    struct fault fault = {""};

    if (open_as(of, &test_clock, false, NULL, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_string_equal(of->trouble, "");
    session_step(of);
}

static inline void close_session(struct session *of)
{
    assert_int_equal(session_close(of), 0);
}

static inline void act(struct session *of, struct act what)
{
    if (session_act(of, &what) != 0)
        fail_msg("%s", of->message);
}

static inline void aim(struct session *of)
{
    act(of, (struct act){.kind = ACT_AIM, .rig = LONG});
    session_step(of);
}

static inline void tick(struct session *of, int item)
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

static inline int count_kind(const struct night *night, enum act_kind kind)
{
    int count = 0;

    for (size_t i = 0; i < night->act_count; i++)
        count += night->acts[i].kind == kind;
    return count;
}

static inline const struct act *last_of(const struct night *night, enum act_kind kind)
{
    for (size_t i = night->act_count; i-- > 0;)
        if (night->acts[i].kind == kind)
            return &night->acts[i];
    fail_msg("no act of kind %s", act_form(kind)->name);
    return NULL;
}

static inline int times_missed(const struct night *night, int rig, const char *text, double due_utc)
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
static inline void assert_missed_between(const struct night *night, double from, double to,
                                         int more)
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

static inline void assert_same(double a, double b, const char *what)
{
    if (!(isnan(a) && isnan(b)) && !(fabs(a - b) <= WRITTEN_S))
        fail_msg("%s: %.6f and %.6f", what, a, b);
}

/* Exactly, unknown ones too. */
static inline void assert_exact(double a, double b, const char *what)
{
    if (!(isnan(a) && isnan(b)) && a != b)
        fail_msg("%s: %.17g and %.17g", what, a, b);
}

static inline void assert_same_rig(const struct rig_state *a, const struct rig_state *b)
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
    assert_same(a->due_utc, b->due_utc, "due_utc");
    assert_int_equal(a->due_before, b->due_before);
    for (int i = 0; i < 2; i++) {
        assert_same(a->seen[i].utc, b->seen[i].utc, "seen, utc");
        assert_exact(a->seen[i].place.x, b->seen[i].place.x, "seen, x");
        assert_exact(a->seen[i].place.y, b->seen[i].place.y, "seen, y");
    }
    assert_same(a->snoozed_until, b->snoozed_until, "snoozed_until");
    assert_same(a->alarm_utc, b->alarm_utc, "alarm_utc");
    for (int i = 0; i < TARGETS; i++)
        assert_exact(a->correction_stops[i], b->correction_stops[i], "correction_stops");
    assert_same(a->umbra_utc, b->umbra_utc, "umbra_utc");
    assert_exact(a->umbra_left_stops, b->umbra_left_stops, "umbra_left_stops");
    assert_int_equal(a->frames, b->frames);
    assert_same(a->battery_utc, b->battery_utc, "battery_utc");
    assert_same(a->card_utc, b->card_utc, "card_utc");
    assert_int_equal(a->batteries_changed, b->batteries_changed);
    assert_int_equal(a->heater_told, b->heater_told);
    assert_int_equal(a->heater_on, b->heater_on);
    assert_exact(a->camera_behind_s, b->camera_behind_s, "camera_behind_s");
    assert_int_equal(a->dial.known, b->dial.known);
    assert_int_equal(a->dial.shutter, b->dial.shutter);
    assert_int_equal(a->dial.iso, b->dial.iso);
    assert_int_equal(a->dial.frames, b->dial.frames);
    assert_int_equal(a->setting_target, b->setting_target);
}

static inline void assert_same_night(const struct night *a, const struct night *b)
{
    assert_exact(a->site.latitude_deg, b->site.latitude_deg, "latitude_deg");
    assert_exact(a->site.longitude_deg, b->site.longitude_deg, "longitude_deg");
    assert_exact(a->site.height_m, b->site.height_m, "height_m");
    assert_string_equal(a->site_source, b->site_source);
    for (int i = 0; i < CHECK_ITEMS; i++) {
        assert_same(a->checked_utc[i], b->checked_utc[i], "checked_utc");
        assert_same(a->later_utc[i], b->later_utc[i], "later_utc");
    }
    assert_same(a->glass_utc, b->glass_utc, "glass_utc");
    assert_exact(a->danjon_rating, b->danjon_rating, "danjon_rating");
    assert_exact(a->danjon_state, b->danjon_state, "danjon_state");
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
static inline void *shared_memory(size_t size)
{
    void *memory = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);

    assert_true(memory != MAP_FAILED);
    return memory;
}

static inline size_t file_size(const char *path)
{
    struct stat status;

    return stat(path, &status) == 0 ? (size_t)status.st_size : 0;
}

#define AT_HOME(test) cmocka_unit_test_setup_teardown(test, make_home, remove_home)

#endif
