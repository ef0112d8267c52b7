/* The watcher: a process beside the dashboard that finds new pictures and has each looked at in the
 * box. It opens files, and never reads a byte of one.
 *
 * The kernel's notices (inotify) only say that it is worth looking: they are lost on network folders
 * and when many come. What is new is what a scan finds, and there is one every EYE_ALIVE_S anyway. */
#include "watcher.h"

#include "app.h"
#include "look.h"

#include <moonstand/eye_device.h>
#include <moonstand/pictures_file.h>
#include <moonstand/report.h>
#include <moonstand/setup_file.h>

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <poll.h>
#include <search.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NICE = 10, TRIES = 5 };
/* A file that has not changed for so long is whole, or does not come on. */
#define SETTLED_S 1.0
/* After a notice more of them follow. */
#define SETTLE_S 0.2
#define PENDING_S 0.5

/* A file that was found. */
struct known {
    struct known *before;
    uint64_t path;  /* its hash */
    uint64_t frame; /* hash of rig, name without ending, and time taken; 0: not looked at */
    double bytes;   /* as counted */
    double size, changed_utc; /* as last found */
    double landed_utc;        /* when it was first found */
    double again_s;           /* it is not looked at before */
    int tries;
    bool raw, pending;
};

struct folder {
    const char *path;
    unsigned rigs; /* a bit for each that names it */
    bool gone, scanned;
};

struct watcher {
    struct setup setup;
    double since_utc;
    int notices; /* -1: no inotify here */
    FILE *log;
    struct known *known; /* the last one that was found */
    void *by_path;       /* all of them, as tsearch() keeps them */
    struct folder folder[RIGS];
    int folder_count;
    double frames[RIGS], bytes[RIGS], raw[RIGS];
    struct metadata last[RIGS]; /* setting of the last picture of which the place was looked for */
    double looked_s[RIGS];
    char stranger[2 * METADATA_TEXT + 2]; /* the last one that was reported */
    bool pending;                         /* some files are not yet whole */
    bool lost;                            /* nobody listens any more */
};

static volatile sig_atomic_t hurried;

static void on_hurry(int number)
{
    (void)number;
    hurried = 1;
}

/* ---- what is known ---- */

/* FNV-1a, 64 bits; never 0. */
static uint64_t hash_bytes(uint64_t hash, const void *bytes, size_t size)
{
    const uint8_t *at = bytes;

    for (size_t i = 0; i < size; i++)
        hash = (hash ^ at[i]) * 0x100000001b3u;
    return hash ? hash : 1;
}
#define HASH_BEGIN 0xcbf29ce484222325u

/* A raw file and its JPEG are one frame: rig, name without ending, and time. */
static uint64_t hash_frame(int rig, const char *path, double taken)
{
    const char *name = path_name(path), *dot = strrchr(name, '.');
    long long ms = isfinite(taken) ? llround(taken * 1000) : -1;
    uint64_t hash = hash_bytes(HASH_BEGIN, &rig, sizeof rig);

    for (; *name && name != dot; name++) {
        char c = (char)tolower((unsigned char)*name);

        hash = hash_bytes(hash, &c, 1);
    }
    return hash_bytes(hash, &ms, sizeof ms);
}

static int compare_paths(const void *a, const void *b)
{
    uint64_t path = ((const struct known *)a)->path, other = ((const struct known *)b)->path;

    return path < other ? -1 : path > other;
}

/* What is known of a file, of a fresh one its path alone; null: out of memory. */
static struct known *find_known(struct watcher *watcher, const char *path, bool *fresh)
{
    struct known *made = malloc(sizeof *made), **found;

    if (!made)
        return NULL;
    *made = (struct known){.path = hash_bytes(HASH_BEGIN, path, strlen(path)),
                           .before = watcher->known};
    found = tsearch(made, &watcher->by_path, compare_paths);
    *fresh = found && *found == made;
    if (*fresh)
        watcher->known = made;
    else
        free(made);
    return found ? *found : NULL;
}

/* Counts a file that was looked at: a frame of its own, the other file of a frame, or the same again
 * (under another name, or grown). True for a frame of its own. */
static bool count_file(struct watcher *watcher, struct known *known, int rig, uint64_t frame,
                       bool raw, double bytes)
{
    bool frame_known = false, file_known = false, raw_known = false;

    if (known->frame == frame) {
        watcher->bytes[rig] += bytes - known->bytes;
        known->bytes = bytes;
        known->raw = raw;
        return false;
    }
    for (const struct known *other = watcher->known; other; other = other->before) {
        if (other->frame != frame)
            continue;
        frame_known = true;
        raw_known |= other->raw;
        file_known |= other->raw == raw;
    }
    if (!file_known)
        watcher->bytes[rig] += bytes;
    if (!frame_known)
        watcher->frames[rig]++;
    if (raw && !raw_known)
        watcher->raw[rig]++;
    known->frame = frame;
    known->raw = raw;
    known->bytes = bytes;
    return !frame_known;
}

/* ---- reports ---- */

/* A record goes through the pipe in one piece, for it is smaller than PIPE_BUF. */
static void tell_glance(struct watcher *watcher, struct glance *glance)
{
    _Static_assert(sizeof *glance <= 4096, "a record fits into a pipe in one piece");
    memcpy(glance->frames, watcher->frames, sizeof glance->frames);
    memcpy(glance->bytes, watcher->bytes, sizeof glance->bytes);
    memcpy(glance->raw, watcher->raw, sizeof glance->raw);
    if (write(STDOUT_FILENO, glance, sizeof *glance) != (ssize_t)sizeof *glance)
        watcher->lost = true;
}

static void tell_folder(struct watcher *watcher, const struct folder *folder)
{
    for (int rig = 0; rig < watcher->setup.rig_count; rig++) {
        struct glance glance = {.kind = GLANCE_FOLDER, .rig = rig, .gone = folder->gone};

        if (folder->rigs & 1u << rig)
            tell_glance(watcher, &glance);
    }
}

static void tell_words(struct watcher *watcher, const char *path, const char *words)
{
    struct glance glance = {.kind = GLANCE_WORD, .rig = -1};

    (void)snprintf(glance.text, sizeof glance.text, "%.60s: %.130s", path_name(path), words);
    tell_glance(watcher, &glance);
}

static void write_down(struct watcher *watcher, const struct seen *seen)
{
    if (!watcher->log)
        return;
    if (report_look_json(watcher->log, &watcher->setup, seen) != 0 || fflush(watcher->log) != 0) {
        tell_words(watcher, PICTURES_FILE, strerror(errno));
        clearerr(watcher->log);
    }
}

/* ---- one file ---- */

/* The rig of a folder that took a picture; -1: none of them. */
static int rig_of(const struct watcher *watcher, const struct folder *folder,
                  const struct metadata *metadata)
{
    bool named = *metadata->serial || *metadata->model;
    int rig = picture_rig(&watcher->setup, metadata), only = ffs((int)folder->rigs) - 1;

    if (folder->rigs != 1u << only)
        return rig >= 0 && folder->rigs & 1u << rig ? rig : -1;
    return *watcher->setup.rig[only].camera && named &&
                   !picture_is_of(&watcher->setup.rig[only], metadata)
               ? -1
               : only;
}

static void tell_stranger(struct watcher *watcher, const char *path,
                          const struct metadata *metadata)
{
    char who[sizeof watcher->stranger], words[sizeof who + 40];

    (void)snprintf(who, sizeof who, "%s %s", metadata->model, metadata->serial);
    if (strcmp(who, watcher->stranger) == 0)
        return;
    memcpy(watcher->stranger, who, sizeof who);
    (void)snprintf(words, sizeof words, "camera not in the setup: %s",
                   *metadata->model || *metadata->serial ? who : "the file names none");
    tell_words(watcher, path, words);
}

static bool same_setting(const struct metadata *a, const struct metadata *b)
{
    return a->shutter_s == b->shutter_s && a->iso == b->iso && a->f_number == b->f_number;
}

/* Metadata of every picture; the Moon is looked for not more often than asked, but in the first one
 * with another setting or aim. 0; 1 with a fault if its pixels are refused: `seen` has the metadata
 * alone; -1 with a fault. */
static int look(struct watcher *watcher, const struct folder *folder, const char *path,
                struct seen *seen, struct fault *fault)
{
    struct picture_context context = {.setup = &watcher->setup, .rig = -1, .metadata_only = true};
    struct seen whole;
    int rig;

    if (look_at(&context, path, seen, fault) != 0)
        return -1;
    rig = seen->rig = rig_of(watcher, folder, &seen->metadata);
    if (rig < 0 || watcher->setup.rig[rig].look == LOOK_FOR_METADATA ||
        (machine_running() - watcher->looked_s[rig] < watcher->setup.look_every_s &&
         same_setting(&seen->metadata, &watcher->last[rig])))
        return 0;
    context.rig = rig;
    context.metadata_only = false;
    watcher->looked_s[rig] = machine_running();
    watcher->last[rig] = seen->metadata;
    if (look_at(&context, path, &whole, fault) != 0)
        return 1;
    *seen = whole;
    return 0;
}

/* Reports and records what is known of a picture. */
static void take_looked(struct watcher *watcher, const char *path, struct known *known,
                        struct seen *seen)
{
    struct glance glance = {.kind = GLANCE_FILE, .rig = seen->rig};
    uint64_t frame = hash_frame(seen->rig, path, seen->metadata.taken);
    bool raw = seen->metadata.format == PICTURE_RAW;

    seen->landed_utc = known->landed_utc;
    glance.fresh = count_file(watcher, known, seen->rig, frame, raw, seen->bytes);
    glance.seen = *seen;
    glance.seen.file = NULL;
    write_down(watcher, seen);
    tell_glance(watcher, &glance);
}

static void try_file(struct watcher *watcher, const struct folder *folder, const char *path,
                     struct known *known)
{
    struct fault fault = {""};
    struct seen seen;
    int result = look(watcher, folder, path, &seen, &fault);

    known->again_s = machine_running() + ldexp(1, known->tries);
    if (result < 0 && ++known->tries < TRIES)
        return;
    known->pending = false;
    if (result != 0)
        tell_words(watcher, path, fault.text);
    if (result >= 0 && seen.rig < 0)
        tell_stranger(watcher, path, &seen.metadata);
    else if (result >= 0)
        take_looked(watcher, path, known, &seen);
}

static void meet_file(struct watcher *watcher, struct folder *folder, const char *path,
                      const struct stat *status)
{
    double changed_utc = seconds_of(status->st_mtim), size = (double)status->st_size;
    bool fresh, moved;
    struct known *known = find_known(watcher, path, &fresh);

    if (!known)
        return;
    /* Of an earlier run: its line has no time of change. */
    if (!fresh && known->changed_utc == 0 && known->bytes == size)
        known->changed_utc = changed_utc;
    if (fresh) {
        known->landed_utc = folder->scanned ? machine_utc() : changed_utc;
        known->pending = folder->scanned || !(changed_utc < watcher->since_utc);
    }
    moved = known->size != size || known->changed_utc != changed_utc;
    if (moved) {
        known->again_s = machine_running() + SETTLED_S;
        known->tries = 0;
    }
    known->pending |= moved && !fresh;
    known->size = size;
    known->changed_utc = changed_utc;
    if (known->pending && machine_running() >= known->again_s)
        try_file(watcher, folder, path, known);
    watcher->pending |= known->pending;
}

/* ---- folders ---- */

static int scan(struct watcher *watcher, struct folder *folder, const char *path, int deeper);

static void meet_entry(struct watcher *watcher, struct folder *folder, const char *in,
                       const char *name, int deeper)
{
    char path[PATH_SIZE];
    struct stat status;

    if (*name == '.' || snprintf(path, sizeof path, "%s/%s", in, name) >= (int)sizeof path ||
        lstat(path, &status) != 0)
        return;
    if (S_ISDIR(status.st_mode) && deeper > 0)
        (void)scan(watcher, folder, path, deeper - 1);
    else if (S_ISREG(status.st_mode) && look_is_picture(name))
        meet_file(watcher, folder, path, &status);
}

/* Finds what is new in a folder and those inside it; -1: it cannot be read. */
static int scan(struct watcher *watcher, struct folder *folder, const char *path, int deeper)
{
    DIR *open_folder = opendir(path);
    struct dirent *entry;

    if (!open_folder)
        return -1;
    if (watcher->notices >= 0)
        (void)inotify_add_watch(watcher->notices, path,
                                IN_CREATE | IN_CLOSE_WRITE | IN_MOVED_TO | IN_ONLYDIR);
    while (!watcher->lost && (entry = readdir(open_folder)))
        meet_entry(watcher, folder, path, entry->d_name, deeper);
    (void)closedir(open_folder);
    return 0;
}

static void scan_all(struct watcher *watcher)
{
    watcher->pending = false;
    if (hurried) {
        hurried = 0;
        for (int rig = 0; rig < RIGS; rig++)
            watcher->looked_s[rig] = -INFINITY;
    }
    for (int i = 0; i < watcher->folder_count; i++) {
        struct folder *folder = &watcher->folder[i];
        bool gone = scan(watcher, folder, folder->path, LOOK_DEEP) != 0;

        folder->scanned = !gone;
        if (gone == folder->gone)
            continue;
        folder->gone = gone;
        tell_folder(watcher, folder);
    }
}

/* ---- beginning ---- */

/* A picture of an earlier run of this session. */
static void take_known(void *context, const struct seen *seen, const char *rig_name)
{
    struct watcher *watcher = context;
    bool fresh, raw = seen->metadata.format == PICTURE_RAW;
    int rig = setup_rig(&watcher->setup, rig_name);
    struct known *known = rig >= 0 ? find_known(watcher, seen->file, &fresh) : NULL;

    if (!known)
        return;
    (void)count_file(watcher, known, rig, hash_frame(rig, seen->file, seen->metadata.taken), raw,
                     seen->bytes);
    known->size = seen->bytes;
    known->landed_utc = seen->landed_utc;
}

static void find_folders(struct watcher *watcher)
{
    for (int rig = 0; rig < watcher->setup.rig_count; rig++) {
        const char *path = watcher->setup.rig[rig].pictures;
        int i = 0;

        watcher->looked_s[rig] = -INFINITY;
        while (i < watcher->folder_count && strcmp(watcher->folder[i].path, path) != 0)
            i++;
        if (!*path)
            continue;
        if (i == watcher->folder_count)
            watcher->folder[watcher->folder_count++] = (struct folder){.path = path};
        watcher->folder[i].rigs |= 1u << rig;
    }
}

static int begin_watching(struct watcher *watcher, const char *session, struct fault *fault)
{
    const struct sigaction hurry = {.sa_handler = on_hurry, .sa_flags = SA_RESTART};
    int damaged, file;

    (void)!nice(NICE);
    (void)sigaction(EYE_HURRY, &hurry, NULL);
    if (setup_kept(session, SETUP_WATCHED, &watcher->setup, fault) != 0)
        return -1;
    find_folders(watcher);
    if (pictures_file_read(session, take_known, watcher, &damaged, fault) != 0)
        return -1;
    file = pictures_file_open(session, fault);
    watcher->log = file >= 0 ? fdopen(file, "a") : NULL;
    watcher->notices = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    return 0;
}

/* Until something may be new. The content of a notice is not used. */
static void wait_for_more(struct watcher *watcher)
{
    struct pollfd polled[] = {{.fd = watcher->notices, .events = POLLIN},
                              {.fd = STDOUT_FILENO, .events = 0}};
    double s = watcher->pending ? PENDING_S : EYE_ALIVE_S;
    char notices[4096];

    if (poll(polled, 2, (int)(1000 * s)) > 0 && polled[0].revents) {
        (void)poll(NULL, 0, (int)(1000 * SETTLE_S));
        while (read(watcher->notices, notices, sizeof notices) > 0)
            continue;
    }
    watcher->lost |= polled[1].revents != 0;
}

/* Watches the folders that the setup of a session names, looks at each new picture in the box, writes
 * it into the session and reports it on standard output (struct glance), until that is closed. What
 * was there before the instant is left alone. */
int watcher_command(int argc, char **argv)
{
    static struct watcher watcher;
    struct fault fault = {""};
    double alive_s = -INFINITY;

    watcher = (struct watcher){.notices = -1};
    if (argc != 2)
        return complain_that(EXIT_BAD_INPUT,
                             WATCHER_COMMAND " takes SESSION INSTANT: the dashboard starts it");
    if (parse_instant(argv[1], &watcher.since_utc, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (begin_watching(&watcher, argv[0], &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    if (!watcher.log)
        tell_words(&watcher, PICTURES_FILE, fault.text);
    while (!watcher.lost) {
        scan_all(&watcher);
        if (machine_running() - alive_s >= EYE_ALIVE_S - 1) {
            alive_s = machine_running();
            tell_glance(&watcher, &(struct glance){.kind = GLANCE_ALIVE, .rig = -1});
        }
        wait_for_more(&watcher);
    }
    return EXIT_DONE;
}
