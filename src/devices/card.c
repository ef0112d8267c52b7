#include <fcntl.h>
#include <math.h>
#include <moonstand/card.h>
#include <moonstand/readings.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/wait.h>
#include <unistd.h>

static const double card_interval_s = 10;
static const double patience_s = 5;
/* Nearly every answer comes within a millisecond; later ones are taken at a later tick. */
enum { WAIT_MS = 20 };

static bool is_same_filesystem(const struct stat *place, const char *other)
{
    struct stat status;

    return stat(other, &status) == 0 && status.st_dev == place->st_dev;
}

/* NaN if nothing is mounted there. */
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
    *card = (struct card_device){
        .due_s = *path ? -INFINITY : INFINITY, .answer = -1, .free_bytes = NAN};
    (void)snprintf(card->path, sizeof card->path, "%s", path);
    (void)snprintf(card->own, sizeof card->own, "%s", own);
}

/* Does not wait: a child that hangs in the kernel ends only when the file system lets go. */
void card_close(struct card_device *card)
{
    if (card->pid > 0) {
        (void)kill(card->pid, SIGKILL);
        (void)close(card->answer);
        (void)waitpid(card->pid, NULL, WNOHANG);
    }
    card->pid = 0;
}

/* Starts the child, which makes only async-signal-safe calls. On failure the last answer stays. */
static void ask(struct card_device *card, double boot_s)
{
    int ends[2];
    pid_t parent = getpid();

    if (pipe2(ends, O_CLOEXEC) != 0)
        return;
    card->pid = fork();
    if (card->pid == 0) {
        (void)prctl(PR_SET_PDEATHSIG, SIGKILL);
        double found = getppid() == parent ? free_bytes(card->path, card->own) : NAN;
        (void)!write(ends[1], &found, sizeof found);
        _exit(EXIT_SUCCESS);
    }
    (void)close(ends[1]);
    if (card->pid > 0) {
        card->answer = ends[0];
        card->asked_s = boot_s;
    } else {
        card->pid = 0;
        (void)close(ends[0]);
    }
}

/* Takes the answer if it is there. */
static void hear(struct card_device *card, double boot_s)
{
    struct pollfd wait = {.fd = card->answer, .events = POLLIN};
    double found;

    if (poll(&wait, 1, boot_s > card->asked_s ? 0 : WAIT_MS) == 1) {
        if (read(card->answer, &found, sizeof found) == (ssize_t)sizeof found) {
            card->free_bytes = found;
            card->known = true;
        }
        (void)close(card->answer);
        (void)waitpid(card->pid, NULL, 0); /* it has written, or ended */
        card->pid = 0;
    } else if (boot_s - card->asked_s >= patience_s) {
        card->free_bytes = NAN;
        card->known = true;
        (void)kill(card->pid, SIGKILL); /* takes effect when the file system lets go */
    }
}

void card_tick(struct card_device *card, double boot_s)
{
    if (card->pid > 0)
        hear(card, boot_s);
    if (boot_s < card->due_s)
        return;
    card->due_s = boot_s + card_interval_s;
    if (card->pid > 0)
        return; /* the last one still hangs */
    ask(card, boot_s);
    if (card->pid > 0)
        hear(card, boot_s);
}

void card_fill(const struct card_device *card, int rig, struct readings *readings)
{
    readings->card_free_bytes[rig] = card->free_bytes;
    readings->card_absent[rig] = card->known && isnan(card->free_bytes);
}
