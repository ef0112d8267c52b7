/* eclipse: the light on the disc. */
#ifndef MOONSTAND_LIGHT_H
#define MOONSTAND_LIGHT_H

struct shadow;

/* The illumination of a point as a function of its distance from the shadow's axis, prepared once
 * per night and per state of the air. Model, sources, span and error bars: light.c. */
enum { LIGHT_STEPS = 2048 };
struct light_model {
    double danjon; /* state of the air, 0 to 4, halves allowed: 3 is a clean stratosphere */
    double centre_dex, edge_dex;     /* what that state means: log10(E0/E) at axis and edge */
    double visible[LIGHT_STEPS + 1]; /* fraction of the limb-darkened Sun over q in [-1, 1] */
};
/* Prepares the table from the radii at greatest; accuracy 1e-5 at their ratio, which the Moon's
 * distance changes by less than 0.2 % in a night (5e-5 of full sunlight). A few milliseconds.
 * `danjon` is clipped to 0..4. */
void light_prepare(struct light_model *model, double umbra_rad, double penumbra_rad, double danjon);
/* Changes the state of the air and keeps the table: costs nothing. */
void light_set_danjon(struct light_model *model, double danjon);
/* E/E0, 1 in full sunlight, at `rho` radians from the axis. */
double light_at(const struct light_model *model, double rho_rad, double umbra_rad,
                double penumbra_rad);

/* Share of the disc's area that counts as its lit part. */
#define LIGHT_BRIGHTEST 0.05

/* The light over the whole disc at one instant, of uniform albedo. Fractions of full sunlight; NaN
 * where there is none. */
struct light {
    double lit;   /* median of the brightest twentieth of the disc */
    double umbra; /* median over the part inside the umbra */
    double mean;  /* disc mean */
    double darkest;
    double umbra_share; /* fraction of the disc's area inside the umbra */
    double drop_mag;    /* disc-integrated fall in magnitudes against the full Moon */
};
/* All NaN for an unknown shadow. No allocation. */
void light_disc(const struct light_model *model, const struct shadow *shadow, struct light *light);

/* Share of the disc's area that lies nearer to the shadow's axis than `rho_rad`. */
double disc_share_within(const struct shadow *shadow, double rho_rad);

/* The two meanings of L. A rating is what is seen at mid-eclipse; it falls with depth in the same
 * clean air (by 2.37 per unit of umbral magnitude: H. Vital's predictions, 3.0 at 1.106 and 2.4 at
 * 1.359). No clean air is on record below 2.4: from there the offset fades out with the rating, so
 * that the darkest one is the darkest air at any depth. Rises with the rating, without a step;
 * clipped to 0..4; eclipses shallower than total count as just total. */
double danjon_state_from_rating(double rating, double umbral_magnitude);

/* Least span, in stops, that L = 0..4 must open in the umbra for a test frame to tell L. */
#define DANJON_TELLING_STOPS 3.0
/* The state of the air that explains a test frame of the umbra: `correction_stops` is how much
 * brighter (+) than computed by `model` the frame had to be made at the instant of `shadow`. Where
 * the scale does not reach so far it is the end of the scale. NaN where there is no umbra on the
 * disc or too little of it to tell. */
double danjon_state_from_correction(const struct light_model *model, const struct shadow *shadow,
                                    double correction_stops);

#endif
