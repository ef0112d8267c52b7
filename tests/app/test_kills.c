/* A busy night: how much it writes down, how fast it is read again, and that none of it is lost
 * when the program is killed at any time. */
#include "lived.h"
#include "timed.h"

#include <signal.h>
#include <sys/wait.h>

static struct session session; /* large: not on the stack */

/* ---- a busy night ---- */

/* What a user might do next, sensible or not. */
static void act_at_random(struct session *of)
{
    static const char *const fields[] = {"filter_stops", "extender", "f_number", "portrait"};
    int rig = any(of->night.setup.rig_count);
    struct act what = {.rig = rig};

    switch (any(14)) {
    case 0:
    case 1:
        tick(of, any(of->night.setup.checklist.count));
        return;
    case 2:
    case 3:
        what.kind = ACT_AIM;
        what.value[0] = any(100) / 100.0 - 0.5;
        break;
    case 4:
        what.kind = ACT_SNOOZE;
        what.value[0] = 120;
        break;
    case 5:
        what.kind = ACT_TARGET;
        what.value[0] = any(TARGETS);
        break;
    case 6:
        what.kind = ACT_CORRECTION;
        what.value[0] = any(TARGETS);
        what.value[1] = any(13) / 3.0 - 2;
        break;
    case 7:
        what.kind = ACT_NOTE;
        (void)snprintf(what.text, sizeof what.text, "note %d: cloud in the west, wind dropped",
                       any(1000));
        break;
    case 8:
        what.kind = ACT_CLOUD;
        what.value[0] = any(2);
        break;
    case 9:
        what.kind = ACT_AIR;
        what.value[0] = any(200) / 10.0 - 20;
        what.value[1] = 40 + any(60);
        break;
    case 10:
        what.kind = any(2) ? ACT_BATTERY : ACT_CARD;
        break;
    case 11:
        what.kind = ACT_RIG;
        (void)snprintf(what.text, sizeof what.text, "%s", fields[any(4)]);
        what.value[0] = 1;
        break;
    case 12:
        session_undo(of);
        return;
    default:
        what.kind = ACT_FRAME;
    }
    act(of, what);
}

static void count_acts(void *context, struct act *what)
{
    (void)what;
    ++*(size_t *)context;
}

static size_t acts_in(const char *folder)
{
    struct journal *journal;
    struct fault fault;
    size_t count = 0;

    if (journal_open(folder, false, count_acts, &count, &journal, &fault) != 0)
        fail_msg("%s", fault.text);
    (void)journal_close(journal);
    return count;
}

/* Of this thread: what other programs take at the same time does not count. */
static double cpu_ms(void)
{
    struct timespec used;

    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &used);
    return (double)used.tv_sec * 1e3 + (double)used.tv_nsec / 1e6;
}

/* P1 to P4 in steps of four seconds, an act at every other one; in short at every eighth. */
static void a_busy_night_is_small_and_replays_fast(void **state)
{
    char folder[PATH_SIZE], journal[PATH_SIZE + 32];
    double best = INFINITY, best_cpu = INFINITY, slowest = 0;
    size_t count;

    (void)state;
    now.utc = contact(CONTACT_P1) - 60;
    open_session(&session);
    (void)snprintf(folder, sizeof folder, "%s", session.folder);
    (void)snprintf(journal, sizeof journal, "%s/journal.jsonl", folder);
    while (now.utc < contact(CONTACT_P4) + 60) {
        double start = clock_ms();

        if (any(QUICK ? 8 : 2) == 0)
            act_at_random(&session);
        step(&session, 4);
        slowest = fmax(slowest, clock_ms() - start);
    }
    assert_int_equal(count_kind(&session.night, ACT_GAP), 0);
    assert_int_equal(count_kind(&session.night, ACT_MISSED), 0);
    count = session.night.act_count;
    close_session(&session);
    assert_int_equal(acts_in(folder), count + 1);
    for (int i = 0; i < 5; i++) {
        double start = clock_ms(), start_cpu = cpu_ms();
        struct fault fault;

        assert_int_equal(open_as(&session, &test_clock, false, NULL, &fault), 0);
        best = fmin(best, clock_ms() - start);
        best_cpu = fmin(best_cpu, cpu_ms() - start_cpu);
        close_session(&session);
    }
    print_message("a busy night: %zu entries, %zu bytes; opened, replayed and computed in %.1f ms "
                  "(%.1f of the processor); slowest step %.1f ms\n",
                  count, file_size(journal), best, best_cpu, slowest);
    assert_true(count > (QUICK ? 600 : 2500));
    assert_true(file_size(journal) < 2000000);
    if (TIMED)
        assert_true(best_cpu < 100);
}

/* ---- killed at random points of a busy night ---- */

enum { LIFE_ACTS = 20000 };
static struct lives {
    _Atomic bool lives;      /* it has begun to act */
    _Atomic uint64_t synced; /* last act that was shown as saved */
    uint64_t noted;          /* acts written into the table */
    struct act act[LIFE_ACTS];
} * lives;

/* One life: resumes, lives fast, is killed. Never returns. */
static void live(int pause_us)
{
    struct fault fault;

    if (open_as(&session, &test_clock, false, NULL, &fault) != 0 || session.looking_on ||
        *session.trouble)
        _exit(3);
    for (;;) {
        act_at_random(&session);
        step(&session, 1);
        for (size_t i = session.night.act_count; i-- > 0;) {
            const struct act *what = &session.night.acts[i];

            if (what->seq <= lives->noted || what->seq >= LIFE_ACTS)
                break;
            lives->act[what->seq] = *what;
        }
        lives->noted = session.night.last_seq;
        lives->lives = true;
        /* Only what the table has is called saved. */
        journal_state(session.journal, &session.written);
        if (session.written.synced_seq <= lives->noted)
            lives->synced = session.written.synced_seq;
        if (pause_us)
            sleep_ms(pause_us / 1000.0);
    }
}

struct found {
    struct act act[LIFE_ACTS];
    uint64_t last;
};

static void find(void *context, struct act *what)
{
    struct found *found = context;

    assert_true(what->seq < LIFE_ACTS);
    assert_int_equal(what->seq, found->last + 1); /* none missing, none twice */
    found->act[what->seq] = *what;
    found->last = what->seq;
}

static void assert_same_act(const struct act *a, const struct act *b)
{
    const struct act_form *form = act_form(a->kind);

    assert_int_equal(a->seq, b->seq);
    assert_int_equal(a->kind, b->kind);
    assert_same(a->utc, b->utc, "utc");
    assert_int_equal(form->has & HAS_RIG ? a->rig : 0, form->has & HAS_RIG ? b->rig : 0);
    assert_int_equal(a->ref, b->ref);
    for (int i = 0; form->value[i].name; i++)
        assert_same(a->value[i], b->value[i], form->value[i].name);
    assert_string_equal(a->text, b->text);
}

static void read_lines(struct found *found, const char *folder)
{
    struct journal_state written;
    struct journal *journal;
    struct fault fault;

    found->last = 0;
    if (journal_open(folder, false, find, found, &journal, &fault) != 0)
        fail_msg("%s", fault.text);
    journal_state(journal, &written);
    assert_int_equal(written.damaged, 0);
    (void)journal_close(journal);
}

/* All that was acknowledged is there, as it was; all that was there before still is. */
static void assert_nothing_lost(const char *folder, struct found *before, struct found *after)
{
    read_lines(after, folder);
    if (after->last < lives->synced)
        fail_msg("entry %llu was shown as saved, the journal ends with %llu",
                 (unsigned long long)lives->synced, (unsigned long long)after->last);
    for (uint64_t i = 1; i <= before->last; i++)
        assert_same_act(&before->act[i], &after->act[i]);
    for (uint64_t i = before->last + 1; i <= lives->synced; i++)
        assert_same_act(&lives->act[i], &after->act[i]);
}

static void killed_at_random_points(void **state)
{
    const char *wanted = getenv("MOONSTAND_KILLS");
    int kills = wanted ? (int)strtol(wanted, NULL, 10) : 20, killed = 0;
    struct found *before = calloc(1, sizeof *before), *after = calloc(1, sizeof *after);
    uint64_t acknowledged = 0;
    char folder[PATH_SIZE], journal[PATH_SIZE];

    (void)state;
    lives = shared_memory(sizeof *lives);
    (void)snprintf(folder, sizeof folder, "%s/moonstand/sessions/2028-12-31", state_home);
    (void)snprintf(journal, sizeof journal, "%.1000s/journal.jsonl", folder);
    for (int i = 0; i < kills; i++) {
        int status;
        pid_t child;

        if (i % 25 == 0) { /* another night */
            scratch_empty(state_home);
            before->last = 0;
            now.utc = contact(CONTACT_P1);
        }
        lives->lives = false;
        lives->synced = lives->noted = before->last;
        child = fork();
        if (child == 0) {
            seed += (uint64_t)i * 7919;
            live(any(4) ? 0 : any(3000));
        }
        assert_true(child > 0);
        /* Some die while they open the session, a few live long enough to see a second sync. */
        while (i % 5 != 0 && !lives->lives)
            sleep_ms(0.2);
        while (i % 6 == 4 && lives->synced < before->last + 20)
            sleep_ms(0.2);
        sleep_ms(any(20000) / 1000.0);
        assert_int_equal(kill(child, SIGKILL), 0);
        assert_int_equal(waitpid(child, &status, 0), child);
        assert_true(WIFSIGNALED(status));
        /* Killed before its first act, or before there was a journal: the next life shows what is
         * left. */
        if (lives->noted == before->last || (lives->synced == 0 && access(journal, F_OK) != 0))
            continue;
        killed++;
        assert_nothing_lost(folder, before, after);
        acknowledged += lives->synced > before->last ? lives->synced - before->last : 0;
        now.utc = after->act[after->last].utc + 2;
        now.boot += 1000;

        /* And the next start stands where it was. */
        open_session(&session);
        assert_int_equal(session.written.damaged, 0);
        assert_true(session.night.act_count >= after->last + 1);
        close_session(&session);
        read_lines(before, folder);
        for (uint64_t j = 1; j <= after->last; j++)
            assert_same_act(&after->act[j], &before->act[j]);
    }
    print_message("%d of %d killed amid acts; %llu entries shown as saved, none lost\n", killed,
                  kills, (unsigned long long)acknowledged);
    assert_true(killed > kills / 2);
    assert_true(acknowledged > (uint64_t)kills);
    free(before);
    free(after);
    (void)munmap(lives, sizeof *lives);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(a_busy_night_is_small_and_replays_fast),
        AT_HOME(killed_at_random_points),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
