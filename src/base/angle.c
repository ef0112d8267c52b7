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
