#include "disc.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stddef.h>
#include <stdint.h>

enum { RAYS = 64, SAMPLES = 64, PASSES = 4, REWEIGHTS = 6 };
/* Reach of the rays on both sides of the outline in each pass, in radii. */
#define REACH_MOST 0.45
static const double reaches[PASSES] = {0.28, 0.16, 0.09, 0.06};
/* The measured radius may differ from the known one by this much more than its tolerance. */
#define RADIUS_SLACK 1.5
#define RADIUS_SLACK_PX 0.7
/* Least reach, px: the width of the edge itself. */
#define REACH_LEAST_PX 3.0
/* Most scatter of a limb: in radii, and in decoded px. */
#define SCATTER_RADII 0.016
#define SCATTER_PX 0.35
/* Where the half level of a blurred limb lies depends on the tone curve, which is not known: from
 * black to white it moves out by so many px of the full picture, more or less. Light that is burnt
 * out fills the blur to its rim. */
#define WHITE 255.0
#define BURNT_FROM 235.0
#define BRIGHTER_PX 0.5
#define BRIGHTER_SIGMA_PX 0.15
#define BURNT_PX 1.2
#define BURNT_SIGMA_PX 0.25
/* An edge is a step of at least this many levels, and this many deviations of the noise. */
#define STEP_LEVELS 2.0
#define STEP_SIGMAS 4.0
/* Above this radius, px, a disc is located no better. */
#define RADIUS_ENOUGH 100.0
enum { SHRINK_MOST = 8 };
/* Patches across the disc that are held against one another, out to so many radii; those of a lamp
 * differ by less than this part of their tone. */
enum { PATCHES = 13 };
#define PATCHED_RADII 0.8
#define PATCH_DARK 25.0
#define PATCH_BURNT 250.0
#define EVEN 0.02
#define ARC_LEAST 0.2
/* Evidence needed for a disc: more for a small one, since chance makes many. */
#define SCORE_LEAST 0.16
#define SCORE_LEAST_SMALL 0.24
#define SMALL_PX 60.0

/* What one ray found. */
struct edge {
    double cosine, sine;
    double at;      /* in radii of the outline; NaN: no edge */
    double step;    /* fall outwards, levels */
    double rise;    /* largest rise outwards: evidence against a disc */
    double outside; /* tone just outside */
    double inside;  /* tone just inside, of white */
    double burnt;   /* 1: white inside, and what it really was is not known; 0: not at all */
    double sure;    /* from 0, as large as noise makes a step, towards 1 */
    double weight;
};

/* The rays of one pass, from (1 - reach) to (1 + reach) radii of the outline. */
struct fan {
    const struct pixels *pixels;
    struct shape shape;
    double x, y, reach;
    int beyond; /* samples past the outline that must be in the picture */
};

/* Reads a ray's tones. Past the picture's edge the last one is repeated, so that a limb close to it
 * still counts. False if too little of the ray is in the picture. */
static bool sample_ray(const struct fan *fan, const struct edge *ray, double tone[SAMPLES])
{
    const struct pixels *pixels = fan->pixels;
    const struct shape *shape = &fan->shape;
    double ux = ray->cosine, uy = ray->sine, reach = fan->reach;
    double dx = shape->xx * ux + shape->xy * uy, dy = shape->xy * ux + shape->yy * uy;
    /* A step of one decoded px along the outline. */
    double sx = -dy / hypot(dx, dy) * pixels->scale, sy = dx / hypot(dx, dy) * pixels->scale;
    double last = 0;

    for (int i = 0; i < SAMPLES; i++) {
        double t = 1 - reach + 2 * reach * (i + 0.5) / SAMPLES;
        double x = fan->x + t * dx, y = fan->y + t * dy;
        double here = (tone_at(pixels, x, y) + tone_at(pixels, x + sx, y + sy) +
                       tone_at(pixels, x - sx, y - sy)) /
                      3;

        if (isnan(here) && i < SAMPLES / 2 + fan->beyond)
            return false;
        last = isnan(here) ? last : here;
        tone[i] = last;
    }
    return true;
}

/* A JPEG's tone as light, nearly: the curve is unknown, but all are close to this power. In tones a
 * blurred edge would be too far out, by half its width. */
static double light_of(double tone)
{
    return pow(fmax(tone, 0), 2.2);
}

static double mean_of(const double sum[SAMPLES + 1], int from, int to)
{
    from = from < 0 ? 0 : from;
    to = to > SAMPLES ? SAMPLES : to;
    return (sum[to] - sum[from]) / (to - from);
}

/* Where the light crosses half of its fall near sample `best`; `best` itself if it does not. */
static double find_half(const double sum[SAMPLES + 1], int best, int half)
{
    double inside = light_of(mean_of(sum, best - half - half / 2 - 1, best - half / 2));
    double outside = light_of(mean_of(sum, best + half / 2, best + half + half / 2 + 1));
    double wanted = (inside + outside) / 2, before = NAN;
    int reach = half / 4;

    for (int i = best - half; i < best + half; i++) {
        double here = light_of(mean_of(sum, i - reach, i + reach + 1));

        if (here <= wanted && before > wanted)
            return i + 0.5 - (wanted - here) / (before - here);
        before = here;
    }
    return best;
}

/* Finds the steepest fall and rise between the means of `half` samples on either side. */
static void find_step(const double tone[SAMPLES], int half, double reach, struct edge *edge)
{
    double sum[SAMPLES + 1] = {0}, most = -INFINITY;
    int best = half;

    for (int i = 0; i < SAMPLES; i++)
        sum[i + 1] = sum[i] + tone[i];
    for (int i = half; i <= SAMPLES - half; i++) {
        double fall = (2 * sum[i] - sum[i - half] - sum[i + half]) / half;

        if (fall > most) {
            most = fall;
            best = i;
        }
        edge->rise = fmax(edge->rise, -fall);
    }
    edge->step = most;
    edge->outside = mean_of(sum, best, best + half);
    edge->inside = mean_of(sum, best - half, best) / WHITE;
    edge->burnt =
        fmax((mean_of(sum, best - 2 * half, best - half) - BURNT_FROM) / (WHITE - BURNT_FROM), 0);
    edge->at = 1 - reach + 2 * reach * find_half(sum, best, half) / SAMPLES;
}

/* Noise of one sample, from its distance to the mean of its neighbours. */
static double ray_noise(const double tone[SAMPLES])
{
    double sum = 0;

    for (int i = 1; i < SAMPLES - 1; i++)
        sum += fabs(tone[i] - (tone[i - 1] + tone[i + 1]) / 2);
    return sum / (SAMPLES - 2);
}

static void cast_rays(const struct pixels *pixels, const struct moon_size *size,
                      const struct moon_disc *disc, double reach, struct edge edges[RAYS])
{
    struct shape shape = shape_at(size, disc->x, disc->y);
    double radius = disc->radius_px / size->radius_px, tone[SAMPLES], least;
    double sample_px = 2 * reach / SAMPLES * disc->radius_px / pixels->scale;
    int half = (int)fmin(fmax(ceil(1.5 / sample_px), SAMPLES / 8.0), SAMPLES / 3.0);
    /* Samples closer than a px share their noise. */
    double alone = fmax(half * fmin(sample_px, 1), 1);

    struct fan fan = {.pixels = pixels,
                      .shape = {radius * shape.xx, radius * shape.xy, radius * shape.yy},
                      .x = disc->x,
                      .y = disc->y,
                      .reach = reach,
                      .beyond = half / 3};

    for (int i = 0; i < RAYS; i++) {
        double angle = 2 * PI * i / RAYS;
        struct edge *edge = &edges[i];

        *edge = (struct edge){.cosine = cos(angle), .sine = sin(angle), .at = NAN};
        if (!sample_ray(&fan, edge, tone))
            continue;
        find_step(tone, half, reach, edge);
        least = fmax(STEP_LEVELS, STEP_SIGMAS * ray_noise(tone) / sqrt(alone));
        if (edge->step < least)
            edge->at = NAN;
        else
            edge->sure = 1 - least * least / (edge->step * edge->step);
    }
}

/* ---- the fit ---- */

/* What the fit looks for, in radii: the outline's move and growth, and by how much further out the
 * half level lies where the limb is brighter (white against black), and where it is burnt out. */
enum { RIGHT, DOWN, LARGER, BRIGHTER, BURNT, UNKNOWNS };

/* Solves the equations; false if they are singular. */
static bool solve(double m[UNKNOWNS][UNKNOWNS + 1])
{
    for (int i = 0; i < UNKNOWNS; i++) {
        int pivot = i;

        for (int j = i + 1; j < UNKNOWNS; j++)
            if (fabs(m[j][i]) > fabs(m[pivot][i]))
                pivot = j;
        if (fabs(m[pivot][i]) < 1e-9)
            return false;
        for (int k = 0; k <= UNKNOWNS; k++) {
            double swap = m[i][k];

            m[i][k] = m[pivot][k];
            m[pivot][k] = swap;
        }
        for (int j = 0; j < UNKNOWNS; j++) {
            double factor = m[j][i] / m[i][i];

            for (int k = i; j != i && k <= UNKNOWNS; k++)
                m[j][k] -= factor * m[i][k];
        }
    }
    for (int i = 0; i < UNKNOWNS; i++)
        m[i][UNKNOWNS] /= m[i][i];
    return true;
}

/* What the edges' distances from the outline depend on. */
static void row_of(const struct edge *edge, double row[UNKNOWNS])
{
    row[RIGHT] = edge->cosine;
    row[DOWN] = edge->sine;
    row[LARGER] = 1;
    row[BRIGHTER] = edge->inside - 0.5;
    row[BURNT] = edge->burnt;
}

/* Distance of an edge from the outline after a move, in radii. */
static double residual(const struct edge *edge, const double move[UNKNOWNS])
{
    double row[UNKNOWNS], left = edge->at - 1;

    row_of(edge, row);
    for (int i = 0; i < UNKNOWNS; i++)
        left -= row[i] * move[i];
    return left;
}

/* Median of the edges' distances, by bisection, because qsort may ask for memory. */
static double median_residual(const struct edge edges[RAYS], const double move[UNKNOWNS])
{
    double low = 0, high = 0.5;

    for (int step = 0; step < 16; step++) {
        double middle = (low + high) / 2;
        int below = 0, all = 0;

        for (int i = 0; i < RAYS; i++) {
            if (isnan(edges[i].at))
                continue;
            all++;
            below += fabs(residual(&edges[i], move)) < middle;
        }
        if (2 * below < all)
            low = middle;
        else
            high = middle;
    }
    return high;
}

/* What is known of an unknown beforehand: a value and its deviation, radii. */
struct prior {
    double value, sigma;
};

/* Iterated least squares with weights by distance (Tukey). */
static bool fit(struct edge edges[RAYS], const struct prior prior[UNKNOWNS], double floor,
                double move[UNKNOWNS])
{
    for (int i = 0; i < UNKNOWNS; i++)
        move[i] = i > LARGER ? prior[i].value : 0;
    for (int round = 0; round < REWEIGHTS; round++) {
        double scale = fmax(median_residual(edges, move) / 0.6745, floor);
        double reach = 4.7 * scale, m[UNKNOWNS][UNKNOWNS + 1] = {{0}};
        int count = 0;

        for (int i = 0; i < RAYS; i++) {
            struct edge *edge = &edges[i];
            double far = residual(edge, move) / reach, row[UNKNOWNS];

            edge->weight = fabs(far) < 1 ? edge->sure * (1 - far * far) * (1 - far * far) : 0;
            if (!(edge->weight > 0))
                continue;
            count++;
            row_of(edge, row);
            for (int j = 0; j < UNKNOWNS; j++) {
                for (int k = 0; k < UNKNOWNS; k++)
                    m[j][k] += edge->weight * row[j] * row[k];
                m[j][UNKNOWNS] += edge->weight * row[j] * (edge->at - 1);
            }
        }
        for (int j = LARGER; j < UNKNOWNS; j++) {
            double weight = scale * scale / (prior[j].sigma * prior[j].sigma);

            m[j][j] += weight;
            m[j][UNKNOWNS] += weight * prior[j].value;
        }
        if (count < 6 || !solve(m))
            return false;
        for (int j = 0; j < UNKNOWNS; j++)
            move[j] = m[j][UNKNOWNS];
    }
    return true;
}

/* ---- the judgement ---- */

/* Spread of the sky's tone around the disc relative to the step at the limb: 0 even, 1 as large. */
static double unevenness(const struct edge edges[RAYS], double step)
{
    double sum = 0, squares = 0, spread;
    int count = 0;

    for (int i = 0; i < RAYS; i++)
        if (edges[i].weight > 0) {
            sum += edges[i].outside;
            squares += edges[i].outside * edges[i].outside;
            count++;
        }
    spread = sqrt(fmax(squares / count - sum * sum / count / count, 0));
    return fmin(spread / step, 1);
}

/* Arc, scatter and score from the edges of the last pass. False if this is no disc. */
static bool judge(const struct pixels *pixels, const struct moon_size *size,
                  const struct edge edges[RAYS], const double move[UNKNOWNS],
                  struct moon_disc *disc)
{
    double squares = 0, weights = 0, step = 0, against = 0;
    double allowed = SCATTER_RADII * disc->radius_px + SCATTER_PX * pixels->scale;
    double score_least =
        disc->radius_px / pixels->scale < SMALL_PX ? SCORE_LEAST_SMALL : SCORE_LEAST;
    int with = 0;

    for (int i = 0; i < RAYS; i++)
        if (edges[i].weight > 0) {
            double far = residual(&edges[i], move);

            squares += edges[i].weight * far * far;
            weights += edges[i].weight;
            step += edges[i].step;
            with += edges[i].weight > 0.3;
        }
    if (with < ARC_LEAST * RAYS)
        return false;
    step /= with;
    for (int i = 0; i < RAYS; i++)
        if (edges[i].rise > 0.6 * step)
            against += 1.0 / RAYS;
    disc->arc = (double)with / RAYS;
    disc->scatter_px = sqrt(squares / weights) * disc->radius_px;
    disc->score = disc->arc * (1 - fmin(disc->scatter_px / allowed, 1) / 2) *
                  (1 - fmin(2 * against, 1)) * (1 - unevenness(edges, step));
    return disc->scatter_px <= allowed && disc->score >= score_least &&
           fabs(disc->radius_px - size->radius_px) <=
               RADIUS_SLACK * size->tolerance * size->radius_px + RADIUS_SLACK_PX * pixels->scale;
}

/* Mean of the weakest channel, the last to burn out, over a patch a tenth of the radius wide; NaN:
 * not in the picture. */
static double patch_tone(const struct pixels *pixels, double x, double y, double radius_px)
{
    enum { ACROSS = 5 };
    double step = radius_px / 10 / ACROSS;
    int sum = 0;

    for (int i = 0; i < ACROSS * ACROSS; i++) {
        double right = (x + (i % ACROSS - ACROSS / 2) * step - pixels->left) / pixels->scale;
        double down = (y + (i / ACROSS - ACROSS / 2) * step - pixels->top) / pixels->scale;
        const uint8_t *rgb;

        if (!(right >= 0 && down >= 0 && right < pixels->width && down < pixels->height))
            return NAN;
        rgb = pixels->rgb + ((size_t)down * (size_t)pixels->width + (size_t)right) * 3;
        int least = rgb[0] < rgb[1] ? rgb[0] : rgb[1];
        sum += least < rgb[2] ? least : rgb[2];
    }
    return (double)sum / (ACROSS * ACROSS);
}

/* A lamp's globe is even, the Moon never is: maria, rays, the shadow. If white hides that, or the
 * disc is too dark or too small to show it, it may be the Moon. */
static bool is_even(const struct pixels *pixels, const struct moon_size *size,
                    const struct moon_disc *disc)
{
    struct shape shape = shape_at(size, disc->x, disc->y);
    double larger = PATCHED_RADII * disc->radius_px / size->radius_px, sum = 0, squares = 0, spread;
    int count = 0;

    for (int i = 0; i < PATCHES * PATCHES; i++) {
        double u = larger * (2.0 * (i % PATCHES) / (PATCHES - 1) - 1);
        double v = larger * (2.0 * (i / PATCHES) / (PATCHES - 1) - 1);
        double tone = patch_tone(pixels, disc->x + shape.xx * u + shape.xy * v,
                                 disc->y + shape.xy * u + shape.yy * v, disc->radius_px);

        if (hypot(u, v) > larger || isnan(tone))
            continue;
        sum += tone;
        squares += tone * tone;
        count++;
    }
    if (count < PATCHES || !(sum > PATCH_DARK * count && sum < PATCH_BURNT * count))
        return false;
    spread = sqrt(fmax(squares / count - sum * sum / count / count, 0));
    return spread < EVEN * sum / count;
}

bool disc_fit(const struct pixels *pixels, const struct moon_size *size,
              const struct candidate *from, struct moon_disc *disc)
{
    struct edge edges[RAYS];
    double move[UNKNOWNS];

    *disc = (struct moon_disc){.x = from->x, .y = from->y, .radius_px = size->radius_px};
    for (int pass = 0; pass < PASSES; pass++) {
        struct shape shape = shape_at(size, disc->x, disc->y);
        double larger = disc->radius_px / size->radius_px, px = pixels->scale / disc->radius_px;
        const struct prior prior[UNKNOWNS] = {
            [LARGER] = {1 / larger - 1, size->tolerance / 2},
            [BRIGHTER] = {BRIGHTER_PX / disc->radius_px, BRIGHTER_SIGMA_PX / disc->radius_px},
            [BURNT] = {BURNT_PX / disc->radius_px, BURNT_SIGMA_PX / disc->radius_px},
        };
        double reach = fmax(reaches[pass], REACH_LEAST_PX * px);

        cast_rays(pixels, size, disc, fmin(reach, REACH_MOST), edges);
        if (!fit(edges, prior, 0.15 * px + 0.002, move) ||
            hypot(move[RIGHT], move[DOWN]) > 2 * reach)
            return false;
        disc->x += larger * (shape.xx * move[RIGHT] + shape.xy * move[DOWN]);
        disc->y += larger * (shape.xy * move[RIGHT] + shape.yy * move[DOWN]);
        disc->radius_px *= 1 + move[LARGER];
        if (!(fabs(disc->radius_px / size->radius_px - 1) < 0.5))
            return false;
    }
    return judge(pixels, size, edges, move, disc) && !is_even(pixels, size, disc);
}

int disc_shrink(const struct moon_size *size)
{
    int shrink = SHRINK_MOST;

    while (shrink > 1 && size->radius_px / shrink < RADIUS_ENOUGH)
        shrink /= 2;
    return shrink;
}

int disc_find(const struct pixels *pixels, const struct moon_size *size, struct moon_disc *disc)
{
    struct candidate candidates[CANDIDATES];
    int count, found = 0;

    if (!(size->radius_px / pixels->scale >= DISC_RADIUS_LEAST))
        return 0;
    count = candidates_vote(pixels, size, candidates);
    if (count < 0)
        return -1;
    for (int i = 0; i < count; i++) {
        struct moon_disc one;

        if (!disc_fit(pixels, size, &candidates[i], &one) || (found && one.score <= disc->score))
            continue;
        *disc = one;
        found = 1;
    }
    return found;
}
