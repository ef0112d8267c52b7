/* Private to app: pictures that landed, put into the album of their rig. */
#ifndef MOONSTAND_APP_RECALL_H
#define MOONSTAND_APP_RECALL_H

#include "session.h"

/* Holds a picture of rig seen->rig, which landed at `utc`, against the night at `moment`. A fresh one
 * is a frame of its own. */
void album_take(struct session *session, const struct moment *moment, const struct seen *seen,
                double utc, bool fresh);
/* Fills the albums of a session that is resumed from its own list of pictures; a rehearsal begins
 * with empty ones. The night must be derived, and none of them watched yet. -1 with a fault. */
int recall_pictures(struct session *session, struct fault *fault);

#endif
