/* Private to app: the table of options, the table of commands, and what is made from both: reading a
 * command line, --help, the completions of the shells. The manual page's lists are held to them. */
#ifndef MOONSTAND_OPTIONS_H
#define MOONSTAND_OPTIONS_H

#include <moonstand/fault.h>
#include <moonstand/setup.h>

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* Exit status of every command. */
enum { EXIT_DONE = 0, EXIT_NOTHING = 1, EXIT_BAD_INPUT = 2, EXIT_MACHINE = 3 };

/* Every option of every command; what a command does not take is refused before it runs. A text or
 * site that was not given is null, a number NaN. */
struct options {
    const char *setup_path, *eclipse, *from, *to, *at, *theme, *session, *against, *canvas, *shadow,
        *kind, *rig, *link, *pick, *time_card;
    const struct site *site;
    double speed, temperature_c, humidity_percent;
    bool json, plain, ascii, demo, hooks, csv, calendar, pictures;
    char **operands; /* words that are no options; they are moved to the front of argv */
    int operand_count;
};

enum option_kind { OPTION_FLAG, OPTION_TEXT, OPTION_NUMBER, OPTION_SITE };

/* What a shell offers as a value, besides words that are listed. */
#define OFFER_FILES "FILES"
#define OFFER_SESSIONS "SESSIONS"
#define OFFER_THEMES "THEMES"

struct option_row {
    const char *name;
    const char *value; /* what the value is called: "DAY"; null: takes none */
    enum option_kind kind;
    size_t offset;          /* in struct options */
    double lowest, highest; /* of a number */
    const char *only;       /* the command whose option this row is; null: any command's */
    const char *offer;      /* words of the value, separated by blanks, or OFFER_...; null: none */
    const char *meaning;
};

struct command_row {
    const char *name; /* "": the dashboard */
    int (*run)(struct options *options);
    const char *purpose; /* in half a line */
    /* Names of options in the order of the usage line, in brackets where they may be left out; of
     * several with '|' between them only one can be given. What is in capitals is an operand. */
    const char *takes;
    const char *about;
    const char *example;
};

extern const struct option_row option_table[];
extern const size_t option_count;
extern const struct command_row command_table[];
extern const size_t command_count;

/* The command of that name ("": the dashboard); null if there is none. */
const struct command_row *command_find(const char *name);
/* The next name in what a command takes, copied to `name`; its `mark` is '[', '|' (another choice of
 * the last one's group) or ' '. False at the end. `*at` begins as command->takes. */
enum { OPTION_NAME = 24 };
bool takes_next(const char **at, char name[OPTION_NAME], char *mark);
/* The option that a command takes under that name; null if it takes none. */
const struct option_row *option_find(const struct command_row *command, const char *name);

/* Reads the words after the command's name. `--help` sets *help and ends the reading. -1 with a fault
 * if one is unknown, wrong or missing. */
int options_read(const struct command_row *command, int argc, char **argv, struct options *options,
                 bool *help, struct fault *fault);

/* Prints text in lines of at most 80 columns, each after `indent` blanks. */
void print_wrapped(FILE *out, int indent, const char *text);
/* Prints how a command is called, what it does, its options and an example. */
void print_help(FILE *out, const struct command_row *command);
/* Prints what the program is for and its commands. */
void print_usage(FILE *out);
/* Prints what can take the place of the last of the words after the program's name, one a line, each
 * with a colon and its meaning. Returns EXIT_NOTHING if that is a file. */
int print_completions(int count, char **words);

#endif
