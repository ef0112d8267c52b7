/* base: what a cell of the screen means, and how a theme shows it. */
#ifndef MOONSTAND_THEME_H
#define MOONSTAND_THEME_H

#include <stdbool.h>
#include <stdint.h>

/* What a cell of the screen means; a theme gives it its look. */
enum role {
    ROLE_LABEL,  /* names, units, help: quiet */
    ROLE_VALUE,  /* what is being read */
    ROLE_STRONG, /* the one thing to look at */
    ROLE_BORDER, /* lines and frames */
    ROLE_DUE,    /* needs a hand soon */
    ROLE_ALARM,  /* needs a hand now */
    ROLE_STALE,  /* old or uncertain */
    ROLE_DONE,   /* ticked, past */
    ROLE_LIT,    /* picture: sunlit part of the disc */
    ROLE_SHADE,  /* picture: inside the umbra */
    ROLE_COUNT
};
/* "label", "value" ... as theme files name them. */
const char *role_name(enum role role);

/* How a theme shows a role: colour 0xRRGGBB and what remains where there is no colour. */
struct look {
    uint32_t rgb;
    bool bold, reverse, underline;
};
/* A theme at its brightness steps: 0 normal, 1 dim. The background is painted, never left to the
 * terminal. */
enum { THEME_STEPS = 2 };
struct theme {
    char name[32];
    uint32_t background[THEME_STEPS];
    struct look look[THEME_STEPS][ROLE_COUNT];
};

#endif
