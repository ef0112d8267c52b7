/* store: the setup file, a JSON object (RFC 8259, UTF-8, at most 1 MiB, nested at most 16 deep).
 * The manual page has its keys.
 *
 * Paths are absolute. A command is a list of 1 to 16 texts, the program and its arguments; it runs
 * without a shell, and only if the user owns the setup file, nobody else can change it, and every
 * link and folder on the way to it is root's or the user's and cannot be written by others, unless
 * the sticky bit holds them back. The same holds for the program.
 *
 * All readers of store are all-or-nothing: on error the output is unchanged, and the fault names
 * the file, line and column (and the key's path), what was found and what is expected.
 */
#ifndef MOONSTAND_SETUP_FILE_H
#define MOONSTAND_SETUP_FILE_H

#include <moonstand/setup.h>

struct fault;

/* Reads a setup file. Returns 1 with a fault if there is no such file, -1 if it is refused. */
int setup_read(const char *path, struct setup *setup, struct fault *fault);
/* Whether a program may run: 0, also if it does not exist; -1 with a fault that names the file or
 * folder that somebody else could have changed. Without a '/' it is searched in $PATH. */
int program_check(const char *program, struct fault *fault);
/* Whether setup_read would accept this setup from a file: 0, or -1 with a fault that names the
 * key. */
int setup_check(const struct setup *setup, struct fault *fault);
/* Writes a setup file that setup_read reads back unchanged; fails if setup_check does. Makes
 * folders and keeps an old file as PATH.bak, both with its owner and mode. A reader sees the old
 * file or the new one. */
int setup_write(const char *path, const struct setup *setup, struct fault *fault);
/* Whether setup_write could succeed, as far as can be seen without writing: 0, or -1 with the
 * reason.
 */
int setup_can_write(const char *path, struct fault *fault);

/* Saves a setup in a session's folder, with the points of its horizon files, without untrusted
 * commands: the one that the night began with, or the one that pictures are watched by. */
#define SETUP_BEGAN "setup.json"
#define SETUP_WATCHED "watched.json"
int setup_keep(const char *folder, const char *name, const struct setup *setup,
               struct fault *fault);
/* Reads it. */
int setup_kept(const char *folder, const char *name, struct setup *setup, struct fault *fault);
/* Whether two setups would be kept as the same file. */
bool setup_is_same(const struct setup *a, const struct setup *b);

/* The lines of a setup below a path ("": all), in the order of the file. Returns how many; 0 if the
 * path leads to none. A horizon shows its first SETUP_ROWS points. */
int setup_rows(const struct setup *setup, const char *path, struct setup_row rows[SETUP_ROWS]);
/* A copy of a setup with one value changed, judged like a file. `typed` is the value as a person
 * types it: a text, a choice, a number without quotes, "90, 12.5" for a pair, the values that
 * the row of one more entry names, parted by commas; "": left out, so that the default holds. Null
 * takes an entry of a list out. What names a rig, or the site in force, follows its new name; a rig
 * that is taken out is named no more. `fresh` may be the setup itself. -1 with a fault that names the
 * key; `fresh` is unchanged. */
int setup_edit(const struct setup *setup, const char *path, const char *typed, struct setup *fresh,
               struct fault *fault);

#endif
