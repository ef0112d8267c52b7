/* devices: temperature and humidity from the user's file or command. */
#ifndef MOONSTAND_SENSOR_H
#define MOONSTAND_SENSOR_H

#include <moonstand/fault.h>
#include <moonstand/program.h>
#include <moonstand/readings.h>
#include <moonstand/setup.h>

enum { SENSOR_OUTPUT = 128 };
struct sensor {
    struct air_sensor source;
    char forbidden[READINGS_TROUBLE]; /* why a command must not run; empty: it may */
    double due_s;
    struct child child;
    char output[SENSOR_OUTPUT]; /* text of the file, or what the command has printed so far */
    size_t length;
    double read_s; /* boot clock of the last good reading; NaN: none yet */
    double temperature_c, humidity_percent;
    struct fault trouble; /* of the last try; empty: good */
};

/* The source must give two numbers and nothing else: temperature (-45 to 60 C) and relative
 * humidity (1 to 100 %). Anything else (junk, NaN, more text, a command that fails or hangs) sets
 * `trouble`, and the last good reading ages. A file's reading dates from the last write; one older
 * than AIR_FRESH_S is refused. If `forbidden` is not empty, no command runs and `trouble` names
 * why. */
void sensor_open(struct sensor *sensor, const struct air_sensor *source, const char *forbidden);
void sensor_close(struct sensor *sensor);
int sensor_fd(const struct sensor *sensor);
void sensor_on_readable(struct sensor *sensor);
/* `utc`: the machine's own wall clock. */
void sensor_tick(struct sensor *sensor, double utc, double boot_s);
/* Writes air_age_s, temperature_c, humidity_percent and air_trouble. */
void sensor_fill(const struct sensor *sensor, double boot_s, struct readings *readings);

#endif
