/* photo: the intervalometer. */
#ifndef MOONSTAND_SHEET_H
#define MOONSTAND_SHEET_H

#include <moonstand/eclipse.h>

#include <stdbool.h>

struct exposure;
struct rig;

/* An interval that puts a frame on greatest and others near the contacts. */
struct interval_fit {
    double interval_s;
    double first_utc; /* the first frame of the span: when to start */
    int frames;
    double worst_miss_s; /* of a contact inside the span */
};
/* Tries every whole second from `least_s` to `most_s`; of equal ones the shortest. Returns false
 * where there is none, or greatest lies outside [utc_from, utc_to]. */
bool interval_on_contacts(const double contact_utc[CONTACT_COUNT], double utc_from, double utc_to,
                          double least_s, double most_s, struct interval_fit *fit);

/* How long a shot keeps the camera: the shutter is open for every frame of a bracket and each is
 * saved. */
#define SAVING_S 1.0 /* allowance for one frame, a common card and camera: common practice, no source */
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
    double start_utc;                /* first shot; NaN where none falls in it */
    int shots, frames;               /* a bracket is one shot of several frames */
    double busy_s;                   /* the longest of one shot */
    double short_s; /* by which the interval is too short for that; 0: long enough */
};
struct sheet {
    double start_utc, interval_s; /* NaN: no shot at all */
    int shots, frames;
    double least_interval_s; /* whole seconds that would be long enough for every line */
    double short_s;          /* the worst of the lines */
    int lines;               /* how many there are */
};
/* Lines of a rig from settings in order of time, with shots at `start_utc` and every
 * rig->interval_s after it. Settings without an exposure are left out; neighbours with the same on
 * the dials are one line. Of the lines `most` are written. */
void sheet_make(const struct rig *rig, const struct sheet_part *parts, int count, double start_utc,
                double saving_s, struct sheet *sheet, struct sheet_line *lines, int most);

#endif
