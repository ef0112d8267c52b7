/* eclipse: the Moon's face in a picture: which point of it gets how much light, and where its dark
 * plains are. The unit of length is the Moon's radius, from the disc's centre, x right and y up.
 */
#ifndef MOONSTAND_FACE_H
#define MOONSTAND_FACE_H

#include <moonstand/light.h>

struct sight;

enum { FACE_STEPS = 192, FACE_MARIA = 17 };
#define FACE_REACH 6.5 /* the penumbra and a Moon beyond it */
struct face {
    double shadow_x, shadow_y; /* of the shadow's axis; NaN: not known */
    double umbra;              /* its radius */
    double
        stops[FACE_STEPS]; /* log2(E/E0) at distances from the axis, evenly from 0 to FACE_REACH */
    struct {
        double x, y, near, cosine; /* a unit vector, `near` towards us; of the radius */
    } mare[FACE_MARIA];
};

/* The face as an observer sees it. `lean_rad`: of the zenith, counter-clockwise from what is up in
 * the picture. The Moon's axis is taken to stand on the ecliptic, which is true to 1.6 degrees;
 * libration, up to 8 degrees, is left out. */
void face_make(const struct light_model *model, const struct shadow *shadow,
               const struct sight *moon, double lean_rad, struct face *face);
/* log2(E/E0) at a point, 0 in full sunlight; E/E0 is within 1 % of light_at() but for the umbra's very
 * edge. */
double face_stops(const struct face *face, double x, double y);
/* How dark the ground is there: 1 the bright highlands, less in the maria; of the disc alone. */
double face_albedo(const struct face *face, double x, double y);

#endif
