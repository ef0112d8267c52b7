#include "files.h"

#include <moonstand/angle.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HORIZON_LARGEST = 1 << 16, WORD = 32 };

static const char gaps[] = " \t\r,;";

/* Copies the next word of a line and returns the rest. A word too long for a number becomes "?". */
static const char *next_word(const char *line, char word[WORD])
{
    line += strspn(line, gaps);
    size_t length = strcspn(line, " \t\r,;\n#");
    (void)snprintf(word, WORD, "%.*s", length < WORD ? (int)length : 1, length < WORD ? line : "?");
    return line + length;
}

static int take_point(struct horizon *horizon, const char azimuth_text[WORD],
                      const char altitude_text[WORD], double *last_deg, struct fault *fault)
{
    double azimuth_deg, altitude_deg;

    if (parse_number(azimuth_text, 0, 360, &azimuth_deg, fault) != 0 ||
        parse_number(altitude_text, -10, 90, &altitude_deg, fault) != 0)
        return -1;
    if (azimuth_deg <= *last_deg || azimuth_deg >= 360)
        return fault_set(fault, "found azimuth %.10g after %.10g; it must rise and stay below 360",
                         azimuth_deg, *last_deg);
    if (horizon->count == HORIZON_POINTS)
        return fault_set(fault, "more than %d points", HORIZON_POINTS);
    *last_deg = azimuth_deg;
    horizon->azimuth_rad[horizon->count] = rad_from_deg(azimuth_deg);
    horizon->altitude_rad[horizon->count++] = rad_from_deg(altitude_deg);
    return 0;
}

int horizon_parse(const char *name, const char *text, struct horizon *horizon, struct fault *fault)
{
    struct horizon fresh = {.count = 0};
    double last_deg = -1;

    text = text_past_mark(text);
    for (int line = 1; *text; line++) {
        char azimuth[WORD], altitude[WORD], more[WORD];
        const char *rest = next_word(next_word(text, azimuth), altitude);
        struct fault cause = {"expected two numbers: azimuth and altitude in degrees"};

        (void)next_word(rest, more);
        if (*azimuth && (*more || take_point(&fresh, azimuth, altitude, &last_deg, &cause) != 0))
            return fault_set(fault, "%.120s:%d: %.200s", name, line, cause.text);
        text += strcspn(text, "\n");
        text += *text == '\n';
    }
    if (fresh.count == 0)
        return fault_set(fault, "%.120s: no points of a horizon", name);
    *horizon = fresh;
    return 0;
}

int horizon_read(const char *path, struct horizon *horizon, struct fault *fault)
{
    char *text;
    size_t length;

    if (file_read(path, HORIZON_LARGEST, &text, &length, fault) != 0)
        return -1;
    int status = horizon_parse(path, text, horizon, fault);
    free(text);
    return status;
}
