/* The keys of the setup for a night outside: power, cards, sensor, hooks, sites, reminders; and
 * from whom a command is taken. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/fault.h>
#include <moonstand/setup_file.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int parse(const char *text, struct setup *setup, struct fault *fault)
{
    fault->text[0] = '\0';
    return setup_parse("setup.json", text, strlen(text), NULL, setup, fault);
}

static const char whole[] =
    "{\"site\": \"ridge\",\n"
    " \"sites\": [{\"name\": \"yard\", \"latitude_deg\": 1, \"longitude_deg\": 2},\n"
    "  {\"name\": \"ridge\", \"latitude_deg\": 3.5, \"longitude_deg\": 4, \"height_m\": 900,\n"
    "   \"forecast\": \"/srv/ridge.json\", \"horizon\": [[10, 5]]}],\n"
    " \"rigs\": [{\"name\": \"a\", \"focal_mm\": 200, \"f_number\": 4, \"card_gb\": 64,\n"
    "  \"card_path\": \"/media/card/DCIM\", \"power\": {\"rated_shots\": 900, \"rated_hours\": "
    "2.5,\n"
    "   \"spares\": 3, \"live_view\": true, \"heater_w\": 4.5, \"battery_wh\": 16,\n"
    "   \"cold\": [[-15, 0.5], [5, 0.75], [20, 1]]}},\n"
    "  {\"name\": \"b\", \"focal_mm\": 20, \"f_number\": 2, \"power\": {\"external\": true}}],\n"
    " \"reminders\": [{\"text\": \"tea\", \"due\": \"U2-40m\"},\n"
    "  {\"text\": \"last bus\", \"due\": \"2028-12-31T18:30Z\", \"rig\": \"b\", \"id\": "
    "\"bus\"}],\n"
    " \"air\": {\"command\": [\"/usr/bin/sensor\", \"-q\", \"\"], \"every_s\": 120},\n"
    " \"hooks\": {\"contact\": [\"say\", \"contact now\"], \"air\": [\"bell\"]}}\n";

static void assert_whole(const struct setup *setup)
{
    const struct power *power = &setup->rig[0].power;
    const struct checklist *list = &setup->checklist;
    const struct check_item *bus = &list->item[list->count - 1];
    struct checklist stock;

    assert_true(setup->has_site);
    assert_string_equal(setup->site.name, "ridge");
    assert_true(setup->site.latitude_deg == 3.5 && setup->site.height_m == 900);
    assert_string_equal(setup->site.forecast, "/srv/ridge.json");
    assert_int_equal(setup->site.horizon.count, 1);
    assert_int_equal(setup->site_count, 2);
    assert_true(isnan(setup->sites[0].pressure_hpa));
    assert_ptr_equal(setup_site(setup, "yard"), &setup->sites[0]);
    assert_null(setup_site(setup, "none"));

    assert_true(power->rated_shots == 900 && power->rated_hours == 2.5 && power->spares == 3);
    assert_true(power->live_view && !power->external);
    assert_true(power->heater_w == 4.5 && power->battery_wh == 16);
    assert_int_equal(power->cold_count, 3);
    assert_true(power->cold[1].temperature_c == 5 && power->cold[1].capacity == 0.75);
    assert_true(setup->rig[1].power.external && setup->rig[1].power.rated_shots == 1500);
    assert_true(setup->rig[0].card_gb == 64 && isnan(setup->rig[1].card_gb));
    assert_string_equal(setup->rig[0].card_path, "/media/card/DCIM");

    /* The list of the program, and the reminders after it. */
    checklist_default(&stock);
    assert_int_equal(list->count, stock.count + 2);
    assert_string_equal(bus->id, "bus");
    assert_int_equal(bus->group, CHECK_REMINDER);
    assert_true(bus->at_instant && !bus->has_due);
    assert_true(bus->due_utc == 1861900200); /* date -u -d 2028-12-31T18:30Z +%s */
    assert_true(bus[-1].has_due && (int)bus[-1].due.at.anchor == CONTACT_U2);
    assert_true(bus[-1].due.at.offset_s == -2400);

    assert_string_equal(setup->air.file, "");
    assert_true(setup->air.every_s == 120);
    assert_int_equal(setup->air.command.count, 3);
    assert_memory_equal(setup->air.command.text, "/usr/bin/sensor\0-q\0\0", 20);
    assert_memory_equal(setup->hook[HOOK_CONTACT].text, "say\0contact now\0", 16);
    assert_int_equal(setup->hook[HOOK_AIR].count, 1);
    assert_int_equal(setup->hook[HOOK_SWAP].count, 0);
}

static void every_key_is_read(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    if (parse(whole, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_whole(&setup);
    assert_false(setup.trust.may_run);
}

static char folder[64], path[96];

static int make_folder(void **state)
{
    (void)state;
    (void)snprintf(folder, sizeof folder, "/tmp/moonstand-test-XXXXXX");
    if (!mkdtemp(folder))
        return -1;
    (void)snprintf(path, sizeof path, "%s/setup.json", folder);
    return 0;
}

static int remove_folder(void **state)
{
    char backup[104];

    (void)state;
    (void)snprintf(backup, sizeof backup, "%s.bak", path);
    (void)remove(backup);
    (void)remove(path);
    return remove(folder);
}

static void written_comes_back(void **state)
{
    static struct setup setup, back;
    struct fault fault;

    (void)state;
    assert_int_equal(parse(whole, &setup, &fault), 0);
    if (setup_write(path, &setup, &fault) != 0 || setup_read(path, &back, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_whole(&back);
}

/* What a file names is run only where nobody else can have written it. */
static void commands_are_taken_from_a_file_of_ones_own_alone(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    assert_int_equal(parse(whole, &setup, &fault), 0);
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_true(setup.trust.may_run);
    assert_int_equal(chmod(path, 0620), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_false(setup.trust.may_run);
    assert_int_equal(chmod(path, 0602), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_false(setup.trust.may_run);
    assert_int_equal(chmod(path, 0644), 0);
    assert_int_equal(chmod(folder, 0777), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_false(setup.trust.may_run);
    assert_int_equal(chmod(folder, 0755), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_true(setup.trust.may_run);
    /* Another's file: only root can make one. */
    if (geteuid() == 0) {
        assert_int_equal(chown(path, 65534, 65534), 0);
        assert_int_equal(setup_read(path, &setup, &fault), 0);
        assert_false(setup.trust.may_run);
    }
}

/* Nor do they come to be one's own when the file is written anew or kept with a session. */
static void commands_of_others_stay_of_others(void **state)
{
    static struct setup setup;
    char backup[104];
    struct stat status;
    struct fault fault;
    mode_t before;

    (void)state;
    (void)snprintf(backup, sizeof backup, "%s.bak", path);
    (void)remove(path);
    assert_int_equal(parse(whole, &setup, &fault), 0);
    before = umask(0);
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    (void)umask(before);
    assert_int_equal(stat(path, &status), 0);
    assert_int_equal(status.st_mode & 0777, 0600);
    assert_int_equal(chmod(path, 0664), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    assert_int_equal(stat(path, &status), 0);
    assert_int_equal(status.st_mode & 0777, 0664);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_false(setup.trust.may_run);
    assert_int_equal(setup.hook[HOOK_CONTACT].count, 2);
    assert_int_equal(setup_read(backup, &setup, &fault), 0);
    assert_false(setup.trust.may_run);
    assert_int_equal(remove(path), 0);

    assert_int_equal(setup_keep(folder, SETUP_BEGAN, &setup, &fault), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_true(setup.trust.may_run);
    assert_int_equal(setup.hook[HOOK_CONTACT].count, 0);
    assert_int_equal(setup.air.command.count, 0);

    assert_int_equal(parse(whole, &setup, &fault), 0);
    setup.trust.may_run = true;
    assert_int_equal(remove(path), 0);
    assert_int_equal(setup_keep(folder, SETUP_BEGAN, &setup, &fault), 0);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_whole(&setup);
    /* Another's file: only root can make one. */
    if (geteuid() == 0) {
        assert_int_equal(chown(path, 65534, 65534), 0);
        assert_int_equal(setup_write(path, &setup, &fault), 0);
        assert_int_equal(setup_read(path, &setup, &fault), 0);
        assert_false(setup.trust.may_run);
    }
}

static void the_first_of_the_sites_is_active_by_itself(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    assert_int_equal(
        parse("{\"sites\": [{\"name\": \"x\", \"latitude_deg\": 7, \"longitude_deg\": 8}]}", &setup,
              &fault),
        0);
    assert_true(setup.has_site && setup.site.latitude_deg == 7);
}

#define RIG(more) "{\"rigs\": [{\"name\": \"a\", \"focal_mm\": 50, \"f_number\": 2" more "}]}"
#define SITES_AB                                                                                   \
    "\"sites\": [{\"name\": \"a\", \"latitude_deg\": 1, \"longitude_deg\": 2},"                    \
    "{\"name\": \"b\", \"latitude_deg\": 1, \"longitude_deg\": 2}]"

static const struct {
    const char *text, *message; /* how it begins */
} refused[] = {
    {"{\"site\": \"c\", " SITES_AB "}",
     "setup.json:1:10: site: found \"c\"; expected the name of one of the sites"},
    {"{\"site\": {\"name\": \"a\", \"latitude_deg\": 1, \"longitude_deg\": 2}, " SITES_AB "}",
     "setup.json:1:19: site.name: found \"a\"; expected a name that none of the sites has"},
    {"{\"sites\": [{\"latitude_deg\": 1, \"longitude_deg\": 2}]}",
     "setup.json:1:12: sites[0]: a site of the list needs a name"},
    {"{\"sites\": [{\"name\": \"a\", \"latitude_deg\": 1, \"longitude_deg\": 2},"
     "{\"name\": \"a\", \"latitude_deg\": 1, \"longitude_deg\": 2}]}",
     "setup.json:1:74: sites[1].name: found \"a\"; expected a name of its own"},
    {RIG(", \"power\": {\"rated_hours\": 0}"),
     "setup.json:1:81: rigs[0].power.rated_hours: found 0; expected a number from 0.1"},
    {RIG(", \"power\": {\"cold\": [[0, 1], [0, 1]]}"),
     "setup.json:1:84: rigs[0].power.cold[1][0]: found 0 after 0; the temperature must rise"},
    {RIG(", \"power\": {\"cold\": [[0, 1.5]]}"),
     "setup.json:1:75: rigs[0].power.cold[0]: expected [temperature, capacity]"},
    {RIG(", \"power\": {\"cold\": []}"), "setup.json:1:74: rigs[0].power.cold: expected a list"},
    {RIG(", \"card_path\": \"DCIM\""),
     "setup.json:1:69: rigs[0].card_path: found \"DCIM\"; expected a path from the root, /"},
    {"{\"air\": {\"file\": \"/a\", \"command\": [\"b\"]}}",
     "setup.json:1:9: air: found both a file and a command"},
    {"{\"air\": {\"every_s\": 1}}", "setup.json:1:21: air.every_s: found 1; expected"},
    {"{\"hooks\": {\"alarm\": \"beep\"}}",
     "setup.json:1:21: hooks.alarm: expected a list of 1 to 16 texts"},
    {"{\"hooks\": {\"alarm\": [\"\"]}}", "setup.json:1:22: hooks.alarm[0]: found \"\"; expected"},
    {"{\"hooks\": {\"alarm\": [1]}}", "setup.json:1:22: hooks.alarm[0]: found 1; expected a text"},
    {"{\"hooks\": {\"dawn\": [\"x\"]}}",
     "setup.json:1:12: hooks.dawn: unknown key; expected one of"},
    {"{\"reminders\": [{\"text\": \"x\"}]}",
     "setup.json:1:16: reminders[0]: the key \"due\" is missing"},
    {"{\"reminders\": [{\"text\": \"x\", \"due\": \"2028-13-31T18:30Z\"}]}",
     "setup.json:1:37: reminders[0].due: "},
    {"{\"reminders\": [{\"text\": \"x\", \"due\": \"U2\", \"rig\": \"none\"}]}",
     "setup.json:1:50: reminders[0].rig: found \"none\"; expected the name of one of the rigs"},
    {"{\"reminders\": [{\"text\": \"x\", \"due\": \"U2\", \"id\": \"hands\"}]}",
     "setup.json:1:16: reminders[0]: found the id \"hands\" twice"},
    {"{\"checklist\": [{\"group\": \"after\", \"text\": \"x\", \"id\": \"one\"}], "
     "\"reminders\": [{\"text\": \"y\", \"due\": \"U2\", \"id\": \"one\"}]}",
     "setup.json:1:77: reminders[0]: found the id \"one\" twice"},
};

static void what_is_wrong_is_refused_with_its_place(void **state)
{
    static struct setup setup;
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        assert_int_equal(parse(refused[i].text, &setup, &fault), -1);
        if (strncmp(fault.text, refused[i].message, strlen(refused[i].message)) != 0)
            fail_msg("%s\n  said:   %s\n  wanted: %s", refused[i].text, fault.text,
                     refused[i].message);
    }
}

/* A command longer than its room is refused, one that just fits is not. */
static void a_command_is_bounded(void **state)
{
    static struct setup setup;
    struct fault fault;
    char text[COMMAND_TEXT + 64], word[COMMAND_TEXT + 1];

    (void)state;
    memset(word, 'x', sizeof word);
    word[COMMAND_TEXT - 1] = '\0';
    (void)snprintf(text, sizeof text, "{\"hooks\": {\"air\": [\"%s\"]}}", word);
    assert_int_equal(parse(text, &setup, &fault), 0);
    word[COMMAND_TEXT - 1] = 'x';
    word[COMMAND_TEXT] = '\0';
    (void)snprintf(text, sizeof text, "{\"hooks\": {\"air\": [\"%s\"]}}", word);
    assert_int_equal(parse(text, &setup, &fault), -1);
    assert_non_null(strstr(fault.text, "longer than 512 bytes"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_key_is_read),
        cmocka_unit_test(written_comes_back),
        cmocka_unit_test(commands_are_taken_from_a_file_of_ones_own_alone),
        cmocka_unit_test(commands_of_others_stay_of_others),
        cmocka_unit_test(the_first_of_the_sites_is_active_by_itself),
        cmocka_unit_test(what_is_wrong_is_refused_with_its_place),
        cmocka_unit_test(a_command_is_bounded),
    };

    return RUN_AND_CLOSE_ALL(tests, make_folder, remove_folder);
}
