/* eclipse: the light on the disc. */
#ifndef MOONSTAND_LIGHT_H
#define MOONSTAND_LIGHT_H

struct shadow;

/* The light on a point as a function of its distance from the shadow's axis, prepared once per
 * night. Model, sources, range and error bars: light.c. */
enum { LIGHT_STEPS = 1024 };
struct light_model {
    double danjon;                   /* state of the air, 0 to 4; 3 is a clean stratosphere */
    double centre_dex, edge_dex;     /* log10(E0/E) at axis and edge in that state */
    double visible[LIGHT_STEPS + 1]; /* fraction of the limb-darkened Sun from q = -1 to 1 */
};
/* Prepares the table from the radii at greatest, to 1e-5 at their ratio, which changes by less than
 * 0.2 % in a night (5e-5 of full sunlight). Takes a millisecond. `danjon` is clipped to
 * 0..4. */
void light_prepare(struct light_model *model, double umbra_rad, double penumbra_rad, double danjon);
/* Changes the state of the air and keeps the table; fast. */
void light_set_danjon(struct light_model *model, double danjon);
/* E/E0, 1 in full sunlight, at `rho` radians from the axis. */
double light_at(const struct light_model *model, double rho_rad, double umbra_rad,
                double penumbra_rad);

/* Share of the disc's area that counts as the lit part. */
#define LIGHT_BRIGHTEST 0.05

/* The light on the whole disc, of uniform albedo, at one instant. Fractions of full sunlight; NaN
 * if there is no such part. */
struct light {
    double lit;   /* median of the brightest twentieth of the disc */
    double umbra; /* median over the part inside the umbra */
    double mean;  /* disc mean */
    double darkest;
    double umbra_share; /* fraction of the disc's area inside the umbra */
    double drop_mag;    /* fall of the whole disc below the full Moon, magnitudes */
};
/* All NaN for an unknown shadow. */
void light_disc(const struct light_model *model, const struct shadow *shadow, struct light *light);

/* Share of the disc's area that lies nearer to the shadow's axis than `rho_rad`. */
double disc_share_within(const struct shadow *shadow, double rho_rad);
/* The other way round: the distance from the axis within which that share of the area lies, exact to
 * 1e-11 of the largest. */
double disc_quantile(const struct shadow *shadow, double share);

/* The state of the air from a rating. A rating is what is seen at mid-eclipse; in the same clean
 * air it falls with depth (by 2.37 per unit of umbral magnitude: H. Vital's predictions, 3.0 at
 * 1.106 and 2.4 at 1.359). Clean air never rates below 2.4; below that the offset fades out with
 * the rating, so that the darkest rating is the darkest air at any depth. Increases continuously
 * with the rating; clipped to 0..4; eclipses that are not total count as just total. */
double danjon_state_from_rating(double rating, double umbral_magnitude);

/* A test frame shows L only if L = 0..4 span at least this many stops in the umbra. */
#define DANJON_TELLING_STOPS 3.0
/* The state of the air that explains a test frame of the umbra, which needed `correction_stops`
 * more exposure (+) than computed by `model` at the instant of `shadow`. Clipped to the scale. NaN
 * if there is no umbra on the disc or too little of it. */
double danjon_state_from_correction(const struct light_model *model, const struct shadow *shadow,
                                    double correction_stops);

#endif
