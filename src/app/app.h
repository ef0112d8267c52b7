/* Private to app: the commands, what they share, the clock that everything gets its time from. */
#ifndef MOONSTAND_APP_H
#define MOONSTAND_APP_H

#include "options.h"

#include <moonstand/night.h>
#include <moonstand/path.h>

#define MOONSTAND_VERSION "0.1"

/* ---- clock ---- */

/* Where the time comes from: the machine's clocks, or a shifted one for a rehearsal or a test. */
struct clock {
    double (*utc)(const struct clock *clock);  /* wall time, seconds of UTC since 1970 */
    double (*boot)(const struct clock *clock); /* seconds since boot, also through suspend */
    double speed;   /* seconds shown per second lived; 1 for the machine's */
    double ahead_s; /* of the machine's wall clock, or of so many times its boot clock */
};
void clock_machine(struct clock *clock);
/* The machine's own: devices, pictures and commands live by them also in a rehearsal. */
double machine_utc(void);
double machine_boot(void);
/* Seconds that the machine has run, without suspend; no setting of the clock moves it. */
double machine_running(void);
/* Shows `utc` now (to half a second, where its seconds are to be the machine's) and runs `speed`
 * times as fast. */
void clock_shifted(struct clock *clock, double utc, double speed);
/* Puts such a clock forward. */
void clock_forward(struct clock *clock, double by_s);

/* ---- what commands share ---- */

/* The setup file: --setup, else the user's; null with a fault if there is no home to have it in. */
const char *setup_file(const struct options *options, char usual[PATH_SIZE], struct fault *fault);
/* Reads it. 1 if the user has none; -1 with a fault if it is refused, or --setup names none. */
int read_setup(const struct options *options, struct setup *setup, struct fault *fault);
/* The setup in force: that of the file, else the built-in one; --site laid over it. */
int load_setup(const struct options *options, struct setup *setup, struct fault *fault);
/* Sets *rig to the one of --rig, or to -1 without that option. -1 with a fault, which says whose the
 * setup is, if it has none of that name. */
int find_rig(const struct options *options, const struct setup *setup, const char *whose, int *rig,
             struct fault *fault);
/* The eclipse asked for by --eclipse; else the one whose night it is (eclipse_tonight); else the next
 * umbral one that is up from the site; behind the last of them, if `any` will do, whatever comes.
 * Returns the exit status; other than EXIT_DONE is complained of. */
int choose_eclipse(const struct options *options, const struct setup *setup, double utc, bool any,
                   struct eclipse *eclipse);
/* Opens the night of an eclipse, with local time loaded for the site: of the years around `utc` and
 * the eclipse, which takes a tenth of the time, or with NaN of all years. */
int open_night(const struct setup *setup, const struct eclipse *eclipse, bool rehearsal, double utc,
               struct night *night, struct fault *fault);
/* The exit status of a print: one that failed is the machine's fault (a full disk, a closed pipe).
 */
int printed(int result);
/* Reads the forecast that the night's site names, if any. -1 with a fault where it is refused or
 * not there: the night then keeps the one that it has. */
int load_forecast(struct night *night, struct fault *fault);
/* Opens the night of an eclipse and prints its moment at `utc` as text, JSON or a canvas, as the
 * options say; the exit status. */
int print_night(const struct options *options, const struct setup *setup,
                const struct eclipse *eclipse, bool rehearsal, double utc);
/* The path of the program's own file; null if the system does not tell. */
const char *program_path(char out[PATH_SIZE]);
/* Asks for site and rigs on standard output and input and writes the setup file; the exit status.
 */
int ask_setup(const char *path);
/* A night of our own scenario for the first look. */
void demo_setup(struct setup *setup);
#define DEMO_SITE "Hare Ridge hut (invented)"
#define DEMO_ECLIPSE_DAY "2028-12-31"

/* ---- commands: each returns the exit status ---- */

/* Reads the words after its name and runs it, or prints its help. */
int command_run(const struct command_row *command, int argc, char **argv);

int command_nights(struct options *options);
int command_now(struct options *options);
int command_plan(struct options *options);
int command_air(struct options *options);
int command_sites(struct options *options);
int command_look(struct options *options);
int command_setup(struct options *options);
int command_report(struct options *options);
int command_sessions(struct options *options);
int command_dashboard(struct options *options);
int command_rehearse(struct options *options);
int command_help(struct options *options);

/* An answer: a line of standard input without its newline; what has no room is dropped. False, with
 * an empty line, at the end of the input. */
bool read_line(char *line, size_t size);
/* Prints "moonstand: text" on standard error and returns the status. */
int complain(int status, const struct fault *fault);
int complain_that(int status, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Names a file or folder that is left out and why, likewise, and counts it. */
void complain_of_file(const char *path, const char *what, size_t *bad);

#endif
