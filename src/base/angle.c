#include <moonstand/angle.h>

#include <math.h>

double angle_wrap(double rad)
{
    double wrapped = fmod(rad, 2 * PI);

    if (wrapped < 0)
        wrapped += 2 * PI;
    /* A tiny negative angle rounds up to the full turn itself. */
    return wrapped >= 2 * PI ? 0 : wrapped;
}

double angle_wrap_signed(double rad)
{
    double wrapped = angle_wrap(rad);

    return wrapped >= PI ? wrapped - 2 * PI : wrapped;
}

double ground_m(double from_lat_deg, double from_lon_deg, double to_lat_deg, double to_lon_deg)
{
    const double metres_per_degree = 111195; /* of a great circle */
    double north = to_lat_deg - from_lat_deg;
    double east = deg_from_rad(angle_wrap_signed(rad_from_deg(to_lon_deg - from_lon_deg))) *
                  cos(rad_from_deg(from_lat_deg));

    return hypot(north, east) * metres_per_degree;
}
