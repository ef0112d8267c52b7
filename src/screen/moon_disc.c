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
static void draw_part(struct area area, const struct disc *disc, const struct umbra *umbra,
                      bool shaded)
{
    double umbra_x = disc->x + umbra->right * disc->radius;
    double umbra_y = disc->y - umbra->up * disc->radius;
    int top = (int)floor(disc->y - disc->radius), bottom = (int)ceil(disc->y + disc->radius);

    for (int y = top > 0 ? top : 0; y < bottom && y < 4 * area.height; y++) {
        struct chord moon = chord_at(y, disc->x, disc->y, disc->radius);
        struct chord dark = chord_at(y, umbra_x, umbra_y, umbra->radius * disc->radius);
        for (int x = moon.first > 0 ? moon.first : 0; x < moon.end && x < 2 * area.width; x++) {
            bool in_umbra = x >= dark.first && x < dark.end;
            if (in_umbra == shaded && (!shaded || (x + y) % 2 == 0))
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
