#include "shape.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>

struct shape shape_at(const struct moon_size *size, double x, double y)
{
    double focal_px = size->radius_px / tan(size->semidiameter_rad);
    double a = (x - size->width / 2.0) / focal_px, b = (y - size->height / 2.0) / focal_px;
    double square = a * a + b * b, along = size->radius_px * (1 + square);
    double across = size->radius_px * sqrt(1 + square);
    /* By how much more the direction away from the middle is stretched. */
    double more = square > 0 ? (along - across) / square : 0;

    return (struct shape){across + more * a * a, more * a * b, across + more * b * b};
}

double tone_at(const struct pixels *pixels, double x, double y)
{
    double px = (x - pixels->left) / pixels->scale - 0.5;
    double py = (y - pixels->top) / pixels->scale - 0.5;
    const uint8_t *at, *below;

    if (!(px >= 0 && py >= 0 && px < pixels->width - 1 && py < pixels->height - 1))
        return NAN;
    int ix = (int)px;
    int iy = (int)py;
    px -= ix;
    py -= iy;
    at = pixels->rgb + ((size_t)iy * (size_t)pixels->width + (size_t)ix) * 3;
    below = at + (size_t)pixels->width * 3;
    return (1 - py) * ((1 - px) * brightest(at) + px * brightest(at + 3)) +
           py * ((1 - px) * brightest(below) + px * brightest(below + 3));
}
