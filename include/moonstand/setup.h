/* night: what the user wrote down before the night. */
#ifndef MOONSTAND_SETUP_H
#define MOONSTAND_SETUP_H

#include <moonstand/checklist.h>
#include <moonstand/observer.h>
#include <moonstand/text.h>

enum { SITE_NAME = 64, THEME_NAME = 32, HOST_NAME = 48, FILE_PATH = 256 };
enum { SITES = 8, REMINDERS = 32, COMMAND_WORDS = 16, COMMAND_TEXT = 512 };

struct site {
    char name[SITE_NAME];
    double latitude_deg, longitude_deg, height_m;
    char zone[64];        /* a zone name, or empty for the system's */
    double pressure_hpa;  /* NaN: standard atmosphere at the height */
    double temperature_c; /* NaN: likewise */
    struct horizon horizon;
    char horizon_file[FILE_PATH]; /* that it was read from; empty: it is part of the setup */
    char forecast[FILE_PATH];     /* file with the place's forecast; empty: none */
};

/* A program and its arguments, run as they are, without a shell. */
struct user_command {
    int count;               /* of the words; 0: no command */
    char text[COMMAND_TEXT]; /* the words one after the other, each with its '\0' */
};
/* Adds a word to a command that begins as zeros; false, unchanged, if it has no room for it. */
bool command_add(struct user_command *command, const char *word);

/* Where temperature and humidity are read from: a file, a command, or (both empty) nothing. */
struct air_sensor {
    char file[FILE_PATH];
    struct user_command command;
    double every_s;
};

/* Events for which a user's command can run. */
enum hook_event {
    HOOK_CONTACT, /* a contact, greatest or a moonrise or moonset has come */
    HOOK_ALARM,   /* the Moon met the margin of a rig */
    HOOK_WARNING, /* it will soon */
    HOOK_MISSED,  /* something was due while nobody watched */
    HOOK_SWAP,    /* a battery is due */
    HOOK_AIR,     /* the margin of a glass is gone, and it was not noted as dry or heated */
    HOOK_SAY,     /* lines to be spoken, on its standard input */
    HOOKS
};
/* "contact", "alarm", "warning", "missed", "swap", "air", "say". */
const char *hook_event_name(enum hook_event event);

/* Whether what a setup names may be run: it came from a file that nobody but the user can change. */
enum { SETUP_DOUBT = 160 };
struct trust {
    bool may_run;
    char doubt[SETUP_DOUBT]; /* why not: which file or folder is at fault */
};
/* What takes the hands a known time. */
enum hands_kind {
    HANDS_AIM,
    HANDS_BATTERY,
    HANDS_CARD,
    HANDS_EXPOSURE,
    HANDS_WALK, /* from one rig to the next */
    HANDS_KINDS
};
/* Defaults, s: 20, 60, 30, 10, 5, with gloves on: common practice, no source. */
double hands_duration_s(enum hands_kind kind);

struct setup {
    bool has_site;
    struct site site; /* the active one */
    int site_count, rig_count, reminder_count;
    struct rig rig[RIGS];
    enum shadow_rule rule;
    char theme[THEME_NAME];
    enum hours hours;          /* of local time, for people; a key swaps it on the screen */
    enum units units;          /* of the air, likewise */
    double danjon;             /* state of the air assumed at the start, 0 to 4 */
    double extinction_mag;     /* zenith extinction of the user's own; NaN: the table's */
    double glass_cooling_c;    /* of the front lens below air */
    char gpsd_host[HOST_NAME]; /* numeric loopback address; empty: no gpsd */
    int gpsd_port;
    double hands_s[HANDS_KINDS]; /* what each act takes */
    int people;                  /* whose hands serve the rigs: 1 or 2 */
    struct air_sensor air;
    struct user_command hook[HOOKS];
    double look_every_s; /* so often at most the Moon is looked for in the pictures of a rig */
    bool keep_awake;     /* the laptop, through a live night */
    struct trust trust;

    /* lists: the larger part of it, and mostly empty */
    struct site sites[SITES]; /* to choose from, by name */
    struct check_item reminder[REMINDERS];
    struct checklist checklist; /* the reminders at its end */
};
/* Copies it, of its lists what is in them: the rest of their pages is not touched. */
void setup_copy(struct setup *to, const struct setup *from);
/* A site of the list; null where it has none of that name. */
const struct site *setup_site(const struct setup *setup, const char *name);
/* The first rig of that name; -1: none. */
int setup_rig(const struct setup *setup, const char *name);

/* The rig of that index, 0 to RIGS - 1, without a setup: a wide and a long lens on tripods, and a
 * telescope on a mount at lunar rate. */
void rig_built_in(int index, struct rig *rig);

/* No site, the three built-in rigs, the default checklist, rule danjon, theme red, L 3, gpsd on
 * 127.0.0.1:2947, no sensor, no hooks, hands as hands_duration_s() has them. */
void setup_default(struct setup *setup);

/* One line of a setup as it is looked at and edited: a value, or a way to more lines. */
enum {
    ROW_PATH = 96,
    ROW_LABEL = 40,
    ROW_ALLOWED = 160,
    ROW_TRAIL = 160, /* of a path in words */
    SETUP_ROWS = CHECK_ITEMS + 1
};
enum row_kind {
    ROW_VALUE,
    ROW_FOLDER, /* has lines below it */
    ROW_MORE    /* one more entry of a list is made here */
};
struct setup_row {
    enum row_kind kind;
    bool entry;            /* of a list: it can be taken out */
    char path[ROW_PATH];   /* "rigs[1].focal_mm" */
    char label[ROW_LABEL]; /* in words, or an entry's number from 1 on */
    char value[FILE_PATH]; /* as it is typed; empty: left out */
    const char *unit;      /* of the value; empty: none */
    const char *why;       /* what depends on it; empty: an entry */
    char allowed[ROW_ALLOWED]; /* such as "18 to 20000" */
};

#endif
