/* Bytes from a terminal, decoded into keys. The terminal is the far end of a pair made here. */
#include "fuzz.h"

#include <fcntl.h>
#include <moonstand/terminal.h>
#include <signal.h>
#include <stdio.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

static int near_end = -1;

static void open_once(void)
{
    struct fault fault;

    near_end = posix_openpt(O_RDWR | O_NOCTTY);
    CLAIM(near_end >= 0 && grantpt(near_end) == 0 && unlockpt(near_end) == 0);
    int far_end = open(ptsname(near_end), O_RDWR | O_NOCTTY);

    CLAIM(far_end >= 0 && dup2(far_end, STDIN_FILENO) == STDIN_FILENO &&
          dup2(far_end, STDOUT_FILENO) == STDOUT_FILENO);
    (void)setenv("TERM", "xterm-256color", 1);
    (void)setenv("ESCDELAY", "1", 1);
    (void)glyph_locale();
    /* The terminal's way back from a crash would hide one from who looks for it. */
    struct sigaction crash[2];

    (void)sigaction(SIGABRT, NULL, &crash[0]);
    (void)sigaction(SIGSEGV, NULL, &crash[1]);
    CLAIM(term_open(&fault) == 0);
    (void)sigaction(SIGABRT, &crash[0], NULL);
    (void)sigaction(SIGSEGV, &crash[1], NULL);
    /* Every byte comes through, none is a signal. */
    struct termios modes;

    CLAIM(tcgetattr(STDIN_FILENO, &modes) == 0);
    modes.c_lflag &= ~(tcflag_t)ISIG;
    CLAIM(tcsetattr(STDIN_FILENO, TCSANOW, &modes) == 0);
    /* The fuzzer looks at its watch by this signal: no end of the program. */
    (void)signal(SIGALRM, SIG_IGN);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* A half character or sequence waits for the rest, in the next input. */
    static size_t bytes, keys;
    int key;

    if (near_end < 0)
        open_once();
    /* No more than a terminal holds without being read. */
    if (size > 1024)
        size = 1024;
    bytes += size;
    CLAIM(write(near_end, data, size) == (ssize_t)size);
    /* The kernel brings them across in its own time. */
    for (int waiting = 0; waiting < (int)size;)
        CLAIM(ioctl(STDIN_FILENO, FIONREAD, &waiting) == 0);
    while ((key = term_key()) != INPUT_NONE) {
        CLAIM(key > 0 && (key < INPUT_UP || key <= INPUT_PASTE_END));
        CLAIM(++keys <= bytes);
    }
    return 0;
}
