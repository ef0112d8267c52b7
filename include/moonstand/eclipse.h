/* eclipse: the shadow of the Earth, the search for eclipses, contacts, the light on the disc. */
#ifndef MOONSTAND_ECLIPSE_H
#define MOONSTAND_ECLIPSE_H

#include <moonstand/sky.h>

/* How the Earth's air is taken into account when the shadow's radii are computed. */
enum shadow_rule {
    SHADOW_DANJON,    /* Rp, Ru = 1.01 Pm + Ps +- Ss; as in the NASA catalogue */
    SHADOW_CHAUVENET, /* 1.02 (0.998340 Pm + Ps +- Ss) */
    SHADOW_OBLATE,    /* the oblate Earth plus 87 km of air (Herald & Sinnott 2014) */
    SHADOW_RULES
};
/* "danjon", "chauvenet", "oblate". */
const char *shadow_rule_name(enum shadow_rule rule);
/* -1 with a fault where the name is none of the three. */
int shadow_rule_parse(const char *name, enum shadow_rule *rule, struct fault *fault);

/* The shadow at one instant, geocentric; angles in radians. */
struct shadow {
    double separation;                   /* Moon's centre from the shadow's axis */
    double umbra, penumbra, moon_radius; /* angular radii */
    double moon_parallax, sun_parallax, sun_radius;
    double sun_distance_km, moon_distance_km;
    double east, north;      /* Moon's centre from the axis, along the equator of date */
    double umbral_magnitude; /* fraction of the Moon's diameter inside; negative outside */
    double penumbral_magnitude;
    double phase_angle; /* Sun-Moon-Earth angle */
};

/* The shadow at `tt` inside the arc. */
void shadow_at(const struct arc *arc, double tt, enum shadow_rule rule, struct shadow *shadow);

enum eclipse_kind { ECLIPSE_PENUMBRAL = 1, ECLIPSE_PARTIAL, ECLIPSE_TOTAL };
/* "penumbral", "partial", "total". */
const char *eclipse_kind_name(enum eclipse_kind kind);

enum contact {
    CONTACT_P1,
    CONTACT_U1,
    CONTACT_U2,
    CONTACT_GREATEST,
    CONTACT_U3,
    CONTACT_U4,
    CONTACT_P4,
    CONTACT_COUNT
};
/* "P1", "U1", "U2", "greatest", "U3", "U4", "P4". */
const char *contact_name(enum contact contact);

struct eclipse {
    enum eclipse_kind kind;
    enum shadow_rule rule;
    double tt[CONTACT_COUNT]; /* NaN where the contact does not exist; greatest always exists */
    double gamma;             /* equatorial Earth radii, north positive */
    double umbral_magnitude, penumbral_magnitude; /* at greatest */
    int saros;
};

/* All eclipses whose greatest falls in [tt_from, tt_to), oldest first; returns how many exist, of
 * which the first `most` are written. Accuracy: see search.c. */
size_t eclipse_search(double tt_from, double tt_to, enum shadow_rule rule, struct eclipse *eclipses,
                      size_t most);

enum phase { PHASE_NONE, PHASE_PENUMBRAL, PHASE_PARTIAL, PHASE_TOTAL };
/* "none", "penumbral", "partial", "total". */
const char *phase_name(enum phase phase);
enum phase eclipse_phase(const struct eclipse *eclipse, double tt);

/* An instant relative to a contact: "U1-30m", "U2+10s", "greatest", "P4+1h30m". */
struct contact_offset {
    enum contact contact;
    double offset_s;
};
int contact_offset_parse(const char *text, struct contact_offset *offset, struct fault *fault);
/* Its TT for an eclipse. U2 and U3 fall to greatest for a partial eclipse; NaN where the contact
 * does not exist otherwise. */
double contact_offset_tt(const struct contact_offset *offset, const struct eclipse *eclipse);

/* ---- light (light.c) ---- */

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
