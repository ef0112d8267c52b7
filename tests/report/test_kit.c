/* Batteries, cards and air in what is printed. */
#include "demo.h"

#include <moonstand/moment.h>
#include <moonstand/report.h>

static cJSON *now_json(struct night *night, const struct readings *readings, double utc)
{
    static struct moment moment;
    char *text;
    cJSON *root;

    night_follow(night, utc);
    moment_at(night, readings, utc, &moment);
    PRINTED(text, report_now_json(out, night, &moment));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    return root;
}

static cJSON *plan_json(const struct night *night)
{
    char *text;
    cJSON *root;

    PRINTED(text, report_plan_json(out, night));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    return root;
}

static const cJSON *kit_of(const cJSON *root, int rig, const char *part)
{
    return member(cJSON_GetArrayItem(member(member(root, "kit"), "rigs"), rig), part);
}

/* What stands in the plan is what the night reckons, and the two ways to count frames agree. */
static void the_plan_tells_batteries_and_cards(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    cJSON *root;

    (void)state;
    setup->site.temperature_c = -22;
    setup->rig[1].card_gb = 32;
    setup->rig[2].power.external = true;
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    for (int i = 0; i < 3; i++) {
        const cJSON *rig = cJSON_GetArrayItem(member(root, "rigs"), i);
        const cJSON *power = member(rig, "power");
        struct rig_power reckoned;
        struct card_budget card;

        rig_power_make(night, i, night->shooting[i].utc_from, &reckoned);
        (void)rig_card_make(night, i, night->shooting[i].utc_from, NAN, &card);
        assert_true(number(rig, "batteries") == reckoned.plan.batteries);
        assert_true(number(power, "temperature_c") == -22);
        assert_string_equal(text_of(power, "temperature_from"), "site");
        assert_true(number(rig, "frames") == card.frames);
        assert_true(has(rig, "card") == (i == 1));
        assert_true(cJSON_IsTrue(member(power, "external")) == (i == 2));
        assert_true(has(power, "swaps") == (i != 2));
        if (i == 1) {
            assert_int_equal(cJSON_GetArraySize(member(power, "swaps")), 3);
            assert_true(cJSON_IsTrue(member(power, "totality_free")));
            assert_true(cJSON_IsTrue(member(power, "external_wanted"))); /* two spares for three */
            assert_true(cJSON_IsFalse(member(member(rig, "card"), "fits")));
            assert_true(number(member(rig, "card"), "frames_fit") == floor(32e9 / 30e6));
        }
    }
    cJSON_Delete(root);
    demo_free(night);
}

static void the_plan_on_paper_says_them_too(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    char *text;

    (void)state;
    setup->site.temperature_c = -10;
    setup->rig[1].card_gb = 32;
    setup->rig[2].power.external = true;
    night = demo_night(setup, "2028-12-31");
    PRINTED(text, report_plan_text(out, night));
    assert_non_null(strstr(text, "2 spares left; each lasts 2:26 at -10 C (site)"));
    assert_non_null(strstr(text, "(before totality)"));
    assert_non_null(strstr(text, "  POWER    empty at "));
    assert_non_null(strstr(text, "  power    external power"));
    assert_non_null(strstr(text, "  CARD     room for 1066 of "));
    free(text);
    demo_free(night);
}

/* The moment keeps the plan's swaps, and tells of the one that nobody wrote down. */
static void a_swap_that_was_missed_is_overdue(void **state)
{
    struct setup *setup = demo_setup();
    struct readings readings;
    struct moment moment;
    struct night *night;
    char *text, planned[TEXT_INSTANT], words[64];
    const cJSON *power;
    double swap;
    cJSON *root;

    (void)state;
    readings_none(&readings);
    night = demo_night(setup, "2028-12-31");
    root = plan_json(night);
    power = member(cJSON_GetArrayItem(member(root, "rigs"), 1), "power");
    assert_false(has(power, "temperature_c"));
    assert_string_equal(text_of(power, "temperature_from"), "unknown");
    cJSON_Delete(root);
    night_follow(night, night->shooting[1].utc_from);
    swap = night->power[1].plan.swap[0].utc;
    night_follow(night, night->contact_utc[CONTACT_U2] + 200);
    moment_at(night, &readings, night->contact_utc[CONTACT_U2] + 200, &moment);
    PRINTED(text, report_now_text(out, night, &moment));
    (void)snprintf(words, sizeof words, "  SWAP     overdue since %s, ",
                   format_time(planned, swap + 5 * 3600, false, HOURS_24));
    assert_non_null(strstr(text, words));
    assert_non_null(strstr(text, "3:07 at 20 C"));
    free(text);
    demo_free(night);
}

static void a_moment_tells_card_and_trouble(void **state)
{
    struct setup *setup = demo_setup();
    struct night *night;
    struct readings readings;
    cJSON *root;
    double utc;

    (void)state;
    (void)snprintf(setup->rig[0].card_path, sizeof setup->rig[0].card_path, "/media/a");
    (void)snprintf(setup->rig[1].card_path, sizeof setup->rig[1].card_path, "/media/b");
    night = demo_night(setup, "2028-12-31");
    utc = night->contact_utc[CONTACT_U1];
    readings_none(&readings);
    readings.card_free_bytes[0] = 64e9;
    readings.card_absent[1] = true;
    readings.battery_percent = 40;
    readings.battery_left_s = 3600;
    readings.battery_discharging = true;
    (void)snprintf(readings.air_trouble, sizeof readings.air_trouble, "ended with status 3");
    root = now_json(night, &readings, utc);
    assert_true(number(kit_of(root, 0, "card"), "free_bytes") == 64e9);
    assert_true(cJSON_IsTrue(member(kit_of(root, 0, "card"), "fits")));
    assert_true(cJSON_IsFalse(member(kit_of(root, 0, "card"), "absent")));
    assert_true(cJSON_IsTrue(member(kit_of(root, 1, "card"), "absent")));
    assert_false(has(kit_of(root, 1, "card"), "fits"));
    assert_false(has(kit_of(root, 2, "card"), "absent"));
    assert_true(number(kit_of(root, 2, "card"), "frames") > 100);
    assert_string_equal(text_of(member(root, "air"), "sensor_trouble"), "ended with status 3");
    assert_true(fabs(instant(member(member(root, "kit"), "laptop"), "empty") - utc - 3600) < 0.002);
    assert_true(cJSON_IsFalse(member(member(member(root, "kit"), "laptop"), "lasts")));
    cJSON_Delete(root);
    demo_free(night);
}

static void air_trend_and_forecast_are_told(void **state)
{
    struct night *night = demo_night(demo_setup(), "2028-12-31");
    double utc = night->contact_utc[CONTACT_U1];
    struct forecast_row row = {utc - 3600, 30, -8, 70, 4};
    struct readings readings;
    const cJSON *air;
    cJSON *root;

    (void)state;
    readings_none(&readings);
    root = now_json(night, &readings, utc);
    air = member(root, "air");
    assert_false(has(air, "source") || has(air, "trend") || has(air, "forecast"));
    cJSON_Delete(root);

    night->forecast.issued_utc = utc - 3 * 3600;
    assert_int_equal(forecast_add(&night->forecast, &row, NULL), 0);
    row.utc += 7200;
    assert_int_equal(forecast_add(&night->forecast, &row, NULL), 0);
    root = now_json(night, &readings, utc);
    air = member(root, "air");
    assert_string_equal(text_of(air, "source"), "forecast");
    assert_true(number(air, "temperature_c") == -8);
    assert_true(number(member(air, "forecast"), "cloud_percent") == 30);
    assert_true(number(member(air, "forecast"), "age_s") == 3 * 3600);
    assert_true(cJSON_IsFalse(member(member(air, "forecast"), "old")));
    cJSON_Delete(root);

    for (int i = 0; i < 4; i++) {
        struct act act = {.utc = utc + i * 600, .kind = ACT_AIR, .rig = -1, .value = {-i, 70}};

        assert_int_equal(night_apply(night, &act, NULL), 0);
    }
    root = now_json(night, &readings, utc + 1800);
    air = member(root, "air");
    assert_string_equal(text_of(air, "source"), "reading");
    assert_true(number(air, "age_s") == 0);
    assert_true(number(member(air, "trend"), "readings") == 4);
    assert_true(number(member(air, "trend"), "temperature_c_per_h") == -6);
    cJSON_Delete(root);
    demo_free(night);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plan_tells_batteries_and_cards),
        cmocka_unit_test(the_plan_on_paper_says_them_too),
        cmocka_unit_test(a_swap_that_was_missed_is_overdue),
        cmocka_unit_test(a_moment_tells_card_and_trouble),
        cmocka_unit_test(air_trend_and_forecast_are_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
