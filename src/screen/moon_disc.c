/* The disc of the Moon with the umbra where it falls on it. */
#include "panels.h"

#include <moonstand/instant.h>
#include <moonstand/test_print.h>

#include <math.h>

/* Dots of one row that lie in a circle: from the first to before the end. */
struct chord {
    int first, end;
};

static struct chord chord_at(double y, double centre_x, double centre_y, double radius)
{
    double half = sqrt(radius * radius - (y + 0.5 - centre_y) * (y + 0.5 - centre_y));

    if (isnan(half))
        return (struct chord){0, 0};
    return (struct chord){(int)ceil(centre_x - half - 0.5), (int)floor(centre_x + half - 0.5) + 1};
}

/* Inside the umbra every other dot is set, so that the shadow shows without colour too. */
static void draw_part(struct area area, const struct disc *disc, const struct face *face,
                      bool shaded)
{
    double umbra_x = disc->x + face->shadow_x * disc->radius;
    double umbra_y = disc->y - face->shadow_y * disc->radius;
    int top = (int)floor(disc->y - disc->radius), bottom = (int)ceil(disc->y + disc->radius);

    for (int y = top > 0 ? top : 0; y < bottom && y < 4 * area.height; y++) {
        struct chord moon = chord_at(y, disc->x, disc->y, disc->radius);
        struct chord dark = chord_at(y, umbra_x, umbra_y, face->umbra * disc->radius);
        for (int x = moon.first > 0 ? moon.first : 0; x < moon.end && x < 2 * area.width; x++) {
            bool in_umbra = x >= dark.first && x < dark.end;
            if (in_umbra == shaded && (!shaded || (x + y) % 2 == 0))
                area_dot(area, x, y, shaded ? ROLE_SHADE : ROLE_LIT);
        }
    }
}

/* Half a cell is as high as wide: so many dots. */
enum { HALF = 2 };

/* How bright light is drawn for the eye, so that sunlight and the darkest umbra are both seen: in
 * stops, SPAN of them, the least FLOOR bright. In totality the brightest point still comes near white. */
#define TONE_SPAN 17.0
#define TONE_FLOOR 0.34
#define TONE_WHITE 0.85
#define CLIPPED_TONE 0.45
#define MARE_TONE 0.8 /* 0.6 times the light would hardly be seen in that scale */

/* The face as it is drawn: for the eye, or as a setting will take it. */
struct picture {
    const struct disc *disc;
    const struct face *face;
    const struct print_ask *print; /* null: for the eye */
    double lift;                   /* for the eye: by which all is brighter */
};

static double eye_tone(double stops)
{
    return TONE_FLOOR + (1 - TONE_FLOOR) * fmax(0, 1 + stops / TONE_SPAN);
}

static struct picture picture_of(const struct disc *disc, const struct face *face,
                                 const struct print_ask *print)
{
    double away = hypot(face->shadow_x, face->shadow_y), brightest = 0;

    /* The point of the limb that is furthest from the axis. */
    if (away > 0)
        brightest = face_stops(face, -face->shadow_x / away, -face->shadow_y / away);
    return (struct picture){disc, face, print, fmax(1, TONE_WHITE / eye_tone(brightest))};
}

/* 2: clipped. */
static double tone_at(const struct picture *picture, double x, double y)
{
    double stops = face_stops(picture->face, x, y), albedo = face_albedo(picture->face, x, y);

    if (picture->print)
        return print_tone(print_stops(picture->print, exp2(stops)) + log2(albedo));
    return picture->lift * eye_tone(stops) * (albedo < 1 ? MARE_TONE : 1);
}

/* The mean of some points of half a cell, so that the limb is smooth; each is at another instant of
 * the exposure. */
static double mean_tone(const struct picture *picture, int x, int y, double sky)
{
    enum { FINE = 3, POINTS = FINE * FINE, STRIDE = 5 };
    const struct disc *disc = picture->disc;
    double sum = 0;
    int clipped = 0;

    for (int i = 0; i < POINTS; i++) {
        double since = (double)(STRIDE * i % POINTS) / (POINTS - 1) - 0.5;
        double right = HALF * (x + (i % FINE + 0.5) / FINE) - disc->x - since * disc->smear_x;
        double down = HALF * (y + (i / FINE + 0.5) / FINE) - disc->y - since * disc->smear_y;
        double u = right / disc->radius, v = -down / disc->radius;
        double tone = u * u + v * v < 1 ? tone_at(picture, u, v) : sky;
        clipped += tone > 1;
        sum += fmin(tone, 1);
    }
    /* A pattern, for a red that is full is no warning. */
    return clipped > POINTS / 2 && (x + y) % 2 == 0 ? CLIPPED_TONE : sum / POINTS;
}

/* For the eye one point does where all of half a cell is on the disc: this is drawn every second. */
static double half_tone(const struct picture *picture, int x, int y, double sky)
{
    const struct disc *disc = picture->disc;
    double right = HALF * (x + 0.5) - disc->x, down = HALF * (y + 0.5) - disc->y;
    double corner = hypot(fabs(right) + HALF / 2.0, fabs(down) + HALF / 2.0);

    if (picture->print || corner >= disc->radius)
        return mean_tone(picture, x, y, sky);
    return fmin(1, tone_at(picture, right / disc->radius, -down / disc->radius));
}

static void draw_tones(struct area area, const struct picture *picture)
{
    const struct disc *disc = picture->disc;
    double sky = picture->print ? fmin(1, print_tone(print_stops(picture->print, 0))) : 0;
    double right = disc->radius + fabs(disc->smear_x) / 2,
           down = disc->radius + fabs(disc->smear_y) / 2;

    int left = (int)fmax(0, floor((disc->x - right) / HALF));
    int top = (int)fmax(0, floor((disc->y - down) / HALF));
    double end_x = fmin(area.width, (disc->x + right) / HALF);
    double end_y = fmin(2 * area.height, (disc->y + down) / HALF);

    for (int y = top; y < end_y; y++) {
        for (int x = left; x < end_x; x++)
            area_tone(area, x, y, half_tone(picture, x, y, sky));
    }
}

void disc_draw(struct area area, struct disc disc, const struct face *face,
               const struct print_ask *print)
{
    if (!isfinite(face->shadow_x) || !(fabs(disc.x) < 4 * CANVAS_WIDTH) ||
        !(fabs(disc.y) < 4 * CANVAS_HEIGHT))
        return;
    /* In the middle of half a cell, if it is hardly larger: shared among neighbours it would be so
     * faint as if the setting lost it. */
    if (disc.radius < HALF) {
        disc.x = HALF * floor(disc.x / HALF) + HALF / 2.0;
        disc.y = HALF * floor(disc.y / HALF) + HALF / 2.0;
    }
    /* A cell has one role: where light and shadow meet in it, light wins. */
    draw_part(area, &disc, face, true);
    draw_part(area, &disc, face, false);
    struct picture picture = picture_of(&disc, face, print);
    draw_tones(area, &picture);
}

void moon_disc(struct area area, const struct scene *scene)
{
    enum { LEAST_DOTS = 12, MOST_DOTS = 48 };
    const struct night *night = scene->night;
    int diameter = 2 * area.width < 4 * area.height ? 2 * area.width : 4 * area.height;
    /* Once a minute, so that its cells are not sent again every second. */
    double utc = 60 * floor(scene->moment->utc / 60);
    struct shadow shadow;
    struct sight moon;
    struct face face;

    if (diameter > MOST_DOTS)
        diameter = MOST_DOTS;
    if (diameter < LEAST_DOTS || !scene->moment->moon.up)
        return;
    shadow_at(&night->arc, tt_from_utc(utc), night->eclipse.rule, &shadow);
    sky_moon(&night->arc, &night->observer, utc, &moon);
    face_make(&night->light, &shadow, &moon, 0, &face);
    double radius = diameter / 2.0;
    disc_draw(area, (struct disc){.x = radius, .y = radius, .radius = radius}, &face, NULL);
}
