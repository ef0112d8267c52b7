/* A forecast file. */
#include "../../src/store/files.h"
#include "fuzz.h"

#include <math.h>
#include <moonstand/forecast.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct forecast forecast;
    struct forecast_row row;
    struct fault fault = {""};
    char *text = text_of(data, size);
    struct json_file file = {.name = "forecast.json", .text = text, .fault = &fault};
    int result = json_read_text(&file, size, &forecast_form, &forecast);

    claim_told(result, &fault);
    if (result == 0) {
        CLAIM(forecast.count >= 1 && forecast.count <= FORECAST_ROWS);
        forecast_at(&forecast, forecast.row[forecast.count / 2].utc, &row);
        CLAIM(!isinf(row.temperature_c) && !(row.humidity_percent > 100));
    }
    free(text);
    return 0;
}
