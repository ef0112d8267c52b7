/* Private to the room: the Sun behind the Earth, with the limb darkening as an argument. */
#ifndef MOONSTAND_ECLIPSE_LIGHT_H
#define MOONSTAND_ECLIPSE_LIGHT_H

enum { LIMB_TERMS = 6 };

/* Solar limb darkening: I(mu) / I(1) = sum of term[i] mu^i, mu the cosine of the angle to the
 * normal. */
struct limb_law {
    double term[LIMB_TERMS];
};
extern const struct limb_law limb_neckel_labs_550; /* the one in use */

/* Visible fraction of the Sun's light as seen from a lunar point: a Sun of radius 1 behind an Earth
 * of radius `earth` >= 1, centres `separation` apart. Accuracy 1e-8. */
double sun_visible(const struct limb_law *law, double earth, double separation);

/* The same from the night's table: q is how far the Sun's centre is from the Earth's limb, in radii
 * of the Sun, outwards positive. */
struct light_model;
double table_visible(const struct light_model *model, double q);

#endif
