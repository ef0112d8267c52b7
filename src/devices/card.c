/* Free space on a memory card. */
#include <math.h>
#include <moonstand/devices.h>
#include <stdio.h>
#include <sys/stat.h>
#include <sys/statvfs.h>

static const double interval_s = 10;

static bool is_same_filesystem(const struct stat *place, const char *other)
{
    struct stat status;

    return stat(other, &status) == 0 && status.st_dev == place->st_dev;
}

/* NaN where nothing is mounted there. */
static double free_bytes(const char *path, const char *own)
{
    struct statvfs space;
    struct stat place;

    if (stat(path, &place) != 0 || is_same_filesystem(&place, "/") ||
        is_same_filesystem(&place, own) || statvfs(path, &space) != 0)
        return NAN;
    return (double)space.f_bavail * (double)space.f_frsize;
}

void card_open(struct card_device *card, const char *path, const char *own)
{
    *card = (struct card_device){.due_s = *path ? -INFINITY : INFINITY, .free_bytes = NAN};
    (void)snprintf(card->path, sizeof card->path, "%s", path);
    (void)snprintf(card->own, sizeof card->own, "%s", own);
}

double card_next_deadline(const struct card_device *card)
{
    return card->due_s;
}

void card_on_deadline(struct card_device *card, double boot_s)
{
    if (boot_s < card->due_s)
        return;
    card->due_s = boot_s + interval_s;
    card->free_bytes = free_bytes(card->path, card->own);
}

void card_fill(const struct card_device *card, int rig, struct readings *readings)
{
    readings->card_free_bytes[rig] = card->free_bytes;
    readings->card_absent[rig] = *card->path && isnan(card->free_bytes);
}
