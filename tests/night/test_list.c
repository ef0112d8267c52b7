/* The checklist of ten nights, each of an eclipse that is: `moonstand nights --site` has them. Run
 * with SHOW=1 to read the lists. What hangs on what in such a night is common practice, no source.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/fault.h>
#include <moonstand/list_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <moonstand/sky_light.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct lived {
    const char *about, *day;
    double latitude_deg, longitude_deg;
    int zone_h; /* local time minus UTC */
    enum eclipse_kind kind;
    bool by_day;           /* the Sun is up at some time of the work */
    double start_h, end_h; /* local time of P1 and P4; NaN: the Moon is down then */
};
/* P1 and P4 are those of NASA's Five Millennium Canon of Lunar Eclipses (Espenak & Meeus). */
static const struct lived nights[] = {
    {"total at midnight", "2028-12-31", 47.9, 106.9, 8, ECLIPSE_TOTAL, true, 22.07, 3.67},
    {"the Moon rises total", "2025-09-07", 51.5, -0.1, 1, ECLIPSE_TOTAL, true, NAN, 21.92},
    {"the Moon sets total", "2029-06-26", 52.5, 13.4, 2, ECLIPSE_TOTAL, true, 2.58, NAN},
    {"partial, magnitude 0.07", "2028-01-12", 40, -75, -5, ECLIPSE_PARTIAL, true, 21.13, 1.31},
    {"penumbral", "2027-02-20", 48, 11, 1, ECLIPSE_PENUMBRAL, true, 22.2, 2.23},
    {"summer at 55 N", "2029-06-26", 55, -60, -3, ECLIPSE_TOTAL, true, 21.58, 3.16},
    {"southern winter", "2029-06-26", -40, -65, -3, ECLIPSE_TOTAL, true, 21.58, 3.16},
    {"70 N in December", "2028-12-31", 70, 25, 1, ECLIPSE_TOTAL, false, 15.07, 20.67},
    {"P1 at 18:00", "2028-12-31", 25.2, 55.3, 4, ECLIPSE_TOTAL, true, 18.07, 23.67},
    {"P1 at 02:00", "2022-11-08", 41.9, -87.6, -6, ECLIPSE_TOTAL, true, 2.04, NAN},
};
enum { NIGHTS = sizeof nights / sizeof *nights };

static struct night night;
static const struct lived *lived;

static void open_night(const struct lived *which)
{
    static struct setup setup;
    struct zone_table zone;
    struct eclipse eclipse;
    struct fault fault;
    double day;

    lived = which;
    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = lived->latitude_deg;
    setup.site.longitude_deg = lived->longitude_deg;
    zone_utc(&zone);
    zone.step[0].offset_s = lived->zone_h * 3600;
    assert_int_equal(parse_day(lived->day, &day, &fault), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    night_close(&night);
    assert_int_equal(night_open(&night, &setup, &eclipse, &zone, false, &fault), 0);
    night_follow(&night, night.contact_utc[CONTACT_GREATEST]);
}

static int close_last(void **state)
{
    (void)state;
    night_close(&night);
    return 0;
}

static const struct check_item *item_at(int i)
{
    return &night.setup.checklist.item[i];
}

/* "2025-09-06 19:00". */
static char *local(char out[TEXT_INSTANT], double utc)
{
    (void)format_iso(out, utc + lived->zone_h * 3600.0, 0, "");
    out[10] = ' ';
    out[16] = '\0';
    return out;
}

/* NaN where this night leaves it out. */
static double due(const char *id)
{
    int item = checklist_find(&night.setup.checklist, id);

    if (item < 0)
        fail_msg("no item %s", id);
    return item_applies(&night, item) ? item_due_utc(&night, item) : NAN;
}

static bool is_up(double utc)
{
    struct sight moon;

    sky_moon(&night.arc, &night.observer, utc, &moon);
    return moon.up;
}

static bool is_day(double utc)
{
    struct arc arc;
    struct sight sun;

    assert_int_equal(arc_make(&arc, tt_from_utc(utc) - 60, tt_from_utc(utc) + 60, true), 0);
    sky_sun(&arc, &night.observer, utc, &sun);
    return sun.up;
}

static int by_due(const void *a, const void *b)
{
    double first = item_due_utc(&night, *(const int *)a),
           second = item_due_utc(&night, *(const int *)b);

    return (first > second) - (first < second);
}

static void show(void)
{
    int order[CHECK_ITEMS], count = 0;
    char when[TEXT_INSTANT];

    if (!getenv("SHOW"))
        return;
    for (int i = 0; i < night.setup.checklist.count; i++)
        if (item_applies(&night, i) && isfinite(item_due_utc(&night, i)))
            order[count++] = i;
    qsort(order, (size_t)count, sizeof *order, by_due);
    printf("\n%s, %s at %g, %g\n", lived->about, lived->day, lived->latitude_deg,
           lived->longitude_deg);
    for (int i = 0; i < count; i++)
        printf("  %s  %-15s %s\n", local(when, item_due_utc(&night, order[i])),
               item_group_words(&night, item_at(order[i])->group), item_at(order[i])->text);
}

/* ---- the rules ---- */

static void expect_before(const char *first, const char *second)
{
    if (due(first) > due(second))
        fail_msg("%s: %s is due after %s", lived->about, first, second);
}

static void assert_local_hour(double utc, double hour)
{
    double shown = fmod(utc / 3600 + lived->zone_h + 24, 24);

    if (!(fabs(shown - hour) < 0.03))
        fail_msg("%s: %.2f h instead of %.2f h", lived->about, shown, hour);
}

static void start_and_end_are_those_of_the_visible_eclipse(void)
{
    double start = night.anchor_utc[ANCHOR_START], end = night.anchor_utc[ANCHOR_END];

    assert_int_equal(night.eclipse.kind, lived->kind);
    if (isfinite(lived->start_h))
        assert_local_hour(start, lived->start_h);
    else
        assert_true(!is_up(start - 5) && is_up(start + 5) && start > night.contact_utc[CONTACT_P1]);
    if (isfinite(lived->end_h))
        assert_local_hour(end, lived->end_h);
    else
        assert_true(is_up(end - 5) && !is_up(end + 5) && end < night.contact_utc[CONTACT_P4]);
}

/* Between 18 and 23 hours on the day before the work at the site begins. */
static void the_day_before_is_the_evening_before(void)
{
    double work = fmin(due("tripod"), fmin(due("ground"), due("ground-dark")));
    double work_day = floor((work + lived->zone_h * 3600) / SECONDS_PER_DAY);

    for (int i = 0; i < night.setup.checklist.count; i++) {
        double at = item_due_utc(&night, i) + lived->zone_h * 3600;
        double hour = fmod(at, SECONDS_PER_DAY) / 3600;

        if (item_at(i)->group != CHECK_DAY_BEFORE)
            continue;
        if (!(hour >= 18 && hour <= 23) || floor(at / SECONDS_PER_DAY) != work_day - 1)
            fail_msg("%s: %s is not due on the evening before", lived->about, item_at(i)->id);
    }
    assert_true(isfinite(due("charge")));
}

/* What says that it is light is due while the Sun is up, and only where it comes up. */
static void work_by_day_is_done_by_day(void)
{
    for (int i = 0; i < night.setup.checklist.count; i++) {
        double at = item_due_utc(&night, i);
        const char *text = item_at(i)->text;

        if (!item_applies(&night, i))
            continue;
        if (strstr(text, "light: ice") || strstr(text, "Sun up")) {
            assert_true(lived->by_day);
            if (!is_day(at))
                fail_msg("%s: '%s' is due by night", lived->about, text);
        }
        if (strstr(text, "no white light") && is_day(at))
            fail_msg("%s: '%s' is due by day", lived->about, text);
    }
    assert_int_equal(isfinite(due("ground")), lived->by_day);
    assert_int_equal(isfinite(due("sun")), lived->by_day);
    assert_int_equal(isfinite(due("ground-dark")), !lived->by_day);
    if (lived->by_day)
        assert_true(due("mains") < night.anchor_utc[ANCHOR_SUNSET]);
}

/* A hand at the Moon's picture, or a setting for what it shows. */
static void nothing_asks_for_a_moon_that_is_down(void)
{
    static const char *const ids[] = {"focus",
                                      "test-run",
                                      "aim",
                                      "start",
                                      "focus-again",
                                      "focus-greatest",
                                      "settings-partial",
                                      "settings-penumbral",
                                      "umbra-setting",
                                      "aim-u2",
                                      "aim-greatest",
                                      "rating",
                                      "settings-u3",
                                      "aim-u3",
                                      "focus-u3"};

    for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
        /* Where the Moon is up before P1 it has to be so for the setting up, too. */
        if (isfinite(due(ids[i])) && !is_up(due(ids[i])))
            fail_msg("%s: %s is due while the Moon is down", lived->about, ids[i]);
    }
    assert_true(isfinite(due("focus")) && isfinite(due("aim")));
}

static void what_hangs_on_another_comes_after_it(void)
{
    static const char *const pairs[][2] = {
        {"charge", "spares"},
        {"charge", "ground"},
        {"cards", "room"},
        {"forecast", "ground"},
        {"ask", "ground"},
        {"sun", "ground"},
        {"spares", "tripod"},
        {"sun", "cool-down"},
        {"ground", "tripod"},
        {"ground-dark", "tripod"},
        {"ground", "mains"},
        {"mains", "dew-shields"},
        {"tripod", "mount"},
        {"mount", "aim"},
        {"tripod", "wide-frame"},
        {"cool-down", "focus"},
        {"autofocus", "focus"},
        {"autofocus", "focus-wide"},
        {"focus", "test-run"},
        {"wide-frame", "test-run"},
        {"focus-wide", "start-wide"},
        {"wide-frame", "start-wide"},
        {"room", "start-wide"},
        {"interval", "start-wide"},
        {"test-run", "start"},
        {"aim", "start"},
        {"room", "start"},
        {"focus-again", "aim-u2"},
        {"glass", "aim-u2"},
        {"batteries", "aim-u2"},
        {"umbra-setting", "aim-u2"},
        {"aim-u2", "rating"},
        {"start", "aim-u3"},
        {"glass-u3", "aim-u3"},
        {"batteries-u3", "aim-u3"},
        {"settings-u3", "aim-u3"},
        {"aim-u3", "focus-u3"},
        {"start", "aim-greatest"},
        {"glass-greatest", "aim-greatest"},
        {"focus-greatest", "aim-greatest"},
        {"glass-u4", "time-card"},
        {"glass-late", "time-card"},
        {"time-card", "bags"},
        {"darks", "bags"},
        {"bags", "copy"},
        {"search", "sleep"},
        {"sleep", "copy"},
    };

    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        expect_before(pairs[i][0], pairs[i][1]);
}

/* Work before the eclipse is not asked for after it, and the other way round. */
static void groups_keep_to_their_time(void)
{
    double late = night.anchor_utc[ANCHOR_START] + 10 * 60, end = night.anchor_utc[ANCHOR_END];

    for (int i = 0; i < night.setup.checklist.count; i++) {
        double at = item_due_utc(&night, i);
        enum check_group group = item_at(i)->group;
        bool after = group == CHECK_AFTER, inside = group == CHECK_BEFORE_P4;

        if (!isfinite(at) || strcmp(item_at(i)->id, "red-light") == 0)
            continue;
        if ((group <= CHECK_BEFORE_P1 && at > late) || after != (at > end) ||
            (inside && !(at > late && at < end)))
            fail_msg("%s: %s is due outside its group", lived->about, item_at(i)->id);
    }
}

/* A heading names no instant that the Moon is not up for. */
static void headings_fit_the_night(void)
{
    const double *at = night.contact_utc, start = night.anchor_utc[ANCHOR_START],
                 end = night.anchor_utc[ANCHOR_END];

    for (int group = CHECK_BEFORE_P1; group <= CHECK_BEFORE_P4; group++) {
        const char *said = item_group_words(&night, (enum check_group)group);
        const char *before = strncmp(said, "before ", 7) == 0 ? said + 7 : "";

        for (int i = 0; i < CONTACT_COUNT; i++)
            if (strcmp(before, contact_name((enum contact)i)) == 0 &&
                !(at[i] >= start - 1 && at[i] <= end + 1))
                fail_msg("%s: '%s'", lived->about, said);
    }
}

/* Whether the umbra is twice as bright as the sky in front of a Moon that is up. */
static bool shows_umbra(double utc)
{
    static struct readings readings;
    static struct moment moment;

    readings_none(&readings);
    moment_at(&night, &readings, utc, &moment);
    return moment.moon.up &&
           moon_part_luminance(moment.luminance, moment.light.umbra) > 2 * moment.sky_luminance;
}

/* In totality, as near to greatest as it can be seen; never if it cannot. */
static void the_umbra_is_rated_when_it_shows(void)
{
    double greatest = night.contact_utc[CONTACT_GREATEST], best_s = INFINITY;
    double from = fmax(night.contact_utc[CONTACT_U2] + 60, night.anchor_utc[ANCHOR_START] + 660);

    if (lived->kind != ECLIPSE_TOTAL)
        return;
    for (double utc = from; utc < night.contact_utc[CONTACT_U3] - 60; utc += 10)
        if (shows_umbra(utc))
            best_s = fmin(best_s, fabs(utc - greatest - 120));
    assert_true(isfinite(best_s) == isfinite(due("rating")));
    if (isfinite(best_s)) {
        assert_true(shows_umbra(due("rating")));
        assert_true(fabs(due("rating") - greatest - 120) <= best_s + 30);
    }
}

static void no_word_is_of_another_eclipse(void)
{
    static const char *const not_total[] = {"U2", "U3", "totality", "Totality", "total"};
    static const char *const penumbral[] = {"U1", "U4", "umbra", "sunlit part"};

    for (int i = 0; i < night.setup.checklist.count; i++) {
        const char *said[] = {item_at(i)->text, item_at(i)->note,
                              item_group_words(&night, item_at(i)->group)};

        if (!item_applies(&night, i))
            continue;
        for (int j = 0; j < 3; j++) {
            for (size_t k = 0; lived->kind != ECLIPSE_TOTAL && k < 5; k++)
                if (strstr(said[j], not_total[k]))
                    fail_msg("%s: '%s'", lived->about, said[j]);
            for (size_t k = 0; lived->kind == ECLIPSE_PENUMBRAL && k < 4; k++)
                if (strstr(said[j], penumbral[k]))
                    fail_msg("%s: '%s'", lived->about, said[j]);
        }
    }
}

/* From U2 on there is work, too, as long as the Moon is up. */
static void hands_have_work_to_the_end(void)
{
    const double *at = night.contact_utc;
    static const char *const ids[] = {"glass-u3", "batteries-u3", "settings-u3", "aim-u3"};

    for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
        if (lived->kind != ECLIPSE_TOTAL)
            assert_true(isnan(due(ids[i])));
        else if (is_up(at[CONTACT_U3] - 26 * 60) && is_up(at[CONTACT_U3]))
            assert_true(due(ids[i]) > at[CONTACT_U2] && due(ids[i]) < at[CONTACT_U3]);
    }
    if (lived->kind != ECLIPSE_TOTAL)
        assert_true(due("batteries-greatest") > at[CONTACT_GREATEST] &&
                    due("batteries-greatest") < at[CONTACT_P4]);
    if (lived->kind == ECLIPSE_PENUMBRAL)
        assert_true(due("glass-late") > at[CONTACT_GREATEST]);
    else if (is_up(at[CONTACT_U4]))
        assert_true(due("glass-u4") > at[CONTACT_GREATEST] && due("glass-u4") < at[CONTACT_U4]);
}

static void nothing_is_said_twice_at_once(void)
{
    for (int i = 0; i < night.setup.checklist.count; i++)
        for (int j = 0; j < i; j++)
            if (strcmp(item_at(i)->text, item_at(j)->text) == 0 &&
                fabs(item_due_utc(&night, i) - item_due_utc(&night, j)) < 15 * 60)
                fail_msg("%s: %s and %s", lived->about, item_at(i)->id, item_at(j)->id);
}

static void every_night_keeps_the_rules(void **state)
{
    (void)state;
    for (int i = 0; i < NIGHTS; i++) {
        open_night(&nights[i]);
        show();
        start_and_end_are_those_of_the_visible_eclipse();
        the_day_before_is_the_evening_before();
        work_by_day_is_done_by_day();
        nothing_asks_for_a_moon_that_is_down();
        what_hangs_on_another_comes_after_it();
        groups_keep_to_their_time();
        headings_fit_the_night();
        the_umbra_is_rated_when_it_shows();
        no_word_is_of_another_eclipse();
        hands_have_work_to_the_end();
        nothing_is_said_twice_at_once();
    }
}

/* Each of them on one of the ten nights at least. */
static void no_item_is_dead(void **state)
{
    bool seen[CHECK_ITEMS] = {false};

    (void)state;
    for (int i = 0; i < NIGHTS; i++) {
        open_night(&nights[i]);
        for (int j = 0; j < night.setup.checklist.count; j++)
            seen[j] |= item_applies(&night, j);
    }
    for (int j = 0; j < night.setup.checklist.count; j++)
        if (!seen[j])
            fail_msg("%s is never on the list", item_at(j)->id);
}

/* What is left out is neither open nor overdue, and not written down as missed. */
static void what_is_left_out_is_nowhere(void **state)
{
    struct readings readings;
    struct moment moment;
    struct act acts[NIGHT_MISSED];
    int applies = 0, past = 0, missed;

    (void)state;
    open_night(&nights[4]);
    readings_none(&readings);
    moment_at(&night, &readings, night.contact_utc[CONTACT_P4] + 3600, &moment);
    for (int i = 0; i < night.setup.checklist.count; i++)
        applies += item_applies(&night, i);
    assert_true(applies < night.setup.checklist.count);
    for (int i = 0; i < night.setup.checklist.count; i++)
        past += moment.check_past[i];
    assert_int_equal(moment.check_open + past, applies);
    missed = night_missed(&night, night.contact_utc[CONTACT_P1], night.contact_utc[CONTACT_P4], 0,
                          acts, NIGHT_MISSED);
    for (int i = 0; i < missed; i++)
        assert_null(strstr(acts[i].text, "U2"));
}

static int asked_for(const struct moment *moment, enum check_group group)
{
    int asked = 0;

    for (int i = 0; i < night.setup.checklist.count; i++)
        asked += night.setup.checklist.item[i].group == group && item_applies(&night, i) &&
                 !moment->check_past[i];
    return asked;
}

static int applying(enum check_group group)
{
    int applying = 0;

    for (int i = 0; i < night.setup.checklist.count; i++)
        applying += night.setup.checklist.item[i].group == group && item_applies(&night, i);
    return applying;
}

/* What nobody ticks is asked for as long as it can be done: the day before's until the site's begins,
 * what P1 needs up to P1, all for two hours at least. Hands and counts have the same. */
static void what_is_past_is_not_asked_for(void **state)
{
    struct readings readings;
    struct moment moment;

    (void)state;
    readings_none(&readings);
    open_night(&nights[0]);
    double p1 = night.contact_utc[CONTACT_P1], p4 = night.contact_utc[CONTACT_P4];
    moment_at(&night, &readings, p1 - 12 * 3600, &moment);
    assert_true(asked_for(&moment, CHECK_DAY_BEFORE) > 0);
    assert_int_equal(moment.check_overdue, asked_for(&moment, CHECK_DAY_BEFORE));
    moment_at(&night, &readings, p1 - 60, &moment);
    assert_int_equal(asked_for(&moment, CHECK_DAY_BEFORE), 0);
    assert_int_equal(asked_for(&moment, CHECK_BEFORE_P1), applying(CHECK_BEFORE_P1));
    for (double utc = p1 + 1; utc < p4; utc += 600) {
        int overdue = 0;

        moment_at(&night, &readings, utc, &moment);
        for (int i = 0; i < night.setup.checklist.count; i++) {
            double late = utc - moment.check_due_utc[i];
            overdue += item_applies(&night, i) && late >= 0 && late < 7200;
            assert_true(!moment.check_past[i] || late >= 7200);
        }
        assert_int_equal(moment.check_overdue, overdue);
        if (moment.check_next >= 0)
            assert_true(utc - moment.check_due_utc[moment.check_next] < 7200);
        for (int i = 0; i < moment.hands.count; i++)
            if (moment.hands.job[i].kind == JOB_ITEM)
                assert_false(moment.check_past[moment.hands.job[i].item]);
    }
}

/* A Sun that is up all night does not set, and is warned of all the same. */
static void the_sun_of_midnight_is_warned_of(void **state)
{
    static const struct lived south = {"70 S in December", "2028-12-31", -70, 25, 1,
                                       ECLIPSE_TOTAL,      true,         NAN, NAN};

    (void)state;
    open_night(&south);
    assert_true(isnan(night.anchor_utc[ANCHOR_SUNSET]));
    assert_true(isfinite(due("sun")) && isfinite(due("ground")) && isnan(due("ground-dark")));
}

/* Of one's own, too: ten minutes after its rise and until its set. */
static void an_item_waits_for_the_moon(void **state)
{
    static const struct {
        int night;
        const char *due;
        bool applies;
    } items[] = {{1, "moonrise+9m", false},
                 {1, "moonrise+11m", true},
                 {2, "moonset-1m", true},
                 {2, "moonset+1m", false},
                 {0, "greatest", true}};
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof items / sizeof *items; i++) {
        open_night(&nights[items[i].night]);
        struct setup setup = night.setup;
        struct zone_table zone = night.zone;
        struct eclipse eclipse = night.eclipse;

        setup.checklist.item[0].when = WHEN_MOON;
        assert_int_equal(due_parse(items[i].due, &setup.checklist.item[0].due, &fault), 0);
        night_take_setup(&night, &setup, &eclipse, &zone);
        night_follow(&night, night.contact_utc[CONTACT_GREATEST]);
        if (item_applies(&night, 0) != items[i].applies)
            fail_msg("%s at %s", items[i].due, lived->about);
    }
}

/* Of the three rigs of the setup only one is brought along. */
static void nothing_is_asked_of_a_rig_that_is_not_there(void **state)
{
    static const struct {
        const char *id;
        bool wide, long_one, mount;
    } items[] = {
        {"focus-wide", true, false, false}, {"wide-frame", true, false, false},
        {"start-wide", true, false, false}, {"cool-down", false, true, true},
        {"focus", false, true, true},       {"aim", false, true, true},
        {"start", false, true, true},       {"aim-u2", false, true, false},
        {"aim-u3", false, true, false},     {"mount", false, false, true},
        {"test-run", true, true, true},     {"batteries", true, true, true},
    };

    (void)state;
    for (int rig = 0; rig < 3; rig++) {
        open_night(&nights[0]);
        struct setup setup = night.setup;
        struct zone_table zone = night.zone;
        struct eclipse eclipse = night.eclipse;

        setup.rig[0] = setup.rig[rig];
        setup.rig_count = 1;
        night_take_setup(&night, &setup, &eclipse, &zone);
        night_follow(&night, night.contact_utc[CONTACT_GREATEST]);
        for (size_t i = 0; i < sizeof items / sizeof *items; i++) {
            bool asked = rig == 0 ? items[i].wide : rig == 1 ? items[i].long_one : items[i].mount;

            if (isfinite(due(items[i].id)) != asked)
                fail_msg("%s, with %s alone", items[i].id, setup.rig[0].name);
        }
    }
}

/* A tower that hides the Moon for a while takes nothing off the list; a Moon that is down from P1 to
 * P4 leaves no work at it. */
static void what_hides_the_moon_for_a_while_does_not_count(void **state)
{
    static const struct lived antipodes = {"never up",    "2028-12-31", -47.9, -73.1, -5,
                                           ECLIPSE_TOTAL, true,         NAN,   NAN};
    struct sight moon;

    (void)state;
    open_night(&nights[0]);
    struct setup setup = night.setup;
    struct zone_table zone = night.zone;
    struct eclipse eclipse = night.eclipse;
    double glass = due("glass");
    int count = 0;

    sky_moon(&night.arc, &night.observer, glass, &moon);
    for (int i = -1; i <= 1; i++) {
        setup.site.horizon.azimuth_rad[count] = moon.azimuth_rad + i * rad_from_deg(3);
        setup.site.horizon.altitude_rad[count++] = i ? 0 : moon.altitude_rad + rad_from_deg(5);
    }
    setup.site.horizon.count = count;
    night_take_setup(&night, &setup, &eclipse, &zone);
    night_follow(&night, glass);
    assert_false(is_up(glass));
    assert_true(due("glass") == glass);

    open_night(&antipodes);
    assert_true(isnan(due("glass")) && isnan(due("aim-u2")) && isnan(due("settings-u3")));
    assert_true(isfinite(due("charge")));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_night_keeps_the_rules),
        cmocka_unit_test(the_sun_of_midnight_is_warned_of),
        cmocka_unit_test(an_item_waits_for_the_moon),
        cmocka_unit_test(nothing_is_asked_of_a_rig_that_is_not_there),
        cmocka_unit_test(what_hides_the_moon_for_a_while_does_not_count),
        cmocka_unit_test(no_item_is_dead),
        cmocka_unit_test(what_is_left_out_is_nowhere),
        cmocka_unit_test(what_is_past_is_not_asked_for),
    };

    return cmocka_run_group_tests(tests, NULL, close_last);
}
