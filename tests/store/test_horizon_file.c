/* The horizon profile from a file of its own, alone and named by the setup. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/angle.h>
#include <moonstand/fault.h>
#include <moonstand/setup_file.h>

#include <near.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char profile[] = "# roof and ridge, by compass and clinometer\n"
                              "0 2.5\n"
                              "\n"
                              "90.5,12   # the roof\r\n"
                              "\t100;\t12\n"
                              "359.9 -1";

static void assert_profile(const struct horizon *horizon)
{
    static const double points_deg[][2] = {{0, 2.5}, {90.5, 12}, {100, 12}, {359.9, -1}};

    assert_int_equal(horizon->count, 4);
    for (int i = 0; i < 4; i++) {
        assert_true(horizon->azimuth_rad[i] == rad_from_deg(points_deg[i][0]));
        assert_true(horizon->altitude_rad[i] == rad_from_deg(points_deg[i][1]));
    }
}

static void lines_are_points(void **state)
{
    struct horizon horizon;
    struct fault fault;

    (void)state;
    assert_int_equal(horizon_parse("h", profile, &horizon, &fault), 0);
    assert_profile(&horizon);
}

static void what_is_wrong_is_said_with_its_line(void **state)
{
    static const struct {
        const char *text, *message;
    } refused[] = {
        {"", "h: no point"},
        {"# nothing\n\n", "h: no point"},
        {"10 2\n20", "h:2: "},
        {"10 2 3", "h:1: expected two numbers"},
        {"10 2\n\n10 3", "h:3: found azimuth 10 after 10"},
        {"360 3", "h:1: found azimuth 360"},
        {"10 2\nroof 3", "h:2: "},
        {"10 95", "h:1: "},
        {"-1 5", "h:1: "},
        {"10 nan", "h:1: "},
        {"10 0000000000000000000000000000000000001", "h:1: "},
    };

    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct horizon horizon = {.count = 77};
        struct fault fault = {""};

        assert_int_equal(horizon_parse("h", refused[i].text, &horizon, &fault), -1);
        if (strncmp(fault.text, refused[i].message, strlen(refused[i].message)) != 0)
            fail_msg("'%s' says: %s", refused[i].text, fault.text);
        assert_int_equal(horizon.count, 77);
    }
}

static void as_many_points_as_degrees(void **state)
{
    char text[361 * 10] = "";
    struct horizon horizon;
    struct fault fault;
    size_t length = 0;

    (void)state;
    for (int i = 0; i < 360; i++)
        length += (size_t)snprintf(text + length, sizeof text - length, "%d 5\n", i);
    assert_int_equal(horizon_parse("h", text, &horizon, &fault), 0);
    assert_int_equal(horizon.count, 360);
    (void)snprintf(text + length, sizeof text - length, "359.5 5\n");
    assert_int_equal(horizon_parse("h", text, &horizon, &fault), -1);
    assert_non_null(strstr(fault.text, "h:361: more than 360 points"));
}

static void the_setup_names_the_file(void **state)
{
    static struct setup setup, edited;
    char path[] = "/tmp/moonstand-test-XXXXXX", text[200];
    struct fault fault = {""};
    int file = mkstemp(path);

    (void)state;
    assert_true(file >= 0);
    assert_int_equal(write(file, profile, strlen(profile)), (int)strlen(profile));
    (void)close(file);
    (void)snprintf(text, sizeof text,
                   "{\"site\": {\"latitude_deg\": 1, \"longitude_deg\": 2, \"horizon\": \"%s\"}}",
                   path);
    if (setup_parse("s", text, strlen(text), NULL, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_profile(&setup.site.horizon);
    /* A tree overhead is kept with the session as it was read. */
    assert_int_equal(horizon_parse("h", "120 90\n", &setup.site.horizon, &fault), 0);
    assert_int_equal(setup_edit(&setup, "site.name", "here", &edited, &fault), 0);
    assert_near(deg_from_rad(edited.site.horizon.altitude_rad[0]), 90, 1e-9);
    (void)unlink(path);
    assert_int_equal(setup_parse("s", text, strlen(text), NULL, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, path));
}

/* The questions and the page write the setup anew: the path stays, and the file may be gone by then.
 * A session keeps the points as well. */
static void the_path_is_kept(void **state)
{
    static struct setup setup, edited, back;
    char folder[] = "/tmp/moonstand-test-XXXXXX", text[400];
    char profile_path[64], setup_path[64], backup[64];
    static struct setup_row rows[SETUP_ROWS];
    struct fault fault = {""};
    int count;
    FILE *file;

    (void)state;
    assert_non_null(mkdtemp(folder));
    (void)snprintf(profile_path, sizeof profile_path, "%s/ridge.txt", folder);
    (void)snprintf(setup_path, sizeof setup_path, "%s/setup.json", folder);
    (void)snprintf(backup, sizeof backup, "%s/setup.json.bak", folder);
    file = fopen(profile_path, "w");
    assert_true(fputs(profile, file) >= 0);
    assert_int_equal(fclose(file), 0);
    (void)snprintf(
        text, sizeof text,
        "{\"site\": \"b\", \"sites\": ["
        "{\"name\": \"a\", \"latitude_deg\": 1, \"longitude_deg\": 2},"
        "{\"name\": \"b\", \"latitude_deg\": 1, \"longitude_deg\": 2, \"horizon\": \"%s\"}]}",
        profile_path);
    if (setup_parse("s", text, strlen(text), NULL, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_string_equal(setup.site.horizon_file, profile_path);
    assert_int_equal(setup_write(setup_path, &setup, &fault), 0);
    assert_int_equal(setup_read(setup_path, &back, &fault), 0);
    assert_string_equal(back.sites[1].horizon_file, profile_path);
    assert_profile(&back.site.horizon);

    (void)unlink(profile_path);
    assert_int_equal(setup_edit(&setup, "danjon", "1", &edited, &fault), 0);
    assert_profile(&edited.site.horizon);
    assert_string_equal(edited.site.horizon_file, profile_path);
    assert_int_equal(setup_write(setup_path, &edited, &fault), 0);
    assert_int_equal(setup_read(setup_path, &back, &fault), -1);
    assert_int_equal(unlink(setup_path), 0);
    assert_int_equal(setup_keep(folder, SETUP_BEGAN, &edited, &fault), 0);
    if (setup_kept(folder, SETUP_BEGAN, &back, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_string_equal(back.site.horizon_file, profile_path);
    assert_profile(&back.site.horizon);
    assert_profile(&back.sites[1].horizon);

    /* Typed again it is read again. Its points can be seen and changed, and are then the setup's. */
    assert_int_equal(setup_edit(&back, "sites[1].horizon", profile_path, &edited, &fault), -1);
    count = back.sites[1].horizon.count;
    assert_int_equal(setup_rows(&back, "sites[1].horizon", rows), count + 1);
    assert_int_equal(setup_rows(&back, "sites[1]", rows), 9);
    assert_string_equal(rows[7].value, profile_path);
    (void)snprintf(text, sizeof text, "sites[1].horizon[%d]", count);
    assert_int_equal(setup_edit(&back, text, "359 12", &edited, &fault), 0);
    assert_string_equal(edited.site.horizon_file, "");
    assert_int_equal(edited.site.horizon.count, count + 1);
    assert_int_equal(setup_edit(&back, "sites[1].horizon[0]", NULL, &edited, &fault), 0);
    assert_int_equal(edited.site.horizon.count, count - 1);
    (void)unlink(setup_path);
    (void)unlink(backup);
    assert_int_equal(rmdir(folder), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_are_points),
        cmocka_unit_test(what_is_wrong_is_said_with_its_line),
        cmocka_unit_test(as_many_points_as_degrees),
        cmocka_unit_test(the_setup_names_the_file),
        cmocka_unit_test(the_path_is_kept),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
