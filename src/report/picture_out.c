/* A picture that was looked at, in one line. */
#include "print.h"

#include <moonstand/picture_words.h>

#include <math.h>

static void put_metadata(struct node object, const struct metadata *metadata)
{
    char iso[TEXT_INSTANT], offset[OFFSET_WORDS];
    /* What is read off the screen upright: a portrait picture is taller than wide. */
    bool turned = metadata->orientation >= 5;

    put_text(object, "format", picture_format_name(metadata->format));
    if (isfinite(metadata->taken))
        put_text(object, "taken", format_iso(iso, metadata->taken, metadata->taken_decimals, ""));
    if (isfinite(metadata->offset_min))
        put_text(object, "offset", camera_offset_words(offset, metadata->offset_min));
    put_text(object, "make", text_or_null(metadata->make));
    put_text(object, "model", text_or_null(metadata->model));
    put_text(object, "serial", text_or_null(metadata->serial));
    put_number(object, "shutter_s", metadata->shutter_s, 9);
    put_number(object, "iso", metadata->iso, 0);
    put_number(object, "f_number", metadata->f_number, 2);
    put_number(object, "focal_mm", metadata->focal_mm, 2);
    if (metadata->width > 0) {
        put_number(object, "width", turned ? metadata->height : metadata->width, 0);
        put_number(object, "height", turned ? metadata->width : metadata->height, 0);
    }
}

static void put_disc(struct node parent, const struct seen *seen)
{
    const struct disc_light *measured = &seen->light;
    struct node disc = put_object(parent, "disc");
    struct node light = put_object(parent, "light");

    put_number(disc, "x", seen->place.x, 5);
    put_number(disc, "y", seen->place.y, 5);
    put_number(disc, "radius_px", seen->disc.radius_px, 2);
    put_number(disc, "arc", seen->disc.arc, 2);
    put_number(disc, "scatter_px", seen->disc.scatter_px, 2);
    put_number(disc, "score", seen->disc.score, 2);
    put_number(light, "lit", measured->lit, 1);
    if (isfinite(measured->umbra[0])) {
        struct node umbra = put_array(light, "umbra");

        for (int c = 0; c < 3; c++)
            put_number(umbra, NULL, measured->umbra[c], 0);
    }
    put_number(light, "clipped", measured->clipped, 4);
    put_number(light, "sky", measured->sky, 1);
    if (isnan(seen->limb.width_px))
        return;
    struct node limb = put_object(parent, "limb");
    put_number(limb, "width_px", seen->limb.width_px, 2);
    put_number(limb, "least_px", seen->limb.least_px, 2);
    put_number(limb, "most_px", seen->limb.most_px, 2);
    put_number(limb, "most_deg", seen->limb.most_deg, 0);
}

int report_look_json(FILE *out, const struct setup *setup, const struct seen *seen)
{
    struct document document;

    struct node root = document_object(&document);
    put_text(root, "file", seen->file);
    put_number(root, "bytes", seen->bytes, 0);
    put_instant(root, "landed", seen->landed_utc);
    put_text(root, "rig", rig_name(setup, seen->rig));
    put_metadata(root, &seen->metadata);
    if (seen->state == SEEN_DISC)
        put_disc(root, seen);
    put_text(root, "no_disc", no_disc_words(seen->state));
    put_number(root, "took_s", seen->took_s, 3);
    return document_write_line(&document, out);
}

int report_look_text(FILE *out, const struct setup *setup, const struct seen *seen)
{
    char name[PICTURE_NAME], words[SENTENCE];

    (void)snprintf(name, sizeof name, "%s", seen->file);
    text_clean(name);
    fprintf(out, "%s: %s", name, metadata_words(&seen->metadata, words));
    if (rig_name(setup, seen->rig))
        fprintf(out, "; %s", rig_name(setup, seen->rig));
    fprintf(out, "; %s\n",
            seen->state == SEEN_DISC ? disc_words(seen, words) : no_disc_words(seen->state));
    return text_done(out);
}
