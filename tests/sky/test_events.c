/* Rise, transit, set, twilight. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>
#include <moonstand/text.h>

#include <math.h>
#include <stdio.h>

#include "near.h"

enum { MOST = 40 };

static double instant(const char *text)
{
    double utc = NAN;

    assert_int_equal(parse_instant(text, &utc, NULL), 0);
    return utc;
}

static struct arc arc_of(double utc_from, double utc_to)
{
    struct arc arc;

    assert_int_equal(arc_make(&arc, tt_from_utc(utc_from), tt_from_utc(utc_to), true), 0);
    return arc;
}

/* U.S. Naval Observatory, one-year table of moonrise and moonset for W081 N29, UT to the minute. */
static void moonrise_and_moonset_of_the_usno(void **state)
{
    static const struct {
        enum sky_event_kind kind;
        const char *at;
    } table[] = {
        {SKY_MOONSET, "2019-01-20T11:40Z"},
        {SKY_MOONRISE, "2019-01-20T22:31Z"},
        {SKY_MOONSET, "2019-01-21T12:39Z"},
        {SKY_MOONRISE, "2019-01-21T23:40Z"},
    };
    double from = instant("2019-01-20T00:00Z"), to = instant("2019-01-22T00:00Z"), worst = 0;
    struct arc arc = arc_of(from, to);
    struct observer observer;
    struct sky_event events[MOST];
    int count, found = 0;

    (void)state;
    observer_make(&observer, rad_from_deg(29), rad_from_deg(-81), 0);
    count = sky_events(&arc, &observer, from, to, events, MOST);
    for (int i = 0; i < count; i++) {
        if (events[i].kind != SKY_MOONRISE && events[i].kind != SKY_MOONSET)
            continue;
        assert_true(found < 4);
        assert_int_equal(events[i].kind, table[found].kind);
        worst = fmax(worst, fabs(events[i].utc - instant(table[found].at)));
        found++;
    }
    assert_int_equal(found, 4);
    printf("  USNO rise and set: largest %.0f s (printed to the minute)\n", worst);
    assert_near(worst, 0, 22);
}

/* One height per kind, at the event and five seconds to each side. */
static void each_event_is_where_its_height_is_zero(void **state)
{
    double from = instant("2028-12-30T00:00Z"), to = instant("2029-01-02T00:00Z"), last = from;
    double last_of_kind[SKY_ASTRONOMICAL_DAWN + 1] = {0};
    struct arc arc = arc_of(from, to);
    struct observer observer;
    struct sky_event events[MOST];
    int count, of_kind[SKY_ASTRONOMICAL_DAWN + 1] = {0};

    (void)state;
    observer_make(&observer, rad_from_deg(48), rad_from_deg(11), 500);
    count = sky_events(&arc, &observer, from, to, events, MOST);
    for (int i = 0; i < count; i++) {
        double utc = events[i].utc;
        struct sight moon, sun, before, after;

        assert_true(utc >= from && utc <= to && utc > last - 300);
        assert_true(utc > last_of_kind[events[i].kind]);
        last = last_of_kind[events[i].kind] = utc;
        of_kind[events[i].kind]++;
        sky_moon(&arc, &observer, utc, &moon);
        sky_sun(&arc, &observer, utc, &sun);
        sky_moon(&arc, &observer, utc - 5, &before);
        sky_moon(&arc, &observer, utc + 5, &after);
        switch (events[i].kind) {
        case SKY_MOONRISE:
            assert_near(moon.upper_limb_rad, 0, 1e-5);
            assert_true(!before.up && after.up);
            break;
        case SKY_MOONSET:
            assert_near(moon.upper_limb_rad, 0, 1e-5);
            assert_true(before.up && !after.up);
            break;
        case SKY_MOON_TRANSIT:
            assert_near(moon.hour_angle_rad, 0, 1e-5);
            break;
        case SKY_SUNRISE:
        case SKY_SUNSET:
            assert_near(sun.upper_limb_rad, 0, 1e-5);
            break;
        case SKY_CIVIL_DUSK:
        case SKY_CIVIL_DAWN:
            assert_near(deg_from_rad(sun.altitude_airless_rad), -6, 1e-3);
            break;
        case SKY_NAUTICAL_DUSK:
        case SKY_NAUTICAL_DAWN:
            assert_near(deg_from_rad(sun.altitude_airless_rad), -12, 1e-3);
            break;
        case SKY_ASTRONOMICAL_DUSK:
        case SKY_ASTRONOMICAL_DAWN:
            assert_near(deg_from_rad(sun.altitude_airless_rad), -18, 1e-3);
            break;
        }
    }
    for (int kind = 0; kind <= SKY_ASTRONOMICAL_DAWN; kind++)
        assert_true(of_kind[kind] == 3 || (of_kind[kind] == 2 && kind <= SKY_MOON_TRANSIT));
}

static void roof_delays_the_rise_and_brings_the_set_forward(void **state)
{
    double from = instant("2028-12-31T00:00Z"), to = instant("2029-01-01T10:00Z");
    double flat[2] = {NAN, NAN}, roof[2] = {NAN, NAN};
    struct arc arc = arc_of(from, to);
    struct observer observer;
    struct sky_event events[MOST];

    (void)state;
    observer_make(&observer, rad_from_deg(62), rad_from_deg(60), 0);
    for (int pass = 0; pass < 2; pass++) {
        double *at = pass ? roof : flat;
        int count;

        observer.horizon.count = pass;
        observer.horizon.altitude_rad[0] = rad_from_deg(10);
        count = sky_events(&arc, &observer, from, to, events, MOST);
        for (int i = 0; i < count; i++) {
            if (events[i].kind == SKY_MOONRISE)
                at[0] = events[i].utc;
            if (events[i].kind == SKY_MOONSET && events[i].utc > at[0])
                at[1] = events[i].utc;
        }
    }
    assert_true(roof[0] > flat[0] + 1800);
    assert_true(roof[1] < flat[1] - 1800);
}

/* Polar night: the Sun stays down all day; a small buffer is not overrun. */
static void nothing_where_nothing_happens(void **state)
{
    double from = instant("2028-12-21T00:00Z"), to = instant("2028-12-22T00:00Z");
    struct arc arc = arc_of(from, to);
    struct observer observer;
    struct sky_event events[MOST];
    int count;

    (void)state;
    observer_make(&observer, rad_from_deg(78), rad_from_deg(15), 0);
    count = sky_events(&arc, &observer, from, to, events, MOST);
    for (int i = 0; i < count; i++)
        assert_true(events[i].kind != SKY_SUNRISE && events[i].kind != SKY_SUNSET);
    observer_make(&observer, rad_from_deg(48), rad_from_deg(15), 0);
    assert_int_equal(sky_events(&arc, &observer, from, to, events, 2), 2);
    assert_int_equal(sky_events(&arc, &observer, to, from, events, MOST), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moonrise_and_moonset_of_the_usno),
        cmocka_unit_test(each_event_is_where_its_height_is_zero),
        cmocka_unit_test(roof_delays_the_rise_and_brings_the_set_forward),
        cmocka_unit_test(nothing_where_nothing_happens),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
