/* night: when the hands set cameras. */
#ifndef MOONSTAND_ROUNDS_H
#define MOONSTAND_ROUNDS_H

#include <moonstand/run.h>

struct night;

enum { ROUNDS = 160, ROUND_SAMPLES = 2 * RUN_SAMPLES };
/* What rounds are looked for: exposures in thirds of a stop at samples evenly apart. */
struct rounds_ask {
    int count, rigs;            /* samples; rigs that are set by hand or not */
    const double *wanted[RIGS]; /* by sample; NaN: no frame is taken */
    /* Of a bracket: thirds on either side that its light needs, and its frames reach; null: no
     * bracket. A setting has the longest reach of the samples that it serves. */
    const double *reach[RIGS];
    double tolerance[RIGS];     /* thirds */
    const bool *kept_off;       /* by sample: no round there; null: anywhere */
    int apart;                  /* least samples between two rounds; 0: none */
};
/* The fewest rounds at which a change of settings keeps every rig within its tolerance of what it
 * wants: indices of samples. Where that cannot be, rounds as close as `apart` allows. Returns how
 * many; ROUNDS at most. */
int rounds_cut(const struct rounds_ask *ask, int rounds[ROUNDS]);

/* All rounds from P1 to P4. Rigs that a remote sets have none. */
struct rounds {
    int count;
    struct {
        double utc;
        bool touched[RIGS];
        struct exposure exposure[RIGS]; /* to be set; of the touched ones */
        double worst_stops[RIGS]; /* largest error up to the next setting, of those looked at */
    } round[ROUNDS];
    struct exposure begins[RIGS]; /* set before the first frame; not known: no frame, or by remote */
    int set_count[RIGS];          /* settings of one rig, that one included */
    int settings;                 /* changes at rounds, of all rigs */
    double worst_stops;           /* largest error of a setting against what is wanted */
};
/* The fewest rounds that would be if hands were quick and could come at any time: as much work as
 * all of `struct rounds`. */
int rounds_least(const struct night *night);
/* The next setting of a rig after `utc` and its round, or one that came within the last minute; null:
 * none. */
const struct exposure *rounds_next(const struct rounds *rounds, int rig, double utc,
                                   double *round_utc);
/* By how much what is set is brighter (+) than what is wanted, stops; of a bracket what its frames
 * do not cover. NaN where nothing is wanted. */
double stops_off(const struct exposure *wanted, const struct exposure *set);
/* What the hands have set on a rig at `utc`, at the last round or before the first frame; null:
 * nothing. */
const struct exposure *rounds_now(const struct rounds *rounds, int rig, double utc);

#endif
