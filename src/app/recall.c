/* The albums of a session that is resumed: what its own list of pictures has, held against the night
 * again, so that nothing that the pictures have shown is forgotten by a new start. */
#include "recall.h"

#include <moonstand/pictures_file.h>

#include <math.h>

/* Two lines with one time are one frame: its raw file and its JPEG, or one that has grown. */
#define SAME_S 0.001

void album_take(struct session *session, const struct moment *moment, const struct seen *seen,
                double utc, bool fresh)
{
    struct album *album = &session->readings.album[seen->rig];
    struct look_at_moon look;
    struct shot shot;

    if (landed_at_once(album, seen) &&
        look_make(&session->night, moment, seen->rig, seen, utc, &look))
        album_look(album, &look);
    if (seen->state != SEEN_NOT_LOOKED)
        album->why_not = seen->state > SEEN_NO_DISC ? (int)seen->state : 0;
    if (!fresh)
        return;
    shot_make(&session->night, moment, seen->rig, seen, utc, &shot);
    album_add(album, &shot);
}

static bool is_fresh(const struct album *album, double taken)
{
    for (int i = 0; i < album->count; i++)
        if (fabs(album->shot[i].utc - album->shot[i].behind_s - taken) < SAME_S)
            return false;
    return true;
}

static void take_recalled(void *context, const struct seen *line, const char *rig)
{
    static struct moment moment;
    struct session *session = context;
    struct seen seen = *line;
    double utc = seen.landed_utc;

    seen.rig = setup_rig(&session->night.setup, rig);
    if (seen.rig < 0 || !(utc <= session->last_utc))
        return;
    /* The list does not have how the camera was held. */
    seen.place = (struct frame_point){NAN, NAN};
    moment_at(&session->night, &session->readings, utc, &moment);
    album_take(session, &moment, &seen, utc,
               is_fresh(&session->readings.album[seen.rig], seen.metadata.taken));
}

int recall_pictures(struct session *session, struct fault *fault)
{
    int damaged;

    if (session->night.rehearsal || !session->journal)
        return 0;
    return pictures_file_read(session->folder, take_recalled, session, &damaged, fault);
}
