/* devices: programs of the user's that run beside the loop. */
#ifndef MOONSTAND_PROGRAM_H
#define MOONSTAND_PROGRAM_H

#include <stdbool.h>

/* Whatever is run is given this long; then it is killed with all that it has started. So is what it
 * leaves behind when it ends. */
#define COMMAND_LIMIT_S 10.0

/* A program that runs beside the loop; zeroed: none does. */
struct child {
    int pid; /* 0: not running */
    int fd;  /* its output; meaningful while it runs, -1 closed */
    double until_s;
    bool late;  /* it was killed */
    int status; /* as waitpid gives it */
};

/* Undoes, in a child, what the loop has changed of the signals; false if it cannot. */
bool signals_reset(void);

#endif
