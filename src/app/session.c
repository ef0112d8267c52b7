#include "session.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define MESSAGE_S 6.0
#define ALIVE_EVERY_S 60.0
/* Steps come once a second: a longer silence means that the laptop slept or the program hung. */
#define GAP_S 10.0
/* Wall clock against boot clock: more than this was a clock set by hand or by the network. */
#define CLOCK_SET_S 1.5
enum { DECIDED_MOST = 16, MISSED_MOST = 64 };

void session_say(struct session *session, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    (void)vsnprintf(session->message, sizeof session->message, format, args);
    va_end(args);
    session->message_boot = session->clock.boot(&session->clock);
}

const char *session_message(const struct session *session)
{
    bool fresh = session->clock.boot(&session->clock) - session->message_boot < MESSAGE_S;

    return fresh ? session->message : "";
}

/* ---- acts ---- */

/* Applies and appends; the journal is behind the night by design: what cannot be written still
 * holds. */
static int take_act(struct session *session, struct act *act, struct fault *fault)
{
    /* Numbers of entries that this night refuses to know stay taken. */
    act->seq = session->journal ? journal_next_seq(session->journal) : 0;
    act->boot_s = session->clock.boot(&session->clock);
    if (night_apply(&session->night, act, fault) != 0)
        return -1;
    if (session->journal && journal_append(session->journal, act, fault) != 0)
        session_say(session, "not saved: %.200s", fault->text);
    return 0;
}

int session_act(struct session *session, struct act *act)
{
    struct fault fault;

    act->utc = session->clock.utc(&session->clock);
    if (session->looking_on) {
        session_say(session, "looking on: the other copy takes the keys");
        return -1;
    }
    if (take_act(session, act, &fault) != 0) {
        session_say(session, "%.200s", fault.text);
        return -1;
    }
    if (act->kind != ACT_UNDO)
        act_describe(&session->night, act, session->message, sizeof session->message);
    session->message_boot = session->clock.boot(&session->clock);
    return 0;
}

void session_undo(struct session *session)
{
    const struct act *last = night_last_undoable(&session->night);
    struct act undo = {.kind = ACT_UNDO, .rig = -1};
    char what[ACT_TEXT];

    if (!last) {
        session_say(session, "nothing to take back");
        return;
    }
    undo.ref = last->seq;
    act_describe(&session->night, last, what, sizeof what);
    if (session_act(session, &undo) == 0)
        session_say(session, "taken back: %.200s", what);
}

static void take_own(struct session *session, struct act *acts, int count)
{
    struct fault fault;

    for (int i = 0; i < count; i++)
        (void)take_act(session, &acts[i], &fault);
}

/* ---- opening ---- */

static void replay(void *context, struct act *act)
{
    struct session *session = context;
    struct fault fault;

    /* What this program cannot apply (another setup's rig or item) stays in the file untouched. */
    (void)night_apply(&session->night, act, &fault);
}

static void no_journal(struct session *session, const struct fault *fault)
{
    session->journal = NULL;
    (void)snprintf(session->trouble, sizeof session->trouble, "not saved: %.180s", fault->text);
}

static void open_journal(struct session *session)
{
    struct fault fault;
    int result = journal_open(session->folder, true, replay, session, &session->journal, &fault);

    if (result == 1) {
        session->looking_on = true;
        result = journal_open(session->folder, false, replay, session, &session->journal, &fault);
    }
    if (result != 0)
        no_journal(session, &fault);
}

static int make_folder(struct session *session, const char *folder, struct fault *fault)
{
    double greatest = utc_from_tt(session->night.eclipse.tt[CONTACT_GREATEST]);
    char day[TEXT_INSTANT];

    if (folder) {
        (void)snprintf(session->folder, sizeof session->folder, "%s", folder);
        return 0;
    }
    format_iso(day, greatest, 0, "");
    day[strlen("YYYY-MM-DD")] = '\0';
    return session_make(day, session->night.rehearsal, session->night.rehearsal, session->folder,
                        fault);
}

/* The setup that a session began with stays beside its journal: a report years later needs it. */
static void keep_setup(struct session *session)
{
    char path[PATH_SIZE + sizeof "/setup.json"];
    struct fault fault;

    (void)snprintf(path, sizeof path, "%s/setup.json", session->folder);
    if (access(path, F_OK) != 0 && setup_write(path, &session->night.setup, &fault) != 0)
        session_say(session, "%.200s", fault.text);
}

/* Until when somebody was told: the sign of life, or the last entry where that is later. */
static double told_until(const struct session *session)
{
    const struct night *night = &session->night;
    double last = night->act_count ? night->acts[night->act_count - 1].utc : NAN;

    return fmax(alive_utc(session->folder), last);
}

static bool ended_as_wished(const struct night *night)
{
    return night->act_count && night->acts[night->act_count - 1].kind == ACT_END;
}

/* A rehearsal starts in the middle of a night: what was due before it counts as done. */
static void tick_what_is_past(struct session *session)
{
    const struct checklist *list = &session->night.setup.checklist;
    struct fault fault;

    for (int i = 0; i < list->count; i++) {
        struct act tick = {.utc = session->last_utc, .kind = ACT_CHECK, .rig = -1, .value = {1}};
        double due = item_due_utc(&session->night, i);

        (void)snprintf(tick.text, sizeof tick.text, "%s", list->item[i].id);
        if (due < session->last_utc)
            (void)take_act(session, &tick, &fault);
    }
}

static void begin(struct session *session)
{
    struct act acts[MISSED_MOST];
    struct act start = {.utc = session->last_utc, .kind = ACT_BEGIN, .rig = -1};
    double until = told_until(session);
    size_t known = session->night.act_count;
    struct fault fault;

    if (session->looking_on)
        return;
    if (session->journal)
        keep_setup(session);
    night_follow(&session->night, session->last_utc);
    if (known && session->last_utc - until > GAP_S)
        take_own(session, acts,
                 night_missed(&session->night, until, session->last_utc, acts, MISSED_MOST));
    if (known)
        session_say(session, "%s: %zu entries taken up again",
                    ended_as_wished(&session->night) ? "session opened" : "session resumed", known);
    (void)snprintf(start.text, sizeof start.text, MOONSTAND_VERSION);
    (void)take_act(session, &start, &fault);
    if (!known && session->night.rehearsal)
        tick_what_is_past(session);
}

int session_open(struct session *session, const struct clock *clock, const struct setup *setup,
                 const struct eclipse *eclipse, bool rehearsal, const char *folder,
                 struct fault *fault)
{
    struct fault trouble;

    *session =
        (struct session){.clock = *clock, .message_boot = -INFINITY, .alive_boot = -INFINITY};
    readings_none(&session->readings);
    session->last_utc = clock->utc(clock);
    session->last_boot = clock->boot(clock);
    if (open_night(setup, eclipse, rehearsal, session->last_utc, &session->night, fault) != 0)
        return -1;
    session->night.pace = fmax(clock->speed, 1);
    if (make_folder(session, folder, &trouble) != 0)
        no_journal(session, &trouble);
    else
        open_journal(session);
    begin(session);
    return 0;
}

int session_close(struct session *session)
{
    struct act end = {.utc = session->clock.utc(&session->clock), .kind = ACT_END, .rig = -1};
    struct fault fault;
    int lost = 0;

    if (!session->looking_on)
        (void)take_act(session, &end, &fault);
    if (session->journal)
        lost = journal_close(session->journal);
    session->journal = NULL;
    night_close(&session->night);
    return lost;
}

/* ---- the step ---- */

/* Sleep and a clock that was set both show as a difference between what passed and what was seen.
 */
static void notice_gap(struct session *session, double utc, double boot)
{
    struct act acts[MISSED_MOST];
    double passed = boot - session->last_boot;
    double jump = utc - session->last_utc - passed * session->clock.speed;

    if (session->looking_on || (passed < GAP_S && fabs(jump) < CLOCK_SET_S))
        return;
    take_own(session, acts,
             night_missed(&session->night, session->last_utc, utc, acts, MISSED_MOST));
    session_say(session, passed >= GAP_S ? "nobody watched for a while: see what was missed"
                                         : "the clock was set: all times follow it");
}

static void show_alive(struct session *session, double utc, double boot)
{
    if (session->looking_on || !session->journal || boot - session->alive_boot < ALIVE_EVERY_S)
        return;
    session->alive_boot = boot;
    alive_set(session->folder, utc);
}

void session_step(struct session *session)
{
    struct act acts[DECIDED_MOST];
    double utc = session->clock.utc(&session->clock), boot = session->clock.boot(&session->clock);

    notice_gap(session, utc, boot);
    session->last_utc = utc;
    session->last_boot = boot;
    night_follow(&session->night, utc);
    moment_at(&session->night, &session->readings, utc, &session->moment);
    if (!session->looking_on) {
        int count = night_decide(&session->night, &session->moment, acts, DECIDED_MOST);

        take_own(session, acts, count);
    }
    if (session->journal)
        journal_state(session->journal, &session->written);
    show_alive(session, utc, boot);
}
