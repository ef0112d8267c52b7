#include "photo_private.h"

#include <moonstand/fault.h>
#include <moonstand/series.h>
#include <moonstand/text.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SHUTTER_FIRST = -45, SHUTTER_LAST = 18, ISO_FIRST = -6, ISO_LAST = 36 };

/* Exact times are powers of two; the labels are older (15 for 16, 1/30 for 1/32). */
static const char *const shutter_labels[SHUTTER_LAST - SHUTTER_FIRST + 1] = {
    "1/32000", "1/25000", "1/20000", "1/16000", "1/13000", "1/10000", "1/8000", "1/6400",
    "1/5000",  "1/4000",  "1/3200",  "1/2500",  "1/2000",  "1/1600",  "1/1250", "1/1000",
    "1/800",   "1/640",   "1/500",   "1/400",   "1/320",   "1/250",   "1/200",  "1/160",
    "1/125",   "1/100",   "1/80",    "1/60",    "1/50",    "1/40",    "1/30",   "1/25",
    "1/20",    "1/15",    "1/13",    "1/10",    "1/8",     "1/6",     "1/5",    "1/4",
    "0.3",     "0.4",     "0.5",     "0.6",     "0.8",     "1",       "1.3",    "1.6",
    "2",       "2.5",     "3.2",     "4",       "5",       "6",       "8",      "10",
    "13",      "15",      "20",      "25",      "30",      "40",      "50",     "60",
};

static const int iso_labels[ISO_LAST - ISO_FIRST + 1] = {
    25,    32,    40,    50,     64,     80,     100,    125,    160,    200,    250,
    320,   400,   500,   640,    800,    1000,   1250,   1600,   2000,   2500,   3200,
    4000,  5000,  6400,  8000,   10000,  12800,  16000,  20000,  25600,  32000,  40000,
    51200, 64000, 80000, 102400, 128000, 160000, 204800, 256000, 320000, 409600,
};

int shutter_index(double seconds)
{
    return (int)clamp(round(3 * log2(seconds)), SHUTTER_FIRST, SHUTTER_LAST);
}

int shutter_index_within(double longest_s)
{
    /* Rounding must not push a limit that is itself a step to the one below. */
    return (int)clamp(floor(3 * log2(longest_s) + 1e-9), SHUTTER_FIRST, SHUTTER_LAST);
}

double shutter_seconds(int index)
{
    return exp2(index / 3.0);
}

const char *shutter_label(int index)
{
    return shutter_labels[(int)clamp(index, SHUTTER_FIRST, SHUTTER_LAST) - SHUTTER_FIRST];
}

/* A label may stand for a step that is this near, in thirds of a stop: 1/2 for 0.5, 1/3 for 0.3. */
#define NEAR_THIRDS 0.3

int shutter_parse(const char *label, int *index, struct fault *fault)
{
    bool is_part = strncmp(label, "1/", 2) == 0;
    const char *digits = label + (is_part ? 2 : 0);
    size_t length = strlen(digits);
    char number[16] = "";
    double value;

    if (length > 1 && digits[length - 1] == 's')
        length--;
    if (length < sizeof number)
        (void)memcpy(number, digits, length);
    if (parse_number(number, 1e-3, 1e5, &value, NULL) == 0) {
        double thirds = 3 * log2(is_part ? 1 / value : value);
        double step = round(thirds);

        if (step >= SHUTTER_FIRST && step <= SHUTTER_LAST && fabs(thirds - step) < NEAR_THIRDS) {
            *index = (int)step;
            return 0;
        }
    }
    return fault_set(
        fault, "'%.20s' is not a third-stop shutter; expected one such as 1/60, 0.6 or 2", label);
}

int iso_index(double iso)
{
    return (int)clamp(round(3 * log2(iso / 100)), ISO_FIRST, ISO_LAST);
}

int iso_label(int index)
{
    return iso_labels[(int)clamp(index, ISO_FIRST, ISO_LAST) - ISO_FIRST];
}
