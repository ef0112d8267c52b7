/* eye: what a picture shows. Bytes of a file in, its metadata out; pixels in, the Moon's disc and
 * measures of it out.
 *
 * Nothing here trusts its input: every read is checked against the end of the bytes, every loop has
 * a bound that does not come from the file.
 */
#ifndef MOONSTAND_EYE_H
#define MOONSTAND_EYE_H

#include <moonstand/base.h>

/* ---- metadata (metadata.c) ---- */

enum picture_format {
    PICTURE_JPEG,
    PICTURE_RAW,  /* TIFF-based, CR3 or RAF: its JPEG preview is what can be looked at */
    PICTURE_HEIF, /* metadata only: its pixels are not read */
    PICTURE_FORMATS
};
/* "jpeg", "raw", "heif". */
const char *picture_format_name(enum picture_format format);

enum { METADATA_TEXT = 64 };

/* What the camera wrote. Unknown is NaN, an empty text, or 0 for a size. */
struct metadata {
    enum picture_format format;
    char model[METADATA_TEXT], serial[METADATA_TEXT];
    double taken;       /* seconds since 1970 on the camera's own clock */
    int taken_decimals; /* of it, as written: 0 to 3 */
    double offset_min;  /* what the camera calls its clock's offset from UTC */
    double shutter_s, iso, f_number;
    double focal_mm;           /* as the lens reports it */
    double focal_35mm;         /* the focal length with the same field on 36x24 mm */
    double sensor_px_per_mm;   /* pixels of the full picture per mm of the sensor */
    int width, height;         /* of the full picture as stored, before it is turned */
    int orientation;           /* 1 to 8, as EXIF counts: 1 is upright, 6 and 8 are portrait */
    size_t jpeg_at, jpeg_size; /* the largest JPEG in the file; size 0: none */
    int jpeg_width, jpeg_height;
};

/* Reads what the bytes of a whole file tell: JPEG, CR2, NEF, ARW, RW2, ORF, PEF, DNG, CR3, RAF, HEIF.
 * Tags: EXIF 2.32 (CIPA DC-008-2019), TIFF 6.0; boxes: ISO/IEC 14496-12 and 23008-12.
 * Returns 0, or -1 with a fault (without the file's name) if it is none of these or is cut short. */
int metadata_read(const uint8_t *bytes, size_t size, struct metadata *metadata,
                  struct fault *fault);

#endif
