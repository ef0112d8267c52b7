/* The search with the places of libnova (ELP 2000-82B and VSOP87, all terms). Prints milliseconds,
 * eclipses, steps and the sum of the instants of greatest eclipse. */
#include "search.h"

#include <libnova/lunar.h>
#include <libnova/solar.h>
#include <stdio.h>

#define JD_J2000 2451545.0
#define LIGHT_KM_PER_S 299792.458
#define AU 149597870.7

static struct place moon(double tt)
{
    struct ln_rect_posn at;

    ln_get_lunar_geo_posn(JD_J2000 + (tt - 1.28) / DAY_S, &at, 0);
    return (struct place){at.X, at.Y, at.Z};
}

static struct place sun(double tt)
{
    struct ln_helio_posn at;

    ln_get_solar_geom_coords(JD_J2000 + (tt - AU / LIGHT_KM_PER_S) / DAY_S, &at);
    return (struct place){AU * at.R * cos(at.B * RAD) * cos(at.L * RAD),
                          AU * at.R * cos(at.B * RAD) * sin(at.L * RAD),
                          AU * at.R * sin(at.B * RAD)};
}

int main(void)
{
    const struct source source = {moon, sun};
    double from = now_ms();
    struct found found = search_all(&source);

    printf("%.3f %d %ld %.3f\n", now_ms() - from, found.eclipses, found.steps, found.greatest_s);
    return 0;
}
