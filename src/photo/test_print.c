#include "photo_private.h"

#include <moonstand/eclipse.h>
#include <moonstand/exposure.h>
#include <moonstand/light.h>
#include <moonstand/test_print.h>

#include <math.h>

#define DISPLAY_GAMMA 2.2 /* sRGB, but for its darkest part */
#define SHADOW_STOPS (CLIP_STOPS - ONE_FRAME_STOPS)

double print_stops(const struct print_ask *ask, double fraction)
{
    double moon = fraction > 0 ? moon_part_luminance(ask->luminance, fraction) : 0;

    if (!ask->exposure->known)
        return NAN;
    return exposure_thirds(ask->exposure) / 3.0 -
           mid_grey_stops(ask->rig, moon + ask->sky_luminance);
}

double print_tone(double stops)
{
    if (stops > CLIP_STOPS)
        return 2;
    return stops < SHADOW_STOPS ? 0 : exp2((stops - CLIP_STOPS) / DISPLAY_GAMMA);
}

/* The share of the disc with less than so many stops. Light never falls with the distance from the
 * shadow's axis, so it is what lies within the distance that has just as many. */
static double share_below(const struct print_ask *ask, double stops)
{
    enum { HALVINGS = 40 };
    const struct shadow *shadow = ask->shadow;
    double low = 0, high = shadow->separation + shadow->moon_radius;

    for (int i = 0; i < HALVINGS; i++) {
        double rho = (low + high) / 2;
        double fraction = light_at(ask->model, rho, shadow->umbra, shadow->penumbra);
        if (print_stops(ask, fraction) < stops)
            low = rho;
        else
            high = rho;
    }
    return disc_share_within(shadow, (low + high) / 2);
}

void test_print_make(const struct print_ask *ask, struct test_print *print)
{
    bool known =
        ask->exposure->known && isfinite(ask->luminance) && isfinite(ask->shadow->separation);

    print->clipped = known ? 1 - share_below(ask, CLIP_STOPS) : NAN;
    print->lost = known ? share_below(ask, SHADOW_STOPS) : NAN;
}
