/* base: an error for the user: where, what was found, what is expected. */
#ifndef MOONSTAND_FAULT_H
#define MOONSTAND_FAULT_H

/* One message for the user: where, what was found, what is allowed. Empty text: no error. */
struct fault {
    char text[512];
};

/* Writes the message (cut at the buffer's end) and returns -1, so that a caller can
 * `return fault_set(...)`. What it quotes cannot steer a terminal: it is cleaned (text_clean). A
 * null `fault` is allowed: only the -1 remains. */
int fault_set(struct fault *fault, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
