#include <moonstand/vec3.h>

#include <math.h>

double vec3_angle(struct vec3 a, struct vec3 b)
{
    return atan2(vec3_length(vec3_cross(a, b)), vec3_dot(a, b));
}
