/* Files that are held to the program: BLESS=1 writes them anew, and the difference is then for
 * people to review. */
#ifndef TESTS_BLESSED_H
#define TESTS_BLESSED_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The text of the file, to be freed; with BLESS=1 that is `text`. */
static inline char *blessed(const char *path, const char *text)
{
    char *held = NULL;
    size_t size = 0;
    FILE *file;

    if (getenv("BLESS")) {
        file = fopen(path, "w");
        assert_non_null(file);
        assert_true(fputs(text, file) >= 0);
        assert_int_equal(fclose(file), 0);
    }
    file = fopen(path, "r");
    if (!file || getdelim(&held, &size, '\0', file) < 0)
        fail_msg("%s cannot be read", path);
    (void)fclose(file);
    return held;
}

/* For a print: what is unknown, or nothing but rounding, has no sign. */
static inline double known(double value)
{
    if (isnan(value))
        return (double)NAN;
    return fabs(value) < 1e-9 ? 0 : value;
}

/* Holds a text to tests/prints/NAME.txt and shows the first line that is another one. */
static inline void hold_print(const char *name, const char *text)
{
    char path[256], *held;

    (void)snprintf(path, sizeof path, "%s/../prints/%s.txt", TEST_DATA, name);
    held = blessed(path, text);
    for (const char *is = text, *was = held; *is || *was;
         is += strcspn(is, "\n") + (strchr(is, '\n') != NULL),
                    was += strcspn(was, "\n") + (strchr(was, '\n') != NULL))
        if (strcspn(is, "\n") != strcspn(was, "\n") || strncmp(is, was, strcspn(is, "\n")) != 0)
            fail_msg("%s: '%.*s' was '%.*s'", name, (int)strcspn(is, "\n"), is,
                     (int)strcspn(was, "\n"), was);
    free(held);
}

#endif
