/* store: the journal of a night. */
#ifndef MOONSTAND_JOURNAL_H
#define MOONSTAND_JOURNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct act;
struct fault;

/*  *
 * SESSION/journal.jsonl: one act per line, only ever appended to:
 *
 *   {"seq":12,"utc":"2028-12-31T15:07:30.250Z","boot_s":5234.118,"boot":"9c1f03ab",
 *    "kind":"aim","rig":1,"x":-0.31,"y":0.02,"crc":"6e55632c"}                     (on one line)
 *
 * `seq` rises; `boot` is the first eight digits of the kernel's boot id; the fields are those of
 * act_form, instants (names in _utc) as ISO 8601, unknown ones left out; `crc` is the CRC-32 of
 * IEEE 802.3 (as in zip and PNG) over the line's bytes before `,"crc"`.
 *
 * What stands after the last whole line is a torn tail: it is added to SESSION/journal.torn and
 * cut. Damaged lines before it are skipped and counted, never removed. One writer at a time: it
 * holds a lock on the folder.
 *
 * A helper thread does all writing: each entry by one write() at once, then fdatasync, at most once
 * a second. What fails is kept in memory and tried again every second: after a failed write the
 * file is cut back to its last whole line; after a failed sync, which says nothing about what is on
 * the disk, it is opened anew and all that was not yet synced is written again.
 *
 * After each sync, and every five seconds, the thread looks whether the file of that name is still
 * the one it writes. If file or folder was removed, replaced, cut or added to, the whole night is
 * written anew from memory; what took the journal's place is kept as SESSION/journal.other.
 *
 * Nothing in a session's folder is followed if it is a link, and a folder of another user's is not
 * written to.
 */

enum { ENTRY_LINE = 2560, BOOT_ID = 9 };

/* One act as a line with its newline; its length. Of a text that is not clean UTF-8 only the ASCII
 * remains, the other bytes become '?'. */
size_t entry_encode(const struct act *act, const char *boot, char line[ENTRY_LINE]);
/* True where a line (without its newline) is whole: its checksum fits. */
bool entry_is_whole(const char *line, size_t length);
/* Reads a whole line. `boot` gets the boot id; may be null. -1: not an act that this program knows;
 * -2: memory is out. */
int entry_decode(const char *line, size_t length, struct act *act, char boot[BOOT_ID],
                 struct fault *fault);

struct journal;

/* Takes one act of the journal, oldest first; boot_s of an earlier boot is unknown (NaN). */
typedef void journal_take(void *context, struct act *act);

/* Opens a session's journal and hands every act in it to `take`. Not writable: looks on (also
 * for reports), an absent file is an error. Returns 0; 1 where another program writes it (only if
 * `writable`); -1 where it cannot be read. A journal that can be read but not written opens with
 * trouble. */
int journal_open(const char *folder, bool writable, journal_take *take, void *context,
                 struct journal **journal, struct fault *fault);

/* 0 if nobody but the user can have written a session's journal; -1 with a fault that names the file
 * or folder at fault. */
int journal_check(const char *folder, struct fault *fault);

/* The number for the next act, to be set before night_apply: entries that the night no longer takes
 * (an item that has left the checklist, say) keep theirs. */
uint64_t journal_next_seq(struct journal *journal);
/* Adds a numbered act. Never waits for a disk. -1 if the journal is as large as can be read back
 * (64 MiB, a thousand nights), memory is out, or the number does not rise. */
int journal_append(struct journal *journal, const struct act *act, struct fault *fault);

struct journal_state {
    uint64_t appended_seq, written_seq, synced_seq; /* last of each; not synced: being written */
    int unsynced;                                   /* acts that are not synced */
    int damaged;                                    /* lines skipped */
    uint64_t torn_bytes; /* put aside at the open; looking on: left out then */
    int renewed;         /* how often the file had lost its place and was written anew */
    char trouble[160];   /* empty: none */
};
void journal_state(struct journal *journal, struct journal_state *state);
/* "2 damaged entries were skipped; left out after the last whole entry: 17 bytes"; false, and "",
 * where nothing is damaged. */
enum { JOURNAL_DAMAGE = 120 };
bool journal_damage(const struct journal_state *state, char out[JOURNAL_DAMAGE]);
/* When a session's journal was last written to, by the clock of the machine; NaN: there is none. */
double journal_written_utc(const char *folder);
/* Whether another program writes the session that this journal looks on at. */
bool journal_is_written(const struct journal *journal);

/* Readable when the state has changed (looking on: when the file has grown); -1 where there is no
 * such descriptor. Then call journal_poll, which never waits: it takes the event and, looking on,
 * hands what is new to `take`. -1 on an error while looking on. */
int journal_fd(const struct journal *journal);
int journal_poll(struct journal *journal, struct fault *fault);

/* Writes and syncs what is left (one attempt), frees. Returns how many acts were lost. */
int journal_close(struct journal *journal);

#endif
