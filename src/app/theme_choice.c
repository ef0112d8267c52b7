/* Chooses the theme: at the start, and while the program runs. */
#include "live.h"

#include <moonstand/palette.h>
#include <moonstand/theme_file.h>

#include <stdio.h>
#include <string.h>

static int load(const char *name, struct theme *theme, struct fault *fault)
{
    char program[PATH_SIZE], path[PATH_SIZE];

    theme_default(theme);
    if (strcmp(name, theme->name) == 0)
        return 0;
    if (path_theme(name, program_path(program), path, fault) != 0 || theme_read(path, theme, fault) != 0)
        return -1;
    return theme_valid(theme, fault);
}

/* Cuts the folder of the file named in a fault's text: the screen's line is short. */
static void make_brief(struct fault *fault)
{
    const char *slash = memrchr(fault->text, '/', strcspn(fault->text, ":"));

    if (slash)
        (void)memmove(fault->text, slash + 1, strlen(slash));
}

int look_open(struct live *live, const char *asked, const char *usual, struct fault *fault)
{
    const char *name = asked ? asked : usual;

    (void)memcpy(live->look, name, strnlen(name, sizeof live->look - 1));
    if (load(name, &live->theme, fault) == 0)
        return 0;
    if (asked)
        return -1;
    /* A damaged theme file is no reason to miss the night. */
    theme_default(&live->theme);
    make_brief(fault);
    return 1;
}

void look_take(struct live *live, const char *name)
{
    struct theme theme;
    struct fault fault;

    (void)snprintf(live->look, sizeof live->look, "%s", name);
    if (load(live->look, &theme, &fault) != 0) {
        make_brief(&fault);
        session_say(&live->session, "%.200s", fault.text);
        return;
    }
    live->theme = theme;
    term_theme(&live->theme, live->theme_step);
    session_say(&live->session, "theme %s", live->look);
}

void look_next(struct live *live)
{
    char program[PATH_SIZE], names[THEMES_LISTED][THEME_NAME];
    int count = theme_list(program_path(program), names, THEMES_LISTED), next = 0;

    if (count == 0) {
        session_say(&live->session, "no theme files found");
        return;
    }
    while (next < count && strcmp(names[next], live->look) <= 0)
        next++;
    look_take(live, names[next % count]);
}
