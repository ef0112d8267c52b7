/* Tries of the finder on made-up pictures: what is put in, what comes out. */
#ifndef MOONSTAND_TESTS_TRIAL_H
#define MOONSTAND_TESTS_TRIAL_H

#include "eye/headers.h"
#include "eye/moon_picture.h"

#include "../../src/app/jpeg.h"

#include <stdbool.h>

/* What came of one picture. */
struct tried {
    int found;       /* as disc_find has it */
    double error_px; /* of the centre; NaN: not found */
    double radius_error;
    double clipped_error; /* of the share that is clipped */
    struct moon_disc disc;
    struct disc_light light;
    struct limb limb;
    size_t bytes;
};

static inline struct moon_size size_of(const struct scene *scene, double known_within)
{
    return (struct moon_size){.radius_px = scene->radius_px * known_within,
                              .semidiameter_rad = scene->semidiameter_rad,
                              .tolerance = 0.05,
                              .width = (int)(2 * scene->axis_x),
                              .height = (int)(2 * scene->axis_y)};
}

/* Share of the disc with a channel at its end, from the pixels before they became a JPEG. */
static inline double true_clipped(const struct scene *scene, const uint8_t *rgb)
{
    int all = 0, clipped = 0;

    for (int y = 0; y < scene->height; y++)
        for (int x = 0; x < scene->width; x++) {
            const uint8_t *at = rgb + ((size_t)y * (size_t)scene->width + (size_t)x) * 3;

            if (hypot(x + 0.5 - scene->x, y + 0.5 - scene->y) > 0.96 * scene->radius_px)
                continue;
            all++;
            clipped += at[0] >= 254 || at[1] >= 254 || at[2] >= 254;
        }
    return all ? (double)clipped / all : NAN;
}

/* Draws, writes as a JPEG, reads it again as the program does, and measures. The radius is known to
 * within that factor. */
static inline struct tried try_scene(const struct scene *scene, double known_within)
{
    struct moon_size size = size_of(scene, known_within);
    struct jpeg_part part = {.shrink = disc_shrink(&size)};
    struct tried tried = {.error_px = NAN,
                          .radius_error = NAN,
                          .clipped_error = NAN,
                          .light = {NAN, {NAN, NAN, NAN}, NAN, NAN},
                          .limb = {NAN, NAN, NAN, NAN}};
    struct pixels pixels;
    uint8_t *rgb = scene_pixels(scene), *jpeg;
    struct fault fault;

    jpeg = pixels_jpeg(scene, rgb, NULL, 0, &tried.bytes);
    tried.found = -1;
    if (jpeg_decode(jpeg, tried.bytes, &part, &pixels, &fault) == 0) {
        tried.found = disc_find(&pixels, &size, &tried.disc);
        if (tried.found > 0)
            disc_light(&pixels, &size, &tried.disc, &tried.light);
        free(pixels.rgb);
    }
    if (tried.found > 0 && scene->has_moon) {
        tried.error_px = hypot(tried.disc.x - scene->x, tried.disc.y - scene->y);
        tried.radius_error = tried.disc.radius_px / scene->radius_px - 1;
        tried.clipped_error = fabs(tried.light.clipped - true_clipped(scene, rgb));
        part.shrink = 1;
        if (jpeg_decode(jpeg, tried.bytes, &part, &pixels, &fault) == 0) {
            disc_limb(&pixels, &size, &tried.disc, &tried.limb);
            free(pixels.rgb);
        }
    }
    free(jpeg);
    free(rgb);
    return tried;
}

/* The scene as a JPEG, with the focal length that it has at 100 px a mm, and that orientation. */
static inline uint8_t *scene_file(const struct scene *scene, uint32_t orientation, size_t *size)
{
    struct header exif = {.size = 0};
    double focal_mm = scene->radius_px / tan(scene->semidiameter_rad) / 100;
    struct tag_in tags[] = {
        TAG_NUMBER(0x0112, 3, orientation),
        TAG_RATIO(0x920a, (uint32_t)(focal_mm * 100), 100),
        TAG_RATIO(0xa20e, 100, 1),
        TAG_NUMBER(0xa210, 3, 4),
    };
    uint8_t *rgb = scene_pixels(scene), *jpeg;
    size_t next;

    put_bytes(&exif, "Exif\0", 6);
    put_tiff_head(&exif, false, 42);
    set_number(&exif, 6 + 4, put_table(&exif, 6, tags, sizeof tags / sizeof tags[0], &next), 4);
    jpeg = pixels_jpeg(scene, rgb, exif.data, exif.size, size);
    free(rgb);
    return jpeg;
}

/* ---- scenes by chance; chance_seed comes first ---- */

/* Some phase, exposed for its lit part or for the umbra, through some camera. */
static inline struct scene scene_by_chance(int width, int height, double radius_px)
{
    struct scene scene = scene_plain(width, height, radius_px);
    bool umbra;

    scene.seed = (uint64_t)(chance() * 1e9) + 1;
    scene.shadow = chance_in(0, 5.2);
    scene.direction = chance_in(0, 2 * PI);
    scene.danjon = chance_in(1, 4);
    scene.curve = (enum curve)(chance() * CURVES);
    scene.quality = (int)chance_in(82, 98);
    scene.defocus_px = chance_in(1.2, 2.5);
    scene.stars = (int)chance_in(0, 60);
    scene.sky = pow(10, chance_in(-4, -2.3));
    scene.x =
        chance_in(fmin(1.02 * radius_px, width / 2.0), fmax(width - 1.02 * radius_px, width / 2.0));
    scene.y = chance_in(fmin(1.02 * radius_px, height / 2.0),
                        fmax(height - 1.02 * radius_px, height / 2.0));
    umbra = scene.shadow < 1.7 || (scene.shadow < 3 && chance() < 0.4);
    scene.electrons = umbra ? pow(10, chance_in(2.7, 3.8)) : pow(10, chance_in(3.7, 4.6));
    scene_expose(&scene, umbra, chance_in(-2.5, 2));
    return scene;
}

/* A picture without a Moon: stars, cloud, roofs, lamps that are not of the Moon's size. */
static inline struct scene scene_without_moon(int width, int height, double radius_px)
{
    struct scene scene = scene_by_chance(width, height, radius_px);

    scene.has_moon = false;
    scene.white_at = 1;
    scene.stars = (int)chance_in(0, 300);
    scene.sky = pow(10, chance_in(-4, -0.7));
    scene.skyline = chance() < 0.5;
    scene.cloud = chance() < 0.4 ? chance_in(0.2, 3) : 0;
    scene.lamps = chance() < 0.6 ? (int)chance_in(1, 8) : 0;
    for (int i = 0; i < scene.lamps; i++)
        scene.lamp[i] =
            (struct lamp){chance_in(0, width), chance_in(0, height),
                          radius_px * (chance() < 0.6 ? chance_in(0.05, 0.7) : chance_in(1.4, 2)),
                          pow(10, chance_in(-1.5, 1))};
    return scene;
}

#endif
