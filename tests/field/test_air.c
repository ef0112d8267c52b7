/* Dew and frost points against published values; what is advised. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/air.h>
#include <moonstand/around_words.h>
#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void assert_near(double found, double wanted, double tolerance)
{
    if (!(fabs(found - wanted) <= tolerance))
        fail_msg("%.12g is not %.12g +- %g", found, wanted, tolerance);
}

/* Each pair names its page in its last column. */
static void published_pairs(void **state)
{
    FILE *file = fopen(TEST_DATA "/dew_points.csv", "r");
    char line[256];
    int count = 0;

    (void)state;
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        char *next;
        double temperature, humidity, dew_point, tolerance;

        if (line[0] == '#' || line[0] == 'a')
            continue;
        temperature = strtod(line, &next);
        humidity = strtod(next + 1, &next);
        dew_point = strtod(next + 1, &next);
        tolerance = strtod(next + 1, &next);
        assert_near(dew_point_c(temperature, humidity), dew_point, tolerance);
        count++;
    }
    (void)fclose(file);
    assert_int_equal(count, 32);
}

/* Saturation pressures over water and ice in hPa, Smithsonian Meteorological Tables (1951), tables
 * 94 and 96: air saturated over ice has its frost point at its own temperature. Goff and Gratch's
 * formula there and Magnus here differ by less than 0.1 C. */
static void frost_point_of_air_saturated_over_ice(void **state)
{
    static const struct {
        double temperature_c, water_hpa, ice_hpa;
    } table[] = {{-10, 2.8627, 2.5970}, {-20, 1.2540, 1.0320}};

    (void)state;
    for (int i = 0; i < 2; i++) {
        double humidity = 100 * table[i].ice_hpa / table[i].water_hpa;

        assert_near(frost_point_c(table[i].temperature_c, humidity), table[i].temperature_c, 0.1);
    }
}

static void saturated_air_has_its_dew_point_at_its_temperature(void **state)
{
    (void)state;
    for (double temperature = -45; temperature <= 60; temperature += 2.5)
        assert_near(dew_point_c(temperature, 100), temperature, 1e-12);
    /* Below zero, frost comes before dew. */
    for (double temperature = -40; temperature < 0; temperature += 2.5)
        assert_true(frost_point_c(temperature, 70) > dew_point_c(temperature, 70));
}

static void out_of_range_is_unknown(void **state)
{
    static const double air[][2] = {{-45.1, 50}, {60.1, 50}, {10, 0},   {10, -1},
                                    {10, 100.1}, {NAN, 50},  {10, NAN}, {INFINITY, 50}};
    struct air found;

    (void)state;
    for (size_t i = 0; i < sizeof air / sizeof *air; i++) {
        assert_true(isnan(dew_point_c(air[i][0], air[i][1])));
        assert_true(isnan(frost_point_c(air[i][0], air[i][1])));
        air_assess(air[i][0], air[i][1], GLASS_COOLING_C, &found);
        assert_true(isnan(found.dew_point_c) && isnan(found.margin_c));
    }
    assert_true(isnan(frost_point_c(0, 80)));
    assert_true(isfinite(frost_point_c(-0.1, 80)));
}

/* 12 C and 85 percent: dew point 9.6 C ("Dew point optics calculator",
 * https://tools.gera.services/dew-point-optics-calculator), so the margin of a glass at the air's own
 * temperature is 2.4 C. */
static void margin_of_the_glass(void **state)
{
    struct air air;

    (void)state;
    air_assess(12, 85, 0, &air);
    assert_near(air.dew_point_c, 9.6, 0.05);
    assert_near(air.margin_c, 2.4, 0.05);
    assert_int_equal(air.advice, AIR_SHIELD);
    assert_true(isnan(air.frost_point_c));
    air_assess(12, 85, 3, &air);
    assert_near(air.glass_c, 9, 1e-12);
    assert_near(air.margin_c, -0.6, 0.05);
    assert_int_equal(air.advice, AIR_WET);
}

/* Dew points by the formula; the steps are those of air.c. */
static void advice_follows_the_margin(void **state)
{
    static const struct {
        double temperature, humidity;
        enum air_advice advice;
    } night[] = {
        {20, 50, AIR_SAFE},   /* dew point 9.3, glass 17 */
        {20, 70, AIR_SHIELD}, /* 14.4 */
        {20, 80, AIR_HEAT},   /* 16.4 */
        {20, 95, AIR_WET},    /* 19.2 */
        {-5, 95, AIR_FROST},  /* frost point -5.0, glass -8 */
        {2, 85, AIR_FROST},   /* air above zero, but the glass at -1, the frost point at -0.3 */
        {-5, 40, AIR_SAFE},
    };

    (void)state;
    for (size_t i = 0; i < sizeof night / sizeof *night; i++) {
        struct air air;

        air_assess(night[i].temperature, night[i].humidity, GLASS_COOLING_C, &air);
        assert_int_equal(air.advice, night[i].advice);
    }
}

static void codes_and_sentences(void **state)
{
    static const char *const code[] = {"safe", "shield", "heat", "wet", "frost"};

    (void)state;
    for (int i = AIR_SAFE; i <= AIR_FROST; i++) {
        const char *text = air_advice_words((enum air_advice)i);

        assert_string_equal(air_advice_code((enum air_advice)i), code[i]);
        assert_true(text_is_clean(text) && text[strlen(text) - 1] == '.');
    }
}

static void a_pair_is_read_and_nothing_else(void **state)
{
    static const char *const good[] = {"-8.5 81", "-8.5,81\n", "  -8.5\t81 \r\n", "-8.5, 81"};
    static const char *const bad[] = {"",       "-8.5",    "junk",    "-8.5 81 3", "nan 81",
                                      "-8.5 x", "-46 50",  "61 50",   "-8.5 0",    "-8.5 101",
                                      "0x8 50", "-8.5;81", "1e999 50"};
    double temperature_c, humidity_percent;
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        temperature_c = humidity_percent = NAN;
        assert_int_equal(air_parse(good[i], &temperature_c, &humidity_percent, &fault), 0);
        assert_near(temperature_c, -8.5, 1e-12);
        assert_near(humidity_percent, 81, 1e-12);
    }
    temperature_c = humidity_percent = 7;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(air_parse(bad[i], &temperature_c, &humidity_percent, &fault), -1);
        assert_true(*fault.text != 0);
    }
    assert_true(temperature_c == 7 && humidity_percent == 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pair_is_read_and_nothing_else),
        cmocka_unit_test(published_pairs),
        cmocka_unit_test(frost_point_of_air_saturated_over_ice),
        cmocka_unit_test(saturated_air_has_its_dew_point_at_its_temperature),
        cmocka_unit_test(out_of_range_is_unknown),
        cmocka_unit_test(margin_of_the_glass),
        cmocka_unit_test(advice_follows_the_margin),
        cmocka_unit_test(codes_and_sentences),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
