/* Bytes on their way to a terminal that may not be reading. */
#include <moonstand/instant.h>
#include <moonstand/outlet.h>

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

void outlet_open(struct outlet *outlet, int fd)
{
    char name[32];

    *outlet = (struct outlet){.shared = false};
    (void)snprintf(name, sizeof name, "/proc/self/fd/%d", fd);
    outlet->fd = open(name, O_WRONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (outlet->fd >= 0)
        return;
    /* Somebody else's terminal, as after su. */
    outlet->shared = true;
    outlet->fd = fd;
}

void outlet_close(struct outlet *outlet)
{
    if (!outlet->shared && outlet->fd >= 0)
        (void)close(outlet->fd);
    free(outlet->bytes);
    *outlet = (struct outlet){.fd = -1};
}

/* Writes without waiting; only async-signal-safe calls. A description that is shared with the shell
 * is non-blocking no longer than the call. */
static ssize_t write_now(const struct outlet *outlet, const char *bytes, size_t size)
{
    int flags = outlet->shared ? fcntl(outlet->fd, F_GETFL) : -1, error;
    ssize_t written;

    if (flags >= 0)
        (void)fcntl(outlet->fd, F_SETFL, flags | O_NONBLOCK);
    do
        written = write(outlet->fd, bytes, size);
    while (written < 0 && errno == EINTR);
    error = errno;
    if (flags >= 0)
        (void)fcntl(outlet->fd, F_SETFL, flags);
    errno = error;
    return written;
}

size_t outlet_waiting(const struct outlet *outlet)
{
    return outlet->length - outlet->sent;
}

int outlet_add(struct outlet *outlet, const char *bytes, size_t size)
{
    enum { LEAST = 4096 };

    while (outlet->room - outlet->length < size) {
        size_t room = outlet->room ? 2 * outlet->room : LEAST;
        char *grown = room > OUTLET_MOST ? NULL : realloc(outlet->bytes, room);

        if (!grown)
            return -1;
        outlet->bytes = grown;
        outlet->room = room;
    }
    memcpy(outlet->bytes + outlet->length, bytes, size);
    outlet->length += size;
    return 0;
}

void outlet_forget(struct outlet *outlet)
{
    outlet->length = outlet->sent = 0;
}

int outlet_send(struct outlet *outlet)
{
    outlet->stuck = false;
    while (outlet_waiting(outlet) > 0) {
        ssize_t written = write_now(outlet, outlet->bytes + outlet->sent, outlet_waiting(outlet));
        if (written < 0 && errno != EAGAIN)
            return -1;
        if (written <= 0)
            return 0;
        outlet->sent += (size_t)written;
    }
    outlet->length = outlet->sent = 0;
    return 0;
}

int outlet_on_writable(struct outlet *outlet)
{
    size_t before = outlet_waiting(outlet);
    int result = outlet_send(outlet);

    outlet->stuck = outlet_waiting(outlet) == before;
    return result;
}

int outlet_poll_fd(const struct outlet *outlet)
{
    return outlet_waiting(outlet) > 0 && !outlet->stuck ? outlet->fd : -1;
}

double outlet_now_s(void)
{
    struct timespec now;

    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return seconds_of(now);
}

bool outlet_drain(struct outlet *outlet, double seconds)
{
    double until = outlet_now_s() + seconds;
    struct pollfd out = {.fd = outlet->fd, .events = POLLOUT};

    for (;;) {
        double left = until - outlet_now_s();

        if (outlet_send(outlet) < 0)
            return false;
        if (outlet_waiting(outlet) == 0)
            return true;
        if (left <= 0)
            return false;
        (void)poll(&out, 1, (int)(left * 1000) + 1);
    }
}

void outlet_force(const struct outlet *outlet, const char *bytes, size_t size)
{
    ssize_t written = write_now(outlet, bytes, size);

    if (written == (ssize_t)size)
        return;
    /* What nobody has read yet makes room. */
    (void)tcflush(outlet->fd, TCOFLUSH);
    if (written > 0) {
        bytes += written;
        size -= (size_t)written;
    }
    (void)!write_now(outlet, bytes, size);
}
