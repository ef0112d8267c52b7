/* The setup is changed while the night runs: in force at once, written where it came from, taken
 * back, found again, followed by a copy that looks on. */
#include "lived.h"
#include "open_files.h"

#include <moonstand/setup_file.h>

#include <fcntl.h>
#include <sys/wait.h>

static struct session session, other;
static struct setup read_back;

/* Written long before any session. */
static void setup_age(const char *path)
{
    const struct timespec times[2] = {{.tv_sec = 1000}, {.tv_sec = 1000}};

    assert_int_equal(utimensat(AT_FDCWD, path, times, 0), 0);
}

static void edit(const char *path, const char *typed)
{
    if (session_setup_edit(&session, path, typed) != 0)
        fail_msg("%s", session.message);
    session_step(&session);
}

static void open_from(const char *file, bool laid_over)
{
    struct session_start start = {
        .setup = &setup, .setup_file = file, .laid_over = laid_over, .eclipse = &eclipse};
    struct fault fault = {""};

    if (session_open(&session, &test_clock, &start, &fault) != 0)
        fail_msg("%s", fault.text);
    session_keep(&session);
    session_step(&session);
}

/* A session whose setup stands in a file. */
static void open_with_file(void)
{
    struct fault fault;
    char path[sizeof state_home + 16];

    (void)snprintf(path, sizeof path, "%s/setup.json", state_home);
    if (access(path, F_OK) != 0) {
        assert_int_equal(prepare(NULL), 0);
        assert_int_equal(setup_write(path, &setup, &fault), 0);
    }
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    open_from(path, false);
}

static const struct setup *in_file(void)
{
    struct fault fault;

    if (setup_read(session.source.file, &read_back, &fault) != 0)
        fail_msg("%s", fault.text);
    return &read_back;
}

static void a_change_holds_at_once_and_is_written(void **state)
{
    double stays;

    (void)state;
    open_with_file();
    stays = session.moment.rig[LONG].aim.placed_stays_s;
    edit("rigs[1].focal_mm", "250");
    assert_string_equal(session_message(&session), "setup: rigs > 2 long > focal length 250");
    assert_true(session.moment.rig[LONG].aim.placed_stays_s > 1.5 * stays);
    assert_near(in_file()->rig[LONG].focal_mm, 250, 0);
    edit("site.time_zone", "UTC");
    assert_near(zone_offset(&session.night.zone, now.utc, NULL), 0, 0);
    edit("shadow_rule", "chauvenet");
    assert_true(fabs(session.night.contact_utc[CONTACT_U1] - contact(CONTACT_U1)) > 10);
    session_undo(&session);
    session_step(&session);
    assert_near(session.night.contact_utc[CONTACT_U1], contact(CONTACT_U1), 1e-6);
    assert_int_equal(in_file()->rule, SHADOW_DANJON);
    session_undo(&session);
    session_undo(&session);
    session_step(&session);
    /* As of the act, whose instant is rounded to a millisecond. */
    assert_near(session.moment.rig[LONG].aim.placed_stays_s, stays, 1e-5);
    assert_near(in_file()->rig[LONG].focal_mm, setup.rig[LONG].focal_mm, 0);
    assert_null(night_last_undoable(&session.night));
    close_session(&session);
}

/* What somebody else wrote into the file meanwhile stays there. */
static void a_file_changed_by_hand_is_left_alone(void **state)
{
    struct fault fault;

    (void)state;
    open_with_file();
    edit("danjon", "1");
    assert_near(in_file()->danjon, 1, 0);
    read_back.danjon = 2.5;
    assert_int_equal(setup_write(session.source.file, &read_back, &fault), 0);
    edit("rigs[1].focal_mm", "250");
    assert_non_null(strstr(session_message(&session), "changed by somebody else"));
    assert_near(session.night.rig[LONG].rig.focal_mm, 250, 0);
    assert_near(in_file()->danjon, 2.5, 0);
    assert_near(in_file()->rig[LONG].focal_mm, setup.rig[LONG].focal_mm, 0);
    close_session(&session);
}

static void what_is_wrong_changes_nothing(void **state)
{
    size_t acts;

    (void)state;
    open_with_file();
    acts = session.night.act_count;
    assert_int_equal(session_setup_edit(&session, "rigs[1].focal_mm", "0"), -1);
    assert_string_equal(session_message(&session),
                        "rigs > 2 long > focal length: found 0; expected a number from 1 to 20000 mm");
    assert_int_equal(session_setup_edit(&session, "rigs[0]", NULL), -1);
    assert_non_null(strstr(session_message(&session), "only the last rig"));
    edit("rigs[1].focal_mm", "400");
    assert_string_equal(session_message(&session), "rigs > 2 long > focal length is as it was");
    assert_int_equal(session.night.act_count, acts);
    assert_near(in_file()->rig[LONG].focal_mm, setup.rig[LONG].focal_mm, 0);
    assert_int_equal(session.night.setup.rig_count, 3);
    edit("rigs[2]", NULL);
    assert_int_equal(session.night.setup.rig_count, 2);
    session_undo(&session);
    assert_int_equal(session.night.setup.rig_count, 3);
    close_session(&session);
}

/* How times and temperatures are read is the screen's: neither the file nor an undo knows of it. */
static void swapped_hours_and_units_stay_out_of_the_setup(void **state)
{
    struct act air = {.kind = ACT_AIR, .rig = -1, .value = {-10, 70}};

    (void)state;
    open_with_file();
    session.hours_swapped = session.units_swapped = true;
    edit("danjon", "1");
    assert_int_equal(in_file()->hours, HOURS_24);
    assert_int_equal(in_file()->units, UNITS_METRIC);
    session_undo(&session);
    assert_int_equal(session_reader(&session).hours, HOURS_12);
    assert_int_equal(session_reader(&session).units, UNITS_IMPERIAL);
    assert_int_equal(session_act(&session, &air), 0);
    assert_non_null(strstr(session_message(&session), "14.0 F"));
    session_undo(&session);
    close_session(&session);
}

/* What is told of a change is cut between characters: the journal keeps no others. */
static void a_long_change_is_told_cleanly(void **state)
{
    char path[FILE_PATH] = "";

    (void)state;
    open_with_file();
    for (int i = 0; i < 2; i++) {
        (void)snprintf(path, sizeof path, "%s", i ? "/a" : "/");
        while (strlen(path) + 2 < sizeof path)
            (void)snprintf(path + strlen(path), sizeof path - strlen(path), "%s", "\u0436");
        edit("site.forecast", path);
        assert_string_equal(in_file()->site.forecast, path);
        assert_true(text_is_clean(night_last_undoable(&session.night)->text));
        session_undo(&session);
    }
    close_session(&session);
}

/* A change on the page and its undo both write the path of the horizon file, not its points. */
static void the_path_of_a_horizon_file_stays_in_the_setup(void **state)
{
    char horizon[sizeof state_home + 16];
    FILE *file;

    (void)state;
    (void)snprintf(horizon, sizeof horizon, "%s/ridge.txt", state_home);
    file = fopen(horizon, "w");
    assert_true(fputs("90 12\n200 5\n", file) >= 0);
    assert_int_equal(fclose(file), 0);
    open_with_file();
    edit("site.horizon", horizon);
    edit("danjon", "1");
    assert_string_equal(in_file()->site.horizon_file, horizon);
    session_undo(&session);
    assert_near(in_file()->danjon, 3, 0);
    assert_string_equal(in_file()->site.horizon_file, horizon);
    assert_int_equal(session.night.setup.site.horizon.count, 2);
    close_session(&session);
}

/* A session that is opened by its name has its setup in its own folder: that stays what the night
 * began with, and the journal has the changes. */
static void what_the_night_began_with_stays(void **state)
{
    char path[PATH_SIZE + 16];
    struct fault fault;
    size_t size;

    (void)state;
    assert_int_equal(prepare(NULL), 0);
    open_session(&session);
    close_session(&session);
    (void)snprintf(path, sizeof path, "%s/setup.json", session.folder);
    size = file_size(path);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    open_from(path, false);
    assert_string_equal(session.source.file, "");
    edit("danjon", "1");
    edit("danjon", "2");
    assert_string_equal(session_message(&session), "setup: umbra L 2");
    close_session(&session);
    assert_int_equal(setup_read(path, &setup, &fault), 0);
    assert_near(setup.danjon, 3, 0);
    assert_int_equal(file_size(path), size);
    open_from(path, false);
    assert_near(session.night.setup.danjon, 2, 0);
    session_undo(&session);
    assert_non_null(strstr(session_message(&session), "umbra L 2"));
    assert_near(session.night.setup.danjon, 1, 0);
    close_session(&session);
}

/* Items that were told in the night do not become part of the setup, and outlive its change. */
static void items_of_the_night_stay_apart(void **state)
{
    int items;

    (void)state;
    open_with_file();
    items = session.night.setup.checklist.count;
    act(&session,
        (struct act){.kind = ACT_ITEM, .rig = -1, .value = {NAN}, .text = "move the car"});
    tick(&session, items);
    edit("checklist[0]", NULL);
    assert_int_equal(session.night.setup.checklist.count, items);
    assert_string_equal(session.night.setup.checklist.item[items - 1].text, "move the car");
    assert_true(isfinite(session.night.checked_utc[items - 1]));
    assert_int_equal(in_file()->checklist.count, items - 1);
    close_session(&session);
}

static void undo_reaches_across_a_restart(void **state)
{
    double f_number;

    (void)state;
    open_with_file();
    f_number = setup.rig[LONG].f_number;
    edit("danjon", "1");
    edit("rigs[1].f_number", "11");
    close_session(&session);
    open_with_file();
    assert_near(session.night.rig[LONG].rig.f_number, 11, 0);
    session_undo(&session);
    session_step(&session);
    assert_near(session.night.rig[LONG].rig.f_number, f_number, 0);
    assert_string_equal(session.message, "undone: setup: rigs > 2 long > f-number 11");
    assert_near(session.night.danjon_state, 1, 0);
    session_undo(&session);
    session_step(&session);
    assert_near(session.night.danjon_state, 3, 0);
    assert_near(in_file()->danjon, 3, 0);
    close_session(&session);
}

/* Without a file of its own (the demo, a site by option) a change is found with the session. */
static void without_a_file_it_stays_with_the_session(void **state)
{
    char path[sizeof state_home + 16];
    struct fault fault;

    (void)state;
    assert_int_equal(prepare(NULL), 0);
    open_from(NULL, false);
    edit("danjon", "1");
    close_session(&session);
    /* The next start finds it there, ... */
    open_from(NULL, false);
    assert_near(session.night.danjon_state, 1, 0);
    close_session(&session);
    /* ... at another place, too, */
    setup.site.latitude_deg = 48;
    setup.rule = SHADOW_CHAUVENET;
    open_from("/nowhere", true);
    assert_near(session.night.setup.danjon, 1, 0);
    assert_near(session.night.site.latitude_deg, 48, 0);
    assert_int_equal(session.night.eclipse.rule, SHADOW_CHAUVENET);
    /* which is what the night begins with now; */
    assert_null(night_last_undoable(&session.night));
    edit("danjon", "2");
    close_session(&session);
    open_from("/nowhere", true);
    assert_near(session.night.setup.danjon, 2, 0);
    close_session(&session);
    /* what was written to its file since goes first. */
    (void)snprintf(path, sizeof path, "%s/setup.json", state_home);
    sleep_ms(20);
    assert_int_equal(setup_write(path, &setup, &fault), 0);
    open_from(path, true);
    assert_near(session.night.setup.danjon, 3, 0);
    close_session(&session);
    assert_int_equal(prepare(NULL), 0);
}

/* A file that was edited between two runs is what the night goes on with; acts stay. */
static void a_file_edited_between_two_runs_goes_first(void **state)
{
    struct fault fault;

    (void)state;
    open_with_file();
    act(&session, (struct act){.kind = ACT_FRAME, .rig = LONG});
    edit("danjon", "1");
    close_session(&session);
    read_back = *in_file();
    read_back.rig[LONG].focal_mm = 250;
    assert_int_equal(setup_write(session.source.file, &read_back, &fault), 0);
    open_with_file();
    assert_near(session.night.setup.danjon, 1, 0);
    assert_near(session.night.rig[LONG].rig.focal_mm, 250, 0);
    assert_int_equal(session.night.rig[LONG].frames, 1);
    session_undo(&session); /* the frame: what was changed before is part of the beginning */
    assert_int_equal(session.night.rig[LONG].frames, 0);
    assert_near(session.night.setup.danjon, 1, 0);
    close_session(&session);
}

/* A change that no file has taken outlives a crash all the same. */
static void a_crash_loses_no_change(void **state)
{
    int status;

    (void)state;
    open_with_file();
    close_session(&session);
    if (fork() == 0) {
        open_with_file();
        (void)snprintf(session.source.file, sizeof session.source.file, "/proc/none/setup.json");
        edit("danjon", "1");
        edit("rigs[2]", NULL);
        WAIT_SYNCED(&session);
        _exit(0);
    }
    assert_true(wait(&status) > 0 && status == 0);
    open_with_file();
    assert_near(session.night.setup.danjon, 1, 0);
    assert_int_equal(session.night.setup.rig_count, 2);
    session_undo(&session);
    assert_int_equal(session.night.setup.rig_count, 3);
    close_session(&session);
}

/* Nor are a command's words taken from a record that somebody else could have written. */
static void commands_of_an_open_record_are_not_taken(void **state)
{
    (void)state;
    open_with_file();
    assert_true(session.night.setup.trust.may_run);
    edit("hooks.alarm", "[\"true\"]");
    edit("danjon", "1");
    close_session(&session);
    setup.danjon = 3; /* the file as it was before */
    assert_int_equal(remove(session.source.file), 0);
    assert_int_equal(setup_write(session.source.file, &setup, &(struct fault){0}), 0);
    setup_age(session.source.file);
    assert_int_equal(chmod(session.folder, 0777), 0);
    open_with_file();
    assert_true(session.night.setup.trust.may_run);
    assert_near(session.night.setup.danjon, 1, 0);
    assert_int_equal(session.night.setup.hook[HOOK_ALARM].count, 0);
    assert_int_equal(session_setup_edit(&session, "hooks.alarm", "[\"false\"]"), -1);
    assert_non_null(strstr(session_message(&session), "can be changed by other users"));
    close_session(&session);
}

/* A folder that cannot be written keeps nobody from a change; it says what that costs. */
static void a_file_that_cannot_be_written_is_told(void **state)
{
    (void)state;
    open_with_file();
    (void)snprintf(session.source.file, sizeof session.source.file, "%s/none/\001/setup.json",
                   "/proc");
    edit("danjon", "1");
    assert_non_null(strstr(session_message(&session), "applied for tonight, but not saved: /proc"));
    assert_near(session.night.danjon_state, 1, 0);
    close_session(&session);
}

/* The session's copy has no command that may not run; the file keeps those that it has. */
static void commands_that_may_not_run_stay_in_the_file(void **state)
{
    struct fault fault;

    (void)state;
    setup.hook[HOOK_ALARM] = (struct user_command){.count = 1, .text = "true"};
    setup.air.command = (struct user_command){.count = 1, .text = "sensor"};
    (void)snprintf(session.source.file, sizeof session.source.file, "%s/setup.json", state_home);
    assert_int_equal(setup_write(session.source.file, &setup, &fault), 0);
    assert_int_equal(chmod(session.source.file, 0660), 0);
    open_with_file();
    assert_false(session.night.setup.trust.may_run);
    edit("danjon", "1");
    assert_int_equal(in_file()->hook[HOOK_ALARM].count, 1);
    assert_false(in_file()->trust.may_run);
    assert_int_equal(setup_kept(session.folder, SETUP_BEGAN, &read_back, &fault), 0);
    assert_int_equal(read_back.hook[HOOK_ALARM].count, 0);
    assert_int_equal(session_setup_edit(&session, "hooks.alarm", "[\"false\"]"), -1);
    assert_non_null(strstr(session_message(&session), "can be changed by other users"));
    session_undo(&session);
    session_step(&session);
    assert_near(in_file()->danjon, 3, 0);
    assert_string_equal(in_file()->hook[HOOK_ALARM].text, "true");
    assert_string_equal(in_file()->air.command.text, "sensor");
    assert_string_equal(session.night.setup.hook[HOOK_ALARM].text, "true");
    assert_false(session.night.setup.trust.may_run);
    close_session(&session);
    /* Resumed, the night still has the file's. */
    open_with_file();
    edit("danjon", "2");
    assert_string_equal(in_file()->hook[HOOK_ALARM].text, "true");
    assert_false(session.night.setup.trust.may_run);
    close_session(&session);
    assert_int_equal(prepare(NULL), 0);
}

static void whoever_looks_on_follows(void **state)
{
    struct fault fault;

    (void)state;
    open_with_file();
    edit("danjon", "1");
    WAIT_SYNCED(&session);
    open_session(&other);
    assert_true(other.looking_on);
    assert_near(other.night.danjon_state, 1, 0);
    assert_int_equal(session_setup_edit(&other, "danjon", "2"), -1);
    edit("rigs[1].focal_mm", "250");
    WAIT_SYNCED(&session);
    assert_int_equal(journal_poll(other.journal, &fault), 0);
    session_step(&other);
    assert_near(other.night.rig[LONG].rig.focal_mm, 250, 0);
    session_undo(&session);
    session_undo(&session);
    WAIT_SYNCED(&session);
    assert_int_equal(journal_poll(other.journal, &fault), 0);
    session_step(&other);
    assert_near(other.night.danjon_state, 3, 0);
    close_session(&other);
    close_session(&session);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(a_change_holds_at_once_and_is_written),
        AT_HOME(a_file_changed_by_hand_is_left_alone),
        AT_HOME(what_is_wrong_changes_nothing),
        AT_HOME(swapped_hours_and_units_stay_out_of_the_setup),
        AT_HOME(a_long_change_is_told_cleanly),
        AT_HOME(the_path_of_a_horizon_file_stays_in_the_setup),
        AT_HOME(what_the_night_began_with_stays),
        AT_HOME(items_of_the_night_stay_apart),
        AT_HOME(undo_reaches_across_a_restart),
        AT_HOME(without_a_file_it_stays_with_the_session),
        AT_HOME(a_file_edited_between_two_runs_goes_first),
        AT_HOME(a_crash_loses_no_change),
        AT_HOME(commands_of_an_open_record_are_not_taken),
        AT_HOME(a_file_that_cannot_be_written_is_told),
        AT_HOME(commands_that_may_not_run_stay_in_the_file),
        AT_HOME(whoever_looks_on_follows),
    };

    return RUN_AND_CLOSE_ALL(tests, prepare, NULL);
}
