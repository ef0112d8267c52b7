/* night: how a rig frames the night. */
#ifndef MOONSTAND_FRAMING_H
#define MOONSTAND_FRAMING_H

#include <moonstand/aim.h>
#include <moonstand/budget.h>
#include <moonstand/mount.h>
#include <moonstand/run.h>
#include <moonstand/sheet.h>
#include <moonstand/wide.h>

struct night;

enum { UP_SPANS = 16 };

/* What one rig shoots: an intervalometer that runs while the Moon is up, from P1 to P4. */
struct shooting {
    double utc_from, utc_to; /* first and last shot; NaN: none */
    double first_utc;        /* the first one by the clock, from which all are counted; NaN: none */
    double interval_s;       /* the rig's, or more where the longest exposure asks for it */
    enum interval_reason interval_reason;
    int longest_bracket;
    int span_count;
    struct card_span span[SEGMENTS + UP_SPANS];
};

/* How a wide rig's camera is pointed, and the Moon's path through its picture. */
struct pose {
    bool known;
    bool late; /* composed for what is left of the eclipse at since_utc */
    double since_utc;
    double altitude_rad, azimuth_rad, roll_rad;
    /* Between these the Moon is up and its limb inside the margin; -+INFINITY: past the computed sky.
     */
    double enters_utc, leaves_utc;
    bool rises, sets;                  /* it enters with moonrise, leaves with moonset */
    struct frame_point enters, leaves; /* where its centre is then */
};

/* How one rig frames the night, from P1 to P4 while the Moon is up. */
enum { AIM_STEPS = 400, RIG_LIMITS = 8 };
struct framing {
    bool wide; /* a wide rig on a tripod: */
    struct wide composition; /* the picture of the whole */
    struct span untouched;   /* in which it must not be touched: the part in use; NaN: none */
    struct pose whole;       /* the pointing of that picture, if its part fits */
    struct pose
        pose;    /* derived every few seconds: the one to take now, for the whole or for what is
                         left; not known: none holds more than the longest stay does */
    int re_aims; /* of a tripod after its setting up; -1: of a mount, or the Moon does not stay */
    int early;   /* of these, done before the minute around a contact */
    /* When they fall due, derived: from the one that is due next; before the rig is first aimed as if
     * that were done when the Moon is up. */
    double re_aims_since;
    int re_aim_count;
    double re_aim_utc[AIM_STEPS];
    /* When they are planned, with rounds where they can wait for none: likewise. */
    double planned_since; /* the aim that they follow; -INFINITY: none yet; NaN: not planned */
    int planned_count;
    double planned_utc[AIM_STEPS];
    /* The plan before that, whose first aim has come and is not confirmed: likewise. */
    int passed_count;
    double passed_utc[AIM_STEPS];

    bool flips; /* a mount's meridian flip falls due: */
    struct mount_flip flip;
    int limit_count;
    struct mount_limit limit[RIG_LIMITS]; /* the Moon crosses the mount's limits, by time */
};

/* The contacts that a pose holds from `utc` on; false if it holds none. */
bool pose_holds(const struct night *night, const struct pose *pose, double utc, enum contact *first,
                enum contact *last);

/* Where a rig on a tripod looks first, when the Moon is up; `utc` NaN: never, or a rig that is
 * pointed once for the whole. */
struct first_aim {
    double utc;
    double moon_altitude_rad, moon_azimuth_rad;
    struct aim aim;
    double turned_stays_s;
};
void first_aim_make(const struct night *night, int rig, struct first_aim *first);

/* No phase of the eclipse is up from the site. */
bool never_up(const struct night *night);
/* The Moon's diameter on a rig's sensor at greatest, and the height that the margins leave it. */
double disc_mm(const struct night *night, const struct rig *rig);
double frame_free_mm(const struct rig *rig);
/* Whether a rig's picture holds what it is there for: the asked part of the eclipse for a wide rig
 * on a tripod, the disc for every other one. */
bool picture_fits(const struct night *night, int rig);
/* An interval that leaves room between the discs of a picture and puts frames on its contacts; false if
 * there is none. */
bool chain_on_contacts(const struct night *night, const struct wide_fit *fit,
                       struct interval_fit *on);

#endif
