/* night: what the light asks of a rig through the night. */
#ifndef MOONSTAND_RUN_H
#define MOONSTAND_RUN_H

#include <moonstand/exposure.h>

enum { NIGHT_EVENTS = 64, RUN_SAMPLES = 1300, SEGMENTS = 160 };
#define RUN_SAMPLE_S 30.0 /* between two samples of the run */

/* One rig's setting over a span of time. */
struct segment {
    double utc_from, utc_to;
    struct exposure exposure;
};

/* What the exposures of the eclipse depend on, sampled once per night from P1 to P4. */
struct run_sample {
    double utc;
    struct light light;
    double luminance;        /* of the sunlit disc at the camera, cd/m2; NaN: the Moon is down */
    double sun_altitude_rad; /* airless */
    struct sky_light sky;
    double drift_arcsec_per_s[RIGS];
};

/* A span in which the sky is brighter than the part of the Moon that a rig exposes for, so that
 * nothing of it is to be had: in twilight, or at night in an eclipse darker than the sky. */
struct lost_span {
    struct span span;
    enum target target; /* of the rig */
    bool twilight;      /* the Sun is less than 18 degrees down */
    bool to_end;        /* it lasts for as long as the Moon is up, or to P4 */
};
enum { LOST_SPANS = 6 };

/* The run of settings of one rig, from P1 to P4, in order, without overlap. */
struct run {
    int count;
    struct segment segment[SEGMENTS];
    int lost_count;
    struct lost_span lost[LOST_SPANS];
};

#endif
