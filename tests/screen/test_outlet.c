/* Bytes on their way to a terminal that may not read: pipes and sockets in its place. Nothing waits, nothing
 * is lost or comes twice, and a description that is somebody else's stays as it was. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/outlet.h>

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum { MUCH = 300000 };

static char sent[MUCH], got[MUCH];
static int ends[2]; /* ours to read, the outlet's to write */
static struct outlet outlet;

static void open_pipe(void)
{
    assert_int_equal(pipe2(ends, O_CLOEXEC), 0);
    outlet_open(&outlet, ends[1]);
}

/* A socket has no name to be opened by once more, as a terminal of somebody else's has none for us. */
static void open_socket(void)
{
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends), 0);
    outlet_open(&outlet, ends[1]);
}

static void close_all(void)
{
    outlet_close(&outlet);
    (void)close(ends[0]);
    (void)close(ends[1]);
}

static int prepare(void **state)
{
    (void)state;
    (void)signal(SIGPIPE, SIG_IGN);
    for (size_t i = 0; i < MUCH; i++)
        sent[i] = (char)(i * 7 % 251);
    return 0;
}

/* Whether the call that writes would wait on the description itself. */
static bool is_blocking(int fd)
{
    return !(fcntl(fd, F_GETFL) & O_NONBLOCK);
}

static size_t take(size_t most, size_t at)
{
    ssize_t count = read(ends[0], got + at, most);

    assert_true(count > 0);
    return (size_t)count;
}

/* More than fits, taken in pieces by somebody slow. */
static void all_arrives_in_order(void)
{
    size_t at = 0;
    int times = 0;

    for (size_t i = 0; i < MUCH; i += MUCH / 3)
        assert_int_equal(outlet_add(&outlet, sent + i, MUCH / 3), 0);
    assert_int_equal(outlet_waiting(&outlet), MUCH);
    assert_int_equal(outlet_send(&outlet), 0);
    assert_true(outlet_waiting(&outlet) > 0 && outlet_waiting(&outlet) < MUCH);
    assert_true(outlet_poll_fd(&outlet) >= 0);
    /* Woken, and yet there is no room: not asked again until something is new. */
    assert_int_equal(outlet_on_writable(&outlet), 0);
    assert_int_equal(outlet_poll_fd(&outlet), -1);
    while (at < MUCH) {
        at += take(20000, at);
        assert_int_equal(++times % 2 ? outlet_send(&outlet) : outlet_on_writable(&outlet), 0);
    }
    assert_memory_equal(got, sent, MUCH);
    assert_int_equal(outlet_waiting(&outlet), 0);
    assert_int_equal(outlet_poll_fd(&outlet), -1);
    assert_int_equal(outlet_add(&outlet, "end", 3), 0);
    assert_int_equal(outlet_send(&outlet), 0);
    assert_int_equal(take(10, 0), 3);
    assert_memory_equal(got, "end", 3);
}

static void a_description_of_its_own(void **state)
{
    (void)state;
    open_pipe();
    assert_int_not_equal(outlet.fd, ends[1]);
    assert_false(outlet.shared);
    all_arrives_in_order();
    assert_true(is_blocking(ends[1]));
    assert_false(is_blocking(outlet.fd));
    close_all();
}

static void a_description_that_is_shared(void **state)
{
    (void)state;
    open_socket();
    assert_int_equal(outlet.fd, ends[1]);
    assert_true(outlet.shared);
    all_arrives_in_order();
    assert_true(is_blocking(ends[1]));
    outlet_close(&outlet);
    assert_true(fcntl(ends[1], F_GETFD) >= 0);
    close_all();
}

static void nobody_reads_any_more(void **state)
{
    (void)state;
    open_pipe();
    (void)close(ends[0]);
    assert_int_equal(outlet_add(&outlet, "lost", 4), 0);
    assert_int_equal(outlet_send(&outlet), -1);
    assert_false(outlet_drain(&outlet, 1));
    outlet_close(&outlet);
    (void)close(ends[1]);
}

static void there_is_an_end_to_what_waits(void **state)
{
    size_t before;

    (void)state;
    open_pipe();
    while (outlet_add(&outlet, sent, MUCH) == 0)
        assert_true(outlet_waiting(&outlet) <= OUTLET_MOST);
    before = outlet_waiting(&outlet);
    assert_true(before > OUTLET_MOST / 2 - MUCH);
    assert_int_equal(outlet_add(&outlet, sent, MUCH), -1);
    assert_int_equal(outlet_waiting(&outlet), before);
    outlet_forget(&outlet);
    assert_int_equal(outlet_waiting(&outlet), 0);
    assert_int_equal(outlet_add(&outlet, "new", 3), 0);
    assert_true(outlet_drain(&outlet, 1));
    assert_int_equal(take(10, 0), 3);
    assert_memory_equal(got, "new", 3);
    close_all();
}

/* A last wait has its time and no more. */
static void the_last_bytes_are_waited_for(void **state)
{
    struct timespec from, to;
    double passed_s;

    (void)state;
    open_pipe();
    assert_int_equal(outlet_add(&outlet, sent, MUCH), 0);
    (void)clock_gettime(CLOCK_MONOTONIC, &from);
    assert_false(outlet_drain(&outlet, 0.1));
    (void)clock_gettime(CLOCK_MONOTONIC, &to);
    passed_s = (double)(to.tv_sec - from.tv_sec) + (double)(to.tv_nsec - from.tv_nsec) / 1e9;
    assert_true(passed_s >= 0.09 && passed_s < 5);
    close_all();
}

/* What must go goes around what waits, as far as there is room. */
static void what_is_forced_does_not_wait(void **state)
{
    (void)state;
    open_pipe();
    assert_int_equal(outlet_add(&outlet, "later", 5), 0);
    outlet_force(&outlet, "now", 3);
    assert_int_equal(take(10, 0), 3);
    assert_memory_equal(got, "now", 3);
    assert_int_equal(outlet_waiting(&outlet), 5);
    outlet_forget(&outlet);
    assert_int_equal(outlet_add(&outlet, sent, MUCH), 0);
    assert_int_equal(outlet_send(&outlet), 0);
    outlet_force(&outlet, "full", 4);
    close_all();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_description_of_its_own),
        cmocka_unit_test(a_description_that_is_shared),
        cmocka_unit_test(nobody_reads_any_more),
        cmocka_unit_test(there_is_an_end_to_what_waits),
        cmocka_unit_test(the_last_bytes_are_waited_for),
        cmocka_unit_test(what_is_forced_does_not_wait),
    };

    return RUN_AND_CLOSE_ALL(tests, prepare, NULL);
}
