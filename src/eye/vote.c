#include "disc.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

/* Shrink the picture until the radius is about this, px. */
#define VOTE_RADIUS 14.0
/* A crest counts if it is this many deviations above the gradient's noise. */
#define CREST_SIGMAS 4.0
/* Least noise, levels per px: rounding and the JPEG's own. */
#define NOISE_LEAST 0.25
enum { RADII = 5, HISTOGRAM = 4096 };
#define HISTOGRAM_STEP 0.02

/* Tones at 1/shrink of the pixels, and votes over a wider area. */
struct ballot {
    const struct pixels *pixels;
    const struct moon_size *size;
    int width, height, shrink;
    float *tone;
    int margin; /* for the centres of discs that the edge cuts */
    int vote_width, vote_height;
    float *votes, *smooth;
};

/* The index of a pixel or vote in rows of that width. */
static size_t cell(int width, int x, int y)
{
    return (size_t)y * (size_t)width + (size_t)x;
}

static void shrink_tones(const struct pixels *pixels, struct ballot *ballot)
{
    int shrink = ballot->shrink;
    float per = 1.0f / (float)(shrink * shrink);

    for (int y = 0; y < ballot->height; y++)
        for (int x = 0; x < ballot->width; x++) {
            int sum = 0;

            for (int j = 0; j < shrink; j++) {
                const uint8_t *at =
                    pixels->rgb + cell(pixels->width, x * shrink, y * shrink + j) * 3;

                for (int i = 0; i < shrink; i++, at += 3)
                    sum += brightest(at);
            }
            ballot->tone[cell(ballot->width, x, y)] = (float)sum * per;
        }
}

/* 1; 0 if the picture is too small for votes; -1 if memory ran out. */
static int ballot_open(const struct pixels *pixels, const struct moon_size *size,
                       struct ballot *ballot)
{
    double radius = size->radius_px / pixels->scale;

    *ballot = (struct ballot){
        .pixels = pixels, .size = size, .shrink = (int)fmax(floor(radius / VOTE_RADIUS), 1)};
    ballot->width = pixels->width / ballot->shrink;
    ballot->height = pixels->height / ballot->shrink;
    ballot->margin = (int)ceil(radius / ballot->shrink) + 2;
    ballot->vote_width = ballot->width + 2 * ballot->margin;
    ballot->vote_height = ballot->height + 2 * ballot->margin;
    if (ballot->width < 3 || ballot->height < 3)
        return 0;
    ballot->tone = malloc((size_t)ballot->width * (size_t)ballot->height * sizeof *ballot->tone);
    ballot->votes =
        calloc((size_t)ballot->vote_width * (size_t)ballot->vote_height, sizeof *ballot->votes);
    ballot->smooth =
        calloc((size_t)ballot->vote_width * (size_t)ballot->vote_height, sizeof *ballot->smooth);
    if (!ballot->tone || !ballot->votes || !ballot->smooth)
        return -1;
    shrink_tones(pixels, ballot);
    return 1;
}

static void ballot_close(struct ballot *ballot)
{
    free(ballot->tone);
    free(ballot->votes);
    free(ballot->smooth);
}

/* ---- the gradient ---- */

struct gradient {
    double x, y, size;
};

/* Sobel, in levels per px. */
static struct gradient gradient_at(const struct ballot *ballot, int x, int y)
{
    const float *row = ballot->tone + cell(ballot->width, x, y);
    const float *over = row - ballot->width, *under = row + ballot->width;
    double right = (double)(over[1] + 2 * row[1] + under[1]);
    double left = (double)(over[-1] + 2 * row[-1] + under[-1]);
    double below = (double)(under[-1] + 2 * under[0] + under[1]);
    double above = (double)(over[-1] + 2 * over[0] + over[1]);
    struct gradient g = {(right - left) / 8, (below - above) / 8, 0};

    g.size = hypot(g.x, g.y);
    return g;
}

/* Deviation of one component, from its median size over the picture. */
static double gradient_noise(const struct ballot *ballot)
{
    int count[HISTOGRAM] = {0}, total = 0, below = 0, i;

    for (int y = 1; y < ballot->height - 1; y++)
        for (int x = 1; x < ballot->width - 1; x++) {
            int bin = (int)(fabs(gradient_at(ballot, x, y).x) / HISTOGRAM_STEP);

            count[bin < HISTOGRAM ? bin : HISTOGRAM - 1]++;
            total++;
        }
    for (i = 0; i < HISTOGRAM && 2 * (below + count[i]) < total; i++)
        below += count[i];
    return fmax((i + 0.5) * HISTOGRAM_STEP / 0.6745, NOISE_LEAST);
}

/* Whether the gradient falls off on both sides along its own direction. */
static bool is_crest(const struct ballot *ballot, int x, int y, const struct gradient *g)
{
    int dx = (int)lround(g->x / g->size), dy = (int)lround(g->y / g->size);

    if (x + dx < 1 || y + dy < 1 || x - dx < 1 || y - dy < 1 || x + dx > ballot->width - 2 ||
        x - dx > ballot->width - 2 || y + dy > ballot->height - 2 || y - dy > ballot->height - 2)
        return true;
    return g->size >= gradient_at(ballot, x + dx, y + dy).size &&
           g->size > gradient_at(ballot, x - dx, y - dy).size;
}

/* ---- the vote ---- */

static void add_vote(struct ballot *ballot, double x, double y, float weight)
{
    int ix = (int)floor(x), iy = (int)floor(y);
    float fx = (float)(x - ix), fy = (float)(y - iy);
    float *at;

    if (ix < 0 || iy < 0 || ix > ballot->vote_width - 2 || iy > ballot->vote_height - 2)
        return;
    at = ballot->votes + cell(ballot->vote_width, ix, iy);
    at[0] += weight * (1 - fx) * (1 - fy);
    at[1] += weight * fx * (1 - fy);
    at[ballot->vote_width] += weight * (1 - fx) * fy;
    at[ballot->vote_width + 1] += weight * fx * fy;
}

/* Votes for centres on the bright side, as far away as the outline is wide in that direction. */
static void vote_from(struct ballot *ballot, int x, int y, const struct gradient *g, float weight)
{
    const struct pixels *pixels = ballot->pixels;
    const struct moon_size *size = ballot->size;
    double unit = pixels->scale * ballot->shrink;
    struct shape s =
        shape_at(size, pixels->left + (x + 0.5) * unit, pixels->top + (y + 0.5) * unit);
    double nx = g->x / g->size, ny = g->y / g->size;
    double ax = s.xx * nx + s.xy * ny, ay = s.xy * nx + s.yy * ny;
    /* The point of the outline with this normal: M n / sqrt(n M n), M the shape's square. */
    double length = hypot(ax, ay);
    double dx = (s.xx * ax + s.xy * ay) / length / unit;
    double dy = (s.xy * ax + s.yy * ay) / length / unit;

    for (int i = 0; i < RADII; i++) {
        double factor = 1 + size->tolerance * (2.0 * i / (RADII - 1) - 1);

        add_vote(ballot, x + ballot->margin + factor * dx, y + ballot->margin + factor * dy,
                 weight / RADII);
    }
}

static void vote(struct ballot *ballot)
{
    double least = CREST_SIGMAS * gradient_noise(ballot);

    for (int y = 1; y < ballot->height - 1; y++)
        for (int x = 1; x < ballot->width - 1; x++) {
            struct gradient g = gradient_at(ballot, x, y);

            /* Saturates, so that a faint limb in the umbra counts nearly as much as a bright
             * one. */
            if (g.size >= least && is_crest(ballot, x, y, &g))
                vote_from(ballot, x, y, &g, (float)(g.size / (g.size + least)));
        }
}

/* Sums over 3 x 3: votes of one disc scatter by about a px. */
static void smooth_votes(struct ballot *ballot)
{
    int width = ballot->vote_width;

    for (int y = 1; y < ballot->vote_height - 1; y++)
        for (int x = 1; x < width - 1; x++) {
            const float *at = ballot->votes + cell(width, x, y);

            ballot->smooth[cell(width, x, y)] =
                at[-width - 1] + at[-width] + at[-width + 1] + at[-1] + at[0] + at[1] +
                at[width - 1] + at[width] + at[width + 1];
        }
}

/* Inserts one among the best; returns how many they are. */
static int insert(struct candidate *best, int count, struct candidate one)
{
    int i = count;

    for (; i > 0 && best[i - 1].votes < one.votes; i--)
        if (i < CANDIDATES)
            best[i] = best[i - 1];
    if (i < CANDIDATES)
        best[i] = one;
    return count < CANDIDATES ? count + 1 : count;
}

static bool is_peak(const struct ballot *ballot, int x, int y)
{
    int reach = ballot->margin / 3, width = ballot->vote_width;
    float here = ballot->smooth[cell(width, x, y)];

    if (!(here > 1))
        return false;
    for (int j = -reach; j <= reach; j++)
        for (int i = -reach; i <= reach; i++) {
            int nx = x + i, ny = y + j;
            float there;

            if (nx < 0 || ny < 0 || nx >= width || ny >= ballot->vote_height || (!i && !j))
                continue;
            there = ballot->smooth[cell(width, nx, ny)];
            if (there > here || (there == here && (j < 0 || (j == 0 && i < 0))))
                return false;
        }
    return true;
}

int candidates_vote(const struct pixels *pixels, const struct moon_size *size,
                    struct candidate candidates[CANDIDATES])
{
    struct ballot ballot;
    int status = ballot_open(pixels, size, &ballot), count = 0;

    if (status <= 0) {
        ballot_close(&ballot);
        return status;
    }
    double unit = pixels->scale * ballot.shrink;
    vote(&ballot);
    smooth_votes(&ballot);
    for (int y = 0; y < ballot.vote_height; y++)
        for (int x = 0; x < ballot.vote_width; x++)
            if (is_peak(&ballot, x, y))
                count = insert(
                    candidates, count,
                    (struct candidate){
                        .x = pixels->left + (x - ballot.margin + 0.5) * unit,
                        .y = pixels->top + (y - ballot.margin + 0.5) * unit,
                        .votes = (double)ballot.smooth[cell(ballot.vote_width, x, y)],
                    });
    ballot_close(&ballot);
    return count;
}
