/* The live dashboard: session, devices, view and terminal held together. */
#ifndef MOONSTAND_LIVE_H
#define MOONSTAND_LIVE_H

#include "session.h"
#include "watch.h"

#include <moonstand/devices.h>
#include <moonstand/screen.h>

enum { TYPED = 200 };

/* What is being asked, if anything. */
enum prompt {
    PROMPT_NONE,
    PROMPT_NOTE,
    PROMPT_SITE,
    PROMPT_AIR,
    PROMPT_RATING,
    PROMPT_LOOKED_RIGHT,
    PROMPT_OPTICS,
    PROMPT_AIMED,
    PROMPT_SEEN,
    PROMPT_CAMERA_CLOCK,
    PROMPT_ITEM
};
struct live {
    struct session session;
    struct gps_device *gps; /* null: none wanted */
    struct battery_device battery;
    struct kernel_clock kernel_clock;
    struct sensor sensor;
    char sensor_said[READINGS_TROUBLE]; /* of its trouble */
    struct card_device card[RIGS];
    struct hooks hooks;
    bool hooks_wanted;
    struct watch watch;
    struct view view;
    struct canvas canvas;
    bool by_lines; /* a line per change in place of the canvas, no keys */
    struct lines lines;
    struct theme theme;
    int theme_step;
    char look[THEME_NAME]; /* the theme that was last asked for */
    enum prompt prompt;
    int prompt_rig;         /* the rig that it is asked for */
    char typed[TYPED];      /* the answer so far, UTF-8 */
    double quit_armed_boot; /* when the first of two quit keys came */
    double bell_boot;       /* last time the bell rang */
    int bells;              /* still to ring, one a second */
    bool leaving;
};

/* Runs the dashboard of an open session until the user leaves, on the open terminal unless it goes
 * by lines; closes both. The exit status. */
int live_run(struct live *live, const struct options *options);
/* What is being asked; null for nothing. */
const char *prompt_question(const struct live *live);
/* Acts on one key (a code point or enum input of the terminal). */
void live_key(struct live *live, int key);
/* The theme at the start: `asked` for by an option (null: not), else the setup's. -1 where what was
 * asked for cannot be had. */
int look_open(struct live *live, const char *asked, struct fault *fault);
/* The next theme of those that there are; one with errors says them and is passed over. */
void look_next(struct live *live);
/* True while the first of two quit keys still counts. */
bool live_quit_armed(const struct live *live);

#endif
