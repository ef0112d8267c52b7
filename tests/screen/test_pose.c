/* A wide rig with one pointing, lived minute by minute: what the screen says of it holds. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "screen/scene.h"

#include <moonstand/angle.h>

#define MINUTE_S 60.0

static char *text;

static void draw(int width, int height)
{
    scene_draw(width, height, GLYPHS_UTF8);
    free(text);
    text = scene_text(false);
}

static bool shows(const char *wanted)
{
    return strstr(text, wanted) != NULL;
}

static void expect(const char *wanted)
{
    if (!shows(wanted))
        fail_msg("'%s' is not in:\n%s", wanted, text);
}

/* One wide rig, with everything on the list done. */
static void open_with(double focal_mm, double foreground, double tilt_deg)
{
    scene_open(false);
    scene.setup.rig_count = 1;
    scene.setup.rig[0].focal_mm = focal_mm;
    scene.setup.rig[0].foreground = foreground;
    scene.setup.rig[0].tilt_deg = tilt_deg;
    scene.setup.rig[0].power.external = true;
    night_take_setup(&scene.night, &scene.setup, &scene.eclipse, &scene.zone);
    scene_tick_before(scene_utc("P4+13h"));
}

/* The key of somebody who has put the camera as the screen says. */
static void aim_as_advised(void)
{
    struct act act = advised_aim(&scene.moment.rig[0], 0);

    act.utc = scene.moment.utc;
    scene_act(act);
}

static bool is_urgent(void)
{
    enum aim_state state = scene.moment.rig[0].aim_state;

    return state == AIM_SOON || state == AIM_DUE;
}

/* Lives a span; whenever the row promises that the rig is not to be touched, nothing asks for it until
 * the promise ends. Returns the first instant that asks for hands; INFINITY: none. */
static double live(double from, double to, double step_s)
{
    double first = INFINITY;
    bool promised = false;

    for (double utc = from; utc <= to; utc += step_s) {
        scene_at(utc);
        draw(120, 40);
        if (is_urgent() && promised)
            fail_msg("it was not to be touched, and now:\n%s", text);
        promised |= shows("do not touch it") || shows("stays in frame to") ||
                    shows("stays in the frame");
        if (is_urgent())
            first = fmin(first, utc);
    }
    return first;
}

/* 32 mm hold U1 to U4, not P1 to P4. Put where the Moon stays longest a quarter of an hour before P1,
 * as the row used to say, it would leave between U3 and U4. */
static void the_advice_before_p1_holds_to_u4(void **state)
{
    double u1, u4, p4, first;

    (void)state;
    open_with(32, 0, 0);
    u1 = scene_utc("U1");
    u4 = scene_utc("U4");
    p4 = scene_utc("P4");
    scene_at(scene_utc("P1-14m"));
    assert_true(scene.moment.utc + scene.moment.rig[0].aim.placed_stays_s > scene_utc("U3"));
    assert_true(scene.moment.utc + scene.moment.rig[0].aim.placed_stays_s < u4);
    draw(120, 40);
    expect("covers U1 to U4");
    expect("before P4");
    aim_as_advised();
    first = live(scene_utc("P1-14m"), p4, MINUTE_S);
    assert_true(scene.night.rig[0].pose.enters_utc <= u1);
    assert_true(first > u4);
    assert_true(first < p4);
}

/* 43.53 mm is the longest that holds U1 to U4: the limb meets the margin within seconds of U4, and hands
 * still keep off until it is over. */
static void a_tight_picture_is_not_touched_before_its_contact(void **state)
{
    double first;

    (void)state;
    open_with(43.5, 0, 0);
    scene_at(scene_utc("P1-14m"));
    draw(120, 40);
    expect("covers U1 to U4");
    aim_as_advised();
    assert_true(fabs(scene.moment.rig[0].pose->leaves_utc - scene_utc("U4")) < 60);
    first = live(scene_utc("U1"), scene_utc("U4+5m"), 10);
    assert_true(first >= scene_utc("U4-31s")); /* announced a minute ahead */
    assert_true(scene.night.rig[0].due_utc >= scene_utc("U4+30s") - 0.1);
}

/* 25.3 mm hold all of it, with a tilt 26.2: nobody is asked for anything, tilted or over a foreground. */
static void a_picture_of_the_whole_is_never_touched(void **state)
{
    static const struct {
        double focal_mm, foreground, tilt_deg;
    } rigs[] = {{20, 0, 0}, {22.8, 0, 0}, {19, 0.02, 0}, {26, 0, 20}};

    (void)state;
    for (size_t i = 0; i < sizeof rigs / sizeof *rigs; i++) {
        open_with(rigs[i].focal_mm, rigs[i].foreground, rigs[i].tilt_deg);
        scene_at(scene_utc("P1-2h"));
        draw(120, 40);
        expect("not aimed: aim, then press a");
        expect("P1 to P4");
        aim_as_advised();
        assert_true(live(scene_utc("P1-119m"), scene_utc("P4"), MINUTE_S) == INFINITY);
        scene_at(scene_utc("U2"));
        draw(120, 40);
        expect("covers P1 to P4: do not touch it");
    }
}

/* Who comes late gets the best of what is left: 32 mm do not hold P1 to P4, but U2 to P4. */
static void who_comes_late_gets_what_is_left(void **state)
{
    const struct pose *pose;

    (void)state;
    open_with(32, 0, 0);
    scene_at(scene_utc("U2"));
    pose = scene.moment.rig[0].pose;
    assert_non_null(pose);
    assert_true(pose->late);
    assert_true(pose->enters_utc <= scene_utc("U2"));
    assert_true(pose->leaves_utc >= scene_utc("P4"));
    draw(120, 40);
    expect("covers now to P4");
    aim_as_advised();
    assert_true(live(scene_utc("U2"), scene_utc("P4"), MINUTE_S) == INFINITY);
}

/* 55 mm in totality do not even hold U2 to P4: the latest contact that goes into one picture. */
static void what_is_left_ends_where_it_must(void **state)
{
    (void)state;
    open_with(55, 0, 0);
    scene_at(scene_utc("U2"));
    draw(120, 40);
    expect("covers now to U4");
    aim_as_advised();
    assert_true(live(scene_utc("U2"), scene_utc("U4"), MINUTE_S) == INFINITY);
}

/* Any lens, any site, any time of coming: what is promised is kept, and a late picture too. */
static void promises_are_kept_everywhere(void **state)
{
    static const struct {
        double latitude_deg, longitude_deg;
    } sites[] = {{62, 60}, {47, 8}, {-32, 116}, {1, 100}};
    static const double lenses_mm[] = {14, 24, 35, 50};
    static const char *const comes[] = {"P1-1h", "U1+20m", "greatest", "U4-10m"};
    int poses = 0;

    (void)state;
    for (int site = 0; site < 4; site++)
        for (int lens = 0; lens < 4; lens++)
            for (int when = 0; when < 4; when++) {
                double from, first;

                open_with(lenses_mm[lens], 0, 0);
                scene.setup.site.latitude_deg = sites[site].latitude_deg;
                scene.setup.site.longitude_deg = sites[site].longitude_deg;
                night_take_setup(&scene.night, &scene.setup, &scene.eclipse, &scene.zone);
                from = scene_utc(comes[when]);
                scene_at(from);
                if (!scene.moment.rig[0].pose)
                    continue;
                poses++;
                aim_as_advised();
                first = live(from, scene_utc("P4"), 5 * MINUTE_S);
                assert_true(first >= scene.night.rig[0].pose.leaves_utc - 3 * MINUTE_S);
            }
    print_message("  %d pictures lived\n", poses);
    assert_true(poses > 40);
}

/* Altitude, azimuth, compass point, how long it holds, where the Moon enters and leaves: also where a
 * rig has two lines, and while the Moon is down. */
static void the_row_gives_the_pointing(void **state)
{
    static const char *const sizes[] = {"80x24", "120x40"};
    const struct wide_fit *fit;
    char pointing[64];

    (void)state;
    for (int i = 0; i < 4; i++) {
        open_with(20, 0, 0);
        if (i >= 2) {
            scene.setup.site.latitude_deg = 40;
            scene.setup.site.longitude_deg = 20; /* the Moon rises after U1 */
            night_take_setup(&scene.night, &scene.setup, &scene.eclipse, &scene.zone);
        }
        scene_at(scene_utc("P1-1h"));
        assert_int_equal(scene.moment.moon.up, i < 2);
        fit = &scene.night.framing[0].composition.fit[WIDE_P1_P4];
        (void)snprintf(pointing, sizeof pointing, "%.1f up, %.1f %s",
                       deg_from_rad(fit->altitude_rad), deg_from_rad(fit->azimuth_rad),
                       compass_point(fit->azimuth_rad));
        draw(i % 2 ? 120 : 80, i % 2 ? 40 : 24);
        print_message("# %s\n", sizes[i % 2]);
        expect(pointing);
        expect(i < 2 ? "P1 to P4" : i == 2 ? "rise to P4" : "moonrise to P4");
        expect("left");
        expect("right");
    }
}

/* Undo takes it back, and another lens in the same place is judged by its own picture. */
static void a_longer_lens_at_the_same_pointing(void **state)
{
    double extender = 1.7;

    (void)state;
    open_with(20, 0, 0);
    scene_at(scene_utc("P1-1h"));
    aim_as_advised();
    scene_act((struct act){.utc = scene_utc("P1-50m"),
                           .kind = ACT_RIG,
                           .rig = 0,
                           .value = {extender},
                           .text = "extender"});
    scene_at(scene_utc("P1-49m"));
    draw(120, 40);
    assert_false(shows("covers P1 to P4"));
    scene_act((struct act){
        .utc = scene_utc("P1-48m"), .kind = ACT_UNDO, .rig = -1, .ref = scene.night.last_seq});
    scene_at(scene_utc("P1-47m"));
    draw(120, 40);
    expect("covers P1 to P4: do not touch it");
}

/* What is wide for the plan is wide on its page: 100 mm, whose field is 13.7 degrees high, but not 150 mm with 9.1. */
static void one_lens_is_wide_everywhere(void **state)
{
    static const struct {
        double focal_mm;
        bool wide;
    } lenses[] = {{24, true}, {100, true}, {150, false}};

    (void)state;
    for (size_t i = 0; i < sizeof lenses / sizeof lenses[0]; i++) {
        open_with(lenses[i].focal_mm, 0, 0);
        scene_at(scene_utc("U1"));
        assert_int_equal(rig_is_wide(&scene.night.rig[0].rig), lenses[i].wide);
        scene.view.page = PAGE_FRAME;
        draw(120, 40);
        assert_int_equal(shows("a disc every"), lenses[i].wide);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_advice_before_p1_holds_to_u4),
        cmocka_unit_test(a_tight_picture_is_not_touched_before_its_contact),
        cmocka_unit_test(a_picture_of_the_whole_is_never_touched),
        cmocka_unit_test(who_comes_late_gets_what_is_left),
        cmocka_unit_test(what_is_left_ends_where_it_must),
        cmocka_unit_test(promises_are_kept_everywhere),
        cmocka_unit_test(the_row_gives_the_pointing),
        cmocka_unit_test(a_longer_lens_at_the_same_pointing),
        cmocka_unit_test(one_lens_is_wide_everywhere),
    };
    int result = cmocka_run_group_tests(tests, NULL, NULL);

    free(text);
    scene_close();
    return result;
}
