/* The commands that read what a session recorded. */
#include "app.h"

#include <moonstand/report.h>
#include <moonstand/store.h>

#include <stdio.h>
#include <string.h>

enum { SESSIONS_SHOWN = 1000 };

static char names[SESSIONS_SHOWN][SESSION_NAME];
static struct setup setup;
static struct night night;

/* ---- sessions ---- */

static const char sessions_help[] = "moonstand sessions [--json]\n"
                                    "  Lists the recorded sessions, oldest eclipse first.\n"
                                    "  Example: moonstand sessions\n";

struct tally {
    size_t acts;
    double first_utc, last_utc;
};

static void count_act(void *context, struct act *act)
{
    struct tally *tally = context;

    if (tally->acts++ == 0)
        tally->first_utc = act->utc;
    tally->last_utc = act->utc;
}

static int session_path(const char *name, char path[PATH_SIZE], struct fault *fault)
{
    char folder[PATH_SIZE];
    int length;

    /* A path as it stands; a bare name is one of the usual folder. */
    if (strchr(name, '/')) {
        length = snprintf(path, PATH_SIZE, "%s", name);
    } else {
        if (path_sessions(folder, fault) != 0)
            return -1;
        length = snprintf(path, PATH_SIZE, "%s/%s", folder, name);
    }
    if (length < 0 || length >= PATH_SIZE)
        return fault_set(fault, "the path of session '%.80s' is too long", name);
    return 0;
}

/* Every act of a session, without touching it. */
static int read_session(const char *path, journal_take *take, void *context, struct fault *fault)
{
    struct journal *journal;

    if (journal_open(path, false, take, context, &journal, fault) != 0)
        return -1;
    (void)journal_close(journal);
    return 0;
}

static void print_session(const char *name)
{
    char path[PATH_SIZE], from[TEXT_INSTANT], to[TEXT_INSTANT];
    struct tally tally = {0};
    struct fault fault;

    if (session_path(name, path, &fault) != 0 ||
        read_session(path, count_act, &tally, &fault) != 0 || tally.acts == 0)
        printf("%-28s no entries\n", name);
    else
        printf("%-28s %5zu entries, %s to %s\n", name, tally.acts,
               format_iso(from, tally.first_utc, 0, "Z"), format_iso(to, tally.last_utc, 0, "Z"));
}

int command_sessions(int argc, char **argv)
{
    struct options options;
    struct fault fault;
    bool help;
    int count;

    if (options_read(argc, argv, "json", &options, &help, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (help) {
        fputs(sessions_help, stdout);
        return EXIT_DONE;
    }
    count = session_list(names, SESSIONS_SHOWN, &fault);
    if (count < 0)
        return complain(EXIT_MACHINE, &fault);
    if (count > SESSIONS_SHOWN)
        count = SESSIONS_SHOWN;
    if (options.json) {
        putchar('[');
        for (int i = 0; i < count; i++)
            printf("%s\"%s\"", i ? "," : "", names[i]);
        puts("]");
    }
    for (int i = 0; !options.json && i < count; i++)
        print_session(names[i]);
    return count == 0 ? EXIT_NOTHING : EXIT_DONE;
}

/* ---- report ---- */

static const char report_help[] =
    "moonstand report [--session FOLDER] [--json | --csv] [--pictures < LIST]\n"
    "  What a session recorded: Markdown for people, JSON and CSV for tools. Without --session: "
    "the\n"
    "  last one of the list that 'moonstand sessions' prints.\n"
    "  --pictures reads rows NAME,YYYY-MM-DDTHH:MM:SS[,RIG] from standard input (the camera's "
    "clock)\n"
    "  and answers UTC, phase, magnitude, the Moon's altitude and the setting for each, as CSV or "
    "JSON.\n"
    "  Example: moonstand report --pictures < times.csv > sorted.csv\n";

static void take_act(void *context, struct act *act)
{
    struct fault fault;

    (void)night_apply(context, act, &fault);
}

static int last_session(char path[PATH_SIZE], struct fault *fault)
{
    int count = session_list(names, SESSIONS_SHOWN, fault);

    if (count < 0)
        return -1;
    if (count == 0)
        return fault_set(fault, "no session has been recorded yet");
    return session_path(names[(count < SESSIONS_SHOWN ? count : SESSIONS_SHOWN) - 1], path, fault);
}

/* The eclipse's day is what the folder's name begins with. */
static int session_eclipse(const char *path, struct eclipse *eclipse, struct fault *fault)
{
    const char *slash = strrchr(path, '/');
    char day[sizeof "YYYY-MM-DD"];
    double utc;

    (void)snprintf(day, sizeof day, "%.10s", slash ? slash + 1 : path);
    if (parse_day(day, &utc, fault) != 0)
        return fault_set(fault, "%s: the name of a session's folder begins with a day YYYY-MM-DD",
                         path);
    if (!eclipse_of_day(utc, setup.rule, eclipse))
        return fault_set(fault, "%s: no eclipse has its greatest on that day", path);
    return 0;
}

static int open_session_night(const struct options *options, struct fault *fault)
{
    char path[PATH_SIZE], setup_path[PATH_SIZE + sizeof "/setup.json"];
    struct eclipse eclipse;

    if ((options->session ? session_path(options->session, path, fault)
                          : last_session(path, fault)) != 0)
        return -1;
    (void)snprintf(setup_path, sizeof setup_path, "%s/setup.json", path);
    if (setup_read(setup_path, &setup, fault) != 0 || session_eclipse(path, &eclipse, fault) != 0 ||
        open_night(&setup, &eclipse, strstr(path, "-rehearsal") != NULL,
                   utc_from_tt(eclipse.tt[CONTACT_GREATEST]), &night, fault) != 0)
        return -1;
    if (read_session(path, take_act, &night, fault) != 0)
        return -1;
    night_follow(&night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
    return 0;
}

static int report_pictures(const struct options *options, struct fault *fault)
{
    struct pictures pictures = {0};
    int result = pictures_read(stdin, "standard input", &night, &pictures, fault);
    int status = EXIT_BAD_INPUT;

    if (result == 0)
        status = (options->json ? report_pictures_json(stdout, &night, &pictures)
                                : report_pictures_csv(stdout, &night, &pictures)) == 0
                     ? EXIT_DONE
                     : EXIT_MACHINE;
    pictures_free(&pictures);
    return status;
}

static int print_report(const struct options *options, struct fault *fault)
{
    int result;

    (void)fault_set(fault, "could not write the report");
    if (options->pictures)
        return report_pictures(options, fault);
    if (options->json)
        result = report_session_json(stdout, &night);
    else if (options->csv)
        result = report_session_csv(stdout, &night);
    else
        result = report_session_markdown(stdout, &night);
    return result == 0 && fflush(stdout) == 0 ? EXIT_DONE : EXIT_MACHINE;
}

int command_report(int argc, char **argv)
{
    struct options options;
    struct fault fault;
    bool help;
    int status;

    if (options_read(argc, argv, "session json csv pictures", &options, &help, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (help) {
        fputs(report_help, stdout);
        return EXIT_DONE;
    }
    if (open_session_night(&options, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    status = print_report(&options, &fault);
    night_close(&night);
    return status == EXIT_DONE ? EXIT_DONE : complain(status, &fault);
}
