/* The session: what is done survives, what was missed is told, whatever happens to clock, process
 * and setup. */
#include "lived.h"
#include "open_files.h"

#include <moonstand/alive.h>
#include <moonstand/dashboard.h>
#include <moonstand/lines.h>
#include <moonstand/setup_file.h>
#include <moonstand/track.h>

#include <signal.h>
#include <sys/wait.h>

static struct session session, other; /* large: not on the stack */

/* ---- the clock is set ---- */

static void clock_set_back_by_an_hour(void **state)
{
    double u2 = contact(CONTACT_U2), aimed, boot_aimed, alarmed = NAN;
    int alarms = 0;

    (void)state;
    now.utc = u2 - 1800;
    open_session(&session);
    assert_true(session.night.pace == 1);
    aim(&session);
    aimed = now.utc;
    boot_aimed = now.boot;
    for (int i = 0; i < 60; i++)
        step(&session, 1);
    now.utc -= 3600;
    step(&session, 1);

    assert_near(last_of(&session.night, ACT_GAP)->value[2], -3600, WRITTEN_S);
    assert_string_equal(session_message(&session), "the clock was set back by 1:00:00");
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    /* What counts down to an instant of the sky follows the clock, ... */
    assert_string_equal(night_event_name(&session.night.event[session.moment.next]), "U1");
    assert_near(session.night.event[session.moment.next].utc - session.moment.utc,
                contact(CONTACT_U1) - now.utc, 1e-6);
    /* ... what runs since it was done keeps running. */
    assert_near(session.night.rig[LONG].aimed_utc, aimed - 3600, WRITTEN_S);
    assert_near(session.moment.utc - session.night.rig[LONG].aimed_utc, now.boot - boot_aimed,
                WRITTEN_S);
    assert_int_equal(session.moment.rig[LONG].aim_state, AIM_STEADY);
    for (int i = 0; i < 3000; i++) {
        step(&session, 1);
        if (count_kind(&session.night, ACT_ALARM) > alarms) {
            alarms++;
            alarmed = now.utc;
        }
    }
    assert_int_equal(alarms, 1);
    assert_true(alarmed >= session.night.rig[LONG].leaves_utc &&
                alarmed < session.night.rig[LONG].leaves_utc + 1);
    assert_int_equal(session.moment.alarm_rig, LONG);
    close_session(&session);
}

static void clock_set_forward_by_an_hour(void **state)
{
    double from, aimed;

    (void)state;
    now.utc = contact(CONTACT_U1) - 1800;
    open_session(&session);
    aim(&session);
    aimed = now.utc;
    act(&session, (struct act){.kind = ACT_SNOOZE, .rig = LONG, .value = {120}});
    step(&session, 1);
    from = now.utc;
    now.utc += 3600;
    step(&session, 1);

    assert_near(last_of(&session.night, ACT_GAP)->value[2], 3600, WRITTEN_S);
    assert_string_equal(session_message(&session), "the clock was set forward by 1:00:00");
    assert_int_equal(times_missed(&session.night, -1, "U1", contact(CONTACT_U1)), 1);
    assert_missed_between(&session.night, from, now.utc, 0);
    /* Two seconds after the aim there is nothing to aim again. */
    assert_near(session.night.rig[LONG].aimed_utc, aimed + 3600, WRITTEN_S);
    assert_near(session.night.rig[LONG].snoozed_until, aimed + 3600 + 120, WRITTEN_S);
    assert_int_equal(session.moment.rig[LONG].aim_state, AIM_STEADY);
    assert_string_equal(night_event_name(&session.night.event[session.moment.next]), "U2");
    close_session(&session);
}

/* A rehearsal at sixty times the pace of life: its clock runs, nobody sets it, until somebody does. */
static void a_fast_clock_is_not_one_that_was_set(void **state)
{
    struct clock fast = test_clock;
    struct fault fault;

    (void)state;
    fast.speed = 60;
    assert_int_equal(open_as(&session, &fast, true, NULL, &fault), 0);
    assert_true(session.night.pace == 60);
    for (int i = 0; i < 20; i++) {
        now.utc += 60;
        now.boot += 1;
        session_step(&session);
    }
    assert_int_equal(count_kind(&session.night, ACT_GAP), 0);
    now.utc += 60 + 600;
    now.boot += 1;
    session_step(&session);
    assert_near(last_of(&session.night, ACT_GAP)->value[2], 600, WRITTEN_S);
    close_session(&session);
}

/* The same while the program was not running, on the boot clock that knows better. */
static void clock_set_between_two_starts(void **state)
{
    double aimed;

    (void)state;
    now.utc = contact(CONTACT_U1) + 60;
    open_session(&session);
    aim(&session);
    aimed = now.utc;
    close_session(&session);
    pass(100);
    now.utc -= 7200;
    open_session(&session);
    assert_near(last_of(&session.night, ACT_GAP)->value[2], -7200, 0.002);
    assert_near(session.night.rig[LONG].aimed_utc, aimed - 7200, 0.002);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    close_session(&session);
    /* A second more or less between two clocks that both run is no clock that was set. */
    pass(5);
    now.utc += 1;
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_GAP), 1);
    close_session(&session);
}

/* ---- what the pictures show ---- */

/* Two looks, a minute apart, at a Moon that drifts as over a camera that is left alone. */
static void look_twice(int rig, double utc)
{
    struct album *album = &session.readings.album[rig];
    const struct frame_point place = {-0.2, 0.05};
    struct look_at_moon look = {.utc = utc - 60,
                                .found = true,
                                .place = place,
                                .clipped = NAN,
                                .limb_px = NAN,
                                .limb_least_px = NAN,
                                .lit = {NAN, NAN},
                                .umbra = {NAN, NAN},
                                .umbra_off_stops = NAN};
    struct pointing pointing;

    (void)pointing_for(&setup.rig[rig], track_direction(&session.night.track, look.utc), place,
                       &pointing);
    album_look(album, &look);
    look.utc = utc;
    (void)frame_project(&setup.rig[rig], &pointing, track_direction(&session.night.track, utc),
                        &look.place);
    album_look(album, &look);
}

/* The screen shows each for three seconds, and plain lines have a line for each. */
static void two_aims_of_one_tick_are_both_said(void **state)
{
    static struct lines lines;
    struct view view = {.message = ""};
    char *told = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&told, &size);

    (void)state;
    assert_non_null(out);
    for (int rig = 0; rig <= LONG; rig++)
        (void)snprintf(setup.rig[rig].pictures, RIG_PICTURES, "/card%d", rig);
    now.utc = contact(CONTACT_U1) + 600;
    open_session(&session);
    session.readings.eye = EYE_WATCHES;
    lines_begin(&lines);
    for (int rig = 0; rig <= LONG; rig++)
        look_twice(rig, now.utc);
    for (int i = 0; i < 6; i++) {
        step(&session, 1);
        view.message = session_message(&session);
        lines_tell(&lines, out, &session.night, &session.moment, &view);
        assert_int_equal(count_kind(&session.night, ACT_SPOTTED), i < 3 ? 1 : 2);
        assert_int_equal(strncmp(view.message, setup.rig[i < 3 ? 0 : LONG].name,
                                 strlen(setup.rig[i < 3 ? 0 : LONG].name)),
                         0);
    }
    assert_int_equal(fclose(out), 0);
    for (int rig = 0; rig <= LONG; rig++) {
        char words[RIG_NAME + 40];

        (void)snprintf(words, sizeof words, "  %s: aimed, by its pictures", setup.rig[rig].name);
        assert_non_null(strstr(told, words));
        *setup.rig[rig].pictures = '\0';
    }
    free(told);
    close_session(&session);
}

/* ---- nobody watched ---- */

enum { TURNS = 40 };

/* What the message line says in turn when the first message has gone: "missed 1 of N: ...". */
static void tell_in_turn(struct session *of, int count, char told[TURNS][ACT_TEXT])
{
    step(of, 5);
    for (int i = 0; i < count; i++) {
        char begins[48];

        (void)snprintf(begins, sizeof begins, "missed %d of %d: ", i + 1, count);
        step(of, i ? 4 : 1);
        (void)snprintf(told[i], ACT_TEXT, "%s", session_message(of));
        if (strncmp(told[i], begins, strlen(begins)) != 0)
            fail_msg("'%s' where '%s' is wanted", told[i], begins);
    }
}

static bool is_told(char told[TURNS][ACT_TEXT], int count, const char *what)
{
    for (int i = 0; i < count; i++)
        if (strstr(told[i], what))
            return true;
    return false;
}

static void suspend_of_two_hours(void **state)
{
    static char told[TURNS][ACT_TEXT];
    double from, leaves;
    int missed, gaps;

    (void)state;
    now.utc = contact(CONTACT_U1) + 300;
    open_session(&session);
    aim(&session);
    step(&session, 5);
    from = now.utc;
    leaves = session.night.rig[LONG].leaves_utc;
    assert_true(leaves > from && leaves < from + 7200);
    step(&session, 7200);

    assert_string_equal(session_message(&session),
                        "asleep or closed for 2:00:00: check every camera");
    assert_true(isnan(last_of(&session.night, ACT_GAP)->value[2]));
    assert_near(last_of(&session.night, ACT_GAP)->value[0], from, WRITTEN_S);
    assert_int_equal(times_missed(&session.night, LONG, "", leaves), 1);
    assert_int_equal(times_missed(&session.night, -1, "U2", contact(CONTACT_U2)), 1);
    assert_int_equal(times_missed(&session.night, -1, "greatest", contact(CONTACT_GREATEST)), 1);
    assert_missed_between(&session.night, from, now.utc, 1);
    assert_int_equal(session.moment.alarm_rig, LONG);
    missed = count_kind(&session.night, ACT_MISSED);
    gaps = count_kind(&session.night, ACT_GAP);

    /* Each stands on the screen in turn, by its time, until the user has done something. */
    assert_true(missed <= TURNS);
    tell_in_turn(&session, missed, told);
    /* Local time is five hours ahead; U2 by the catalogue is at 16:16:27 UTC or so. */
    assert_true(is_told(told, missed, ": U2 at 21:16:"));
    assert_true(is_told(told, missed, ": greatest at 21:5"));
    assert_true(is_told(told, missed, ": re-aim of long at "));
    assert_int_equal(count_kind(&session.night, ACT_MISSED), missed);
    assert_int_equal(count_kind(&session.night, ACT_GAP), gaps);
    aim(&session);
    step(&session, 7);
    assert_string_equal(session_message(&session), "");
    close_session(&session);

    /* Not again at the next start. */
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), missed);
    for (int i = 0; i < 6; i++)
        step(&session, 5);
    assert_string_equal(session_message(&session), "");
    close_session(&session);
}

/* The program was not running: what it alone could have told is listed when it is there again. */
static void started_again_after_two_hours(void **state)
{
    char wanted[ACT_TEXT];
    double from;

    (void)state;
    now.utc = contact(CONTACT_U1) - 600;
    open_session(&session);
    aim(&session);
    step(&session, 61);
    from = now.utc;
    (void)snprintf(wanted, sizeof wanted, "session opened: %zu entries taken up again",
                   session.night.act_count + 1); /* and the end */
    close_session(&session);
    pass(7200);
    open_session(&session);
    assert_string_equal(session.message, wanted);
    assert_int_equal(times_missed(&session.night, -1, "U1", contact(CONTACT_U1)), 1);
    assert_missed_between(&session.night, from, now.utc, 1);
    close_session(&session);
}

/* Nobody was promised anything before the first start. */
static void late_start_makes_up_nothing(void **state)
{
    (void)state;
    now.utc = contact(CONTACT_U2) + 600;
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    assert_int_equal(count_kind(&session.night, ACT_GAP), 0);
    assert_int_equal(session.night.acts[0].kind, ACT_BEGIN);
    assert_int_equal(session.moment.phase, PHASE_TOTAL);
    assert_string_equal(night_event_name(&session.night.event[session.moment.next]), "greatest");
    assert_true(session.moment.check_overdue > 0);
    assert_int_equal(count_kind(&session.night, ACT_SETTING), setup.rig_count);
    close_session(&session);
}

/* The next key may come before the next step. */
static void an_act_is_seen_at_once(void **state)
{
    int item;

    (void)state;
    open_session(&session);
    item = session.moment.check_next;
    tick(&session, item);
    assert_true(session.moment.check_next >= 0 && session.moment.check_next != item);
    close_session(&session);
}

/* ---- killed and started again ---- */

/* Something of everything that a night can hold. */
static void do_everything(struct session *of)
{
    tick(of, 2);
    tick(of, 5);
    act(of, (struct act){.kind = ACT_AIM, .rig = 0, .value = {-0.31, 0.07}});
    act(of, (struct act){.kind = ACT_AIM, .rig = LONG, .value = {0.12, -0.2}});
    act(of,
        (struct act){.kind = ACT_SITE, .rig = -1, .value = {62.011, 60.013, 433}, .text = "gps"});
    act(of, (struct act){.kind = ACT_TARGET, .rig = 2, .value = {TARGET_UMBRA}});
    act(of, (struct act){.kind = ACT_CORRECTION, .rig = LONG, .value = {TARGET_LIT, 1.0 / 3}});
    act(of, (struct act){.kind = ACT_DANJON, .rig = -1, .value = {2.5}});
    act(of, (struct act){.kind = ACT_CORRECTION, .rig = 2, .value = {TARGET_UMBRA, 2.0 / 3}});
    act(of, (struct act){.kind = ACT_RIG, .rig = LONG, .value = {1.4}, .text = "extender"});
    act(of, (struct act){.kind = ACT_RIG, .rig = 0, .value = {1}, .text = "portrait"});
    act(of, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "thin cloud, \"high\""});
    act(of, (struct act){.kind = ACT_FRAME, .rig = 2});
    act(of, (struct act){.kind = ACT_CLOUD, .rig = -1, .value = {1}});
    act(of, (struct act){.kind = ACT_AIR, .rig = -1, .value = {-11.3, 71}});
    act(of, (struct act){.kind = ACT_BATTERY, .rig = 0});
    act(of, (struct act){.kind = ACT_CARD, .rig = LONG});
    act(of, (struct act){.kind = ACT_GLASS, .rig = -1});
    act(of, (struct act){.kind = ACT_HEATER, .rig = LONG, .value = {1}});
    act(of, (struct act){.kind = ACT_CAMERA_CLOCK, .rig = 2, .value = {-18003.25}});
    session_undo(of);
    act(of, (struct act){.kind = ACT_CAMERA_CLOCK, .rig = 2, .value = {-17999.5}});
    of->readings.gps.clock_offset_s = 0.37;
    for (int i = 0; i < 1200; i++)
        step(of, 1);
    assert_int_equal(count_kind(&of->night, ACT_ALARM), 1);
    act(of, (struct act){.kind = ACT_SNOOZE, .rig = LONG, .value = {300}});
    step(of, 1);
}

static void resume_after_kill(void **state)
{
    struct kept {
        struct night night;
        double utc, boot;
    } *kept = shared_memory(sizeof *kept);
    int status;
    pid_t child;
    double start;

    (void)state;
    child = fork();
    if (child == 0) {
        open_session(&session);
        do_everything(&session);
        WAIT_SYNCED(&session);
        kept->night = session.night;
        kept->utc = now.utc;
        kept->boot = now.boot;
        (void)raise(SIGKILL);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
    now.utc = kept->utc + 4;
    now.boot = kept->boot + 4;
    start = clock_ms();
    open_session(&session);
    print_message("stands again after %.1f ms\n", clock_ms() - start);
    assert_true(strstr(session.message, "session resumed") == session.message);
    assert_int_equal(session.night.act_count, kept->night.act_count + 1);
    assert_same_night(&kept->night, &session.night);
    assert_int_equal(session.moment.rig[LONG].aim_state, AIM_SNOOZED);
    assert_near(session.night.clock_offset_s, 0.37, 0);
    close_session(&session);
    (void)munmap(kept, sizeof *kept);
}

/* What was heard in the last minute before a kill is not called missed. */
static void a_contact_that_was_heard_stays_heard(void **state)
{
    int status;
    pid_t child;

    (void)state;
    now.utc = contact(CONTACT_U2) - 10;
    child = fork();
    if (child == 0) {
        open_session(&session);
        for (int i = 0; i < 20; i++)
            step(&session, 1);
        WAIT_SYNCED(&session);
        (void)raise(SIGKILL);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status));
    pass(60);
    open_session(&session);
    assert_int_equal(count_kind(&session.night, ACT_GAP), 1);
    assert_int_equal(times_missed(&session.night, -1, "U2", contact(CONTACT_U2)), 0);
    close_session(&session);
}

static void undo_reaches_across_a_restart(void **state)
{
    static struct night before;

    (void)state;
    open_session(&session);
    before = session.night;
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    act(&session, (struct act){.kind = ACT_CORRECTION, .rig = LONG, .value = {TARGET_UMBRA, 1.5}});
    session_step(&session);
    close_session(&session);

    open_session(&session);
    session_undo(&session);
    /* Beside what an act says stands whether it is saved. */
    assert_true(session.message_is_act);
    assert_memory_equal(session.message, "undone: ", 8);
    assert_string_equal(session.message, "undone: long: +1.5 stops for the umbra");
    close_session(&session);

    open_session(&session);
    session_undo(&session);
    assert_string_equal(session.message, "undone: wide: frame taken");
    session_step(&session);
    session_undo(&session);
    assert_string_equal(session.message, "nothing to undo");
    close_session(&session);

    open_session(&session);
    for (int i = 0; i < setup.rig_count; i++) {
        /* The setting in force was decided anew, and is the same again. */
        assert_same_rig(&before.rig[i], &session.night.rig[i]);
    }
    close_session(&session);
}

/* Whatever one key did, one key takes back. */
static void every_act_of_the_user_is_undone(void **state)
{
    const struct act acts[] = {
        {.kind = ACT_CHECK, .rig = -1, .value = {1}},
        {.kind = ACT_AIM, .rig = LONG, .value = {0.1, 0.1}},
        {.kind = ACT_POINT, .rig = 0, .value = {40, 120, 0}},
        {.kind = ACT_SEEN, .rig = 2, .value = {0.04, -0.02}},
        {.kind = ACT_SNOOZE, .rig = LONG, .value = {120}},
        {.kind = ACT_SITE, .rig = -1, .value = {61, 59, 0}, .text = "hand"},
        {.kind = ACT_TARGET, .rig = 0, .value = {TARGET_STARS}},
        {.kind = ACT_CORRECTION, .rig = 2, .value = {TARGET_UMBRA, -2}},
        {.kind = ACT_DANJON, .rig = -1, .value = {1}},
        {.kind = ACT_RIG, .rig = 0, .value = {6}, .text = "filter_stops"},
        {.kind = ACT_NOTE, .rig = -1, .text = "a note"},
        {.kind = ACT_FRAME, .rig = 1},
        {.kind = ACT_CLOUD, .rig = -1, .value = {1}},
        {.kind = ACT_AIR, .rig = -1, .value = {-3, 88}},
        {.kind = ACT_BATTERY, .rig = 1},
        {.kind = ACT_CARD, .rig = 1},
        {.kind = ACT_GLASS, .rig = -1},
        {.kind = ACT_HEATER, .rig = 1, .value = {1}},
        {.kind = ACT_CAMERA_CLOCK, .rig = 1, .value = {12}},
        {.kind = ACT_LATER, .rig = -1, .value = {600}},
        {.kind = ACT_ITEM, .rig = -1, .value = {1861885000}, .text = "move the car"},
        {.kind = ACT_FORECAST, .rig = -1, .value = {1861884000, 40, -5, 80, 3}},
        {.kind = ACT_SPOTTED, .rig = LONG, .value = {0.1, -0.2, NAN}},
        {.kind = ACT_ROUND, .rig = -1, .value = {1861884000, 0}},
    };
    enum { ACTS = sizeof acts / sizeof *acts };
    static struct night before;
    unsigned by_user = 0;

    (void)state;
    for (int kind = 0; kind < ACT_KINDS; kind++)
        by_user += act_form((enum act_kind)kind)->has & BY_USER;
    assert_int_equal(by_user, ACTS + 2);  /* ACT_SETUP: test_change.c; ACT_FLIP: night/test_hands.c */
    now.utc = contact(CONTACT_U1) - 7200; /* before P1: no setting is decided */
    open_session(&session);
    for (int i = 0; i < ACTS; i++) {
        struct act what = acts[i];

        if (what.kind == ACT_CHECK || what.kind == ACT_LATER)
            (void)snprintf(what.text, sizeof what.text, "%s", setup.checklist.item[1].id);
        if (what.kind == ACT_SEEN) { /* needs an aim before it */
            act(&session, (struct act){.kind = ACT_AIM, .rig = 2});
            step(&session, 900);
        }
        before = session.night;
        act(&session, what);
        session_step(&session);
        session_undo(&session);
        session_step(&session);
        assert_same_night(&before, &session.night);
        if (what.kind == ACT_SEEN)
            session_undo(&session);
        assert_null(night_last_undoable(&session.night));
    }
    assert_int_equal(count_kind(&session.night, ACT_UNDO), ACTS + 1);
    close_session(&session);
}

/* ---- a second copy ---- */

static void second_copy_looks_on_and_follows(void **state)
{
    struct fault fault;
    struct act frame = {.kind = ACT_FRAME, .rig = 0};
    size_t known;

    (void)state;
    open_session(&session);
    tick(&session, 3);
    WAIT_SYNCED(&session);
    open_session(&other);
    assert_true(other.looking_on && !session.looking_on);
    assert_int_equal(other.night.act_count, session.night.act_count);
    assert_int_equal(session_act(&other, &frame), -1);
    assert_non_null(strstr(other.message, "read-only"));

    known = session.night.act_count;
    do_everything(&session);
    assert_true(session.night.act_count > known + 20);
    WAIT_SYNCED(&session);
    assert_int_equal(journal_poll(other.journal, &fault), 0);
    session_step(&other);
    assert_int_equal(other.night.act_count, session.night.act_count);
    assert_same_night(&session.night, &other.night);
    assert_int_equal(other.moment.rig[LONG].aim_state, session.moment.rig[LONG].aim_state);
    session_undo(&session);
    session_step(&session);
    WAIT_SYNCED(&session);
    assert_int_equal(journal_poll(other.journal, &fault), 0);
    session_step(&other);
    assert_same_night(&session.night, &other.night);
    /* Sleep is told once, by the copy that writes. */
    step(&other, 600);
    assert_int_equal(other.night.act_count, session.night.act_count);
    close_session(&other);
    close_session(&session);
}

static void end_of_the_writer_is_told(void **state)
{
    (void)state;
    open_session(&session);
    open_session(&other);
    assert_true(other.looking_on);
    assert_non_null(strstr(session_looks_on(&other), "read-only"));
    assert_null(session_looks_on(&session));
    step(&other, 20);
    assert_string_equal(session_message(&other), "");
    close_session(&session);
    step(&other, 20);
    assert_non_null(strstr(session_message(&other), "start again to take over"));
    assert_ptr_equal(session_looks_on(&other), session_message(&other));
    close_session(&other);
}

/* ---- what could not be kept ---- */

static void damage_is_told_until_the_next_act(void **state)
{
    char path[PATH_SIZE + 32];
    FILE *file;

    (void)state;
    open_session(&session);
    tick(&session, 3);
    tick(&session, 4);
    close_session(&session);
    (void)snprintf(path, sizeof path, "%s/journal.jsonl", session.folder);
    file = fopen(path, "r+");
    assert_non_null(file);
    assert_int_equal(fseek(file, (long)strlen("{"), SEEK_SET), 0);
    assert_int_equal(fputc('X', file), 'X');
    assert_int_equal(fseek(file, 0, SEEK_END), 0);
    assert_true(fputs("torn", file) >= 0);
    assert_int_equal(fclose(file), 0);

    open_session(&session);
    step(&session, 7);
    assert_string_equal(
        session_message(&session),
        "journal: 1 damaged entry was skipped; left out after the last whole entry: "
        "4 bytes");
    tick(&session, 5);
    step(&session, 7);
    assert_string_equal(session_message(&session), "");
    close_session(&session);
}

static void acts_without_a_journal_are_lost(void **state)
{
    struct fault fault;

    (void)state;
    assert_int_equal(open_as(&session, &test_clock, false, "/dev/null/none", &fault), 0);
    assert_true(*session.trouble != '\0');
    tick(&session, 3);
    /* Begin, tick, end. */
    assert_int_equal(session_close(&session), 3);
}

/* The journal's last number is taken: what comes after it holds for the night, and nobody is left to
 * believe that it is saved. */
static void a_refused_entry_is_told_and_stays_told(void **state)
{
    const struct act last = {.seq = UINT64_MAX, .utc = now.utc, .kind = ACT_NOTE, .rig = -1};
    static struct lines lines;
    struct view view = {.message = ""};
    struct fault fault;
    size_t size = 0, count;
    char *told = NULL;
    FILE *out = open_memstream(&told, &size);

    (void)state;
    assert_non_null(out);
    lines_begin(&lines);
    open_session(&session);
    count = session.night.act_count;
    assert_int_equal(journal_append(session.journal, &last, &fault), 0);
    for (int i = 0; i < 60; i++) {
        if (i == 0 || i == 30)
            act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
        step(&session, 1);
        assert_non_null(strstr(session.trouble, "comes after entry 18446744073709551615"));
        view.message = session_message(&session);
        view.trouble = session.trouble;
        lines_tell(&lines, out, &session.night, &session.moment, &view);
    }
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(fclose(out), 0);
    assert_non_null(strstr(told, "NOTHING IS BEING SAVED: journal: entry "));
    free(told);
    count = session.night.act_count - count;
    assert_int_equal(session_close(&session), count + 1); /* the end */
}

/* ---- another setup than the one that the acts were made with ---- */

static void acts_that_the_setup_no_longer_knows_stay(void **state)
{
    static struct setup whole, fewer;
    size_t all, of_fewer;
    uint64_t last;

    (void)state;
    whole = setup;
    open_session(&session);
    tick(&session, setup.checklist.count - 1);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 2});
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    close_session(&session);
    all = session.night.act_count;
    assert_int_equal(all, 0);

    fewer = setup;
    fewer.rig_count = 1;
    fewer.checklist.count--;
    setup = fewer;
    open_session(&session);
    last = session.night.last_seq;
    assert_int_equal(session.night.rig[0].frames, 1);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    assert_int_equal(session.night.rig[0].frames, 2);
    of_fewer = session.night.act_count;
    assert_true(last >= 8);
    close_session(&session);

    setup = whole;
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 2);
    assert_int_equal(session.night.rig[2].frames, 1);
    assert_true(isfinite(session.night.checked_utc[setup.checklist.count - 1]));
    assert_true(session.night.act_count > of_fewer);
    /* No number twice. */
    for (size_t i = 1; i < session.night.act_count; i++)
        assert_int_equal(session.night.acts[i].seq, session.night.acts[i - 1].seq + 1);
    close_session(&session);
}

/* ---- nothing is overwritten ---- */

static void open_rehearsal(struct session *of)
{
    struct fault fault = {""};

    if (open_as(of, &test_clock, true, NULL, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* What was due before a rehearsal's start counts as done, and not by the user: undo leaves it. */
static void what_is_past_in_a_rehearsal_is_not_undone(void **state)
{
    int done = 0;

    (void)state;
    open_rehearsal(&session);
    for (int i = 0; i < setup.checklist.count; i++) {
        bool past = item_due_utc(&session.night, i) < session.last_utc;
        assert_int_equal(isfinite(session.night.checked_utc[i]), past);
        done += past;
    }
    assert_true(done > 0);
    assert_int_equal(count_kind(&session.night, ACT_PAST), done);
    session_undo(&session);
    assert_string_equal(session_message(&session), "nothing to undo");
    close_session(&session);
}

/* Acts that are still to come would hold on the screen already. */
static void a_rehearsal_goes_on_where_its_record_ends(void **state)
{
    char folder[PATH_SIZE];
    struct fault fault;
    struct clock clock;
    double last;

    (void)state;
    clock_shifted(&clock, contact(CONTACT_U2), 1);
    assert_int_equal(open_as(&session, &clock, true, NULL, &fault), 0);
    act(&session, (struct act){.kind = ACT_AIM, .rig = LONG});
    last = session.last_utc;
    (void)snprintf(folder, sizeof folder, "%s", session.folder);
    close_session(&session);

    clock_shifted(&clock, contact(CONTACT_U1), 30);
    assert_int_equal(open_as(&session, &clock, true, folder, &fault), 0);
    assert_true(session.last_utc >= last && session.last_utc < last + 60);
    session_step(&session);
    assert_true(session.night.rig[LONG].due_utc < last + 3600);
    close_session(&session);

    clock_shifted(&clock, contact(CONTACT_U3), 1);
    assert_int_equal(open_as(&session, &clock, true, folder, &fault), 0);
    assert_near(session.last_utc, contact(CONTACT_U3), 1);
    close_session(&session);
}

static void rehearsals_and_nights_keep_apart(void **state)
{
    char first[PATH_SIZE], journal[PATH_SIZE + 32];
    struct fault fault;
    size_t size;

    (void)state;
    open_rehearsal(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    (void)snprintf(first, sizeof first, "%s", session.folder);
    assert_non_null(strstr(first, "/2028-12-31-rehearsal"));
    close_session(&session);
    (void)snprintf(journal, sizeof journal, "%s/journal.jsonl", first);
    size = file_size(journal);
    assert_true(size > 0);

    open_rehearsal(&session);
    assert_string_equal(session.folder + strlen(session.folder) - strlen("rehearsal-2"),
                        "rehearsal-2");
    assert_int_equal(session.night.rig[0].frames, 0);
    close_session(&session);
    assert_int_equal(file_size(journal), size);

    /* The record of a rehearsal takes no real night, nor the other way. */
    assert_int_equal(open_as(&session, &test_clock, false, first, &fault), -1);
    assert_non_null(strstr(fault.text, "is the record of a rehearsal"));
    assert_int_equal(file_size(journal), size);
    open_session(&session);
    (void)snprintf(first, sizeof first, "%s", session.folder);
    close_session(&session);
    assert_int_equal(open_as(&session, &test_clock, true, first, &fault), -1);
    assert_non_null(strstr(fault.text, "is the record of a real night"));
}

static void a_session_is_opened_by_its_name(void **state)
{
    struct options options = {.session = "2028-12-31"};
    char path[PATH_SIZE], wanted[PATH_SIZE];
    struct fault fault;

    (void)state;
    open_session(&session);
    (void)snprintf(path, sizeof path, "%s", session.folder);
    close_session(&session);
    assert_int_equal(session_options(&options, &fault), 0);
    assert_string_equal(options.session, path);
    assert_string_equal(options.eclipse, "2028-12-31");
    (void)snprintf(wanted, sizeof wanted, "%.900s/setup.json", path);
    assert_string_equal(options.setup_path, wanted);

    options = (struct options){.session = "/tmp/2028-12-31-kept/", .demo = true};
    assert_int_equal(session_options(&options, &fault), 0);
    assert_string_equal(options.session, "/tmp/2028-12-31-kept");
    assert_null(options.setup_path);
    options = (struct options){.session = "2028-12-31", .eclipse = "2029-06-26"};
    assert_int_equal(session_options(&options, &fault), -1);
    assert_non_null(strstr(fault.text, "2029-06-26"));
    options = (struct options){.session = "/tmp/some"};
    assert_int_equal(session_options(&options, &fault), -1);
    options = (struct options){.session = ""};
    assert_int_equal(session_options(&options, &fault), -1);
}

/* The clock beside the countdown is the one on the wall, however far the night is, and every other
 * instant is given by the clock of its own season. European summer time (directive 2000/84/EC). */
static void local_time_is_right_years_before_and_after_the_night(void **state)
{
    static struct setup of_rome;
    static struct night night;
    struct eclipse far;
    struct fault fault;
    double day, winter;

    (void)state;
    of_rome = setup;
    (void)snprintf(of_rome.site.zone, sizeof of_rome.site.zone, "Europe/Rome");
    assert_int_equal(parse_day("2033-04-14", &day, &fault), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &far));
    assert_int_equal(open_night(&of_rome, &far, false, NAN, &night, &fault), 0);
    assert_int_equal(zone_offset(&night.zone, day, NULL), 7200);
    for (int year = 2025; year <= 2060; year++) {
        winter = seconds_from_civil(&(struct civil){.year = year, .month = 1, .day = 15});
        assert_int_equal(zone_offset(&night.zone, winter, NULL), 3600);
        assert_int_equal(zone_offset(&night.zone, winter + 180 * SECONDS_PER_DAY, NULL), 7200);
    }
    night_close(&night);
}

static int assert_for_me_alone(const char *path, const struct stat *status, int kind,
                               struct FTW *place)
{
    (void)kind;
    if (place->level > 0 && (status->st_mode & 077) != 0)
        fail_msg("%s has mode %o", path, status->st_mode & 0777u);
    return 0;
}

/* Where somebody stood and when is nobody else's business, whatever the umask. */
static void what_a_session_makes_is_for_its_owner_alone(void **state)
{
    mode_t before = umask(0);
    char path[PATH_SIZE + 16];

    (void)state;
    open_session(&session);
    aim(&session);
    step(&session, 60);
    WAIT_SYNCED(&session);
    (void)snprintf(path, sizeof path, "%s/journal.jsonl", session.folder);
    assert_true(file_size(path) > 0);
    (void)snprintf(path, sizeof path, "%s/setup.json", session.folder);
    assert_true(file_size(path) > 0);
    assert_true(isfinite(alive_utc(session.folder)));
    close_session(&session);
    (void)umask(before);
    assert_int_equal(nftw(state_home, assert_for_me_alone, 8, FTW_PHYS), 0);
}

static void the_first_session_may_be_a_named_one(void **state)
{
    struct options options = {.session = "2028-12-31-mine"};
    struct fault fault;

    (void)state;
    assert_int_equal(session_options(&options, &fault), 0);
    assert_int_equal(open_as(&session, &test_clock, false, options.session, &fault), 0);
    assert_string_equal(session.trouble, "");
    close_session(&session);
}

/* It is told by an act; in the setup, too, it would be there twice. */
static void an_item_of_the_night_is_not_kept_in_the_setup(void **state)
{
    int items = setup.checklist.count;

    (void)state;
    open_session(&session);
    act(&session,
        (struct act){.kind = ACT_ITEM, .rig = -1, .value = {NAN}, .text = "move the car"});
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.began.setup.checklist.count, items);
    assert_int_equal(session.night.setup.checklist.count, items + 1);
    close_session(&session);
}

/* As it happens where memory or descriptors are short at the start. */
static void a_journal_that_could_not_be_read_is_continued(void **state)
{
    char path[PATH_SIZE + 32], aside[PATH_SIZE + 32];
    struct fault fault;

    (void)state;
    open_session(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    close_session(&session);
    (void)snprintf(path, sizeof path, "%s/journal.jsonl", session.folder);
    (void)snprintf(aside, sizeof aside, "%s/aside", session.folder);
    assert_int_equal(rename(path, aside), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(open_as(&session, &test_clock, false, NULL, &fault), 0);
    assert_true(*session.trouble != '\0');
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 1});
    step(&session, 12);
    assert_int_equal(rmdir(path), 0);
    assert_int_equal(rename(aside, path), 0);
    /* Not at each tick: a disk that fails is slow. */
    step(&session, 9);
    assert_true(*session.trouble != '\0');
    step(&session, 3);
    assert_string_equal(session.trouble, "");
    assert_non_null(strstr(session.standing, "entries of before"));
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 1);
    assert_int_equal(session.night.rig[1].frames, 1);
    close_session(&session);
}

/* What it holds is known only when it can be read: if it is a rehearsal's, the night stays out of it. */
static void a_record_of_a_rehearsal_is_not_continued(void **state)
{
    char path[PATH_SIZE + 32], aside[PATH_SIZE + 32], folder[PATH_SIZE];
    struct fault fault;
    size_t size;
    int held;

    (void)state;
    open_rehearsal(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    (void)snprintf(folder, sizeof folder, "%s", session.folder);
    close_session(&session);
    (void)snprintf(path, sizeof path, "%s/journal.jsonl", folder);
    (void)snprintf(aside, sizeof aside, "%s/aside", folder);
    size = file_size(path);
    assert_int_equal(rename(path, aside), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(open_as(&session, &test_clock, false, folder, &fault), 0);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 1});
    assert_int_equal(rmdir(path), 0);
    assert_int_equal(rename(aside, path), 0);
    step(&session, 12);
    assert_non_null(strstr(session.trouble, "is the record of a rehearsal"));
    /* All that it holds is lost, with its end, and said to be. */
    held = (int)session.night.act_count;
    assert_int_equal(session_close(&session), held + 1);
    assert_int_equal(file_size(path), size);
}

/* As where the disk is not there yet. */
static void a_folder_that_could_not_be_reached_is_continued(void **state)
{
    char usual[sizeof state_home + 16], aside[sizeof state_home + 16];
    struct fault fault;

    (void)state;
    (void)snprintf(usual, sizeof usual, "%s/moonstand", state_home);
    (void)snprintf(aside, sizeof aside, "%s/aside", state_home);
    open_session(&session);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    close_session(&session);
    assert_int_equal(rename(usual, aside), 0);
    assert_int_equal(symlink("nowhere", usual), 0);
    assert_int_equal(open_as(&session, &test_clock, false, NULL, &fault), 0);
    assert_string_equal(session.folder, "");
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 1});
    assert_int_equal(unlink(usual), 0);
    assert_int_equal(rename(aside, usual), 0);
    step(&session, 12);
    assert_string_equal(session.trouble, "");
    assert_int_equal(session.unwritten, 0);
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 1);
    assert_int_equal(session.night.rig[1].frames, 1);
    close_session(&session);
}

/* ---- a record that vanishes while the night goes on ---- */

static void remove_journal(void)
{
    char path[PATH_SIZE + 32];

    (void)snprintf(path, sizeof path, "%s/journal.jsonl", session.folder);
    assert_int_equal(unlink(path), 0);
}

static void replace_journal(void)
{
    char path[PATH_SIZE + 32];
    FILE *file;

    remove_journal();
    (void)snprintf(path, sizeof path, "%s/journal.jsonl", session.folder);
    file = fopen(path, "w");
    assert_true(fputs("not a journal\n", file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void remove_all(void)
{
    do
        scratch_empty(session.folder);
    while (rmdir(session.folder) != 0);
}

/* Twelve frames, the harm comes after five: all are in the file of that name, and it is said. */
static void keep_twelve_frames(void (*harm)(void), bool until_the_end)
{
    open_session(&session);
    for (int i = 1; i <= 12; i++) {
        act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
        if (i == 5) {
            WAIT_SYNCED(&session);
            harm();
        }
    }
    if (!until_the_end) {
        WAIT_FOR(&session, session.written.renewed > 0);
        step(&session, 1);
        act(&session, (struct act){.kind = ACT_FRAME, .rig = 1}); /* does not hide it */
        step(&session, 7);
        assert_non_null(strstr(session_message(&session), "entries saved again"));
    }
    close_session(&session);
    open_session(&session);
    assert_int_equal(session.night.rig[0].frames, 12);
    assert_true(session.setup_kept);
    close_session(&session);
}

static void frames_outlive_a_removed_journal(void **state)
{
    (void)state;
    keep_twelve_frames(remove_journal, false);
}

static void frames_outlive_a_replaced_journal(void **state)
{
    (void)state;
    keep_twelve_frames(replace_journal, false);
}

/* `report` needs the setup beside it, too. */
static void frames_outlive_a_removed_folder(void **state)
{
    char path[PATH_SIZE + 32];
    struct stat status;

    (void)state;
    keep_twelve_frames(remove_all, false);
    (void)snprintf(path, sizeof path, "%s/setup.json", session.folder);
    assert_int_equal(stat(path, &status), 0);
}

static void frames_outlive_a_folder_removed_just_before_the_end(void **state)
{
    (void)state;
    keep_twelve_frames(remove_all, true);
}

/* ---- a folder that somebody else has prepared ---- */

static void put_private(const char *path)
{
    FILE *file = fopen(path, "w");

    assert_non_null(file);
    assert_true(fputs("private", file) >= 0);
    assert_int_equal(fclose(file), 0);
}

/* Links to the user's own file under every name that a session has, or a pipe that nobody reads. */
static void in_a_folder_of_somebody_elses(bool pipe)
{
    static const char *const names[] = {"journal.jsonl", "journal.torn", "setup.json", "alive"};
    char path[PATH_SIZE], secret[PATH_SIZE], link[PATH_SIZE + 32], text[16] = "";
    struct fault fault;
    FILE *file;

    if (geteuid() != 0)
        skip(); /* only root can give a folder away */
    (void)snprintf(secret, sizeof secret, "%s/secret", state_home);
    (void)snprintf(path, sizeof path, "%s/2028-12-31", state_home);
    put_private(secret);
    assert_int_equal(mkdir(path, 0777), 0);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        (void)snprintf(link, sizeof link, "%s/%s", path, names[i]);
        assert_int_equal(pipe ? mkfifo(link, 0666) : symlink(secret, link), 0);
    }
    assert_int_equal(chown(path, 65534, 65534), 0);
    (void)alarm(20);
    assert_int_equal(open_as(&session, &test_clock, false, path, &fault), 0);
    act(&session, (struct act){.kind = ACT_FRAME, .rig = 0});
    step(&session, 61);
    assert_non_null(strstr(session.trouble, "2028-12-31 belongs to another user"));
    assert_true(session_close(&session) > 0);
    (void)alarm(0);
    file = fopen(secret, "r");
    assert_int_equal(fread(text, 1, sizeof text - 1, file), 7);
    assert_int_equal(fclose(file), 0);
    assert_string_equal(text, "private");
}

static void links_of_somebody_elses_are_not_followed(void **state)
{
    (void)state;
    in_a_folder_of_somebody_elses(false);
}

static void pipes_of_somebody_elses_do_not_hang_the_start(void **state)
{
    (void)state;
    in_a_folder_of_somebody_elses(true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(clock_set_back_by_an_hour),
        AT_HOME(two_aims_of_one_tick_are_both_said),
        AT_HOME(clock_set_forward_by_an_hour),
        AT_HOME(a_fast_clock_is_not_one_that_was_set),
        AT_HOME(clock_set_between_two_starts),
        AT_HOME(suspend_of_two_hours),
        AT_HOME(started_again_after_two_hours),
        AT_HOME(late_start_makes_up_nothing),
        AT_HOME(an_act_is_seen_at_once),
        AT_HOME(resume_after_kill),
        AT_HOME(a_contact_that_was_heard_stays_heard),
        AT_HOME(undo_reaches_across_a_restart),
        AT_HOME(every_act_of_the_user_is_undone),
        AT_HOME(second_copy_looks_on_and_follows),
        AT_HOME(end_of_the_writer_is_told),
        AT_HOME(damage_is_told_until_the_next_act),
        AT_HOME(acts_without_a_journal_are_lost),
        AT_HOME(a_refused_entry_is_told_and_stays_told),
        AT_HOME(acts_that_the_setup_no_longer_knows_stay),
        AT_HOME(what_is_past_in_a_rehearsal_is_not_undone),
        AT_HOME(a_rehearsal_goes_on_where_its_record_ends),
        AT_HOME(rehearsals_and_nights_keep_apart),
        AT_HOME(a_session_is_opened_by_its_name),
        AT_HOME(local_time_is_right_years_before_and_after_the_night),
        AT_HOME(what_a_session_makes_is_for_its_owner_alone),
        AT_HOME(the_first_session_may_be_a_named_one),
        AT_HOME(an_item_of_the_night_is_not_kept_in_the_setup),
        AT_HOME(a_journal_that_could_not_be_read_is_continued),
        AT_HOME(a_record_of_a_rehearsal_is_not_continued),
        AT_HOME(a_folder_that_could_not_be_reached_is_continued),
        AT_HOME(links_of_somebody_elses_are_not_followed),
        AT_HOME(pipes_of_somebody_elses_do_not_hang_the_start),
        AT_HOME(frames_outlive_a_removed_journal),
        AT_HOME(frames_outlive_a_replaced_journal),
        AT_HOME(frames_outlive_a_removed_folder),
        AT_HOME(frames_outlive_a_folder_removed_just_before_the_end),
    };

    return RUN_AND_CLOSE_ALL(tests, prepare, NULL);
}
