/* Private to the room: how the files of night share the work. */
#ifndef MOONSTAND_NIGHT_PRIVATE_H
#define MOONSTAND_NIGHT_PRIVATE_H

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>

struct disc_light;
struct metadata;

/* A job stops other things from so long before it is due; one that is so late has not been done. */
#define PRESSING_S 60.0
/* A round that has come may be meant for so long by who says that it is done. */
#define MEANT_S 300.0
/* Two instants of one round. */
#define SAME_S 1.0
/* No two rounds come closer: common practice, no source. With two people they can take turns. */
#define ROUND_APART_S 90.0

/* Makes all that stands on this rung stale, and all on the rungs before it. */
void go_stale(struct night *night, enum stale stale);

/* The act of a number; null where there is none. */
const struct act *night_act(const struct night *night, uint64_t seq);
/* Whether an undo may name it: no change of the setup that the night began with. */
bool act_is_undoable(const struct night *night, const struct act *act);
/* Folds one act into the state, and marks what it makes stale. */
void act_fold(struct night *night, const struct act *act);
/* Sets the field of a rig that an ACT_RIG names, if there is one of that name. */
void rig_field_set(struct rig *rig, const char *name, double value);
/* Gives a rig those of these fields from another that are the same before and after. */
void rig_fields_keep(struct rig *rig, const struct rig *from, const struct rig *before,
                     const struct rig *after);

/* The state before any act. */
void state_reset(struct night *night);
/* Puts the setup of the beginning in force; what is derived from it is stale then. */
void setup_begin(struct night *night);
/* 0 if a change of the setup can be made; -1 with a fault. */
int setup_check_change(const struct night *night, const char *change, struct fault *fault);
/* What an ACT_SETUP and an ACT_BEGIN do to the setup in force. */
void setup_fold_change(struct night *night, const struct act *act);
void setup_fold_begin(struct night *night, const struct act *act);
/* The same eclipse by another shadow rule. */
void eclipse_by_rule(struct eclipse *eclipse, enum shadow_rule rule);

/* Forgets what items_make has found: all items count as of this night, by its contacts. */
void items_begin(struct night *night);
/* The anchors of the checklist, and which items this night leaves out; events and arc are
 * those of the eclipse's night. */
void items_make(struct night *night);
/* When the umbra can be rated by eye, of the samples of the light. */
void items_follow_umbra(struct night *night);

/* What one rig is asked for, from a sample. */
void run_ask(const struct night *night, int rig, const struct run_sample *sample, double utc,
             struct exposure_ask *ask);
/* What one rig would take at a sample, brighter by so much. */
void run_exposure(const struct night *night, int rig, const struct run_sample *sample,
                  double more_stops, struct exposure *exposure);
/* The samples of the light between two instants; none if one of them is unknown. */
void run_samples_make(struct night *night, double utc_from, double utc_to);
/* The runs of all rigs from the samples. */
void run_make(struct night *night);
enum { ROUND_SAMPLES = 2 * RUN_SAMPLES };
/* What is on a dial, thirds of a stop; NaN: to be set as is best. Frames reach so far to either side. */
struct found_dial {
    double third, reach;
};
/* What rounds are looked for: exposures in thirds of a stop at samples evenly apart. */
struct rounds_ask {
    int count, rigs;            /* samples; rigs that are set by hand or not */
    const double *wanted[RIGS]; /* by sample; NaN: no frame is taken */
    /* Of a bracket: thirds on either side that its light needs, and its frames reach; null: no
     * bracket. A setting has the longest reach of the samples that it serves. */
    const double *reach[RIGS];
    const double *slack[RIGS];     /* thirds that a sample may be off beyond that; null: none */
    double tolerance[RIGS];        /* thirds */
    const bool *kept_off;          /* by sample: no round there; null: anywhere */
    int apart;                     /* least samples between two rounds; 0: none */
    int from;                      /* what was before that sample is done */
    int first;                     /* no round before that sample */
    bool at_once;                  /* but one at `from`, for who asks for it is at the camera */
    const struct found_dial *dial; /* by rig: what is set at `from`; null: all as is best */
};
/* The fewest rounds at which a change of settings keeps every rig within its tolerance of what it
 * wants: indices of samples. Where that cannot be, rounds as close as `apart` allows. Returns how
 * many; ROUNDS at most. */
int rounds_cut(const struct rounds_ask *ask, int rounds[ROUNDS]);
/* The rounds of the hands and the steps of the rigs, from the samples and what the rigs shoot. */
void rounds_make(struct night *night, struct rounds *rounds);
/* Hands begin so long after they are told, at most: common practice, no source. */
#define HANDS_SLOW_S 40.0
/* How long the hands are at it when they set every rig that a hand sets. */
double full_round_s(const struct night *night);
/* Until when the hands are told of a round that has come, as long as nobody says that it is done. */
double round_told_until(const struct rounds *rounds, int round);
/* By how much the setting is brighter (+) than the ideal, stops; of a bracket what its frames
 * do not cover. NaN if there is no ideal. */
double stops_off(const struct exposure *wanted, const struct exposure *set);
/* Whether it is known to be set as an exposure says. */
bool dial_shows(const struct dial *dial, const struct exposure *exposure);
/* A camera's setting changes: what is written down of it. */
struct act setting_act(const struct exposure *exposure, int rig);
/* What a job takes at its rig, s; 0: no time that is known. */
double job_takes_s(const struct night *night, enum job_kind kind);
/* The first round from `utc` on that has a job of this kind at a rig; null: none. */
const struct agenda_round *agenda_next(const struct agenda *agenda, enum job_kind kind, int rig,
                                       double utc);
/* A glance at the glass that is due waits so long for a round: common practice, no source. */
#define GLANCE_WAITS_S 120.0
/* Dew or frost is likely soon, as far as the air is known. */
bool dew_is_likely(const struct air *air);
/* A heater is on its lens. */
bool rig_is_heated(const struct rig_state *rig);
/* Until when hands have time that begin at an instant: the next round, or the minute around a
 * contact, also one that has begun. */
double free_until(const struct night *night, double utc, double next_utc);
/* Divides the jobs of a round between the people, and finds how long it takes. */
void agenda_divide(const struct night *night, struct agenda_round *round);
/* Has the rounds of an agenda that comes from `utc` on, a minute before now, take the glances along. */
void glances_plan(const struct night *night, double utc, struct agenda *agenda);
bool round_has_glance(const struct agenda_round *round);
/* The first round after `utc` with a glance; null: none. */
const struct agenda_round *glance_next(const struct agenda *agenda, double utc);
/* Whether an item of the checklist is done with a round after `utc`. */
bool glance_rides(const struct night *night, int item, double utc);
/* So long a swap that costs the aim may wait for the re-aim that it is done with. */
#define SWAP_WAITS_S 120.0
/* The rounds that set cameras, from `utc` on; and one more job, at an instant. */
void agenda_settings(const struct night *night, double utc, struct agenda *agenda);
void agenda_add(const struct night *night, struct agenda *agenda, double utc, enum job_kind kind,
                int rig);
/* A job that may begin from one instant on, gladly from a later one, up to a third. */
struct fit_ask {
    double from, gladly, to, takes_s;
    int aim_of; /* only with a re-aim of that rig; -1: with any round, or alone */
};
/* When even slow hands are done with it before the next round and clear of the contacts: with the last
 * round that leaves the time; else alone, as late as can be; where neither can be, with the round that
 * leaves the most, else at the end. */
double agenda_fit(const struct night *night, const struct agenda *agenda,
                  const struct fit_ask *ask);
/* Whether slow hands have time for a job with a round at that instant. */
bool agenda_has_time(const struct night *night, const struct agenda *agenda, double utc,
                     double takes_s);
/* Whether the settings of a round run out of a rig's tolerance before it is set anew. */
bool agenda_is_off(const struct night *night, const struct agenda_round *round, int rig);

/* The axis of a mount from what was seen; the track covers it. */
void polar_make(const struct night *night, struct rig_state *rig);
/* What a mount will have to do; the track covers the eclipse. */
void mount_duties_make(const struct night *night, int rig, struct framing *framing);
/* Brings the re-aims of a rig's framing up to date. */
void re_aims_follow(struct night *night, int index);
/* Plans the re-aims of all rigs into the rounds, as seen at `utc`: one that was planned and is not
 * done moves what follows. */
void aims_plan(struct night *night, double utc);
/* When a tripod that is aimed is to be aimed again, seen at `utc`: as planned, told for a minute from then
 * on; else when it is due. */
double re_aim_utc(const struct night *night, int rig, double utc);
/* When a rig that is still to shoot has the Moon in sight anew after an instant: P1 or a moonrise; NaN:
 * it has not. */
double next_up_utc(const struct night *night, int rig, double utc);
/* The first of the sky's events of a kind in a span; NaN: none. */
double first_of(const struct night *night, enum sky_event_kind kind, double from, double to);
/* The rest of a rig's framing, from the eclipse's track and the events: this takes milliseconds. */
void framing_make(const struct night *night, int rig, struct framing *framing);
/* When a tripod that is aimed loses the Moon, and when it is to be aimed again; the track covers it. */
void aim_follow(const struct night *night, struct rig_state *rig);
/* Where the Moon's centre is in a rig's frame; NaN if it is not in front of the camera. */
struct frame_point place_at(const struct rig *rig, const struct track *track,
                            const struct pointing *pointing, double utc);
/* How a wide rig should be pointed from now on. */
void pose_advise(struct night *night, int rig, double utc);
/* What one rig shoots with these settings, from the events; the track covers the eclipse. */
void shooting_make(const struct night *night, int rig, const struct run *run,
                   struct shooting *shooting);
/* The first shot from an instant on, by the clock; NaN: none in the night. */
double next_shot_utc(const struct shooting *shooting, double utc);
/* What the hands must do, from all else that the moment has. */
void see_hands(const struct night *night, struct moment *moment);
/* What the pictures of the moment tell. */
void see_album(const struct night *night, struct moment *moment);
/* What the looks at the Moon tell: of its light and the lens, and of a tripod's aim. */
void see_looks(const struct night *night, struct moment *moment, int rig);
void see_spot(const struct night *night, struct moment *moment, int rig);
/* Stops over mid-grey of the lit part's tone, by the curve of sRGB (IEC 61966-2-1); NaN: none. */
double lit_tone_stops(const struct disc_light *light);
/* Likewise of the umbra's luminance, with that share of the disc in it, where its tone shows it to
 * half a stop once the camera's own tone is taken off; else NaN. */
double umbra_tone_stops(const struct disc_light *light, double umbra_share);
/* The act that a spot is worth: an aim that was seen, or a corrected place. False: none. */
bool spot_act(const struct night *night, const struct moment *moment, int rig, struct act *act);
/* By how much a setting is brighter (+) than the one that is shown. */
double setting_stops(const struct exposure *asked, const struct metadata *got);
/* Between P1 and the end of the rig. */
bool is_shooting(const struct night *night, int rig, double utc);
/* Batteries and cards of the moment, from what is derived. */
void see_kit(const struct night *night, struct moment *moment);
/* The sample of one instant from the arc and track, under some state of the air. */
void run_sample_at(const struct night *night, const struct light_model *model, double utc,
                   struct run_sample *sample);
/* The same where shadow, Moon and Sun of that instant are known already. */
struct run_sky {
    const struct shadow *shadow;
    const struct sight *moon, *sun;
};
void run_sample_of(const struct night *night, const struct light_model *model, double utc,
                   const struct run_sky *sky, struct run_sample *sample);

#endif
