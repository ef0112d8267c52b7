/* Putting pictures in order: file names with times in, what was so then out. */
#include "print.h"

#include <moonstand/series.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PICTURES_FIRST = 256, TIME_BYTES = 48 };

/* ---- reading ---- */

/* A row as it stands, with the places of its fields. */
struct row {
    char name[PICTURE_NAME], time[TIME_BYTES], rig[RIG_NAME];
    int line, name_column, time_column, rig_column;
};

struct source {
    struct csv_reader reader;
    const char *name;
};

static int refuse(const struct source *source, const struct row *row, int column,
                  struct fault *fault, const char *what)
{
    return fault_set(fault, "%s:%d:%d: %s", source->name, row->line, column, what);
}

/* One more field; what ended it, or CSV_FAULT with the place. */
static int take_field(struct source *source, const struct row *row, int column, char *out,
                      size_t size, struct fault *fault)
{
    struct fault cause;
    int end = csv_read(&source->reader, out, size, &cause);

    if (end == CSV_FAULT)
        (void)refuse(source, row, column, fault, cause.text);
    return end;
}

/* 1: a row; 0: the end; -1: a fault. An empty line is a row without a name. */
static int take_row(struct source *source, struct row *row, struct fault *fault)
{
    int end;

    *row = (struct row){.line = source->reader.line, .name_column = source->reader.column};
    end = take_field(source, row, row->name_column, row->name, sizeof row->name, fault);
    if (end == CSV_FAULT || end == EOF)
        return end == EOF ? 0 : -1;
    if (end == '\n')
        return *row->name ? refuse(source, row, row->name_column, fault,
                                   "only one field; a row is name,YYYY-MM-DDTHH:MM:SS[,rig]")
                          : 1;
    row->time_column = source->reader.column;
    end = take_field(source, row, row->time_column, row->time, sizeof row->time, fault);
    if (end == ',') {
        row->rig_column = source->reader.column;
        end = take_field(source, row, row->rig_column, row->rig, sizeof row->rig, fault);
    }
    if (end == ',')
        return refuse(source, row, source->reader.column, fault,
                      "more than three fields; a row is name,YYYY-MM-DDTHH:MM:SS[,rig]");
    return end == CSV_FAULT ? -1 : 1;
}

static int find_rig(const struct night *night, const struct source *source, const struct row *row,
                    int *rig, struct fault *fault)
{
    struct fault what;
    char names[RIGS * (RIG_NAME + 2)] = "";

    *rig = night->setup.rig_count == 1 ? 0 : -1;
    if (!*row->rig)
        return 0;
    for (int i = 0; i < night->setup.rig_count; i++) {
        size_t length = strlen(names);

        if (strcmp(row->rig, night->rig[i].rig.name) == 0) {
            *rig = i;
            return 0;
        }
        (void)snprintf(names + length, sizeof names - length, "%s%s", i ? ", " : "",
                       night->rig[i].rig.name);
    }
    (void)fault_set(&what, "there is no rig '%s'; expected %s", row->rig, names);
    return refuse(source, row, row->rig_column, fault, what.text);
}

static int picture_from(const struct night *night, const struct source *source,
                        const struct row *row, struct picture *picture, struct fault *fault)
{
    struct fault what;

    if (!text_is_clean(row->name) || !*row->name)
        return refuse(source, row, row->name_column, fault,
                      "a name is empty, not UTF-8, or holds control characters");
    if (parse_instant(row->time, &picture->time, NULL) != 0) {
        (void)fault_set(&what,
                        "'%s' is not a time of the years %d to %d; write YYYY-MM-DDTHH:MM:SS, with "
                        "a Z behind it where it is UTC",
                        row->time, YEAR_FIRST, YEAR_LAST);
        return refuse(source, row, row->time_column, fault, what.text);
    }
    (void)snprintf(picture->name, sizeof picture->name, "%s", row->name);
    picture->is_utc = row->time[strlen(row->time) - 1] == 'Z';
    return find_rig(night, source, row, &picture->rig, fault);
}

static struct picture *make_room(struct pictures *pictures)
{
    size_t room = pictures->room ? pictures->room * 2 : PICTURES_FIRST;
    struct picture *grown;

    if (pictures->count < pictures->room)
        return &pictures->item[pictures->count];
    grown = realloc(pictures->item, room * sizeof *grown);
    if (!grown)
        return NULL;
    pictures->item = grown;
    pictures->room = room;
    return &pictures->item[pictures->count];
}

static bool is_header(const struct row *row)
{
    return row->line == 1 && strcmp(row->name, "name") == 0 && strcmp(row->time, "time") == 0;
}

int pictures_read(FILE *in, const char *source_name, const struct night *night,
                  struct pictures *pictures, struct fault *fault)
{
    struct source source = {.name = source_name};
    struct row row;
    int taken;

    csv_begin(&source.reader, in);
    while ((taken = take_row(&source, &row, fault)) > 0) {
        struct picture *picture;

        if (is_header(&row) || (!*row.name && row.time_column == 0))
            continue;
        picture = make_room(pictures);
        if (!picture)
            return fault_set(fault, "%s: out of memory", source_name);
        if (picture_from(night, &source, &row, picture, fault) != 0)
            return -1;
        pictures->count++;
    }
    if (taken == 0 && ferror(in))
        return fault_set(fault, "%s:%d: reading failed", source_name, source.reader.line);
    return taken;
}

void pictures_free(struct pictures *pictures)
{
    free(pictures->item);
    *pictures = (struct pictures){0};
}

/* ---- answering ---- */

struct answer {
    double utc;
    const char *clock;
    struct circumstances at;
    const struct act *setting; /* null: not known */
};

static void answer_make(const struct night *night, const struct picture *picture,
                        struct answer *answer)
{
    double behind_s = picture->rig >= 0 ? night->rig[picture->rig].camera_behind_s : NAN;

    answer->utc = picture->time;
    answer->clock = picture->is_utc ? "utc" : isfinite(behind_s) ? "corrected" : "uncorrected";
    if (!picture->is_utc && isfinite(behind_s))
        answer->utc += behind_s;
    circumstances_at(night, answer->utc, &answer->at);
    answer->setting = picture->rig >= 0 ? setting_at(night, picture->rig, answer->utc) : NULL;
}

static const char *rig_name(const struct night *night, const struct picture *picture)
{
    return picture->rig >= 0 ? night->rig[picture->rig].rig.name : NULL;
}

int report_pictures_csv(FILE *out, const struct night *night, const struct pictures *pictures)
{
    struct csv csv = {.out = out};

    fputs("name,rig,utc,clock," CSV_CIRCUMSTANCES ",shutter,iso,target\r\n", out);
    for (size_t i = 0; i < pictures->count; i++) {
        const struct picture *picture = &pictures->item[i];
        const char *rig = rig_name(night, picture);
        struct answer answer;
        char shutter[SHUTTER_LABEL] = "";
        const char *target = "";
        double iso = NAN;

        answer_make(night, picture, &answer);
        if (answer.setting) {
            (void)shutter_label((int)answer.setting->value[0], shutter);
            iso = iso_label((int)answer.setting->value[1]);
            target = target_name((enum target)answer.setting->value[2]);
        }
        csv_text(&csv, picture->name);
        csv_text(&csv, rig ? rig : "");
        csv_instant(&csv, answer.utc);
        csv_text(&csv, answer.clock);
        csv_circumstances(&csv, &answer.at);
        csv_text(&csv, shutter);
        csv_number(&csv, iso, 0);
        csv_text(&csv, target);
        csv_end(&csv);
    }
    return text_done(out);
}

int report_pictures_json(FILE *out, const struct night *night, const struct pictures *pictures)
{
    struct document document;

    document_array(&document);
    for (size_t i = 0; i < pictures->count; i++) {
        const struct picture *picture = &pictures->item[i];
        cJSON *object = put_object(&document, document.root, NULL);
        struct answer answer;

        answer_make(night, picture, &answer);
        put_text(&document, object, "name", picture->name);
        put_text(&document, object, "rig", rig_name(night, picture));
        put_instant(&document, object, "utc", answer.utc);
        put_text(&document, object, "clock", answer.clock);
        put_circumstances(&document, object, &answer.at);
        if (answer.setting)
            put_act_values(&document, object, answer.setting);
    }
    return document_write(&document, out);
}
