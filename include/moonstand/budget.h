/* photo: batteries and cards. */
#ifndef MOONSTAND_BUDGET_H
#define MOONSTAND_BUDGET_H

#include <moonstand/rig.h>

enum { SWAPS = 32 };
#define SWAP_S 60.0       /* changing a battery takes this long */
#define SWAP_CALM_S 600.0 /* around totality, for swaps that cost a long rig's aim */
#define RE_AIM_WITHIN_S 1200.0
#define SWAP_RESERVE 0.1  /* of a battery's life, used only for totality */
#define LIVE_VIEW_DRAIN 3 /* times; Canon Rebel T6: 600 shots with the finder, 190 in live view */

/* How long a full battery lasts, s, at a temperature; `frames_per_s`: of a bracket over the
 * interval. INFINITY with an external supply; NaN if anything is unknown. */
double power_life_s(const struct power *power, double frames_per_s, double temperature_c);

struct swap_ask {
    double utc, utc_to;    /* now (or the night's first frame) and the last frame */
    double changed_utc;    /* of the battery in use; NaN: full at `utc` */
    double life_s;         /* power_life_s */
    double swap_s;         /* SWAP_S or the setup's, including a re-aim that follows */
    int spares;            /* still full */
    double u2_utc, u3_utc; /* NaN: no totality */
    double calm_s;         /* kept free before U2 and after U3, at least AIM_KEEP_OFF_S */
    /* Times of re-aims, rising: a swap is best done just before one. None if a swap does not cost
     * the aim. */
    const double *re_aim;
    int re_aim_count;
    /* Spans in which the rig must not be touched: a wide rig's run, around contacts. */
    const struct span *off;
    int off_count;
};
struct swap {
    double utc;       /* start */
    double empty_utc; /* when the battery in use would be empty */
    bool in_totality; /* unavoidably */
    bool late;        /* after that battery is empty, because the rig must not be touched before */
    bool at_re_aim;   /* a re-aim follows */
};
struct swap_plan {
    bool known; /* false: battery life unknown, the rest is meaningless */
    int count;  /* of swaps; the first SWAPS are written */
    struct swap swap[SWAPS];
    int batteries;      /* for the rest of the night, the one in use included */
    bool totality_free; /* no swap and no empty battery between U2 and U3 */
    double dry_utc;     /* when the rig first runs out of power; NaN: never */
    bool external;      /* an external supply is needed: a swap falls in totality, the rig runs out
                           of power, or the spares do not suffice */
};
/* Plans the swaps of the rest of a night, as late as possible, each before a tenth of the life is
 * left (a little later if that saves one). One that would touch [U2, U3], with AIM_KEEP_OFF_S at
 * both ends, is moved before U2; else after U3, if the reserve lasts; only then is it left inside.
 * The margin `calm_s` is preferred to AIM_KEEP_OFF_S. A swap that costs the aim is moved to a
 * re-aim within RE_AIM_WITHIN_S, unless that takes one battery more. None touches a span in `off`:
 * if there is no other instant, the rig runs out of power. */
void swap_plan_make(const struct swap_ask *ask, struct swap_plan *plan);
/* The time for one swap: not before `from`, best by `limit`, at `empty` at the latest. */
struct swap_window {
    double from, limit, empty;
};
/* When to do one swap, of a battery or a card, by the same rules: outside the window, or in
 * totality, only if there is no other way. */
double swap_instant(const struct swap_ask *ask, const struct swap_window *window);

/* A span of the night with one length of bracket. */
struct card_span {
    double utc_from, utc_to;
    int bracket_frames;
};
struct card_ask {
    double utc; /* now: the next shot */
    double interval_s;
    const struct card_span *span; /* in order, without overlap */
    int span_count;
    int longest_bracket; /* of these spans */
    double frame_bytes;
    double card_bytes; /* size of the card in the camera, with `frames_taken` on it */
    int frames_taken;
    double free_bytes; /* read from the card itself: overrides the two above; NaN: not read */
};
struct card_budget {
    double frames;     /* from now to the end */
    double frames_fit; /* room for this many */
    bool fits;         /* also false if anything is unknown: the numbers are then NaN */
    double full_utc;   /* of the first shot that does not fit; NaN: all do */
    double
        interval_fits_s; /* shortest interval in whole seconds that would fit; unchanged if it does;
                               NaN: none up to an hour */
    int bracket_fits;    /* longest bracket that would fit at this interval; 0: none */
};
void card_budget_make(const struct card_ask *ask, struct card_budget *budget);

#endif
