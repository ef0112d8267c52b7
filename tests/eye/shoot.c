/* A made-up camera: takes the pictures that its standard input lists, one a line:
 *
 *     FILE WIDTH HEIGHT X Y RADIUS SHADOW STOPS HALO SHUTTER_S ISO F_NUMBER MODEL
 *
 * FILE.jpg, and FILE.nef that holds the same JPEG as its preview.
 * X, Y: place of the Moon's centre, fractions of the frame from its centre, right and up positive; RADIUS:
 * px; SHADOW: of its axis from the Moon's centre, in Moon's radii; STOPS: a Moon in full sunlight over
 * mid-grey; HALO: share of the light that a haze spreads. All were taken at 2028:12:31 17:30:09.21,
 * which whoever lets them land writes over. */
#include "eye/trial.h"

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

struct shutter {
    double shutter_s, iso, f_number;
    char model[64];
};

/* The tags of a picture as a TIFF, whose JPEG (size 0: none) follows it at once. */
static void put_tags(struct header *header, size_t base, const struct shutter *taken, size_t jpeg)
{
    struct tag_in tags[] = {
        {0x0110, 2, taken->model, strlen(taken->model) + 1, 0, 0},
        TAG_NUMBER(0x0112, 3, 1),
        TAG_NUMBER(0x0201, 4, 0),
        TAG_NUMBER(0x0202, 4, (uint32_t)jpeg),
        TAG_RATIO(0x829a, (uint32_t)lround(taken->shutter_s * 1e6), 1000000),
        TAG_RATIO(0x829d, (uint32_t)lround(taken->f_number * 10), 10),
        TAG_NUMBER(0x8827, 3, (uint32_t)taken->iso),
        TAG_TEXT(0x9003, "2028:12:31 17:30:09"),
        TAG_TEXT(0x9291, "21"),
    };
    size_t next, begin = header->size, entry = 12;
    uint32_t table;

    put_tiff_head(header, false, 42);
    table = put_table(header, base, tags, sizeof tags / sizeof tags[0], &next);
    set_number(header, begin + 4, table, 4);
    /* The third entry's value. */
    set_number(header, base + table + 2 + 2 * entry + 8, header->size - base, 4);
}

static int put_file(const char *stem, const char *ending, const struct header *head,
                    const uint8_t *jpeg, size_t size)
{
    char path[300];
    FILE *out;
    size_t written;

    (void)snprintf(path, sizeof path, "%s.%s", stem, ending);
    out = fopen(path, "wb");
    written = out ? fwrite(head->data, 1, head->size, out) + fwrite(jpeg, 1, size, out) : 0;
    return !out || fclose(out) != 0 || written != head->size + size;
}

static int take(const struct scene *scene, const char *stem, const struct shutter *taken)
{
    struct header exif = {.size = 0}, raw = {.size = 0}, none = {.size = 0};
    uint8_t *rgb = scene_pixels(scene), *jpeg;
    size_t size;
    int failed;

    put_bytes(&exif, "Exif\0", 6);
    put_tags(&exif, 6, taken, 0);
    jpeg = pixels_jpeg(scene, rgb, exif.data, exif.size, &size);
    put_tags(&raw, 0, taken, size);
    failed = put_file(stem, "jpg", &none, jpeg, size) || put_file(stem, "nef", &raw, jpeg, size);
    free(jpeg);
    free(rgb);
    return failed;
}

int main(void)
{
    char stem[256];
    int width, height;
    double x, y, radius, shadow, stops, halo;
    struct shutter taken;

    while (scanf("%255s %d %d %lf %lf %lf %lf %lf %lf %lf %lf %lf %63s", stem, &width, &height,
                 &x, &y, &radius, &shadow, &stops, &halo, &taken.shutter_s, &taken.iso,
                 &taken.f_number, taken.model) == 13) {
        struct scene scene = scene_plain(width, height, radius);

        scene.x = (0.5 + x) * width;
        scene.y = (0.5 - y) * height;
        scene.shadow = shadow;
        scene.white_at = 1 / 0.18 / exp2(stops);
        scene.halo = halo;
        scene.stars = 20;
        if (take(&scene, stem, &taken) != 0) {
            fprintf(stderr, "%s: cannot be written\n", stem);
            return 1;
        }
    }
    return !feof(stdin);
}
