#include "fixes.h"

#include <arpa/inet.h>
#include <errno.h>
#include <math.h>
#include <moonstand/fault.h>
#include <moonstand/gps.h>
#include <moonstand/readings.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

static const double fresh_s = 5, kept_s = 60;
static const double retry_after_s[] = {1, 2, 5, 10, 30};
enum {
    RETRIES = sizeof retry_after_s / sizeof retry_after_s[0],
    LINE = 16384, /* longer than any report of gpsd */
    READS = 16    /* per call: a flood must not stall the loop */
};

struct gps_device {
    struct sockaddr_storage address;
    socklen_t address_size;
    int fd;
    bool greeted; /* gpsd has sent its greeting and been asked for reports */
    int failures; /* index of the next wait */
    double retry_s;
    char line[LINE];
    size_t filled;
    bool line_too_long;                   /* drop everything up to the next newline */
    double report_s, fix_s, satellites_s; /* of the last one; -INFINITY: never */
    int mode;                             /* of the last report */
    bool has_place;                       /* likewise */
    double error_m;                       /* of the last fix */
    int satellites;
    struct fixes fixes;
};

/* ---- the address ---- */

static int set_address(struct gps_device *gps, const char *host, int port, struct fault *fault)
{
    struct sockaddr_in *four = (struct sockaddr_in *)&gps->address;
    struct sockaddr_in6 *six = (struct sockaddr_in6 *)&gps->address;

    if (port < 1 || port > 65535)
        return fault_set(fault, "gpsd port: found %d; expected 1 to 65535", port);
    if (inet_pton(AF_INET, host, &four->sin_addr) == 1 &&
        ntohl(four->sin_addr.s_addr) >> 24 == IN_LOOPBACKNET) {
        four->sin_family = AF_INET;
        four->sin_port = htons((uint16_t)port);
        gps->address_size = sizeof *four;
        return 0;
    }
    gps->address = (struct sockaddr_storage){0};
    if (inet_pton(AF_INET6, host, &six->sin6_addr) == 1 && IN6_IS_ADDR_LOOPBACK(&six->sin6_addr)) {
        six->sin6_family = AF_INET6;
        six->sin6_port = htons((uint16_t)port);
        gps->address_size = sizeof *six;
        return 0;
    }
    return fault_set(
        fault, "gpsd host: found '%s'; expected a numeric loopback address: 127.0.0.1 or ::1",
        host);
}

struct gps_device *gps_device_new(const char *host, int port, struct fault *fault)
{
    struct gps_device *gps = calloc(1, sizeof *gps);

    if (!gps) {
        (void)fault_set(fault, "out of memory");
        return NULL;
    }
    gps->fd = -1;
    gps->retry_s = -INFINITY;
    gps->report_s = gps->fix_s = gps->satellites_s = -INFINITY;
    gps->error_m = NAN;
    fixes_clear(&gps->fixes);
    if (set_address(gps, host, port, fault) != 0) {
        free(gps);
        return NULL;
    }
    return gps;
}

/* ---- the connection ---- */

static void hang_up(struct gps_device *gps)
{
    if (gps->fd >= 0)
        (void)close(gps->fd);
    gps->fd = -1;
    gps->greeted = false;
    gps->filled = 0;
    gps->line_too_long = false;
}

static void try_later(struct gps_device *gps, double boot_s)
{
    hang_up(gps);
    gps->retry_s = boot_s + retry_after_s[gps->failures];
    if (gps->failures < RETRIES - 1)
        gps->failures++;
}

void gps_device_free(struct gps_device *gps)
{
    if (!gps)
        return;
    hang_up(gps);
    free(gps);
}

int gps_device_fd(const struct gps_device *gps)
{
    return gps->fd;
}

/* A pending connect shows as readable when it ends, by the greeting or an error. */
void gps_device_tick(struct gps_device *gps, double boot_s)
{
    if (gps->fd >= 0 || boot_s < gps->retry_s)
        return;
    gps->fd = socket(gps->address.ss_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (gps->fd < 0 ||
        (connect(gps->fd, (const struct sockaddr *)&gps->address, gps->address_size) != 0 &&
         errno != EINPROGRESS))
        try_later(gps, boot_s);
}

static bool ask_for_reports(struct gps_device *gps)
{
    static const char request[] = "?WATCH={\"enable\":true,\"json\":true};\n";
    size_t length = sizeof request - 1;

    gps->greeted = send(gps->fd, request, length, MSG_NOSIGNAL) == (ssize_t)length;
    return gps->greeted;
}

static void read_lines(struct gps_device *gps, struct gpsd_report *report)
{
    char *start = gps->line;
    size_t left = gps->filled;

    for (char *end; (end = memchr(start, '\n', left)) != NULL;) {
        *end = '\0';
        if (!gps->line_too_long)
            gpsd_report_read(report, start, (size_t)(end - start));
        gps->line_too_long = false;
        left -= (size_t)(end + 1 - start);
        start = end + 1;
    }
    if (left == sizeof gps->line) {
        gps->line_too_long = true;
        left = 0;
    }
    memmove(gps->line, start, left);
    gps->filled = left;
}

/* Of several reports that arrive together only the last counts: the others are older. */
static void take(struct gps_device *gps, const struct gpsd_report *report, double boot_s)
{
    if (report->satellites >= 0) {
        gps->satellites = report->satellites;
        gps->satellites_s = boot_s;
    }
    if (!report->has_fix_line)
        return;
    gps->failures = 0;
    gps->report_s = boot_s;
    gps->mode = report->mode;
    gps->has_place = isfinite(report->place.latitude_deg);
    if (!gps->has_place)
        return;
    if (boot_s - gps->fix_s > kept_s)
        fixes_clear(&gps->fixes);
    gps->fix_s = boot_s;
    gps->error_m = report->error_m;
    fixes_add(&gps->fixes, report, boot_s);
}

void gps_device_on_readable(struct gps_device *gps, double boot_s)
{
    struct gpsd_report report;
    bool lost = false;

    gpsd_report_none(&report);
    for (int i = 0; gps->fd >= 0 && i < READS; i++) {
        ssize_t got = recv(gps->fd, gps->line + gps->filled, sizeof gps->line - gps->filled, 0);

        if (got < 0 && (errno == EAGAIN || errno == EINTR))
            break;
        lost = got <= 0 || (!gps->greeted && !ask_for_reports(gps));
        if (lost)
            break;
        gps->filled += (size_t)got;
        read_lines(gps, &report);
    }
    take(gps, &report, boot_s);
    if (lost)
        try_later(gps, boot_s);
}

/* ---- the readings ---- */

static enum gps_state state_of(const struct gps_device *gps, double boot_s)
{
    if (!gps->greeted)
        return GPS_ABSENT;
    if (boot_s - gps->report_s <= fresh_s)
        return gps->has_place ? GPS_FIX : GPS_NO_FIX;
    return boot_s - gps->fix_s <= kept_s ? GPS_STALE : GPS_SILENT;
}

void gps_device_fill(const struct gps_device *gps, double utc, double boot_s,
                     struct readings *readings)
{
    struct gps_reading *reading = &readings->gps;
    struct readings none;

    readings_none(&none);
    *reading = none.gps;
    reading->state = state_of(gps, boot_s);
    if (reading->state == GPS_FIX || reading->state == GPS_NO_FIX || reading->state == GPS_STALE)
        reading->mode = gps->mode;
    if (boot_s - gps->satellites_s <= kept_s)
        reading->satellites = gps->satellites;
    if (boot_s - gps->fix_s > kept_s)
        return;
    reading->latitude_deg = gps->fixes.steady.latitude_deg;
    reading->longitude_deg = gps->fixes.steady.longitude_deg;
    reading->height_m = gps->fixes.steady.height_m;
    reading->error_m = gps->error_m;
    reading->age_s = boot_s - gps->fix_s;
    reading->clock_offset_s = utc - boot_s + fixes_lag_s(&gps->fixes, &reading->clock_spread_s);
}
