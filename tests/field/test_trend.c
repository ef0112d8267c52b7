/* The trend of the air over a night. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/air.h>

#include "near.h"

#define MINUTE 60.0
#define HOUR 3600.0
#define START 1741924800.0 /* 2025-03-14T04:00Z */

static bool add(struct air_log *log, double utc, double temperature_c, double humidity_percent)
{
    return air_log_add(log, &(struct air_reading){utc, temperature_c, humidity_percent});
}

static void junk_is_refused(void **state)
{
    struct air_log log = {0};

    (void)state;
    assert_null(air_log_last(&log));
    assert_false(add(&log, NAN, 10, 80));
    assert_false(add(&log, START, NAN, 80));
    assert_false(add(&log, START, 10, NAN));
    assert_false(add(&log, START, 10, 0));
    assert_false(add(&log, START, 99, 80));
    assert_int_equal(log.count, 0);
    assert_true(add(&log, START, 10, 80));
    assert_false(add(&log, START, 11, 80));
    assert_false(add(&log, START - 1, 11, 80));
    assert_int_equal(log.count, 1);
    assert_near(air_log_last(&log)->temperature_c, 10, 0);
}

/* The first is kept; what follows it closely is replaced by the next. */
static void close_readings_are_replaced(void **state)
{
    struct air_log log = {0};

    (void)state;
    for (int i = 0; i < 4; i++)
        assert_true(add(&log, START + 10 * i, 10 + i, 80));
    assert_int_equal(log.count, 2);
    assert_near(log.reading[0].temperature_c, 10, 0);
    assert_near(air_log_last(&log)->temperature_c, 13, 0);
}

/* A sensor that speaks every 7 s for fourteen hours: the ring holds the last ten, evenly, and the
 * newest always. */
static void the_ring_holds_ten_hours(void **state)
{
    static struct air_log log;
    double utc = START;

    (void)state;
    for (; utc < START + 14 * HOUR; utc += 7) {
        assert_true(add(&log, utc, 10, 80));
        assert_near(air_log_last(&log)->utc, utc, 0);
    }
    assert_int_equal(log.count, AIR_READINGS);
    for (int i = 1; i < log.count; i++) {
        double step = log.reading[(log.first + i) % AIR_READINGS].utc -
                      log.reading[(log.first + i - 1) % AIR_READINGS].utc;

        assert_true(step <= AIR_SPACING_S + 7 && (i == log.count - 1 || step >= AIR_SPACING_S));
    }
    assert_true(air_log_last(&log)->utc - log.reading[log.first].utc >= 9.9 * HOUR);
}

/* Saturated air that cools by 2 C an hour and a glass kept 3 C above it: its dew point is its own
 * temperature, so that the margin stays. */
static void a_margin_that_stays(void **state)
{
    struct air_log log = {0};
    struct air_trend trend;

    (void)state;
    for (int i = 0; i < 4; i++)
        assert_true(add(&log, START + i * 30 * MINUTE, 20 - i, 100));
    air_trend_make(&log, START + 90 * MINUTE, -3, &trend);
    assert_int_equal(trend.count, 4);
    assert_near(trend.temperature_c_per_h, -2, 1e-9);
    assert_near(trend.margin_c_per_h, 0, 1e-9);
}

/* Air that stays at 20 C and gets damper by an even rise of the dew point: 9.3 C at 50 percent
 * (WMO-No. 8), by 1 C every 20 minutes. Margin of the glass at 17 C: gone when the dew point is 17.
 */
static void when_the_margin_is_gone(void **state)
{
    struct air_log log = {0};
    struct air_trend trend;
    double start = dew_point_c(20, 50);

    (void)state;
    for (int i = 0; i <= 3; i++) {
        double humidity = 50;

        while (dew_point_c(20, humidity) < start + i)
            humidity += 1e-5;
        assert_true(add(&log, START + i * 20 * MINUTE, 20, humidity));
    }
    for (double now = START + HOUR; now <= START + 1.3 * HOUR; now += 5 * MINUTE) {
        air_trend_make(&log, now, GLASS_COOLING_C, &trend);
        assert_near(trend.margin_c_per_h, -3, 1e-4);
        assert_near(trend.temperature_c_per_h, 0, 1e-9);
        assert_near(trend.gone_utc, START + (17 - start) / 3 * HOUR, 1);
    }
}

static void least_squares_over_noise(void **state)
{
    /* Anscombe's quartet, first set (American Statistician 27, 1973): slope 0.500. */
    static const double x[] = {4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14};
    static const double y[] = {4.26, 5.68, 7.24, 4.82, 6.95, 8.81, 8.04, 8.33, 10.84, 7.58, 9.96};
    struct air_log log = {0};
    struct air_trend trend;

    (void)state;
    for (int i = 0; i < 11; i++)
        assert_true(add(&log, START + x[i] * 5 * MINUTE, y[i], 70));
    air_trend_make(&log, START + 80 * MINUTE, GLASS_COOLING_C, &trend);
    assert_int_equal(trend.count, 11);
    assert_near(trend.temperature_c_per_h / 12, 0.500, 0.0005);
}

static void too_little_is_unknown(void **state)
{
    struct air_log log = {0};
    struct air_trend trend;

    (void)state;
    air_trend_make(&log, START, GLASS_COOLING_C, &trend);
    assert_true(trend.count == 0 && isnan(trend.margin_c_per_h) && isnan(trend.gone_utc));
    assert_true(add(&log, START, 10, 70) && add(&log, START + 30 * MINUTE, 9, 70));
    air_trend_make(&log, START + 30 * MINUTE, GLASS_COOLING_C, &trend);
    assert_true(trend.count == 2 && isnan(trend.margin_c_per_h) && isnan(trend.gone_utc));
    assert_true(add(&log, START + 60 * MINUTE, 8, 75));
    air_trend_make(&log, START + 60 * MINUTE, GLASS_COOLING_C, &trend);
    assert_true(trend.margin_c_per_h < 0 && trend.gone_utc > START + 60 * MINUTE);
    /* The first reading leaves the window. */
    air_trend_make(&log, START + 91 * MINUTE, GLASS_COOLING_C, &trend);
    assert_true(trend.count == 2 && isnan(trend.margin_c_per_h));
    /* Three readings in ten minutes tell of the sensor, not of the night. */
    log = (struct air_log){0};
    for (int i = 0; i < 3; i++)
        assert_true(add(&log, START + i * 5 * MINUTE, 10 - i, 75));
    air_trend_make(&log, START + 10 * MINUTE, GLASS_COOLING_C, &trend);
    assert_true(trend.count == 3 && isnan(trend.temperature_c_per_h) && isnan(trend.gone_utc));
}

static void not_falling_or_gone_already(void **state)
{
    struct air_log log = {0};
    struct air_trend trend;

    (void)state;
    for (int i = 0; i < 3; i++)
        assert_true(add(&log, START + i * 30 * MINUTE, 10, 80 - 5 * i));
    air_trend_make(&log, START + HOUR, GLASS_COOLING_C, &trend);
    assert_true(trend.margin_c_per_h > 0 && isnan(trend.gone_utc));
    assert_true(add(&log, START + 90 * MINUTE, 10, 99)); /* fog comes in: wet at once */
    air_trend_make(&log, START + 95 * MINUTE, GLASS_COOLING_C, &trend);
    assert_near(trend.gone_utc, START + 90 * MINUTE, 0);
    log = (struct air_log){0};
    for (int i = 0; i < 3; i++) /* always the same */
        assert_true(add(&log, START + i * 30 * MINUTE, 10, 60));
    air_trend_make(&log, START + HOUR, GLASS_COOLING_C, &trend);
    assert_true(trend.margin_c_per_h == 0 && isnan(trend.gone_utc));
}

static void fall_since_the_focus_was_looked_at(void **state)
{
    struct air_log log = {0};

    (void)state;
    assert_true(isnan(air_log_fall_c(&log, START)));
    assert_true(add(&log, START, 12, 60));
    assert_true(add(&log, START + 2 * HOUR, 9, 70));
    assert_true(add(&log, START + 4 * HOUR, 6.5, 80));
    assert_near(air_log_fall_c(&log, START + 10 * MINUTE), 5.5, 1e-9);
    assert_true(air_log_fall_c(&log, START - 40 * MINUTE) >= FOCUS_FALL_C);
    assert_near(air_log_fall_c(&log, START + 1.5 * HOUR), 2.5, 1e-9);
    assert_near(air_log_fall_c(&log, START + 4 * HOUR + 5 * MINUTE), 0, 1e-9);
    assert_true(isnan(air_log_fall_c(&log, START + HOUR))); /* an hour from either */
    assert_true(isnan(air_log_fall_c(&log, START - HOUR)));
    assert_true(isnan(air_log_fall_c(&log, NAN)));
    assert_true(add(&log, START + 5 * HOUR, 13, 60));
    assert_near(air_log_fall_c(&log, START), -1, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(junk_is_refused),
        cmocka_unit_test(close_readings_are_replaced),
        cmocka_unit_test(the_ring_holds_ten_hours),
        cmocka_unit_test(a_margin_that_stays),
        cmocka_unit_test(when_the_margin_is_gone),
        cmocka_unit_test(least_squares_over_noise),
        cmocka_unit_test(too_little_is_unknown),
        cmocka_unit_test(not_falling_or_gone_already),
        cmocka_unit_test(fall_since_the_focus_was_looked_at),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
