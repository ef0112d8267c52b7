/* devices: the laptop's battery, and how well the kernel's clock is synchronised. */
#ifndef MOONSTAND_LAPTOP_H
#define MOONSTAND_LAPTOP_H

struct readings;

#define BATTERY_ROOT "/sys/class/power_supply"

/* The laptop's batteries, read once a minute. */
struct battery_device {
    const char *root; /* folder with one folder per power supply: BATTERY_ROOT, or a test's */
    double due_s;     /* 0: at once */
};

/* Writes battery_percent, battery_left_s and battery_discharging. Several batteries count as one;
 * if one of them cannot be read, the sum is unknown. battery_left_s is the remaining energy over
 * the present draw; unknown on mains or if the kernel reports no draw. Batteries of mice and the
 * like do not count. */
void battery_tick(struct battery_device *battery, double boot_s, struct readings *readings);

struct kernel_clock {
    double due_s; /* 0: at once */
};

/* Asks the kernel once a minute (adjtimex) and writes clock_synchronised and clock_error_s. The error
 * is unknown while the clock is not synchronised, or if the kernel's estimate is zero (the time daemon
 * gives none). */
void kernel_clock_tick(struct kernel_clock *clock, double boot_s, struct readings *readings);

#endif
