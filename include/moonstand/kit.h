/* night: batteries and cards of a night. */
#ifndef MOONSTAND_KIT_H
#define MOONSTAND_KIT_H

#include <moonstand/budget.h>

struct night;

/* Where the temperature comes from that batteries are reckoned with. */
enum cold_source { COLD_READING, COLD_FORECAST, COLD_SITE, COLD_UNKNOWN };

enum swap_reason {
    SWAP_RUNS_DOWN,       /* a tenth of the battery is left */
    SWAP_BEFORE_TOTALITY, /* moved ahead, to keep totality free */
    SWAP_AFTER_TOTALITY,  /* put off, likewise */
    SWAP_AT_RE_AIM,       /* moved to a re-aim, which it would else add to */
    SWAP_BESIDE_CONTACT,  /* moved off the minute around a contact */
    SWAP_IN_TOTALITY,     /* no other way */
    SWAP_TOO_LATE         /* after the battery is empty: no other way */
};

/* The power of one rig from an instant on. */
struct rig_power {
    /* Planned for: the coldest that is expected. Of an unknown temperature the coldest one between
     * `cold_c` and `warm_c` at which the batteries last (at `warm_c` they may not), so that no more is
     * asked for than is certain. Both are `temperature_c` if that is known. */
    double temperature_c, cold_c, warm_c;
    enum cold_source cold_from;
    double life_s; /* of a full battery; INFINITY with an external supply; NaN unknown */
    double life_cold_s, life_warm_s;
    double full_utc;  /* when the one in use was full */
    double empty_utc; /* when it is empty; not finite: see life_s */
    int spares;       /* still full */
    struct swap_plan plan;
};

/* The power of a rig as it is planned at `utc`, from the last change of battery (or the first shot)
 * on: a swap that was planned and not done lies in the past. */
void rig_power_make(const struct night *night, int rig, double utc, struct rig_power *power);
/* Whether a change of battery or card costs a rig its aim: a long one on a tripod. It is then planned
 * with a re-aim, and further from totality. */
bool swap_costs_aim(const struct night *night, int rig);
/* When hands should change a card that is full at `full_utc`, as seen at `utc`. */
double card_swap_utc(const struct night *night, int rig, double utc, double full_utc);
/* Why a swap is planned where it is. */
enum swap_reason swap_reason_of(const struct night *night, const struct rig_power *power,
                                const struct swap *swap);
/* What goes on a rig's card from `utc` on. `free_bytes`: as read from the card, NaN: reckoned from
 * its size and from what an intervalometer has shot since it was put in. False where neither is
 * known; `frames` is set all the same. */
bool rig_card_make(const struct night *night, int rig, double utc, double free_bytes,
                   struct card_budget *budget);

/* What a rig lives on. */
struct kit_moment {
    double battery_empty_utc; /* of the one in use; NaN: never, or unknown */
    double swap_utc;          /* hands change it then; in the past: due; NaN: not tonight */
    enum swap_reason swap_reason;
    int batteries;   /* for the rest of the night, the one in use included; -1 unknown */
    double power_utc; /* the last instant for it: before a rig that must not be touched begins, else before it
                         runs out of power; NaN: never */
    bool card_known; /* false: of the card below only `frames` is known */
    bool card_absent;
    double card_utc; /* hands change it then; in the past: due; NaN: it holds all */
    struct card_budget card;
};

#endif
