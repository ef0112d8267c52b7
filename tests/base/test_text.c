/* Text in and out. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <moonstand/angle.h>
#include <moonstand/fault.h>
#include <moonstand/instant.h>
#include <moonstand/text.h>
#include <moonstand/pages.h>
#include <near.h>
#include <string.h>
#include <stdio.h>
#include <utf8proc.h>

static void angles_in_every_form(void **state)
{
    static const struct {
        const char *text;
        bool latitude;
        double deg;
    } good[] = {
        {"-3.1019", true, -3.1019},
        {"62", true, 62},
        {"+62.5", true, 62.5},
        {"3 6 7 S", true, -(3 + 6 / 60.0 + 7 / 3600.0)},
        {"S 3 6 7", true, -(3 + 6 / 60.0 + 7 / 3600.0)},
        {"3\xc2\xb0"
         "06'07\"S",
         true, -(3 + 6 / 60.0 + 7 / 3600.0)},
        {"60d01'30\"W", false, -(60 + 1.5 / 60)},
        {"60:01:30.5 W", false, -(60 + 1 / 60.0 + 30.5 / 3600)},
        {"60d1.5mE", false, 60.025},
        {"-60 30", false, -60.5},
        {"180", false, 180},
        {"0.5n", true, 0.5},
    };
    static const struct {
        const char *text;
        bool latitude;
    } bad[] = {{"", true},           {"N", true},       {"91", true},   {"62 E", true},
               {"-62 N", true},      {"62 60 0", true}, {"181", false}, {"60 0 60", false},
               {"12x", false},       {"1e1", true},     {"nan", true},  {"0x10", true},
               {"60 30.5 10", true}, {"1.2.3", true},   {"- 3", false}, {"62 N 3", true},
               {"62 N N", true}};
    struct fault fault;
    double deg;

    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        deg = 1e9;
        if (parse_angle_deg(good[i].text, good[i].latitude, &deg, &fault) != 0)
            fail_msg("'%s' was refused: %s", good[i].text, fault.text);
        assert_near(deg, good[i].deg, 1e-12);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        deg = 1e9;
        if (parse_angle_deg(bad[i].text, bad[i].latitude, &deg, &fault) == 0)
            fail_msg("'%s' was taken as %g", bad[i].text, deg);
        assert_true(deg == 1e9);
        assert_true(strlen(fault.text) > 0);
    }
}

static void sites(void **state)
{
    double lat, lon, height;
    struct fault fault;

    (void)state;
    assert_int_equal(parse_site("-3.1019,-60.025,92", &lat, &lon, &height, &fault), 0);
    assert_true(lat == -3.1019 && lon == -60.025 && height == 92);
    assert_int_equal(parse_site("62 N,60 E", &lat, &lon, &height, &fault), 0);
    assert_true(lat == 62 && lon == 60 && isnan(height));
    assert_int_equal(parse_site("3 6 7 S, 60 1 30 W , 420 ", &lat, &lon, &height, &fault), 0);
    assert_near(lat, -(3 + 6 / 60.0 + 7 / 3600.0), 1e-12);
    assert_near(lon, -(60 + 1 / 60.0 + 30 / 3600.0), 1e-12);
    assert_true(height == 420);
    assert_int_equal(parse_site("62,60", &lat, &lon, &height, &fault), 0);
    assert_int_equal(parse_site("62", &lat, &lon, &height, &fault), -1);
    assert_int_equal(parse_site("62,60,420,", &lat, &lon, &height, &fault), -1);
    assert_int_equal(parse_site("62,60,1,2", &lat, &lon, &height, &fault), -1);
    assert_int_equal(parse_site("62,60,", &lat, &lon, &height, &fault), -1);
    assert_int_equal(parse_site("62,60,9001", &lat, &lon, &height, &fault), -1);
    assert_true(lat == 62 && lon == 60 && isnan(height));
}

/* A foot is 0.3048 m, a degree Fahrenheit 5/9 of one of Celsius (SI Brochure; NIST SP 811). */
static void people_write_units(void **state)
{
    static const struct {
        const char *text;
        double latitude, longitude, height;
    } places[] = {
        {"41.9, 2.3", 41.9, 2.3, NAN},
        {"41.9 2.3", 41.9, 2.3, NAN},
        {"41.9 N 2.3 E", 41.9, 2.3, NAN},
        {"41 54 N 2 18 W", 41.9, -2.3, NAN},
        {"41 54 S, 2 18 E, 800 m", -41.9, 2.3, 800},
        {"41.9 N 2.3 E 2600 ft", 41.9, 2.3, 2600 * 0.3048},
        {"41.9, 2.3, 800", 41.9, 2.3, 800},
    };
    static const char *const no_places[] = {"41.9",
                                            "41.9 N",
                                            "2.3 E 41.9 N",
                                            "41.9 2.3 800 9",
                                            "91, 2",
                                            "41.9, 2.3, 800 miles",
                                            "41.9 N 2.3 E high",
                                            ""};
    static const char *const no_air[] = {"4",       "4C",       "4C 88% 3", "four 88",
                                         "61C 50%", "-46C 50%", "4C 0.5%",  "4C 100.5%",
                                         "4C 0%",   "4K 50",    ""};
    double a, b, c;
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        assert_int_equal(parse_site(places[i].text, &a, &b, &c, &fault), 0);
        assert_near(a, places[i].latitude, 1e-9);
        assert_near(b, places[i].longitude, 1e-9);
        assert_true(isnan(c) == isnan(places[i].height));
        if (!isnan(c))
            assert_near(c, places[i].height, 1e-9);
    }
    for (size_t i = 0; i < sizeof no_places / sizeof *no_places; i++)
        if (parse_site(no_places[i], &a, &b, &c, &fault) != -1)
            fail_msg("'%s' was taken", no_places[i]);
    assert_int_equal(parse_air("4C 88%", UNITS_IMPERIAL, &a, &b, &fault), 0);
    assert_true(a == 4 && b == 88);
    assert_int_equal(parse_air("39F, 88 %", UNITS_METRIC, &a, &b, &fault), 0);
    assert_near(a, (39 - 32) / 1.8, 1e-9);
    assert_int_equal(parse_air("-8 75", UNITS_METRIC, &a, &b, &fault), 0);
    assert_true(a == -8 && b == 75);
    assert_int_equal(parse_air("18 75", UNITS_IMPERIAL, &a, &b, &fault), 0);
    assert_near(a, -14 / 1.8, 1e-9);
    for (size_t i = 0; i < sizeof no_air / sizeof *no_air; i++)
        if (parse_air(no_air[i], UNITS_METRIC, &a, &b, &fault) != -1)
            fail_msg("'%s' was taken", no_air[i]);
}

/* Every day of 1900 to 2100 by the rule of the Gregorian calendar, one after another, and no day beyond a
 * month's end. */
static void every_day_of_the_calendar(void **state)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    double expected = -25567 * 86400.0; /* 1900-01-01, 25567 days before 1970 */
    char text[32];

    (void)state;
    for (int year = 1900; year <= 2100; year++)
        for (int month = 1; month <= 12; month++) {
            bool leap = year % 4 == 0 && year != 1900 && year != 2100;
            int days = lengths[month - 1] + (month == 2 && leap);

            for (int day = 0; day <= 32; day++) {
                double utc;

                (void)snprintf(text, sizeof text, "%04d-%02d-%02d", year, month, day);
                if (parse_day(text, &utc, NULL) != (day >= 1 && day <= days ? 0 : -1))
                    fail_msg("%s", text);
                if (day < 1 || day > days)
                    continue;
                assert_true(utc == expected);
                expected += 86400;
            }
        }
}

/* The Earth of 40,030 km (mean radius 6371 km: common practice, no source) as a sphere. */
static void ways_over_the_ground(void **state)
{
    const double degree_m = 40030174.0 / 360;

    (void)state;
    assert_near(ground_m(0, 0, 0, 0), 0, 0);
    assert_near(ground_m(10, 20, 11, 20), degree_m, 5);
    assert_near(ground_m(11, 20, 10, 20), degree_m, 5);
    assert_near(ground_m(0, 20, 0, 21), degree_m, 5);
    assert_near(ground_m(60, 20, 60, 19), degree_m / 2, 5);
    assert_near(ground_m(-60, 179.5, -60, -179.5), degree_m / 2, 5);
    assert_near(ground_m(0, 20, 0.3, 20.4), degree_m / 2, 5);
}

static void instants_and_days(void **state)
{
    static const char *const bad[] = {"2028-13-01",
                                      "2028-02-30",
                                      "1899-12-31",
                                      "2101-01-01",
                                      "2028-1-1",
                                      "2028-12-31x",
                                      "",
                                      "2028-12-31T25:00",
                                      "2028-12-31T10:60",
                                      "2028-12-31T24:00",
                                      "2028-12-31T10:00:60",
                                      "2028-12-31T10:00:01.",
                                      "2028-12-31T10:00+01:00"};
    double utc;
    struct fault fault;

    (void)state;
    assert_int_equal(parse_day("1970-01-02", &utc, &fault), 0);
    assert_true(utc == 86400);
    assert_int_equal(parse_day("2000-02-29", &utc, &fault), 0);
    assert_int_equal(parse_instant("1970-01-01T23:59:59", &utc, &fault), 0);
    assert_near(utc, 86399, 0);
    assert_int_equal(parse_instant("1970-01-01T00:01", &utc, &fault), 0);
    assert_true(utc == 60);
    assert_int_equal(parse_instant("1970-01-01T00:00:07.25Z", &utc, &fault), 0);
    assert_near(utc, 7.25, 1e-9);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_int_equal(parse_day(bad[i], &utc, &fault), -1);
        assert_int_equal(parse_instant(bad[i], &utc, &fault), -1);
    }
}

static void numbers_and_spans(void **state)
{
    static const char *const bad_numbers[] = {"",    "1,5", "nan", "inf", "1e999",
                                              "0x1", " 1",  "1 ",  "--1"};
    static const char *const bad_offsets[] = {"5",     "+",  "--5",   "-5x",
                                              "+5m1h", "+h", "-1h30", "+1m2m", "-08888888888", "+8785h"};
    double value;
    struct fault fault;

    (void)state;
    assert_int_equal(parse_number("-1.5e1", -20, 20, &value, &fault), 0);
    assert_true(value == -15);
    assert_int_equal(parse_number("21", -20, 20, &value, &fault), -1);
    assert_string_equal(fault.text, "21 is out of range; expected -20 to 20");
    for (size_t i = 0; i < sizeof bad_numbers / sizeof bad_numbers[0]; i++)
        assert_int_equal(parse_number(bad_numbers[i], -1e9, 1e9, &value, &fault), -1);
    assert_int_equal(parse_offset("+1h30m", &value, &fault), 0);
    assert_true(value == 5400);
    assert_int_equal(parse_offset("+90", &value, &fault), 0);
    assert_true(value == 90);
    assert_int_equal(parse_offset("-2m10.5s", &value, &fault), 0);
    assert_true(value == -130.5);
    assert_int_equal(parse_offset("", &value, &fault), 0);
    assert_true(value == 0);
    assert_int_equal(parse_offset("+8784h", &value, &fault), 0);
    assert_true(value == 366 * SECONDS_PER_DAY);
    /* Kept to the millisecond. */
    assert_int_equal(parse_offset("-0.00001s", &value, &fault), 0);
    assert_true(value == 0);
    assert_int_equal(parse_offset("+1.23456", &value, &fault), 0);
    assert_true(value == 1.235);
    for (size_t i = 0; i < sizeof bad_offsets / sizeof bad_offsets[0]; i++)
        assert_int_equal(parse_offset(bad_offsets[i], &value, &fault), -1);
}

static void instants_out(void **state)
{
    char out[TEXT_INSTANT];

    (void)state;
    assert_string_equal(format_iso(out, 0, 0, "Z"), "1970-01-01T00:00:00Z");
    assert_string_equal(format_iso(out, 59.96, 1, "Z"), "1970-01-01T00:01:00.0Z");
    assert_string_equal(format_iso(out, 59.94, 1, ""), "1970-01-01T00:00:59.9");
    assert_string_equal(format_iso(out, -0.25, 3, "Z"), "1969-12-31T23:59:59.750Z");
    assert_string_equal(format_iso(out, 1861894398.1234, 3, "Z"), "2028-12-31T16:53:18.123Z");
    assert_string_equal(format_iso(out, NAN, 1, "Z"), "-");
    /* A clock is cut, an instant rounded to what is shown. */
    assert_string_equal(format_clock(out, 86399.99, true, HOURS_24), "23:59:59");
    assert_string_equal(format_clock(out, 3600, false, HOURS_24), "01:00");
    assert_string_equal(format_clock(out, 0.5, true, HOURS_12), "12:00:00am");
    assert_string_equal(format_clock(out, 43199, false, HOURS_12), "11:59am");
    assert_string_equal(format_clock(out, 43200, false, HOURS_12), "12:00pm");
    assert_string_equal(format_clock(out, 86399, true, HOURS_12), "11:59:59pm");
    assert_string_equal(format_clock(out, NAN, true, HOURS_12), "-");
    assert_string_equal(format_time(out, 59.49, true, HOURS_24), "00:00:59");
    assert_string_equal(format_time(out, 59.5, true, HOURS_24), "00:01:00");
    assert_string_equal(format_time(out, 89.9, false, HOURS_24), "00:01");
    assert_string_equal(format_time(out, 90, false, HOURS_24), "00:02");
    assert_string_equal(format_time(out, 86370, false, HOURS_12), "12:00am");
    assert_string_equal(format_iso(out, nearest_shown(86399.6, true), 0, ""),
                        "1970-01-02T00:00:00");
    assert_string_equal(format_span(out, 3753.4), "1:02:33");
    assert_string_equal(format_span(out, 727), "12:07");
    assert_string_equal(format_span(out, -9.9), "-0:09");
    assert_string_equal(format_span(out, -1), "-0:01");
    assert_string_equal(format_span(out, -0.5), "0:00");
    assert_string_equal(format_span(out, NAN), "-");
    assert_string_equal(format_span(out, INFINITY), "-");
    /* What is left is 0 only when nothing is. */
    assert_string_equal(format_left(out, 0.01), "0:01");
    assert_string_equal(format_left(out, 0), "0:00");
    assert_string_equal(format_left(out, 59.2), "1:00");
    assert_string_equal(format_left(out, 9), "0:09");
    assert_string_equal(format_left(out, 3599.5), "1:00:00");
    assert_string_equal(format_left(out, -9.9), "-0:09");
    assert_string_equal(format_left(out, NAN), "-");
}

static void texts_keep_to_their_room(void **state)
{
    char out[8];

    (void)state;
    assert_ptr_equal(text_set(out, sizeof out, "%d of %d", 2, 5), out);
    assert_string_equal(out, "2 of 5");
    text_add(out, sizeof out, ", ", "more");
    assert_string_equal(out, "2 of 5,");
    assert_string_equal(text_set(out, sizeof out, "%s", "long words"), "long wo");
}

/* 1 K is 1.8 degrees Fahrenheit, 0 C are 32 F, a mile is 1609.344 m, all exactly. */
static void air_out(void **state)
{
    char out[TEXT_AIR];

    (void)state;
    assert_string_equal(format_temperature(out, -22, 1, UNITS_METRIC), "-22.0 C");
    assert_string_equal(format_temperature(out, -22, 1, UNITS_IMPERIAL), "-7.6 F");
    assert_string_equal(format_temperature(out, -40, 0, UNITS_IMPERIAL), "-40 F");
    assert_string_equal(format_temperature(out, NAN, 1, UNITS_IMPERIAL), "-");
    assert_string_equal(format_warmth(out, -1.5, false, UNITS_METRIC), "-1.5 C");
    assert_string_equal(format_warmth(out, 5, true, UNITS_IMPERIAL), "+9.0 F");
    assert_string_equal(format_warmth(out, -5, true, UNITS_IMPERIAL), "-9.0 F");
    assert_string_equal(format_wind(out, 3.4, UNITS_METRIC), "3 m/s");
    assert_string_equal(format_wind(out, 4.4704, UNITS_IMPERIAL), "10 mph");
}

static void compass_points(void **state)
{
    (void)state;
    assert_string_equal(compass_point(0), "N");
    assert_string_equal(compass_point(rad_from_deg(348.7)), "NNW");
    assert_string_equal(compass_point(rad_from_deg(348.8)), "N");
    assert_string_equal(compass_point(rad_from_deg(90)), "E");
    assert_string_equal(compass_point(NAN), "-");
    char text[TEXT_AZIMUTH];

    assert_string_equal(format_azimuth(text, rad_from_deg(124.46), 1), "124.5 SE");
    assert_string_equal(format_azimuth(text, rad_from_deg(359.6), 0), "0 N");
    assert_string_equal(format_azimuth(text, rad_from_deg(359.96), 1), "0.0 N");
    assert_string_equal(format_azimuth(text, rad_from_deg(-90), 0), "270 W");
    assert_string_equal(format_azimuth(text, NAN, 0), "-");
}

static void clean_text(void **state)
{
    static const char *const dirty[] = {"a\nb",     "\x1b[2J",      "\x7f",
                                        "\xc0\x80", "\xed\xa0\x80", "\xf5\x80\x80\x80",
                                        "\xc2\x9b", "\xe2\x82",     "\x80"};

    (void)state;
    assert_true(text_is_clean(""));
    assert_true(text_is_clean("caf\xc3\xa9 \xe2\x82\xac \xf0\x9f\x8c\x95"));
    for (size_t i = 0; i < sizeof dirty / sizeof dirty[0]; i++)
        assert_false(text_is_clean(dirty[i]));
}

static void last_names(void **state)
{
    (void)state;
    assert_string_equal(path_name("/a/b.c"), "b.c");
    assert_string_equal(path_name("b.c"), "b.c");
    assert_string_equal(path_name("a/"), "");
}

/* What cannot be seen is not clean, as the library of widths knows it (utf8proc, from the same
 * Unicode data by another way). */
static void invisible_text(void **state)
{
    char text[8], what[TEXT_FAULT];
    int refused = 0;

    (void)state;
    for (utf8proc_int32_t code = 0xa0; code < 0x110000; code++) {
        utf8proc_category_t category = utf8proc_category(code);
        bool ignorable = utf8proc_get_property(code)->ignorable;
        bool separator = category == UTF8PROC_CATEGORY_ZL || category == UTF8PROC_CATEGORY_ZP;
        bool clean;

        /* Surrogates are no text; what is not assigned is shown as such. */
        if (category == UTF8PROC_CATEGORY_CS || category == UTF8PROC_CATEGORY_CN)
            continue;
        text[utf8proc_encode_char(code, (utf8proc_uint8_t *)text)] = '\0';
        for (const char *byte = text; *byte; byte++)
            assert_int_equal(begins_character(*byte), byte == text);
        clean = text_is_clean(text);
        refused += !clean;
        if (ignorable || separator)
            assert_false(clean);
        else if (category != UTF8PROC_CATEGORY_CF)
            assert_true(clean);
    }
    assert_true(refused > 300);
    assert_string_equal(text_fault("ab\xe2\x80\xae"
                                   "cd",
                                   what),
                        "an invisible character (U+202E)");
    assert_string_equal(text_fault("\xf3\xa0\x80\xa0", what), "an invisible character (U+E0020)");
    assert_string_equal(text_fault("a\tb", what), "a control character");
    assert_string_equal(text_fault("a\xff", what), "bytes that are not UTF-8");
    assert_null(text_fault("M\xc3\xb6ve", what));
}

/* What a message quotes does not reach the terminal as a command. */
static void messages_are_clean(void **state)
{
    struct fault fault;

    (void)state;
    assert_int_equal(fault_set(&fault, "'%s', '%.4s'", "\x1b[2J\xff\xc2\x9b", "caf\xc3\xa9"), -1);
    assert_string_equal(fault.text, "'?[2J??\?', 'caf?'");
}

static void angles_wrap(void **state)
{
    (void)state;
    assert_near(angle_wrap(-0.5), 2 * PI - 0.5, 1e-15);
    assert_true(angle_wrap(-1e-20) < 2 * PI);
    assert_near(angle_wrap_signed(PI + 0.25), -PI + 0.25, 1e-15);
    assert_near(arcsec_from_rad(rad_from_deg(1)), 3600, 1e-9);
}

static void clearing_reaches_every_byte(void **state)
{
    static char bytes[3 * 4096 + 5];
    const size_t last = sizeof bytes - 1;

    (void)state;
    bytes[0] = bytes[4095] = bytes[2 * 4096] = bytes[last] = 1;
    pages_clear(bytes, last);
    assert_int_equal(bytes[last], 1);
    pages_clear(bytes + last, 1);
    for (size_t i = 0; i < sizeof bytes; i++)
        assert_int_equal(bytes[i], 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clearing_reaches_every_byte),
        cmocka_unit_test(angles_in_every_form),
        cmocka_unit_test(sites),
        cmocka_unit_test(people_write_units),
        cmocka_unit_test(every_day_of_the_calendar),
        cmocka_unit_test(ways_over_the_ground),
        cmocka_unit_test(instants_and_days),
        cmocka_unit_test(numbers_and_spans),
        cmocka_unit_test(instants_out),
        cmocka_unit_test(texts_keep_to_their_room),
        cmocka_unit_test(air_out),
        cmocka_unit_test(compass_points),
        cmocka_unit_test(clean_text),
        cmocka_unit_test(last_names),
        cmocka_unit_test(invisible_text),
        cmocka_unit_test(messages_are_clean),
        cmocka_unit_test(angles_wrap),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
