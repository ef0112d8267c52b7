/* Private to app: commands, options, the clock that everything gets its time from. */
#ifndef MOONSTAND_APP_H
#define MOONSTAND_APP_H

#include <moonstand/fault.h>
#include <moonstand/night.h>

#define MOONSTAND_VERSION "0.1"

/* Exit status of every command. */
enum { EXIT_DONE = 0, EXIT_NOTHING = 1, EXIT_BAD_INPUT = 2, EXIT_MACHINE = 3 };

/* ---- clock ---- */

/* Where the time comes from: the machine's clocks, or a shifted one for a rehearsal or a test. */
struct clock {
    double (*utc)(const struct clock *clock);  /* wall time, seconds of UTC since 1970 */
    double (*boot)(const struct clock *clock); /* seconds since boot, also through suspend */
    double ahead_s;                            /* of the machine's, at the machine's pace */
    double utc_at_start, boot_at_start;        /* of a faster clock */
    double speed; /* seconds shown per second lived; 1 for the machine's */
};
void clock_machine(struct clock *clock);
/* Shows `utc` now (to half a second, where its seconds are to be the machine's) and runs `speed`
 * times as fast. */
void clock_shifted(struct clock *clock, double utc, double speed);
/* Puts such a clock forward. */
void clock_forward(struct clock *clock, double by_s);

/* ---- options ---- */

/* Every option of every command; what a command does not take is refused before it runs. */
struct options {
    const char *setup_path, *eclipse, *from, *to, *at, *theme, *session, *against, *canvas, *shadow,
        *kind, *rig;
    bool has_site;
    double latitude_deg, longitude_deg, height_m;
    bool has_speed;
    double speed;
    bool has_temperature, has_humidity;
    double temperature_c, humidity_percent;
    bool json, plain, ascii, demo, hooks, csv, calendar, pictures;
    char **operands; /* files, of a command that takes FILE; they are moved to the front of argv */
    int operand_count;
};

/* Reads the options after the command's name. Returns 0; -1 with a fault. `allowed` lists the long
 * names that the command takes, separated by spaces, FILE among them if it takes files; `--help`
 * sets *help. */
int options_read(int argc, char **argv, const char *allowed, struct options *options, bool *help,
                 struct fault *fault);

/* ---- what commands share ---- */

/* Reads options; false if the command is then already over: *status says how. */
bool begin_command(int argc, char **argv, const char *allowed, const char *help_text,
                   struct options *options, int *status);

/* The setup in force: --setup, else the user's file, else the built-in one; --site laid over it. */
int load_setup(const struct options *options, struct setup *setup, struct fault *fault);
/* The eclipse asked for by --eclipse; else the one whose night it is (eclipse_tonight); else the next
 * umbral one that is up from the site. Returns the exit status; other than EXIT_DONE with a fault.
 */
int choose_eclipse(const struct options *options, const struct setup *setup, double utc,
                   struct eclipse *eclipse, struct fault *fault);
/* Opens the night of an eclipse, with local time loaded for the site. */
int open_night(const struct setup *setup, const struct eclipse *eclipse, bool rehearsal,
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
/* Asks for site and rigs on standard output and input and writes the setup file; the exit status.
 */
int ask_setup(const char *path);
/* A night of our own scenario for the first look. */
void demo_setup(struct setup *setup);
#define DEMO_SITE "Hare Ridge hut (invented)"
#define DEMO_ECLIPSE_DAY "2028-12-31"

/* ---- commands: each returns the exit status ---- */

int command_nights(int argc, char **argv);
int command_now(int argc, char **argv);
int command_plan(int argc, char **argv);
int command_air(int argc, char **argv);
int command_sites(int argc, char **argv);
int command_look(int argc, char **argv);
int command_setup(int argc, char **argv);
int command_report(int argc, char **argv);
int command_sessions(int argc, char **argv);
int command_dashboard(int argc, char **argv);
int command_rehearse(int argc, char **argv);

/* Prints "moonstand: text" on standard error and returns the status. */
int complain(int status, const struct fault *fault);

#endif
