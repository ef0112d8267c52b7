/* store: the pictures of a session, as they landed: SESSION/pictures.jsonl, an object a line, as
 * `moonstand look --json` prints it. */
#ifndef MOONSTAND_PICTURES_FILE_H
#define MOONSTAND_PICTURES_FILE_H

#include <moonstand/seen.h>

struct fault;

#define PICTURES_FILE "pictures.jsonl"

/* One line: `rig` is the name of its rig, or empty; seen->rig is not set. Texts live as long as the
 * call. */
typedef void pictures_take(void *context, const struct seen *seen, const char *rig);
/* Hands out every line; what is no such line is left out and counted. 0, also if there is no file;
 * -1 with a fault. */
int pictures_file_read(const char *folder, pictures_take *take, void *context, int *damaged,
                       struct fault *fault);
/* Opens it for more lines, behind what is there; -1 with a fault. */
int pictures_file_open(const char *folder, struct fault *fault);

#endif
