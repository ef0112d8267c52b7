/* Forecasts: what is taken, what is read out, how old; which air is reckoned with. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/air.h>
#include <moonstand/fault.h>
#include <moonstand/forecast.h>

#include "near.h"

#include <string.h>

#define HOUR 3600.0
#define START 1741924800.0 /* 2025-03-14T04:00Z */

static struct forecast_row row(double hours, double cloud_percent, double temperature_c,
                               double humidity_percent, double wind_m_s)
{
    return (struct forecast_row){START + hours * HOUR, cloud_percent, temperature_c,
                                 humidity_percent, wind_m_s};
}

static void take(struct forecast *forecast, struct forecast_row taken)
{
    struct fault fault = {""};

    assert_int_equal(forecast_add(forecast, &taken, &fault), 0);
    assert_string_equal(fault.text, "");
}

static void refuse(struct forecast *forecast, struct forecast_row refused, const char *why)
{
    struct fault fault = {""};
    int count = forecast->count;

    assert_int_equal(forecast_add(forecast, &refused, &fault), -1);
    assert_non_null(strstr(fault.text, why));
    assert_int_equal(forecast->count, count);
}

static struct forecast of_a_night(void)
{
    struct forecast forecast = {.issued_utc = START - 4 * HOUR};

    take(&forecast, row(0, 0, 4, 60, 1));
    take(&forecast, row(1, 40, 2, 70, 3));
    take(&forecast, row(2, 100, -1, NAN, 2));
    take(&forecast, row(3, NAN, -2, 90, 2));
    take(&forecast, row(9, 0, -2, 90, 2));
    take(&forecast, row(16, 10, 6, 50, 2));
    return forecast;
}

static void rows_that_are_refused(void **state)
{
    struct forecast_row hour;
    struct fault fault;
    struct forecast forecast = {.issued_utc = START};

    (void)state;
    refuse(&forecast, row(NAN, 0, 0, 50, 0), "time");
    take(&forecast, row(0, 0, -90, 100, 0));
    refuse(&forecast, row(0, 0, 0, 50, 0), "time");
    refuse(&forecast, row(-1, 0, 0, 50, 0), "time");
    refuse(&forecast, row(1, -0.1, 0, 50, 0), "cloud");
    refuse(&forecast, row(1, 100.1, 0, 50, 0), "cloud");
    refuse(&forecast, row(1, INFINITY, 0, 50, 0), "cloud");
    refuse(&forecast, row(1, 0, 60.1, 50, 0), "temperature");
    refuse(&forecast, row(1, 0, -90.1, 50, 0), "temperature");
    refuse(&forecast, row(1, 0, 0, 0, 0), "humidity");
    refuse(&forecast, row(1, 0, 0, 100.1, 0), "humidity");
    refuse(&forecast, row(1, 0, 0, 50, -1), "wind");
    refuse(&forecast, row(1, 0, 0, 50, 121), "wind");
    take(&forecast, row(1, NAN, NAN, NAN, NAN));
    for (int i = 2; i < FORECAST_ROWS; i++)
        take(&forecast, row(i, 0, 0, 50, 0));
    refuse(&forecast, row(FORECAST_ROWS, 0, 0, 50, 0), "rows");
    refuse(&forecast, row(FORECAST_ROWS - 1, 0, 0, 50, 0), "time");
    /* A full one can still be mended, and an hour taken out. */
    hour = row(5, 70, 0, 50, 0);
    assert_int_equal(forecast_put(&forecast, &hour, &fault), 0);
    assert_near(forecast.row[5].cloud_percent, 70, 0);
    hour = row(5.5, 70, 0, 50, 0);
    assert_int_equal(forecast_put(&forecast, &hour, &fault), -1);
    hour = row(5, NAN, NAN, NAN, NAN);
    assert_int_equal(forecast_put(&forecast, &hour, &fault), 0);
    assert_int_equal(forecast.count, FORECAST_ROWS - 1);
}

/* Hours told, corrected and taken back in any order, against a plain list of them by hour. */
static void hours_in_any_order(void **state)
{
    enum { HOURS = 40 };
    struct forecast forecast = {.issued_utc = START};
    double told[HOURS];
    unsigned chance = 7;

    (void)state;
    for (int hour = 0; hour < HOURS; hour++)
        told[hour] = NAN;
    for (int round = 0; round < 2000; round++) {
        struct forecast_row put;
        struct fault fault = {""};
        int hour, at = 0;

        chance = chance * 1103515245u + 12345u;
        hour = (int)((chance >> 16) % HOURS);
        told[hour] = chance >> 29 ? (double)((chance >> 8) % 101) : (double)NAN;
        put = row(hour, told[hour], NAN, NAN, NAN);
        assert_int_equal(forecast_row_is_empty(&put), isnan(told[hour]));
        assert_int_equal(forecast_put(&forecast, &put, &fault), 0);
        for (int i = 0; i < HOURS; i++) {
            assert_int_equal(forecast_has(&forecast, START + i * HOUR), isfinite(told[i]));
            if (!isfinite(told[i]))
                continue;
            assert_true(at < forecast.count && forecast.row[at].utc == START + i * HOUR);
            assert_true(forecast.row[at++].cloud_percent == told[i]);
        }
        assert_int_equal(forecast.count, at);
    }
}

static void read_out(void **state)
{
    struct forecast forecast = of_a_night();
    struct forecast_row found;

    (void)state;
    forecast_at(&forecast, START + 0.25 * HOUR, &found);
    assert_near(found.cloud_percent, 10, 1e-9);
    assert_near(found.temperature_c, 3.5, 1e-9);
    assert_near(found.humidity_percent, 62.5, 1e-9);
    assert_near(found.wind_m_s, 1.5, 1e-9);
    /* On a row nothing else counts. */
    for (int i = 0; i < forecast.count; i++) {
        forecast_at(&forecast, forecast.row[i].utc, &found);
        assert_memory_equal(&found.temperature_c, &forecast.row[i].temperature_c, sizeof(double));
        assert_int_equal(isnan(found.cloud_percent), i == 3);
        assert_int_equal(isnan(found.humidity_percent), i == 2);
    }
    /* Beside what is not given, and only there. */
    forecast_at(&forecast, START + 1.5 * HOUR, &found);
    assert_true(isnan(found.humidity_percent));
    assert_near(found.cloud_percent, 70, 1e-9);
    /* Six hours are bridged, seven are a gap. */
    forecast_at(&forecast, START + 6 * HOUR, &found);
    assert_near(found.temperature_c, -2, 1e-9);
    forecast_at(&forecast, START + 12 * HOUR, &found);
    assert_true(isnan(found.temperature_c) && isnan(found.cloud_percent) && isnan(found.wind_m_s) &&
                isnan(found.humidity_percent));
}

static void nothing_outside(void **state)
{
    static const double outside[] = {START - 1, START + 16 * HOUR + 1, NAN, INFINITY};
    struct forecast forecast = of_a_night();
    struct forecast empty = {.issued_utc = START};
    struct forecast_row found;

    (void)state;
    for (int i = 0; i < 4; i++) {
        forecast_at(&forecast, outside[i], &found);
        assert_true(isnan(found.temperature_c) && isnan(found.cloud_percent));
    }
    forecast_at(&empty, START, &found);
    assert_true(isnan(found.temperature_c));
}

static void how_old(void **state)
{
    struct forecast forecast = {.issued_utc = START};

    (void)state;
    assert_near(forecast_age_s(&forecast, START + 5 * HOUR), 5 * HOUR, 0);
    assert_false(forecast_is_old(&forecast, START + 12 * HOUR));
    assert_true(forecast_is_old(&forecast, START + 12 * HOUR + 1));
    assert_near(forecast_age_s(&forecast, START), 0, 0);
    assert_true(isnan(forecast_age_s(&forecast, START - 600)));
    assert_true(forecast_is_old(&forecast, START - 600));
    forecast.issued_utc = NAN;
    assert_true(isnan(forecast_age_s(&forecast, START)));
    assert_true(forecast_is_old(&forecast, START));
}

static void which_air(void **state)
{
    struct forecast forecast = of_a_night();
    const struct forecast none = {.issued_utc = NAN};
    struct air_reading reading = {START, 5, 65};
    struct air_choice choice;

    (void)state;
    air_choose(&reading, &forecast, START + 45 * 60, &choice);
    assert_int_equal(choice.source, AIR_READ);
    assert_near(choice.temperature_c, 5, 0);
    assert_near(choice.humidity_percent, 65, 0);
    assert_near(choice.age_s, 45 * 60, 0);
    assert_false(choice.old);

    air_choose(&reading, &forecast, START + HOUR, &choice);
    assert_int_equal(choice.source, AIR_FORECAST);
    assert_near(choice.temperature_c, 2, 0);
    assert_near(choice.humidity_percent, 70, 0);
    assert_near(choice.age_s, 5 * HOUR, 0);
    assert_false(choice.old);

    /* No humidity there: the old reading, and said to be old. */
    air_choose(&reading, &forecast, START + 2 * HOUR, &choice);
    assert_int_equal(choice.source, AIR_READ);
    assert_near(choice.temperature_c, 5, 0);
    assert_true(choice.old);

    air_choose(NULL, &forecast, START + 9 * HOUR, &choice);
    assert_int_equal(choice.source, AIR_FORECAST);
    assert_true(choice.old);
    air_choose(&reading, &none, START + 9 * HOUR, &choice);
    assert_true(choice.source == AIR_READ && choice.old);
    reading.utc = NAN;
    air_choose(&reading, &none, START, &choice);
    assert_true(choice.source == AIR_UNKNOWN && isnan(choice.temperature_c) && isnan(choice.age_s));
    air_choose(NULL, &none, START, &choice);
    assert_int_equal(choice.source, AIR_UNKNOWN);
}

static void the_coldest_of_a_span(void **state)
{
    static struct forecast forecast = {.issued_utc = NAN};

    (void)state;
    assert_true(isnan(forecast_coldest_c(&forecast, 0, 1e9)));
    for (int i = 0; i < 4; i++) {
        static const double temperature_c[] = {-2, -9, NAN, -4};
        struct forecast_row row = {3600.0 * i, NAN, temperature_c[i], NAN, NAN};

        assert_int_equal(forecast_add(&forecast, &row, NULL), 0);
    }
    /* A row inside, an end between two rows, a span that touches nothing. */
    assert_near(forecast_coldest_c(&forecast, 0, 3 * 3600), -9, 1e-12);
    assert_near(forecast_coldest_c(&forecast, 0, 1800), -5.5, 1e-12);
    assert_near(forecast_coldest_c(&forecast, 2 * 3600, 3 * 3600), -4, 1e-12);
    assert_true(isnan(forecast_coldest_c(&forecast, 4 * 3600, 5 * 3600)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_coldest_of_a_span),
        cmocka_unit_test(rows_that_are_refused),
        cmocka_unit_test(hours_in_any_order),
        cmocka_unit_test(read_out),
        cmocka_unit_test(nothing_outside),
        cmocka_unit_test(how_old),
        cmocka_unit_test(which_air),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
