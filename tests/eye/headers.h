/* Hand-made files with the structure of each format: tags, boxes, headers, and a JPEG without a
 * picture in it. Layouts: TIFF 6.0, CIPA DC-008-2019 (EXIF 2.32), ISO/IEC 14496-12 and 23008-12; of
 * the makers' own parts (RAF, RW2, ORF, CR3) what exiv2 reads. */
#ifndef MOONSTAND_TESTS_HEADERS_H
#define MOONSTAND_TESTS_HEADERS_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

enum { HEADER_SIZE = 16384, HEADER_TAGS = 24 };

struct header {
    uint8_t data[HEADER_SIZE];
    size_t size;
    bool little;
};

static inline void put_bytes(struct header *header, const void *bytes, size_t count)
{
    if (header->size + count <= HEADER_SIZE)
        memcpy(header->data + header->size, bytes, count);
    header->size += count;
}

static inline void set_number(struct header *header, size_t at, uint64_t value, int width)
{
    for (int i = 0; i < width; i++)
        header->data[at + (size_t)(header->little ? i : width - 1 - i)] = (uint8_t)(value >> 8 * i);
}

static inline void put_value(struct header *header, uint64_t value, int width)
{
    static const uint8_t none[8];

    put_bytes(header, none, (size_t)width);
    set_number(header, header->size - (size_t)width, value, width);
}

/* A tag: 2 text, 3 and 4 numbers, 5 and 10 ratios, 7 opaque bytes. */
struct tag_in {
    int tag, type;
    const void *bytes;     /* types 2 and 7 */
    size_t count;          /* of bytes; 0 for the others: one */
    uint32_t value, under; /* over and under of a ratio */
};
#define TAG_TEXT(number, text)                                                                     \
    {                                                                                              \
        number, 2, text, sizeof text, 0, 0                                                         \
    }
#define TAG_NUMBER(number, type, value)                                                            \
    {                                                                                              \
        number, type, NULL, 0, value, 0                                                            \
    }
#define TAG_RATIO(number, over, under)                                                             \
    {                                                                                              \
        number, 5, NULL, 0, over, under                                                            \
    }

/* Writes a table with what does not fit into its entries behind it; offsets count from `base`.
 * Returns its offset; *next becomes the place of the offset to the next one. */
static inline uint32_t put_table(struct header *header, size_t base, const struct tag_in *tags,
                                 size_t count, size_t *next)
{
    size_t at = header->size;

    put_value(header, count, 2);
    for (size_t i = 0; i < count; i++) {
        put_value(header, (uint64_t)tags[i].tag, 2);
        put_value(header, (uint64_t)tags[i].type, 2);
        put_value(header, tags[i].count ? tags[i].count : 1, 4);
        put_value(header, 0, 4);
        if (tags[i].type == 3)
            set_number(header, header->size - 4, tags[i].value, 2);
        if (tags[i].type == 4)
            set_number(header, header->size - 4, tags[i].value, 4);
    }
    *next = header->size;
    put_value(header, 0, 4);
    for (size_t i = 0; i < count; i++) {
        size_t place = at + 2 + i * 12 + 8;

        if (tags[i].bytes && tags[i].count <= 4) {
            memcpy(header->data + place, tags[i].bytes, tags[i].count);
        } else if (tags[i].bytes || tags[i].type == 5 || tags[i].type == 10) {
            set_number(header, place, header->size - base, 4);
            if (tags[i].bytes)
                put_bytes(header, tags[i].bytes, tags[i].count);
            if (!tags[i].bytes)
                put_value(header, tags[i].value, 4);
            if (!tags[i].bytes)
                put_value(header, tags[i].under, 4);
            if (header->size % 2)
                put_value(header, 0, 1);
        }
    }
    return (uint32_t)(at - base);
}

/* "II*\0" or its like; the offset of the first table is set later. */
static inline void put_tiff_head(struct header *header, bool little, int magic)
{
    header->little = little;
    put_bytes(header, little ? "II" : "MM", 2);
    put_value(header, (uint64_t)magic, 2);
    put_value(header, 0, 4);
}

/* What the camera is supposed to have written. */
static const struct tag_in exif_tags[] = {
    TAG_RATIO(0x829a, 1, 500),      TAG_RATIO(0x829d, 63, 10),
    TAG_NUMBER(0x8827, 3, 400),     TAG_TEXT(0x9003, "2028:12:31 17:30:09"),
    TAG_TEXT(0x9011, "+01:00"),     TAG_TEXT(0x9291, "21"),
    TAG_RATIO(0x920a, 400, 1),      TAG_NUMBER(0xa002, 4, 6000),
    TAG_NUMBER(0xa003, 4, 4000),    TAG_RATIO(0xa20e, 6000000, 945),
    TAG_NUMBER(0xa210, 3, 2),       TAG_NUMBER(0xa405, 3, 600),
    TAG_TEXT(0xa431, "0123456789"),
};
enum { EXIF_TAGS = sizeof exif_tags / sizeof exif_tags[0] };

/* The segments of a JPEG of that size in one even grey; `marker` 0xc0 baseline, 0xc3 lossless (which
 * nothing here decodes). Both Huffman tables have one code, a bit 0: no difference, no coefficients. */
static inline void put_jpeg_body(struct header *header, int marker, int width, int height)
{
    bool little = header->little;
    int blocks = (width + 7) / 8 * ((height + 7) / 8);

    header->little = false;
    put_bytes(header, "\xff\xdb\0\x43\0", 5);
    for (int i = 0; i < 64; i++)
        put_value(header, 1, 1);
    put_value(header, (uint64_t)(0xff00 | marker), 2);
    put_value(header, 11, 2);
    put_value(header, 8, 1);
    put_value(header, (uint64_t)height, 2);
    put_value(header, (uint64_t)width, 2);
    put_bytes(header, "\1\1\x11\0", 4);
    for (int class = 0; class < 2; class ++) {
        put_bytes(header, "\xff\xc4\0\x14", 4);
        put_value(header, (uint64_t) class << 4, 1);
        put_value(header, 1, 1);
        for (int i = 0; i < 16; i++)
            put_value(header, 0, 1);
    }
    put_bytes(header, "\xff\xda\0\10\1\1\0\0\77\0", 10);
    for (int i = 0; i < (marker == 0xc3 ? 8 : (blocks * 2 + 7) / 8); i++)
        put_value(header, 0, 1);
    put_bytes(header, "\xff\xd9", 2);
    header->little = little;
}

static inline void put_jpeg(struct header *header, int marker, int width, int height)
{
    put_bytes(header, "\xff\xd8", 2);
    put_jpeg_body(header, marker, width, height);
}

/* A JPEG with an EXIF structure of that order of bytes. */
static inline void put_jpeg_with_exif(struct header *header, bool little, int width, int height)
{
    static const struct tag_in main_start[] = {
        TAG_TEXT(0x010f, "Maker"),
        TAG_TEXT(0x0110, "Camera One"),
        TAG_NUMBER(0x0112, 3, 6),
    };
    struct tag_in main[4];
    size_t begin = header->size, base, next;
    uint32_t exif, table;

    put_bytes(header, "\xff\xd8\xff\xe1\0\0Exif\0", 12);
    base = header->size;
    put_tiff_head(header, little, 42);
    exif = put_table(header, base, exif_tags, EXIF_TAGS, &next);
    memcpy(main, main_start, sizeof main_start);
    main[3] = (struct tag_in)TAG_NUMBER(0x8769, 4, exif);
    table = put_table(header, base, main, 4, &next);
    set_number(header, base + 4, table, 4);
    header->little = false;
    set_number(header, begin + 4, header->size - begin - 4, 2);
    put_jpeg_body(header, 0xc0, width, height);
}

static inline void make_jpeg(struct header *header, bool little)
{
    *header = (struct header){.size = 0};
    put_jpeg_with_exif(header, little, 600, 400);
}

/* ---- raws built on TIFF: where the preview stands is what tells them apart ---- */

enum raw_kind { RAW_CR2, RAW_NEF, RAW_ARW, RAW_PEF, RAW_DNG, RAW_RW2, RAW_ORF, RAW_KINDS };
static const char *const raw_endings[RAW_KINDS] = {"cr2", "nef", "arw", "pef", "dng", "rw2", "orf"};

/* The maker note of Olympus: its table of camera settings has the preview. `preview` counts from
 * the note's start. */
static inline void make_olympus_note(struct header *note, uint32_t preview, uint32_t size)
{
    struct tag_in settings[] = {TAG_NUMBER(0x0101, 4, preview), TAG_NUMBER(0x0102, 4, size)};
    struct tag_in main[] = {TAG_NUMBER(0x2020, 4, 0)};
    size_t next;

    *note = (struct header){.little = true};
    put_bytes(note, "OLYMPUS\0II\3\0", 12);
    main[0].value = 12 + 18; /* behind this table */
    (void)put_table(note, 0, main, 1, &next);
    (void)put_table(note, 0, settings, 2, &next);
}

static inline void make_raw(struct header *header, enum raw_kind kind)
{
    static const int magics[RAW_KINDS] = {42, 42, 42, 42, 42, 0x55, 0x4f52};
    bool little = kind != RAW_NEF && kind != RAW_PEF;
    struct tag_in exif[EXIF_TAGS + 1], main[HEADER_TAGS];
    struct header note, jpeg = {.size = 0};
    size_t count = 0, exif_count = EXIF_TAGS, next, chain;
    uint32_t preview, sub = 0, table, small;

    if (kind == RAW_RW2)
        put_jpeg_with_exif(&jpeg, true, 192, 128);
    else
        put_jpeg(&jpeg, 0xc0, 192, 128);
    if (jpeg.size % 2)
        put_value(&jpeg, 0, 1);
    *header = (struct header){.size = 0};
    put_tiff_head(header, little, magics[kind]);
    memcpy(exif, exif_tags, sizeof exif_tags);
    /* Of two JPEGs the first is smaller, or lossless: not the one to look at. */
    table = (uint32_t)header->size;
    put_jpeg(header, kind == RAW_DNG ? 0xc3 : 0xc0, kind == RAW_DNG ? 6000 : 80, 60);
    small = (uint32_t)header->size - table;
    if (header->size % 2)
        put_value(header, 0, 1);
    preview = (uint32_t)header->size + 1200; /* behind all tables, at the end of the file */

    if (kind == RAW_NEF) {
        struct tag_in tags[] = {TAG_NUMBER(0x0103, 3, 6), TAG_NUMBER(0x0201, 4, preview),
                                TAG_NUMBER(0x0202, 4, (uint32_t)jpeg.size)};

        sub = put_table(header, 0, tags, 3, &next);
    }
    if (kind == RAW_DNG) {
        struct tag_in tags[] = {TAG_NUMBER(0x00fe, 4, 1), TAG_NUMBER(0x0103, 3, 7),
                                TAG_NUMBER(0x0111, 4, preview),
                                TAG_NUMBER(0x0117, 4, (uint32_t)jpeg.size)};

        sub = put_table(header, 0, tags, 4, &next);
    }
    if (kind == RAW_ORF) {
        /* The note is written last of the table of EXIF: its place is known once it is there. */
        size_t note_at = header->size + 2 + (EXIF_TAGS + 1) * 12 + 4;

        for (size_t i = 0; i < EXIF_TAGS; i++)
            note_at += exif[i].type == 5 ? 8 : exif[i].count > 4 ? (exif[i].count + 1) / 2 * 2 : 0;
        make_olympus_note(&note, preview - (uint32_t)note_at, (uint32_t)jpeg.size);
        exif[exif_count++] = (struct tag_in){0x927c, 7, note.data, note.size, 0, 0};
    }
    uint32_t exif_at = put_table(header, 0, exif, exif_count, &next);

    if (kind == RAW_RW2) {
        main[count++] = (struct tag_in)TAG_NUMBER(0x0017, 3, 400);
    } else {
        main[count++] = (struct tag_in)TAG_NUMBER(0x0100, 4, 6000);
        main[count++] = (struct tag_in)TAG_NUMBER(0x0101, 4, 4000);
        main[count++] = (struct tag_in)TAG_NUMBER(0x0103, 3, kind == RAW_DNG ? 7 : 6);
    }
    main[count++] = (struct tag_in)TAG_TEXT(0x010f, "Maker");
    main[count++] = (struct tag_in)TAG_TEXT(0x0110, "Camera One ");
    if (kind == RAW_CR2) {
        main[count++] = (struct tag_in)TAG_NUMBER(0x0111, 4, preview);
        main[count++] = (struct tag_in)TAG_NUMBER(0x0117, 4, (uint32_t)jpeg.size);
    } else if (kind == RAW_DNG) {
        main[count++] = (struct tag_in)TAG_NUMBER(0x0111, 4, table);
        main[count++] = (struct tag_in)TAG_NUMBER(0x0117, 4, small);
    }
    if (kind == RAW_RW2) {
        main[count++] = (struct tag_in){0x002e, 7, jpeg.data, jpeg.size, 0, 0};
    } else {
        if (sub)
            main[count++] = (struct tag_in)TAG_NUMBER(0x014a, 4, sub);
        if (kind == RAW_ARW) {
            main[count++] = (struct tag_in)TAG_NUMBER(0x0201, 4, preview);
            main[count++] = (struct tag_in)TAG_NUMBER(0x0202, 4, (uint32_t)jpeg.size);
        }
        main[count++] = (struct tag_in)TAG_NUMBER(0x8769, 4, exif_at);
    }
    uint32_t main_at = put_table(header, 0, main, count, &chain);

    set_number(header, 4, main_at, 4);
    if (kind == RAW_PEF) {
        struct tag_in tags[] = {TAG_NUMBER(0x0103, 3, 6), TAG_NUMBER(0x0201, 4, preview),
                                TAG_NUMBER(0x0202, 4, (uint32_t)jpeg.size)};
        uint32_t second = put_table(header, 0, tags, 3, &next);

        set_number(header, chain, second, 4);
    }
    if (kind == RAW_RW2)
        return;
    while (header->size < preview)
        put_value(header, 0, 1);
    put_bytes(header, jpeg.data, jpeg.size);
}

/* ---- Fuji ---- */

static inline void make_raf(struct header *header)
{
    *header = (struct header){.size = 0};
    put_bytes(header, "FUJIFILMCCD-RAW 0201FF383501", 28);
    while (header->size < 160)
        put_value(header, 0, 1);
    memcpy(header->data + 28, "Camera One", 10);
    put_jpeg_with_exif(header, true, 192, 128);
    header->little = false;
    set_number(header, 84, 160, 4);
    set_number(header, 88, header->size - 160, 4);
}

/* ---- boxes ---- */

static inline size_t open_box(struct header *header, const char *type)
{
    size_t at = header->size;

    put_value(header, 0, 4);
    put_bytes(header, type, 4);
    return at;
}
static inline void close_box(struct header *header, size_t at)
{
    set_number(header, at, header->size - at, 4);
}

/* A TIFF structure with the tags of the main table or of EXIF. */
static inline void put_canon_table(struct header *header, const char *type,
                                   const struct tag_in *tags, size_t count)
{
    size_t box = open_box(header, type), base = header->size, next;
    uint32_t table;

    put_tiff_head(header, true, 42);
    table = put_table(header, base, tags, count, &next);
    set_number(header, base + 4, table, 4);
    header->little = false;
    close_box(header, box);
}

static inline void put_free_boxes(struct header *header, int count)
{
    for (int i = 0; i < count; i++)
        close_box(header, open_box(header, "free"));
}

/* Where other boxes may be before the one that counts. */
enum cr3_level { CR3_FILE, CR3_MOVIE, CR3_CANON, CR3_TRACK, CR3_TABLE, CR3_LEVELS };

/* With so many others there; the sizes and places of its samples are then a list and of 32 bits. */
static inline void make_cr3_of(struct header *header, enum cr3_level level, int others)
{
    static const struct tag_in main[] = {
        TAG_TEXT(0x010f, "Canon"), TAG_TEXT(0x0110, "Camera Three"), TAG_NUMBER(0x0112, 3, 1)};
    static const char *const way[] = {"trak", "mdia", "minf", "stbl"};
    size_t box, uuid, movie, boxes[4], place;
    struct header jpeg = {.size = 0};

    put_jpeg(&jpeg, 0xc0, 600, 400);
    *header = (struct header){.little = false};
    box = open_box(header, "ftyp");
    put_bytes(header, "crx \0\0\0\1crx isom", 16);
    close_box(header, box);
    put_free_boxes(header, level == CR3_FILE ? others : 0);
    movie = open_box(header, "moov");
    put_free_boxes(header, level == CR3_MOVIE ? others : 0);
    uuid = open_box(header, "uuid");
    put_bytes(header, "\x85\xc0\xb6\x87\x82\x0f\x11\xe0\x81\x11\xf4\xce\x46\x2b\x6a\x48", 16);
    put_free_boxes(header, level == CR3_CANON ? others : 0);
    put_canon_table(header, "CMT1", main, 3);
    put_canon_table(header, "CMT2", exif_tags, EXIF_TAGS);
    close_box(header, uuid);
    for (int i = 0; i < 4; i++) {
        boxes[i] = open_box(header, way[i]);
        put_free_boxes(header, level == (i ? CR3_TABLE : CR3_TRACK) && i % 3 == 0 ? others : 0);
    }
    box = open_box(header, "stsz");
    put_value(header, 0, 4);
    put_value(header, others ? 0 : jpeg.size, 4);
    put_value(header, 1, 4);
    if (others)
        put_value(header, jpeg.size, 4);
    close_box(header, box);
    box = open_box(header, others ? "stco" : "co64");
    put_value(header, 0, 4);
    put_value(header, 1, 4);
    place = header->size;
    put_value(header, 0, others ? 4 : 8);
    close_box(header, box);
    for (int i = 3; i >= 0; i--)
        close_box(header, boxes[i]);
    close_box(header, movie);
    box = open_box(header, "mdat");
    set_number(header, place, header->size, others ? 4 : 8);
    put_bytes(header, jpeg.data, jpeg.size);
    close_box(header, box);
}

static inline void make_cr3(struct header *header)
{
    make_cr3_of(header, CR3_FILE, 0);
}

/* An entry of the list of items, with its type and the end of its empty name. */
static inline void put_item(struct header *header, uint32_t number, const char type[5])
{
    size_t box = open_box(header, "infe");

    put_value(header, 0x02000000, 4);
    put_value(header, number, 2);
    put_value(header, 0, 2);
    put_bytes(header, type, 5);
    close_box(header, box);
}

/* With so many other items before the one that counts, in the list of items and in that of their places. */
static inline void make_heif_of(struct header *header, int others, int placed)
{
    size_t box, meta, list, place, next, item, base;
    struct tag_in main[] = {TAG_TEXT(0x010f, "Maker"), TAG_TEXT(0x0110, "Camera Four"),
                            TAG_NUMBER(0x8769, 4, 0)};

    *header = (struct header){.little = false};
    box = open_box(header, "ftyp");
    put_bytes(header, "heic\0\0\0\0mif1heic", 16);
    close_box(header, box);
    meta = open_box(header, "meta");
    put_value(header, 0, 4);
    list = open_box(header, "iinf");
    put_value(header, 0, 4);
    put_value(header, (uint32_t)others + 1, 2);
    for (int i = 0; i < others; i++)
        put_item(header, 8 + (uint32_t)i, "hvc1");
    put_item(header, 7, "Exif");
    close_box(header, list);
    box = open_box(header, "iloc");
    put_value(header, 0x01000000, 4);
    put_value(header, 0x4400, 2);
    put_value(header, (uint32_t)placed + 1, 2);
    for (int i = 0; i < placed; i++) {
        put_value(header, 8 + (uint32_t)i, 2);
        put_value(header, 1, 6);
        put_value(header, 0, 8);
    }
    put_value(header, 7, 2);
    put_value(header, 0, 2);
    put_value(header, 0, 2);
    put_value(header, 1, 2);
    place = header->size;
    put_value(header, 0, 8);
    close_box(header, box);
    close_box(header, meta);
    box = open_box(header, "mdat");
    item = header->size;
    put_bytes(header, "\0\0\0\6Exif\0", 10);
    base = header->size;
    put_tiff_head(header, false, 42);
    main[2].value = put_table(header, base, exif_tags, EXIF_TAGS, &next);
    set_number(header, base + 4, put_table(header, base, main, 3, &next), 4);
    set_number(header, place, item, 4);
    set_number(header, place + 4, header->size - item, 4);
    close_box(header, box);
}

static inline void make_heif(struct header *header)
{
    make_heif_of(header, 0, 0);
}

#endif
