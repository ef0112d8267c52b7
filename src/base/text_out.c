#include <moonstand/angle.h>
#include <moonstand/instant.h>
#include <moonstand/text.h>

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* Rounding error allowed in a computed whole second. */
#define FORGIVEN_S 1e-6

char *format_iso(char out[TEXT_INSTANT], double seconds, int decimals, const char *suffix)
{
    static const double steps[] = {1, 0.1, 0.01, 0.001};
    double step = steps[decimals];
    /* Round first, so that 59.9996 s never prints as 60.000. */
    double rounded = floor(seconds / step + 0.5);
    double whole = floor(rounded * step + step / 4);

    if (!isfinite(seconds))
        return text_set(out, TEXT_INSTANT, "-");
    int fraction = (int)floor(rounded - whole / step + 0.5);
    struct civil civil = civil_from_seconds(whole);
    (void)snprintf(out, TEXT_INSTANT, "%04d-%02d-%02dT%02d:%02d:%02d", civil.year, civil.month,
                   civil.day, civil.hour, civil.minute, (int)civil.second);
    if (step < 1)
        text_add(out, TEXT_INSTANT, "", ".%0*d", decimals, fraction);
    text_add(out, TEXT_INSTANT, "", "%s", suffix);
    return out;
}

char *format_clock(char out[TEXT_INSTANT], double seconds, bool with_seconds, enum hours hours)
{
    if (!isfinite(seconds))
        return text_set(out, TEXT_INSTANT, "-");
    struct civil civil = civil_from_seconds(floor(seconds + FORGIVEN_S));
    int hour = hours == HOURS_12 ? (civil.hour + 11) % 12 + 1 : civil.hour;
    (void)snprintf(out, TEXT_INSTANT, "%02d:%02d", hour, civil.minute);
    if (with_seconds)
        text_add(out, TEXT_INSTANT, "", ":%02d", (int)civil.second);
    if (hours == HOURS_12)
        text_add(out, TEXT_INSTANT, "", "%s", civil.hour < 12 ? "am" : "pm");
    return out;
}

double nearest_shown(double seconds, bool with_seconds)
{
    double unit = with_seconds ? 1 : 60;

    return unit * floor(seconds / unit + 0.5);
}

char *format_time(char out[TEXT_INSTANT], double seconds, bool with_seconds, enum hours hours)
{
    return format_clock(out, nearest_shown(seconds, with_seconds), with_seconds, hours);
}

double seconds_left(double seconds)
{
    return seconds > 0 ? ceil(seconds - FORGIVEN_S) : seconds;
}

char *format_left(char out[TEXT_SPAN], double seconds)
{
    return format_span(out, seconds_left(seconds));
}

char *format_span(char out[TEXT_SPAN], double seconds)
{
    double whole = floor(fabs(seconds) + FORGIVEN_S);
    long long total;

    if (!isfinite(seconds) || whole > 1e12)
        return text_set(out, TEXT_SPAN, "-");
    total = (long long)whole;
    const char *sign = seconds < 0 && total > 0 ? "-" : "";
    if (total >= 3600)
        return text_set(out, TEXT_SPAN, "%s%lld:%02lld:%02lld", sign, total / 3600, total / 60 % 60,
                        total % 60);
    return text_set(out, TEXT_SPAN, "%s%lld:%02lld", sign, total / 60, total % 60);
}

static char *format_air(char out[TEXT_AIR], double value, int decimals, bool with_sign,
                        const char *unit)
{
    if (isfinite(value))
        return text_set(out, TEXT_AIR, "%s%.*f %s", with_sign && value >= 0 ? "+" : "", decimals,
                        value, unit);
    return text_set(out, TEXT_AIR, "-");
}

char *format_temperature(char out[TEXT_AIR], double celsius, int decimals, enum units units)
{
    if (units == UNITS_IMPERIAL)
        return format_air(out, celsius * 1.8 + 32, decimals, false, "F");
    return format_air(out, celsius, decimals, false, "C");
}

char *format_warmth(char out[TEXT_AIR], double kelvin, bool with_sign, enum units units)
{
    if (units == UNITS_IMPERIAL)
        return format_air(out, kelvin * 1.8, 1, with_sign, "F");
    return format_air(out, kelvin, 1, with_sign, "C");
}

char *format_wind(char out[TEXT_AIR], double m_s, enum units units)
{
    /* A mile is 1609.344 m. */
    if (units == UNITS_IMPERIAL)
        return format_air(out, m_s * 3600 / 1609.344, 0, false, "mph");
    return format_air(out, m_s, 0, false, "m/s");
}

const char *compass_point(double azimuth_rad)
{
    static const char *const points[16] = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                           "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};

    if (!isfinite(azimuth_rad))
        return "-";
    return points[(int)floor(angle_wrap(azimuth_rad) / (2 * PI) * 16 + 0.5) % 16];
}

char *format_azimuth(char out[TEXT_AZIMUTH], double azimuth_rad, int decimals)
{
    double steps = pow(10, decimals);
    double rounded =
        fmod(round(deg_from_rad(angle_wrap(azimuth_rad)) * steps), 360 * steps) / steps;

    if (isfinite(azimuth_rad))
        return text_set(out, TEXT_AZIMUTH, "%.*f %s", decimals, rounded,
                        compass_point(azimuth_rad));
    return text_set(out, TEXT_AZIMUTH, "-");
}

const char *path_name(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}

bool begins_character(char byte)
{
    return ((unsigned char)byte & 0xc0) != 0x80;
}

/* Length of the well-formed UTF-8 sequence at `s`, 0 if there is none (RFC 3629). */
static int utf8_sequence(const unsigned char *s)
{
    if (s[0] < 0x80)
        return 1;
    if (s[0] >= 0xc2 && s[0] <= 0xdf)
        return (s[1] & 0xc0) == 0x80 ? 2 : 0;
    if (s[0] >= 0xe0 && s[0] <= 0xef) {
        unsigned char low = s[0] == 0xe0 ? 0xa0 : 0x80, high = s[0] == 0xed ? 0x9f : 0xbf;

        return s[1] >= low && s[1] <= high && (s[2] & 0xc0) == 0x80 ? 3 : 0;
    }
    if (s[0] >= 0xf0 && s[0] <= 0xf4) {
        unsigned char low = s[0] == 0xf0 ? 0x90 : 0x80, high = s[0] == 0xf4 ? 0x8f : 0xbf;

        return s[1] >= low && s[1] <= high && (s[2] & 0xc0) == 0x80 && (s[3] & 0xc0) == 0x80 ? 4
                                                                                             : 0;
    }
    return 0;
}

/* Leaves no mark, changes the direction or ends a line: Default_Ignorable_Code_Point of the Unicode
 * Character Database 15.0 (DerivedCoreProperties.txt), and U+2028, U+2029 and U+FFF9 to U+FFFB
 * (line and paragraph separators, annotations: UnicodeData.txt). */
static bool is_invisible(uint32_t code_point)
{
    static const struct {
        uint32_t first, last;
    } ranges[] = {
        {0x00ad, 0x00ad},   {0x034f, 0x034f}, {0x061c, 0x061c},   {0x115f, 0x1160},
        {0x17b4, 0x17b5},   {0x180b, 0x180f}, {0x200b, 0x200f},   {0x2028, 0x202e},
        {0x2060, 0x206f},   {0x3164, 0x3164}, {0xfe00, 0xfe0f},   {0xfeff, 0xfeff},
        {0xffa0, 0xffa0},   {0xfff0, 0xfffb}, {0x1bca0, 0x1bca3}, {0x1d173, 0x1d17a},
        {0xe0000, 0xe0fff},
    };

    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0] && code_point >= ranges[i].first; i++)
        if (code_point <= ranges[i].last)
            return true;
    return false;
}

/* C1 included: U+0080 to U+009F; so is the end of the text. */
static bool is_control(const unsigned char *s)
{
    return *s < 0x20 || *s == 0x7f || (s[0] == 0xc2 && s[1] >= 0x80 && s[1] < 0xa0);
}

/* Of a well-formed sequence. */
static uint32_t code_point_of(const unsigned char *s, int length)
{
    uint32_t code_point = length > 1 ? *s & (0x7fu >> length) : *s;

    for (int i = 1; i < length; i++)
        code_point = code_point << 6 | (s[i] & 0x3fu);
    return code_point;
}

size_t clean_character(const char *text)
{
    const unsigned char *s = (const unsigned char *)text;
    int length = is_control(s) ? 0 : utf8_sequence(s);

    return length > 1 && is_invisible(code_point_of(s, length)) ? 0 : (size_t)length;
}

/* Length of the clean text at the start. */
static size_t clean_length(const char *text)
{
    size_t sum = 0;

    for (size_t length; (length = clean_character(text + sum)) > 0;)
        sum += length;
    return sum;
}

const char *text_fault(const char *text, char out[TEXT_FAULT])
{
    const unsigned char *s = (const unsigned char *)text + clean_length(text);
    int length = utf8_sequence(s);

    if (*s == '\0')
        return NULL;
    if (is_control(s))
        return text_set(out, TEXT_FAULT, "a control character");
    if (length > 0)
        return text_set(out, TEXT_FAULT, "an invisible character (U+%04X)",
                        (unsigned)code_point_of(s, length));
    return text_set(out, TEXT_FAULT, "bytes that are not UTF-8");
}

bool text_is_clean(const char *text)
{
    return text[clean_length(text)] == '\0';
}

void text_clean(char *text)
{
    for (char *s = text + clean_length(text); *s; s += clean_length(s))
        *s = '?';
}

char *text_set(char *out, size_t size, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    (void)vsnprintf(out, size, format, args);
    va_end(args);
    return out;
}

void text_add(char *out, size_t size, const char *between, const char *format, ...)
{
    size_t length = strlen(out);
    va_list args;

    if (length > 0)
        length += (size_t)snprintf(out + length, size - length, "%s", between);
    if (length >= size)
        return;
    va_start(args, format);
    (void)vsnprintf(out + length, size - length, format, args);
    va_end(args);
}
