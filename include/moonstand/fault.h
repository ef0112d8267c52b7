/* base: errors for the user. */
#ifndef MOONSTAND_FAULT_H
#define MOONSTAND_FAULT_H

/* A message for the user: where, what was found, what is expected. Empty text: no error. */
struct fault {
    char text[512];
};

/* Writes the message (cut at the buffer's end, cleaned by text_clean) and returns -1, so that a
 * caller can `return fault_set(...)`. If `fault` is null, only returns -1. */
int fault_set(struct fault *fault, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
