/* report: a night or a moment as text for people, JSON and CSV for tools, a calendar.
 *
 * Every report_ function writes to `out` and returns 0, or -1 where writing failed or memory ran
 * out. JSON keys are those of the manual page; what is unknown is a missing key, in CSV an empty
 * field. Instants are ISO 8601 UTC with milliseconds and Z (before 1972 the scale is UT1).
 * The text for people stays below 80 columns; its own words are ASCII, names and notes of the user
 * are printed as the user wrote them.
 */
#ifndef MOONSTAND_REPORT_H
#define MOONSTAND_REPORT_H

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/seen.h>

#include <stdio.h>

/* ---- eclipses to choose from ---- */

struct nights_entry {
    struct eclipse eclipse;
    bool has_site;
    struct sight seen[CONTACT_COUNT]; /* where has_site, for the contacts that exist */
};

/* One entry; `observer` null: no site. -1 where the sky could not be computed. */
int nights_entry_make(struct nights_entry *entry, const struct eclipse *eclipse,
                      const struct observer *observer);
int report_nights_json(FILE *out, const struct nights_entry *entries, size_t count);
/* An array of names. */
int report_names_json(FILE *out, const char *const *names, size_t count);
int report_nights_text(FILE *out, const struct nights_entry *entries, size_t count);

/* ---- sites to choose from ---- */

struct site_view {
    struct site site;
    bool active;
    struct nights_entry entry; /* what is seen from there */
    double sun_altitude_rad;   /* at greatest */
    bool has_forecast;
    struct forecast_row forecast; /* of greatest */
    double forecast_age_s;        /* NaN: unknown */
    bool forecast_old;
};

/* `forecast` may be empty; `now_utc`: for its age. -1 where the sky could not be computed. */
int site_view_make(struct site_view *view, const struct site *site, const struct eclipse *eclipse,
                   const struct forecast *forecast, double now_utc);
int report_sites_json(FILE *out, const struct site_view *views, size_t count);
int report_sites_text(FILE *out, const struct site_view *views, size_t count, enum units units);

/* ---- one instant ---- */

/* `moment` is of `night`. */
int report_now_json(FILE *out, const struct night *night, const struct moment *moment);
int report_now_text(FILE *out, const struct night *night, const struct moment *moment);

int report_air_json(FILE *out, const struct air *air);
int report_air_text(FILE *out, const struct air *air);

/* ---- the plan of a night; night_follow(night, greatest) comes first ---- */

int report_plan_json(FILE *out, const struct night *night);
int report_plan_text(FILE *out, const struct night *night);

/* iCalendar (RFC 5545): contacts, moonrise and moonset around them, open checklist items with a due
 * time, each with an alarm. `stamp_utc` becomes DTSTAMP. The UIDs of an eclipse stay the same from
 * one calendar to the next. */
int report_calendar(FILE *out, const struct night *night, double stamp_utc);

/* ---- after the night: what the acts tell; night_follow(night, greatest) comes first ---- */

struct pictures;

/* `pictures` confirm settings, or show others; null: none are at hand. */
int report_session_markdown(FILE *out, const struct night *night, const struct pictures *pictures);
int report_session_csv(FILE *out, const struct night *night, const struct pictures *pictures);
int report_session_json(FILE *out, const struct night *night, const struct pictures *pictures);

/* ---- two sessions side by side; night_follow(night, greatest) comes first for both ---- */

/* A session to compare: its name as it is shown, and its night with all its acts. */
struct compared {
    const char *name;
    const struct night *night;
};

/* What differs: contacts heard and missed, aims, alarms and how late each was answered, frames,
 * settings in force at each contact, air. Rigs are matched by name. In Markdown what is alike is
 * only counted; JSON has all of both. */
int report_comparison_markdown(FILE *out, const struct compared *a, const struct compared *b);
int report_comparison_json(FILE *out, const struct compared *a, const struct compared *b);

/* ---- what a picture shows ---- */

/* One object in one line, or one line of text, however long. Width and height are those of the
 * picture held upright, by its orientation tag. */
int report_look_json(FILE *out, const struct setup *setup, const struct seen *seen);
int report_look_text(FILE *out, const struct setup *setup, const struct seen *seen);

/* ---- putting pictures in order ---- */

enum { PICTURE_NAME = 512 };
struct picture {
    char name[PICTURE_NAME];
    double time;           /* as written, seconds since 1970 */
    bool is_utc;           /* written with a Z: no camera's clock to correct */
    double offset_min;     /* the offset from UTC that the camera wrote; NaN: none */
    double behind_s;   /* UTC minus the camera's clock, by its time card; NaN: none was read */
    int rig;               /* -1: unknown */
    double shutter_s, iso; /* as taken; NaN: unknown */
    char *carried;         /* fields that are passed on, each with its '\0'; null: none */
    const char *picked;    /* why it was picked; null: it was not asked */
    double utc;            /* of one that was picked */
};
struct pictures {
    struct picture *item;
    size_t count, room;
    int columns;                               /* that are passed on */
    char *column_names;                        /* each with its '\0' */
    size_t refused;                            /* rows that could not be read */
    void (*refuse)(const struct fault *fault); /* called for each; may be null */
};

/* Reads a table, parted by commas, semicolons or tabs (RFC 4180). With a first row of names the columns
 * are found by them, as picture tools write them: file name, date and time (in one or two), offset,
 * camera, serial number, rig, exposure, ISO; others are passed on. Without one a row is
 * `name,time[,rig[,...]]`. A time may have colons in its date, a blank for the T, a fraction, an
 * offset or Z. The rig is a name of the setup, or that of the camera; if there is but one rig it is
 * that. A row that cannot be read is counted, passed to `refuse` with source, line and column, and left
 * out. -1 with a fault if reading failed or memory is out. pictures_free in any case; `pictures`
 * starts zeroed, but for `refuse`. */
int pictures_read(FILE *in, const char *source, const struct night *night,
                  struct pictures *pictures, struct fault *fault);
/* Adds one that was looked at. -1: memory is out. */
int pictures_add(struct pictures *pictures, const struct seen *seen);
void pictures_free(struct pictures *pictures);

/* Per picture: UTC, phase, magnitudes, the Moon's altitude, the setting. `clock` says how the UTC came
 * about: "utc" as written, "card" by the photographed time card, "corrected" by the camera's known error,
 * "landed": by the error that its pictures showed when they landed, "zone": by the offset that the camera
 * wrote, "uncorrected": the camera is taken at its word. `setting` says whether shutter and ISO are what
 * the picture was "taken" with, or what was advised then: "confirmed" by the user or other pictures, or
 * only "advised". */
int report_pictures_csv(FILE *out, const struct night *night, const struct pictures *pictures);
int report_pictures_json(FILE *out, const struct night *night, const struct pictures *pictures);

/* Corrects the clocks of cameras by pictures of the time card: "A.JPG=20:15:03,B.JPG=20:15:20", each with
 * the UTC that it shows. The pictures are known by their names, with or without folders. -1 with a
 * fault. */
int pictures_time_card(struct pictures *pictures, const struct night *night, const char *cards,
                       struct fault *fault);
/* The same by one picture, "A.JPG 20:15:03" or with a '=', of a rig (-1: of any). */
int picture_time_card(struct pictures *pictures, const struct night *night, int rig,
                      const char *card, struct fault *fault);
/* Whether its rig is known, but neither its UTC nor by how much its camera's clock is off: no time
 * card, nothing noted. */
bool picture_clock_is_open(const struct night *night, const struct picture *picture);

/* Keeps the frames nearest to given instants, for each rig its own, in order of time: "contacts", or
 * "chain=20min" (also "90s", "1h"), counted from greatest. -1 with a fault if it is neither. */
int pictures_pick(struct pictures *pictures, const struct night *night, const char *what,
                  struct fault *fault);
/* The name of a picture in order: "2029-12-20T22-15-14_U2_long_0123.ext": when, after which contact, by
 * which rig, the number in its own name. */
enum { ORDERED_NAME = 160 };
char *picture_ordered_name(const struct night *night, const struct picture *picture,
                           char out[ORDERED_NAME]);

#endif
