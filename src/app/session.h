/* A session: the night, its journal, and the time that both live by. */
#ifndef MOONSTAND_SESSION_H
#define MOONSTAND_SESSION_H

#include "app.h"
#include "setup_source.h"

#include <moonstand/journal.h>
#include <moonstand/moment.h>
#include <moonstand/subject.h>

/* Steps come once a second: a longer silence means that the laptop slept or the program hung. What
 * passed in it is written down as missed. */
#define GAP_S 10.0

struct session {
    struct clock clock;
    struct readings readings; /* the devices write into it */
    struct moment moment;     /* of the last step */
    struct journal *journal;  /* null: it cannot be written, see `trouble` */
    struct journal_state written;
    char folder[PATH_SIZE];
    bool looking_on;   /* another copy writes this session */
    bool hours_swapped, units_swapped; /* people read other ones than those of the setup */
    char trouble[200]; /* why nothing is written; empty where it is */
    bool setup_kept;   /* beside the journal */
    double last_utc, last_boot, alive_boot, retry_boot;
    double done_boot; /* when it last said what the program did by itself */
    int alive_next;         /* the event that was next when the sign of life was given */
    char message[ACT_TEXT]; /* what the last act did */
    double message_boot;
    bool message_is_act;  /* it is about an act, which may still be on its way to the disk */
    size_t missed_from; /* index of the first act that tells of what was missed; 0: none */
    double missed_boot;
    char missed[SENTENCE];   /* one of what was missed, in turn */
    char standing[ACT_TEXT]; /* what else the user has to know; until the next act */
    int renewed;             /* as `written` has it: what was shown, and when */
    double renewed_boot;
    int unwritten; /* acts that the journal has refused */
    struct setup_source source;
    struct night night; /* the last one: closed by what closes it, all else is cleared when it opens */
};

/* The folder of a session: a path as it is, a bare name in the usual folder. */
int session_path(const char *name, char path[PATH_SIZE], struct fault *fault);
/* The day YYYY-MM-DD (and its UTC) of the eclipse that a session's folder is named after. */
enum { SESSION_DAY = sizeof "YYYY-MM-DD" };
int session_day(const char *path, char day[SESSION_DAY], double *utc, struct fault *fault);
/* Opens a session again by its name: what the user did not say (eclipse, setup) is the session's
 * own. Nothing without --session. */
int session_options(struct options *options, struct fault *fault);
/* True if an act records the start of a rehearsal. */
bool session_begins_rehearsal(const struct act *act);

struct session_start {
    const struct setup *setup; /* as it was read; place and shadow rule may be laid over it */
    const char *setup_file;    /* from this file; null: from none */
    bool laid_over;            /* changes are not saved in that file */
    const struct eclipse *eclipse;
    bool rehearsal;
    const char *folder; /* null: the usual one for the day, a fresh one for a rehearsal */
};
/* Opens (or resumes) the session of an eclipse. A session that is resumed goes on with the setup
 * that it began with and the changes that were made in it, unless the setup that was read says
 * something else: that is then what it begins with. A state folder that cannot be written is no reason
 * to stop: the night runs, `trouble` says so, and it is tried again. -1 with a fault where the night itself cannot be
 * opened, or where a rehearsal would write into the record of a real night, or the other way. */
int session_open(struct session *session, const struct clock *clock,
                 const struct session_start *start, struct fault *fault);
/* Saves the setup that the session began with, over which the acts of its journal are folded, beside
 * that if it is not there yet: a wait for the disk, which the first page does not have to bear. */
void session_keep(struct session *session);
/* Writes the end down and closes. Returns how many acts could not be saved. */
int session_close(struct session *session);

/* One step of the clock: what was missed, what is true now, what the program decides. */
void session_step(struct session *session);
/* An act of the user: applied, appended, shown. -1 if refused; the message gives the reason. */
int session_act(struct session *session, struct act *act);
/* Why no act is taken here; null where acts are. */
const char *session_looks_on(const struct session *session);
/* Changes one value of the setup as setup_edit does, from now on: an act, which is also saved in the
 * file that the setup came from. -1 if it was refused; the message gives the reason. */
int session_setup_edit(struct session *session, const char *path, const char *typed);

/* Takes back the last act of the user that still holds. */
void session_undo(struct session *session);
void session_say(struct session *session, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* Local time as people read it here: the setup's hours and units, unless a key swapped them. */
struct reader session_reader(const struct session *session);
/* The message while it is fresh; then, until the user's next act, what was missed while nobody was
 * told, one after the other; then what is damaged in the journal, or that the copy that took the
 * keys has ended; else "". */
const char *session_message(const struct session *session);

#endif
