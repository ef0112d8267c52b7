/* store: the journal of a night. */
#ifndef MOONSTAND_JOURNAL_H
#define MOONSTAND_JOURNAL_H

#include <stdbool.h>
#include <stdint.h>

struct act;
struct fault;

/*
 * SESSION/journal.jsonl: one act per line, only ever appended to:
 *
 *   {"seq":12,"utc":"2028-12-31T15:07:30.250Z","boot_s":5234.118,"boot":"9c1f03ab",
 *    "kind":"aim","rig":1,"x":-0.31,"y":0.02,"crc":"6e55632c"}                     (on one line)
 *
 * `seq` increases; `boot` is the first eight digits of the kernel's boot id; the fields are those of
 * act_form, instants (names in _utc) as ISO 8601, unknown ones left out; `crc` is the CRC-32 of
 * IEEE 802.3 (as in zip and PNG) of the line's bytes before `,"crc"`.
 *
 * Anything after the last whole line is a torn tail, which is moved to SESSION/journal.torn. Damaged
 * lines before it are skipped and counted, never removed. There is one writer at a time: it holds a
 * lock on the folder.
 *
 * A helper thread does all writing: each entry at once by one write(), then fdatasync, at most once a
 * second. What fails stays in memory and is tried again every second: after a failed write the file
 * is cut back to its last whole line; after a failed sync, which leaves the disk's contents unknown,
 * it is opened anew and everything not yet synced is written again.
 *
 * After each sync, and every five seconds, the thread checks that the file of that name is still the
 * one it writes. If the file or folder was removed, replaced, cut or added to, the whole night is
 * written again from memory, and what took the journal's place is kept as SESSION/journal.other.
 *
 * Links in a session's folder are not followed, and another user's folder is not written to.
 */

struct journal;

/* Called for each act of the journal, oldest first; boot_s of an earlier boot is NaN. */
typedef void journal_take(void *context, struct act *act);

/* Opens a session's journal and passes every act in it to `take`. If not `writable`, follows what
 * another program writes; a missing file is then an error. Returns 1 if `writable` and another
 * program writes it, -1 if it cannot be read. A journal that can be read but not written opens with
 * trouble.
 */
int journal_open(const char *folder, bool writable, journal_take *take, void *context,
                 struct journal **journal, struct fault *fault);

/* 0 if nobody but the user can have written a session's journal; -1 with a fault that names the file
 * or folder at fault. */
int journal_check(const char *folder, struct fault *fault);

/* The number for the next act, to be set before night_apply. Entries that the night cannot apply
 * (an item no longer on the checklist, say) keep theirs. */
uint64_t journal_next_seq(struct journal *journal);
/* Adds a numbered act. Never waits for a disk. -1 if the journal has the largest size that can be
 * read back (64 MiB, a thousand nights), memory is out, or the number does not increase. */
int journal_append(struct journal *journal, const struct act *act, struct fault *fault);

struct journal_state {
    uint64_t appended_seq, written_seq, synced_seq; /* last of each */
    int unsynced;                                   /* acts not synced yet */
    int damaged;                                    /* lines skipped */
    uint64_t torn_bytes;                            /* of the torn tail at the open */
    int renewed;       /* how often the file was replaced and written again */
    char trouble[160]; /* empty: none */
};
void journal_state(struct journal *journal, struct journal_state *state);
/* "2 damaged entries were skipped; left out after the last whole entry: 17 bytes"; false and "" if
 * nothing is damaged. */
enum { JOURNAL_DAMAGE = 120 };
bool journal_damage(const struct journal_state *state, char out[JOURNAL_DAMAGE]);
/* When a session's journal was last written, by the machine's clock; NaN: there is none. */
double journal_written_utc(const char *folder);
/* Whether another program writes the session that this journal follows. */
bool journal_is_written(const struct journal *journal);

/* Readable when the state has changed, or the followed file has grown; -1 if there is none. Then
 * call journal_poll, which never waits: it clears the event and passes what is new in a followed
 * file to `take`. -1 on an error while following. */
int journal_fd(const struct journal *journal);
int journal_poll(struct journal *journal, struct fault *fault);

/* Writes and syncs what is left (one attempt) and frees. Returns how many acts were lost. */
int journal_close(struct journal *journal);

#endif
