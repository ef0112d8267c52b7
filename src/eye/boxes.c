/* Boxes: ISO/IEC 14496-12, used by Canon's CR3 and HEIF (ISO/IEC 23008-12). */
#include "bytes.h"

#include <string.h>

/* Most boxes, and items of a list, to look at. */
enum { BOXES = 256, TYPE_SIZE = 4, UUID_SIZE = 16 };

static const uint8_t canon[UUID_SIZE] = {0x85, 0xc0, 0xb6, 0x87, 0x82, 0x0f, 0x11, 0xe0,
                                         0x81, 0x11, 0xf4, 0xce, 0x46, 0x2b, 0x6a, 0x48};

/* A box with its content in [at, end) of the file. */
struct box {
    char type[TYPE_SIZE];
    size_t at, end;
};

/* Reads the box at *next and advances *next past it; boxes end at `end`. One that goes past the end
 * of the file is cut there, and noted as needed. */
static bool box_next(struct reading *reading, size_t *next, size_t end, struct box *box)
{
    struct bytes *file = &reading->file;
    uint64_t size = bytes_u32(file, *next);
    size_t head = 8;

    if (*next >= end || !bytes_has(file, *next, head))
        return false;
    memcpy(box->type, file->data + *next + 4, TYPE_SIZE);
    if (size == 1) {
        size = bytes_number(file, *next + 8, 8);
        head = 16;
    } else if (size == 0) {
        size = end - *next;
    }
    if (size < head || size > SIZE_MAX - *next)
        return false;
    box->at = *next + head;
    box->end = *next + (size_t)size;
    reading_need(reading, *next, (size_t)size);
    if (box->end > end)
        box->end = end;
    *next = box->end;
    return box->at <= box->end;
}

static bool box_is(const struct box *box, const char *type)
{
    return memcmp(box->type, type, TYPE_SIZE) == 0;
}

/* The first box of that type in [at, end). */
static bool box_find(struct reading *reading, size_t at, size_t end, const char *type,
                     struct box *box)
{
    for (int i = 0; i < BOXES && box_next(reading, &at, end, box); i++)
        if (box_is(box, type))
            return true;
    return false;
}

/* ---- CR3 ---- */

/* Takes a track whose only sample is a JPEG. */
static void read_track(struct reading *reading, struct box box)
{
    static const char *const way[] = {"mdia", "minf", "stbl"};
    struct bytes *file = &reading->file;
    struct box sizes, places;

    for (size_t i = 0; i < sizeof way / sizeof way[0]; i++)
        if (!box_find(reading, box.at, box.end, way[i], &box))
            return;
    bool wide = box_find(reading, box.at, box.end, "co64", &places);
    if ((wide || box_find(reading, box.at, box.end, "stco", &places)) &&
        box_find(reading, box.at, box.end, "stsz", &sizes)) {
        size_t at = (size_t)bytes_number(file, places.at + 8, wide ? 8 : 4);
        uint32_t same = bytes_u32(file, sizes.at + 4);
        uint32_t size = same ? same : bytes_u32(file, sizes.at + 12);

        reading_need(reading, at, size);
        reading_offer_jpeg(reading, at, size);
    }
}

/* Canon's own box holds the tables of tags, each a TIFF structure. */
static void read_canon(struct reading *reading, const struct box *canon_box)
{
    size_t next = canon_box->at + UUID_SIZE;
    struct box box;

    for (int i = 0; i < BOXES && box_next(reading, &next, canon_box->end, &box); i++) {
        if (box_is(&box, "CMT1"))
            (void)tiff_read(reading, box.at, box.end - box.at, TAGS_MAIN);
        if (box_is(&box, "CMT2"))
            (void)tiff_read(reading, box.at, box.end - box.at, TAGS_EXIF);
    }
}

static void read_movie(struct reading *reading, const struct box *movie)
{
    size_t next = movie->at;
    struct box box;

    for (int i = 0; i < BOXES && box_next(reading, &next, movie->end, &box); i++) {
        if (box_is(&box, "uuid") &&
            bytes_are(&reading->file, box.at, (const char *)canon, UUID_SIZE))
            read_canon(reading, &box);
        if (box_is(&box, "trak"))
            read_track(reading, box);
    }
}

/* ---- HEIF ---- */

/* Number of the item of type Exif; 0: none. */
static uint32_t find_exif_item(struct reading *reading, const struct box *list)
{
    struct bytes *file = &reading->file;
    size_t next = list->at + (bytes_number(file, list->at, 1) == 0 ? 6 : 8);
    struct box box;

    for (int i = 0; i < BOXES && box_next(reading, &next, list->end, &box); i++) {
        int version = (int)bytes_number(file, box.at, 1), width = version == 2 ? 2 : 4;

        if (box_is(&box, "infe") && version >= 2 &&
            bytes_are(file, box.at + 4 + (size_t)width + 2, "Exif", TYPE_SIZE))
            return (uint32_t)bytes_number(file, box.at + 4, width);
    }
    return 0;
}

/* Widths of the fields in the item location box. */
struct place_form {
    int version, offset, length, base, index, number;
};

/* Reads the item at *at, and gives its place if it is `wanted` and in one piece in the file
 * itself. */
static bool read_place(struct bytes *file, const struct place_form *form, size_t *at,
                       uint32_t wanted, size_t place[2])
{
    uint64_t item = bytes_number(file, *at, form->number), base;
    int way = 0;
    size_t parts, part = (size_t)form->index + (size_t)form->offset + (size_t)form->length;

    *at += (size_t)form->number;
    if (form->version > 0) {
        way = bytes_u16(file, *at) & 0xf;
        *at += 2;
    }
    base = form->base ? bytes_number(file, *at + 2, form->base) : 0;
    *at += 2 + (size_t)form->base;
    parts = bytes_u16(file, *at);
    *at += 2;
    if (item == wanted && way == 0 && parts == 1) {
        size_t from = *at + (size_t)form->index;

        place[0] = (size_t)(base + (form->offset ? bytes_number(file, from, form->offset) : 0));
        place[1] = form->length
                       ? (size_t)bytes_number(file, from + (size_t)form->offset, form->length)
                       : 0;
        return true;
    }
    *at += parts * part;
    return false;
}

static bool find_place(struct reading *reading, const struct box *list, uint32_t item,
                       size_t place[2])
{
    struct bytes *file = &reading->file;
    int widths = bytes_u16(file, list->at + 4);
    struct place_form form = {
        .version = (int)bytes_number(file, list->at, 1),
        .offset = widths >> 12 & 0xf,
        .length = widths >> 8 & 0xf,
        .base = widths >> 4 & 0xf,
    };
    size_t at = list->at + 6, count;

    form.index = form.version > 0 ? widths & 0xf : 0;
    form.number = form.version < 2 ? 2 : 4;
    if (form.offset > 8 || form.length > 8 || form.base > 8 || form.index > 8)
        return false;
    count = (size_t)bytes_number(file, at, form.number);
    at += (size_t)form.number;
    for (size_t i = 0; i < count && i < BOXES && at < list->end; i++)
        if (read_place(file, &form, &at, item, place))
            return true;
    return false;
}

static void read_heif(struct reading *reading, const struct box *meta)
{
    struct box box;
    uint32_t item;
    size_t place[2];

    if (!box_find(reading, meta->at + 4, meta->end, "iinf", &box))
        return;
    item = find_exif_item(reading, &box);
    if (!item || !box_find(reading, meta->at + 4, meta->end, "iloc", &box) ||
        !find_place(reading, &box, item, place))
        return;
    reading_need(reading, place[0], place[1]);
    /* The item starts with the offset of its TIFF structure. */
    if (bytes_has(&reading->file, place[0], 4) && place[1] > 4) {
        size_t skip = 4 + (size_t)bytes_u32(&reading->file, place[0]);

        if (skip < place[1])
            (void)tiff_read(reading, place[0] + skip, place[1] - skip, TAGS_MAIN);
    }
}

/* ---- both ---- */

/* Whether the file's brand is known, which tells its format. */
static bool read_brand(struct reading *reading, const struct box *box)
{
    static const char *const heif[] = {"heic", "heix", "hevc", "hevx", "heim",
                                       "heis", "mif1", "msf1", "avif"};

    for (size_t i = 0; i < sizeof heif / sizeof heif[0]; i++)
        if (bytes_are(&reading->file, box->at, heif[i], TYPE_SIZE)) {
            reading->metadata.format = PICTURE_HEIF;
            return true;
        }
    return bytes_are(&reading->file, box->at, "crx ", TYPE_SIZE);
}

int boxes_read(struct reading *reading, struct fault *fault)
{
    size_t next = 0, end = reading->file.size;
    struct box box;
    bool told = false;

    if (!box_next(reading, &next, end, &box) || !box_is(&box, "ftyp") || !read_brand(reading, &box))
        return fault_set(fault, "not a picture; expected JPEG, a raw file or HEIF");
    for (int i = 0; i < BOXES && box_next(reading, &next, end, &box); i++) {
        told |= box_is(&box, "moov") || box_is(&box, "meta");
        if (box_is(&box, "moov"))
            read_movie(reading, &box);
        if (box_is(&box, "meta"))
            read_heif(reading, &box);
    }
    return told ? 0 : fault_set(fault, "cut short: ends at byte %zu, before its contents", end);
}
