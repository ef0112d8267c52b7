/* The light that each point of the Moon's disc gets, as a fraction E/E0 of full sunlight.
 *
 * Geometry. Seen from a lunar point, multiplied by one factor, Sun and Earth are two discs of radii
 * s = (Rp - Ru)/2 and e = (Ru + Rp)/2 whose centres are `rho` apart, the point's distance from
 * the shadow's axis. So the radii of umbra and penumbra suffice, and the shadow rule enters through
 * them.
 *
 * Model, with x = rho/Ru, in the visual band:
 *     E/E0 = min(1, V + U + R)
 *     V  visible fraction of the limb-darkened Sun; 0 for x <= 1, 1 outside the penumbra
 *     U  refracted light: 10^-(D0 - (D0 - D1) min(x,1)^0.8), fading out linearly over x = 1..1.3
 *     R  bright rim, rays above 25 km: 10^-(2.75 + 30 (1-x)) inside,
 *        10^-max(2.3, 2.75 - 12 (x-1)) outside, fading out linearly over x = 1.06..1.36
 * D0 and D1 are piecewise linear in the state of the air L = 0..4; L = 3 is a clean stratosphere.
 *
 * Sources. V: Neckel & Labs 1994, Solar Physics 153, 91, interpolated to 550 nm. U and R: fitted to
 * a refraction model (standard atmosphere, Rayleigh scattering, 300 DU of ozone, stratospheric
 * aerosol at 20 km, clouds below) whose cloudless centre agrees with Vollmer & Gedzelman 2008
 * (Applied Optics 47, H52); the level of L = 3 is tied to H. Vital's law for eclipses in clean air,
 * m = 10.34 U - 2.08 U^2 - 11.7 over the umbral magnitude U, and L = 0 to the eclipses of 1963 and
 * 1992. Danjon's scale: L'Astronomie 35 (1921), 261.
 *
 * Range: any point, umbral magnitudes to 1.9, L = 0..4 (an eye can tell halves). Error bars:
 * outside x = 1.05 geometry, 0.02 dex (0.1 stop) and the choice of the rule; x = 1.00..1.05 and
 * 0.9..1.0: 0.3 dex (1 stop); inside 0.9 with L given: 0.25 dex (0.8 stop). The magnitude of the
 * whole disc at one eclipse: 0.5 mag (rms 0.49 against eleven observed ones, the state taken from
 * the rating of those that have one); L itself cannot be predicted better than 0.6 mag in clean
 * years, and not at all after an eruption. Not modelled: the umbra's north-south asymmetry (0.2
 * dex), colour (the red channel gets 0.5 to 1.4 stops more), the Moon's albedo pattern.
 *
 * The fractions are against the mean full Moon of -12.74 mag; the opposition surge belongs to the
 * exposure (moon_luminance). */
#include "sun_limb.h"

#include <moonstand/angle.h>
#include <moonstand/eclipse.h>
#include <moonstand/light.h>

#include <math.h>

/* Linear between the rows of 541.760 and 559.950 nm. */
const struct limb_law limb_neckel_labs_550 = {
    {0.264440038, 1.305495965, -1.430698670, 1.671010880, -1.123514623, 0.313266410}};

/* ---- the two discs ---- */

static double limb_brightness(const struct limb_law *law, double mu)
{
    double brightness = 0;

    for (int i = LIMB_TERMS - 1; i >= 0; i--)
        brightness = brightness * mu + law->term[i];
    return brightness;
}

/* Light from outside the radius whose limb cosine is `mu`, in units of 2 pi. */
static double limb_flux_outside(const struct limb_law *law, double mu)
{
    double flux = 0, power = mu * mu;

    for (int i = 0; i < LIMB_TERMS; i++, power *= mu)
        flux += law->term[i] * power / (i + 2);
    return flux;
}

/* Where to look between two ends, from 0 to 1, and what each look weighs: Gauss and Legendre's rule for
 * the angle of sin^2, under which the square roots that areas have at their ends are smooth. */
enum { NODES = 12 };
static const struct node {
    double place, weight;
} node[NODES] = {
    {0.0002097207286159579, 0.0010730254348021407}, {0.0056603013001170852, 0.012602145332097308},
    {0.03230500949427717, 0.044458683765500502},    {0.10142598485609562, 0.096344183713626852},
    {0.22691367497797715, 0.15361626816916688},     {0.40227504935169239, 0.19190569358480633},
    {0.59772495064830755, 0.19190569358480636},     {0.7730863250220229, 0.15361626816916688},
    {0.89857401514390434, 0.09634418371362688},     {0.96769499050572272, 0.04445868376550053},
    {0.99433969869988292, 0.012602145332097288},    {0.99979027927138397, 0.0010730254348021529},
};

static double clamp(double value, double lowest, double highest)
{
    return fmin(fmax(value, lowest), highest);
}

double sun_visible(const struct limb_law *law, double earth, double separation)
{
    /* Rings inside this radius are all clear, or all covered if the Earth covers the centre. */
    double inner = fabs(separation - earth);
    double whole = limb_flux_outside(law, 1);
    double seen = 0;

    if (separation >= earth + 1)
        return 1;
    if (separation <= earth - 1)
        return 0;
    for (int i = 0; i < NODES; i++) {
        double r = inner + (1 - inner) * node[i].place;
        double cosine = (separation * separation + r * r - earth * earth) / (2 * separation * r);
        double clear = 1 - acos(clamp(cosine, -1, 1)) / PI;

        seen += node[i].weight * r * limb_brightness(law, sqrt(fmax(0, 1 - r * r))) * clear;
    }
    seen *= 1 - inner;
    if (separation > earth)
        seen += whole - limb_flux_outside(law, sqrt(1 - inner * inner));
    return seen / whole;
}

/* ---- the profile ---- */

#define FADE 0.3 /* width over which U and R fade out, umbral radii */
#define RIM_PLATEAU 1.06
#define STEEP 0.9 /* from here to the rim it grows a thousandfold */

static double interpolate_state(const double column[5], double danjon)
{
    int i = danjon >= 4 ? 3 : (int)danjon;

    return column[i] + (danjon - i) * (column[i + 1] - column[i]);
}

void light_set_danjon(struct light_model *model, double danjon)
{
    static const double centre[] = {7.45, 7.05, 6.60, 6.00, 4.90};
    static const double edge[] = {5.70, 4.60, 3.75, 3.20, 3.10};

    model->danjon = clamp(danjon, 0, 4);
    model->centre_dex = interpolate_state(centre, model->danjon);
    model->edge_dex = interpolate_state(edge, model->danjon);
}

static double ten_to(double exponent)
{
    return exp(exponent * 2.302585092994045684);
}

static double fade(double beyond)
{
    return clamp(1 - beyond / FADE, 0, 1);
}

/* U + R of the model. */
static double air_light(const struct light_model *model, double x)
{
    double depth, rim_dex;

    if (x >= RIM_PLATEAU + FADE)
        return 0;
    depth = (model->centre_dex - model->edge_dex) * (x < 1 ? pow(x, 0.8) : 1);
    rim_dex = x <= 1 ? 2.75 + 30 * (1 - x) : fmax(2.3, 2.75 - 12 * (x - 1));
    return ten_to(depth - model->centre_dex) * fade(x - 1) +
           ten_to(-rim_dex) * fade(x - RIM_PLATEAU);
}

void light_prepare(struct light_model *model, double umbra_rad, double penumbra_rad, double danjon)
{
    double earth = (penumbra_rad + umbra_rad) / (penumbra_rad - umbra_rad);

    light_set_danjon(model, danjon);
    /* Steps are short at both ends, where the Sun's limb comes and goes with a power of 3/2. */
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        double t = 2.0 * i / LIGHT_STEPS - 1, q = t * (2 - fabs(t));

        model->visible[i] = sun_visible(&limb_neckel_labs_550, earth, earth + q);
    }
}

double table_visible(const struct light_model *model, double q)
{
    double t, place;
    int i;

    if (q <= -1)
        return 0;
    if (q >= 1)
        return 1;
    t = copysign(1 - sqrt(1 - fabs(q)), q);
    place = (t + 1) * (LIGHT_STEPS / 2.0);
    i = (int)place;
    return model->visible[i] + (place - i) * (model->visible[i + 1] - model->visible[i]);
}

double light_at(const struct light_model *model, double rho_rad, double umbra_rad,
                double penumbra_rad)
{
    double sun = (penumbra_rad - umbra_rad) / 2, earth = (penumbra_rad + umbra_rad) / 2;

    return fmin(1, table_visible(model, (rho_rad - earth) / sun) +
                       air_light(model, rho_rad / umbra_rad));
}

/* ---- the disc ---- */

/* The light depends on rho alone, so the disc is a distribution over rho. */

/* Half the angle of the arc at `rho` that lies on the disc, 0 to pi. */
static double disc_half_arc(const struct shadow *shadow, double rho)
{
    double d = shadow->separation, r = shadow->moon_radius;

    if (rho <= r - d)
        return PI;
    if (rho <= d - r || rho >= d + r)
        return 0;
    return acos(clamp((d * d + rho * rho - r * r) / (2 * d * rho), -1, 1));
}

/* The common lens of two circles. */
double disc_share_within(const struct shadow *shadow, double rho)
{
    double d = shadow->separation, r = shadow->moon_radius;

    if (rho <= fabs(r - d))
        return rho <= r - d ? rho * rho / (r * r) : 0;
    if (rho >= d + r || d == 0)
        return rho >= r ? 1 : 0;

    double at_axis = acos(clamp((d * d + rho * rho - r * r) / (2 * d * rho), -1, 1));
    double at_moon = acos(clamp((d * d + r * r - rho * rho) / (2 * d * r), -1, 1));
    double kite = sqrt(fmax(0, (d + rho - r) * (d + r - rho) * (rho + r - d) * (d + rho + r))) / 2;

    return clamp((rho * rho * at_axis + r * r * at_moon - kite) / (PI * r * r), 0, 1);
}

double disc_quantile(const struct shadow *shadow, double share)
{
    enum { STEPS = 40 };
    double d = shadow->separation, r = shadow->moon_radius;
    double low = fmax(0, d - r), high = d + r, exact = 1e-11 * high;
    double rho = (low + high) / 2;

    /* Newton's method, with bisection if a step would leave the span. */
    for (int i = 0; i < STEPS && high - low > exact; i++) {
        double missing = share - disc_share_within(shadow, rho);
        double slope = 2 * rho * disc_half_arc(shadow, rho) / (PI * r * r);
        double next = rho + missing / slope, last = rho;

        if (missing > 0)
            low = rho;
        else
            high = rho;
        rho = next > low && next < high ? next : (low + high) / 2;
        if (fabs(rho - last) < exact)
            break;
    }
    return rho;
}

/* Mean light over the part of the disc between two distances from the axis, times its share. */
static double disc_part(const struct light_model *model, const struct shadow *shadow, double from,
                        double to)
{
    double r = shadow->moon_radius, sum = 0;

    if (to <= from)
        return 0;
    for (int i = 0; i < NODES; i++) {
        double rho = from + (to - from) * node[i].place;

        sum += node[i].weight * rho * disc_half_arc(shadow, rho) *
               light_at(model, rho, shadow->umbra, shadow->penumbra);
    }
    return sum * 2 * (to - from) / (PI * r * r);
}

static double disc_mean(const struct light_model *model, const struct shadow *shadow)
{
    /* Integrate between kinks of light and area; beyond the last all is lit. */
    double d = shadow->separation, r = shadow->moon_radius;
    double low = fmax(0, d - r), high = fmin(d + r, shadow->penumbra);
    const double cut[] = {fabs(d - r), STEEP * shadow->umbra, shadow->umbra,
                          RIM_PLATEAU * shadow->umbra, high};
    double mean = 1 - disc_share_within(shadow, shadow->penumbra);

    for (size_t i = 0; i < sizeof cut / sizeof cut[0]; i++) {
        double to = fmin(cut[i], high);

        mean += disc_part(model, shadow, low, to);
        low = fmax(low, to);
    }
    return mean;
}

void light_disc(const struct light_model *model, const struct shadow *shadow, struct light *light)
{
    double umbra = shadow->umbra, penumbra = shadow->penumbra;
    double nearest = fmax(0, shadow->separation - shadow->moon_radius);

    if (!isfinite(shadow->separation) || !isfinite(shadow->moon_radius) || !isfinite(umbra)) {
        *light = (struct light){NAN, NAN, NAN, NAN, NAN, NAN};
        return;
    }
    light->umbra_share = disc_share_within(shadow, umbra);
    light->lit = light_at(model, disc_quantile(shadow, 1 - LIGHT_BRIGHTEST / 2), umbra, penumbra);
    light->umbra = NAN;
    if (light->umbra_share > 0) /* at the distance that halves the area inside the umbra */
        light->umbra =
            light_at(model, disc_quantile(shadow, light->umbra_share / 2), umbra, penumbra);
    light->mean = disc_mean(model, shadow);
    light->darkest = light_at(model, nearest, umbra, penumbra);
    light->drop_mag = -2.5 * log10(light->mean);
}

/* ---- the two meanings of L ---- */

#define STATE_PER_MAGNITUDE 2.37 /* by which the same rating means clearer air with depth */
#define RATING_MAGNITUDE 1.106   /* where clean air rates 3 */
#define RATING_DARK 2.4          /* the least that is on record for clean air, at 1.359 */

double danjon_state_from_rating(double rating, double umbral_magnitude)
{
    double offset = STATE_PER_MAGNITUDE * (fmax(umbral_magnitude, 1) - RATING_MAGNITUDE);
    double share = clamp(rating / RATING_DARK, 0, 1);

    return clamp(rating + offset * share, 0, 4);
}

/* U + R in another state of the air. */
static double state_light(double danjon, double x)
{
    struct light_model model;

    light_set_danjon(&model, danjon);
    return air_light(&model, x);
}

double danjon_state_from_correction(const struct light_model *model, const struct shadow *shadow,
                                    double correction_stops)
{
    enum { HALVINGS = 40 };
    double share = disc_share_within(shadow, shadow->umbra);
    double x = disc_quantile(shadow, share / 2) / shadow->umbra;
    double seen = air_light(model, x) * exp2(-correction_stops);
    double low = 0, high = 4;

    if (!isfinite(shadow->separation) || !(share > 0) || !isfinite(seen))
        return NAN;
    if (log2(state_light(high, x) / state_light(low, x)) < DANJON_TELLING_STOPS)
        return NAN;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (low + high) / 2;

        if (state_light(middle, x) < seen)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}
