/* eye: metadata from the bytes of a picture's file; the Moon's disc and its measures from pixels.
 *
 * Nothing here trusts its input: every read is checked against the end of the bytes, and every loop
 * has a bound that does not come from the file.
 */
#ifndef MOONSTAND_EYE_H
#define MOONSTAND_EYE_H

#include <moonstand/fault.h>

#include <stddef.h>
#include <stdint.h>

/* ---- metadata (metadata.c) ---- */

enum picture_format {
    PICTURE_JPEG,
    PICTURE_RAW,  /* TIFF-based, CR3 or RAF; pixels come from its JPEG preview */
    PICTURE_HEIF, /* metadata only */
    PICTURE_FORMATS
};
/* "jpeg", "raw", "heif". */
const char *picture_format_name(enum picture_format format);

enum { METADATA_TEXT = 64 };

/* What the camera wrote. Unknown is NaN, an empty text, or 0 for a size. */
struct metadata {
    enum picture_format format;
    char make[METADATA_TEXT], model[METADATA_TEXT], serial[METADATA_TEXT];
    double taken;       /* seconds since 1970 on the camera's own clock */
    int taken_decimals; /* of it, as written: 0 to 3 */
    double offset_min;  /* the clock's offset from UTC, according to the camera */
    double shutter_s, iso, f_number;
    double focal_mm;           /* as the lens reports it */
    double focal_35mm;         /* equivalent on 36x24 mm */
    double sensor_px_per_mm;   /* pixels of the full picture per mm of the sensor */
    int width, height;         /* of the full picture as stored */
    int orientation;           /* EXIF: 1 to 8; 1 is upright, 6 and 8 are portrait */
    size_t jpeg_at, jpeg_size; /* the largest JPEG in the file; size 0: none */
    int jpeg_width, jpeg_height;
};

/* Reads a whole file: JPEG, CR2, NEF, ARW, RW2, ORF, PEF, DNG, CR3, RAF, HEIF. Tags: EXIF 2.32
 * (CIPA DC-008-2019), TIFF 6.0; boxes: ISO/IEC 14496-12 and 23008-12. Returns 0, or -1 with a fault
 * (without the file's name) if it is none of these or is cut short. */
int metadata_read(const uint8_t *bytes, size_t size, struct metadata *metadata,
                  struct fault *fault);

/* ---- the disc (disc.c) ---- */

/* A picture, or a part of one, as stored: 8-bit RGB, rows from the top. Pixel (i, j) covers from
 * left + i scale to left + (i + 1) scale of the full picture, and likewise down. */
struct pixels {
    int width, height;
    uint8_t *rgb;
    double left, top, scale;
};

/* What is known of the Moon beforehand. */
struct moon_size {
    double radius_px;        /* in the middle of the full picture */
    double semidiameter_rad; /* gives the focal length in px, and so the shape off the axis */
    double tolerance;        /* of the radius, as a fraction */
    int width, height;       /* of the full picture */
};

/* The smallest radius that can be found, px. */
#define DISC_RADIUS_LEAST 7.0

/* The Moon's disc: a circle in the middle of the picture, an ellipse towards the corners of a wide
 * lens. */
struct moon_disc {
    double x, y;       /* of the centre, px of the full picture from its left and top edge */
    double radius_px;  /* as if in the middle of the picture */
    double arc;        /* share of the limb that was found, 0 to 1 */
    double scatter_px; /* rms distance of the limb's points from the shape */
    double score;      /* confidence that this is the Moon, 0 to 1 */
};

/* The best scale to decode a JPEG at to find the disc: returns the denominator 1, 2, 4 or 8. */
int disc_shrink(const struct moon_size *size);
/* Finds the disc. The radius in `pixels` should be at least DISC_RADIUS_LEAST; 100 to 400 is
 * plenty. Accuracy on made-up pictures: `make eye-table`. Returns 1 if one was found, 0 if not, -1
 * if memory ran out. */
int disc_find(const struct pixels *pixels, const struct moon_size *size, struct moon_disc *disc);

/* ---- its light and sharpness (measure.c) ---- */

/* Tones of the JPEG, 0 to 255; NaN: none. */
struct disc_light {
    double lit;      /* median of the bright part of the disc, brightest channel */
    double umbra[3]; /* median red, green and blue of the dark or red part */
    double clipped;  /* share of the disc's pixels with a clipped channel */
    double sky;      /* median around the disc, brightest channel */
};
void disc_light(const struct pixels *pixels, const struct moon_size *size,
                const struct moon_disc *disc, struct disc_light *light);

/* Width of the limb's edge: the standard deviation of the Gaussian that blurs it as much, px of the
 * full picture; NaN: unknown (clipped, too faint, too little of it). */
struct limb {
    double width_px;          /* mean over the axes */
    double least_px, most_px; /* the sharpest and the softest axis */
    double most_deg; /* where it is softest, 0 to 180 from the picture's right counter-clockwise;
                        NaN: not seen all round */
};
/* `pixels` at full size. */
void disc_limb(const struct pixels *pixels, const struct moon_size *size,
               const struct moon_disc *disc, struct limb *limb);

#endif
