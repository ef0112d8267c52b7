/* Tables of pictures, as picture tools print them. */
#include "print.h"

#include <moonstand/seen.h>

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIELDS_NAMED = 3 }; /* of a table without names: what follows is passed on */
enum { PICTURES_FIRST = 256, FIELDS = 64, FIELD_BYTES = PICTURE_NAME, TIME_BYTES = 64 };

/* What a column holds. */
enum column {
    COLUMN_OTHER, /* what is passed on */
    COLUMN_NAME,
    COLUMN_TIME, /* date and time, or the time alone beside a date */
    COLUMN_DATE,
    COLUMN_OFFSET,
    COLUMN_RIG,
    COLUMN_MODEL,
    COLUMN_SERIAL,
    COLUMN_SHUTTER,
    COLUMN_ISO
};

/* Without names: name, time, rig, and what is passed on. */
static const enum column numbered[FIELDS] = {COLUMN_NAME, COLUMN_TIME, COLUMN_RIG};

struct row {
    int count, line, column[FIELDS]; /* where each field begins */
    char field[FIELDS][FIELD_BYTES];
};

struct table {
    struct csv_reader reader;
    const char *source;
    const struct night *night;
    bool has_names;
    int fields;             /* of the first row */
    enum column of[FIELDS]; /* what each column holds */
    struct row row;
};

static int refuse(const struct table *table, int field, struct fault *fault, const char *what)
{
    return fault_set(fault, "%s:%d:%d: %s", table->source, table->row.line,
                     table->row.column[field], what);
}

/* 1: a row, whole; 0: the end; -1: one that cannot be parted into fields. */
static int take_row(struct table *table, struct fault *fault)
{
    struct row *row = &table->row;
    int end = ',';

    row->count = 0;
    row->line = table->reader.line;
    while (end == ',') {
        struct fault cause;
        int i = row->count;

        if (i == FIELDS) {
            csv_skip_line(&table->reader);
            return refuse(table, i - 1, fault, "more than 64 fields");
        }
        row->column[i] = table->reader.column;
        end = csv_read(&table->reader, row->field[i], FIELD_BYTES, &cause);
        if (end == CSV_FAULT) {
            int line = table->reader.line;

            if (line == row->line)
                csv_skip_line(&table->reader);
            return refuse(table, i, fault, cause.text);
        }
        if (end == EOF && i == 0)
            return 0;
        row->count++;
    }
    return 1;
}

/* ---- what the columns are called ---- */

/* Letters and digits alone, small. */
static void plain_name(const char *name, char out[TIME_BYTES])
{
    size_t length = 0;

    for (; *name && length + 1 < TIME_BYTES; name++)
        if (isalnum((unsigned char)*name))
            out[length++] = (char)tolower((unsigned char)*name);
    out[length] = '\0';
}

static enum column column_called(const char *name)
{
    static const struct {
        const char *name;
        enum column column;
    } names[] = {
        {"name", COLUMN_NAME},
        {"file", COLUMN_NAME},
        {"filename", COLUMN_NAME},
        {"sourcefile", COLUMN_NAME},
        {"path", COLUMN_NAME},
        {"picture", COLUMN_NAME},
        {"image", COLUMN_NAME},
        {"time", COLUMN_TIME},
        {"datetime", COLUMN_TIME},
        {"dateandtime", COLUMN_TIME},
        {"datetimeoriginal", COLUMN_TIME},
        {"dateoriginal", COLUMN_TIME},
        {"createdate", COLUMN_TIME},
        {"taken", COLUMN_TIME},
        {"capturetime", COLUMN_TIME},
        {"timestamp", COLUMN_TIME},
        {"date", COLUMN_DATE},
        {"offset", COLUMN_OFFSET},
        {"offsettime", COLUMN_OFFSET},
        {"offsettimeoriginal", COLUMN_OFFSET},
        {"timezone", COLUMN_OFFSET},
        {"rig", COLUMN_RIG},
        {"model", COLUMN_MODEL},
        {"camera", COLUMN_MODEL},
        {"cameramodel", COLUMN_MODEL},
        {"cameramodelname", COLUMN_MODEL},
        {"serial", COLUMN_SERIAL},
        {"serialnumber", COLUMN_SERIAL},
        {"bodyserialnumber", COLUMN_SERIAL},
        {"shutter", COLUMN_SHUTTER},
        {"shutters", COLUMN_SHUTTER},
        {"shutterspeed", COLUMN_SHUTTER},
        {"exposure", COLUMN_SHUTTER},
        {"exposuretime", COLUMN_SHUTTER},
        {"iso", COLUMN_ISO},
        {"isospeed", COLUMN_ISO},
        {"isospeedratings", COLUMN_ISO},
    };
    char plain[TIME_BYTES];

    plain_name(name, plain);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(plain, names[i].name) == 0)
            return names[i].column;
    return COLUMN_OTHER;
}

/* The column that holds this; -1: none. */
static int place_of(const struct table *table, enum column column)
{
    for (int i = 0; i < FIELDS; i++)
        if (table->of[i] == column)
            return i;
    return -1;
}

/* A field of the row; "" if it has no such. */
static const char *field_at(const struct table *table, int place)
{
    return place >= 0 && place < table->row.count ? table->row.field[place] : "";
}

static const char *field_of(const struct table *table, enum column column)
{
    return field_at(table, place_of(table, column));
}

/* ---- what the fields say ---- */

/* Cuts an offset from the end of a time: "+01:00", "-0330"; false: none. */
static bool cut_offset(char *text, double *offset_min)
{
    char *sign = text + strlen(text);
    int hours, minutes, used = 0;

    /* The minus of a date is before this. */
    while (sign > text + 10 && *sign != '+' && *sign != '-')
        sign--;
    if ((*sign != '+' && *sign != '-') || strlen(sign) < 5 || strlen(sign) > 6 ||
        (sscanf(sign + 1, "%2d:%2d%n", &hours, &minutes, &used) != 2 &&
         sscanf(sign + 1, "%2d%2d%n", &hours, &minutes, &used) != 2) ||
        sign[1 + used] != '\0' || hours > 14 || minutes > 59)
        return false;
    *offset_min = (*sign == '-' ? -1.0 : 1.0) * (60 * hours + minutes);
    *sign = '\0';
    return true;
}

/* "2029:12:20 21:00:03.25+01:00" and its likes. */
static int time_from(const char *written, struct picture *picture)
{
    char text[TIME_BYTES];
    int length = snprintf(text, sizeof text, "%s", written);

    if (length < 10 || length >= (int)sizeof text)
        return -1;
    if (text[4] == ':' && text[7] == ':')
        text[4] = text[7] = '-';
    if (text[10] == ' ')
        text[10] = 'T';
    while (length > 0 && text[length - 1] == ' ')
        text[--length] = '\0';
    picture->is_utc = length > 0 && (text[length - 1] == 'Z' || text[length - 1] == 'z');
    if (!picture->is_utc)
        (void)cut_offset(text, &picture->offset_min);
    else
        text[length - 1] = 'Z';
    return parse_instant(text, &picture->time, NULL);
}

static int read_time(const struct table *table, struct picture *picture, struct fault *fault)
{
    const char *time = field_of(table, COLUMN_TIME), *date = field_of(table, COLUMN_DATE);
    int place = place_of(table, *date && !*time ? COLUMN_DATE : COLUMN_TIME);
    bool parted = *date && *time && strlen(time) < 16; /* the time alone, beside a date */
    char both[2 * FIELD_BYTES + 2], offset[TIME_BYTES + 16];
    struct fault what;

    (void)snprintf(both, sizeof both, "%s%s%s", parted ? date : "", parted ? "T" : "",
                   *time ? time : date);
    /* Without names date and time may be two fields. */
    if (!table->has_names && strlen(time) == 10 && table->row.count > 2)
        (void)snprintf(both, sizeof both, "%sT%s", time, table->row.field[2]);
    if (time_from(both, picture) != 0) {
        (void)fault_set(&what,
                        "'%.60s' is not a time of the years %d to %d; write YYYY-MM-DDTHH:MM:SS, "
                        "with a Z behind it if it is UTC",
                        both, YEAR_FIRST, YEAR_LAST);
        return refuse(table, place < 0 || place >= table->row.count ? 0 : place, fault, what.text);
    }
    /* A column of its own: what a time ends with goes before it. */
    (void)snprintf(offset, sizeof offset, "0000-00-00T00:00%.20s", field_of(table, COLUMN_OFFSET));
    if (isnan(picture->offset_min) && !picture->is_utc)
        (void)cut_offset(offset, &picture->offset_min);
    return 0;
}

static int read_rig(const struct table *table, struct picture *picture, struct fault *fault)
{
    const struct night *night = table->night;
    const char *rig = field_of(table, COLUMN_RIG);
    struct metadata metadata = {.format = PICTURE_JPEG};
    char names[RIGS * (RIG_NAME + 2)] = "";
    struct fault what;

    picture->rig = night->setup.rig_count == 1 ? 0 : -1;
    (void)snprintf(metadata.model, sizeof metadata.model, "%.60s", field_of(table, COLUMN_MODEL));
    (void)snprintf(metadata.serial, sizeof metadata.serial, "%.60s",
                   field_of(table, COLUMN_SERIAL));
    for (int i = 0; i < night->setup.rig_count; i++) {
        if (strcmp(rig, night->rig[i].rig.name) == 0 ||
            (!*rig && picture_is_of(&night->rig[i].rig, &metadata))) {
            picture->rig = i;
            return 0;
        }
        text_add(names, sizeof names, ", ", "%s", night->rig[i].rig.name);
    }
    if (!*rig || (!table->has_names && strlen(field_of(table, COLUMN_TIME)) == 10))
        return 0;
    (void)fault_set(&what, "there is no rig '%.60s'; expected %s", rig, names);
    return refuse(table, place_of(table, COLUMN_RIG), fault, what.text);
}

/* "1/500", "0.002", "1/500 s"; NaN: neither. */
static double number_or_fraction(const char *text)
{
    char *end;
    double value = strtod(text, &end);

    if (end == text || !(value > 0))
        return NAN;
    if (*end == '/') {
        double below = strtod(end + 1, &end);

        return below > 0 ? value / below : NAN;
    }
    return isfinite(value) ? value : NAN;
}

/* ---- keeping ---- */

static struct picture *make_room(struct pictures *pictures)
{
    if (pictures->count == pictures->room) {
        size_t room = pictures->room ? pictures->room * 2 : PICTURES_FIRST;
        struct picture *grown = realloc(pictures->item, room * sizeof *grown);

        if (!grown)
            return NULL;
        pictures->item = grown;
        pictures->room = room;
    }
    return &pictures->item[pictures->count];
}

/* The fields that are passed on, or the names of their columns. Null: none, or memory is out. */
static char *carry(const struct table *table)
{
    size_t size = 0;
    char *carried, *at;

    for (int i = 0; i < table->fields; i++)
        if (table->of[i] == COLUMN_OTHER)
            size += strlen(field_at(table, i)) + 1;
    at = carried = size > 0 ? malloc(size) : NULL;
    for (int i = 0; carried && i < table->fields; i++)
        if (table->of[i] == COLUMN_OTHER) {
            char *end = stpcpy(at, field_at(table, i));

            text_clean(at);
            at = end + 1;
        }
    return carried;
}

/* "column_4" and so on. Null: none, or memory is out. */
static char *number_names(int columns)
{
    enum { NAME_BYTES = 24 };
    char *names = columns > 0 ? calloc((size_t)columns, NAME_BYTES) : NULL, *at = names;

    for (int i = 0; names && i < columns; i++, at += strlen(at) + 1)
        (void)snprintf(at, NAME_BYTES, "column_%d", FIELDS_NAMED + 1 + i);
    return names;
}

/* Whether the first row has names: of a file and of a time. Of two columns for one thing the first
 * counts, and the other is passed on. */
static bool take_names(struct table *table, struct pictures *pictures)
{
    memset(table->of, COLUMN_OTHER, sizeof table->of);
    for (int i = 0; i < table->row.count; i++) {
        enum column column = column_called(table->row.field[i]);

        if (place_of(table, column) < 0)
            table->of[i] = column;
    }
    table->fields = table->row.count;
    table->has_names = place_of(table, COLUMN_NAME) >= 0 &&
                       (place_of(table, COLUMN_TIME) >= 0 || place_of(table, COLUMN_DATE) >= 0);
    if (!table->has_names)
        memcpy(table->of, numbered, sizeof numbered);
    for (int i = 0; i < table->fields; i++)
        pictures->columns += table->of[i] == COLUMN_OTHER;
    pictures->column_names = table->has_names ? carry(table) : number_names(pictures->columns);
    return table->has_names;
}

/* -1: refused with a fault, or without one: memory is out. */
static int take_picture(const struct table *table, struct pictures *pictures, struct fault *fault)
{
    struct picture *picture = make_room(pictures);
    const char *name = field_of(table, COLUMN_NAME);

    if (!picture)
        return -1;
    *picture = (struct picture){.offset_min = NAN, .behind_s = NAN, .rig = -1};
    if (table->row.count == 1 && *name && !table->has_names)
        return refuse(table, 0, fault, "only one field; a row is name,YYYY-MM-DDTHH:MM:SS[,rig]");
    if (!*name || !text_is_clean(name))
        return refuse(table, 0, fault, "a name is empty, not UTF-8, or holds control characters");
    if (read_time(table, picture, fault) != 0 || read_rig(table, picture, fault) != 0)
        return -1;
    (void)snprintf(picture->name, sizeof picture->name, "%s", name);
    picture->shutter_s = number_or_fraction(field_of(table, COLUMN_SHUTTER));
    picture->iso = number_or_fraction(field_of(table, COLUMN_ISO));
    picture->carried = carry(table);
    if (pictures->columns > 0 && !picture->carried)
        return -1;
    pictures->count++;
    return 0;
}

/* Row by row; -1: memory is out. */
static int take_rows(struct table *table, struct pictures *pictures)
{
    bool first = true;

    for (;;) {
        struct fault fault = {""};
        int status = take_row(table, &fault);
        bool is_empty = table->row.count == 1 && !*table->row.field[0];

        if (status == 0)
            return 0;
        if (status > 0 && is_empty)
            continue;
        bool has_names = status > 0 && first && take_names(table, pictures);
        first = false;
        if (has_names || (status > 0 && take_picture(table, pictures, &fault) == 0))
            continue;
        if (!*fault.text)
            return -1;
        pictures->refused++;
        if (pictures->refuse)
            pictures->refuse(&fault);
    }
}

int pictures_read(FILE *in, const char *source, const struct night *night,
                  struct pictures *pictures, struct fault *fault)
{
    struct table *table = calloc(1, sizeof *table);

    if (!table)
        return fault_set(fault, "%s: out of memory", source);
    table->source = source;
    table->night = night;
    memcpy(table->of, numbered, sizeof numbered);
    csv_begin(&table->reader, in);
    int status = take_rows(table, pictures);
    if (status != 0 || (pictures->columns > 0 && !pictures->column_names))
        status = fault_set(fault, "%s: out of memory", source);
    else if (ferror(in))
        status = fault_set(fault, "%s:%d: reading failed", source, table->reader.line);
    free(table);
    return status;
}

int pictures_add(struct pictures *pictures, const struct seen *seen)
{
    struct picture *picture = make_room(pictures);

    if (!picture)
        return -1;
    *picture = (struct picture){
        .time = seen->metadata.taken,
        .offset_min = seen->metadata.offset_min,
        .behind_s = NAN,
        .rig = seen->rig,
        .shutter_s = seen->metadata.shutter_s,
        .iso = seen->metadata.iso,
    };
    (void)snprintf(picture->name, sizeof picture->name, "%s", seen->file);
    pictures->count++;
    return 0;
}

void pictures_free(struct pictures *pictures)
{
    for (size_t i = 0; i < pictures->count; i++)
        free(pictures->item[i].carried);
    free(pictures->item);
    free(pictures->column_names);
    *pictures = (struct pictures){0};
}
