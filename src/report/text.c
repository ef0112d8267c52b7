/* Lines and words for people. */
#include "print.h"

#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdarg.h>
#include <string.h>

/* A countdown longer than this is told in days. */
#define DAYS_FROM 2
enum { COLUMNS = 79, LABEL_COLUMNS = 11, ENTRY_BYTES = 1024 };

/* Code points, which is columns for the letters that names are written in here. */
static int columns_of(const char *text, size_t bytes)
{
    int columns = 0;

    for (size_t i = 0; i < bytes; i++)
        columns += ((unsigned char)text[i] & 0xc0) != 0x80;
    return columns;
}

void text_entry(FILE *out, const char *label, const char *format, ...)
{
    char text[ENTRY_BYTES];
    int label_columns = columns_of(label, strlen(label));
    int pad = LABEL_COLUMNS - label_columns;
    int column = pad > 1 ? LABEL_COLUMNS : label_columns + 1;
    va_list arguments;

    va_start(arguments, format);
    (void)vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    fprintf(out, "%s%*s", label, pad > 1 ? pad : 1, "");
    for (const char *word = text; *word; word += strspn(word, " ")) {
        size_t bytes = strcspn(word, " ");
        int columns = columns_of(word, bytes);
        const char *gap = word == text ? "" : " ";

        if (word > text && column + 1 + columns > COLUMNS) {
            fprintf(out, "\n%*s", LABEL_COLUMNS, "");
            column = LABEL_COLUMNS;
            gap = "";
        }
        fprintf(out, "%s%.*s", gap, (int)bytes, word);
        column += columns + (*gap != '\0');
        word += bytes;
    }
    fprintf(out, "\n");
}

int text_done(FILE *out)
{
    return fflush(out) != 0 || ferror(out) ? -1 : 0;
}

const char *scale_name(double utc)
{
    return utc_scale_is_utc(utc) ? "UTC" : "UT1";
}

static double local_seconds(const struct night *night, double utc)
{
    return isfinite(utc) ? utc + zone_offset(&night->zone, utc, NULL) : NAN;
}

char *local_clock(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    return format_clock(out, local_seconds(night, utc), true, night->setup.hours);
}

/* A time that the clock shows twice has the zone's letters behind it. */
static char *marked(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    size_t length = strlen(out);
    const char *mark = zone_mark(&night->zone, utc);

    if (*mark)
        (void)snprintf(out + length, TEXT_INSTANT - length, " %s", mark);
    return out;
}

char *local_time(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    (void)format_time(out, local_seconds(night, utc), true, night->setup.hours);
    return marked(out, night, utc);
}

char *local_minute(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    struct reader reader = reader_local(night);

    return clock_minute(out, &reader, utc);
}

char *local_zoned(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    const char *abbreviation;
    size_t length;

    (void)zone_offset(&night->zone, utc, &abbreviation);
    length = strlen(format_time(out, local_seconds(night, utc), true, night->setup.hours));
    (void)snprintf(out + length, TEXT_INSTANT - length, " %s", abbreviation);
    return out;
}

static char *day_of(char out[TEXT_INSTANT], double seconds)
{
    format_iso(out, floor(seconds), 0, "");
    out[strcspn(out, "T")] = '\0';
    return out;
}

char *local_day(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    return day_of(out, local_seconds(night, utc));
}

char *eclipse_day(char out[TEXT_INSTANT], const struct eclipse *eclipse)
{
    return day_of(out, utc_from_tt(eclipse->tt[CONTACT_GREATEST]));
}

const char *contact_meaning(enum contact contact)
{
    static const char *const meanings[CONTACT_COUNT] = {
        [CONTACT_P1] = "Moon enters the penumbra",
        [CONTACT_U1] = "Moon enters the umbra",
        [CONTACT_U2] = "totality begins",
        [CONTACT_GREATEST] = "deepest in the shadow",
        [CONTACT_U3] = "totality ends",
        [CONTACT_U4] = "Moon out of the umbra",
        [CONTACT_P4] = "Moon out of the penumbra",
    };

    return meanings[contact];
}

char *setting_words(char out[TEXT_SETTING], const struct exposure *exposure)
{
    char shutter[SHUTTER_LABEL], bracket[BRACKET_WORDS];

    if (!exposure->known) {
        (void)snprintf(out, TEXT_SETTING, "no light for this target");
        return out;
    }
    (void)bracket_words(exposure, bracket);
    (void)snprintf(out, TEXT_SETTING, "%s s, ISO %d, f/%.3g%s%s",
                   shutter_label(exposure->shutter, shutter), iso_label(exposure->iso),
                   exposure->f_number, *bracket ? ", " : "", bracket);
    return out;
}

char *place_words(char out[TEXT_PLACE], struct frame_point place)
{
    char words[FRAME_WORDS];

    (void)snprintf(out, TEXT_PLACE, "%s (%.0f %% %s, %.0f %% %s the centre)",
                   frame_words(place, words), fabs(place.x) * 100, place.x < 0 ? "left" : "right",
                   fabs(place.y) * 100, place.y < 0 ? "below" : "above");
    return out;
}

char *day_and_clock(char out[TEXT_INSTANT], double utc)
{
    char *letter;

    format_iso(out, floor(utc + 1e-6), 0, "");
    letter = strchr(out, 'T');
    if (letter)
        *letter = ' ';
    return out;
}

char *day_and_time(char out[TEXT_INSTANT], double utc)
{
    return day_and_clock(out, nearest_shown(utc, true));
}

char *countdown(char out[TEXT_SPAN], double seconds)
{
    if (!(seconds > DAYS_FROM * SECONDS_PER_DAY))
        return format_left(out, seconds);
    (void)snprintf(out, TEXT_SPAN, "%.0f days", seconds / SECONDS_PER_DAY);
    return out;
}

bool offset_caveat(char out[TEXT_CAVEAT], double utc)
{
    enum { ARCSEC_PER_S = 15 };
    double doubt_s = ut1_doubt_s(utc);
    int length;

    if (utc_is_announced(utc))
        return false;
    length = snprintf(out, TEXT_CAVEAT,
                      "No leap second has been announced for this date: the offset of UTC is held "
                      "at its last known value.");
    if (doubt_s >= 1)
        (void)snprintf(out + length, TEXT_CAVEAT - (size_t)length,
                       " From 2035 on UTC need not follow the turning Earth: at the mean rate of "
                       "1972 to 2017 they are up to %.0f s apart by %d. Rise and set may be off by "
                       "as much, altitude and azimuth by %.1f arcmin; contacts are not.",
                       doubt_s, civil_from_seconds(utc).year, doubt_s * ARCSEC_PER_S / 60);
    return true;
}
