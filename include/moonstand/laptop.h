/* devices: the laptop's battery and the kernel's word on its clock. */
#ifndef MOONSTAND_LAPTOP_H
#define MOONSTAND_LAPTOP_H

#include <stdbool.h>

struct readings;

#define BATTERY_ROOT "/sys/class/power_supply"

/* The public face of the kernel's power supplies: read once a minute, left alone in between. */
struct battery_device {
    char root[256];
    double due_s;
    double percent, left_s; /* NaN: unknown */
    bool discharging;
};

/* `root`: folder with one folder per supply, BATTERY_ROOT but for tests. */
void battery_open(struct battery_device *battery, const char *root);
double battery_next_deadline(const struct battery_device *battery);
void battery_on_deadline(struct battery_device *battery, double boot_s);
/* Writes battery_percent, battery_left_s and battery_discharging. Several batteries count as one;
 * where one of them cannot be read, the sum is unknown. battery_left_s is the charge left over the
 * present draw; unknown on mains and where the kernel tells no draw. Batteries of mice and the like
 * do not count. */
void battery_fill(const struct battery_device *battery, struct readings *readings);

struct kernel_clock {
    double due_s;
    int synchronised; /* 1 yes, 0 no, -1 unknown */
    double error_s;   /* NaN: unknown */
};

void kernel_clock_open(struct kernel_clock *clock);
double kernel_clock_next_deadline(const struct kernel_clock *clock);
/* Asks the kernel (adjtimex), once a minute. */
void kernel_clock_on_deadline(struct kernel_clock *clock, double boot_s);
/* Writes clock_synchronised and clock_error_s. The error is unknown while the clock is not
 * synchronised, and where whoever keeps it in step tells the kernel none (zero). */
void kernel_clock_fill(const struct kernel_clock *clock, struct readings *readings);

#endif
