#include "session.h"

#include <moonstand/alive.h>
#include <moonstand/clock_words.h>
#include <moonstand/forecast_file.h>
#include <moonstand/key_words.h>
#include <moonstand/record_words.h>
#include <moonstand/setup_file.h>
#include <moonstand/setup_words.h>

#include <math.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define MESSAGE_S 6.0
#define ALIVE_EVERY_S 60.0
/* So long the user can go on typing before the word about a vanished journal may go. */
#define STANDING_S 20.0
/* Wall clock against boot clock: more than this was a clock set by hand or by the network. */
#define CLOCK_SET_S 1.5
/* How long each thing that was missed stays on the screen. */
#define MISSED_EACH_S 4.0
/* And each thing that the program did by itself, when there are several. */
#define DONE_EACH_S 3.0
#define RETRY_EVERY_S 10.0
#define REHEARSAL_MARK " rehearsal"
enum { DECIDED_MOST = 20 };

void session_say(struct session *session, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    (void)vsnprintf(session->message, sizeof session->message, format, args);
    va_end(args);
    session->message_boot = session->clock.boot(&session->clock);
    session->message_is_act = false;
}

struct reader session_reader(const struct session *session)
{
    return reader_swapped(reader_local(&session->night), session->hours_swapped,
                          session->units_swapped);
}

static void put_act_words(const struct session *session, const struct act *act, char *out,
                          size_t size)
{
    const struct reader reader = session_reader(session);

    act_words(&session->night, act, &reader, out, size);
}

static void say_act(struct session *session, const struct act *act)
{
    char words[ACT_TEXT];

    put_act_words(session, act, words, sizeof words);
    session_say(session, "%s", words);
}

const char *session_message(const struct session *session)
{
    bool fresh = session->clock.boot(&session->clock) - session->message_boot < MESSAGE_S;

    return fresh ? session->message : *session->missed ? session->missed : session->standing;
}

/* ---- names ---- */

int session_path(const char *name, char path[PATH_SIZE], struct fault *fault)
{
    char folder[PATH_SIZE], what[TEXT_FAULT];
    int length;

    if (strchr(name, '/')) {
        length = snprintf(path, PATH_SIZE, "%s", name);
    } else {
        if (path_sessions(folder, fault) != 0)
            return -1;
        length = snprintf(path, PATH_SIZE, "%s/%s", folder, name);
    }
    if (length <= 0 || length >= PATH_SIZE)
        return fault_set(fault, "the path of session '%.80s' is empty or too long", name);
    while (length > 1 && path[length - 1] == '/')
        path[--length] = '\0';
    if (text_fault(path, what))
        return fault_set(fault, "the path of session '%.80s' has %s; rename the folder", name,
                         what);
    return 0;
}

int session_day(const char *path, char day[SESSION_DAY], double *utc, struct fault *fault)
{
    (void)snprintf(day, SESSION_DAY, "%.*s", SESSION_DAY - 1, path_name(path));
    if (parse_day(day, utc, fault) == 0)
        return 0;
    return fault_set(fault,
                     "%s: the name of a session's folder begins with the day of its eclipse, "
                     "YYYY-MM-DD",
                     path);
}

int session_options(struct options *options, struct fault *fault)
{
    static char path[PATH_SIZE], day[SESSION_DAY], own[PATH_SIZE + sizeof "/" SETUP_BEGAN];
    struct fault trouble;
    double utc;

    if (!options->session)
        return 0;
    if (session_path(options->session, path, fault) != 0 ||
        session_day(path, day, &utc, fault) != 0)
        return -1;
    if (options->eclipse && strcmp(options->eclipse, day) != 0)
        return fault_set(fault, "--session %s is not of the eclipse of %s", options->session,
                         options->eclipse);
    /* The first session of all may be one that is named. If that fails the journal reports why. */
    if (!strchr(options->session, '/'))
        (void)sessions_make(own, &trouble);
    options->session = path;
    options->eclipse = day;
    (void)snprintf(own, sizeof own, "%s/" SETUP_BEGAN, path);
    if (!options->setup_path && !options->demo && access(own, F_OK) == 0)
        options->setup_path = own;
    return 0;
}

bool session_begins_rehearsal(const struct act *act)
{
    return act->kind == ACT_BEGIN && strstr(act->text, REHEARSAL_MARK);
}

/* ---- acts ---- */

static void nothing_is_saved(struct session *session, const struct fault *fault)
{
    (void)snprintf(session->trouble, sizeof session->trouble, "%.190s", fault->text);
}

/* What lets the journal refuse one entry (no more memory, no more numbers) lets it refuse the next
 * ones too: the warning stays. */
static void append(struct session *session, const struct act *act)
{
    struct fault fault;

    if (!session->journal || journal_append(session->journal, act, &fault) == 0)
        return;
    session->unwritten++;
    nothing_is_saved(session, &fault);
}

/* Applies an act, then appends it: one that cannot be written still takes effect. */
static int take_act(struct session *session, struct act *act, struct fault *fault)
{
    /* Entries that this night cannot apply keep their numbers. */
    act->seq = session->journal ? journal_next_seq(session->journal) : 0;
    act->boot_s = session->clock.boot(&session->clock);
    act->utc = round(act->utc * 1000) / 1000; /* as it is written down */
    if (night_apply(&session->night, act, fault) != 0)
        return -1;
    append(session, act);
    return 0;
}

const char *session_looks_on(const struct session *session)
{
    if (!session->looking_on)
        return NULL;
    return *session->standing ? session->standing : "read-only: the other copy takes the keys";
}

static void see(struct session *session, double utc)
{
    (void)memcpy(session->night.card_free_bytes, session->readings.card_free_bytes,
                 sizeof session->night.card_free_bytes);
    night_follow(&session->night, utc);
    moment_at(&session->night, &session->readings, utc, &session->moment);
}

int session_act(struct session *session, struct act *act)
{
    struct fault fault;

    act->utc = session->clock.utc(&session->clock);
    if (session->looking_on) {
        session_say(session, "%s", session_looks_on(session));
        return -1;
    }
    if (take_act(session, act, &fault) != 0) {
        session_say(session, "%.200s", fault.text);
        return -1;
    }
    /* The next key may come in the same second. */
    see(session, act->utc);
    session->missed_from = 0;
    *session->missed = '\0';
    if (session->clock.boot(&session->clock) - session->renewed_boot > STANDING_S)
        *session->standing = '\0';
    say_act(session, act);
    session->message_is_act = true;
    return 0;
}

/* If it cannot be saved it holds for this night all the same. */
static void save_setup(struct session *session)
{
    struct setup setup;
    struct fault fault;

    night_setup(&session->night, &setup);
    if (setup_source_save(&session->source, &setup, &fault) != 0)
        session_say(session, "applied for tonight, but not saved: %.200s", fault.text);
}

void session_undo(struct session *session)
{
    const struct act *last = night_last_undoable(&session->night);
    struct act undo = {.kind = ACT_UNDO, .rig = -1};
    char what[ACT_TEXT];

    if (!last) {
        session_say(session, NOTHING_TO_UNDO_WORDS);
        return;
    }
    undo.ref = last->seq;
    put_act_words(session, last, what, sizeof what);
    bool changes_setup = last->kind == ACT_SETUP;
    if (session_act(session, &undo) != 0)
        return;
    session_say(session, UNDONE_WORDS, what);
    session->message_is_act = true;
    if (changes_setup)
        save_setup(session);
}

int session_setup_edit(struct session *session, const char *path, const char *typed)
{
    struct act act = {.kind = ACT_SETUP, .rig = -1};
    struct setup before, after;
    struct zone_table zone;
    struct fault fault;
    char words[sizeof fault.text];

    (void)snprintf(act.text, sizeof act.text, "%s%s%s", path, typed ? " " : "", typed ? typed : "");
    night_setup(&session->night, &before);
    after = before;
    if (setup_source_edit(&session->source, act.text, &after, &zone, &fault) != 0) {
        session_say(session, "%.200s", setup_in_words(&before, fault.text, words, sizeof words));
        return -1;
    }
    if (setup_is_same(&before, &after)) {
        session_say(session, "%.150s is as it was", setup_path_words(&before, path, words));
        return 0;
    }
    if (session_act(session, &act) != 0)
        return -1;
    save_setup(session);
    return 0;
}

/* Nothing that a key undoes is done without a word, and no alarm is put off without one. */
static bool is_said(const struct act *act)
{
    return act->kind == ACT_SPOTTED || (act->kind == ACT_PLACE && isfinite(act->value[2]));
}

static void take_own(struct session *session, struct act *acts, int count)
{
    struct fault fault;

    for (int i = 0; i < count; i++) {
        bool said = is_said(&acts[i]);

        /* What must wait for its turn is decided again at the next step. */
        if ((said && session->last_boot - session->done_boot < DONE_EACH_S) ||
            take_act(session, &acts[i], &fault) != 0)
            continue;
        if (acts[i].kind == ACT_MISSED && session->missed_from == 0) {
            session->missed_from = session->night.act_count - 1;
            session->missed_boot = acts[i].boot_s + MESSAGE_S;
        }
        if (said) {
            session->done_boot = session->last_boot;
            say_act(session, &acts[i]);
        }
    }
}

/* ---- what was missed ---- */

/* Records that nobody watched, and what was due meanwhile. */
static void take_gap(struct session *session, double from_utc, double to_utc, double clock_set_s)
{
    struct act acts[NIGHT_MISSED];

    take_own(session, acts,
             night_missed(&session->night, from_utc, to_utc, clock_set_s, acts, NIGHT_MISSED));
    say_act(session, &acts[0]);
    session->alive_boot = -INFINITY;
}

/* "missed 2 of 5: U1 at 20:07:42", the next one every few seconds. */
static void tell_missed(struct session *session, double boot)
{
    const struct night *night = &session->night;
    const struct subject about = {night, NULL, session_reader(session)};
    int count = 0, turn, at = 0;

    *session->missed = '\0';
    if (session->missed_from == 0)
        return;
    for (size_t i = session->missed_from; i < night->act_count; i++)
        count += night->acts[i].kind == ACT_MISSED;
    if (count == 0)
        return;
    turn = (int)(fmax(boot - session->missed_boot, 0) / MISSED_EACH_S) % count;
    for (size_t i = session->missed_from; i < night->act_count; i++)
        if (night->acts[i].kind == ACT_MISSED && at++ == turn)
            (void)missed_turn_words(&about, &night->acts[i], turn + 1, count, session->missed);
}

/* ---- opening ---- */

static void replay(void *context, struct act *act)
{
    struct session *session = context;
    struct fault fault;

    /* What this program cannot apply (another setup's rig or item) stays in the file untouched. */
    (void)night_replay(&session->night, act, &fault);
}

/* Damage stays on the screen until the first act. */
static void tell_damage(struct session *session)
{
    char text[JOURNAL_DAMAGE];

    journal_state(session->journal, &session->written);
    if (journal_damage(&session->written, text))
        (void)snprintf(session->standing, sizeof session->standing, "journal: %s", text);
}

static void open_journal(struct session *session)
{
    struct fault fault;
    int result = journal_open(session->folder, true, replay, session, &session->journal, &fault);

    if (result == 1) {
        session->looking_on = true;
        result = journal_open(session->folder, false, replay, session, &session->journal, &fault);
    }
    night_fold(&session->night);
    if (result != 0)
        nothing_is_saved(session, &fault);
    else if (!session->looking_on)
        tell_damage(session);
}

/* The one that is named, else the usual one: the day of the eclipse. */
static int make_folder(struct session *session, struct fault *fault)
{
    char day[TEXT_INSTANT];

    if (*session->folder) {
        /* If that fails the journal reports why. */
        (void)mkdir(session->folder, 0700);
        return 0;
    }
    return session_make(eclipse_day(day, &session->night.eclipse), session->night.rehearsal,
                        session->night.rehearsal, session->folder, fault);
}

void session_keep(struct session *session)
{
    struct fault fault;

    if (!session->journal || session->setup_kept || session->looking_on)
        return;
    session->setup_kept =
        setup_keep(session->folder, SETUP_BEGAN, &session->night.began.setup, &fault) == 0;
    if (!session->setup_kept)
        session_say(session, "%.200s", fault.text);
}

static int open_with(struct session *session, const struct setup *setup,
                     const struct session_start *start, struct fault *fault)
{
    struct night *night = &session->night;

    if (open_night(setup, start->eclipse, start->rehearsal, session->last_utc, night, fault) != 0)
        return -1;
    night->pace = fmax(session->clock.speed, 1);
    night->editor = (struct setup_editor){setup_source_edit, &session->source};
    return 0;
}

/* A session that has a setup goes on with that, for now. Without one, or if the night cannot be opened
 * with it, it stays open as it is. */
static void open_with_kept(struct session *session, const struct session_start *start)
{
    struct setup kept;
    struct fault fault;

    (void)journal_check(session->folder, &session->source.doubt);
    if (setup_kept(session->folder, SETUP_BEGAN, &kept, &fault) != 0)
        return;
    setup_source_trust(&kept, start->setup);
    session->setup_kept = open_with(session, &kept, start, &fault) == 0;
}

/* Begins anew with another setup: there may be acts that fit only this one. */
static int open_anew(struct session *session, const struct setup *setup,
                     const struct session_start *start, struct fault *fault)
{
    struct journal *again;
    struct fault trouble;

    if (open_with(session, setup, start, fault) != 0)
        return -1;
    if (!session->journal)
        return 0;
    if (journal_open(session->folder, false, replay, session, &again, &trouble) == 0)
        (void)journal_close(again);
    night_fold(&session->night);
    session->setup_kept = false;
    return 0;
}

/* Where changes are saved: in the file that was read, but what a session has kept stays as it is. */
static void save_changes_in(struct session *session, const char *file, const char *kept)
{
    struct stat a, b;

    if (stat(kept, &a) == 0 && stat(file, &b) == 0 && a.st_dev == b.st_dev && a.st_ino == b.st_ino)
        return;
    (void)snprintf(session->source.file, sizeof session->source.file, "%s", file);
    session->source.written_utc = file_written_utc(file);
}

/* What the session goes on with: 1 where it begins anew with a setup, 0 where it has one; -1 with a
 * fault. A file goes first if it was written since the session began, or if it is another one. */
static int settle_setup(struct session *session, const struct session_start *start,
                        struct fault *fault)
{
    const struct night *night = &session->night;
    const char *file = start->setup_file ? start->setup_file : "";
    char kept[PATH_SIZE + sizeof "/" SETUP_BEGAN];
    bool goes_first = false;
    struct setup setup;

    if (session->looking_on)
        return 0;
    (void)snprintf(kept, sizeof kept, "%s/" SETUP_BEGAN, session->folder);
    if (!start->laid_over)
        save_changes_in(session, file, kept);
    /* Nothing is folded over the setup that the night is open with, and it stays. */
    if (!session->setup_kept && night->act_count == 0)
        return 1;
    if (*file)
        goes_first = file_written_utc(file) > file_written_utc(kept) ||
                     (!start->laid_over && !setup_is_same(start->setup, &night->began.setup));
    bool is_new = setup_source_is_new(night, start->setup, goes_first, &setup);
    if (!is_new && session->setup_kept)
        return session->journal == NULL;
    return open_anew(session, &setup, start, fault) == 0 ? 1 : -1;
}

static const struct act *last_act(const struct night *night)
{
    return night->act_count ? &night->acts[night->act_count - 1] : NULL;
}

static void take_gap_since(struct session *session, const struct act *last)
{
    /* The program watched until the sign of life, or the last entry if that is later. */
    double until = fmax(alive_utc(session->folder), last->utc);
    double set = session->last_utc - last->utc - (session->last_boot - last->boot_s);

    /* By how much the clock was set is not known if the machine has been started anew, nor in a
     * rehearsal, whose clock starts where the user chose. */
    if (session->night.rehearsal || !(fabs(set) >= CLOCK_SET_S))
        set = 0;
    if (session->last_utc - until - set > GAP_S || set != 0)
        take_gap(session, until, session->last_utc, set);
}

/* A rehearsal starts in the middle of a night: what was due before it counts as done. */
static void tick_what_is_past(struct session *session)
{
    const struct checklist *list = &session->night.setup.checklist;
    struct fault fault;

    for (int i = 0; i < list->count; i++) {
        struct act past = {.utc = session->last_utc, .kind = ACT_PAST, .rig = -1};
        double due = item_due_utc(&session->night, i);

        (void)snprintf(past.text, sizeof past.text, "%s", list->item[i].id);
        if (due < session->last_utc)
            (void)take_act(session, &past, &fault);
    }
}

/* A rehearsal that is taken up again goes on no earlier than its record does: what is still to come
 * holds for no screen. */
static void go_on(struct session *session)
{
    const struct act *last = last_act(&session->night);
    double ahead = last ? last->utc - session->last_utc : 0;

    if (!session->night.rehearsal || !(ahead > 0))
        return;
    clock_forward(&session->clock, ceil(ahead));
    session->last_utc = session->clock.utc(&session->clock);
}

static void begin_session(struct session *session, bool anew)
{
    struct act start = {.utc = session->last_utc, .kind = ACT_BEGIN, .rig = -1, .value = {anew}};
    const struct act *last = last_act(&session->night);
    bool ended = last && last->kind == ACT_END;
    size_t known = session->night.act_count;
    struct fault fault;

    if (session->looking_on)
        return;
    if (last) {
        night_follow(&session->night, session->last_utc);
        take_gap_since(session, last);
        session_say(session, "%s: %zu entries taken up again",
                    ended ? "session opened" : "session resumed", known);
    }
    (void)snprintf(start.text, sizeof start.text, MOONSTAND_VERSION "%s",
                   session->night.rehearsal ? REHEARSAL_MARK : "");
    (void)take_act(session, &start, &fault);
    if (!known && session->night.rehearsal) {
        night_follow(&session->night, session->last_utc);
        tick_what_is_past(session);
    }
}

/* A rehearsal does not mix with the record of the real night. */
static int check_kind(const struct session *session, struct fault *fault)
{
    const struct night *night = &session->night;

    for (size_t i = 0; i < night->act_count; i++)
        if (night->acts[i].kind == ACT_BEGIN &&
            session_begins_rehearsal(&night->acts[i]) != night->rehearsal)
            return fault_set(fault,
                             "%s is the record of a %s: '%s' opens it; or give another --session",
                             session->folder, night->rehearsal ? "real night" : "rehearsal",
                             night->rehearsal ? "moonstand" : "moonstand rehearse");
    return 0;
}

int session_open(struct session *session, const struct clock *clock,
                 const struct session_start *start, struct fault *fault)
{
    struct fault trouble;

    (void)memset(session, 0, offsetof(struct session, night));
    session->clock = *clock;
    session->message_boot = session->alive_boot = session->done_boot = -INFINITY;
    session->renewed_boot = -INFINITY;
    session->retry_boot = clock->boot(clock);
    readings_none(&session->readings);
    session->last_utc = clock->utc(clock);
    session->last_boot = clock->boot(clock);
    if (open_with(session, start->setup, start, fault) != 0)
        return -1;
    if (start->folder)
        (void)snprintf(session->folder, sizeof session->folder, "%s", start->folder);
    if (make_folder(session, &trouble) != 0) {
        nothing_is_saved(session, &trouble);
    } else {
        open_with_kept(session, start);
        open_journal(session);
    }
    int anew = check_kind(session, fault) == 0 ? settle_setup(session, start, fault) : -1;
    if (anew < 0) {
        if (session->journal)
            (void)journal_close(session->journal);
        night_close(&session->night);
        return -1;
    }
    /* The numbers in a journal that cannot be read are not known. Those of this run begin where no
     * night gets to, at the milliseconds since 1970, so that they follow whatever it holds. */
    if (!session->journal)
        session->night.last_seq = (uint64_t)(machine_utc() * 1000);
    go_on(session);
    begin_session(session, anew);
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
        lost = journal_close(session->journal) + session->unwritten;
    else if (!session->looking_on)
        lost = (int)session->night.act_count;
    session->journal = NULL;
    night_close(&session->night);
    return lost;
}

/* ---- the step ---- */

/* Sleep shows in the boot clock, a clock that was set as a difference between both clocks. */
static void notice_gap(struct session *session, double utc, double boot)
{
    double passed = boot - session->last_boot;
    double jump = utc - session->last_utc - passed * session->clock.speed;
    double set = fabs(jump) >= CLOCK_SET_S ? jump : 0;

    if (!session->looking_on && (passed >= GAP_S || set != 0))
        take_gap(session, session->last_utc, utc, set);
}

/* What a journal holds that could not be read when the session was opened. */
struct earlier {
    size_t count;
    bool begun[2]; /* as a real night, as a rehearsal */
};

static void count_earlier(void *context, struct act *act)
{
    struct earlier *earlier = context;

    earlier->count++;
    if (act->kind == ACT_BEGIN)
        earlier->begun[session_begins_rehearsal(act)] = true;
}

/* A folder that could not be made, opened or read is tried again; then the whole night so far is
 * written, behind what is there: its numbers are higher. */
static void try_journal_again(struct session *session)
{
    const struct night *night = &session->night;
    struct earlier earlier = {0};
    struct fault fault;

    if (make_folder(session, &fault) != 0 ||
        journal_open(session->folder, true, count_earlier, &earlier, &session->journal, &fault) !=
            0) {
        nothing_is_saved(session, &fault);
        return;
    }
    if (earlier.begun[!night->rehearsal]) {
        (void)journal_close(session->journal);
        session->journal = NULL;
        (void)fault_set(&fault, "%.150s is the record of a %s", session->folder,
                        night->rehearsal ? "real night" : "rehearsal");
        nothing_is_saved(session, &fault);
        return;
    }
    *session->trouble = '\0';
    for (size_t i = 0; i < night->act_count; i++)
        append(session, &night->acts[i]);
    if (earlier.count > 0)
        (void)snprintf(session->standing, sizeof session->standing,
                       "saved again; leave with Q and start again to see the %zu entries of before",
                       earlier.count);
}

/* Whoever looks on cannot take over in place: what it has read may end in the middle of a line. */
static void notice_end_of_writer(struct session *session)
{
    if (journal_is_written(session->journal))
        *session->standing = '\0';
    else
        (void)snprintf(session->standing, sizeof session->standing,
                       "the other copy has ended: leave with Q and start again to take over");
}

static void try_again(struct session *session, double boot)
{
    if (boot - session->retry_boot < RETRY_EVERY_S)
        return;
    session->retry_boot = boot;
    if (!session->looking_on) {
        if (!session->journal)
            try_journal_again(session);
        session_keep(session);
    } else if (session->journal) {
        notice_end_of_writer(session);
        (void)journal_poll(session->journal, NULL); /* a folder made anew is not watched */
    }
}

static void show_alive(struct session *session, double utc, double boot)
{
    /* Also when an event has come: one that was heard is not called missed after a kill. */
    bool heard = session->moment.next != session->alive_next;

    if (session->looking_on || !session->journal ||
        (boot - session->alive_boot < ALIVE_EVERY_S && !heard))
        return;
    session->alive_boot = boot;
    session->alive_next = session->moment.next;
    alive_set(session->folder, utc);
}

/* The file was removed or replaced while the night went on: it has been written anew. The setup
 * beside it may be gone too. */
static void notice_renewed(struct session *session)
{
    if (session->written.renewed == session->renewed)
        return;
    session->renewed = session->written.renewed;
    session->renewed_boot = session->last_boot;
    (void)snprintf(session->standing, sizeof session->standing,
                   "the journal had been removed or changed: all %zu entries saved again",
                   session->night.act_count);
    session->setup_kept = false;
    session_keep(session);
}

void session_step(struct session *session)
{
    struct act acts[DECIDED_MOST];
    double utc = session->clock.utc(&session->clock), boot = session->clock.boot(&session->clock);

    try_again(session, boot);
    notice_gap(session, utc, boot);
    session->last_utc = utc;
    session->last_boot = boot;
    see(session, utc);
    if (!session->looking_on)
        take_own(session, acts,
                 night_decide(&session->night, &session->moment, acts, DECIDED_MOST));
    if (session->journal)
        journal_state(session->journal, &session->written);
    notice_renewed(session);
    tell_missed(session, boot);
    show_alive(session, utc, boot);
}
