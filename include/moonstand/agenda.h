/* night: the rounds of the hands: all jobs that are done in one walk from camera to camera. */
#ifndef MOONSTAND_AGENDA_H
#define MOONSTAND_AGENDA_H

#include <moonstand/rig.h>

struct exposure;
struct night;

enum { AGENDA = 256 };
struct agenda_round {
    double utc;          /* the hands begin then */
    unsigned jobs[RIGS]; /* at each rig: bits 1 << enum job_kind; 0: nobody goes there */
    int setting;         /* the round of night.rounds whose settings are made; -1: none */
    int item;            /* of the checklist, which the glance at the glass is for; -1: of none */
    bool second[RIGS];   /* the second person does that rig */
    double work_s;       /* until the last of them is done, with the way between the rigs */
    bool late;           /* that is after the next one begins, or in the minute around a contact */
    bool fast;           /* until the next one the light runs out of a rig's tolerance */
};
/* All rounds of a night that nobody has done yet, in order. */
struct agenda {
    int count;
    struct agenda_round round[AGENDA];
};

/* Gathers settings, re-aims, batteries and cards from `utc` on, a minute before now (-INFINITY: all).
 * A battery or a card that can wait for no round goes with the one before it, and so does a glance at
 * the glass that the checklist or the air asks for; without a round it has none of its own. Call
 * night_follow first. */
void agenda_make(const struct night *night, double utc, struct agenda *agenda);
/* What a round sets a rig to; null: nothing. */
const struct exposure *round_setting(const struct night *night, const struct agenda_round *round,
                                     int rig);
/* How many rounds begin in (from, to]. */
int agenda_count(const struct agenda *agenda, double from, double to);

/* A time with more jobs than hands: rounds that follow one another without a pause. */
struct overload {
    double utc_from, utc_to;
    int rounds;
    double worst_stops; /* largest error of a setting in it */
};
enum { OVERLOADS = 8 };
/* The overloads of a night; how many, of which OVERLOADS at most are written. */
int agenda_overloads(const struct night *night, const struct agenda *agenda,
                     struct overload overload[OVERLOADS]);

/* What could be changed against too many jobs. */
enum remedy_kind {
    REMEDY_NONE, /* nothing that was tried helps */
    REMEDY_BRACKET,
    REMEDY_TOLERANCE,
    REMEDY_TURN,
    REMEDY_MARGIN,
    REMEDY_SECOND
};
struct remedy {
    enum remedy_kind kind;
    int rig;                /* -1: all */
    double value;           /* tolerance in stops, or margin; of a bracket the frames */
    double step_stops;      /* of a bracket */
    int overloaded, rounds; /* rounds with too much to do that are left, of so many */
};
/* Plans the night again with each remedy and finds the one that leaves least too much to do, at
 * equal measure the one with the fewest rounds. Takes some tens of milliseconds for each; allocates.
 * Returns 0; -1 without memory. */
int remedy_find(const struct night *night, struct remedy *remedy);

#endif
