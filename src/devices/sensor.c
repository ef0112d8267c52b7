#include "child.h"

#include <moonstand/air.h>
#include <moonstand/forecast.h>
#include <moonstand/instant.h>
#include <moonstand/sensor.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

void sensor_open(struct sensor *sensor, const struct air_sensor *source, const char *forbidden)
{
    bool wanted = *source->file || source->command.count > 0;

    *sensor = (struct sensor){.source = *source,
                              .due_s = wanted ? -INFINITY : INFINITY,
                              .child = {.fd = -1},
                              .read_s = NAN,
                              .temperature_c = NAN,
                              .humidity_percent = NAN};
    (void)snprintf(sensor->forbidden, sizeof sensor->forbidden, "%.*s", READINGS_TROUBLE - 1,
                   forbidden);
}

void sensor_close(struct sensor *sensor)
{
    child_kill(&sensor->child);
    child_close(&sensor->child);
}

int sensor_fd(const struct sensor *sensor)
{
    return sensor->child.fd;
}

/* ---- the two numbers ---- */

/* `true_s`: the time the reading dates from. */
static void take_reading(struct sensor *sensor, double true_s)
{
    sensor->output[sensor->length] = '\0';
    if (sensor->length != strlen(sensor->output) || sensor->length >= SENSOR_OUTPUT - 1) {
        (void)fault_set(&sensor->trouble, "gives more than two numbers");
    } else if (air_parse(sensor->output, &sensor->temperature_c, &sensor->humidity_percent,
                         &sensor->trouble) == 0) {
        sensor->read_s = true_s;
        *sensor->trouble.text = '\0';
    }
}

/* Reads what there is into the free space; 0 at the end, -1 with errno. */
static ssize_t read_more(struct sensor *sensor, int fd)
{
    size_t room = SENSOR_OUTPUT - 1 - sensor->length;
    char rest[512];

    /* Read what does not fit as well, so that the writer does not block. */
    ssize_t got =
        room > 0 ? read(fd, sensor->output + sensor->length, room) : read(fd, rest, sizeof rest);
    if (got > 0 && room > 0)
        sensor->length += (size_t)got;
    return got;
}

/* ---- a file ---- */

static void read_file(struct sensor *sensor, double utc, double boot_s)
{
    int fd = open(sensor->source.file, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    struct stat status;

    sensor->length = 0;
    if (fd < 0 || fstat(fd, &status) != 0)
        (void)fault_set(&sensor->trouble, "%s", strerror(errno));
    else if (!S_ISREG(status.st_mode))
        (void)fault_set(&sensor->trouble, "is not a regular file");
    else if (utc - seconds_of(status.st_mtim) > AIR_FRESH_S)
        (void)fault_set(&sensor->trouble, "has not been updated for too long");
    else if (read_more(sensor, fd) < 0)
        (void)fault_set(&sensor->trouble, "%s", strerror(errno));
    else
        take_reading(sensor, boot_s - fmax(utc - seconds_of(status.st_mtim), 0));
    if (fd >= 0)
        (void)close(fd);
}

/* ---- a command ---- */

static void start(struct sensor *sensor, double boot_s)
{
    const struct child_plan plan = {.output = true, .until_s = boot_s + COMMAND_LIMIT_S};

    sensor->length = 0;
    if (*sensor->forbidden)
        (void)fault_set(&sensor->trouble, "not run: %s", sensor->forbidden);
    else
        (void)child_start(&sensor->child, &sensor->source.command, &plan, &sensor->trouble);
}

void sensor_on_readable(struct sensor *sensor)
{
    enum { READS_MOST = 16 }; /* endless output must not stall the loop */
    ssize_t got = 1;

    for (int i = 0; i < READS_MOST && got > 0 && sensor->child.fd >= 0; i++)
        got = read_more(sensor, sensor->child.fd);
    if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR))
        child_close(&sensor->child);
}

static void end(struct sensor *sensor, double boot_s)
{
    int status = sensor->child.status;

    child_close(&sensor->child);
    if (sensor->child.late)
        (void)fault_set(&sensor->trouble, "killed: still running after %g s", COMMAND_LIMIT_S);
    else if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
        (void)fault_set(&sensor->trouble, "ended with status %d", WIFEXITED(status) ? WEXITSTATUS(status) : -1);
    else
        take_reading(sensor, boot_s);
}

void sensor_tick(struct sensor *sensor, double utc, double boot_s)
{
    if (sensor->child.pid > 0 && child_tick(&sensor->child, boot_s)) {
        /* Its last output may still be in the pipe. */
        sensor_on_readable(sensor);
        end(sensor, boot_s);
    }
    if (boot_s < sensor->due_s || sensor->child.pid > 0)
        return;
    sensor->due_s = boot_s + sensor->source.every_s;
    if (*sensor->source.file)
        read_file(sensor, utc, boot_s);
    else
        start(sensor, boot_s);
}

void sensor_fill(const struct sensor *sensor, double boot_s, struct readings *readings)
{
    readings->air_age_s = boot_s - sensor->read_s;
    readings->temperature_c = sensor->temperature_c;
    readings->humidity_percent = sensor->humidity_percent;
    (void)snprintf(readings->air_trouble, sizeof readings->air_trouble, "%.*s",
                   READINGS_TROUBLE - 1, sensor->trouble.text);
}
