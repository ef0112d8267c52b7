/* devices: the laptop's battery, and how well the kernel's clock is synchronised. */
#ifndef MOONSTAND_LAPTOP_H
#define MOONSTAND_LAPTOP_H

#include <stdbool.h>

struct readings;

#define BATTERY_ROOT "/sys/class/power_supply"

/* The laptop's batteries, read once a minute. */
struct battery_device {
    char root[256];
    double due_s;
    double percent, left_s; /* NaN: unknown */
    bool discharging;
};

/* `root`: folder with one folder per power supply; BATTERY_ROOT, or a test's. */
void battery_open(struct battery_device *battery, const char *root);
void battery_tick(struct battery_device *battery, double boot_s);
/* Writes battery_percent, battery_left_s and battery_discharging. Several batteries count as one;
 * if one of them cannot be read, the sum is unknown. battery_left_s is the remaining energy over
 * the present draw; unknown on mains or if the kernel reports no draw. Batteries of mice and the
 * like do not count. */
void battery_fill(const struct battery_device *battery, struct readings *readings);

struct kernel_clock {
    double due_s;
    int synchronised; /* 1 yes, 0 no, -1 unknown */
    double error_s;   /* NaN: unknown */
};

void kernel_clock_open(struct kernel_clock *clock);
/* Asks the kernel once a minute (adjtimex). */
void kernel_clock_tick(struct kernel_clock *clock, double boot_s);
/* Writes clock_synchronised and clock_error_s. The error is unknown while the clock is not
 * synchronised, or if the kernel's estimate is zero (the time daemon gives none). */
void kernel_clock_fill(const struct kernel_clock *clock, struct readings *readings);

#endif
