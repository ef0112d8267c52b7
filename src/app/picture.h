/* Private to app: one picture's bytes, from the first to the last measure. Runs in the box. */
#ifndef MOONSTAND_APP_PICTURE_H
#define MOONSTAND_APP_PICTURE_H

#include <moonstand/fault.h>
#include <moonstand/seen.h>
#include <moonstand/setup.h>

#include <stdint.h>

/* Whose pictures they may be. */
struct picture_context {
    const struct setup *setup; /* no rigs: none of the user's own is known */
    int rig;                   /* as asked for; -1: to be found out */
    bool metadata_only;        /* leave the pixels alone */
};

/* Reads and measures. On an error -1 with a fault (without the file's name). */
int picture_look(const uint8_t *bytes, size_t size, const struct picture_context *context,
                 struct seen *seen, struct fault *fault);

#endif
