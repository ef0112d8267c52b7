/* The commands that print and end. */
#include "app.h"

#include <moonstand/forecast_file.h>
#include <moonstand/pick.h>
#include <moonstand/report.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- nights ---- */

static int parse_kind(const char *name, int *kind, struct fault *fault)
{
    *kind = 0;
    if (!name || strcmp(name, "any") == 0)
        return 0;
    for (int i = ECLIPSE_PENUMBRAL; i <= ECLIPSE_TOTAL; i++)
        if (strcmp(name, eclipse_kind_name((enum eclipse_kind)i)) == 0) {
            *kind = i;
            return 0;
        }
    return fault_set(fault, "--kind: '%.40s' is none of any, penumbral, partial, total", name);
}

static int parse_span_of_days(const struct options *options, double *from, double *to,
                              struct fault *fault)
{
    struct fault cause;

    if (parse_day(options->from, from, &cause) != 0)
        return fault_set(fault, "--from: %s", cause.text);
    if (parse_day(options->to, to, &cause) != 0)
        return fault_set(fault, "--to: %s", cause.text);
    if (*to < *from)
        return fault_set(fault, "--to %s lies before --from %s", options->to, options->from);
    *to += SECONDS_PER_DAY;
    return 0;
}

/* Those of a kind (0: any); how many, or -1. */
static int make_entries(const struct eclipse *eclipses, size_t count, int kind,
                        const struct observer *observer, struct nights_entry *entries)
{
    int made = 0;

    for (size_t i = 0; i < count; i++)
        if ((kind == 0 || (int)eclipses[i].kind == kind) &&
            nights_entry_make(&entries[made++], &eclipses[i], observer) != 0)
            return -1;
    return made;
}

static int print_nights(const struct options *options, double from, double to,
                        enum shadow_rule rule, int kind)
{
    /* At most five a year. */
    size_t most = (size_t)((to - from) / (365 * SECONDS_PER_DAY) + 2) * 5;
    struct eclipse *eclipses = malloc(most * sizeof *eclipses);
    struct nights_entry *entries = calloc(most, sizeof *entries);
    struct observer observer;
    int count = -1, status = EXIT_MACHINE;

    if (options->site)
        site_observer(options->site, &observer);
    if (eclipses && entries) {
        size_t found = eclipse_search(tt_from_utc(from), tt_from_utc(to), rule, eclipses, most);

        count = make_entries(eclipses, found, kind, options->site ? &observer : NULL, entries);
    }
    if (count >= 0)
        status = printed(options->json ? report_nights_json(stdout, entries, (size_t)count)
                                       : report_nights_text(stdout, entries, (size_t)count));
    free(eclipses);
    free(entries);
    return status == EXIT_DONE && count == 0 ? EXIT_NOTHING : status;
}

int command_nights(struct options *options)
{
    struct fault fault;
    enum shadow_rule rule = SHADOW_DANJON;
    double from = NAN, to = NAN;
    int kind;

    if (parse_span_of_days(options, &from, &to, &fault) != 0 ||
        (options->shadow && shadow_rule_parse(options->shadow, &rule, &fault) != 0) ||
        parse_kind(options->kind, &kind, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    return print_nights(options, from, to, rule, kind);
}

/* ---- now ---- */

int command_now(struct options *options)
{
    struct fault fault;
    static struct setup setup;
    struct eclipse eclipse;
    double utc = machine_utc();

    if ((options->at && parse_instant(options->at, &utc, &fault) != 0) ||
        load_setup(options, &setup, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (!setup.has_site)
        return complain_that(EXIT_BAD_INPUT,
                             "no site: give --site LAT,LON[,ELEV_M], or write one with "
                             "'moonstand setup'");
    int status = choose_eclipse(options, &setup, utc, true, &eclipse);
    return status == EXIT_DONE ? print_night(options, &setup, &eclipse, false, utc) : status;
}

/* ---- plan ---- */

int command_plan(struct options *options)
{
    struct fault fault;
    static struct setup setup;
    static struct night night;
    struct eclipse eclipse;
    double utc = machine_utc();

    if (load_setup(options, &setup, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    int status = choose_eclipse(options, &setup, utc, false, &eclipse);
    if (status != EXIT_DONE)
        return status;
    if (open_night(&setup, &eclipse, false, NAN, &night, &fault) != 0 ||
        load_forecast(&night, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    night_follow(&night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
    if (options->calendar)
        status = printed(report_calendar(stdout, &night, utc));
    else
        status = printed(options->json ? report_plan_json(stdout, &night)
                                      : report_plan_text(stdout, &night));
    night_close(&night);
    return status;
}

/* ---- sites ---- */

static int view_site(const struct site *site, const struct site *active,
                     const struct eclipse *eclipse, double utc, struct site_view *view,
                     struct fault *fault)
{
    static struct forecast forecast;

    forecast = (struct forecast){.issued_utc = NAN};
    if (*site->forecast && forecast_read(site->forecast, &forecast, fault) != 0)
        return -1;
    if (site_view_make(view, site, eclipse, &forecast, utc) != 0)
        return fault_set(fault, "the sky of that night could not be computed");
    view->active = strcmp(site->name, active->name) == 0;
    return 0;
}

int command_sites(struct options *options)
{
    static struct site_view views[SITES];
    static struct setup setup;
    struct fault fault;
    struct eclipse eclipse;
    double utc = machine_utc();

    if (load_setup(options, &setup, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (setup.site_count == 0 && setup.has_site)
        setup.sites[setup.site_count++] = setup.site;
    if (setup.site_count == 0)
        return complain_that(EXIT_NOTHING, "the setup names no site; see moonstand setup");
    int status = choose_eclipse(options, &setup, utc, false, &eclipse);
    if (status != EXIT_DONE)
        return status;
    for (int i = 0; i < setup.site_count; i++)
        if (view_site(&setup.sites[i], &setup.site, &eclipse, utc, &views[i], &fault) != 0)
            return complain(EXIT_BAD_INPUT, &fault);
    return printed(options->json
                       ? report_sites_json(stdout, views, (size_t)setup.site_count)
                       : report_sites_text(stdout, views, (size_t)setup.site_count, setup.units));
}

/* ---- air ---- */

int command_air(struct options *options)
{
    struct air air;

    air_assess(options->temperature_c, options->humidity_percent, GLASS_COOLING_C, &air);
    return printed(options->json ? report_air_json(stdout, &air) : report_air_text(stdout, &air));
}
