#include <moonstand/fault.h>
#include <moonstand/instant.h>
#include <moonstand/text.h>

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Characters of a decimal number; keeps strtod from taking hexadecimal, 'inf' and 'nan'. */
#define NUMBER_CHARACTERS "+-0123456789.eE"

int parse_number(const char *text, double lowest, double highest, double *value,
                 struct fault *fault)
{
    size_t length = strspn(text, NUMBER_CHARACTERS);
    char *end;
    double found = strtod(text, &end);

    if (length == 0 || text[length] != '\0' || *end != '\0')
        return fault_set(fault, "'%.40s' is not a number; expected %.10g to %.10g", text, lowest,
                         highest);
    if (!isfinite(found) || found < lowest || found > highest)
        return fault_set(fault, "%.40s is out of range; expected %.10g to %.10g", text, lowest,
                         highest);
    *value = found;
    return 0;
}

/* Reads exactly `digits` decimal digits and advances the text. */
static bool take_digits(const char **text, int digits, int *value)
{
    int sum = 0;

    for (int i = 0; i < digits; i++) {
        if (!isdigit((unsigned char)(*text)[i]))
            return false;
        sum = sum * 10 + ((*text)[i] - '0');
    }
    *text += digits;
    *value = sum;
    return true;
}

static bool take_char(const char **text, char wanted)
{
    if (**text != wanted)
        return false;
    (*text)++;
    return true;
}

/* The YYYY-MM-DD at the front of the text. */
static bool take_day(const char **text, struct civil *civil)
{
    return take_digits(text, 4, &civil->year) && take_char(text, '-') &&
           take_digits(text, 2, &civil->month) && take_char(text, '-') &&
           take_digits(text, 2, &civil->day) && civil_exists(civil);
}

/* The UTC of a date that was read from the text. */
static int give_utc(const struct civil *civil, const char *text, double *utc, struct fault *fault)
{
    if (civil->year < YEAR_FIRST || civil->year > YEAR_LAST)
        return fault_set(fault, "'%.40s' lies outside the years %d to %d", text, YEAR_FIRST,
                         YEAR_LAST);
    *utc = seconds_from_civil(civil);
    return 0;
}

int parse_day(const char *text, double *utc, struct fault *fault)
{
    struct civil civil = {0};
    const char *rest = text;

    if (!take_day(&rest, &civil) || *rest != '\0')
        return fault_set(fault, "'%.40s' is not a day; write YYYY-MM-DD", text);
    return give_utc(&civil, text, utc, fault);
}

/* [:SS[.f]] with the fraction's digits read exactly. */
static bool take_seconds(const char **text, double *seconds)
{
    int whole;
    double scale = 0.1;

    if (!take_char(text, ':') || !take_digits(text, 2, &whole) || whole > 59)
        return false;
    *seconds = whole;
    if (!take_char(text, '.'))
        return true;
    if (!isdigit((unsigned char)**text))
        return false;
    for (; isdigit((unsigned char)**text); (*text)++, scale /= 10)
        *seconds += (**text - '0') * scale;
    return true;
}

int parse_instant(const char *text, double *utc, struct fault *fault)
{
    struct civil civil = {0};
    const char *rest = text;
    bool good = take_day(&rest, &civil) && take_char(&rest, 'T') &&
                take_digits(&rest, 2, &civil.hour) && take_char(&rest, ':') &&
                take_digits(&rest, 2, &civil.minute) && civil.hour <= 23 && civil.minute <= 59;

    if (good && *rest == ':')
        good = take_seconds(&rest, &civil.second);
    if (good)
        (void)take_char(&rest, 'Z');
    if (!good || *rest != '\0')
        return fault_set(
            fault, "'%.40s' is not an instant; write YYYY-MM-DDTHH:MM[:SS[.f]][Z], UTC", text);
    return give_utc(&civil, text, utc, fault);
}

/* ---- angles ---- */

static const char *skip_spaces(const char *text)
{
    while (*text == ' ')
        text++;
    return text;
}

/* Skips the degree sign, 'd' or ':' after degrees; ' m : after minutes; " s after seconds; or just
 * spaces. */
static const char *skip_unit(const char *text, int part)
{
    static const char *const units[3][4] = {
        {"\xc2\xb0", "d", ":", NULL},
        {"'", "m", ":", "\xe2\x80\xb2"},
        {"\"", "s", "''", "\xe2\x80\xb3"},
    };

    text = skip_spaces(text);
    for (int i = 0; i < 4; i++) {
        const char *unit = units[part][i];

        if (unit && strncmp(text, unit, strlen(unit)) == 0)
            return skip_spaces(text + strlen(unit));
    }
    return text;
}

/* An unsigned decimal without exponent. */
static bool take_decimal(const char **text, double *value)
{
    char *end;
    size_t length = strspn(*text, "0123456789.");
    char digits[32];

    if (length == 0 || length >= sizeof digits)
        return false;
    memcpy(digits, *text, length);
    digits[length] = '\0';
    *value = strtod(digits, &end);
    *text += length;
    return *end == '\0';
}

/* Degrees, minutes, seconds into degrees; only the last part may have a fraction. */
static bool take_sexagesimal(const char **text, double *deg)
{
    double value = 0, scale = 1;

    for (int part = 0; part < 3; part++, scale *= 60) {
        const char *start = *text;
        double number;

        if (part > 0 && !isdigit((unsigned char)*start))
            break;
        if (!take_decimal(text, &number) || (part > 0 && number >= 60))
            return false;
        bool has_fraction = memchr(start, '.', (size_t)(*text - start)) != NULL;
        value += number / scale;
        *text = skip_unit(*text, part);
        if (has_fraction)
            break;
    }
    *deg = value;
    return true;
}

/* +1 or -1 for a letter of the right axis, 0 for none. */
static int letter_sign(char letter, bool latitude)
{
    int large = toupper((unsigned char)letter);

    return (large == (latitude ? 'N' : 'E')) - (large == (latitude ? 'S' : 'W'));
}

int parse_angle_deg(const char *text, bool latitude, double *deg, struct fault *fault)
{
    const char *axis = latitude ? "latitude" : "longitude";
    const char *letters = latitude ? "N or S" : "E or W";
    double limit = latitude ? 90 : 180;
    const char *rest = skip_spaces(text);
    double found = 0, sign = 1;
    int letter = letter_sign(*rest, latitude);

    if (letter)
        rest = skip_spaces(rest + 1);
    bool has_sign = !letter && (*rest == '-' || *rest == '+');
    if (has_sign)
        sign = *rest++ == '-' ? -1 : 1;
    bool good = take_sexagesimal(&rest, &found);
    if (good && !letter && !has_sign && *rest != '\0') {
        letter = letter_sign(*rest, latitude);
        rest += letter != 0;
    }
    if (letter)
        sign = letter;
    if (!good || *skip_spaces(rest) != '\0')
        return fault_set(fault,
                         "'%.40s' is not a %s; write decimal degrees (-3.1019) or degrees minutes "
                         "seconds with %s (3 6 7 %c)",
                         text, axis, letters, letters[5]);
    if (found > limit)
        return fault_set(fault, "%s '%.40s' is out of range; expected -%g to %g degrees", axis,
                         text, limit, limit);
    *deg = sign * found;
    return 0;
}

/* ---- as people write it ---- */

static const char *skip_gaps(const char *text)
{
    return text + strspn(text, " \t,;");
}

bool piece_number(const char **text, double *value)
{
    const char *rest = skip_gaps(*text);
    size_t sign = *rest == '-' || *rest == '+' ? 1 : 0;
    const char *digits = rest + sign;
    double found;

    if (!take_decimal(&digits, &found))
        return false;
    *value = *rest == '-' ? -found : found;
    *text = digits;
    return true;
}

bool piece_word(const char **text, const char *word)
{
    const char *rest = skip_gaps(*text);
    size_t length = strlen(word);

    for (size_t i = 0; i < length; i++)
        if (tolower((unsigned char)rest[i]) != tolower((unsigned char)word[i]))
            return false;
    if (isalpha((unsigned char)word[length - 1]) && isalpha((unsigned char)rest[length]))
        return false;
    *text = rest + length;
    return true;
}

bool piece_end(const char *text)
{
    return *skip_gaps(text) == '\0';
}

#define METRES_PER_FOOT 0.3048

/* "800", "800 m", "2600 ft". */
static bool take_height(const char **text, double *metres)
{
    if (!piece_number(text, metres))
        return false;
    if (piece_word(text, "ft") || piece_word(text, "feet"))
        *metres *= METRES_PER_FOOT;
    else
        (void)(piece_word(text, "m") || piece_word(text, "metres") || piece_word(text, "meters"));
    return true;
}

int parse_air(const char *text, enum units units, double *temperature_c, double *humidity_percent,
              struct fault *fault)
{
    const char *rest = text;
    bool imperial = units == UNITS_IMPERIAL;
    double temperature, humidity;
    bool good = piece_number(&rest, &temperature);

    (void)piece_word(&rest, "\xc2\xb0");
    if (piece_word(&rest, "F"))
        imperial = true;
    else if (piece_word(&rest, "C"))
        imperial = false;
    good = good && piece_number(&rest, &humidity);
    if (good)
        (void)piece_word(&rest, "%");
    if (!good || !piece_end(rest))
        return fault_set(fault, "found '%.40s'; expected temperature and humidity, such as %s",
                         text, units == UNITS_IMPERIAL ? "39F 88%" : "4C 88%");
    double celsius = imperial ? (temperature - 32) / 1.8 : temperature;
    if (celsius < -45 || celsius > 60)
        return fault_set(fault, "temperature %g %c: expected %s", temperature, imperial ? 'F' : 'C',
                         imperial ? "-49 to 140 F" : "-45 to 60 C");
    if (humidity < 1 || humidity > 100)
        return fault_set(fault, "humidity %g %%: expected 1 to 100 %%", humidity);
    *temperature_c = celsius;
    *humidity_percent = humidity;
    return 0;
}

/* Cuts a place into latitude, longitude and height: at commas, else behind the letters of the two
 * axes, else between two numbers. How many parts there are; 0: more than three, or too long. */
static int cut_site(const char *text, char part[3][48])
{
    bool commas = strchr(text, ',') != NULL, letters = strpbrk(text, "NS") != NULL;
    int parts = 0;

    for (const char *start = skip_spaces(text); *start; parts++) {
        size_t length = commas ? strcspn(start, ",") : strcspn(start, letters ? "NSEW" : " ");
        if (parts == 3 || length >= sizeof part[0] - 1)
            return 0;
        length += !commas && letters && start[length] != '\0';
        const char *end = start + length;
        while (length > 0 && start[length - 1] == ' ')
            length--;
        memcpy(part[parts], start, length);
        part[parts][length] = '\0';
        start = skip_spaces(end);
        if (commas && *start == ',') {
            start = skip_spaces(start + 1);
            if (*start == '\0')
                return 0;
        }
    }
    return parts;
}

int parse_site(const char *text, double *lat_deg, double *lon_deg, double *height_m,
               struct fault *fault)
{
    char part[3][48];
    int parts = cut_site(text, part);
    double found[3] = {0, 0, NAN};

    if (parts < 2)
        return fault_set(
            fault,
            "'%.60s' is not a site; expected latitude, longitude and perhaps a height, such "
            "as 41.9, 2.3, 800 m or 41 54 N 2 18 E",
            text);
    if (parse_angle_deg(part[0], true, &found[0], fault) != 0 ||
        parse_angle_deg(part[1], false, &found[1], fault) != 0)
        return -1;
    const char *rest = part[2];
    if (parts == 3 &&
        (!take_height(&rest, &found[2]) || !piece_end(rest) || found[2] < -500 || found[2] > 9000))
        return fault_set(fault, "height '%.40s': expected -500 to 9000 m, such as 800 m or 2600 ft",
                         part[2]);
    *lat_deg = found[0];
    *lon_deg = found[1];
    *height_m = found[2];
    return 0;
}

/* A span of time: 90s, 10m, 2h, 1h30m, or bare seconds; not negative. */
static int parse_span(const char *text, double *seconds, struct fault *fault)
{
    static const char units[] = "hms";
    static const double unit_s[] = {3600, 60, 1};
    const char *rest = text;
    double sum = 0, number;
    int next_unit = 0;

    while (take_decimal(&rest, &number)) {
        if (*rest == '\0' && next_unit == 0) {
            *seconds = number;
            return 0;
        }
        const char *unit = *rest ? strchr(units, *rest) : NULL;
        if (!unit || unit - units < next_unit)
            break;
        sum += number * unit_s[unit - units];
        next_unit = (int)(unit - units) + 1;
        rest++;
        if (*rest == '\0') {
            *seconds = sum;
            return 0;
        }
    }
    return fault_set(fault, "'%.40s' is not a span of time; write 90s, 10m, 2h or 1h30m", text);
}

/* Nothing is meant that is further from an instant; no number of milliseconds up to there has an exponent
 * when it is written. */
#define LONGEST_SPAN_S (366 * SECONDS_PER_DAY)

int parse_offset(const char *text, double *seconds, struct fault *fault)
{
    double span = 0;

    if (*text != '\0' && *text != '+' && *text != '-')
        return fault_set(fault, "found '%.40s'; expected + or - and a span, as in -30m", text);
    if (*text != '\0' && parse_span(text + 1, &span, fault) != 0)
        return -1;
    if (span > LONGEST_SPAN_S)
        return fault_set(fault, "'%.40s' is more than a year", text + 1);
    span = round(span * 1000) / 1000;
    *seconds = *text == '-' ? -span : span;
    return 0;
}
