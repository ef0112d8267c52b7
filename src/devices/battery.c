#include <dirent.h>
#include <fcntl.h>
#include <math.h>
#include <moonstand/laptop.h>
#include <moonstand/readings.h>
#include <moonstand/text.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const double battery_interval_s = 60;

/* Sum of the batteries, in the kernel's units: micro-Wh and micro-W. */
struct charge {
    int count;
    double stored, full, draw; /* draw: 0 unless discharging */
    double percent;
    bool discharging;
};

/* Reads the first line of ROOT/SUPPLY/NAME; false if there is none. */
static bool read_line(int root, const char *supply, const char *name, char *out, size_t size)
{
    char path[300];

    (void)snprintf(path, sizeof path, "%s/%s", supply, name);
    int fd = openat(root, path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return false;
    ssize_t got = read(fd, out, size - 1);
    (void)close(fd);
    if (got <= 0)
        return false;
    out[got] = '\0';
    out[strcspn(out, "\n")] = '\0';
    return true;
}

static bool line_is(int root, const char *supply, const char *name, const char *wanted)
{
    char text[32];

    return read_line(root, supply, name, text, sizeof text) && strcmp(text, wanted) == 0;
}

/* NaN if the file is missing or holds anything but a number up to `highest`. Some drivers report
 * the draw as negative. */
static double read_number(int root, const char *supply, const char *name, double highest)
{
    char text[32];
    double value;

    if (!read_line(root, supply, name, text, sizeof text) ||
        parse_number(text, -highest, highest, &value, NULL) != 0)
        return NAN;
    return fabs(value);
}

/* An energy or power, given directly or as charge or current, times the present voltage. */
static double read_energy(int root, const char *supply, const char *energy, const char *charge)
{
    static const double highest = 1e12;
    double direct = read_number(root, supply, energy, highest);

    if (isfinite(direct))
        return direct;
    return read_number(root, supply, charge, highest) *
           (read_number(root, supply, "voltage_now", highest) / 1e6);
}

static bool is_battery(int root, const char *supply)
{
    return line_is(root, supply, "type", "Battery") && !line_is(root, supply, "scope", "Device") &&
           !line_is(root, supply, "present", "0");
}

static void add_battery(struct charge *sum, int root, const char *supply)
{
    sum->count++;
    sum->stored += read_energy(root, supply, "energy_now", "charge_now");
    sum->full += read_energy(root, supply, "energy_full", "charge_full");
    sum->percent += read_number(root, supply, "capacity", 100);
    if (line_is(root, supply, "status", "Discharging")) {
        sum->discharging = true;
        sum->draw += read_energy(root, supply, "power_now", "current_now");
    }
}

static struct charge read_batteries(const char *path)
{
    struct charge sum = {0};
    DIR *folder = opendir(path);

    if (!folder)
        return sum;
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;)
        if (entry->d_name[0] != '.' && is_battery(dirfd(folder), entry->d_name))
            add_battery(&sum, dirfd(folder), entry->d_name);
    (void)closedir(folder);
    return sum;
}

/* By energy if all of it is known, else the mean of what the batteries report. A worn battery may
 * hold more than its 'full'. */
static double percent_of(const struct charge *sum)
{
    double percent = sum->full > 0 ? 100 * sum->stored / sum->full : NAN;

    if (!isfinite(percent) && sum->count > 0)
        percent = sum->percent / sum->count;
    return percent > 100 ? 100 : percent;
}

void battery_tick(struct battery_device *battery, double boot_s, struct readings *readings)
{
    if (boot_s < battery->due_s)
        return;
    battery->due_s = boot_s + battery_interval_s;
    struct charge sum = read_batteries(battery->root);
    readings->battery_percent = percent_of(&sum);
    readings->battery_discharging = sum.discharging;
    readings->battery_left_s = sum.draw > 0 ? sum.stored / sum.draw * 3600 : NAN;
}
