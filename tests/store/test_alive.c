/* The sign of life: an instant in a file's time, to be read after a kill. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "open_files.h"

#include <moonstand/alive.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static void the_last_sign_is_read(void **state)
{
    /* A rehearsal may be of a night before 1970. */
    static const double signs[] = {1861884000, 1861884060.25, 1861884059.75, 1, 0, -1.5, -86400.5};
    char folder[] = "/tmp/moonstand-test-XXXXXX", path[64];
    struct stat status;

    (void)state;
    assert_non_null(mkdtemp(folder));
    (void)snprintf(path, sizeof path, "%s/alive", folder);
    assert_true(isnan(alive_utc(folder)));
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        alive_set(folder, signs[i]);
        assert_near(alive_utc(folder), signs[i], 1e-6);
        assert_int_equal(stat(path, &status), 0);
        assert_int_equal(status.st_size, 0);
        assert_int_equal(status.st_mode & 0777, 0600);
        /* An instant that is not known is no sign. */
        alive_set(folder, NAN);
        assert_near(alive_utc(folder), signs[i], 1e-6);
    }
    assert_int_equal(unlink(path), 0);
    /* A link is not followed: what it leads to may be somebody else's. */
    assert_int_equal(symlink("/dev/null", path), 0);
    alive_set(folder, 1861884000);
    assert_true(fabs(alive_utc(folder) - 1861884000) > 1 || isnan(alive_utc(folder)));
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);
    alive_set(folder, 1861884000);
    assert_true(isnan(alive_utc(folder)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_last_sign_is_read)};

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
