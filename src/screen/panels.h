/* Inside the room: what the panels share. */
#ifndef MOONSTAND_SCREEN_PANELS_H
#define MOONSTAND_SCREEN_PANELS_H

#include "area.h"

#include <moonstand/dashboard.h>
#include <moonstand/face.h>
#include <moonstand/job_words.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/subject.h>
#include <moonstand/test_print.h>

/* All that a panel reads. */
struct scene {
    const struct night *night;
    const struct moment *moment;
    const struct view *view;
    struct subject about, other; /* to be read by the first clock, or by the other one */
    bool one_clock;              /* local time is UTC: the other clock shows the same */
    bool disc_apart; /* the Moon's disc has a place of its own, else beside the countdown */
    int gutter;      /* columns kept at the left for the names of panels and rigs; may be 0 */
};

/* A scene without a canvas. */
struct scene scene_of(const struct night *night, const struct moment *moment,
                      const struct view *view);

/* A panel fills the area it is given, from one line upwards. */
typedef void panel_draw(struct area area, const struct scene *scene);

panel_draw panel_status;   /* mark of the rehearsal, site, clocks */
panel_draw panel_headline; /* what happens next, when */
panel_draw panel_alarm;    /* a band, edge to edge; only where a rig sounds it */
panel_draw panel_hands;    /* what the hands must do now, and until when they are free */
panel_draw panel_moon;
panel_draw panel_list;
panel_draw panel_site; /* site, GPS, clock, laptop, air */
panel_draw panel_warning;
panel_draw panel_keys; /* question, message or hints */
panel_draw panel_help;
panel_draw panel_far;
panel_draw panel_curves;
panel_draw panel_kit;      /* what could run out */
panel_draw panel_setup;    /* the setup, line by line */
panel_draw panel_timecard; /* UTC to be photographed */
panel_draw panel_frame;    /* the picture of the rig that the aim's keys act on */
void panel_rig(struct area area, const struct scene *scene, int rig);
/* What to set, as long as the area's width allows; with no line after it short from the start. */
void dial_draw(struct area area, const struct exposure *exposure);
/* Whether the Moon's disc fits between the headline's countdown and its words. */
bool disc_fits_headline(struct area area, const struct scene *scene);
/* Whether each rig's picture has room beside its words. */
bool prints_fit(struct area area);
/* The picture that a rig's setting will take, small. */
void panel_print(struct area area, const struct scene *scene, int rig);

/* The lines of the area's width that panel_keys takes for a message or a question, up to 3: a message is
 * not cut; 0: it has nothing but hints to show. */
int keys_lines(struct area area, const struct view *view);
/* How much the state of the machine's clock matters (panel_site.c). */
enum role clock_role(const struct readings *readings);
/* Whether the curves in an area say the light, and the sky, in words. */
bool curves_say_light(struct area area);
bool curves_say_sky(struct area area);
/* Whether panel_warning has something to say. */
bool warning_stands(const struct scene *scene);

/* A scene's gutter, if it has one: for a rig's number, for names, for its lens as well. */
enum { GUTTER_NUMBER = 3, GUTTER_NAME = 13, GUTTER_LENS = 23 };
/* Whether facts have room side by side; the columns of the left ones, where what is at the right is
 * the longer. */
bool two_columns(struct area area);
int left_columns(struct area area);
/* Writes a panel's name into the gutter and gives the rest. */
struct area panel_named(struct area area, const struct scene *scene, const char *name);

/* ---- the disc of the Moon (moon_disc.c) ---- */

/* A disc in the dots of an area: its centre from the top left corner, its radius. */
struct disc {
    double x, y, radius;
    double smear_x, smear_y; /* its way during an exposure */
};
/* Dots for terminals without shades, tones for those with them: as the eye sees the disc, or as a
 * setting will take it, a checked pattern where it clips (`print` null: for the eye). */
void disc_draw(struct area area, struct disc disc, const struct face *face,
               const struct print_ask *print);
/* The Moon now, zenith up, as large as the area allows. */
void moon_disc(struct area area, const struct scene *scene);

/* ---- words ---- */

enum { WORDS_LINE = 160 };

/* A sentence about a rig in as many words as the area's width has room for. */
char *scene_sentence(struct area area, sentence *say, const struct scene *scene, int rig,
                     char out[SENTENCE]);
/* Leaves out a text's last clauses until it fits in the area: whole ones, so that nothing is cut. */
void fit_clauses(struct area area, char *text);
/* Draws it in a line of the area; returns the column after it. */
int draw_sentence(struct area area, int y, enum role role, sentence *say, const struct scene *scene,
                  int rig);
/* How much a rig's aim matters: aim_words are drawn in this role. */
enum role aim_role(const struct scene *scene, int rig);

/* ---- what the hands must do (panel_hands.c) ---- */

struct hands_lines {
    bool sun;            /* it is up: SUN_WARNING goes before all else */
    enum role role;      /* VALUE: free; DUE, ALARM */
    enum role then_role; /* LABEL: what comes next; DUE */
    struct hands_words words;
};
void hands_lines_make(const struct scene *scene, struct hands_lines *hands);
/* In one line what comes next is left out where there is no room for it. */
void hands_draw(struct area area, const struct hands_lines *hands);

#endif
