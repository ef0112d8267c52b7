/* The live dashboard: session, devices, view and terminal held together. */
#ifndef MOONSTAND_LIVE_H
#define MOONSTAND_LIVE_H

#include "session.h"

#include <moonstand/devices.h>
#include <moonstand/screen.h>

enum { PROMPT_TEXT = 200 };

/* What is being typed in, if anything. */
enum prompt_kind { PROMPT_NONE, PROMPT_NOTE, PROMPT_SITE, PROMPT_AIR, PROMPT_DANJON };

struct live {
    struct session session;
    struct gps_device *gps; /* null: none wanted */
    struct battery_device battery;
    struct kernel_clock kernel_clock;
    struct view view;
    struct canvas canvas;
    struct theme theme;
    int theme_step;
    enum prompt_kind prompt;
    char prompt_text[PROMPT_TEXT];
    double quit_armed_boot; /* when the first of two quit keys came */
    double bell_boot;       /* last time the bell rang */
    bool leaving;
};

/* Acts on one key (a code point or enum input of the terminal). */
void live_key(struct live *live, int key);
/* True while the first of two quit keys still counts. */
bool live_quit_armed(const struct live *live);

#endif
