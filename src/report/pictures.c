/* Putting pictures in order: file names with times in, what was so then out. */
#include "print.h"

#include <moonstand/series.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct answer {
    double utc;
    const char *clock;
    const struct act *advised; /* null: not known */
    const char *shutter;
    double iso;
    const char *setting; /* "taken", "confirmed", "advised"; "" if shutter and ISO are not known */
};

/* When it was taken, and how that is known. A noted error goes before one by landing, and both before
 * the zone that the camera thinks it is in. */
static double utc_of(const struct night *night, const struct picture *picture, const char **clock)
{
    const struct rig_state *rig = picture->rig >= 0 ? &night->rig[picture->rig] : NULL;

    if (picture->is_utc) {
        *clock = "utc";
        return picture->time;
    }
    if (isfinite(picture->behind_s)) {
        *clock = "card";
        return picture->time + picture->behind_s;
    }
    if (rig && isfinite(rig->camera_behind_s)) {
        *clock = "corrected";
        return picture->time + rig->camera_behind_s;
    }
    if (rig && isfinite(rig->picture_behind_s)) {
        *clock = "landed";
        return picture->time + rig->picture_behind_s;
    }
    *clock = isfinite(picture->offset_min) ? "zone" : "uncorrected";
    return picture->time - (isfinite(picture->offset_min) ? 60 * picture->offset_min : 0);
}

double picture_utc(const struct night *night, const struct picture *picture)
{
    const char *clock;

    return utc_of(night, picture, &clock);
}

bool picture_clock_is_open(const struct night *night, const struct picture *picture)
{
    return !picture->is_utc && !isfinite(picture->behind_s) && picture->rig >= 0 &&
           !isfinite(night->rig[picture->rig].camera_behind_s);
}

static void answer_make(const struct night *night, struct proof *proofs,
                        const struct picture *picture, struct answer *answer)
{
    *answer = (struct answer){.shutter = "", .iso = NAN, .setting = ""};
    answer->utc = utc_of(night, picture, &answer->clock);
    answer->advised = picture->rig >= 0 ? setting_at(night, picture->rig, answer->utc) : NULL;
    if (isfinite(picture->shutter_s) && isfinite(picture->iso)) {
        answer->shutter = shutter_label(shutter_index(picture->shutter_s));
        answer->iso = picture->iso;
        answer->setting = "taken";
    } else if (answer->advised) {
        answer->shutter = shutter_label((int)answer->advised->value[0]);
        answer->iso = iso_label((int)answer->advised->value[1]);
        answer->setting =
            is_confirmed(proof_of(proofs, night, answer->advised)) ? "confirmed" : "advised";
    }
}

static void csv_carried(struct csv *csv, const char *fields, int count)
{
    for (int i = 0; i < count; i++, fields += strlen(fields) + 1)
        csv_text(csv, fields);
}

int report_pictures_csv(FILE *out, const struct night *night, const struct pictures *pictures)
{
    bool picked = pictures->count > 0 && pictures->item[0].picked;
    struct proof *proofs = proofs_make(night, pictures);
    struct csv csv = {.out = out};

    if (!proofs)
        return -1;
    fputs("name,rig,utc,clock," CSV_CIRCUMSTANCES ",shutter,iso,target,setting", out);
    csv.fields = 1;
    if (picked)
        csv_text(&csv, "picked");
    csv_carried(&csv, pictures->column_names, pictures->columns);
    csv_end(&csv);
    for (size_t i = 0; i < pictures->count; i++) {
        const struct picture *picture = &pictures->item[i];
        struct answer answer;

        answer_make(night, proofs, picture, &answer);
        csv_text(&csv, picture->name);
        csv_text(&csv, rig_name(&night->setup, picture->rig));
        csv_instant(&csv, answer.utc);
        csv_text(&csv, answer.clock);
        csv_circumstances(&csv, night, answer.utc);
        csv_text(&csv, answer.shutter);
        csv_number(&csv, answer.iso, 0);
        csv_text(&csv, answer.advised ? target_name((enum target)answer.advised->value[2]) : "");
        csv_text(&csv, answer.setting);
        if (picked)
            csv_text(&csv, picture->picked);
        csv_carried(&csv, picture->carried, pictures->columns);
        csv_end(&csv);
    }
    free(proofs);
    return text_done(out);
}

static void put_carried(struct node object, const struct pictures *pictures,
                        const struct picture *picture)
{
    const char *name = pictures->column_names, *field = picture->carried;
    if (pictures->columns == 0)
        return;
    struct node columns = put_object(object, "columns");

    for (int i = 0; i < pictures->columns; i++) {
        put_text(columns, name, text_or_null(field));
        name += strlen(name) + 1;
        field += strlen(field) + 1;
    }
}

int report_pictures_json(FILE *out, const struct night *night, const struct pictures *pictures)
{
    struct proof *proofs = proofs_make(night, pictures);
    struct document document;

    if (!proofs)
        return -1;
    struct node root = document_array(&document);
    for (size_t i = 0; i < pictures->count; i++) {
        const struct picture *picture = &pictures->item[i];
        struct node object = put_object(root, NULL);
        struct answer answer;

        answer_make(night, proofs, picture, &answer);
        put_text(object, "name", picture->name);
        put_text(object, "rig", rig_name(&night->setup, picture->rig));
        put_instant(object, "utc", answer.utc);
        put_text(object, "clock", answer.clock);
        put_circumstances(object, night, answer.utc);
        put_text(object, "shutter", text_or_null(answer.shutter));
        put_number(object, "iso", answer.iso, 0);
        if (answer.advised)
            put_text(object, "target", target_name((enum target)answer.advised->value[2]));
        put_text(object, "setting", text_or_null(answer.setting));
        put_text(object, "picked", picture->picked);
        put_carried(object, pictures, picture);
    }
    free(proofs);
    return document_write(&document, out);
}
