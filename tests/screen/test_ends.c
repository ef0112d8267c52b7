/* When a rig ends, and what is said of a picture that is lost. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "screen/scene.h"

enum { LONG = 1, ACTS = 16 };
#define MINUTE_S 60.0

static char *text;

static void draw(int width, int height)
{
    scene_draw(width, height, GLYPHS_UTF8);
    free(text);
    text = scene_text(false);
}

static void expect(const char *wanted)
{
    if (!strstr(text, wanted))
        fail_msg("'%s' is not in:\n%s", wanted, text);
}

static void expect_not(const char *unwanted)
{
    if (strstr(text, unwanted))
        fail_msg("'%s' is in:\n%s", unwanted, text);
}

static void open_until(enum contact contact, double offset_s)
{
    scene_open(false);
    for (int i = 0; i < scene.setup.rig_count; i++)
        scene.setup.rig[i].until = (struct contact_offset){contact, offset_s};
    night_take_setup(&scene.night, &scene.setup, &scene.eclipse, &scene.zone);
    scene_tick_before(scene_utc("P4+13h"));
}

/* What the program writes down by itself at an instant, applied as it does. */
static int decide(double utc, enum act_kind kind)
{
    struct act acts[ACTS];
    int count, found = 0;

    scene_at(utc);
    count = night_decide(&scene.night, &scene.moment, acts, ACTS);
    for (int i = 0; i < count; i++) {
        found += acts[i].kind == kind;
        scene_act(acts[i]);
    }
    return found;
}

/* Aimed five minutes before its end, a long rig loses the Moon after it: nobody is called. */
static void nothing_is_asked_for_after_the_end(void **state)
{
    static const struct {
        enum contact contact;
        double offset_s;
        const char *at;
    } ends[] = {{CONTACT_P4, 0, "P4"}, {CONTACT_U4, 600, "U4+10m"}, {CONTACT_P4, 3600, "P4+1h"}};

    (void)state;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        double end;

        open_until(ends[i].contact, ends[i].offset_s);
        end = scene_utc(ends[i].at);
        scene_at(end - 5 * MINUTE_S);
        scene_act((struct act){.utc = end - 5 * MINUTE_S, .kind = ACT_AIM, .rig = LONG});
        for (double utc = end - 4 * MINUTE_S; utc < end; utc += MINUTE_S) {
            assert_int_equal(decide(utc, ACT_ALARM), 0);
            draw(120, 40);
            expect("stays in frame to ");
        }
        for (double utc = end + 1; utc < end + 3 * 3600; utc += 5 * MINUTE_S) {
            assert_int_equal(decide(utc, ACT_ALARM) + decide(utc, ACT_MISSED), 0);
            assert_int_equal(decide(utc, ACT_SETTING), 0);
            assert_int_equal(scene.moment.rig[LONG].aim_state, AIM_DONE);
            assert_int_equal(scene.moment.alarm_rig, -1);
            draw(120, 40);
            expect("done");
            expect("no more re-aims");
            expect_not("RE-AIM");
            expect_not("re-aim long");
            expect_not("set long");
            expect_not("not aimed");
        }
    }
}

/* On every page, whether the rigs have been aimed or not. */
static void no_page_asks_for_what_is_over(void **state)
{
    static const enum page pages[] = {PAGE_NIGHT, PAGE_FRAME, PAGE_CURVES, PAGE_KIT, PAGE_FAR};
    static const char *const words[] = {
        "point it", "put it",     "put the Moon", "aim it",         "then press a", "re-aim within",
        "RE-AIM",   "change the", "to come",      "external power", "power bank"};

    (void)state;
    for (int aimed = 0; aimed < 2; aimed++) {
        open_until(CONTACT_P4, 0);
        for (int rig = 0; rig < 2 && aimed; rig++) {
            scene_at(scene_utc("P4-20m"));
            struct act act = advised_aim(&scene.moment.rig[rig], rig);
            act.utc = scene.moment.utc;
            scene_act(act);
        }
        scene_at(scene_utc("P4+1h"));
        for (size_t page = 0; page < sizeof pages / sizeof *pages; page++)
            for (int rig = 0; rig < 3; rig++) {
                scene.view.page = pages[page];
                scene.view.rig = rig;
                draw(100, 40);
                for (size_t i = 0; i < sizeof words / sizeof *words; i++)
                    expect_not(words[i]);
            }
        scene.view.page = PAGE_NIGHT;
        scene.view.rig = 0;
    }
}

/* A rig that goes on an hour after P4 is aimed and set until then. */
static void a_later_end_goes_on(void **state)
{
    double p4;

    (void)state;
    open_until(CONTACT_P4, 3600);
    p4 = scene_utc("P4");
    scene_at(p4);
    assert_near(scene.night.rig[LONG].ends_utc, p4 + 3600, 1e-6);
    assert_true(scene.night.shooting[LONG].utc_to > p4 + 3500);
    scene_act((struct act){.utc = p4, .kind = ACT_AIM, .rig = LONG});
    scene_at(p4 + 1);
    assert_true(scene.night.rig[LONG].due_utc > p4 && scene.night.rig[LONG].due_utc < p4 + 3600);
    assert_int_equal(decide(scene.night.rig[LONG].due_utc + 1, ACT_ALARM), 1);
    assert_int_equal(scene.moment.alarm_rig, LONG);
}

static void an_earlier_end_stops_the_frames(void **state)
{
    (void)state;
    open_until(CONTACT_U3, -300);
    scene_at(scene_utc("U2"));
    assert_true(scene.night.shooting[LONG].utc_to <= scene_utc("U3-5m"));
    assert_true(scene.night.shooting[LONG].utc_to > scene_utc("U3-6m"));
}

/* Half of a line of the frame less or more than the disc's radius, mm. */
static double edge_mm(const struct rig_state *state, double utc, double radii)
{
    const struct rig *rig = &state->rig;
    double radius = rig_focal_mm(rig) * tan(track_semidiameter(&scene.night.track, utc));
    struct frame_point at;
    double across, along;

    assert_true(
        frame_project(rig, &state->pointing, track_direction(&scene.night.track, utc), &at));
    across = fabs(at.x) * rig_frame_width_mm(rig) + radii * radius - rig_frame_width_mm(rig) / 2;
    along = fabs(at.y) * rig_frame_height_mm(rig) + radii * radius - rig_frame_height_mm(rig) / 2;
    return fmax(across, along);
}

/* First the margin, then the frame cuts the disc, then all of it is outside; each is said with its
 * time. Checked on the sensor: limb and edge fall together to a hundredth of a millimetre. */
static void a_lost_moon_is_said_to_be_lost(void **state)
{
    const struct rig_state *rig = &scene.night.rig[LONG];
    double u1;

    (void)state;
    open_until(CONTACT_P4, 0);
    u1 = scene_utc("U1+10m");
    scene_at(u1);
    scene_act((struct act){.utc = u1, .kind = ACT_AIM, .rig = LONG});
    scene_at(u1);
    assert_true(rig->leaves_utc < rig->cut_utc && rig->cut_utc < rig->gone_utc);
    assert_near(edge_mm(rig, rig->cut_utc, 1), 0, 0.01);
    assert_near(edge_mm(rig, rig->gone_utc, -1), 0, 0.01);
    scene_at(rig->leaves_utc + 5);
    draw(80, 24);
    expect("RE-AIM long NOW: the Moon passed the margin at 20:2");
    scene_at(rig->cut_utc + 5);
    draw(80, 24);
    expect("RE-AIM long NOW: the frame has cut off the Moon since 20:2");
    scene_at(rig->gone_utc + 600);
    draw(80, 24);
    expect("RE-AIM long NOW: the Moon left the frame at 20:2");
    expect("RE-AIM: Moon left frame 20:2");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_asked_for_after_the_end),
        cmocka_unit_test(no_page_asks_for_what_is_over),
        cmocka_unit_test(a_later_end_goes_on),
        cmocka_unit_test(an_earlier_end_stops_the_frames),
        cmocka_unit_test(a_lost_moon_is_said_to_be_lost),
    };
    int result = cmocka_run_group_tests(tests, NULL, NULL);

    free(text);
    scene_close();
    return result;
}
