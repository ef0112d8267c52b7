/* The kernel's answer about its clock: adjtimex(2). */
#include "near.h"
#include "open_files.h"

#include <moonstand/laptop.h>
#include <moonstand/readings.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <sys/timex.h>

/* What the kernel answers, and how often it was asked. */
static struct {
    int state, status, asked;
    long error_us;
} kernel;

int adjtimex(struct timex *answer)
{
    assert_int_equal(answer->modes, 0);
    kernel.asked++;
    answer->status = kernel.status;
    answer->esterror = kernel.error_us;
    return kernel.state;
}

static struct readings noted(int answer, int status, long error_us)
{
    struct kernel_clock clock = {.due_s = 0};
    struct readings readings;

    readings_none(&readings);
    kernel.state = answer;
    kernel.status = status;
    kernel.error_us = error_us;
    kernel_clock_tick(&clock, 0, &readings);
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

static void it_is_asked_once_a_minute(void **state)
{
    struct kernel_clock clock = {.due_s = 0};
    struct readings readings = noted(TIME_OK, STA_PLL, 1250);

    (void)state;
    kernel.asked = 0;
    kernel_clock_tick(&clock, 500, &readings);
    kernel.status = STA_UNSYNC;
    kernel_clock_tick(&clock, 559, &readings);
    assert_int_equal(kernel.asked, 1);
    assert_int_equal(readings.clock_synchronised, 1);
    kernel_clock_tick(&clock, 560, &readings);
    assert_int_equal(kernel.asked, 2);
    assert_int_equal(readings.clock_synchronised, 0);
    assert_true(isnan(readings.clock_error_s));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_answer_is_taken_at_its_word),
        cmocka_unit_test(an_error_that_nobody_estimated_is_unknown),
        cmocka_unit_test(a_free_running_clock_is_not_synchronised),
        cmocka_unit_test(no_answer_is_unknown),
        cmocka_unit_test(it_is_asked_once_a_minute),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
