/* night: all that is known.
 *
 *     setup + site + eclipse --> night      act --> night_apply(night, act)      night + utc --> moment
 *
 * A resume after a crash is the fold of the journal by night_replay; undo is an act that names the
 * one it undoes.
 */
#ifndef MOONSTAND_NIGHT_H
#define MOONSTAND_NIGHT_H

#include <moonstand/agenda.h>
#include <moonstand/aim.h>
#include <moonstand/air.h>
#include <moonstand/arc.h>
#include <moonstand/event.h>
#include <moonstand/forecast.h>
#include <moonstand/framing.h>
#include <moonstand/instant.h>
#include <moonstand/kit.h>
#include <moonstand/rig_state.h>
#include <moonstand/rounds.h>
#include <moonstand/setup.h>
#include <moonstand/track.h>

#include <stdint.h>

struct act;

/* From when on the rounds of the hands are planned: the last act that changed what is asked for, or
 * a round that was told to be done. What lies before it is done. */
struct replan {
    double utc;         /* of that act; NaN: none, the plan begins with P1 */
    bool done;          /* a round was done: the next one keeps its distance */
    double planned_utc; /* when that round was planned for; NaN */
    bool asks;          /* something else is asked for now: at once, if need be */
    double set_utc;     /* when a dial was turned last; NaN */
    int rig;            /* of that act; -1: none */
    bool pinned;        /* a test frame of it looked right then, and is on its dial */
    int more_thirds;    /* of a stop that a key has just asked for on top of its dial */
    struct dial dial[RIGS];
};

/* What a night begins with. */
struct beginning {
    struct setup setup;
    struct eclipse eclipse; /* by the setup's shadow rule */
    struct zone_table zone; /* local time of its site */
};

/* Makes changes of the setup. `edit` changes a setup, and local time with its site, as the text of
 * an ACT_SETUP names; on -1, with a fault, both are unchanged. */
struct setup_editor {
    int (*edit)(void *context, const char *change, struct setup *setup, struct zone_table *zone,
                struct fault *fault); /* null: no change is taken */
    void *context;
};

/* What an act makes stale: a ladder. Whatever stands on a rung goes with all on the rungs before it. */
enum stale {
    STALE_NOTHING,
    STALE_ADVICE,  /* what is asked for every few seconds only */
    STALE_AIM,     /* when an aimed rig loses the Moon */
    STALE_ROUNDS,  /* the rounds of the hands, planned from that act on */
    STALE_RUN,     /* the runs of settings */
    STALE_LIGHT,   /* the light samples */
    STALE_FRAMING, /* how the rigs frame the night, and what their mounts will have to do */
    STALE_SITE     /* everything */
};

struct night {
    struct beginning began;
    struct setup_editor editor;    /* to be set before the first act */
    struct forecast forecast_file; /* as it was read; empty: none */
    bool rehearsal;
    double pace; /* seconds of the night per second lived: 1, or faster in a rehearsal */
    double card_free_bytes[RIGS]; /* as the readings tell it; NaN: not read */

    /* folded from the acts */
    struct setup setup; /* in force; its checklist has the items of ACT_ITEM, too */
    struct eclipse eclipse;
    struct zone_table zone;
    int items_of_setup;     /* of the checklist; what follows them came by ACT_ITEM */
    bool setup_changed;     /* it is not the one of the beginning */
    bool run_is_old;        /* of a program that kept the setup in force itself: part of it, too */
    uint64_t setup_settled; /* what was changed up to that act is part of the beginning */
    struct site site;
    char site_source[8]; /* "setup", "gps", "hand" */
    struct rig_state rig[RIGS];
    double checked_utc[CHECK_ITEMS]; /* NaN: open */
    struct forecast forecast;        /* the file's, with the hours entered by hand */
    double danjon_rating;            /* as seen; NaN: none given */
    double later_utc[CHECK_ITEMS];   /* put off until then; NaN: not */
    double focus_utc;                /* last look at the focus; NaN none */
    double glass_utc;                /* last look at the glass, which was dry; NaN none */
    struct air_log air_log;
    bool cloud;
    struct replan replan;
    double clock_offset_s; /* laptop minus GPS, as last written down; NaN none */

    /* derived from site, eclipse and setup, by night_follow */
    enum stale stale; /* what has to be computed again */
    struct observer observer;
    struct arc
        arc; /* covers [utc_from, utc_to]: the eclipse's night, or the day that is followed */
    double utc_from, utc_to;
    struct track track;                /* over the same span */
    struct track eclipse_track;        /* of the eclipse's night */
    double contact_utc[CONTACT_COUNT]; /* NaN where missing */
    double anchor_utc[ANCHORS];        /* what due times hang on; U2 and U3 fall to greatest where a
                                          partial eclipse has none; NaN where missing */
    bool left_out[CHECK_ITEMS];        /* items whose condition this night does not meet */
    /* contacts, shading, and the sky's events of the eclipse's night and of the day that is
     * followed */
    int event_count;
    struct night_event event[NIGHT_EVENTS];
    double danjon_state; /* state of the air in force: by test frame, by eye, or as set up */
    struct light_model light;
    int sample_count;
    struct run_sample sample[RUN_SAMPLES];
    struct run run[RIGS]; /* what the light asks for, minute by minute */
    struct rounds rounds;
    struct run step[RIGS]; /* what the cameras are to have: set at rounds, or by a remote */
    struct shooting shooting[RIGS];
    double advice_utc; /* of the advice below; NaN: none yet */
    struct aim advice[RIGS];
    double turned_stays_s[RIGS]; /* with the camera turned; NaN: of a mount */
    struct framing framing[RIGS];
    struct rig_power power[RIGS];
    struct air_trend air_trend;
    struct agenda agenda; /* rounds from a minute before that instant on */

    bool is_open;
    /* every act in order; owned, grown by night_apply */
    struct act *acts;
    size_t act_count, act_room;
    bool unfolded; /* an undo was replayed: the state is old until night_fold */
    int own_items; /* of the checklist, entered in the night and not undone */
    uint64_t last_seq;
    double alive_utc; /* of a record: the last sign of life of its program; NaN: none */
};

/* Opens the night of an eclipse. `zone` is the table of local time for the site and the night.
 * The instants of its contacts are known from here on, all else that is derived by night_follow.
 * `night` is all zeros, or was opened before and is then closed. Returns -1 with a fault where there is
 * no site, and leaves it alone. night_close frees what it owns and leaves zeros; so does a night that
 * was never opened stay, whose pages nobody then has to touch. */
int night_open(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
               const struct zone_table *zone, bool rehearsal, struct fault *fault);
void night_close(struct night *night);

/* Puts another setup in the place of the one that the night began with and folds the acts again. */
void night_take_setup(struct night *night, const struct setup *setup, const struct eclipse *eclipse,
                      const struct zone_table *zone);
/* The setup in force without the items that came by ACT_ITEM. */
void night_setup(const struct night *night, struct setup *setup);
/* The same for the forecast that was read from a file. */
void night_take_forecast(struct night *night, const struct forecast *forecast);

/* Brings what is derived up to date: computes again what acts have made stale, and makes the sky's
 * arc and track cover `utc` (the eclipse's own night, greatest -+ 12 hours, where `utc` lies in it,
 * else the day after `utc`). Call it before moment_at; costs nothing where nothing has changed. */
void night_follow(struct night *night, double utc);

/* Checks an act against the night; -1 with a fault where it makes no sense. */
int act_check(const struct night *night, const struct act *act, struct fault *fault);
/* Adds an act and lets it take effect. An act without number gets the next one (written into
 * `act`); one that is already known (number not above the last) is ignored. Returns 0; 1 ignored;
 * -1 where the act makes no sense (unknown rig, item or target; value out of range) or memory is
 * out: then nothing has changed. */
int night_apply(struct night *night, struct act *act, struct fault *fault);
/* The same for an act of a record, but after an undo the state stays old until night_fold, so that a
 * whole record costs one fold, however much in it was undone. What only the state could tell then
 * (whether a rig is aimed, whether the forecast has room, whether the setup can be changed so) was
 * judged when it was recorded. */
int night_replay(struct night *night, struct act *act, struct fault *fault);
/* Folds what was replayed; night_follow does so, too. Costs nothing if there is nothing to fold. */
void night_fold(struct night *night);
/* What is allowed for a field of ACT_RIG; NaN where there is none of that name. */
void rig_field_range(const char *name, double *lowest, double *highest);
/* The act that the undo key would undo next; null if there is none. */
const struct act *night_last_undoable(const struct night *night);
/* The spans between P1 and another instant in which the Moon is up; how many. */
int up_spans_to(const struct night *night, double to, struct span spans[UP_SPANS]);

/* When a checklist item is due in this night (or put off to); NaN if it has no due time, or the night
 * leaves it out. Due times on sky and eve are known from night_follow on. */
double item_due_utc(const struct night *night, int item);
/* False for an item that this night leaves out: its condition is not met (another kind of eclipse,
 * the Moon is down) or what it hangs on does not exist. */
bool item_applies(const struct night *night, int item);

#endif
