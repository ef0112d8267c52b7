/* Whose files they are: what a setup names is run only if nobody else could have had a hand in it, and
 * the one that is at fault is named. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"
#include "timed.h"

#include <moonstand/fault.h>
#include <moonstand/setup_file.h>

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NOBODY = 65534 };

/* HOME/a/b/setup.json */
static char home[64], above[80], folder[96], path[128];
static struct setup setup;

static const char *named(const char *name)
{
    static char out[4][160];
    static int turn;

    turn = (turn + 1) % 4;
    (void)snprintf(out[turn], sizeof out[turn], "%s/%s", home, name);
    return out[turn];
}

static void write_file(const char *name, const char *text, mode_t mode)
{
    FILE *file = fopen(name, "w");

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(chmod(name, mode), 0);
}

static int make_home(void **state)
{
    (void)state;
    (void)snprintf(home, sizeof home, "/tmp/moonstand-test-XXXXXX");
    if (!mkdtemp(home))
        return -1;
    (void)snprintf(above, sizeof above, "%s/a", home);
    (void)snprintf(folder, sizeof folder, "%s/a/b", home);
    (void)snprintf(path, sizeof path, "%s/a/b/setup.json", home);
    if (mkdir(above, 0755) != 0 || mkdir(folder, 0755) != 0)
        return -1;
    write_file(path, "{\"hooks\": {\"alarm\": [\"/bin/true\"]}}", 0644);
    return 0;
}

static int remove_home(void **state)
{
    char command[96];

    (void)state;
    (void)snprintf(command, sizeof command, "rm -rf %s", home);
    return system(command); /* NOLINT: a path of our own */
}

static const char *doubt_of(const char *name)
{
    struct fault fault = {""};

    if (setup_read(name, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(setup.trust.may_run, *setup.trust.doubt == '\0');
    return setup.trust.doubt;
}

static void assert_doubt(const char *name, const char *at_fault, const char *why)
{
    char wanted[256];

    (void)snprintf(wanted, sizeof wanted, "%s %s", at_fault, why);
    assert_string_equal(doubt_of(name), wanted);
}

#define CHANGED "can be changed by other users"
#define OTHERS "belongs to another user"

static void the_one_at_fault_is_named(void **state)
{
    (void)state;
    assert_string_equal(doubt_of(path), "");
    for (int i = 0; i < 2; i++) {
        assert_int_equal(chmod(path, i ? 0602 : 0620), 0);
        assert_doubt(path, path, CHANGED);
    }
    assert_int_equal(chmod(path, 0600), 0);
    assert_int_equal(chmod(folder, 0775), 0);
    assert_doubt(path, folder, CHANGED);
    assert_int_equal(chmod(folder, 0755), 0);
    assert_int_equal(chmod(above, 0777), 0);
    assert_doubt(path, above, CHANGED);
    /* The sticky bit keeps others from what is not theirs. */
    assert_int_equal(chmod(above, 01777), 0);
    assert_string_equal(doubt_of(path), "");
}

static void any_way_to_it_is_walked(void **state)
{
    char here[1024];

    (void)state;
    assert_non_null(getcwd(here, sizeof here));
    assert_int_equal(chdir(folder), 0);
    assert_string_equal(doubt_of("setup.json"), "");
    assert_string_equal(doubt_of(".././b//setup.json"), "");
    assert_int_equal(chmod(above, 0777), 0);
    assert_doubt("setup.json", above, CHANGED);
    assert_doubt(".././b/setup.json", above, CHANGED);
    assert_int_equal(chdir(here), 0);
    assert_int_equal(chmod(above, 0755), 0);
    /* Links, relative and absolute, to the file and to a folder. */
    assert_int_equal(symlink("a/b/setup.json", named("file")), 0);
    assert_int_equal(symlink(above, named("way")), 0);
    assert_string_equal(doubt_of(named("file")), "");
    assert_string_equal(doubt_of(named("way/b/setup.json")), "");
    assert_int_equal(chmod(folder, 0777), 0);
    assert_doubt(named("file"), folder, CHANGED);
    assert_doubt(named("way/b/../b/setup.json"), folder, CHANGED);
}

static void what_leads_nowhere_is_said(void **state)
{
    struct fault fault;

    (void)state;
    /* As many links as the kernel follows, and one more. */
    assert_int_equal(symlink("a/b/setup.json", named("link1")), 0);
    for (int i = 2; i <= 41; i++) {
        char before[16], name[16];

        (void)snprintf(before, sizeof before, "link%d", i - 1);
        (void)snprintf(name, sizeof name, "link%d", i);
        assert_int_equal(symlink(before, named(name)), 0);
    }
    assert_int_equal(setup_read(named("link40"), &setup, &fault), 0);
    assert_int_equal(setup_read(named("link41"), &setup, &fault), -1);
    assert_int_equal(symlink("loop", named("loop")), 0);
    assert_int_equal(setup_read(named("loop"), &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "Too many levels of symbolic links"));
    assert_int_equal(setup_read(named("none"), &setup, &fault), 1);
    assert_int_equal(symlink("none", named("dangling")), 0);
    assert_int_equal(setup_read(named("dangling"), &setup, &fault), 1);
    assert_int_equal(setup_read(named("a/b/setup.json/x"), &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "Not a directory"));
    assert_int_equal(setup_read(folder, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "not a regular file"));
    assert_int_equal(setup_read("", &setup, &fault), 1);
    /* A pipe without a writer holds nobody up. */
    assert_int_equal(mkfifo(named("pipe"), 0600), 0);
    (void)alarm(10);
    assert_int_equal(setup_read(named("pipe"), &setup, &fault), -1);
    (void)alarm(0);
    assert_non_null(strstr(fault.text, "not a regular file"));
}

/* Only root can give files away. */
static void what_is_somebody_elses_is_named(void **state)
{
    (void)state;
    if (geteuid() != 0)
        skip();
    for (uid_t other = 1; other <= NOBODY; other += NOBODY - 1) {
        assert_int_equal(chown(above, 0, 0), 0);
        assert_int_equal(chown(path, other, other), 0);
        assert_doubt(path, path, OTHERS);
        assert_int_equal(chown(path, 0, 0), 0);
        assert_int_equal(chown(above, other, other), 0);
        assert_doubt(path, above, OTHERS);
    }
    /* A link of theirs, to a file that is in order. */
    assert_int_equal(mkdir(named("theirs"), 0755), 0);
    assert_int_equal(chown(named("theirs"), NOBODY, NOBODY), 0);
    assert_int_equal(chown(above, 0, 0), 0);
    assert_int_equal(symlink(path, named("theirs/link")), 0);
    assert_doubt(named("theirs/link"), named("theirs"), OTHERS);
    assert_int_equal(chmod(home, 01777), 0);
    assert_int_equal(symlink(path, named("link")), 0);
    assert_int_equal(lchown(named("link"), NOBODY, NOBODY), 0);
    assert_doubt(named("link"), named("link"), OTHERS);
}

/* ---- swapped between reading and checking ---- */

static _Atomic bool done;

static void *swap(void *argument)
{
    (void)argument;
    while (!done) {
        (void)symlink(path, named("theirs/next")); /* the user's own */
        (void)rename(named("theirs/next"), named("theirs/setup.json"));
        (void)symlink(named("theirs/bad.json"), named("theirs/next"));
        (void)rename(named("theirs/next"), named("theirs/setup.json"));
    }
    return NULL;
}

/* Their file is read, and the user's own stands there when it is judged. */
static void a_swapped_link_is_not_trusted(void **state)
{
    pthread_t thread;
    struct fault fault;
    int read_own = 0, read_theirs = 0;

    (void)state;
    if (geteuid() != 0)
        skip();
    assert_int_equal(mkdir(named("theirs"), 0755), 0);
    write_file(named("theirs/bad.json"), "{\"hooks\": {\"alarm\": [\"/bin/evil\"]}}", 0644);
    assert_int_equal(chown(named("theirs/bad.json"), NOBODY, NOBODY), 0);
    done = false;
    assert_int_equal(pthread_create(&thread, NULL, swap, NULL), 0);
    /* The folder itself is the user's, so that the file alone decides. */
    const int tries = QUICK ? 500 : 20000; /* slow under sanitizers */
    for (int i = 0; i < tries || ((read_own == 0 || read_theirs == 0) && i < 2000000); i++) {
        if (setup_read(named("theirs/setup.json"), &setup, &fault) != 0)
            continue;
        if (strcmp(setup.hook[HOOK_ALARM].text, "/bin/evil") == 0) {
            read_theirs++;
            if (setup.trust.may_run)
                break;
        } else {
            read_own++;
        }
    }
    done = true;
    assert_int_equal(pthread_join(thread, NULL), 0);
    print_message("read %d times the user's own, %d times theirs\n", read_own, read_theirs);
    assert_false(strcmp(setup.hook[HOOK_ALARM].text, "/bin/evil") == 0 && setup.trust.may_run);
    assert_true(read_own > 0 && read_theirs > 0);
}

/* ---- programs ---- */

static void assert_program(const char *program, const char *at_fault, const char *why)
{
    char wanted[256] = "";
    struct fault fault = {""};

    if (*at_fault)
        (void)snprintf(wanted, sizeof wanted, "%s %s", at_fault, why);
    assert_int_equal(program_check(program, &fault), *at_fault ? -1 : 0);
    assert_string_equal(fault.text, wanted);
}

static void a_program_that_others_can_change_is_named(void **state)
{
    char search[256];

    (void)state;
    write_file(named("a/b/beep"), "#!/bin/sh\n", 0755);
    assert_program(named("a/b/beep"), "", "");
    assert_program("/bin/sh", "", "");
    assert_program("/nowhere/beep", "", "");
    assert_int_equal(chmod(named("a/b/beep"), 0777), 0);
    assert_program(named("a/b/beep"), named("a/b/beep"), CHANGED);
    assert_int_equal(chmod(named("a/b/beep"), 0755), 0);
    assert_int_equal(chmod(above, 0777), 0);
    assert_program(named("a/b/beep"), above, CHANGED);

    /* By its name alone, where the program will be found. */
    (void)snprintf(search, sizeof search, "%s:/nowhere:%s:/usr/bin:/bin", home, folder);
    assert_int_equal(setenv("PATH", search, 1), 0);
    assert_program("beep", above, CHANGED);
    assert_int_equal(chmod(above, 0755), 0);
    assert_program("beep", "", "");
    assert_program("sh", "", "");
    assert_program("no-such-program-anywhere", "", "");
    /* Into a folder before it anybody could put one of that name. */
    assert_int_equal(chmod(home, 0777), 0);
    assert_program("sh", home, CHANGED);
    assert_int_equal(setenv("PATH", "/usr/bin:/bin", 1), 0);
    assert_program("sh", "", "");
    if (geteuid() == 0) {
        assert_int_equal(chmod(home, 0755), 0);
        assert_int_equal(chown(named("a/b/beep"), NOBODY, NOBODY), 0);
        assert_program(named("a/b/beep"), named("a/b/beep"), OTHERS);
    }
}

#define AT_HOME(test) cmocka_unit_test_setup_teardown(test, make_home, remove_home)

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(the_one_at_fault_is_named),     AT_HOME(any_way_to_it_is_walked),
        AT_HOME(what_leads_nowhere_is_said),    AT_HOME(what_is_somebody_elses_is_named),
        AT_HOME(a_swapped_link_is_not_trusted), AT_HOME(a_program_that_others_can_change_is_named),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
