/* Looking at one picture, from outside the box. */
#include "look.h"

#include "box.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum {
    READER_CPU_S = 20,
    READER_WALL_S = 120,
    PICTURE_LARGEST = 512 << 20,
    READER_MEMORY = 900 << 20, /* besides the file itself */
    HEAD_BYTES = 512 << 10,
    TAIL_BYTES = 64 << 10
};

/* ---- in the box ---- */

/* What comes back from it. */
struct answer {
    int result;
    char fault[256];
    struct seen seen;
};

/* The next bytes; how many there were. */
static size_t read_part(uint8_t *bytes, size_t size)
{
    size_t got = 0;

    while (got < size) {
        ssize_t count = read(BOX_INPUT, bytes + got, size - got);

        if (count <= 0)
            break;
        got += (size_t)count;
    }
    return got;
}

/* The whole file in memory; *size becomes what was there. */
static uint8_t *read_whole(size_t *size)
{
    uint8_t *bytes = malloc(*size);

    *size = bytes ? read_part(bytes, *size) : 0;
    return bytes;
}

/* Of a large file its head and its tail, with zeros between: nearly every file has its metadata there.
 * Null: out of memory. */
static uint8_t *read_ends(size_t size)
{
    uint8_t *bytes = calloc(1, size);
    const size_t head = HEAD_BYTES, tail = TAIL_BYTES;
    bool good = bytes && read_part(bytes, head) == head &&
                lseek(BOX_INPUT, (off_t)(size - tail), SEEK_SET) >= 0 &&
                read_part(bytes + size - tail, tail) == tail;

    if (!good)
        free(bytes);
    return good && lseek(BOX_INPUT, 0, SEEK_SET) == 0 ? bytes : NULL;
}

/* Metadata by the ends of a file: true if they have told when it was taken. */
static bool look_at_ends(size_t size, struct answer *answer, const struct picture_context *context)
{
    struct fault fault;
    uint8_t *bytes;

    if (!context->metadata_only || size < 2 * (HEAD_BYTES + TAIL_BYTES))
        return false;
    bytes = read_ends(size);
    answer->result = bytes ? picture_look(bytes, size, context, &answer->seen, &fault) : -1;
    free(bytes);
    return answer->result == 0 && isfinite(answer->seen.metadata.taken);
}

static void look_inside(size_t size, void *out, const void *context)
{
    struct answer *answer = out;
    struct fault fault = {""};
    uint8_t *bytes;

    if (look_at_ends(size, answer, context))
        return;
    bytes = read_whole(&size);

    answer->result = bytes ? picture_look(bytes, size, context, &answer->seen, &fault)
                           : fault_set(&fault, "out of memory");
    (void)snprintf(answer->fault, sizeof answer->fault, "%.255s", fault.text);
}

/* ---- outside: nothing that came from the box is believed ---- */

static void clean_text(char *text, size_t size)
{
    text[size - 1] = '\0';
    text_clean(text);
}

static bool is_between(double value, double lowest, double highest)
{
    return isnan(value) || (value >= lowest && value <= highest);
}

static bool metadata_is_sound(const struct metadata *metadata)
{
    return (unsigned)metadata->format < PICTURE_FORMATS && metadata->taken_decimals >= 0 &&
           metadata->taken_decimals <= 3 && metadata->orientation >= 1 &&
           metadata->orientation <= 8 && metadata->width >= 0 && metadata->width <= UINT16_MAX &&
           metadata->height >= 0 && metadata->height <= UINT16_MAX &&
           is_between(metadata->taken, -1e10, 1e10) &&
           is_between(metadata->offset_min, -960, 960) &&
           is_between(metadata->shutter_s, 0, 1e10) && is_between(metadata->iso, 0, 1e10) &&
           is_between(metadata->f_number, 0, 1e10) && is_between(metadata->focal_mm, 0, 1e10);
}

static bool measures_are_sound(const struct seen *seen)
{
    const struct disc_light *light = &seen->light;

    return is_between(seen->place.x, -10, 10) && is_between(seen->place.y, -10, 10) &&
           is_between(seen->disc.radius_px, 0, 1e6) && is_between(seen->disc.arc, 0, 1) &&
           is_between(seen->disc.scatter_px, 0, 1e6) && is_between(seen->disc.score, 0, 1) &&
           is_between(light->lit, 0, 255) && is_between(light->umbra[0], 0, 255) &&
           is_between(light->umbra[1], 0, 255) && is_between(light->umbra[2], 0, 255) &&
           is_between(light->clipped, 0, 1) && is_between(light->sky, 0, 255) &&
           is_between(seen->limb.width_px, 0, 1e6) && is_between(seen->limb.least_px, 0, 1e6) &&
           is_between(seen->limb.most_px, 0, 1e6) && is_between(seen->limb.most_deg, 0, 180);
}

bool look_is_sound(const struct setup *setup, struct seen *seen)
{
    clean_text(seen->metadata.model, sizeof seen->metadata.model);
    clean_text(seen->metadata.serial, sizeof seen->metadata.serial);
    return metadata_is_sound(&seen->metadata) && (unsigned)seen->state < SEEN_STATES &&
           seen->rig >= -1 && seen->rig < setup->rig_count &&
           (seen->state != SEEN_DISC || measures_are_sound(seen));
}

/* Whether an answer is one that the reader can have given; its texts are made safe. */
static bool answer_is_sound(const struct setup *setup, struct answer *answer)
{
    clean_text(answer->fault, sizeof answer->fault);
    return answer->result == 0 ? look_is_sound(setup, &answer->seen) : *answer->fault != '\0';
}

static double seconds_of(struct timespec time)
{
    return (double)time.tv_sec + (double)time.tv_nsec / 1e9;
}

static double running_s(void)
{
    struct timespec now;

    return clock_gettime(CLOCK_MONOTONIC, &now) == 0 ? seconds_of(now) : NAN;
}

/* Opens what is a file and nothing else: no link is followed, a FIFO does not hold us up. */
static int open_picture(const char *path, struct stat *status, struct fault *fault)
{
    int file = open(path, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);

    if (file < 0)
        return errno == ELOOP ? fault_set(fault, "is a symbolic link; give the file itself")
                              : fault_set(fault, "cannot open: %s", strerror(errno));
    if (fstat(file, status) != 0)
        (void)fault_set(fault, "cannot open: %s", strerror(errno));
    else if (!S_ISREG(status->st_mode))
        (void)fault_set(fault, "not a file");
    else if (status->st_size == 0)
        (void)fault_set(fault, "empty");
    else if (status->st_size > PICTURE_LARGEST)
        (void)fault_set(fault, "larger than %d MiB", PICTURE_LARGEST >> 20);
    else
        return file;
    (void)close(file);
    return -1;
}

int look_at(const struct picture_context *context, const char *path, struct seen *seen,
            struct fault *fault)
{
    struct box_limits limits = {.cpu_s = READER_CPU_S, .wall_s = READER_WALL_S};
    struct stat status = {.st_size = 0};
    struct answer answer = {.result = -1};
    double began_s = running_s();
    int file = open_picture(path, &status, fault), result;

    if (file < 0)
        return -1;
    limits.memory = (size_t)status.st_size + READER_MEMORY;
    result = box_run(file, (size_t)status.st_size, &limits, look_inside, context, &answer,
                     sizeof answer, fault);
    (void)close(file);
    if (result != 0)
        return -1;
    if (!answer_is_sound(context->setup, &answer))
        return fault_set(fault, "refused: its reader gave a senseless answer");
    if (answer.result != 0)
        return fault_set(fault, "%s", answer.fault);
    *seen = answer.seen;
    seen->file = path;
    seen->bytes = (double)status.st_size;
    seen->landed_utc = seconds_of(status.st_mtim);
    seen->took_s = running_s() - began_s;
    return 0;
}

bool look_is_picture(const char *name)
{
    static const char *const endings[] = {"jpg", "jpeg", "cr2", "cr3", "nef",  "nrw",  "arw", "raf",
                                          "rw2", "orf",  "pef", "dng", "heic", "heif", "hif"};
    const char *dot = strrchr(name, '.');

    for (size_t i = 0; dot && i < sizeof endings / sizeof endings[0]; i++)
        if (strcasecmp(dot + 1, endings[i]) == 0)
            return true;
    return false;
}

static int is_shown(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static bool walk_folder(const struct look_walk *walk, const char *path, int deeper);

/* What lies in a folder: pictures and more folders count, links and the rest do not. */
static bool walk_entry(const struct look_walk *walk, const char *folder, const char *name,
                       int deeper)
{
    size_t length = strlen(folder);
    bool goes_on = true;
    struct stat status;
    char *path;

    while (length > 1 && folder[length - 1] == '/')
        length--;
    if (asprintf(&path, "%.*s/%s", (int)length, folder, name) < 0) {
        walk->bad(walk->context, folder, "out of memory");
        return true;
    }
    if (lstat(path, &status) != 0)
        walk->bad(walk->context, path, strerror(errno));
    else if (S_ISDIR(status.st_mode))
        goes_on = walk_folder(walk, path, deeper);
    else if (S_ISREG(status.st_mode) && look_is_picture(name))
        goes_on = walk->take(walk->context, path);
    free(path);
    return goes_on;
}

static bool walk_folder(const struct look_walk *walk, const char *path, int deeper)
{
    struct dirent **entries;
    int count = deeper > 0 ? scandir(path, &entries, is_shown, by_name) : 0;
    bool goes_on = true;

    if (count < 0)
        walk->bad(walk->context, path, strerror(errno));
    else if (deeper == 0)
        walk->bad(walk->context, path, "folders inside folders go too deep here");
    for (int i = 0; i < count; i++) {
        goes_on = goes_on && walk_entry(walk, path, entries[i]->d_name, deeper - 1);
        free(entries[i]);
    }
    if (count >= 0 && deeper > 0)
        free(entries);
    return goes_on;
}

void look_each(const struct look_walk *walk, const char *path)
{
    struct stat status;

    if (stat(path, &status) == 0 && S_ISDIR(status.st_mode))
        (void)walk_folder(walk, path, LOOK_DEEP);
    else
        (void)walk->take(walk->context, path);
}
