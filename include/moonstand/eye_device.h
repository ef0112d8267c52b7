/* devices: the process that watches folders of pictures and looks at them. */
#ifndef MOONSTAND_EYE_DEVICE_H
#define MOONSTAND_EYE_DEVICE_H

#include <moonstand/album.h>
#include <moonstand/program.h>
#include <moonstand/seen.h>
#include <moonstand/setup.h>

#include <signal.h>
#include <stdint.h>

struct fault;

/* What the watcher reports, in records of this size through a pipe. */
enum glance_kind {
    GLANCE_ALIVE,  /* nothing new */
    GLANCE_FILE,   /* a picture: `seen`, of `rig` */
    GLANCE_FOLDER, /* the folder of `rig` is gone (`gone`), or there again */
    GLANCE_WORD,   /* `text` is for the user */
    GLANCE_KINDS
};
enum { GLANCE_TEXT = 200 };
struct glance {
    enum glance_kind kind;
    int rig;
    bool gone;
    bool fresh; /* a frame of its own: not the raw file of one that is counted, or the same again */
    double frames[RIGS], bytes[RIGS], raw[RIGS]; /* as struct album has them, with this one */
    struct seen seen;                            /* its `file` is null */
    char text[GLANCE_TEXT];
};

/* On this signal the watcher looks for the Moon in the next picture of every rig, however short a time ago
 * it last did. One that does not know it yet is not ended by it. */
#define EYE_HURRY SIGURG

struct eye_device {
    struct child child;
    bool wanted;
    double heard_s; /* last sign of life */
    double asked_s; /* when that was last asked for */
    size_t have;    /* bytes of the record that is coming in */
    union {
        struct glance glance;
        uint8_t bytes[sizeof(struct glance)];
    } record;
};

/* Starts the watcher; without a command, none. -1 with a fault if it cannot be started. */
int eye_device_open(struct eye_device *eye, const struct user_command *command, double boot_s,
                    struct fault *fault);
void eye_device_close(struct eye_device *eye);
/* The next record, as it came: nothing in it is checked. Never waits; false: none is complete. To be
 * called at the tick, until it returns false or the caller has had enough. */
bool eye_device_next(struct eye_device *eye, double boot_s, struct glance *glance);
/* Sends EYE_HURRY: an aim has changed. */
void eye_device_hurry(const struct eye_device *eye);
enum eye_state eye_device_state(struct eye_device *eye, double boot_s);

#endif
