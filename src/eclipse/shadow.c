/* Danjon and Chauvenet as printed in Espenak & Meeus, Five Millennium Catalog of Lunar Eclipses
 * (NASA/TP-2009-214173) and on NASA's page on the enlargement of the shadow; the oblate rule after
 * Herald & Sinnott, J. Brit. Astron. Assoc. 124 (2014) 247.
 */
#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/eclipse.h>
#include <moonstand/fault.h>

#include <math.h>
#include <string.h>

#define AIR_KM 87.0

static const char *const rule_names[SHADOW_RULES] = {
    [SHADOW_DANJON] = "danjon",
    [SHADOW_CHAUVENET] = "chauvenet",
    [SHADOW_OBLATE] = "oblate",
};

const char *shadow_rule_name(enum shadow_rule rule)
{
    return rule_names[rule];
}

int shadow_rule_parse(const char *name, enum shadow_rule *rule, struct fault *fault)
{
    for (int i = 0; i < SHADOW_RULES; i++) {
        if (strcmp(name, rule_names[i]) == 0) {
            *rule = (enum shadow_rule)i;
            return 0;
        }
    }
    return fault_set(fault, "'%.40s' is not a shadow rule; write danjon, chauvenet or oblate",
                     name);
}

/* Radius of the Earth's outline as seen from the Sun, towards the Moon; `north` and `east` are the
 * components of that direction along the projected pole and across it. */
static double outline_km(double sin_sun_declination, double east, double north)
{
    double sin2 = sin_sun_declination * sin_sun_declination;
    double pole_km = sqrt(EARTH_POLE_KM * EARTH_POLE_KM * (1 - sin2) +
                          EARTH_EQUATOR_KM * EARTH_EQUATOR_KM * sin2);

    return 1 / hypot(east / EARTH_EQUATOR_KM, north / pole_km);
}

void shadow_at(const struct arc *arc, double tt, enum shadow_rule rule, struct shadow *shadow)
{
    struct vec3 moon = arc_moon(arc, tt), sun = arc_sun(arc, tt), pole = arc_pole(arc, tt);
    struct vec3 axis = vec3_unit(vec3_scale(sun, -1));
    struct vec3 east = vec3_unit(vec3_cross(pole, axis)), north = vec3_cross(axis, east);
    double moon_km = vec3_length(moon), sun_km = vec3_length(sun);
    double x = vec3_dot(moon, east), y = vec3_dot(moon, north), off = hypot(x, y);
    /* On the axis itself any direction will do. */
    double x_share = off > 0 ? x / off : 0, y_share = off > 0 ? y / off : 1;
    double earth, scale = 1;

    shadow->separation = atan2(off, vec3_dot(moon, axis));
    shadow->east = shadow->separation * x_share;
    shadow->north = shadow->separation * y_share;
    shadow->moon_distance_km = moon_km;
    shadow->sun_distance_km = sun_km;
    shadow->moon_parallax = asin(EARTH_EQUATOR_KM / moon_km);
    shadow->moon_radius = asin(MOON_K * EARTH_EQUATOR_KM / moon_km);
    shadow->sun_parallax = asin(EARTH_EQUATOR_KM / sun_km);
    shadow->sun_radius = rad_from_arcsec(SUN_RADIUS_ARCSEC_1AU) * AU_KM / sun_km;
    shadow->phase_angle = vec3_angle(vec3_add(sun, vec3_scale(moon, -1)), vec3_scale(moon, -1));

    switch (rule) {
    case SHADOW_CHAUVENET:
        earth = 0.998340;
        scale = 1.02;
        break;
    case SHADOW_OBLATE:
        earth = (outline_km(vec3_dot(pole, axis), x_share, y_share) + AIR_KM) / EARTH_EQUATOR_KM;
        break;
    default:
        earth = 1.01;
    }
    earth = earth * shadow->moon_parallax + shadow->sun_parallax;
    shadow->umbra = scale * (earth - shadow->sun_radius);
    shadow->penumbra = scale * (earth + shadow->sun_radius);
    shadow->umbral_magnitude =
        (shadow->umbra + shadow->moon_radius - shadow->separation) / (2 * shadow->moon_radius);
    shadow->penumbral_magnitude =
        (shadow->penumbra + shadow->moon_radius - shadow->separation) / (2 * shadow->moon_radius);
}
