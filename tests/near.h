/* Comparison of doubles that says by how much it failed (cmocka's own goes through float). */
#ifndef MOONSTAND_TESTS_NEAR_H
#define MOONSTAND_TESTS_NEAR_H

#define assert_near(value, wanted, within)                                                         \
    near_or_fail((value), (wanted), (within), #value, __FILE__, __LINE__)

static inline void near_or_fail(double value, double wanted, double within, const char *what,
                                const char *file, int line)
{
    double miss = value > wanted ? value - wanted : wanted - value;

    if (miss <= within)
        return;
    print_error("%s is %.12g, wanted %.12g within %g\n", what, value, wanted, within);
    _fail(file, line);
}

#endif
