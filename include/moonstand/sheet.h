/* photo: the intervalometer. */
#ifndef MOONSTAND_SHEET_H
#define MOONSTAND_SHEET_H

#include <moonstand/eclipse.h>

#include <stdbool.h>

struct exposure;
struct rig;

/* Why a rig shoots as often as it does. */
enum interval_reason {
    INTERVAL_SETUP,   /* the setup says so */
    INTERVAL_CHAIN,   /* a wide rig on a tripod: the discs of its chain stand apart */
    INTERVAL_LAPSE,   /* any other: a time-lapse */
    INTERVAL_LONGEST, /* any of them, but its longest shot takes longer than that */
    INTERVAL_REASONS
};
/* "setup", "chain", "time-lapse", "longest shot". */
const char *interval_reason_name(enum interval_reason reason);
/* Between two discs of a chain at least this is left free, in diameters: so much still shows as a gap
 * in a small print; common practice, no source. */
#define CHAIN_GAP 0.2
/* Of a time-lapse: five hours make 72 s of film at 25 pictures a second; common practice, no source. */
#define LAPSE_S 10.0
/* The interval of a rig, s: that of its setup, or if it has none, what suits the rig: round seconds or
 * minutes, which all divide the hour. `disc_s`: the time in which the Moon moves by its own diameter;
 * `busy_s`: what the longest shot takes. */
double interval_choose(const struct rig *rig, double disc_s, double busy_s,
                       enum interval_reason *reason);
/* The first shot from an instant on, by the clock: at a whole interval of the hour, of an interval that
 * does not divide the hour at a whole minute. */
double interval_first_utc(double from_utc, double interval_s);
/* How many shots an intervalometer has begun before `utc`, from the first one at `first_utc` on. */
double shots_before(double first_utc, double interval_s, double utc);

/* An interval that puts a frame on greatest and others near the contacts. */
struct interval_fit {
    double interval_s;
    double first_utc; /* the first frame of the span: when to start */
    int frames;
    double worst_miss_s; /* of a contact inside the span */
};
/* Tries every whole second from `least_s` to `most_s` and takes the best, of equal ones the
 * shortest. Returns false if there is none, or greatest is outside [utc_from, utc_to]. */
bool interval_on_contacts(const double contact_utc[CONTACT_COUNT], double utc_from, double utc_to,
                          double least_s, double most_s, struct interval_fit *fit);

#define SAVING_S 1.0 /* to save one frame on a common card: common practice, no source */
/* How long a shot occupies the camera: the shutter times of a bracket, and the saving of its
 * frames. */
double exposure_busy_s(const struct exposure *exposure, double saving_s);

/* A setting over a span of time. */
struct sheet_part {
    double utc_from, utc_to;
    const struct exposure *exposure;
};
/* One programme of the device. */
struct sheet_line {
    double utc_from, utc_to;         /* the setting holds; shots fall in [from, to) */
    const struct exposure *exposure; /* of its first part */
    double start_utc;                /* first shot; NaN: none */
    int shots, frames;               /* a bracket is one shot of several frames */
    double busy_s;                   /* the longest of one shot */
};
/* Begins with its interval, and no first shot. */
struct sheet {
    double interval_s;
    double start_utc; /* first shot; NaN: none */
    int shots, frames;
    double least_interval_s; /* in whole seconds, long enough for every line */
    int lines;               /* how many there are */
};
struct sheet_ask {
    const struct sheet_part *part; /* in order of time */
    int count;
    double start_utc; /* of the shots */
    double saving_s;
};
/* Turns settings into more lines of a sheet. Settings without an exposure are left out; neighbours with
 * the same dials are one line. At most the first `most` lines are written. */
void sheet_add(struct sheet *sheet, const struct sheet_ask *ask, struct sheet_line *lines,
               int most);

#endif
