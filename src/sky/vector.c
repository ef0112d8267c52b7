#include <moonstand/vec3.h>

#include <math.h>

double vec3_length(struct vec3 a)
{
    return sqrt(vec3_dot(a, a));
}

struct vec3 vec3_unit(struct vec3 a)
{
    return vec3_scale(a, 1 / vec3_length(a));
}

double vec3_angle(struct vec3 a, struct vec3 b)
{
    return atan2(vec3_length(vec3_cross(a, b)), vec3_dot(a, b));
}
