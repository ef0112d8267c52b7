/* Sites side by side. */
#include "demo.h"

#include "blessed.h"

#include <moonstand/angle.h>
#include <moonstand/report.h>

static struct eclipse eclipse;
static struct site_view views[2];

static int prepare(void **state)
{
    struct site here = demo_setup()->site, west = here;
    struct forecast forecast = {.issued_utc = NAN};
    double day, greatest;

    (void)state;
    if (parse_day("2028-12-31", &day, NULL) != 0 || !eclipse_of_day(day, SHADOW_DANJON, &eclipse))
        return -1;
    greatest = utc_from_tt(eclipse.tt[CONTACT_GREATEST]);
    /* A ridge of 40 degrees in the east. */
    here.horizon = (struct horizon){.count = 3,
                                    .azimuth_rad = {0, rad_from_deg(90), rad_from_deg(180)},
                                    .altitude_rad = {0, rad_from_deg(40), 0}};
    /* In London the Moon rises in the partial phase. */
    west.latitude_deg = 51.5;
    west.longitude_deg = 0;
    west.name[0] = '\0';
    if (site_view_make(&views[1], &west, &eclipse, &forecast, greatest) != 0)
        return -1;
    forecast.issued_utc = greatest - 13 * 3600;
    for (int i = -1; i <= 1; i += 2)
        if (forecast_add(&forecast,
                         &(struct forecast_row){greatest + i * 3600, 30 + 10 * i, -8, NAN, 3},
                         NULL) != 0)
            return -1;
    views[0].active = true;
    if (site_view_make(&views[0], &here, &eclipse, &forecast, greatest) != 0)
        return -1;
    views[0].active = true;
    return 0;
}

static void sites_for_tools(void **state)
{
    const cJSON *here, *west;
    cJSON *root;
    char *text;

    (void)state;
    PRINTED(text, report_sites_json(out, views, 2));
    hold_print("sites-json", text);
    root = json_parse(text);
    free(text);
    here = cJSON_GetArrayItem(root, 0);
    west = cJSON_GetArrayItem(root, 1);
    assert_true(cJSON_IsTrue(member(here, "active")) && cJSON_IsFalse(member(west, "active")));
    assert_true(has(here, "name") && !has(west, "name"));
    for (int i = CONTACT_P1; i < CONTACT_COUNT; i++) {
        const cJSON *seen =
            member(member(member(here, "eclipse"), "seen"), contact_name((enum contact)i));
        const struct sight *moon = &views[0].entry.seen[i];
        double clear = number(member(here, "clear_deg"), contact_name((enum contact)i));

        assert_true(fabs(clear - deg_from_rad(moon->altitude_rad - moon->horizon_rad)) <= 0.005);
        /* The upper limb clears it where the centre is less than a semidiameter below. */
        assert_true(cJSON_IsTrue(member(seen, "up")) ==
                    (moon->altitude_rad + moon->semidiameter_rad > moon->horizon_rad));
    }
    /* U1 stands at 28 degrees in the east, behind the ridge. */
    assert_true(number(member(here, "clear_deg"), "U1") < -5);
    assert_true(number(here, "sun_altitude_deg") < -18);
    assert_true(number(member(here, "forecast"), "cloud_percent") == 30);
    assert_true(number(member(here, "forecast"), "age_s") == 13 * 3600);
    assert_true(cJSON_IsTrue(member(member(here, "forecast"), "old")));
    assert_false(has(member(here, "forecast"), "humidity_percent"));
    assert_false(has(west, "forecast"));
    cJSON_Delete(root);
}

static void sites_for_people(void **state)
{
    char *text;

    (void)state;
    PRINTED(text, report_sites_text(out, views, 2, UNITS_METRIC));
    hold_print("sites", text);
    /* Which eclipse it is about is said once, before the first site. */
    assert_ptr_equal(strstr(text, "Eclipse    2028-12-31, total\n\nSITE "), text);
    assert_int_equal(times_in(text, "Eclipse "), 1);
    assert_int_equal(times_in(text, "\nSITE "), 2);
    assert_non_null(strstr(text,
                           "hill, A (active)\nPlace      latitude 62.00000, longitude 60.00000, "
                           "420 m\n"));
    assert_non_null(strstr(text, "U1         NOT SEEN: behind the local horizon"));
    assert_non_null(strstr(text, "cloud 30 % at greatest"));
    assert_non_null(strstr(text, "forecast made 13h00 ago: old"));
    assert_non_null(strstr(text, "SITE       without a name"));
    assert_non_null(strstr(text, "Forecast   no forecast"));
    assert_non_null(strstr(text, "-8 C"));
    assert_non_null(strstr(text, "wind 3 m/s"));
    free(text);
    PRINTED(text, report_sites_text(out, views, 2, UNITS_IMPERIAL));
    assert_non_null(strstr(text, "18 F"));
    assert_non_null(strstr(text, "wind 7 mph"));
    free(text);
}

/* One hour of a forecast is a forecast. */
static void a_forecast_of_one_hour(void **state)
{
    struct forecast forecast = {.issued_utc = NAN};
    double greatest = utc_from_tt(eclipse.tt[CONTACT_GREATEST]);
    struct site site = demo_setup()->site;
    struct site_view view;
    char *text;

    (void)state;
    assert_int_equal(
        forecast_add(&forecast, &(struct forecast_row){greatest, 20, NAN, NAN, NAN}, NULL), 0);
    assert_int_equal(site_view_make(&view, &site, &eclipse, &forecast, greatest), 0);
    assert_true(view.has_forecast);
    PRINTED(text, report_sites_text(out, &view, 1, UNITS_METRIC));
    assert_non_null(strstr(text, "cloud 20 % at greatest"));
    assert_non_null(strstr(text, "forecast made at an unknown time"));
    assert_null(strstr(text, "wind"));
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sites_for_tools),
        cmocka_unit_test(sites_for_people),
        cmocka_unit_test(a_forecast_of_one_hour),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
