/* photo: batteries and cards. */
#ifndef MOONSTAND_BUDGET_H
#define MOONSTAND_BUDGET_H

#include <moonstand/rig.h>

enum { SWAPS = 32 };
#define SWAP_S 60.0       /* what hands need for a battery */
#define SWAP_CALM_S 600.0 /* before U2 and after U3, of a swap that costs a long rig's aim */
#define RE_AIM_WITHIN_S 1200.0
#define SWAP_RESERVE 0.1  /* of a battery's life that a plan does not touch but for totality */
#define LIVE_VIEW_DRAIN 3 /* times; Canon Rebel T6: 600 shots by the finder, 190 in live view */

/* How long a full battery lasts, s, in air of one temperature (a plan takes the coldest that is
 * expected): frames per second are those of the bracket over those of the interval. INFINITY with
 * an external supply; NaN where something is unknown. */
double power_life_s(const struct power *power, double frames_per_s, double temperature_c);

struct swap_ask {
    double utc, utc_to;    /* now (or the night's first frame) and the last frame */
    double changed_utc;    /* of the battery in use; NaN: full at `utc` */
    double life_s;         /* power_life_s */
    double swap_s;         /* SWAP_S, or what the user's hands need; with the re-aim that follows */
    int spares;            /* still full */
    double u2_utc, u3_utc; /* NaN: no totality */
    double calm_s;         /* kept free before U2 and after U3, at least AIM_KEEP_OFF_S */
    /* When re-aims that are due anyway are done, rising: a swap is best done just before one. None
     * where a swap does not cost the aim. */
    const double *re_aim;
    int re_aim_count;
    /* Spans in which the rig must not be touched: a wide rig's run, minutes around contacts. */
    const struct span *off;
    int off_count;
};
struct swap {
    double utc;       /* when hands begin */
    double empty_utc; /* when the battery in use would be empty */
    bool in_totality; /* could not be kept out of it */
    bool late;        /* after that battery is empty: the rig may not be touched before */
    bool at_re_aim;   /* a re-aim that is due anyway follows */
};
struct swap_plan {
    bool known; /* false: the life of a battery is unknown, and the rest means nothing */
    int count;  /* of the swaps, of which the first SWAPS are written */
    struct swap swap[SWAPS];
    int batteries;      /* for the rest of the night, the one in use included */
    bool totality_free; /* no swap and no empty battery between U2 and U3 */
    double dry_utc;     /* first time at which the rig stands without power; NaN: never */
    bool external;      /* the power does not last: an external supply is needed (a swap falls in
                           totality, the rig runs dry, or the spares do not suffice) */
};
/* The swaps of the rest of a night, as late as can be, each before a tenth of the life is left (a
 * little later where that saves one). One that would touch [U2, U3], with AIM_KEEP_OFF_S at either
 * end, is moved ahead of U2; else after U3, if the reserve lasts so long; only then is it left
 * inside. The margin of `calm_s` goes before that of AIM_KEEP_OFF_S. A swap that costs the aim is
 * then moved to a re-aim within RE_AIM_WITHIN_S of it, unless that takes one battery more. None
 * ever touches a span in `off`: where no other instant is left the rig runs dry. */
void swap_plan_make(const struct swap_ask *ask, struct swap_plan *plan);
/* When one swap can be done: not before `from`, best by `limit`, at `empty` at the latest. */
struct swap_window {
    double from, limit, empty;
};
/* When to do one swap, of a battery or a card, by the same rules: outside the window, or in
 * totality, only where there is no other way. */
double swap_instant(const struct swap_ask *ask, const struct swap_window *window);

/* A span of the night with one length of bracket. */
struct card_span {
    double utc_from, utc_to;
    int bracket_frames;
};
struct card_ask {
    double utc; /* now: the intervalometer's next shot */
    double interval_s;
    const struct card_span *span; /* in order, without overlap */
    int span_count;
    double frame_bytes;
    double card_bytes; /* size of the card in the camera, with `frames_taken` on it */
    int frames_taken;
    double free_bytes; /* as read from the card itself: goes before the two above; NaN: not read */
};
struct card_budget {
    double frames;          /* from now to the end */
    double frames_fit;      /* on what is free */
    bool fits;              /* false also where something is unknown: the numbers are then NaN */
    double full_utc;        /* of the first shot that the card does not hold; NaN: it holds all */
    double interval_fits_s; /* shortest interval of whole seconds that would fit; the same where it
                               fits; NaN: none of an hour or less */
    int bracket_fits;       /* longest bracket that would fit at this interval; 0: none */
};
void card_budget_make(const struct card_ask *ask, struct card_budget *budget);

#endif
