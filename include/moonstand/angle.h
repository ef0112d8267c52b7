/* base: angles in radians and their units, and what they are on the ground. */
#ifndef MOONSTAND_ANGLE_H
#define MOONSTAND_ANGLE_H

#define PI 3.14159265358979323846
#define ARCSEC_PER_RAD (180.0 * 3600.0 / PI)

static inline double rad_from_deg(double deg)
{
    return deg * (PI / 180.0);
}
static inline double deg_from_rad(double rad)
{
    return rad * (180.0 / PI);
}
static inline double arcsec_from_rad(double rad)
{
    return rad * ARCSEC_PER_RAD;
}
static inline double rad_from_arcsec(double arcsec)
{
    return arcsec / ARCSEC_PER_RAD;
}

/* The same angle in [0, 2 pi). */
double angle_wrap(double rad);
/* The same angle in [-pi, pi). */
double angle_wrap_signed(double rad);
/* How far it is from one place to another near by, m over the ground: degrees, north and east positive,
 * on a sphere and as if it were flat. */
double ground_m(double from_lat_deg, double from_lon_deg, double to_lat_deg, double to_lon_deg);

#endif
