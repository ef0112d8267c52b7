/* The shadow at one instant. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>
#include <moonstand/angle.h>
#include <moonstand/arc.h>

#include "csv.h"
#include "eclipse/rows.h"
#include "near.h"

static struct shadow shadow_of(double tt, enum shadow_rule rule)
{
    struct arc arc;
    struct shadow shadow;

    assert_int_equal(arc_make(&arc, tt - 3600, tt + 3600, false), 0);
    shadow_at(&arc, tt, rule, &shadow);
    return shadow;
}

/* Greatest eclipse of 2026-08-28 from JPL DE441 with the constants of this program. */
static void radii_of_2026_08_28(void **state)
{
    double tt = tt_of(2026, 8, 28, "04:14:04.2");
    struct shadow danjon = shadow_of(tt, SHADOW_DANJON);
    struct shadow chauvenet = shadow_of(tt, SHADOW_CHAUVENET);

    (void)state;
    assert_near(arcsec_from_rad(danjon.moon_parallax), 3369.89, 0.01);
    assert_near(arcsec_from_rad(danjon.sun_radius), 949.97, 0.01);
    assert_near(arcsec_from_rad(danjon.moon_radius), 918.28, 0.01);
    assert_near(arcsec_from_rad(danjon.umbra), 2462.32, 0.01);
    assert_near(arcsec_from_rad(danjon.penumbra), 4362.27, 0.01);
    assert_near(arcsec_from_rad(chauvenet.umbra), 2471.49, 0.01);
    assert_near(arcsec_from_rad(chauvenet.penumbra), 4409.44, 0.01);
    /* Published elements of the same instant (EclipseWise): 56'09.9", 15'18.2", 15'50.0", 8.7". */
    assert_near(arcsec_from_rad(danjon.moon_parallax), 56 * 60 + 9.9, 0.06);
    assert_near(arcsec_from_rad(danjon.moon_radius), 15 * 60 + 18.2, 0.1);
    assert_near(arcsec_from_rad(danjon.sun_radius), 15 * 60 + 50.0, 0.06);
    assert_near(arcsec_from_rad(danjon.sun_parallax), 8.7, 0.06);
}

/* minutes'seconds" or seconds" to arcsec; the file doubles the quote, as CSV does. */
static double arcsec_of(const char *text)
{
    double minutes = 0, seconds = 0;

    if (*text == '"')
        text++;
    if (sscanf(text, "%lf'%lf", &minutes, &seconds) == 2)
        return 60 * minutes + seconds;
    return minutes;
}

/* Institute of Applied Astronomy (RAS), elements at opposition in right ascension. Its lunar radius
 * is that of k = 0.2725, a difference of 0.03 arcsec. */
static void elements_of_the_ras(void **state)
{
    struct csv csv;
    double worst = 0;
    int rows = 0;

    (void)state;
    for (csv_open(&csv, "agency_contacts_1_50_rule.csv"); csv_next(&csv);) {
        const char *opposition = strstr(csv_text(&csv, "note"), "opposition");
        const char *clock = opposition ? strchr(opposition, ':') : NULL;
        struct civil at = {0};
        struct shadow shadow;
        struct {
            double value, wanted;
        } elements[4];

        if (!clock)
            continue;
        assert_int_equal(sscanf(csv_text(&csv, "date"), "%d-%d-%d", &at.year, &at.month, &at.day),
                         3);
        assert_int_equal(sscanf(clock - 2, "%d:%d:%lf", &at.hour, &at.minute, &at.second), 3);
        shadow = shadow_of(tt_from_utc(seconds_from_civil(&at)), SHADOW_CHAUVENET);
        elements[0].value = shadow.moon_parallax;
        elements[0].wanted = arcsec_of(csv_text(&csv, "moon_parallax"));
        elements[1].value = shadow.moon_radius;
        elements[1].wanted = arcsec_of(csv_text(&csv, "moon_sd"));
        elements[2].value = shadow.sun_parallax;
        elements[2].wanted = arcsec_of(csv_text(&csv, "sun_parallax"));
        elements[3].value = shadow.sun_radius;
        elements[3].wanted = arcsec_of(csv_text(&csv, "sun_sd"));
        for (int i = 0; i < 4; i++) {
            double miss = fabs(arcsec_from_rad(elements[i].value) - elements[i].wanted);

            assert_near(miss, 0, 0.1);
            worst = fmax(worst, miss);
        }
        rows++;
    }
    assert_int_equal(rows, 7);
    printf("  elements of %d oppositions: largest %.3f arcsec\n", rows, worst);
}

/* East and north span the separation; east is where the Moon is going. */
static void offsets_have_their_signs(void **state)
{
    double tt = tt_of(2026, 8, 28, "04:14:04.2");
    struct arc arc;
    struct shadow before, now, after;
    double axis, moon; /* sines of declinations */

    (void)state;
    assert_int_equal(arc_make(&arc, tt - 7200, tt + 7200, true), 0);
    shadow_at(&arc, tt - 3600, SHADOW_DANJON, &before);
    shadow_at(&arc, tt, SHADOW_DANJON, &now);
    shadow_at(&arc, tt + 3600, SHADOW_DANJON, &after);
    assert_near(hypot(now.east, now.north), now.separation, 1e-12);
    assert_true(before.east < now.east && now.east < after.east);
    assert_true(now.north > 0); /* gamma is +0.4964 */
    /* The spherical triangle of pole, axis and Moon: the law of cosines for the polar side. */
    axis = vec3_dot(arc_pole(&arc, tt), vec3_unit(vec3_scale(arc_sun(&arc, tt), -1)));
    moon = vec3_dot(arc_pole(&arc, tt), vec3_unit(arc_moon(&arc, tt)));
    assert_near(cos(now.separation) * axis +
                    sin(now.separation) * sqrt(1 - axis * axis) * now.north / now.separation,
                moon, 1e-12);
    /* The triangle of Sun, Moon and Earth: its angle at the Sun is what the separation exceeds the
     * phase angle by. */
    assert_near(now.phase_angle, now.separation * (1 - now.moon_distance_km / now.sun_distance_km),
                1e-7);
}

/* The oblate rule between its limits: the outline's radius lies between pole and equator. */
static void oblate_rule_knows_the_direction(void **state)
{
    double tt = tt_of(2026, 8, 28, "04:14:04.2");
    struct arc arc;

    (void)state;
    assert_int_equal(arc_make(&arc, tt - 3600 * 6, tt + 3600 * 6, false), 0);
    for (double at = tt - 3600 * 5; at < tt + 3600 * 5; at += 1800) {
        struct shadow shadow;
        double earth_km;

        shadow_at(&arc, at, SHADOW_OBLATE, &shadow);
        earth_km = (shadow.umbra + shadow.sun_radius - shadow.sun_parallax) / shadow.moon_parallax *
                       EARTH_EQUATOR_KM -
                   87;
        assert_true(earth_km > EARTH_POLE_KM && earth_km < EARTH_EQUATOR_KM);
        /* The direction from the axis decides: along the equator the radius is the equator's. */
        assert_near(earth_km, EARTH_EQUATOR_KM - 21.0 * pow(shadow.north / shadow.separation, 2),
                    0.7);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(radii_of_2026_08_28),
        cmocka_unit_test(elements_of_the_ras),
        cmocka_unit_test(offsets_have_their_signs),
        cmocka_unit_test(oblate_rule_knows_the_direction),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
