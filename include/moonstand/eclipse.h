/* eclipse: the shadow of the Earth, the search for eclipses, contacts. */
#ifndef MOONSTAND_ECLIPSE_H
#define MOONSTAND_ECLIPSE_H

#include <stddef.h>

struct arc;
struct fault;

/* How the Earth's air enlarges the shadow. */
enum shadow_rule {
    SHADOW_DANJON,    /* Rp, Ru = 1.01 Pm + Ps +- Ss; as in the NASA catalogue */
    SHADOW_CHAUVENET, /* 1.02 (0.998340 Pm + Ps +- Ss) */
    SHADOW_OBLATE,    /* the oblate Earth plus 87 km of air (Herald & Sinnott 2014) */
    SHADOW_RULES
};
/* "danjon", "chauvenet", "oblate". */
const char *shadow_rule_name(enum shadow_rule rule);
/* -1 with a fault if the name is none of the three. */
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
    double tt[CONTACT_COUNT]; /* NaN if there is no such contact; greatest always exists */
    double gamma;             /* equatorial Earth radii, north positive */
    double umbral_magnitude, penumbral_magnitude; /* at greatest */
    int saros;
};

/* All eclipses with greatest in [tt_from, tt_to), oldest first. Writes at most `most` and returns
 * how many there are. Accuracy: search.c. */
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
/* Its TT for an eclipse. For a partial eclipse, U2 and U3 mean greatest; otherwise NaN if
 * there is no such contact. */
double contact_offset_tt(const struct contact_offset *offset, const struct eclipse *eclipse);

#endif
