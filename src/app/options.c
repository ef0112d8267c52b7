/* Reads a command line by the table of options. */
#include "options.h"

#include <moonstand/text.h>

#include <ctype.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

const struct command_row *command_find(const char *name)
{
    for (size_t i = 0; i < command_count; i++)
        if (strcmp(command_table[i].name, name) == 0)
            return &command_table[i];
    return NULL;
}

bool takes_next(const char **at, char name[OPTION_NAME], char *mark)
{
    const char *start = *at + strspn(*at, "[]| ");
    size_t length = strcspn(start, "[]| ");

    *mark = start > *at ? start[-1] : ' ';
    (void)snprintf(name, OPTION_NAME, "%.*s", (int)length, start);
    *at = start + length;
    return length > 0;
}

/* How many operands a command takes: none, one, or any number ("FILE..."). */
static int operands_of(const struct command_row *command)
{
    char name[OPTION_NAME], mark;

    for (const char *at = command->takes; takes_next(&at, name, &mark);)
        if (isupper((unsigned char)*name))
            return strstr(name, "...") ? INT32_MAX : 1;
    return 0;
}

const struct option_row *option_find(const struct command_row *command, const char *name)
{
    char taken[OPTION_NAME], mark;

    for (const char *at = command->takes; takes_next(&at, taken, &mark);)
        for (size_t i = 0; strcmp(taken, name) == 0 && i < option_count; i++)
            if (strcmp(option_table[i].name, name) == 0 &&
                (!option_table[i].only || strcmp(option_table[i].only, command->name) == 0))
                return &option_table[i];
    return NULL;
}

static int set_value(const struct option_row *row, const char *value, struct options *options,
                     struct fault *fault)
{
    static struct site site;
    void *place = (char *)options + row->offset;
    struct fault cause;

    switch (row->kind) {
    case OPTION_FLAG:
        *(bool *)place = true;
        return 0;
    case OPTION_TEXT:
        *(const char **)place = value;
        return 0;
    case OPTION_NUMBER:
        if (parse_number(value, row->lowest, row->highest, (double *)place, &cause) != 0)
            return fault_set(fault, "--%s: %s", row->name, cause.text);
        return 0;
    case OPTION_SITE:
        site = (struct site){.pressure_hpa = NAN, .temperature_c = NAN};
        if (parse_site(value, &site.latitude_deg, &site.longitude_deg, &site.height_m, &cause) != 0)
            return fault_set(fault, "--site: %s", cause.text);
        if (isnan(site.height_m))
            site.height_m = 0;
        options->site = &site;
        return 0;
    }
    return -1;
}

static bool is_given(uint64_t given, const struct option_row *row)
{
    return row && given >> (row - option_table) & 1;
}

/* Whether what must be given is, and of what excludes each other only one. */
static int check_given(const struct command_row *command, uint64_t given, struct fault *fault)
{
    const struct option_row *first = NULL; /* that was given of the group */
    char name[OPTION_NAME], mark;

    for (const char *at = command->takes; takes_next(&at, name, &mark);) {
        const struct option_row *row = option_find(command, name);

        if (mark != '|')
            first = NULL;
        if (row && mark == ' ' && !is_given(given, row))
            return fault_set(fault, "--%s %s is missing; see moonstand %s --help", row->name,
                             row->value, command->name);
        if (first && is_given(given, row))
            return fault_set(fault, "--%s and --%s exclude each other", first->name, row->name);
        if (is_given(given, row))
            first = row;
    }
    return 0;
}

static int read_option(const struct command_row *command, char **argv, int left,
                       struct options *options, uint64_t *given, struct fault *fault)
{
    char name[OPTION_NAME];
    const char *equals = strchr(*argv, '='), *value = equals ? equals + 1 : argv[1];

    if (strncmp(*argv, "--", 2) != 0)
        return fault_set(fault, "'%.60s' is not an option; see --help", *argv);
    (void)snprintf(name, sizeof name, "%.*s", equals ? (int)(equals - *argv) - 2 : 60, *argv + 2);
    const struct option_row *row = option_find(command, name);
    if (!row)
        return fault_set(fault, "'%.60s' is not an option of %s; see moonstand %s%s--help", *argv,
                         *command->name ? command->name : "the dashboard", command->name,
                         *command->name ? " " : "");
    if (!row->value && equals)
        return fault_set(fault, "--%s takes no value", row->name);
    if (row->value && !equals && left < 2)
        return fault_set(fault, "--%s needs a value: %s", row->name, row->value);
    *given |= UINT64_C(1) << (row - option_table);
    if (set_value(row, value, options, fault) != 0)
        return -1;
    return row->value && !equals ? 2 : 1;
}

int options_read(const struct command_row *command, int argc, char **argv, struct options *options,
                 bool *help, struct fault *fault)
{
    int most = operands_of(command);
    uint64_t given = 0;

    *options = (struct options){
        .operands = argv, .speed = NAN, .temperature_c = NAN, .humidity_percent = NAN};
    *help = false;
    for (int i = 0, used; i < argc; i += used) {
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0) {
            *help = true;
            return 0;
        }
        used = 1;
        if (options->operand_count < most && (*argv[i] != '-' || argv[i][1] == '\0'))
            argv[options->operand_count++] = argv[i];
        else
            used = read_option(command, &argv[i], argc - i, options, &given, fault);
        if (used < 0)
            return -1;
    }
    return check_given(command, given, fault);
}
