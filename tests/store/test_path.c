/* Where files live, sessions, and files that are replaced while the disk fails. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"
#include "scratch.h"

#include <moonstand/fault.h>
#include <moonstand/path.h>
#include <moonstand/setup_file.h>

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

/* ---- the calls of a replacement, each of which may fail ---- */

static int fails_in; /* calls until one fails; 0: never */
static int fails_with;

static bool fails(void)
{
    if (fails_in == 0 || --fails_in > 0)
        return false;
    errno = fails_with;
    return true;
}

ssize_t write(int file, const void *bytes, size_t size)
{
    return fails() ? -1 : syscall(SYS_write, file, bytes, size);
}

int fsync(int file)
{
    return fails() ? -1 : (int)syscall(SYS_fsync, file);
}

int rename(const char *from, const char *to)
{
    return fails() ? -1 : (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
}

int open(const char *name, int flags, ...)
{
    va_list args;
    unsigned mode;

    va_start(args, flags);
    mode = flags & O_CREAT ? va_arg(args, unsigned) : 0;
    va_end(args);
    return fails() ? -1 : (int)syscall(SYS_openat, AT_FDCWD, name, flags, mode);
}

/* ---- a folder of its own ---- */

static char folder[SCRATCH];

static int make_folder(void **state)
{
    (void)state;
    return scratch_make(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return scratch_remove(folder);
}

static void set(const char *name, const char *value)
{
    assert_int_equal(value ? setenv(name, value, 1) : unsetenv(name), 0);
}

static void put(const char *name, const char *text)
{
    FILE *file = fopen(name, "w");

    assert_non_null(file);
    (void)fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

/* ---- paths ---- */

static void test_xdg_folders(void **state)
{
    char path[PATH_SIZE];
    struct fault fault;
    static const struct {
        const char *xdg, *home, *wanted;
    } cases[] = {
        {"/c", "/home/a", "/c/moonstand/setup.json"},
        {"", "/home/a", "/home/a/.config/moonstand/setup.json"},
        {"relative", "/home/a", "/home/a/.config/moonstand/setup.json"},
        {NULL, "/home/a", "/home/a/.config/moonstand/setup.json"},
        {NULL, "", NULL},
        {NULL, "relative", NULL},
        {NULL, NULL, NULL},
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        set("XDG_CONFIG_HOME", cases[i].xdg);
        set("HOME", cases[i].home);
        assert_int_equal(path_setup(path, &fault), cases[i].wanted ? 0 : -1);
        if (cases[i].wanted)
            assert_string_equal(path, cases[i].wanted);
        else
            assert_non_null(strstr(fault.text, "XDG_CONFIG_HOME"));
    }
    set("XDG_STATE_HOME", NULL);
    set("HOME", "/home/a");
    assert_int_equal(path_sessions(path, &fault), 0);
    assert_string_equal(path, "/home/a/.local/state/moonstand/sessions");
}

static void test_path_that_does_not_fit(void **state)
{
    static char home[2 * PATH_SIZE];
    char path[PATH_SIZE];
    struct fault fault;

    (void)state;
    memset(home, 'h', sizeof home - 1);
    home[0] = '/';
    set("XDG_CONFIG_HOME", home);
    assert_int_equal(path_setup(path, &fault), -1);
    set("XDG_CONFIG_HOME", NULL);
}

static void test_themes_are_searched_in_order(void **state)
{
    char user[96], source[96], program[PATH_SIZE], path[PATH_SIZE], wanted[PATH_SIZE];
    struct fault fault;
    static const char *const bad[] = {"",         "../red", "a/b",
                                      "red.json", "\x01",   "a-name-of-more-than-thirty-one-bytes"};

    (void)state;
    (void)snprintf(user, sizeof user, "%s/user", folder);
    (void)snprintf(source, sizeof source, "%s/source", folder);
    assert_int_equal(mkdir(user, 0700) | mkdir(source, 0700), 0);
    set("XDG_CONFIG_HOME", user);
    /* Where it was built, however deep, and installed anywhere: the second goes first. */
    (void)snprintf(wanted, sizeof wanted, "%s/themes", source);
    assert_int_equal(mkdir(wanted, 0700), 0);
    (void)snprintf(wanted, sizeof wanted, "%s/themes/test-only.json", source);
    put(wanted, "{}");
    for (int i = 0; i < 3; i++) {
        static const char *const places[] = {"build", "build/sanitized", "build/sanitized/tests/store"};
        (void)snprintf(program, sizeof program, "%s/%s/moonstand", source, places[i]);
        assert_int_equal(path_theme("test-only", program, path, &fault), 0);
        assert_string_equal(path, wanted);
    }
    (void)snprintf(program, sizeof program, "%s/build/sanitized/tests/store/deeper/moonstand", source);
    assert_int_equal(path_theme("test-only", program, path, &fault), -1);
    assert_int_equal(path_theme("test-only", "moonstand", path, &fault), -1);
    (void)snprintf(program, sizeof program, "%s/bin/moonstand", source);
    for (const char *const *part = (const char *const[]){"share", "share/moonstand",
                                                         "share/moonstand/themes", NULL};
         *part; part++) {
        (void)snprintf(wanted, sizeof wanted, "%s/%s", source, *part);
        assert_int_equal(mkdir(wanted, 0700), 0);
    }
    (void)snprintf(wanted, sizeof wanted, "%s/share/moonstand/themes/test-only.json", source);
    put(wanted, "{}");
    assert_int_equal(path_theme("test-only", program, path, &fault), 0);
    assert_string_equal(path, wanted);
    assert_int_equal(path_theme("test-only", NULL, path, &fault), -1);
    assert_non_null(strstr(fault.text, "no theme \"test-only\""));
    (void)snprintf(wanted, sizeof wanted, "%s/moonstand", user);
    assert_int_equal(mkdir(wanted, 0700), 0);
    (void)snprintf(wanted, sizeof wanted, "%s/moonstand/themes", user);
    assert_int_equal(mkdir(wanted, 0700), 0);
    (void)snprintf(wanted, sizeof wanted, "%s/moonstand/themes/test-only.json", user);
    put(wanted, "{}");
    assert_int_equal(path_theme("test-only", program, path, &fault), 0);
    assert_string_equal(path, wanted);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_int_equal(path_theme(bad[i], program, path, &fault), -1);

    char names[4][THEME_NAME];
    (void)snprintf(wanted, sizeof wanted, "%s/moonstand/themes/a-first.json", user);
    put(wanted, "{}");
    (void)snprintf(wanted, sizeof wanted, "%s/moonstand/themes/note.txt", user);
    put(wanted, "{}");
    (void)snprintf(wanted, sizeof wanted, "%s/moonstand/themes/.json", user);
    put(wanted, "{}");
    int count = theme_list(program, names, 4);
    assert_true(count >= 2);
    assert_string_equal(names[0], "a-first");
    for (int i = 1; i < count; i++)
        assert_true(strcmp(names[i - 1], names[i]) < 0);
    assert_int_equal(theme_list(program, names, 1), 1);
}

/* ---- sessions ---- */

static void test_sessions_are_never_taken_twice_unless_resumed(void **state)
{
    char root[PATH_SIZE], path[PATH_SIZE], again[PATH_SIZE];
    char names[4][SESSION_NAME];
    struct fault fault;

    (void)state;
    set("XDG_STATE_HOME", folder);
    assert_int_equal(session_list(names, 4, &fault), 0);
    assert_int_equal(path_sessions(root, &fault), 0);
    assert_int_equal(session_make("2028-12-31", true, true, path, &fault), 0);
    assert_string_equal(path + strlen(root), "/2028-12-31-rehearsal");
    assert_int_equal(session_make("2028-12-31", true, true, path, &fault), 0);
    assert_string_equal(path + strlen(root), "/2028-12-31-rehearsal-2");
    assert_int_equal(session_make("2028-12-31", true, false, path, &fault), 0);
    assert_string_equal(path + strlen(root), "/2028-12-31-rehearsal");
    assert_int_equal(session_make("2028-12-31", false, false, path, &fault), 0);
    assert_int_equal(session_make("2028-12-31", false, false, again, &fault), 0);
    assert_string_equal(path, again);
    assert_int_equal(session_make("2025-09-07", false, false, path, &fault), 0);
    assert_int_equal(session_make("../../2028-12-31", false, false, path, &fault), -1);
    (void)snprintf(path, sizeof path, "%s/notes", root);
    assert_int_equal(mkdir(path, 0700), 0);

    assert_int_equal(session_list(names, 4, &fault), 4);
    assert_string_equal(names[0], "2025-09-07");
    assert_string_equal(names[1], "2028-12-31");
    assert_string_equal(names[2], "2028-12-31-rehearsal");
    assert_string_equal(names[3], "2028-12-31-rehearsal-2");
    assert_int_equal(session_list(names, 3, &fault), 3);
    assert_string_equal(names[2], "2028-12-31-rehearsal");
}

/* ---- replacement ---- */

/* Every call fails in turn: told, and what stands at the path is one of the two whole files. */
static void test_setup_survives_every_failure(void **state)
{
    static struct setup before, after, found;
    char path[96], backup[104];
    struct fault fault;
    int call = 0, status;

    (void)state;
    (void)snprintf(path, sizeof path, "%s/setup.json", folder);
    (void)snprintf(backup, sizeof backup, "%s.bak", path);
    setup_default(&before);
    before.danjon = 1;
    setup_default(&after);
    after.danjon = 2;
    do {
        fails_in = 0;
        (void)unlink(backup);
        assert_int_equal(setup_write(path, &before, &fault), 0);
        fails_in = ++call;
        fails_with = call % 2 ? ENOSPC : EIO;
        fault.text[0] = '\0';
        status = setup_write(path, &after, &fault);
        fails_in = 0;
        assert_true(status == 0 || strstr(fault.text, strerror(fails_with)));
        assert_int_equal(setup_read(path, &found, &fault), 0);
        assert_true(found.danjon == 1 || found.danjon == 2);
        assert_true(status != 0 || found.danjon == 2);
    } while (status != 0);
    assert_true(call > 8);
    /* Nothing is left lying about. */
    (void)unlink(path);
    (void)unlink(backup);
    assert_int_equal(rmdir(folder), 0);
    assert_int_equal(mkdir(folder, 0700), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_xdg_folders),
        cmocka_unit_test(test_path_that_does_not_fit),
        cmocka_unit_test_setup_teardown(test_themes_are_searched_in_order, make_folder,
                                        remove_folder),
        cmocka_unit_test_setup_teardown(test_sessions_are_never_taken_twice_unless_resumed,
                                        make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(test_setup_survives_every_failure, make_folder,
                                        remove_folder),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
