/* The commands that read what a session recorded. */
#include "picture_order.h"
#include "session.h"

#include <moonstand/alive.h>
#include <moonstand/pick.h>
#include <moonstand/report.h>
#include <moonstand/setup_file.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { SESSIONS_SHOWN = 1000 };

static char shown_names[SESSIONS_SHOWN][SESSION_NAME];

/* ---- sessions ---- */

struct tally {
    size_t acts;
    double first_utc, last_utc;
    double did_utc;     /* the last thing that the user did; NaN: nothing */
    double written_utc; /* when the journal was last written; NaN: there is none */
    bool rehearsal;
};

static void count_act(void *context, struct act *act)
{
    struct tally *tally = context;

    if (tally->acts++ == 0)
        tally->first_utc = act->utc;
    tally->last_utc = act->utc;
    if (act_form(act->kind)->has & BY_USER || act->kind == ACT_UNDO)
        tally->did_utc = act->utc;
    tally->rehearsal |= session_begins_rehearsal(act);
}

/* Every act of a session, without touching it; `state` has what was damaged. */
static int read_session(const char *path, journal_take *take, void *context,
                        struct journal_state *state, struct fault *fault)
{
    struct journal *journal;

    if (journal_open(path, false, take, context, &journal, fault) != 0)
        return -1;
    journal_state(journal, state);
    (void)journal_close(journal);
    return 0;
}

static void tell_past_damage(const char *path, const struct journal_state *state)
{
    char text[JOURNAL_DAMAGE];

    if (journal_damage(state, text))
        fprintf(stderr, "moonstand: %s: %s\n", path, text);
}

/* Reads what a session holds; -1 with a fault. A folder without a journal, of a night that nothing
 * could be written of, has no entries. */
static int count_session(const char *path, struct tally *tally, struct journal_state *state,
                         struct fault *fault)
{
    *tally = (struct tally){.did_utc = NAN, .written_utc = journal_written_utc(path)};
    *state = (struct journal_state){0};
    return read_session(path, count_act, tally, state, fault) != 0 && isfinite(tally->written_utc)
               ? -1
               : 0;
}

/* The exit status. A name that is not clean is cleaned. */
static int print_session(char *name)
{
    char path[PATH_SIZE], from[TEXT_INSTANT], to[TEXT_INSTANT];
    struct journal_state state;
    struct tally tally;
    struct fault fault;

    if (session_path(name, path, &fault) != 0 || count_session(path, &tally, &state, &fault) != 0) {
        text_clean(name);
        printf("%-28s cannot be read\n", name);
        return complain(EXIT_MACHINE, &fault);
    }
    if (tally.acts == 0)
        printf("%-28s no entries\n", name);
    else
        printf("%-28s %5zu entries, %s to %s\n", name, tally.acts,
               format_iso(from, tally.first_utc, 0, "Z"), format_iso(to, tally.last_utc, 0, "Z"));
    tell_past_damage(path, &state);
    return EXIT_DONE;
}

int command_sessions(struct options *options)
{
    static const char *listed[SESSIONS_SHOWN];
    struct fault fault;
    size_t clean = 0;
    int count = session_list(shown_names, SESSIONS_SHOWN, &fault), status = EXIT_DONE;

    if (count < 0)
        return complain(EXIT_MACHINE, &fault);
    for (int i = 0; i < count; i++) {
        if (text_is_clean(shown_names[i]))
            listed[clean++] = shown_names[i];
        if (!options->json && print_session(shown_names[i]) != EXIT_DONE)
            status = EXIT_MACHINE;
    }
    if (printed(options->json ? report_names_json(stdout, listed, clean) : 0) != EXIT_DONE)
        return EXIT_MACHINE;
    return count == 0 ? EXIT_NOTHING : status;
}

/* ---- report ---- */

/* A session that is read: never written to. */
struct recorded {
    char path[PATH_SIZE];
    struct setup_source source;
    struct night night;
    int left_out; /* entries that do not fit the session's setup */
};

static struct recorded recorded_night, recorded_other;

static void take_late_act(void *context, struct act *act)
{
    struct recorded *recorded = context;
    struct fault fault;

    recorded->night.rehearsal |= session_begins_rehearsal(act);
    if (night_replay(&recorded->night, act, &fault) != 0)
        recorded->left_out++;
}

/* Whether a session goes before another as the one that is meant: one in which the user did something
 * before one that holds only what the program writes by itself; then a real night before a rehearsal,
 * whose acts are on a shifted clock; then the one in which something was done later, or that was
 * written later. */
static bool goes_before(const struct tally *a, const struct tally *b)
{
    bool did = isfinite(a->did_utc), other_did = isfinite(b->did_utc);

    if (did != other_did)
        return did;
    if (a->rehearsal != b->rehearsal)
        return b->rehearsal;
    return did && !a->rehearsal && a->did_utc != b->did_utc ? a->did_utc > b->did_utc
                                                            : a->written_utc > b->written_utc;
}

/* Whether there is anything in a session to report; if it cannot be read, names the cause. */
static bool can_be_reported(const char *name, char path[PATH_SIZE], struct tally *tally,
                            bool *unreadable)
{
    struct journal_state state;
    struct fault fault;

    if (session_path(name, path, &fault) != 0 || count_session(path, tally, &state, &fault) != 0) {
        (void)complain(EXIT_MACHINE, &fault);
        *unreadable = true;
        return false;
    }
    if (tally->acts == 0 && (state.damaged > 0 || state.torn_bytes > 0)) {
        tell_past_damage(path, &state);
        *unreadable = true;
    }
    return tally->acts > 0;
}

static int last_session(char path[PATH_SIZE], struct fault *fault)
{
    int count = session_list(shown_names, SESSIONS_SHOWN, fault);
    struct tally best = {.acts = 0}, tally;
    char candidate[PATH_SIZE];
    bool unreadable = false;

    if (count < 0)
        return -1;
    for (int i = 0; i < count; i++) {
        if (!can_be_reported(shown_names[i], candidate, &tally, &unreadable) ||
            (best.acts > 0 && !goes_before(&tally, &best)))
            continue;
        best = tally;
        (void)memcpy(path, candidate, sizeof candidate);
    }
    if (best.acts == 0)
        return fault_set(fault, unreadable ? "no session that can be read has been recorded"
                                           : "no session has been recorded yet");
    fprintf(stderr, "moonstand: reading session %s\n", path);
    return 0;
}

static int session_eclipse(const struct recorded *recorded, enum shadow_rule rule,
                           struct eclipse *eclipse, struct fault *fault)
{
    char day[SESSION_DAY];
    double utc;

    if (session_day(recorded->path, day, &utc, fault) != 0)
        return -1;
    if (!eclipse_of_day(utc, rule, eclipse))
        return fault_set(fault, "%s: no eclipse has its greatest on that day", recorded->path);
    return 0;
}

/* `name` null: the last session. */
static int open_recorded(struct recorded *recorded, const char *name, struct fault *fault)
{
    struct journal_state state = {0};
    struct eclipse eclipse;
    struct setup setup;

    if ((name ? session_path(name, recorded->path, fault) : last_session(recorded->path, fault)) !=
        0)
        return -1;
    if (access(recorded->path, F_OK) != 0)
        return fault_set(fault, "no such session: %s", recorded->path);
    if (setup_kept(recorded->path, SETUP_BEGAN, &setup, fault) != 0 ||
        session_eclipse(recorded, setup.rule, &eclipse, fault) != 0 ||
        open_night(&setup, &eclipse, false, NAN, &recorded->night, fault) != 0)
        return -1;
    (void)journal_check(recorded->path, &recorded->source.doubt);
    recorded->night.editor = (struct setup_editor){setup_source_edit, &recorded->source};
    if (read_session(recorded->path, take_late_act, recorded, &state, fault) != 0)
        return -1;
    night_fold(&recorded->night);
    recorded->night.alive_utc = alive_utc(recorded->path);
    tell_past_damage(recorded->path, &state);
    night_follow(&recorded->night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
    if (recorded->left_out > 0)
        fprintf(stderr, "moonstand: %s: %d entries do not fit its setup and are left out\n",
                recorded->path, recorded->left_out);
    return 0;
}

/* The exit status after printing. */
static int written(int result, struct fault *fault)
{
    (void)fault_set(fault, "could not write the report");
    return result == 0 && fflush(stdout) == 0 ? EXIT_DONE : EXIT_MACHINE;
}

static int print_comparison(const struct options *options)
{
    const struct compared a = {path_name(recorded_night.path), &recorded_night.night},
                          b = {path_name(recorded_other.path), &recorded_other.night};

    return options->json ? report_comparison_json(stdout, &a, &b)
                         : report_comparison_markdown(stdout, &a, &b);
}

/* The session, with what pictures say of its settings: those of a folder, or those that it saw land. */
static int print_record(const struct options *options, struct fault *fault)
{
    const char *folder = options->operand_count > 0 ? options->operands[0] : recorded_night.path;
    const struct night *night = &recorded_night.night;
    struct pictures pictures = {0};
    int result = EXIT_BAD_INPUT;
    size_t bad;

    if (read_pictures(folder, night, &pictures, &bad, fault) == 0) {
        if (options->json)
            result = report_session_json(stdout, night, &pictures);
        else if (options->csv)
            result = report_session_csv(stdout, night, &pictures);
        else
            result = report_session_markdown(stdout, night, &pictures);
        result = written(result, fault);
    }
    pictures_free(&pictures);
    if (result == EXIT_DONE && bad > 0) {
        (void)fault_set(fault, "%zu could not be read; the others are done", bad);
        result = EXIT_BAD_INPUT;
    }
    return result;
}

static int print_report(const struct options *options, struct fault *fault)
{
    if (options->pictures)
        return order_pictures(options, &recorded_night.night, fault);
    return options->against ? written(print_comparison(options), fault)
                            : print_record(options, fault);
}

int command_report(struct options *options)
{
    struct fault fault;
    int status;

    if (!options->pictures &&
        (options->link || options->pick || options->rig || options->time_card))
        return complain_that(EXIT_BAD_INPUT,
                             "--link, --pick, --rig and --time-card go with --pictures");
    if (options->against && options->operand_count > 0)
        return complain_that(EXIT_BAD_INPUT, "--against takes no FOLDER of pictures");
    if (open_recorded(&recorded_night, options->session, &fault) == 0 &&
        (!options->against || open_recorded(&recorded_other, options->against, &fault) == 0))
        status = print_report(options, &fault);
    else
        status = EXIT_BAD_INPUT;
    night_close(&recorded_night.night);
    night_close(&recorded_other.night);
    return status == EXIT_DONE ? EXIT_DONE : complain(status, &fault);
}
