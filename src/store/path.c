/* XDG base directory specification, 0.8. */
#include "files.h"

#include <moonstand/path.h>

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { SESSIONS_OF_A_DAY = 1000 };

static int fits(int written, struct fault *fault)
{
    return written < PATH_SIZE ? 0 : fault_set(fault, "a path of more than %d bytes", PATH_SIZE);
}

/* The variable's folder, else one below the home folder, then "/moonstand" and the rest. */
static int base_path(const char *variable, const char *below_home, const char *rest,
                     char out[PATH_SIZE], struct fault *fault)
{
    const char *base = getenv(variable), *home = getenv("HOME");

    if (base && *base == '/')
        return fits(snprintf(out, PATH_SIZE, "%s/moonstand/%s", base, rest), fault);
    if (home && *home == '/')
        return fits(snprintf(out, PATH_SIZE, "%s/%s/moonstand/%s", home, below_home, rest), fault);
    return fault_set(fault, "no folder for own files: neither %s nor HOME holds an absolute path",
                     variable);
}

int path_setup(char out[PATH_SIZE], struct fault *fault)
{
    return base_path("XDG_CONFIG_HOME", ".config", "setup.json", out, fault);
}

int path_sessions(char out[PATH_SIZE], struct fault *fault)
{
    return base_path("XDG_STATE_HOME", ".local/state", "sessions", out, fault);
}

/* From tests/ROOM of build/sanitized to the folder of the sources. */
enum { FOLDERS_UP = 5, THEME_FOLDERS = 2 + 2 * FOLDERS_UP };

/* The folder `steps` above a file; false if there is none. */
static bool folder_above(const char *file, int steps, char out[PATH_SIZE])
{
    char *slash = out;

    (void)snprintf(out, PATH_SIZE, "%s", file);
    for (int i = 0; slash && i < steps; i++) {
        slash = strrchr(out, '/');
        if (slash)
            *slash = '\0';
    }
    return slash;
}

/* The folders of themes, in order of search; false if there is none of that index. */
static bool theme_folder(int index, const char *program, char out[PATH_SIZE])
{
    static const char *const below[] = {"share/moonstand/themes", "themes"};
    char above[PATH_SIZE];

    if (index == 0)
        return base_path("XDG_CONFIG_HOME", ".config", "themes", out, NULL) == 0;
    if (index == THEME_FOLDERS - 1)
        return fits(snprintf(out, PATH_SIZE, "%s", MOONSTAND_THEMES), NULL) == 0;
    return program && folder_above(program, (index + 1) / 2, above) &&
           fits(snprintf(out, PATH_SIZE, "%s/%s", above, below[(index + 1) % 2]), NULL) == 0;
}

int path_theme(const char *name, const char *program, char out[PATH_SIZE], struct fault *fault)
{
    char folder[PATH_SIZE];

    if (*name == '\0' || strlen(name) >= THEME_NAME || strpbrk(name, "/.") || !text_is_clean(name))
        return fault_set(fault,
                         "\"%.40s\" is not a theme's name: up to %d bytes without '/' or '.'", name,
                         THEME_NAME - 1);
    for (int i = 0; i < THEME_FOLDERS; i++)
        if (theme_folder(i, program, folder) &&
            fits(snprintf(out, PATH_SIZE, "%s/%s.json", folder, name), NULL) == 0 &&
            access(out, R_OK) == 0)
            return 0;
    return fault_set(fault,
                     "no theme \"%s\": no file %s.json in the user's themes, beside the program, or "
                     "in %s",
                     name, name, MOONSTAND_THEMES);
}

/* The name of a theme's file, "" if it is none. */
static void name_of_theme(const char *file, char name[THEME_NAME])
{
    size_t length = strcspn(file, ".");

    name[0] = '\0';
    if (strcmp(file + length, ".json") == 0 && length < THEME_NAME && text_is_clean(file))
        (void)snprintf(name, THEME_NAME, "%.*s", (int)length, file);
}

/* Inserts in order, each name once; returns the new count. */
static int add_name(char (*names)[THEME_NAME], int count, int most, const char *name)
{
    int at = count;

    while (at > 0 && strcmp(names[at - 1], name) > 0)
        at--;
    if (count == most || (at > 0 && strcmp(names[at - 1], name) == 0))
        return count;
    (void)memmove(names[at + 1], names[at], (size_t)(count - at) * THEME_NAME);
    (void)memcpy(names[at], name, strlen(name) + 1);
    return count + 1;
}

int theme_list(const char *program, char (*names)[THEME_NAME], int most)
{
    char folder[PATH_SIZE], name[THEME_NAME];
    int count = 0;

    for (int i = 0; i < THEME_FOLDERS; i++) {
        DIR *open = theme_folder(i, program, folder) ? opendir(folder) : NULL;
        if (!open)
            continue;
        for (const struct dirent *entry; (entry = readdir(open));) {
            name_of_theme(entry->d_name, name);
            if (*name)
                count = add_name(names, count, most, name);
        }
        (void)closedir(open);
    }
    return count;
}

int sessions_make(char out[PATH_SIZE], struct fault *fault)
{
    return path_sessions(out, fault) == 0 ? folder_make(out, fault) : -1;
}

int session_make(const char *day, bool rehearsal, bool fresh, char out[PATH_SIZE],
                 struct fault *fault)
{
    char sessions[PATH_SIZE], number[16] = "";
    double utc;

    if (parse_day(day, &utc, fault) != 0 || sessions_make(sessions, fault) != 0)
        return -1;
    for (int i = 2; i <= SESSIONS_OF_A_DAY; i++) {
        if (fits(snprintf(out, PATH_SIZE, "%s/%s%s%s", sessions, day, rehearsal ? "-rehearsal" : "",
                          number),
                 fault) != 0)
            return -1;
        if (mkdir(out, 0700) == 0 || (errno == EEXIST && !fresh))
            return 0;
        if (errno != EEXIST)
            break;
        (void)snprintf(number, sizeof number, "-%d", i);
    }
    return fault_set(fault, "%s: cannot make the session's folder: %s", out, strerror(errno));
}

static int is_session(const struct dirent *entry)
{
    char day[sizeof "YYYY-MM-DD"];
    double utc;

    (void)snprintf(day, sizeof day, "%.*s", (int)sizeof day - 1, entry->d_name);
    return strlen(entry->d_name) < SESSION_NAME && parse_day(day, &utc, NULL) == 0;
}

int session_list(char (*names)[SESSION_NAME], int most, struct fault *fault)
{
    char sessions[PATH_SIZE];
    struct dirent **entries = NULL;

    if (path_sessions(sessions, fault) != 0)
        return -1;
    /* By bytes, 2028-12-31 before 2028-12-31-rehearsal: only characters go by a locale here. */
    int count = scandir(sessions, &entries, is_session, alphasort);
    if (count < 0 && errno == ENOENT)
        return 0;
    if (count < 0)
        return fault_set(fault, "%s: cannot list: %s", sessions, strerror(errno));
    for (int i = 0; i < count; i++) {
        if (i < most)
            (void)snprintf(names[i], SESSION_NAME, "%.*s", SESSION_NAME - 1, entries[i]->d_name);
        free(entries[i]);
    }
    free(entries);
    return count < most ? count : most;
}
