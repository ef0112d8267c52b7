/* The forecast file: what is taken, what is refused and where. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "open_files.h"

#include <moonstand/fault.h>
#include <moonstand/forecast.h>
#include <moonstand/forecast_file.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int parse(const char *text, struct forecast *forecast, struct fault *fault)
{
    struct json_file file = {.name = "sky.json", .text = text, .fault = fault};

    fault->text[0] = '\0';
    return json_read_text(&file, strlen(text), &forecast_form, forecast);
}

static const char whole[] =
    "{\"issued\": \"2028-12-31T06:00Z\",\n"
    " \"hours\": [\n"
    "  {\"time\": \"2028-12-31T12:00Z\", \"cloud_percent\": 20, \"temperature_c\": -18,\n"
    "   \"humidity_percent\": 70, \"wind_m_s\": 3},\n"
    "  {\"time\": \"2028-12-31T14:00Z\", \"temperature_c\": -22}]}\n";

static void rows_are_read(void **state)
{
    static struct forecast forecast;
    struct forecast_row row;
    struct fault fault;

    (void)state;
    if (parse(whole, &forecast, &fault) != 0)
        fail_msg("%s", fault.text);
    assert_int_equal(forecast.count, 2);
    assert_true(forecast.issued_utc == 1861855200); /* date -u -d 2028-12-31T06:00Z +%s */
    assert_true(forecast.row[0].utc == forecast.issued_utc + 6 * 3600);
    assert_true(forecast.row[0].cloud_percent == 20 && forecast.row[0].wind_m_s == 3);
    assert_true(isnan(forecast.row[1].cloud_percent));
    forecast_at(&forecast, forecast.issued_utc + 7 * 3600, &row);
    assert_true(row.temperature_c == -20);
    assert_true(forecast_is_old(&forecast, forecast.issued_utc + 13 * 3600));
}

static const struct {
    const char *text, *message; /* how it begins */
} refused[] = {
    {"{}", "sky.json:1:1: the key \"hours\" is missing"},
    {"{\"hours\": []}", "sky.json:1:11: hours: found 0 entries"},
    {"{\"hours\": [{\"cloud_percent\": 1}]}",
     "sky.json:1:12: hours[0]: the key \"time\" is missing"},
    {"{\"hours\": [{\"time\": \"noon\"}]}", "sky.json:1:21: hours[0].time: "},
    {"{\"hours\": [{\"time\": 12}]}", "sky.json:1:21: hours[0].time: found 12; expected"},
    {"{\"hours\": [{\"time\": \"2028-12-31T12:00Z\", \"cloud_percent\": 101}]}",
     "sky.json:1:59: hours[0].cloud_percent: found 101; expected a number from 0 to 100 %"},
    {"{\"hours\": [{\"time\": \"2028-12-31T12:00Z\", \"temperature_c\": NaN}]}",
     "sky.json:1:59: found 'NaN}]}'"},
    {"{\"hours\": [{\"time\": \"2028-12-31T12:00Z\"},\n{\"time\": \"2028-12-31T12:00Z\"}]}",
     "sky.json:2:1: hours[1]: "},
    {"{\"hours\": [{\"time\": \"2028-12-31T12:00Z\", \"rain\": 1}]}",
     "sky.json:1:42: hours[0].rain: unknown key"},
};

static void what_is_wrong_is_refused_with_its_place(void **state)
{
    static struct forecast forecast, before;
    struct fault fault;

    (void)state;
    memset(&forecast, 0x5a, sizeof forecast);
    memset(&before, 0x5a, sizeof before);
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        assert_int_equal(parse(refused[i].text, &forecast, &fault), -1);
        if (strncmp(fault.text, refused[i].message, strlen(refused[i].message)) != 0)
            fail_msg("%s\n  said:   %s\n  wanted: %s", refused[i].text, fault.text,
                     refused[i].message);
        assert_memory_equal(&forecast, &before, sizeof forecast);
    }
}

/* A file that was cut off anywhere is refused, with the line in which it ends. */
static void a_file_cut_off_is_refused_with_its_line(void **state)
{
    static struct forecast forecast;
    struct fault fault;

    (void)state;
    for (size_t length = 0; length < strlen(whole) - 2; length++) {
        char *part = malloc(length + 1);
        int line, column;

        assert_non_null(part);
        memcpy(part, whole, length);
        part[length] = '\0';
        assert_int_equal(parse(part, &forecast, &fault), -1);
        assert_int_equal(sscanf(fault.text, "sky.json:%d:%d: ", &line, &column), 2);
        free(part);
    }
    assert_int_equal(
        parse("{\"hours\": [\n{\"time\": \"2028-12-31T12:00Z\"},\n{\"ti", &forecast, &fault), -1);
    assert_memory_equal(fault.text, "sky.json:3:", 11);
}

static void an_absent_file_is_told_apart(void **state)
{
    static struct forecast forecast;
    struct fault fault;

    (void)state;
    assert_int_equal(forecast_read("/nowhere/sky.json", &forecast, &fault), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_read),
        cmocka_unit_test(what_is_wrong_is_refused_with_its_place),
        cmocka_unit_test(a_file_cut_off_is_refused_with_its_line),
        cmocka_unit_test(an_absent_file_is_told_apart),
    };

    return RUN_AND_CLOSE_ALL(tests, NULL, NULL);
}
