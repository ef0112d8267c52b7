/* The live dashboard: session, devices, view and terminal held together. */
#ifndef MOONSTAND_LIVE_H
#define MOONSTAND_LIVE_H

#include "loop.h"
#include "news.h"
#include "session.h"

#include <moonstand/canvas.h>
#include <moonstand/card.h>
#include <moonstand/eye_device.h>
#include <moonstand/keep_awake.h>
#include <moonstand/key_words.h>
#include <moonstand/keys.h>
#include <moonstand/laptop.h>
#include <moonstand/lines.h>
#include <moonstand/outlet.h>
#include <moonstand/sensor.h>

enum { TYPED = FILE_PATH };

/* What is older than so many bytes is not spoken any more. */
enum { SAY_WAITING = 2048 };

struct live {
    struct session session;
    struct gps_device *gps; /* null: none wanted */
    struct battery_device battery;
    struct kernel_clock kernel_clock;
    struct sensor sensor;
    char sensor_said[READINGS_TROUBLE]; /* of its trouble */
    struct card_device card[RIGS];
    double forecast_utc;  /* when the forecast that was read was written; NaN: none */
    double forecast_boot; /* when that was last looked at */
    struct hooks hooks;
    struct lines spoken;      /* as `lines`, for the voice */
    char to_say[SAY_WAITING]; /* waits for the voice to end */
    struct keep_awake keep_awake;
    struct eye_device eye;
    double opened_utc; /* by the machine's clock: a rehearsal's pictures are later */
    bool hooks_wanted;
    struct watch watch;
    struct view view;
    struct canvas canvas;
    bool by_lines; /* a line per change in place of the canvas, no keys */
    struct lines lines;
    struct outlet out; /* for the lines */
    FILE *lines_out;   /* into it; null: not open */
    bool keys_left;    /* more of them may have come than were taken */
    struct theme theme;
    int theme_step;
    char look[THEME_NAME];   /* the theme that was last asked for */
    char setup_at[ROW_PATH]; /* the setup page shows what is below this, in words: */
    char setup_trail[ROW_TRAIL];
    size_t followed_acts; /* of the night when `followed` was last looked at */
    enum prompt prompt;
    int prompt_rig;          /* the rig that it is asked for */
    char question[SENTENCE]; /* with the name of that rig */
    char typed[TYPED];       /* the answer so far, UTF-8 */
    double pasted_boot;      /* when pasted text last came in, until its end has come; -inf: none */
    double quit_armed_boot;  /* when the first of two quit keys came */
    int pressed;             /* the last key, */
    int pressed_times;       /* how often it came without being let go of, */
    double pressed_boot;     /* and when */
    double bell_boot;        /* last time the bell rang */
    int bells;               /* still to ring, one a second */
    bool leaving;

    /* What follows is large, and mostly not touched before the first page. */
    struct setup followed; /* what devices, forecast and theme were opened by */
    struct setup_row setup_row[SETUP_ROWS];
};

/* ---- the loop (live.c) ---- */

/* Runs the dashboard of an open session until the user leaves, on the open terminal unless it goes
 * by lines; closes both. The exit status. */
int live_run(struct live *live, struct loop *loop, const struct options *options);
/* Starts the watcher of the pictures, or starts it again. */
void live_watch(struct live *live);

/* ---- keys (keys.c, key_table.c) ---- */

/* Every key: what it is called, what it does, what help and menu show of it. */
extern const struct key_row key_table[];
/* Acts on one key (a code point or enum input of the terminal). */
void live_key(struct live *live, int key);
/* True while the first of two quit keys still counts. */
bool live_quit_armed(const struct live *live);
/* One of them: the second ends the loop. */
void live_quit(struct live *live);
/* Does an act of the user; the message has what it changed for which rig. -1 if it was refused. */
int live_act(struct live *live, struct act *act);

/* ---- questions (prompt.c) ---- */

/* What is being asked, of which rig; null for nothing. */
const char *prompt_question(struct live *live);
/* Starts a question, with the answer that is there already. */
void prompt_open(struct live *live, enum prompt prompt, int rig, const char *typed);
/* Types a key into the answer, or takes the answer. */
void prompt_key(struct live *live, int key);

/* ---- the page of the setup (setup_page.c) ---- */

/* Reads its lines anew. */
void setup_page_fill(struct live *live);
/* Deletes the chosen entry. */
void setup_page_take_out(struct live *live);
/* Acts on a key if the page is shown; false if the key is none of its own. */
bool setup_page_key(struct live *live, int key);
/* Changes the chosen line, as session_setup_edit does. */
int setup_page_change(struct live *live, const char *typed);

/* ---- themes (theme_choice.c) ---- */

/* Chooses the theme at the start: the one `asked` for by an option (null: none), else the `usual`
 * one of the setup. Returns 1 with a fault to be shown if that cannot be loaded and the built-in one
 * is used instead; -1 with a fault if what was asked for cannot be loaded. */
int look_open(struct live *live, const char *asked, const char *usual, struct fault *fault);
/* Switches to a theme. If its file has errors, shows them and keeps the current one. */
void look_take(struct live *live, const char *name);
/* Switches to the next theme; one with errors shows them and is passed over. */
void look_next(struct live *live);

#endif
