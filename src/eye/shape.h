/* Private to the room: the Moon's shape in a picture, and its tones. */
#ifndef MOONSTAND_EYE_SHAPE_H
#define MOONSTAND_EYE_SHAPE_H

#include <moonstand/eye.h>

/* A symmetric matrix that maps the unit circle to the disc's outline, in px of the full picture.
 * Perspective stretches by 1/cos^2 away from the picture's middle and by 1/cos across. */
struct shape {
    double xx, xy, yy;
};
/* The outline of a disc centred there. */
struct shape shape_at(const struct moon_size *size, double x, double y);

/* Brightest channel of a pixel. */
static inline int brightest(const uint8_t *rgb)
{
    int most = rgb[0] > rgb[1] ? rgb[0] : rgb[1];

    return most > rgb[2] ? most : rgb[2];
}
/* Brightest channel at a place of the full picture, linear between pixels; NaN outside. */
double tone_at(const struct pixels *pixels, double x, double y);

#endif
