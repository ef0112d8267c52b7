/* Private to the room: files as a whole, JSON by tables. */
#ifndef MOONSTAND_STORE_PRIVATE_H
#define MOONSTAND_STORE_PRIVATE_H

#include <moonstand/fault.h>
#include <moonstand/setup.h>

#include <cjson/cJSON.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/types.h>

/* ---- files (file.c) ---- */

/* The whole regular file and a '\0' after it, to be freed. 0; 1 where it does not exist; -1. */
int file_read(const char *path, size_t most, char **bytes, size_t *length, struct fault *fault);
/* The same of text: a byte order mark before it is left out. */
int file_read_text(const char *path, size_t most, char **text, size_t *length, struct fault *fault);
/* Reads from `from` to the file's end or to `room` bytes; how many, -1 with errno. */
ssize_t file_read_at(int file, char *bytes, size_t room, off_t from);
/* Opens a regular file of a folder (mode 0600 if it is made), never one that a link leads to, and
 * never waits for the other end of a pipe. -1 with errno; EINVAL: not a regular file. */
int file_open_at(int folder, const char *name, int flags);
/* Writes a new file beside `path` and lets it take its place, durably. */
int file_put(const char *path, const char *bytes, size_t length, struct fault *fault);
/* The same, also where a link leads; folders are made, the old one stays as PATH.bak, and both have
 * its owner and mode. */
int file_replace(const char *path, const char *bytes, size_t length, struct fault *fault);
/* Whether it could, as far as can be told without writing: 0, -1 with the reason. */
int file_can_replace(const char *path, struct fault *fault);
/* Makes a folder and those above it. */
int folder_make(const char *path, struct fault *fault);
/* Reads and closes a regular file that has been opened (-1: that failed, with errno): as
 * file_read_text. */
int file_take_text(int file, const char *path, size_t most, char **text, size_t *length,
                   struct fault *fault);
/* Makes the entry of a new file or folder durable. */
bool folder_sync_above(const char *path);

/* What stands for the horizon of the open sea in the place of a list of points. */
#define HORIZON_OF_SEA "sea"

/* ---- whose files they are (own.c) ---- */

enum own_kind {
    OWN_SETUP,   /* a file to read: the user's, and nobody else can change it */
    OWN_PROGRAM, /* root's or the user's, and nobody else can change it; opened as a place only */
    OWN_SESSION  /* a folder: root's or the user's */
};
/* Opens the file or folder that a path leads to; -1 with errno. `doubt`: names whom of file, links
 * and all folders above somebody else could have changed (but for OWN_SESSION: whose he is); empty
 * if none. Folders are root's or the user's, and others cannot write in them or are held back by
 * the sticky bit. */
int own_open(const char *path, enum own_kind kind, struct fault *doubt);

/* ---- JSON by tables (json.c, json_write.c) ---- */

struct json_file {
    const char *name, *text;
    cJSON *root;
    struct fault *fault;
    const struct setup *known; /* of a setup that is changed: the one before; may be null */
};

enum field_kind {
    FIELD_NUMBER,  /* double, lowest to highest */
    FIELD_INTEGER, /* int, likewise */
    FIELD_FLAG,    /* bool */
    FIELD_TEXT,    /* char[size], at least `lowest` bytes */
    FIELD_CHOICE,  /* an enum of `choices` names */
    FIELD_OBJECT,  /* a struct by its own form */
    FIELD_LIST,    /* structs of `size` by their form; an int counts them, lowest to highest */
    FIELD_PAIRS,   /* a list of [number, number] that rise by the first, by functions of its own */
    FIELD_OTHER    /* by functions of its own */
};

struct form;
struct field {
    const char *key;
    enum field_kind kind;
    bool required;
    size_t offset, size, count_offset;
    double lowest, highest;
    const char *unit; /* of pairs and others: all that is allowed, in words */
    int choices;
    const char *(*choice)(int value);
    const struct form *form;
    /* Reads the value; for a text: checks what was read. Null where there is nothing to do. */
    int (*read)(const struct json_file *file, const cJSON *node, void *place);
    /* Null: nothing to write, or memory is out (then *failed is set). */
    cJSON *(*write)(const void *place, bool *failed);
};

/* An object of a JSON file and the struct that it is read into. */
struct form {
    const struct field *field;
    int count;
    void (*prepare)(void *place); /* defaults of a list's element; may be null */
    int (*check)(const struct json_file *file, const cJSON *node, void *place); /* likewise */
    const char *asks; /* of a list's element: the keys that a new one wants, parted by ", " */
};

#define FORM(fields) .field = (fields), .count = (int)(sizeof(fields) / sizeof((fields)[0]))

/* The field of a key; null where the form has none. */
const struct field *form_field(const struct form *form, const char *key, size_t length);
/* What a field takes, in words: "a number from 1 to 20000 mm". */
enum { FIELD_ALLOWED = 160 };
char *field_allowed(const struct field *field, char out[FIELD_ALLOWED]);

/* Parses; the text must outlive the file. With an empty name faults tell no line and column. */
int json_parse(struct json_file *file, const char *name, const char *text, size_t length,
               struct fault *fault);
int json_read(const struct json_file *file, const struct form *form, const cJSON *node,
              void *place);
void json_free(struct json_file *file);
/* Sets the fault to place and path of a node and the message; -1. */
int json_refuse(const struct json_file *file, const cJSON *node, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* The same, for a value of the wrong type or out of range: says what was found. */
int json_refuse_value(const struct json_file *file, const cJSON *node, const char *allowed);

/* A tree of a struct; null where memory is out. */
cJSON *json_write(const struct form *form, const void *place);
/* A number that reads back as the same bits (the library's own printing may lose the last one). */
cJSON *json_number(double value);
enum { NUMBER_TEXT = TEXT_INSTANT };
char *format_exact(char out[NUMBER_TEXT], double value);

/* ---- setup (setup_file.c) ---- */

extern const struct form setup_form;
/* The list of a horizon's points; null where memory is out. */
cJSON *horizon_points(const struct horizon *horizon);
/* As setup_parse. `known`: a setup that has read the horizon files already, so that they are not
 * read again (they may be gone); may be null. */
int setup_parse_again(const char *name, const char *text, size_t length, const struct setup *known,
                      struct setup *setup, struct fault *fault);
/* The tree of all that a setup says; null where memory is out. */
cJSON *setup_tree(const struct setup *setup);

/* ---- checksum (crc.c) ---- */

/* CRC-32 of IEEE 802.3: polynomial 0x04c11db7, reflected, start and end inverted. */
uint32_t crc32_of(const char *bytes, size_t length);

#endif
