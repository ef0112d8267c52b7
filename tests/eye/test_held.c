/* What is found in made-up pictures and read from damaged headers, against tests/prints/eye-discs.txt and
 * eye-damage.txt: how good that is, the other tests of this room say; here nothing of it changes unseen.
 * BLESS=1 writes them anew: the difference is then for people to review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "eye/trial.h"
#include "timed.h"

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

static void write_disc(FILE *out, const struct tried *tried)
{
    const struct moon_disc *disc = &tried->disc;
    const struct disc_light *light = &tried->light;
    const struct limb *limb = &tried->limb;

    if (tried->found <= 0) {
        fprintf(out, " none\n");
        return;
    }
    fprintf(out, " %.2f %.2f radius %.2f arc %.3f scatter %.3f score %.3f;", disc->x, disc->y,
            disc->radius_px, disc->arc, disc->scatter_px, disc->score);
    fprintf(out, " lit %.1f umbra %.1f %.1f %.1f clipped %.3f sky %.1f; limb %.2f %.2f %.2f %.0f\n",
            known(light->lit), known(light->umbra[0]), known(light->umbra[1]),
            known(light->umbra[2]), known(light->clipped), known(light->sky), known(limb->width_px),
            known(limb->least_px), known(limb->most_px), known(limb->most_deg));
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
            write_disc(out, &tried);
        }
    page_hold(out, &text, "eye-discs");
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

/* One byte after the other is damaged: how often the file is refused, and which fields then read
 * otherwise. */
static void write_damage(FILE *out, const char *name, const struct header *whole)
{
    static const uint8_t damages[] = {0x01, 0x80, 0xff};
    struct metadata was, is;
    struct fault fault = {""};

    assert_int_equal(metadata_read(whole->data, whole->size, &was, &fault), 0);
    for (size_t d = 0; d < sizeof damages; d++) {
        int changes[FIELDS] = {0}, refused = 0;

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
        }
        fprintf(out, "%s, %zu bytes xor %02x: refused %d", name, whole->size, damages[d], refused);
        for (int i = 0; i < FIELDS; i++)
            fprintf(out, ", %s %d", fields[i], changes[i]);
        fprintf(out, "\n");
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
        cmocka_unit_test(discs_are_as_blessed),
    };

    /* A sanitizer takes ten times as long for the discs, and test_disc is enough for it. */
    return _cmocka_run_group_tests("tests", tests, TIMED ? 2 : 1, NULL, NULL);
}
