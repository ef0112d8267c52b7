/* The gpsd device against a real gpsd, fed by tests/receiver.py from a made log of our own: ten seconds of a receiver that stands at 61 58.4820 N, 59 52.3070 E, 214.6 m above the sea,
 * 203.3 m above the ellipsoid, and reports it with 2 m of jitter. */
#include "near.h"
#include "open_files.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <arpa/inet.h>
#include <cmocka.h>
#include <errno.h>
#include <fcntl.h>
#include <moonstand/gps.h>
#include <moonstand/readings.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static const double latitude_deg = 61 + 58.4820 / 60, longitude_deg = 59 + 52.3070 / 60;
static const double two_metres_north_deg = 2 * 0.00054 / 60, two_metres_east_deg = 2 * 0.00115 / 60;

static struct {
    int port;
    pid_t receiver; /* receiver.py, leader of the group that its gpsd is in; 0 none */
    struct gps_device *gps;
    double skipped_s; /* time that was not waited for */
    struct gps_reading reading;
} night;

/* ---- the receiver ---- */

static int free_port(void)
{
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof address;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    int on = 1;

    (void)setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (bind(fd, (struct sockaddr *)&address, size) != 0 ||
        getsockname(fd, (struct sockaddr *)&address, &size) != 0)
        return -1;
    (void)close(fd);
    return ntohs(address.sin_port);
}

/* In the child: gpsd and its receiver in a session of their own, told to stop when this program
 * ends. */
static void become_receiver(void)
{
    char port[16];
    int null = open("/dev/null", O_RDWR);

    (void)setsid();
    (void)prctl(PR_SET_PDEATHSIG, SIGINT);
    (void)sigaction(SIGINT, &(struct sigaction){.sa_handler = SIG_DFL}, NULL);
    (void)dup2(null, STDIN_FILENO);
    (void)dup2(null, STDOUT_FILENO);
    (void)dup2(null, STDERR_FILENO);
    (void)snprintf(port, sizeof port, "%d", night.port);
    (void)execl(TEST_DATA "/../receiver.py", "receiver.py", port, (char *)NULL);
    _exit(127);
}

static void start_receiver(void)
{
    night.receiver = fork();
    assert_true(night.receiver >= 0);
    if (night.receiver == 0)
        become_receiver();
}

static bool wait_until(bool (*reached)(void), int limit_ms)
{
    for (int waited = 0; waited < limit_ms; waited += 20) {
        if (reached())
            return true;
        (void)nanosleep(&(struct timespec){.tv_nsec = 20000000}, NULL);
    }
    return reached();
}

static bool receiver_has_ended(void)
{
    return waitpid(night.receiver, NULL, WNOHANG) != 0;
}

static bool group_is_empty(void)
{
    return kill(-night.receiver, 0) != 0 && errno == ESRCH;
}

/* Returns whether receiver.py and its gpsd went away when asked; they are gone in any case. */
static bool stop_receiver(void)
{
    bool willing;

    if (night.receiver <= 0)
        return true;
    (void)kill(night.receiver, SIGCONT);
    (void)kill(night.receiver, SIGINT);
    willing = wait_until(receiver_has_ended, 5000) && wait_until(group_is_empty, 2000);
    if (!willing) {
        (void)kill(-night.receiver, SIGKILL);
        (void)waitpid(night.receiver, NULL, 0);
    }
    night.receiver = 0;
    return willing;
}

/* ---- the loop ---- */

static double boot_now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_BOOTTIME, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9 + night.skipped_s;
}

static void turn_once(void)
{
    struct pollfd wait = {.fd = gps_device_fd(night.gps), .events = POLLIN};
    struct readings readings;

    if (poll(&wait, 1, 50) > 0)
        gps_device_on_readable(night.gps, boot_now());
    gps_device_tick(night.gps, boot_now());
    gps_device_fill(night.gps, NAN, boot_now(), &readings);
    night.reading = readings.gps;
}

static void turn_for(double seconds)
{
    for (double end = boot_now() + seconds; boot_now() < end;)
        turn_once();
}

static bool has_all(void)
{
    return night.reading.state == GPS_FIX && isfinite(night.reading.height_m) &&
           night.reading.satellites > 0;
}

static bool is_absent(void)
{
    return night.reading.state == GPS_ABSENT;
}

static bool turn_until(bool (*reached)(void), double limit_s)
{
    for (double end = boot_now() + limit_s; boot_now() < end;) {
        turn_once();
        if (reached())
            return true;
        if (night.receiver > 0 && receiver_has_ended()) {
            night.receiver = 0;
            fail_msg("receiver.py ended: is gpsd installed?");
        }
    }
    return false;
}

/* ---- the night, in order ---- */

static void before_gpsd_there_is_nothing(void **state)
{
    (void)state;
    turn_for(0.2);
    assert_int_equal(night.reading.state, GPS_ABSENT);
    assert_true(isnan(night.reading.latitude_deg));
}

static void a_fix_arrives_with_the_numbers_of_the_log(void **state)
{
    struct gps_reading first;

    (void)state;
    start_receiver();
    assert_true(turn_until(has_all, 15));
    first = night.reading;
    assert_int_equal(first.mode, 3);
    assert_int_equal(first.satellites, 8);
    assert_near(first.latitude_deg, latitude_deg, two_metres_north_deg + 1e-6);
    assert_near(first.longitude_deg, longitude_deg, two_metres_east_deg + 1e-6);
    assert_near(first.height_m, 203.3, 0.21);
    assert_true(first.error_m > 0 && first.error_m < 100);
    assert_true(first.age_s >= 0 && first.age_s < 5);

    turn_for(1.5);
    assert_int_equal(night.reading.state, GPS_FIX);
    assert_true(night.reading.latitude_deg == first.latitude_deg);
    assert_true(night.reading.longitude_deg == first.longitude_deg);
}

static void a_silent_receiver_goes_stale_and_comes_back(void **state)
{
    (void)state;
    assert_true(night.receiver > 0);
    assert_int_equal(kill(night.receiver, SIGSTOP), 0);
    turn_for(0.5);
    night.skipped_s += 5;
    turn_for(1);
    assert_int_equal(night.reading.state, GPS_STALE);
    assert_true(night.reading.age_s > 5);
    assert_near(night.reading.latitude_deg, latitude_deg, 1e-4);
    night.skipped_s += 60;
    turn_for(0.2);
    assert_int_equal(night.reading.state, GPS_SILENT);
    assert_true(isnan(night.reading.latitude_deg));
    assert_int_equal(kill(night.receiver, SIGCONT), 0);
    assert_true(turn_until(has_all, 10));
}

static void a_killed_gpsd_is_absent_and_a_new_one_is_found(void **state)
{
    (void)state;
    assert_true(night.receiver > 0);
    assert_true(stop_receiver());
    assert_true(turn_until(is_absent, 5));
    assert_int_equal(gps_device_fd(night.gps), -1);
    night.skipped_s += 60;
    turn_for(0.2);
    assert_int_equal(night.reading.state, GPS_ABSENT);
    assert_true(isnan(night.reading.latitude_deg));
    start_receiver();
    assert_true(turn_until(has_all, 20));
    assert_near(night.reading.latitude_deg, latitude_deg, two_metres_north_deg + 1e-6);
    assert_true(stop_receiver());
}

static int open_night_without_gpsd(void **state)
{
    (void)state;
    night.port = free_port();
    night.gps = gps_device_new("127.0.0.1", night.port, NULL);
    return night.gps ? 0 : -1;
}

static int leave_nothing_behind(void **state)
{
    (void)state;
    gps_device_free(night.gps);
    return stop_receiver() ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(before_gpsd_there_is_nothing),
        cmocka_unit_test(a_fix_arrives_with_the_numbers_of_the_log),
        cmocka_unit_test(a_silent_receiver_goes_stale_and_comes_back),
        cmocka_unit_test(a_killed_gpsd_is_absent_and_a_new_one_is_found),
    };

    return RUN_AND_CLOSE_ALL(tests, open_night_without_gpsd, leave_nothing_behind);
}
