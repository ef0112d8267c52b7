/* The laptop's battery against made trees of the kernel's power supplies. Names and units of the
 * files: Linux, Documentation/ABI/testing/sysfs-class-power. */
#include "near.h"
#include "open_files.h"
#include "scratch.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/laptop.h>
#include <moonstand/readings.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char root[SCRATCH];

static void write_file(const char *supply, const char *name, const char *text)
{
    char path[512];
    FILE *file;

    (void)snprintf(path, sizeof path, "%s/%s", root, supply);
    (void)mkdir(path, 0700);
    (void)snprintf(path, sizeof path, "%s/%s/%s", root, supply, name);
    file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

/* `files`: pairs of name and content, up to a null. */
static void make_supply(const char *supply, const char *const *files)
{
    for (; *files; files += 2) {
        char text[64];

        (void)snprintf(text, sizeof text, "%s\n", files[1]);
        write_file(supply, files[0], text);
    }
}
#define SUPPLY(name, ...) make_supply(name, (const char *const[]){__VA_ARGS__, NULL})

static int make_root(void **state)
{
    (void)state;
    return scratch_make(root) ? 0 : -1;
}

static int remove_root(void **state)
{
    (void)state;
    return scratch_remove(root);
}

static struct readings read_now(void)
{
    struct battery_device battery = {.root = root};
    struct readings readings;

    readings_none(&readings);
    battery_tick(&battery, 100, &readings);
    return readings;
}

static void nothing_is_known_without_a_battery(void **state)
{
    struct battery_device nowhere = {.root = "/nonexistent"};
    struct readings readings = read_now();

    (void)state;
    assert_true(isnan(readings.battery_percent) && isnan(readings.battery_left_s));
    assert_false(readings.battery_discharging);
    SUPPLY("AC", "type", "Mains", "online", "1");
    SUPPLY("mouse", "type", "Battery", "scope", "Device", "status", "Discharging", "capacity", "7");
    SUPPLY("BAT1", "type", "Battery", "present", "0", "status", "Unknown");
    readings = read_now();
    assert_true(isnan(readings.battery_percent) && isnan(readings.battery_left_s));
    assert_false(readings.battery_discharging);

    readings.battery_percent = readings.battery_left_s = 7;
    battery_tick(&nowhere, 0, &readings);
    assert_true(isnan(readings.battery_percent) && isnan(readings.battery_left_s));
}

/* 30 Wh of 50 Wh at 12 W: 60 %, two and a half hours. */
static void energy_over_power_is_the_time_left(void **state)
{
    struct readings readings;

    (void)state;
    SUPPLY("BAT0", "type", "Battery", "present", "1", "status", "Discharging", "energy_now",
           "30000000", "energy_full", "50000000", "power_now", "12000000", "capacity", "61");
    readings = read_now();
    assert_near(readings.battery_percent, 60, 1e-9);
    assert_near(readings.battery_left_s, 9000, 1e-6);
    assert_true(readings.battery_discharging);
}

/* 2 Ah of 4 Ah at 0.8 A, which this driver shows as negative: two and a half hours. */
static void charge_over_current_is_the_time_left(void **state)
{
    struct readings readings;

    (void)state;
    SUPPLY("BAT0", "type", "Battery", "status", "Discharging", "charge_now", "2000000",
           "charge_full", "4000000", "current_now", "-800000", "voltage_now", "11400000");
    readings = read_now();
    assert_near(readings.battery_percent, 50, 1e-9);
    assert_near(readings.battery_left_s, 9000, 1e-6);
    assert_true(readings.battery_discharging);
}

/* One that tells energy and one that tells charge (2 Ah at 10 V: 20 Wh); the second rests. */
static void several_batteries_count_as_one(void **state)
{
    struct readings readings;

    (void)state;
    SUPPLY("BAT0", "type", "Battery", "status", "Discharging", "energy_now", "10000000",
           "energy_full", "20000000", "power_now", "10000000");
    SUPPLY("BAT1", "type", "Battery", "status", "Unknown", "charge_now", "2000000", "charge_full",
           "2000000", "current_now", "0", "voltage_now", "10000000");
    readings = read_now();
    assert_near(readings.battery_percent, 75, 1e-9);
    assert_near(readings.battery_left_s, 10800, 1e-6);
    assert_true(readings.battery_discharging);

    write_file("BAT1", "charge_now", "???\n");
    readings = read_now();
    assert_true(isnan(readings.battery_percent) && isnan(readings.battery_left_s));
    assert_true(readings.battery_discharging);
}

static void on_mains_there_is_no_time_left(void **state)
{
    static const char *const kinds[] = {"Charging", "Full", "Not charging"};

    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        struct readings readings;

        SUPPLY("BAT0", "type", "Battery", "status", kinds[i], "energy_now", "51000000",
               "energy_full", "50000000", "power_now", "9000000");
        readings = read_now();
        assert_near(readings.battery_percent, 100, 0);
        assert_true(isnan(readings.battery_left_s));
        assert_false(readings.battery_discharging);
    }
}

static void a_percentage_alone_tells_no_time(void **state)
{
    struct readings readings;

    (void)state;
    SUPPLY("BAT0", "type", "Battery", "status", "Discharging", "capacity", "83");
    readings = read_now();
    assert_near(readings.battery_percent, 83, 0);
    assert_true(isnan(readings.battery_left_s));
    assert_true(readings.battery_discharging);
}

static void junk_is_unknown(void **state)
{
    static const char *const junk[] = {
        "nan",  "inf",      "",
        "\n",   "12 34",    "0x10",
        "1e99", "\xff\xfe", "99999999999999999999999999999999999999999999999999"};

    (void)state;
    for (size_t i = 0; i < sizeof junk / sizeof junk[0]; i++) {
        struct readings readings;

        SUPPLY("BAT0", "type", "Battery", "status", "Discharging", "energy_full", "50000000",
               "capacity", "101");
        write_file("BAT0", "energy_now", junk[i]);
        write_file("BAT0", "power_now", "10000000\n");
        readings = read_now();
        assert_true(isnan(readings.battery_percent) && isnan(readings.battery_left_s));

        write_file("BAT0", "energy_now", "40000000\n");
        write_file("BAT0", "power_now", junk[i]);
        readings = read_now();
        assert_near(readings.battery_percent, 80, 1e-9);
        assert_true(isnan(readings.battery_left_s));
    }
    write_file("BAT0", "power_now", "0\n");
    assert_true(isnan(read_now().battery_left_s));
}

static void it_is_read_once_a_minute(void **state)
{
    struct battery_device battery = {.root = root};
    struct readings readings;

    (void)state;
    SUPPLY("BAT0", "type", "Battery", "status", "Discharging", "capacity", "50");
    battery_tick(&battery, 1000, &readings);
    write_file("BAT0", "capacity", "40\n");
    battery_tick(&battery, 1059.9, &readings);
    assert_near(readings.battery_percent, 50, 0);
    battery_tick(&battery, 1060, &readings);
    assert_near(readings.battery_percent, 40, 0);
}

int main(void)
{
#define IN_A_TREE(test) cmocka_unit_test_setup_teardown(test, make_root, remove_root)
    const struct CMUnitTest tests[] = {
        IN_A_TREE(nothing_is_known_without_a_battery),
        IN_A_TREE(energy_over_power_is_the_time_left),
        IN_A_TREE(charge_over_current_is_the_time_left),
        IN_A_TREE(several_batteries_count_as_one),
        IN_A_TREE(on_mains_there_is_no_time_left),
        IN_A_TREE(a_percentage_alone_tells_no_time),
        IN_A_TREE(junk_is_unknown),
        IN_A_TREE(it_is_read_once_a_minute),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
