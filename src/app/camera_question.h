/* Private to app: the cameras of pictures that no rig of the setup is named for. */
#ifndef MOONSTAND_APP_CAMERA_QUESTION_H
#define MOONSTAND_APP_CAMERA_QUESTION_H

#include <moonstand/seen.h>
#include <moonstand/setup.h>

struct night;
struct pictures;

enum { CAMERAS = 16 };
struct cameras {
    int rig; /* that they all are of, as asked for; -1: to be found out */
    int count;
    struct camera {
        struct metadata metadata; /* of its first picture */
        size_t pictures;
        int rig; /* -1: none */
    } camera[CAMERAS];
};

/* The rig of a picture whose camera no rig of the session is named for; -1: none. What the setup file
 * names by now counts; else it is asked on a terminal, once for each camera, by make, model and serial
 * number, and saved in that file if the user wants it. */
int camera_rig(struct cameras *cameras, const struct setup *setup, const struct seen *seen);
/* Names the cameras that nobody could be asked about, and what would help. */
void cameras_tell(const struct cameras *cameras);
/* Asks on a terminal, once for each rig, which picture shows the time card and what it shows, where
 * nothing else is noted of that camera's clock. */
void ask_time_cards(struct pictures *pictures, const struct night *night);

#endif
