/* A byte order mark before a text file, as some editors write it, is no part of it. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/fault.h>
#include <moonstand/forecast.h>
#include <moonstand/forecast_file.h>
#include <moonstand/setup_file.h>
#include <moonstand/theme.h>
#include <moonstand/theme_file.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define MARK "\xef\xbb\xbf"

static char folder[64], path[128];

static void put(const char *text)
{
    FILE *out = fopen(path, "w");

    assert_non_null(out);
    assert_true(fputs(text, out) >= 0);
    assert_int_equal(fclose(out), 0);
}

static int make_folder(void **state)
{
    (void)state;
    (void)snprintf(folder, sizeof folder, "%s/moonstand-marks-XXXXXX", P_tmpdir);
    if (!mkdtemp(folder))
        return -1;
    (void)snprintf(path, sizeof path, "%s/file", folder);
    return 0;
}

static int remove_folder(void **state)
{
    (void)state;
    (void)unlink(path);
    return rmdir(folder);
}

static void a_horizon(void **state)
{
    struct horizon horizon;
    struct fault fault = {""};

    (void)state;
    put(MARK "90 5\n180 10\n");
    if (horizon_read(path, &horizon, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(horizon.count, 2);
    /* In the middle of a file it is an error like any other. */
    put("90 5\n" MARK "180 10\n");
    assert_int_equal(horizon_read(path, &horizon, &fault), -1);
    assert_non_null(strstr(fault.text, ":2:"));
    put(MARK);
    assert_int_equal(horizon_read(path, &horizon, &fault), -1);
}

static void a_setup(void **state)
{
    static struct setup setup;
    struct fault fault = {""};

    (void)state;
    put(MARK "{\"site\": {\"latitude_deg\": 62, \"longitude_deg\": 60}}\n");
    if (setup_read(path, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_true(setup.has_site && setup.site.latitude_deg == 62);
    /* Places are those that an editor shows. */
    put(MARK "{\"hours\": 13}\n");
    assert_int_equal(setup_read(path, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "file:1:2: "));
}

static void a_forecast(void **state)
{
    static struct forecast forecast;
    struct fault fault = {""};

    (void)state;
    put(MARK "{\"hours\": [{\"time\": \"2028-12-31T12:00Z\", \"cloud_percent\": 20}]}\n");
    if (forecast_read(path, &forecast, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(forecast.count, 1);
}

static void a_theme(void **state)
{
    struct theme theme;
    struct fault fault = {""};
    char *text = NULL;
    size_t size = 0;
    FILE *in = fopen("themes/red.json", "r"), *out = fopen(path, "w");

    (void)state;
    assert_non_null(in);
    assert_non_null(out);
    assert_true(getdelim(&text, &size, '\0', in) > 0);
    assert_true(fprintf(out, MARK "%s", text) > 0);
    (void)fclose(in);
    assert_int_equal(fclose(out), 0);
    free(text);
    if (theme_read(path, &theme, &fault) != 0)
        fail_msg("%s", fault.text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_horizon),
        cmocka_unit_test(a_setup),
        cmocka_unit_test(a_forecast),
        cmocka_unit_test(a_theme),
    };

    return RUN_AND_CLOSE_ALL(tests, make_folder, remove_folder);
}
