/* The commands that open the dashboard: for the night itself, and for a rehearsal of it. */
#include "live.h"

#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/pages.h>
#include <moonstand/pick.h>

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct live live_night;
/* As it was read; given back when the night has taken it. */
static struct setup *opened_setup;

enum front {
    FRONT_MOMENT, /* into a pipe or a file: the moment, once */
    FRONT_LINES,  /* a line per change: on request, or where the terminal cannot place text */
    FRONT_SCREEN
};

static enum front choose_front(const struct options *options)
{
    const char *term = getenv("TERM");
    bool places = term && *term && strcmp(term, "dumb") != 0 && strcmp(term, "unknown") != 0;

    if (!isatty(STDOUT_FILENO))
        return FRONT_MOMENT;
    if (options->plain)
        return FRONT_LINES;
    if (!isatty(STDIN_FILENO))
        return FRONT_MOMENT;
    return places ? FRONT_SCREEN : FRONT_LINES;
}

static int make_setup(struct fault *fault)
{
    opened_setup = pages_fetch(malloc(sizeof *opened_setup), sizeof *opened_setup);
    return opened_setup ? 0 : fault_set(fault, "out of memory");
}

static bool is_demo(void)
{
    return strcmp(opened_setup->site.name, DEMO_SITE) == 0;
}

/* On the open terminal, or by lines. */
static int show_live(const struct options *options, struct loop *loop, const struct clock *clock,
                     const struct eclipse *eclipse, bool rehearsal, const char *hint)
{
    char usual[PATH_SIZE];
    struct fault fault, look_fault;
    struct session_start start = {.setup = opened_setup,
                                  .setup_file =
                                      is_demo() ? NULL : setup_file(options, usual, &fault),
                                  .laid_over = options->site || options->shadow,
                                  .eclipse = eclipse,
                                  .rehearsal = rehearsal,
                                  .folder = options->session};

    (void)pages_fetch(&live_night, offsetof(struct live, followed.sites));
    int look = look_open(&live_night, options->theme, opened_setup->theme, &look_fault);
    if (look < 0 || session_open(&live_night.session, clock, &start, &fault) != 0) {
        term_close();
        return complain(EXIT_BAD_INPUT, look < 0 ? &look_fault : &fault);
    }
    free(opened_setup);
    /* What a resumed session has to say goes first. */
    if (*hint && !*session_message(&live_night.session))
        session_say(&live_night.session, "%s", hint);
    if (look > 0)
        session_say(&live_night.session, "%.200s", look_fault.text);
    return live_run(&live_night, loop, options);
}

/* `hint` is one line about what the user may not know, "" for none: on the screen, or after the
 * text. */
static int show(const struct options *options, const struct clock *clock,
                const struct eclipse *eclipse, bool rehearsal, const char *hint)
{
    enum front front = choose_front(options);
    struct fault fault;
    struct loop loop;

    /* Signals wait for the loop from before the terminal is changed, and until it is given back. */
    if (front != FRONT_MOMENT && loop_open(&loop, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    /* Before the session: a terminal that cannot hold the screen leaves no trace in the record. */
    if (front == FRONT_SCREEN && term_open(&fault) != 0) {
        (void)complain(EXIT_MACHINE, &fault);
        loop_close(&loop);
        front = FRONT_MOMENT;
    }
    if (front != FRONT_MOMENT) {
        live_night.by_lines = front == FRONT_LINES;
        /* The loop stays open: no signal can ask for more than the end that has come. */
        return show_live(options, &loop, clock, eclipse, rehearsal, hint);
    }
    int status = print_night(options, opened_setup, eclipse, rehearsal, clock->utc(clock));
    if (*hint)
        printf("Note       %s\n", hint);
    return status;
}

/* ---- the night ---- */

/* Shading that an attentive eye sees: such a penumbral eclipse is offered where it comes first. */
#define PENUMBRAL_OFFERED 0.6

/* Another eclipse that the user may want: one that is up instead of one that is not, or a penumbral
 * one that comes first. */
static void offer_other(const struct options *options, double utc, const struct eclipse *eclipse,
                        char *hint, size_t size)
{
    const struct site *site = &opened_setup->site;
    double greatest = eclipse->tt[CONTACT_GREATEST];
    char day[TEXT_INSTANT];
    struct eclipse other;
    bool is_seen = eclipse_is_seen(eclipse, site);

    *hint = '\0';
    if (options->eclipse ||
        !eclipse_pick(site, opened_setup->rule, utc, is_seen ? PENUMBRAL_OFFERED : NAN, &other) ||
        (is_seen && other.tt[CONTACT_GREATEST] >= greatest))
        return;
    (void)snprintf(hint, size, "%s: --eclipse %s", other_eclipse_words(is_seen),
                   eclipse_day(day, &other));
}

/* No site yet: at a terminal the setup's questions come first. */
static int first_setup(struct options *options, struct fault *fault)
{
    char path[PATH_SIZE];

    if (options->setup_path || path_setup(path, fault) != 0 || access(path, F_OK) == 0 ||
        !isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return complain_that(
            EXIT_BAD_INPUT, "no site yet: 'moonstand setup' asks for it, --site LAT,LON[,ELEV_M] "
                            "gives one for now, 'moonstand rehearse --demo' shows a night of ours");
    puts("Moonstand does not know yet where you stand and what you shoot with. A few\n"
         "questions, then the dashboard opens on the next eclipse that is up from there.\n"
         "(To look around first: Ctrl-C, then moonstand rehearse --demo.)");
    int status = ask_setup(path);
    if (status != EXIT_DONE)
        return status;
    return load_setup(options, opened_setup, fault) == 0 ? EXIT_DONE
                                                         : complain(EXIT_BAD_INPUT, fault);
}

int command_dashboard(struct options *options)
{
    struct fault fault;
    struct clock clock;
    struct eclipse eclipse;
    char hint[80];

    clock_machine(&clock);
    if (make_setup(&fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    if (session_options(options, &fault) != 0 || load_setup(options, opened_setup, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    bool is_first = !opened_setup->has_site;
    int status = is_first ? first_setup(options, &fault) : EXIT_DONE;
    if (status == EXIT_DONE)
        status = choose_eclipse(options, opened_setup, clock.utc(&clock), false, &eclipse);
    if (status != EXIT_DONE)
        return status;
    offer_other(options, clock.utc(&clock), &eclipse, hint, sizeof hint);
    if (is_first && *hint == '\0')
        (void)snprintf(hint, sizeof hint, "welcome: ? lists the keys; tab is the checklist");
    return show(options, &clock, &eclipse, false, hint);
}

/* ---- the rehearsal ---- */

/* Where the user does not say, ten minutes before the umbra, or before greatest of an eclipse that
 * has none. */
static int rehearsal_start(const char *asked, const struct eclipse *eclipse, double *utc,
                           struct fault *fault)
{
    const char *usual = eclipse->kind == ECLIPSE_PENUMBRAL ? "greatest-10m" : "U1-10m";
    const char *text = asked ? asked : usual;
    struct contact_offset offset;

    if (contact_offset_parse(text, &offset, fault) != 0)
        return -1;
    *utc = utc_from_tt(contact_offset_tt(&offset, eclipse));
    if (isfinite(*utc))
        return 0;
    return fault_set(fault, "--from %s: this eclipse has no such contact", text);
}

static int load_rehearsal(struct options *options, struct fault *fault)
{
    if (!options->demo && load_setup(options, opened_setup, fault) != 0)
        return -1;
    if (options->demo || !opened_setup->has_site)
        demo_setup(opened_setup);
    if (!options->eclipse && is_demo())
        options->eclipse = DEMO_ECLIPSE_DAY;
    return 0;
}

int command_rehearse(struct options *options)
{
    struct fault fault;
    struct clock clock;
    struct eclipse eclipse;
    double utc = machine_utc();

    if (make_setup(&fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    if (session_options(options, &fault) != 0 || load_rehearsal(options, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    bool is_instant = options->from && parse_instant(options->from, &utc, NULL) == 0;
    int status = choose_eclipse(options, opened_setup, utc, false, &eclipse);
    if (status != EXIT_DONE)
        return status;
    if (!is_instant && rehearsal_start(options->from, &eclipse, &utc, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    clock_shifted(&clock, utc, isfinite(options->speed) ? options->speed : 1);
    return show(options, &clock, &eclipse, true,
                is_demo() ? "a demo; for a night of your own: moonstand setup" : "");
}
