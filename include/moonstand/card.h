/* devices: a memory card that is mounted on this machine. */
#ifndef MOONSTAND_CARD_H
#define MOONSTAND_CARD_H

#include <moonstand/rig.h>

struct readings;

struct card_device {
    char path[CARD_PATH];
    char own[CARD_PATH]; /* a folder on the laptop's own disk */
    double due_s;
    int pid;           /* of the process that asks; 0: none */
    int answer;        /* the pipe it answers through */
    double asked_s;    /* when it started */
    bool known;        /* it has answered, or has timed out */
    double free_bytes; /* NaN: no card there */
};

/* Watches the free space at `path`, every ten seconds; empty: none. A path on the root's file
 * system or on that of `own` is no card: the folder exists, but nothing is mounted there. A child
 * process asks, since a file system that hangs (a pulled reader, a network) would block the caller
 * for ever; a card that does not answer within five seconds counts as absent until it does. */
void card_open(struct card_device *card, const char *path, const char *own);
void card_close(struct card_device *card);
void card_tick(struct card_device *card, double boot_s);
/* Writes card_free_bytes and card_absent of a rig. */
void card_fill(const struct card_device *card, int rig, struct readings *readings);

#endif
