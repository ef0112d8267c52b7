/* What is found in made-up pictures and read from damaged headers, against tests/prints/eye-discs.txt, eye-steps.txt,
 * eye-limits.txt and eye-damage.txt: how good that is, the other tests of this room say; here nothing of it changes
 * unseen. BLESS=1 writes them anew: the difference is then for people to review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "eye/globe.h"
#include "eye/trial.h"
#include "timed.h"

#include "../../src/eye/disc.h"

#include <inttypes.h>

static FILE *page_open(char **text)
{
    static size_t size;
    FILE *out = open_memstream(text, &size);

    assert_non_null(out);
    return out;
}

static void page_hold(FILE *out, char **text, const char *name)
{
    assert_int_equal(fclose(out), 0);
    hold_print(name, *text);
    free(*text);
}

/* ---- discs ---- */

static struct scene phase(int i)
{
    return scene_by_chance(300, 260, 60 + 8 * i);
}

static struct scene exposed(int i)
{
    struct scene scene = scene_by_chance(300, 260, 90);

    scene.shadow = i % 2 ? 1.4 : 3.5;
    scene_expose(&scene, i % 2, -4.5 + 1.5 * i);
    return scene;
}

static struct scene wide(int i)
{
    struct scene scene = scene_by_chance(260, 220, 24 + 4 * i);

    scene.axis_x = scene.x + 1500 * (i - 2);
    scene.axis_y = scene.y - 900;
    scene.skyline = i == 2 && scene.y < 120;
    return scene;
}

static struct scene at_the_edge(int i)
{
    struct scene scene = scene_by_chance(300, 260, 90);

    scene.x = i % 2 ? scene.x : 0.9 * 90 * (i < 2 ? 0.2 : 1);
    scene.y = i % 2 ? 260 - 40 : scene.y;
    scene.shadow = i < 2 ? 6 : 2.8;
    scene_expose(&scene, false, 0.5);
    return scene;
}

static struct scene spoiled(int i)
{
    struct scene scene = scene_by_chance(300, 260, 95);

    scene.shadow = 2.2 + 0.5 * i;
    scene.defocus_px = i == 0 ? 9 : 1.4;
    scene.motion_px = i == 1 ? 7 : 0;
    scene.motion_direction = 0.6;
    scene.cloud = i == 2 ? 1.5 : 0;
    scene.halo = i == 3 ? 0.3 : 0;
    scene.squash = i == 4 ? 0.93 : 1;
    scene_expose(&scene, false, 0.3);
    return scene;
}

/* At high ISO, with more noise than light. */
static struct scene faint(int i)
{
    struct scene scene = scene_by_chance(300, 260, 70 + 10 * i);

    scene.electrons = 60 + 80 * i;
    scene.sky = 0.02;
    return scene;
}

static struct scene small(int i)
{
    struct scene scene = scene_by_chance(200, 160, 9 + 3 * i);

    scene.electrons = fmax(scene.electrons, 4000);
    return scene;
}

static struct scene large(int i)
{
    return scene_by_chance(760, 700, 290 + 30 * i);
}

static struct scene without(int i)
{
    return scene_without_moon(300, 260, 25 + 25 * i);
}

static const struct {
    const char *name;
    int count;
    struct scene (*make)(int i);
} kinds[] = {
    {"phase", 6, phase},     {"exposed", 6, exposed},
    {"wide", 4, wide},       {"at the edge", 4, at_the_edge},
    {"spoiled", 5, spoiled}, {"faint", 6, faint},
    {"small", 4, small},     {"large", 2, large},
    {"without", 4, without},
};

/* To a millionth, far below what counts: a sample more or less of a search shows there. */
static void write_disc(FILE *out, const struct moon_disc *disc)
{
    fprintf(out, " %.6f %.6f radius %.6f arc %.6f scatter %.6f score %.6f", disc->x, disc->y,
            disc->radius_px, disc->arc, disc->scatter_px, disc->score);
}

static void write_measures(FILE *out, const struct disc_light *light, const struct limb *limb)
{
    /* Of an even limb the direction is but rounding. */
    double most_deg = limb->most_px > 1.1 * limb->least_px ? limb->most_deg : NAN;

    fprintf(out, "; lit %.1f umbra %.1f %.1f %.1f clipped %.6f sky %.1f; limb %.6f %.6f %.6f %.3f\n",
            known(light->lit), known(light->umbra[0]), known(light->umbra[1]),
            known(light->umbra[2]), known(light->clipped), known(light->sky), known(limb->width_px),
            known(limb->least_px), known(limb->most_px), known(most_deg));
}

static void discs_are_as_blessed(void **state)
{
    char *text;
    FILE *out = page_open(&text);

    (void)state;
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        for (int i = 0; i < kinds[k].count; i++) {
            struct scene scene;
            struct tried tried;

            chance_seed(70000 + 100 * (uint64_t)k + (uint64_t)i);
            scene = kinds[k].make(i);
            tried = try_scene(&scene, 1 + 0.01 * (i % 3 - 1));
            fprintf(out, "%s %d, %.2f %.2f radius %.0f:", kinds[k].name, i, scene.x, scene.y,
                    scene.radius_px);
            if (tried.found > 0) {
                write_disc(out, &tried.disc);
                write_measures(out, &tried.light, &tried.limb);
            } else {
                fprintf(out, " none\n");
            }
        }
    page_hold(out, &text, "eye-discs");
}

/* ---- the steps to a disc ---- */

enum { GLOBES = 36, WIDTH = 150, HEIGHT = 130 };

/* Of any colours, often cut by the edge, shaded, burnt out, noisy or uneven. */
static struct globe globe_by_chance(int i)
{
    double radius_px = chance_in(12, 62), tone = i % 6 == 5 ? 320 : chance_in(30, 230);
    struct globe globe = globe_plain(chance_in(10, WIDTH - 10), chance_in(10, HEIGHT - 10), radius_px, 0);

    for (int c = 0; c < 3; c++) {
        globe.tone[c] = tone * chance_in(0.4, 1);
        globe.sky[c] = chance_in(0, 0.2) * tone;
        globe.shaded[c] = globe.tone[c] * chance_in(0.1, 0.8);
        globe.wave[c] = i % 3 ? chance_in(0, 0.2) : 0;
    }
    globe.shadow = i % 2 ? chance_in(-1, 1) : globe.shadow;
    globe.blur_px = chance_in(0.5, 2);
    globe.noise = i % 4 ? chance_in(0, 8) : 0;
    return globe;
}

/* All that may be a disc, and what the fit makes of the best of it. */
static void write_steps(FILE *out, const struct pixels *pixels, const struct moon_size *size)
{
    enum { FITTED = 4 };
    struct candidate candidates[CANDIDATES];
    int count = candidates_vote(pixels, size, candidates);
    double votes = 0;
    struct moon_disc best;

    for (int i = 0; i < count; i++) {
        struct moon_disc disc;
        bool good;

        votes += candidates[i].votes;
        if (i >= FITTED)
            continue;
        good = disc_fit(pixels, size, &candidates[i], &disc);
        fprintf(out, "  %.6f %.6f votes %.4f: %s", candidates[i].x, candidates[i].y, candidates[i].votes,
                good ? "a disc" : "none");
        write_disc(out, &disc);
        fprintf(out, "\n");
    }
    fprintf(out, "  %d candidates, %.4f votes, found %d", count, votes, disc_find(pixels, size, &best));
}

/* Globes painted into whole pictures and into parts of larger ones, and looked at as they are known to be: by their
 * place, whatever the finder makes of it. */
static void steps_are_as_blessed(void **state)
{
    char *text;
    FILE *out = page_open(&text);

    (void)state;
    chance_seed(70);
    for (int i = 0; i < GLOBES; i++) {
        struct globe globe = globe_by_chance(i);
        double left = i % 5 == 4 ? 700 : 0, top = i % 5 == 3 ? 900 : 0, scale = i % 7 == 6 ? 2 : 1;
        struct moon_disc disc = {.x = globe.x += left, .y = globe.y += top, .radius_px = globe.radius_px};
        struct moon_size size = globe_size(&globe, i % 5 == 4 ? 400 : WIDTH / 2.0, i % 5 == 3 ? 300 : HEIGHT / 2.0);
        struct pixels pixels = globe_paint(&globe, WIDTH, HEIGHT, left, top, scale);
        struct disc_light light;
        struct limb limb;

        size.radius_px *= 1 + 0.01 * (i % 3 - 1);
        size.semidiameter_rad = 0.03;
        fprintf(out, "%d, %.2f %.2f radius %.2f\n", i, globe.x, globe.y, globe.radius_px);
        write_steps(out, &pixels, &size);
        disc_light(&pixels, &size, &disc, &light);
        disc_limb(&pixels, &size, &disc, &limb);
        write_measures(out, &light, &limb);
        free(pixels.rgb);
    }
    /* Of the same tone all round, and in the middle: several places then have as many votes. */
    for (int i = 0; i < 8; i++) {
        struct globe globe = globe_plain(WIDTH / 2.0, HEIGHT / 2.0, 14 + 5 * i, 120);
        struct moon_size size = globe_size(&globe, WIDTH / 2.0, HEIGHT / 2.0);
        struct pixels pixels = globe_paint(&globe, WIDTH, HEIGHT, 0, 0, 1);

        fprintf(out, "round, radius %.0f\n", globe.radius_px);
        write_steps(out, &pixels, &size);
        fputc('\n', out);
        free(pixels.rgb);
    }
    page_hold(out, &text, "eye-steps");
}

/* Edges from sharp to as wide as can be measured, in strong and in weak contrast, with the centre as well known as it
 * is. */
static void write_limbs(FILE *out)
{
    enum { LIMBS = 16 };

    for (int i = 0; i < LIMBS; i++) {
        struct globe globe = globe_plain(chance_in(120, 140), chance_in(110, 150), chance_in(58, 115), chance_in(30, 240));
        struct moon_size size = globe_size(&globe, 130, 130);
        struct moon_disc disc = {
            .x = globe.x + chance_in(-1, 1), .y = globe.y + chance_in(-1, 1), .radius_px = globe.radius_px};
        struct disc_light light;
        struct pixels pixels;
        struct limb limb;

        globe.blur_px = 0.3 + 0.25 * i;
        globe.more_px = i % 2 ? chance_in(0, 2) : 0;
        globe.direction = chance_in(0, PI);
        globe.sky[1] = chance_in(0, 20);
        globe.noise = chance_in(0, 4);
        pixels = globe_paint(&globe, 260, 260, 0, 0, 1);
        disc_light(&pixels, &size, &disc, &light);
        disc_limb(&pixels, &size, &disc, &limb);
        fprintf(out, "blur %.2f of radius %.2f", globe.blur_px, globe.radius_px);
        write_measures(out, &light, &limb);
        free(pixels.rgb);
    }
}

/* A quarter of a large one, as blurred as can be measured at all, with the centre a few px off. */
static void write_large_limbs(FILE *out)
{
    for (int i = 0; i < 4; i++) {
        struct globe globe = globe_plain(30, 30, 500, 180);
        struct moon_size size = globe_size(&globe, 270, 270);
        struct moon_disc disc = {.x = 30 + 3 * (i - 1), .y = 30 - 4 * (i - 2), .radius_px = 500};
        struct pixels pixels;
        struct limb limb;

        globe.blur_px = 8 + 2.5 * i;
        pixels = globe_paint(&globe, 540, 540, 0, 0, 1);
        disc_limb(&pixels, &size, &disc, &limb);
        fprintf(out, "blur %.2f of radius 500, %.0f %.0f px off: %.6f %.6f %.6f\n", globe.blur_px, disc.x - 30,
                disc.y - 30, known(limb.width_px), known(limb.least_px), known(limb.most_px));
        free(pixels.rgb);
    }
}

/* From which unevenness on a globe is no lamp, in parts of pictures. */
static void write_evenness(FILE *out)
{
    static const struct pixels parts[] = {
        {.width = 110, .height = 90, .scale = 1},
        {.width = 90, .height = 110, .left = 300, .top = 200, .scale = 1},
        {.width = 100, .height = 90, .left = 40, .top = 70, .scale = 2},
    };

    for (int i = 0; i < 6; i++) {
        const struct pixels *part = &parts[i / 2];
        /* Every other one is cut by an edge. */
        struct globe globe = globe_plain(part->left + (i % 2 ? 20 : 0.5 * part->width) * part->scale,
                                         part->top + 0.47 * part->height * part->scale, 34 * part->scale, 230);

        for (int c = 0; c < 3; c++)
            globe.tone[c] -= c == i % 3 ? 80 : 40 * (c % 2);
        fprintf(out, "globe %d, channel %d: uneven from %.6f\n", i, i % 3, globe_uneven_from(&globe, i % 3, part));
    }
}

static void limits_are_as_blessed(void **state)
{
    char *text;
    FILE *out = page_open(&text);

    (void)state;
    chance_seed(71);
    write_limbs(out);
    write_large_limbs(out);
    write_evenness(out);
    page_hold(out, &text, "eye-limits");
}

/* ---- headers ---- */

enum { FIELDS = 16 };
static const char *const fields[FIELDS] = {
    "model", "serial", "taken", "decimals", "offset",  "shutter", "iso",   "f",
    "focal", "of 35",  "px/mm", "size",     "upright", "at",      "bytes", "preview"};

static bool differ(double a, double b)
{
    return !(a == b || (isnan(a) && isnan(b)));
}

/* Counts the fields in which two readings differ. */
static void count_changes(const struct metadata *a, const struct metadata *b, int changes[FIELDS])
{
    const bool changed[FIELDS] = {
        strcmp(a->model, b->model) != 0,
        strcmp(a->serial, b->serial) != 0,
        differ(a->taken, b->taken),
        a->taken_decimals != b->taken_decimals,
        differ(a->offset_min, b->offset_min),
        differ(a->shutter_s, b->shutter_s),
        differ(a->iso, b->iso),
        differ(a->f_number, b->f_number),
        differ(a->focal_mm, b->focal_mm),
        differ(a->focal_35mm, b->focal_35mm),
        differ(a->sensor_px_per_mm, b->sensor_px_per_mm),
        a->width != b->width || a->height != b->height,
        a->orientation != b->orientation,
        a->jpeg_at != b->jpeg_at,
        a->jpeg_size != b->jpeg_size,
        a->jpeg_width != b->jpeg_width || a->jpeg_height != b->jpeg_height,
    };

    for (int i = 0; i < FIELDS; i++)
        changes[i] += changed[i];
}

/* Adds all that was read, or why it was not, to a number that another reading would change (FNV-1a). */
static uint64_t sum_reading(uint64_t sum, int result, const struct metadata *m, const struct fault *fault)
{
    char text[1024];

    if (result == 0)
        (void)snprintf(text, sizeof text, "%d %s %s %s %.9g %d %g %.9g %g %g %g %g %.9g %d %d %d %zu %zu %d %d",
                       m->format, m->make, m->model, m->serial, known(m->taken), m->taken_decimals,
                       known(m->offset_min), known(m->shutter_s), known(m->iso), known(m->f_number),
                       known(m->focal_mm), known(m->focal_35mm), known(m->sensor_px_per_mm), m->width, m->height,
                       m->orientation, m->jpeg_at, m->jpeg_size, m->jpeg_width, m->jpeg_height);
    for (const char *at = result == 0 ? text : fault->text; *at; at++)
        sum = (sum ^ (uint8_t)*at) * 0x100000001b3u;
    return sum;
}

/* One byte after the other is damaged: how often the file is refused, and which fields then read
 * otherwise. */
static void write_damage(FILE *out, const char *name, const struct header *whole)
{
    static const uint8_t damages[] = {0x01, 0x02, 0x04, 0x08, 0x80, 0xff};
    struct metadata was, is;
    struct fault fault = {""};

    assert_int_equal(metadata_read(whole->data, whole->size, &was, &fault), 0);
    for (size_t d = 0; d < sizeof damages; d++) {
        int changes[FIELDS] = {0}, refused = 0;
        uint64_t sum = 0xcbf29ce484222325u;

        for (size_t i = 0; i < whole->size; i++) {
            static struct header header;

            header = *whole;
            header.data[i] ^= damages[d];
            int result = metadata_read(header.data, header.size, &is, &fault);
            if (result == 0)
                count_changes(&was, &is, changes);
            else
                assert_int_equal(result, -1);
            refused += result != 0;
            sum = sum_reading(sum, result, &is, &fault);
        }
        fprintf(out, "%s, %zu bytes xor %02x: refused %d", name, whole->size, damages[d], refused);
        for (int i = 0; i < FIELDS; i++)
            fprintf(out, ", %s %d", fields[i], changes[i]);
        fprintf(out, ", all %016" PRIx64 "\n", sum);
    }
}

static void damage_is_as_blessed(void **state)
{
    static struct header header;
    char *text;
    FILE *out = page_open(&text);

    (void)state;
    for (int little = 0; little < 2; little++) {
        make_jpeg(&header, little);
        write_damage(out, little ? "jpeg, little end first" : "jpeg", &header);
    }
    for (int kind = 0; kind < RAW_KINDS; kind++) {
        make_raw(&header, (enum raw_kind)kind);
        write_damage(out, raw_endings[kind], &header);
    }
    make_raf(&header);
    write_damage(out, "raf", &header);
    make_cr3(&header);
    write_damage(out, "cr3", &header);
    make_heif(&header);
    write_damage(out, "heif", &header);
    page_hold(out, &text, "eye-damage");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(damage_is_as_blessed),
        cmocka_unit_test(steps_are_as_blessed),
        cmocka_unit_test(limits_are_as_blessed),
        cmocka_unit_test(discs_are_as_blessed),
    };

    /* A sanitizer takes ten times as long for the discs, and test_disc is enough for it. */
    return _cmocka_run_group_tests("tests", tests, SLOWED ? 1 : 4, NULL, NULL);
}
