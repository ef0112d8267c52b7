/* A picture that was looked at, in one line. */
#include "print.h"

#include <moonstand/picture_words.h>

#include <math.h>

/* What is read off the screen upright: a portrait picture is taller than wide. */
static bool is_turned(const struct metadata *metadata)
{
    return metadata->orientation >= 5;
}

static void put_metadata(struct document *document, cJSON *object, const struct metadata *metadata)
{
    char iso[TEXT_INSTANT], offset[OFFSET_WORDS];
    bool turned = is_turned(metadata);

    put_text(document, object, "format", picture_format_name(metadata->format));
    if (isfinite(metadata->taken))
        put_text(document, object, "taken",
                 format_iso(iso, metadata->taken, metadata->taken_decimals, ""));
    if (isfinite(metadata->offset_min))
        put_text(document, object, "offset", camera_offset_words(offset, metadata->offset_min));
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
    put_text(&document, document.root, "no_disc", no_disc_words(seen->state));
    put_number(&document, document.root, "took_s", seen->took_s, 3);
    return document_write_line(&document, out);
}

int report_look_text(FILE *out, const struct setup *setup, const struct seen *seen)
{
    char name[PICTURE_NAME], words[SENTENCE];

    (void)snprintf(name, sizeof name, "%s", seen->file);
    text_clean(name);
    fprintf(out, "%s: %s", name, metadata_words(&seen->metadata, words));
    if (rig_name(setup, seen))
        fprintf(out, "; %s", rig_name(setup, seen));
    fprintf(out, "; %s\n",
            seen->state == SEEN_DISC ? disc_words(seen, words) : no_disc_words(seen->state));
    return text_done(out);
}
