/* devices: what the laptop and what hangs on it have to say, written into `struct readings`.
 *
 * All are driven alike; no device waits, sleeps or looks at a clock by itself:
 *   X_fd             descriptor to poll for reading; -1 none now; may change with every call below;
 *                    a device without this function never has one
 *   X_on_readable    call it when poll reports anything for that descriptor, errors included
 *   X_next_deadline  when X_on_deadline wants to be called; INFINITY: no wish
 *   X_on_deadline    does nothing before the deadline: a loop that calls it every second, as the
 *                    live screen's does, need not ask for that
 *   X_fill           the device's part of the readings as it stands
 * `boot_s` and deadlines are seconds of CLOCK_BOOTTIME, which runs on while the laptop sleeps.
 */
#ifndef MOONSTAND_DEVICES_H
#define MOONSTAND_DEVICES_H

#include <moonstand/night.h>

/* ---- GPS: a gpsd on this machine ---- */

struct gps_device;

/* `host`: a numeric loopback address (127.x.x.x or ::1), or empty for no GPS at all; `port`: 1 to
 * 65535. Names and other addresses are refused: they could make the loop wait. Nothing is opened
 * yet. Returns null with a fault where the address is refused or memory is out. */
struct gps_device *gps_device_new(const char *host, int port, struct fault *fault);
/* Closes the connection; null is allowed. */
void gps_device_free(struct gps_device *gps);

/* gpsd may be absent, fall silent, die and come back: the device reconnects after 1, 2, 5, 10, then
 * every 30 s, and from 1 s again once a report has come. */
int gps_device_fd(const struct gps_device *gps);
void gps_device_on_readable(struct gps_device *gps, double boot_s);
double gps_device_next_deadline(const struct gps_device *gps);
void gps_device_on_deadline(struct gps_device *gps, double boot_s);

/* Writes readings->gps. `utc` and `boot_s`: the machine's own wall clock (not a rehearsal's) and
 * boot clock at the same instant.
 *   - Place and height are the median of the last 20 fixes, held still until that median has gone
 *     10 m sideways or 20 m in height (0.3 arcsec of the sky): a site does not follow the jitter.
 *   - A fix is kept for 60 s, with its age, then forgotten; so is the count of satellites.
 *   - error_m is gpsd's estimate for the last fix; receivers do not agree on its confidence.
 *   - clock_offset_s is the median over the last fixes, from five on, and clock_spread_s their
 *     interquartile range. A report arrives some tenths of a second after its instant and the
 *     offset is too large by that; a receiver fresh from the cold may be off by whole leap seconds
 *     for its first quarter of an hour. Setting the wall clock shows at once. */
void gps_device_fill(const struct gps_device *gps, double utc, double boot_s,
                     struct readings *readings);

/* ---- the laptop's battery ---- */

#define BATTERY_ROOT "/sys/class/power_supply"

/* The public face of the kernel's power supplies: read once a minute, left alone in between. */
struct battery_device {
    char root[256];
    double due_s;
    double percent, left_s; /* NaN: unknown */
    bool discharging;
};

/* `root`: folder with one folder per supply, BATTERY_ROOT but for tests. */
void battery_open(struct battery_device *battery, const char *root);
double battery_next_deadline(const struct battery_device *battery);
void battery_on_deadline(struct battery_device *battery, double boot_s);
/* Writes battery_percent, battery_left_s and battery_discharging. Several batteries count as one;
 * where one of them cannot be read, the sum is unknown. battery_left_s is the charge left over the
 * present draw; unknown on mains and where the kernel tells no draw. Batteries of mice and the like
 * do not count. */
void battery_fill(const struct battery_device *battery, struct readings *readings);

/* ---- the kernel's word on its clock ---- */

struct kernel_clock {
    double due_s;
    int synchronised; /* 1 yes, 0 no, -1 unknown */
    double error_s;   /* NaN: unknown */
};

void kernel_clock_open(struct kernel_clock *clock);
double kernel_clock_next_deadline(const struct kernel_clock *clock);
/* Asks the kernel (adjtimex), once a minute. */
void kernel_clock_on_deadline(struct kernel_clock *clock, double boot_s);
/* Writes clock_synchronised and clock_error_s. The error is unknown while the clock is not
 * synchronised, and where whoever keeps it in step tells the kernel none (zero). */
void kernel_clock_fill(const struct kernel_clock *clock, struct readings *readings);

/* ---- programs of the user's ---- */

/* Whatever is run is given this long; then it is killed with all that it has started. So is what it
 * leaves behind when it ends. */
#define COMMAND_LIMIT_S 10.0

/* A program that runs beside the loop; zeroed: none does. */
struct child {
    int pid; /* 0: not running */
    int fd;  /* its output; meaningful while it runs, -1 closed */
    double until_s;
    bool late;  /* it was killed */
    int status; /* as waitpid tells */
};

/* ---- keeping the laptop awake ---- */

#define KEEP_AWAKE_PROGRAM "systemd-inhibit"

/* A lock against sleep, idling and the lid's switch, held by KEEP_AWAKE_PROGRAM; it ends with this
 * program, also if that is killed. */
struct keep_awake {
    struct child child;
    enum awake state;
    double due_s; /* when to try; INFINITY: not wanted */
};
void keep_awake_open(struct keep_awake *keep, bool wanted);
void keep_awake_close(struct keep_awake *keep);
/* Starts the program, looks whether it holds the lock, and tries again if it has ended; once a
 * second, never waits. -1 with a fault each time that it is refused. */
int keep_awake_on_deadline(struct keep_awake *keep, double boot_s, struct fault *fault);
/* Writes awake. */
void keep_awake_fill(const struct keep_awake *keep, struct readings *readings);

/* ---- temperature and humidity: a file or a command of the user's ---- */

enum { SENSOR_OUTPUT = 128 };
struct sensor {
    struct air_sensor source;
    char forbidden[READINGS_TROUBLE]; /* why a command is not run; empty: it may be */
    double due_s;
    bool running;
    struct child child;
    char output[SENSOR_OUTPUT]; /* the file's text, or what the command has printed so far */
    size_t length;
    double read_s; /* when the last good reading was true; NaN: none yet */
    double temperature_c, humidity_percent;
    char trouble[READINGS_TROUBLE]; /* of the last try; empty: good */
};

/* What it says must be two numbers, the temperature (-45 to 60 C) and the relative humidity (1 to
 * 100 %), and nothing else; anything else (junk, NaN, too much, a command that fails or hangs) is
 * refused with a message, and the last good reading grows old. A file counts from when it was last
 * written; one older than AIR_FRESH_S is refused. `forbidden`: why a command is not to be run,
 * which the trouble then says; empty: it may run. */
void sensor_open(struct sensor *sensor, const struct air_sensor *source, const char *forbidden);
void sensor_close(struct sensor *sensor);
int sensor_fd(const struct sensor *sensor);
void sensor_on_readable(struct sensor *sensor);
double sensor_next_deadline(const struct sensor *sensor);
/* `utc`: the machine's own wall clock. To be called once a second while a command runs. */
void sensor_on_deadline(struct sensor *sensor, double utc, double boot_s);
/* Writes air_age_s, temperature_c, humidity_percent and air_trouble. */
void sensor_fill(const struct sensor *sensor, double boot_s, struct readings *readings);

/* ---- a memory card that is mounted on this machine ---- */

struct card_device {
    char path[CARD_PATH];
    char own[CARD_PATH]; /* a folder on the machine's own disk */
    double due_s;
    int pid;           /* of the process that asks; 0: none */
    int answer;        /* where it says what it has found */
    double asked_s;    /* since when */
    bool known;        /* it has answered, or has not for too long */
    double free_bytes; /* NaN: no card there */
};

/* Free space at `path`, asked every ten seconds; empty: nothing to ask. A path that lies on the
 * root's filesystem or on that of `own` is no card: the place is there, but nothing is mounted. The
 * question is put by a process of its own, so that a file system that hangs holds nobody up; a card
 * that has not answered for five seconds counts as absent until it does. */
void card_open(struct card_device *card, const char *path, const char *own);
void card_close(struct card_device *card);
double card_next_deadline(const struct card_device *card);
/* To be called once a second, also before the deadline: takes an answer that came late. */
void card_on_deadline(struct card_device *card, double boot_s);
/* Writes card_free_bytes and card_absent of a rig. */
void card_fill(const struct card_device *card, int rig, struct readings *readings);

/* ---- hooks ---- */

/* What a hook is told, in its environment. */
struct hook_facts {
    enum hook_event event; /* MOONSTAND_EVENT: its name */
    double utc;            /* MOONSTAND_AT: the instant, of the night's clock, ISO 8601 UTC */
    const char *what;      /* MOONSTAND_WHAT: for people: "U2", "re-aim of long" */
    const char *rig;       /* MOONSTAND_RIG: its name, or empty */
    bool rehearsal;        /* MOONSTAND_REHEARSAL: 1 or 0 */
};

enum { HOOKS_RUNNING = 8 };
struct hooks {
    struct child child[HOOKS_RUNNING];
};

/* Runs a command, with nothing of it on the screen. -1 with a fault where it cannot be run, or too
 * many of them still do. */
int hooks_run(struct hooks *hooks, const struct user_command *command,
              const struct hook_facts *facts, double boot_s, struct fault *fault);
double hooks_next_deadline(const struct hooks *hooks);
void hooks_on_deadline(struct hooks *hooks, double boot_s);
void hooks_close(struct hooks *hooks);

#endif
