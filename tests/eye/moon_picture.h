/* Pictures of an eclipsed Moon, made up: the program's own light on a disc with a dozen maria, a
 * camera's sensor (Bayer pattern, photon and read noise), a tone curve, a JPEG. What it puts in is
 * known, so that what is found can be measured. No picture of a real Moon was used. */
#ifndef MOONSTAND_TESTS_MOON_PICTURE_H
#define MOONSTAND_TESTS_MOON_PICTURE_H

#include <moonstand/angle.h>
#include <moonstand/light.h>
#include <moonstand/vec3.h>

#include <malloc.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

/* ---- chance, the same on every machine ---- */

static uint64_t chance_state = 1;

static inline void chance_seed(uint64_t number)
{
    chance_state = number * 0x9e3779b97f4a7c15u + 0x1234567u;
}
static inline double chance(void)
{
    uint64_t x = chance_state += 0x9e3779b97f4a7c15u;

    x = (x ^ x >> 30) * 0xbf58476d1ce4e5b9u;
    x = (x ^ x >> 27) * 0x94d049bb133111ebu;
    return (double)((x ^ x >> 31) >> 11) / 9007199254740992.0;
}
static inline double chance_in(double from, double to)
{
    return from + (to - from) * chance();
}
/* Of mean 0 and deviation 1, near enough: twelve even ones would be slower. */
static inline double chance_normal(void)
{
    return sqrt(-2 * log(1 - chance())) * cos(2 * PI * chance());
}

/* ---- what the picture is of ---- */

enum curve { CURVE_SRGB, CURVE_CONTRAST, CURVE_SOFT, CURVE_FLAT, CURVES };
enum { MARIA = 12, LAMPS = 24 };

struct lamp {
    double x, y, radius, level; /* px; level against white */
};

struct scene {
    int width, height;
    double axis_x,
        axis_y; /* where the lens looks, px: the middle unless this is a part of a picture */
    bool has_moon;
    double x, y;              /* of the Moon's centre in px from the left and top edge */
    double radius_px;         /* on the axis */
    double semidiameter_rad;  /* with radius_px it gives the focal length in px */
    double squash;            /* height against width: refraction flattens a low Moon */
    double shadow, direction; /* of the shadow's axis from the Moon's centre, Moon's radii, angle */
    double danjon;
    double white_at;   /* fraction of full sunlight on the mean disc that comes out white */
    double electrons;  /* of a pixel that is white */
    double defocus_px; /* diameter of a point */
    double motion_px, motion_direction;
    double cloud; /* mean optical depth */
    double halo;  /* share of the light that a haze spreads over some radii */
    double sky;   /* level of the sky against white, at the horizon twice that */
    int stars;
    bool skyline;
    int lamps;
    struct lamp lamp[LAMPS];
    enum curve curve;
    int quality;
    uint64_t seed;
};

/* A full Moon in the middle of a dark sky, sharp, half a stop under white. */
static inline struct scene scene_plain(int width, int height, double radius_px)
{
    return (struct scene){
        .width = width,
        .height = height,
        .axis_x = width / 2.0,
        .axis_y = height / 2.0,
        .has_moon = true,
        .x = width / 2.0,
        .y = height / 2.0,
        .radius_px = radius_px,
        .semidiameter_rad = 0.0045,
        .squash = 1,
        .shadow = 6,
        .danjon = 2,
        .white_at = 2,
        .electrons = 20000,
        .defocus_px = 1.4,
        .sky = 0.001,
        .quality = 92,
        .seed = 1,
    };
}

/* ---- light ---- */

struct painter {
    const struct scene *scene;
    struct light_model model;
    struct vec3 moon, right, down; /* unit vectors, camera's axes: x right, y down, z forward */
    double focal_px;
    struct mare {
        double x, y, half_along, half_across, cos_turn, sin_turn;
    } mare[MARIA];
    double wave[6][4];
};

/* Radii in Moon's radii, as at a mean distance. */
#define UMBRA_RADII 2.65
#define PENUMBRA_RADII 4.70

static inline double albedo(const struct painter *painter, double u, double v)
{
    double value = 1.1 + 0.06 * sin(23 * u + 5 * v) * sin(19 * v - 7 * u);

    for (int i = 0; i < MARIA; i++) {
        const struct mare *mare = &painter->mare[i];
        double a = u - mare->x, b = v - mare->y;
        double along = (a * mare->cos_turn + b * mare->sin_turn) / mare->half_along;
        double across = (b * mare->cos_turn - a * mare->sin_turn) / mare->half_across;
        double beyond = 12 * (along * along + across * across - 1);

        if (beyond < 40) /* else it takes nothing that a double keeps */
            value -= 0.5 / (1 + exp(beyond));
    }
    return value < 0.4 ? 0.4 : value;
}

/* The colour of that much light: the deeper the redder, with a ratio of green to red of 0.4 and of
 * blue of 0.2 in the umbra. */
static inline void light_colour(double light, double rgb[3])
{
    double red = fmin(fmax((-1.5 - log10(light)) / 1.5, 0), 1);

    rgb[0] = light;
    rgb[1] = light * pow(0.45, red);
    rgb[2] = light * pow(0.22, red);
}

/* Light of a point of the disc, (u, v) in radii from its centre, in full sunlight's units. */
static inline void point_light(const struct painter *painter, double u, double v, double rgb[3])
{
    const struct scene *scene = painter->scene;
    double a = u - scene->shadow * cos(scene->direction);
    double b = v - scene->shadow * sin(scene->direction);
    double light =
        light_at(&painter->model, hypot(a, b) * scene->semidiameter_rad,
                 UMBRA_RADII * scene->semidiameter_rad, PENUMBRA_RADII * scene->semidiameter_rad);
    double albedo_here = albedo(painter, u, v);

    light_colour(light, rgb);
    for (int c = 0; c < 3; c++)
        rgb[c] *= albedo_here;
}

/* Radii from the Moon's centre and place on the disc of a point of the picture. */
static inline double disc_place(const struct painter *painter, double x, double y, double *u,
                                double *v)
{
    const struct scene *scene = painter->scene;
    struct vec3 way =
        vec3_unit((struct vec3){x - scene->axis_x, y - scene->axis_y, painter->focal_px});
    double ahead = vec3_dot(way, painter->moon), unit = tan(scene->semidiameter_rad);

    if (ahead <= 0.5)
        return INFINITY;
    *u = vec3_dot(way, painter->right) / ahead / unit;
    *v = vec3_dot(way, painter->down) / ahead / unit / scene->squash;
    return hypot(*u, *v);
}

static inline void moon_pixel(const struct painter *painter, int x, int y, float rgb[3])
{
    enum { FINE = 4 };
    double u = 0, v = 0, part[3];
    double from = disc_place(painter, x + 0.5, y + 0.5, &u, &v);
    double edge = 2 / painter->scene->radius_px;

    if (from > 1 + edge)
        return;
    if (from < 1 - edge) {
        point_light(painter, u, v, part);
        for (int c = 0; c < 3; c++)
            rgb[c] += (float)part[c];
        return;
    }
    for (int i = 0; i < FINE * FINE; i++)
        if (disc_place(painter, x + (i % FINE + 0.5) / FINE, y + (i / FINE + 0.5) / FINE, &u, &v) <
            1) {
            point_light(painter, u, v, part);
            for (int c = 0; c < 3; c++)
                rgb[c] += (float)(part[c] / (FINE * FINE));
        }
}

static inline void painter_open(struct painter *painter, const struct scene *scene)
{
    double s = scene->semidiameter_rad;

    *painter = (struct painter){.scene = scene, .focal_px = scene->radius_px / tan(s)};
    light_prepare(&painter->model, UMBRA_RADII * s, PENUMBRA_RADII * s, scene->danjon);
    painter->moon = vec3_unit(
        (struct vec3){scene->x - scene->axis_x, scene->y - scene->axis_y, painter->focal_px});
    painter->right = vec3_unit(vec3_cross((struct vec3){0, 1, 0}, painter->moon));
    painter->down = vec3_cross(painter->moon, painter->right);
    chance_seed(scene->seed);
    for (int i = 0; i < MARIA; i++) {
        double angle = chance_in(0, 2 * PI), far = 0.85 * sqrt(chance());
        struct mare *mare = &painter->mare[i];
        double turn;

        mare->x = far * cos(angle);
        mare->y = far * sin(angle);
        mare->half_along = chance_in(0.06, 0.3);
        mare->half_across = mare->half_along * chance_in(0.5, 1);
        turn = chance_in(0, PI);
        mare->cos_turn = cos(turn);
        mare->sin_turn = sin(turn);
    }
    for (int i = 0; i < 6; i++) {
        painter->wave[i][0] = chance_in(-1, 1) * (i + 1);
        painter->wave[i][1] = chance_in(-1, 1) * (i + 1);
        painter->wave[i][2] = chance_in(0, 2 * PI);
        painter->wave[i][3] = chance_in(0.3, 1) / (i + 1);
    }
}

/* ---- the air and the lens, in linear light ---- */

/* What lies within the span around a pixel of a row of running sums, against the whole span. */
static inline float span_of(const double *row, int width, int x, double span)
{
    double a = x + 0.5 - span, b = x + 0.5 + span;

    if (a < 0)
        a = 0;
    if (b > width)
        b = width;
    int ia = (int)a, ib = (int)b;
    double at_a = row[ia] + (row[ia + 1] - row[ia]) * (a - ia);
    double at_b = row[ib] + (ib < width ? (row[ib + 1] - row[ib]) * (b - ib) : 0);

    return (float)((at_b - at_a) * (2 * span) / (b - a));
}

/* Mean over a disc of that diameter: runs of rows by running sums. */
static inline void blur_disc(float *pixels, int width, int height, double diameter)
{
    int reach = (int)ceil(diameter / 2);
    double *sums = malloc((size_t)(width + 1) * (size_t)height * sizeof *sums);
    float *out = calloc((size_t)width * (size_t)height, sizeof *out);
    double weight_of_all = 0;

    for (int y = 0; y < height; y++) {
        sums[(size_t)y * (size_t)(width + 1)] = 0;
        for (int x = 0; x < width; x++)
            sums[(size_t)y * (size_t)(width + 1) + (size_t)x + 1] =
                sums[(size_t)y * (size_t)(width + 1) + (size_t)x] +
                (double)pixels[(size_t)y * (size_t)width + (size_t)x];
    }
    for (int dy = -reach; dy <= reach; dy++) {
        double half = diameter * diameter / 4 - dy * dy;
        double span = half > 0 ? sqrt(half) : diameter > 1 && dy == 0 ? diameter / 2 : 0;

        if (span <= 0)
            continue;
        weight_of_all += 2 * span;
        for (int y = 0; y < height; y++) {
            int from = y + dy < 0 ? 0 : y + dy >= height ? height - 1 : y + dy;
            const double *row = sums + (size_t)from * (size_t)(width + 1);

            for (int x = 0; x < width; x++)
                out[(size_t)y * (size_t)width + (size_t)x] += span_of(row, width, x, span);
        }
    }
    for (size_t i = 0; i < (size_t)width * (size_t)height; i++)
        pixels[i] = out[i] / (float)weight_of_all;
    free(sums);
    free(out);
}

static inline void blur_motion(float *pixels, int width, int height, double length,
                               double direction)
{
    int steps = (int)ceil(length) + 1;
    float *out = calloc((size_t)width * (size_t)height, sizeof *out);

    for (int i = 0; i < steps; i++) {
        double along = ((double)i / (steps - 1) - 0.5) * length;
        double dx = along * cos(direction), dy = along * sin(direction);
        int ix = (int)floor(dx), iy = (int)floor(dy);
        float fx = (float)(dx - ix), fy = (float)(dy - iy);

        for (int y = 0; y < height - 1; y++)
            for (int x = 0; x < width - 1; x++) {
                int sx = x + ix < 0 ? 0 : x + ix > width - 2 ? width - 2 : x + ix;
                int sy = y + iy < 0 ? 0 : y + iy > height - 2 ? height - 2 : y + iy;
                const float *at = pixels + (size_t)sy * (size_t)width + (size_t)sx;

                out[(size_t)y * (size_t)width + (size_t)x] +=
                    (1 - fy) * ((1 - fx) * at[0] + fx * at[1]) +
                    fy * ((1 - fx) * at[width] + fx * at[width + 1]);
            }
    }
    for (size_t i = 0; i < (size_t)width * (size_t)height; i++)
        pixels[i] = out[i] / (float)steps;
    free(out);
}

static inline double cloud_at(const struct painter *painter, double x, double y)
{
    double sum = 1;

    for (int i = 0; i < 6; i++)
        sum +=
            0.5 * painter->wave[i][3] *
            sin(2 * PI * (painter->wave[i][0] * x + painter->wave[i][1] * y) + painter->wave[i][2]);
    return fmax(sum, 0) * painter->scene->cloud;
}

static inline double skyline_at(const struct painter *painter, double x)
{
    return 0.82 + 0.06 * sin(9 * x + painter->wave[0][2]) + 0.03 * sin(41 * x) +
           (fmod(x * 11 + painter->wave[1][2], 1) < 0.2 ? -0.05 : 0);
}

/* Everything but the Moon's own light: sky, cloud, stars, roofs, lamps. `level` is of white. */
static inline void add_scenery(const struct painter *painter, float *planes[3])
{
    const struct scene *scene = painter->scene;
    double white = scene->white_at;
    int width = scene->width, height = scene->height;

    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            double fx = (double)x / width, fy = (double)y / height;
            double depth = scene->cloud > 0 ? cloud_at(painter, fx, fy) : 0;
            double from =
                scene->has_moon ? hypot(x - scene->x, y - scene->y) / scene->radius_px : 9;
            double glow = scene->has_moon ? (scene->halo + 0.02 * depth) / (1 + from * from) : 0;
            double keep = depth > 0 ? exp(-depth) : 1;

            for (int c = 0; c < 3; c++) {
                double tint = c == 0 ? 0.8 : c == 1 ? 0.9 : 1.1;
                double light = (double)planes[c][at] * keep + white * scene->sky * (1 + fy) * tint;

                light += glow * white * 0.2 + white * 0.004 * depth;
                if (scene->skyline && fy > skyline_at(painter, fx))
                    light = white * (sin(fx * 190) > 0.9 && sin(fy * 170) > 0.6 ? 0.5 : 0.0005);
                planes[c][at] = (float)light;
            }
        }
    for (int i = 0; i < scene->stars; i++) {
        size_t at = (size_t)(chance() * height) * (size_t)width + (size_t)(chance() * width);
        float level = (float)(white * 0.02 * pow(100, chance()));

        for (int c = 0; c < 3; c++)
            planes[c][at] += level;
    }
    for (int i = 0; i < scene->lamps; i++) {
        const struct lamp *lamp = &scene->lamp[i];
        int reach = (int)(lamp->radius * 4);

        for (int dy = -reach; dy <= reach; dy++)
            for (int dx = -reach; dx <= reach; dx++) {
                int x = (int)lamp->x + dx, y = (int)lamp->y + dy;
                double from = hypot(dx, dy) / lamp->radius;
                double level = from < 1
                                   ? lamp->level
                                   : lamp->level * 0.02 * fmax(1 / (from * from) - 1.0 / 16, 0);

                if (x >= 0 && y >= 0 && x < width && y < height)
                    for (int c = 0; c < 3; c++)
                        planes[c][(size_t)y * (size_t)width + (size_t)x] += (float)(white * level *
                                                                                    (c == 2   ? 0.5
                                                                                     : c == 1 ? 0.8
                                                                                              : 1));
            }
    }
}

/* ---- the camera ---- */

static inline double tone(enum curve curve, double linear)
{
    double x = fmin(fmax(linear, 0), 1), y;

    switch (curve) {
    case CURVE_CONTRAST:
        y = pow(x, 1 / 2.2);
        return y + 0.35 * y * (1 - y) * (2 * y - 1);
    case CURVE_SOFT:
        return 1.22 * x / (x + 0.22);
    case CURVE_FLAT:
        return log2(1 + 255 * x) / 8;
    default:
        return x <= 0.0031308 ? 12.92 * x : 1.055 * pow(x, 1 / 2.4) - 0.055;
    }
}

/* The colour that a pixel of the sensor sees. */
static inline int bayer(int x, int y)
{
    return y % 2 ? 1 + x % 2 : x % 2;
}

/* The colours of a pixel from what it and its neighbours have seen. */
static inline void see_colours(const struct scene *scene, const float *raw, int x, int y,
                               double rgb[3])
{
    int width = scene->width, height = scene->height;
    double weight[3] = {0};

    for (int dy = -1; dy <= 1; dy++)
        for (int dx = -1; dx <= 1; dx++) {
            int sx = x + dx < 0 ? 1 : x + dx >= width ? width - 2 : x + dx;
            int sy = y + dy < 0 ? 1 : y + dy >= height ? height - 2 : y + dy;
            double w = dx == 0 && dy == 0 ? 1000 : 1;

            rgb[bayer(sx, sy)] += w * (double)raw[(size_t)sy * (size_t)width + (size_t)sx];
            weight[bayer(sx, sy)] += w;
        }
    for (int c = 0; c < 3; c++)
        rgb[c] /= weight[c];
}

/* A sensor sees one colour per pixel; the others come from the neighbours. */
static inline void expose(const struct scene *scene, float *planes[3], uint8_t *rgb)
{
    int width = scene->width, height = scene->height;
    float *raw = malloc((size_t)width * (size_t)height * sizeof *raw);
    uint8_t lut[4096];

    for (int i = 0; i < 4096; i++)
        lut[i] = (uint8_t)lround(255 * fmin(fmax(tone(scene->curve, i / 4095.0), 0), 1));
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            double electrons = (double)planes[bayer(x, y)][at] / scene->white_at * scene->electrons;

            electrons += chance_normal() * sqrt(electrons + 9);
            raw[at] = (float)fmin(fmax(electrons / scene->electrons, 0), 1);
        }
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            double seen[3] = {0};

            see_colours(scene, raw, x, y, seen);
            for (int c = 0; c < 3; c++)
                rgb[at * 3 + (size_t)c] = lut[(int)(seen[c] * 4095)];
        }
    free(raw);
}

/* The picture as 8-bit RGB, to be freed. */
static inline uint8_t *scene_pixels(const struct scene *scene)
{
    size_t count = (size_t)scene->width * (size_t)scene->height;
    struct painter painter;
    float *planes[3];
    uint8_t *rgb;

    /* Pages that one picture has had serve the next. */
    (void)mallopt(M_MMAP_THRESHOLD, 1 << 30);
    (void)mallopt(M_TRIM_THRESHOLD, 1 << 30);
    rgb = malloc(count * 3);
    painter_open(&painter, scene);
    for (int c = 0; c < 3; c++)
        planes[c] = calloc(count, sizeof *planes[c]);
    for (int y = 0; scene->has_moon && y < scene->height; y++)
        for (int x = 0; x < scene->width; x++) {
            size_t at = (size_t)y * (size_t)scene->width + (size_t)x;
            float pixel[3] = {0};
            double dx = x - scene->x, dy = y - scene->y, reach = 3 * scene->radius_px + 8;

            if (dx * dx + dy * dy > reach * reach) /* a lens stretches less */
                continue;
            moon_pixel(&painter, x, y, pixel);
            for (int c = 0; c < 3; c++)
                planes[c][at] = pixel[c];
        }
    add_scenery(&painter, planes);
    for (int c = 0; c < 3; c++) {
        blur_disc(planes[c], scene->width, scene->height, scene->defocus_px);
        if (scene->motion_px > 0)
            blur_motion(planes[c], scene->width, scene->height, scene->motion_px,
                        scene->motion_direction);
    }
    expose(scene, planes, rgb);
    for (int c = 0; c < 3; c++)
        free(planes[c]);
    return rgb;
}

/* Pixels as a JPEG, to be freed. `exif`: an APP1 segment's content; size 0: none. */
static inline uint8_t *pixels_jpeg(const struct scene *scene, uint8_t *rgb, const uint8_t *exif,
                                   size_t exif_size, size_t *size)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    unsigned char *bytes = NULL;
    unsigned long count = 0;

    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_mem_dest(&jpeg, &bytes, &count);
    jpeg.image_width = (JDIMENSION)scene->width;
    jpeg.image_height = (JDIMENSION)scene->height;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, scene->quality, TRUE);
    jpeg_start_compress(&jpeg, TRUE);
    if (exif_size)
        jpeg_write_marker(&jpeg, JPEG_APP0 + 1, exif, (unsigned)exif_size);
    while (jpeg.next_scanline < jpeg.image_height) {
        JSAMPROW row = rgb + (size_t)jpeg.next_scanline * (size_t)scene->width * 3;

        (void)jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    *size = count;
    return bytes;
}

/* Exposes so that the brightest part of the disc, or the middle of what is in the umbra, comes `stops`
 * above mid-grey (0.18 of white). */
static inline void scene_expose(struct scene *scene, bool umbra, double stops)
{
    struct light_model model;
    double s = scene->semidiameter_rad;
    double from = umbra ? fmin(scene->shadow, UMBRA_RADII - 0.5) : scene->shadow + 0.85;

    light_prepare(&model, UMBRA_RADII * s, PENUMBRA_RADII * s, scene->danjon);
    scene->white_at =
        light_at(&model, from * s, UMBRA_RADII * s, PENUMBRA_RADII * s) / 0.18 / exp2(stops);
}

#endif
