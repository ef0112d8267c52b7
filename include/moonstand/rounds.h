/* night: when the hands set cameras. */
#ifndef MOONSTAND_ROUNDS_H
#define MOONSTAND_ROUNDS_H

#include <moonstand/exposure.h>

struct night;

/* A picture in which the sky outshines the Moon may be off by so much more than its rig's tolerance:
 * it is neither white nor black, and hands are spared. */
#define LOST_SLACK_STOPS 1.0

enum { ROUNDS = 160 };
/* All rounds from P1 to P4. Rigs that a remote sets have none. */
struct rounds {
    int count;
    struct {
        double utc;
        bool touched[RIGS];
        struct exposure exposure[RIGS]; /* to be set; of the touched ones */
        double worst_stops[RIGS]; /* largest error up to the next setting, of those looked at */
    } round[ROUNDS];
    struct exposure
        begins[RIGS];    /* set before the first frame; not known: no frame, or by remote */
    int set_count[RIGS]; /* settings of one rig, that one included */
    int settings;        /* changes at rounds, of all rigs */
    double worst_stops;  /* largest error of a setting against the ideal, without the slack */
};
/* The fewest rounds that would be if hands were quick and could come at any time: of all rigs (-1) at
 * common instants, or of one alone; on a dial with so many steps in a third of a stop. As much work as
 * all of `struct rounds`. */
int rounds_least(const struct night *night, int rig, int steps);
/* The next setting of a rig after `utc` and its round, or one that has come and that the hands are
 * still told of: until the next one is near, at least for a minute, at most for two. null: none. */
const struct exposure *rounds_next(const struct rounds *rounds, int rig, double utc,
                                   double *round_utc);
/* What the hands have set on a rig at `utc`, at the last round or before the first frame; null:
 * nothing. */
const struct exposure *rounds_now(const struct rounds *rounds, int rig, double utc);

#endif
