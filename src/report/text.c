/* Lines and words for people. */
#include "print.h"

#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdarg.h>
#include <string.h>

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
                   frame_words(place, 0, words), fabs(place.x) * 100,
                   place.x < 0 ? "left" : "right", fabs(place.y) * 100,
                   place.y < 0 ? "below" : "above");
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
