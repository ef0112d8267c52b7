/* Private to the room. */
#ifndef MOONSTAND_STORE_PRIVATE_H
#define MOONSTAND_STORE_PRIVATE_H

#include <moonstand/fault.h>
#include <moonstand/path.h>
#include <moonstand/setup.h>

#include <cjson/cJSON.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/types.h>

struct act;
struct stat;

/* ---- files (file.c) ---- */

/* Opens a file to read, without waiting for the other end of a pipe; -1 with errno. */
int file_open(const char *path);
/* Closes a file or folder; -1: none. */
void file_close(int file);
/* Reads a whole regular file, which it closes, with a '\0' after it; free the bytes. `file` -1:
 * opening failed, with errno. 1 if it does not exist; -1. */
int file_take(int file, const char *path, size_t most, char **bytes, size_t *length,
              struct fault *fault);
/* The same for a file that it opens. */
int file_read(const char *path, size_t most, char **bytes, size_t *length, struct fault *fault);
/* The text after its byte order mark, if it has one. */
const char *text_past_mark(const char *text);
/* Reads from `from` to the file's end, at most `room` bytes. Returns how many, -1 with errno. */
ssize_t file_read_at(int file, char *bytes, size_t room, off_t from);
/* Opens a regular file of a folder (mode 0600 if created), without following a link or waiting for
 * the other end of a pipe. -1 with errno; EINVAL: not a regular file. */
int file_open_at(int folder, const char *name, int flags);
/* Replaces a file atomically and durably: a reader sees the old one or the new one. `old`: the file
 * whose owner and mode to copy; null: it becomes the user's, for nobody else. */
int file_put(const char *path, const char *bytes, size_t length, const struct stat *old,
             struct fault *fault);
/* The same, following a link; makes folders and keeps the old file as PATH.bak, both with its owner
 * and mode. */
int file_replace(const char *path, const char *bytes, size_t length, struct fault *fault);
/* Whether file_replace could succeed, as far as can be seen without writing: 0, or -1 with the
 * reason.
 */
int file_can_replace(const char *path, struct fault *fault);
/* Makes a folder and its parents. */
int folder_make(const char path[PATH_SIZE], struct fault *fault);
/* Makes the entry of a new file or folder durable. */
bool folder_sync_above(const char *path);
/* FOLDER/NAME; -1 if that is too long. */
int path_in(const char *folder, const char *name, char out[PATH_SIZE], struct fault *fault);

/* The horizon of the open sea, instead of a list of points. */
#define HORIZON_OF_SEA "sea"

/* ---- trust in files (own.c) ---- */

enum own_kind {
    OWN_SETUP,   /* a file to read: the user's, and nobody else can change it */
    OWN_PROGRAM, /* root's or the user's, and nobody else can change it; opened with O_PATH */
    OWN_SESSION  /* a folder: root's or the user's */
};
/* Opens the file or folder that a path leads to; -1 with errno. `doubt`: names the first of file,
 * links and all folders above that somebody else could have changed (for OWN_SESSION only: its
 * owner); empty if there is none. Trusted folders are root's or the user's, and not writable by
 * others, or sticky.
 */
int own_open(const char *path, enum own_kind kind, struct fault *doubt);

/* ---- JSON by tables (json.c, json_write.c) ---- */

/* A text to be read. With an empty name, faults have no line and column. */
struct json_file {
    const char *name, *text;
    cJSON *root; /* while it is read */
    struct fault *fault;
    const struct setup *known; /* the setup before a change; may be null */
};

enum field_kind {
    FIELD_NUMBER,  /* double, lowest to highest */
    FIELD_INTEGER, /* int, likewise */
    FIELD_FLAG,    /* bool */
    FIELD_TEXT,    /* char[size], at least `lowest` bytes */
    FIELD_WORDS,   /* a text in a notation of its own, with its own functions */
    FIELD_CHOICE,  /* an enum of `choices` names */
    FIELD_OBJECT,  /* a struct with its own form */
    FIELD_LIST,    /* structs of `size` with their form; an int counts them, lowest to highest */
    FIELD_PAIRS,   /* a list of [number, number], the first rising, with its own functions */
    FIELD_OTHER    /* with its own functions */
};

struct form;
struct field {
    const char *key;
    enum field_kind kind;
    bool required;
    size_t offset, size, count_offset;
    double lowest, highest;
    const char *unit; /* of words, pairs and others: what is expected, in words */
    int choices;
    const char *(*choice)(int value);
    const struct form *form;
    /* Reads words; checks a text, if set. Its fault needs no place. */
    int (*parse)(const char *text, void *place, struct fault *fault);
    int (*read)(const struct json_file *file, const cJSON *node, void *place);
    /* Null: out of memory. A null of JSON: nothing to write. */
    cJSON *(*write)(const void *place);
};

/* The members of an object in a JSON file, and of the struct that it is read into. */
struct form {
    const struct field *field;
    int count;
    size_t size;                  /* of the struct of a whole file */
    void (*prepare)(void *place); /* defaults of a file or a list's element; may be null */
    int (*check)(const struct json_file *file, const cJSON *node, void *place); /* may be null */
    const char *asks; /* of a list's element: the keys that a new one needs, separated by ", " */
};

#define FORM(fields) .field = (fields), .count = (int)(sizeof(fields) / sizeof((fields)[0]))
#define RANGE(least, most, of) .lowest = (least), .highest = (most), .unit = (of)

/* The field of a key; null if the form has none. */
const struct field *form_field(const struct form *form, const char *key, size_t length);
/* What a field accepts, in words: "a number from 1 to 20000 mm". */
enum { FIELD_ALLOWED = 160 };
char *field_allowed(const struct field *field, char out[FIELD_ALLOWED]);

/* The member of an object; null if there is none. */
cJSON *json_member(const cJSON *object, const char *key);
/* Its text, "" if it is none; its instant, NaN if it is none. */
const char *json_text(const cJSON *object, const char *key);
double json_instant(const cJSON *object, const char *key);
/* Reads the whole text; text[length] must be '\0'. On -1 the struct is unchanged. */
int json_read_text(struct json_file *file, size_t length, const struct form *form, void *place);
/* The same for a file, as file_take gets it. */
int json_take_file(int file, const char *path, const struct form *form, void *place,
                   struct fault *fault);
/* Reads a node of it into a struct that has its defaults; on -1 that is half filled. */
int json_read(const struct json_file *file, const struct form *form, const cJSON *node,
              void *place);
/* Sets the fault to a node's line, column, path and the message; returns -1. */
int json_refuse(const struct json_file *file, const cJSON *node, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* The same for a value of the wrong type or out of range: "found X; expected ...". */
int json_refuse_value(const struct json_file *file, const cJSON *node, const char *allowed);

/* Adds an item to an object under a key, or to a list (`key` null), and returns that; null, with both
 * freed, if either is null or memory is out. */
cJSON *json_with(cJSON *parent, const char *key, cJSON *item);
/* The tree of a struct; null if out of memory. */
cJSON *json_write(const struct form *form, const void *place);
/* A number that reads back as the same bits (the library's own printing may not). */
cJSON *json_number(double value);
enum { NUMBER_TEXT = TEXT_INSTANT };
char *format_exact(char out[NUMBER_TEXT], double value);

/* ---- setup (setup_file.c) ---- */

extern const struct form setup_form, forecast_form, theme_form; /* of the whole files */
/* Refuses a text that is no path from the root. */
int check_path(const char *text, void *place, struct fault *fault);
/* Puts the points of a site's horizon file in its object, in place of the file's path or behind it.
 * False: out of memory. */
bool horizon_put_points(cJSON *object, const struct site *site, bool keep_path);
/* Reads a setup from memory; text[length] must be '\0'. `name` is what messages call the file.
 * `known`: a setup that has already read the horizon files, which may be gone; may be null. */
int setup_parse(const char *name, const char *text, size_t length, const struct setup *known,
                struct setup *setup, struct fault *fault);
/* The tree of a whole setup; null if out of memory. */
cJSON *setup_tree(const struct setup *setup);

/* A horizon file is text, at most 64 KiB and 360 points: on each line azimuth (rising from 0 to
 * below 360) and altitude (-10 to 90) in degrees, separated by blanks, tabs, commas or semicolons;
 * # starts a comment. */
int horizon_parse(const char *name, const char *text, struct horizon *horizon, struct fault *fault);
int horizon_read(const char *path, struct horizon *horizon, struct fault *fault);

/* ---- entries of the journal (entry.c) ---- */

enum { ENTRY_LINE = 2560, BOOT_ID = 9 };

/* Writes an act as a line with its newline and returns the length. What is not clean in its text
 * becomes '?'. */
size_t entry_encode(const struct act *act, const char *boot, char line[ENTRY_LINE]);
/* Whether a line (without its newline) is whole: its checksum matches. */
bool entry_is_whole(const char *line, size_t length);
/* Reads a whole line. `boot` gets the boot id; may be null. -1: not an act that this program knows;
 * -2: out of memory. */
int entry_decode(const char *line, size_t length, struct act *act, char boot[BOOT_ID],
                 struct fault *fault);

/* ---- time zones (zone_load.c) ---- */

/* The path of a file of the system's time zones: below $TZDIR if that is absolute. */
void zone_path(const char *name, char out[PATH_SIZE]);
/* 0 if zone_load takes that name. */
int zone_check(const char *name, struct fault *fault);

/* ---- checksum (crc.c) ---- */

/* CRC-32 of IEEE 802.3: polynomial 0x04c11db7, reflected, start and end inverted. */
uint32_t crc32_of(const char *bytes, size_t length);

#endif
