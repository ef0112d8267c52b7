/* night: what the hands must do: decided once, read by every screen and print. */
#ifndef MOONSTAND_HANDS_H
#define MOONSTAND_HANDS_H

#include <stdbool.h>

struct exposure;

/* Where several are due, in this order. */
enum job_kind {
    JOB_AIM,     /* a tripod loses the Moon */
    JOB_STOPPED, /* no more pictures come in */
    JOB_FLIP,    /* a mount has to be turned over */
    JOB_BATTERY, /* to be changed, likewise the card */
    JOB_CARD,
    JOB_POWER,  /* external power: its batteries do not last */
    JOB_GLASS,  /* dew or frost: look at it */
    JOB_WRONG,  /* pictures come in with another setting than is asked for */
    JOB_LOOK,   /* they show that something is wrong: no Moon, soft, fading */
    JOB_LAPTOP, /* its battery is low */
    JOB_SETTING,
    JOB_ITEM,      /* of the checklist */
    JOB_FIRST_AIM, /* a tripod that was never aimed */
    JOB_KINDS
};
/* "aim", "stopped", "flip", "battery", "card", "power", "glass", "wrong setting", "look", "laptop",
 * "setting", "item", "first aim". */
const char *job_kind_name(enum job_kind kind);

/* The state of a job, the most urgent first. */
enum job_state {
    JOB_ALARM,    /* the Moon has met the margin of a rig */
    JOB_PRESSING, /* comes so soon that other things stop for it */
    JOB_DUE,
    JOB_UNAIMED,
    JOB_OVERDUE, /* an item of the list */
    JOB_COMING
};
/* "alarm", "pressing", "due", "unaimed", "overdue", "coming". */
const char *job_state_name(enum job_state state);
struct job {
    enum job_kind kind;
    enum job_state state;
    int rig;          /* -1: no rig of its own */
    int item;         /* of the checklist; -1: none */
    double utc;       /* due then */
    double limit_utc; /* too late then: Moon, battery, card or mount are at their end; NaN */
    int before;       /* contact that moved a re-aim ahead (enum contact); -1: none */
    const struct exposure *set; /* of JOB_SETTING; lives as long as the night is not derived anew */
    int walk; /* index of the first job of those done with it in one go, at its rig or in one round;
                 its own where it is first */
};

enum urgency {
    URGENCY_FREE, /* nothing to do */
    URGENCY_SOON, /* a job presses, or the light runs */
    URGENCY_NOW,
    URGENCY_ALARM
};
/* "free", "soon", "now", "alarm". */
const char *urgency_name(enum urgency urgency);

/* Rounds that follow one another fast; none: `rounds` 0. */
struct rush {
    int rounds;
    double utc_from, utc_to;
    bool darker;
};

/* All that the hands must do now, and what comes next: decided once, read by everybody. */
enum { JOBS = 32 };
struct hands {
    enum urgency urgency;
    int count;
    struct job job[JOBS]; /* by state, then by kind where they are due, else by time */
    struct rush rush;     /* the fastest time of the light within the next minutes */
    double clash_utc;     /* more is due then than two hands can do; NaN: none */
};
/* The first job (or walk) that is not due yet and is not the first of all; null: none. */
const struct job *hands_next(const struct hands *hands);
/* The most urgent job of a kind at a rig (-1: of none); null: none. */
const struct job *hands_job(const struct hands *hands, enum job_kind kind, int rig);

#endif
