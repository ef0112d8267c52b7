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
/* What is done with each picture; what cannot be read is complained of and counted in `bad`. */
struct look_walk {
    void (*take)(void *context, const char *path);
    void *context;
    size_t *bad;
};
/* Every picture of a folder, with the folders in it, by name; or that one file. */
void look_each(const struct look_walk *walk, const char *path);
/* What is done with the metadata of each picture; `bad` as above. */
struct look_over {
    const struct picture_context *context;
    void (*take)(void *to, const struct seen *seen);
    void *to;
    size_t *bad;
};
/* As look_each and look_at for metadata alone, but with one box for many pictures, of which no more
 * is read than the head and the tail; a picture that does not tell all by them is looked at by itself,
 * afterwards. seen->took_s is not set. */
void look_over(const struct look_over *over, const char *path);
/* True if a file's name ends like that of a picture. */
bool look_is_picture(const char *name);

#endif
