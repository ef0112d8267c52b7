/* Batteries, cards and the air through a night: the total eclipse of 2028-12-31 from 62 N 60 E. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge_night.h"

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>

#include <math.h>
#include <near.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <timed.h>

enum { WIDE, LONG, SCOPE };

static struct setup setup;
static struct zone_table zone;
static struct readings readings;

static int open_night(void **state)
{
    (void)state;
    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    setup.site.height_m = 420;
    setup.site.temperature_c = -22;
    readings_none(&readings);
    return ridge_open(&setup, &zone, false);
}

static void apply(struct act act)
{
    struct fault fault = {""};

    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void look(double utc, struct moment *moment)
{
    night_follow(night, utc);
    moment_at(night, &readings, utc, moment);
}

static bool touches_totality(double utc)
{
    return utc + SWAP_S > at(CONTACT_U2, -AIM_KEEP_OFF_S) && utc < at(CONTACT_U3, AIM_KEEP_OFF_S);
}

/* At -22 C the default battery lasts 3.25 h times 0.6, 7020 s: less than the eclipse, which is five
 * and a half hours. Whoever does what the program says never changes one in totality, and no
 * camera runs dry. */
static void a_cold_night_keeps_totality_free(void **state)
{
    struct moment moment;
    double empty[RIGS];
    int changed[RIGS] = {0};

    (void)state;
    look(at(CONTACT_P1, 0), &moment);
    for (int i = 0; i < RIGS; i++) {
        assert_near(night->power[i].life_s, 3.25 * 3600 * 0.6, 1e-6);
        empty[i] = at(CONTACT_P1, 0) + night->power[i].life_s;
    }
    for (double utc = at(CONTACT_P1, 0); utc < at(CONTACT_P4, 0); utc += 5) {
        look(utc, &moment);
        for (int i = LONG; i <= SCOPE; i++) {
            assert_true(utc < empty[i]);
            if (!(moment.kit[i].swap_utc <= utc))
                continue;
            assert_false(touches_totality(utc));
            apply((struct act){.utc = utc, .kind = ACT_BATTERY, .rig = i});
            empty[i] = utc + 7020;
            changed[i]++;
        }
    }
    for (int i = LONG; i <= SCOPE; i++)
        assert_int_equal(changed[i], 3);
}

static void the_reason_of_a_swap_is_told(void **state)
{
    struct moment moment;

    (void)state;
    /* Changed 1500 s before P1 plus a life before totality ends: alone it would fall inside. */
    look(at(CONTACT_U2, -7000), &moment);
    apply((struct act){.utc = at(CONTACT_U2, -5000), .kind = ACT_BATTERY, .rig = LONG});
    look(at(CONTACT_U2, -4000), &moment);
    assert_true(moment.kit[LONG].swap_utc < at(CONTACT_U2, -AIM_KEEP_OFF_S));
    assert_int_equal(moment.kit[LONG].swap_reason, SWAP_BEFORE_TOTALITY);
    assert_near(moment.kit[LONG].battery_empty_utc, at(CONTACT_U2, -5000 + 7020), 1e-6);
}

/* A wide rig holds the whole eclipse and may not be touched: no swap is planned for it, and an
 * external supply is advised. */
static void a_wide_rig_is_not_touched(void **state)
{
    struct moment moment;

    (void)state;
    look(at(CONTACT_P1, -86400), &moment);
    assert_true(isfinite(night->framing[WIDE].untouched.from));
    assert_true(isnan(night->framing[LONG].untouched.from));
    assert_true(isnan(night->framing[SCOPE].untouched.from));
    assert_true(isnan(moment.kit[WIDE].swap_utc));
    assert_true(night->power[WIDE].plan.external);
    assert_true(night->power[WIDE].plan.dry_utc == night->power[WIDE].empty_utc);
    look(at(CONTACT_GREATEST, 0), &moment);
    assert_true(isnan(moment.kit[WIDE].swap_utc));
    assert_true(night->power[WIDE].plan.external);
}

static void an_external_supply_ends_the_question(void **state)
{
    struct moment moment;

    (void)state;
    night->rig[WIDE].rig.power.external = true;
    look(at(CONTACT_P1, 0), &moment);
    assert_false(night->power[WIDE].plan.external);
    assert_true(isnan(moment.kit[WIDE].battery_empty_utc));
    assert_int_equal(moment.kit[WIDE].batteries, 1);
}

/* Spares are counted down, and undone with the act. */
static void spares_are_counted(void **state)
{
    struct moment moment;
    struct act swap = {.utc = at(CONTACT_U1, 0), .kind = ACT_BATTERY, .rig = LONG};
    struct fault fault;

    (void)state;
    look(at(CONTACT_U1, 0), &moment);
    assert_int_equal(night->power[LONG].spares, 2);
    assert_int_equal(night_apply(night, &swap, &fault), 0);
    look(at(CONTACT_U1, 1), &moment);
    assert_int_equal(night->power[LONG].spares, 1);
    apply((struct act){.utc = at(CONTACT_U1, 2), .kind = ACT_UNDO, .rig = -1, .ref = swap.seq});
    look(at(CONTACT_U1, 3), &moment);
    assert_int_equal(night->power[LONG].spares, 2);
}

/* ---- card ---- */

static double frames_of_plan(int rig)
{
    struct card_budget budget;

    assert_false(rig_card_make(night, rig, night->shooting[rig].utc_from, NAN, &budget));
    return budget.frames;
}

static void a_card_fills_as_the_night_goes(void **state)
{
    struct moment first, later;
    double all;

    (void)state;
    night->rig[LONG].rig.card_gb = 64;
    look(at(CONTACT_P1, 0), &first);
    all = first.kit[LONG].card.frames;
    assert_true(first.kit[LONG].card_known);
    assert_false(first.kit[SCOPE].card_known);
    /* The Moon is up from P1 to P4 here: a frame each ten seconds. */
    assert_near(all, ceil((at(CONTACT_P4, 0) - at(CONTACT_P1, 0)) / 10), 3);
    assert_near(first.kit[LONG].card.frames_fit, floor(64e9 / 30e6), 1e-9);
    assert_true(first.kit[LONG].card.fits == (all <= floor(64e9 / 30e6)));
    look(at(CONTACT_U1, 0), &later);
    assert_near(first.kit[LONG].card.frames_fit - later.kit[LONG].card.frames_fit,
                (at(CONTACT_U1, 0) - at(CONTACT_P1, 0)) / 10, 3);
    apply((struct act){.utc = at(CONTACT_U1, 1), .kind = ACT_CARD, .rig = LONG});
    look(at(CONTACT_U1, 1), &later);
    assert_true(later.kit[LONG].card.frames_fit == first.kit[LONG].card.frames_fit);
}

static void what_the_card_itself_says_goes_first(void **state)
{
    struct moment moment;
    double wanted;

    (void)state;
    look(at(CONTACT_P1, 0), &moment);
    wanted = frames_of_plan(SCOPE);
    readings.card_free_bytes[SCOPE] = 100 * 30e6;
    look(at(CONTACT_P1, 0), &moment);
    assert_true(moment.kit[SCOPE].card_known);
    assert_false(moment.kit[SCOPE].card.fits);
    assert_near(moment.kit[SCOPE].card.frames_fit, 100, 1e-9);
    assert_near(moment.kit[SCOPE].card.full_utc, at(CONTACT_P1, 100 * 10), 10);
    assert_true(moment.kit[SCOPE].card.interval_fits_s > 10);
    assert_true(wanted > 100);
    readings.card_absent[SCOPE] = true;
    readings.card_free_bytes[SCOPE] = NAN;
    look(at(CONTACT_P1, 1), &moment);
    assert_true(moment.kit[SCOPE].card_absent && !moment.kit[SCOPE].card_known);
}

/* ---- air ---- */

static struct forecast_row row_at(double utc, double temperature_c)
{
    return (struct forecast_row){utc, 20, temperature_c, 70, 2};
}

static void the_forecast_serves_until_a_reading_is_fresher(void **state)
{
    double utc = at(CONTACT_U1, 0);
    struct forecast_row first = row_at(utc - 3600, -10), last = row_at(utc + 3600, -14);
    struct moment moment;
    struct fault fault;

    (void)state;
    look(utc, &moment);
    assert_int_equal(moment.air_used.source, AIR_UNKNOWN);
    assert_true(isnan(moment.air.margin_c) && isnan(moment.air_used.age_s));
    night->forecast.issued_utc = utc - 13 * 3600;
    assert_int_equal(forecast_add(&night->forecast, &first, &fault), 0);
    assert_int_equal(forecast_add(&night->forecast, &last, &fault), 0);
    look(utc, &moment);
    assert_int_equal(moment.air_used.source, AIR_FORECAST);
    assert_near(moment.air.temperature_c, -12, 1e-9);
    assert_near(moment.forecast.cloud_percent, 20, 1e-9);
    assert_near(moment.forecast_age_s, 13 * 3600, 1e-6);
    assert_true(moment.forecast_old && moment.air_used.old);
    apply((struct act){.utc = utc, .kind = ACT_AIR, .rig = -1, .value = {-8, 60}});
    look(utc + 60, &moment);
    assert_int_equal(moment.air_used.source, AIR_READ);
    assert_near(moment.air.temperature_c, -8, 1e-9);
    assert_near(moment.air_used.age_s, 60, 1e-6);
    look(utc + 50 * 60, &moment);
    assert_int_equal(moment.air_used.source, AIR_FORECAST);
}

/* The coldest that is expected counts, and where it comes from is told. */
static void batteries_are_reckoned_with_the_coldest(void **state)
{
    double utc = at(CONTACT_P1, 0);
    struct forecast_row first = row_at(utc, -5), last = row_at(utc + 5 * 3600, -15);
    struct moment moment;
    struct fault fault;

    (void)state;
    look(utc, &moment);
    assert_int_equal(night->power[LONG].cold_from, COLD_SITE);
    assert_near(night->power[LONG].temperature_c, -22, 1e-9);
    apply((struct act){.utc = utc, .kind = ACT_AIR, .rig = -1, .value = {-8, 60}});
    look(utc + 1, &moment);
    assert_int_equal(night->power[LONG].cold_from, COLD_READING);
    assert_near(night->power[LONG].temperature_c, -8, 1e-9);
    assert_int_equal(forecast_add(&night->forecast, &first, &fault), 0);
    assert_int_equal(forecast_add(&night->forecast, &last, &fault), 0);
    look(utc + 21, &moment);
    assert_int_equal(night->power[LONG].cold_from, COLD_FORECAST);
    assert_near(night->power[LONG].temperature_c, -15, 1e-9);
}

/* As it would be if the temperature were known. */
static bool external_at(double temperature_c, int rig)
{
    struct moment moment;

    night->site.temperature_c = temperature_c;
    night->advice_utc = NAN;
    look(at(CONTACT_P1, 0), &moment);
    return night->power[rig].plan.external;
}

/* Nothing is known of the cold: the ends of it are told, from the coldest of the table (3.25 h times
 * 0.6) to 20 C (times 0.96), and external power is demanded only where 20 C would not do either.
 * The plan is for the coldest air in which the spares suffice. */
static void unknown_cold_is_a_span(void **state)
{
    int demanded = 0, planned = 0;

    (void)state;
    for (int spares = 0; spares <= 4; spares++)
        for (int i = 0; i < RIGS; i++) {
            struct moment moment;
            bool in_the_warm, in_the_cold;

            night->rig[i].rig.power.spares = spares;
            in_the_cold = external_at(-20, i);
            in_the_warm = external_at(20, i);
            night->site.temperature_c = night->advice_utc = NAN;
            look(at(CONTACT_P1, 0), &moment);
            const struct rig_power *power = &night->power[i];
            const struct rig_power unknown = *power;
            assert_int_equal(power->cold_from, COLD_UNKNOWN);
            assert_near(power->life_cold_s, 3.25 * 3600 * 0.6, 1e-6);
            assert_near(power->life_warm_s, 3.25 * 3600 * 0.96, 1e-6);
            assert_int_equal(power->plan.external, in_the_warm);
            demanded += in_the_warm;
            if (in_the_warm)
                continue;
            assert_true(in_the_cold == (unknown.temperature_c > -20));
            assert_false(external_at(unknown.temperature_c, i));
            if (in_the_cold)
                assert_true(external_at(unknown.temperature_c - 1, i));
            planned += in_the_cold;
        }
    assert_true(demanded > 0 && planned > 0);
}

/* Somebody says the temperature, and it counts. */
static void a_told_temperature_ends_the_span(void **state)
{
    double utc = at(CONTACT_P1, 0);
    struct moment moment;

    (void)state;
    night->site.temperature_c = NAN;
    look(utc, &moment);
    assert_true(night->power[LONG].life_warm_s > night->power[LONG].life_cold_s);
    apply((struct act){.utc = utc + 1, .kind = ACT_AIR, .rig = -1, .value = {0, 60}});
    look(utc + 2, &moment);
    assert_int_equal(night->power[LONG].cold_from, COLD_READING);
    assert_near(night->power[LONG].life_cold_s, 3.25 * 3600 * 0.8, 1e-6);
    assert_near(night->power[LONG].life_warm_s, 3.25 * 3600 * 0.8, 1e-6);
}

/* A swap that was planned and not written down stays where it was planned, and is overdue. */
static void a_swap_not_done_stays_planned(void **state)
{
    struct moment moment;
    double planned;

    (void)state;
    look(at(CONTACT_P1, -3600), &moment);
    planned = moment.kit[LONG].swap_utc;
    assert_true(planned < at(CONTACT_U2, 0));
    look(at(CONTACT_U2, 300), &moment);
    assert_near(moment.kit[LONG].swap_utc, planned, 1e-6);
    assert_true(night->power[LONG].plan.totality_free);
    apply((struct act){.utc = at(CONTACT_U2, 310), .kind = ACT_BATTERY, .rig = LONG});
    look(at(CONTACT_U2, 320), &moment);
    assert_true(moment.kit[LONG].swap_utc > at(CONTACT_U3, 0));
}

/* A rehearsal that begins in the middle of a night begins with full batteries. */
static void a_rehearsal_begins_with_full_batteries(void **state)
{
    struct act begin = {.utc = at(CONTACT_U2, -300), .kind = ACT_BEGIN, .rig = -1};
    struct moment moment;

    (void)state;
    apply(begin);
    look(at(CONTACT_U2, 0), &moment);
    assert_near(moment.kit[LONG].battery_empty_utc, at(CONTACT_P1, 7020), 1e-6);
    night->rehearsal = true;
    apply(begin);
    look(at(CONTACT_U2, 10), &moment);
    assert_near(moment.kit[LONG].battery_empty_utc, at(CONTACT_U2, -300 + 7020), 1e-6);
    begin.utc += 3600;
    apply(begin);
    assert_near(night->rig[LONG].battery_utc, at(CONTACT_U2, -300), 1e-6);
}

static void falling_air_tells_when_the_margin_is_gone(void **state)
{
    struct moment moment;

    (void)state;
    /* Half a degree every ten minutes towards the dew: the margin falls, though not yet gone. */
    for (int i = 0; i < 6; i++)
        apply((struct act){.utc = at(CONTACT_U1, i * 600.0),
                           .kind = ACT_SENSOR,
                           .rig = -1,
                           .value = {2 - i * 0.5, 60 + i * 2.0}});
    look(at(CONTACT_U1, 3001), &moment);
    assert_int_equal(moment.air_trend.count, 6);
    assert_near(moment.air_trend.temperature_c_per_h, -3, 1e-6);
    assert_true(moment.air_trend.margin_c_per_h < 0);
    assert_true(moment.air_trend.gone_utc > moment.utc);
}

/* What a sensor says is not the user's to undo: the undo key goes past it. */
static void a_sensor_is_written_down_once_a_minute_and_not_undone(void **state)
{
    struct moment moment;
    struct act acts[16];
    int written = 0;

    (void)state;
    apply((struct act){.utc = at(CONTACT_P1, -700), .kind = ACT_AIR, .rig = -1, .value = {1, 50}});
    readings.temperature_c = -3;
    readings.humidity_percent = 80;
    for (int second = -600; second < -300; second++) {
        readings.air_age_s = (second + 600) % 10;
        look(at(CONTACT_P1, second), &moment);
        for (int i = night_decide(night, &moment, acts, 16); i-- > 0;) {
            assert_int_equal(acts[i].kind, ACT_SENSOR);
            apply(acts[i]);
            written++;
        }
    }
    assert_int_equal(written, 5);
    assert_near(moment.air.temperature_c, -3, 1e-9);
    assert_int_equal(night_last_undoable(night)->kind, ACT_AIR);
}

/* What the sensor had long before it was asked is not called fresh. */
static void an_old_reading_of_a_sensor_is_not_written_down(void **state)
{
    struct moment moment;
    struct act acts[16];

    (void)state;
    readings.temperature_c = -3;
    readings.humidity_percent = 80;
    readings.air_age_s = 40 * 60;
    look(at(CONTACT_P1, -600), &moment);
    assert_int_equal(night_decide(night, &moment, acts, 16), 0);
    readings.air_age_s = 30;
    look(at(CONTACT_P1, -590), &moment);
    assert_int_equal(night_decide(night, &moment, acts, 16), 1);
    assert_int_equal(acts[0].kind, ACT_SENSOR);
}

/* ---- reminders ---- */

static void a_reminder_is_put_off_and_taken_up_again(void **state)
{
    struct check_item *item = &night->setup.checklist.item[0];
    double due = at(CONTACT_U1, 300);
    struct act later = {.utc = due + 5, .kind = ACT_LATER, .rig = -1, .value = {600}};
    struct moment moment;

    (void)state;
    item->has_due = false;
    item->at_instant = true;
    item->due_utc = due;
    (void)snprintf(later.text, sizeof later.text, "%s", item->id);
    look(due + 1, &moment);
    assert_true(moment.check_due_utc[0] == due);
    apply(later);
    look(due + 10, &moment);
    assert_true(moment.check_due_utc[0] == due + 605);
}

/* The focus is to be looked at again after each fall of 5 C since it last was. */
static void a_fall_of_the_temperature_asks_for_the_focus(void **state)
{
    int item = checklist_find(&night->setup.checklist, "focus-cold");
    double utc = at(CONTACT_P1, 0);
    struct act tick = {.utc = utc, .kind = ACT_CHECK, .rig = -1, .value = {1}, .text = "focus"};
    struct moment moment;

    (void)state;
    assert_true(item >= 0);
    apply((struct act){.utc = utc - 60, .kind = ACT_AIR, .rig = -1, .value = {2, 60}});
    apply(tick);
    apply((struct act){.utc = utc + 1800, .kind = ACT_SENSOR, .rig = -1, .value = {-2.9, 60}});
    look(utc + 1801, &moment);
    assert_true(isnan(moment.check_due_utc[item]));
    apply((struct act){.utc = utc + 2400, .kind = ACT_SENSOR, .rig = -1, .value = {-3, 60}});
    look(utc + 2401, &moment);
    assert_true(moment.check_due_utc[item] == utc + 2400);
    tick.utc = utc + 2500;
    (void)snprintf(tick.text, sizeof tick.text, "focus-cold");
    apply(tick);
    apply((struct act){.utc = utc + 4000, .kind = ACT_SENSOR, .rig = -1, .value = {-7.9, 60}});
    assert_true(night->checked_utc[item] == utc + 2500);
    apply((struct act){.utc = utc + 5000, .kind = ACT_SENSOR, .rig = -1, .value = {-8, 60}});
    assert_true(isnan(night->checked_utc[item]));
    look(utc + 5001, &moment);
    assert_true(moment.check_due_utc[item] == utc + 5000);
}

/* ---- cost ---- */

/* The moment is made once a second: three rigs with everything known, under 100 microseconds. */
static void a_moment_is_cheap(void **state)
{
    enum { TIMES = 2000 };
    struct timespec from, to;
    struct moment moment;
    double each_us;

    (void)state;
    for (int i = 0; i < RIGS; i++)
        readings.card_free_bytes[i] = 200 * 30e6;
    look(at(CONTACT_U1, 0), &moment);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &from);
    for (int i = 0; i < TIMES; i++)
        moment_at(night, &readings, at(CONTACT_U1, i * 1e-3), &moment);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &to);
    each_us =
        ((double)(to.tv_sec - from.tv_sec) * 1e6 + (double)(to.tv_nsec - from.tv_nsec) / 1e3) /
        TIMES;
    print_message("moment_at: %.1f microseconds\n", each_us);
    if (TIMED)
        assert_true(each_us < 100);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, open_night, ridge_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_cold_night_keeps_totality_free),
        TEST(the_reason_of_a_swap_is_told),
        TEST(a_wide_rig_is_not_touched),
        TEST(an_external_supply_ends_the_question),
        TEST(spares_are_counted),
        TEST(a_card_fills_as_the_night_goes),
        TEST(what_the_card_itself_says_goes_first),
        TEST(the_forecast_serves_until_a_reading_is_fresher),
        TEST(batteries_are_reckoned_with_the_coldest),
        TEST(unknown_cold_is_a_span),
        TEST(a_told_temperature_ends_the_span),
        TEST(a_swap_not_done_stays_planned),
        TEST(a_rehearsal_begins_with_full_batteries),
        TEST(falling_air_tells_when_the_margin_is_gone),
        TEST(a_sensor_is_written_down_once_a_minute_and_not_undone),
        TEST(an_old_reading_of_a_sensor_is_not_written_down),
        TEST(a_reminder_is_put_off_and_taken_up_again),
        TEST(a_fall_of_the_temperature_asks_for_the_focus),
        TEST(a_moment_is_cheap),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
