#include "shape.h"

#include <moonstand/angle.h>
#include <moonstand/median.h>

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TONES = 256 };

/* Turns px from a disc's centre into its radii. */
struct outline {
    double x, y;
    double xx, xy, yy; /* the inverse of its shape */
};

static struct outline outline_of(const struct moon_size *size, const struct moon_disc *disc)
{
    struct shape s = shape_at(size, disc->x, disc->y);
    double scale = size->radius_px / disc->radius_px / (s.xx * s.yy - s.xy * s.xy);

    return (struct outline){disc->x, disc->y, s.yy * scale, -s.xy * scale, s.xx * scale};
}

/* Distance from the centre, in radii, of a place dx, dy px away. */
static double radii_at(const struct outline *outline, double dx, double dy)
{
    return hypot(outline->xx * dx + outline->xy * dy, outline->xy * dx + outline->yy * dy);
}

/* The rows and columns of `pixels` within so many radii. */
struct window {
    int left, top, right, bottom;
};
static int clip(double value, int most)
{
    return value < 0 ? 0 : value > most ? most : (int)value;
}
static struct window window_around(const struct pixels *pixels, const struct moon_size *size,
                                   const struct moon_disc *disc, double radii)
{
    struct shape s = shape_at(size, disc->x, disc->y);
    double larger = radii * disc->radius_px / size->radius_px / pixels->scale;
    double x = (disc->x - pixels->left) / pixels->scale;
    double y = (disc->y - pixels->top) / pixels->scale;
    double across = hypot(s.xx, s.xy) * larger, down = hypot(s.xy, s.yy) * larger;

    return (struct window){clip(x - across, pixels->width), clip(y - down, pixels->height),
                           clip(x + across + 1, pixels->width), clip(y + down + 1, pixels->height)};
}

static const uint8_t *pixel(const struct pixels *pixels, int x, int y)
{
    return pixels->rgb + ((size_t)y * (size_t)pixels->width + (size_t)x) * 3;
}

/* ---- light ---- */

/* Excludes the limb itself and the glow close to it. */
#define DISC_INSIDE 0.96
#define SKY_FROM 1.15
#define SKY_TO 1.5
/* There are two parts if the dark one's tone is less than this fraction of the other's, and neither
 * is a sliver; the whole is umbra if red is this much stronger than blue. */
#define DARK_RATIO 0.55
#define PART_LEAST 0.04
#define RED_RATIO 1.5
/* An umbra that exceeds the sky by less is black in the picture: its tone is unknown. */
#define UMBRA_LEVELS 3.0
enum { CLIPPED_FROM = 254 };

struct tones {
    int count[TONES];
    int total;
};

static void tones_add(struct tones *tones, int tone)
{
    tones->count[tone]++;
    tones->total++;
}

static double tones_median(const struct tones *tones)
{
    int below = 0, i = 0;

    if (tones->total == 0)
        return NAN;
    while (2 * (below + tones->count[i]) < tones->total)
        below += tones->count[i++];
    return i;
}

/* The tone that separates the counts best (Otsu 1979); below it is the dark part. */
static int tones_split(const struct tones *tones)
{
    double sum = 0, below = 0, sum_below = 0, best = -1;
    int split = 0;

    for (int i = 0; i < TONES; i++)
        sum += (double)i * tones->count[i];
    for (int i = 0; i < TONES - 1; i++) {
        below += tones->count[i];
        sum_below += (double)i * tones->count[i];
        double above = tones->total - below;
        if (below == 0 || above == 0)
            continue;
        double apart = sum_below / below - (sum - sum_below) / above;
        if (below * above * apart * apart > best) {
            best = below * above * apart * apart;
            split = i + 1;
        }
    }
    return split;
}

/* Tones of the disc's two parts, by channel and (3) brightest channel, and of the sky. */
struct parts {
    struct tones dark[4], bright[4], sky;
};

static void add_pixel(struct tones tones[4], const uint8_t *rgb)
{
    for (int c = 0; c < 3; c++)
        tones_add(&tones[c], rgb[c]);
    tones_add(&tones[3], brightest(rgb));
}

static void gather(const struct pixels *pixels, const struct outline *outline,
                   const struct window *window, int split, struct parts *parts)
{
    *parts = (struct parts){.dark = {{.total = 0}}};
    for (int y = window->top; y < window->bottom; y++)
        for (int x = window->left; x < window->right; x++) {
            double dx = pixels->left + (x + 0.5) * pixels->scale - outline->x;
            double dy = pixels->top + (y + 0.5) * pixels->scale - outline->y;
            double radii = radii_at(outline, dx, dy);
            const uint8_t *rgb = pixel(pixels, x, y);

            if (radii < DISC_INSIDE)
                add_pixel(brightest(rgb) < split ? parts->dark : parts->bright, rgb);
            else if (radii > SKY_FROM && radii < SKY_TO)
                tones_add(&parts->sky, brightest(rgb));
        }
}

static double clipped_share(const struct tones *tones)
{
    int clipped = 0;

    for (int i = CLIPPED_FROM; i < TONES; i++)
        clipped += tones->count[i];
    return (double)clipped / tones->total;
}

static bool is_red(const struct tones tones[4])
{
    return tones_median(&tones[0]) > RED_RATIO * tones_median(&tones[2]);
}

void disc_light(const struct pixels *pixels, const struct moon_size *size,
                const struct moon_disc *disc, struct disc_light *light)
{
    struct outline outline = outline_of(size, disc);
    struct window window = window_around(pixels, size, disc, SKY_TO);
    struct parts whole, parts;
    const struct tones *umbra = NULL;
    double dark, bright, share;

    *light = (struct disc_light){NAN, {NAN, NAN, NAN}, NAN, NAN};
    gather(pixels, &outline, &window, 0, &whole);
    light->sky = tones_median(&whole.sky);
    if (whole.bright[3].total == 0)
        return;
    light->clipped = clipped_share(&whole.bright[3]);
    gather(pixels, &outline, &window, tones_split(&whole.bright[3]), &parts);
    dark = tones_median(&parts.dark[3]);
    bright = tones_median(&parts.bright[3]);
    share = (double)parts.dark[3].total / whole.bright[3].total;
    if (dark < DARK_RATIO * bright && share > PART_LEAST && share < 1 - PART_LEAST) {
        light->lit = bright;
        umbra = parts.dark;
    }
    if (!umbra || is_red(parts.bright)) {
        umbra = is_red(whole.bright) ? whole.bright : NULL;
        light->lit = umbra ? NAN : tones_median(&whole.bright[3]);
    }
    /* Black in the picture is no measure of it. */
    if (umbra && tones_median(&umbra[3]) > (isnan(light->sky) ? 0 : light->sky) + UMBRA_LEVELS)
        for (int c = 0; c < 3; c++)
            light->umbra[c] = tones_median(&umbra[c]);
}

/* ---- the limb ---- */

/* The limb in SECTORS pieces, each with its own edge, so that a centre that is slightly off does
 * not widen them. Opposite and neighbouring ones make an axis. */
enum { SECTORS = 72, AXES = 6, BINS = 160, WIDTHS = 24, ROUNDS = 3 };
#define BIN_PX 0.5
#define REACH_RADII 0.08
#define LIMB_REACH_LEAST_PX 8.0
#define RADIUS_LEAST_PX 60.0
/* Widths to try: the first, and the ratio of each to the one before. */
#define WIDTH_FIRST 0.35
#define WIDTH_RATIO 1.18
#define CONTRAST_LEAST 12.0
#define LEVEL_CLIPPED 240.0
#define AXIS_SECTORS 3

struct profile {
    double sum[BINS];
    int count[BINS];
};

/* Tones of one piece of the limb over px from the outline, outwards. */
struct edge_fit {
    double place, width, inside, outside, error;
};

/* Solves for the edge's levels, given place and width: outside c, inside a + b x, the Gaussian's
 * integral between. Returns the mean square residual. */
static double fit_levels(const struct profile *profile, int bins, struct edge_fit *fit)
{
    double m[3][4] = {{0}}, squares = 0, left;
    double root = sqrt(2) * fit->width;
    int count = 0;

    for (int i = 0; i < bins; i++) {
        double x = (i + 0.5) * BIN_PX - bins * BIN_PX / 2 - fit->place, part, row[3], y;

        if (profile->count[i] == 0)
            continue;
        part = (1 - erf(x / root)) / 2;
        row[0] = part;
        row[1] = part * fmin(x, 0);
        row[2] = 1 - part;
        y = profile->sum[i] / profile->count[i];
        for (int j = 0; j < 3; j++) {
            for (int k = 0; k < 3; k++)
                m[j][k] += row[j] * row[k];
            m[j][3] += row[j] * y;
        }
        squares += y * y;
        count++;
    }
    left = squares;
    for (int i = 0; i < 3; i++) { /* Gauss without pivots: the matrix is positive */
        if (!(m[i][i] > 1e-6))
            return INFINITY;
        left -= m[i][3] * m[i][3] / m[i][i];
        for (int j = i + 1; j < 3; j++) {
            double factor = m[j][i] / m[i][i];

            for (int k = i; k < 4; k++)
                m[j][k] -= factor * m[i][k];
        }
    }
    fit->outside = m[2][3] / m[2][2];
    m[1][3] = (m[1][3] - m[1][2] * fit->outside) / m[1][1];
    fit->inside = (m[0][3] - m[0][1] * m[1][3] - m[0][2] * fit->outside) / m[0][0];
    return left / count;
}

static void try_edge(const struct profile *profile, int bins, double place, double width,
                     struct edge_fit *best)
{
    struct edge_fit tried = {.place = place, .width = width};

    tried.error = fit_levels(profile, bins, &tried);
    if (tried.error < best->error)
        *best = tried;
}

/* The edge that fits best: place and width in turn, then refined. */
static struct edge_fit fit_edge(const struct profile *profile, int bins)
{
    struct edge_fit best = {.width = 2, .error = INFINITY};

    for (int round = 0; round < ROUNDS; round++) {
        double around = best.place, step = round == 0 ? 1 : 0.25 * best.width + 0.1;
        double width = WIDTH_FIRST;

        for (int i = -4; i <= 4; i++)
            try_edge(profile, bins, around + i * step, best.width, &best);
        for (int i = 0; i < WIDTHS; i++, width *= WIDTH_RATIO)
            try_edge(profile, bins, best.place, width, &best);
    }
    for (double part = 1.08; part > 1.01; part = sqrt(part)) {
        double width = best.width, place = best.place;

        try_edge(profile, bins, place, width * part, &best);
        try_edge(profile, bins, place, width / part, &best);
        try_edge(profile, bins, place + (part - 1) * width, best.width, &best);
        try_edge(profile, bins, place - (part - 1) * width, best.width, &best);
    }
    return best;
}

static void fill_profiles(const struct pixels *pixels, const struct outline *outline,
                          const struct window *window, int bins, struct profile profiles[SECTORS])
{
    for (int y = window->top; y < window->bottom; y++)
        for (int x = window->left; x < window->right; x++) {
            double dx = pixels->left + (x + 0.5) * pixels->scale - outline->x;
            double dy = pixels->top + (y + 0.5) * pixels->scale - outline->y;
            double radii = radii_at(outline, dx, dy);
            /* Along the line from the centre, nearly the normal. */
            double out_px = (1 - 1 / radii) * hypot(dx, dy);
            int bin = (int)floor(out_px / BIN_PX + bins / 2.0), sector;

            if (!(radii > 0.5) || bin < 0 || bin >= bins)
                continue;
            sector = (int)((atan2(-dy, dx) / (2 * PI) + 1) * SECTORS + 0.5) % SECTORS;
            profiles[sector].sum[bin] += brightest(pixel(pixels, x, y));
            profiles[sector].count[bin]++;
        }
}

/* Whether the width of the edge is credible. */
static bool edge_is_good(const struct edge_fit *edge, double reach_px)
{
    double contrast = edge->inside - edge->outside;

    return contrast > CONTRAST_LEAST && edge->inside < LEVEL_CLIPPED &&
           sqrt(edge->error) < 0.15 * contrast && fabs(edge->place) < reach_px / 2 &&
           edge->width < reach_px / 2.5;
}

/* Mean, least and most over the axes that have a width; the softest direction by the wave of its
 * square over all of them. */
static void sum_up(const double width[AXES], struct limb *limb)
{
    double sum = 0, cosine = 0, sine = 0;
    int count = 0;

    for (int axis = 0; axis < AXES; axis++) {
        double angle = 2 * PI * axis / AXES;

        if (isnan(width[axis]))
            continue;
        sum += width[axis];
        count++;
        cosine += width[axis] * width[axis] * cos(angle);
        sine += width[axis] * width[axis] * sin(angle);
        if (!(width[axis] >= limb->least_px))
            limb->least_px = width[axis];
        if (!(width[axis] <= limb->most_px))
            limb->most_px = width[axis];
    }
    if (count > 0)
        limb->width_px = sum / count;
    if (count == AXES)
        limb->most_deg = deg_from_rad(angle_wrap(atan2(sine, cosine))) / 2;
}

void disc_limb(const struct pixels *pixels, const struct moon_size *size,
               const struct moon_disc *disc, struct limb *limb)
{
    struct profile profiles[SECTORS] = {0};
    double reach =
        fmin(fmax(REACH_RADII * disc->radius_px, LIMB_REACH_LEAST_PX), BINS * BIN_PX / 2);
    int bins = (int)(2 * reach / BIN_PX);
    struct outline outline = outline_of(size, disc);
    struct window window =
        window_around(pixels, size, disc, 1 + reach / disc->radius_px + REACH_RADII);
    double width[AXES], values[SECTORS];

    *limb = (struct limb){NAN, NAN, NAN, NAN};
    if (disc->radius_px < RADIUS_LEAST_PX)
        return;
    fill_profiles(pixels, &outline, &window, bins, profiles);
    for (int axis = 0; axis < AXES; axis++) {
        int around = axis * SECTORS / AXES / 2, half = SECTORS / AXES / 4, count = 0;

        for (int i = 0; i < SECTORS; i++) {
            int apart = (i - around + SECTORS) % (SECTORS / 2);

            if (apart > half && apart < SECTORS / 2 - half)
                continue;
            struct edge_fit edge = fit_edge(&profiles[i], bins);
            if (edge_is_good(&edge, reach))
                values[count++] = edge.width;
        }
        width[axis] = count >= AXIS_SECTORS ? median_of(values, count) : NAN;
    }
    sum_up(width, limb);
}
