/* night: all that is true at one instant. Every panel and every print reads from a moment and its
 * night and nothing else.
 */
#ifndef MOONSTAND_MOMENT_H
#define MOONSTAND_MOMENT_H

#include <moonstand/act.h>
#include <moonstand/aim.h>
#include <moonstand/air.h>
#include <moonstand/album.h>
#include <moonstand/checklist.h>
#include <moonstand/forecast.h>
#include <moonstand/hands.h>
#include <moonstand/kit.h>
#include <moonstand/readings.h>
#include <moonstand/run.h>
#include <moonstand/sight.h>

struct night_event;
struct print_ask;
struct pose;

enum aim_state {
    AIM_FREE, /* never confirmed: nothing to warn about */
    AIM_STEADY,
    AIM_SOON,    /* within the warning time */
    AIM_DUE,     /* the limb has met the margin */
    AIM_SNOOZED, /* due, but quiet for a while */
    AIM_TRACKED, /* the mount follows */
    AIM_DOWN,    /* the Moon is not up */
    AIM_DONE     /* the rig's exposures are over */
};

/* What has happened to a picture whose re-aim is late. */
enum aim_loss {
    LOSS_NONE,   /* the Moon is inside the margin */
    LOSS_MARGIN, /* it is past the margin */
    LOSS_CUT,    /* the frame's edge cuts it */
    LOSS_GONE    /* it has left the frame */
};

struct rig_moment {
    struct exposure exposure; /* to be set now: from P1 to its end what the last round has set */
    double
        off_stops; /* by which that is brighter (+) than the best of this instant; NaN: unknown */
    bool lost;     /* the sky outshines what the exposure is for; then `lost_span` says from when to
                  when: NaN outside the eclipse */
    struct lost_span lost_span;
    double change_utc; /* next change of shutter or ISO; NaN none before P4 */
    bool idle;         /* no frame is taken before it */
    struct exposure change_to;
    struct aim aim; /* NaN while the Moon is down */
    /* Of a wide rig: how its camera is pointed, or if it is to be aimed, how it should be; null: none
     * is better than the longest stay. It belongs to the night. */
    const struct pose *pose;
    struct frame_point composed; /* the Moon's place in that picture now; NaN: not in it */
    enum aim_state aim_state;
    double due_in_s;    /* until it is to be aimed again: sooner where a contact is near */
    int due_before;     /* that contact; -1: none */
    enum aim_loss loss;
    double loss_utc;          /* since when; NaN: LOSS_NONE */
    double turned_stays_s;    /* placed_stays_s if the camera were turned; NaN: of a mount */
    bool hands_off;           /* a wide rig inside its picture of the whole */
    double flip_in_s;         /* until the advised flip, negative up to the last chance; NaN none */
    bool out_of_reach;        /* the Moon is outside the mount's limits */
    bool heated;              /* a heater is on its lens */
    bool look_at_glass;       /* dew or frost is likely on it */
    struct frame_point moon_at; /* of the confirmed aim: the Moon's centre now; NaN where free */
};

struct moment {
    double utc, tt;
    bool leap_held; /* past the last announced leap second */
    struct sight moon, sun;
    bool rising;        /* Moon's altitude grows */
    double horizon_utc; /* next moonrise or moonset; NaN none in the night */
    bool horizon_is_rise;
    struct shadow shadow;
    enum phase phase;
    int next; /* index of the next event that somebody waits for, mounts apart; -1 none */
    struct light light;
    double luminance;     /* of the sunlit disc at the camera, cd/m2; NaN: the Moon is down */
    double sky_luminance; /* in front of the Moon */
    struct rig_moment rig[RIGS];
    double check_due_utc[CHECK_ITEMS]; /* NaN: no due time in this eclipse */
    bool check_past[CHECK_ITEMS]; /* open, but nobody is asked for it any more */
    int check_open, check_overdue; /* without those that are past */
    int check_next;                /* most urgent of them with a due time; -1 none */
    struct kit_moment kit[RIGS];
    struct album_moment album[RIGS];
    struct air_choice air_used; /* a reading or the forecast */
    struct air air;             /* of that */
    bool look_at_glass;         /* of one rig at least */
    double glass_quiet_utc;     /* the glass is not mentioned until then: it was dry; NaN: never */
    struct air_trend air_trend;
    struct forecast_row forecast; /* of this instant */
    double forecast_age_s;        /* NaN: unknown, or none */
    bool forecast_old;
    double laptop_empty_utc; /* when its battery is; NaN: unknown, or on mains */
    bool laptop_short;       /* before P4 */
    int alarm_rig;           /* rig whose re-aim is due and not snoozed; -1 none */
    struct hands hands;
    struct readings readings;
};

/* All that is true at `utc`. Pure, no allocation. Where the night does not follow `utc`
 * (night_follow) the sky's fields are NaN. */
void moment_at(const struct night *night, const struct readings *readings, double utc,
               struct moment *moment);

/* The event that is waited for after `which` others (0: the next); null: none. Contacts, shading,
 * behind the next one also what a mount comes to, and of moonrise and moonset what belongs to the
 * eclipse; nothing after the last exposure of a Moon that has set for good. */
const struct night_event *event_to_come(const struct night *night, const struct moment *moment,
                                        int which);
/* Where to put the Moon: as the picture of the whole has it, else where it stays longest. */
struct frame_point advised_place(const struct rig_moment *rig);
/* Whether a rig that has a pose is already pointed so. */
bool pose_is_held(const struct night *night, const struct moment *moment, int rig);
/* How far a fresh GPS fix is from the site, if that is worth moving it for; else NaN. */
double fix_moved_m(const struct night *night, const struct moment *moment);
/* The acts of somebody who says that a round is done: what is set, aimed and changed in it, last the
 * round itself. It is the one that the hands are told of, for as long as it can be meant: a round that
 * has come up to half way to the next one (five minutes at most), else the next one, up to a quarter of
 * an hour ahead. When they are done is still to be set in them. Returns how many; 0 with a fault that
 * says what comes next if there is none. */
enum { ROUND_ACTS = 4 * RIGS + 2 };
int round_done(const struct night *night, const struct moment *moment, struct act acts[ROUND_ACTS],
               struct fault *fault);
/* The act of somebody who has aimed a rig as advised; likewise. */
struct act advised_aim(const struct rig_moment *moment, int rig);
/* Over the true horizon, but behind the site's own. */
bool behind_horizon(const struct sight *moon);
/* The Sun is above the true horizon or the site's own: its caution then comes first. */
bool sun_warns(const struct sight *sun);
/* The end of the eclipse, or of the last exposure. */
double last_use_utc(const struct night *night);
/* Whether the Moon is down and does not rise before that. */
bool moon_is_gone(const struct night *night, const struct moment *moment);
/* Whether an item of the checklist says what the Sun's warning says: no job besides. */
bool sun_says(const struct night *night, int item);
/* Whether an item of the checklist asks for a look at the glass. */
bool asks_for_glass(const struct night *night, int item);

/* How long the glass is not mentioned after it was seen dry: common practice, no source. */
#define GLASS_QUIET_S 1200.0

/* How much brighter (+) a rig exposes a part at a moment than the setup and the eye's rating alone
 * would have it: its own correction, and for the umbra what test frames showed of the air. What
 * is still needed there is added to this. */
double night_correction(const struct night *night, const struct moment *moment, int rig,
                        enum target target);

/* What the setting that is shown for a rig will take. The ask points into night and moment. */
void print_ask_make(const struct night *night, const struct moment *moment, int rig,
                    struct print_ask *ask);

/* Acts that the program has to write down at this moment (alarms raised or missed, settings in
 * force, the laptop's clock against GPS). Returns how many were written; they are not yet applied.
 */
int night_decide(const struct night *night, const struct moment *moment, struct act *acts,
                 int most);
/* Acts that record a gap (from_utc, to_utc] in which the program was not watching: the gap itself,
 * then what passed in it: contacts, shading, moonrise and moonset, flips and limits of the mounts,
 * open due items, in order. The re-aims follow from night_decide once the gap is applied.
 * `clock_set_s`: by how much the clock was set forward in it (0: not); what runs on the clock (aims,
 * quiet, the times of what was done) is then shifted with it. Returns how many acts were written;
 * NIGHT_MISSED are enough. */
enum { NIGHT_MISSED = 1 + NIGHT_EVENTS + CHECK_ITEMS };
int night_missed(const struct night *night, double from_utc, double to_utc, double clock_set_s,
                 struct act *acts, int most);

#endif
