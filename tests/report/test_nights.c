/* Eclipses to choose from, and the air.
 *
 * Published: greatest (TD), kind, gamma, magnitudes and Saros number from NASA's Five Millennium
 * Catalog of Lunar Eclipses (Espenak & Meeus); 32.184 s plus 37 leap seconds between TT and UTC
 * from IERS Bulletin C.
 */
#include "demo.h"

#include "blessed.h"

#include <moonstand/angle.h>
#include <moonstand/around_words.h>
#include <moonstand/report.h>

static struct nights_entry entry_of(const char *day, const struct observer *observer)
{
    struct nights_entry entry;
    struct eclipse eclipse;
    double utc;

    assert_int_equal(parse_day(day, &utc, NULL), 0);
    assert_true(eclipse_of_day(utc, SHADOW_DANJON, &eclipse));
    assert_int_equal(nights_entry_make(&entry, &eclipse, observer), 0);
    return entry;
}

static struct observer manaus(void)
{
    struct observer observer;

    observer_make(&observer, rad_from_deg(-3.1019), rad_from_deg(-60.025), 92);
    return observer;
}

static cJSON *json_of(const struct nights_entry *entries, size_t count)
{
    char *text;
    cJSON *root;

    PRINTED(text, report_nights_json(out, entries, count));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    assert_true(cJSON_IsArray(root));
    assert_int_equal(cJSON_GetArraySize(root), (int)count);
    return root;
}

/* TT without a zone letter, on the scale of parse_instant. */
static double tt_text(const cJSON *object, const char *key)
{
    const char *text = text_of(object, key);
    double tt = NAN;

    assert_null(strchr(text, 'Z'));
    assert_int_equal(parse_instant(text, &tt, NULL), 0);
    return tt;
}

static void a_total_eclipse_has_all_that_the_contract_names(void **state)
{
    struct nights_entry entry = entry_of("2028-12-31", NULL);
    cJSON *root = json_of(&entry, 1);
    const cJSON *eclipse = root->child;
    static const char *const names[] = {"P1", "U1", "U2", "U3", "U4", "P4"};
    double greatest_td, before = 0;

    (void)state;
    assert_string_equal(text_of(eclipse, "kind"), "total");
    assert_string_equal(text_of(eclipse, "time_scale"), "UTC");
    assert_int_equal((int)number(eclipse, "saros"), 125);
    assert_true(fabs(number(eclipse, "gamma") - 0.3258) <= 0.0003);
    assert_true(fabs(number(eclipse, "penumbral_magnitude") - 2.2742) <= 0.0004);
    assert_true(fabs(number(eclipse, "umbral_magnitude") - 1.2463) <= 0.0004);
    assert_int_equal(parse_instant("2028-12-31T16:53:15", &greatest_td, NULL), 0);
    assert_true(fabs(tt_text(eclipse, "greatest_tt") - greatest_td) <= 3);
    assert_true(fabs(tt_text(eclipse, "greatest_tt") - instant(eclipse, "greatest") - 69.184) <
                0.0015);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        double utc = instant(member(eclipse, "contacts"), names[i]);

        assert_true(utc > before);
        assert_true(fabs(tt_text(member(eclipse, "contacts_tt"), names[i]) - utc - 69.184) <
                    0.0015);
        before = utc;
    }
    assert_false(has(member(eclipse, "contacts"), "greatest"));
    assert_false(has(eclipse, "seen"));
    cJSON_Delete(root);
}

static void contacts_that_do_not_exist_have_no_key(void **state)
{
    struct observer observer = manaus();
    struct nights_entry entries[] = {entry_of("2026-08-28", &observer),
                                     entry_of("2027-02-20", &observer)};
    cJSON *root = json_of(entries, 2);
    const cJSON *partial = root->child, *penumbral = root->child->next;

    (void)state;
    assert_string_equal(text_of(partial, "kind"), "partial");
    assert_true(has(member(partial, "contacts"), "U1"));
    assert_false(has(member(partial, "contacts"), "U2"));
    assert_false(has(member(partial, "seen"), "U3"));
    assert_string_equal(text_of(penumbral, "kind"), "penumbral");
    assert_int_equal(cJSON_GetArraySize(member(penumbral, "contacts")), 2);
    assert_int_equal(cJSON_GetArraySize(member(penumbral, "contacts_tt")), 2);
    assert_int_equal(cJSON_GetArraySize(member(penumbral, "seen")), 3);
    assert_true(number(penumbral, "umbral_magnitude") < 0);
    cJSON_Delete(root);
}

static void seen_is_what_the_sky_says(void **state)
{
    struct observer observer = manaus();
    struct nights_entry entry = entry_of("2026-08-28", &observer);
    cJSON *root = json_of(&entry, 1);
    const cJSON *seen = member(root->child, "seen");
    static const enum contact contacts[] = {CONTACT_P1, CONTACT_GREATEST, CONTACT_P4};

    (void)state;
    for (size_t i = 0; i < sizeof contacts / sizeof contacts[0]; i++) {
        const cJSON *contact = member(seen, contact_name(contacts[i]));
        const struct sight *sight = &entry.seen[contacts[i]];

        assert_true(fabs(number(contact, "altitude_deg") - deg_from_rad(sight->altitude_rad)) <
                    1e-5);
        assert_true(fabs(number(contact, "azimuth_deg") - deg_from_rad(sight->azimuth_rad)) < 1e-5);
        assert_int_equal(flag(contact, "up"), sight->up);
    }
    cJSON_Delete(root);
}

static void before_1972_the_scale_is_ut1(void **state)
{
    struct nights_entry entry = entry_of("1971-02-10", NULL);
    cJSON *root = json_of(&entry, 1);
    char *text;

    (void)state;
    assert_string_equal(text_of(root->child, "time_scale"), "UT1");
    cJSON_Delete(root);
    PRINTED(text, report_nights_text(out, &entry, 1));
    assert_non_null(strstr(text, "UT1"));
    assert_null(strstr(text, "UTC"));
    free(text);
}

static void the_table_for_people_fits_and_says_what_is_seen(void **state)
{
    struct observer observer = manaus();
    struct nights_entry entries[] = {
        entry_of("2026-08-28", &observer), entry_of("2028-12-31", &observer),
        entry_of("2027-02-20", &observer), entry_of("1971-02-10", NULL)};
    char *text;

    (void)state;
    PRINTED(text, report_nights_json(out, entries, 4));
    hold_print("nights-json", text);
    free(text);
    PRINTED(text, report_nights_text(out, entries, 4));
    hold_print("nights", text);
    free(text);
    PRINTED(text, report_nights_text(out, entries, 2));
    assert_fits_paper(text);
    assert_non_null(strstr(text, "2026-08-28  partial"));
    assert_non_null(strstr(text, "2028-12-31  total"));
    assert_non_null(strstr(text, "Saros 138"));
    assert_non_null(strstr(text, "04:12:"));
    /* By day in the Amazon the Moon is down for the whole of the second one. */
    assert_int_equal(times_in(text, "down"), 7);
    free(text);
}

static void a_contact_on_another_day_is_marked(void **state)
{
    struct nights_entry entry = entry_of("2027-02-20", NULL);
    char *text;

    (void)state;
    assert_true(entry.eclipse.tt[CONTACT_P4] > entry.eclipse.tt[CONTACT_GREATEST]);
    PRINTED(text, report_nights_text(out, &entry, 1));
    assert_non_null(strstr(text, ">01:1"));
    assert_null(strstr(text, "<2"));
    free(text);
}

static void an_empty_span_is_an_empty_array(void **state)
{
    cJSON *root = json_of(NULL, 0);
    char *text;

    (void)state;
    cJSON_Delete(root);
    PRINTED(text, report_nights_text(out, NULL, 0));
    assert_string_equal(text, "No eclipse.\n");
    free(text);
}

static void a_full_disk_is_told(void **state)
{
    struct nights_entry entry = entry_of("2028-12-31", NULL);

    (void)state;
    REFUSED_BY_FULL_DISK(report_nights_json(out, &entry, 1));
    REFUSED_BY_FULL_DISK(report_nights_text(out, &entry, 1));
}

static int allocations_left;

static void *scarce_malloc(size_t size)
{
    return allocations_left-- > 0 ? malloc(size) : NULL;
}

/* Whichever allocation fails: it is told, nothing half is written, nothing leaks. */
static void memory_that_runs_out_is_told(void **state)
{
    struct observer observer = manaus();
    struct nights_entry entry = entry_of("2026-08-28", &observer);
    cJSON_Hooks hooks = {scarce_malloc, free};
    int result = -1, failures;

    (void)state;
    cJSON_InitHooks(&hooks);
    for (failures = 0; result != 0 && failures < 1000; failures++) {
        char *text;
        FILE *out = page_open(&text);

        allocations_left = failures;
        result = report_nights_json(out, &entry, 1);
        assert_int_equal(fclose(out), 0);
        assert_int_equal(strlen(text) > 0, result == 0);
        free(text);
    }
    cJSON_InitHooks(NULL);
    assert_int_equal(result, 0);
    assert_true(failures > 50);
}

/* ---- air ---- */

static cJSON *air_json(double temperature_c, double humidity_percent)
{
    struct air air;
    char *text;
    cJSON *root;

    air_assess(temperature_c, humidity_percent, GLASS_COOLING_C, &air);
    PRINTED(text, report_air_json(out, &air));
    root = json_parse(text);
    free(text);
    assert_no_null(root);
    return root;
}

static void air_has_a_frost_point_only_below_zero(void **state)
{
    cJSON *warm = air_json(10, 80), *cold = air_json(-5, 80);
    struct air air;

    (void)state;
    air_assess(10, 80, GLASS_COOLING_C, &air);
    assert_true(fabs(number(warm, "dew_point_c") - dew_point_c(10, 80)) <= 0.005);
    assert_true(fabs(number(warm, "margin_c") - air.margin_c) <= 0.005);
    assert_string_equal(text_of(warm, "advice"), air_advice_code(air.advice));
    assert_string_equal(text_of(warm, "advice_text"), air_advice_words(air.advice));
    assert_false(has(warm, "frost_point_c"));
    assert_true(fabs(number(cold, "frost_point_c") - frost_point_c(-5, 80)) <= 0.005);
    cJSON_Delete(warm);
    cJSON_Delete(cold);
}

static void air_out_of_range_is_no_number_and_no_advice(void **state)
{
    cJSON *root = air_json(-80, 50);
    struct air air;
    char *text;

    (void)state;
    assert_false(has(root, "dew_point_c"));
    assert_false(has(root, "margin_c"));
    assert_false(has(root, "advice"));
    cJSON_Delete(root);
    air_assess(-80, 50, GLASS_COOLING_C, &air);
    PRINTED(text, report_air_text(out, &air));
    assert_null(strstr(text, "nan"));
    assert_null(strstr(text, "Margin"));
    free(text);
}

/* Dry, damp, below 0 C, with frost on the glass, out of range. */
static void air_for_people(void **state)
{
    static const double airs[][2] = {{10, 40}, {10, 92}, {-5, 80}, {-5, 99}, {0.5, 99}, {-80, 50}};
    char *text;
    FILE *out = page_open(&text);

    (void)state;
    for (size_t i = 0; i < sizeof airs / sizeof *airs; i++) {
        struct air air;

        air_assess(airs[i][0], airs[i][1], GLASS_COOLING_C, &air);
        assert_int_equal(report_air_text(out, &air), 0);
        assert_int_equal(report_air_json(out, &air), 0);
    }
    assert_int_equal(fclose(out), 0);
    page_keep(text);
    hold_print("air", text);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(air_for_people),
        cmocka_unit_test(a_total_eclipse_has_all_that_the_contract_names),
        cmocka_unit_test(contacts_that_do_not_exist_have_no_key),
        cmocka_unit_test(seen_is_what_the_sky_says),
        cmocka_unit_test(before_1972_the_scale_is_ut1),
        cmocka_unit_test(the_table_for_people_fits_and_says_what_is_seen),
        cmocka_unit_test(a_contact_on_another_day_is_marked),
        cmocka_unit_test(an_empty_span_is_an_empty_array),
        cmocka_unit_test(a_full_disk_is_told),
        cmocka_unit_test(memory_that_runs_out_is_told),
        cmocka_unit_test(air_has_a_frost_point_only_below_zero),
        cmocka_unit_test(air_out_of_range_is_no_number_and_no_advice),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
