/* The Moon as it stands in the sky: zenith up, the umbra where it falls on the disc. */
#include "panels.h"

#include <math.h>

/* Where the umbra's centre is, in Moon radii from the disc's centre: right and up as seen. */
struct umbra {
    double right, up, radius;
};

static struct umbra umbra_on_disc(const struct moment *moment)
{
    const struct shadow *shadow = &moment->shadow;
    double east = -shadow->east / shadow->moon_radius, north = -shadow->north / shadow->moon_radius;
    double q = moment->moon.parallactic_rad;

    /* The zenith stands at position angle q; on the sky east is left of north. */
    return (struct umbra){.right = north * sin(q) - east * cos(q),
                          .up = north * cos(q) + east * sin(q),
                          .radius = shadow->umbra / shadow->moon_radius};
}

/* Inside the umbra every other dot is set, so that the shadow shows without colour too. */
static void draw_part(struct area area, int diameter, const struct umbra *umbra, bool shaded)
{
    double radius = diameter / 2.0;

    for (int y = 0; y < diameter; y++) {
        for (int x = 0; x < diameter; x++) {
            double right = (x + 0.5 - radius) / radius, up = (radius - y - 0.5) / radius;
            bool in_umbra = hypot(right - umbra->right, up - umbra->up) < umbra->radius;
            if (right * right + up * up > 1 || in_umbra != shaded)
                continue;
            if (!shaded || (x + y) % 2 == 0)
                area_dot(area, x, y, shaded ? ROLE_SHADE : ROLE_LIT);
        }
    }
}

void moon_disc(struct area area, const struct moment *moment)
{
    enum { LEAST_DOTS = 12, MOST_DOTS = 40 };
    struct umbra umbra = umbra_on_disc(moment);
    int diameter = 2 * area.width < 4 * area.height ? 2 * area.width : 4 * area.height;

    if (diameter > MOST_DOTS)
        diameter = MOST_DOTS;
    if (diameter < LEAST_DOTS || !isfinite(umbra.right) || !moment->moon.up)
        return;
    /* A cell has one role: where light and shadow meet in it, light wins. */
    draw_part(area, diameter, &umbra, true);
    draw_part(area, diameter, &umbra, false);
}
