/* devices: a memory card that is mounted on this machine. */
#ifndef MOONSTAND_CARD_H
#define MOONSTAND_CARD_H

#include <moonstand/rig.h>

struct readings;

struct card_device {
    char path[CARD_PATH];
    char own[CARD_PATH]; /* a folder on the machine's own disk */
    double due_s;
    int pid;           /* of the process that asks; 0: none */
    int answer;        /* where it says what it has found */
    double asked_s;    /* since when */
    bool known;        /* it has answered, or has not for too long */
    double free_bytes; /* NaN: no card there */
};

/* Free space at `path`, asked every ten seconds; empty: nothing to ask. A path that lies on the
 * root's filesystem or on that of `own` is no card: the place is there, but nothing is mounted. The
 * question is put by a process of its own, so that a file system that hangs holds nobody up; a card
 * that has not answered for five seconds counts as absent until it does. */
void card_open(struct card_device *card, const char *path, const char *own);
void card_close(struct card_device *card);
double card_next_deadline(const struct card_device *card);
/* To be called once a second, also before the deadline: takes an answer that came late. */
void card_on_deadline(struct card_device *card, double boot_s);
/* Writes card_free_bytes and card_absent of a rig. */
void card_fill(const struct card_device *card, int rig, struct readings *readings);

#endif
