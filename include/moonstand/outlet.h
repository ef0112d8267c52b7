/* screen: bytes for a terminal that may not be reading. */
#ifndef MOONSTAND_OUTLET_H
#define MOONSTAND_OUTLET_H

#include <stdbool.h>
#include <stddef.h>

/* A queue before a terminal that may not be reading. Nothing here waits, but for outlet_drain. The
 * terminal is opened again where that can be: non-blocking is a property of the open description,
 * and the first one belongs to the shell as well. */
enum { OUTLET_MOST = 1 << 24 };
struct outlet {
    int fd;
    bool shared; /* could not be opened again: non-blocking for each write alone */
    bool stuck;  /* reported ready, but took no bytes: not polled until the next outlet_send */
    char *bytes; /* owned; those from `sent` to `length` wait */
    size_t sent, length, room;
};
/* Begins a queue before the terminal on `fd`, which must stay open. */
void outlet_open(struct outlet *outlet, int fd);
/* Drops what waits; harmless if zeroed with an fd of -1. */
void outlet_close(struct outlet *outlet);
/* Puts bytes at the end. -1 if memory or OUTLET_MOST (bytes) is exceeded: nothing is then added. */
int outlet_add(struct outlet *outlet, const char *bytes, size_t size);
/* Drops what waits. */
void outlet_forget(struct outlet *outlet);
size_t outlet_waiting(const struct outlet *outlet);
/* Writes what the terminal takes now. -1 if it is gone. */
int outlet_send(struct outlet *outlet);
/* The descriptor to poll for POLLOUT; -1: nothing waits. */
int outlet_poll_fd(const struct outlet *outlet);
/* After POLLOUT: as outlet_send. */
int outlet_on_writable(struct outlet *outlet);
/* Seconds that the machine has run: by them terminals are waited for. */
double outlet_now_s(void);
/* Waits up to `seconds` until all is written; false if it is not. */
bool outlet_drain(struct outlet *outlet, double seconds);
/* Writes a few bytes past the queue; if the terminal takes none, what it has not read yet is
 * discarded. Async-signal-safe. */
void outlet_force(const struct outlet *outlet, const char *bytes, size_t size);

#endif
