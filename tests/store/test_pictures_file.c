/* The pictures of a session, line by line; and files that are read and replaced. */
#include "../../src/store/files.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"
#include "scratch.h"

#include <moonstand/fault.h>
#include <moonstand/pictures_file.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[SCRATCH], path[128];

static int make_folder(void **state)
{
    (void)state;
    if (!scratch_make(folder))
        return -1;
    (void)snprintf(path, sizeof path, "%s/%s", folder, PICTURES_FILE);
    return 0;
}

static int remove_folder(void **state)
{
    (void)state;
    return scratch_remove(folder);
}

static void put(const char *text)
{
    struct fault fault = {""};

    if (file_put(path, text, strlen(text), NULL, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* ---- lines ---- */

enum { TAKEN = 8 };
static struct {
    struct seen seen[TAKEN];
    char file[TAKEN][64], rig[TAKEN][32];
    int count;
} taken;

static void take(void *context, const struct seen *seen, const char *rig)
{
    assert_ptr_equal(context, &taken);
    assert_true(taken.count < TAKEN);
    (void)snprintf(taken.file[taken.count], sizeof taken.file[0], "%s", seen->file);
    (void)snprintf(taken.rig[taken.count], sizeof taken.rig[0], "%s", rig);
    taken.seen[taken.count++] = *seen;
}

/* How many lines were damaged. */
static int read_back(void)
{
    struct fault fault = {""};
    int damaged = -1;

    taken.count = 0;
    assert_int_equal(pictures_file_read(folder, take, &taken, &damaged, &fault), 0);
    return damaged;
}

/* Each member is the one that the manual page names so. */
static void every_member_is_read(void **state)
{
    const struct seen *seen = &taken.seen[0];

    (void)state;
    put("{\"file\":\"/card/"
        "A.JPG\",\"bytes\":8123456,\"landed\":\"2028-12-31T16:20:05.500Z\",\"rig\":\"long\","
        "\"format\":\"raw\",\"taken\":\"2028-12-31T21:20:04.25\",\"offset\":\"-03:30\",\"make\":"
        "\"Maker\","
        "\"model\":\"M "
        "1\",\"serial\":\"0815\",\"shutter_s\":0.5,\"iso\":1600,\"f_number\":6.3,\"focal_mm\":400,"
        "\"width\":6000,\"height\":4000,\"disc\":{\"x\":-0.25,\"y\":0.125,\"radius_px\":472.5,"
        "\"arc\":0.75,"
        "\"scatter_px\":0.5,\"score\":0.95},\"light\":{\"lit\":201,\"umbra\":[81,41,20],"
        "\"clipped\":0.25,"
        "\"sky\":3},\"limb\":{\"width_px\":2.5,\"least_px\":2,\"most_px\":3,\"most_deg\":123},"
        "\"took_s\":0.1}\n");
    assert_int_equal(read_back(), 0);
    assert_int_equal(taken.count, 1);
    assert_string_equal(taken.file[0], "/card/A.JPG");
    assert_string_equal(taken.rig[0], "long");
    assert_int_equal(seen->rig, -1);
    assert_true(seen->bytes == 8123456 && isnan(seen->took_s));
    assert_true(seen->landed_utc == 1861892405.5); /* date -u -d 2028-12-31T16:20:05 +%s */
    assert_string_equal(picture_format_name(seen->metadata.format), "raw");
    assert_true(seen->metadata.taken == 1861910404.25 && seen->metadata.taken_decimals == 2);
    assert_true(seen->metadata.offset_min == -210);
    assert_string_equal(seen->metadata.make, "Maker");
    assert_string_equal(seen->metadata.model, "M 1");
    assert_string_equal(seen->metadata.serial, "0815");
    assert_true(seen->metadata.shutter_s == 0.5 && seen->metadata.iso == 1600);
    assert_true(seen->metadata.f_number == 6.3 && seen->metadata.focal_mm == 400);
    assert_true(isnan(seen->metadata.focal_35mm) && isnan(seen->metadata.sensor_px_per_mm));
    assert_true(seen->metadata.width == 6000 && seen->metadata.height == 4000);
    assert_int_equal(seen->metadata.orientation,
                     1); /* they are those of the picture held upright */
    assert_int_equal(seen->state, SEEN_DISC);
    assert_true(seen->place.x == -0.25 && seen->place.y == 0.125);
    assert_true(isnan(seen->disc.x) && isnan(seen->disc.y));
    assert_true(seen->disc.radius_px == 472.5 && seen->disc.arc == 0.75);
    assert_true(seen->disc.scatter_px == 0.5 && seen->disc.score == 0.95);
    assert_true(seen->light.lit == 201 && seen->light.clipped == 0.25 && seen->light.sky == 3);
    assert_true(seen->light.umbra[0] == 81 && seen->light.umbra[1] == 41 &&
                seen->light.umbra[2] == 20);
    assert_true(seen->limb.width_px == 2.5 && seen->limb.least_px == 2);
    assert_true(seen->limb.most_px == 3 && seen->limb.most_deg == 123);
}

/* What cannot be, and what is missing, is unknown; the ends of a range still are known. */
static void what_cannot_be_is_unknown(void **state)
{
    (void)state;
    put("{\"file\":\"a\",\"bytes\":0}\n"
        "{\"file\":\"b\",\"bytes\":1,\"format\":\"?\",\"offset\":\"01:00\",\"make\":\"a\\u001bb\","
        "\"shutter_s\":-1,"
        "\"iso\":\"100\",\"width\":65536,\"height\":-1,\"disc\":{\"x\":10.5,\"y\":-10.5,\"arc\":1."
        "5,"
        "\"score\":-0.5},\"light\":{\"lit\":256,\"umbra\":[1,\"2\"],\"clipped\":1.5,\"sky\":-1},"
        "\"limb\":{\"most_deg\":181}}\n"
        "{\"file\":\"c\",\"bytes\":1e15,\"offset\":\"+05:45\",\"shutter_s\":0,\"iso\":0,\"f_"
        "number\":1e6,"
        "\"focal_mm\":1e6,\"width\":65535,\"disc\":{\"x\":10,\"y\":-10,\"radius_px\":1e6,\"arc\":1,"
        "\"scatter_px\":0,\"score\":0},\"light\":{\"lit\":255,\"clipped\":1,\"sky\":0},"
        "\"limb\":{\"most_deg\":180,\"width_px\":0}}\n");
    assert_int_equal(read_back(), 0);
    assert_int_equal(taken.count, 3);
    for (int i = 0; i < 2; i++) {
        const struct seen *seen = &taken.seen[i];

        assert_string_equal(taken.rig[i], "");
        assert_true(isnan(seen->landed_utc) && isnan(seen->metadata.taken));
        assert_true(isnan(seen->metadata.offset_min) && isnan(seen->metadata.shutter_s));
        assert_true(isnan(seen->metadata.iso));
        assert_true(seen->metadata.width == 0 && seen->metadata.height == 0);
        assert_string_equal(seen->metadata.make, "");
        assert_string_equal(picture_format_name(seen->metadata.format), "jpeg");
        assert_int_equal(seen->state, i == 0 ? SEEN_NOT_LOOKED : SEEN_DISC);
        assert_true(isnan(seen->place.x) && isnan(seen->place.y) && isnan(seen->disc.arc));
        assert_true(isnan(seen->disc.score) && isnan(seen->light.lit) &&
                    isnan(seen->light.clipped));
        assert_true(isnan(seen->light.sky) && isnan(seen->limb.most_deg));
        assert_true(isnan(seen->light.umbra[1]) && isnan(seen->light.umbra[2]));
    }
    assert_true(taken.seen[0].bytes == 0 && taken.seen[1].light.umbra[0] == 1);
    assert_true(taken.seen[2].metadata.offset_min == 345);
    assert_true(taken.seen[2].bytes == 1e15 && taken.seen[2].metadata.shutter_s == 0);
    assert_true(taken.seen[2].metadata.iso == 0 && taken.seen[2].metadata.f_number == 1e6);
    assert_true(taken.seen[2].metadata.focal_mm == 1e6 && taken.seen[2].metadata.width == 65535);
    assert_true(taken.seen[2].place.x == 10 && taken.seen[2].place.y == -10);
    assert_true(taken.seen[2].disc.radius_px == 1e6 && taken.seen[2].disc.arc == 1);
    assert_true(taken.seen[2].disc.scatter_px == 0 && taken.seen[2].disc.score == 0);
    assert_true(taken.seen[2].light.lit == 255 && taken.seen[2].light.clipped == 1);
    assert_true(taken.seen[2].light.sky == 0 && taken.seen[2].limb.most_deg == 180);
    assert_true(taken.seen[2].limb.width_px == 0);
}

static void what_is_damaged_is_counted(void **state)
{
    static char long_line[9000];
    struct fault fault = {""};
    int damaged = -1;

    (void)state;
    /* There is none yet. */
    assert_int_equal(read_back(), 0);
    assert_int_equal(taken.count, 0);
    put("{\"file\":\"a\",\"bytes\":1}\n"
        "no JSON\n"
        "{\"bytes\":1}\n"
        "{\"file\":\"b\",\"bytes\":-1}\n"
        "{\"file\":\"b\\u0007\",\"bytes\":1}\n"
        "{\"file\":\"c\",\"bytes\":1}\n"
        "{\"file\":\"d\",\"bytes\":1}");
    assert_int_equal(read_back(), 5);
    assert_int_equal(taken.count, 2);
    assert_string_equal(taken.file[1], "c");
    (void)snprintf(long_line, sizeof long_line, "{\"file\":\"a\",\"bytes\":1,\"x\":\"%08180d\"}\n",
                   0);
    put(long_line);
    assert_true(read_back() > 0);
    assert_int_equal(taken.count, 0);
    /* Something else of that name is no list. */
    assert_int_equal(unlink(path), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(pictures_file_read(folder, take, &taken, &damaged, &fault), -1);
    assert_non_null(strstr(fault.text, "cannot open "));
    assert_non_null(strstr(fault.text, path));
    assert_int_equal(rmdir(path), 0);
    assert_int_equal(symlink("/etc/passwd", path), 0);
    assert_int_equal(pictures_file_read(folder, take, &taken, &damaged, &fault), -1);
}

static void more_lines_go_behind(void **state)
{
    static const char *const before[] = {"", "{\"file\":\"a\",\"bytes\":1}\n",
                                         "{\"file\":\"a\",\"by"};
    struct fault fault = {""};

    (void)state;
    for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
        static const char more[] = "{\"file\":\"b\",\"bytes\":2}\n";
        int file;

        put(before[i]);
        file = pictures_file_open(folder, &fault);
        assert_true(file >= 0);
        assert_int_equal(write(file, more, sizeof more - 1), sizeof more - 1);
        (void)close(file);
        assert_int_equal(read_back(), i == 2);
        assert_int_equal(taken.count, i == 1 ? 2 : 1);
        assert_string_equal(taken.file[taken.count - 1], "b");
    }
    (void)snprintf(path, sizeof path, "%s/none", folder);
    assert_int_equal(pictures_file_open(path, &fault), -1);
    assert_non_null(strstr(fault.text, "No such file or directory"));
}

/* ---- files ---- */

static void a_file_is_read_to_its_most(void **state)
{
    struct fault fault = {""};
    size_t length = 0;
    char *bytes = NULL;

    (void)state;
    put("12345");
    assert_int_equal(file_read(path, 5, &bytes, &length, &fault), 0);
    assert_int_equal(length, 5);
    assert_string_equal(bytes, "12345");
    free(bytes);
    put("");
    assert_int_equal(file_read(path, 5, &bytes, &length, &fault), 0);
    assert_int_equal(length, 0);
    assert_string_equal(bytes, "");
    free(bytes);
    put("123456");
    assert_int_equal(file_read(path, 5, &bytes, &length, &fault), -1);
    assert_non_null(strstr(fault.text, ": larger than 5 bytes, which is the most allowed"));
    assert_int_equal(file_read(folder, 5, &bytes, &length, &fault), -1);
    assert_non_null(strstr(fault.text, ": not a regular file"));
    assert_int_equal(unlink(path), 0);
    assert_int_equal(file_read(path, 5, &bytes, &length, &fault), 1);
}

/* Asked without writing: the folder that would be written in is the last one that exists. */
static void whether_a_file_can_be_replaced(void **state)
{
    char deep[256], very_long[PATH_SIZE + 16];
    struct fault fault = {""};

    (void)state;
    put("x");
    assert_int_equal(file_can_replace(path, &fault), 0);
    (void)snprintf(deep, sizeof deep, "%s/a/b/c.json", folder);
    assert_int_equal(file_can_replace(deep, &fault), 0);
    assert_int_equal(file_can_replace("c.json", &fault), access(".", W_OK) == 0 ? 0 : -1);
    assert_string_equal(fault.text, "");
    (void)snprintf(deep, sizeof deep, "%s/c.json", path);
    assert_int_equal(file_can_replace(deep, &fault), -1);
    assert_non_null(strstr(fault.text, PICTURES_FILE ": not a folder"));
    assert_int_equal(file_can_replace("/proc/version/x.json", &fault), -1);
    /* With .bak and a name for the fresh file behind it, it must still fit. */
    for (int length = PATH_SIZE - 12; length < PATH_SIZE + 2; length++) {
        (void)snprintf(very_long, sizeof very_long, "/tmp/%0*d", length - 5, 0);
        assert_int_equal(file_can_replace(very_long, &fault), length < PATH_SIZE - 8 ? 0 : -1);
    }
    assert_non_null(strstr(fault.text, "...: path too long"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_member_is_read, make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(what_cannot_be_is_unknown, make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(what_is_damaged_is_counted, make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(more_lines_go_behind, make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(a_file_is_read_to_its_most, make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(whether_a_file_can_be_replaced, make_folder, remove_folder),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
