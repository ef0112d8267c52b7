#include "bytes.h"

#include <math.h>

/* Most tables of tags to follow; a DNG has about ten. */
enum { TABLES = 64 };

const char *picture_format_name(enum picture_format format)
{
    static const char *const names[PICTURE_FORMATS] = {"jpeg", "raw", "heif"};

    return names[format];
}

static int read_jpeg(struct reading *reading, struct fault *fault)
{
    struct metadata *metadata = &reading->metadata;
    struct jpeg_head head;

    if (jpeg_head_read(reading->file, &head, fault) != 0)
        return -1;
    if (!jpeg_has_end(&reading->file, head.scan_at))
        return fault_set(fault, "cut short: %zu bytes without the end of a JPEG",
                         reading->file.size);
    (void)tiff_read(reading, head.exif_at, head.exif_size, TAGS_MAIN);
    metadata->width = head.width;
    metadata->height = head.height;
    /* Replaces a thumbnail that the tags may have offered. */
    metadata->jpeg_at = 0;
    metadata->jpeg_size = head.common ? reading->file.size : 0;
    metadata->jpeg_width = head.width;
    metadata->jpeg_height = head.height;
    return 0;
}

/* Fuji's header: offset and size of a JPEG, big-endian, from byte 84; of the raw data from 100. */
static void read_raf(struct reading *reading)
{
    enum { RAF_HEAD = 108 };

    reading_need(reading, 0, RAF_HEAD);
    reading_need(reading, bytes_u32(&reading->file, 84), bytes_u32(&reading->file, 88));
    reading_need(reading, bytes_u32(&reading->file, 100), bytes_u32(&reading->file, 104));
    reading_offer_jpeg(reading, bytes_u32(&reading->file, 84), bytes_u32(&reading->file, 88));
}

static int read_raw(struct reading *reading, struct fault *fault)
{
    if (bytes_are(&reading->file, 0, "FUJIFILMCCD-RAW", 15))
        read_raf(reading);
    else if (!tiff_read(reading, 0, SIZE_MAX, TAGS_MAIN) && boxes_read(reading, fault) != 0)
        return -1;
    (void)tiff_read(reading, reading->exif_at, reading->exif_size, TAGS_MAIN);
    if (reading->needed > reading->file.size)
        return fault_set(fault, "cut short: %zu bytes, but its data end at byte %zu",
                         reading->file.size, reading->needed);
    return 0;
}

static void settle_size(struct reading *reading)
{
    struct metadata *metadata = &reading->metadata;
    double width = reading->exif_width, height = reading->exif_height;

    if (!(width > 0 && height > 0)) {
        width = reading->table_width;
        height = reading->table_height;
    }
    if (!metadata->width && width > 0 && height > 0 && width <= UINT16_MAX &&
        height <= UINT16_MAX) {
        metadata->width = (int)width;
        metadata->height = (int)height;
    }
}

/* Sets what takes several tags. */
static void settle(struct reading *reading)
{
    static const double unit_mm[] = {25.4, 10, 1, 0.001}; /* by the tag's value from 2 on */
    struct metadata *metadata = &reading->metadata;
    double unit = reading->plane_unit;

    if (isfinite(metadata->taken)) {
        metadata->taken += reading->subsecond;
        metadata->taken_decimals = reading->subsecond_digits;
    }
    if (isnan(metadata->shutter_s))
        metadata->shutter_s = reading->shutter_apex_s;
    if (isnan(metadata->iso))
        metadata->iso = reading->iso_index;
    if (!metadata->orientation)
        metadata->orientation = 1;
    if (isnan(unit))
        unit = 2; /* EXIF: inch is the default */
    if (unit >= 2 && unit <= 5)
        metadata->sensor_px_per_mm = reading->plane_px / unit_mm[(int)unit - 2];
    settle_size(reading);
}

int metadata_read(const uint8_t *bytes, size_t size, struct metadata *metadata, struct fault *fault)
{
    struct reading reading = {
        .file = {.data = bytes, .size = size},
        .tables_left = TABLES,
        .shutter_apex_s = NAN,
        .iso_index = NAN,
        .plane_px = NAN,
        .plane_unit = NAN,
        .exif_width = NAN,
        .exif_height = NAN,
    };
    bool is_jpeg = bytes_are(&reading.file, 0, "\xff\xd8", 2);

    reading.metadata = (struct metadata){
        .format = is_jpeg ? PICTURE_JPEG : PICTURE_RAW,
        .taken = NAN,
        .offset_min = NAN,
        .shutter_s = NAN,
        .iso = NAN,
        .f_number = NAN,
        .focal_mm = NAN,
        .focal_35mm = NAN,
        .sensor_px_per_mm = NAN,
    };
    int result = is_jpeg ? read_jpeg(&reading, fault) : read_raw(&reading, fault);
    settle(&reading);
    *metadata = reading.metadata;
    return result;
}
