#include "app.h"

#include <locale.h>
#include <stdio.h>
#include <string.h>

struct command {
    const char *name;
    int (*run)(int argc, char **argv);
    const char *purpose;
};

static const struct command commands[] = {
    {"nights", command_nights, "list the eclipses of a span, and what a site sees of them"},
    {"plan", command_plan, "the printable plan of one night"},
    {"now", command_now, "what is true at one instant, as text or JSON"},
    {"sites", command_sites, "the sites of the setup side by side: sky, horizon, forecast"},
    {"look", command_look, "what pictures show: time, setting, and where the Moon is in them"},
    {"air", command_air, "dew point, frost point and what to do"},
    {"setup", command_setup, "write a setup by answering questions"},
    {"rehearse", command_rehearse, "the dashboard on a shifted clock"},
    {"report", command_report, "what a session recorded; picture lists put in order"},
    {"sessions", command_sessions, "the recorded sessions"},
};

static void print_usage(FILE *out)
{
    fputs("Moonstand: a dashboard for the night of a lunar eclipse.\n\n"
          "  moonstand [--setup FILE] [--site LAT,LON[,ELEV_M]] [--eclipse DAY] [--theme NAME]\n"
          "      the dashboard of the next eclipse that is up from the site\n",
          out);
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++)
        fprintf(out, "  moonstand %-9s %s\n", commands[i].name, commands[i].purpose);
    fputs("\nmoonstand COMMAND --help says what a command takes, with an example.\n", out);
}

static int run(int argc, char **argv)
{
    struct fault fault;

    if (argc < 2 || strncmp(argv[1], "--", 2) == 0) {
        if (argc == 2 && strcmp(argv[1], "--help") == 0) {
            print_usage(stdout);
            return EXIT_DONE;
        }
        if (argc == 2 && strcmp(argv[1], "--version") == 0) {
            puts("moonstand " MOONSTAND_VERSION);
            return EXIT_DONE;
        }
        return command_dashboard(argc - 1, argv + 1);
    }
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++)
        if (strcmp(argv[1], commands[i].name) == 0)
            return commands[i].run(argc - 2, argv + 2);
    (void)fault_set(&fault, "'%.40s' is not a command; see moonstand --help", argv[1]);
    return complain(EXIT_BAD_INPUT, &fault);
}

int main(int argc, char **argv)
{
    int status;

    setlocale(LC_ALL, "");
    setlocale(LC_NUMERIC, "C");
    status = run(argc, argv);
    /* Whatever has been printed, help included, must have arrived. */
    return status == EXIT_DONE ? printed(0) : status;
}
