/* The lock that keeps the laptop awake, with a script in the place of the system's program: how it is
 * asked, when it counts as held, what follows when it is refused, lost or missing. Time is an argument. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"
#include "scratch.h"

#include <moonstand/fault.h>
#include <moonstand/keep_awake.h>

#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* Until it is tried again after it was refused or lost: a choice, no source. */
#define AGAIN_S 300.0

static char folder[SCRATCH], path_before[4096];
static struct keep_awake keep;
static struct fault fault;

static const char *path_of(const char *name)
{
    static char path[96];

    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

/* A folder that the program is found in, and nothing else but what a shell needs. */
static int make_folder(void **state)
{
    char path[160];

    (void)state;
    (void)snprintf(path_before, sizeof path_before, "%s", getenv("PATH"));
    if (!scratch_make(folder))
        return -1;
    (void)snprintf(path, sizeof path, "%s:/usr/bin:/bin", folder);
    fault = (struct fault){""};
    return setenv("PATH", path, 1);
}

static int remove_folder(void **state)
{
    pid_t pid = keep.child.pid;

    (void)state;
    keep_awake_close(&keep);
    if (pid > 0)
        (void)waitpid(pid, NULL, 0);
    (void)unlink(path_of(KEEP_AWAKE_PROGRAM));
    (void)unlink(path_of("asked"));
    return setenv("PATH", path_before, 1) == 0 ? rmdir(folder) : -1;
}

/* Puts a script there under the program's name: whoever starts it finds all of it. */
static void put_program(const char *script)
{
    char fresh[96];
    FILE *out;

    (void)snprintf(fresh, sizeof fresh, "%s", path_of("fresh"));
    out = fopen(fresh, "w");
    assert_non_null(out);
    (void)fprintf(out, "#!/bin/sh\necho \"$#: $*\" >>%s\n%s\n", path_of("asked"), script);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(chmod(fresh, 0700), 0);
    assert_int_equal(rename(fresh, path_of(KEEP_AWAKE_PROGRAM)), 0);
}

/* How often it was started; the words of the last time. */
static int times_asked(char words[512])
{
    char line[512];
    FILE *in = fopen(path_of("asked"), "r");
    int count = 0;

    while (in && fgets(line, sizeof line, in)) {
        (void)snprintf(words, 512, "%s", line);
        count++;
    }
    if (in)
        (void)fclose(in);
    return count;
}

/* Ticks at one instant until the state is this one, three seconds at most. */
static int ticks_until(enum awake wanted, double boot_s)
{
    int result = keep_awake_tick(&keep, boot_s, &fault);

    for (int i = 0; i < 600 && keep.state != wanted; i++) {
        (void)poll(NULL, 0, 5);
        result = keep_awake_tick(&keep, boot_s, &fault);
    }
    assert_int_equal(keep.state, wanted);
    return result;
}

static void the_lock_is_held_for_the_whole_night(void **state)
{
    char words[512];

    (void)state;
    put_program("echo held; exec sleep 1000");
    keep_awake_open(&keep, true);
    assert_int_equal(keep.state, AWAKE_UNKNOWN);
    assert_int_equal(ticks_until(AWAKE_HELD, 0), 0);
    for (double boot_s = 1; boot_s < 40000; boot_s += 100)
        assert_int_equal(keep_awake_tick(&keep, boot_s, &fault), 0);
    assert_int_equal(keep.state, AWAKE_HELD);
    assert_int_equal(times_asked(words), 1);
    /* systemd-inhibit(1): what, who, why, how, and the command that the lock is held for. */
    assert_string_equal(words, "7: --what=sleep:idle:handle-lid-switch --who=Moonstand "
                               "--why=A lunar eclipse is being photographed --mode=block "
                               "sh -c echo held; exec sleep infinity\n");
}

/* The end of its output is no word; and a program that runs without the word holds nothing yet. */
static void a_program_that_says_nothing_holds_nothing(void **state)
{
    (void)state;
    put_program("exec >&-; exec sleep 1000");
    keep_awake_open(&keep, true);
    for (int i = 0; i < 30; i++) {
        assert_int_equal(keep_awake_tick(&keep, i, &fault), 0);
        assert_int_equal(keep.state, AWAKE_UNKNOWN);
        (void)poll(NULL, 0, 5);
    }
}

/* Ends at once, or after it had the lock: it is told once, and tried again five minutes later. */
static void end_at(const char *script, double boot_s)
{
    char words[512];
    int before = times_asked(words);

    put_program(script);
    if (strstr(script, "held"))
        (void)ticks_until(AWAKE_HELD, boot_s - 1);
    assert_int_equal(ticks_until(AWAKE_NOT, boot_s), -1);
    assert_string_equal(fault.text, KEEP_AWAKE_PROGRAM " holds no lock: the laptop may sleep");
    assert_int_equal(times_asked(words), before + 1);
    assert_int_equal(keep_awake_tick(&keep, boot_s + AGAIN_S - 0.1, &fault), 0);
    assert_int_equal(keep.state, AWAKE_NOT);
    assert_int_equal(keep.child.pid, 0);
}

static void a_lock_that_is_refused_or_lost_is_asked_for_again(void **state)
{
    (void)state;
    keep_awake_open(&keep, true);
    end_at("echo Access denied >&2; exit 1", 10);
    end_at("echo held; exec sleep 0.05", 10 + AGAIN_S + 1);
    put_program("echo held; exec sleep 1000");
    (void)ticks_until(AWAKE_HELD, 10 + 2 * AGAIN_S + 1);
}

/* No machine has to have it: the state says so, and nothing is complained of. */
static void without_the_program_the_laptop_may_sleep(void **state)
{
    (void)state;
    assert_int_equal(setenv("PATH", folder, 1), 0);
    keep_awake_open(&keep, true);
    assert_int_equal(keep_awake_tick(&keep, 50, &fault), 0);
    assert_int_equal(keep.state, AWAKE_NOT);
    put_program("echo held; while :; do :; done");
    assert_int_equal(keep_awake_tick(&keep, 50 + AGAIN_S - 0.1, &fault), 0);
    assert_int_equal(keep.child.pid, 0);
    (void)ticks_until(AWAKE_HELD, 50 + AGAIN_S);
}

static void what_is_not_wanted_is_not_run(void **state)
{
    char words[512];

    (void)state;
    put_program("echo held");
    keep_awake_open(&keep, false);
    assert_int_equal(keep.state, AWAKE_NOT);
    assert_int_equal(keep_awake_tick(&keep, 1e9, &fault), 0);
    assert_int_equal(keep.child.pid, 0);
    assert_int_equal(times_asked(words), 0);
}

/* Closing ends the program, for which the lock was held. */
static void the_lock_ends_with_the_night(void **state)
{
    pid_t pid;
    int status;

    (void)state;
    put_program("echo held; exec sleep 1000");
    keep_awake_open(&keep, true);
    (void)ticks_until(AWAKE_HELD, 0);
    pid = keep.child.pid;
    keep_awake_close(&keep);
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFSIGNALED(status));
    keep.child.pid = 0;
}

#define IN_A_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_A_FOLDER(the_lock_is_held_for_the_whole_night),
        IN_A_FOLDER(a_program_that_says_nothing_holds_nothing),
        IN_A_FOLDER(a_lock_that_is_refused_or_lost_is_asked_for_again),
        IN_A_FOLDER(without_the_program_the_laptop_may_sleep),
        IN_A_FOLDER(what_is_not_wanted_is_not_run),
        IN_A_FOLDER(the_lock_ends_with_the_night),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
