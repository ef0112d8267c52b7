/* What is printed from the tables of options and commands: help, and completions for the shells. */
#include "live.h"

#include <string.h>

enum { USAGE_WIDTH = 80, USAGE_COMMAND = 9, SESSIONS_OFFERED = 256 };

void print_wrapped(FILE *out, int indent, const char *text)
{
    int column = 0;

    while (*text) {
        size_t word = strcspn(text, " ");
        int length = (int)word;

        if (column > 0 && column + 1 + length > USAGE_WIDTH) {
            (void)fputc('\n', out);
            column = 0;
        }
        column += fprintf(out, "%*s%.*s", column ? 1 : indent, "", length, text);
        text += word + strspn(text + word, " ");
    }
    (void)fputc('\n', out);
}

/* "--from DAY", or the operand as it is. */
static void name_taken(char *out, size_t size, const struct command_row *command, const char *name)
{
    const struct option_row *row = option_find(command, name);

    if (!row)
        (void)snprintf(out, size, "%s", name);
    else
        (void)snprintf(out, size, "--%s%s%s", name, row->value ? " " : "",
                       row->value ? row->value : "");
}

/* "moonstand plan [--eclipse DAY] ... [--json | --calendar]"; groups are not broken. */
static void print_call(FILE *out, const struct command_row *command)
{
    int indent = fprintf(out, "moonstand%s%s", *command->name ? " " : "", command->name);
    int column = indent;
    char name[OPTION_NAME], one[64], group[160], mark;
    const char *at = command->takes;
    bool more = takes_next(&at, name, &mark);

    while (more) {
        bool optional = mark == '[';

        *group = '\0';
        do {
            name_taken(one, sizeof one, command, name);
            text_add(group, sizeof group, " | ", "%s", one);
            more = takes_next(&at, name, &mark);
        } while (more && mark == '|');
        if (column + (int)strlen(group) + 3 > USAGE_WIDTH)
            column = fprintf(out, "\n%*s", indent, "") - 1;
        column += fprintf(out, optional ? " [%s]" : " %s", group);
    }
    (void)fputc('\n', out);
}

void print_help(FILE *out, const struct command_row *command)
{
    char name[OPTION_NAME], left[64], mark;

    print_call(out, command);
    print_wrapped(out, 2, command->about);
    for (const char *at = command->takes; takes_next(&at, name, &mark);) {
        const struct option_row *row = option_find(command, name);

        if (!row)
            continue;
        name_taken(left, sizeof left, command, name);
        fprintf(out, "  %s\n", left);
        print_wrapped(out, 6, row->meaning);
    }
    fprintf(out, "  Example: %s\n", command->example);
}

void print_usage(FILE *out)
{
    fputs("Moonstand: a dashboard for the night of a lunar eclipse.\n\n", out);
    for (size_t i = 0; i < command_count; i++)
        fprintf(out, "  moonstand %-*s %s\n", USAGE_COMMAND, command_table[i].name,
                command_table[i].purpose);
    fputs("\nmoonstand COMMAND --help explains a command and its options, with an example;\n"
          "moonstand help KEY explains a key of the dashboard: help a, help tab.\n\n",
          out);
    print_help(out, command_find(""));
}

/* ---- completions ---- */

static int offer_sessions(void)
{
    static char names[SESSIONS_OFFERED][SESSION_NAME];
    struct fault fault;
    int count = session_list(names, SESSIONS_OFFERED, &fault);

    for (int i = 0; i < count; i++)
        if (text_is_clean(names[i]))
            puts(names[i]);
    return EXIT_DONE;
}

static int offer_themes(void)
{
    char program[PATH_SIZE], names[THEMES_LISTED][THEME_NAME];
    int count = theme_list(program_path(program), names, THEMES_LISTED);

    for (int i = 0; i < count; i++)
        puts(names[i]);
    return EXIT_DONE;
}

static int offer_value(const struct option_row *row)
{
    if (!row->offer)
        return EXIT_DONE;
    if (strcmp(row->offer, OFFER_FILES) == 0)
        return EXIT_NOTHING;
    if (strcmp(row->offer, OFFER_SESSIONS) == 0)
        return offer_sessions();
    if (strcmp(row->offer, OFFER_THEMES) == 0)
        return offer_themes();
    for (const char *word = row->offer; *word; word += strspn(word, " ")) {
        size_t length = strcspn(word, " ");

        printf("%.*s\n", (int)length, word);
        word += length;
    }
    return EXIT_DONE;
}

static void offer_options(const struct command_row *command)
{
    char name[OPTION_NAME], mark;

    for (const char *at = command->takes; takes_next(&at, name, &mark);) {
        const struct option_row *row = option_find(command, name);

        if (row)
            printf("--%s:%s\n", name, row->meaning);
    }
    puts("--help:What the command does, with an example.");
    if (*command->name == '\0')
        puts("--version:Print the version.");
}

int print_completions(int count, char **words)
{
    const char *word = count ? words[count - 1] : "", *before = count > 1 ? words[count - 2] : "";
    const struct command_row *command = command_find(count > 1 ? words[0] : "");

    if (!command)
        command = command_find("");
    const struct option_row *row =
        strncmp(before, "--", 2) == 0 ? option_find(command, before + 2) : NULL;
    if (row && row->value)
        return offer_value(row);
    if (*word != '-' && strstr(command->takes, "FILE"))
        return EXIT_NOTHING;
    if (*word == '-' || count > 1) {
        offer_options(command);
        return EXIT_DONE;
    }
    for (size_t i = 0; i < command_count; i++)
        if (*command_table[i].name)
            printf("%s:%s\n", command_table[i].name, command_table[i].purpose);
    return EXIT_DONE;
}

/* ---- help ---- */

static void print_key(FILE *out, const struct key_row *row)
{
    fprintf(out, "%-*s %s\n", KEY_LABEL, row->label, row->name);
    print_wrapped(out, USAGE_WIDTH - KEY_HELP_WIDTH, row->help);
}

/* Whether a key is written so, is of that name, or has it among the words of its name. */
static bool is_called(const struct key_row *row, const char *name)
{
    const char *within = strstr(row->name, name);
    size_t length = strlen(name);

    return strcmp(row->label, name) == 0 || strcmp(row->name, name) == 0 ||
           (length == 1 && *row->label == *name && row->label[1] == ' ') ||
           (length > 2 && within && (within == row->name || within[-1] == ' '));
}

int command_help(struct options *options)
{
    const char *name = options->operand_count ? options->operands[0] : "";
    const struct command_row *command = command_find(name);
    bool found = false;

    if (!*name)
        print_usage(stdout);
    else if (command)
        print_help(stdout, command);
    for (const struct key_row *row = key_table; *name && row->name; row++)
        if (row->label && is_called(row, name)) {
            if (found || command)
                putchar('\n');
            print_key(stdout, row);
            found = true;
        }
    if (!*name || command || found)
        return EXIT_DONE;
    return complain_that(EXIT_BAD_INPUT,
                         "'%.40s' is neither a command nor a key; see moonstand help and, on the "
                         "dashboard, ?",
                         name);
}
