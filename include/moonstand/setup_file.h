/* store: the setup file, a JSON object (RFC 8259, UTF-8, at most 1 MiB, nested at most 16 deep).
 * The manual page has its keys.
 *
 * Paths are absolute. A command is a list of 1 to 16 texts, the program and its arguments; it runs
 * without a shell, and only if the user owns the setup file, nobody else can change it, and every
 * link and folder on the way to it is root's or the user's and cannot be written by others, unless
 * the sticky bit holds them back. The same holds for the program.
 *
 * All readers of store are all-or-nothing: on error the output is unchanged, and the fault names the
 * file, line and column (and the key's path), what was found and what is expected.
 */
#ifndef MOONSTAND_SETUP_FILE_H
#define MOONSTAND_SETUP_FILE_H

#include <moonstand/setup.h>

struct fault;

/* Reads a setup file. 0; 1 where there is no such file (with a fault); -1 where it is refused. */
int setup_read(const char *path, struct setup *setup, struct fault *fault);
/* Whether a program may be run: 0, also if there is none; -1 with a fault that names the file or
 * folder that somebody else could have changed. Without a '/' it is looked for in $PATH, as it will
 * be when it is started. */
int program_check(const char *program, struct fault *fault);
/* The same from memory; `name` stands for the file in messages; text[length] must be '\0'. */
int setup_parse(const char *name, const char *text, size_t length, struct setup *setup,
                struct fault *fault);
/* Whether a file of this setup would be taken by its own reader: 0, -1 with a fault that names the
 * key. */
int setup_check(const struct setup *setup, struct fault *fault);
/* Writes a setup file that setup_read takes back unchanged; one that it would not take (as
 * setup_check says) is not written. Folders are made; a file that was there
 * is kept as PATH.bak, and both have its owner and mode; at every instant there is a whole file at
 * PATH. */
int setup_write(const char *path, const struct setup *setup, struct fault *fault);
/* Whether it could, as far as can be told without writing: 0, -1 with the reason. To be asked before
 * the user is. */
int setup_can_write(const char *path, struct fault *fault);

/* Keeps a setup in a session's folder, with the points of its horizon files, without commands that
 * may not run: the one that the night began with, or the one that pictures are watched by. */
#define SETUP_BEGAN "setup.json"
#define SETUP_WATCHED "watched.json"
int setup_keep(const char *folder, const char *name, const struct setup *setup,
               struct fault *fault);
/* Reads it. */
int setup_kept(const char *folder, const char *name, struct setup *setup, struct fault *fault);
/* Whether two setups would be kept as the same file. */
bool setup_is_same(const struct setup *a, const struct setup *b);

/* The lines of a setup below a path ("": the whole), in the order of the file; how many, 0 where the
 * path leads to no more lines. A horizon keeps to its first SETUP_ROWS points. */
int setup_rows(const struct setup *setup, const char *path, struct setup_row rows[SETUP_ROWS]);
/* A copy of a setup with one value changed, judged like a file. `typed` is the value as a person
 * types it: a text, a choice, a number without quotes, "90, 12.5" for a pair, the values that
 * the row of one more entry names, parted by commas; "": left out, so that the default holds. Null
 * takes an entry of a list out. What names a rig, or the site in force, follows its new name; a rig
 * that is taken out is named no more. -1 with a fault that names the key. */
int setup_edit(const struct setup *setup, const char *path, const char *typed, struct setup *fresh,
               struct fault *fault);

#endif
