/* Tables of tags: TIFF 6.0, EXIF and the raw formats based on TIFF. */
#include "bytes.h"

#include <moonstand/instant.h>
#include <moonstand/text.h>

#include <math.h>

enum tag {
    TAG_RW2_ISO = 0x0017,
    TAG_RW2_JPEG = 0x002e,
    TAG_WIDTH = 0x0100,
    TAG_HEIGHT = 0x0101,
    TAG_COMPRESSION = 0x0103,
    TAG_MAKE = 0x010f,
    TAG_MODEL = 0x0110,
    TAG_STRIPS = 0x0111,
    TAG_ORIENTATION = 0x0112,
    TAG_STRIP_SIZES = 0x0117,
    TAG_TILES = 0x0144,
    TAG_TILE_SIZES = 0x0145,
    TAG_SUB_TABLES = 0x014a,
    TAG_JPEG = 0x0201,
    TAG_JPEG_SIZE = 0x0202,
    TAG_EXPOSURE_TIME = 0x829a,
    TAG_F_NUMBER = 0x829d,
    TAG_EXIF = 0x8769,
    TAG_ISO = 0x8827,
    TAG_ISO_INDEX = 0x8832, /* recommended exposure index: where TAG_ISO ends at 65535 */
    TAG_TAKEN = 0x9003,
    TAG_OFFSET = 0x9011,
    TAG_SHUTTER = 0x9201, /* log2 of 1/s */
    TAG_FOCAL = 0x920a,
    TAG_MAKER_NOTE = 0x927c,
    TAG_SUBSECOND = 0x9291,
    TAG_PIXELS_X = 0xa002,
    TAG_PIXELS_Y = 0xa003,
    TAG_PLANE_X = 0xa20e,
    TAG_PLANE_UNIT = 0xa210,
    TAG_FOCAL_35MM = 0xa405,
    TAG_SERIAL = 0xa431,
    TAG_DNG_SERIAL = 0xc62f,
    /* in an Olympus maker note, and in its table of camera settings */
    TAG_OLYMPUS_SETTINGS = 0x2020,
    TAG_OLYMPUS_PREVIEW = 0x0101,
    TAG_OLYMPUS_PREVIEW_SIZE = 0x0102,
};

enum type {
    TYPE_BYTE = 1,
    TYPE_TEXT = 2,
    TYPE_SHORT = 3,
    TYPE_LONG = 4,
    TYPE_RATIONAL = 5,
    TYPE_OPAQUE = 7,
    TYPE_SLONG = 9,
    TYPE_SRATIONAL = 10,
    TYPE_TABLE = 13,
};

enum { COMPRESSION_OLD_JPEG = 6, COMPRESSION_JPEG = 7 };
enum { ENTRIES = 512, SUB_TABLES = 16, ENTRY_SIZE = 12 };

/* One tag, with its values at `at` of the structure. */
struct entry {
    int tag, type;
    size_t count, at;
};

/* A structure; its offsets count from its own start, which is at `base` of the file. */
struct tiff {
    struct reading *reading;
    struct bytes bytes;
    size_t base;
};

/* The pixels that one table describes. */
struct extent {
    double width, height, compression;
    double first, first_size; /* first strip */
    double last, last_size;   /* last strip or tile */
    size_t strips;
    double jpeg, jpeg_size; /* a JPEG with tags of its own */
};

/* How a value of each type is kept: in so many bytes, 8 are the ratio of two numbers. */
enum kept { KEPT_OTHERWISE, KEPT_UNSIGNED, KEPT_SIGNED };
static const struct {
    size_t size;
    enum kept kept;
} types[] = {
    [TYPE_BYTE] = {1, KEPT_UNSIGNED},     [TYPE_TEXT] = {1, KEPT_OTHERWISE},
    [TYPE_SHORT] = {2, KEPT_UNSIGNED},    [TYPE_LONG] = {4, KEPT_UNSIGNED},
    [TYPE_RATIONAL] = {8, KEPT_UNSIGNED}, [TYPE_OPAQUE] = {1, KEPT_OTHERWISE},
    [TYPE_SLONG] = {4, KEPT_SIGNED},      [TYPE_SRATIONAL] = {8, KEPT_SIGNED},
    [TYPE_TABLE] = {4, KEPT_UNSIGNED},
};

/* 0: no such type. */
static size_t type_size(int type)
{
    return (size_t)type < sizeof types / sizeof types[0] ? types[type].size : 0;
}

static double integer_at(struct tiff *tiff, size_t at, size_t size, enum kept kept)
{
    uint64_t bits = bytes_number(&tiff->bytes, at, (int)size);

    return kept == KEPT_SIGNED ? (int32_t)bits : (double)bits;
}

/* Value number `index`; NaN if it is missing or not a number. */
static double entry_number(struct tiff *tiff, const struct entry *entry, size_t index)
{
    size_t size = type_size(entry->type), at = entry->at + index * size;
    enum kept kept = types[entry->type].kept;

    if (index >= entry->count || !bytes_has(&tiff->bytes, at, size) || kept == KEPT_OTHERWISE)
        return NAN;
    if (size < 8)
        return integer_at(tiff, at, size, kept);
    double under = integer_at(tiff, at + 4, 4, kept);
    return under != 0 ? integer_at(tiff, at, 4, kept) / under : NAN;
}

/* A text, trimmed, safe for a terminal, cut at the buffer's end. */
static void entry_text(struct tiff *tiff, const struct entry *entry, char *out, size_t size)
{
    struct bytes value = bytes_part(&tiff->bytes, entry->at, entry->count);
    size_t from = 0, length;

    if (*out || entry->type != TYPE_TEXT)
        return;
    while (from < value.size && value.data[from] == ' ')
        from++;
    for (length = 0; length < size - 1 && from + length < value.size; length++)
        if (!(out[length] = (char)value.data[from + length]))
            break;
    while (length > 0 && out[length - 1] == ' ')
        length--;
    out[length] = '\0';
    text_clean(out);
}

static void take_positive(double *field, double value)
{
    if (isnan(*field) && isfinite(value) && value > 0)
        *field = value;
}

/* Whether the text matches the pattern, where '0' is any digit; gives the groups of digits as
 * numbers. */
static bool read_digits(const char *text, const char *pattern, int *number)
{
    bool inside = false;

    for (; *pattern; pattern++, text++) {
        if (*pattern != '0') {
            if (*text != *pattern)
                return false;
            number += inside;
            inside = false;
            continue;
        }
        if (*text < '0' || *text > '9')
            return false;
        *number = (inside ? *number * 10 : 0) + (*text - '0');
        inside = true;
    }
    return !*text;
}

/* A camera whose clock was never set writes zeros or blanks. */
static void take_taken(struct metadata *metadata, const char *text)
{
    int n[6];

    if (isfinite(metadata->taken) || !read_digits(text, "0000:00:00 00:00:00", n) ||
        n[0] < YEAR_FIRST || n[0] > YEAR_LAST)
        return;
    const struct civil civil = {n[0], n[1], n[2], n[3], n[4], n[5]};
    if (civil_exists(&civil))
        metadata->taken = seconds_from_civil(&civil);
}

/* "+01:00" */
static void take_offset(struct metadata *metadata, const char *text)
{
    int n[2];

    if (isnan(metadata->offset_min) && (*text == '+' || *text == '-') &&
        read_digits(text + 1, "00:00", n) && n[0] <= 15 && n[1] < 60)
        metadata->offset_min = (*text == '-' ? -1 : 1) * (n[0] * 60 + n[1]);
}

/* Decimals of the second, such as "21"; at most three. */
static void take_subsecond(struct reading *reading, const char *text)
{
    double unit = 1;

    for (int i = 0; reading->subsecond_digits == i && i < 3 && text[i] >= '0' && text[i] <= '9';
         i++) {
        unit /= 10;
        reading->subsecond += (text[i] - '0') * unit;
        reading->subsecond_digits = i + 1;
    }
}

/* Tables of other kinds than tiff_read begins with. */
enum { TAGS_OLYMPUS = TAGS_EXIF + 1, TAGS_OLYMPUS_SETTINGS };

static void read_tables(struct tiff *tiff, double at, int tags);

/* Olympus keeps its preview in the maker note, where offsets count from the note's start. */
static void read_maker_note(struct tiff *tiff, const struct entry *entry)
{
    static const struct {
        const char *head;
        size_t length, table;
    } notes[] = {{"OLYMPUS\0II", 10, 12}, {"OM SYSTEM\0\0\0II", 14, 16}};

    for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++)
        if (bytes_are(&tiff->bytes, entry->at, notes[i].head, notes[i].length)) {
            struct tiff note = {.reading = tiff->reading,
                                .bytes = bytes_part(&tiff->bytes, entry->at, tiff->bytes.size),
                                .base = tiff->base + entry->at};

            note.bytes.little = true;
            read_tables(&note, (double)notes[i].table, TAGS_OLYMPUS);
        }
}

/* Tags with one positive number each. */
static bool read_number_tag(struct tiff *tiff, const struct entry *entry)
{
#define AT(member) offsetof(struct reading, member)
    static const struct {
        int tag;
        size_t at;
    } numbers[] = {
        {TAG_RW2_ISO, AT(metadata.iso)},       {TAG_EXPOSURE_TIME, AT(metadata.shutter_s)},
        {TAG_F_NUMBER, AT(metadata.f_number)}, {TAG_ISO_INDEX, AT(iso_index)},
        {TAG_FOCAL, AT(metadata.focal_mm)},    {TAG_FOCAL_35MM, AT(metadata.focal_35mm)},
        {TAG_PIXELS_X, AT(exif_width)},        {TAG_PIXELS_Y, AT(exif_height)},
        {TAG_PLANE_X, AT(plane_px)},           {TAG_PLANE_UNIT, AT(plane_unit)},
    };
#undef AT

    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        if (numbers[i].tag == entry->tag) {
            void *field = (char *)tiff->reading + numbers[i].at;

            take_positive(field, entry_number(tiff, entry, 0));
            return true;
        }
    return false;
}

/* Tags of EXIF, in its own table or a main one. */
static void read_exif_tag(struct tiff *tiff, const struct entry *entry)
{
    struct metadata *metadata = &tiff->reading->metadata;
    double value = entry_number(tiff, entry, 0);
    char text[METADATA_TEXT] = "";

    entry_text(tiff, entry, text, sizeof text);
    switch (entry->tag) {
    case TAG_MAKE:
        entry_text(tiff, entry, metadata->make, sizeof metadata->make);
        break;
    case TAG_MODEL:
        entry_text(tiff, entry, metadata->model, sizeof metadata->model);
        break;
    case TAG_SERIAL:
    case TAG_DNG_SERIAL:
        entry_text(tiff, entry, metadata->serial, sizeof metadata->serial);
        break;
    case TAG_ORIENTATION:
        if (!metadata->orientation && value >= 1 && value <= 8)
            metadata->orientation = (int)value;
        break;
    case TAG_ISO:
        if (value < UINT16_MAX)
            take_positive(&metadata->iso, value);
        break;
    case TAG_SHUTTER:
        take_positive(&tiff->reading->shutter_apex_s, exp2(-value));
        break;
    case TAG_TAKEN:
        take_taken(metadata, text);
        break;
    case TAG_OFFSET:
        take_offset(metadata, text);
        break;
    case TAG_SUBSECOND:
        take_subsecond(tiff->reading, text);
        break;
    case TAG_MAKER_NOTE:
        read_maker_note(tiff, entry);
        break;
    }
}

/* Tags that locate pixels and further tables. */
static void read_place_tag(struct tiff *tiff, const struct entry *entry, struct extent *extent)
{
    double value = entry_number(tiff, entry, 0);
    double last = entry_number(tiff, entry, entry->count - 1);

    switch (entry->tag) {
    case TAG_RW2_JPEG:
        reading_need(tiff->reading, tiff->base + entry->at, entry->count);
        reading_offer_jpeg(tiff->reading, tiff->base + entry->at, entry->count);
        break;
    case TAG_WIDTH:
        extent->width = value;
        break;
    case TAG_HEIGHT:
        extent->height = value;
        break;
    case TAG_COMPRESSION:
        extent->compression = value;
        break;
    case TAG_STRIPS:
        extent->strips = entry->count;
        extent->first = value;
        extent->last = last;
        break;
    case TAG_STRIP_SIZES:
        extent->first_size = value;
        extent->last_size = last;
        break;
    case TAG_TILES:
        extent->last = last;
        break;
    case TAG_TILE_SIZES:
        extent->last_size = last;
        break;
    case TAG_SUB_TABLES:
        for (size_t i = 0; i < entry->count && i < SUB_TABLES; i++)
            read_tables(tiff, entry_number(tiff, entry, i), TAGS_MAIN);
        break;
    case TAG_EXIF:
        read_tables(tiff, value, TAGS_EXIF);
        break;
    }
}

static void read_olympus_tag(struct tiff *tiff, const struct entry *entry, int tags)
{
    /* The settings are in the entry itself or where it points. */
    if (tags == TAGS_OLYMPUS && entry->tag == TAG_OLYMPUS_SETTINGS)
        read_tables(tiff,
                    entry->type == TYPE_OPAQUE ? (double)entry->at : entry_number(tiff, entry, 0),
                    TAGS_OLYMPUS_SETTINGS);
}

/* A JPEG has tags of its own, or is the only strip of a table with that compression. */
static void read_jpeg_tag(struct tiff *tiff, const struct entry *entry, int tags,
                          struct extent *extent)
{
    bool olympus = tags == TAGS_OLYMPUS_SETTINGS;

    if (entry->tag == (olympus ? TAG_OLYMPUS_PREVIEW : TAG_JPEG))
        extent->jpeg = entry_number(tiff, entry, 0);
    if (entry->tag == (olympus ? TAG_OLYMPUS_PREVIEW_SIZE : TAG_JPEG_SIZE))
        extent->jpeg_size = entry_number(tiff, entry, 0);
}

static void need(struct tiff *tiff, double at, double size)
{
    /* A place of all ones means none (RW2). */
    if (at > 0 && at < UINT32_MAX && size > 0)
        reading_need(tiff->reading, tiff->base + (size_t)at, (size_t)size);
}

static void offer(struct tiff *tiff, double at, double size)
{
    if (at > 0 && size > 0)
        reading_offer_jpeg(tiff->reading, tiff->base + (size_t)at, (size_t)size);
}

/* Uses a table's locations, once all of it is read. */
static void use_extent(struct tiff *tiff, const struct extent *extent)
{
    struct reading *reading = tiff->reading;

    need(tiff, extent->last, extent->last_size);
    need(tiff, extent->jpeg, extent->jpeg_size);
    offer(tiff, extent->jpeg, extent->jpeg_size);
    if (extent->strips == 1 &&
        (extent->compression == COMPRESSION_OLD_JPEG || extent->compression == COMPRESSION_JPEG))
        offer(tiff, extent->first, extent->first_size);
    if (extent->width * extent->height > reading->table_width * reading->table_height) {
        reading->table_width = extent->width;
        reading->table_height = extent->height;
    }
}

static bool read_entry(struct tiff *tiff, size_t at, struct entry *entry)
{
    entry->tag = bytes_u16(&tiff->bytes, at);
    entry->type = bytes_u16(&tiff->bytes, at + 2);
    entry->count = bytes_u32(&tiff->bytes, at + 4);
    size_t size = type_size(entry->type) * entry->count;
    entry->at = size <= 4 ? at + 8 : bytes_u32(&tiff->bytes, at + 8);
    return entry->count > 0 && size > 0;
}

/* Reads one table and returns where the next one is, 0 after the last. */
static size_t read_table(struct tiff *tiff, size_t at, int tags)
{
    size_t count = bytes_u16(&tiff->bytes, at);
    struct extent extent = {.width = 0};
    struct entry entry;

    for (size_t i = 0; i < count && i < ENTRIES; i++) {
        size_t place = at + 2 + i * ENTRY_SIZE;

        if (!bytes_has(&tiff->bytes, place, ENTRY_SIZE))
            return 0;
        if (!read_entry(tiff, place, &entry))
            continue;
        if (tags == TAGS_MAIN)
            read_place_tag(tiff, &entry, &extent);
        if ((tags == TAGS_MAIN || tags == TAGS_EXIF) && !read_number_tag(tiff, &entry))
            read_exif_tag(tiff, &entry);
        read_olympus_tag(tiff, &entry, tags);
        read_jpeg_tag(tiff, &entry, tags, &extent);
    }
    use_extent(tiff, &extent);
    return bytes_u32(&tiff->bytes, at + 2 + count * ENTRY_SIZE);
}

/* Reads a table and, if it is a main one, those chained to it. */
static void read_tables(struct tiff *tiff, double at, int tags)
{
    size_t next = at > 0 ? (size_t)at : 0;

    while (next > 0 && bytes_has(&tiff->bytes, next, 2) && tiff->reading->tables_left-- > 0) {
        next = read_table(tiff, next, tags);
        if (tags != TAGS_MAIN)
            return;
    }
}

bool tiff_read(struct reading *reading, size_t base, size_t size, enum tags first)
{
    struct tiff tiff = {
        .reading = reading, .bytes = bytes_part(&reading->file, base, size), .base = base};
    bool little = bytes_are(&tiff.bytes, 0, "II", 2);

    if (!little && !bytes_are(&tiff.bytes, 0, "MM", 2))
        return false;
    tiff.bytes.little = little;
    int magic = bytes_u16(&tiff.bytes, 2);
    /* 42; Panasonic has 0x55, Olympus "RO" or "RS" read as a number. */
    if (magic != 42 && magic != 0x55 && magic != 0x4f52 && magic != 0x5352)
        return false;
    read_tables(&tiff, bytes_u32(&tiff.bytes, 4), (int)first);
    return true;
}
