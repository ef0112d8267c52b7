/* The questions of `moonstand setup`, as whole conversations: what is asked, what is understood, what is
 * refused with which words, and what is in the file then. Held to tests/prints/setup-talk.txt. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/app/app.h"

#include <blessed.h>
#include <scratch.h>

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define FILE_NAME "setup.json"

static char folder[SCRATCH];

/* What has been sent to standard output, and errors. */
static char *sent;
static size_t sent_size;

/* One answer at a time, each shown behind its question as a terminal would. The question has been sent before. */
static ssize_t next_answer(void *answers, char *out, size_t size)
{
    const char **rest = answers;
    size_t length = strcspn(*rest, "\n"), asked = sent_size;

    (void)fflush(stdout);
    assert_int_equal(sent_size, asked);
    if ((*rest)[length] == '\n')
        length++;
    assert_true(length <= size);
    memcpy(out, *rest, length);
    *rest += length;
    (void)fwrite(out, 1, length, stdout);
    (void)fflush(stdout);
    return (ssize_t)length;
}

/* What is said to these answers; a line for each, at whose end the input ends. To be freed. */
static char *talk(const char *answers, int status)
{
    FILE *out = stdout, *errors = stderr, *in = stdin;
    int result;

    fflush(NULL);
    sent_size = 0;
    stdout = stderr = open_memstream(&sent, &sent_size);
    stdin = fopencookie(&answers, "r", (cookie_io_functions_t){.read = next_answer});
    result = stdout && stdin ? ask_setup(FILE_NAME) : -1;
    if (stdin)
        (void)fclose(stdin);
    if (stdout)
        (void)fclose(stdout);
    stdout = out;
    stderr = errors;
    stdin = in;
    assert_int_equal(result, status);
    return sent;
}

/* The number that a line of the page at the end begins with; 0: it is no such line. */
static int number_of(const char *line)
{
    int number = 0, length = 0;

    return sscanf(line, "%4d  %n", &number, &length) == 1 && length >= 6 ? number : 0;
}

/* Adds what is said: of each page only the lines that are others than on the page before, and what
 * explains a question once. */
static void add_talk(FILE *all, const char *title, const char *answers, int status)
{
    static char page[40][200];
    char *said = talk(answers, status);
    char why[402] = "|"; /* the last two */

    (void)memset(page, 0, sizeof page);
    fprintf(all, "---- %s ----\n", title);
    for (char *line = strtok(said, "\n"); line; line = strtok(NULL, "\n")) {
        int number = number_of(line);

        assert_in_range(number, 0, 39);
        if (number > 0 && strncmp(page[number], line, sizeof page[number] - 1) == 0)
            continue;
        (void)snprintf(page[number], sizeof page[number], "%s", line);
        if (number == 0 && strncmp(line, "  ", 2) == 0 && line[2] != '!') {
            bool again = strstr(why, line);

            (void)snprintf(why, sizeof why, "%.200s|%.200s", strrchr(why, '|') + 1, line);
            if (again)
                continue;
        }
        fprintf(all, "%s\n", line);
    }
    free(said);
    fprintf(all, "\n");
}

/* What stands in the file now, up to a key. */
static void add_file(FILE *all, const char *end)
{
    char line[400];
    FILE *file = fopen(FILE_NAME, "r");

    assert_non_null(file);
    while (fgets(line, sizeof line, file) && !strstr(line, end))
        (void)fputs(line, all);
    (void)fclose(file);
    fprintf(all, "\n");
}

static void put_file(const char *text)
{
    FILE *file = fopen(FILE_NAME, "w");

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

/* Each line of the page is asked again by its number: 1 place, 2 name, 3 zone, 4 rigs, then six for a rig. */
#define PLACES                                                                                     \
    "north\n91 0\n90.0001 N 0 E\n0 180.0001\n62 60 9001\n62\n62 60\n"
#define MORE_PLACES                                                                                \
    "1\n-0.5, 0.5\n1\n0.5 N 0.5 W -500 m\n1\n90 N 180 E 9000\n1\n89 59 59 S 179 59 59 W\n"             \
    "1\n0, 0\n1\n41 54 N 2 18 E\n1\n41.9, 2.3, 800 m\n2\n\n2\nthe roof\n3\nNowhere/Town\nUTC\n"     \
    "3\nEurope/Rome\n3\nsystem\n"
/* Ten characters, and a number longer than any answer: what does not fit is no answer to what comes next. */
#define LONG_ "1111111111"
#define TOO_LONG LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_ LONG_
#define COUNTS "0\n" TOO_LONG TOO_LONG "1\n4\n1.5\ntwo\n1\n"
#define LENSES                                                                                     \
    "wide\n18 mm f/4 f/5\n18-35\n18-35 mm f/2.8\n18 mm f/70\n0.5 f/4\n"                  \
    "20001 f/4\n18 mm f/0.49\n18 f/4 mm\n-18 f/4\n18 mm f/\n"
#define MORE_LENSES                                                                                \
    "6\nf/5.6\n6\n200mm\n6\n135 2\n6\n400 mm f/8\n6\n20000 f64\n6\n1 mm 0.5\n6\n50\n"
#define SENSORS                                                                                    \
    "large\n24 x 36 mm 24\n36 x 24 mm 0.29\nfull frame 401\n4 x 3 mm 60\n36 x\n36 mm 24\nx 24\n"       \
    "full frame 24 MP more\n36 x 24 0.3\n1 inch 400\n"
#define MORE_SENSORS                                                                               \
    "7\n1\n7\n2\n7\n3, 32\n7\n4\n7\n5 20 MP\n7\n35 mm 45\n7\nDX\n7\nAPS-C1.6, 18\n7\nMFT\n"        \
    "7\none inch\n7\n61 megapixels\n7\n18\n7\n6, 24\n23.5 x 15.6 mm 24\n7\n44 mm x 33 mm\n7\n36 x 24 0.35\n"     \
    "7\n24 x 24 mm 16\n7\n24\n"
#define SUPPORTS_SAID                                                                              \
    "hanging\nstill upright\ntracked\n"
#define MORE_SUPPORTS                                                                              \
    "8\nportrait\n8\nstill\n8\nlandscape tripod\n8\ntracked at the lunar rate\n8\nsolar\n"         \
    "8\nsidereal, portrait\n8\nfixed landscape\n8\ntracking\n8\nheld\n"
#define KITS                                                                                       \
    "many\n2\n2 spoons\n-1 spares\n1.5 kg\n0 GB\n0 shots\n51 spares\n50 spares\n"
#define MORE_KITS                                                                                  \
    "9\n1 spare, 64 GB, heater\n9\n2 TB\n9\nno card size, no heater\n9\n420 shots\n9\n20 spares\n"
#define INTERVALS                                                                                  \
    "10\noften\n10 s s\n0.4\n3601\nauto auto\n10 s\n10\nauto\n10\n2.5\n10\n3600 s\n10\n1\n"

static void what_is_asked_and_understood(void **state)
{
    char *text = NULL;
    size_t size = 0;
    FILE *all = open_memstream(&text, &size);
    int home = open(".", O_RDONLY | O_CLOEXEC);

    (void)state;
    assert_non_null(all);
    assert_true(home >= 0);
    assert_int_equal(chdir(folder), 0);
    add_talk(all, "one rig, every question with wrong answers first",
             PLACES "UTC\n" COUNTS LENSES SENSORS SUPPORTS_SAID KITS MORE_PLACES MORE_LENSES
                     MORE_SENSORS MORE_SUPPORTS MORE_KITS INTERVALS "5\na name\n11\n0\n1.5\nno\nyes\n",
             EXIT_DONE);
    add_file(all, "shadow_rule");
    add_talk(all, "the same file again: three rigs, then two, then three",
             "\n3\n\n\n\n\n\n\n\n\n\n\n\n\n17\nguide\n4\n2\n17\n4\n3\n\n\n\n\n22\n20 s\n23\n\n", EXIT_DONE);
    add_talk(all, "two rigs of one name", "\n\n\n\n\n\n\n\n\n\n\n\n\n\n11\na name\nlong\n\n", EXIT_DONE);
    add_talk(all, "the input ends on the way", "\n2\n", EXIT_BAD_INPUT);
    add_talk(all, "the input ends on the page, which accepts it", "\n1\n\n\n\n\n", EXIT_DONE);
    add_talk(all, "the input ends in an answer of the page", "\n1\n\n\n\n\n6\n", EXIT_BAD_INPUT);
    put_file("{\"site\": \"barn\", \"sites\": [{\"name\": \"ridge\", \"latitude_deg\": 61, \"longitude_deg\": 59},\n"
             " {\"name\": \"barn\", \"latitude_deg\": 62, \"longitude_deg\": 60, \"time_zone\": \"UTC\"}]}\n");
    add_talk(all, "sites of a list",
             "barn\n1\n\n\n\n\n1\nridge\n2\nbarn\ntop\n1\n-12 -77\nsystem\n3\nUTC\nyes\n", EXIT_DONE);
    add_file(all, "rigs");
    put_file("{\"site\": ");
    add_talk(all, "a file that cannot be read", "62 60\nUTC\n1\n\n\n\n\n\n", EXIT_DONE);
    (void)unlink(FILE_NAME);
    (void)unlink(FILE_NAME ".bak");
    assert_int_equal(fchdir(home), 0);
    (void)close(home);
    assert_int_equal(fclose(all), 0);
    hold_print("setup-talk", text);
    free(text);
}

static int make_folder(void **state)
{
    (void)state;
    if (setenv("TZ", "UTC", 1) != 0 || !scratch_make(folder))
        return -1;
    tzset();
    return 0;
}

static int remove_folder(void **state)
{
    (void)state;
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_asked_and_understood),
    };

    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
