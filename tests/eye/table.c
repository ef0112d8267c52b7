/* make eye-table: how well the finder does on made-up pictures, beside what is promised. The seeds are
 * this table's own. */
#include "../../src/night/derive.h"
#include "../../src/sky/sky_private.h"
#include "eye/trial.h"
#include "night/ridge_night.h"

#include <moonstand/album.h>
#include <moonstand/eclipse.h>
#include <moonstand/moment.h>
#include <moonstand/track.h>

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <time.h>

enum { MOST = 400, TABLE_SEED = 20290000 };

/* One line: pictures of a kind. */
struct kind {
    const char *name, *promise;
    int count;
    struct scene (*make)(int i);
    double wrong_px; /* a centre further off is a wrong place; 0: 2 % of the radius */
    bool empty;      /* without a Moon: whatever is found is false */
};

/* ---- kinds ---- */

static struct scene large(int i)
{
    (void)i;
    return scene_by_chance(6000, 4000, 2362);
}
static struct scene of_780(int i)
{
    (void)i;
    return scene_by_chance(2400, 1900, 780);
}
static struct scene of_312(int i)
{
    (void)i;
    return scene_by_chance(1000, 800, 312);
}
static struct scene of_100_to_200(int i)
{
    (void)i;
    return scene_by_chance(700, 560, chance_in(100, 200));
}
static struct scene of_50_to_100(int i)
{
    (void)i;
    return scene_by_chance(350, 280, chance_in(50, 100));
}
static struct scene by_exposure(int i)
{
    struct scene scene = scene_by_chance(600, 500, 150);

    scene.shadow = i % 2 ? chance_in(0, 1.5) : chance_in(3, 5.2);
    scene.electrons = 20000;
    scene_expose(&scene, i % 2, -6 + 12.0 * i / 40);
    return scene;
}
static struct scene with_defect(int i)
{
    struct scene scene = scene_by_chance(700, 560, 200);

    switch (i % 4) {
    case 0:
        scene.defocus_px = chance_in(6, 24);
        break;
    case 1:
        scene.motion_px = chance_in(4, 20);
        scene.motion_direction = chance_in(0, PI);
        break;
    case 2:
        scene.cloud = chance_in(0.5, 3);
        break;
    default:
        scene.halo = chance_in(0.05, 0.5);
        break;
    }
    return scene;
}
/* From 20 to 60 % of the diameter are outside. */
static struct scene cut_by_the_edge(int i)
{
    struct scene scene = scene_by_chance(700, 560, 150);

    scene.x = scene.radius_px * (1 - 2 * (0.2 + 0.4 * i / 30));
    return scene;
}
/* The camera level, the Moon 3 to 10 degrees over the horizon, in a cloudless sky. */
static struct scene low(int i)
{
    struct scene scene = scene_by_chance(700, 560, chance_in(100, 200));
    double altitude = rad_from_deg(3 + 7.0 * i / 30), s = scene.semidiameter_rad;

    scene.squash = 1 - (refraction_from_true(altitude - s, 1010, 10) -
                        refraction_from_true(altitude + s, 1010, 10)) /
                           (2 * s);
    return scene;
}
/* A part of 1000 x 800 px of a picture of 6000 x 4000 at 20 mm, the Moon anywhere in it. */
static struct scene wide(int i)
{
    struct scene scene = scene_by_chance(1000, 800, 31);

    scene.axis_x = scene.x + chance_in(-2960, 2960);
    scene.axis_y = scene.y + chance_in(-1960, 1960);
    scene.skyline = i % 3 == 0 && scene.y < 500;
    return scene;
}
static struct scene small(int i)
{
    struct scene scene = scene_by_chance(600, 500, 9 + 2.0 * (i % 4));

    scene.electrons = fmax(scene.electrons, 4000);
    return scene;
}
static struct scene no_moon(int i)
{
    (void)i;
    return scene_without_moon(700, 560, chance_in(25, 200));
}
static struct scene lamp_of_its_size(int i)
{
    struct scene scene = scene_without_moon(700, 560, chance_in(25, 120));

    (void)i;
    scene.lamps = 1;
    scene.lamp[0] = (struct lamp){chance_in(200, 500), chance_in(150, 400), scene.radius_px,
                                  pow(10, chance_in(-1.3, 1))};
    return scene;
}

static const struct kind kinds[] = {
    {"radius 2362 px (6000 x 4000)", "98 %; 0.6 % of the radius", 8, large, 0, false},
    {"radius 780 px", "98 %; 0.6 % of the radius", 40, of_780, 0, false},
    {"radius 312 px", "98 %; 0.6 % of the radius", 60, of_312, 0, false},
    {"radius 100 to 200 px", "98 %; 0.6 % of the radius", 120, of_100_to_200, 0, false},
    {"radius 50 to 100 px", "98 %; 0.6 % of the radius", 200, of_50_to_100, 0, false},
    {"exposed -6 to +6 stops", "", 41, by_exposure, 0, false},
    {"blur, shake, cloud, haze", "", 60, with_defect, 0, false},
    {"cut by the edge, 20 to 60 %", "", 31, cut_by_the_edge, 0, false},
    {"low Moon, 3 to 10 degrees", "", 31, low, 0, false},
    {"radius 31 px (wide, to 28 degrees)", "1.5 px, by two frames", 90, wide, 3, false},
    {"radius 9 to 15 px", "", 24, small, 3, false},
    {"no Moon in it (found: false)", "", 100, no_moon, 0, true},
    {"lamp of its size (found: false)", "none is said: it does not move", 24, lamp_of_its_size, 0,
     true},
};

/* ---- what came of them ---- */

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double quantile(double *values, int count, double share)
{
    if (count == 0)
        return NAN;
    qsort(values, (size_t)count, sizeof *values, by_size);
    return values[(int)fmin(share * count, count - 1)];
}

static void print_kind(const struct kind *kind, int number)
{
    static double errors[MOST], parts[MOST];
    clock_t began = clock();
    int found = 0, wrong = 0, right = 0;

    for (int i = 0; i < kind->count; i++) {
        struct scene scene;
        struct tried tried;

        chance_seed((uint64_t)(TABLE_SEED + 1000 * number + i));
        scene = kind->make(i);
        tried = try_scene(&scene, chance_in(0.98, 1.02));
        if (tried.found <= 0)
            continue;
        found++;
        if (kind->empty ||
            tried.error_px > (kind->wrong_px > 0 ? kind->wrong_px : 0.02 * scene.radius_px)) {
            wrong++;
            continue;
        }
        errors[right] = tried.error_px;
        parts[right++] = 100 * tried.error_px / scene.radius_px;
    }
    printf("| %s | %d of %d | %d |", kind->name, found, kind->count, wrong);
    if (kind->empty)
        printf(" |");
    else
        printf(" %.2f px, %.2f px, %.2f px (%.2f %%) |", quantile(errors, right, 0.5),
               quantile(errors, right, 0.95), quantile(errors, right, 1),
               quantile(parts, right, 0.95));
    printf(" %s | %.1f s |\n", kind->promise, (double)(clock() - began) / CLOCKS_PER_SEC);
    fflush(stdout);
}

/* ---- two frames of a wide lens ---- */

enum { PAIR_WIDTH = 6000, PAIR_HEIGHT = 4000, PAIRS = 48 };
#define PAIR_APART_S 60.0

/* The night of 2028-12-31 with one rig that has the Moon 31 px large, and nobody has aimed it. */
static int open_pairs(struct readings *readings)
{
    static struct setup setup;
    struct zone_table zone;

    if (ridge(&setup, &zone, &eclipse) != 0)
        return -1;
    setup.rig_count = 1;
    setup.rig[0].focal_mm = 31 / tan(0.0045) * setup.rig[0].sensor_width_mm / PAIR_WIDTH;
    setup.rig[0].sensor_height_mm = setup.rig[0].sensor_width_mm * PAIR_HEIGHT / PAIR_WIDTH;
    (void)snprintf(setup.rig[0].pictures, RIG_PICTURES, "/card");
    readings_none(readings);
    readings->eye = EYE_WATCHES;
    return ridge_open(&setup, &zone, false);
}

/* Where a level camera that is left alone has the Moon so much later. */
static struct frame_point moved(struct frame_point place, double utc, double later_s)
{
    const struct rig *rig = &night->rig[0].rig;
    struct frame_point now = {NAN, NAN};
    struct pointing pointing;

    (void)pointing_for(rig, track_direction(&night->track, utc), place, &pointing);
    (void)frame_project(rig, &pointing, track_direction(&night->track, utc + later_s), &now);
    return now;
}

/* Draws the part of a picture of which that scene is; it becomes a look at the album. */
static void take_look(struct album *album, struct scene *scene, struct frame_point place, double utc)
{
    struct look_at_moon look = {.utc = utc, .place = {NAN, NAN}, .clipped = NAN, .limb_px = NAN,
                                .limb_least_px = NAN, .lit = {NAN, NAN}, .umbra = {NAN, NAN},
                                .umbra_off_stops = NAN};
    struct tried tried;

    scene->x = scene->axis_x + place.x * PAIR_WIDTH;
    scene->y = scene->axis_y - place.y * PAIR_HEIGHT;
    tried = try_scene(scene, chance_in(0.98, 1.02));
    look.found = tried.found > 0;
    if (look.found)
        look.place = (struct frame_point){(tried.disc.x - scene->axis_x) / PAIR_WIDTH,
                                          (scene->axis_y - tried.disc.y) / PAIR_HEIGHT};
    album_look(album, &look);
}

/* What the night makes of two frames, every other pair with a burnt-out lamp of the Moon's size. */
static void print_pairs(void)
{
    static struct readings readings;
    static struct moment moment;
    int said = 0, right = 0;
    double utc;

    if (open_pairs(&readings) != 0)
        return;
    utc = at(CONTACT_U1, 600);
    night_follow(night, utc);
    for (int i = 0; i < PAIRS; i++) {
        struct album *album = &readings.album[0];
        struct frame_point place, later;
        struct scene scene;

        chance_seed((uint64_t)(TABLE_SEED + 40000 + i));
        scene = scene_by_chance(1000, 800, 31);
        place = (struct frame_point){chance_in(-0.45, 0.45), chance_in(-0.45, 0.45)};
        later = moved(place, utc, PAIR_APART_S);
        scene.axis_x = scene.x - place.x * PAIR_WIDTH;
        scene.axis_y = scene.y + place.y * PAIR_HEIGHT;
        scene.lamps = i % 2;
        scene.lamp[0] = (struct lamp){chance_in(100, 900), chance_in(100, 700), 31, 10};
        *album = (struct album){.frames = 0};
        take_look(album, &scene, place, utc);
        take_look(album, &scene, later, utc + PAIR_APART_S);
        moment_at(night, &readings, utc + PAIR_APART_S, &moment);
        if (moment.album[0].spot.kind != SPOT_MOVED)
            continue;
        said++;
        right += hypot((moment.album[0].spot.place.x - later.x) * PAIR_WIDTH,
                       (moment.album[0].spot.place.y - later.y) * PAIR_HEIGHT) <= 1.5;
    }
    printf("\nTwo frames of a wide lens, 60 s apart, every other pair with a burnt-out lamp of the Moon's "
           "size in both: of %d pairs %d are said to show the Moon, %d of them within 1.5 px.\n",
           PAIRS, said, right);
    (void)ridge_close(NULL);
}

static void print_sharpness(void)
{
    static const double blurs[] = {1.4, 3, 6, 12, 24};
    enum { EACH = 12 };

    printf("\n| blur, px across | limb width, px: median (least to most) | had a width |\n"
           "|---|---|---|\n");
    for (size_t k = 0; k < sizeof blurs / sizeof blurs[0]; k++) {
        double widths[EACH];
        int count = 0;

        for (int i = 0; i < EACH; i++) {
            struct scene scene;
            struct tried tried;

            chance_seed((uint64_t)(TABLE_SEED + 50000 + i));
            scene = scene_by_chance(900, 800, 350);
            scene.defocus_px = blurs[k];
            tried = try_scene(&scene, 1);
            if (tried.found > 0 && isfinite(tried.limb.width_px))
                widths[count++] = tried.limb.width_px;
        }
        printf("| %g | %.2f (%.2f to %.2f) | %d of %d |\n", blurs[k], quantile(widths, count, 0.5),
               quantile(widths, count, 0), quantile(widths, count, 1), count, EACH);
    }
}

static void print_clipped(void)
{
    double errors[MOST];
    int count = 0;

    for (int i = 0; i < 40; i++) {
        struct scene scene;
        struct tried tried;

        chance_seed((uint64_t)(TABLE_SEED + 60000 + i));
        scene = scene_by_chance(600, 500, 150);
        scene_expose(&scene, false, chance_in(0, 4));
        tried = try_scene(&scene, 1);
        if (tried.found > 0)
            errors[count++] = 100 * tried.clipped_error;
    }
    printf(
        "\nClipped share, lit part 0 to +4 stops: error median %.2f %%, 95 %% within %.2f %%, of "
        "%d pictures.\n",
        quantile(errors, count, 0.5), quantile(errors, count, 0.95), count);
}

/* Stops over mid-grey of the luminance that the umbra was drawn with; the share of the disc in it. */
static double umbra_drawn(const struct scene *scene, double *share)
{
    struct light_model model;
    struct light light;
    double s = scene->semidiameter_rad;
    struct shadow shadow = {.separation = scene->shadow * s,
                            .moon_radius = s,
                            .umbra = UMBRA_RADII * s,
                            .penumbra = PENUMBRA_RADII * s};
    double rgb[3];

    light_prepare(&model, shadow.umbra, shadow.penumbra, scene->danjon);
    light_disc(&model, &shadow, &light);
    light_colour(light.umbra, rgb);
    *share = light.umbra_share;
    return log2((0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]) / scene->white_at / 0.18);
}

/* How far the full Moon, exposed as by default or nearly so, comes out from what it was drawn with. */
static double camera_off(enum curve curve)
{
    struct scene scene = scene_by_chance(420, 400, 150);
    double stops = chance_in(0.3, 1);
    struct tried tried;

    scene.curve = curve;
    scene.shadow = 6;
    scene.electrons = 20000;
    scene_expose(&scene, false, stops);
    tried = try_scene(&scene, 1);
    return tried.found > 0 ? lit_tone_stops(&tried.light) - stops : NAN;
}

/* The umbra's tone, by the program's own rules of when it says something, held against what was drawn. */
static void print_light(void)
{
    static const char *const names[CURVES] = {"sRGB", "contrasty", "soft", "flat profile"};
    enum { EACH = 60 };

    puts("\nLight of the umbra, -3 to +1.5 stops, in totality and close to it, once the full Moon "
         "was "
         "seen (promised: what is said is right to half a stop):\n\n"
         "| tone curve | said | within half a stop | worst | not said |\n|---|---|---|---|---|");
    for (int curve = 0; curve < CURVES; curve++) {
        int said = 0, within = 0;
        double worst = 0;

        for (int i = 0; i < EACH; i++) {
            struct scene scene;
            struct tried tried;
            double camera, share, drawn, off = NAN;

            chance_seed((uint64_t)(TABLE_SEED + 70000 + 100 * curve + i));
            camera = camera_off((enum curve)curve);
            scene = scene_by_chance(420, 400, 150);
            scene.curve = (enum curve)curve;
            scene.shadow = chance_in(0, 2.2);
            scene.electrons = 3000;
            scene_expose(&scene, true, chance_in(-3, 1.5));
            drawn = umbra_drawn(&scene, &share);
            tried = try_scene(&scene, 1);
            if (tried.found > 0 && fabs(camera) <= CAMERA_ODD_STOPS)
                off = umbra_tone_stops(&tried.light, share) - camera - drawn;
            if (isnan(off))
                continue;
            said++;
            within += fabs(off) <= 0.5;
            worst = fmax(worst, fabs(off));
        }
        printf("| %s | %d | %d | %.2f | %d |\n", names[curve], said, within, worst, EACH - said);
    }
}

/* Writes one picture for other tests: a Moon of 80 px, half covered, left of the middle and above. */
static int write_picture(const char *path)
{
    struct scene scene = scene_plain(480, 360, 80);
    FILE *out = fopen(path, "wb");
    uint8_t *jpeg;
    size_t size, written;

    scene.shadow = 2.6;
    scene.x = 0.3 * scene.width;
    scene.y = 0.4 * scene.height;
    scene_expose(&scene, false, 0.5);
    jpeg = scene_file(&scene, 1, &size);
    written = out ? fwrite(jpeg, 1, size, out) : 0;
    free(jpeg);
    return !out || fclose(out) != 0 || written != size;
}

int main(int argc, char **argv)
{
    int pictures = 0;

    if (argc > 1)
        return write_picture(argv[1]);

    puts("Made-up pictures; no picture of a real eclipse has been looked at.\n");
    puts("| pictures | found | wrong place | centre: median, 95 %, worst (95 % of the radius) | "
         "promised | drawn and found in |\n|---|---|---|---|---|---|");
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        print_kind(&kinds[i], (int)i);
        pictures += kinds[i].count;
    }
    printf("\n%d pictures.\n", pictures);
    print_pairs();
    print_sharpness();
    print_clipped();
    print_light();
    return 0;
}
