/* What the commands share: setup, eclipse, night. */
#include "app.h"

#include <moonstand/forecast_file.h>
#include <moonstand/pick.h>
#include <moonstand/setup_file.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* No record of a night is older, and no forecast or reminder looks further ahead. */
#define YEARS_BEHIND_S (10 * 366 * SECONDS_PER_DAY)
#define YEARS_AHEAD_S (366 * SECONDS_PER_DAY)

bool read_line(char *line, size_t size)
{
    *line = '\0';
    if (!fgets(line, (int)size, stdin))
        return false;
    size_t length = strcspn(line, "\n");
    if (line[length] == '\0' && length == size - 1) {
        int rest;

        while ((rest = getchar()) != '\n' && rest != EOF)
            continue;
    }
    line[length] = '\0';
    return true;
}

int complain(int status, const struct fault *fault)
{
    fprintf(stderr, "moonstand: %s\n", fault->text);
    return status;
}

int complain_that(int status, const char *format, ...)
{
    struct fault fault;
    va_list args;

    va_start(args, format);
    (void)vsnprintf(fault.text, sizeof fault.text, format, args);
    va_end(args);
    text_clean(fault.text);
    return complain(status, &fault);
}

void complain_of_file(const char *path, const char *what, size_t *bad)
{
    (void)complain_that(EXIT_BAD_INPUT, "%s: %s", path, what);
    ++*bad;
}

int command_run(const struct command_row *command, int argc, char **argv)
{
    struct options options;
    struct fault fault;
    bool help;

    if (options_read(command, argc, argv, &options, &help, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (!help)
        return command->run(&options);
    print_help(stdout, command);
    return EXIT_DONE;
}

const char *program_path(char out[PATH_SIZE])
{
    ssize_t length = readlink("/proc/self/exe", out, PATH_SIZE - 1);

    out[length > 0 ? length : 0] = '\0';
    return length > 0 ? out : NULL;
}

const char *setup_file(const struct options *options, char usual[PATH_SIZE], struct fault *fault)
{
    if (options->setup_path)
        return options->setup_path;
    return path_setup(usual, fault) == 0 ? usual : NULL;
}

int read_setup(const struct options *options, struct setup *setup, struct fault *fault)
{
    char usual[PATH_SIZE];
    const char *path = setup_file(options, usual, fault);
    int result = path ? setup_read(path, setup, fault) : 1;

    return options->setup_path && result > 0 ? -1 : result;
}

int load_setup(const struct options *options, struct setup *setup, struct fault *fault)
{
    int result = read_setup(options, setup, fault);

    if (result < 0)
        return -1;
    if (result > 0)
        setup_default(setup);
    if (options->site) {
        setup->has_site = true;
        setup->site = *options->site;
    }
    if (options->shadow && shadow_rule_parse(options->shadow, &setup->rule, fault) != 0)
        return -1;
    return 0;
}

int find_rig(const struct options *options, const struct setup *setup, const char *whose, int *rig,
             struct fault *fault)
{
    *rig = options->rig ? setup_rig(setup, options->rig) : -1;
    return !options->rig || *rig >= 0
               ? 0
               : fault_set(fault, "--rig: the %s has no rig '%.40s'", whose, options->rig);
}

int choose_eclipse(const struct options *options, const struct setup *setup, double utc, bool any,
                   struct eclipse *eclipse)
{
    const struct site *site = setup->has_site ? &setup->site : NULL;
    struct fault cause;
    double day;

    if (options->eclipse) {
        if (parse_day(options->eclipse, &day, &cause) != 0)
            return complain_that(EXIT_BAD_INPUT, "--eclipse: %s", cause.text);
        if (eclipse_of_day(day, setup->rule, eclipse))
            return EXIT_DONE;
        return complain_that(EXIT_NOTHING,
                             "no eclipse has its greatest on %s (UTC); see moonstand nights",
                             options->eclipse);
    }
    if (eclipse_tonight(site, setup->rule, utc, eclipse) ||
        eclipse_pick(site, setup->rule, utc, NAN, eclipse) ||
        (any && eclipse_current(utc, setup->rule, eclipse)))
        return EXIT_DONE;
    return complain_that(EXIT_NOTHING, "no umbral eclipse is up from here before the end of %d",
                         YEAR_LAST);
}

int open_night(const struct setup *setup, const struct eclipse *eclipse, bool rehearsal, double utc,
               struct night *night, struct fault *fault)
{
    double greatest = utc_from_tt(eclipse->tt[CONTACT_GREATEST]);
    double from = isnan(utc) ? -INFINITY : fmin(utc, greatest) - YEARS_BEHIND_S;
    double to = isnan(utc) ? INFINITY : fmax(utc, greatest) + YEARS_AHEAD_S;
    struct zone_table zone;

    if (zone_load(setup->site.zone, from, to, &zone, fault) != 0)
        return -1;
    return night_open(night, setup, eclipse, &zone, rehearsal, fault);
}

int load_forecast(struct night *night, struct fault *fault)
{
    static struct forecast forecast;
    const char *path = night->setup.site.forecast;

    if (*path == '\0')
        return 0;
    if (forecast_read(path, &forecast, fault) != 0)
        return -1;
    night_take_forecast(night, &forecast);
    return 0;
}
