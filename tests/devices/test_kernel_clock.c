/* The kernel's answer about its clock: adjtimex(2). */
#include "../../src/devices/kernel_clock.h"
#include "near.h"
#include "open_files.h"

#include <moonstand/readings.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

static struct readings noted(int answer, int status, long error_us)
{
    struct timex timex = {.status = status, .esterror = error_us};
    struct kernel_clock clock;
    struct readings readings;

    readings_none(&readings);
    kernel_clock_open(&clock);
    kernel_clock_note(&clock, answer, &timex);
    kernel_clock_fill(&clock, &readings);
    return readings;
}

static void the_answer_is_taken_at_its_word(void **state)
{
    struct readings readings = noted(TIME_OK, STA_PLL, 1250);

    (void)state;
    assert_int_equal(readings.clock_synchronised, 1);
    assert_near(readings.clock_error_s, 0.00125, 1e-12);
    /* A leap second ahead does not make a clock wrong. */
    assert_int_equal(noted(TIME_INS, STA_PLL | STA_INS, 10).clock_synchronised, 1);
}

static void an_error_that_nobody_estimated_is_unknown(void **state)
{
    struct readings readings = noted(TIME_OK, STA_PLL, 0);

    (void)state;
    assert_int_equal(readings.clock_synchronised, 1);
    assert_true(isnan(readings.clock_error_s));
}

static void a_free_running_clock_is_not_synchronised(void **state)
{
    struct readings readings = noted(TIME_ERROR, STA_UNSYNC, 16000000);

    (void)state;
    assert_int_equal(readings.clock_synchronised, 0);
    assert_true(isnan(readings.clock_error_s));
    assert_int_equal(noted(TIME_OK, STA_UNSYNC, 10).clock_synchronised, 0);
}

static void no_answer_is_unknown(void **state)
{
    struct readings readings = noted(-1, 0, 10);

    (void)state;
    assert_int_equal(readings.clock_synchronised, -1);
    assert_true(isnan(readings.clock_error_s));
}

static void this_kernel_is_asked_once_a_minute(void **state)
{
    struct timex timex = {.modes = 0};
    int answer = adjtimex(&timex);
    struct kernel_clock clock;
    struct readings readings;

    (void)state;
    kernel_clock_open(&clock);
    kernel_clock_fill(&clock, &readings);
    assert_int_equal(readings.clock_synchronised, -1);
    kernel_clock_tick(&clock, 500);
    kernel_clock_fill(&clock, &readings);
    assert_int_equal(readings.clock_synchronised,
                     answer == -1 ? -1 : answer != TIME_ERROR && !(timex.status & STA_UNSYNC));
    clock.synchronised = 7;
    kernel_clock_tick(&clock, 559);
    assert_int_equal(clock.synchronised, 7);
    kernel_clock_tick(&clock, 560);
    assert_int_not_equal(clock.synchronised, 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_answer_is_taken_at_its_word),
        cmocka_unit_test(an_error_that_nobody_estimated_is_unknown),
        cmocka_unit_test(a_free_running_clock_is_not_synchronised),
        cmocka_unit_test(no_answer_is_unknown),
        cmocka_unit_test(this_kernel_is_asked_once_a_minute),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
