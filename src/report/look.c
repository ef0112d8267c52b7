/* A picture that was looked at, in one line. */
#include "report.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

enum { TEXT_OFFSET = 16, TEXT_SHUTTER = 24 };
/* From here on cameras write seconds instead of a fraction. */
#define FRACTION_BELOW_S 0.3

/* "+01:00" */
static char *offset_words(char out[TEXT_OFFSET], double offset_min)
{
    int minutes = (int)fabs(offset_min);

    (void)snprintf(out, TEXT_OFFSET, "%c%02d:%02d", offset_min < 0 ? '-' : '+', minutes / 60 % 100,
                   minutes % 60);
    return out;
}

static char *shutter_words(char out[TEXT_SHUTTER], double shutter_s)
{
    if (shutter_s < FRACTION_BELOW_S)
        (void)snprintf(out, TEXT_SHUTTER, "1/%.0f s", 1 / shutter_s);
    else
        (void)snprintf(out, TEXT_SHUTTER, "%.3g s", shutter_s);
    return out;
}

/* What is read off the screen upright: a portrait picture is taller than wide. */
static bool is_turned(const struct metadata *metadata)
{
    return metadata->orientation >= 5;
}

static const char *text_or_null(const char *text)
{
    return *text ? text : NULL;
}

static void put_metadata(struct document *document, cJSON *object, const struct metadata *metadata)
{
    char iso[TEXT_INSTANT], offset[TEXT_OFFSET];
    bool turned = is_turned(metadata);

    put_text(document, object, "format", picture_format_name(metadata->format));
    if (isfinite(metadata->taken))
        put_text(document, object, "taken",
                 format_iso(iso, metadata->taken, metadata->taken_decimals, ""));
    if (isfinite(metadata->offset_min))
        put_text(document, object, "offset", offset_words(offset, metadata->offset_min));
    put_text(document, object, "model", text_or_null(metadata->model));
    put_text(document, object, "serial", text_or_null(metadata->serial));
    put_number(document, object, "shutter_s", metadata->shutter_s, 9);
    put_number(document, object, "iso", metadata->iso, 0);
    put_number(document, object, "f_number", metadata->f_number, 2);
    put_number(document, object, "focal_mm", metadata->focal_mm, 2);
    if (metadata->width > 0) {
        put_number(document, object, "width", turned ? metadata->height : metadata->width, 0);
        put_number(document, object, "height", turned ? metadata->width : metadata->height, 0);
    }
}

int report_look_json(FILE *out, const struct seen *seen)
{
    struct document document;

    document_object(&document);
    put_text(&document, document.root, "file", seen->file);
    put_number(&document, document.root, "bytes", seen->bytes, 0);
    put_instant(&document, document.root, "landed", seen->landed_utc);
    put_metadata(&document, document.root, &seen->metadata);
    put_number(&document, document.root, "took_s", seen->took_s, 3);
    return document_write_line(&document, out);
}

/* One more part of a line, after a comma. */
static void add(FILE *out, int *parts, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void add(FILE *out, int *parts, const char *format, ...)
{
    va_list arguments;

    fputs((*parts)++ ? ", " : ": ", out);
    va_start(arguments, format);
    (void)vfprintf(out, format, arguments);
    va_end(arguments);
}

static void print_metadata(FILE *out, const struct metadata *metadata)
{
    char text[TEXT_INSTANT], offset[TEXT_OFFSET] = "", shutter[TEXT_SHUTTER];
    int parts = 0;

    if (isfinite(metadata->taken)) {
        format_iso(text, metadata->taken, metadata->taken_decimals, "");
        *strchr(text, 'T') = ' ';
        if (isfinite(metadata->offset_min))
            (void)offset_words(offset, metadata->offset_min);
        add(out, &parts, "%s%s%s", text, *offset ? " " : "", offset);
    }
    if (isfinite(metadata->shutter_s))
        add(out, &parts, "%s", shutter_words(shutter, metadata->shutter_s));
    if (isfinite(metadata->iso))
        add(out, &parts, "ISO %.0f", metadata->iso);
    if (isfinite(metadata->f_number))
        add(out, &parts, "f/%.3g", metadata->f_number);
    if (isfinite(metadata->focal_mm))
        add(out, &parts, "%.4g mm", metadata->focal_mm);
    if (parts == 0)
        add(out, &parts, "the camera wrote no time and no setting");
}

int report_look_text(FILE *out, const struct seen *seen)
{
    char name[PICTURE_NAME];

    (void)snprintf(name, sizeof name, "%s", seen->file);
    text_clean(name);
    fputs(name, out);
    print_metadata(out, &seen->metadata);
    (void)fputc('\n', out);
    return text_done(out);
}
