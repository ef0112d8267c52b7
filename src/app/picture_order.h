/* Private to app: pictures put in order after the night. */
#ifndef MOONSTAND_APP_PICTURE_ORDER_H
#define MOONSTAND_APP_PICTURE_ORDER_H

#include "options.h"

struct night;
struct pictures;

/* report --pictures: the table on standard input, the pictures of a folder, or those that a session
 * kept, answered by the night. The exit status; other than EXIT_DONE with a fault. */
int order_pictures(const struct options *options, const struct night *night, struct fault *fault);

/* The pictures of a folder, or those that a session has kept a record of (none: there is none), for
 * pictures_free in any case. What cannot be read is named and counted in `bad`. -1 with a fault. */
int read_pictures(const char *folder, const struct night *night, struct pictures *pictures,
                  size_t *bad, struct fault *fault);

#endif
