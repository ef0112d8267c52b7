/* A globe painted straight into pixels, without a lens, a sensor or a JPEG: of any colours, so that what each channel
 * of each pixel is can be said beforehand. */
#ifndef MOONSTAND_TESTS_GLOBE_H
#define MOONSTAND_TESTS_GLOBE_H

#include "eye/moon_picture.h"

#include <moonstand/eye.h>

/* Tones are 0 to 255, by channel. */
struct globe {
    double x, y, radius_px; /* px of the full picture */
    double tone[3], sky[3];
    double shadow, shaded[3];  /* left of so many radii from its centre it has these tones */
    double wave[3];            /* unevenness: deviation as a part of its tone */
    double far, far_sky[3];    /* beyond so many radii the sky has these tones */
    double blur_px;            /* deviation of the Gaussian that blurs its edge */
    double more_px, direction; /* of the blur along that direction (counter-clockwise): in squares */
    double noise;              /* deviation, levels */
};

static inline struct globe globe_plain(double x, double y, double radius_px, double tone)
{
    return (struct globe){.x = x,
                          .y = y,
                          .radius_px = radius_px,
                          .tone = {tone, tone, tone},
                          .shadow = -9,
                          .far = INFINITY,
                          .blur_px = 0.8};
}

static inline double globe_tone(const struct globe *globe, double dx, double dy, int channel)
{
    double radii = hypot(dx, dy) / globe->radius_px, along = cos(atan2(-dy, dx) - globe->direction);
    double blur_px = hypot(globe->blur_px, globe->more_px * along);
    double covered = (1 - erf((radii - 1) * globe->radius_px / blur_px / sqrt(2))) / 2;
    double tone = dx < globe->shadow * globe->radius_px ? globe->shaded[channel] : globe->tone[channel];
    double sky = radii > globe->far ? globe->far_sky[channel] : globe->sky[channel];

    /* Two waves at right angles, with half of the square each. */
    tone *= 1 + globe->wave[channel] * (sin(9 * dx / globe->radius_px) + sin(9 * dy / globe->radius_px));
    return sky + covered * (tone - sky);
}

/* The globe in pixels that begin at left, top of the full picture and are `scale` of its own wide; rgb is to be freed. */
static inline struct pixels globe_paint(const struct globe *globe, int width, int height, double left, double top,
                                        double scale)
{
    struct pixels pixels = {.width = width, .height = height, .left = left, .top = top, .scale = scale};

    pixels.rgb = malloc((size_t)width * (size_t)height * 3);
    for (int i = 0; i < width * height; i++)
        for (int c = 0; c < 3; c++) {
            double dx = left + (i % width + 0.5) * scale - globe->x;
            double dy = top + (i / width + 0.5) * scale - globe->y;
            double level = globe_tone(globe, dx, dy, c) + (globe->noise > 0 ? globe->noise * chance_normal() : 0);

            pixels.rgb[i * 3 + c] = (uint8_t)fmin(fmax(floor(level + 0.5), 0), 255);
        }
    return pixels;
}

/* What is known of it, in a full picture with that middle. */
static inline struct moon_size globe_size(const struct globe *globe, double middle_x, double middle_y)
{
    return (struct moon_size){.radius_px = globe->radius_px,
                              .semidiameter_rad = 0.0045,
                              .tolerance = 0.05,
                              .width = (int)(2 * middle_x),
                              .height = (int)(2 * middle_y)};
}

/* The deviation of that channel, as a part of its tone, from which on the globe is the Moon; below it is a lamp. `part`
 * is where it is painted. */
static inline double globe_uneven_from(const struct globe *globe, int channel, const struct pixels *part)
{
    double low = 0, high = 0.1;

    for (int step = 0; step < 12; step++) {
        struct globe uneven = *globe;
        struct moon_size size = globe_size(globe, part->left + part->width / 2.0, part->top + part->height / 2.0);
        struct pixels pixels;
        struct moon_disc disc;

        uneven.wave[channel] = (low + high) / 2;
        pixels = globe_paint(&uneven, part->width, part->height, part->left, part->top, part->scale);
        *(disc_find(&pixels, &size, &disc) > 0 ? &high : &low) = uneven.wave[channel];
        free(pixels.rgb);
    }
    return high;
}

#endif
