/* devices: temperature and humidity from a file or a command of the user's. */
#ifndef MOONSTAND_SENSOR_H
#define MOONSTAND_SENSOR_H

#include <moonstand/program.h>
#include <moonstand/readings.h>
#include <moonstand/setup.h>

enum { SENSOR_OUTPUT = 128 };
struct sensor {
    struct air_sensor source;
    char forbidden[READINGS_TROUBLE]; /* why a command is not run; empty: it may be */
    double due_s;
    bool running;
    struct child child;
    char output[SENSOR_OUTPUT]; /* the file's text, or what the command has printed so far */
    size_t length;
    double read_s; /* when the last good reading was true; NaN: none yet */
    double temperature_c, humidity_percent;
    char trouble[READINGS_TROUBLE]; /* of the last try; empty: good */
};

/* What it says must be two numbers, the temperature (-45 to 60 C) and the relative humidity (1 to
 * 100 %), and nothing else; anything else (junk, NaN, too much, a command that fails or hangs) is
 * refused with a message, and the last good reading grows old. A file counts from when it was last
 * written; one older than AIR_FRESH_S is refused. `forbidden`: why a command is not to be run,
 * which the trouble then says; empty: it may run. */
void sensor_open(struct sensor *sensor, const struct air_sensor *source, const char *forbidden);
void sensor_close(struct sensor *sensor);
int sensor_fd(const struct sensor *sensor);
void sensor_on_readable(struct sensor *sensor);
double sensor_next_deadline(const struct sensor *sensor);
/* `utc`: the machine's own wall clock. To be called once a second while a command runs. */
void sensor_on_deadline(struct sensor *sensor, double utc, double boot_s);
/* Writes air_age_s, temperature_c, humidity_percent and air_trouble. */
void sensor_fill(const struct sensor *sensor, double boot_s, struct readings *readings);

#endif
