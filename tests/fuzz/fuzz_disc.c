/* Pixels of a picture, and what is known of it: the first bytes say how large it is, the rest are its
 * rows, over again to the end. Small ones, for the smallest disc fits into them and hundreds of them are
 * done where a large one would be. */
#include "fuzz.h"

#include <math.h>
#include <moonstand/eye.h>
#include <stddef.h>

enum { HEAD = 8, SIZE_MOST = 48 };

static bool is_tone(double value)
{
    return isnan(value) || (value >= 0 && value <= 255);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct pixels pixels;
    struct moon_size moon;
    struct moon_disc disc;
    struct disc_light light;
    struct limb limb;

    if (size <= HEAD)
        return 0;
    pixels = (struct pixels){.width = 1 + data[0] % SIZE_MOST,
                             .height = 1 + data[1] % SIZE_MOST,
                             .left = data[2] * 8,
                             .top = data[3] * 8,
                             .scale = 1 << data[4] % 4};
    moon = (struct moon_size){.radius_px = 4 + data[5],
                              .semidiameter_rad = 0.0045,
                              .tolerance = data[6] % 2 ? 0.05 : 0.1,
                              .width = 8 * (1 + data[6]),
                              .height = 8 * (1 + data[7])};
    size_t count = (size_t)pixels.width * (size_t)pixels.height * 3;

    pixels.rgb = malloc(count);
    CLAIM(pixels.rgb);
    for (size_t i = 0; i < count; i++)
        pixels.rgb[i] = data[HEAD + i % (size - HEAD)];
    int found = disc_find(&pixels, &moon, &disc);

    CLAIM(found == 0 || found == 1);
    if (found) {
        CLAIM(isfinite(disc.x) && isfinite(disc.y) && disc.radius_px > 0);
        CLAIM(disc.arc > 0 && disc.arc <= 1 && disc.score > 0 && disc.score <= 1);
        disc_light(&pixels, &moon, &disc, &light);
        CLAIM(is_tone(light.lit) && is_tone(light.sky) && is_tone(light.umbra[0]));
        CLAIM(isnan(light.clipped) || (light.clipped >= 0 && light.clipped <= 1));
        disc_limb(&pixels, &moon, &disc, &limb);
        CLAIM(isnan(limb.width_px) || (limb.width_px > 0 && limb.least_px <= limb.most_px));
        CLAIM(isnan(limb.most_deg) || (limb.most_deg >= 0 && limb.most_deg <= 180));
    }
    free(pixels.rgb);
    return 0;
}
