/* A picture that was looked at, in one line. */
#include "print.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

enum { TEXT_OFFSET = 16, TEXT_SHUTTER = 24 };
/* From here on cameras write seconds instead of a fraction. */
#define FRACTION_BELOW_S 0.3

/* "+01:00" */
static char *utc_offset_words(char out[TEXT_OFFSET], double offset_min)
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

static void put_metadata(struct document *document, cJSON *object, const struct metadata *metadata)
{
    char iso[TEXT_INSTANT], offset[TEXT_OFFSET];
    bool turned = is_turned(metadata);

    put_text(document, object, "format", picture_format_name(metadata->format));
    if (isfinite(metadata->taken))
        put_text(document, object, "taken",
                 format_iso(iso, metadata->taken, metadata->taken_decimals, ""));
    if (isfinite(metadata->offset_min))
        put_text(document, object, "offset", utc_offset_words(offset, metadata->offset_min));
    put_text(document, object, "make", text_or_null(metadata->make));
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

static const char *state_words(enum seen_state state)
{
    static const char *const words[SEEN_STATES] = {
        [SEEN_DISC] = NULL,
        [SEEN_NO_DISC] = "no Moon found",
        [SEEN_TOO_SMALL] = "the Moon is too small at this focal length",
        [SEEN_NO_SCALE] = "focal length unknown: name a rig with --rig",
        [SEEN_NO_JPEG] = "no JPEG in it that can be decoded",
        [SEEN_HEIF] = "HEIF: set the camera to JPEG",
        [SEEN_NOT_LOOKED] = NULL,
    };

    return words[state];
}

static void put_disc(struct document *document, cJSON *parent, const struct seen *seen)
{
    const struct disc_light *measured = &seen->light;
    cJSON *disc = put_object(document, parent, "disc");
    cJSON *light = put_object(document, parent, "light"), *limb;

    put_number(document, disc, "x", seen->place.x, 5);
    put_number(document, disc, "y", seen->place.y, 5);
    put_number(document, disc, "radius_px", seen->disc.radius_px, 2);
    put_number(document, disc, "arc", seen->disc.arc, 2);
    put_number(document, disc, "scatter_px", seen->disc.scatter_px, 2);
    put_number(document, disc, "score", seen->disc.score, 2);
    put_number(document, light, "lit", measured->lit, 1);
    if (isfinite(measured->umbra[0])) {
        cJSON *umbra = put_array(document, light, "umbra");

        for (int c = 0; c < 3; c++)
            put_number(document, umbra, NULL, measured->umbra[c], 0);
    }
    put_number(document, light, "clipped", measured->clipped, 4);
    put_number(document, light, "sky", measured->sky, 1);
    if (isnan(seen->limb.width_px))
        return;
    limb = put_object(document, parent, "limb");
    put_number(document, limb, "width_px", seen->limb.width_px, 2);
    put_number(document, limb, "least_px", seen->limb.least_px, 2);
    put_number(document, limb, "most_px", seen->limb.most_px, 2);
    put_number(document, limb, "most_deg", seen->limb.most_deg, 0);
}

static const char *rig_name(const struct setup *setup, const struct seen *seen)
{
    return seen->rig >= 0 ? setup->rig[seen->rig].name : NULL;
}

int report_look_json(FILE *out, const struct setup *setup, const struct seen *seen)
{
    struct document document;

    document_object(&document);
    put_text(&document, document.root, "file", seen->file);
    put_number(&document, document.root, "bytes", seen->bytes, 0);
    put_instant(&document, document.root, "landed", seen->landed_utc);
    put_text(&document, document.root, "rig", rig_name(setup, seen));
    put_metadata(&document, document.root, &seen->metadata);
    if (seen->state == SEEN_DISC)
        put_disc(&document, document.root, seen);
    put_text(&document, document.root, "no_disc", state_words(seen->state));
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
        text[strcspn(text, "T")] = ' ';
        if (isfinite(metadata->offset_min))
            (void)utc_offset_words(offset, metadata->offset_min);
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

/* The place and the light are called a trial until they have been held against real pictures. */
static void print_disc(FILE *out, const struct seen *seen)
{
    const struct disc_light *light = &seen->light;
    char words[PLACE_WORDS];

    fprintf(out, "; trial: Moon %s", place_words(seen->place, words));
    fprintf(out, ", radius %.0f px", seen->disc.radius_px);
    if (isfinite(light->lit))
        fprintf(out, ", lit part %.0f", light->lit);
    if (isfinite(light->umbra[0]))
        fprintf(out, ", umbra %.0f %.0f %.0f", light->umbra[0], light->umbra[1], light->umbra[2]);
    if (isfinite(light->clipped))
        fprintf(out, ", clipped %.1f %%", 100 * light->clipped);
    if (isfinite(seen->limb.width_px))
        fprintf(out, ", limb %.1f px", seen->limb.width_px);
}

int report_look_text(FILE *out, const struct setup *setup, const struct seen *seen)
{
    char name[PICTURE_NAME];

    (void)snprintf(name, sizeof name, "%s", seen->file);
    text_clean(name);
    fputs(name, out);
    print_metadata(out, &seen->metadata);
    if (rig_name(setup, seen))
        fprintf(out, "; %s", rig_name(setup, seen));
    if (seen->state == SEEN_DISC)
        print_disc(out, seen);
    else
        fprintf(out, "; %s", state_words(seen->state));
    (void)fputc('\n', out);
    return text_done(out);
}
