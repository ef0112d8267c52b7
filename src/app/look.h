/* Private to app: one picture, looked at in the box. */
#ifndef MOONSTAND_APP_LOOK_H
#define MOONSTAND_APP_LOOK_H

#include "picture.h"

/* Folders inside folders are followed so far. */
enum { LOOK_DEEP = 6 };

/* Opens a file and looks at it in the box. seen->file becomes `path`. -1 with a fault (without the
 * file's name). */
int look_at(const struct picture_context *context, const char *path, struct seen *seen,
            struct fault *fault);
/* Whether what came from another process can be what a picture shows; its texts are made safe. */
bool look_is_sound(const struct setup *setup, struct seen *seen);
/* True if a file's name ends like that of a picture. */
bool look_is_picture(const char *name);

#endif
