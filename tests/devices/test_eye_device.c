/* The watcher of the pictures seen from the loop: real processes that report, stop, end, or talk
 * nonsense. None of it may be waited for. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/eye_device.h>
#include <moonstand/fault.h>

#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static struct eye_device eye;

/* A shell in the watcher's place. */
static void start(const char *script)
{
    struct user_command command = {0};
    struct fault fault = {""};

    assert_true(command_add(&command, "/bin/sh") && command_add(&command, "-c") &&
                command_add(&command, script));
    if (eye_device_open(&eye, &command, 100, &fault) != 0)
        fail_msg("%s", fault.text);
}

static bool next_within_s(double seconds, double boot_s, struct glance *glance)
{
    for (int i = 0; i < (int)(seconds * 100); i++) {
        if (eye_device_next(&eye, boot_s, glance))
            return true;
        (void)poll(NULL, 0, 10);
    }
    return false;
}

static void test_records_come_in_pieces(void **state)
{
    char script[200];
    struct glance glance;

    (void)state;
    /* Two records of zeros, in pieces of odd sizes. */
    (void)snprintf(script, sizeof script,
                   "head -c 100 /dev/zero; sleep 0.1; head -c %zu /dev/zero; sleep 60",
                   2 * sizeof glance - 100);
    start(script);
    assert_true(next_within_s(5, 101, &glance));
    assert_int_equal(glance.kind, GLANCE_ALIVE);
    assert_true(next_within_s(5, 101, &glance));
    assert_false(eye_device_next(&eye, 101, &glance));
    assert_int_equal(eye_device_state(&eye, 102), EYE_WATCHES);
    eye_device_close(&eye);
    assert_int_equal(eye_device_state(&eye, 103), EYE_OFF);
}

/* No byte for a minute, while the loop asked every second; a laptop that slept does not count. */
static void test_silence_is_told(void **state)
{
    struct glance glance;

    (void)state;
    start("sleep 60");
    for (int s = 101; s <= 160; s++)
        assert_int_equal(eye_device_state(&eye, s), EYE_WATCHES);
    assert_int_equal(eye_device_state(&eye, 161), EYE_SILENT);
    assert_int_equal(eye_device_state(&eye, 8000), EYE_WATCHES);
    assert_false(eye_device_next(&eye, 8001, &glance));
    eye_device_close(&eye);
}

static void test_the_end_is_told(void **state)
{
    struct glance glance;

    (void)state;
    start("head -c 50 /dev/zero; exit 3");
    assert_false(next_within_s(0.5, 101, &glance)); /* half a record is none */
    assert_int_equal(eye_device_state(&eye, 101), EYE_ENDED);
    assert_false(eye_device_next(&eye, 102, &glance));
    assert_int_equal(eye_device_state(&eye, 102), EYE_ENDED);
    eye_device_close(&eye);
}

/* One that never stops writing holds nobody up: a record a call, and no more is kept. */
static void test_a_flood_holds_nobody_up(void **state)
{
    struct timespec begin, end;
    struct glance glance;

    (void)state;
    start("exec cat /dev/urandom");
    assert_true(next_within_s(5, 101, &glance));
    (void)clock_gettime(CLOCK_MONOTONIC, &begin);
    for (int i = 0; i < 32; i++)
        (void)eye_device_next(&eye, 102, &glance);
    (void)clock_gettime(CLOCK_MONOTONIC, &end);
    assert_true((double)(end.tv_sec - begin.tv_sec) + (double)(end.tv_nsec - begin.tv_nsec) / 1e9 <
                0.5);
    eye_device_close(&eye);
}

/* It hears of a new aim, and goes on. */
static void test_it_is_hurried(void **state)
{
    char script[120];
    struct glance glance;
    bool told = false;

    (void)state;
    (void)snprintf(script, sizeof script,
                   "trap 'head -c %zu /dev/zero' URG; while :; do sleep 0.02; done", sizeof glance);
    start(script);
    assert_false(next_within_s(0.3, 101, &glance));
    for (int i = 0; i < 500 && !told; i++) {
        eye_device_hurry(&eye);
        told = next_within_s(0.1, 101, &glance);
    }
    assert_true(told);
    assert_int_equal(eye_device_state(&eye, 102), EYE_WATCHES);
    eye_device_close(&eye);
    eye_device_hurry(&eye);
}

static void test_none_is_wanted(void **state)
{
    struct user_command none = {0};
    struct glance glance;

    (void)state;
    assert_int_equal(eye_device_open(&eye, &none, 1, NULL), 0);
    assert_int_equal(eye_device_state(&eye, 1000), EYE_OFF);
    assert_false(eye_device_next(&eye, 1000, &glance));
    eye_device_close(&eye);
}

static void test_no_such_program(void **state)
{
    struct user_command command = {0};
    struct fault fault = {""};

    (void)state;
    assert_true(command_add(&command, "/nowhere/moonstand"));
    assert_int_equal(eye_device_open(&eye, &command, 1, &fault), -1);
    assert_non_null(strstr(fault.text, "/nowhere/moonstand"));
    assert_int_equal(eye_device_state(&eye, 2), EYE_ENDED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_records_come_in_pieces), cmocka_unit_test(test_silence_is_told),
        cmocka_unit_test(test_the_end_is_told),        cmocka_unit_test(test_a_flood_holds_nobody_up),
        cmocka_unit_test(test_it_is_hurried),          cmocka_unit_test(test_none_is_wanted),
        cmocka_unit_test(test_no_such_program),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
