/* Lines for people. */
#include "print.h"

#include <stdarg.h>
#include <string.h>

enum { COLUMNS = 79, LABEL_COLUMNS = 11, ENTRY_BYTES = 4096 };

static int columns_of(const char *text, size_t bytes)
{
    int columns = 0;

    for (size_t i = 0; i < bytes; i++)
        columns += begins_character(text[i]);
    return columns;
}

int text_width(const char *text)
{
    return columns_of(text, strlen(text));
}

int text_bytes(const char *text, int columns)
{
    int bytes = 0;

    for (; text[bytes]; bytes++)
        if (begins_character(text[bytes]) && columns-- == 0)
            break;
    return bytes;
}

void text_entry(FILE *out, const char *label, const char *format, ...)
{
    char text[ENTRY_BYTES];
    int label_columns = text_width(label);
    int pad = label_columns < LABEL_COLUMNS ? LABEL_COLUMNS - label_columns : 1;
    int column = label_columns + pad;
    va_list arguments;

    va_start(arguments, format);
    (void)vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    if (!*text)
        return;
    fprintf(out, "%s%*s", label, pad, "");
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

int text_wider(int columns, const char *text)
{
    int others = text_width(text);

    return others > columns ? others : columns;
}

const char *rig_name(const struct setup *setup, int rig)
{
    return rig >= 0 ? setup->rig[rig].name : NULL;
}

char *rig_title(char out[RIG_TITLE], const struct rig *rig)
{
    return text_set(out, RIG_TITLE, "%s (%s%s%s)", rig->name, rig->lens, *rig->lens ? ", " : "",
                    support_name(rig->support));
}

void text_plain(FILE *out, const char *text)
{
    for (; *text; text++) {
        if (strchr("\\`*_[]<>|#~", *text))
            fputc('\\', out);
        fputc(*text, out);
    }
}
