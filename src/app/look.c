/* Looking at one picture, from outside the box. */
#include "look.h"

#include "app.h"
#include "box.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PICTURE_LARGEST = 512 << 20 };

/* ---- in the box ---- */

/* What comes back from it. */
enum { NOT_TOLD = -2 };
struct answer {
    int result; /* 0, -1 with a fault, or NOT_TOLD by the ends of a file */
    char fault[256];
    struct seen seen;
};

/* The next bytes; how many there were. */
static size_t read_part(int file, uint8_t *bytes, size_t size)
{
    size_t got = 0;

    while (got < size) {
        ssize_t count = read(file, bytes + got, size - got);

        if (count <= 0)
            break;
        got += (size_t)count;
    }
    return got;
}

/* How much of a large file is read for its metadata: nearly every file has them there. */
struct ends {
    size_t head, tail;
};

/* Of a file its head and its tail into a room that holds zeros; they are left between. A small file
 * is read whole. */
static bool read_ends(int file, uint8_t *bytes, size_t size, const struct ends *ends)
{
    if (size <= ends->head + ends->tail)
        return read_part(file, bytes, size) == size;
    return read_part(file, bytes, ends->head) == ends->head &&
           lseek(file, (off_t)(size - ends->tail), SEEK_SET) >= 0 &&
           read_part(file, bytes + size - ends->tail, ends->tail) == ends->tail;
}

/* Zeros again. */
static void wipe_ends(uint8_t *bytes, size_t size, const struct ends *ends)
{
    bool small = size <= ends->head + ends->tail;

    memset(bytes, 0, small ? size : ends->head);
    if (!small)
        memset(bytes + size - ends->tail, 0, ends->tail);
}

/* Metadata by the ends of a file. True if they hold when it was taken, and by which camera. */
static bool look_at_ends(int file, size_t size, const struct ends *ends,
                         const struct picture_context *context, struct answer *answer)
{
    static uint8_t *room; /* of the largest file of this box so far */
    static size_t room_size;
    struct fault fault;

    if (size > room_size) {
        free(room);
        room = calloc(1, size);
        room_size = room ? size : 0;
    }
    if (!room)
        return false;
    answer->result = read_ends(file, room, size, ends)
                         ? picture_look(room, size, context, &answer->seen, &fault)
                         : -1;
    wipe_ends(room, size, ends);
    return answer->result == 0 && isfinite(answer->seen.metadata.taken) &&
           (*answer->seen.metadata.serial || answer->seen.rig >= 0);
}

static void look_whole(int file, size_t size, struct answer *answer,
                       const struct picture_context *context)
{
    struct fault fault = {""};
    uint8_t *bytes = malloc(size);

    size = bytes && lseek(file, 0, SEEK_SET) == 0 ? read_part(file, bytes, size) : 0;
    answer->result = bytes ? picture_look(bytes, size, context, &answer->seen, &fault)
                           : fault_set(&fault, "out of memory");
    free(bytes);
    (void)snprintf(answer->fault, sizeof answer->fault, "%.255s", fault.text);
}

/* One picture by itself. */
static void look_inside(int file, size_t size, void *answer, const void *context)
{
    static const struct ends ends = {512 << 10, 64 << 10};

    if (!((const struct picture_context *)context)->metadata_only ||
        !look_at_ends(file, size, &ends, context, answer))
        look_whole(file, size, answer, context);
}

static const struct ends brief = {128 << 10, 16 << 10};

/* One of many, quickly: the answer is a picture or nothing. */
static void look_briefly(int file, size_t size, void *answer, const void *context)
{
    if (!look_at_ends(file, size, &brief, context, answer))
        ((struct answer *)answer)->result = NOT_TOLD;
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
    clean_text(seen->metadata.make, sizeof seen->metadata.make);
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

/* Memory besides the file itself. */
static const struct box_limits reader_limits = {.cpu_s = 20, .wall_s = 120, .memory = 900 << 20};

/* Takes what the box has answered for a file. */
static int take_from_box(const struct picture_context *context, struct answer *answer,
                         const char *path, const struct stat *status, struct seen *seen,
                         struct fault *fault)
{
    if (!answer_is_sound(context->setup, answer))
        return fault_set(fault, "refused: its reader gave a senseless answer");
    if (answer->result != 0)
        return fault_set(fault, "%s", answer->fault);
    *seen = answer->seen;
    seen->file = path;
    seen->bytes = (double)status->st_size;
    seen->landed_utc = seconds_of(status->st_mtim);
    return 0;
}

int look_at(const struct picture_context *context, const char *path, struct seen *seen,
            struct fault *fault)
{
    struct box_task task = {reader_limits, look_inside, context, sizeof(struct answer)};
    struct stat status = {.st_size = 0};
    struct answer answer = {.result = -1};
    double began_s = machine_running();
    int file = open_picture(path, &status, fault), answered;

    if (file < 0)
        return -1;
    task.limits.memory += (size_t)status.st_size;
    answered = box_run(&task, &(struct box_file){file, (size_t)status.st_size}, 1, &answer, fault);
    (void)close(file);
    if (answered == 0 || take_from_box(context, &answer, path, &status, seen, fault) != 0)
        return -1;
    seen->took_s = machine_running() - began_s;
    return 0;
}

/* ---- many at once ---- */

/* Files that share a box. */
struct batch {
    const struct look_over *over;
    int count;
    char *path[BOX_FILES];
    struct box_file file[BOX_FILES];
    struct stat status[BOX_FILES];
    struct answer answer[BOX_FILES];
};

/* By itself, in a box of its own. */
static void look_alone(const struct look_over *over, const char *path)
{
    struct seen seen;
    struct fault fault;

    if (look_at(over->context, path, &seen, &fault) == 0)
        over->take(over->to, &seen);
    else
        complain_of_file(path, fault.text, over->bad);
}

static void take_in_turn(struct batch *batch, int answered)
{
    const struct look_over *over = batch->over;

    for (int i = 0; i < batch->count; i++) {
        struct answer *answer = &batch->answer[i];
        struct seen seen;
        struct fault fault;

        if (i < answered && answer->result == 0 &&
            take_from_box(over->context, answer, batch->path[i], &batch->status[i], &seen,
                          &fault) == 0)
            over->take(over->to, &seen);
        else
            look_alone(over, batch->path[i]);
    }
}

/* Looks at what was gathered; what a common box did not tell is looked at alone. */
static void look_at_batch(struct batch *batch)
{
    struct box_task task = {reader_limits, look_briefly, batch->over->context,
                            sizeof(struct answer)};
    off_t largest = 0;
    struct fault fault;

    if (batch->count == 0)
        return;
    for (int i = 0; i < batch->count; i++)
        largest = batch->status[i].st_size > largest ? batch->status[i].st_size : largest;
    task.limits.memory += (size_t)largest;
    take_in_turn(batch, box_run(&task, batch->file, batch->count, batch->answer, &fault));
    for (int i = 0; i < batch->count; i++) {
        (void)close(batch->file[i].file);
        free(batch->path[i]);
    }
    batch->count = 0;
}

static void gather(void *context, const char *path)
{
    struct batch *batch = context;
    int i = batch->count;
    struct fault fault;
    int file = open_picture(path, &batch->status[i], &fault);

    batch->path[i] = file >= 0 ? strdup(path) : NULL;
    if (!batch->path[i]) {
        if (file >= 0)
            (void)close(file);
        complain_of_file(path, file >= 0 ? "out of memory" : fault.text, batch->over->bad);
        return;
    }
    batch->file[i] = (struct box_file){file, (size_t)batch->status[i].st_size};
    /* The disk fetches them while others are opened. */
    (void)posix_fadvise(file, 0, (off_t)brief.head, POSIX_FADV_WILLNEED);
    if (++batch->count == BOX_FILES)
        look_at_batch(batch);
}

void look_over(const struct look_over *over, const char *path)
{
    static struct batch batch;

    batch.over = over;
    look_each(&(struct look_walk){gather, &batch, over->bad}, path);
    look_at_batch(&batch);
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

static void walk_folder(const struct look_walk *walk, const char *path, int deeper);

/* What lies in a folder: pictures and more folders count, links and the rest do not. */
static void walk_entry(const struct look_walk *walk, const char *folder, const char *name,
                       int deeper)
{
    size_t length = strlen(folder);
    struct stat status;
    char *path;

    while (length > 1 && folder[length - 1] == '/')
        length--;
    if (asprintf(&path, "%.*s/%s", (int)length, folder, name) < 0) {
        complain_of_file(folder, "out of memory", walk->bad);
        return;
    }
    if (lstat(path, &status) != 0)
        complain_of_file(path, strerror(errno), walk->bad);
    else if (S_ISDIR(status.st_mode))
        walk_folder(walk, path, deeper);
    else if (S_ISREG(status.st_mode) && look_is_picture(name))
        walk->take(walk->context, path);
    free(path);
}

static void walk_folder(const struct look_walk *walk, const char *path, int deeper)
{
    struct dirent **entries;
    int count = deeper > 0 ? scandir(path, &entries, is_shown, alphasort) : -1;

    if (count < 0) {
        const char *why = deeper > 0 ? strerror(errno) : "folders inside folders go too deep here";

        complain_of_file(path, why, walk->bad);
        return;
    }
    for (int i = 0; i < count; i++) {
        walk_entry(walk, path, entries[i]->d_name, deeper - 1);
        free(entries[i]);
    }
    free(entries);
}

void look_each(const struct look_walk *walk, const char *path)
{
    struct stat status;

    if (stat(path, &status) == 0 && S_ISDIR(status.st_mode))
        walk_folder(walk, path, LOOK_DEEP);
    else
        walk->take(walk->context, path);
}
