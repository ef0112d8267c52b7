/* What changes under a running night: its setup, and the hours of the forecast. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/record_words.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>

static struct setup setup;
static struct eclipse eclipse;
static struct zone_table zone;
static struct night night;
static struct moment moment;

/* What each text makes of a setup. */
static struct {
    const char *text;
    struct setup setup;
} made[4];
static int made_count;

static const double start = 1861880000; /* 2028-12-31, before P1 */

static int prepare(void **state)
{
    struct fault fault;

    (void)state;
    made_count = 0;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    return night_open(&night, &setup, &eclipse, &zone, false, &fault);
}

static int finish(void **state)
{
    (void)state;
    night_close(&night);
    return 0;
}

static int apply(struct act act)
{
    struct fault fault;

    act.utc = start + (double)night.act_count;
    act.boot_s = NAN;
    return night_apply(&night, &act, &fault);
}

static void take_back(void)
{
    assert_int_equal(
        apply((struct act){.kind = ACT_UNDO, .rig = -1, .ref = night_last_undoable(&night)->seq}),
        0);
}

static int edit(void *context, const char *text, struct setup *edited, struct zone_table *local,
                struct fault *fault)
{
    (void)context;
    (void)local;
    for (int i = 0; i < made_count; i++)
        if (strcmp(made[i].text, text) == 0) {
            *edited = made[i].setup;
            return 0;
        }
    return fault_set(fault, "no such change");
}

static void change(struct setup *changed, const char *text)
{
    struct act act = {.kind = ACT_SETUP, .rig = -1};

    night.editor.edit = edit;
    made[made_count].text = text;
    made[made_count++].setup = *changed;
    (void)snprintf(act.text, sizeof act.text, "%s", text);
    assert_int_equal(apply(act), 0);
}

static void look(void)
{
    struct readings readings;

    readings_none(&readings);
    night_follow(&night, start);
    moment_at(&night, &readings, start, &moment);
}

/* All that is derived is what a night has that was opened with that setup. */
static void a_changed_setup_is_a_night_opened_with_it(void **state)
{
    static struct night opened;
    static struct moment as_opened;
    static struct setup changed;
    struct readings readings;
    struct fault fault;

    (void)state;
    look();
    /* Every item keeps its tick, and what was put off stays so. */
    for (int i = 0; i < 3; i++) {
        struct act act = {
            .kind = i < 2 ? ACT_CHECK : ACT_LATER, .rig = -1, .value = {i < 2 ? 1 : 9}};

        memcpy(act.text, setup.checklist.item[i].id, CHECK_ID);
        assert_int_equal(apply(act), 0);
    }
    changed = setup;
    changed.rig[0].focal_mm = 300;
    changed.rig_count = 2;
    changed.site.latitude_deg = 48;
    changed.danjon = 1;
    changed.rule = SHADOW_CHAUVENET;
    change(&changed, "rigs[0].focal_mm 300");
    look();
    assert_int_equal(night_open(&opened, &changed, &eclipse, &zone, false, &fault), 0);
    readings_none(&readings);
    night_follow(&opened, start);
    moment_at(&opened, &readings, start, &as_opened);
    for (int i = 0; i < changed.rig_count; i++) {
        const struct run *ours = &night.run[i], *theirs = &opened.run[i];

        assert_int_equal(ours->count, theirs->count);
        assert_memory_equal(ours->segment, theirs->segment,
                            (size_t)ours->count * sizeof ours->segment[0]);
    }
    assert_near(moment.moon.altitude_rad, as_opened.moon.altitude_rad, 0);
    assert_near(moment.rig[0].aim.placed_stays_s, as_opened.rig[0].aim.placed_stays_s, 0);
    assert_near(night.danjon_state, 1, 0);
    assert_true(night.contact_utc[CONTACT_U1] < utc_from_tt(eclipse.tt[CONTACT_U1]) - 1);
    for (int i = 0; i < CONTACT_COUNT; i++)
        assert_near(night.contact_utc[i], opened.contact_utc[i], 0);
    for (int i = 0; i < CHECK_ITEMS; i++) {
        assert_int_equal(isfinite(night.checked_utc[i]), i < 2);
        assert_int_equal(isfinite(night.later_utc[i]), i == 2);
    }
    night_close(&opened);
}

/* A key changed the f-number, then the setup did: the later word holds, and its undo gives way. */
static void the_later_word_holds(void **state)
{
    static struct setup changed;

    (void)state;
    assert_int_equal(
        apply((struct act){.kind = ACT_RIG, .rig = 1, .text = "f_number", .value = {8}}), 0);
    assert_int_equal(apply((struct act){.kind = ACT_TARGET, .rig = 1, .value = {TARGET_STARS}}), 0);
    changed = setup;
    changed.rig[1].f_number = 11;
    change(&changed, "rigs[1].f_number 11");
    assert_near(night.rig[1].rig.f_number, 11, 0);
    assert_int_equal(night.rig[1].rig.target, TARGET_STARS);
    changed.rig[1].target = TARGET_BRACKET;
    change(&changed, "rigs[1].target bracket");
    assert_int_equal(night.rig[1].rig.target, TARGET_BRACKET);
    assert_int_equal(
        apply((struct act){.kind = ACT_RIG, .rig = 1, .text = "f_number", .value = {4}}), 0);
    assert_near(night.rig[1].rig.f_number, 4, 0);
    take_back();
    assert_near(night.rig[1].rig.f_number, 11, 0);
    take_back(); /* the target's change */
    take_back(); /* the f-number's */
    assert_near(night.rig[1].rig.f_number, 8, 0);
    assert_int_equal(night.rig[1].rig.target, TARGET_STARS);
}

/* What keys have changed stays where the setup has nothing new about it. */
static void what_keys_changed_stays(void **state)
{
    static const struct {
        const char *field;
        double value;
    } keyed[] = {{"filter_stops", 2}, {"extender", 1.4}, {"f_number", 8}, {"interval_s", 30}, {"portrait", 1}};
    const struct rig *rig = &night.rig[1].rig;
    static struct setup changed;

    (void)state;
    for (size_t i = 0; i < sizeof keyed / sizeof *keyed; i++) {
        struct act act = {.kind = ACT_RIG, .rig = 1, .value = {keyed[i].value}};

        (void)snprintf(act.text, sizeof act.text, "%s", keyed[i].field);
        assert_int_equal(apply(act), 0);
    }
    changed = setup;
    changed.danjon = 1;
    change(&changed, "danjon 1");
    assert_near(rig->filter_stops, 2, 0);
    assert_near(rig->extender, 1.4, 0);
    assert_near(rig->f_number, 8, 0);
    assert_near(rig->interval_s, 30, 0);
    assert_true(rig->portrait);
}

static void a_chosen_site_replaces_the_receiver_s(void **state)
{
    static struct setup changed;

    (void)state;
    assert_int_equal(
        apply((struct act){.kind = ACT_SITE, .rig = -1, .text = "gps", .value = {10, 20, 30}}), 0);
    changed = setup;
    (void)snprintf(changed.site.name, sizeof changed.site.name, "hut");
    change(&changed, "site.name hut");
    assert_near(night.site.latitude_deg, 10, 0);
    assert_string_equal(night.site.name, "hut");
    changed.site.latitude_deg = 50;
    change(&changed, "site barn");
    assert_near(night.site.latitude_deg, 50, 0);
    assert_string_equal(night.site_source, "setup");
}

/* The list's entry is where the active site is changed that stands in it. */
static void the_entry_of_the_active_site_moves_it(void **state)
{
    static struct setup changed;
    struct act gps = {.kind = ACT_SITE, .rig = -1, .text = "gps", .value = {10, 20, 30}};

    (void)state;
    assert_int_equal(apply(gps), 0);
    changed = setup;
    changed.site_count = 2;
    (void)snprintf(changed.site.name, sizeof changed.site.name, "hut");
    changed.sites[0] = changed.sites[1] = changed.site;
    (void)snprintf(changed.sites[0].name, sizeof changed.sites[0].name, "barn");
    change(&changed, "sites[0].latitude_deg 48");
    change(&changed, "sites[1].temperature_c -5");
    assert_near(night.site.latitude_deg, 10, 0);
    changed.site.latitude_deg = changed.sites[1].latitude_deg = 50;
    change(&changed, "sites[1].latitude_deg 50");
    assert_near(night.site.latitude_deg, 50, 0);
    assert_string_equal(night.site_source, "setup");
}

/* What was done to a rig that was taken out is not done to the one that comes after it. */
static void a_new_rig_has_nothing_behind_it(void **state)
{
    static struct setup fewer;

    (void)state;
    assert_int_equal(apply((struct act){.kind = ACT_AIM, .rig = 2}), 0);
    assert_int_equal(apply((struct act){.kind = ACT_FRAME, .rig = 2}), 0);
    fewer = setup;
    fewer.rig_count = 2;
    change(&fewer, "rigs[2]");
    change(&setup, "rigs[2] guide, 200, 4");
    assert_false(night.rig[2].aimed);
    assert_int_equal(night.rig[2].frames, 0);
    assert_int_equal(apply((struct act){.kind = ACT_FRAME, .rig = 2}), 0);
    assert_int_equal(night.rig[2].frames, 1);
}

/* A night that begins anew has in its setup what was changed before; so has one that an older
 * program recorded. */
static void changes_before_the_beginning_are_part_of_it(void **state)
{
    static struct setup changed;

    (void)state;
    assert_int_equal(apply((struct act){.kind = ACT_BEGIN, .rig = -1, .value = {NAN}}), 0);
    assert_int_equal(apply((struct act){.kind = ACT_NOTE, .rig = -1, .text = "wind"}), 0);
    changed = setup;
    changed.danjon = 1;
    change(&changed, "danjon 1");
    look();
    assert_near(night.danjon_state, setup.danjon, 0);
    assert_int_equal(apply((struct act){.kind = ACT_BEGIN, .rig = -1, .value = {1}}), 0);
    assert_int_equal(night_last_undoable(&night)->kind, ACT_NOTE);
    assert_int_equal(apply((struct act){.kind = ACT_UNDO, .rig = -1, .ref = 3}), -1);
    changed.danjon = 2;
    change(&changed, "danjon 2");
    assert_int_equal(apply((struct act){.kind = ACT_BEGIN, .rig = -1, .value = {0}}), 0);
    look();
    assert_near(night.danjon_state, 2, 0);
    take_back();
    look();
    assert_near(night.danjon_state, setup.danjon, 0);
    assert_int_equal(night_last_undoable(&night)->kind, ACT_NOTE);
    change(&changed, "danjon 2");
    assert_int_equal(apply((struct act){.kind = ACT_BEGIN, .rig = -1, .value = {1}}), 0);
    look();
    assert_near(night.danjon_state, setup.danjon, 0);
}

static void a_change_that_cannot_be_made_is_refused(void **state)
{
    struct act act = {.kind = ACT_SETUP, .rig = -1, .text = "danjon 1"};

    (void)state;
    assert_int_equal(apply(act), -1);
    night.editor.edit = edit;
    assert_int_equal(apply(act), -1);
    assert_int_equal(night.act_count, 0);
}

/* The order of a record: an undo, then a change, then acts on what that change has brought. */
static void a_record_is_folded_as_it_was_lived(void **state)
{
    static struct night resumed;
    static struct setup fewer, more;
    struct fault fault;
    int item;

    (void)state;
    fewer = more = setup;
    fewer.rig_count = 2;
    item = more.checklist.count++;
    more.checklist.item[item] = more.checklist.item[0];
    (void)snprintf(more.checklist.item[item].id, CHECK_ID, "flask");
    change(&fewer, "rigs[2]");
    take_back();
    assert_int_equal(apply((struct act){.kind = ACT_FRAME, .rig = 2}), 0);
    change(&more, "checklist[99] flask");
    assert_int_equal(
        apply((struct act){.kind = ACT_CHECK, .rig = -1, .text = "flask", .value = {1}}), 0);
    assert_int_equal(night_open(&resumed, &setup, &eclipse, &zone, false, &fault), 0);
    resumed.editor = night.editor;
    for (size_t i = 0; i < night.act_count; i++)
        assert_int_equal(night_replay(&resumed, &night.acts[i], &fault), 0);
    night_fold(&resumed);
    assert_int_equal(resumed.setup.rig_count, 3);
    assert_int_equal(resumed.rig[2].frames, 1);
    assert_true(isfinite(resumed.checked_utc[item]));
    assert_near(resumed.checked_utc[item], night.checked_utc[item], 0);
    night_close(&resumed);
}

static int foretell(double hours, double cloud, double temperature, double humidity, double wind)
{
    return apply((struct act){.kind = ACT_FORECAST,
                              .rig = -1,
                              .value = {start + hours * 3600, cloud, temperature, humidity, wind}});
}

static const char *last_described(void)
{
    const struct reader reader = reader_local(&night);
    static char text[ACT_TEXT];

    act_words(&night, &night.acts[night.act_count - 1], &reader, text, sizeof text);
    return text;
}

static void hours_told_by_hand(void **state)
{
    static struct forecast file = {.issued_utc = 1861876000};
    struct forecast_row row;

    (void)state;
    assert_int_equal(foretell(0, 40, -5, 80, 3), 0);
    assert_string_equal(
        last_described(),
        "forecast for 12:53 UTC: cloud 40 %, temperature -5 C, humidity 80 %, wind 3 m/s");
    assert_int_equal(foretell(2, 80, -7, NAN, NAN), 0);
    assert_string_equal(last_described(),
                        "forecast for 14:53 UTC: cloud 80 %, temperature -7 C, humidity -, wind -");
    forecast_at(&night.forecast, start + 3600, &row);
    assert_near(row.cloud_percent, 60, 1e-9);
    assert_near(row.temperature_c, -6, 1e-9);
    assert_true(isnan(row.humidity_percent));
    assert_near(night.forecast.issued_utc, night.acts[1].utc, 0);
    assert_int_equal(foretell(0, 140, -5, 80, 3), -1);
    assert_int_equal(foretell(NAN, 40, -5, 80, 3), -1);

    for (int i = 0; i < 3; i++) {
        row = (struct forecast_row){start + i * 3600, 10, -10, 70, 1};
        assert_int_equal(forecast_add(&file, &row, NULL), 0);
    }
    night_take_forecast(&night, &file);
    assert_int_equal(night.forecast.count, 3);
    assert_near(night.forecast.row[0].cloud_percent, 40, 0);
    assert_near(night.forecast.row[1].cloud_percent, 10, 0);
    assert_near(night.forecast.row[2].cloud_percent, 80, 0);
    assert_near(night.forecast.issued_utc, 1861876000, 0);
    assert_int_equal(foretell(1, NAN, NAN, NAN, NAN), 0);
    assert_string_equal(last_described(), "forecast for 13:53 UTC removed");
    assert_int_equal(night.forecast.count, 2);
    take_back();
    take_back();
    assert_int_equal(night.forecast.count, 3);
    assert_near(night.forecast.row[2].cloud_percent, 10, 0);
    take_back();
    assert_near(night.forecast.row[0].cloud_percent, 10, 0);
}

static void an_item_is_told_with_its_time(void **state)
{
    struct act item = {.kind = ACT_ITEM, .rig = -1, .value = {start + 3600}, .text = "Flask"};

    (void)state;
    assert_int_equal(apply(item), 0);
    assert_string_equal(last_described(), "to do: Flask, at 13:53 UTC");
    item.value[0] = start + 2 * SECONDS_PER_DAY;
    assert_int_equal(apply(item), 0);
    assert_string_equal(last_described(), "to do: Flask, at 2029-01-02 12:53 UTC");
    item.value[0] = NAN;
    assert_int_equal(apply(item), 0);
    assert_string_equal(last_described(), "to do: Flask");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_changed_setup_is_a_night_opened_with_it, prepare, finish),
        cmocka_unit_test_setup_teardown(the_later_word_holds, prepare, finish),
        cmocka_unit_test_setup_teardown(what_keys_changed_stays, prepare, finish),
        cmocka_unit_test_setup_teardown(a_chosen_site_replaces_the_receiver_s, prepare, finish),
        cmocka_unit_test_setup_teardown(the_entry_of_the_active_site_moves_it, prepare, finish),
        cmocka_unit_test_setup_teardown(a_new_rig_has_nothing_behind_it, prepare, finish),
        cmocka_unit_test_setup_teardown(changes_before_the_beginning_are_part_of_it, prepare,
                                        finish),
        cmocka_unit_test_setup_teardown(a_change_that_cannot_be_made_is_refused, prepare, finish),
        cmocka_unit_test_setup_teardown(a_record_is_folded_as_it_was_lived, prepare, finish),
        cmocka_unit_test_setup_teardown(hours_told_by_hand, prepare, finish),
        cmocka_unit_test_setup_teardown(an_item_is_told_with_its_time, prepare, finish),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
