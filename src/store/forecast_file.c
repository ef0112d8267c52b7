#include "files.h"

#include <moonstand/forecast.h>
#include <moonstand/forecast_file.h>

#include <math.h>
#include <stddef.h>

#define INSTANT_WORDS "an instant such as \"2028-12-31T18:00Z\""

static int read_instant(const char *text, void *place, struct fault *fault)
{
    return parse_instant(text, place, fault);
}

static void prepare_row(void *place)
{
    *(struct forecast_row *)place = (struct forecast_row){NAN, NAN, NAN, NAN, NAN};
}

static void prepare_forecast(void *place)
{
    ((struct forecast *)place)->issued_utc = NAN;
}

/* Adds the rows once more, each in its own place, with the function that checks them everywhere
 * else. */
static int check_rows(const struct json_file *file, const cJSON *node, void *place)
{
    struct forecast *forecast = place;
    const cJSON *rows = json_member(node, "hours");
    int count = forecast->count;
    struct fault cause;

    forecast->count = 0;
    for (int i = 0; i < count; i++)
        if (forecast_add(forecast, &forecast->row[i], &cause) != 0)
            return json_refuse(file, cJSON_GetArrayItem(rows, i), "%s", cause.text);
    return 0;
}

#define AT(member) .offset = offsetof(struct forecast_row, member)
static const struct field row_fields[] = {
    {"time", FIELD_WORDS, .required = true, AT(utc), .unit = INSTANT_WORDS, .parse = read_instant},
    {"cloud_percent", FIELD_NUMBER, AT(cloud_percent), RANGE(0, 100, "%")},
    {"temperature_c", FIELD_NUMBER, AT(temperature_c), RANGE(-90, 60, "C")},
    {"humidity_percent", FIELD_NUMBER, AT(humidity_percent), RANGE(0, 100, "%")},
    {"wind_m_s", FIELD_NUMBER, AT(wind_m_s), RANGE(0, 120, "m/s")},
};
#undef AT
static const struct form row_form = {FORM(row_fields), .prepare = prepare_row};

static const struct field forecast_fields[] = {
    {"issued", FIELD_WORDS, .offset = offsetof(struct forecast, issued_utc), .unit = INSTANT_WORDS,
     .parse = read_instant},
    {"hours", FIELD_LIST, .required = true, .offset = offsetof(struct forecast, row),
     .size = sizeof(struct forecast_row), .lowest = 1, .highest = FORECAST_ROWS,
     .count_offset = offsetof(struct forecast, count), .form = &row_form},
};
const struct form forecast_form = {FORM(forecast_fields), .size = sizeof(struct forecast),
                                   .prepare = prepare_forecast, .check = check_rows};

int forecast_read(const char *path, struct forecast *forecast, struct fault *fault)
{
    return json_take_file(file_open(path), path, &forecast_form, forecast, fault);
}
