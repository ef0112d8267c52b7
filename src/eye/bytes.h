/* Private to the room: bounded reading of a file. */
#ifndef MOONSTAND_EYE_BYTES_H
#define MOONSTAND_EYE_BYTES_H

#include <moonstand/eye.h>
#include <moonstand/fault.h>
#include <moonstand/series.h>

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A span of bytes and the byte order of its numbers. Reading outside gives 0 and sets `short_read`,
 * so that a caller can check once after several reads. */
struct bytes {
    const uint8_t *data;
    size_t size;
    bool little, short_read;
};

static inline bool bytes_has(const struct bytes *bytes, size_t at, size_t count)
{
    return at <= bytes->size && count <= bytes->size - at;
}

/* An unsigned number of `width` bytes, 1 to 8. */
static inline uint64_t bytes_number(struct bytes *bytes, size_t at, int width)
{
    uint64_t value = 0;

    if (!bytes_has(bytes, at, (size_t)width)) {
        bytes->short_read = true;
        return 0;
    }
    for (int i = 0; i < width; i++)
        value = value << 8 | bytes->data[at + (size_t)(bytes->little ? width - 1 - i : i)];
    return value;
}
static inline uint16_t bytes_u16(struct bytes *bytes, size_t at)
{
    return (uint16_t)bytes_number(bytes, at, 2);
}
static inline uint32_t bytes_u32(struct bytes *bytes, size_t at)
{
    return (uint32_t)bytes_number(bytes, at, 4);
}
/* Whether the bytes at `at` are that text. */
bool bytes_are(const struct bytes *bytes, size_t at, const char *text, size_t length);
/* As much of [at, at + count) as there is. */
struct bytes bytes_part(const struct bytes *bytes, size_t at, size_t count);

/* A file being read. The first source of a field wins. */
struct reading {
    struct bytes file;
    struct metadata metadata;
    size_t exif_at, exif_size; /* the TIFF structure in its JPEG; size 0: none */
    size_t needed;             /* the file is cut short if it ends before this byte */
    int tables_left;           /* bounds the tables of tags, whatever points to what */

    /* used at the end: NaN or 0 if unknown */
    double subsecond;
    int subsecond_digits;
    double shutter_apex_s, iso_index;
    double plane_px, plane_unit; /* pixels per unit of the sensor; 2 inch, 3 cm, 4 mm, 5 um */
    double exif_width, exif_height, table_width, table_height;
};

/* Notes that the file must reach to at + size. */
void reading_need(struct reading *reading, size_t at, size_t size);

/* ---- TIFF (tiff.c) ---- */

/* Reads the tags of a TIFF structure at `base` of the file, at most `size` long, whose first table
 * is the main one or that of EXIF. Returns false if it is not such a structure. */
enum tags { TAGS_MAIN, TAGS_EXIF };
bool tiff_read(struct reading *reading, size_t base, size_t size, enum tags first);

/* ---- JPEG (jpeg_head.c) ---- */

struct jpeg_head {
    int width, height;
    bool common;               /* 8-bit baseline or progressive, which a decoder can read */
    size_t exif_at, exif_size; /* the TIFF structure inside; size 0: none */
    size_t scan_at;            /* start of the picture's data */
};
/* Reads the segments up to the first scan. Offsets count from the start of `jpeg`, whose numbers are
 * big-endian. -1 with a fault. */
int jpeg_head_read(struct bytes jpeg, struct jpeg_head *head, struct fault *fault);
/* Whether there is an end marker after the start of the scan. */
bool jpeg_has_end(const struct bytes *jpeg, size_t scan_at);
/* Takes the JPEG in [at, at + size) of the file as the picture to look at, if it is the largest. */
void reading_offer_jpeg(struct reading *reading, size_t at, size_t size);

/* ---- boxes (boxes.c) ---- */

/* Reads the moov of a CR3 or the meta of a HEIF. -1 with a fault if the file is neither. */
int boxes_read(struct reading *reading, struct fault *fault);

#endif
