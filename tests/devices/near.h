/* cmocka compares floats; here doubles matter. NaN is near nothing. */
#ifndef TESTS_DEVICES_NEAR_H
#define TESTS_DEVICES_NEAR_H

#include <math.h>

#define assert_near(value, wanted, tolerance) assert_true(fabs((value) - (wanted)) <= (tolerance))

#endif
