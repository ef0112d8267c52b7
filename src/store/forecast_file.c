#include "files.h"

#include <moonstand/forecast.h>
#include <moonstand/forecast_file.h>

#include <math.h>
#include <stddef.h>
#include <stdlib.h>

static int read_instant(const struct json_file *file, const cJSON *node, void *place)
{
    struct fault cause;

    if (!cJSON_IsString(node))
        return json_refuse_value(file, node, "an instant such as \"2028-12-31T18:00Z\"");
    return parse_instant(node->valuestring, place, &cause) == 0
               ? 0
               : json_refuse(file, node, "%s", cause.text);
}

static void prepare_row(void *place)
{
    *(struct forecast_row *)place = (struct forecast_row){NAN, NAN, NAN, NAN, NAN};
}

static void prepare_forecast(void *place)
{
    ((struct forecast *)place)->issued_utc = NAN;
}

/* Checks the rows against each other with the function that adds them everywhere else. */
static int check_rows(const struct json_file *file, const cJSON *node, void *place)
{
    struct forecast *read = place;
    struct forecast *taken = malloc(sizeof *taken);
    const cJSON *rows = json_member(node, "hours");
    struct fault cause;
    int status = taken ? 0 : json_refuse(file, node, "out of memory");

    if (taken)
        *taken = (struct forecast){.issued_utc = read->issued_utc};
    for (int i = 0; status == 0 && i < read->count; i++)
        if (forecast_add(taken, &read->row[i], &cause) != 0)
            status = json_refuse(file, cJSON_GetArrayItem(rows, i), "%s", cause.text);
    free(taken);
    return status;
}

#define AT(member) .offset = offsetof(struct forecast_row, member)
#define RANGE(least, most, of) .lowest = (least), .highest = (most), .unit = (of)
static const struct field row_fields[] = {
    {"time", FIELD_OTHER, .required = true, AT(utc), .read = read_instant},
    {"cloud_percent", FIELD_NUMBER, AT(cloud_percent), RANGE(0, 100, "%")},
    {"temperature_c", FIELD_NUMBER, AT(temperature_c), RANGE(-90, 60, "C")},
    {"humidity_percent", FIELD_NUMBER, AT(humidity_percent), RANGE(0, 100, "%")},
    {"wind_m_s", FIELD_NUMBER, AT(wind_m_s), RANGE(0, 120, "m/s")},
};
#undef AT
#undef RANGE
static const struct form row_form = {FORM(row_fields), .prepare = prepare_row};

static const struct field forecast_fields[] = {
    {"issued", FIELD_OTHER, .offset = offsetof(struct forecast, issued_utc), .read = read_instant},
    {"hours", FIELD_LIST, .required = true, .offset = offsetof(struct forecast, row),
     .size = sizeof(struct forecast_row), .lowest = 1, .highest = FORECAST_ROWS,
     .count_offset = offsetof(struct forecast, count), .form = &row_form},
};
const struct form forecast_form = {FORM(forecast_fields), .size = sizeof(struct forecast),
                                   .prepare = prepare_forecast, .check = check_rows};

int forecast_parse(const char *name, const char *text, size_t length, struct forecast *forecast,
                   struct fault *fault)
{
    struct json_file file = {.name = name, .text = text, .fault = fault};

    return json_read_text(&file, length, &forecast_form, forecast);
}

int forecast_read(const char *path, struct forecast *forecast, struct fault *fault)
{
    return json_take_file(file_open(path), path, &forecast_form, forecast, fault);
}
