/* The gpsd device against a server made here, which says what no good gpsd would. Time is an
 * argument, so hours pass at once. Format of the lines: gpsd_json(5). */
#include "near.h"
#include "open_files.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <arpa/inet.h>
#include <cmocka.h>
#include <errno.h>
#include <math.h>
#include <moonstand/fault.h>
#include <moonstand/gps.h>
#include <moonstand/readings.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

static const char greeting[] =
    "{\"class\":\"VERSION\",\"release\":\"3.22\",\"proto_major\":3,\"proto_minor\":14}\r\n";
/* 2028-12-31T14:00:00Z */
static const double first_utc = 1861884000;

static struct {
    int listener, peer, port;
    struct gps_device *gps;
    double boot;
} bench;

/* At `*port`, or where that is 0 at a free one, which it then says. */
static int listen_here(int backlog, int *port)
{
    struct sockaddr_in address = {.sin_family = AF_INET,
                                  .sin_port = htons((uint16_t)*port),
                                  .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof address;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);

    assert_true(fd >= 0);
    assert_int_equal(bind(fd, (struct sockaddr *)&address, size), 0);
    assert_int_equal(listen(fd, backlog), 0);
    assert_int_equal(getsockname(fd, (struct sockaddr *)&address, &size), 0);
    *port = ntohs(address.sin_port);
    return fd;
}

static bool readable(int fd, int limit_ms)
{
    struct pollfd wait = {.fd = fd, .events = POLLIN};

    return poll(&wait, 1, limit_ms) == 1;
}

static void say_bytes(const char *bytes, size_t size)
{
    assert_int_equal(send(bench.peer, bytes, size, MSG_NOSIGNAL), (ssize_t)size);
    assert_true(readable(gps_device_fd(bench.gps), 2000));
    gps_device_on_readable(bench.gps, bench.boot);
}

static void say(const char *text)
{
    say_bytes(text, strlen(text));
}

/* A 3-D fix `second` seconds into the log. */
static void say_fix(double latitude_deg, double longitude_deg, double height_m, int second)
{
    char line[300];

    (void)snprintf(line, sizeof line,
                   "{\"class\":\"TPV\",\"device\":\"/dev/ttyS0\",\"mode\":3,"
                   "\"time\":\"2028-12-31T14:%02d:%02d.000Z\",\"lat\":%.9f,\"lon\":%.9f,"
                   "\"altHAE\":%.3f,\"altMSL\":%.3f,\"eph\":7.5}\r\n",
                   second / 60, second % 60, latitude_deg, longitude_deg, height_m,
                   height_m + 11.3);
    say(line);
}

static void say_good_fix(int second)
{
    say_fix(61.9747, 59.8718, 203.3, second);
}

static struct gps_reading reading(void)
{
    struct readings readings;

    gps_device_fill(bench.gps, NAN, bench.boot, &readings);
    return readings.gps;
}

static void meet(void)
{
    char request[128] = "";

    bench.peer = accept(bench.listener, NULL, NULL);
    assert_true(bench.peer >= 0);
    assert_int_equal(reading().state, GPS_ABSENT);
    say(greeting);
    assert_true(readable(bench.peer, 2000));
    assert_true(recv(bench.peer, request, sizeof request - 1, 0) > 0);
    assert_string_equal(request, "?WATCH={\"enable\":true,\"json\":true};\n");
}

static int connect_bench(void **state)
{
    (void)state;
    bench.boot = 1000;
    bench.port = 0;
    bench.listener = listen_here(4, &bench.port);
    bench.gps = gps_device_new("127.0.0.1", bench.port, NULL);
    assert_non_null(bench.gps);
    gps_device_tick(bench.gps, bench.boot);
    assert_true(gps_device_fd(bench.gps) >= 0);
    meet();
    return 0;
}

static int close_bench(void **state)
{
    (void)state;
    gps_device_free(bench.gps);
    if (bench.peer >= 0)
        (void)close(bench.peer);
    (void)close(bench.listener);
    return 0;
}

/* ---- the address ---- */

static void only_numeric_loopback_is_taken(void **state)
{
    static const char *const refused[] = {
        "localhost", "gps.example.org", "192.168.1.5", "0.0.0.0",    "127.1",          "126.0.0.1",
        "128.0.0.1", "2130706433",      "::",          "fe80::1",    "::ffff:1.2.3.4", "127.0.0.1 ",
        " ",         "127.0.0.1:2947",  "::1%lo",      "/dev/ttyS0", "",
    };
    static const char *const taken[] = {"127.0.0.1", "127.5.6.7", "::1"};

    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        struct fault fault = {""};

        assert_null(gps_device_new(refused[i], 2947, &fault));
        assert_non_null(strstr(fault.text, refused[i]));
        assert_non_null(strstr(fault.text, "127.0.0.1"));
    }
    for (size_t i = 0; i < sizeof taken / sizeof taken[0]; i++) {
        struct gps_device *gps = gps_device_new(taken[i], 65535, NULL);

        assert_non_null(gps);
        gps_device_free(gps);
    }
    gps_device_free(NULL);
    for (int port = -1; port < 65538; port += port < 0 ? 1 : 65536) {
        struct fault fault = {""};

        assert_null(gps_device_new("127.0.0.1", port, &fault));
        assert_non_null(strstr(fault.text, "65535"));
    }
}

/* ---- the connection ---- */

static void call_in_vain(struct gps_device *gps, double boot)
{
    gps_device_tick(gps, boot);
    if (gps_device_fd(gps) >= 0 && readable(gps_device_fd(gps), 2000))
        gps_device_on_readable(gps, boot);
    assert_int_equal(gps_device_fd(gps), -1);
}

static void a_refused_call_is_repeated(void **state)
{
    int port = 0, listener = listen_here(1, &port);
    struct gps_device *gps = gps_device_new("127.0.0.1", port, NULL);

    (void)state;
    (void)close(listener);
    call_in_vain(gps, 50);
    call_in_vain(gps, 51);
    listener = listen_here(1, &port);
    gps_device_tick(gps, 52.9);
    assert_int_equal(gps_device_fd(gps), -1);
    gps_device_tick(gps, 53);
    assert_true(gps_device_fd(gps) >= 0);
    assert_true(readable(listener, 2000));
    gps_device_free(gps);
    (void)close(listener);
}

static void hang_up_and_be_called(double expected_wait)
{
    (void)close(bench.peer);
    assert_true(readable(gps_device_fd(bench.gps), 2000));
    gps_device_on_readable(bench.gps, bench.boot);
    assert_int_equal(gps_device_fd(bench.gps), -1);
    assert_int_equal(reading().state, GPS_ABSENT);
    gps_device_tick(bench.gps, bench.boot + expected_wait - 0.1);
    assert_int_equal(gps_device_fd(bench.gps), -1);
    bench.boot += expected_wait;
    gps_device_tick(bench.gps, bench.boot);
    assert_true(gps_device_fd(bench.gps) >= 0);
    meet();
}

static void it_knocks_ever_more_rarely(void **state)
{
    static const double waits[] = {1, 2, 5, 10, 30, 30, 30};

    (void)state;
    for (size_t i = 0; i < sizeof waits / sizeof waits[0]; i++)
        hang_up_and_be_called(waits[i]);
}

static void a_lost_server_is_called_again(void **state)
{
    (void)state;
    hang_up_and_be_called(1);
    hang_up_and_be_called(2);
    hang_up_and_be_called(5);
    say_good_fix(0);
    assert_int_equal(reading().state, GPS_FIX);
    hang_up_and_be_called(1);
    /* The fix is still known, with its age. */
    assert_near(reading().age_s, 1, 1e-9);
    assert_near(reading().latitude_deg, 61.9747, 1e-9);
    bench.boot += 1;
    say_good_fix(2);
    assert_int_equal(reading().state, GPS_FIX);
    assert_near(reading().age_s, 0, 0);
}

/* Half a line of a lost connection is not joined to the next one. */
static void a_cut_line_is_dropped(void **state)
{
    (void)state;
    say("{\"class\":\"TPV\",\"mode\":3,\"lat\":6");
    hang_up_and_be_called(1);
    say("1.5,\"lon\":59.5}\r\n");
    assert_int_equal(reading().state, GPS_SILENT);
}

/* A server whose queue of calls is full does not answer a connect at all. */
static void a_server_that_does_not_answer_does_not_stop_the_loop(void **state)
{
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    int port = 0, listener = listen_here(0, &port), callers[4];
    struct gps_device *gps = gps_device_new("127.0.0.1", port, NULL);
    struct timespec before, after;
    struct readings readings;

    (void)state;
    address.sin_port = htons((uint16_t)port);
    for (int i = 0; i < 4; i++) {
        callers[i] = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
        (void)connect(callers[i], (struct sockaddr *)&address, sizeof address);
    }
    clock_gettime(CLOCK_MONOTONIC, &before);
    gps_device_tick(gps, 10);
    clock_gettime(CLOCK_MONOTONIC, &after);
    assert_true((double)(after.tv_sec - before.tv_sec) +
                    (double)(after.tv_nsec - before.tv_nsec) / 1e9 <
                0.1);
    assert_true(gps_device_fd(gps) >= 0);
    assert_false(readable(gps_device_fd(gps), 100));
    gps_device_fill(gps, 0, 10, &readings);
    assert_int_equal(readings.gps.state, GPS_ABSENT);
    for (int i = 0; i < 4; i++)
        (void)close(callers[i]);
    gps_device_free(gps);
    (void)close(listener);
}

/* ---- lines ---- */

static void lines_that_say_no_place_give_none(void **state)
{
    static const char *const lines[] = {
        "\r\n",
        "}\r\n",
        "HTTP/1.1 400 Bad Request\r\n",
        "$GPGGA,140000.000,6158.4820,N,05952.3070,E,1,08,1.1,214.6,M,-11.3,M,,*75\r\n",
        "{\"class\":\"TPV\"\r\n",
        "{\"class\":\"TPV\"}\r\n",
        "{\"class\":\"TPV\",\"mode\":3}\r\n",
        "{\"class\":\"TPV\",\"mode\":1,\"lat\":61.0,\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":nan,\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":NaN,\"lon\":NaN}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0,\"lon\":null}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0,\"lon\":inf}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":1e999,\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":90.1,\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0,\"lon\":180.1}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0,\"lon\":6\r\n",
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0,\"lon\":60.0,\"al\r\n",
        "{\"class\":\"TPV\",\"mode\":99999999999999,\"lat\":61.0,\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":-3,\"lat\":61.0,\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":\"three\",\"lat\":\"a\",\"lon\":60.0}\r\n",
        "{\"class\":\"TPV\",\"mode\":2,\"lat\":\"61.0\",\"lon\":[60.0]}\r\n",
        "{\"class\":\"SKY\",\"lat\":61.0,\"lon\":60.0,\"mode\":3}\r\n",
        "{\"class\":\"TPX\",\"mode\":3,\"lat\":61.0,\"lon\":60.0}\r\n",
        "{\"class\":\"ERROR\",\"message\":\"no\"}\r\n",
        "{{{{{{{{{{\r\n",
        "\xff\xfe\x01\x1b[2J\r\n",
    };
    static const char with_zero[] =
        "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.0,\"lon\":60.0,\0\"eph\":5}\r\n";

    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct gps_reading now;

        bench.boot += 1;
        say(lines[i]);
        now = reading();
        assert_true(now.state == GPS_SILENT || now.state == GPS_NO_FIX);
        assert_true(isnan(now.latitude_deg) && isnan(now.longitude_deg) && isnan(now.height_m));
        assert_true(isnan(now.error_m) && isnan(now.age_s) && isnan(now.clock_offset_s));
        assert_in_range(now.mode, 0, 3);
    }
    say_bytes(with_zero, sizeof with_zero - 1);
    assert_true(isnan(reading().latitude_deg));
    say_good_fix(0);
    assert_int_equal(reading().state, GPS_FIX);
}

static void a_line_may_come_in_pieces(void **state)
{
    (void)state;
    /* The first behind a report that is taken. */
    say("{\"class\":\"SKY\",\"uSat\":7,\"nSat\":9}\r\n{\"class\":\"TPV\",\"mode\":2,\"la");
    assert_int_equal(reading().state, GPS_SILENT);
    say("t\":61.5,\"lon\":59.2");
    assert_int_equal(reading().state, GPS_SILENT);
    say("5}\r");
    say("\n");
    assert_int_equal(reading().state, GPS_FIX);
    assert_near(reading().latitude_deg, 61.5, 1e-12);
    assert_near(reading().longitude_deg, 59.25, 1e-12);
}

static void of_lines_that_wait_together_the_last_counts(void **state)
{
    (void)state;
    say("{\"class\":\"TPV\",\"mode\":2,\"lat\":10.0,\"lon\":20.0}\r\n"
        "{\"class\":\"SKY\",\"nSat\":1,\"uSat\":1,\"satellites\":["
        "{\"PRN\":1,\"el\":10,\"az\":20,\"ss\":30,\"used\":true}]}\r\n"
        "{\"class\":\"TPV\",\"mode\":2,\"lat\":61.5,\"lon\":59.5}\r\n");
    assert_near(reading().latitude_deg, 61.5, 1e-12);
    assert_int_equal(reading().satellites, 1);
}

static void a_flood_without_end_of_line_is_waded_through(void **state)
{
    char flood[8192];

    (void)state;
    memset(flood, '{', sizeof flood);
    for (int i = 0; i < 40; i++)
        say_bytes(flood, sizeof flood);
    assert_int_equal(reading().state, GPS_SILENT);
    say("\r\n");
    say_good_fix(0);
    assert_int_equal(reading().state, GPS_FIX);
}

static void height_of_the_ellipsoid_goes_first(void **state)
{
    static const struct {
        const char *rest;
        int mode;
        double height_m;
    } rows[] = {
        {"\"altHAE\":203.3,\"altMSL\":214.6", 3, 203.3},
        {"\"altMSL\":214.6", 3, 214.6},
        {"\"altHAE\":nan,\"altMSL\":214.6", 3, 214.6},
        {"\"altHAE\":1e300,\"altMSL\":214.6", 3, 214.6},
        {"\"alt\":214.6", 3, NAN},
        {"\"altHAE\":203.3,\"altMSL\":214.6", 2, NAN},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[200];

        bench.boot += 100; /* what was known is forgotten */
        (void)snprintf(line, sizeof line,
                       "{\"class\":\"TPV\",\"mode\":%d,\"lat\":61.5,\"lon\":59.5,%s}\r\n",
                       rows[i].mode, rows[i].rest);
        say(line);
        assert_int_equal(reading().state, GPS_FIX);
        assert_int_equal(reading().mode, rows[i].mode);
        if (isnan(rows[i].height_m))
            assert_true(isnan(reading().height_m));
        else
            assert_near(reading().height_m, rows[i].height_m, 1e-9);
    }
}

static void the_error_is_horizontal(void **state)
{
    static const struct {
        const char *rest;
        double error_m;
    } rows[] = {
        {"\"eph\":7.5,\"epx\":3,\"epy\":4", 7.5},
        {"\"epx\":3.0,\"epy\":4.0", 5.0},
        {"\"epx\":3.0", NAN},
        {"\"eph\":-1.0", NAN},
        {"\"eph\":inf,\"epv\":3.0", NAN},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[200];

        (void)snprintf(line, sizeof line,
                       "{\"class\":\"TPV\",\"mode\":3,\"lat\":61.5,\"lon\":59.5,%s}\r\n",
                       rows[i].rest);
        say(line);
        if (isnan(rows[i].error_m))
            assert_true(isnan(reading().error_m));
        else
            assert_near(reading().error_m, rows[i].error_m, 1e-9);
    }
}

/* ---- time goes by ---- */

static void silence_makes_a_fix_stale_and_then_nothing(void **state)
{
    (void)state;
    assert_int_equal(reading().state, GPS_SILENT);
    say_good_fix(0);
    bench.boot += 5;
    assert_int_equal(reading().state, GPS_FIX);
    bench.boot += 0.1;
    assert_int_equal(reading().state, GPS_STALE);
    assert_int_equal(reading().mode, 3);
    assert_near(reading().age_s, 5.1, 1e-9);
    assert_near(reading().longitude_deg, 59.8718, 1e-9);
    bench.boot += 54.8;
    assert_int_equal(reading().state, GPS_STALE);
    bench.boot += 0.2;
    assert_int_equal(reading().state, GPS_SILENT);
    assert_int_equal(reading().mode, 0);
    assert_true(isnan(reading().latitude_deg) && isnan(reading().age_s));
}

static void a_receiver_that_loses_the_sky_has_no_fix(void **state)
{
    (void)state;
    say_good_fix(0);
    /* With the counts that gpsd sends of late: libgps of 3.25 wants them. */
    say("{\"class\":\"SKY\",\"nSat\":2,\"uSat\":2,\"satellites\":["
        "{\"PRN\":1,\"el\":10,\"az\":20,\"ss\":30,\"used\":true},"
        "{\"PRN\":2,\"el\":10,\"az\":20,\"ss\":30,\"used\":true}]}\r\n");
    assert_int_equal(reading().satellites, 2);
    bench.boot += 1;
    say("{\"class\":\"TPV\",\"mode\":1}\r\n");
    assert_int_equal(reading().state, GPS_NO_FIX);
    assert_int_equal(reading().mode, 1);
    assert_near(reading().age_s, 1, 1e-9);
    say("{\"class\":\"SKY\",\"hdop\":1.2}\r\n");
    assert_int_equal(reading().satellites, 2);
    say("{\"class\":\"SKY\",\"nSat\":1,\"uSat\":0,\"satellites\":["
        "{\"PRN\":1,\"el\":10,\"az\":20,\"ss\":9,\"used\":false}]}\r\n");
    assert_int_equal(reading().satellites, 0);
    bench.boot += 61;
    assert_int_equal(reading().satellites, -1);
}

/* Steps of about 2 m to and fro move nothing; a walk of 50 m is followed once it is the rule. */
static void a_site_does_not_follow_the_jitter(void **state)
{
    struct gps_reading first;

    (void)state;
    for (int i = 0; i < 200; i++) {
        bench.boot += 1;
        say_fix(61.9747 + 1.8e-5 * ((i * 7) % 3 - 1), 59.8718 + 3.8e-5 * ((i * 5) % 3 - 1),
                203.3 + (i * 3) % 5, i);
        if (i == 0)
            first = reading();
        assert_true(reading().latitude_deg == first.latitude_deg);
        assert_true(reading().longitude_deg == first.longitude_deg);
        assert_true(reading().height_m == first.height_m);
    }
    for (int i = 200; i < 209; i++)
        say_fix(61.9747 + 4.5e-4, 59.8718, 203.3, i);
    assert_true(reading().latitude_deg == first.latitude_deg);
    for (int i = 209; i < 220; i++)
        say_fix(61.9747 + 4.5e-4, 59.8718, 203.3, i);
    assert_near(reading().latitude_deg, 61.9747 + 4.5e-4, 1e-9);
}

/* One wild fix among many is not believed. */
static void an_outlier_is_outvoted(void **state)
{
    (void)state;
    for (int i = 0; i < 7; i++)
        say_good_fix(i);
    say_fix(10, -120, 3000, 7);
    assert_near(reading().latitude_deg, 61.9747, 1e-9);
    assert_near(reading().longitude_deg, 59.8718, 1e-9);
    assert_near(reading().height_m, 203.3, 1e-9);
}

static void the_date_line_is_no_edge(void **state)
{
    (void)state;
    for (int i = 0; i < 20; i++) {
        say_fix(62, i % 2 ? 179.99999 : -179.99999, 100, i);
        assert_true(fabs(reading().longitude_deg) > 179.9999);
    }
}

/* The laptop is 37 s fast; reports come 0.20 to 0.40 s late: median 0.30, quartiles 0.25 and 0.35.
 */
static void the_clock_is_compared_over_many_fixes(void **state)
{
    static const double late_s[] = {0.20, 0.40, 0.30, 0.25, 0.35};
    struct readings readings;

    (void)state;
    for (int i = 0; i < 20; i++) {
        double true_utc = first_utc + i + late_s[i % 5];

        bench.boot = 1000 + i + late_s[i % 5];
        say_good_fix(i);
        /* The same fix told again adds nothing. */
        bench.boot += 0.3;
        say_good_fix(i);
        gps_device_fill(bench.gps, true_utc + 0.3 + 37, bench.boot, &readings);
        if (i < 4) {
            assert_true(isnan(readings.gps.clock_offset_s));
            assert_true(isnan(readings.gps.clock_spread_s));
        } else {
            assert_true(fabs(readings.gps.clock_offset_s - 37.3) <= 0.05 + 1e-6);
        }
    }
    assert_near(readings.gps.clock_offset_s, 37.3, 1e-6);
    assert_near(readings.gps.clock_spread_s, 0.1, 1e-6);
    /* The user puts the clock right: seen without waiting for new fixes. */
    bench.boot = 1025;
    gps_device_fill(bench.gps, first_utc + 25, bench.boot, &readings);
    assert_near(readings.gps.clock_offset_s, 0.3, 1e-6);
}

static void a_fix_without_its_time_says_nothing_of_the_clock(void **state)
{
    (void)state;
    for (int i = 0; i < 10; i++) {
        struct readings readings;
        char line[200];

        (void)snprintf(
            line, sizeof line,
            "{\"class\":\"TPV\",\"mode\":3,\"time\":\"%s\",\"lat\":61.5,\"lon\":%.4f}\r\n",
            i % 2 ? "gibberish" : "", 59.5 + i * 1e-4);
        say(line);
        gps_device_fill(bench.gps, first_utc, bench.boot, &readings);
        assert_int_equal(readings.gps.state, GPS_FIX);
        assert_true(isnan(readings.gps.clock_offset_s));
    }
}

int main(void)
{
#define ON_THE_BENCH(test) cmocka_unit_test_setup_teardown(test, connect_bench, close_bench)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_numeric_loopback_is_taken),
        ON_THE_BENCH(it_knocks_ever_more_rarely),
        cmocka_unit_test(a_refused_call_is_repeated),
        cmocka_unit_test(a_server_that_does_not_answer_does_not_stop_the_loop),
        ON_THE_BENCH(a_lost_server_is_called_again),
        ON_THE_BENCH(a_cut_line_is_dropped),
        ON_THE_BENCH(lines_that_say_no_place_give_none),
        ON_THE_BENCH(a_line_may_come_in_pieces),
        ON_THE_BENCH(of_lines_that_wait_together_the_last_counts),
        ON_THE_BENCH(a_flood_without_end_of_line_is_waded_through),
        ON_THE_BENCH(height_of_the_ellipsoid_goes_first),
        ON_THE_BENCH(the_error_is_horizontal),
        ON_THE_BENCH(silence_makes_a_fix_stale_and_then_nothing),
        ON_THE_BENCH(a_receiver_that_loses_the_sky_has_no_fix),
        ON_THE_BENCH(a_site_does_not_follow_the_jitter),
        ON_THE_BENCH(an_outlier_is_outvoted),
        ON_THE_BENCH(the_date_line_is_no_edge),
        ON_THE_BENCH(the_clock_is_compared_over_many_fixes),
        ON_THE_BENCH(a_fix_without_its_time_says_nothing_of_the_clock),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
