/* store: where files live. */
#ifndef MOONSTAND_PATH_H
#define MOONSTAND_PATH_H

#include <moonstand/setup.h>

struct fault;

/*
 *   $XDG_CONFIG_HOME/moonstand/setup.json, themes/NAME.json          (else ~/.config)
 *   $XDG_STATE_HOME/moonstand/sessions/2028-12-31, 2028-12-31-rehearsal   (else ~/.local/state)
 *
 * Empty or relative variables are ignored, as the XDG base directory specification demands.
 */
enum { PATH_SIZE = 1024, SESSION_NAME = 40, THEMES_LISTED = 64 };

int path_setup(char out[PATH_SIZE], struct fault *fault);
/* Finds a theme by name: among the user's own, then beside the program, then where the program was
 * built to be installed. `program` is the path of its file: above it lies share/moonstand/themes if
 * it is installed, themes if it runs where it was built. -1 if no such folder has it. */
int path_theme(const char *name, const char *program, char out[PATH_SIZE], struct fault *fault);
/* Lists the names of all of them, sorted, each once. Returns how many, at most `most`. */
int theme_list(const char *program, char (*names)[THEME_NAME], int most);
int path_sessions(char out[PATH_SIZE], struct fault *fault);
/* The same; makes it if it is missing. */
int sessions_make(char out[PATH_SIZE], struct fault *fault);

/* The folder of a session; makes it if it is missing. `day`: YYYY-MM-DD. With `fresh`, always a new
 * folder: 2028-12-31-rehearsal, then 2028-12-31-rehearsal-2 ... */
int session_make(const char *day, bool rehearsal, bool fresh, char out[PATH_SIZE],
                 struct fault *fault);
/* Lists the names of the sessions, in order. Returns how many, at most `most`; -1 on an error. Without
 * a folder of sessions there are none. */
int session_list(char (*names)[SESSION_NAME], int most, struct fault *fault);

#endif
