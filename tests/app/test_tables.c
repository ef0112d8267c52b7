/* The manual page's lists are those of the program's tables; BLESS=1 writes them anew. And what the
 * tables promise of themselves. */
#include "../../src/app/live.h"

#include <ctype.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define PAGE TEST_DATA "/../../src/app/moonstand.1"
enum { PAGE_SIZE = 200000 };

/* Text for mdoc: each sentence on lines of its own, and nothing that it would take for a request. */
static void put_text(FILE *out, const char *text)
{
    char line[1000];
    size_t length = 0;

    for (char before = ' '; *text; before = *text++) {
        assert_true(length + 4 < sizeof line);
        if (before == ' ' && strchr(".'-", *text) && isalnum((unsigned char)text[1]))
            length += (size_t)sprintf(line + length, *text == '-' ? "\\" : "\\&");
        line[length++] = *text;
        if (*text == '\\')
            line[length++] = 'e';
        line[length] = '\0';
        if ((text[1] == ' ' && strchr(".;", *text)) || !text[1]) {
            print_wrapped(out, 0, line);
            length = 0;
            text += text[1] == ' ';
        }
    }
}

static void put_lower(FILE *out, const char *text)
{
    while (*text)
        fputc(tolower((unsigned char)*text++), out);
}

/* "Fl Fl site Ar lat,lon" */
static void put_option(FILE *out, const struct option_row *row)
{
    fprintf(out, "Fl Fl %s", row->name);
    if (row->value)
        put_lower((fputs(" Ar ", out), out), row->value);
}

static void put_taken(FILE *out, const struct command_row *command, const char *name)
{
    const struct option_row *row = option_find(command, name);

    if (row)
        put_option(out, row);
    else
        put_lower((fputs("Ar ", out), out), name);
}

static void put_synopsis(FILE *out)
{
    for (size_t i = 0; i < command_count; i++) {
        const struct command_row *command = &command_table[i];
        const char *at = command->takes, *start = "";
        char name[OPTION_NAME], mark;

        fputs(".Nm\n", out);
        if (*command->name)
            fprintf(out, ".Cm %s", command->name);
        for (start = *command->name ? "\n" : ""; takes_next(&at, name, &mark); start = "\n") {
            fputs(mark == '|' ? " | " : start, out);
            if (mark != '|')
                fputs(mark == '[' ? ".Op " : ".", out);
            put_taken(out, command, name);
        }
        fputc('\n', out);
    }
    fputs(".Nm\n.Op Ar command\n.Fl Fl help\n.Nm\n.Fl Fl version\n", out);
}

static void put_commands(FILE *out)
{
    for (size_t i = 0; i < command_count; i++)
        if (*command_table[i].name) {
            fprintf(out, ".It Cm %s\n", command_table[i].name);
            put_text(out, command_table[i].about);
        }
}

static void put_options(FILE *out)
{
    for (size_t i = 0; i < option_count; i++) {
        fputs(".It ", out);
        put_option(out, &option_table[i]);
        fputc('\n', out);
        if (option_table[i].only)
            fprintf(out, "With\n.Cm %s :\n", option_table[i].only);
        put_text(out, option_table[i].meaning);
    }
}

/* The keys in their groups, as the menu has them. */
static void put_keys(FILE *out)
{
    int group = -1;

    for (const struct key_row *row = key_table; row->name; row++) {
        if (!row->label)
            continue;
        if ((int)row->group != group)
            fprintf(out, "%s.Ss %s\n.Bl -tag -width arrows\n", group < 0 ? "" : ".El\n",
                    key_group_name(row->group));
        group = (int)row->group;
        fprintf(out, ".It Ql %s%s\n", strchr("?+-", *row->label) ? "\\&" : "", row->label);
        put_text(out, row->help);
    }
    fputs(".El\n", out);
}

/* Those to learn, as a table. */
static void put_night_keys(FILE *out)
{
    fputs(".Bl -column \"arrows\" \"battery changed\" \"Tick and note\"\n", out);
    for (const struct key_row *row = key_table; row->name; row++)
        if (row->label && row->learn)
            fprintf(out, ".It Ql %s%s Ta %s Ta %s\n", strchr("?+-", *row->label) ? "\\&" : "",
                    row->label, row->name, key_group_name(row->group));
    fputs(".El\n", out);
}

static const struct list {
    const char *name;
    void (*put)(FILE *out);
} lists[] = {{"synopsis", put_synopsis},
           {"commands", put_commands},
           {"options", put_options},
           {"keys for a night", put_night_keys},
           {"keys", put_keys}};
enum { LISTS = sizeof lists / sizeof *lists };

static void read_page(char page[PAGE_SIZE])
{
    FILE *in = fopen(PAGE, "r");
    size_t size;

    assert_non_null(in);
    size = fread(page, 1, PAGE_SIZE - 1, in);
    assert_true(size > 0 && size < PAGE_SIZE - 1);
    page[size] = '\0';
    assert_int_equal(fclose(in), 0);
}

/* The page with its lists as the tables have them: they stand between two comments. */
static char *page_of_tables(const char *page)
{
    char *made = NULL, begins[64];
    const char *end = "\n.\\\" end of list\n";
    size_t size;
    FILE *out = open_memstream(&made, &size);

    assert_non_null(out);
    for (int i = 0; i < LISTS; i++) {
        (void)snprintf(begins, sizeof begins, ".\\\" list of %s\n", lists[i].name);
        const char *from = strstr(page, begins), *to = from ? strstr(from, end) : NULL;

        assert_non_null(from);
        assert_non_null(to);
        from += strlen(begins);
        fwrite(page, 1, (size_t)(from - page), out);
        lists[i].put(out);
        page = to + 1;
    }
    fputs(page, out);
    assert_int_equal(fclose(out), 0);
    return made;
}

static void test_the_manual_has_the_lists_of_the_tables(void **state)
{
    static char page[PAGE_SIZE];
    char *made;

    (void)state;
    read_page(page);
    made = page_of_tables(page);
    if (getenv("BLESS") && strcmp(page, made) != 0) {
        FILE *out = fopen(PAGE, "w");

        assert_non_null(out);
        assert_true(fputs(made, out) >= 0);
        assert_int_equal(fclose(out), 0);
        (void)memcpy(page, made, strlen(made) + 1);
    }
    assert_string_equal(page, made);
    free(made);
}

/* ---- the table of commands ---- */

static void test_every_option_is_taken_and_every_one_taken_is_there(void **state)
{
    bool taken[64] = {false};

    (void)state;
    assert_true(option_count <= 64);
    for (size_t i = 0; i < command_count; i++) {
        const char *at = command_table[i].takes;
        char name[OPTION_NAME], mark;

        while (takes_next(&at, name, &mark)) {
            const struct option_row *row = option_find(&command_table[i], name);

            if (isupper((unsigned char)*name))
                continue;
            assert_non_null(row);
            taken[row - option_table] = true;
        }
        /* What begins with the command's name is an example of it. */
        assert_int_equal(strncmp(command_table[i].example, "moonstand ", 10), 0);
        assert_int_equal(strncmp(command_table[i].example + 10, command_table[i].name,
                                 strlen(command_table[i].name)),
                         0);
    }
    for (size_t i = 0; i < option_count; i++)
        assert_true(taken[i]);
}

static int read_words(const char *command, const char *words, struct options *options,
                struct fault *fault)
{
    static char copy[200];
    static char *argv[20];
    int argc = 0;
    bool help;

    (void)snprintf(copy, sizeof copy, "%s", words);
    for (char *word = strtok(copy, " "); word; word = strtok(NULL, " "))
        argv[argc++] = word;
    argv[argc] = NULL;
    return options_read(command_find(command), argc, argv, options, &help, fault);
}

static void test_a_command_line_is_read(void **state)
{
    struct options options;
    struct fault fault;

    (void)state;
    assert_int_equal(read_words("rehearse", "--demo --from=U2-5m --speed 10", &options, &fault), 0);
    assert_true(options.demo);
    assert_string_equal(options.from, "U2-5m");
    assert_true(options.speed == 10);
    assert_null(options.session);
    assert_int_equal(read_words("look", "a.jpg --rig long b.jpg", &options, &fault), 0);
    assert_int_equal(options.operand_count, 2);
    assert_string_equal(options.operands[1], "b.jpg");
    assert_string_equal(options.rig, "long");
    assert_int_equal(read_words("plan", "--json --site 62,60", &options, &fault), 0);
    assert_true(options.json && options.site && options.site->height_m == 0);
}

static void test_a_wrong_command_line_is_refused(void **state)
{
    static const struct {
        const char *command, *words, *why;
    } wrong[] = {
        {"plan", "--speed 2", "'--speed' is not an option of plan; see moonstand plan --help"},
        {"", "--json", "'--json' is not an option of the dashboard; see moonstand --help"},
        {"", "now", "'now' is not an option; see --help"},
        {"plan", "--json --calendar", "--json and --calendar exclude each other"},
        {"report", "--pictures --against x", "--against and --pictures exclude each other"},
        {"nights", "--from 2028-01-01", "--to DAY is missing; see moonstand nights --help"},
        {"air", "--temperature 4 --humidity", "--humidity needs a value: PERCENT"},
        {"plan", "--json=yes", "--json takes no value"},
        {"air", "--temperature 61 --humidity 5",
         "--temperature: 61 is out of range; expected -45 to 60"},
        {"help", "a b", "'b' is not an option; see --help"},
    };
    struct options options;
    struct fault fault;

    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        assert_int_equal(read_words(wrong[i].command, wrong[i].words, &options, &fault), -1);
        assert_string_equal(fault.text, wrong[i].why);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_manual_has_the_lists_of_the_tables),
        cmocka_unit_test(test_every_option_is_taken_and_every_one_taken_is_there),
        cmocka_unit_test(test_a_command_line_is_read),
        cmocka_unit_test(test_a_wrong_command_line_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
