/* A comparison in double precision; cmocka's own works in float. */
#ifndef MOONSTAND_TESTS_NEAR_H
#define MOONSTAND_TESTS_NEAR_H

#include <math.h>

#define assert_near(value, wanted, tolerance)                                                      \
    do {                                                                                           \
        double near_value = (value), near_wanted = (wanted);                                       \
                                                                                                   \
        if (!(fabs(near_value - near_wanted) <= (tolerance)))                                      \
            fail_msg("%s is %.12g, wanted %.12g within %g", #value, near_value, near_wanted,       \
                     (double)(tolerance));                                                         \
    } while (0)

#endif
