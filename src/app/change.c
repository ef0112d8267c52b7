/* The setup, changed while the night runs: in force at once, kept with the session, written to the
 * file that it came from. */
#include "session.h"

#include <moonstand/forecast_file.h>
#include <moonstand/pick.h>
#include <moonstand/setup_file.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

/* Large: not on the stack. */
static struct setup fresh, before;

static int put_in_force(struct session *session, const struct setup *setup, struct fault *fault)
{
    struct night *night = &session->night;
    struct eclipse eclipse = night->eclipse;
    double greatest = utc_from_tt(eclipse.tt[CONTACT_GREATEST]);
    struct zone_table zone;
    /* What is put in force is not trusted more than the file that was read. */
    struct trust trust = night->setup.trust.may_run ? setup->trust : night->setup.trust;

    if (setup->rule != night->setup.rule)
        (void)eclipse_of_day(floor(greatest / SECONDS_PER_DAY) * SECONDS_PER_DAY, setup->rule,
                             &eclipse);
    if (zone_load(setup->site.zone, -INFINITY, INFINITY, &zone, fault) != 0)
        return -1;
    night_take_setup(night, setup, &eclipse, &zone);
    night->setup.trust = trust;
    return 0;
}

void session_setup_from(struct session *session, const char *path)
{
    (void)snprintf(session->setup_file, sizeof session->setup_file, "%s", path);
    session->setup_utc = file_written_utc(path);
}

static bool is_as_read(const struct session *session)
{
    double written = file_written_utc(session->setup_file);

    return written == session->setup_utc || (isnan(written) && isnan(session->setup_utc));
}

/* The session was opened by its name: the copy in its folder is the file, and is saved already. */
static bool is_own_copy(const struct session *session)
{
    char kept[PATH_SIZE + sizeof "/setup.json"];
    struct stat a, b;

    (void)snprintf(kept, sizeof kept, "%s/setup.json", session->folder);
    return session->setup_kept && stat(kept, &a) == 0 && stat(session->setup_file, &b) == 0 &&
           a.st_dev == b.st_dev && a.st_ino == b.st_ino;
}

/* Where it cannot be written it holds for this night all the same. */
static void write_down(struct session *session, const struct setup *setup)
{
    struct fault fault;

    if (!*session->setup_file || is_own_copy(session))
        return;
    if (!is_as_read(session))
        (void)fault_set(&fault, "%s has been changed by somebody else", session->setup_file);
    else if (setup_write(session->setup_file, setup, &fault) == 0) {
        session->setup_utc = file_written_utc(session->setup_file);
        return;
    }
    session_say(session, "in force, but not written: %.200s", fault.text);
}

/* Acts name rigs by their number, so that only the last one can go. */
static int check_rigs(const struct night *night, const char *path, const char *typed,
                      struct fault *fault)
{
    char last[ROW_PATH];

    (void)snprintf(last, sizeof last, "rigs[%d]", night->setup.rig_count - 1);
    if (!typed && strncmp(path, "rigs[", strlen("rigs[")) == 0 && strcmp(path, last) != 0 &&
        !strchr(path, '.'))
        return fault_set(fault, "while the night runs only the last rig can be taken out");
    return 0;
}

static bool same_commands(const struct setup *a, const struct setup *b)
{
    return memcmp(a->hook, b->hook, sizeof a->hook) == 0 &&
           memcmp(&a->air.command, &b->air.command, sizeof a->air.command) == 0;
}

/* What may not run is not kept with the session, so that it could not be taken back. */
static int check_commands(const struct setup *from, const struct setup *to, struct fault *fault)
{
    return from->trust.may_run || same_commands(from, to)
               ? 0
               : fault_set(fault, "commands are not taken: %s",
                           *from->trust.doubt ? from->trust.doubt : "the setup has no file");
}

static void say_change(const char *path, const char *typed, char out[ACT_TEXT])
{
    (void)snprintf(out, ACT_TEXT, "%s %s", path,
                   !typed    ? "taken out"
                   : !*typed ? "left out"
                             : typed);
    text_clean(out); /* it may be cut inside a character */
}

int session_setup_edit(struct session *session, const char *path, const char *typed)
{
    struct act act = {.kind = ACT_SETUP, .rig = -1, .value = {NAN}};
    struct fault fault;
    int kept = -1;

    if (session->looking_on) {
        session_say(session, "%s", session_looks_on(session));
        return -1;
    }
    session_setup(session, &before);
    if (check_rigs(&session->night, path, typed, &fault) != 0 ||
        setup_edit(&before, path, typed, &fresh, &fault) != 0 ||
        check_commands(&before, &fresh, &fault) != 0 ||
        put_in_force(session, &fresh, &fault) != 0) {
        session_say(session, "%.200s", fault.text);
        return -1;
    }
    if (session->journal)
        kept = setup_keep(session->folder, &fresh, &fault);
    session->setup_kept = kept >= 0;
    if (kept == 0) {
        session_say(session, "%.90s is as it was", path);
        return 0;
    }
    if (kept > 0)
        act.value[0] = kept;
    say_change(path, typed, act.text);
    if (session_act(session, &act) != 0)
        return -1;
    if (session->journal && kept < 0)
        session_say(session, "in force, but cannot be taken back: %.160s", fault.text);
    write_down(session, &fresh);
    return 0;
}

/* The setup before an act. Where commands may not run, then or now, it was kept without them or must
 * not bring them: those of now stay. */
static int read_before(const struct session *session, const struct act *act, struct fault *fault)
{
    const struct setup *now = &session->night.setup;

    if (setup_kept(session->folder, (int)act->value[0], &before, fault) != 0)
        return -1;
    if (before.trust.may_run && now->trust.may_run)
        return 0;
    (void)memcpy(before.hook, now->hook, sizeof before.hook);
    before.air.command = now->air.command;
    before.trust = now->trust;
    return 0;
}

int session_setup_back(struct session *session, const struct act *act)
{
    struct fault fault;

    if (read_before(session, act, &fault) != 0 ||
        setup_keep(session->folder, &before, &fault) < 0 ||
        put_in_force(session, &before, &fault) != 0) {
        session_say(session, "%.200s", fault.text);
        return -1;
    }
    write_down(session, &before);
    return 0;
}

static bool same_place(const struct site *a, const struct site *b)
{
    return a->latitude_deg == b->latitude_deg && a->longitude_deg == b->longitude_deg;
}

void session_setup_again(const char *folder, const struct eclipse *eclipse, const char *file,
                         struct setup *setup)
{
    char day[SESSION_DAY], path[PATH_SIZE], kept[PATH_SIZE + sizeof "/setup.json"];
    struct fault fault;

    session_name(eclipse, day);
    if (session_path(folder ? folder : day, path, &fault) != 0)
        return;
    (void)snprintf(kept, sizeof kept, "%s/setup.json", path);
    if (file_written_utc(kept) < file_written_utc(file) || setup_kept(path, 0, &fresh, &fault) != 0)
        return;
    if (!same_place(&fresh.site, &setup->site))
        fresh.site = setup->site;
    fresh.rule = setup->rule;
    *setup = fresh;
}

void session_setup_follow(struct session *session)
{
    struct fault fault;

    session->setup_moved = false;
    if (setup_kept(session->folder, 0, &fresh, &fault) != 0 ||
        put_in_force(session, &fresh, &fault) != 0)
        session_say(session, "%.200s", fault.text);
}
