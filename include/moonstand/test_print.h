/* photo: the picture of the Moon that a setting takes, before it is taken. */
#ifndef MOONSTAND_TEST_PRINT_H
#define MOONSTAND_TEST_PRINT_H

struct exposure;
struct light_model;
struct rig;
struct shadow;

/* Where a raw file clips, in stops over mid-grey: ISO 12232:2019, saturation at 78 lx s over the speed
 * and a metered grey at 10. */
#define CLIP_STOPS 2.9635 /* log2(7.8) */

struct print_ask {
    const struct rig *rig;
    const struct exposure *exposure; /* by the frame of it that is shown */
    double luminance;     /* of the sunlit disc, air taken off it, cd/m2; NaN: the Moon is down */
    double sky_luminance; /* in front of it */
    const struct light_model *model;
    const struct shadow *shadow;
};
/* Stops over mid-grey of a point that gets `fraction` of full sunlight (0: the sky alone). NaN where
 * something is unknown. */
double print_stops(const struct print_ask *ask, double fraction);
/* How so many stops look on the back of a camera: 0 (below usable shadows) to 1; 2: clipped. */
double print_tone(double stops);

/* Shares of the disc's area that clip, and that lie below usable shadows: of uniform albedo, without
 * the blur of a drift, which moves edges alone. NaN where unknown. */
struct test_print {
    double clipped, lost;
};
void test_print_make(const struct print_ask *ask, struct test_print *print);

#endif
