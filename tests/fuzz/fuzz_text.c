/* What is typed: numbers, days, instants, angles, sites, spans, offsets from a contact, shutters.
 * The first byte chooses the parser. */
#include "fuzz.h"

#include <math.h>
#include <moonstand/air.h>
#include <moonstand/due.h>
#include <moonstand/instant.h>
#include <moonstand/series.h>

/* Whatever is an instant of an eclipse is one of a checklist, and what is read is written the same. */
static int due(const char *text, bool is_instant, struct fault *fault)
{
    struct due read, again;
    char written[DUE_TEXT];
    int result = due_parse(text, &read, fault);

    CLAIM(result == 0 || !is_instant);
    CLAIM(result != 0 || (due_parse(due_format(written, &read), &again, fault) == 0 &&
                          due_is_same(&read, &again)));
    return result;
}

static int parse(unsigned which, const char *text, struct fault *fault)
{
    struct contact_offset offset;
    double value = NAN, second = NAN, third = NAN;
    int result, index;

    switch (which % 10) {
    case 0:
        result = parse_number(text, -1e6, 1e6, &value, fault);
        CLAIM(result != 0 || fabs(value) <= 1e6);
        return result;
    case 1:
        result = parse_day(text, &value, fault);
        CLAIM(result != 0 || fmod(value, SECONDS_PER_DAY) == 0);
        return result;
    case 2:
        result = parse_instant(text, &value, fault);
        CLAIM(result != 0 || isfinite(tt_from_utc(value)));
        return result;
    case 3:
    case 4:
        result = parse_angle_deg(text, which % 10 == 3, &value, fault);
        CLAIM(result != 0 || fabs(value) <= (which % 10 == 3 ? 90 : 180));
        return result;
    case 5:
        result = parse_site(text, &value, &second, &third, fault);
        CLAIM(result != 0 || (fabs(value) <= 90 && fabs(second) <= 180 && !(third > 9000)));
        return result;
    case 6:
        result = parse_offset(text, &value, fault);
        CLAIM(result != 0 || isfinite(value));
        return result;
    case 7:
        result = contact_offset_parse(text, &offset, fault);
        CLAIM(result != 0 || (offset.contact < CONTACT_COUNT && isfinite(offset.offset_s)));
        return due(text, result == 0, fault);
    case 9:
        result = air_parse(text, &value, &second, fault);
        CLAIM(result != 0 || (isfinite(value) && second > 0 && second <= 100));
        return result;
    default:
        result = shutter_parse(text, &index, fault);
        CLAIM(result != 0 || isfinite(shutter_seconds(index)));
        return result;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct fault fault = {""};

    if (size == 0)
        return 0;
    char *text = text_of(data + 1, size - 1);

    claim_told(parse(data[0], text, &fault), &fault);
    free(text);
    return 0;
}
