/* The intervalometer: frames on the contacts, and the sheet counted shot by shot. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/exposure.h>
#include <moonstand/rig.h>
#include <moonstand/series.h>
#include <moonstand/sheet.h>
#include <moonstand/text.h>

#include <math.h>

static void assert_near(double found, double wanted, double tolerance)
{
    if (!(fabs(found - wanted) <= tolerance))
        fail_msg("%.12g is not %.12g +- %g", found, wanted, tolerance);
}

/* ---- frames on the contacts ---- */

/* The figures of NASA GSFC (canon.csv). */
static const char *const of_2028[CONTACT_COUNT] = {
    "2028-12-31T14:03:49", "2028-12-31T15:07:35", "2028-12-31T16:16:19", "2028-12-31T16:51:58",
    "2028-12-31T17:27:40", "2028-12-31T18:36:24", "2028-12-31T19:40:02"};

static void contacts_of_2028(double contact[CONTACT_COUNT])
{
    for (int i = 0; i < CONTACT_COUNT; i++)
        assert_int_equal(parse_instant(of_2028[i], &contact[i], NULL), 0);
}

/* The worst distance of a contact from a frame, frame by frame. */
static double brute_miss(const double contact[CONTACT_COUNT], const struct interval_fit *fit)
{
    double worst = 0;

    for (int i = 0; i < CONTACT_COUNT; i++) {
        double nearest = INFINITY;

        for (int k = 0; k < fit->frames; k++)
            nearest = fmin(nearest, fabs(fit->first_utc + k * fit->interval_s - contact[i]));
        worst = fmax(worst, nearest);
    }
    return worst;
}

static void frames_on_the_contacts(void **state)
{
    double contact[CONTACT_COUNT];
    struct interval_fit fit;
    double from, to;

    (void)state;
    contacts_of_2028(contact);
    from = contact[CONTACT_P1] - 300;
    to = contact[CONTACT_P4] + 300;
    for (int most = 60; most <= 600; most += 60) {
        double shots;

        assert_true(interval_on_contacts(contact, from, to, most - 50, most, &fit));
        assert_true(fit.interval_s >= most - 50 && fit.interval_s <= most);
        /* A frame exactly on greatest; all of them, and none else, inside the span. */
        shots = (contact[CONTACT_GREATEST] - fit.first_utc) / fit.interval_s;
        assert_near(shots, round(shots), 1e-9);
        assert_true(fit.first_utc >= from && fit.first_utc < from + fit.interval_s);
        assert_true(fit.first_utc + (fit.frames - 1) * fit.interval_s <= to);
        assert_true(fit.first_utc + fit.frames * fit.interval_s > to);
        assert_near(fit.worst_miss_s, brute_miss(contact, &fit), 1e-6);
        /* No other whole second does better. */
        for (int other = most - 50; other <= most; other++) {
            struct interval_fit only;

            assert_true(interval_on_contacts(contact, from, to, other, other, &only));
            assert_true(only.worst_miss_s >= fit.worst_miss_s);
        }
        print_message("%3d to %3d s: %.0f s, %d frames, misses a contact by at most %.1f s\n",
                      most - 50, most, fit.interval_s, fit.frames, fit.worst_miss_s);
        assert_true(fit.worst_miss_s <= fit.interval_s / 2);
    }
}

static void contacts_on_a_grid(void **state)
{
    double contact[CONTACT_COUNT] = {-9100, -6500, NAN, 0, NAN, 6500, 9100};
    struct interval_fit fit;

    (void)state;
    assert_true(interval_on_contacts(contact, -9100, 9100, 120, 140, &fit));
    assert_near(fit.interval_s, 130, 0);
    assert_near(fit.worst_miss_s, 0, 1e-9);
    assert_near(fit.first_utc, -9100, 1e-9);
    assert_int_equal(fit.frames, 141);
    /* Of equal ones the shortest; a fraction is rounded up. */
    assert_true(interval_on_contacts(contact, -9100, 9100, 49.5, 140, &fit));
    assert_near(fit.interval_s, 50, 0);
    assert_true(interval_on_contacts(contact, -9100, 9100, 50.5, 140, &fit));
    assert_near(fit.interval_s, 52, 0);
    /* Contacts outside the span do not count. */
    assert_true(interval_on_contacts(contact, -7000, 7000, 500, 650, &fit));
    assert_near(fit.interval_s, 500, 0);
    assert_near(fit.first_utc, -7000, 0);
    /* No interval, or greatest is not in the span. */
    assert_false(interval_on_contacts(contact, -9100, 9100, 130.2, 130.8, &fit));
    assert_true(isnan(fit.interval_s) && isnan(fit.first_utc));
    assert_false(interval_on_contacts(contact, 100, 9100, 120, 140, &fit));
    assert_false(interval_on_contacts(contact, NAN, NAN, 120, 140, &fit));
    assert_int_equal(fit.frames, 0);
}

/* ---- the sheet ---- */

static struct exposure one_frame(double shutter_s, int iso)
{
    int shutter = shutter_index(shutter_s);

    return (struct exposure){.known = true,
                             .shutter = shutter,
                             .shutter_last = shutter,
                             .iso = iso_index(iso),
                             .iso_last = iso_index(iso),
                             .bracket_frames = 1};
}

static void how_long_a_shot_takes(void **state)
{
    struct exposure exposure = one_frame(4, 1600);

    (void)state;
    assert_near(exposure_busy_s(&exposure, 1), 5, 1e-12);
    /* The camera's own bracket of five, 2 stops apart: 1/4, 1, 4, 16, 64 s less two stops. */
    exposure.bracket_frames = 5;
    exposure.bracket_step_stops = 2;
    exposure.shutter = shutter_index(1);
    exposure.shutter_last = shutter_index(16);
    assert_near(exposure_busy_s(&exposure, 0.5), 1.0 / 16 + 1.0 / 4 + 1 + 4 + 16 + 2.5, 1e-12);
    /* By the remote from 1/4 s on, ISO rising once the shutter has reached 2 s: no more than this.
     */
    exposure.shutter = shutter_index(0.25);
    exposure.shutter_last = shutter_index(2);
    exposure.iso_last = exposure.iso + 9;
    assert_near(exposure_busy_s(&exposure, 0), 0.25 + 1 + 2 + 2 + 2, 1e-12);
}

static void counted_shot_by_shot(void **state)
{
    const struct exposure setting[] = {one_frame(1.0 / 250, 100), one_frame(1.0 / 15, 400),
                                       one_frame(4, 1600),        one_frame(4, 1600),
                                       {.known = false},          one_frame(1.0 / 250, 100)};
    const double at[] = {0, 1000, 1993, 3017.5, 4000, 4100, 5003};
    enum { PARTS = 6, LINES = 5 };
    struct sheet_part part[PARTS];
    static const double intervals[] = {1, 7, 10, 13.5, 60, 900, 5000};

    (void)state;
    for (int i = 0; i < PARTS; i++)
        part[i] = (struct sheet_part){at[i], at[i + 1], &setting[i]};
    for (size_t k = 0; k < sizeof intervals / sizeof *intervals; k++)
        for (double start = 0; start < 30; start += 12.25) {
            struct sheet sheet = {intervals[k], .start_utc = NAN};
            struct sheet_line line[LINES];
            int shots[LINES] = {0}, all = 0;

            sheet_add(&sheet, &(struct sheet_ask){part, PARTS, start, SAVING_S}, line, LINES);
            /* The two with the same on the dials are one line, the unknown one is none. */
            assert_int_equal(sheet.lines, 4);
            assert_near(line[2].utc_from, 1993, 0);
            assert_near(line[2].utc_to, 4000, 0);
            assert_near(line[3].utc_from, 4100, 0);
            for (int n = 0; start + n * intervals[k] < 5003; n++)
                for (int i = 0; i < 4; i++) {
                    double utc = start + n * intervals[k];

                    if (utc < line[i].utc_from || utc >= line[i].utc_to)
                        continue;
                    if (shots[i] == 0)
                        assert_near(line[i].start_utc, utc, 1e-9);
                    shots[i]++;
                    all++;
                }
            for (int i = 0; i < 4; i++) {
                assert_int_equal(line[i].shots, shots[i]);
                assert_int_equal(line[i].frames, shots[i]);
                if (shots[i] == 0)
                    assert_true(isnan(line[i].start_utc));
            }
            assert_int_equal(sheet.shots, all);
            assert_int_equal(sheet.frames, all);
            assert_near(sheet.start_utc, start, 1e-9);
            assert_near(sheet.interval_s, intervals[k], 0);
            /* 4 s of exposure and a second to save it. */
            assert_near(sheet.least_interval_s, 5, 0);
            assert_near(line[2].busy_s, 5, 1e-12);
            assert_near(line[0].busy_s, 1 + 1.0 / 256, 1e-9);
        }
}

static void brackets_and_nothing(void **state)
{
    struct exposure bracket = one_frame(1, 800), unknown = {.known = false};
    struct sheet_part part[] = {{0, 600, &bracket}, {600, 900, &unknown}};
    const struct sheet_ask ask = {part, 2, 0, 1};
    struct sheet sheet = {30, .start_utc = NAN};
    struct sheet_line line[1];

    (void)state;
    bracket.bracket_frames = 7;
    bracket.bracket_step_stops = 2;
    sheet_add(&sheet, &ask, line, 1);
    assert_int_equal(sheet.lines, 1);
    assert_int_equal(sheet.shots, 20);
    assert_int_equal(sheet.frames, 140);
    assert_near(sheet.least_interval_s, 9, 0);
    /* More lines than room: all are counted. */
    sheet_add(&sheet, &ask, line, 1);
    assert_int_equal(sheet.lines, 2);
    assert_int_equal(sheet.frames, 2 * 140);
    /* The other dials are another line, though one follows the other. */
    struct exposure other = bracket;

    other.bracket_frames = 5;
    part[1].exposure = &other;
    sheet = (struct sheet){30, .start_utc = NAN};
    sheet_add(&sheet, &ask, line, 1);
    assert_int_equal(sheet.lines, 2);
    assert_int_equal(sheet.frames, 20 * 7 + 10 * 5);
    /* Nothing to expose for. */
    part[0].exposure = part[1].exposure = &unknown;
    sheet = (struct sheet){30, .start_utc = NAN};
    sheet_add(&sheet, &ask, line, 1);
    assert_int_equal(sheet.lines + sheet.shots + sheet.frames, 0);
    assert_true(isnan(sheet.start_utc));
}

/* ---- how often ---- */

static struct rig rig_of(double focal_mm, enum support support, double interval_s)
{
    struct rig rig;

    rig_default(&rig);
    rig.focal_mm = focal_mm;
    rig.sensor_width_mm = 36;
    rig.sensor_height_mm = 24;
    rig.support = support;
    rig.interval_s = interval_s;
    return rig;
}

static void each_rig_has_the_interval_that_suits_it(void **state)
{
    static const struct {
        double focal_mm;
        enum support support;
        double given_s, busy_s, interval_s;
        enum interval_reason reason;
    } cases[] = {
        {24, SUPPORT_FIXED, NAN, 2, 180, INTERVAL_CHAIN},
        {24, SUPPORT_FIXED, NAN, 200, 240, INTERVAL_LONGEST},
        {24, SUPPORT_FIXED, 20, 2, 20, INTERVAL_SETUP},
        {24, SUPPORT_FIXED, 1, 2.5, 3, INTERVAL_LONGEST},
        {24, SUPPORT_LUNAR, NAN, 2, 10, INTERVAL_LAPSE},
        {400, SUPPORT_FIXED, NAN, 2, 10, INTERVAL_LAPSE},
        {400, SUPPORT_FIXED, NAN, 10, 10, INTERVAL_LAPSE},
        {400, SUPPORT_FIXED, NAN, 10.5, 12, INTERVAL_LONGEST},
        {800, SUPPORT_LUNAR, NAN, 31, 60, INTERVAL_LONGEST},
        {800, SUPPORT_LUNAR, NAN, 4000, 4020, INTERVAL_LONGEST},
        {800, SUPPORT_LUNAR, 10, 31, 31, INTERVAL_LONGEST},
    };
    /* The Moon moves by its diameter in 0.52 degrees / (15 - 0.5 degrees an hour). */
    const double disc_s = 0.52 / 14.5 * 3600;

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rig rig = rig_of(cases[i].focal_mm, cases[i].support, cases[i].given_s);
        enum interval_reason reason;

        assert_near(interval_choose(&rig, disc_s, cases[i].busy_s, &reason), cases[i].interval_s,
                    0);
        assert_int_equal(reason, cases[i].reason);
    }
}

/* Of all speeds of the Moon: round minutes, the fewest that leave the gap. */
static void a_chain_is_as_close_as_its_gap_allows(void **state)
{
    static const double minutes[] = {1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60};
    const struct rig rig = rig_of(18, SUPPORT_FIXED, NAN);
    enum interval_reason reason;

    (void)state;
    for (double disc_s = 20; disc_s < 2900; disc_s += 1) {
        double interval = interval_choose(&rig, disc_s, 2, &reason);
        size_t i = 0;

        while (60 * minutes[i] < 1.2 * disc_s)
            i++;
        assert_near(interval, 60 * minutes[i], 0);
        assert_int_equal(reason, INTERVAL_CHAIN);
    }
}

static void the_first_shot_is_on_the_clock(void **state)
{
    static const double intervals[] = {0.5, 1, 10, 12, 60, 180, 600, 7, 153};
    const double hour = 21573 * 86400.0; /* whole days after 1970: a midnight in UTC */

    (void)state;
    for (size_t i = 0; i < sizeof intervals / sizeof *intervals; i++)
        for (double from = hour; from < hour + 7200; from += 37.3) {
            double first = interval_first_utc(from, intervals[i]);
            bool divides = fmod(3600, intervals[i]) == 0;
            double step = divides ? intervals[i] : 60;

            assert_true(first >= from && first < from + step);
            assert_near(fmod(first - hour, step), 0, 1e-6);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_on_the_contacts), cmocka_unit_test(contacts_on_a_grid),
        cmocka_unit_test(how_long_a_shot_takes),  cmocka_unit_test(counted_shot_by_shot),
        cmocka_unit_test(brackets_and_nothing),
        cmocka_unit_test(each_rig_has_the_interval_that_suits_it),
        cmocka_unit_test(a_chain_is_as_close_as_its_gap_allows),
        cmocka_unit_test(the_first_shot_is_on_the_clock),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
