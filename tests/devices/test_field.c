/* Sensor, card and hooks, with real programs, files and mounts: what they say, how they fail, and
 * that nothing of it waits. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"
#include "scratch.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <moonstand/card.h>
#include <moonstand/fault.h>
#include <moonstand/forecast.h>
#include <moonstand/hooks.h>
#include <moonstand/sensor.h>
#include <near.h>
#include <poll.h>
#include <sched.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static char folder[SCRATCH];

static int make_folder(void **state)
{
    (void)state;
    return scratch_make(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return remove(folder);
}

static const char *path_of(const char *name)
{
    static char path[96];

    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static double seconds(clockid_t clock)
{
    struct timespec now;

    (void)clock_gettime(clock, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static void wait_ms(int ms)
{
    (void)poll(NULL, 0, ms);
}

static struct user_command command_of(const char *const words[])
{
    struct user_command command = {0};

    while (words[command.count])
        assert_true(command_add(&command, words[command.count]));
    return command;
}

/* ---- sensor: a command ---- */

static struct air_sensor shell(const char *script)
{
    const char *const words[] = {"/bin/sh", "-c", script, NULL};

    return (struct air_sensor){.command = command_of(words), .every_s = 60};
}

/* Drives the sensor as the loop does until its command has ended; `boot_s` stands still. No call
 * may take long. */
static void drive(struct sensor *sensor, double boot_s)
{
    for (int i = 0; i < 2000; i++) {
        double from = seconds(CLOCK_MONOTONIC);

        sensor_tick(sensor, 0, boot_s);
        if (sensor_fd(sensor) >= 0)
            sensor_on_readable(sensor);
        assert_true(seconds(CLOCK_MONOTONIC) - from < 0.5);
        if (sensor->child.pid == 0)
            return;
        wait_ms(5);
    }
    fail_msg("the command did not end");
}

static struct readings readings_of(const struct sensor *sensor, double boot_s)
{
    struct readings readings;

    readings_none(&readings);
    sensor_fill(sensor, boot_s, &readings);
    return readings;
}

static void a_command_tells_the_air(void **state)
{
    struct air_sensor source = shell("echo -8.5 81");
    struct sensor sensor;
    struct readings readings;

    (void)state;
    sensor_open(&sensor, &source, "");
    drive(&sensor, 100);
    readings = readings_of(&sensor, 103);
    assert_string_equal(readings.air_trouble, "");
    assert_near(readings.temperature_c, -8.5, 1e-12);
    assert_near(readings.humidity_percent, 81, 1e-12);
    assert_near(readings.air_age_s, 3, 1e-9);
    /* Not again before its time. */
    sensor_tick(&sensor, 0, 159);
    assert_int_equal(sensor.child.pid, 0);
    sensor_tick(&sensor, 0, 160);
    assert_true(sensor.child.pid > 0);
    sensor_close(&sensor);
}

static const struct {
    const char *script, *trouble;
} bad[] = {
    {"echo junk", "expected temperature and humidity"},
    {"echo", "expected temperature and humidity"},
    {"true", "expected temperature and humidity"},
    {"echo nan 50", "'nan' is not a number"},
    {"echo -3 NaN", "'NaN' is not a number"},
    {"echo -3 inf", "'inf' is not a number"},
    {"echo 3", "expected temperature and humidity"},
    {"echo 3 50 7", "expected temperature and humidity, and no more"},
    {"echo 3 0", "0 is out of range"},
    {"echo 99 50", "99 is out of range"},
    {"printf '3 50\\0 x'", "gives more than two numbers"},
    {"head -c 100000 /dev/zero | tr '\\0' x", "gives more than two numbers"},
    {"echo 3 50; exit 4", "ended with status 4"},
    {"kill -9 $$", "ended with status -1"},
};

/* The last good reading stays, with its age. */
static void what_is_no_reading_is_refused_with_a_message(void **state)
{
    struct air_sensor good = shell("echo 1 50");
    struct sensor sensor;

    (void)state;
    sensor_open(&sensor, &good, "");
    drive(&sensor, 0);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double boot_s = 60 * (double)(i + 1);
        struct readings readings;

        sensor.source = shell(bad[i].script);
        drive(&sensor, boot_s);
        readings = readings_of(&sensor, boot_s);
        if (!strstr(readings.air_trouble, bad[i].trouble))
            fail_msg("%s\n  said:   %s\n  wanted: %s", bad[i].script, readings.air_trouble,
                     bad[i].trouble);
        assert_near(readings.temperature_c, 1, 1e-12);
        assert_near(readings.air_age_s, boot_s, 1e-9);
    }
    sensor_close(&sensor);
}

static void a_program_that_is_not_there(void **state)
{
    const char *const words[] = {"/nowhere/sensor", NULL};
    struct air_sensor source = {.command = command_of(words), .every_s = 60};
    struct sensor sensor;

    (void)state;
    sensor_open(&sensor, &source, "");
    drive(&sensor, 0);
    assert_non_null(strstr(sensor.trouble.text, "cannot run '/nowhere/sensor'"));
    assert_true(isnan(readings_of(&sensor, 0).air_age_s));
}

static void a_command_of_anybodys_is_not_run(void **state)
{
    char script[128];
    struct air_sensor source;
    struct sensor sensor;

    (void)state;
    (void)snprintf(script, sizeof script, "touch %s", path_of("ran"));
    source = shell(script);
    sensor_open(&sensor, &source, "/srv/shared can be changed by other users");
    drive(&sensor, 0);
    wait_ms(100);
    assert_int_equal(access(path_of("ran"), F_OK), -1);
    assert_string_equal(sensor.trouble.text, "not run: /srv/shared can be changed by other users");
}

static bool is_alive(const char *pid_file)
{
    FILE *file = fopen(pid_file, "r");
    int pid = 0;

    assert_non_null(file);
    assert_int_equal(fscanf(file, "%d", &pid), 1);
    (void)fclose(file);
    for (int i = 0; i < 100; i++) {
        if (kill(pid, 0) != 0)
            return false;
        /* An orphan that nobody has waited for yet is dead all the same. */
        char stat_path[32], line[128] = "";
        (void)snprintf(stat_path, sizeof stat_path, "/proc/%d/stat", pid);
        file = fopen(stat_path, "r");
        if (file) {
            (void)fgets(line, sizeof line, file);
            (void)fclose(file);
        }
        if (strstr(line, ") Z"))
            return false;
        wait_ms(10);
    }
    return true;
}

/* The room is one for a reading and blanks; a byte more may hide a third number. */
static void output_that_just_fits_is_a_reading(void **state)
{
    struct air_sensor source = shell("printf '3 50%122s' ''");
    struct sensor sensor;

    (void)state;
    sensor_open(&sensor, &source, "");
    drive(&sensor, 0);
    assert_string_equal(sensor.trouble.text, "");
    assert_near(sensor.temperature_c, 3, 1e-12);
    sensor.source = shell("printf '4 50%123s' ''");
    drive(&sensor, 60);
    assert_string_equal(sensor.trouble.text, "gives more than two numbers");
    assert_near(sensor.temperature_c, 3, 1e-12);
    sensor_close(&sensor);
}

/* What can never be read is not asked again at every turn of the loop; a folder is such a thing. */
static void output_that_cannot_be_read_is_let_go(void **state)
{
    struct air_sensor source = shell("echo 3 50");
    struct sensor sensor;

    (void)state;
    sensor_open(&sensor, &source, "");
    sensor.child.fd = open("/", O_RDONLY | O_CLOEXEC);
    assert_true(sensor_fd(&sensor) >= 0);
    sensor_on_readable(&sensor);
    assert_int_equal(sensor_fd(&sensor), -1);
    sensor_close(&sensor);
}

/* It and what it has started are killed after the limit; the loop never waits for them. */
static void a_command_that_hangs_is_killed_with_its_children(void **state)
{
    char script[160];
    struct air_sensor source;
    struct sensor sensor;

    (void)state;
    (void)snprintf(script, sizeof script, "sleep 1000 & echo $! > %s; echo 3 50; wait",
                   path_of("pid"));
    source = shell(script);
    sensor_open(&sensor, &source, "");
    for (int i = 0; i < 200 && sensor.length == 0; i++, wait_ms(10)) {
        sensor_tick(&sensor, 0, 0);
        sensor_on_readable(&sensor);
    }
    sensor_tick(&sensor, 0, COMMAND_LIMIT_S - 0.1);
    assert_true(sensor.child.pid > 0);
    drive(&sensor, COMMAND_LIMIT_S);
    assert_string_equal(sensor.trouble.text, "killed: still running after 10 s");
    assert_false(is_alive(path_of("pid")));
    (void)remove(path_of("pid"));
    /* And tried again in its time. */
    sensor.source = shell("echo 2 60");
    drive(&sensor, 60);
    assert_string_equal(sensor.trouble.text, "");
    assert_near(sensor.temperature_c, 2, 1e-12);
}

/* The signals that the loop has taken for itself are the program's own again: the kernel is asked
 * what the command blocks and ignores. No shell, which clears some of it by itself. */
static void a_command_has_the_signals_of_any_program(void **state)
{
    static const int ignored[] = {SIGPIPE, SIGTSTP, SIGUSR1, SIGXFSZ};
    enum { IGNORED = sizeof ignored / sizeof *ignored };
    static const char program[] = "BEGIN { while ((getline line <\"/proc/self/status\") > 0)"
                                  " if (line ~ /^Sig(Blk|Ign):/) print line >ARGV[1];"
                                  " print \"4 50\" }";
    const char *const words[] = {"awk", program, path_of("signals"), NULL};
    struct air_sensor source = {.command = command_of(words), .every_s = 60};
    const struct sigaction ignore = {.sa_handler = SIG_IGN};
    struct sigaction handled[IGNORED];
    char lines[128] = "";
    struct sensor sensor;
    sigset_t blocked, before;
    FILE *file;

    (void)state;
    (void)sigemptyset(&blocked);
    (void)sigaddset(&blocked, SIGTERM);
    (void)sigaddset(&blocked, SIGWINCH);
    (void)sigprocmask(SIG_BLOCK, &blocked, &before);
    for (int i = 0; i < IGNORED; i++)
        (void)sigaction(ignored[i], &ignore, &handled[i]);
    sensor_open(&sensor, &source, "");
    drive(&sensor, 0);
    for (int i = 0; i < IGNORED; i++)
        (void)sigaction(ignored[i], &handled[i], NULL);
    (void)sigprocmask(SIG_SETMASK, &before, NULL);
    assert_string_equal(sensor.trouble.text, "");
    file = fopen(path_of("signals"), "r");
    assert_non_null(file);
    (void)fread(lines, 1, sizeof lines - 1, file);
    (void)fclose(file);
    (void)remove(path_of("signals"));
    unsigned long long masks[2] = {~0ULL, ~0ULL};
    assert_int_equal(sscanf(lines, "SigBlk: %llx SigIgn: %llx", &masks[0], &masks[1]), 2);
    assert_int_equal(masks[0], 0);
    /* Signals 32 and 33 are the C library's own: no program can set them. */
    assert_int_equal(masks[1] & ~(3ULL << 31), 0);
}

/* ---- sensor: a file ---- */

static void a_file_tells_the_air_until_it_is_old(void **state)
{
    struct air_sensor source = {.every_s = 60};
    struct sensor sensor;
    double now = seconds(CLOCK_REALTIME);

    (void)state;
    (void)snprintf(source.file, sizeof source.file, "%s", path_of("air"));
    sensor_open(&sensor, &source, "");
    sensor_tick(&sensor, now, 0);
    assert_string_equal(sensor.trouble.text, "No such file or directory");
    write_file(path_of("air"), "-12.25,77\n");
    sensor_tick(&sensor, seconds(CLOCK_REALTIME) + 100, 60);
    assert_string_equal(sensor.trouble.text, "");
    assert_near(sensor.temperature_c, -12.25, 1e-12);
    assert_near(readings_of(&sensor, 60).air_age_s, 100, 2);
    sensor_tick(&sensor, now + AIR_FRESH_S + 100, 120);
    assert_string_equal(sensor.trouble.text, "has not been updated for too long");
    write_file(path_of("air"), "-12.25,");
    sensor_tick(&sensor, now, 180);
    assert_non_null(strstr(sensor.trouble.text, "expected temperature and humidity"));
    (void)remove(path_of("air"));
}

/* A pipe that nobody writes would hold the loop for ever. */
static void what_is_no_file_does_not_hold_the_loop(void **state)
{
    struct air_sensor source = {.every_s = 60};
    struct sensor sensor;

    (void)state;
    (void)snprintf(source.file, sizeof source.file, "%s", path_of("pipe"));
    assert_int_equal(mkfifo(source.file, 0600), 0);
    sensor_open(&sensor, &source, "");
    sensor_tick(&sensor, 0, 0);
    assert_string_equal(sensor.trouble.text, "is not a regular file");
    (void)remove(source.file);
}

static void nothing_is_done_where_nothing_is_named(void **state)
{
    struct air_sensor source = {.every_s = 60};
    struct sensor sensor;

    (void)state;
    sensor_open(&sensor, &source, "");
    sensor_tick(&sensor, 0, 1e9);
    assert_int_equal(sensor_fd(&sensor), -1);
    assert_string_equal(readings_of(&sensor, 0).air_trouble, "");
}

/* ---- card ---- */

/* A file system that hangs: the call never returns. */
static bool hangs;

static struct readings card_says(struct card_device *card, double boot_s)
{
    struct readings readings;

    readings_none(&readings);
    card_tick(card, boot_s);
    /* On a busy machine an answer comes late. */
    for (int i = 0; i < 100 && card->pid > 0 && !hangs; i++)
        card_tick(card, boot_s);
    card_fill(card, 1, &readings);
    return readings;
}

int statvfs(const char *path, struct statvfs *space)
{
    static int (*real)(const char *, struct statvfs *);

    while (hangs)
        (void)pause();
    if (!real)
        *(void **)&real = dlsym(RTLD_NEXT, "statvfs");
    return real(path, space);
}

/* The loop goes on; after five seconds the card is absent, and there again when it answers. */
static void a_card_that_hangs_holds_nobody_up(void **state)
{
    struct card_device card;
    struct readings readings;
    double start = seconds(CLOCK_MONOTONIC);
    pid_t asker;

    (void)state;
    (void)alarm(60);
    card_open(&card, "/proc", folder); /* a file system of its own on every machine */
    readings = card_says(&card, 0);
    assert_false(readings.card_absent[1]);
    hangs = true;
    for (int i = 10; i < 15; i++) {
        readings = card_says(&card, i);
        assert_false(readings.card_absent[1]);
    }
    asker = card.pid;
    assert_true(asker > 0);
    assert_true(card_says(&card, 15).card_absent[1]);
    assert_true(card_says(&card, 20).card_absent[1]);
    assert_true(seconds(CLOCK_MONOTONIC) - start < 5);
    hangs = false;
    for (int i = 30; i < 330 && card_says(&card, i).card_absent[1]; i += 10)
        wait_ms(20);
    assert_false(card_says(&card, 400).card_absent[1]);
    assert_int_equal(kill(asker, 0), -1); /* and nothing is left of the one that hung */
    hangs = true;
    (void)card_says(&card, 500);
    asker = card.pid;
    assert_true(asker > 0);
    card_close(&card);
    for (int i = 0; i < 200 && waitpid(asker, NULL, WNOHANG) == 0; i++)
        wait_ms(10);
    assert_int_equal(kill(asker, 0), -1);
    hangs = false;
    (void)alarm(0);
}

/* A filesystem of 4 MiB is mounted, filled by half, unmounted and mounted again; the folder that it
 * is mounted on stays and is no card. In a mount namespace of its own: needs root. */
static void a_card_is_pulled_and_put_back(void **state)
{
    struct card_device card;
    struct readings readings;
    char path[96];
    double empty;

    (void)state;
    if (geteuid() != 0 || unshare(CLONE_NEWNS) != 0 ||
        mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) != 0)
        skip();
    (void)snprintf(path, sizeof path, "%s", path_of("card"));
    assert_int_equal(mkdir(path, 0700), 0);
    card_open(&card, path, folder);
    assert_true(card_says(&card, 0).card_absent[1]);
    if (mount("none", path, "tmpfs", 0, "size=4m") != 0)
        skip();
    readings = card_says(&card, 9.9);
    assert_true(readings.card_absent[1]);
    readings = card_says(&card, 10);
    assert_false(readings.card_absent[1]);
    assert_false(readings.card_absent[0]);
    empty = readings.card_free_bytes[1];
    assert_near(empty, 4 << 20, 1 << 16);
    {
        static char half[2 << 20];
        char file[128];
        FILE *out;

        (void)snprintf(file, sizeof file, "%s/frame.raw", path);
        out = fopen(file, "w");
        assert_non_null(out);
        assert_int_equal(fwrite(half, 1, sizeof half, out), sizeof half);
        assert_int_equal(fclose(out), 0);
    }
    readings = card_says(&card, 20);
    assert_near(empty - readings.card_free_bytes[1], 2 << 20, 1 << 13);

    assert_int_equal(umount(path), 0);
    readings = card_says(&card, 30);
    assert_true(readings.card_absent[1] && isnan(readings.card_free_bytes[1]));
    assert_int_equal(rmdir(path), 0);
    assert_true(card_says(&card, 40).card_absent[1]);

    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(mount("none", path, "tmpfs", 0, "size=4m"), 0);
    readings = card_says(&card, 50);
    assert_near(readings.card_free_bytes[1], empty, 1 << 13);
    assert_int_equal(umount(path), 0);
    assert_int_equal(rmdir(path), 0);
}

static void the_machines_own_disk_is_no_card(void **state)
{
    struct card_device card;

    (void)state;
    card_open(&card, "/usr", folder);
    assert_true(card_says(&card, 0).card_absent[1]);
    card_open(&card, folder, folder);
    assert_true(card_says(&card, 0).card_absent[1]);
    card_open(&card, "", folder);
    assert_false(card_says(&card, 0).card_absent[1]);
    assert_int_equal(card.pid, 0);
}

/* ---- hooks ---- */

static void run_hook(struct hooks *hooks, const char *script, const struct hook_facts *facts,
                     int wanted)
{
    const char *const words[] = {"/bin/sh", "-c", script, NULL};
    struct user_command command = command_of(words);
    struct fault fault;

    assert_int_equal(hooks_run(hooks, &command, facts, 0, &fault), wanted);
    if (wanted != 0)
        assert_non_null(strstr(fault.text, "8 hooks are still running"));
}

static void wait_for(const char *path)
{
    for (int i = 0; i < 500 && access(path, F_OK) != 0; i++)
        wait_ms(10);
    assert_int_equal(access(path, F_OK), 0);
}

/* As when the program was itself started by a hook: a shell would take the last of two. */
static void inherited_facts_are_left_out(void **state)
{
    static const struct hook_facts facts = {HOOK_CONTACT, 1861833600, "U1", "", false};
    struct hooks hooks = {0};
    char script[512], lines[512] = "";
    FILE *file;

    (void)state;
    assert_int_equal(setenv("MOONSTAND_WHAT", "old", 1), 0);
    assert_int_equal(setenv("MOONSTAND_OTHER", "old", 1), 0);
    assert_int_equal(setenv("MOONLIGHT", "kept", 1), 0);
    (void)snprintf(script, sizeof script,
                   "tr '\\0' '\\n' </proc/$$/environ | grep MOON | LC_ALL=C sort >%s.new; "
                   "echo \"shell: $MOONSTAND_WHAT\" >>%s.new; mv %s.new %s",
                   path_of("told"), path_of("told"), path_of("told"), path_of("told"));
    run_hook(&hooks, script, &facts, 0);
    wait_for(path_of("told"));
    file = fopen(path_of("told"), "r");
    assert_non_null(file);
    (void)fread(lines, 1, sizeof lines - 1, file);
    (void)fclose(file);
    (void)remove(path_of("told"));
    assert_string_equal(lines, "MOONLIGHT=kept\n"
                               "MOONSTAND_AT=2028-12-31T00:00:00Z\n"
                               "MOONSTAND_EVENT=contact\n"
                               "MOONSTAND_REHEARSAL=0\n"
                               "MOONSTAND_RIG=\n"
                               "MOONSTAND_WHAT=U1\n"
                               "shell: U1\n");
    (void)unsetenv("MOONSTAND_WHAT");
    (void)unsetenv("MOONSTAND_OTHER");
    (void)unsetenv("MOONLIGHT");
    hooks_close(&hooks);
}

/* What it prints goes nowhere, but it can print, and has no input to wait for. */
static void a_hook_may_speak(void **state)
{
    static const struct hook_facts facts = {HOOK_CONTACT, 1861833600, "U1", "", false};
    struct hooks hooks = {0};
    char script[256];

    (void)state;
    (void)snprintf(script, sizeof script, "echo out && echo error >&2 && ! read line && : >%s", path_of("spoke"));
    run_hook(&hooks, script, &facts, 0);
    wait_for(path_of("spoke"));
    (void)remove(path_of("spoke"));
    hooks_close(&hooks);
}

static void a_hook_is_told_the_facts_and_shows_nothing(void **state)
{
    static const struct hook_facts facts = {HOOK_ALARM, 1861833600, "re-aim of long; $(x)", "long",
                                            true};
    struct hooks hooks = {0};
    char script[512], line[256] = "";
    FILE *file;

    (void)state;
    (void)snprintf(script, sizeof script,
                   "echo seen on the screen; echo \"$MOONSTAND_EVENT|$MOONSTAND_AT|$MOONSTAND_WHAT"
                   "|$MOONSTAND_RIG|$MOONSTAND_REHEARSAL\" > %s.part; mv %s.part %s",
                   path_of("facts"), path_of("facts"), path_of("facts"));
    run_hook(&hooks, script, &facts, 0);
    wait_for(path_of("facts"));
    file = fopen(path_of("facts"), "r");
    assert_non_null(file);
    assert_non_null(fgets(line, sizeof line, file));
    (void)fclose(file);
    assert_string_equal(line, "alarm|2028-12-31T00:00:00Z|re-aim of long; $(x)|long|1\n");
    (void)remove(path_of("facts"));
    hooks_close(&hooks);
}

/* ---- the voice ---- */

static void say_to(struct hooks *hooks, const char *script, const char *lines, double boot_s)
{
    const char *const words[] = {"/bin/sh", "-c", script, NULL};
    struct user_command command = command_of(words);
    struct fault fault = {""};

    if (hooks_say(hooks, &command, lines, boot_s, &fault) != 0)
        fail_msg("%s", fault.text);
}

static bool falls_silent(struct hooks *hooks)
{
    for (int i = 0; i < 600 && hooks_speak(hooks); i++)
        wait_ms(5);
    return !hooks_speak(hooks);
}

/* Every byte of what it is to say, in order, and then the end. */
static void a_voice_is_given_its_lines(void **state)
{
    static char lines[20000], heard[sizeof lines + 1];
    struct hooks hooks = {0};
    char script[160];
    size_t length = 0;
    FILE *in;

    (void)state;
    for (int i = 0; length < sizeof lines - 64; i++)
        length += (size_t)snprintf(lines + length, 64, "%d: long, 1/60 s at ISO 400\n", i);
    (void)snprintf(script, sizeof script, "cat >%s", path_of("heard"));
    assert_false(hooks_speak(&hooks));
    say_to(&hooks, script, lines, 0);
    assert_true(falls_silent(&hooks));
    in = fopen(path_of("heard"), "r");
    assert_non_null(in);
    assert_int_equal(fread(heard, 1, sizeof heard, in), length);
    (void)fclose(in);
    assert_memory_equal(heard, lines, length);
    (void)remove(path_of("heard"));
    /* Nothing to say is nothing to wait for. */
    say_to(&hooks, "! read line", "", 0);
    assert_true(falls_silent(&hooks));
    assert_int_equal(hooks.voice.status, 0);
}

/* It may speak for a minute; the hooks beside it have their own time and their own room. */
static void a_voice_that_hangs_is_killed_after_its_minute(void **state)
{
    static const struct hook_facts facts = {HOOK_CONTACT, 0, "U1", "", false};
    struct hooks hooks = {0};

    (void)state;
    say_to(&hooks, "sleep 1000", "U2", 100);
    for (int i = 0; i < HOOKS_RUNNING; i++)
        run_hook(&hooks, "sleep 1000", &facts, 0);
    hooks_tick(&hooks, 100 + VOICE_LIMIT_S - 0.1);
    wait_ms(20);
    assert_true(hooks_speak(&hooks));
    assert_false(hooks.voice.late);
    hooks_tick(&hooks, 100 + VOICE_LIMIT_S);
    assert_true(hooks.voice.late);
    assert_true(falls_silent(&hooks));
    assert_true(WIFSIGNALED(hooks.voice.status));
    hooks_close(&hooks);
}

/* Closing ends the voice in the middle of its word, and every hook. */
static void nobody_speaks_after_the_end(void **state)
{
    static const struct hook_facts facts = {HOOK_CONTACT, 0, "U1", "", false};
    struct hooks hooks = {0};

    (void)state;
    say_to(&hooks, "sleep 1000", "U2", 0);
    for (int i = 0; i < HOOKS_RUNNING; i++)
        run_hook(&hooks, "sleep 1000", &facts, 0);
    hooks_close(&hooks);
    assert_true(falls_silent(&hooks));
    for (int i = 0; i < HOOKS_RUNNING; i++) {
        int status;

        assert_int_equal(waitpid(hooks.child[i].pid, &status, 0), hooks.child[i].pid);
        assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
    }
}

static void a_voice_that_is_not_there_is_named(void **state)
{
    const char *const words[] = {"/nowhere/voice", NULL};
    struct user_command command = command_of(words);
    struct hooks hooks = {0};
    struct fault fault;

    (void)state;
    assert_int_equal(hooks_say(&hooks, &command, "U2", 0, &fault), -1);
    assert_string_equal(fault.text, "cannot run '/nowhere/voice': No such file or directory");
    assert_false(hooks_speak(&hooks));
}

/* An environment may be larger than there is room for: the facts are there all the same. */
static void a_crowded_environment_leaves_room_for_the_facts(void **state)
{
    enum { MANY = 1200 };
    static const struct hook_facts facts = {HOOK_CONTACT, 1861833600, "U3", "", false};
    struct hooks hooks = {0};
    char script[420], name[16], line[64] = "";
    FILE *in;

    (void)state;
    for (int i = 0; i < MANY; i++) {
        (void)snprintf(name, sizeof name, "CROWD_%d", i);
        assert_int_equal(setenv(name, "x", 1), 0);
    }
    (void)snprintf(script, sizeof script, 
                   "echo $MOONSTAND_WHAT $(tr '\\0' '\\n' </proc/$$/environ | wc -l) >%s.new; "
                   "mv %s.new %s",
                   path_of("told"), path_of("told"), path_of("told"));
    run_hook(&hooks, script, &facts, 0);
    wait_for(path_of("told"));
    in = fopen(path_of("told"), "r");
    assert_non_null(in);
    assert_non_null(fgets(line, sizeof line, in));
    (void)fclose(in);
    (void)remove(path_of("told"));
    /* 1024 places, of which one ends the list. */
    assert_string_equal(line, "U3 1023\n");
    for (int i = 0; i < MANY; i++) {
        (void)snprintf(name, sizeof name, "CROWD_%d", i);
        (void)unsetenv(name);
    }
    hooks_close(&hooks);
}

/* ---- hooks that do not end ---- */

static bool is_any_running(const struct hooks *hooks)
{
    for (int i = 0; i < HOOKS_RUNNING; i++)
        if (hooks->child[i].pid > 0)
            return true;
    return false;
}

/* Eight at once and no more; each is killed after its limit, and there is room again. */
static void hooks_that_hang_are_bounded_and_killed(void **state)
{
    static const struct hook_facts facts = {HOOK_CONTACT, 0, "U1", "", false};
    struct hooks hooks = {0};

    (void)state;
    /* What earlier tests have killed and left. */
    for (int i = 0; i < 100 && waitpid(-1, NULL, WNOHANG) >= 0; i++)
        wait_ms(10);
    for (int i = 0; i < HOOKS_RUNNING; i++)
        run_hook(&hooks, "sleep 1000", &facts, 0);
    run_hook(&hooks, "true", &facts, -1);
    hooks_tick(&hooks, COMMAND_LIMIT_S - 0.1);
    run_hook(&hooks, "true", &facts, -1);
    for (int i = 0; i < 200 && is_any_running(&hooks); i++, wait_ms(5))
        hooks_tick(&hooks, COMMAND_LIMIT_S);
    assert_false(is_any_running(&hooks));
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
    assert_int_equal(errno, ECHILD);
    run_hook(&hooks, "true", &facts, 0);
    hooks_close(&hooks);
}

/* Nothing runs any more under that number; a process that nobody has waited for runs nothing. */
static bool is_over(int pid)
{
    char name[64], line[8];
    FILE *in;
    bool over;

    (void)snprintf(name, sizeof name, "/proc/%d/cmdline", pid);
    in = fopen(name, "r");
    over = !in || fread(line, 1, sizeof line, in) == 0;
    if (in)
        (void)fclose(in);
    return over;
}

/* The program is killed as no program can be asked before. */
static void a_kill_ends_what_a_hook_has_started(void **state)
{
    static const struct hook_facts facts = {HOOK_CONTACT, 0, "U1", "", false};
    char path[128], fresh[128], script[512];
    int pids[3] = {0};
    FILE *in;

    (void)state;
    (void)snprintf(path, sizeof path, "%s/started", folder);
    (void)snprintf(fresh, sizeof fresh, "%s/starting", folder);
    (void)snprintf(script, sizeof script,
                   "sleep 1000 & a=$!; sh -c 'sleep 1000; :' & echo $$ $a $! >%s; mv %s %s; wait",
                   fresh, fresh, path);
    pid_t program = fork();
    assert_true(program >= 0);
    if (program == 0) {
        static struct hooks hooks;
        run_hook(&hooks, script, &facts, 0);
        for (;;)
            (void)pause();
    }
    wait_for(path);
    in = fopen(path, "r");
    assert_non_null(in);
    assert_int_equal(fscanf(in, "%d %d %d", &pids[0], &pids[1], &pids[2]), 3);
    (void)fclose(in);
    for (int i = 0; i < 3; i++)
        assert_false(is_over(pids[i]));
    assert_int_equal(kill(program, SIGKILL), 0);
    assert_int_equal(waitpid(program, NULL, 0), program);
    for (int i = 0; i < 3; i++) {
        for (int tries = 0; tries < 400 && !is_over(pids[i]); tries++)
            wait_ms(5);
        if (!is_over(pids[i])) {
            (void)kill(pids[i], SIGKILL);
            fail_msg("process %d of the hook has outlived the program", i);
        }
    }
    assert_int_equal(unlink(path), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_command_tells_the_air),
        cmocka_unit_test(what_is_no_reading_is_refused_with_a_message),
        cmocka_unit_test(a_program_that_is_not_there),
        cmocka_unit_test(a_command_of_anybodys_is_not_run),
        cmocka_unit_test(output_that_just_fits_is_a_reading),
        cmocka_unit_test(output_that_cannot_be_read_is_let_go),
        cmocka_unit_test(a_command_that_hangs_is_killed_with_its_children),
        cmocka_unit_test(a_command_has_the_signals_of_any_program),
        cmocka_unit_test(a_file_tells_the_air_until_it_is_old),
        cmocka_unit_test(what_is_no_file_does_not_hold_the_loop),
        cmocka_unit_test(nothing_is_done_where_nothing_is_named),
        cmocka_unit_test(hooks_that_hang_are_bounded_and_killed),
        cmocka_unit_test(a_kill_ends_what_a_hook_has_started),
        cmocka_unit_test(inherited_facts_are_left_out),
        cmocka_unit_test(a_hook_may_speak),
        cmocka_unit_test(a_hook_is_told_the_facts_and_shows_nothing),
        cmocka_unit_test(a_voice_is_given_its_lines),
        cmocka_unit_test(a_voice_that_hangs_is_killed_after_its_minute),
        cmocka_unit_test(nobody_speaks_after_the_end),
        cmocka_unit_test(a_voice_that_is_not_there_is_named),
        cmocka_unit_test(a_crowded_environment_leaves_room_for_the_facts),
        cmocka_unit_test(the_machines_own_disk_is_no_card),
        /* Last: it leaves the mount namespace. */
        cmocka_unit_test(a_card_that_hangs_holds_nobody_up),
        cmocka_unit_test(a_card_is_pulled_and_put_back),
    };

    return RUN_AND_CLOSE_ALL(tests, make_folder, remove_folder);
}
