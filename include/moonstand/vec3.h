/* sky: vectors. */
#ifndef MOONSTAND_VEC3_H
#define MOONSTAND_VEC3_H

#include <math.h>

struct vec3 {
    double x, y, z;
};

static inline double vec3_dot(struct vec3 a, struct vec3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
static inline struct vec3 vec3_cross(struct vec3 a, struct vec3 b)
{
    return (struct vec3){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
static inline struct vec3 vec3_add(struct vec3 a, struct vec3 b)
{
    return (struct vec3){a.x + b.x, a.y + b.y, a.z + b.z};
}
static inline struct vec3 vec3_scale(struct vec3 a, double s)
{
    return (struct vec3){a.x * s, a.y * s, a.z * s};
}
/* A vector in the axes x, y, z: unit vectors at right angles. */
static inline struct vec3 vec3_in(struct vec3 a, struct vec3 x, struct vec3 y, struct vec3 z)
{
    return (struct vec3){vec3_dot(a, x), vec3_dot(a, y), vec3_dot(a, z)};
}
static inline double vec3_length(struct vec3 a)
{
    return sqrt(vec3_dot(a, a));
}
static inline struct vec3 vec3_unit(struct vec3 a)
{
    return vec3_scale(a, 1 / vec3_length(a));
}
/* Angle between two directions, radians in [0, pi], exact for small angles too. */
static inline double vec3_angle(struct vec3 a, struct vec3 b)
{
    return atan2(vec3_length(vec3_cross(a, b)), vec3_dot(a, b));
}

#endif
