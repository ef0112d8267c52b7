/* The disc of the Moon with the umbra where it falls on it. */
#include "panels.h"

#include <math.h>

struct umbra umbra_on_disc(const struct shadow *shadow, double parallactic_rad, double lean_rad)
{
    double east = -shadow->east / shadow->moon_radius, north = -shadow->north / shadow->moon_radius;
    /* The zenith stands at the parallactic angle from north; on the sky east is left of north. */
    double q = parallactic_rad - lean_rad;

    return (struct umbra){.right = north * sin(q) - east * cos(q),
                          .up = north * cos(q) + east * sin(q),
                          .radius = shadow->umbra / shadow->moon_radius};
}

/* Inside the umbra every other dot is set, so that the shadow shows without colour too. */
static void draw_part(struct area area, const struct disc *disc, const struct umbra *umbra,
                      bool shaded)
{
    int left = (int)floor(disc->x - disc->radius), right = (int)ceil(disc->x + disc->radius);
    int top = (int)floor(disc->y - disc->radius), bottom = (int)ceil(disc->y + disc->radius);

    for (int y = top > 0 ? top : 0; y < bottom && y < 4 * area.height; y++) {
        for (int x = left > 0 ? left : 0; x < right && x < 2 * area.width; x++) {
            double across = (x + 0.5 - disc->x) / disc->radius;
            double up = (disc->y - y - 0.5) / disc->radius;
            double u = across - umbra->right, v = up - umbra->up;
            bool in_umbra = u * u + v * v < umbra->radius * umbra->radius;
            if (across * across + up * up > 1 || in_umbra != shaded)
                continue;
            if (!shaded || (x + y) % 2 == 0)
                area_dot(area, x, y, shaded ? ROLE_SHADE : ROLE_LIT);
        }
    }
}

void disc_draw(struct area area, const struct disc *disc, const struct umbra *umbra)
{
    if (!isfinite(umbra->right) || !(fabs(disc->x) < 4 * CANVAS_WIDTH) ||
        !(fabs(disc->y) < 4 * CANVAS_HEIGHT))
        return;
    /* A cell has one role: where light and shadow meet in it, light wins. */
    draw_part(area, disc, umbra, true);
    draw_part(area, disc, umbra, false);
}

void moon_disc(struct area area, const struct moment *moment)
{
    enum { LEAST_DOTS = 12, MOST_DOTS = 40 };
    struct umbra umbra = umbra_on_disc(&moment->shadow, moment->moon.parallactic_rad, 0);
    int diameter = 2 * area.width < 4 * area.height ? 2 * area.width : 4 * area.height;

    if (diameter > MOST_DOTS)
        diameter = MOST_DOTS;
    if (diameter < LEAST_DOTS || !moment->moon.up)
        return;
    disc_draw(area, &(struct disc){diameter / 2.0, diameter / 2.0, diameter / 2.0}, &umbra);
}
